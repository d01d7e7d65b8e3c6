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
from rimwise.decide.solved import Pool, SolvedDay, SolvedHole
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
    exactly: Callable[[Floats], bool] = lambda _lie: True,
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
    exactly
        From which of the lies choices are told on throws that are followed to where they meet
        the ground; from the others they end as high as their middle does.
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
    told = iter(_told(solved[0], looked, exactly, between) if looked else ())
    return [[next(told) if putt is None else putt for putt in putting] for putting in putts]


def _told(
    hole: SolvedHole,
    looked: Sequence[_Place],
    exactly: Callable[[Floats], bool],
    between: Callable[[], None],
) -> list[Advice]:
    """Choose among what is looked at from every place, and tell what was chosen."""
    chosen = [
        replace(place, lines=[tries.lines[k] for k in picked(hole, tries)])
        for place, tries in zip(
            looked, _tried(hole, looked, hole.choosing, lambda _lie: False), strict=True
        )
    ]
    between()
    told = _tried(hole, chosen, hole.reporting, exactly)
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


def _tried(
    hole: SolvedHole, places: Sequence[_Place], pool: Pool, exactly: Callable[[Floats], bool]
) -> list[Tries]:
    """Throw the lines of every place, and price them by what its own wind makes of the hole."""
    samples, spans = len(pool), _rows(places)
    where = np.empty((spans[-1].stop, samples, 2))
    codes = np.empty((spans[-1].stop, samples), dtype=np.uint8)
    one = places[0].one
    for followed in (True, False):
        some = [n for n, place in enumerate(places) if exactly(place.lie) == followed]
        if not some:
            continue
        rows = np.concatenate([np.arange(spans[n].start, spans[n].stop) for n in some])
        thrown = _together([places[n] for n in some])
        if followed:
            ends = fly_exactly(hole, one.problem, one.day, thrown, pool)
        else:
            ends = fly_quickly(hole, one.problem, one.day, thrown, pool, samples=samples)[1:]
        where[rows], codes[rows] = ends
    found: list[Tries] = []
    for _, those in itertools.groupby(places, key=lambda place: id(place.one)):
        wind = list(those)  # those in one wind stand together
        mine = spans[len(found) : len(found) + len(wind)]
        rows_of = slice(mine[0].start, mine[-1].stop)
        priced = tried(
            wind[0].one, _together(wind).lines, where[rows_of], codes[rows_of]
        )  # fmt: skip
        found += [_some(priced, span, rows_of.start) for span in mine]
    return found


def _some(tries: Tries, span: slice, first: int) -> Tries:
    """Return the tries of some lines, counted from the first of all."""
    rows = slice(span.start - first, span.stop - first)
    return Tries(
        tries.lines[rows], tries.where_m[rows], tries.codes[rows], tries.cost[rows],
        tries.each[rows], tries.putts[rows], tries.gone[rows],
    )  # fmt: skip
