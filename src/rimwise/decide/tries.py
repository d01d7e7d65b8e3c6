"""Tries: a few lines thrown from one lie on common draws, and what each of them costs.

What comes after a throw is taken from the solved hole and stays as it is, whatever is tried:
disc, line, or another wind.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from rimwise.decide.clouds import Draws
from rimwise.decide.days import Day
from rimwise.decide.fresh import (
    Policy,
    ends_of,
    hazards,
    heights_at,
    kinds,
    losses,
    points_followed,
    throw_exactly,
    turned,
)
from rimwise.decide.lattice import RESTRICTED
from rimwise.decide.lines import EFFORTS
from rimwise.decide.posing import Problem
from rimwise.decide.skies import light_sky
from rimwise.decide.solved import Pool, SolvedDay, SolvedHole
from rimwise.flight.fly import COARSE_STEP_S

__all__ = [
    "AimedLine", "Thrown", "Tries", "aim", "aimed_in", "fly_exactly", "fly_quickly",
    "middle_path", "middle_paths", "reflown", "tried", "try_lines",
]  # fmt: skip

Floats = NDArray[np.float64]

#: Throws per effort that find the aim in a wind for which none were flown.
_AIMING = 32
#: So often it is asked again where a throw ends that falls short of its target.
_SHORTER = 2
#: So many throws are followed at once at most: their paths take a kilobyte each.
_AT_ONCE = 8192
_WATER = 1


@dataclass(frozen=True, slots=True)
class AimedLine:
    """A disc on a base line, aimed at a target point from a lie.

    Parameters
    ----------
    target_m, ends_m
        Where the mean throw is meant to end, in the hole's frame, and where it does: short of a
        target that is too far.
    effort, turn_rad
        Share of full effort, and heading to the left of the hole's x.
    extra
        How many strokes it was dearer than the best of its lie when the hole was solved.
    """

    disc: int
    base: int
    target_m: tuple[float, float]
    ends_m: tuple[float, float]
    effort: float
    turn_rad: float
    extra: float = 0.0


@dataclass(frozen=True, eq=False)
class Tries:
    """Lines thrown from one lie.

    Parameters
    ----------
    where_m, codes
        (line, sample, 2) and (line, sample): from where one goes on, and what happened.
    cost, each
        (line,) strokes-to-finish, replays included, and (line, sample) how far each throw
        moves it: their mean is nought.
    putts
        (line, sample): whether one putts next.
    gone
        (line, sample): chance that the throw is the disc's last.
    """

    lines: tuple[AimedLine, ...]
    where_m: Floats
    codes: NDArray[np.uint8]
    cost: Floats
    each: Floats
    putts: NDArray[np.bool_]
    gone: Floats

    def error(self, line: int) -> float:
        """Return one standard error of a line's strokes."""
        return _error(self.each[line])

    def gap(self, line: int, other: int) -> tuple[float, float]:
        """Return how much dearer a line is than another, and the error of that, paired."""
        difference = float(self.cost[line] - self.cost[other])
        return difference, _error(self.each[line] - self.each[other])

    @cached_property
    def risks(self) -> Floats:
        """Chances (line, 5): to putt next, of a penalty, of water, of trees, of the disc gone."""
        hazard = hazards(self.codes)
        trees = (kinds(self.codes) == RESTRICTED) & (hazard == 0)
        shares = [self.putts, hazard > 0, hazard == _WATER, trees, self.gone]
        return np.stack([np.mean(share, axis=1) for share in shares], axis=1)

    @cached_property
    def centres_m(self) -> Floats:
        """Middle of each line's landings, (line, 2)."""
        return np.asarray(np.median(self.where_m, axis=1))


def _error(each: Floats) -> float:
    return float(each.std(ddof=1) / math.sqrt(len(each)))


# -- aim -------------------------------------------------------------------------------------


def aim(policy: Policy, lie: Floats, actions: Floats) -> list[AimedLine]:
    """Aim actions (N, 4 or 5: disc, base, x, y of the target, extra) from one lie (3,)."""
    lies = np.repeat(lie[None], len(actions), axis=0)
    aims = _aims(policy, lies, actions[:, :4])
    ends = actions[:, :4].copy()
    reach = aims[:, 2]
    for _ in range(_SHORTER):  # short of the target the ground is as high as it is there
        ends[:, 2:] = _toward(lie, actions[:, 2:4], reach)
        reach = _aims(policy, lies, ends)[:, 2]
    places = _toward(lie, actions[:, 2:4], reach)
    extra = actions[:, 4] if actions.shape[1] > 4 else np.zeros(len(actions))
    return [
        AimedLine(
            int(a[0]), int(a[1]), (float(a[2]), float(a[3])), (float(p[0]), float(p[1])),
            float(effort), float(turn_rad), float(x),
        )
        for a, p, (effort, turn_rad, _), x in zip(actions, places, aims, extra, strict=True)
    ]  # fmt: skip


def _aims(policy: Policy, lies: Floats, actions: Floats) -> Floats:
    used = replace(policy, actions=np.ascontiguousarray(actions, dtype=np.float64))
    return used.aimed(lies, np.arange(len(actions)))[1]


def _toward(lie: Floats, targets_m: Floats, reach_m: Floats) -> Floats:
    """Return places (N, 2) so far from the lie on the way to targets, and never beyond them."""
    way = targets_m - lie[:2]
    share = np.minimum(reach_m / np.maximum(np.hypot(*way.T), 1e-6), 1.0)
    return np.asarray(lie[:2] + share[:, None] * way)


# -- throw -----------------------------------------------------------------------------------


def tried(
    one: SolvedDay,
    lines: Sequence[AimedLine],
    where_m: Floats,
    codes: NDArray[np.uint8],
    prices: Floats | None = None,
) -> Tries:
    """Price landings (line, sample) by what the solved hole says of what comes after.

    Parameters
    ----------
    prices
        (disc, PRICES); the hole's own when not given.
    """
    from rimwise.decide._sweeps import follow

    table = one.problem.prices if prices is None else prices
    count, samples = codes.shape
    disc = np.array([line.disc for line in lines], dtype=np.intp)
    price = np.ascontiguousarray(table[disc])
    start = np.arange(count + 1, dtype=np.int64) * samples
    slots = np.full((count, 3), -1, dtype=np.int64)
    cost, each = np.zeros(count), np.empty(count * samples)
    decide = one.policy.field()
    field = one.problem.field(one.cost)
    flat = np.ascontiguousarray(where_m.reshape(-1, 2))
    for _ in range(2):  # the second time what each throw moves is told from the cost found
        follow(field, decide, slots, start, flat, codes.ravel(), price, cost, each)
    per_sample = np.repeat(price, samples, axis=0)
    gone = losses(per_sample, codes.ravel()).reshape(count, samples)
    lies = np.column_stack([flat, kinds(codes.ravel())])
    putts = ~one.policy.throws(lies).reshape(count, samples)
    # A lost disc is thrown again: what moves the strokes is what a throw costs that ends it.
    moves = each.reshape(count, samples) / (1.0 - _again(codes, gone).mean(axis=1))[:, None]
    return Tries(tuple(lines), where_m, codes, cost, moves, putts, gone)


def _again(codes: NDArray[np.uint8], gone: Floats) -> Floats:
    """Return the chance that a throw is made again: a disc lost in bounds."""
    return np.where(hazards(codes) > 0, 0.0, gone)


@dataclass(frozen=True, slots=True, eq=False)
class Thrown:
    """Throws of some lines, each from its own lie and in its own direction of the wind.

    Parameters
    ----------
    lies, wind_rad
        (line, 3), and (line,) where the wind comes from to the right of the hole's x.
    """

    lines: Sequence[AimedLine]
    lies: Floats
    wind_rad: Floats

    @classmethod
    def from_one(cls, lines: Sequence[AimedLine], lie: Floats, wind_rad: float) -> Thrown:
        """Return lines thrown from one lie in one wind."""
        count = len(lines)
        return cls(lines, np.repeat(lie[None], count, axis=0), np.full(count, wind_rad))


def try_lines(
    hole: SolvedHole, one: SolvedDay, lie: Floats, lines: Sequence[AimedLine], pool: Pool
) -> Tries:
    """Throw lines exactly from one lie, each on every draw of a set."""
    thrown = Thrown.from_one(lines, lie, one.problem.wind_rad)
    return tried(one, lines, *fly_exactly(hole, one.problem, one.day, thrown, pool))


def fly_exactly(
    hole: SolvedHole, problem: Problem, day: Day, thrown: Thrown, pool: Pool
) -> tuple[Floats, NDArray[np.uint8]]:
    """Throw lines exactly, each on every draw of a set.

    Returns
    -------
    From where one goes on (line, sample, 2), and what happened (line, sample).
    """
    samples, lines = len(pool), thrown.lines
    where = np.empty((len(lines), samples, 2))
    codes = np.empty((len(lines), samples), dtype=np.uint8)
    for rows in _by_disc(lines, samples):
        flat = _Rows.of(thrown, rows, samples)
        disc = lines[rows[0]].disc
        row = pool.discs[disc]
        ends, said = throw_exactly(
            hole.simulator, hole.fleet, day, problem, disc, pool.draws,
            pool.printed[row], pool.mass_kg[row], flat.lies,
            flat.base, flat.effort, flat.turn_rad, flat.sample, wind_rad=flat.wind_rad,
        )  # fmt: skip
        where[rows] = ends.reshape(len(rows), samples, 2)
        codes[rows] = said.reshape(len(rows), samples)
    return where, codes


def reflown(
    hole: SolvedHole,
    one: SolvedDay,
    lie: Floats,
    lines: Sequence[AimedLine],
    pool: Pool,
    *,
    samples: int,
    day: Day | None = None,
    wind_rad: float | None = None,
) -> tuple[Tries, Floats]:
    """Throw lines quickly: in coarse steps, onto ground as high as where the mean ends.

    Parameters
    ----------
    samples
        The first so many draws of the set.
    day, wind_rad
        The wind's strength, and where it comes from to the right of the hole's x; the day's own
        when not given.

    Returns
    -------
    The tries, and where the discs would have come to rest, (line, sample, 2).
    """
    from_rad = one.problem.wind_rad if wind_rad is None else wind_rad
    thrown = Thrown.from_one(lines, lie, from_rad)
    rest, where, codes = fly_quickly(
        hole, one.problem, day or one.day, thrown, pool, samples=samples
    )
    return tried(one, lines, where, codes), rest


def fly_quickly(
    hole: SolvedHole,
    problem: Problem,
    day: Day,
    thrown: Thrown,
    pool: Pool,
    *,
    samples: int,
) -> tuple[Floats, Floats, NDArray[np.uint8]]:
    """Throw lines in coarse steps, onto ground as high as where the mean ends.

    Returns
    -------
    Where discs would come to rest (line, sample, 2), from where one goes on (line, sample, 2),
    and what happened (line, sample).
    """
    lines = thrown.lines
    where, rest = np.empty((len(lines), samples, 2)), np.empty((len(lines), samples, 2))
    codes = np.empty((len(lines), samples), dtype=np.uint8)
    for rows in _by_disc(lines, samples):
        flat = _Rows.of(thrown, rows, samples)
        row = pool.discs[lines[rows[0]].disc]
        level = np.repeat(_level_m(problem, thrown, rows), samples)
        flights = hole.simulator.fly_disc(
            hole.fleet, day, lines[rows[0]].disc, pool.draws, pool.printed[row],
            pool.mass_kg[row], base=flat.base, effort=flat.effort, sample=flat.sample,
            turn_rad=np.zeros(1), from_rad=flat.wind_rad + flat.turn_rad, ground_z_m=level,
            step_s=COARSE_STEP_S, path_points=points_followed(problem),
        )  # fmt: skip
        nerve = pool.draws.nerve[flat.sample]
        ends = ends_of(problem, flights, flat.lies, flat.turn_rad, nerve)
        rest[rows] = ends[0].reshape(len(rows), samples, 2)
        where[rows] = ends[1].reshape(len(rows), samples, 2)
        codes[rows] = ends[2].reshape(len(rows), samples)
    return rest, where, codes


def aimed_in(
    hole: SolvedHole,
    one: SolvedDay,
    lie: Floats,
    lines: Sequence[AimedLine],
    pool: Pool,
    day: Day,
    wind_rad: float,
) -> list[AimedLine]:
    """Aim lines anew in a wind of another strength, on throws flown for it.

    The wind is taken as it blows along the heading found so far.
    """
    found, thrown = list(lines), Thrown.from_one(lines, lie, wind_rad)
    for rows in _by_disc(lines):
        shape = (len(rows), len(EFFORTS), _AIMING)
        which, effort, sample = (a.ravel() for a in np.indices(shape))
        disc = lines[rows[0]].disc
        row = pool.discs[disc]
        turn = np.array([lines[r].turn_rad for r in rows])[which]
        flights = hole.simulator.fly_disc(
            hole.fleet, day, disc, pool.draws, pool.printed[row], pool.mass_kg[row],
            base=np.array([lines[r].base for r in rows])[which],
            effort=np.asarray(EFFORTS)[effort], sample=sample, turn_rad=np.zeros(1),
            from_rad=wind_rad + turn, ground_z_m=_level_m(one.problem, thrown, rows)[which],
            step_s=COARSE_STEP_S,
        )  # fmt: skip
        middles = np.zeros((len(rows), 1, len(EFFORTS), 4))
        middles[:, 0, :, :2] = flights.rest_m[:, :2].reshape(*shape, 2).mean(axis=2)
        pair = np.arange(len(rows), dtype=np.int64)[:, None]
        policy = replace(one.policy, sky=light_sky(middles, pair))
        actions = np.array([(i, 0.0, *lines[r].target_m) for i, r in enumerate(rows)])
        for r, new in zip(rows, aim(policy, lie, actions), strict=True):
            found[r] = replace(
                lines[r], ends_m=new.ends_m, effort=new.effort, turn_rad=new.turn_rad
            )
    return found


def _level_m(problem: Problem, thrown: Thrown, rows: Sequence[int]) -> Floats:
    """Return how much higher than its lie the ground is where each line's mean ends."""
    ends = np.array([thrown.lines[r].ends_m for r in rows])
    return heights_at(problem, ends) - heights_at(problem, thrown.lies[rows, :2])


def middle_path(
    hole: SolvedHole, one: SolvedDay, lie: Floats, line: AimedLine, points: int = 40
) -> Floats:
    """Return the path (points, 3) of a line without scatter, in the hole's frame.

    Heights are above the tee; the path ends at first touch.
    """
    thrown = Thrown.from_one([line], lie, one.problem.wind_rad)
    return np.asarray(middle_paths(hole, one.problem, one.day, thrown, points)[0])


def middle_paths(
    hole: SolvedHole, problem: Problem, day: Day, thrown: Thrown, points: int = 40
) -> Floats:
    """Return the paths (line, points, 3) of lines without scatter, in the hole's frame."""
    still = Draws(np.zeros((1, 7)), np.ones(1), np.full(1, np.inf))
    lines, fleet = thrown.lines, hole.fleet
    paths = np.empty((len(lines), points, 3))
    for rows in _by_disc(lines):
        disc, flat = lines[rows[0]].disc, _Rows.of(thrown, rows, 1)
        flights = hole.simulator.fly_disc(
            fleet, day, disc, still, fleet.printed[[disc]], fleet.mass_kg[[disc]],
            base=flat.base, effort=flat.effort, sample=flat.sample, turn_rad=np.zeros(1),
            from_rad=flat.wind_rad + flat.turn_rad, ground_z_m=_level_m(problem, thrown, rows),
            path_points=points,
        )  # fmt: skip
        paths[rows] = flights.path_m
        paths[rows, :, :2] = flat.lies[:, None, :2] + turned(flights.path_m[..., :2], flat.turn_rad)
        paths[rows, :, 2] += heights_at(problem, flat.lies[:, :2])[:, None]
    return paths


@dataclass(frozen=True, slots=True, eq=False)
class _Rows:
    """Lines of one disc spread over samples."""

    lies: Floats
    wind_rad: Floats
    base: NDArray[np.intp]
    effort: Floats
    turn_rad: Floats
    sample: NDArray[np.intp]

    @classmethod
    def of(cls, thrown: Thrown, rows: Sequence[int], samples: int) -> _Rows:
        lines = thrown.lines
        which = np.repeat(np.arange(len(rows)), samples)
        return cls(
            lies=thrown.lies[rows][which],
            wind_rad=thrown.wind_rad[rows][which],
            base=np.array([lines[r].base for r in rows], dtype=np.intp)[which],
            effort=np.array([lines[r].effort for r in rows])[which],
            turn_rad=np.array([lines[r].turn_rad for r in rows])[which],
            sample=np.tile(np.arange(samples, dtype=np.intp), len(rows)),
        )


def _by_disc(lines: Sequence[AimedLine], samples: int = 1) -> Iterator[list[int]]:
    """Yield the places of the lines of each disc, in the order in which discs come first.

    What would be very many throws at once comes in portions.
    """
    places: dict[int, list[int]] = {}
    for i, line in enumerate(lines):
        places.setdefault(line.disc, []).append(i)
    most = max(_AT_ONCE // samples, 1)
    for found in places.values():
        for first in range(0, len(found), most):
            yield found[first : first + most]
