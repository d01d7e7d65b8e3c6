"""Offers: of each lie's many priced actions the few that differ, to advise from later.

From the tee every disc and line that was flown is looked at once more: the search leaves out what
plainly is not the best, and a player wants a second and a third choice. Now and then it left out
the best one, so the policy takes from the tee what is found here.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from rimwise.decide.holes import Chosen
from rimwise.decide.posing import Problem

if TYPE_CHECKING:
    from rimwise.decide._holes import Sky

__all__ = ["MOST_OFFERS", "Tee", "looked_at_again", "offers_of", "with_actions"]

#: Offers kept of each lie.
MOST_OFFERS = 16
#: A disc's line is offered a second time where its target lies so far from the first one.
_APART_M = 12.0
#: What costs so much more than the best is nobody's choice.
_DEARER_STROKES = 0.5
#: From the tee actions are followed that are at most so much dearer than the policy's.
_TEE_STROKES = 0.3
#: Targets tried there: of so many of the tee's actions, and those of the best moved like this.
_TEE_TARGETS, _TEE_MOVED = 3, 24
_STEPS_M = np.array([(7.0, 0.0), (-7.0, 0.0), (0.0, 5.0), (0.0, -5.0)])


#: Actions (N, 4) from the tee, and how much dearer than the best they are, (N,); cheapest first.
Tee = tuple[NDArray[np.float64], NDArray[np.float64]]


def offers_of(chosen: Chosen, tee: Tee) -> NDArray[np.float32]:
    """Return the cheapest differing actions of every lie, (lie, MOST_OFFERS, 5), cheapest first.

    Columns are disc (−1 for none), base, x and y of the target, and how many strokes it is
    dearer than the best of its lie, on the throws that the policy was chosen on. The policy's
    own action always comes first.

    Parameters
    ----------
    tee
        What :func:`looked_at_again` found.
    """
    extra = chosen.action_cost - chosen.action_cost[:, :1]
    near = (chosen.actions[..., 0] >= 0) & (extra < _DEARER_STROKES)
    offers = _differing(chosen.policy, chosen.actions, extra, near)
    every = np.ones((1, len(tee[0])), dtype=np.bool_)
    offers[-1] = _differing(chosen.policy[-1:], tee[0][None], tee[1][None], every)[0]
    return offers


def _differing(
    policy: NDArray[np.float64],
    actions: NDArray[np.float64],
    extra: NDArray[np.float64],
    near: NDArray[np.bool_],
) -> NDArray[np.float32]:
    """Return (lie, MOST_OFFERS, 5): the policy's action, then the first that differ from others.

    Parameters
    ----------
    policy, actions, extra
        (lie, 4), (lie, action, 4), and (lie, action) how much dearer each is; cheapest first.
    near
        (lie, action): those that are offered at all.
    """
    offers = np.full((len(policy), MOST_OFFERS, 5), -1.0, dtype=np.float32)
    offers[:, 0, :4], offers[:, 0, 4] = policy, 0.0
    left = near & ~_repeats(actions, policy)
    lies = np.arange(len(policy))
    for place in range(1, MOST_OFFERS):
        first = left.argmax(axis=1)
        some = left[lies, first]
        if not some.any():
            break
        taken = actions[lies, first]
        offers[some, place, :4] = taken[some]
        offers[some, place, 4] = np.maximum(extra[lies, first], 0.0)[some]
        left &= ~_repeats(actions, taken)
    return offers


def _repeats(actions: NDArray[np.float64], one: NDArray[np.float64]) -> NDArray[np.bool_]:
    """Say which actions (lie, action, 4) are a lie's ``one`` (lie, 4) with a target near its."""
    same = (actions[..., :2] == one[:, None, :2]).all(axis=-1)
    away_m = np.hypot(actions[..., 2] - one[:, None, 2], actions[..., 3] - one[:, None, 3])
    return np.asarray(same & (away_m < _APART_M))


def looked_at_again(problem: Problem, chosen: Chosen, sky: Sky) -> tuple[Chosen, Tee]:
    """Price every disc and line from the tee; give the policy the best of them.

    Parameters
    ----------
    sky
        The throws that the policy was chosen on.
    """
    tee = _from_tee(problem, chosen, sky)
    best = tee[0][0]
    if (best == chosen.policy[-1]).all():
        return chosen, tee
    cost = _priced(problem, chosen, sky, best[None])
    tee_lie = np.array([len(chosen.policy) - 1])
    return with_actions(problem, chosen, sky, tee_lie, best[None], cost), tee


def with_actions(
    problem: Problem,
    chosen: Chosen,
    sky: Sky,
    lies: NDArray[np.intp],
    actions: NDArray[np.float64],
    cost: NDArray[np.float64],
) -> Chosen:
    """Return the policy with other actions (N, 4) from some lies (N,), which then cost ``cost``."""
    from rimwise.decide._holes import land

    policy, costs = chosen.policy.copy(), chosen.cost.copy()
    where, codes = chosen.where.copy(), chosen.codes.copy()
    policy[lies], costs[lies] = actions, cost
    ends, said = where[lies][:, None].copy(), codes[lies][:, None].copy()
    land(
        sky, problem.terrain, problem.rules, problem.wind_rad,
        np.ascontiguousarray(problem.lattice.lies[lies]),
        np.ascontiguousarray(actions[:, None]), ends, said,
    )  # fmt: skip
    where[lies], codes[lies] = ends[:, 0], said[:, 0]
    return replace(chosen, policy=policy, cost=costs, where=where, codes=codes)


def _from_tee(problem: Problem, chosen: Chosen, sky: Sky) -> Tee:
    """Price every disc and line from the tee that was flown; return the cheapest first.

    The targets are those of the tee's best actions, and the basket; then those of the best of
    what is found are moved a little.
    """
    pairs = np.argwhere(sky.pair >= 0).astype(np.float64)
    allowed = problem.allowed[int(problem.lattice.lies[-1, 2]), pairs[:, 1].astype(np.intp)]
    known = chosen.actions[-1][chosen.actions[-1, :, 0] >= 0]
    targets = np.array([[problem.ground.length_m, 0.0]])
    for action in known:
        if len(targets) <= _TEE_TARGETS and _far(targets, action[2:], _APART_M):
            targets = np.vstack([targets, action[2:]])
    pairs = pairs[allowed]
    actions = np.column_stack(
        [np.repeat(pairs, len(targets), axis=0), np.tile(targets, (len(pairs), 1))]
    )
    actions = np.vstack([chosen.policy[-1:], actions])
    cost = _priced(problem, chosen, sky, actions)
    best = actions[np.argsort(cost, kind="stable")[:_TEE_MOVED]]
    moved = np.repeat(best, len(_STEPS_M), axis=0)
    moved[:, 2:] += np.tile(_STEPS_M, (len(best), 1)) * (1.0, problem.side)
    actions = np.vstack([actions, moved])
    cost = np.concatenate([cost, _priced(problem, chosen, sky, moved)])
    order = np.argsort(cost, kind="stable")
    dearer = cost[order] - cost[0]
    near = dearer < _TEE_STROKES
    return actions[order[near]], dearer[near]


def _far(targets: NDArray[np.float64], point: NDArray[np.float64], apart_m: float) -> bool:
    return bool((np.hypot(*(targets - point).T) > apart_m).all())


def _priced(
    problem: Problem,
    chosen: Chosen,
    sky: Sky,
    actions: NDArray[np.float64],
) -> NDArray[np.float64]:
    """Price actions (N, 4) from the tee; what is plainly dearer than the first is not followed."""
    from rimwise.decide._holes import reprice

    cost = np.empty((1, len(actions)))
    reprice(
        sky, problem.terrain, problem.field(chosen.cost), problem.rules, problem.wind_rad,
        np.ascontiguousarray(problem.lattice.lies[-1:]), np.ascontiguousarray(actions[None]),
        problem.prices, _TEE_STROKES, cost,
    )  # fmt: skip
    return np.asarray(cost[0])
