"""Over the water or short of it, and whether a disc that floats is the right one.

Both are differences between two throws on the same draws, so their errors are small.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from rimwise.course.geometry import BITS, PENALTY_BITS
from rimwise.decide.advice import shortlist
from rimwise.decide.fresh import hazards
from rimwise.decide.solved import SolvedDay, SolvedHole
from rimwise.decide.tries import AimedLine, Tries, aim, reflown, tried, try_lines
from rimwise.records.courses import AreaKind

__all__ = ["Crossing", "Floating", "crossing", "floating"]

Floats = NDArray[np.float64]

#: Trouble that begins nearer than this, or is narrower, does not make one lay up.
_NEAREST_M, _NARROWEST_M = 15.0, 3.0
#: Lay-ups tried stop so far short of the trouble.
_SHORT_M = (5.0, 10.0, 16.0, 24.0)
#: Nobody lays up nearer than this.
_CLOSEST_M = 5.0
#: Of the discs and lines offered around, so many are tried for laying up and for going.
_TRIED = 5
#: For going, so many that reach farthest too: as far as they get of so many metres.
_LONGEST, _FAR_M = 4, 300.0
#: Water matters to a choice from this chance on.
_WET = 0.01


@dataclass(frozen=True, slots=True)
class Crossing:
    """Going over trouble on the way to the basket against staying short of it or beside it.

    Parameters
    ----------
    kind
        "water", "out of bounds", or "water and out of bounds".
    near_m, far_m
        Where it begins and ends on the line to the basket, from the lie.
    go, lay_up
        The best of each kind.
    saves, saves_se
        Strokes that going saves over laying up, paired; negative when laying up is better.
    go_penalty, lay_up_penalty
        Chances of a penalty.
    """

    kind: str
    near_m: float
    far_m: float
    go: AimedLine
    lay_up: AimedLine
    saves: float
    saves_se: float
    go_penalty: float
    lay_up_penalty: float


@dataclass(frozen=True, slots=True)
class Floating:
    """The disc of the first choice against one that floats.

    Parameters
    ----------
    other
        The best line of a disc that floats; ``None`` where no such disc is offered.
    saves, saves_se
        Strokes that the floating disc saves, discs lost at their worth included, paired.
    play, keeps
        The strokes it gives away in play alone, and how many discs it keeps, each throw.
    """

    disc: int
    other: AimedLine | None
    water: float
    saves: float
    saves_se: float
    play: float
    keeps: float

    @property
    def worth_from(self) -> float:
        """Strokes that a lost disc must be worth for the floating disc to be right."""
        return max(self.play, 0.0) / self.keeps if self.keeps > 0.0 else math.inf


def crossing(hole: SolvedHole, one: SolvedDay, lie: Floats) -> Crossing | None:
    """Compare going over the trouble on the line to the basket with staying off it.

    Returns ``None`` where there is none, or where no throw clears it or stays off it.
    """
    found = _trouble(one, lie)
    if found is None:
        return None
    kind, near_m, far_m = found
    lines = shortlist(one, lie)
    pairs = list(dict.fromkeys((line.disc, line.base) for line in lines))[:_TRIED]
    dx, dy = one.problem.ground.length_m - lie[0], -lie[1]
    distance_m = math.hypot(dx, dy)
    ahead = np.array([dx, dy]) / distance_m
    long = list(dict.fromkeys([*_longest(one, lie, ahead), *pairs]))
    aimed = _aimed(one, lie, long, ahead, [distance_m], beyond_m=far_m)
    short = [near_m - short_m for short_m in _SHORT_M if near_m - short_m > _CLOSEST_M]
    aimed += _aimed(one, lie, pairs, ahead, short, beyond_m=0.0)
    goes, stays = _by_side(one, [*lines, *aimed], lie)
    if not goes or not stays:
        return None
    best = [_best(hole, one, lie, side) for side in (goes, stays)]
    told = try_lines(hole, one, lie, best, hole.reporting)
    dearer, error = told.gap(1, 0)
    return Crossing(
        kind, near_m, far_m, best[0], best[1], dearer, error,
        float(told.risks[0, 1]), float(told.risks[1, 1]),
    )  # fmt: skip


def _trouble(one: SolvedDay, lie: Floats) -> tuple[str, float, float] | None:
    """Return what penalty area lies first on the line to the basket, and from where to where."""
    ground = one.problem.ground
    distance_m = math.hypot(ground.length_m - lie[0], lie[1])
    if distance_m < _NEAREST_M:
        return None
    along_m = np.arange(0.0, distance_m, 1.0)
    share = (along_m / distance_m)[:, None]
    points = lie[:2] + share * (np.array([ground.length_m, 0.0]) - lie[:2])
    bits = ground.bits_at(points) & PENALTY_BITS
    wet = np.flatnonzero((bits != 0) & (along_m >= _NEAREST_M))
    if len(wet) < _NARROWEST_M:
        return None
    first = int(wet[0])
    gaps = np.flatnonzero(np.diff(wet) > _NEAREST_M)  # islands narrower than this are no place
    last = int(wet[gaps[0]]) if len(gaps) else int(wet[-1])
    if last - first < _NARROWEST_M:
        return None
    union = int(np.bitwise_or.reduce(bits[first : last + 1]))
    names = [str(k) for k in (AreaKind.WATER, AreaKind.OUT_OF_BOUNDS) if union & BITS[k]]
    return " and ".join(names), float(along_m[first]), float(along_m[last] + 1.0)


def _by_side(
    one: SolvedDay, lines: Sequence[AimedLine], lie: Floats
) -> tuple[list[AimedLine], list[AimedLine]]:
    """Tell lines that are meant to end beyond a penalty area from those that stay off it."""
    goes: list[AimedLine] = []
    stays: list[AimedLine] = []
    for line in lines:
        way = np.array(line.target_m) - lie[:2]
        steps = np.arange(0.0, 1.0, 1.0 / max(float(np.hypot(*way)), 1.0))
        bits = one.problem.ground.bits_at(lie[:2] + steps[:, None] * way) & PENALTY_BITS
        over = int(np.count_nonzero(bits)) >= _NARROWEST_M
        (goes if over else stays).append(line)
    return goes, stays


def _aimed(
    one: SolvedDay,
    lie: Floats,
    pairs: Sequence[tuple[int, int]],
    ahead: Floats,
    reaches_m: Sequence[float],
    *,
    beyond_m: float,
) -> list[AimedLine]:
    """Aim discs and lines straight on; only those kept whose middle comes ``beyond_m``."""
    wanted = [(pair, reach_m) for pair in pairs for reach_m in reaches_m]
    if not wanted:
        return []
    targets = lie[:2] + np.array([reach_m for _, reach_m in wanted])[:, None] * ahead
    actions = np.column_stack([[pair for pair, _ in wanted], targets])
    lines = aim(one.policy, lie, actions)
    if beyond_m <= 0.0:
        return lines
    reach = _reaches(one, lie, actions)
    return [line for line, far_m in zip(lines, reach, strict=True) if far_m >= beyond_m]


def _longest(one: SolvedDay, lie: Floats, ahead: Floats) -> list[tuple[int, int]]:
    """Return the discs and lines that go farthest from a lie."""
    pairs = np.argwhere(one.policy.sky.pair >= 0)
    pairs = pairs[one.problem.allowed[int(lie[2]), pairs[:, 1]]]
    far = np.tile(lie[:2] + _FAR_M * ahead, (len(pairs), 1))
    reach = np.array(_reaches(one, lie, np.column_stack([pairs.astype(np.float64), far])))
    order = np.argsort(-reach, kind="stable")[:_LONGEST]
    return [(int(disc), int(base)) for disc, base in pairs[order]]


def _reaches(one: SolvedDay, lie: Floats, actions: Floats) -> list[float]:
    """Return how far the middle of each action really goes."""
    from rimwise.decide._holes import aim_at

    out = np.empty((len(actions), 3))
    lies = np.repeat(lie[None], len(actions), axis=0)
    aim_at(
        one.policy.sky, one.problem.terrain, one.problem.wind_rad, one.problem.most,
        np.ascontiguousarray(lies), np.ascontiguousarray(actions), out,
    )  # fmt: skip
    return [float(reach_m) for reach_m in out[:, 2]]


def _best(hole: SolvedHole, one: SolvedDay, lie: Floats, lines: Sequence[AimedLine]) -> AimedLine:
    tries, _ = reflown(hole, one, lie, lines, hole.choosing, samples=len(hole.choosing))
    return lines[int(np.argmin(tries.cost))]


# -- floating discs ----------------------------------------------------------------------------


def floating(hole: SolvedHole, one: SolvedDay, lie: Floats, first: AimedLine) -> Floating | None:
    """Hold the first choice to the best disc on offer that floats.

    Returns ``None`` where the first choice floats itself, or hardly ever ends in water.
    """
    if bool(hole.fleet.floats[first.disc]):
        return None
    others = [line for line in shortlist(one, lie) if hole.fleet.floats[line.disc]]
    best = [_best(hole, one, lie, others)] if others else []
    told = try_lines(hole, one, lie, [first, *best], hole.reporting)
    water = float(told.risks[0, 2])
    if water < _WET:
        return None
    if not best:
        return Floating(first.disc, None, water, 0.0, 0.0, 0.0, 0.0)
    saves, error = told.gap(0, 1)
    free = tried(one, told.lines, told.where_m, told.codes, _lost_for_nothing(one))
    return Floating(
        disc=first.disc, other=best[0], water=water, saves=saves, saves_se=error,
        play=-free.gap(0, 1)[0], keeps=_sunk(told, 0) - _sunk(told, 1),
    )  # fmt: skip


def _lost_for_nothing(one: SolvedDay) -> Floats:
    """Return prices by which a lost disc is worth nothing."""
    prices = one.problem.prices.copy()
    prices[:, 1] = 0.0
    return prices


def _sunk(tries: Tries, line: int) -> float:
    """Return the discs that sink each throw."""
    return float(np.mean(np.where(hazards(tries.codes[line]) > 0, tries.gone[line], 0.0)))
