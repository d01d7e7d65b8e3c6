"""Speed of the proof: 60 discs, 2000 demands, 20 to carry, and easier and harder relatives."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from rimwise.decide.choose import choose, choose_lexicographic, how_many

pytestmark = pytest.mark.bench


def table(traits: int, noise: float) -> tuple[Any, Any]:
    """Demands and discs differ in a few traits; noise makes near-equal discs hard to tell."""
    rng = np.random.default_rng(0)
    demand, disc = rng.normal(size=(2000, traits)), 0.8 * rng.normal(size=(60, traits))
    apart = ((demand[:, None] - disc[None]) ** 2).sum(axis=2)
    cost = 3.0 + 0.1 * apart / (1.0 + 0.2 * apart) + noise * rng.normal(size=apart.shape)
    return cost, rng.gamma(1.0, 1.0, 2000)


def season(seed: int, noise: float) -> tuple[Any, Any]:
    """Costs made as a season makes them: reach, stability and grip against distance and wind.

    Six days with a wind each, some of them wet; a third of the rows are tees. Every number is made
    up; the shape is that of the demonstration's own table.
    """
    rng = np.random.default_rng(seed)
    rows, discs, days = 2000, 60, 6
    speed = rng.choice([2.5, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12], discs)
    reach_m = 45.0 + 5.5 * speed + rng.normal(0.0, 3.0, discs)
    stability, grip = rng.normal(0.5, 1.2, discs), rng.integers(1, 6, discs)
    wind, wet, share = (
        rng.gamma(2, 2, days),
        rng.random(days) < 0.4,
        rng.dirichlet(np.full(days, 3)),
    )
    day = rng.integers(0, days, rows)
    far = rng.random(rows) < 0.35
    distance_m = np.where(far, rng.uniform(60, 160, rows), rng.uniform(12, 90, rows))[:, None]
    effort = np.clip(distance_m / reach_m, 0.4, 1.0)
    need = (rng.normal(0.0, 1.0, rows) + 0.18 * wind[day] * rng.uniform(-1, 1, rows))[:, None]
    trouble = rng.gamma(1.0, 0.5, rows)[:, None]
    slip = np.where(wet[day][:, None], 1.0, 0.3) * (5 - grip) / 4
    spread = (5.0 + 0.8 * speed) * effort * (1.0 + 0.6 * slip)
    cost = 2.0 + 0.012 * np.maximum(distance_m - reach_m, 0.0) + 0.02 * spread * (1 + 0.6 * trouble)
    cost += 0.05 * trouble * np.log1p((stability * effort**2 - need) ** 2)
    weights = share[day] * rng.gamma(1.0, 1.0, rows) * 36.0 * days / rows
    return cost + noise * rng.normal(size=cost.shape), weights


def wishes(seed: int) -> dict[str, Any]:
    """Every kind of wish: weight, one of four, few changes, a moment, groups, must, never."""
    rng = np.random.default_rng(1000 + seed)
    discs = np.arange(60)
    mass, earlier = rng.uniform(0.15, 0.18, 60), np.isin(discs, rng.choice(60, 20, replace=False))
    one = np.isin(discs, rng.choice(60, 4, replace=False))
    moment, order = mass * rng.uniform(-0.1, 0.5, 60), rng.permutation(60)
    sums = np.array([mass, one, ~earlier, -1.0 * earlier, moment], dtype=float)
    most = [np.sort(mass)[:20].sum() * 1.03, 1.0, 8.0, -8.0, np.sort(moment)[10:30].sum()]
    return {
        "must": tuple(order[:3].tolist()),
        "never": tuple(order[3:8].tolist()),
        "at_least": [(range(12), 3), (range(20, 40), 5), (range(50, 60), 1)],
        "linear": (sums, most),
    }


@pytest.mark.parametrize("noise", [0.0, 0.004, 0.02])
@pytest.mark.parametrize("seed", [0, 1, 2])
@pytest.mark.parametrize("wished", [False, True])
def test_season_like_20_of_60(benchmark: Any, seed: int, noise: float, wished: bool) -> None:
    cost, weights = season(seed, noise)
    asked = {"weights": weights, **(wishes(seed) if wished else {})}
    found = benchmark.pedantic(choose, (cost, 20), asked, rounds=1)
    assert found.gap <= 1e-6


def test_season_like_curve_up_to_30_of_60(benchmark: Any) -> None:
    cost, weights = season(0, 0.004)
    curve = benchmark.pedantic(how_many, (cost, 30), {"weights": weights}, rounds=1)
    assert len(curve) == 30
    assert all(choice.gap <= 1e-6 for choice in curve)


@pytest.mark.parametrize(("traits", "noise"), [(2, 0.0), (3, 0.005), (4, 0.02), (6, 0.005)])
def test_choose_20_of_60(benchmark: Any, traits: int, noise: float) -> None:
    cost, weights = table(traits, noise)
    found = benchmark.pedantic(choose, (cost, 20), {"weights": weights}, rounds=1)
    assert found.gap <= 1e-6


def test_curve_up_to_20_of_60(benchmark: Any) -> None:
    cost, weights = table(2, 0.0)
    curve = benchmark.pedantic(how_many, (cost, 20), {"weights": weights}, rounds=1)
    assert all(choice.gap <= 1e-6 for choice in curve)


def test_harshest_days_second(benchmark: Any) -> None:
    cost, weights = table(2, 0.0)
    harsh = np.where(np.arange(2000) < 300, weights, 0.0)
    found = benchmark.pedantic(
        choose_lexicographic,
        (cost, 20),
        {"weights": weights, "second": (cost**2, harsh), "tolerance": 0.5},
        rounds=1,
    )
    assert max(found.gaps) <= 1e-6
