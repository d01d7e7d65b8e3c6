"""Densities of draws, against SciPy's kernels and against a normal distribution."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import gaussian_kde, norm

from rimwise.beliefs.density import kernel_density

DRAWS = np.random.default_rng(7).normal(-3.0, 2.5, 512)
AT = np.linspace(-14.0, 8.0, 45)


@pytest.mark.parametrize("draws", [DRAWS, DRAWS**2, DRAWS[:3]])
def test_it_is_what_scipy_finds_by_the_rule_of_scott(draws):
    wanted = gaussian_kde(draws, bw_method="scott")(AT)
    assert kernel_density(draws, AT) == pytest.approx(wanted, rel=1e-9, abs=1e-12)


def test_draws_of_a_normal_distribution_come_near_its_density():
    """Widened by the kernels; what is left is chance, of some 0.01 with so many draws."""
    sd = DRAWS.std(ddof=1)
    widened = norm.pdf(AT, DRAWS.mean(), np.hypot(sd, sd * len(DRAWS) ** -0.2))
    assert kernel_density(DRAWS, AT) == pytest.approx(widened, abs=0.02)


def test_draws_that_all_agree_are_a_narrow_hill_and_no_fault():
    at = np.linspace(3.0, 5.0, 2001)
    density = kernel_density(np.full(16, 4.0), at)
    assert at[density.argmax()] == pytest.approx(4.0)
    assert np.trapezoid(density, at) == pytest.approx(1.0, abs=1e-6)
