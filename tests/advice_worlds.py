"""Solved holes of small worlds, to ask advice of."""

from __future__ import annotations

from dataclasses import dataclass, replace

from hole_worlds import PUTTING, SMALL, World, ring
from rimwise.decide.posing import Sizes
from rimwise.decide.rounds import solve_holes
from rimwise.decide.solved import SolvedDay, SolvedHole, solved_of
from rimwise.records.courses import Area, AreaKind, Course, Hole


@dataclass(frozen=True)
class Asked:
    """A solved hole and its one day."""

    hole: SolvedHole
    one: SolvedDay


#: Enough for a policy; what is told rests on throws of its own.
FEW = replace(SMALL, pool=1024)


def solved(here: World, sizes: Sizes = FEW) -> Asked:
    (plan,) = solve_holes(
        here.simulator, here.fleet, [here.day], here.course, PUTTING, here.assume,
        sizes=sizes,
    )  # fmt: skip
    hole = solved_of(here.simulator, here.fleet, plan)
    return Asked(hole, hole.days[0])


def pond_across(first_m: float = 40.0, last_m: float = 66.0, length_m: float = 80.0) -> Course:
    """A hole with water right across the way."""
    water = ring((first_m, -90.0), (last_m, -90.0), (last_m, 90.0), (first_m, 90.0))
    return Course("pond", (Hole("1", (0.0, 0.0), (length_m, 0.0)),), (Area(AreaKind.WATER, water),))
