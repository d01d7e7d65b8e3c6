"""The long trials in a short form: killed while writing, and written by several at once.

`make soak` runs them at full length; docs/soak.md has its figures.
"""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

TOOLS = Path(__file__).parents[3] / "tools"


def trial(name, *words):
    done = subprocess.run(
        [sys.executable, str(TOOLS / name), *words], capture_output=True, text=True
    )
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


@pytest.mark.skipif(sys.platform == "win32", reason="a process cannot be forked there")
def test_killed_twenty_times_nothing_acknowledged_is_lost():
    told = trial("kill_records.py", "--kills", "20", "--seed", "11")
    assert "20 kills" in told
    acknowledged = int(told.rpartition("20 kills, ")[2].split()[0])
    assert acknowledged > 20  # it wrote between the kills


def test_a_few_seconds_of_writing_together(season):
    told = trial("write_together.py", "--seconds", "5", "--data", str(season))
    assert ", 0 things wrong" in told
    for who in ("notes in browsers", "edits of a disc at once", "edits of a throw at once"):
        assert who in told


@pytest.mark.skipif(sys.platform != "linux", reason="memory is read where Linux shows it")
def test_a_short_soak(season):
    words = ("--minutes", "1", "--plan-every", "60", "--data", str(season))
    told = trial("soak_server.py", *words)
    assert ", 0 things wrong" in told
    assert "memory, MB" in told
