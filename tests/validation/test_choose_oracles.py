"""The chosen carry against an independent model and against a published kind of problem."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import block_array, csr_array, eye_array, kron
from scipy.sparse.csgraph import shortest_path

import rimwise as rw

Array = NDArray[np.float64]


def full_model(
    cost: Array, weights: Array, limit: int, price: float, mass: Array, most: float
) -> float:
    """The p-median integer program with one variable per row and disc (ReVelle & Swain 1970)."""
    rows, discs = cost.shape
    ones = np.ones(rows * discs)
    objective = np.concatenate([np.full(discs, price), (weights[:, None] * cost).ravel()])
    each_row_once = block_array(
        [[csr_array((rows, discs)), kron(eye_array(rows), np.ones((1, discs)))]]
    )
    only_if_carried = block_array(
        [[-kron(np.ones((rows, 1)), eye_array(discs)), eye_array(len(ones))]]
    )
    sums = np.zeros((2, len(objective)))
    sums[0, :discs], sums[1, :discs] = 1.0, mass
    found = milp(
        objective,
        constraints=[
            LinearConstraint(each_row_once, 1.0, 1.0),
            LinearConstraint(only_if_carried, -np.inf, 0.0),
            LinearConstraint(sums, -np.inf, [limit, most]),
        ],
        integrality=np.concatenate([np.ones(discs, dtype=int), np.zeros(len(ones), dtype=int)]),
        bounds=Bounds(0.0, 1.0),
        options={"mip_rel_gap": 0.0},
    )
    assert found.success
    return float(found.fun)


@pytest.mark.parametrize(
    ("seed", "rows", "discs", "limit", "price"),
    [(1, 60, 14, 4, 0.0), (2, 100, 18, 6, 0.0), (3, 80, 16, 8, 0.4), (4, 150, 12, 3, 0.1)],
)
def test_same_optimum_as_the_full_model(
    seed: int, rows: int, discs: int, limit: int, price: float
) -> None:
    # Oracle: scipy.optimize.milp on the full p-median model.
    rng = np.random.default_rng(seed)
    demand, disc = rng.normal(size=(rows, 2)), rng.normal(size=(discs, 2))
    cost = 3.0 + 0.1 * ((demand[:, None] - disc[None]) ** 2).sum(axis=2)
    weights, mass = rng.gamma(1.0, 1.0, rows), rng.uniform(0.15, 0.18, discs)
    most = 0.165 * limit
    found = rw.choose(cost, limit, weights=weights, price=price, linear=([mass], [most]))
    assert found.objective == pytest.approx(
        full_model(cost, weights, limit, price, mass, most), rel=1e-7
    )
    assert found.gap <= 1e-6
    assert mass[list(found.chosen)].sum() <= most + 1e-9


# A road network of ten towns: (town, town, length). Made up; its optima are computed below by
# looking at every set, as Hakimi 1964 allows (an optimum lies on the nodes of the graph).
ROADS = [
    (0, 1, 4), (0, 2, 6), (1, 2, 3), (1, 3, 7), (2, 4, 5), (3, 4, 2), (3, 5, 6),
    (4, 6, 8), (5, 6, 3), (5, 7, 5), (6, 8, 4), (7, 8, 2), (7, 9, 6), (8, 9, 3), (2, 9, 12),
]  # fmt: skip
PEOPLE = np.array([15, 10, 12, 18, 5, 24, 11, 16, 13, 22], dtype=float)


@pytest.mark.parametrize("centres", [1, 2, 3, 4, 5])
def test_medians_of_a_road_network(centres: int) -> None:
    """Median of a graph: Hakimi 1964, Operations Research 12, 450-459; optimum computed."""
    lengths = np.zeros((10, 10))
    for left, right, length in ROADS:
        lengths[left, right] = lengths[right, left] = length
    distance = shortest_path(lengths)
    every = {
        chosen: float(PEOPLE @ distance[:, list(chosen)].min(axis=1))
        for chosen in combinations(range(10), centres)
    }
    found = rw.choose(distance, centres, weights=PEOPLE)
    assert found.objective == pytest.approx(min(every.values()))
    assert every[found.chosen] == pytest.approx(min(every.values()))


def test_single_median_obeys_the_majority_theorem() -> None:
    """Goldman 1971, Transportation Science 5, 212-221 (from memory): on a tree the median is
    the node from which no branch holds more than half of the weight."""
    tree = np.zeros((7, 7))
    for left, right, length in [(0, 1, 3), (1, 2, 9), (1, 3, 2), (3, 4, 8), (3, 5, 1), (5, 6, 7)]:
        tree[left, right] = tree[right, left] = length
    distance = shortest_path(tree)
    # From node 3: the branch over 1 holds 3 + 1 + 4 = 8, over 4 it is 2, over 5 it is 1 + 5 = 6;
    # with node 3's own 2 the whole is 18 and no branch holds more than 9.
    weights = np.array([3.0, 1.0, 4.0, 2.0, 2.0, 1.0, 5.0])
    assert rw.choose(distance, 1, weights=weights).chosen == (3,)
