"""A process killed while it saves leaves all of the discs, or none."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time

import pytest

from rimwise.store.opening import integrity_check, open_store

DISCS = 400

CHILD = """
import sys
import time
from rimwise.flight.printed import Printed
from rimwise.records.discs import Disc, Grip, Mold, Plastic, Weight
from rimwise.store.opening import open_store

path, pause_at, count = sys.argv[1], int(sys.argv[2]), int(sys.argv[3])
with open_store(path) as store:
    print("open", flush=True)
    with store.atomic():
        store.molds.put(Mold("NH 27", Printed(7, 5, -2, 1)))
        store.plastics.put(Plastic("soft base", Grip(3, 3, 3, 3)))
        for number in range(count):
            store.discs.put(Disc(f"d{number}", "NH 27", "soft base", Weight(170), note="x" * 2000))
            if number == pause_at:
                print("halfway", flush=True)
                time.sleep(60)
"""


def start(path, pause_at):
    return subprocess.Popen(
        [sys.executable, "-c", CHILD, str(path), str(pause_at), str(DISCS)],
        stdout=subprocess.PIPE,
        text=True,
    )


def kill(child):
    os.kill(child.pid, signal.SIGKILL)
    child.wait()
    child.stdout.close()


def discs_after(path):
    with open_store(path) as store:
        assert integrity_check(store) == ()
        return len(store.discs.keys()), len(store.molds.keys())


@pytest.mark.parametrize("pause_at", [0, DISCS // 2, DISCS - 1])
def test_killed_in_the_middle_nothing_is_there(tmp_path, pause_at):
    path = tmp_path / "data.sqlite"
    child = start(path, pause_at)
    assert child.stdout.readline() == "open\n"
    assert child.stdout.readline() == "halfway\n"
    kill(child)
    assert (tmp_path / "data.sqlite-wal").exists()
    assert discs_after(path) == (0, 0)


@pytest.mark.parametrize("delay_s", [0.0, 0.03, 0.06, 0.1])
def test_killed_at_any_moment_all_or_nothing_is_there(tmp_path, delay_s):
    path = tmp_path / "data.sqlite"
    child = start(path, -1)
    assert child.stdout.readline() == "open\n"
    time.sleep(delay_s)
    kill(child)
    assert discs_after(path) in {(0, 0), (DISCS, 1)}
