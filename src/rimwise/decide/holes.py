"""The hole solver: strokes-to-finish from every lie of a real hole, and the throws to make.

Three sets of throws know nothing of each other. On the first, every disc, line and target is
screened while values are iterated from the basket outward; on the second, the best of them are
chosen from again; on the third, the policy so fixed is valued by exact flights, and only that
is told (see :mod:`rimwise.decide.fresh`). Choosing and telling on one set would promise too much.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from rimwise.decide.lattice import KINDS, Lattice
from rimwise.decide.posing import Problem, Sizes

if TYPE_CHECKING:
    from rimwise.decide._holes import Sky
    from rimwise.decide._terrain import Field

__all__ = ["Chosen", "Screened", "choose", "screen"]

Floats = NDArray[np.float64]

#: Targets tried where trouble is near: share of the way to the basket (or of the reach) and
#: heading; from going for the basket to laying up short and well aside.
_SHARES, _HEADINGS_DEG = (1.0, 0.92, 0.8, 0.65, 0.45), (0, -4, 4, -9, 9, -16, 16, -26, 26, -38, 38)
#: Targets tried where there is none.
_CLEAR_SHARES, _CLEAR_HEADINGS_DEG = (1.0, 0.92), (0, -4, 4)
#: Spacing of the targets, refined around the best.
_FINEST = (0.06, math.radians(4.0))
#: A first guess of strokes-to-finish: a putt and a bit, and so many metres a throw.
_GUESS_STROKES, _GUESS_M = 1.9, 70.0
_MOST_SWEEPS = 60
#: A lie's best actions are tried with targets moved by these steps.
_NUDGES_M = (5.0, 2.5)
_ASIDE = np.array([(1.0, 0.0), (-1.0, 0.0), (0.0, 1.0), (0.0, -1.0)])
#: A lie is offered the actions of so many searched lies around it.
_AROUND = 4
#: A lie farther than this from any landing is not chosen for.
_NEAR_CELLS = 2.0


@dataclass(frozen=True, slots=True, eq=False)
class Screened:
    """What the first set of throws leaves.

    Parameters
    ----------
    lattice
        The lies that were searched.
    actions
        (lie, action, 4): disc, base, x and y of the target point; disc −1 for none. The
        cheapest first.
    cost
        (lie,) strokes-to-finish by a throw, on the set they were chosen on.
    reached
        (N, 2) places where throws of the best actions end, coming from the tee.
    looked, priced, possible
        Throws looked at, those of them priced in full, and those there were.
    """

    lattice: Lattice
    actions: Floats
    cost: Floats
    reached: Floats
    looked: int
    priced: int
    possible: int


@dataclass(frozen=True, slots=True, eq=False)
class Chosen:
    """The policy, chosen on the second set.

    Parameters
    ----------
    actions, action_cost
        (lie, action, 4) and (lie, action) as in :class:`Screened`, priced on the second set.
    policy
        (lie, 4): the action of each lie.
    cost
        (lie,) strokes-to-finish by a throw on that same set, a little too good.
    where, codes
        (lie, sample, 2) and (lie, sample): landings of the policy.
    """

    actions: Floats
    action_cost: Floats
    policy: Floats
    cost: Floats
    where: NDArray[np.float32]
    codes: NDArray[np.uint8]
    sweeps: int
    residual: float


def screen(
    problem: Problem,
    sky: Sky,
    sizes: Sizes,
    *,
    lattice: Lattice | None = None,
    prune: bool = True,
) -> Screened:
    """Find each disc's best lines and targets from every lie, values iterated on the way.

    Parameters
    ----------
    lattice
        The lies to search; the coarse lattice when not given.
    prune
        Leave out what surely is dearer; ``False`` prices everything.
    """
    from rimwise.decide._holes import NEVER

    on = lattice or problem.coarse
    away = np.hypot(on.lies[:, 0] - problem.ground.length_m, on.lies[:, 1])
    cost = _GUESS_STROKES + away / _GUESS_M
    counts = np.zeros(2, dtype=np.int64)
    wanted = np.ones(len(on.lies), dtype=np.bool_)
    shape = (len(on.lies), len(sky.pair), sizes.kept, 4)
    best = np.full(shape, NEVER)
    tried = np.ones((len(on.lies), *sky.pair.shape), dtype=np.bool_)
    rounds = [True, False] if prune else [False]  # scouts go straight on
    where = np.empty(0, dtype=np.float32)
    for scouting in rounds * sizes.searches:
        _search(
            problem,
            on,
            sky,
            sizes,
            cost,
            best,
            wanted,
            tried,
            counts,
            prune=prune,
            straight=scouting,
        )
        actions = _cheapest(best, sizes.considered)
        top = np.ascontiguousarray(actions[:, : sizes.best])
        cost, _, where, _, _, _ = _iterate(problem, on, sky, top, cost, sizes.residual)
        if prune:  # lies that nobody comes to are not searched again
            wanted = _comes_to(on, _reached(on, where))
            tried = _promising(best, sky.pair.shape[1], sizes.promising)
    return Screened(
        on, actions, cost, _reached(on, where), int(counts[0]), int(counts[1]),
        _possible(on, sky),
    )  # fmt: skip


def _possible(lattice: Lattice, sky: Sky) -> int:
    """Return how many lines and targets there are."""
    grid = [len(_SHARES) * len(_HEADINGS_DEG), len(_CLEAR_SHARES) * len(_CLEAR_HEADINGS_DEG)]
    guarded = int(lattice.guarded.sum())
    targets = guarded * grid[0] + (len(lattice.lies) - guarded) * grid[1]
    return int((sky.pair >= 0).sum()) * targets


def _promising(best: Floats, bases: int, within: float) -> NDArray[np.bool_]:
    """Say which lines of which discs came near the best from each lie, (lie, disc, base)."""
    lies, discs, _, _ = best.shape
    near = best[..., 0] <= best[..., 0].min(axis=(1, 2), keepdims=True) + within
    lie, disc, place = np.nonzero(near)
    found = np.zeros((lies, discs, bases), dtype=np.bool_)
    found[lie, disc, best[lie, disc, place, 1].astype(np.intp)] = True
    return found


def _reached(lattice: Lattice, where: NDArray[np.float32]) -> Floats:
    """Return where throws come to from the tee, one after the other, (N, 2)."""
    seen = np.zeros(len(lattice.lies), dtype=np.bool_)
    ahead = np.array([len(seen) - 1])
    landings = []
    while len(ahead):
        seen[ahead] = True
        found = where[ahead].reshape(-1, 2).astype(np.float64)
        landings.append(found)
        kinds = [np.column_stack((found, np.full(len(found), kind))) for kind in KINDS]
        near = np.unique(lattice.nearest(np.vstack(kinds)))
        ahead = near[~seen[near]]
    return np.vstack(landings)


def _targets(*, guarded: bool) -> tuple[Floats, Floats]:
    """Return shares of the way, and headings with the straight one first."""
    shares, headings = (_SHARES, _HEADINGS_DEG) if guarded else (_CLEAR_SHARES, _CLEAR_HEADINGS_DEG)
    return np.array(shares), np.radians(np.array(headings, dtype=np.float64))


def _search(
    problem: Problem,
    lattice: Lattice,
    sky: Sky,
    sizes: Sizes,
    cost: Floats,
    best: Floats,
    wanted: NDArray[np.bool_],
    tried: NDArray[np.bool_],
    counts: NDArray[np.int64],
    *,
    prune: bool,
    straight: bool,
) -> None:
    """Search ring by ring; bring ``cost`` and the lines kept of each disc up to date."""
    from rimwise.decide._holes import NEVER, search
    from rimwise.decide._sweeps import fill

    terrain, rules = problem.terrain, problem.rules
    order = np.arange(len(sky.pair), dtype=np.int64)
    field = problem.field(cost, lattice)
    floor = _Floor(problem, lattice)
    for first, last in lattice.rings:
        lowest = floor.of(field) if prune else np.zeros(2)
        for guarded in (False, True):
            at = first + np.flatnonzero(
                (lattice.guarded[first:last] == guarded) & wanted[first:last]
            )
            if not len(at):
                continue
            shares, headings = _targets(guarded=guarded)
            headings = problem.side * headings
            finest = np.array([_FINEST[0], problem.side * _FINEST[1], sizes.aside])
            found = np.full((len(at), *best.shape[1:]), NEVER)
            least = np.full(len(at), NEVER)
            search(
                sky, terrain, field, lowest, rules, problem.wind_rad, lattice.lies[at],
                tried[at], order,
                shares, headings[:1] if straight else headings, finest,
                problem.prices, sizes.slack if prune else NEVER, found, least, prune, counts,
            )  # fmt: skip
            best[at], cost[at] = found, least
        fill(field, lattice.owner, lattice.extra, cost)
        order = np.argsort(best[first:last, :, 0, 0].mean(axis=0), kind="stable").astype(np.int64)


class _Floor:
    """The least that any lie at a whole distance from the basket, and up to the next, is worth."""

    def __init__(self, problem: Problem, lattice: Lattice) -> None:
        from rimwise.decide._terrain import PUTT_STEP_M

        _, rows, columns = lattice.owner.shape
        y = lattice.corner_m[1] + lattice.cell_m * np.arange(rows)
        x = lattice.corner_m[0] + lattice.cell_m * np.arange(columns)
        away = np.hypot(x[None, :] - problem.ground.length_m, y[:, None])
        self._bin = away.astype(np.intp).ravel()
        self._reach = math.ceil(1.5 * lattice.cell_m) + 1
        bins = int(self._bin.max()) + 1
        self._putt = np.full(bins, np.inf)
        at = np.minimum(np.arange(bins) / PUTT_STEP_M, 1e9).astype(np.intp)
        inside = at < len(problem.putt)
        self._putt[inside] = problem.putt[at[inside]]  # putts only get dearer farther out

    def of(self, field: Field) -> Floats:
        """Return the least worth, (metres,)."""
        from scipy.ndimage import minimum_filter1d

        throw = np.full(len(self._putt), np.inf)
        np.minimum.at(throw, self._bin, field.throw.min(axis=0).ravel())
        throw = minimum_filter1d(throw, 2 * self._reach + 1, mode="nearest")
        return np.asarray(np.minimum(throw, self._putt))


def _cheapest(best: Floats, most: int) -> Floats:
    """Return the cheapest actions of all discs, (lie, most, 4)."""
    from rimwise.decide._holes import NEVER

    lies, discs, kept, _ = best.shape
    disc = np.broadcast_to(np.arange(discs)[None, :, None], (lies, discs, kept))
    cost = best[..., 0].reshape(lies, -1)
    order = np.argsort(cost, axis=1, kind="stable")[:, :most]
    rows = np.arange(lies)[:, None]
    flat = best.reshape(lies, -1, 4)[rows, order]
    chosen = disc.reshape(lies, -1)[rows, order]
    actions = np.empty((lies, order.shape[1], 4))
    actions[..., 0] = np.where(flat[..., 0] < NEVER, chosen, -1)
    actions[..., 1:] = np.where(flat[..., :1] < NEVER, flat[..., 1:], 0.0)
    return actions


def _iterate(
    problem: Problem,
    lattice: Lattice,
    sky: Sky,
    actions: Floats,
    cost: Floats,
    residual: float,
) -> tuple[Floats, NDArray[np.int64], NDArray[np.float32], NDArray[np.uint8], int, float]:
    """Iterate values over kept actions to a residual (Gauss–Seidel, the basket first)."""
    from rimwise.decide._holes import land
    from rimwise.decide._sweeps import fill, sweep

    shape = (*actions.shape[:2], sky.points.shape[-1])
    where, codes = np.zeros((*shape, 2), dtype=np.float32), np.zeros(shape, dtype=np.uint8)
    land(sky, problem.terrain, problem.rules, problem.wind_rad, lattice.lies, actions, where, codes)
    cost, chosen = cost.copy(), np.zeros(len(actions), dtype=np.int64)
    field = problem.field(cost, lattice)
    change, sweeps = np.inf, 0
    while change > residual and sweeps < _MOST_SWEEPS:
        change = sweep(field, lattice.slots, actions, problem.prices, where, codes, cost, chosen)
        fill(field, lattice.owner, lattice.extra, cost)
        sweeps += 1
    return cost, chosen, where, codes, sweeps, float(change)


def choose(
    problem: Problem,
    sky: Sky,
    screened: Screened,
    sizes: Sizes,
    *,
    discs: NDArray[np.bool_] | None = None,
) -> Chosen:
    """Choose the policy among the screened actions on the second set of throws.

    Every lie is offered the actions of the searched lies around it. Lies that nobody comes to
    keep the worth that the searched lies give them.

    Parameters
    ----------
    discs
        (disc,) those that may be thrown; all when not given.
    """
    from rimwise.decide._holes import NEVER, reprice
    from rimwise.decide._terrain import worth

    lattice = problem.lattice
    actions = _offered(lattice, screened)
    actions[..., 0] = np.where(_may(problem, actions, discs), actions[..., 0], -1.0)
    known = np.empty((len(actions), 2))
    worth(problem.field(screened.cost, screened.lattice), lattice.lies, known)
    start = known[:, 1].copy()
    start[-1] = screened.cost[-1]
    comes = np.flatnonzero(_comes_to(lattice, screened.reached))
    cost = np.full(actions.shape[:2], NEVER)
    some = np.ascontiguousarray(actions[comes])
    priced = np.empty(some.shape[:2])
    reprice(
        sky, problem.terrain, problem.field(start), problem.rules, problem.wind_rad,
        lattice.lies[comes], some, problem.prices, sizes.slack, priced,
    )  # fmt: skip
    cost[comes] = priced
    if sizes.nudged:
        field = problem.field(start)
        actions, cost = _nudged(problem, sky, field, sizes, comes, actions, cost)
    order = np.argsort(cost, axis=1, kind="stable")
    rows = np.arange(len(actions))[:, None]
    actions, cost = actions[rows, order], cost[rows, order]
    top = np.ascontiguousarray(actions[:, : sizes.best])
    usual = top[:, 0].copy()
    top[cost[:, : sizes.best] >= NEVER, 0] = -1.0
    value, chosen, where, codes, sweeps, residual = _iterate(
        problem, lattice, sky, top, start, sizes.residual
    )
    one = np.arange(len(actions))
    policy = np.where(top[one, chosen, :1] >= 0, top[one, chosen], usual)
    return Chosen(
        actions, cost, policy, value, where[one, chosen], codes[one, chosen], sweeps, residual
    )


def _may(problem: Problem, actions: Floats, discs: NDArray[np.bool_] | None) -> NDArray[np.bool_]:
    """Say which actions (lie, action) the lies allow and the discs at hand."""
    disc, base = (np.maximum(actions[..., c], 0).astype(np.intp) for c in (0, 1))
    kind = problem.lattice.lies[:, 2].astype(np.intp)
    allowed = problem.allowed[kind[:, None], base]
    return allowed if discs is None else allowed & discs[disc]


def _nudged(
    problem: Problem,
    sky: Sky,
    field: Field,
    sizes: Sizes,
    comes: NDArray[np.intp],
    actions: Floats,
    cost: Floats,
) -> tuple[Floats, Floats]:
    """Try the best actions with their targets moved a little, where trouble is near.

    The first set's best target is where few throws happened to fare well; beside water that is
    metres from where many do.
    """
    from rimwise.decide._holes import NEVER, reprice

    at = comes[problem.lattice.guarded[comes]]
    lies = np.ascontiguousarray(problem.lattice.lies[at])
    rows = np.arange(len(at))[:, None]
    tried, priced = actions[at], cost[at]
    for step_m in _NUDGES_M:
        order = np.argsort(priced, axis=1, kind="stable")[:, : sizes.nudged]
        moved = np.repeat(tried[rows, order], len(_ASIDE), axis=1)
        moved[..., 2:] += np.tile(step_m * _ASIDE, (order.shape[1], 1)) * (1.0, problem.side)
        found = np.full(moved.shape[:2], NEVER)
        reprice(
            sky, problem.terrain, field, problem.rules, problem.wind_rad, lies,
            np.ascontiguousarray(moved), problem.prices, sizes.slack, found,
        )  # fmt: skip
        tried = np.concatenate([tried, moved], axis=1)
        priced = np.concatenate([priced, found], axis=1)
    order = np.argsort(priced, axis=1, kind="stable")[:, : actions.shape[1]]
    actions[at], cost[at] = tried[rows, order], priced[rows, order]
    return actions, cost


def _offered(lattice: Lattice, screened: Screened) -> Floats:
    """Return for every lie the best actions of the searched lies around it, (lie, most, 4)."""
    from scipy.spatial import cKDTree

    searched = screened.lattice
    if searched is lattice:
        return screened.actions.copy()
    each = max(screened.actions.shape[1] // _AROUND, 1)
    offered = np.zeros((len(lattice.lies), each * _AROUND, 4))
    offered[..., 0] = -1.0
    for kind in KINDS:
        own = np.flatnonzero(lattice.lies[:-1, 2] == kind)
        there = np.flatnonzero(searched.lies[:-1, 2] == kind)
        if not len(own):
            continue
        there = there if len(there) else np.arange(len(searched.lies) - 1)
        _, near = cKDTree(searched.lies[there, :2]).query(lattice.lies[own, :2], k=_AROUND)
        near = there[np.minimum(near, len(there) - 1)]
        best = screened.actions[near][:, :, :each]
        offered[own] = best.transpose(0, 2, 1, 3).reshape(len(own), -1, 4)
    tee = screened.actions[-1, : each * _AROUND]
    offered[-1, : len(tee)] = tee
    return offered


def _comes_to(lattice: Lattice, reached: Floats) -> NDArray[np.bool_]:
    """Say which lies are near enough to any landing to have a say in its worth."""
    from scipy.spatial import cKDTree

    away, _ = cKDTree(reached).query(lattice.lies[:, :2])
    near = np.asarray(away <= _NEAR_CELLS * lattice.cell_m, dtype=np.bool_)
    near[-1] = True
    return near
