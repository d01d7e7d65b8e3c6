"""A kept file of version 1 still opens, whole (made by make_version_1.py beside it)."""

from __future__ import annotations

import shutil
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from rimwise.records.discs import Weight, WeightRelativeTo
from rimwise.store.migrate import Migration, shipped_migrations
from rimwise.store.opening import integrity_check, open_store

KEPT = Path(__file__).parent / "version-1.sqlite"

#: A step such as a later version may bring: a table built anew, its rows carried over.
REBUILD = Migration(
    len(shipped_migrations()) + 1,
    "rebuild",
    """
    CREATE TABLE molds_new (
        name TEXT PRIMARY KEY NOT NULL, printed_speed REAL NOT NULL, printed_glide REAL NOT NULL,
        printed_turn REAL NOT NULL, printed_fade REAL NOT NULL, maker TEXT NOT NULL,
        diameter_m REAL, rim_width_m REAL, rim_depth_m REAL
    ) STRICT;
    INSERT INTO molds_new SELECT *, NULL FROM molds;
    DROP TABLE molds;
    ALTER TABLE molds_new RENAME TO molds;
    """,
)


@pytest.fixture
def kept(tmp_path):
    return Path(shutil.copy(KEPT, tmp_path / "data.sqlite"))


def test_the_kept_file_is_of_version_1():
    with closing(sqlite3.connect(f"file:{KEPT}?mode=ro&immutable=1", uri=True)) as raw:
        assert raw.execute("PRAGMA user_version").fetchone() == (1,)


@pytest.mark.parametrize("later", [(), (REBUILD,)], ids=["shipped", "one step more"])
def test_it_opens_whole(kept, later):
    with open_store(kept, migrations=[*shipped_migrations(), *later]) as store:
        assert integrity_check(store) == ()
        assert [(disc.id, disc.weight) for disc in store.discs.all()] == [
            ("blue", WeightRelativeTo("red", -5.0, 2.0)),
            ("red", Weight(172.5, 0.5)),
            ("putter", Weight(174.0, 3.0)),
        ]
        assert store.discs.get("putter").note == "Größe ±1"
        assert [mold.printed.turn for mold in store.molds.all()] == [-2.0, 0.0]
        assert store.throwers.get("owner").styles[0].scatter.hyzer_deg == 4.0
        assert store.courses.get("heath").areas[0].openings == (((5, 1), (6, 1), (6, 2)),)
        assert store.conditions.get("winter").days[0].wind_from_deg == 240.0
        assert store.carries.get(1).alternates == ("blue",)
        assert [throw.distance_m for _, throw in store.throws.all()] == [80.0, 81.0, 82.0]
        assert len(store.comparisons) == len(store.rounds) == len(store.putts) == 1
        assert store.settings.all() == {"demo": False}
    pending = len(shipped_migrations()) - 1 + len(later)
    assert len(list(kept.parent.glob("backups/*.sqlite"))) == min(pending, 1)
