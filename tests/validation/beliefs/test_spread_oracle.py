"""How far a mean stands off its mode, against a density whose mean is tabulated.

Source: the logarithm of a gamma variable of shape k has its mode at ``ln k`` and its mean at
``ψ(k)`` (Abramowitz & Stegun 1964, 6.3; by SciPy's ``digamma``).
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.special import digamma

from rimwise.beliefs.spread import spread_of


@pytest.mark.parametrize("shape", [8.0, 20.0, 60.0])
def test_the_logarithm_of_a_gamma_variable(shape):
    mode, covariance = np.array([math.log(shape)]), np.array([[1.0 / shape]])
    found, _ = spread_of(lambda x: np.exp(x) - shape, mode, covariance, [0])
    assert abs(found[0] - digamma(shape)) < 0.1 * abs(mode[0] - digamma(shape))
