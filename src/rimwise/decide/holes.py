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

from rimwise.decide.coming import Coming, coming_of
from rimwise.decide.lattice import KINDS, Lattice
from rimwise.decide.posing import Problem, Sizes

if TYPE_CHECKING:
    from rimwise.decide._holes import Sky
    from rimwise.decide._terrain import Field

__all__ = ["Chosen", "Screened", "choose", "offered", "screen"]

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
#: Targets of a lie that are tried with every disc lie so far apart.
_APART_M = 8.0


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
    coming
        Where throws of the best actions come to.
    looked, priced, possible
        Throws looked at, those of them priced in full, and those there were.
    """

    lattice: Lattice
    actions: Floats
    cost: Floats
    coming: Coming
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
    on = lattice or problem.coarse
    counts = np.zeros(2, dtype=np.int64)
    if prune:
        cost, actions, coming, tried = _scouted(problem, on, sky, sizes, counts)
    else:
        cost = _guess(problem, on)
        actions = np.full((len(on.lies), sizes.considered, 4), -1.0)
        coming = Coming(on.lies, np.ones(len(on.lies)))
        tried = np.ones((len(on.lies), *sky.pair.shape), dtype=np.bool_)
    wanted = coming.at(on) >= sizes.rarest
    best = _search(
        problem, on, sky, sizes, cost, wanted, tried, counts, prune=prune, straight=False
    )
    actions[wanted] = _cheapest(best[wanted], sizes.considered)
    cost, coming = _settled(problem, on, sky, sizes, actions, cost)
    if sizes.crossed:
        at = np.flatnonzero(coming.at(on) >= (sizes.crossed_at if prune else 0.0))
        actions = _crossed(problem, on, sky, sizes, cost, actions, at)
        cost, coming = _settled(problem, on, sky, sizes, actions, cost)
    return Screened(on, actions, cost, coming, int(counts[0]), int(counts[1]), _possible(on, sky))


def _guess(problem: Problem, lattice: Lattice) -> Floats:
    away = np.hypot(lattice.lies[:, 0] - problem.ground.length_m, lattice.lies[:, 1])
    return np.asarray(_GUESS_STROKES + away / _GUESS_M)


def _scouted(
    problem: Problem, on: Lattice, sky: Sky, sizes: Sizes, counts: NDArray[np.int64]
) -> tuple[Floats, Floats, Coming, NDArray[np.bool_]]:
    """Look straight on with few throws from few lies; say what it means for those of ``on``.

    Returns
    -------
    What they may cost (lie,), actions (lie, action, 4), where throws come to, and which lines of
    which discs are worth a closer look from each lie (lie, disc, base).
    """
    from rimwise.decide._terrain import worth

    wide = problem.wide
    every = np.ones((len(wide.lies), *sky.pair.shape), dtype=np.bool_)
    cost, few = _guess(problem, wide), _first_of(sky, sizes.scouting)
    best = _search(
        problem, wide, few, sizes, cost, every[:, 0, 0], every, counts, prune=True, straight=True
    )
    actions = _cheapest(best, sizes.considered)
    cost, coming = _settled(problem, wide, sky, sizes, actions, cost)
    promising = _promising(best, sky.pair.shape[1], sizes.promising)
    known = np.empty((len(on.lies), 2))
    worth(problem.field(cost, wide), on.lies, known)
    start = np.append(known[:-1, 1], cost[-1])
    tried = np.asarray(promising[_near(on, wide)].any(axis=1))
    return start, _around(on, wide, actions), coming, tried


def _first_of(sky: Sky, samples: int) -> Sky:
    """Return a sky with its first throws only, aimed as before."""
    points = np.ascontiguousarray(sky.points[..., :samples])
    return sky._replace(points=points, nerve=sky.nerve[:samples])


def _settled(
    problem: Problem, lattice: Lattice, sky: Sky, sizes: Sizes, actions: Floats, cost: Floats
) -> tuple[Floats, Coming]:
    """Iterate values over the best actions; return them and where throws come to."""
    top = np.ascontiguousarray(actions[:, : sizes.best])
    cost, _, where, codes, _, _ = _iterate(problem, lattice, sky, top, cost, sizes.residual)
    return cost, coming_of(problem, lattice, top, where, codes, cost)


def _crossed(
    problem: Problem,
    lattice: Lattice,
    sky: Sky,
    sizes: Sizes,
    cost: Floats,
    actions: Floats,
    at: NDArray[np.intp],
) -> Floats:
    """Try every disc and line at the best targets that others found, from some lies.

    The search stops early with a disc whose own first targets fare badly.
    """
    from rimwise.decide._holes import NEVER, reprice

    pairs = np.argwhere(sky.pair >= 0).astype(np.float64)
    tried = np.zeros((len(at), sizes.crossed * len(pairs), 4))
    tried[..., 0] = -1.0
    for row, lie in enumerate(at):
        allowed = pairs[problem.allowed[int(lattice.lies[lie, 2]), pairs[:, 1].astype(np.intp)]]
        for n, target in enumerate(_apart(actions[lie], sizes.crossed)):
            tried[row, n * len(pairs) : n * len(pairs) + len(allowed), :2] = allowed
            tried[row, n * len(pairs) : n * len(pairs) + len(allowed), 2:] = target
    merged = np.concatenate([actions[at], tried], axis=1)
    priced = np.full(merged.shape[:2], NEVER)
    reprice(
        sky, problem.terrain, problem.field(cost, lattice), problem.rules, problem.wind_rad,
        np.ascontiguousarray(lattice.lies[at]), merged, problem.prices, sizes.slack, priced,
    )  # fmt: skip
    order = np.argsort(priced, axis=1, kind="stable")[:, : actions.shape[1]]
    rows = np.arange(len(at))[:, None]
    merged[priced >= NEVER, 0] = -1.0
    crossed = actions.copy()
    crossed[at] = merged[rows, order]
    return crossed


def _apart(actions: Floats, most: int) -> list[Floats]:
    """Return the targets of the cheapest actions (N, 4) that lie apart."""
    found: list[Floats] = []
    for action in actions[actions[:, 0] >= 0]:
        if all(np.hypot(*(action[2:] - other)) > _APART_M for other in found):
            found.append(action[2:])
        if len(found) == most:
            break
    return found


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
    wanted: NDArray[np.bool_],
    tried: NDArray[np.bool_],
    counts: NDArray[np.int64],
    *,
    prune: bool,
    straight: bool,
) -> Floats:
    """Search ring by ring; bring ``cost`` up to date, and return the lines kept of each disc.

    Returns
    -------
    (lie, disc, kept, 4): cost, base, x and y of the target; the cheapest first.
    """
    from rimwise.decide._holes import NEVER, search
    from rimwise.decide._sweeps import fill

    terrain, rules = problem.terrain, problem.rules
    best = np.full((len(lattice.lies), len(sky.pair), sizes.kept, 4), NEVER)
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
    return best


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
    """Return the cheapest actions of all discs, (lie, most, 4); disc −1 where there are fewer."""
    from rimwise.decide._holes import NEVER

    lies, discs, kept, _ = best.shape
    disc = np.broadcast_to(np.arange(discs)[None, :, None], (lies, discs, kept))
    cost = best[..., 0].reshape(lies, -1)
    order = np.argsort(cost, axis=1, kind="stable")[:, :most]
    rows = np.arange(lies)[:, None]
    flat = best.reshape(lies, -1, 4)[rows, order]
    chosen = disc.reshape(lies, -1)[rows, order]
    actions = np.zeros((lies, most, 4))
    actions[..., 0] = -1.0
    found = flat[..., 0] < NEVER
    actions[:, : order.shape[1], 0] = np.where(found, chosen, -1)
    actions[:, : order.shape[1], 1:] = np.where(found[..., None], flat[..., 1:], 0.0)
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


def offered(problem: Problem, screened: Screened, sizes: Sizes) -> tuple[Floats, NDArray[np.bool_]]:
    """Return the actions of every lie, (lie, action, 4), and which lies are chosen for, (lie,).

    They are those of the searched lies around it (disc −1 for none): all where throws often come
    to, and few elsewhere. Lies that hardly anybody comes to are not chosen for.
    """
    actions = _around(problem.lattice, screened.lattice, screened.actions)
    actions[..., 0] = np.where(_allowed(problem, actions), actions[..., 0], -1.0)
    share = screened.coming.at(problem.lattice)
    left = np.ceil(sizes.considered * np.sqrt(share / sizes.often))
    left = np.clip(left, sizes.fewest, sizes.considered)
    actions[np.arange(actions.shape[1])[None, :] >= left[:, None], 0] = -1.0
    return actions, share >= sizes.rarest


def choose(
    problem: Problem,
    sky: Sky,
    screened: Screened,
    sizes: Sizes,
    *,
    discs: NDArray[np.bool_] | None = None,
) -> Chosen:
    """Choose the policy among the offered actions on the second set of throws.

    Lies that hardly anybody comes to keep the worth that the searched lies give them.

    Parameters
    ----------
    discs
        (disc,) those that may be thrown; all when not given.
    """
    from rimwise.decide._holes import NEVER, reprice
    from rimwise.decide._terrain import worth

    lattice = problem.lattice
    actions, often = offered(problem, screened, sizes)
    disc, base = (np.maximum(actions[..., c], 0.0).astype(np.intp) for c in (0, 1))
    gone = sky.pair[disc, base] < 0
    if discs is not None:
        gone |= ~discs[disc]
    actions[gone, 0] = -1.0
    known = np.empty((len(actions), 2))
    worth(problem.field(screened.cost, screened.lattice), lattice.lies, known)
    start = known[:, 1].copy()
    start[-1] = screened.cost[-1]
    comes = np.flatnonzero(often)
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
    policy = _nowhere_at_a_loss(problem, policy)
    return Chosen(
        actions, cost, policy, value, where[one, chosen], codes[one, chosen], sweeps, residual
    )


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


def _allowed(problem: Problem, actions: Floats) -> NDArray[np.bool_]:
    """Say which actions (lie, action) the lies allow."""
    base = np.maximum(actions[..., 1], 0.0).astype(np.intp)
    kind = problem.lattice.lies[:, 2].astype(np.intp)
    return np.asarray(problem.allowed[kind[:, None], base])


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


def _near(lattice: Lattice, searched: Lattice) -> NDArray[np.intp]:
    """Return the searched lies of its kind around each lie, (lie, _AROUND); the tee has itself."""
    from scipy.spatial import cKDTree

    near = np.full((len(lattice.lies), _AROUND), len(searched.lies) - 1)
    for kind in KINDS:
        own = np.flatnonzero(lattice.lies[:-1, 2] == kind)
        there = np.flatnonzero(searched.lies[:-1, 2] == kind)
        if not len(own):
            continue
        there = there if len(there) else np.arange(len(searched.lies) - 1)
        _, found = cKDTree(searched.lies[there, :2]).query(lattice.lies[own, :2], k=_AROUND)
        near[own] = there[np.minimum(found, len(there) - 1)]
    return near


def _around(lattice: Lattice, searched: Lattice, actions: Floats) -> Floats:
    """Return for every lie the best actions of the searched lies around it, (lie, most, 4)."""
    if searched is lattice:
        return actions.copy()
    each = max(actions.shape[1] // _AROUND, 1)
    best = actions[_near(lattice, searched)][:, :, :each]
    around = best.transpose(0, 2, 1, 3).reshape(len(lattice.lies), -1, 4)
    tee = actions[-1, : each * _AROUND]
    around[-1, : len(tee)] = tee
    return around
