"""Fresh throws: the value of a fixed policy, with its error, and what else is told of a hole.

Every lie's chosen throw is flown anew and exactly (no interpolation of wind or effort, trees
along each disc's own path, the ground where the disc meets it), more often where a round comes
more often. What is told comes from these throws alone.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from rimwise.beliefs.fleet import Fleet
from rimwise.decide.clouds import REPORTING, Draws, Simulator
from rimwise.decide.days import Day
from rimwise.decide.holes import Chosen
from rimwise.decide.lines import EFFORTS
from rimwise.decide.posing import Problem, Sizes
from rimwise.flight.flights import Flights

if TYPE_CHECKING:
    from rimwise.decide._holes import Sky
    from rimwise.decide._terrain import Field

__all__ = [
    "MOST_STROKES", "Policy", "Valued", "drawn_for", "ends_of", "first_visits", "fly_policy",
    "hazards", "heights_at", "kinds", "losses", "points_followed", "policy_of", "throw_exactly",
    "turned", "value_fresh", "value_many",
]  # fmt: skip

Floats = NDArray[np.float64]

#: Scores are told up to this many strokes; the last one stands for all above.
MOST_STROKES = 15
#: Lies that fewer rounds than this come to are not flown anew.
_RAREST = 2e-4
#: Points of a flight followed through trees and back to where it left the bounds.
_PATH_POINTS = 17
#: Secants that find where a disc meets sloping ground, their longest step, and how well.
_LEVEL_ROUNDS, _LEVEL_STEP_M, _LEVEL_M = 4, 3.0, 0.01
_MOST_SWEEPS = 200
#: Step through trees.
_STEP_M = 1.0
_MISSED = 3  # a mandatory: the disc is at hand
_OFFSET = 7919  # a prime, so that lies use the pool of draws from different places on


@dataclass(frozen=True, slots=True, eq=False)
class Policy:
    """What to do from any lie of a hole on a day.

    Parameters
    ----------
    actions
        (lie, 4): disc, base, x and y of the target point, for every lie of the lattice.
    decide
        (lie,) the worth of throwing by which to throw or to putt.
    sky
        Clouds whose middles say which effort and heading bring a throw to its target.
    """

    problem: Problem
    actions: Floats
    decide: Floats
    sky: Sky

    def field(self) -> Field:
        """Return the field by which the policy throws or putts."""
        return self.problem.field(self.decide)

    def throws(self, lies: Floats) -> NDArray[np.bool_]:
        """Say from which of (N, 3) true lies (x, y, kind) the policy throws."""
        from rimwise.decide._terrain import worth

        both = np.empty((len(lies), 2))
        worth(self.field(), np.ascontiguousarray(lies), both)
        return np.asarray(both[:, 1] <= both[:, 0], dtype=np.bool_)

    def aimed(self, lies: Floats, which: NDArray[np.intp] | None = None) -> tuple[Floats, Floats]:
        """Aim from true lies.

        Parameters
        ----------
        lies
            (N, 3): x, y, kind.
        which
            (N,) lies of the lattice whose actions are thrown; the nearest when not given.

        Returns
        -------
        Actions (N, 4), and (N, 3) effort as a share of full, heading to the left of the hole's
        x in radians, reach of the mean in metres.
        """
        from rimwise.decide._holes import aim_at

        near = self.problem.lattice.nearest(lies) if which is None else which
        actions = np.ascontiguousarray(self.actions[near])
        out = np.empty((len(lies), 3))
        aim_at(
            self.sky, self.problem.terrain, self.problem.wind_rad, self.problem.most,
            np.ascontiguousarray(lies), actions, out,
        )  # fmt: skip
        out[:, 0] = EFFORTS[0] + out[:, 0] * (EFFORTS[1] - EFFORTS[0])
        return actions, out


@dataclass(frozen=True, slots=True, eq=False)
class Valued:
    """A policy's worth on fresh throws.

    Parameters
    ----------
    cost
        (lie,) strokes-to-finish by a throw, the tee's last, discs lost counted at their worth.
    strokes, strokes_se
        From the tee, and one standard error.
    effects
        (pool,) how far each fresh draw moves the tee's strokes, to first order.
    visits
        (lie,) expected throws from each lie in one play of the hole.
    chances
        (MOST_STROKES + 1,) chance to hole out in so many strokes, from the tee.
    lost
        (disc,) discs lost in one play.
    start, where, codes
        Landings of the policy's throws: those of lie *i* are ``start[i]`` to ``start[i + 1]``.
    """

    policy: Policy
    cost: Floats
    strokes: float
    strokes_se: float
    effects: Floats
    visits: Floats
    chances: Floats
    lost: Floats
    start: NDArray[np.int64]
    where: Floats
    codes: NDArray[np.uint8]

    @property
    def mean_score(self) -> float:
        """Mean of the score, without what lost discs are worth."""
        return float(self.chances @ np.arange(len(self.chances)))

    @property
    def score_sd(self) -> float:
        """Standard deviation of the score."""
        k = np.arange(len(self.chances))
        return math.sqrt(max(float(self.chances @ k**2) - self.mean_score**2, 0.0))


def policy_of(problem: Problem, chosen: Chosen, sky: Sky) -> Policy:
    """Fix what was chosen."""
    return Policy(problem, chosen.policy, chosen.cost, sky)


def value_fresh(
    simulator: Simulator,
    fleet: Fleet,
    day: Day,
    problem: Problem,
    chosen: Chosen,
    sky: Sky,
    sizes: Sizes,
    *,
    draw_set: int = REPORTING,
) -> Valued:
    """Value the chosen policy on fresh throws.

    Parameters
    ----------
    draw_set
        Number of the set of throws; nothing else may have used it.
    """
    return value_many(
        simulator, fleet, day, [problem], [chosen], sky, sizes, draw_set=draw_set
    )[0]  # fmt: skip


def value_many(
    simulator: Simulator,
    fleet: Fleet,
    day: Day,
    problems: Sequence[Problem],
    chosen: Sequence[Chosen],
    sky: Sky,
    sizes: Sizes,
    *,
    draw_set: int = REPORTING,
) -> list[Valued]:
    """Value what was chosen on one hole in several directions of one wind, flown together."""
    asked = [_asked(one, choice, sky, sizes) for one, choice in zip(problems, chosen, strict=True)]
    landed = _fly_asked(simulator, fleet, day, asked, draw_set, sizes.pool)
    return [
        _valued(len(fleet), one, choice, sizes, *ends)
        for one, choice, ends in zip(asked, chosen, landed, strict=True)
    ]


@dataclass(frozen=True, slots=True, eq=False)
class _Asked:
    """Flights that are asked for.

    Parameters
    ----------
    lies
        (action, 3): from where each of the policy's actions is thrown.
    counts, drawn
        (action,) flights of each, and (flight,) which draw of the pool each uses.
    """

    policy: Policy
    lies: Floats
    counts: NDArray[np.int64]
    drawn: NDArray[np.intp]


def _asked(problem: Problem, chosen: Chosen, sky: Sky, sizes: Sizes) -> _Asked:
    """Ask for flights of the chosen policy, more of them where a round comes more often."""
    first = first_visits(problem, chosen)
    counts = np.clip(np.ceil(sizes.pool * first), sizes.least, sizes.pool).astype(np.int64)
    counts[first < _RAREST] = 0
    counts[-1] = sizes.pool
    drawn = drawn_for(counts, np.arange(len(counts))[::-1], sizes.pool)
    return _Asked(policy_of(problem, chosen, sky), problem.lattice.lies, counts, drawn)


def _valued(
    discs: int,
    asked: _Asked,
    chosen: Chosen,
    sizes: Sizes,
    where: Floats,
    codes: NDArray[np.uint8],
) -> Valued:
    """Value a policy on the landings of its flights."""
    from rimwise.decide._sweeps import fill, follow, scores, visit

    policy, counts, drawn = asked.policy, asked.counts, asked.drawn
    problem, lattice = policy.problem, policy.problem.lattice
    price = np.ascontiguousarray(problem.prices[policy.actions[:, 0].astype(np.intp)])
    decide = policy.field()
    start = np.concatenate([[0], np.cumsum(counts)])
    cost, each = chosen.cost.copy(), np.empty(len(codes))
    field = problem.field(cost)
    change, sweeps = np.inf, 0
    while change > 0.1 * sizes.residual and sweeps < _MOST_SWEEPS:
        change = follow(field, decide, lattice.slots, start, where, codes, price, cost, each)
        fill(field, lattice.owner, lattice.extra, cost)
        sweeps += 1
    visits = np.zeros(len(lattice.lies))
    visit(decide, lattice.owner, lattice.extra, start, where, codes, price, visits)
    weight = np.divide(visits, counts, out=np.zeros_like(visits), where=counts > 0)
    lie = np.repeat(np.arange(len(counts)), counts)
    effects = np.bincount(drawn, weight[lie] * each, sizes.pool).astype(np.float64)
    chance = _two_scores(cost)
    change, sweeps = 1.0, 0
    while change > 1e-6 and sweeps < _MOST_SWEEPS:
        change = scores(
            decide, lattice.owner, lattice.extra, start, where, codes, price, problem.made, chance
        )
        sweeps += 1
    thrown = policy.actions[lie, 0].astype(np.intp)
    lost = np.bincount(thrown, weight[lie] * losses(price[lie], codes), discs)
    return Valued(
        policy, cost, float(cost[-1]), float(math.sqrt(effects @ effects)), effects, visits,
        chance[-1], lost.astype(np.float64), start, where, codes,
    )  # fmt: skip


def first_visits(problem: Problem, chosen: Chosen) -> Floats:
    """Return the expected throws from each lie (lie,), on the throws of the choice."""
    from rimwise.decide._sweeps import visit

    lattice = problem.lattice
    price = np.ascontiguousarray(problem.prices[chosen.policy[:, 0].astype(np.intp)])
    visits = np.zeros(len(lattice.lies))
    start = np.arange(len(lattice.lies) + 1, dtype=np.int64) * chosen.codes.shape[1]
    visit(
        problem.field(chosen.cost), lattice.owner, lattice.extra, start,
        chosen.where.reshape(-1, 2).astype(np.float64), chosen.codes.ravel(), price, visits,
    )  # fmt: skip
    return visits


def drawn_for(
    counts: NDArray[np.int64],
    lies: NDArray[np.intp],
    pool: int,
    first: NDArray[np.int64] | None = None,
) -> NDArray[np.intp]:
    """Say which draw of the pool each flight uses: those of every lie begin elsewhere.

    Parameters
    ----------
    counts, lies
        (action,) flights of each action, and the number of the lie it is thrown from.
    first
        (action,) draws of its lie that are passed over.
    """
    begin = lies * _OFFSET + (0 if first is None else first)
    spans = [
        (np.arange(n) + b) % pool for n, b in zip(counts.tolist(), begin.tolist(), strict=True)
    ]
    return np.concatenate(spans).astype(np.intp)


def _two_scores(cost: Floats) -> Floats:
    """Return chances of the two scores around each lie's strokes: what is left to rare lies."""
    low = np.clip(np.floor(cost), 0, MOST_STROKES - 1).astype(np.intp)
    share = np.clip(cost - low, 0.0, 1.0)
    chance = np.zeros((len(cost), MOST_STROKES + 1))
    rows = np.arange(len(cost))
    chance[rows, low], chance[rows, low + 1] = 1.0 - share, share
    return chance


def losses(price: Floats, codes: NDArray[np.uint8]) -> Floats:
    """Return the chance that each landing is the disc's last."""
    hazard, on = hazards(codes), (codes >> 2) & 7
    column = np.where(hazard > 0, 1 + hazard, 3 + on).astype(np.intp)
    found = price[np.arange(len(codes)), column]
    return np.where((hazard == _MISSED) | (hazard + on == 0), 0.0, found)


def hazards(codes: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """Return what cost a penalty: 1 water, 2 out of bounds, 3 a mandatory, 0 nothing."""
    return np.asarray(codes >> 5, dtype=np.uint8)


def kinds(codes: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """Return the kinds of the next lies, as in :mod:`rimwise.decide.lattice`."""
    return np.asarray(codes & 3, dtype=np.uint8)


def fly_policy(
    simulator: Simulator,
    fleet: Fleet,
    day: Day,
    policy: Policy,
    lies: Floats,
    counts: NDArray[np.int64],
    drawn: NDArray[np.intp],
    draw_set: int,
    pool: int,
) -> tuple[Floats, NDArray[np.uint8]]:
    """Fly each of the policy's actions from a lie so many times; return next lies and codes.

    Parameters
    ----------
    lies
        (action, 3): from where each action is thrown.
    counts, drawn
        (action,) flights of each, and (flight,) which of the ``pool`` draws each uses.
    """
    asked = [_Asked(policy, lies, counts, drawn)]
    return _fly_asked(simulator, fleet, day, asked, draw_set, pool)[0]


def _fly_asked(
    simulator: Simulator,
    fleet: Fleet,
    day: Day,
    asked: Sequence[_Asked],
    draw_set: int,
    pool: int,
) -> list[tuple[Floats, NDArray[np.uint8]]]:
    """Fly what is asked for on one hole, in one wind from several sides; a disc's flights at once.

    To get ready for a disc takes as long as some hundred of its flights.
    """
    problem = asked[0].policy.problem
    draws = Draws.independent(pool, simulator.seed, draw_set)
    printed = fleet.sample_printed(pool, simulator.seed, draw_set)
    mass_kg = fleet.sample_mass_kg(pool, simulator.seed, draw_set)
    aimed = [one.policy.aimed(one.lies, np.arange(len(one.lies))) for one in asked]
    counts = np.concatenate([one.counts for one in asked])
    action = np.repeat(np.arange(len(counts)), counts)
    drawn = np.concatenate([one.drawn for one in asked])
    actions, aims = (np.concatenate([pair[part] for pair in aimed]) for part in (0, 1))
    lies = np.concatenate([one.lies for one in asked])
    wind_rad = np.concatenate([np.full(len(o.lies), o.policy.problem.wind_rad) for o in asked])
    where, codes = np.empty((len(action), 2)), np.empty(len(action), dtype=np.uint8)
    for disc in np.unique(actions[action, 0]).astype(np.intp).tolist():
        rows = np.flatnonzero(actions[action, 0] == disc)
        at = action[rows]
        where[rows], codes[rows] = throw_exactly(
            simulator, fleet, day, problem, disc, draws, printed[disc], mass_kg[disc],
            lies[at], actions[at, 1].astype(np.intp), aims[at, 0], aims[at, 1],
            drawn[rows], wind_rad=wind_rad[at],
        )  # fmt: skip
    ends = np.cumsum([one.counts.sum() for one in asked])[:-1]
    return list(zip(np.split(where, ends), np.split(codes, ends), strict=True))


def throw_exactly(
    simulator: Simulator,
    fleet: Fleet,
    day: Day,
    problem: Problem,
    disc: int,
    draws: Draws,
    printed: Floats,
    mass_kg: Floats,
    lies: Floats,
    base: NDArray[np.intp],
    effort: Floats,
    turn_rad: Floats,
    drawn: NDArray[np.intp],
    *,
    wind_rad: Floats | None = None,
) -> tuple[Floats, NDArray[np.uint8]]:
    """Fly throws of one disc from lies (N, 3) and say where they end, (N, 2) and codes (N,).

    Parameters
    ----------
    wind_rad
        (N,) where the wind comes from on each throw; on all of them as on the hole's day when
        not given.
    """
    blowing = problem.wind_rad if wind_rad is None else wind_rad
    start_m = heights_at(problem, lies[:, :2])
    turn = _Turn(turn_rad)

    def fly(level_m: Floats, points: int) -> Flights:
        return simulator.fly_disc(
            fleet, day, disc, draws, printed, mass_kg, base=base, effort=effort, sample=drawn,
            turn_rad=np.zeros(1), from_rad=blowing + turn_rad, ground_z_m=level_m,
            path_points=points,
        )  # fmt: skip

    def rise(level_m: Floats) -> Floats:
        touch = lies[:, :2] + turn.of(fly(level_m, 0).landing_m[:, :2])
        return heights_at(problem, touch) - start_m

    level = _meeting_level(rise, len(lies)) if problem.ground.sloping else np.zeros(1)
    flights = fly(level, points_followed(problem))
    _, where, codes = ends_of(problem, flights, lies, turn_rad, draws.nerve[drawn])
    return where, codes


def points_followed(problem: Problem) -> int:
    """Return how many points of a flight are asked for to see what is on its way."""
    ground = problem.ground
    return _PATH_POINTS if ground.wooded or ground.guarded or ground.marked else 0


def ends_of(
    problem: Problem, flights: Flights, lies: Floats, turn_rad: Floats, nerve: Floats
) -> tuple[Floats, Floats, NDArray[np.uint8]]:
    """Say where flights end that are told along their own headings.

    Parameters
    ----------
    flights
        With :func:`points_followed` points of each path.
    lies, turn_rad
        (N, 3) and (N,): from where, and the heading to the left of the hole's x.
    nerve
        (N,) stem-metres survived.

    Returns
    -------
    Where each would come to rest (N, 2), from where the next throw is made (N, 2), codes (N,).
    """
    from rimwise.decide._terrain import settle

    turn = _Turn(turn_rad)
    rest = np.ascontiguousarray(lies[:, :2] + turn.of(flights.rest_m[:, :2]))
    if points_followed(problem):
        lines = flights.path_m.copy()
        lines[..., :2] = lies[:, None, :2] + turn.of(lines[..., :2])
        lines[..., 2] += heights_at(problem, lies[:, :2])[:, None]
    else:
        touch = lies[:, :2] + turn.of(flights.landing_m[:, :2])
        lines = np.zeros((len(lies), 2, 3))
        lines[:, 0, :2], lines[:, 1, :2] = lies[:, :2], touch
    where, codes = np.empty((len(lies), 2)), np.empty(len(lies), dtype=np.uint8)
    settle(problem.ground_cells(_STEP_M), lines, rest, np.ascontiguousarray(nerve), where, codes)
    return rest, where, codes


def _meeting_level(rise: Callable[[Floats], Floats], count: int) -> Floats:
    """Find the level at which each disc meets sloping ground: as high as the place it comes to.

    Secants, because repetition swings to and fro where a disc comes in flat. The wind's profile
    counts heights from this level.
    """
    before = np.zeros(count)
    wrong_before = rise(before) - before
    level = before + wrong_before
    for _ in range(_LEVEL_ROUNDS):
        wrong = rise(level) - level
        if np.abs(wrong).max() < _LEVEL_M:
            break
        change = wrong_before - wrong
        steady = np.abs(change) > 1e-9
        share = np.divide(wrong, change, out=np.zeros(count), where=steady)
        step = np.clip(share * (level - before), -_LEVEL_STEP_M, _LEVEL_STEP_M)
        before, wrong_before, level = level, wrong, level + step
    return level


class _Turn:
    """Turns vectors (N, …, 2) told along an aim line into the hole's frame."""

    def __init__(self, turn_rad: Floats) -> None:
        self._cosine, self._sine = np.cos(turn_rad), np.sin(turn_rad)

    def of(self, vectors: Floats) -> Floats:
        """Return the vectors turned, in the same shape."""
        shape = (-1, *([1] * (vectors.ndim - 2)))
        cosine, sine = self._cosine.reshape(shape), self._sine.reshape(shape)
        x, y = vectors[..., 0], vectors[..., 1]
        return np.stack([cosine * x - sine * y, sine * x + cosine * y], axis=-1)


def turned(vectors: Floats, turn_rad: Floats) -> Floats:
    """Turn vectors (N, …, 2) told along headings (N,) into the hole's frame."""
    return _Turn(turn_rad).of(vectors)


def heights_at(problem: Problem, points_m: Floats) -> Floats:
    """Return the height of the ground at (N, 2) points of the hole, metres above the tee."""
    from rimwise.decide._terrain import heights

    out = np.empty(len(points_m))
    heights(problem.terrain, np.ascontiguousarray(points_m), out)
    return out
