"""Small choosing problems and their answers by looking at every set."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations
from typing import Any

import numpy as np
from hypothesis import strategies as st
from numpy.typing import NDArray

ROOM = 1e-9


@dataclass(frozen=True, eq=False)
class Case:
    cost: NDArray[np.float64]
    weights: NDArray[np.float64]
    price: NDArray[np.float64]
    limit: int
    must: tuple[int, ...]
    never: tuple[int, ...]
    at_least: tuple[tuple[tuple[int, ...], int], ...]
    linear: tuple[NDArray[np.float64], NDArray[np.float64]] | None

    @property
    def rules(self) -> dict[str, Any]:
        return {
            "must": self.must,
            "never": self.never,
            "at_least": self.at_least,
            "linear": self.linear,
        }

    def value(self, chosen: tuple[int, ...]) -> float:
        held = list(chosen)
        return float(self.weights @ self.cost[:, held].min(axis=1) + self.price[held].sum())

    def obeys(self, chosen: tuple[int, ...]) -> bool:
        held = set(chosen)
        if not set(self.must) <= held or held & set(self.never):
            return False
        if any(len(held & set(group)) < least for group, least in self.at_least):
            return False
        if self.linear is None:
            return True
        left, right = self.linear
        return bool(np.all(left[:, list(chosen)].sum(axis=1) <= right + ROOM))

    def sets(self, limit: int | None = None) -> list[tuple[int, ...]]:
        """Every set that obeys the rules."""
        most = min(self.cost.shape[1], self.limit if limit is None else limit)
        return [
            chosen
            for size in range(1, most + 1)
            for chosen in combinations(range(self.cost.shape[1]), size)
            if self.obeys(chosen)
        ]


@st.composite
def cases(draw: st.DrawFn) -> Case:
    discs, rows = draw(st.integers(1, 8)), draw(st.integers(1, 12))
    rng = np.random.default_rng(draw(st.integers(0, 2**32 - 1)))
    if draw(st.booleans()):
        cost = rng.uniform(2.0, 5.0, (rows, discs))
    else:
        cost = rng.integers(2, 5, (rows, discs)).astype(float)
    shuffled = [int(disc) for disc in rng.permutation(discs)]
    musts = draw(st.integers(0, min(2, discs)))
    nevers = draw(st.integers(0, min(2, discs - musts)))
    groups = []
    for _ in range(draw(st.integers(0, 2))):
        group = tuple(int(d) for d in rng.choice(discs, rng.integers(1, discs + 1), replace=False))
        groups.append((group, draw(st.integers(0, min(2, len(group))))))
    sums = draw(st.integers(0, 2))
    left = rng.integers(-1, 4, (sums, discs)).astype(float)
    return Case(
        cost=cost,
        weights=rng.integers(0, 4, rows) + np.eye(1, rows)[0],
        price=rng.uniform(-0.2, 0.6, discs) * draw(st.sampled_from([0.0, 1.0])),
        limit=draw(st.integers(1, discs + 1)),
        must=tuple(shuffled[:musts]),
        never=tuple(shuffled[musts : musts + nevers]),
        at_least=tuple(groups),
        linear=(left, rng.integers(0, 9, sums).astype(float)) if sums else None,
    )


@st.composite
def full_cases(draw: st.DrawFn) -> Case:
    """Cases with every kind of wish in play at once, which some hidden set can meet.

    Must, never, two groups of which enough go, a price for each disc, a weight, at most one of
    a group, a moment that may be negative, and few changes from an earlier carry.
    """
    discs, rows = draw(st.integers(4, 9)), draw(st.integers(1, 14))
    rng = np.random.default_rng(draw(st.integers(0, 2**32 - 1)))
    cost = rng.uniform(2.0, 5.0, (rows, discs))
    if draw(st.booleans()):
        cost = np.round(cost)
    order = [int(disc) for disc in rng.permutation(discs)]
    hidden = order[: draw(st.integers(2, discs - 1))]
    group = [int(d) for d in rng.choice(discs, 3, replace=False)]
    there = len(set(group) & set(hidden))
    every, inside = np.arange(discs), np.isin(np.arange(discs), hidden)
    mass, arm = rng.uniform(0.15, 0.18, discs), rng.uniform(-0.2, 0.4, discs)
    one = np.isin(every, [hidden[-1], *order[len(hidden) :][:2]]).astype(float)
    earlier = np.isin(every, rng.choice(discs, discs // 2, replace=False))
    rows_of = [mass, arm, one, (~earlier).astype(float), -earlier.astype(float)]
    room = [0.02, 0.1, 0.0, 1.0, 1.0]
    most = [float(row[inside].sum()) + slack for row, slack in zip(rows_of, room, strict=True)]
    return Case(
        cost=cost,
        weights=rng.integers(0, 4, rows) + np.eye(1, rows)[0],
        price=rng.uniform(-0.2, 0.6, discs),
        limit=len(hidden) + draw(st.integers(0, 1)),
        must=(hidden[0],),
        never=(order[-1],),
        at_least=((tuple(group), there), (tuple(hidden), 1)),
        linear=(np.array(rows_of), np.array(most)),
    )


def field(seed: int, rows: int, discs: int) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Costs with the shape real ones have: discs and demands differ in a few traits."""
    rng = np.random.default_rng(seed)
    demand, disc = rng.normal(size=(rows, 3)), rng.normal(size=(discs, 3))
    apart = ((demand[:, None] - disc[None]) ** 2).sum(axis=2)
    cost = 3.0 + 0.1 * apart / (1.0 + 0.2 * apart) + 0.005 * rng.normal(size=(rows, discs))
    return cost, rng.gamma(1.0, 1.0, rows)
