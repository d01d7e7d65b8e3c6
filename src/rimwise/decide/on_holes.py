"""Hold sets of discs against each other on the real holes, each with a policy of its own.

A plan looks ahead by distance alone. Here every hole is solved for each set by itself, woods,
water and penalties included, and all sets are valued on the same fresh throws, so that the errors
of what they differ by are paired. Each policy is the best that was found, not the best there is:
where two sets are worth nearly the same, which of them comes out ahead can be the search's luck.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from rimwise.beliefs.fleet import Fleet
from rimwise.beliefs.putting import PuttingModel
from rimwise.decide.clouds import Simulator
from rimwise.decide.days import Day
from rimwise.decide.posing import QUICK, Sizes
from rimwise.decide.rounds import HolePlan, Progress, solve_holes
from rimwise.records.assumptions import Assumptions
from rimwise.records.courses import Course

__all__ = ["Held", "hold_on_holes"]


@dataclass(frozen=True, slots=True)
class Held:
    """A set of discs over a round.

    Parameters
    ----------
    strokes, strokes_se
        Strokes a round, lost discs at their worth included, and one standard error.
    dearer, dearer_se
        What it costs more than the first set, paired.
    by_hole
        (hole, dearer, error) for every hole.
    """

    strokes: float
    strokes_se: float
    dearer: float
    dearer_se: float
    by_hole: tuple[tuple[str, float, float], ...]


def hold_on_holes(
    simulator: Simulator,
    fleet: Fleet,
    days: Sequence[Day],
    course: Course,
    putting: PuttingModel,
    assume: Assumptions,
    sets: Sequence[Sequence[int]],
    *,
    sizes: Sizes = QUICK,
    progress: Progress = lambda _what, _share: None,
) -> tuple[Held, ...]:
    """Solve every hole for each set of discs, and hold the sets against the first.

    Parameters
    ----------
    sets
        Places of discs in the fleet.
    """
    first: tuple[HolePlan, ...] = ()
    held = []
    for number, discs in enumerate(sets):
        plans = solve_holes(
            simulator, fleet.subset(sorted(discs)), days, course, putting, assume, sizes=sizes,
            progress=_part(progress, number, len(sets)),
        )  # fmt: skip
        first = first or plans
        held.append(_against(first, plans))
    progress("done", 1.0)
    return tuple(held)


def _part(progress: Progress, number: int, parts: int) -> Progress:
    return lambda what, share: progress(
        f"set {number + 1} of {parts}: {what}", (number + share) / parts
    )


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
