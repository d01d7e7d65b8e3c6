"""A file of version 2 keeps its evidence when the step to version 3 gives it more columns."""

from __future__ import annotations

from contextlib import closing
from datetime import datetime

from rimwise.records.evidence import Weather
from rimwise.store.connection import connect
from rimwise.store.journal import KINDS, Journal
from rimwise.store.migrate import migrate, shipped_migrations
from rimwise.store.opening import integrity_check, open_store

NOW = datetime(2026, 4, 1, 12)

#: Rows as version 2 wrote them.
ROWS = """
INSERT INTO molds VALUES ('NH 27', 7, 5, -2, 1, 'NH', NULL, NULL);
INSERT INTO plastics VALUES ('base', 4, 3, 4, 3, 0.3, 0, 0, 0.3);
INSERT INTO discs VALUES ('red', 'NH 27', 'base', 172, NULL, NULL, 1, '', 'red', '', 0, '',
    'at home', NULL, '', NULL, NULL, NULL, NULL, '');
INSERT INTO discs VALUES ('blue', 'NH 27', 'base', 170, NULL, NULL, 1, '', 'blue', '', 0, '',
    'at home', NULL, '', NULL, NULL, NULL, NULL, '');
INSERT INTO courses VALUES ('heath', NULL, NULL, 1, '');
INSERT INTO course_holes VALUES ('heath', 0, '1', '[0, 0]', '[0, 80]', 3, 0, NULL, '');
INSERT INTO throws VALUES (4, '2026-03-01', 'red', 'backhand', 5, 10, 1, 80, -4, 'frost', 70,
    NULL, NULL, 'kept');
INSERT INTO comparisons VALUES (7, '2026-03-02', 'red', 'blue', 'reach', 1, '');
INSERT INTO rounds VALUES (2, '2026-03-03', 'heath', '', '', '');
INSERT INTO round_scores VALUES (2, 0, '1', 3);
INSERT INTO putts VALUES (3, '2026-03-04', 6, 20, 13, '');
"""


def version_2(path):
    with closing(connect(path, str(path))) as connection:
        migrate(connection, path, shipped_migrations()[:2], NOW)
        connection.raw.executescript(ROWS)
    return path


def test_evidence_of_version_2_opens_with_nothing_noted_of_the_weather(tmp_path):
    with open_store(version_2(tmp_path / "data.sqlite")) as store:
        assert store.connection.rows("PRAGMA user_version") == [(len(shipped_migrations()),)]
        assert integrity_check(store) == ()
        ((number, throw),) = store.throws.all()
        assert (number, throw.distance_m, throw.first_touch_m, throw.note) == (
            4,
            80.0,
            70.0,
            "kept",
        )
        assert throw.weather == Weather()
        ((_, comparison),) = store.comparisons.all()
        assert (comparison.plainly, comparison.alike) == (True, False)
        assert [record.weather for _, record in store.rounds.all()] == [Weather()]
        assert [record.made for _, record in store.putts.all()] == [13]
        assert store.knocks.all() == []
    assert len(list(tmp_path.glob("backups/*.sqlite"))) == 1


def test_evidence_of_version_2_can_be_deleted_and_brought_back(tmp_path):
    with open_store(version_2(tmp_path / "data.sqlite")) as store:
        journal, before = Journal(store), store.throws.get(4)
        journal.delete(KINDS["throw"], 4, NOW)
        assert journal.restore(KINDS["throw"], 4, NOW) == before
        assert journal.add_once([before]).known == 1
