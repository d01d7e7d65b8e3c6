"""How fast a field session is laid out on a frozen table of costs."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest

from rimwise.decide.field_session import Doubt, Stakes, design_session

pytestmark = pytest.mark.bench

ROWS, DISCS = 200, 40


def test_twenty_throws_and_ten_comparisons_of_forty_discs(benchmark: object) -> None:
    """Wanted: within 5 s on two cores."""
    random = np.random.default_rng(7)
    cost = 3.0 + 0.3 * random.random((ROWS, DISCS))
    slopes = 0.01 * random.standard_normal((2, ROWS, DISCS, 2))
    bend = 0.001 * random.random((ROWS, DISCS, 2))
    stakes = Stakes(cost, np.full(ROWS, 0.1), slopes, bend, tuple(range(20)))
    covariance = np.einsum("de,ab->daeb", 30.0 * np.eye(DISCS) + 10.0, np.eye(2))
    doubt = Doubt(covariance, np.tile(80.0 * np.eye(2), (DISCS, 1, 1)), np.full(DISCS, 3.0))
    pairs = [pair for group in range(4) for pair in combinations(range(group, DISCS, 4), 2)]
    session = benchmark(design_session, stakes, doubt, 20, 10, pairs=pairs)  # type: ignore[operator]
    assert len(session.asks) == 14
