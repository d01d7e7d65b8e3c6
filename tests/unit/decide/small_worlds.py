"""A tiny season: a few invented discs, one arm, short courses and single days."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache

from rimwise.beliefs.fleet import Fleet, build_fleet
from rimwise.beliefs.putting import PuttingModel
from rimwise.decide.clouds import Simulator
from rimwise.decide.days import Day, DayWind
from rimwise.decide.demand import Demand, build_demand
from rimwise.flight.printed import Printed
from rimwise.records.assumptions import Assumptions
from rimwise.records.courses import Area, AreaKind, Course, Hole, Point
from rimwise.records.discs import Disc, Grip, Mold, Plastic, Weight
from rimwise.records.thrower import Hand, Style, StyleSkill, Thrower

ASSUME = Assumptions()
PUTTING = PuttingModel(2.2)
THROWER = Thrower("T", Hand.RIGHT, (StyleSkill(Style.BACKHAND, 85.0),))
MOLDS = {
    name: Mold(name, Printed(*printed))
    for name, printed in {
        "PU 1": (3.0, 3.0, 0.0, 1.0),
        "MI 5": (5.0, 5.0, -1.0, 1.0),
        "FW 7": (7.0, 5.0, -2.0, 1.0),
        "OS 9": (9.0, 4.0, 0.0, 4.0),
    }.items()
}
PLASTICS = {
    "firm base": Plastic("firm base", Grip(3, 3, 4, 3)),
    "slick premium": Plastic("slick premium", Grip(1, 1, 5, 4)),
    "soft base": Plastic("soft base", Grip(5, 5, 3, 2)),
    "light floating": Plastic("light floating", Grip(3, 3, 4, 3), floats=True),
}


def disc(name: str, mold: str = "FW 7", plastic: str = "firm base", **more: object) -> Disc:
    return Disc(name, mold, plastic, **({"weight": Weight(172.0)} | more))  # type: ignore[arg-type]


FOUR = (disc("pu", "PU 1"), disc("mi", "MI 5"), disc("fw", "FW 7"), disc("os", "OS 9"))


def fleet_of(discs: Sequence[Disc] = FOUR, assume: Assumptions = ASSUME) -> Fleet:
    return build_fleet(discs, MOLDS, PLASTICS, assume)


CALM = Day("calm", 1.0, (0.0, 0.0, 1.0, 0.0), 1.0, 1.2, DayWind(0.0, 0.0, 0.0, 0.03), "firm", 0.2)


def windy(speed_m_s: float, from_deg: float, name: str = "windy", share: float = 1.0) -> Day:
    wind = DayWind(speed_m_s, from_deg, speed_m_s / 5.8, 0.03)
    return replace(CALM, name=name, share=share, wind=wind)


def simulator(thrower: Thrower = THROWER, assume: Assumptions = ASSUME, **more: int) -> Simulator:
    sizes = {"seed": 3, "screening": 32, "choosing": 48, "reporting": 48} | more
    return Simulator(thrower, assume, **sizes)  # type: ignore[arg-type]


def straight(
    *lengths_m: float, bearing_xy: Point = (0.0, 1.0), areas: tuple[Area, ...] = ()
) -> Course:
    """Holes of these lengths, all in one direction from the origin."""
    east, north = bearing_xy
    holes = tuple(
        Hole(str(n), (0.0, 0.0), (east * m, north * m)) for n, m in enumerate(lengths_m, start=1)
    )
    return Course("straight", holes, areas)


def box(kind: AreaKind, west: float, south: float, east: float, north: float) -> Area:
    return Area(kind, ((west, south), (east, south), (east, north), (west, north)))


def demand(
    days: Sequence[Day], course: Course, discs: Sequence[Disc] = FOUR, **sizes: int
) -> Demand:
    return build_demand(simulator(**sizes), fleet_of(discs), days, course, PUTTING, ASSUME)


#: Two days and two holes, one beside a pond: what the choosing and telling tests share.
SEASON_DAYS = (windy(2.0, 180.0, "mild", 0.6), replace(windy(7.0, 30.0, "gale", 0.4), arm=0.92))
SEASON_COURSE = straight(75.0, 125.0, areas=(box(AreaKind.WATER, 8.0, 20.0, 40.0, 140.0),))


@lru_cache(maxsize=1)
def season() -> Demand:
    return demand(SEASON_DAYS, SEASON_COURSE)
