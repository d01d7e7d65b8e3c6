"""The command that putts."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path

import pytest

from rimwise.records.evidence import Putts
from rimwise.store.opening import open_store


@pytest.fixture
def logged(unplanned: Path) -> Path:
    """Return a data file with two evenings of putts."""
    with open_store(unplanned) as store:
        for on in (date(2026, 5, 1), date(2026, 5, 8)):
            for distance_m, made in ((3.0, 18), (6.0, 9), (10.0, 4)):
                store.putts.add(Putts(on, distance_m, 20, made))
    return unplanned


def test_it_says_curve_worth_and_check(cli, logged):
    said = cli("--data", logged, "putting")
    assert (said.code, said.err) == (0, "")
    assert "You have logged 120 putts on 2 evenings and made 62." in said.out
    assert "10 m (circle)" in said.out
    assert "36 of 40" in said.out
    assert "An evening of" not in said.out
    assert max(len(line) for line in said.out.splitlines()) <= 80


def test_an_evening_of_practice_with_its_caution(cli, logged, tmp_path):
    said = cli("--data", logged, "putting", "--practice", 60, "--svg", tmp_path / "p.svg")
    assert "An evening of 60 putts" in said.out
    assert "see a professional" in said.out.replace("\n", " ")
    assert (tmp_path / "p.svg").read_text("utf-8").startswith("<svg")


def test_json_holds_the_same(cli, logged):
    said = cli("--data", logged, "putting", "--json", "--practice", 20)
    told = json.loads(said.out)
    assert (told["putts"], told["made"], told["evenings"]) == (120, 62, 2)
    assert sum(spot["putts"] for spot in told["practice"]["spots"]) == 20
    assert len(told["curve"]["made"]) == len(told["curve"]["distance_m"])


@pytest.mark.parametrize("putts", ["5", "1000"])
def test_evenings_too_short_or_too_long_are_refused(cli, logged, putts):
    said = cli("--data", logged, "putting", "--practice", putts)
    assert said.code == 1
    assert "putts of an evening must be between 10 and 300" in said.err


def test_a_plan_that_is_not_there_is_named(cli, logged):
    said = cli("--data", logged, "putting", "autumn")
    assert said.code == 1
    assert "rimwise plan autumn" in said.err
