"""Backups by name and day, made of their own accord; faults found, explained and mended."""

from __future__ import annotations

import os
import sqlite3
from contextlib import closing
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from rimwise.app.backing import (
    back_up,
    back_up_when_due,
    backup_lines,
    check_records,
    export_records,
    named_backup,
    restore_records,
)
from rimwise.app.history import undo
from rimwise.app.noting import When, note_throw
from rimwise.errors import InputError, NotFoundError, StoreError
from rimwise.flight.printed import Printed
from rimwise.records.discs import Disc, Grip, Mold, Plastic, Weight
from rimwise.store.opening import open_store

NOON = datetime(2026, 4, 1, 12, 0, 5)
TOO_FAR = (
    "The throw 1 cannot be read: distance of a throw with red must be between -50 and 300 m, but "
    "is 4000 m."
)
CIRCLE = """
    UPDATE discs SET weight_g = NULL, weight_offset_g = 1,
    weight_against = CASE id WHEN 'red' THEN 'blue' ELSE 'red' END
"""


@pytest.fixture
def data(tmp_path):
    path = tmp_path / "data.db"
    with open_store(path, clock=lambda: NOON) as store, store.atomic():
        store.molds.put(Mold("NH 27", Printed(7, 5, -2, 1)))
        store.plastics.put(Plastic("base", Grip(4, 3, 4, 3)))
        store.discs.put_all(Disc(name, "NH 27", "base", Weight(170)) for name in ("red", "blue"))
        note_throw(store, "red", "60m 4L", When(NOON.date()))
    return path


def back_up_at(data, *moments):
    with open_store(data) as store:
        return [back_up(store, moment) for moment in moments]


def test_a_backup_is_named_by_file_name_day_or_latest(data, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    made = back_up_at(data, NOON, NOON + timedelta(hours=3), NOON + timedelta(days=2))
    today = NOON.date() + timedelta(days=5)
    names = [one.path for one in made]
    for said, meant in (
        ("2026-04-01", 1),
        ("2 April", 1),
        ("2026-04-03", 2),
        ("yesterday", 2),
        ("latest", 2),
        (Path(names[0]).name, 0),
        (names[0], 0),
    ):
        assert str(named_backup(data, said, today)) == names[meant], said
    with pytest.raises(
        NotFoundError, match="no backup of 2026-03-31 or before; the first is of 20"
    ):
        named_backup(data, "2026-03-31", today)
    with pytest.raises(NotFoundError, match=r"there is no backup 'nosuch'; name a file, a day"):
        named_backup(data, "nosuch", today)
    with pytest.raises(NotFoundError, match=r"there is no backup '\.\./x"):
        named_backup(data, "../x.sqlite", today)
    assert [line.name for line in backup_lines(data)] == [Path(n).name for n in names[::-1]]


def test_a_backup_of_its_own_accord_is_made_when_it_is_due(data):
    now = datetime.now()
    assert back_up_when_due(data.with_name("none.db"), now) is None
    assert back_up_when_due(data, now) is not None
    assert back_up_when_due(data, now + timedelta(minutes=59)) is None
    later = now + timedelta(hours=2)
    assert back_up_when_due(data, later) is None  # nothing changed
    with open_store(data) as store:
        note_throw(store, "red", "61m 4L", When(NOON.date()))
        os.utime(data.with_name("data.db-wal"), (later.timestamp(), later.timestamp()))
        made = back_up_when_due(data, later)
    assert made is not None
    with open_store(made.path) as copy:
        assert len(copy.throws) == 2


def test_a_restore_says_what_is_there_now_and_how_to_go_back(data):
    back_up_at(data, NOON)
    with open_store(data) as store:
        note_throw(store, "red", "61m 4L", When(NOON.date()))
    done = restore_records(data, "latest", NOON + timedelta(days=1))
    assert done.counts == {"disc": 2, "throw": 1, "round": 0, "course": 0}
    assert "2 discs, 1 throw, 0 rounds, 0 courses" in done.words
    back = done.words.rpartition("`rimwise restore ")[2].removesuffix("`.")
    assert restore_records(data, back, NOON + timedelta(days=2)).counts["throw"] == 2
    assert named_backup(data, "latest", NOON.date()).name == "data-2026-04-01-120005.sqlite"


def test_an_export_is_one_new_place(data, tmp_path):
    with open_store(data) as store:
        written = export_records(store, tmp_path / "out")
        assert {"discs.csv", "throws.csv", "rimwise.json"} <= {
            one.name for one in Path(written.path).iterdir()
        }
        with pytest.raises(InputError, match="is there already; name a new folder"):
            export_records(store, tmp_path / "out")
        export_records(store, tmp_path / "out.zip")
        with pytest.raises(StoreError, match="cannot be made"):
            export_records(store, tmp_path / "no" / "such")
    restore_records(tmp_path / "new.db", str(tmp_path / "out"), NOON)
    assert restore_records(data, str(tmp_path / "out.zip"), NOON).counts["disc"] == 2


def test_sound_records_are_called_sound(data):
    assert check_records(data, NOON).backups_told.startswith("There is no backup yet")
    back_up_at(data, NOON)
    found = check_records(data, NOON)
    assert (found.faults, found.bad_backups, found.backups) == ((), (), 1)
    assert found.backups_told == "1 of 1 backup could be opened and read whole."


def broken(data, *statements):
    with closing(sqlite3.connect(data)) as raw:
        for statement in statements:
            raw.execute(statement)
        raw.commit()


@pytest.mark.parametrize(
    ("statement", "said", "remedy"),
    [
        ("DROP INDEX throws_by_disc", "The index throws_by_disc is gone.", "it is made anew"),
        ("DROP TRIGGER steps_stay", "The trigger steps_stay is gone.", "it is made anew"),
        (
            "INSERT INTO round_scores VALUES (7, 0, '1', 3)",
            "A row of round_scores names '7' of rounds, which is gone.",
            "the row is taken out; the backup made before keeps it",
        ),
        (
            "UPDATE throws SET disc_id = 'ghost'",
            "A row of throws names 'ghost' of discs, which is gone.",
            "the row is taken out; the backup made before keeps it",
        ),
        (
            "UPDATE throws SET distance_m = 4000",
            TOO_FAR,
            "it is taken out; the backup made before keeps it",
        ),
    ],
)
def test_what_can_be_mended_is_mended_after_a_backup(data, statement, said, remedy):
    broken(data, statement)
    found = check_records(data, NOON)
    assert [(one.words, one.remedy, one.mendable) for one in found.faults] == [(said, remedy, True)]
    assert found.backup == ""
    mended = check_records(data, NOON, mend=True)
    assert [one.words for one in mended.mended] == [said]
    assert mended.faults == ()
    assert mended.backup.endswith("data-2026-04-01-120005-before-mend.sqlite")
    assert check_records(data, NOON).faults == ()


def test_a_deleted_disc_comes_back_from_the_history(data):
    with open_store(data) as store:
        store.discs.delete("blue")
        store.discs.put(Disc("blue", "NH 27", "base", Weight(170), note="again"))
        undo(store)
    broken(data, "UPDATE throws SET disc_id = 'blue'")
    assert [one.remedy for one in check_records(data, NOON).faults] == [
        "'blue' is brought back as the history has it"
    ]
    assert check_records(data, NOON, mend=True).faults == ()
    with open_store(data) as store:
        assert store.discs.get("blue").weight == Weight(170)
        assert store.throws.get(1).disc_id == "blue"


@pytest.mark.parametrize(
    ("statement", "said", "remedy"),
    [
        (
            "UPDATE discs SET mold = 'X' WHERE id = 'red'",
            "names 'X' of molds",
            "import the mold 'X'",
        ),
        ("DROP TABLE putts", "The table putts is gone.", "put a backup in its place"),
        ("UPDATE discs SET wear = 0.5, status = '?'", "cannot be read", "importing it again"),
        (
            CIRCLE,
            "go in a circle",
            "weigh one of them",
        ),
    ],
)
def test_what_cannot_be_mended_is_explained(data, statement, said, remedy):
    broken(data, statement)
    found = check_records(data, NOON, mend=True)
    assert found.faults
    assert not any(one.mendable for one in found.faults)
    assert said in found.faults[0].words
    assert remedy in found.faults[0].remedy
    assert found.backup == ""


def test_a_damaged_index_is_made_anew(data):
    broken(data, "PRAGMA writable_schema = ON")
    with closing(sqlite3.connect(data)) as raw:
        raw.execute("PRAGMA writable_schema = ON")
        raw.execute("UPDATE sqlite_schema SET sql = replace(sql, 'disc_id', '\"on\"') "
                    "WHERE name = 'throws_by_disc'")  # fmt: skip
        raw.commit()
    (fault,) = check_records(data, NOON).faults
    assert fault.words.startswith("An index does not fit its table (SQLite: row 1 missing from")
    assert check_records(data, NOON, mend=True).faults == ()


def test_a_backup_that_cannot_be_read_is_named(data):
    made = back_up_at(data, NOON, NOON + timedelta(days=1))
    with open(made[0].path, "r+b") as file:  # noqa: PTH123 - the path is a text
        file.seek(4096)
        file.write(b"\xff" * 30000)
    found = check_records(data, NOON)
    assert found.backups == 2
    assert found.backups_told.startswith("1 of 2 backups could")
    assert [bad.partition(":")[0] for bad in found.bad_backups] == ["data-2026-04-01-120005.sqlite"]
