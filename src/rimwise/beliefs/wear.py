"""How worn a disc is on a date, from its plastic, its use, its knocks and the owner's grades.

Wear grows toward 1 as ``w = 1 − exp(−a)``. The age ``a`` adds up: each throw adds one over the
disc's life, each hard knock the knock's size. Not known are the age before the first record
(every starting wear alike), the life (lognormal about what the plastic's durability says) and the
size of a knock (lognormal); grades are wear seen with a normal error. Three unknowns, so the
posterior is summed on a grid and nothing is linearised.

The form is an assumption, not physics: a steady share of what is left to wear goes with every
throw. Putts into chains count as no throw.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import accumulate

import numpy as np
from numpy.typing import NDArray

from rimwise.records.assumptions import Assumptions
from rimwise.records.carries import Carry
from rimwise.records.discs import Disc, Plastic
from rimwise.records.evidence import ConditionGrade, Recorded, Round, Throw

__all__ = [
    "Use",
    "WearHistory",
    "histories_of",
    "last_day",
    "life_throws",
    "number_drift",
    "throws_left",
    "throws_of_round",
    "uses_of",
    "wear_now",
    "wear_on",
]

Floats = NDArray[np.float64]

#: Nodes of the starting wear, of the life and of the size of a knock.
_START_NODES, _NODES, _REACH = 80, 13, 3.0
#: An age this large is worn out, and more makes no difference.
_OLDEST = 12.0


@dataclass(frozen=True, slots=True)
class Use:
    """Throws of one disc on a date; not whole where a round is shared among the discs."""

    on: date
    throws: float


@dataclass(frozen=True, slots=True)
class WearHistory:
    """Everything that wears one disc, or tells how worn it is.

    Parameters
    ----------
    durability
        Of its plastic, 0 to 1.
    uses
        Throws by date.
    knocks
        Dates of hard knocks.
    grades
        Pairs of a date and the wear seen on it, 0 to 1.
    """

    durability: float
    uses: tuple[Use, ...] = ()
    knocks: tuple[date, ...] = ()
    grades: tuple[tuple[date, float], ...] = ()


def life_throws(durability: float, assume: Assumptions) -> float:
    """Return the throws that take a new disc to 63 % wear, by the durability of its plastic."""
    return assume.wear_life_throws * math.pow(assume.wear_life_range, 2.0 * durability - 1.0)


def wear_on(history: WearHistory, dates: Sequence[date], assume: Assumptions) -> Floats:
    """Return mean and standard deviation of the wear at the end of each date, (n, 2).

    Dates before the last record are allowed: what is known later counts backward too.
    """
    thrown = _thrown_by(history)
    start, life, knock, weight = _weighed(history, thrown, assume)
    found = np.empty((len(dates), 2))
    for i, on in enumerate(dates):
        wear = _wear(history, thrown, on, start, life, knock)
        mean = float(np.sum(weight * wear))
        found[i] = mean, math.sqrt(float(np.sum(weight * (wear - mean) ** 2)))
    return found


def throws_left(history: WearHistory, on: date, assume: Assumptions) -> tuple[float, float, float]:
    """Return the throws after a date that bring 63 % wear: the middle, and 10 and 90 % of cases.

    Life and present wear are believed together: a disc that wore slowly so far lasts longer.
    """
    thrown = _thrown_by(history)
    start, life, knock, weight = _weighed(history, thrown, assume)
    age = -np.log1p(-_wear(history, thrown, on, start, life, knock))
    left = (np.maximum(1.0 - age, 0.0) * life).ravel()
    order = np.argsort(left)
    below = np.cumsum(weight.ravel()[order])
    low, middle, high = left[order][np.searchsorted(below, (0.1, 0.5, 0.9))].tolist()
    return middle, low, high


def _weighed(
    history: WearHistory, thrown: Callable[[date], float], assume: Assumptions
) -> tuple[Floats, Floats, Floats, Floats]:
    """Return the nodes of starting age, life and knock size, and how likely each is, sum 1."""
    start, life, knock, density = _nodes(history, assume)
    for on, seen in history.grades:
        wear = _wear(history, thrown, on, start, life, knock)
        density = density - 0.5 * ((seen - wear) / assume.wear_grade_noise) ** 2
    weight = np.exp(density - density.max())
    return start, life, knock, weight / weight.sum()


def _nodes(history: WearHistory, assume: Assumptions) -> tuple[Floats, Floats, Floats, Floats]:
    """Return starting age, throws per life and knock size on a grid, and the log prior."""
    wear = (np.arange(_START_NODES) + 0.5) / _START_NODES
    z = np.linspace(-_REACH, _REACH, _NODES)
    start, life_z, knock_z = np.meshgrid(-np.log1p(-wear), z, z, indexing="ij")
    life = life_throws(history.durability, assume) * np.exp(assume.wear_life_spread * life_z)
    knock = assume.wear_knock * np.exp(assume.wear_knock_spread * knock_z)
    return start, life, knock, -0.5 * (life_z**2 + knock_z**2)


def _wear(
    history: WearHistory,
    thrown: Callable[[date], float],
    on: date,
    start: Floats,
    life: Floats,
    knock: Floats,
) -> Floats:
    """Return the wear at the end of a date for every node."""
    knocked = sum(1 for day in history.knocks if day <= on)
    age = start + thrown(on) / life + knocked * knock
    return np.asarray(-np.expm1(-np.minimum(age, _OLDEST)))


def _thrown_by(history: WearHistory) -> Callable[[date], float]:
    """Return what tells the throws up to the end of a day: summed once for many days."""
    uses = sorted(history.uses, key=lambda use: use.on)
    days = [use.on for use in uses]
    sums = [0.0, *accumulate(use.throws for use in uses)]
    return lambda on: sums[bisect_right(days, on)]


def wear_now(
    disc: Disc,
    plastic: Plastic,
    uses: Sequence[Use],
    knocks: Sequence[date],
    grades: Sequence[ConditionGrade],
    on: date,
    assume: Assumptions,
    *,
    noted_on: date | None = None,
) -> tuple[float, float]:
    """Return mean and standard deviation of one disc's wear on a date.

    Parameters
    ----------
    uses, knocks
        Throws by date, and dates of hard knocks.
    grades
        Condition grades; those of other discs do not count.
    noted_on
        When the wear in the disc's own record was written. When it is not known and there is no
        condition grade, it counts as written on ``on``; with grades, they say it better and the
        record's own wear is left out.
    """
    seen = [(grade.on, grade.wear) for grade in grades if grade.disc_id == disc.id]
    if noted_on is not None or not seen:
        seen.append((on if noted_on is None else noted_on, disc.wear))
    history = WearHistory(plastic.durability, tuple(uses), tuple(knocks), tuple(seen))
    mean, sd = wear_on(history, [on], assume)[0].tolist()
    return mean, sd


def number_drift(before: float, after: float, assume: Assumptions) -> tuple[float, float]:
    """Return how turn and fade moved between two wears; wear lowers both."""
    more = after - before
    return -assume.wear_turn * more, -assume.wear_fade * more


# -- use, from what the owner recorded ------------------------------------------------------


def throws_of_round(played: Round, assume: Assumptions) -> float:
    """Return the throws of a round that were no putts, at least one a hole.

    Penalty strokes cannot be told apart in a score and count as throws.
    """
    return sum(max(score.strokes - assume.putts_per_hole, 1.0) for score in played.scores)


def uses_of(
    disc_id: str,
    throws: Iterable[Throw],
    rounds: Iterable[Round] = (),
    carries: Iterable[Carry] = (),
    assume: Assumptions | None = None,
    left_out: Mapping[tuple[str, date], int] | None = None,
) -> tuple[Use, ...]:
    """Count one disc's throws by date: those logged, and its share of the rounds.

    ``left_out`` counts throws that are not given, by disc and day.

    A round counts only when it names its carry; the carry's discs then share its throws alike,
    since nobody notes which disc was thrown on which hole.
    """
    known = assume or Assumptions()
    thrown: Counter[date] = Counter(throw.on for throw in throws if throw.disc_id == disc_id)
    thrown += Counter(
        {on: count for (name, on), count in (left_out or {}).items() if name == disc_id}
    )
    shared: dict[date, float] = {on: float(count) for on, count in thrown.items()}
    # The latest carry of a name is the one that was taken, as far as it was made by then.
    made = sorted(carries, key=lambda carry: carry.on)
    for played in rounds:
        taken = [c for c in made if c.name == played.carry and c.on <= played.on]
        if not played.carry or not taken or disc_id not in taken[-1].disc_ids:
            continue
        share = throws_of_round(played, known) / len(taken[-1].disc_ids)
        shared[played.on] = shared.get(played.on, 0.0) + share
    return tuple(Use(on, count) for on, count in sorted(shared.items()))


def histories_of(
    recorded: Recorded,
    discs: Iterable[Disc],
    plastics: Mapping[str, Plastic],
    carries: Sequence[Carry],
    assume: Assumptions,
    noted: Mapping[str, date] | None = None,
) -> dict[str, WearHistory]:
    """Gather what wears each disc and what tells of it, by the disc's name.

    Only discs of which a throw, a knock, a grade or a round is on file. A disc without a grade
    counts as graded as worn as its own record says.

    Parameters
    ----------
    noted
        The day on which that record's wear was noted, by the disc's name; the last day of
        everything on file for discs that are not in it.
    """
    found: dict[str, WearHistory] = {}
    last = last_day(recorded)
    thrown: dict[str, list[Throw]] = {}
    for throw in recorded.throws:
        thrown.setdefault(throw.disc_id, []).append(throw)
    left_out: dict[str, dict[tuple[str, date], int]] = {}
    for who, count in recorded.left_out.items():
        left_out.setdefault(who[0], {})[who] = count
    taken = [played for played in recorded.rounds if played.carry]
    for disc in discs:
        uses = uses_of(
            disc.id,
            thrown.get(disc.id, ()),
            taken,
            carries,
            assume,
            left_out.get(disc.id),
        )
        knocks = tuple(
            knock.on for knock in recorded.knocks if knock.disc_id == disc.id and knock.hard
        )
        grades = tuple(
            (grade.on, grade.wear)
            for grade in recorded.condition_grades
            if grade.disc_id == disc.id
        )
        if last is None or not (uses or knocks or grades):
            continue
        durability = plastics[disc.plastic].durability
        seen = grades or (((noted or {}).get(disc.id, last), disc.wear),)
        found[disc.id] = WearHistory(durability, uses, knocks, seen)
    return found


def last_day(recorded: Recorded) -> date | None:
    """Return the last day on which anything was recorded of discs; ``None`` when nothing was."""
    kinds = (
        recorded.throws,
        recorded.comparisons,
        recorded.condition_grades,
        recorded.knocks,
        recorded.rounds,
    )
    days = [one.on for kind in kinds for one in kind]
    return max([*days, *(on for _, on in recorded.left_out)], default=None)
