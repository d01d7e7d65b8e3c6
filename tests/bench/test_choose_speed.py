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


@pytest.mark.parametrize(("traits", "noise"), [(2, 0.0), (3, 0.005), (4, 0.02)])
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
