"""Whole courses: every hole on every day, solved side by side.

Holes do not look at each other, and each is solved by one thread alone, so that the number of
threads changes no result. The clouds of a day are flown once for all its holes.
"""

from __future__ import annotations

import math
import zlib
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, TypeVar

import numpy as np
from numpy.typing import NDArray

from rimwise.beliefs.fleet import Fleet
from rimwise.beliefs.putting import PuttingModel
from rimwise.decide.clouds import CHOOSING, SCREENING, Simulator
from rimwise.decide.days import Day
from rimwise.decide.deciding import decided
from rimwise.decide.fresh import Valued, value_fresh
from rimwise.decide.holes import Screened, choose, offered, screen
from rimwise.decide.offers import looked_at_again, offers_of
from rimwise.decide.posing import FULL, Problem, Sizes, pose, sheltered
from rimwise.decide.skies import Pair, all_pairs, fly_sky, light_sky
from rimwise.records.assumptions import Assumptions
from rimwise.records.courses import Course, Hole

if TYPE_CHECKING:
    from rimwise.decide._holes import Sky

__all__ = [
    "HoleDay",
    "HolePlan",
    "Progress",
    "Settled",
    "settle_hole",
    "side_by_side",
    "solve_holes",
]

#: Called with what is being done and the share that is finished; raising stops the work.
Progress = Callable[[str, float], None]
_In = TypeVar("_In")
_Out = TypeVar("_Out")
#: Fresh sets of throws are numbered from here on.
_FRESH = 1000
#: Each hole has a number below this; sets that decide come so much later than those that tell.
_APART = 2**20
#: A hole of which only the length is known is played in each of these directions.
_BEARINGS_DEG = (0.0, 90.0, 180.0, 270.0)


@dataclass(frozen=True, slots=True, eq=False)
class HoleDay:
    """One hole on one day, solved.

    Parameters
    ----------
    day
        With the wind as it blows on this hole.
    share
        Of the rounds that are played on such a day (and in this direction, where directions
        are not known).
    promised
        Strokes from the tee on the throws that the policy was chosen on: too good.
    offers
        Each lie's cheapest actions that differ, see :mod:`rimwise.decide.offers`.
    looked, priced, possible
        Throws that the search looked at, priced in full, and would have had to without pruning.
    """

    hole: Hole
    day: Day
    share: float
    valued: Valued
    promised: float
    offers: NDArray[np.float32]
    looked: int
    priced: int
    possible: int


@dataclass(frozen=True, slots=True, eq=False)
class HolePlan:
    """A hole over all the days of some conditions."""

    hole: Hole
    days: tuple[HoleDay, ...]

    @property
    def strokes(self) -> float:
        """Expected strokes, lost discs at their worth included."""
        return sum(one.share * one.valued.strokes for one in self.days)

    @property
    def effects(self) -> NDArray[np.float64]:
        """How far each fresh draw moves the strokes, (pool,)."""
        return np.asarray(
            np.sum([one.share * one.valued.effects for one in self.days], axis=0),
            dtype=np.float64,
        )

    @property
    def strokes_se(self) -> float:
        """One standard error of the strokes."""
        return float(math.sqrt(self.effects @ self.effects))

    @property
    def chances(self) -> NDArray[np.float64]:
        """Chance of every score, by strokes from 0 on; the last stands for all above."""
        return np.asarray(
            np.sum([one.share * one.valued.chances for one in self.days], axis=0),
            dtype=np.float64,
        )

    @property
    def lost(self) -> NDArray[np.float64]:
        """Discs lost in one play, (disc,)."""
        return np.asarray(
            np.sum([one.share * one.valued.lost for one in self.days], axis=0), dtype=np.float64
        )


def solve_holes(
    simulator: Simulator,
    fleet: Fleet,
    days: Sequence[Day],
    course: Course,
    putting: PuttingModel,
    assume: Assumptions,
    *,
    holes: Sequence[str] | None = None,
    sizes: Sizes = FULL,
    progress: Progress = lambda _what, _share: None,
) -> tuple[HolePlan, ...]:
    """Solve holes of a course in some conditions.

    Parameters
    ----------
    days
        Simulation days; their shares sum to one.
    holes
        Numbers of the holes; all of the course when not given.
    progress
        Raise in it to stop; nothing is kept then.
    """
    asked = [course.hole(ref) for ref in holes] if holes is not None else list(course.holes)
    solved: dict[str, list[HoleDay]] = {hole.ref: [] for hole in asked}
    bearings = (None,) if course.bearings_known else _BEARINGS_DEG
    work = _by_wind(days, asked, assume)
    for number, (day, together) in enumerate(work):
        posed = [
            (hole, pose(course, hole, fleet, day, simulator.bases, putting, assume,
                        cell_m=sizes.cell_m, bearing_deg=bearing,
                        left_handed=simulator.thrower.hand == "left"))
            for hole in together
            for bearing in bearings
        ]  # fmt: skip
        part = _part(progress, day, number, len(work))
        found = _solve_day(simulator, fleet, day, posed, sizes, part)
        for (hole, _), (screened, settled) in zip(posed, found, strict=True):
            share = day.share / len(bearings)
            counted = screened.looked, screened.priced, screened.possible
            told = settled.valued, settled.promised, settled.offers
            solved[hole.ref].append(HoleDay(hole, day, share, *told, *counted))
    progress("done", 1.0)
    return tuple(HolePlan(hole, tuple(solved[hole.ref])) for hole in asked)


def _by_wind(
    days: Sequence[Day], holes: Sequence[Hole], assume: Assumptions
) -> list[tuple[Day, list[Hole]]]:
    """Put holes together that have the same wind on a day: discs are flown once for them."""
    together: list[tuple[Day, list[Hole]]] = []
    for day in days:
        found: dict[Day, list[Hole]] = {}
        for hole in holes:
            found.setdefault(sheltered(day, hole, assume), []).append(hole)
        together += found.items()
    return together


def _part(progress: Progress, day: Day, number: int, days: int) -> Progress:
    """Return what one day says of its progress, as part of so many."""
    return lambda what, share: progress(f"{day.name}: {what}", (number + share) / days)


def _solve_day(
    simulator: Simulator,
    fleet: Fleet,
    day: Day,
    posed: Sequence[tuple[Hole, Problem]],
    sizes: Sizes,
    progress: Progress,
) -> list[tuple[Screened, Settled]]:
    progress("flying every disc", 0.0)
    sky = fly_sky(
        simulator, fleet, day, all_pairs(simulator, fleet), samples=sizes.screening,
        draw_set=SCREENING,
    )  # fmt: skip

    def look(item: tuple[Hole, Problem]) -> Screened:
        return screen(item[1], sky, sizes)

    def said(what: str, start: float, share: float) -> Callable[[int], None]:
        return lambda n: progress(f"{what} {posed[n][0].ref}", start + share * n / len(posed))

    screened = side_by_side(simulator.threads, look, posed, said("searching hole", 0.08, 0.52))
    progress("flying the best of them again", 0.6)
    wider = fly_sky(
        simulator,
        fleet,
        day,
        _pairs(posed, screened, sizes),
        samples=sizes.choosing,
        draw_set=CHOOSING,
    )

    def settle(n: int) -> Settled:
        hole, problem = posed[n]
        return settle_hole(simulator, fleet, day, hole, problem, screened[n], wider, sizes)

    settled = side_by_side(
        simulator.threads, settle, range(len(posed)), said("choosing on hole", 0.75, 0.25)
    )
    return list(zip(screened, settled, strict=True))


@dataclass(frozen=True, slots=True, eq=False)
class Settled:
    """A policy and its worth; the fields are those of :class:`HoleDay`."""

    promised: float
    valued: Valued
    offers: NDArray[np.float32]


def settle_hole(
    simulator: Simulator,
    fleet: Fleet,
    day: Day,
    hole: Hole,
    problem: Problem,
    screened: Screened,
    sky: Sky,
    sizes: Sizes,
) -> Settled:
    """Choose on the second set of throws, decide on a third, and value on a fourth.

    Parameters
    ----------
    day
        With the wind as it blows on this hole.
    sky
        The second set, with every pair that :func:`rimwise.decide.holes.offered` leaves.
    """
    chosen = choose(problem, sky, screened, sizes)
    chosen, tee = looked_at_again(problem, chosen, sky)
    promised = float(chosen.cost[-1])
    # Holes draw apart, so that their errors do not add up over a round.
    apart = _FRESH + zlib.crc32(hole.ref.encode()) % _APART
    chosen, offers = decided(
        simulator, fleet, day, problem, chosen, sky, offers_of(chosen, tee), sizes,
        draw_set=_APART + apart,
    )  # fmt: skip
    valued = value_fresh(simulator, fleet, day, problem, chosen, sky, sizes, draw_set=apart)
    # What aims is kept; the throws themselves would take hundreds of megabytes a day.
    policy = replace(valued.policy, sky=light_sky(sky.middles, sky.pair))
    return Settled(promised, replace(valued, policy=policy), offers)


def _pairs(
    posed: Sequence[tuple[Hole, Problem]], screened: Sequence[Screened], sizes: Sizes
) -> list[Pair]:
    """Return every disc and base line that is to be chosen among anywhere."""
    left = []
    for (_, problem), one in zip(posed, screened, strict=True):
        actions, often = offered(problem, one, sizes)
        left.append(actions[often][..., :2].reshape(-1, 2))
    pairs = np.unique(np.concatenate(left), axis=0)
    return [(int(disc), int(base)) for disc, base in pairs if disc >= 0]


def side_by_side(
    threads: int, work: Callable[[_In], _Out], items: Sequence[_In], said: Callable[[int], None]
) -> list[_Out]:
    """Do something for every item, in threads, and say how far it is; stop when saying raises."""
    with ThreadPoolExecutor(threads) as pool:
        futures = [pool.submit(work, item) for item in items]
        results = []
        try:
            for n, future in enumerate(futures):
                said(n)
                results.append(future.result())
        except BaseException:
            for future in futures:
                future.cancel()
            raise
    return results
