"""Plans rest on what was learnt: which evidence counts, what is said, and how to leave it aside."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from rimwise.app.believing import believed
from rimwise.app.box import assumptions_of
from rimwise.app.noting import When, note_comparison, note_putts, note_throw
from rimwise.app.planning import Asked, make_plan
from rimwise.app.reports import load_plan
from rimwise.app.showing import change_disc
from rimwise.app.swapping import make_swaps
from rimwise.beliefs.arm import arm_style
from rimwise.beliefs.posterior import LearntFleet
from rimwise.errors import InputError
from rimwise.records.thrower import Style
from rimwise.store.opening import open_store

pytestmark = pytest.mark.usefixtures("rough")

WHEN = When(date(2026, 5, 3))


@pytest.fixture
def store(unplanned):
    with open_store(unplanned) as opened:
        yield opened


def _believed(store, *, printed=False):
    (thrower,) = store.throwers.all()
    return believed(store, thrower, assumptions_of(store), printed=printed)


def _note_short_throws(store):
    for length_m in (50, 52, 48, 51):
        note_throw(store, "ol17-white", f"{length_m}m 3L bh flat", WHEN)


def test_without_evidence_and_with_putts_alone_nothing_is_learnt(store):
    (thrower,) = store.throwers.all()
    before = _believed(store)
    note_putts(store, ["5m", "7/10"], WHEN)
    after = _believed(store)
    for beliefs in (before, after):
        assert (beliefs.learnt, beliefs.arms, beliefs.words) == (None, (), ())
        assert beliefs.thrower == thrower
        assert not isinstance(beliefs.fleet, LearntFleet)
    np.testing.assert_array_equal(after.fleet.printed, before.fleet.printed)


def test_short_throws_make_a_slower_arm_and_move_the_discs(store):
    printed = _believed(store)
    _note_short_throws(store)
    note_comparison(store, "nh27-blue > nh27-gold", WHEN)
    learnt = _believed(store)
    assert learnt.words == ("What discs and arm do is learnt from 4 throws and 1 comparison.",)
    assert learnt.fleet.ids == printed.fleet.ids
    given = arm_style(learnt.thrower, Style.BACKHAND, assumptions_of(store))
    (backhand,) = (arm for arm in learnt.arms if arm.style is Style.BACKHAND)
    assert backhand.speed_m_s < given.speed_m_s
    stability = learnt.fleet.printed[:, 2:].sum(axis=1) - printed.fleet.printed[:, 2:].sum(axis=1)
    blue, gold = (learnt.fleet.index(disc) for disc in ("nh27-blue", "nh27-gold"))
    assert stability[blue] > stability[gold]


def test_throws_of_a_retired_disc_still_teach_but_it_is_not_chosen(store):
    _note_short_throws(store)
    with_it = _believed(store)
    change_disc(store, "ol17-white", "status=retired")
    without = _believed(store)
    assert "ol17-white" not in without.fleet.ids
    assert without.arms == with_it.arms


def test_printed_numbers_alone_plan_as_if_nothing_was_recorded(store):
    bare = make_plan(store, "winter", Asked(limit=4), seed=7)
    _note_short_throws(store)
    printed = make_plan(store, "winter", Asked(limit=4, printed=True), seed=7)
    assert printed.summary == (
        *bare.summary,
        "This goes by printed numbers alone; 4 throws are left aside.",
    )
    assert replace(printed, summary=bare.summary) == bare
    learnt = make_plan(store, "winter", Asked(limit=4), seed=7)
    assert learnt.summary[-1] == "What discs and arm do is learnt from 4 throws."
    assert learnt.learnt is not None
    assert learnt.strokes_carry > bare.strokes_carry  # who throws shorter needs more
    again = make_plan(store, "winter", Asked(limit=4), seed=7)
    assert again == learnt


def test_swaps_are_told_between_plans_that_rest_on_the_same_only(cli, unplanned):
    with open_store(unplanned) as store:
        _note_short_throws(store)
    assert cli("--data", unplanned, "plan", "winter", "--limit", "4").code == 0
    assert cli("--data", unplanned, "plan", "summer", "--limit", "4", "--printed").code == 0
    with open_store(unplanned) as store:
        with pytest.raises(
            InputError, match="different evidence; run `rimwise plan winter summer`"
        ):
            make_swaps(store, "winter", "summer")
        make_plan(store, "winter", Asked(limit=4, printed=True), seed=1)
        make_swaps(store, "winter", "summer")


def test_a_plan_kept_before_beliefs_were_learnt_can_be_read(store):
    plan = make_plan(store, "winter", Asked(limit=4), seed=7)
    kept = dict(store.reports.get("plan:winter"))
    del kept["learnt"]
    store.reports.put("plan:winter", kept)
    assert load_plan(store, "winter") == plan
