"""Hold sets of discs against each other on the real holes, each with a policy of its own.

A plan looks ahead by distance alone. Here every hole is solved for each set by itself, woods,
water and penalties included, and all sets are valued on the same fresh throws, so that the errors
of what they differ by are paired. Each policy is the best that was found, not the best there is.
So that the luck of the search does not pass for worth, a set takes over what was found for another
set where that throws none but its own discs.

A carry is chosen again here from the table that its own play makes
(:mod:`rimwise.decide.hole_table`), and what is found only takes its place when, solved for itself,
it saves more than two errors.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from rimwise.beliefs.fleet import Fleet
from rimwise.beliefs.putting import PuttingModel
from rimwise.decide.carry import CarryChoice, Stands, Wishes, choose_carry, held_back
from rimwise.decide.certify import promising
from rimwise.decide.clouds import Simulator
from rimwise.decide.days import Day
from rimwise.decide.hole_table import HoleTable, fill_hole_table
from rimwise.decide.posing import QUICK, Sizes
from rimwise.decide.rounds import HoleDay, HolePlan, Progress, solve_holes
from rimwise.records.assumptions import Assumptions
from rimwise.records.courses import Course

__all__ = ["Held", "Holes", "OnHoles", "choose_on_holes"]

#: Most times a carry is chosen again.
_ROUNDS = 3
#: A policy that throws other discs no oftener than this, in a play of the hole, can do without.
_HARDLY_EVER = 1e-3


@dataclass(frozen=True, slots=True)
class Held:
    """A set of discs over a round.

    Parameters
    ----------
    strokes, strokes_se
        Strokes a round, lost discs at their worth included, and one standard error.
    dearer, dearer_se
        What it costs more than the set it is held against, paired.
    by_hole
        (hole, dearer, error) for every hole.
    """

    strokes: float
    strokes_se: float
    dearer: float
    dearer_se: float
    by_hole: tuple[tuple[str, float, float], ...]


class Holes:
    """The holes of a course on some days, solved once for each set of discs that is asked about.

    Parameters
    ----------
    fleet
        All discs that may be carried; sets are places in it.
    putting_discs
        Kept for putting and never thrown, whatever set they are in.
    parts
        Sets and tables that will be asked about, as far as is known; progress goes by it.
    progress
        Raise in it to stop.
    """

    def __init__(
        self,
        simulator: Simulator,
        fleet: Fleet,
        days: Sequence[Day],
        course: Course,
        putting: PuttingModel,
        assume: Assumptions,
        *,
        putting_discs: Sequence[int] = (),
        sizes: Sizes = QUICK,
        parts: int = 1,
        progress: Progress = lambda _what, _share: None,
    ) -> None:
        self.simulator, self.fleet, self.days, self.course = simulator, fleet, tuple(days), course
        self.putting, self.assume, self.sizes = putting, assume, sizes
        self.putting_discs = tuple(putting_discs)
        self._parts, self._begun, self._progress = parts, -1, progress
        self._solved: dict[tuple[int, ...], tuple[HolePlan, ...]] = {}
        self._tables: dict[tuple[int, ...], HoleTable] = {}

    def solved(self, discs: Sequence[int]) -> tuple[HolePlan, ...]:
        """Return every hole, solved for a set of discs."""
        thrown = tuple(sorted(set(discs) - set(self.putting_discs)))
        if thrown not in self._solved:
            self._solved[thrown] = solve_holes(
                self.simulator, self.fleet.subset(thrown), self.days, self.course, self.putting,
                self.assume, sizes=self.sizes, progress=self._part(),
            )  # fmt: skip
        return self._solved[thrown]

    def best(self, discs: Sequence[int]) -> tuple[HolePlan, ...]:
        """Return the best that was found for a set so far, for itself or for another set.

        Another's policy for a hole and day is taken where it throws none but this set's discs and
        is better by more than two errors.
        """
        plans = self.solved(discs)
        return tuple(
            replace(plan, days=tuple(self._best_day(discs, h, d) for d in range(len(plan.days))))
            for h, plan in enumerate(plans)
        )

    def _best_day(self, discs: Sequence[int], hole: int, day: int) -> HoleDay:
        best = self.solved(discs)[hole].days[day]
        for thrown, plans in self._solved.items():
            other = plans[hole].days[day]
            moved = best.valued.effects - other.valued.effects
            better = best.valued.strokes - other.valued.strokes > 2.0 * math.sqrt(moved @ moved)
            if better and _throws_only(other, thrown, discs):
                best = other
        return best

    def against(self, first: Sequence[int], other: Sequence[int]) -> Held:
        """Return what another set of discs is worth, held against the first.

        Sets that were asked about before may have found something for either.
        """
        self.solved(first), self.solved(other)
        return _against(self.best(first), self.best(other))

    def table(self, carry: Sequence[int]) -> HoleTable:
        """Return what every disc costs on the lies that a carry's own play comes to."""
        key = tuple(sorted(carry))
        if key not in self._tables:
            table = fill_hole_table(
                self.simulator, self.fleet, self.days, self.best(carry), self.assume,
                sizes=self.sizes, progress=self._part(),
            )  # fmt: skip
            self._tables[key] = held_back(table, self.putting_discs)
        return self._tables[key]

    def _part(self) -> Progress:
        """Return what the next part says of its progress."""
        self._begun += 1
        begun, parts = self._begun, max(self._parts, self._begun + 1)
        return lambda what, share: self._progress(
            f"part {begun + 1} of {parts}: {what}", (begun + share) / parts
        )


@dataclass(frozen=True, slots=True)
class OnHoles:
    """A carry chosen again on solved holes.

    Parameters
    ----------
    choice
        How it was chosen in the end; ``None`` where the carry asked about stays.
    chosen
        The carry in the end.
    again
        How often it was chosen again.
    stable
        Whether nothing else was promising at last, or what was did not keep its promise.
    changes
        Single changes (out, in) that promise most on its table; an add or a drop has ``None``.
    """

    choice: CarryChoice | None
    chosen: tuple[int, ...]
    again: int
    stable: bool
    changes: tuple[tuple[int | None, int | None], ...]


def choose_on_holes(
    holes: Holes, carry: Sequence[int], wishes: Wishes, stands: Stands | None = None
) -> OnHoles:
    """Choose a carry again from the table that its own play on the holes makes, until stable.

    Parameters
    ----------
    carry
        Places of discs in the fleet.
    """
    chosen, choice, stable, again = tuple(sorted(carry)), None, False, 0
    while not stable and again < _ROUNDS:
        table = holes.table(chosen)
        found = choose_carry(table, replace(wishes, keep=chosen), stands)
        stable = not _keeps_its_promise(holes, table, chosen, found.chosen)
        again += 1
        if not stable:
            chosen, choice = tuple(sorted(found.chosen)), found
    return OnHoles(choice, chosen, again, stable, promising(table, chosen, wishes))


def _keeps_its_promise(
    holes: Holes, table: HoleTable, carry: Sequence[int], other: Sequence[int]
) -> bool:
    """Say whether another carry saves more than two errors, on the table and solved for itself."""
    saves, error = table.difference(carry, other)
    if saves <= 2.0 * error or saves <= 0.0:
        return False
    held = holes.against(carry, other)
    return -held.dearer > 2.0 * held.dearer_se


def _throws_only(day: HoleDay, thrown: Sequence[int], discs: Sequence[int]) -> bool:
    """Say whether a policy that was found for some discs can be played with others."""
    used = np.asarray(thrown)[day.valued.policy.actions[:, 0].astype(np.intp)]
    return float(day.valued.visits[~np.isin(used, list(discs))].sum()) <= _HARDLY_EVER


def _against(first: Sequence[HolePlan], plans: Sequence[HolePlan]) -> Held:
    by_hole = []
    for one, other in zip(first, plans, strict=True):
        moved = other.effects - one.effects
        by_hole.append((one.hole.ref, other.strokes - one.strokes, math.sqrt(moved @ moved)))
    return Held(
        strokes=sum(plan.strokes for plan in plans),
        strokes_se=math.sqrt(sum(plan.strokes_se**2 for plan in plans)),
        dearer=sum(dearer for _, dearer, _ in by_hole),
        dearer_se=math.sqrt(sum(error**2 for _, _, error in by_hole)),
        by_hole=tuple(by_hole),
    )
