"""Opening, refusing, migrating and backing up the data file."""

from __future__ import annotations

import os
import sqlite3
import subprocess
import sys
from contextlib import closing
from datetime import datetime

import pytest
import store_examples as ex

from rimwise.errors import StoreError
from rimwise.store import backup as backup_module
from rimwise.store.migrate import APPLICATION_ID, Migration, shipped_migrations
from rimwise.store.opening import backup, integrity_check, open_store

NOON = datetime(2026, 3, 14, 12, 0, 0)
#: The version of today, and steps such as later versions may bring.
NOW = shipped_migrations()[-1].number
NEXT = Migration(NOW + 1, "nicknames", "ALTER TABLE discs ADD COLUMN nickname TEXT; -- a; b\n")


def clock():
    return NOON


def version_of(path):
    with closing(sqlite3.connect(path)) as raw:
        return raw.execute("PRAGMA user_version").fetchone()[0]


def test_a_new_file_is_made_at_the_newest_version_without_a_backup(tmp_path):
    path = tmp_path / "data.sqlite"
    with open_store(path) as store:
        assert store.discs.all() == []
        assert integrity_check(store) == ()
    assert version_of(path) == shipped_migrations()[-1].number
    with closing(sqlite3.connect(path)) as raw:
        assert raw.execute("PRAGMA application_id").fetchone()[0] == APPLICATION_ID
    assert [item.name for item in tmp_path.iterdir()] == ["data.sqlite"]


def test_shipped_migrations_are_numbered_without_a_gap():
    numbers = [step.number for step in shipped_migrations()]
    assert numbers == list(range(1, len(numbers) + 1))


def test_several_processes_may_make_the_file_at_once(tmp_path):
    path = tmp_path / "data.sqlite"
    code = (
        "import sys, time; from rimwise.store.opening import open_store, integrity_check\n"
        "print('ready', flush=True); sys.stdin.readline()\n"
        "with open_store(sys.argv[1]) as store: assert integrity_check(store) == ()"
    )
    command = [sys.executable, "-c", code, str(path)]
    pipes = {"stdin": subprocess.PIPE, "stdout": subprocess.PIPE, "text": True}
    children = [subprocess.Popen(command, **pipes) for _ in range(4)]
    for child in children:
        assert child.stdout.readline() == "ready\n"
    for child in children:
        child.stdin.write("go\n")
        child.stdin.flush()
    for child in children:
        child.communicate()
    assert [child.returncode for child in children] == [0, 0, 0, 0]
    assert not (tmp_path / "backups").exists()


def test_opening_again_changes_nothing(tmp_path):
    path = tmp_path / "data.sqlite"
    with open_store(path) as store:
        ex.fill(store)
    before = path.read_bytes()
    with open_store(path) as store:
        assert store.discs.all() == [ex.BLUE, ex.RED]
    assert path.read_bytes() == before
    assert not (tmp_path / "backups").exists()


def test_an_older_file_is_migrated_after_a_verified_backup(tmp_path):
    path = tmp_path / "data.sqlite"
    first = shipped_migrations()
    with open_store(path, migrations=first) as store:
        ex.fill(store)
    with open_store(path, migrations=[*first, NEXT], clock=clock) as store:
        assert store.discs.all() == [ex.BLUE, ex.RED]
        assert store.connection.rows("SELECT nickname FROM discs") == [(None,), (None,)]
    assert version_of(path) == NOW + 1
    kept = tmp_path / "backups" / "data-2026-03-14-120000.sqlite"
    assert list(kept.parent.iterdir()) == [kept]
    assert version_of(kept) == NOW
    with open_store(kept, migrations=first) as old:
        assert old.discs.all() == [ex.BLUE, ex.RED]
        assert old.throws.all() == [(1, ex.THROW)]


def test_several_steps_are_one_with_one_backup(tmp_path):
    path = tmp_path / "data.sqlite"
    first = shipped_migrations()
    third = Migration(NOW + 2, "third", "ALTER TABLE discs ADD COLUMN third TEXT;")
    with open_store(path, migrations=[*first, NEXT, third]) as store:
        assert store.connection.rows("SELECT nickname, third FROM discs") == []
    assert not (tmp_path / "backups").exists()
    path.unlink()
    with open_store(path, migrations=first) as store:
        ex.fill(store)
    broken = Migration(NOW + 2, "broken", "CREATE TABLE;")
    with pytest.raises(StoreError, match=rf"could not be brought to version {NOW + 2} \(broken"):
        open_store(path, migrations=[*first, NEXT, broken])
    assert version_of(path) == NOW
    open_store(path, migrations=[*first, NEXT, third]).close()
    assert version_of(path) == NOW + 2
    assert len(list((tmp_path / "backups").iterdir())) == 2


def test_a_failing_step_leaves_the_file_as_it_was(tmp_path):
    path = tmp_path / "data.sqlite"
    first = shipped_migrations()
    with open_store(path, migrations=first) as store:
        ex.fill(store)
    broken = Migration(NOW + 1, "broken", "DELETE FROM putts; DROP TABLE no_such_table;")
    with pytest.raises(
        StoreError, match=rf"could not be brought to version {NOW + 1} \(broken: no such"
    ):
        open_store(path, migrations=[*first, broken])
    orphaning = Migration(NOW + 1, "orphaning", "DELETE FROM molds;")
    with pytest.raises(StoreError, match="some records would lose their place"):
        open_store(path, migrations=[*first, orphaning])
    with open_store(path, migrations=first) as store:
        assert store.putts.all() == [(1, ex.PUTTS)]
        assert store.molds.all() == [ex.MOLD]


def test_no_migration_without_a_backup_that_can_be_read_back(tmp_path, monkeypatch):
    path = tmp_path / "data.sqlite"
    first = shipped_migrations()
    with open_store(path, migrations=first) as store:
        ex.fill(store)
    answers = iter([(1, "what is there"), (1, "what was copied")])
    monkeypatch.setattr(backup_module, "_contents", lambda _: next(answers))
    with pytest.raises(StoreError, match=r"verified \(it does not have the rows of the file\)"):
        open_store(path, migrations=[*first, NEXT])
    assert version_of(path) == NOW
    assert list((tmp_path / "backups").iterdir()) == []


def test_a_newer_file_is_refused(tmp_path):
    path = tmp_path / "data.sqlite"
    first = shipped_migrations()
    open_store(path, migrations=[*first, NEXT]).close()
    with pytest.raises(StoreError, match=r"was made by a newer Rimwise .*; update the program"):
        open_store(path, migrations=first)
    assert version_of(path) == NOW + 1


@pytest.mark.parametrize("content", [b"mold,speed\nNH 27,7\n" * 50, b"\x00\x01\x02" * 700])
def test_a_file_that_is_no_database_is_refused_and_kept(tmp_path, content):
    path = tmp_path / "discs.csv"
    path.write_bytes(content)
    with pytest.raises(StoreError, match="is not a Rimwise data file"):
        open_store(path)
    assert path.read_bytes() == content


def test_another_programs_database_is_refused_and_kept(tmp_path):
    path = tmp_path / "other.sqlite"
    with closing(sqlite3.connect(path)) as raw:
        raw.execute("CREATE TABLE recipes (name TEXT)")
        raw.execute("PRAGMA user_version = 1")
    before = path.read_bytes()
    with pytest.raises(StoreError, match="is an SQLite file, but not one made by Rimwise"):
        open_store(path)
    assert path.read_bytes() == before


def test_a_damaged_file_is_said_to_be_damaged(tmp_path):
    path = tmp_path / "data.sqlite"
    with open_store(path) as store:
        ex.fill(store)
    content = bytearray(path.read_bytes())
    content[4096:] = b"\xff" * (len(content) - 4096)
    path.write_bytes(content)
    with pytest.raises(StoreError, match="is damaged; `rimwise backup --list` names the"):
        open_store(path).discs.all()


def test_the_path_is_named_as_it_was_given(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("HOME", str(tmp_path))
    with pytest.raises(
        StoreError, match=r"^'missing/data.sqlite' cannot be opened, because its fo"
    ):
        open_store("missing/data.sqlite")
    with pytest.raises(StoreError, match=r"^'~/missing/data.sqlite' cannot be opened"):
        open_store("~/missing/data.sqlite")
    (tmp_path / "here").mkdir()
    with pytest.raises(StoreError, match=r"^'here' is a folder; give the name of a file in it"):
        open_store("here")
    with pytest.raises(StoreError, match="the path of the data file is empty"):
        open_store(" ")
    open_store("~/data.sqlite").close()
    assert (tmp_path / "data.sqlite").exists()


@pytest.fixture
def as_nobody():
    """Run as a user whom permissions bind, also where the tests run as root."""
    if os.geteuid() != 0:
        yield
        return
    os.seteuid(65534)
    try:
        yield
    finally:
        os.seteuid(0)


def test_a_folder_that_may_not_be_written(tmp_path, request):
    folder = tmp_path / "locked"
    folder.mkdir()
    for parent in [tmp_path, *tmp_path.parents]:
        if parent.owner() == folder.owner() and parent.name.startswith(
            ("pytest-", "popen-", "test_")
        ):
            parent.chmod(0o755)
    folder.chmod(0o555)
    request.getfixturevalue("as_nobody")
    with pytest.raises(StoreError, match="cannot be opened; check that its folder exists and may"):
        open_store(folder / "data.sqlite")


def test_a_folder_that_may_not_be_entered(tmp_path, request):
    folder = tmp_path / "locked"
    folder.mkdir()
    folder.chmod(0o000)
    request.getfixturevalue("as_nobody")
    with pytest.raises(StoreError, match="cannot be reached, because a folder on the way"):
        open_store(folder / "below" / "data.sqlite")


def test_reading_needs_a_file_and_never_writes(tmp_path):
    path = tmp_path / "data.sqlite"
    with pytest.raises(StoreError, match=r"there is no data file '.*'; check the name"):
        open_store(path, read_only=True)
    assert not path.exists()
    open_store(path).close()
    with open_store(path, read_only=True) as store:
        with pytest.raises(StoreError, match="may not be written"):
            store.putts.add(ex.PUTTS)
        assert store.putts.all() == []


def test_a_second_writer_is_told_to_wait(tmp_path, monkeypatch):
    monkeypatch.setattr("rimwise.store.connection.PATIENCE_S", 0.05)
    path = tmp_path / "data.sqlite"
    with open_store(path) as one, open_store(path) as two:
        with one.atomic(), pytest.raises(StoreError, match="is being written by another program"):
            two.putts.add(ex.PUTTS)
        two.putts.add(ex.PUTTS)
        assert len(one.putts) == 1


def test_backups_are_dated_complete_and_never_overwritten(tmp_path):
    with open_store(tmp_path / "data.sqlite") as store:
        ex.fill(store)
        one = backup(store, tmp_path / "safe" / "place", clock=clock)
        two = backup(store, tmp_path / "safe" / "place", clock=clock)
    assert [one.name, two.name] == [
        "data-2026-03-14-120000.sqlite",
        "data-2026-03-14-120000-2.sqlite",
    ]
    assert sorted(one.parent.iterdir()) == sorted([one, two])
    with open_store(two, read_only=True) as copy:
        assert copy.discs.all() == [ex.BLUE, ex.RED]
        assert integrity_check(copy) == ()


def test_a_snapshot_holds_the_file_from_its_beginning(tmp_path):
    path = tmp_path / "data.sqlite"
    with open_store(path) as one, open_store(path) as two:
        with one.connection.snapshot():
            two.putts.add(ex.PUTTS)
            assert len(one.putts) == 0
        assert len(one.putts) == 1


def test_what_is_saved_while_a_copy_is_made_does_not_spoil_it(tmp_path):
    """Another program saves between the copy and the counting of what it must hold."""
    path = tmp_path / "data.sqlite"
    with open_store(path) as one, open_store(path) as two:
        saved = []

        def save_once(statement):
            if "ORDER BY name" in statement and not saved:
                saved.append(two.putts.add(ex.PUTTS))

        one.connection.raw.set_trace_callback(save_once)
        kept = backup(one, tmp_path / "safe", clock=clock)
        assert saved
        assert len(one.putts) == 1
    with open_store(kept, read_only=True) as copy:
        assert len(copy.putts) == 0


def test_a_backup_folder_that_cannot_be_made(tmp_path):
    (tmp_path / "file").write_text("in the way")
    with (
        open_store(tmp_path / "data.sqlite") as store,
        pytest.raises(StoreError, match=r"the backup folder '.*' cannot be made"),
    ):
        backup(store, tmp_path / "file")
