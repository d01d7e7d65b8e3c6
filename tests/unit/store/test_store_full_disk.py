"""A full disk and one that may only be read: a clear sentence, and nothing saved is lost."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from datetime import date, datetime
from pathlib import Path

import pytest
import store_examples as ex

from rimwise.app.backing import back_up, export_records, restore_records
from rimwise.errors import StoreError
from rimwise.records.evidence import Putts
from rimwise.store.opening import integrity_check, open_store

NOON = datetime(2026, 4, 1, 12)
GROUP = 40
FULL = r"is full and nothing was saved|No space left on device|disk is full"


def group(n):
    return [Putts(date(2026, 4, 1), 5.0, n + 1, 0, f"conditions {n} " + "x" * 200)] * GROUP


def fill_up(store):
    """Add groups until there is no room; return how many were saved."""
    for n in range(10_000):
        try:
            store.putts.add_all(group(n))
        except StoreError as error:
            return n, str(error)
    raise AssertionError("the disk never became full")


def check_whole(path, saved):
    with open_store(path) as store:
        assert integrity_check(store) == ()
        tried = [one.tried for _, one in store.putts.all()]
    assert sorted(tried) == sorted(n + 1 for n in range(saved) for _ in range(GROUP))


def test_a_file_that_may_not_grow_says_so_and_keeps_what_it_has(tmp_path):
    path = tmp_path / "data.db"
    with open_store(path) as store:
        pages = store.connection.rows("PRAGMA page_count")[0][0]
        store.connection.execute(f"PRAGMA max_page_count = {pages + 60}")
        saved, said = fill_up(store)
        assert saved > 5
        assert (
            said == f"the disk with '{path}' is full and nothing was saved; free some space first."
        )
        store.connection.execute("PRAGMA max_page_count = 1000000")
        store.putts.add_all(group(saved))
    check_whole(path, saved + 1)


#: Works where files may not grow past a limit, which the system enforces on all of its writes.
LIMITED = """
import resource, signal, sys
sys.path.insert(0, sys.argv[3])
import test_store_full_disk as it
from rimwise.store.opening import open_store
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
with open_store(sys.argv[1]) as store:
    resource.setrlimit(resource.RLIMIT_FSIZE, (int(sys.argv[2]), resource.RLIM_INFINITY))
    print(*it.fill_up(store))
"""


@pytest.mark.skipif(sys.platform != "linux", reason="limits of the system are set as Linux does")
def test_a_system_that_lets_no_file_grow_costs_nothing_that_was_saved(tmp_path):
    path = tmp_path / "data.db"
    done = subprocess.run(
        [sys.executable, "-c", LIMITED, str(path), str(900_000), str(Path(__file__).parent)],
        capture_output=True, text=True, check=True,
    )  # fmt: skip
    saved, _, said = done.stdout.partition(" ")
    assert int(saved) > 5
    assert "the disk with" in said
    check_whole(path, int(saved))


@pytest.fixture
def small_disk(tmp_path):
    """A disk of two megabytes, where this system lets us have one."""
    place = tmp_path / "small"
    place.mkdir()
    command = ["mount", "-t", "tmpfs", "-o", "size=2m", "tmpfs", str(place)]
    if shutil.which("mount") is None or subprocess.run(command, capture_output=True).returncode:
        pytest.skip("no small disk can be mounted here")
    yield place
    subprocess.run(["umount", str(place)], check=True)


def test_a_full_disk_keeps_what_was_saved_and_refuses_the_rest_in_words(small_disk, tmp_path):
    path, filler = small_disk / "data.db", small_disk / "filler"
    with open_store(path) as store:
        ex.fill(store)
        store.putts.delete(1)
        made = back_up(store, NOON)
        out = shutil.copy(made.path, tmp_path / "kept.sqlite")
    with filler.open("wb") as file:
        free = os.statvfs(small_disk)
        file.write(b"x" * (free.f_bavail * free.f_bsize - 600_000))
    with open_store(path) as store:
        saved, said = fill_up(store)
        assert saved > 3
        assert "is full and nothing was saved; free some space first." in said
        for doing in (
            lambda: back_up(store, NOON),
            lambda: export_records(store, small_disk / "out.zip"),
            lambda: restore_records(path, str(out), NOON),
        ):
            before = len(store.putts)
            with pytest.raises(StoreError, match=FULL):
                doing()
            assert len(store.putts) == before
    assert sorted(one.name for one in (small_disk / "backups").iterdir()) == [Path(made.path).name]
    filler.unlink()
    check_whole(path, saved)
    with open_store(path) as store:
        store.putts.add_all(group(saved))
    check_whole(path, saved + 1)


def test_a_full_disk_leaves_an_old_file_at_its_version(small_disk):
    kept = Path(__file__).parents[2] / "data" / "schemas" / "version-1.db"
    path = Path(shutil.copy(kept, small_disk / "old.db"))
    before = path.read_bytes()
    filler = small_disk / "filler"
    with filler.open("wb") as file:
        free = os.statvfs(small_disk)
        file.write(b"x" * (free.f_bavail * free.f_bsize - 120_000))
    with pytest.raises(StoreError, match=FULL):
        open_store(path)
    filler.unlink()
    assert path.read_bytes()[100:4096] == before[100:4096]
    with open_store(path) as store:
        assert [disc.id for disc in store.discs.all()] == ["blue", "red", "putter"]
        assert integrity_check(store) == ()


def test_a_disk_that_may_only_be_read_says_so(tmp_path):
    """Mounted read-only where that is possible; else the file and its folder are."""
    path = tmp_path / "data.db"
    with open_store(path) as store:
        ex.fill(store)
    before = path.read_bytes()
    mounted = not subprocess.run(
        ["mount", "--bind", str(tmp_path), str(tmp_path)], capture_output=True
    ).returncode
    if mounted:
        subprocess.run(["mount", "-o", "remount,ro,bind", str(tmp_path)], check=True)
    else:
        path.chmod(0o444)
        tmp_path.chmod(0o555)
    try:
        if not mounted and os.geteuid() == 0:
            pytest.skip("nothing is read-only for this user here")
        with pytest.raises(StoreError, match=r"may not be written|cannot be opened"):
            with_a_throw(path)
        assert path.read_bytes() == before
    finally:
        if mounted:
            subprocess.run(["umount", str(tmp_path)], check=True)
        else:
            tmp_path.chmod(0o755)
            path.chmod(0o644)
    with_a_throw(path)


def with_a_throw(path):
    with open_store(path) as store:
        store.throws.add(ex.THROW)
