"""Advice from many lies of a hole in many winds at once, for what is worked out beforehand.

It says what :func:`rimwise.decide.advice.advise` says from one lie in one wind. To ask for each
alone spends most of its time on getting ready to fly a few hundred throws; here the throws of a
disc from all lies in all directions of a wind are flown together.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from rimwise.decide.advice import (
    DOTS,
    Advice,
    choices_of,
    dots_of,
    looked_at,
    picked,
    putt_advice,
    putt_chance,
    still_different,
)
from rimwise.decide.solved import SolvedDay, SolvedHole
from rimwise.decide.tries import (
    AimedLine,
    Thrown,
    Tries,
    fly_exactly,
    fly_quickly,
    middle_paths,
    tried,
)

__all__ = ["advise_all"]

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class _Place:
    """A lie in one of the winds, and the lines that are thrown from it."""

    one: SolvedDay
    lie: Floats
    lines: Sequence[AimedLine]


def advise_all(
    solved: Sequence[SolvedHole],
    lies: Sequence[Floats],
    *,
    throws: Callable[[Floats], int] | None = None,
    between: Callable[[], None] = lambda: None,
) -> list[list[Advice]]:
    """Say what to throw from some lies of a hole in several directions of one wind.

    Parameters
    ----------
    solved
        The hole, solved for one day each: all with the same discs and draws, on the same ground
        and in wind of the same strength, each from another side.
    lies
        (3,) each, as :func:`rimwise.decide.advice.lie_at` returns them.
    throws
        How many of the choosing throws are made from a lie to choose there; all when not given.
    between
        Called between the steps; raise in it to stop.

    Returns
    -------
    For every wind and every lie; what another wind would change (``flips``) is not asked.
    """
    putts = [[putt_advice(one.days[0], lie) for lie in lies] for one in solved]
    looked = [
        _Place(one.days[0], lie, looked_at(one.days[0], lie))
        for one, putting in zip(solved, putts, strict=True)
        for lie, putt in zip(lies, putting, strict=True)
        if putt is None
    ]
    between()
    told = iter(_told(solved[0], looked, throws, between) if looked else ())
    return [[next(told) if putt is None else putt for putt in putting] for putting in putts]


def _told(
    hole: SolvedHole,
    looked: Sequence[_Place],
    throws: Callable[[Floats], int] | None,
    between: Callable[[], None],
) -> list[Advice]:
    """Choose among what is looked at from every place, and tell what was chosen."""
    most = len(hole.choosing)
    counts = [most if throws is None else min(throws(place.lie), most) for place in looked]
    chosen = [
        replace(place, lines=[place.lines[k] for k in picked(hole, tries)])
        for place, tries in zip(looked, _tried_quickly(hole, looked, counts), strict=True)
    ]
    between()
    told = _tried_exactly(hole, chosen)
    between()
    kept = [
        replace(place, lines=[tries.lines[k] for k in still_different(tries)])
        for place, tries in zip(chosen, told, strict=True)
    ]
    day, problem, thrown = kept[0].one.day, kept[0].one.problem, _together(kept)
    rest, where, codes = fly_quickly(hole, problem, day, thrown, hole.reporting, samples=DOTS)
    dots, paths = dots_of(where, codes, rest), middle_paths(hole, problem, day, thrown)
    advice = []
    for place, tries, rows in zip(kept, told, _rows(kept), strict=True):
        choices = choices_of(place.one, place.lie, tries, dots[rows], paths[rows])
        putt = putt_chance(place.one, place.lie)
        advice.append(Advice(place.lie, putt, False, choices[0].strokes, choices, ()))
    return advice


def _together(places: Sequence[_Place]) -> Thrown:
    """Return the lines of all places as throws that may be flown at once."""
    counts = [len(place.lines) for place in places]
    return Thrown(
        [line for place in places for line in place.lines],
        np.repeat(np.array([place.lie for place in places]), counts, axis=0),
        np.repeat([place.one.problem.wind_rad for place in places], counts),
    )


def _rows(places: Sequence[_Place]) -> list[slice]:
    """Return which of all lines are those of each place."""
    ends = np.cumsum([len(place.lines) for place in places]).tolist()
    return [slice(end - len(place.lines), end) for place, end in zip(places, ends, strict=True)]


def _tried_quickly(
    hole: SolvedHole, places: Sequence[_Place], counts: Sequence[int]
) -> list[Tries]:
    """Throw the lines of every place so often, quickly, on the choosing throws."""
    one, found = places[0].one, dict[int, Tries]()
    for count in sorted(set(counts)):
        some = [n for n, each in enumerate(counts) if each == count]
        those = [places[n] for n in some]
        _, where, codes = fly_quickly(
            hole, one.problem, one.day, _together(those), hole.choosing, samples=count
        )
        found |= zip(some, _priced(those, where, codes), strict=True)
    return [found[n] for n in range(len(places))]


def _tried_exactly(hole: SolvedHole, places: Sequence[_Place]) -> list[Tries]:
    """Throw the lines of every place on the telling throws, each to where it meets the ground."""
    one = places[0].one
    return _priced(
        places, *fly_exactly(hole, one.problem, one.day, _together(places), hole.reporting)
    )


def _priced(places: Sequence[_Place], where: Floats, codes: NDArray[np.uint8]) -> list[Tries]:
    """Price the landings of all lines by what each place's own wind makes of the hole."""
    spans, found = _rows(places), list[Tries]()
    for _, those in itertools.groupby(places, key=lambda place: id(place.one)):
        wind = list(those)  # those in one wind stand together
        mine = spans[len(found) : len(found) + len(wind)]
        rows = slice(mine[0].start, mine[-1].stop)
        priced = tried(wind[0].one, _together(wind).lines, where[rows], codes[rows])
        found += [_some(priced, span, rows.start) for span in mine]
    return found


def _some(tries: Tries, span: slice, first: int) -> Tries:
    """Return the tries of some lines, counted from the first of all."""
    rows = slice(span.start - first, span.stop - first)
    return Tries(
        tries.lines[rows], tries.where_m[rows], tries.codes[rows], tries.cost[rows],
        tries.each[rows], tries.putts[rows], tries.gone[rows],
    )  # fmt: skip
