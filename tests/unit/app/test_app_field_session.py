"""A field session for the small season: what is asked, kept and said."""

from __future__ import annotations

import json
from datetime import date

import pytest

import tiny_season
from rimwise.app import field_session
from rimwise.app.field_session import plan_field_session
from rimwise.app.noting import When, note_comparison, note_throw
from rimwise.app.planning import Asked, make_plan
from rimwise.errors import InputError, NotFoundError
from rimwise.store.opening import open_store


@pytest.fixture
def store(unplanned, rough):
    with open_store(unplanned) as opened:
        when = When(date(2026, 5, 3))
        for length_m in (50, 52, 48):
            note_throw(opened, "ol17-white", f"{length_m}m 3L bh flat", when)
        note_comparison(opened, "nh27-blue > nh27-gold", when)
        make_plan(opened, "winter", Asked(limit=3))
        yield opened


def test_it_fills_the_time_with_discs_on_file_and_says_what_each_decides(store):
    report = plan_field_session(store, "winter", throws=10, comparisons=2)
    known = set(tiny_season.DISCS)
    assert sum(step.throws for step in report.steps) == report.throws == 10
    compared = [step for step in report.steps if step.other is not None]
    assert len(compared) == report.comparisons == 2
    assert {step.disc for step in report.steps} <= known
    for step in report.steps:
        assert step.throws % 5 == 0
        assert step.decides.startswith(("hole", "your aim with it"))
        assert step.disc in step.words
    pairs = [frozenset((step.disc, step.other)) for step in compared]
    assert len(set(pairs)) == len(pairs)
    assert report.gain == pytest.approx(max(report.choice, 0.0) + report.aim)
    assert report.aim > 0.0
    assert 0.0 <= report.changes <= 1.0
    assert "Posted rules" in report.caution


def test_the_table_is_kept_until_something_new_is_noted(store, monkeypatch):
    first = plan_field_session(store, throws=10, comparisons=2)

    def refuse(*_args, **_kwargs):
        raise AssertionError("flown again")

    with monkeypatch.context() as patched:
        patched.setattr(field_session, "stakes_of", refuse)
        assert plan_field_session(store, throws=10, comparisons=2).steps == first.steps
    note_throw(store, "ol17-white", "55m 3L bh flat", When(date(2026, 5, 4)))
    monkeypatch.setattr(field_session, "stakes_of", refuse)
    with pytest.raises(AssertionError, match="flown again"):
        plan_field_session(store, throws=10, comparisons=2)


def test_too_much_too_little_and_no_plan_are_refused(store):
    with pytest.raises(InputError, match="ask for more"):
        plan_field_session(store, throws=4, comparisons=0)
    with pytest.raises(InputError, match="throws"):
        plan_field_session(store, throws=1000)
    with pytest.raises(NotFoundError, match="rimwise plan"):
        plan_field_session(store, "summer")


def test_the_command_shows_it_and_fits(store, cli, unplanned):
    said = cli("--data", unplanned, "field", "winter", "--throws", "5", "--comparisons", "1")
    assert (said.code, said.err) == (0, "")
    assert "Posted rules" in said.out
    assert max(len(line) for line in said.out.splitlines()) <= 80
    told = json.loads(
        cli("--data", unplanned, "field", "--throws", "5", "--comparisons", "1", "--json").out
    )
    assert told["throws"] == 5
    assert len(told["steps"]) == 2
