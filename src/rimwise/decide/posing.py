"""Holes as the hole solver needs them: ground, lies, wind, prices, and how much work to spend."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from rimwise.beliefs.fleet import Fleet
from rimwise.beliefs.putting import LONGEST_PUTT_M, PuttingModel, comeback_m
from rimwise.course.raster import HoleGround
from rimwise.decide.days import Day
from rimwise.decide.lattice import FREE, KINDS, LOW_CEILING, NO_RUN_UP, RESTRICTED, Lattice
from rimwise.decide.lines import EFFORTS, Base
from rimwise.decide.visibility import loss_factors
from rimwise.records.assumptions import Assumptions
from rimwise.records.courses import Course, Hole

if TYPE_CHECKING:
    from rimwise.decide._holes import Rules
    from rimwise.decide._terrain import Field, Terrain

__all__ = ["FULL", "QUICK", "Problem", "Sizes", "pose", "prices_of", "sheltered"]

Floats = NDArray[np.float64]

#: However well hidden, some discs are found.
_SURELY = 0.95
#: Step through trees while actions are searched for and chosen.
_WIDE_STEP_M = 2.5
#: Lines are searched for on a lattice so many times wider, and looked out for on a wider one.
COARSER, WIDEST = 2.0, 4.0


@dataclass(frozen=True, slots=True)
class Sizes:
    """How much work goes into a hole.

    Parameters
    ----------
    cell_m
        Spacing of the lies.
    scouting, screening, choosing
        Throws of a cloud for a first look straight on, in the first set that they are the first
        of, and in the second; best powers of two.
    kept
        Lines kept of each disc.
    considered, best
        Actions of a lie that go to the second set, a multiple of four, and those of them that
        are iterated on.
    slack
        A line so many strokes dearer than the best of the first set is not looked at further.
    aside, promising
        How much dearer than the best a line may be going straight on, and still be tried to the
        side, or at all after a first look.
    rarest, often, fewest
        Expected throws in a play from 100 m² below which lies there are looked at from afar
        only; from which on they get all ``considered`` actions; and the fewest that any gets.
    crossed, crossed_at
        So many targets are tried with every disc and line, from lies thrown from so often.
    nudged
        So many actions of a lie are tried with their targets moved.
    deciding, decided, decided_at
        So many flights from the tee, and fewer from lies that are less often thrown from, for
        each of a lie's best offers, if it is thrown from at least so often in a play.
    pool, least
        Fresh flights from the tee, and at least from any lie that is come to.
    residual
        Iteration ends when no lie changes by more strokes.
    """

    cell_m: float = 5.0
    scouting: int = 16
    screening: int = 64
    choosing: int = 128
    kept: int = 3
    considered: int = 96
    best: int = 8
    slack: float = 0.06
    aside: float = 0.5
    promising: float = 0.3
    rarest: float = 0.003
    often: float = 0.2
    fewest: int = 12
    crossed: int = 3
    crossed_at: float = 0.02
    nudged: int = 3
    deciding: int = 1024
    decided: int = 8
    decided_at: float = 0.05
    pool: int = 4096
    least: int = 64
    residual: float = 1e-3


FULL = Sizes()
QUICK = Sizes(
    scouting=8, screening=32, choosing=128, kept=2, considered=48, best=6, slack=0.04,
    promising=0.2, rarest=0.005, nudged=3, deciding=512, decided=6, pool=1024, least=32,
)  # fmt: skip


@dataclass(frozen=True, slots=True, eq=False)
class Problem:
    """One hole on one day, as the compiled loops need it.

    Parameters
    ----------
    lattice, coarse, wide
        Where lies are valued, the wider lattice on which lines are searched for, and the widest
        from which they are looked out for first.
    wind_rad
        Where the wind comes from, to the right of the line from tee to basket.
    prices
        (disc, PRICES), see ``_terrain``.
    putt, made
        Strokes of a putt, and the chances (step, 2) to make it and its comeback, at the steps
        of ``_terrain``.
    allowed, most
        What each kind of lie allows, see ``_holes.Rules``.
    side
        1, or −1 for a left-hander: what is tried is then tried in mirror order.
    """

    hole: Hole
    ground: HoleGround
    lattice: Lattice
    coarse: Lattice
    wide: Lattice
    wind_rad: float
    prices: Floats
    putt: Floats
    made: Floats
    allowed: NDArray[np.bool_]
    most: Floats
    side: float = 1.0

    @property
    def terrain(self) -> Terrain:
        """The cells, for the compiled loops; trees are passed in wide steps."""
        return self.ground_cells(_WIDE_STEP_M)

    def ground_cells(self, step_m: float) -> Terrain:
        """Return the cells, with a step through trees."""
        from rimwise.decide._terrain import Terrain

        g = self.ground
        return Terrain(
            g.bits, g.hits_per_m, g.canopy_m, g.height_m, g.clear_m, g.marks, g.zones,
            np.array(g.corner_m), g.cell_m, 1.0 / g.cell_m, step_m, g.wooded, g.guarded,
            g.sloping, g.marked,
        )  # fmt: skip

    @property
    def rules(self) -> Rules:
        """What lies allow, for the compiled loops."""
        from rimwise.decide._holes import Rules

        return Rules(self.most, self.allowed)

    def field(self, cost: Floats, lattice: Lattice | None = None) -> Field:
        """Return a field in which the lies of a lattice are worth ``cost`` (lie,)."""
        from rimwise.decide._sweeps import fill
        from rimwise.decide._terrain import Field

        on = lattice or self.lattice
        throw = np.empty(on.owner.shape)
        field = Field(
            throw, self.putt, on.corner_m, on.cell_m, 1.0 / on.cell_m, self.ground.length_m
        )
        fill(field, on.owner, on.extra, cost)
        return field


def pose(
    course: Course,
    hole: Hole,
    fleet: Fleet,
    day: Day,
    bases: tuple[Base, ...],
    putting: PuttingModel,
    assume: Assumptions,
    *,
    cell_m: float = 5.0,
    raster_m: float = 1.0,
    bearing_deg: float | None = None,
    left_handed: bool = False,
) -> Problem:
    """Lay out a hole on a day.

    Parameters
    ----------
    cell_m, raster_m
        Spacing of the lies, and side of the ground's cells.
    bearing_deg
        Direction of the hole where the map does not say; the map's when not given.
    """
    from rimwise.decide._terrain import PUTT_STEP_M

    ground = HoleGround.build(course, hole, assume, cell_m=raster_m)
    steps = np.arange(0.0, LONGEST_PUTT_M + 0.5 * PUTT_STEP_M, PUTT_STEP_M)
    made = np.column_stack(
        [putting.make_probability(steps), putting.make_probability(comeback_m(steps))]
    )
    most, allowed = _limits(bases, assume)
    return Problem(
        hole=hole,
        ground=ground,
        lattice=Lattice.build(ground, cell_m),
        coarse=Lattice.build(ground, COARSER * cell_m),
        wide=Lattice.build(ground, WIDEST * cell_m),
        wind_rad=math.radians(
            day.wind.from_deg - (ground.frame.bearing_deg if bearing_deg is None else bearing_deg)
        ),
        prices=prices_of(fleet, day, assume),
        putt=1.0 + (1.0 - made[:, 0]) / made[:, 1],
        made=made,
        allowed=allowed,
        most=most,
        side=-1.0 if left_handed else 1.0,
    )


def _limits(bases: tuple[Base, ...], assume: Assumptions) -> tuple[Floats, NDArray[np.bool_]]:
    """Return the most effort, in knots, and the lines that each kind of lie allows."""
    launch = np.array([base.launch_deg for base in bases])
    most, allowed = np.empty(len(KINDS)), np.ones((len(KINDS), len(bases)), dtype=np.bool_)
    highest = {
        RESTRICTED: assume.wood_lie_launch_deg,
        LOW_CEILING: assume.low_ceiling_launch_deg,
    }
    for kind, launch_deg in highest.items():
        allowed[kind] = launch <= max(launch_deg, launch.min())
    hardest = EFFORTS[-1]
    most[[FREE, LOW_CEILING]] = hardest
    most[RESTRICTED] = min(assume.wood_lie_effort, hardest)
    most[NO_RUN_UP] = min(assume.no_run_up_effort, hardest)
    return (most - EFFORTS[0]) / (EFFORTS[1] - EFFORTS[0]), allowed


def sheltered(day: Day, hole: Hole, assume: Assumptions) -> Day:
    """Return a day with the wind as it blows on a hole of a shelter of its own.

    On a day made with a shelter of nought there is no wind to begin with.
    """
    if hole.shelter is None or assume.shelter_factor == 0.0:
        return day
    factor = hole.shelter / assume.shelter_factor
    wind = replace(day.wind, speed_m_s=factor * day.wind.speed_m_s, sd_m_s=factor * day.wind.sd_m_s)
    return replace(day, wind=wind)


def prices_of(fleet: Fleet, day: Day, assume: Assumptions) -> Floats:
    """Return what each disc's landings cost on a day, (disc, PRICES), see ``_terrain``."""
    from rimwise.decide._terrain import PRICES

    table = np.zeros((len(fleet), PRICES))
    table[:, 0] = assume.penalty_strokes
    table[:, 1] = assume.lost_disc_strokes * fleet.relative_cost
    table[:, 2] = 1.0 - np.where(
        fleet.floats, max(day.water_recovery, assume.floating_recovery), day.water_recovery
    )
    oftener = loss_factors(fleet.colours, day.cover, assume, dusk=day.dusk)
    for column, chance in (
        (4, assume.rough_loss_chance),
        (6, assume.wood_loss_chance),
        (7, assume.thick_loss_chance),
    ):
        table[:, column] = np.minimum(oftener * chance, _SURELY)
    table[:, 8] = assume.mandatory_strokes
    return table
