"""The trade's rules of choice, as advised from solved holes.

They are common practice without a source; their wording is in ``authorities/trade_rules.csv``
(kind "choice"). The same rules hold the older advice of plans in ``test_strokes.py``; here trees
count along the flight's own curve.
"""

from __future__ import annotations

import csv
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from advice_worlds import Asked, solved
from hole_worlds import CALM, SMALL, World, ring, sure, thrower
from rimwise.beliefs.fleet import Fleet, build_fleet
from rimwise.decide.advice import Choice, advise, lie_at, shortlist
from rimwise.decide.clouds import Simulator
from rimwise.decide.crossing import floating
from rimwise.decide.days import Day, DayWind
from rimwise.decide.tries import try_lines
from rimwise.flight.printed import Printed
from rimwise.records.courses import Area, AreaKind, Course, Hole
from rimwise.records.discs import Disc, Grip, Mold, Plastic, Weight

RULES = Path(__file__).parents[1] / "authorities" / "trade_rules.csv"
SIZES = replace(SMALL, screening=32, choosing=128)
PLASTICS = {
    "sinks": Plastic("sinks", Grip(5, 5, 5, 5), stability_shift_sd=0.0),
    "floats": Plastic("floats", Grip(5, 5, 5, 5), stability_shift_sd=0.0, floats=True),
    "slick": Plastic("slick", Grip(2, 1, 4, 3), stability_shift_sd=0.0),
    "grippy": Plastic("grippy", Grip(4, 4, 4, 4), stability_shift_sd=0.0),
}
Numbers = tuple[float, float, float, float]


def stated(rule: str) -> str:
    lines = [line for line in RULES.read_text("utf-8").splitlines() if not line.startswith("#")]
    return {r["rule"]: r["expected"] for r in csv.DictReader(lines) if r["kind"] == "choice"}[rule]


def fleet_of(*discs: tuple[str, Numbers, str, float]) -> Fleet:
    """Discs as (name, printed numbers, plastic, wear); one mold each."""
    molds = {name: Mold(name, Printed(*printed)) for name, printed, _, _ in discs}
    owned = [
        Disc(name, name, plastic, Weight(172.0, 0.0), wear=wear) for name, _, plastic, wear in discs
    ]
    return build_fleet(owned, molds, PLASTICS, sure())


def advised(course: Course, day: Day, fleet: Fleet, seed: int = 1) -> tuple[Asked, Choice]:
    simulator = Simulator(thrower(), sure(), seed=seed)
    asked = solved(World(course, day, fleet, simulator, sure(), SIZES), SIZES)
    advice = advise(asked.hole, asked.one, lie_at(asked.one, 0.0, 0.0), flips=False)
    return asked, advice.choices[0]


def straight(length_m: float, *areas: Area) -> Course:
    return Course("c", (Hole("1", (0.0, 0.0), (length_m, 0.0)),), areas)


@pytest.mark.parametrize(("length_m", "seed"), [(85.0, 1), (100.0, 3)])
def test_wind_in_the_face_asks_for_no_less_stable_a_disc(length_m: float, seed: int) -> None:
    """Common practice, no source: "wind_in_face", where a full throw is asked for."""
    assert "not less stable" in stated("wind_in_face")
    ladder = [(-3.0, 1.0), (-2.0, 1.0), (-1.0, 2.0), (0.0, 3.0), (0.0, 4.0)]
    fleet = fleet_of(
        *[(f"s{n}", (8.0, 5.0, turn, fade), "sinks", 0.0) for n, (turn, fade) in enumerate(ladder)]
    )
    found = []
    for speed_m_s in (0.0, 4.0, 8.0):
        # The hole runs east: wind from there is in the face.
        day = replace(CALM, wind=DayWind(speed_m_s, 90.0, speed_m_s / 5.8, 0.03))
        found.append(advised(straight(length_m), day, fleet, seed)[1].line.disc)
    assert found == sorted(found)


def test_colder_or_wetter_the_advised_disc_is_not_less_grippy() -> None:
    """Common practice, no source: "colder_grips"."""
    assert "not less grippy" in stated("colder_grips")
    printed = (7.0, 5.0, -2.0, 1.0)
    fleet = fleet_of(("slick", printed, "slick", 0.0), ("grippy", printed, "grippy", 0.0))
    grips = {}
    for name, air in (
        ("warm", (0.0, 0.0, 1.0, 0.0)),
        ("cold", (1.0, 0.0, 0.0, 0.0)),
        ("wet", (0.0, 1.0, 0.0, 0.0)),
    ):
        first = advised(straight(80.0), replace(CALM, grip=air), fleet)[1]
        grips[name] = float(fleet.grip[first.line.disc, 1])
    assert grips["warm"] <= min(grips["cold"], grips["wet"])
    assert grips["wet"] == 4.0


def beside_water(*costs: float) -> tuple[Asked, Choice]:
    printed = (7.0, 5.0, -2.0, 1.0)
    fleet = fleet_of(("sinks", printed, "sinks", 0.0), ("floats", printed, "floats", 0.0))
    fleet = replace(fleet, relative_cost=np.array(costs))
    pond = Area(AreaKind.WATER, ring((20, 3), (130, 3), (130, 60), (20, 60)))
    return advised(straight(85.0, pond), CALM, fleet)


def test_beside_water_the_floating_or_the_cheaper_of_two_equal_discs() -> None:
    """Common practice, no source: "water_floats"."""
    assert "floating or the cheaper" in stated("water_floats")
    _, first = beside_water(1.0, 1.0)
    assert first.line.disc == 1
    assert first.water > 0.02  # else the pond says nothing
    asked, first = beside_water(0.1, 1.9)
    assert first.line.disc == 0
    found = floating(asked.hole, asked.one, lie_at(asked.one, 0.0, 0.0), first.line)
    assert found is not None  # and it is said what the other would save and cost
    assert found.keeps > 0.0
    assert found.saves < 2.0 * found.saves_se  # the dearer disc does not surely pay


def test_around_a_bend_to_the_turn_side_the_worn_disc() -> None:
    """Common practice, no source: "turnover_worn"; the mirrored hole is the control.

    A right-hander's disc turns to the right: a wood stands on the right up to the bend.
    """
    assert "worn or understable" in stated("turnover_worn")
    printed = (8.0, 5.0, -1.0, 2.0)
    fleet = fleet_of(("new", printed, "sinks", 0.0), ("worn", printed, "sinks", 1.0))

    def worn_saves(side: float, seed: int) -> float:
        inner = ring((15, 3 * side), (62, 3 * side), (62, 60 * side), (15, 60 * side))
        # The basket stands 22 m aside of a straight fairway of 85 m: turn all about the tee.
        bend = Course(
            "bend", (Hole("1", (0.0, 0.0), (85.0, 22.0 * side)),), (Area(AreaKind.WOOD, inner),)
        )
        asked, first = advised(bend, CALM, fleet, seed)
        lie = lie_at(asked.one, 0.0, 0.0)
        lines = [first.line, *shortlist(asked.one, lie)]
        tries = try_lines(asked.hole, asked.one, lie, lines, asked.hole.reporting)
        discs = np.array([line.disc for line in tries.lines])
        best = [tries.cost[discs == d].min() if (discs == d).any() else np.nan for d in (0, 1)]
        return float(best[0] - best[1])

    saves = np.array([[worn_saves(side, seed) for side in (-1.0, 1.0)] for seed in (0, 1)])
    assert np.isfinite(saves).all()
    assert (saves[:, 0] > 0.0).all()
    assert (saves[:, 0] > saves[:, 1]).all()
