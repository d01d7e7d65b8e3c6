"""Choose the carry: the discs that together cost the fewest strokes, with proof.

The table of costs is frozen: rows are demands (a day, a hole, a lie) with weights, columns are
discs, and each row is played with the best disc that was brought. That is the p-median problem
(Hakimi 1964; ReVelle & Swain 1970), solved here to proven optimality.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from rimwise.decide.criteria import (
    Criterion,
    Score,
    Strokes,
    check_strokes,
    make_table,
)
from rimwise.decide.exchange import Cap, tidy
from rimwise.decide.proof import NODE_LIMIT, Proof
from rimwise.decide.rules import AtLeast, Linear, make_rules
from rimwise.errors import InputError, check_range

__all__ = [
    "Choice",
    "OrderedChoice",
    "Score",
    "Strokes",
    "choose",
    "choose_in_order",
    "choose_lexicographic",
    "how_many",
]

_SLIP = 1e-9
"""Relative rounding by which an earlier criterion may exceed its tolerance."""


@dataclass(frozen=True, slots=True)
class Choice:
    """The chosen discs and the proof that no other set is better.

    Parameters
    ----------
    chosen
        Sorted indices of the discs to carry.
    objective
        Strokes (and price) of exactly this set, computed from the table as given.
    bound
        No set that obeys the rules comes below this, to rounding.
    serves
        (rows,) the chosen disc that plays each row; the lowest number among equals.
    limit
        Most discs that were allowed.
    """

    chosen: tuple[int, ...]
    objective: float
    bound: float
    serves: tuple[int, ...]
    limit: int

    @property
    def gap(self) -> float:
        """Strokes that could at most still be saved: 0 to rounding when proven."""
        return self.objective - self.bound


@dataclass(frozen=True, slots=True)
class OrderedChoice:
    """A carry chosen by several criteria, the first first.

    Parameters
    ----------
    chosen
        Sorted indices of the discs to carry.
    names
        What the criteria are called, in order.
    objectives
        Each criterion's value for exactly this set.
    best
        The least each criterion can come to while those before it stay in tolerance.
    bounds
        Proven lower bounds on ``best``.
    """

    chosen: tuple[int, ...]
    names: tuple[str, ...]
    objectives: tuple[float, ...]
    best: tuple[float, ...]
    bounds: tuple[float, ...]

    @property
    def gaps(self) -> tuple[float, ...]:
        """How far each ``best`` may be from proven: 0 to rounding when proven."""
        return tuple(best - bound for best, bound in zip(self.best, self.bounds, strict=True))


def choose(
    cost: ArrayLike,
    limit: int,
    *,
    weights: ArrayLike | None = None,
    must: Iterable[int] = (),
    never: Iterable[int] = (),
    at_least: AtLeast = (),
    price: ArrayLike = 0.0,
    linear: Linear = None,
    node_limit: int = NODE_LIMIT,
) -> Choice:
    """Choose at most ``limit`` discs with the fewest strokes, proven.

    Minimises ``sum_r weights[r] * min over chosen d of cost[r, d] + price * (number chosen)``.

    Parameters
    ----------
    cost
        (rows, discs) strokes, finite. A disc that cannot do a job gets a large finite cost.
    limit
        Most discs to carry, 1 or more; at least one disc always goes. It may exceed the number
        of discs. A disc that saves nothing and that no rule asks for stays home, so fewer may
        come back.
    weights
        (rows,) zero or more, at least one above zero; all one when left out.
    must, never
        Indices of discs that have to go or have to stay.
    at_least
        Pairs (disc indices, k): at least k of these go.
    price
        Strokes charged for carrying a disc: one number, or (discs,). May be negative.
    linear
        (A, b) with A (rules, discs) and b (rules,): ``A @ x <= b`` over the indicator x of
        the chosen discs, such as grams or pocket rooms; met to 1e-9 of the row's size.
    node_limit
        Linear programs to branch on before giving up on proof; ``gap`` then says how far.

    Raises
    ------
    InputError
        When an argument is malformed or no carry can meet the rules.

    Notes
    -----
    Same input, same carry. Among equals single swaps prefer lower numbers.
    """
    table, load, toll = check_strokes(cost, weights, price)
    rules = make_rules(table.shape[1], limit, must, never, at_least, linear)
    ready = make_table(Strokes(table, load, toll), rules)
    start = rules.start()
    found, bound = Proof(ready, rules, (), start).best(rules.limit, start, node_limit)
    return _choice(table, load, toll, tidy(ready, rules, (), found), bound + ready.offset, limit)


def how_many(
    cost: ArrayLike,
    max_limit: int,
    *,
    weights: ArrayLike | None = None,
    must: Iterable[int] = (),
    never: Iterable[int] = (),
    at_least: AtLeast = (),
    price: ArrayLike = 0.0,
    linear: Linear = None,
    node_limit: int = NODE_LIMIT,
) -> tuple[Choice, ...]:
    """Choose for every limit up to ``max_limit``: what one more disc is worth.

    Parameters as for :func:`choose`. Limits too small for the rules are left out, so the first
    choice may have a ``limit`` above 1. Objectives never rise with the limit.

    Raises
    ------
    InputError
        As :func:`choose` with ``max_limit`` as the limit.
    """
    table, load, toll = check_strokes(cost, weights, price)
    rules = make_rules(table.shape[1], max_limit, must, never, at_least, linear)
    ready = make_table(Strokes(table, load, toll), rules)
    held = rules.start()
    proof = Proof(ready, rules, (), held)
    curve: list[Choice] = []
    for limit in range(len(held), rules.limit + 1):
        found, bound = proof.best(limit, held, node_limit)
        held = tidy(ready, rules.with_limit(limit), (), found)
        curve.append(_choice(table, load, toll, held, bound + ready.offset, limit))
    return tuple(curve)


def choose_in_order(
    criteria: Sequence[Criterion],
    limit: int,
    *,
    must: Iterable[int] = (),
    never: Iterable[int] = (),
    at_least: AtLeast = (),
    linear: Linear = None,
    node_limit: int = NODE_LIMIT,
) -> OrderedChoice:
    """Choose by the first criterion, among its near-equals by the second, and so on, proven.

    Strokes alone often say that nine discs do nearly all that twenty-two do; what the owner
    cares about next then decides. Each criterion is minimised over all sets that keep every
    earlier one within its ``tolerance`` of the least it could come to.

    Parameters
    ----------
    criteria
        :class:`Strokes` and :class:`Score`, most important first; the tolerance of the last
        one is not used.
    limit, must, never, at_least, linear, node_limit
        As for :func:`choose`.

    Raises
    ------
    InputError
        When an argument is malformed or no carry can meet the rules.
    """
    if not criteria:
        raise InputError("criteria must hold at least one criterion, but is empty.")
    for criterion in criteria:
        if not isinstance(criterion, Strokes | Score):
            raise InputError(f"criteria must hold Strokes or Score, but has {criterion!r}.")
        check_range(f"tolerance of {criterion.name}", criterion.tolerance, 0.0, 1e12)
    rules = make_rules(_discs(criteria[0]), limit, must, never, at_least, linear)
    tables = [make_table(criterion, rules) for criterion in criteria]
    held = rules.start()
    caps: tuple[Cap, ...] = ()
    best, bounds = [], []
    for criterion, table in zip(criteria, tables, strict=True):
        found, bound = Proof(table, rules, caps, held).best(rules.limit, held, node_limit)
        held = tidy(table, rules, caps, found)
        value = table.value(held)
        best.append(value + table.offset)
        bounds.append(min(value, bound) + table.offset)
        slip = _SLIP * max(1.0, abs(value))
        caps = (*caps, (table, value + criterion.tolerance + slip))
    return OrderedChoice(
        chosen=held,
        names=tuple(criterion.name for criterion in criteria),
        objectives=tuple(table.value(held) + table.offset for table in tables),
        best=tuple(best),
        bounds=tuple(bounds),
    )


def choose_lexicographic(
    cost: ArrayLike,
    limit: int,
    *,
    second: tuple[ArrayLike, ArrayLike | None] | Score,
    tolerance: float,
    weights: ArrayLike | None = None,
    must: Iterable[int] = (),
    never: Iterable[int] = (),
    at_least: AtLeast = (),
    price: ArrayLike = 0.0,
    linear: Linear = None,
    node_limit: int = NODE_LIMIT,
) -> OrderedChoice:
    """Choose by strokes, and among sets within ``tolerance`` of the best by ``second``.

    Parameters
    ----------
    second
        (cost2, weights2) such as strokes on the harshest days, or a :class:`Score`.
    tolerance
        Strokes by which the first objective may exceed its least, zero or more.
    cost, limit, weights, must, never, at_least, price, linear, node_limit
        As for :func:`choose`.

    Raises
    ------
    InputError
        When an argument is malformed or no carry can meet the rules.
    """
    if isinstance(second, Score):
        later: Criterion = second
    else:
        try:
            cost_next, weights_next = second
        except (TypeError, ValueError):
            raise InputError(
                "second must be a pair (cost, weights), where weights may be None, or a Score."
            ) from None
        later = Strokes(cost_next, weights_next, name="second")
    return choose_in_order(
        [Strokes(cost, weights, price, tolerance, "strokes"), later],
        limit,
        must=must,
        never=never,
        at_least=at_least,
        linear=linear,
        node_limit=node_limit,
    )


def _choice(
    cost: np.ndarray[tuple[int, ...], np.dtype[np.float64]],
    weights: np.ndarray[tuple[int, ...], np.dtype[np.float64]],
    price: np.ndarray[tuple[int, ...], np.dtype[np.float64]],
    chosen: tuple[int, ...],
    bound: float,
    limit: int,
) -> Choice:
    """Value a set on the table as given, whatever the solver said of it."""
    held = np.array(chosen)
    place = cost[:, held].argmin(axis=1)
    objective = float(weights @ cost[:, held].min(axis=1) + price[held].sum())
    serves = tuple(int(disc) for disc in held[place])
    return Choice(chosen, objective, min(bound, objective), serves, int(limit))


def _discs(criterion: Criterion) -> int:
    """Read the number of discs off the first criterion."""
    if isinstance(criterion, Score):
        return int(np.size(np.asarray(criterion.per_disc)))
    return int(check_strokes(criterion.cost, criterion.weights, criterion.price)[0].shape[1])
