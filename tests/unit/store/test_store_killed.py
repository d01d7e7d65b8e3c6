"""A process killed while it imports leaves all of the discs, or none."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time

import pytest

from rimwise.store.opening import integrity_check, open_store

DISCS = 400

#: Imports a table, saying when it begins; pauses after a number of rows if asked to.
CHILD = """
import sys
import time
from rimwise.store.exchange.discs import read_discs_csv
from rimwise.store.exchange.save import save_discs
from rimwise.store.opening import open_store

path, pause_after, count = sys.argv[1], int(sys.argv[2]), int(sys.argv[3])
rows = ["NH 27,7,5,-2,1,soft base,170," + "x" * 2000] * count
read = read_discs_csv("\\n".join(["mold,speed,glide,turn,fade,plastic,weight,note", *rows]), "d")
with open_store(path) as store:
    write, written = store.discs._write, []
    def slowly(disc):
        write(disc)
        written.append(disc)
        if len(written) == pause_after:
            print("halfway", flush=True)
            time.sleep(60)
    store.discs._write = slowly
    print("begin", flush=True)
    save_discs(store, read)
print("done", flush=True)
"""


def start(path, pause_after=0):
    child = subprocess.Popen(
        [sys.executable, "-c", CHILD, str(path), str(pause_after), str(DISCS)],
        stdout=subprocess.PIPE,
        text=True,
    )
    assert child.stdout.readline() == "begin\n"
    return child


def kill(child):
    os.kill(child.pid, signal.SIGKILL)
    child.wait()
    child.stdout.close()


def what_is_there(path):
    with open_store(path) as store:
        assert integrity_check(store) == ()
        return len(store.discs), len(store.molds)


@pytest.mark.parametrize("pause_after", [DISCS // 2, DISCS])
def test_killed_in_the_middle_nothing_is_there(tmp_path, pause_after):
    path = tmp_path / "data.sqlite"
    child = start(path, pause_after)
    assert child.stdout.readline() == "halfway\n"
    kill(child)
    assert (tmp_path / "data.sqlite-wal").exists()
    assert what_is_there(path) == (0, 0)


def test_killed_at_any_moment_all_or_nothing_is_there(tmp_path):
    whole = start(tmp_path / "whole.sqlite")
    began = time.monotonic()
    assert whole.stdout.readline() == "done\n"
    duration_s = time.monotonic() - began
    kill(whole)
    assert what_is_there(tmp_path / "whole.sqlite") == (DISCS, 1)
    for share in (0.3, 0.7, 0.9, 1.0):
        path = tmp_path / f"{share}.sqlite"
        child = start(path)
        time.sleep(share * duration_s)
        kill(child)
        assert what_is_there(path) in {(0, 0), (DISCS, 1)}
