"""The classes of a month's wind speeds against SciPy's Rayleigh distribution.

The Rayleigh distribution is the standard reference where only a mean wind is known (IEC 61400-1,
Wind energy generation systems: design requirements; memory, unverified).
"""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from scipy import integrate, stats

from rimwise.records.climate import ClimateMonth, days_of_month


def test_each_third_of_the_winds_has_the_mean_of_its_third():
    month = ClimateMonth(1, 5.0, 1000.0, 0.7, 6.0, (1.0, *(0.0,) * 15))
    speeds = sorted({day.wind_speed_m_s for day in days_of_month(month)})
    rayleigh = stats.rayleigh(scale=6.0 / math.sqrt(math.pi / 2.0))
    assert rayleigh.mean() == pytest.approx(6.0)
    edges = rayleigh.ppf([0.0, 1 / 3, 2 / 3, 1.0])
    for speed, (low, high) in zip(speeds, pairwise(edges), strict=True):
        part, _ = integrate.quad(lambda x: x * rayleigh.pdf(x), low, min(high, 60.0))
        assert speed == pytest.approx(3.0 * part, rel=1e-6)
