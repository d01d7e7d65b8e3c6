"""Beliefs about their mode: densities whose mean and spread are known."""

from __future__ import annotations

import numpy as np
import pytest

from rimwise.beliefs.spread import spread_of


def test_a_normal_distribution_is_left_as_it_is():
    random = np.random.default_rng(1)
    half = random.standard_normal((4, 4))
    information = half @ half.T + np.eye(4)
    mode = random.standard_normal(4)
    covariance = np.linalg.inv(information)
    found, spread = spread_of(lambda u: information @ (u - mode), mode, covariance, [2, 0])
    np.testing.assert_allclose(found, mode, atol=1e-10)
    np.testing.assert_allclose(spread, covariance, atol=1e-10)


@pytest.mark.parametrize("bend", [-0.3, 0.1, 0.25])
def test_on_a_curved_ridge_the_mean_is_beside_the_mode(bend):
    """``y`` is normal about ``bend x²`` with ``x`` standard normal, so its mean is ``bend``."""

    def gradient(u):
        off = u[1] - bend * u[0] ** 2
        return np.array([u[0] - 2.0 * bend * u[0] * off, off])

    found, _ = spread_of(gradient, np.zeros(2), np.eye(2), [0])
    np.testing.assert_allclose(found, [0.0, bend], atol=1e-10)


def test_a_wilder_ridge_moves_the_mean_no_farther_than_trusted():
    def gradient(u):
        off = u[1] - 3.0 * u[0] ** 2
        return np.array([u[0] - 6.0 * u[0] * off, off])

    found, _ = spread_of(gradient, np.zeros(2), np.eye(2), [0])
    assert np.hypot(*found) == pytest.approx(0.4)


def test_what_is_flatter_than_expected_is_believed_wider_and_what_is_steeper_narrower():
    def spread(curvature):
        steep = np.array([curvature, 1.0])
        return spread_of(lambda u: steep * u, np.zeros(2), np.eye(2), [0])[1]

    assert spread(0.5)[0, 0] > 1.0 > spread(2.0)[0, 0]
    assert spread(0.5)[1, 1] == spread(2.0)[1, 1] == pytest.approx(1.0)
    assert np.isfinite(spread(-5.0)).all()
