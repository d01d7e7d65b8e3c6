"""Advice: up to three really different throws from a lie of a solved hole, and what would flip it.

The solver left each lie a handful of offers. Here they are aimed from the true lie, chosen among
on one set of throws, and told on another, all of them on the same draws, so that the difference
between two choices has a small error of its own. What comes after the throw stays as valued when
the hole was solved.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from rimwise.course.geometry import PENALTY_BITS
from rimwise.decide.days import Day
from rimwise.decide.fresh import hazards
from rimwise.decide.lattice import FREE, KIND_ON
from rimwise.decide.solved import SolvedDay, SolvedHole
from rimwise.decide.tries import (
    AimedLine,
    Tries,
    aim,
    aimed_in,
    middle_path,
    reflown,
    try_lines,
)
from rimwise.errors import InputError

__all__ = [
    "NEAR_STROKES", "Advice", "Choice", "Flip", "advise", "choices_of", "dots_of", "lie_at",
    "looked_at", "other_winds", "picked", "putt_advice", "putt_chance", "shortlist",
    "still_different",
]  # fmt: skip

Floats = NDArray[np.float64]

#: A choice may cost so much more than the best, and has to differ from the others by so much:
#: metres between the middles of the clouds, or points of 100 in a chance.
NEAR_STROKES, APART_M, APART_CHANCE = 0.2, 8.0, 0.05
MOST_CHOICES = 3
#: Offers looked at, and those dearer than this when the hole was solved are left out.
_LOOKED_AT, _DEARER_STROKES = 8, 0.3
#: A change of wind surely flips the choice from so many standard errors on; another line takes
#: the place of the policy's, as the best of several, only from more.
_SURELY, _PLAINLY = 2.0, 3.0
#: Lines of one disc start on two sides of the hole when their headings differ by so much.
_SIDES_RAD = math.radians(10.0)
#: A lie this near to the tee is the tee.
_AT_TEE_M = 0.5
#: The offers of so many lies around are looked at.
_AROUND = 12
#: How the wind may change.
TURN_DEG, CHANGE_M_S = 45.0, 3.0
#: Below this a day is calm: what is asked is then a wind of ``CHANGE_M_S`` from four sides.
CALM_M_S = 1.0
#: Throws of each choice in each other wind.
FLIP_THROWS = 256
#: A wind that comes up in calm air gusts by this share of it (memory: open ground).
_GUSTS = 0.2
#: Landings drawn.
DOTS = 50


@dataclass(frozen=True, slots=True, eq=False)
class Choice:
    """One throw that may be made.

    Parameters
    ----------
    strokes, strokes_se
        Strokes-to-finish with it, and one standard error.
    better, better_se
        How much better than the next choice, paired; ``None`` for the last one.
    putt_next, penalty, water, trees, gone
        Chances: to putt next; of a penalty; that it ends in water; among trees; that it is the
        disc's last throw.
    centre_m
        Middle of the landings in the hole's frame.
    path_m, dots_m, rest_m
        The middle throw (points, 3), 50 landings, and all of them (sample, 2).
    """

    line: AimedLine
    strokes: float
    strokes_se: float
    better: float | None
    better_se: float | None
    putt_next: float
    penalty: float
    water: float
    trees: float
    gone: float
    centre_m: tuple[float, float]
    path_m: Floats
    dots_m: Floats
    rest_m: Floats


@dataclass(frozen=True, slots=True)
class Flip:
    """What another wind does to the choice.

    Parameters
    ----------
    change
        "left" and "right" for where it comes from as the thrower sees it, "stronger", "weaker";
        on a calm day "ahead", "behind", "left", "right".
    speed_m_s, from_deg
        That wind; 0 is from the basket, 90 from the right of the hole.
    best
        Which of the choices is then the best.
    gap, gap_se
        How much better than today's choice, paired; nought where that stays the best.
    """

    change: str
    speed_m_s: float
    from_deg: float
    best: int
    gap: float
    gap_se: float

    @property
    def sure(self) -> bool:
        """Whether the choice surely changes."""
        return self.best != 0 and self.gap > _SURELY * self.gap_se

    @property
    def open(self) -> bool:
        """Whether it may change, but that cannot be told from luck."""
        return self.best != 0 and not self.sure


@dataclass(frozen=True, slots=True, eq=False)
class Advice:
    """What to do from a lie on one kind of day.

    Parameters
    ----------
    lie
        (3,): x, y, kind.
    putt
        Chance to hole a putt from here; ``None`` where nobody putts.
    putts
        Whether to putt rather than throw.
    strokes_to_finish
        From here, by what is advised.
    """

    lie: Floats
    putt: float | None
    putts: bool
    strokes_to_finish: float
    choices: tuple[Choice, ...]
    flips: tuple[Flip, ...]


def lie_at(one: SolvedDay, x_m: float, y_m: float) -> Floats:
    """Return the lie (3,) at a point of the hole.

    Raises
    ------
    InputError
        Where nobody plays on: in water, out of bounds, or far from the hole.
    """
    ground = one.problem.ground
    at = np.array([[x_m, y_m]])
    if math.hypot(x_m, y_m) < _AT_TEE_M:
        return np.array([0.0, 0.0, FREE])
    rows, columns = ground.bits.shape
    low = np.array(ground.corner_m)
    high = low + ground.cell_m * np.array([columns, rows])
    if not bool(((at[0] >= low) & (at[0] < high)).all()):
        raise InputError(
            f"a lie {x_m:.0f} m along and {abs(y_m):.0f} m aside is too far from the hole; it has "
            f"to be {low[0]:.0f} to {high[0]:.0f} m along and at most {high[1]:.0f} m aside."
        )
    bits = int(ground.bits_at(at)[0])
    if bits & PENALTY_BITS:
        raise InputError(
            f"the lie {x_m:.0f} m along and {abs(y_m):.0f} m aside is in water or out of bounds; "
            "give the place from which you play on."
        )
    return np.array([x_m, y_m, float(KIND_ON[bits])])


def advise(
    hole: SolvedHole, one: SolvedDay, lie: Floats, *, most: int = MOST_CHOICES, flips: bool = True
) -> Advice:
    """Say what to throw from a lie.

    Parameters
    ----------
    lie
        As :func:`lie_at` returns it.
    most
        Choices at most.
    flips
        Whether to fly them in other winds too.
    """
    putting = putt_advice(one, lie)
    if putting is not None:
        return putting
    putt = putt_chance(one, lie)
    looked = looked_at(one, lie)
    tries, _ = reflown(hole, one, lie, looked, hole.choosing, samples=len(hole.choosing))
    found = [looked[k] for k in picked(hole, tries, most)]
    told = try_lines(hole, one, lie, found, hole.reporting)
    lines = [told.lines[k] for k in still_different(told)]
    drawn, rest = reflown(hole, one, lie, lines, hole.reporting, samples=DOTS)
    paths = [middle_path(hole, one, lie, line) for line in lines]
    choices = choices_of(one, lie, told, dots_of(drawn.where_m, drawn.codes, rest), paths)
    return Advice(
        lie, putt, False, choices[0].strokes, choices,
        _flips(hole, one, lie, lines) if flips and len(lines) > 1 else (),
    )  # fmt: skip


def putt_advice(one: SolvedDay, lie: Floats) -> Advice | None:
    """Return the advice to putt; ``None`` where one throws."""
    from rimwise.decide._terrain import worth

    if bool(one.policy.throws(lie[None])[0]):
        return None
    both = np.empty((1, 2))
    worth(one.problem.field(one.cost), np.ascontiguousarray(lie[None]), both)
    return Advice(lie, putt_chance(one, lie), True, float(both[0, 0]), (), ())


def putt_chance(one: SolvedDay, lie: Floats) -> float | None:
    """Return the chance to hole a putt from a lie; ``None`` where nobody putts."""
    from rimwise.decide._terrain import PUTT_STEP_M

    at = math.hypot(lie[0] - one.problem.ground.length_m, lie[1]) / PUTT_STEP_M
    return float(one.problem.made[int(at), 0]) if at < len(one.problem.made) else None


def shortlist(one: SolvedDay, lie: Floats) -> list[AimedLine]:
    """Return what is offered around a lie, aimed from it; the policy's own throw comes first."""
    return aim(one.policy, lie, _offered(one, lie))


def _offered(one: SolvedDay, lie: Floats) -> Floats:
    """Return actions (N, 5) that differ, the policy's own first and then the cheapest first."""
    lattice = one.problem.lattice
    near = _lies_around(one, lie)
    policy = int(lattice.nearest(lie[None])[0]) if len(near) > 1 else int(near[0])
    if one.policy.actions[policy, 0] < 0:
        policy = int(near[0])
    offers = one.offers[near].reshape(-1, 5).astype(np.float64)
    offers = offers[(offers[:, 0] >= 0) & (offers[:, 4] <= _DEARER_STROKES)]
    offers = offers[one.problem.allowed[int(lie[2]), offers[:, 1].astype(np.intp)]]
    offers = offers[np.argsort(offers[:, 4], kind="stable")]
    offers = np.vstack([np.append(one.policy.actions[policy], 0.0), offers])
    alike = _alike(offers)
    left = np.ones(len(offers), dtype=np.bool_)
    kept = []
    while left.any():
        kept.append(int(left.argmax()))
        left &= ~alike[kept[-1]]
    return offers[kept]


def _lies_around(one: SolvedDay, lie: Floats) -> NDArray[np.intp]:
    lies = one.problem.lattice.lies
    if not lie.any():
        return np.array([len(lies) - 1])
    able = (lies[:, 2] == lie[2]) & (one.offers[:, 0, 0] >= 0)
    able[-1] = False
    if not able.any():
        able = one.offers[:, 0, 0] >= 0
    away_m = np.hypot(lies[:, 0] - lie[0], lies[:, 1] - lie[1])
    order = np.argsort(np.where(able, away_m, np.inf), kind="stable")
    return order[: min(_AROUND, int(able.sum()))]


def _alike(actions: Floats) -> NDArray[np.bool_]:
    """Say which of some actions are one disc's line to places near each other, (action, action)."""
    disc, base, x, y = (actions[:, None, c] - actions[None, :, c] for c in range(4))
    return np.asarray((disc == 0.0) & (base == 0.0) & (np.hypot(x, y) < APART_M))


# -- choosing ----------------------------------------------------------------------------------


def looked_at(one: SolvedDay, lie: Floats) -> list[AimedLine]:
    """Return the few of what is offered around a lie that are thrown to choose among them."""
    offered = _offered(one, lie)
    return aim(one.policy, lie, offered[_spread(offered[:, 0].tolist(), _LOOKED_AT)])


def picked(hole: SolvedHole, tries: Tries, most: int = MOST_CHOICES) -> list[int]:
    """Choose up to so many really different lines, the best first, on the choosing throws."""
    looked = tries.lines
    order = np.argsort(tries.cost, kind="stable").tolist()
    styles = [str(base.style) for base in hole.simulator.bases]
    best = 0
    gap, error = tries.gap(0, order[0])
    if gap > _PLAINLY * error:
        best = order[0]
    kept = [best]
    for k in order:
        if len(kept) == most:
            break
        near = tries.cost[k] - tries.cost[best] <= NEAR_STROKES
        if k in kept or not near:
            continue
        if all(_another(looked[k], looked[j], styles) and _apart(tries, k, j) for j in kept):
            kept.append(k)
    return kept


def _spread(discs: Sequence[float], most: int) -> list[int]:
    """Return the places of the first discs, other discs before a disc's second place."""
    seen: dict[float, int] = {}
    ranked = []
    for n, disc in enumerate(discs):
        seen[disc] = seen.get(disc, 0) + 1
        ranked.append((seen[disc], n))
    return sorted(n for _, n in sorted(ranked)[:most])


def _another(a: AimedLine, b: AimedLine, styles: Sequence[str]) -> bool:
    """Say whether two lines differ in the disc or the side: the style, or where they start."""
    if a.disc != b.disc or styles[a.base] != styles[b.base]:
        return True
    return a.turn_rad * b.turn_rad < 0.0 and abs(a.turn_rad - b.turn_rad) > _SIDES_RAD


def _apart(tries: Tries, k: int, other: int) -> bool:
    """Say whether two lines end in other places, or in other trouble."""
    apart_m = float(np.hypot(*(tries.centres_m[k] - tries.centres_m[other])))
    risk = float(np.abs(tries.risks[k] - tries.risks[other]).max())
    return apart_m >= APART_M or risk >= APART_CHANCE


def still_different(told: Tries) -> list[int]:
    """Return which of the chosen lines are different on the throws that tell them too."""
    kept = [0]
    for k in range(1, len(told.lines)):
        near = told.cost[k] - told.cost[0] <= NEAR_STROKES
        if near and all(_apart(told, k, other) for other in kept):
            kept.append(k)
    return kept


def dots_of(where_m: Floats, codes: NDArray[np.uint8], rest_m: Floats) -> Floats:
    """Return where landings are drawn, (line, sample, 2).

    A disc that met with a penalty is drawn where it lies, not where play goes on.
    """
    return np.where((hazards(codes) > 0)[..., None], rest_m, where_m)


def choices_of(
    one: SolvedDay,
    lie: Floats,
    told: Tries,
    dots_m: Floats | Sequence[Floats],
    paths_m: Floats | Sequence[Floats],
) -> tuple[Choice, ...]:
    """Tell the lines that are still different.

    Parameters
    ----------
    dots_m, paths_m
        Of each of these lines: landings (dot, 2) and the middle throw (points, 3).
    """
    kept = still_different(told)
    at_tee = not lie.any() and _is_policy(one, told.lines[0])
    shift = one.strokes - told.cost[0] if at_tee else 0.0
    found = []
    for n, k in enumerate(kept):
        following = kept[n + 1] if n + 1 < len(kept) else None
        better = None if following is None else told.gap(following, k)
        error = told.error(k)
        if at_tee:  # the tee's policy was valued on thousands of throws
            error = math.hypot(one.strokes_se, told.gap(k, 0)[1] if k else 0.0)
        putt, penalty, water, trees, gone = told.risks[k].tolist()
        found.append(
            Choice(
                line=told.lines[k],
                strokes=float(told.cost[k] + shift),
                strokes_se=error,
                better=None if better is None else better[0],
                better_se=None if better is None else better[1],
                putt_next=putt, penalty=penalty, water=water, trees=trees, gone=gone,
                centre_m=(float(told.centres_m[k, 0]), float(told.centres_m[k, 1])),
                path_m=paths_m[n],
                dots_m=dots_m[n],
                rest_m=told.where_m[k],
            )
        )  # fmt: skip
    return tuple(found)


def _is_policy(one: SolvedDay, line: AimedLine) -> bool:
    action = one.policy.actions[-1]
    return bool(
        line.disc == action[0]
        and line.base == action[1]
        and math.hypot(line.target_m[0] - action[2], line.target_m[1] - action[3]) < 1e-3
    )


# -- other winds -------------------------------------------------------------------------------


def _flips(
    hole: SolvedHole, one: SolvedDay, lie: Floats, lines: Sequence[AimedLine]
) -> tuple[Flip, ...]:
    found = []
    for change, day, wind_rad in other_winds(one):
        if day is one.day:
            actions = np.array([(line.disc, line.base, *line.target_m) for line in lines])
            posed = replace(one.problem, wind_rad=wind_rad)
            again = aim(replace(one.policy, problem=posed), lie, actions)
        else:
            again = aimed_in(hole, one, lie, lines, hole.choosing, day, wind_rad)
        tries, _ = reflown(
            hole, one, lie, again, hole.reporting, samples=FLIP_THROWS, day=day, wind_rad=wind_rad
        )
        best = int(np.argmin(tries.cost))
        gap, error = tries.gap(0, best) if best else (0.0, 0.0)
        from_deg = math.degrees(wind_rad) % 360.0
        found.append(Flip(change, day.wind.speed_m_s, from_deg, best, gap, error))
    return tuple(found)


def other_winds(one: SolvedDay) -> list[tuple[str, Day, float]]:
    """Return what else the wind may be: how it differs, the day, and where it comes from."""
    now, wind = one.problem.wind_rad, one.day.wind
    turn = math.radians(TURN_DEG)
    if wind.speed_m_s < CALM_M_S:
        day = _blowing(one.day, CHANGE_M_S)
        sides = (("ahead", 0.0), ("right", 90.0), ("behind", 180.0), ("left", 270.0))
        return [(name, day, math.radians(degrees)) for name, degrees in sides]
    return [
        ("left", one.day, now - turn),
        ("right", one.day, now + turn),
        ("stronger", _blowing(one.day, wind.speed_m_s + CHANGE_M_S), now),
        ("weaker", _blowing(one.day, max(wind.speed_m_s - CHANGE_M_S, 0.0)), now),
    ]


def _blowing(day: Day, speed_m_s: float) -> Day:
    """Return a day with another wind speed, as gusty for its strength as before."""
    wind = day.wind
    gusty = wind.sd_m_s / wind.speed_m_s if wind.speed_m_s >= CALM_M_S else _GUSTS
    return replace(day, wind=replace(wind, speed_m_s=speed_m_s, sd_m_s=gusty * speed_m_s))
