"""Drift, on invented owners of whom it is known which disc changed and by how much.

No outside numbers are known for how a disc drifts; the truth here is drawn by the model's own
prior, so this checks the inference alone.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, timedelta

import numpy as np
import pytest

from rimwise.beliefs.drift import BEFORE, Drift, Now, drifts_of, learn_now, pauses_of
from rimwise.beliefs.fleet import MOLD_SHARE
from rimwise.beliefs.imagined import felt_truth, imagine_throws
from rimwise.beliefs.learn import learn
from rimwise.beliefs.observed import Evidence
from rimwise.beliefs.owners import imagine_owner

PAUSE = timedelta(days=180)


@dataclass(frozen=True)
class Changed:
    """An owner whose one disc lost turn, and the errors of its finish in degrees."""

    disc: str
    now: Now
    pooled_deg: float
    now_deg: float


def _changed(seed: int, lost: float) -> Changed:
    """Draw an owner whose one disc lost some turn, and learn with and without looking for that."""
    owner = imagine_owner(seed, discs=4, throws=240, comparisons=0)
    first, second = owner.evidence.throws[:120], owner.evidence.throws[120:]
    place = seed % 4
    after = owner.u.copy()
    row = owner.unknowns.names.index(("disc", owner.fleet.ids[place], 2))
    after[row] -= lost / (np.sqrt(1.0 - MOLD_SHARE) * owner.fleet.printed_sd[2])
    late = tuple(replace(throw, on=throw.on + PAUSE) for throw in second)
    asked = replace(owner.evidence, throws=late, comparisons=())
    random = np.random.default_rng(seed)
    thrown = imagine_throws(owner.unknowns, after, owner.scatter, asked, random, shank_chance=0.05)
    evidence = replace(owner.evidence, throws=first + thrown, comparisons=())
    known = (owner.fleet, owner.thrower, owner.assume, evidence)
    now, pooled = learn_now(*known), learn(*known)
    true_deg = felt_truth(owner.unknowns, after)[place, 0]
    found = [
        felt_truth(one.unknowns, one.draw_unknowns(60, 1)).mean(axis=0)[place, 0]
        for one in (pooled, now.posterior)
    ]
    return Changed(owner.fleet.ids[place], now, found[0] - true_deg, found[1] - true_deg)


@pytest.fixture(scope="module")
def changed() -> list[Changed]:
    return [_changed(seed, 1.6) for seed in range(6100, 6108)]


def test_a_disc_that_lost_much_stands_out_and_the_others_do_not(changed: list[Changed]) -> None:
    told = [(drift, drift.disc_id == one.disc) for one in changed for drift in one.now.drifts]
    assert sum(mine for _, mine in told) >= 4
    assert sum(not mine for _, mine in told) <= 3  # of 24
    mean = np.mean([drift.numbers for drift, mine in told if mine])
    assert -2.0 < mean < -0.5


def test_where_a_changed_disc_lands_now_is_better_known_without_what_was_before(
    changed: list[Changed],
) -> None:
    """Of the discs that are told to have changed; the others are learnt the same either way."""
    errors = [(one.pooled_deg, one.now_deg) for one in changed]
    pooled, now = np.array([pair for pair in errors if pair[0] != pair[1]]).T
    assert len(now) >= 4
    assert np.sqrt(np.mean(now**2)) < 0.9 * np.sqrt(np.mean(pooled**2))


def test_a_disc_that_changed_is_learnt_twice_and_the_others_once(changed: list[Changed]) -> None:
    one = next(one for one in changed if one.now.drifts)
    ids = one.now.posterior.unknowns.fleet.ids
    assert set(ids[4:]) == {drift.disc_id + BEFORE for drift in one.now.drifts}
    before = [throw for throw in one.now.evidence.throws if throw.disc_id.endswith(BEFORE)]
    assert {throw.on <= drift.since for throw in before for drift in one.now.drifts
            if throw.disc_id == drift.disc_id + BEFORE} == {True}  # fmt: skip


def test_without_enough_on_both_sides_nothing_is_asked():
    owner = imagine_owner(6100, discs=4, throws=16, comparisons=0)
    assert drifts_of(owner.fleet, owner.thrower, owner.assume, owner.evidence) == ()


def test_the_pause_is_the_longest_with_enough_on_both_sides():
    throw = imagine_owner(6100, discs=2, throws=1, comparisons=0).evidence.throws[0]
    days = (0, 1, 2, 3, 4, 40, 41, 42, 43, 44, 144)
    throws = tuple(replace(throw, on=date(2026, 1, 1) + timedelta(days=day)) for day in days)
    pauses = pauses_of(Evidence(throws))
    assert pauses == {throw.disc_id: date(2026, 1, 5)}  # one throw after the longest is too few


@pytest.mark.parametrize(("days", "count"), [(6, 0), (7, 1)])
def test_less_than_a_week_is_no_pause(days: int, count: int) -> None:
    throw = imagine_owner(6100, discs=2, throws=1, comparisons=0).evidence.throws[0]
    on = [date(2026, 1, 1)] * 6 + [date(2026, 1, 1) + timedelta(days=days)] * 6
    throws = tuple(replace(throw, on=day) for day in on)
    assert len(pauses_of(Evidence(throws))) == count


@pytest.mark.parametrize(
    ("numbers", "told"), [(-0.9, True), (-0.3, False), (-0.45, True), (0.45, False), (0.9, True)]
)
def test_only_what_is_large_and_sure_is_told(numbers, told):
    assert Drift("x", date(2026, 1, 1), numbers, 0.3, None, 9, 9).telling is told
