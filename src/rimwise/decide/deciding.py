"""The last word on a lie's throw: its best few offers against each other, flown exactly.

Among hundreds of actions the one that looks best on a few hundred throws is often one that those
throws happened to suit, beside water above all. Where throws are often made from, the best few
that differ are thrown again, many more times, on draws that nothing else uses.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from rimwise.beliefs.fleet import Fleet
from rimwise.decide.clouds import Simulator
from rimwise.decide.days import Day
from rimwise.decide.fresh import Policy, drawn_for, first_visits, fly_policy, policy_of
from rimwise.decide.holes import Chosen
from rimwise.decide.offers import with_actions
from rimwise.decide.posing import Problem, Sizes

if TYPE_CHECKING:
    from rimwise.decide._holes import Sky

__all__ = ["decided"]

Floats = NDArray[np.float64]

#: Offers so much dearer on the throws of the choice are not flown again.
_DEARER_STROKES = 0.12
#: All are flown this share of the throws (1 in so many), and only those that then are at most so
#: much dearer than the best the others.
_EARLY, _DOUBT_STROKES = 4, 0.05


def decided(
    simulator: Simulator,
    fleet: Fleet,
    day: Day,
    problem: Problem,
    chosen: Chosen,
    sky: Sky,
    offers: NDArray[np.float32],
    sizes: Sizes,
    *,
    draw_set: int,
) -> tuple[Chosen, NDArray[np.float32]]:
    """Fly the best offers of lies that are often thrown from; return what is then chosen.

    Parameters
    ----------
    sky
        The throws that the policy was chosen on.
    offers
        (lie, offer, 5), see :mod:`rimwise.decide.offers`.
    draw_set
        Number of a set of throws that nothing else uses.

    Returns
    -------
    The policy, and the offers with what was found of how much dearer they are, cheapest first.
    """
    visits = first_visits(problem, chosen)
    lies = np.flatnonzero(visits >= sizes.decided_at)
    often = np.ceil(sizes.deciding * np.minimum(visits[lies], 1.0)).astype(np.int64)
    often = np.maximum(often, min(sizes.choosing, sizes.deciding))
    few = offers[lies, : sizes.decided].astype(np.float64)
    policy = policy_of(problem, chosen, sky)

    def flown(
        which: NDArray[np.bool_], first: NDArray[np.int64], last: NDArray[np.int64]
    ) -> Floats:
        row, place = np.nonzero(which)
        thrown = replace(policy, actions=few[row, place, :4])
        span = _Span(lies[row], first[row], last[row])
        cost = np.full(which.shape, np.inf)
        cost[row, place] = _means(
            simulator, fleet, day, thrown, chosen.cost, span, draw_set, sizes.deciding
        )
        return cost

    # All of them a little, then the best of them the rest of the throws.
    early = -(-often // _EARLY)
    first = flown((few[..., 0] >= 0) & (few[..., 4] < _DEARER_STROKES), np.zeros_like(early), early)
    near = first <= first.min(axis=1, keepdims=True) + _DOUBT_STROKES
    more = flown(near, early, often)
    weight = (early / often)[:, None]
    cost = np.where(near, weight * first + (1.0 - weight) * more, first + _DOUBT_STROKES)
    told = offers.copy()
    told[lies] = _in_order(offers[lies], cost)
    best = few[np.arange(len(lies)), cost.argmin(axis=1), :4]
    return with_actions(problem, chosen, sky, lies, best, cost.min(axis=1)), told


@dataclass(frozen=True, slots=True, eq=False)
class _Span:
    """Which throws are made: of each action from a lie those from ``first`` up to ``last``."""

    lies: NDArray[np.intp]
    first: NDArray[np.int64]
    last: NDArray[np.int64]


def _means(
    simulator: Simulator,
    fleet: Fleet,
    day: Day,
    policy: Policy,
    after: Floats,
    span: _Span,
    draw_set: int,
    pool: int,
) -> Floats:
    """Return what each action (N,) of a policy costs where later lies are worth ``after``."""
    from rimwise.decide._sweeps import follow

    problem = policy.problem
    counts = span.last - span.first
    where, codes = fly_policy(
        simulator, fleet, day, policy, problem.lattice.lies[span.lies], counts,
        drawn_for(counts, span.lies, pool, span.first), draw_set, pool,
    )  # fmt: skip
    price = np.ascontiguousarray(problem.prices[policy.actions[:, 0].astype(np.intp)])
    start = np.concatenate([[0], np.cumsum(counts)])
    alone = np.full((len(counts), 3), -1, dtype=np.int64)  # they do not see each other's change
    field, cost, each = problem.field(after), after[span.lies], np.empty(len(codes))
    follow(field, field, alone, start, where, codes, price, cost, each)
    return cost


def _in_order(offers: NDArray[np.float32], cost: Floats) -> NDArray[np.float32]:
    """Return offers (lie, offer, 5) with costs (lie, few) told of the first few, cheapest first."""
    told = offers.copy()
    flown = np.isfinite(cost)
    dearer = cost - cost.min(axis=1, keepdims=True)
    few = told[:, : cost.shape[1], 4]
    few[flown] = dearer[flown]
    last = np.where(told[..., 0] >= 0, told[..., 4], np.inf)
    order = np.argsort(last, axis=1, kind="stable")
    return np.asarray(np.take_along_axis(told, order[..., None], axis=1))
