"""The power is cut on a model of the disk: what was flushed is left, of the rest any part.

`make soak` cuts hundreds of times; docs/soak.md has its figures.
"""

from __future__ import annotations

import random
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

TOOLS = Path(__file__).parents[3] / "tools"
sys.path.insert(0, str(TOOLS))
from traced_disk import Disk, Event, events_of  # noqa: E402


def left_by(folder, disk, seed):
    disk.leave(folder, random.Random(seed))  # noqa: S311 - dice, no secret
    return {path.name: path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def requested(folder, *events):
    """Return what cuts after some requests leave in a folder with one file, 40 times."""
    found = []
    for seed in range(40):
        shutil.rmtree(folder, ignore_errors=True)
        folder.mkdir()
        (folder / "old").write_bytes(b"o" * 1024)
        disk = Disk(folder)
        for event in events:
            disk.take(event)
        found.append(left_by(folder, disk, seed))
    return found


def test_what_was_not_flushed_may_be_there_in_part(tmp_path):
    folder = tmp_path / "disk"
    write = Event("write", folder / "old", at=0, data=b"n" * 1024)
    left = {found["old"] for found in requested(folder, write)}
    old, new = b"o" * 512, b"n" * 512
    assert left == {old + old, new + old, old + new, new + new}
    flush = Event("flush", folder / "old")
    assert {found["old"] for found in requested(folder, write, flush)} == {new + new}


def test_a_name_lasts_from_when_its_folder_was_flushed(tmp_path):
    folder = tmp_path / "disk"
    begun = (
        Event("open", folder / "new.partial"),
        Event("write", folder / "new.partial", data=b"whole"),
        Event("flush", folder / "new.partial"),
    )
    named = Event("rename", folder / "new.partial", to=folder / "new")
    some = [set(found) for found in requested(folder, *begun, named)]
    assert {"old"} in some
    assert {"old", "new"} in some
    everything = requested(folder, *begun, named, Event("flush", folder))
    assert all(found == {"old": b"o" * 1024, "new": b"whole"} for found in everything)


def test_requests_are_read_from_what_strace_writes(tmp_path):
    def hexed(text):
        return "".join(f"\\x{byte:02x}" for byte in str(text).encode())

    folder, told = tmp_path / "disk", tmp_path / "told"
    file, elsewhere = folder / "a.db", tmp_path / "elsewhere"
    lines = [
        f'openat(AT_FDCWD<{hexed("/")}>, "{hexed(file)}", O_RDWR|O_CREAT, 0644) = 4<{hexed(file)}>',
        f'openat(AT_FDCWD<{hexed("/")}>, "{hexed(file)}", O_RDONLY) = -1 ENOENT (No such file)',
        f'pwrite64(4<{hexed(file)}>, "{hexed("page")}", 4, 4096) = 4',
        f'pwrite64(4<{hexed(elsewhere)}>, "{hexed("page")}", 4, 0) = 4',
        f"fdatasync(4<{hexed(file)}>)     = 0",
        f'write(3<{hexed(told)}>, "{hexed("throw t1 0")}", 10) = 10',
        "+++ exited with 0 +++",
    ]
    trace = tmp_path / "trace"
    trace.write_text("\n".join(lines) + "\n", "ascii")
    assert list(events_of(trace, folder, told)) == [
        Event("open", file),
        Event("write", file, at=4096, data=b"page"),
        Event("flush", file),
        Event("told", told, data=b"throw t1 0"),
    ]


def strace_works():
    if shutil.which("strace") is None:
        return False
    return subprocess.run(["strace", "-o", "/dev/null", "true"], check=False).returncode == 0


@pytest.mark.skipif(not strace_works(), reason="there is no strace, or it may not look")
@pytest.mark.parametrize(("how", "lost"), [((), False), (("--careless",), True)])
def test_nothing_told_is_lost_unless_nothing_is_flushed(how, lost):
    words = ("--cuts", "12", "--only", "log", "--seed", "3", *how)
    done = subprocess.run(
        [sys.executable, str(TOOLS / "cut_power.py"), *words], capture_output=True, text=True
    )
    assert "12 cuts" in done.stdout, done.stderr
    assert done.returncode == int(lost), done.stdout
