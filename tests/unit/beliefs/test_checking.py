"""Real landings against predicted ones."""

from __future__ import annotations

import math

import numpy as np
import pytest

from rimwise.beliefs.checking import check_landings, mean_and_error, share_interval
from rimwise.beliefs.imagined import imagine_throws
from rimwise.beliefs.owners import imagine_owner
from rimwise.beliefs.posterior import prior_posterior


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
