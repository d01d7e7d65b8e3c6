"""Real landings against predicted ones."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from rimwise.beliefs.checking import (
    beyond_chance,
    check_landings,
    mean_and_error,
    share_interval,
    worth_of,
)
from rimwise.beliefs.imagined import imagine_throws
from rimwise.beliefs.owners import imagine_owner
from rimwise.beliefs.posterior import prior_posterior
from rimwise.beliefs.predicting import predict_landings
from rimwise.records.conditions import ScenarioDay


def test_values_alone_in_their_groups_have_the_usual_error():
    values = [1.0, 2.0, 4.0, 9.0]
    mean, error = mean_and_error(values, range(4))
    assert mean == 4.0
    assert error == pytest.approx(np.std(values, ddof=1) / 2.0)


def test_values_that_repeat_within_groups_are_as_sure_as_their_groups():
    once = mean_and_error([1.0, 2.0, 6.0], "abc")
    often = mean_and_error([1.0, 2.0, 6.0] * 5, "abc" * 5)
    assert often == pytest.approx(once)
    assert math.isnan(mean_and_error([1.0, 2.0], "aa")[1])


def test_a_share_of_all_or_none_is_not_sure():
    low, high = share_interval(10, 10)
    assert 0.7 < low < 0.75
    assert high == 1.0
    assert share_interval(0, 10) == pytest.approx((0.0, 1.0 - low))


def test_a_landing_is_placed_by_how_far_out_it_is_and_where_it_was_told():
    owner = imagine_owner(11, discs=3, throws=30, comparisons=0, shank_chance=0.0)
    beliefs = prior_posterior(owner.unknowns)
    thrown = owner.evidence.throws[:1]
    (check,) = check_landings(beliefs, thrown, owner.evidence, 1)
    real = np.array([thrown[0].distance_m, thrown[0].left_m])
    np.testing.assert_allclose(check.told_m + check.off_m, real)
    aimed = imagine_throws(
        owner.unknowns, 0.0 * owner.u, owner.scatter, owner.evidence, np.random.default_rng(1)
    )
    places = [c.place for c in check_landings(beliefs, aimed, owner.evidence, 1)]
    assert min(places) < 0.4
    assert np.mean([place < 0.9 for place in places]) > 0.85  # wider than scatter alone


def test_throws_that_go_together_are_worth_their_days():
    """Days all in or all out: as many independent throws as days, less one for their mean."""
    inside = [True] * 10 + [False] * 10 + [True] * 10 + [True] * 10
    assert worth_of(inside, [i // 10 for i in range(40)]) == pytest.approx(3.0)
    assert worth_of(inside, range(40)) == pytest.approx(39.0)


def test_days_more_alike_than_luck_allows_and_single_days_count_as_they_are():
    alike = [True, False] * 10
    assert worth_of(alike, [i // 2 for i in range(20)]) == 20.0
    assert worth_of(alike, ["one day"] * 20) == 20.0
    assert worth_of([True] * 20, [i // 2 for i in range(20)]) == 20.0


def test_two_days_tell_little_and_one_tells_nothing():
    assert not beyond_chance(10.0, 1.0, 2)
    assert beyond_chance(-13.0, 1.0, 2)
    assert beyond_chance(3.0, 1.0, 5)
    assert not beyond_chance(100.0, 1.0, 1)
    assert not beyond_chance(100.0, math.nan, 5)


def test_a_windy_day_is_predicted_as_widely_as_it_is_learnt_from():
    owner = imagine_owner(5, discs=3, throws=20, comparisons=0)
    beliefs, assume = prior_posterior(owner.unknowns), owner.assume
    throw = replace(owner.evidence.throws[0], conditions="gale")
    spread = {}
    for wind_m_s in (0.0, 8.0):
        day = ScenarioDay("gale", 1.0, 18.0, 1013.0, 0.6, wind_m_s, 0.0)
        evidence = replace(owner.evidence, days={"gale": day})
        for noted in (True, False):
            spread[wind_m_s, noted] = predict_landings(
                beliefs, throw, 4000, 1, evidence=evidence, noted=noted
            )
    for noted in (True, False):
        calm, windy = spread[0.0, noted], spread[8.0, noted]
        blown_m2 = (assume.unknown_wind_share * 8.0) ** 2 * (calm**2).sum(axis=1).mean()
        added = windy.var(axis=0) - calm.var(axis=0)
        assert added == pytest.approx([blown_m2, blown_m2], rel=0.25)


def test_places_leave_room_for_as_many_shanks_as_are_assumed():
    """Else owners who shank one throw in twenty, as assumed, would be told off."""
    owner = imagine_owner(11, discs=3, throws=1, comparisons=0, shank_chance=0.0)
    beliefs = prior_posterior(owner.unknowns)
    (at,) = check_landings(beliefs, owner.evidence.throws, owner.evidence, 1)
    x_m, left_m = at.told_m + at.root @ np.array([2.5, 0.0])
    outside = (replace(at.throw, distance_m=float(x_m), left_m=float(left_m)),)
    places = []
    for chance in (0.001, 0.5):
        assume = replace(owner.assume, shank_chance=chance)
        which = replace(beliefs, unknowns=replace(beliefs.unknowns, assume=assume))
        places += [one.place for one in check_landings(which, outside, owner.evidence, 1)]
    assert places[0] > 0.9
    assert places[1] < places[0] - 0.05
