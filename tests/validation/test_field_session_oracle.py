"""The worth of a field session, against the closed form for two discs and one throw.

With a difference in cost that is normal about Δ with standard deviation σ after it, choosing
the better of two saves ``σ φ(Δ/σ) − |Δ| Φ(−|Δ|/σ)`` (Raiffa & Schlaifer 1961, unit normal linear
loss; Frazier, Powell & Dayanik 2009, eq. for two alternatives). SciPy's normal distribution.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import norm

from rimwise.decide.field_session import Ask, Doubt, Stakes, design_session, session_worth


def _two(apart: float, slope: float) -> Stakes:
    """Return one lie, visited once, on which the second disc costs ``apart`` more."""
    slopes = np.zeros((1, 2, 2))
    slopes[0, 1, 0] = slope
    return Stakes(np.array([[3.0, 3.0 + apart]]), np.ones(1), slopes[None], 0.0 * slopes, (0,))


def _doubt(sd_m: float, scatter_m: float) -> Doubt:
    covariance = np.zeros((2, 2, 2, 2))
    covariance[1, 0, 1, 0] = sd_m**2
    return Doubt(covariance, np.tile(scatter_m**2 * np.eye(2), (2, 1, 1)), np.ones(2))


@pytest.mark.parametrize("apart", [0.0, 0.03, -0.05])
@pytest.mark.parametrize("throws", [1, 5, 40])
def test_throwing_one_of_two_discs_saves_what_the_closed_form_says(apart, throws):
    sd_m, scatter_m, slope = 6.0, 9.0, 0.01
    learnt_m = sd_m**2 / np.sqrt(sd_m**2 + scatter_m**2 / throws)
    sigma = slope * learnt_m
    exact = sigma * norm.pdf(apart / sigma) - abs(apart) * norm.cdf(-abs(apart) / sigma)
    found = session_worth(
        _two(apart, slope), _doubt(sd_m, scatter_m), [Ask(1, throws=throws)], outcomes=40_000
    )
    assert found.choice == pytest.approx(exact, abs=4.0 * sigma / 200.0)  # 200 = √outcomes
    assert found.aim == 0.0


def test_the_outcomes_of_a_comparison_are_those_of_its_difference():
    """Finish of both unknown alike: a comparison tells their difference, and nothing of the sum."""
    covariance = np.zeros((2, 2, 2, 2))
    covariance[0, 1, 0, 1] = covariance[1, 1, 1, 1] = 16.0
    doubt = Doubt(covariance, np.tile(100.0 * np.eye(2), (2, 1, 1)), np.full(2, 3.0))
    slopes = np.zeros((1, 2, 2))
    slopes[0, :, 1] = 0.01, -0.01
    stakes = Stakes(np.array([[3.0, 3.0]]), np.ones(1), slopes[None], 0.0 * slopes, (0,))
    # The cost difference is −0.01 (y1 + y2), of which the comparison tells nothing.
    nothing = session_worth(stakes, doubt, [Ask(0, other=1)], outcomes=2_000)
    assert nothing.gain == pytest.approx(0.0, abs=1e-9)
    slopes[0, :, 1] = 0.01, 0.01
    # Now it is 0.01 (y2 − y1): variance 32, of which 32²/(32 + 9) is told.
    sigma = 0.01 * 32.0 / np.sqrt(32.0 + 9.0)
    found = session_worth(stakes, doubt, [Ask(0, other=1)], outcomes=40_000)
    assert found.choice == pytest.approx(sigma * norm.pdf(0.0), abs=4.0 * sigma / 200.0)


def test_the_session_throws_what_is_unknown_and_matters():
    """Three discs: one known, one unknown but hopeless, one unknown and close."""
    covariance = np.zeros((3, 2, 3, 2))
    for disc in (1, 2):
        covariance[disc, 0, disc, 0] = 36.0
    doubt = Doubt(covariance, np.tile(81.0 * np.eye(2), (3, 1, 1)), np.ones(3))
    slopes = np.zeros((1, 3, 2))
    slopes[0, :, 0] = -0.01
    stakes = Stakes(np.array([[3.0, 3.5, 3.02]]), np.ones(1), slopes[None], 0.0 * slopes, (0,))
    session = design_session(stakes, doubt, 10, 0)
    assert [ask.disc for ask in session.asks] == [2, 2]
    assert session.worth.choice > 0.0
    assert session.worth.changes > 0.1


def test_knowing_the_disc_that_is_thrown_anyway_saves_the_square_of_the_mistake():
    """Aim costs ``bend`` times the variance: five throws take their known part of it away."""
    stakes = _two(1.0, 0.0)  # the second disc is never thrown
    stakes.bend[0, 0] = 0.002, 0.0
    covariance = np.zeros((2, 2, 2, 2))
    covariance[0, 0, 0, 0] = 36.0
    doubt = Doubt(covariance, np.tile(81.0 * np.eye(2), (2, 1, 1)), np.ones(2))
    found = session_worth(stakes, doubt, [Ask(0, throws=5)])
    assert found.choice == 0.0
    assert found.aim == pytest.approx(0.002 * 36.0**2 / (36.0 + 81.0 / 5.0))
    session = design_session(stakes, doubt, 10, 0)
    assert [ask.disc for ask in session.asks] == [0, 0]


def test_a_carry_that_a_swap_would_help_today_already_does_not_count_as_changed_by_evidence():
    """A carry is chosen within an error of the cheapest; what is known today is no news."""
    slopes = np.zeros((1, 2, 2))
    stakes = Stakes(np.array([[3.04, 3.0]]), np.ones(1), slopes[None], 0.0 * slopes, (0,))
    found = session_worth(stakes, _doubt(6.0, 9.0), [Ask(1, throws=5)])
    assert found.changes == 0.0


def test_slopes_that_are_only_noise_are_worth_nothing_and_real_ones_are_worth_themselves():
    """Choosing on one set and valuing on another: opposite noise in two sets saves nothing.

    With the mean of both taken for the truth and for the choice alike, noise would be worth its
    own size: the optimizer's curse of Smith & Winkler 2006.
    """
    noise = np.zeros((2, 1, 2, 2))
    noise[0, 0, 1, 0], noise[1, 0, 1, 0] = 0.01, -0.01
    cost = np.array([[3.0, 3.0]])
    doubt, asks = _doubt(6.0, 9.0), [Ask(1, throws=20)]
    noisy = Stakes(cost, np.ones(1), noise, np.zeros((1, 2, 2)), (0,))
    assert session_worth(noisy, doubt, asks).choice < 0.0
    assert session_worth(noisy, doubt, asks).gain == 0.0
    real = Stakes(cost, np.ones(1), np.abs(noise), np.zeros((1, 2, 2)), (0,))
    assert session_worth(real, doubt, asks, outcomes=40_000).choice == pytest.approx(
        0.01 * 36.0 / np.sqrt(36.0 + 81.0 / 20.0) * norm.pdf(0.0), rel=0.03
    )
