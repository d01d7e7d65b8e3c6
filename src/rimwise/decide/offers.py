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

__all__ = ["MOST_OFFERS", "Tee", "looked_at_again", "offers_of"]

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
    lies = len(chosen.actions)
    offers = np.full((lies, MOST_OFFERS, 5), -1.0, dtype=np.float32)
    extra = chosen.action_cost - chosen.action_cost[:, :1]
    near = (chosen.actions[..., 0] >= 0) & (extra < _DEARER_STROKES)
    for lie in range(lies - 1):
        use = near[lie]
        _fill(offers[lie], chosen.policy[lie], chosen.actions[lie, use], extra[lie, use])
    _fill(offers[-1], chosen.policy[-1], *tee)
    return offers


def _fill(
    offers: NDArray[np.float32],
    policy: NDArray[np.float64],
    actions: NDArray[np.float64],
    extra: NDArray[np.float64],
) -> None:
    offers[0, :4], offers[0, 4] = policy, 0.0
    kept = 1
    for action, dearer in zip(actions, extra, strict=True):
        if kept == MOST_OFFERS:
            break
        if not _repeats(offers[:kept], action):
            offers[kept, :4], offers[kept, 4] = action, max(dearer, 0.0)
            kept += 1


def looked_at_again(problem: Problem, chosen: Chosen, sky: Sky) -> tuple[Chosen, Tee]:
    """Price every disc and line from the tee; give the policy the best of them.

    Parameters
    ----------
    sky
        The throws that the policy was chosen on.
    """
    from rimwise.decide._holes import land

    chosen = replace(chosen, policy=_nowhere_at_a_loss(problem, chosen.policy))
    tee = _from_tee(problem, chosen, sky)
    best = tee[0][0]
    if (best == chosen.policy[-1]).all():
        return chosen, tee
    policy, cost = chosen.policy.copy(), chosen.cost.copy()
    where, codes = chosen.where.copy(), chosen.codes.copy()
    policy[-1] = best
    action = np.ascontiguousarray(best[None, None])
    cost[-1] = _priced(problem, chosen, sky, action[0])[0]
    ends, said = where[-1:][:, None].copy(), codes[-1:][:, None].copy()
    lie = np.ascontiguousarray(problem.lattice.lies[-1:])
    land(sky, problem.terrain, problem.rules, problem.wind_rad, lie, action, ends, said)
    where[-1], codes[-1] = ends[0, 0], said[0, 0]
    return replace(chosen, policy=policy, cost=cost, where=where, codes=codes), tee


def _nowhere_at_a_loss(problem: Problem, policy: NDArray[np.float64]) -> NDArray[np.float64]:
    """Give lies without an action, to which few discs led the search, that of the nearest lie."""
    lost = np.flatnonzero(policy[:, 0] < 0)
    able = np.flatnonzero(policy[:, 0] >= 0)
    if not len(lost) or not len(able):
        return policy
    lies = problem.lattice.lies
    filled = policy.copy()
    for lie in lost:
        base = policy[able, 1].astype(np.intp)
        allowed = able[problem.allowed[int(lies[lie, 2]), base]]
        among = allowed if len(allowed) else able
        away_m = np.hypot(*(lies[among, :2] - lies[lie, :2]).T)
        filled[lie] = policy[among[np.argmin(away_m)]]
    return filled


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


def _repeats(kept: NDArray[np.float32], action: NDArray[np.float64]) -> bool:
    """Say whether a disc and line is among those kept, with a target near this one."""
    same = (kept[:, 0] == action[0]) & (kept[:, 1] == action[1])
    away_m = np.hypot(kept[:, 2] - action[2], kept[:, 3] - action[3])
    return bool((same & (away_m < _APART_M)).any())
