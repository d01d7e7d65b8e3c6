"""A rule for the pocket: three sentences that can be remembered without a phone.

A *decision list* (Rivest 1987): if the first condition holds take the first disc, else if the
second holds take the second, else the third. All pairs of conditions from a short list are tried,
with the best disc of the carry for each part; what it costs against choosing afresh on every throw
is told on throws that had no part in choosing it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import permutations

import numpy as np
from numpy.typing import NDArray

from rimwise.decide.demand import Demand
from rimwise.decide.wanted import FELT_WIND_M_S

__all__ = ["Clause", "PocketRule", "find_rule"]

#: Distances at which a rule may divide throws, m.
DISTANCES_M = (40.0, 50.0, 60.0, 70.0, 80.0, 90.0, 100.0, 120.0)
#: A part that fewer of all throws fall in is no sentence.
FEWEST_SHARE = 0.05


@dataclass(frozen=True, slots=True)
class Clause:
    """One sentence: a condition (``None``: otherwise) and the disc to take.

    ``kind`` is "shorter", "longer", "into the wind", "downwind", "wind from the left" or "wind
    from the right"; ``metres`` belongs to the first two. ``throws`` is how many a round it covers.
    """

    kind: str | None
    metres: float | None
    disc: int
    throws: float


@dataclass(frozen=True, slots=True)
class PocketRule:
    """The rule, and what it costs a round against choosing afresh, with one standard error."""

    clauses: tuple[Clause, ...]
    costs: float
    costs_se: float


def find_rule(demand: Demand, carry: Sequence[int]) -> PocketRule:
    """Return the cheapest rule of up to three sentences for a carry."""
    discs = sorted(carry)
    load = demand.weights[:, None] * demand.cost[:, discs]
    conditions = _conditions(demand)
    fewest = FEWEST_SHARE * float(demand.weights.sum())
    best: tuple[float, tuple[int, ...]] | None = None
    for first, second in permutations(range(len(conditions)), 2):
        parts = _parts(conditions, (first, second))
        if any(part.any() and demand.weights[part].sum() < fewest for part in parts):
            continue
        cost = sum(float(load[part].sum(axis=0).min()) for part in parts)
        if best is None or cost < best[0] - 1e-12:
            best = cost, (first, second)
    order = () if best is None else best[1]
    clauses, served = [], np.zeros(len(demand.rows), dtype=np.intp)
    for place, part in enumerate(_parts(conditions, order)):
        if not part.any():
            continue
        disc = discs[int(np.argmin(load[part].sum(axis=0)))]
        served[part] = disc
        kind, metres = conditions[order[place]][:2] if place < len(order) else (None, None)
        clauses.append(Clause(kind, metres, disc, float(demand.weights[part].sum())))
    costs, error = demand.mixed_difference(served, demand.serves(discs))
    return PocketRule(tuple(clauses), costs, error)


_Condition = tuple[str, float | None, NDArray[np.bool_]]


def _conditions(demand: Demand) -> list[_Condition]:
    """Return conditions that a player can tell without a phone, and the rows they hold on."""
    away = np.array([row.lie.distance_m for row in demand.rows])
    found: list[_Condition] = []
    for metres in DISTANCES_M:
        found += [("shorter", metres, away < metres), ("longer", metres, away >= metres)]
    head, left = _winds(demand)
    found.append(("into the wind", None, head >= FELT_WIND_M_S))
    found.append(("downwind", None, head <= -FELT_WIND_M_S))
    found.append(("wind from the left", None, left >= FELT_WIND_M_S))
    found.append(("wind from the right", None, left <= -FELT_WIND_M_S))
    return found


def _winds(demand: Demand) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return the wind against each row's throw and from its left, m/s."""
    head, left = np.empty(len(demand.rows)), np.empty(len(demand.rows))
    for r, row in enumerate(demand.rows):
        wind = demand.days[row.day].wind
        off = math.radians(wind.from_deg - row.lie.bearing_deg)
        head[r] = wind.speed_m_s * math.cos(off)
        left[r] = -wind.speed_m_s * math.sin(off)
    return head, left


def _parts(conditions: Sequence[_Condition], order: Sequence[int]) -> list[NDArray[np.bool_]]:
    """Return the rows of each sentence, in order, and those that are left."""
    left = np.ones(len(conditions[0][2]), dtype=np.bool_)
    parts = []
    for which in order:
        parts.append(left & conditions[which][2])
        left = left & ~conditions[which][2]
    return [*parts, left]
