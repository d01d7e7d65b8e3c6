"""Swaps between two seasons, each with the single factor whose reversal undoes it.

The second season's demand is kept: its lies, their weights and the strokes-to-finish are
frozen. One factor at a time (grip, arm, air, wind, ground, water) is taken back to the first
season, the lines are chosen anew, and the swap is priced again: does the disc that went out
now do as well as the one that came in?
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from rimwise.decide.clouds import CHOOSING, Simulator
from rimwise.decide.days import FACTORS, Day, couple_days
from rimwise.decide.demand import Demand, Progress, prices_for
from rimwise.decide.pricing import price_lies
from rimwise.records.assumptions import Assumptions

__all__ = ["Cause", "Swap", "find_swaps"]


#: Screening throws per line here; a power of two.
SCREENED = 32
#: The new season with nothing taken back.
AS_IT_IS = "as it is"


@dataclass(frozen=True, slots=True)
class Cause:
    """What one factor does to a swap.

    ``strokes`` is what the swap saves per round in the new season less what it would save
    with this factor as it was; ``undoes`` whether the swap would then no longer pay.
    """

    factor: str
    strokes: float
    undoes: bool


@dataclass(frozen=True, slots=True)
class Swap:
    """One disc out, one in, and why.

    ``saves`` is strokes per round in the new season, with one standard error, on the reporting
    throws; ``cause`` is ``None`` where the two are equal within error or no single factor
    undoes it, and ``causes`` lists every factor, the strongest first.
    """

    out: str | None
    into: str | None
    saves: float
    saves_se: float
    tie: bool
    cause: Cause | None
    causes: tuple[Cause, ...]


def find_swaps(
    simulator: Simulator,
    old_days: Sequence[Day],
    old_chosen: Sequence[int],
    new: Demand,
    new_chosen: Sequence[int],
    assume: Assumptions,
    *,
    progress: Progress = lambda _what, _share: None,
) -> tuple[Swap, ...]:
    """Pair what goes out with what comes in, and find each pair's cause.

    Parameters
    ----------
    old_days, old_chosen
        The season that ends and its carry, as positions in the fleet.
    new, new_chosen
        The demand of the season that begins and its carry.
    """
    out = sorted(set(old_chosen) - set(new_chosen))
    into = sorted(set(new_chosen) - set(old_chosen))
    pairs = _pair(new, out, into)
    changes: list[tuple[int | None, int | None]] = [*pairs, *_unpaired(pairs, out, into)]
    if not changes:
        return ()
    discs = {*old_chosen, *new_chosen}
    worlds = _worlds(simulator, old_days, new, discs, assume, progress)
    swaps = [_swap(new, sorted(new_chosen), o, i, worlds) for o, i in changes]
    return tuple(sorted(swaps, key=lambda s: (s.tie, -s.saves, s.out or "", s.into or "")))


def _pair(demand: Demand, out: Sequence[int], into: Sequence[int]) -> list[tuple[int, int]]:
    """Pair discs that do the most similar work: least mean difference of strokes."""
    from scipy.optimize import linear_sum_assignment

    if not out or not into:
        return []
    weights = demand.weights
    unlike = np.array(
        [
            [float(weights @ np.abs(demand.cost[:, o] - demand.cost[:, i])) for i in into]
            for o in out
        ]
    )
    rows, columns = linear_sum_assignment(unlike)
    return [(out[int(r)], into[int(c)]) for r, c in zip(rows, columns, strict=True)]


def _unpaired(
    pairs: Sequence[tuple[int, int]], out: Sequence[int], into: Sequence[int]
) -> list[tuple[int | None, int | None]]:
    gone, come = {o for o, _ in pairs}, {i for _, i in pairs}
    alone: list[tuple[int | None, int | None]] = [(o, None) for o in out if o not in gone]
    return alone + [(None, i) for i in into if i not in come]


@dataclass(frozen=True, slots=True, eq=False)
class _World:
    """The new season's rows, perhaps with one factor as it was: cost (row, disc) and weights."""

    cost: NDArray[np.float64]
    weights: NDArray[np.float64]

    def saves(self, before: Sequence[int], carry: Sequence[int]) -> float:
        """Strokes per round that the carry saves over the one before the swap."""
        gap = self.cost[:, list(before)].min(axis=1) - self.cost[:, list(carry)].min(axis=1)
        return float(self.weights @ gap)


def _swap(
    new: Demand,
    carry: Sequence[int],
    out: int | None,
    into: int | None,
    worlds: dict[str, _World],
) -> Swap:
    """Price one swap; a disc may also come or go without a partner."""
    before = [d for d in carry if d != into] + ([] if out is None else [out])
    saves, error = new.difference(before, carry)
    now = worlds[AS_IT_IS].saves(before, carry)
    causes = []
    for factor in FACTORS:
        then = worlds[factor].saves(before, carry)
        causes.append(Cause(factor, now - then, then <= 0.0 < now))
    causes.sort(key=lambda c: (-c.strokes, FACTORS.index(c.factor)))
    tie = saves < 2.0 * error or saves <= 0.0
    undoing = [c for c in causes if c.undoes and c.strokes > 0.0]
    cause = undoing[0] if undoing and not tie else None
    name = {d: new.fleet.ids[d] for d in (out, into) if d is not None}
    told = (None if out is None else name[out], None if into is None else name[into])
    return Swap(*told, saves, error, tie, cause, tuple(causes))


def _worlds(
    simulator: Simulator,
    old_days: Sequence[Day],
    new: Demand,
    discs: set[int],
    assume: Assumptions,
    progress: Progress,
) -> dict[str, _World]:
    """Price the new season's rows as they are, and with each factor taken back to the old one.

    All worlds are priced alike, on fewer screening throws than the plan. Discs that are in
    neither carry keep an infinite cost; no swap asks for them.
    """
    lighter = replace(simulator, screening=SCREENED)
    partners = _partners(new.days, old_days)
    keep = sorted(discs)
    steps = (len(FACTORS) + 1) * len(partners)
    worlds: dict[str, _World] = {}
    for f, factor in enumerate((AS_IT_IS, *FACTORS)):
        cost = np.full(new.cost.shape, np.inf)
        for number, (here, there) in enumerate(partners):
            told = "the new season" if factor == AS_IT_IS else f"as if the {factor} were as before"
            progress(told, (f * len(partners) + number) / steps)
            as_if = here if factor == AS_IT_IS else here.with_factor(factor, there)
            rows = [r for r, row in enumerate(new.rows) if row.day == number]
            if as_if == here and factor != AS_IT_IS:
                cost[rows] = worlds[AS_IT_IS].cost[rows]
            else:
                cost[np.ix_(rows, keep)] = _reprice(lighter, new, keep, rows, as_if, assume)
        worlds[factor] = _World(cost, new.weights)
    progress("done", 1.0)
    return worlds


def _partners(new_days: Sequence[Day], old_days: Sequence[Day]) -> list[tuple[Day, Day]]:
    """Pair every new day with the old day that shares most of its rank in wind."""
    pairs = couple_days(new_days, old_days)
    return [
        (here, max((p for p in pairs if p[0] == here), key=lambda p: p[2])[1]) for here in new_days
    ]


def _reprice(
    simulator: Simulator,
    new: Demand,
    keep: Sequence[int],
    rows: Sequence[int],
    day: Day,
    assume: Assumptions,
) -> NDArray[np.float64]:
    """Choose the lines anew on another day and price them: (row, kept disc) strokes."""
    fleet = new.fleet.subset(keep)
    prices = prices_for(fleet, day, assume)
    value = new.values[new.rows[rows[0]].day].strokes
    clouds = simulator.clouds(fleet, day)
    lies = [new.rows[r].lie for r in rows]
    actions = price_lies(
        clouds.points,
        day.wind.from_deg,
        lies,
        value,
        prices,
        clouds.nerve,
        threads=simulator.threads,
    )
    throws = simulator.throw_actions(fleet, day, lies, actions, CHOOSING)
    return np.asarray(throws.price(value, prices)[0].mean(axis=2, dtype=np.float64))
