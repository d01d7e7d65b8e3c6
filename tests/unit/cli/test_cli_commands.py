"""Every command as its user meets it: JSON, exit codes, the data file, being stopped."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time

import pytest

from rimwise import __version__
from tiny_season import command, contents, rimwise

pytestmark = pytest.mark.usefixtures("rough")

#: A call of every command that answers at once on the small planned season.
CALLS = {
    "init": ["init", "--fairway", "90m"],
    "discs": ["discs"],
    "assume": ["assume"],
    "plan": ["plan", "winter", "--limit", "3"],
    "why": ["why"],
    "swap": ["swap", "winter", "summer"],
    "pack": ["pack", "summer"],
    "sheet": ["sheet", "summer", "--out", "{folder}/s.html"],
    "log": ["log", "throw", "nh27-blue", "64m", "5L", "bh", "flat", "80%"],
    "fly": ["fly", "7/5/-1/2", "--speed", "22"],
}


@pytest.mark.parametrize("words", CALLS.values(), ids=CALLS)
def test_json_is_all_there_is_on_standard_output(cli, season, tmp_path, words):
    words = [word.format(folder=tmp_path) for word in words]
    said = cli("--data", season, *words, "--json")
    assert said.code == 0
    assert json.loads(said.out, parse_constant=pytest.fail)  # NaN and Infinity are no JSON
    assert said.err == ""


@pytest.mark.parametrize("name", [name for name in CALLS if name != "init"])
def test_text_fits_eighty_columns(cli, season, tmp_path, monkeypatch, name):
    """All but the path of a data file, which is as long as it is."""
    monkeypatch.chdir(tmp_path)
    words = [word.format(folder=".") for word in CALLS[name]]
    said = cli("--data", season, *words)
    assert said.code == 0
    assert said.out.strip()
    assert max(len(line) for line in said.out.splitlines()) <= 80


def test_import_answers_in_json(cli, unplanned, tmp_path):
    path = tmp_path / "second.csv"
    path.write_text("hole,length (m)\n1,70\n", encoding="utf-8")
    said = cli("--data", unplanned, "import", path, "--json")
    (brought,) = json.loads(said.out)
    assert (brought["kind"], brought["count"]) == ("course", 1)


@pytest.mark.parametrize(
    ("words", "code"),
    [
        (["--version"], 0),
        (["--help"], 0),
        (["plan", "--help"], 0),
        (["nonsense"], 2),
        (["plan", "--limit", "many"], 2),
        (["swap", "winter"], 2),
        (["why", "no such disc"], 1),
    ],
)
def test_exit_codes(cli, season, words, code):
    said = cli("--data", season, *words)
    assert said.code == code
    assert "Traceback" not in said.out + said.err


def test_the_version_is_the_packages(cli):
    assert cli("--version").out.strip() == f"rimwise {__version__}"


def test_the_option_goes_before_the_variable(cli, season, tmp_path, monkeypatch):
    monkeypatch.setenv("RIMWISE_DATA", str(tmp_path / "missing.db"))
    assert cli("discs").code == 1
    assert cli("--data", season, "discs").code == 0
    monkeypatch.setenv("RIMWISE_DATA", str(season))
    assert cli("discs").code == 0


def test_two_runs_with_one_seed_print_the_same_bytes(unplanned, tmp_path):
    printed = set()
    for n, hashing in enumerate(("1", "2")):
        data = tmp_path / f"{n}.db"
        data.write_bytes(unplanned.read_bytes())
        words = ("--data", data, "plan", "winter", "--limit", "4", "--seed", "5", "--json")
        run = rimwise(*words, env={"PYTHONHASHSEED": hashing})
        assert run.returncode == 0, run.stderr
        printed.add(run.stdout)
    assert len(printed) == 1
    other = rimwise("--data", unplanned, "plan", "winter", "--limit", "4", "--seed", "6", "--json")
    assert other.stdout not in printed


def test_stopping_a_plan_changes_nothing(unplanned):
    """Ctrl-C while the flights are simulated: one sentence, exit code 1, records as before."""
    before = contents(unplanned)
    code = (
        "import signal, sys; from rimwise.app import planning; real = planning.build_demand\n"
        "signal.signal(signal.SIGINT, signal.default_int_handler)  # none in background\n"
        "def told(*words, **more):\n"
        "    print('simulating', file=sys.stderr, flush=True)\n"
        "    while True: real(*words, **more)\n"
        "planning.build_demand = told\n"
        "from rimwise.cli.main import run; run()"
    )
    child = subprocess.Popen(
        [sys.executable, "-c", code, "--data", str(unplanned), "plan", "winter"],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    assert child.stderr is not None
    try:
        assert child.stderr.readline() == "simulating\n"
        time.sleep(0.3)  # into the flights
        child.send_signal(signal.SIGINT)
        out, err = child.communicate(timeout=60)
    finally:
        child.kill()
    assert (child.returncode, out) == (1, "")
    assert err == "rimwise: Stopped; nothing was changed.\n"
    assert contents(unplanned) == before


@pytest.mark.parametrize("words", [["discs", "--all"], ["assume"], ["why", "--json"]])
def test_a_reader_that_goes_away_is_no_error(season, words):
    reading, writing = os.pipe()
    child = subprocess.Popen(
        command("--data", season, *words, rough=False),
        stdout=writing,
        stderr=subprocess.PIPE,
        text=True,
    )
    os.close(writing)
    os.close(reading)
    _, err = child.communicate(timeout=60)
    assert (child.returncode, err) == (0, "")


def test_the_command_line_starts_light():
    """Nothing heavy is loaded before a command needs it; the aim is help within 0.4 s."""
    heavy = ("numba", "scipy", "highspy", "shapely", "fastapi", "pydantic", "jinja2")
    code = (
        f"import sys, rimwise.cli.main; print([name for name in {heavy!r} if name in sys.modules])"
    )
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert run.stdout.strip() == "[]"
