"""The command that holds what was told against what happened."""

from __future__ import annotations

import json
from datetime import date

import pytest

from rimwise.app.noting import When, note_throw
from rimwise.store.opening import open_store


@pytest.fixture
def logged(unplanned):
    with open_store(unplanned) as store:
        for length_m in (50, 52, 48):
            note_throw(store, "ol17-white", f"{length_m}m 3L bh flat", When(date(2026, 5, 3)))
    return unplanned


def test_it_says_what_came_true_and_draws_it(cli, logged, tmp_path):
    said = cli("--data", logged, "check", "--svg", tmp_path / "check.svg")
    assert (said.code, said.err) == (0, "")
    text = said.out.replace("\n", " ")
    assert "Of 3 throws on 1 day" in text
    assert "That is little" in text
    assert "than told." in text
    drawn = (tmp_path / "check.svg").read_text("utf-8")
    assert drawn.count("<circle") >= 3
    assert "longer than told" in drawn


def test_in_json_and_since_a_day(cli, logged):
    told = json.loads(cli("--data", logged, "check", "--since", "2026-05-01", "--json").out)
    assert told["landings"]["throws"] == 3
    assert [share["of"] for share in told["landings"]["shares"]] == [3, 3]
    assert told["rounds"] == []


@pytest.mark.parametrize(
    ("arguments", "hint"),
    [(("--since", "May"), "2026-03-01"), (("--since", "2026-06-01"), "an earlier day")],
)
def test_a_wrong_day_is_refused_in_one_sentence(cli, logged, arguments, hint):
    said = cli("--data", logged, "check", *arguments)
    assert said.code == 1
    assert hint in said.err.replace("\n", " ")
    assert "Traceback" not in said.err
