"""The fit of putts against published rates, SciPy's own arithmetic, and invented putters.

* Published make rates (Vehtari 2026, ``authorities/putting.csv``), taken as what many putts
  made: the fit has to find the published angular accuracy again, from a prior twice as wide.
* SciPy: posterior means by Simpson's rule in the natural units with ``scipy.stats`` densities,
  the mode by ``scipy.optimize``; the interval of a rate from ``scipy.stats.beta``.
* Simulation-based calibration: putters drawn from the prior, whose putts are fitted.
"""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.integrate import simpson
from scipy.optimize import minimize
from scipy.stats import beta, binom, lognorm

from rimwise.beliefs.putting import CATCH_CHANCE, CATCH_RADIUS_M, PuttingModel
from rimwise.beliefs.putting_fit import (
    PuttingPrior,
    PuttTally,
    _mode,
    fit_putts,
    made_rates,
)

TABLE = Path(__file__).parent / "authorities" / "putting.csv"
PRIOR = PuttingPrior(2.2, 18.0, 0.15, 0.3, 0.25, 0.6)
#: Putts imagined behind each published rate.
MANY = 4000


def tally(rows: list[tuple[float, float, int, int]]) -> PuttTally:
    """Return putts of one evening each: distance, wind, tried, made."""
    distance, wind, tried, made = np.array(rows, dtype=np.float64).T
    return PuttTally(np.arange(len(rows)), distance, wind, tried, made)


def published(group: str) -> list[tuple[float, float]]:
    lines = [line for line in TABLE.read_text().splitlines() if not line.startswith("#")]
    return [
        (float(row["distance_m"]), float(row["make_probability"]))
        for row in csv.DictReader(lines)
        if row["group"] == group
    ]


@pytest.mark.parametrize(
    ("group", "sd_deg", "half_m"), [("top men", 1.0, 16.9), ("top women", 1.4, 13.6)]
)
def test_published_rates_give_back_the_published_accuracy(
    group: str, sd_deg: float, half_m: float
) -> None:
    rates = published(group)
    assert len(rates) >= 2
    fit = fit_putts(PRIOR, tally([(d, 0.0, MANY, round(MANY * p)) for d, p in rates]))
    assert fit.mean("sd_deg") == pytest.approx(sd_deg, abs=0.03)
    if len(rates) == 3:  # the women's two rates end at 10 m and say little about length
        assert fit.mean("half_m") == pytest.approx(half_m, abs=0.4)
    distance = np.array([d for d, _ in rates])
    assert fit.make_probability(distance) == pytest.approx([p for _, p in rates], abs=0.01)


def test_a_few_published_putts_already_move_the_prior_toward_them() -> None:
    rates = [(d, 0.0, 30, round(30 * p)) for d, p in published("top men")]
    low, high = fit_putts(PRIOR, tally(rates)).interval("sd_deg")
    assert low < 1.0 < high < PRIOR.sd_deg


# -- SciPy --------------------------------------------------------------------------------

ROWS = [(3.0, 0.0, 20, 18), (5.0, 2.0, 20, 12), (8.0, 7.0, 20, 3), (12.0, 4.0, 10, 1)]


def chance(
    d: float, w: float, sd: NDArray[np.float64], half: NDArray[np.float64], k: NDArray[np.float64]
) -> NDArray[np.float64]:
    """The make chance, written a second time."""
    spread = np.sqrt(sd**2 + (k * w) ** 2)
    angle = np.rad2deg(np.arctan2(CATCH_RADIUS_M, d))
    return CATCH_CHANCE * (1.0 - np.exp(-(angle**2) / (2.0 * spread**2))) / (1.0 + (d / half) ** 5)


def test_posterior_means_are_those_of_simpsons_rule() -> None:
    sd = np.linspace(0.8, 5.0, 121)
    half = np.linspace(5.0, 50.0, 91)
    k = np.linspace(0.005, 1.2, 121)
    a, b, c = np.meshgrid(sd, half, k, indexing="ij")
    density = (
        lognorm.pdf(a, PRIOR.sd_spread, scale=PRIOR.sd_deg)
        * lognorm.pdf(b, PRIOR.half_spread, scale=PRIOR.half_m)
        * lognorm.pdf(c, PRIOR.wind_spread, scale=PRIOR.wind_deg)
    )
    for d, w, tried, made in ROWS:
        density *= binom.pmf(made, tried, chance(d, w, a, b, c))

    def integral(values: NDArray[np.float64]) -> float:
        inner = simpson(simpson(values, x=k, axis=2), x=half, axis=1)
        return float(simpson(inner, x=sd))

    total = integral(density)
    fit = fit_putts(PRIOR, tally(ROWS))
    assert fit.dispersion == 1.0
    for name, values in (("sd_deg", a), ("half_m", b), ("wind_deg", c)):
        assert fit.mean(name) == pytest.approx(integral(values * density) / total, rel=2e-3)
    for d, w in ((5.0, 0.0), (10.0, 6.0)):
        mean = integral(chance(d, w, a, b, c) * density) / total
        assert float(fit.make_probability(d, w)) == pytest.approx(mean, abs=5e-4)


def test_mode_is_scipys() -> None:
    cells = tally(ROWS)

    def misfit(u: NDArray[np.float64]) -> float:
        sd, half, k = np.exp(PRIOR.centre + PRIOR.spread * u)
        told = sum(
            binom.logpmf(made, tried, chance(d, w, sd, half, k)) for d, w, tried, made in ROWS
        )
        return float(0.5 * u @ u - told)

    found = minimize(misfit, np.zeros(3), method="BFGS", options={"gtol": 1e-7})
    mode, _ = _mode(PRIOR, cells, 1.0)
    assert mode == pytest.approx(found.x, abs=1e-5)


def test_bands_are_the_quantiles_of_the_nodes() -> None:
    fit = fit_putts(PRIOR, tally(ROWS))
    for d, w in ((4.0, 0.0), (9.0, 5.0)):
        chances = fit.chances(d, w)
        for share in (0.5, 0.9):
            low, high = fit.band(d, w, share)
            below = [float(fit.weight[chances < end].sum()) for end in (low, high)]
            assert below == pytest.approx([0.5 - share / 2, 0.5 + share / 2], abs=0.002)


@pytest.mark.parametrize(("tried", "made"), [(20, 13), (4, 1), (300, 299)])
def test_interval_of_a_rate_is_jeffreys(tried: int, made: int) -> None:
    (rate,) = made_rates(tally([(5.0, 0.0, tried, made)]))
    expected = beta.ppf([0.05, 0.95], made + 0.5, tried - made + 0.5)
    assert (rate.low, rate.high) == pytest.approx(tuple(expected))


# -- calibration ----------------------------------------------------------------------------

PUTTERS = 240


def test_intervals_hold_as_many_invented_putters_as_they_say() -> None:
    """Coverage of 50 and 90 % intervals at 5 and 10 m, in still air and in wind."""
    random = np.random.default_rng(20260214)
    places = [(5.0, 0.0), (10.0, 0.0), (5.0, 6.0), (10.0, 6.0)]
    inside = np.zeros((2, len(places)))
    for _ in range(PUTTERS):
        sd, half, k = PRIOR.values(random.standard_normal(3))
        rows = []
        for distance in random.choice([3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 13.0], 5, replace=False):
            wind = float(random.choice([0.0, 0.0, 4.0, 8.0]))
            tried = int(random.integers(5, 40))
            made = int(random.binomial(tried, chance(distance, wind, sd, half, k)))
            rows.append((float(distance), wind, tried, made))
        fit = fit_putts(PRIOR, tally(rows))
        for j, (d, w) in enumerate(places):
            below = fit.weight[fit.chances(d, w) < chance(d, w, sd, half, k)].sum()
            inside[:, j] += np.abs(below - 0.5) <= np.array([0.25, 0.45])
    covered = inside / PUTTERS
    for share, row in zip((0.5, 0.9), covered, strict=True):
        error = np.sqrt(share * (1.0 - share) / PUTTERS)
        assert np.all(np.abs(row - share) < 2.0 * error), (share, row)


def test_the_plain_model_is_the_fit_without_wind() -> None:
    """One node of the fit and the model that plans use are the same putter."""
    fit = fit_putts(PRIOR, tally(ROWS))
    sd, half, _ = fit.values[0]
    distance = np.array([2.0, 7.0, 20.0])
    assert fit.chances(distance)[0] == pytest.approx(
        PuttingModel(float(sd), float(half)).make_probability(distance)
    )
