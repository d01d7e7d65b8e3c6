"""Par and length against what the sport's governing body tells course designers.

Par: the throws that errorless play of a level needs to come to close range, and two from there; a
climb plays three feet longer a foot (guidance for course designers; memory, unverified, and so are
the lengths by level). The bands are this file's judgement: they catch a wrong unit or a wrong
model, not a wrong tenth.
"""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray

import rimwise as rw
from rimwise.beliefs.fleet import build_fleet
from rimwise.beliefs.putting import PuttingModel
from rimwise.course.guidance import odd_pars, par_band, plays_m
from rimwise.decide.clouds import Simulator
from rimwise.decide.days import Day, DayWind
from rimwise.decide.values import solve_policy
from rimwise.flight.fly import fly_many
from rimwise.flight.printed import Printed
from rimwise.records.assumptions import Assumptions
from rimwise.records.courses import Course, Hole
from rimwise.records.discs import Disc, Grip, Mold, Plastic, Weight
from rimwise.records.thrower import Hand, Level, Style, StyleSkill, Thrower

ASSUME = Assumptions()
LENGTHS_M = (40, 60, 75, 90, 105, 120, 145, 170, 200, 230, 260, 300, 350)
CALM = Day("calm", 1.0, (0.0, 0.0, 1.0, 0.0), 1.0, 1.2, DayWind(0.0, 0.0, 0.0, 0.03), "firm", 0.2)
MOLDS = {
    "PU 1": Mold("PU 1", Printed(3, 3, 0, 1)),
    "MI 5": Mold("MI 5", Printed(5, 5, -1, 1)),
    "FW 7": Mold("FW 7", Printed(7, 5, -2, 1)),
    "OS 9": Mold("OS 9", Printed(9, 4, 0, 4)),
}
#: By level: throw, scatter, and spread of putts in degrees (an expert's from memory, the weekly
#: league's as in putting.csv).
LEVELS = {
    "expert": (ASSUME.par_throw_expert_m, Level.TOP, 1.2),
    "recreational": (ASSUME.par_throw_recreational_m, Level.RECREATIONAL, 2.2),
}


def hole(length_m: float, par: int | None = None, climb_m: float = 0.0) -> Hole:
    return Hole("1", (0.0, 0.0), (0.0, length_m), par, climb_m)


@lru_cache(maxsize=2)
def strokes_of(level: str) -> NDArray[np.float64]:
    """Expected strokes from 0, 1, 2 … m on open level ground in still air."""
    reach_m, scatter, putt_deg = LEVELS[level]
    thrower = Thrower("T", Hand.RIGHT, (StyleSkill(Style.BACKHAND, reach_m, scatter),))
    plastics = {"base": Plastic("base", Grip(3, 3, 4, 3))}
    discs = [Disc(name, name, "base", Weight(172.0)) for name in MOLDS]
    simulator = Simulator(thrower, ASSUME, seed=3, screening=96, choosing=48, reporting=48)
    clouds = simulator.clouds(build_fleet(discs, MOLDS, plastics, ASSUME), CALM)
    return solve_policy(clouds.points, PuttingModel(putt_deg))[0].strokes


@pytest.mark.parametrize("level", ["expert", "recreational"])
def test_expected_strokes_on_an_open_hole_lie_within_one_of_its_par(level):
    for length_m in LENGTHS_M:
        band = par_band(hole(float(length_m)), ASSUME)
        par = band.expert if level == "expert" else band.recreational
        assert abs(strokes_of(level)[length_m] - par) <= 1.0, length_m


@pytest.mark.parametrize(
    ("level", "close_m"),
    [("expert", ASSUME.par_close_expert_m), ("recreational", ASSUME.par_close_recreational_m)],
)
def test_from_close_range_a_player_of_the_level_needs_about_two(level, close_m):
    assert 1.5 <= strokes_of(level)[round(close_m)] <= 2.5


def test_a_climb_costs_about_three_times_its_height_in_range():
    """Five ordinary throws landing 3 m above and 3 m below the tee; mean within half of three."""
    throws = [  # printed numbers, speed m/s, spin rad/s, launch degrees
        ((3, 3, 0, 1), 20.0, 120.0, 12.0),
        ((5, 5, -1, 1), 22.0, 120.0, 11.0),
        ((7, 5, -2, 2), 24.0, 125.0, 10.0),
        ((11, 5, -1, 3), 26.0, 130.0, 10.0),
        ((7, 5, -2, 2), 20.0, 105.0, 11.0),
    ]
    body = rw.Body(0.172, 0.211, 0.0013, 0.00065)
    per_m = []
    for printed, speed, spin, launch in throws:
        release = rw.Release(speed, spin, np.radians(launch), np.radians(8.0), 0.0)
        flown = fly_many(
            rw.aero_from_printed(rw.Printed(*printed)), body, release, rw.Air.standard(0.0), None,
            ground_z_m=np.array([-3.0, 3.0]),
        )  # fmt: skip
        per_m.append((flown.range_m[0] - flown.range_m[1]) / 6.0)
    assert np.mean(per_m) == pytest.approx(ASSUME.climb_plays, rel=0.5)


@given(st.floats(20.0, 500.0), st.floats(-30.0, 30.0), st.floats(0.0, 200.0))
def test_longer_or_steeper_holes_have_no_smaller_par(length_m, climb_m, more_m):
    here = par_band(hole(length_m, None, climb_m), ASSUME)
    longer = par_band(hole(min(length_m + more_m, 500.0), None, climb_m), ASSUME)
    steeper = par_band(hole(length_m, None, min(climb_m + more_m, 60.0)), ASSUME)
    assert here.expert <= min(longer.expert, steeper.expert)
    assert here.recreational <= min(longer.recreational, steeper.recreational)
    assert 3 <= here.expert <= here.recreational


def test_only_a_par_outside_both_levels_is_odd():
    def refs(*pars: int | None) -> list[int | None]:
        holes = tuple(replace(hole(200.0, par), ref=str(n)) for n, par in enumerate(pars, start=1))
        return [band.hole.par for band in odd_pars(Course("c", holes), ASSUME)]

    # 200 m: an expert's 4, a recreational player's 5.
    assert refs(2, 3, 4, 5, 6, None) == [3, 6]


def test_a_climb_and_a_posted_bend_make_a_hole_play_longer():
    assert plays_m(hole(100.0, None, 5.0), ASSUME) == 115.0
    bent = replace(hole(100.0), played_length_m=130.0)
    assert plays_m(bent, ASSUME) == 130.0
    assert plays_m(replace(bent, played_length_m=80.0), ASSUME) == 100.0
    assert plays_m(hole(20.0, None, -30.0), ASSUME) == 0.0
