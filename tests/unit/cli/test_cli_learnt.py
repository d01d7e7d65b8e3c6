"""The command that says what was learnt."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path

import pytest

from rimwise.app.noting import When, note_comparison, note_throw
from rimwise.store.opening import open_store


@pytest.fixture
def logged(unplanned: Path) -> Path:
    """Return a data file with a few throws and one comparison."""
    when = When(date(2026, 5, 3))
    with open_store(unplanned) as store:
        for length_m in (50, 52, 48):
            note_throw(store, "ol17-white", f"{length_m}m 3L bh flat", when)
        note_comparison(store, "nh27-blue > nh27-gold", when)
    return unplanned


def test_it_tells_every_disc_in_a_table_that_fits(cli, logged):
    said = cli("--data", logged, "learnt")
    assert (said.code, said.err) == (0, "")
    assert "learnt from 3 throws and 1 comparison." in said.out.replace("\n", " ")
    assert "…" not in said.out
    assert max(len(line) for line in said.out.splitlines()) <= 80
    assert "3 + 0" in said.out


def test_one_disc_in_json_and_drawn(cli, logged, tmp_path):
    file = tmp_path / "white.svg"
    asked = ("--data", logged, "learnt", "ol17-white", "--json", "--picture", file)
    told = json.loads(cli(*asked).out)
    assert "What is believed of ol17-white" in file.read_text(encoding="utf-8")
    (disc,) = told["discs"]
    assert (disc["disc"], disc["throws"], disc["comparisons"]) == ("ol17-white", 3, 0)
    assert disc["reach_m"]["low"] < disc["reach_m"]["mean"] < disc["reach_m"]["high"]


def test_a_picture_is_of_one_disc(cli, logged, tmp_path):
    said = cli("--data", logged, "learnt", "--picture", tmp_path / "all.svg")
    assert said.code == 1
    assert "rimwise learnt DISC" in said.err


def test_with_nothing_on_file_it_says_what_to_note(cli, unplanned):
    said = cli("--data", unplanned, "learnt")
    assert said.code == 1
    assert "rimwise log throw" in said.err
