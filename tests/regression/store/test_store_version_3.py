"""Courses and days of version 3 keep what they had when the step to version 4 gives them more."""

from __future__ import annotations

from contextlib import closing
from datetime import datetime

from rimwise.records.conditions import Cover, ScenarioDay
from rimwise.records.courses import Area, AreaKind, Course, Hole, Mandatory, Side
from rimwise.store.connection import connect
from rimwise.store.migrate import migrate, shipped_migrations
from rimwise.store.opening import integrity_check, open_store

NOW = datetime(2026, 4, 1, 12)

#: Rows as version 3 wrote them.
ROWS = """
INSERT INTO courses VALUES ('heath', 54.5, 8.5, 1, 'a notice');
INSERT INTO course_holes VALUES ('heath', 0, '1', '[0.0, 0.0]', '[0.0, 80.0]', 3, -2, 85, 'gorse');
INSERT INTO course_areas VALUES ('heath', 0, 'wood', '[[0.0, 0.0], [9.0, 0.0], [9.0, 9.0]]', '[]',
    'pines');
INSERT INTO conditions VALUES ('winter');
INSERT INTO condition_days VALUES ('winter', 0, 'gale', 2, 3, 1001, 0.9, 9, 240, 14, 1, 'wet', 0.1,
    'log');
"""


def version_3(path):
    with closing(connect(path, str(path))) as connection:
        migrate(connection, path, shipped_migrations()[:3], NOW)
        connection.raw.executescript(ROWS)
    return path


def test_a_course_of_version_3_opens_with_nothing_more_asked_of_it(tmp_path):
    with open_store(version_3(tmp_path / "data.sqlite")) as store:
        assert integrity_check(store) == ()
        assert store.courses.get("heath") == Course(
            "heath",
            (Hole("1", (0.0, 0.0), (0.0, 80.0), 3, -2.0, 85.0, "gorse", None),),
            (Area(AreaKind.WOOD, ((0.0, 0.0), (9.0, 0.0), (9.0, 9.0)), (), "pines"),),
            54.5,
            8.5,
            True,
            "a notice",
        )
        (day,) = store.conditions.get("winter").days
        assert isinstance(day, ScenarioDay)
        assert (day.source, day.cover, day.dusk) == ("log", Cover.GREEN, False)
    assert len(list(tmp_path.glob("backups/*.sqlite"))) == 1


def test_a_course_of_version_3_takes_what_is_new(tmp_path):
    course = Course(
        "heath",
        (Hole("1", (0.0, 0.0), (0.0, 80.0)),),
        mandatories=(Mandatory("1", (3.0, 40.0), Side.RIGHT),),
    )
    with open_store(version_3(tmp_path / "data.sqlite")) as store:
        store.courses.put(course)
        assert store.courses.get("heath") == course
