"""A kept file of every version opens whole: every cell of old is there, and every row is read.

The files were made by the programs of their versions (tests/data/schemas/make.py says how).
"""

from __future__ import annotations

import shutil
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from rimwise.app.history import history, undo
from rimwise.errors import StoreError
from rimwise.records.evidence import Throw, Weather
from rimwise.store.journal import KINDS, Journal
from rimwise.store.migrate import Migration, shipped_migrations
from rimwise.store.opening import integrity_check, open_store

KEPT = {
    int(path.stem.removeprefix("version-")): path
    for path in (Path(__file__).parents[2] / "data" / "schemas").glob("version-*.db")
}
VERSIONS = [step.number for step in shipped_migrations()]


def cells(path):
    """Return every row of every table as column and value, without SQLite's own."""
    with closing(sqlite3.connect(f"file:{path}?mode=ro", uri=True)) as raw:
        raw.row_factory = sqlite3.Row
        names = [n for (n,) in raw.execute("SELECT name FROM sqlite_schema WHERE type = 'table'")]
        return {
            name: [dict(row) for row in raw.execute(f'SELECT * FROM "{name}" ORDER BY rowid')]  # noqa: S608
            for name in names
        }


def test_every_version_has_a_kept_file():
    assert sorted(KEPT) == VERSIONS


@pytest.mark.parametrize("version", VERSIONS)
def test_every_cell_of_an_old_file_is_there_afterwards(version, tmp_path):
    path = Path(shutil.copy(KEPT[version], tmp_path / "data.db"))
    before = cells(path)
    assert sum(len(rows) for rows in before.values()) > 35
    with open_store(path) as store:
        assert store.connection.rows("PRAGMA user_version") == [(VERSIONS[-1],)]
        assert integrity_check(store) == ()
        assert [disc.id for disc in store.discs.all()] == ["blue", "red", "putter"]
        assert store.discs.get("putter").note == "=Größe ±1"
        assert store.courses.get("heath").areas[0].openings == (((5, 1), (6, 1), (6, 2)),)
        assert store.throwers.get("owner").styles[0].scatter.hyzer_deg == 4.0
        assert store.carts.get("two wheels").pockets[0].room == 16
        assert [c.name for _, c in store.carries.all()] == (
            ["league", "cup"] if version > 4 else ["league"]
        )
        numbers = [number for number, _ in store.throws.all()]
        assert numbers == ([1, 3] if version > 2 else [1, 2, 3])
    after = cells(path)
    for table, rows in before.items():
        kept = [
            {column: value for column, value in row.items() if column in rows[0]}
            for row in after[table]
        ]
        assert kept == rows, table
    backups = list(tmp_path.glob("backups/*.sqlite"))
    assert len(backups) == (version < VERSIONS[-1])
    assert all(cells(backup) == before for backup in backups)


@pytest.mark.parametrize("version", VERSIONS)
def test_an_old_file_takes_what_is_new(version, tmp_path):
    with open_store(shutil.copy(KEPT[version], tmp_path / "data.db")) as store:
        throw = store.throws.get(1)
        assert isinstance(throw, Throw)
        assert throw.weather == Weather()
        before = len(history(store))
        number = store.throws.add(throw)
        assert number == 4  # a number of old is never used again
        undo(store)
        assert len(history(store)) == before + 2
        journal = Journal(store)
        assert [one.number for one in journal.deleted()] == ([2, 4] if version > 2 else [4])
        if version > 2:
            assert journal.restore(KINDS["throw"], 2, store.connection.clock()).note == "n1"
        assert integrity_check(store) == ()


def test_a_file_of_a_later_version_is_refused_politely_and_left_alone(tmp_path):
    path = Path(shutil.copy(KEPT[VERSIONS[-1]], tmp_path / "data.db"))
    later = Migration(VERSIONS[-1] + 1, "later", "CREATE TABLE later (a TEXT) STRICT;")
    open_store(path, migrations=[*shipped_migrations(), later]).close()
    before = path.read_bytes()
    with pytest.raises(StoreError, match=r"made by a newer Rimwise .*; update the program\.$"):
        open_store(path)
    assert path.read_bytes() == before
