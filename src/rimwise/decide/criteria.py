"""What a carry is judged by: strokes of the best chosen disc on each row, or a sum over discs.

The first kind is the p-median objective (Hakimi 1964, Operations Research 12, 450-459; as an
integer program ReVelle & Swain 1970, Geographical Analysis 2, 30-42): rows are demands, discs
are the places that may serve them. The second kind is a plain sum of one number per disc.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from rimwise.decide.rules import Rules, finite_array
from rimwise.errors import InputError

__all__ = ["Criterion", "Score", "Strokes", "Table", "check_strokes", "make_table"]


@dataclass(frozen=True, slots=True, eq=False)
class Strokes:
    """Minimise ``sum_r weights[r] * min over chosen d of cost[r, d] + price of the chosen``.

    Parameters
    ----------
    cost
        (rows, discs) strokes.
    weights
        (rows,) zero or more; all one when left out.
    price
        Strokes for carrying a disc at all: one number, or (discs,).
    tolerance
        How much worse than its best (same unit as the objective, zero or more) this criterion
        may become for the sake of the criteria after it.
    name
        What to call it in a report.
    """

    cost: ArrayLike
    weights: ArrayLike | None = None
    price: ArrayLike = 0.0
    tolerance: float = 0.0
    name: str = "strokes"


@dataclass(frozen=True, slots=True, eq=False)
class Score:
    """Minimise the sum of one number per chosen disc, such as belief uncertainty or change.

    Parameters
    ----------
    per_disc
        (discs,) any finite numbers; negative ones reward carrying the disc.
    tolerance
        How much worse than its best this criterion may become for the criteria after it.
    name
        What to call it in a report.
    """

    per_disc: ArrayLike
    tolerance: float = 0.0
    name: str = "score"


Criterion = Strokes | Score


@dataclass(frozen=True, slots=True, eq=False)
class Table:
    """A criterion made ready for the search: merged rows, best cost of each row taken out.

    ``offset + weights @ min(regret over chosen) + price of the chosen`` is the objective of any
    set that obeys the rules the table was made for; other sets are not served right.

    Parameters
    ----------
    regret, weights
        (merged rows, discs) and (merged rows,); no rows for a plain sum.
    price
        (discs,).
    offset
        What even the best disc on every row costs.
    """

    regret: NDArray[np.float64]
    weights: NDArray[np.float64]
    price: NDArray[np.float64]
    offset: float

    def value(self, chosen: Sequence[int]) -> float:
        """Return the objective of a set, without the offset."""
        held = list(chosen)
        strokes = self.weights @ self.regret[:, held].min(axis=1)
        return float(strokes + self.price[held].sum())

    def value_with_each(self, kept: Sequence[int]) -> NDArray[np.float64]:
        """Return (discs,): the objective of ``kept`` plus that one disc, without the offset."""
        held = list(kept)
        served = self.regret
        if held:
            served = np.minimum(served, self.regret[:, held].min(axis=1)[:, None])
        total: NDArray[np.float64] = self.weights @ served + self.price + self.price[held].sum()
        return total

    def exchanged(
        self, chosen: Sequence[int]
    ) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
        """Return the objective, to rounding, after adding, dropping or swapping one disc.

        (discs,) with that disc added, (chosen,) with one dropped, and (chosen, discs) with one
        dropped and another added. A row whose disc is dropped falls back on its second best, so
        that one pass over the table tells all of them (Whitaker 1983, "A fast algorithm for the
        greedy interchange for large-scale clustering and median location problems", INFOR 21,
        95-108, cited from memory).
        """
        held = np.asarray(chosen, dtype=np.intp)
        mine = self.regret[:, held]
        serves = mine.argmin(axis=1) if len(mine) else np.zeros(0, dtype=np.intp)
        every = np.arange(len(mine))
        first = mine[every, serves]
        mine[every, serves] = np.inf
        second = mine.min(axis=1, initial=np.inf)
        beside = np.minimum(self.regret, first[:, None])
        price = self.price[held].sum()
        added = self.weights @ beside + price + self.price
        more = (np.minimum(self.regret, second[:, None]) - beside) * self.weights[:, None]
        order = np.argsort(serves, kind="stable")
        served, starts = np.unique(serves[order], return_index=True)
        left = np.zeros((len(held), self.regret.shape[1]))
        if len(served):
            left[served] = np.add.reduceat(more[order], starts, axis=0)
        kept = np.bincount(serves, weights=self.weights * second, minlength=len(held))
        kept -= np.bincount(serves, weights=self.weights * first, minlength=len(held))
        dropped = self.weights @ first + kept + price - self.price[held]
        return added, dropped, added[None] + left - self.price[held][:, None]


def check_strokes(
    cost: ArrayLike, weights: ArrayLike | None = None, price: ArrayLike = 0.0
) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
    """Return cost (rows, discs), weights (rows,) and price (discs,) as checked arrays.

    Raises
    ------
    InputError
        When a shape does not fit, a number is not finite or a weight is negative.
    """
    table = finite_array("cost", cost)
    if table.ndim != 2 or 0 in table.shape:
        raise InputError(
            "cost must be a table with at least one row and one disc (rows, discs), "
            f"but has shape {table.shape}."
        )
    rows, discs = table.shape
    load = np.ones(rows) if weights is None else finite_array("weights", weights)
    if load.shape != (rows,):
        raise InputError(
            f"weights must hold one number for each of the {rows} rows of cost, "
            f"but has shape {load.shape}."
        )
    if load.min() < 0.0:
        raise InputError(
            f"weights must be zero or more, but row {int(load.argmin())} has {load.min():g}."
        )
    if not load.any():
        raise InputError("weights are all zero, so no row counts; give at least one above zero.")
    toll = finite_array("price", price)
    if toll.shape not in ((), (discs,)):
        raise InputError(
            f"price must be one number or one for each of the {discs} discs, "
            f"but has shape {toll.shape}."
        )
    return table, load, np.broadcast_to(toll, (discs,)).copy()


def make_table(criterion: Criterion, rules: Rules) -> Table:
    """Check a criterion and reduce it to what the rules leave open.

    A row is never served worse than by a disc that must go, discs that never go serve no row,
    and rows that look alike after that are merged.
    """
    if isinstance(criterion, Score):
        score = finite_array(criterion.name, criterion.per_disc)
        if score.shape != (rules.discs,):
            raise InputError(
                f"{criterion.name} must hold one number for each of the {rules.discs} discs, "
                f"but has shape {score.shape}."
            )
        return Table(np.zeros((0, rules.discs)), np.zeros(0), score, 0.0)
    cost, weights, price = check_strokes(criterion.cost, criterion.weights, criterion.price)
    if cost.shape[1] != rules.discs:
        raise InputError(
            f"the cost of {criterion.name} must have {rules.discs} columns, one for each disc, "
            f"but has {cost.shape[1]}."
        )
    counted = weights > 0.0
    cost, weights = cost[counted], weights[counted]
    best = cost[:, rules.free].min(axis=1)
    regret = cost - best[:, None]
    worst = regret[:, rules.free].max(axis=1)
    if rules.must:
        worst = regret[:, list(rules.must)].min(axis=1)
    regret[:, ~rules.free] = worst[:, None]
    merged, where = np.unique(np.minimum(regret, worst[:, None]), axis=0, return_inverse=True)
    load = np.bincount(where.ravel(), weights=weights).astype(np.float64)
    return Table(merged, load, price, float(weights @ best))
