"""The owner's own outside test, on owners whose truth is known: honest beliefs pass, others fail.

Intervals of a share: Wilson's, against the exact formula in Brown, Cai & DasGupta (2001), eq. 4,
whose end points satisfy |p̂ − p| = z √(p(1 − p)/n).
"""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest

from rimwise.beliefs.checking import LandingCheck, beyond_chance, check_landings, share_interval
from rimwise.beliefs.learn import learn
from rimwise.beliefs.owners import imagine_owner
from rimwise.records.thrower import StyleSkill


@pytest.mark.parametrize(("inside", "of"), [(9, 10), (45, 50), (3, 7), (170, 200)])
def test_the_ends_are_where_the_score_test_just_rejects(inside, of):
    for end in share_interval(inside, of):
        assert abs(inside / of - end) == pytest.approx(1.96 * math.sqrt(end * (1.0 - end) / of))


@pytest.mark.parametrize(
    ("groups", "quantile"), [(2, 12.706), (3, 4.303), (4, 3.182), (6, 2.571), (11, 2.228)]
)
def test_chance_ends_at_the_tabled_quantiles_of_student(groups, quantile):
    """Fisher and Yates (1938), table III, 5 % two-sided (memory)."""
    assert not beyond_chance(quantile - 0.001, 1.0, groups)
    assert beyond_chance(quantile + 0.001, 1.0, groups)


def _checks(seed: int, stronger: float = 1.0) -> list[LandingCheck]:
    """Learn from the first half of an owner's throws and check the second."""
    owner = imagine_owner(seed, discs=5, throws=60, comparisons=4, shank_chance=0.0)
    first, second = owner.evidence.throws[:30], owner.evidence.throws[30:]
    later = tuple(replace(throw, on=throw.on + timedelta(days=90)) for throw in second)
    beliefs = learn(owner.fleet, owner.thrower, owner.assume, replace(owner.evidence, throws=first))
    if stronger != 1.0:
        arms = tuple(
            replace(arm, speed_m_s=arm.speed_m_s * stronger) for arm in beliefs.unknowns.arms
        )
        beliefs = replace(beliefs, unknowns=replace(beliefs.unknowns, arms=arms))
    return check_landings(beliefs, later, owner.evidence, seed)


def test_honest_beliefs_hold_as_many_throws_as_they_should():
    """Throws of one owner share what is wrong about their arm, so errors go by owner."""
    owners = [_checks(seed) for seed in range(7000, 7014)]
    for meant in (0.5, 0.9):
        shares = [np.mean([one.place < meant for one in checks]) for checks in owners]
        error = np.std(shares, ddof=1) / math.sqrt(len(shares))
        assert abs(np.mean(shares) - meant) < 3.0 * error
        assert error < 0.06


def test_an_arm_a_tenth_too_strong_is_found_out():
    """By throws that rest shorter than told, long before by the share of them inside."""
    honest, boastful = (
        np.array(
            [np.mean([one.off_m[0] for one in _checks(seed, by)]) for seed in range(7000, 7006)]
        )
        for by in (1.0, 1.1)
    )
    error = honest.std(ddof=1) / math.sqrt(len(honest))
    assert abs(honest.mean()) < 3.0 * error
    assert boastful.mean() < -5.0
    assert boastful.mean() < -4.0 * boastful.std(ddof=1) / math.sqrt(len(boastful))


def test_a_skill_that_was_overstated_is_not_what_is_checked():
    """Beliefs correct an overstated distance; the check then says nothing against them."""
    owner = imagine_owner(7003, discs=5, throws=60, comparisons=4, shank_chance=0.0)
    boastful = replace(
        owner.thrower,
        styles=tuple(
            StyleSkill(skill.style, skill.fairway_distance_m * 1.1, skill.level)
            for skill in owner.thrower.styles
        ),
    )
    half = replace(owner.evidence, throws=owner.evidence.throws[:40])
    beliefs = learn(owner.fleet, boastful, owner.assume, half)
    checks = check_landings(beliefs, owner.evidence.throws[40:], owner.evidence, 5)
    assert abs(np.mean([one.off_m[0] for one in checks])) < 5.0
