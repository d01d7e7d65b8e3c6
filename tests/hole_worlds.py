"""Small worlds for the hole solver: few discs, a plain thrower, a hole with everything on it."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from rimwise.beliefs.fleet import Fleet, build_fleet
from rimwise.beliefs.putting import PuttingModel
from rimwise.decide.clouds import CHOOSING, SCREENING, Simulator
from rimwise.decide.days import Day, DayWind
from rimwise.decide.holes import Screened, screen
from rimwise.decide.posing import Problem, Sizes, pose, sheltered
from rimwise.decide.rounds import Settled, settle_hole
from rimwise.decide.skies import all_pairs, fly_sky
from rimwise.flight.printed import Printed
from rimwise.records.assumptions import Assumptions
from rimwise.records.courses import (
    Area,
    AreaKind,
    Course,
    DropZone,
    Hole,
    Mandatory,
    Point,
    Side,
    Trouble,
)
from rimwise.records.discs import Disc, Grip, Mold, Plastic, Weight
from rimwise.records.thrower import Hand, Scatter, Style, StyleSkill, Thrower

SMALL = Sizes(screening=16, choosing=64, kept=2, considered=32, best=6, pool=2048, least=32)
PUTTING = PuttingModel(2.2)
BREEZE = Day(
    "breeze", 1.0, (0.0, 0.0, 1.0, 0.0), 1.0, 1.2, DayWind(4.0, 250.0, 0.8, 0.03), "firm", 0.2
)
CALM = replace(BREEZE, name="calm", wind=DayWind(0.0, 0.0, 0.0, 0.03))
NUMBERS = {"putter": (2, 3, 0, 1), "middle": (5, 5, -1, 1), "driver": (9, 5, -1, 2)}


def fleet_of(names: tuple[str, ...] = tuple(NUMBERS), assume: Assumptions | None = None) -> Fleet:
    """Build discs of one plastic; the driver is red, the others white."""
    plastic = Plastic("base", Grip(5, 5, 5, 5), stability_shift_sd=0.0)
    molds = {name: Mold(name, Printed(*NUMBERS[name])) for name in names}
    colours = {"driver": "red"}
    discs = [
        Disc(name, name, "base", Weight(172.0, 0.0), colour=colours.get(name, "white"))
        for name in names
    ]
    return build_fleet(discs, molds, {"base": plastic}, assume or Assumptions())


def thrower(hand: Hand = Hand.RIGHT, scatter: Scatter | None = None) -> Thrower:
    return Thrower("T", hand, (StyleSkill(Style.BACKHAND, 85.0, scatter=scatter),))


def ring(*corners: Point) -> tuple[Point, ...]:
    return corners


def everything(climb_m: float = 4.0) -> Course:
    """A hole of 95 m with a pond, a wood, a lane out of bounds, a fairway, and a climb."""
    return Course(
        "everything",
        (Hole("1", (0.0, 0.0), (95.0, 0.0), elevation_change_m=climb_m),),
        (
            Area(AreaKind.WATER, ring((45, 4), (80, 6), (85, 30), (50, 34))),
            Area(AreaKind.WOOD, ring((30, -8), (70, -10), (75, -45), (25, -40))),
            Area(AreaKind.OUT_OF_BOUNDS, ring((108, -60), (114, -60), (114, 60), (108, 60))),
            Area(AreaKind.FAIRWAY, ring((0, -6), (95, -6), (95, 4), (0, 4))),
        ),
    )


def marked() -> Course:
    """A hole of 90 m that has what owners draw, wind of its own, and no place on the globe."""
    wood = {"stems_per_ha": 900.0, "canopy_m": 7.0}
    return Course(
        "marked",
        (Hole("1", (0.0, 0.0), (0.0, 90.0), shelter=0.5),),
        (
            Area(AreaKind.WATER, ring((6, 50), (30, 50), (30, 80), (6, 80))),
            Area(AreaKind.WOOD, ring((-20, 30), (-2, 30), (-2, 48), (-20, 48)), **wood),
            Area(AreaKind.THICK, ring((-40, 55), (-6, 55), (-6, 110), (-40, 110))),
            Area(AreaKind.NO_RUN_UP, ring((-8, 45), (4, 45), (4, 66), (-8, 66))),
            Area(AreaKind.LOW_CEILING, ring((-12, 58), (2, 58), (2, 80), (-12, 80))),
        ),
        bearings_known=False,
        mandatories=(Mandatory("1", (4.0, 42.0), Side.LEFT),),
        drop_zones=(DropZone("1", (3.0, 47.0), Trouble.WATER),),
    )


def open_hole(length_m: float) -> Course:
    return Course("open", (Hole("1", (0.0, 0.0), (length_m, 0.0)),))


def moved(course: Course, turn_rad: float = 0.0, mirror: bool = False) -> Course:
    """Turn a course about its origin, or mirror it left for right about its first hole (x)."""
    cosine, sine = math.cos(turn_rad), math.sin(turn_rad)

    def at(point: Point) -> Point:
        x, y = point[0], -point[1] if mirror else point[1]
        return cosine * x - sine * y, sine * x + cosine * y

    return replace(
        course,
        holes=tuple(replace(h, tee=at(h.tee), basket=at(h.basket)) for h in course.holes),
        areas=tuple(replace(a, ring=tuple(at(p) for p in a.ring)) for a in course.areas),
    )


@dataclass(frozen=True)
class World:
    course: Course
    day: Day
    fleet: Fleet
    simulator: Simulator
    assume: Assumptions
    sizes: Sizes = SMALL

    @property
    def here(self) -> Day:
        """The day in the wind of the hole."""
        return sheltered(self.day, self.course.holes[0], self.assume)

    def problem(self, raster_m: float = 1.0) -> Problem:
        return pose(
            self.course, self.course.holes[0], self.fleet, self.here, self.simulator.bases, PUTTING,
            self.assume, cell_m=self.sizes.cell_m, raster_m=raster_m,
            left_handed=self.simulator.thrower.hand == "left",
        )  # fmt: skip

    def sky(self, samples: int, draw_set: int):
        return fly_sky(
            self.simulator, self.fleet, self.here, all_pairs(self.simulator, self.fleet),
            samples=samples, draw_set=draw_set,
        )  # fmt: skip

    def screened(self, problem: Problem, *, prune: bool = True, fine: bool = False) -> Screened:
        sky = self.sky(self.sizes.screening, SCREENING)
        lattice = problem.lattice if fine else None
        return screen(problem, sky, self.sizes, prune=prune, lattice=lattice)

    def solved(self, *, prune: bool = True, fine: bool = False) -> Settled:
        problem = self.problem()
        found = self.screened(problem, prune=prune, fine=fine)
        sky = self.sky(self.sizes.choosing, CHOOSING)
        return settle_hole(
            self.simulator, self.fleet, self.here, self.course.holes[0], problem, found, sky,
            self.sizes,
        )  # fmt: skip


def world(
    course: Course,
    day: Day = BREEZE,
    *,
    discs: tuple[str, ...] = tuple(NUMBERS),
    hand: Hand = Hand.RIGHT,
    scatter: Scatter | None = None,
    sizes: Sizes = SMALL,
    assume: Assumptions | None = None,
    seed: int = 1,
) -> World:
    used = assume or Assumptions()
    simulator = Simulator(thrower(hand, scatter), used, seed=seed)
    return World(course, day, fleet_of(discs, used), simulator, used, sizes)


def wind_turned(day: Day, turn_rad: float) -> Day:
    """Turn the wind with a hole that turns counterclockwise on the map."""
    wind = replace(day.wind, from_deg=(day.wind.from_deg - math.degrees(turn_rad)) % 360.0)
    return replace(day, wind=wind)


def wind_mirrored(day: Day) -> Day:
    """Mirror the wind about east, the line from tee to basket."""
    wind = replace(day.wind, from_deg=(180.0 - day.wind.from_deg) % 360.0)
    return replace(day, wind=wind)


def sure() -> Assumptions:
    """Assume that discs are as printed, and that nothing gets lost."""
    return replace(
        Assumptions(), printed_speed_sd=0.0, printed_glide_sd=0.0, printed_turn_sd=0.0,
        printed_fade_sd=0.0, spin_scatter=0.0, rough_loss_chance=0.0,
    )  # fmt: skip


NO_SCATTER = Scatter(0.0, 0.0, 0.0, 0.0, 0.0)
