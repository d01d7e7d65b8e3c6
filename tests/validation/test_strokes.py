"""Strokes-to-finish against a textbook Markov chain, and the trade's rules of choice.

A fixed policy is an absorbing Markov chain: expected steps are ``(I - Q)^-1 1`` (Kemeny &
Snell 1960, *Finite Markov Chains*, theorem 3.3.5); that strokes-to-finish is such an
expectation is Broadie's (2012, *Interfaces* 42(2)). The rules of choice are common practice
without a source; their wording is in ``authorities/trade_rules.csv`` (kind "choice").
"""

from __future__ import annotations

import csv
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from rimwise.beliefs.fleet import Fleet, build_fleet
from rimwise.beliefs.putting import PuttingModel
from rimwise.decide.carry import Wishes, choose_carry
from rimwise.decide.clouds import Simulator
from rimwise.decide.days import Day, DayWind
from rimwise.decide.demand import Demand, build_demand
from rimwise.decide.values import DISTANCES_M, GRID_M, StrokesToFinish, policy_lies, value_policy
from rimwise.flight.printed import Printed
from rimwise.records.assumptions import Assumptions
from rimwise.records.courses import Area, AreaKind, Course, Hole
from rimwise.records.discs import Disc, Grip, Mold, Plastic, Weight
from rimwise.records.thrower import Hand, Style, StyleSkill, Thrower

RULES = Path(__file__).parent / "authorities" / "trade_rules.csv"
PUTTING = PuttingModel(2.2)
GRID = np.arange(GRID_M + 1, dtype=np.float64)
THROWER = Thrower("T", Hand.RIGHT, (StyleSkill(Style.BACKHAND, 90.0),))
#: Discs are as printed, so that a rule is tried on the discs that it speaks of.
AS_PRINTED = Assumptions(
    printed_speed_sd=0.0, printed_glide_sd=0.0, printed_turn_sd=0.0, printed_fade_sd=0.0
)
CALM = Day("calm", 1.0, (0.0, 0.0, 1.0, 0.0), 1.0, 1.2, DayWind(0.0, 0.0, 0.0, 0.03), "firm", 0.2)
PLASTICS = {
    p.name: p
    for p in (
        Plastic("sinking base", Grip(3, 3, 4, 3), stability_shift_sd=0.0),
        Plastic("light floating", Grip(3, 3, 4, 3), floats=True, stability_shift_sd=0.0),
        Plastic("slick premium", Grip(1, 1, 5, 4), stability_shift_sd=0.0),
        Plastic("soft base", Grip(4, 5, 3, 2), stability_shift_sd=0.0),
    )
}


def arm_that_reaches(reach_m: float, samples: int) -> NDArray[np.float64]:
    """Distances left of an invented arm: short by luck, aside by luck, never past its reach."""
    luck = np.random.default_rng(12).normal(size=(2, len(policy_lies()), samples))
    start = np.array([lie.distance_m for lie in policy_lies()])[:, None]
    thrown = np.minimum(start, reach_m)
    return np.hypot(start - thrown * (1.0 + 0.08 * luck[0]), 0.1 * thrown * luck[1])


def valued(left_m: NDArray[np.float64]) -> StrokesToFinish:
    start = StrokesToFinish(2.0 + GRID / 70.0, 0.0, 0, 0.0, np.zeros((GRID_M + 1, 0)))
    return value_policy(left_m, PUTTING, start)


def test_a_policy_is_worth_the_steps_of_its_markov_chain() -> None:
    """States are the tabulated distances; a lie between two is either, by its nearness."""
    left_m = arm_that_reaches(80.0, 50)
    value = valued(left_m)
    putts = PUTTING.strokes(GRID)
    throw_here = value.strokes < putts - 1e-9  # the policy: where a putt is not the cheaper
    states = len(DISTANCES_M)
    moves, ends = np.zeros((states, states)), np.ones(states)
    rows = left_m.reshape(states, -1)
    for i in range(states):
        for lie in rows[i]:
            near = min(int(lie), GRID_M - 1)
            for metre, part in ((near, 1.0 - (lie - near)), (near + 1, lie - near)):
                chance = part / rows.shape[1]
                if not throw_here[metre]:
                    ends[i] += chance * putts[metre]
                    continue
                j = int(np.searchsorted(DISTANCES_M, metre, side="right")) - 1
                up = (metre - DISTANCES_M[j]) / (DISTANCES_M[j + 1] - DISTANCES_M[j])
                moves[i, j] += chance * (1.0 - up)
                moves[i, j + 1] += chance * up
    expected = np.linalg.solve(np.eye(states) - moves, ends)
    far = value.putt_within_m < DISTANCES_M
    assert far.sum() >= 15
    assert value.at(DISTANCES_M[far]) == pytest.approx(expected[far], abs=0.005)


def test_a_policy_is_worth_what_it_costs_to_play_it_out() -> None:
    left_m = arm_that_reaches(80.0, 50)
    value, rows = valued(left_m), left_m.reshape(len(DISTANCES_M), -1)
    rng = np.random.default_rng(2)
    scores = np.array([_play_out(250.0, value, rows, rng) for _ in range(4000)])
    error = scores.std() / np.sqrt(len(scores))
    assert abs(scores.mean() - float(value.at(250.0))) < 4.0 * error + 0.005


def _play_out(
    start_m: float, value: StrokesToFinish, rows: NDArray[np.float64], rng: np.random.Generator
) -> float:
    lie, strokes = start_m, 0.0
    while lie > value.putt_within_m:
        j = int(np.searchsorted(DISTANCES_M, lie, side="right")) - 1
        up = (lie - DISTANCES_M[j]) / (DISTANCES_M[j + 1] - DISTANCES_M[j])
        lie = rng.choice(rows[j + 1 if rng.random() < up else j])
        strokes += 1.0
    return strokes + float(PUTTING.strokes(lie))


def fleet_of(*discs: tuple[str, tuple[float, float, float, float], str, float]) -> Fleet:
    """Discs as (name, printed numbers, plastic, wear); one mold each."""
    molds = {name: Mold(name, Printed(*printed)) for name, printed, _, _ in discs}
    owned = [
        Disc(name, name, plastic, Weight(172.0, 0.0), wear=wear) for name, _, plastic, wear in discs
    ]
    return build_fleet(owned, molds, PLASTICS, AS_PRINTED)


def table_of(
    fleet: Fleet, day: Day, *holes: Hole, areas: tuple[Area, ...] = (), seed: int = 1
) -> Demand:
    sim = Simulator(THROWER, AS_PRINTED, seed=seed, screening=64, choosing=128, reporting=128)
    return build_demand(sim, fleet, [day], Course("c", holes, areas), PUTTING, AS_PRINTED)


def stated_rules() -> dict[str, str]:
    lines = [line for line in RULES.read_text().splitlines() if not line.startswith("#")]
    return {r["rule"]: r["expected"] for r in csv.DictReader(lines) if r["kind"] == "choice"}


HOLE = Hole("1", (0.0, 0.0), (0.0, 85.0))


@pytest.mark.parametrize(("length_m", "seed"), [(85.0, 1), (100.0, 3)])
def test_wind_in_the_face_asks_for_no_less_stable_a_disc(length_m: float, seed: int) -> None:
    """Common practice, no source: "wind_in_face", where a full throw is asked for.

    Where an overstable disc only just reaches in calm air (70 m for this arm), wind in the face
    puts the hole out of its reach, and the advice turns to one that still gets there.
    """
    assert "not less stable" in stated_rules()["wind_in_face"]
    ladder = [(-3.0, 1.0), (-2.0, 1.0), (-1.0, 2.0), (0.0, 3.0), (0.0, 4.0)]
    fleet = fleet_of(
        *[
            (f"s{n}", (8.0, 5.0, turn, fade), "sinking base", 0.0)
            for n, (turn, fade) in enumerate(ladder)
        ]
    )
    advised = []
    for speed_m_s in (0.0, 4.0, 8.0):
        day = replace(CALM, wind=DayWind(speed_m_s, 0.0, speed_m_s / 5.8, 0.03))
        table = table_of(fleet, day, replace(HOLE, basket=(0.0, length_m)), seed=seed)
        advised.append(int(np.argmin(table.cost[0])))
    assert advised == sorted(advised)


def test_colder_or_wetter_the_carry_is_not_less_grippy() -> None:
    """Common practice, no source: "colder_grips"."""
    assert "not less grippy" in stated_rules()["colder_grips"]
    molds = [
        ("p", (3.0, 3.0, 0.0, 1.0)),
        ("m", (5.0, 5.0, -1.0, 1.0)),
        ("f", (7.0, 5.0, -2.0, 1.0)),
    ]
    fleet = fleet_of(
        *[
            (f"{name} {plastic}", printed, plastic, 0.0)
            for name, printed in molds
            for plastic in ("slick premium", "soft base")
        ]
    )
    course = (HOLE, Hole("2", (0.0, 0.0), (0.0, 55.0)))
    held = []
    for grip in ((0.0, 0.0, 1.0, 0.0), (1.0, 0.0, 0.0, 0.0), (0.0, 1.0, 0.0, 0.0)):
        table = table_of(fleet, replace(CALM, grip=grip), *course)
        chosen = choose_carry(table, Wishes(3)).chosen
        held.append(float(fleet.grip[list(chosen), 1].mean()))
    assert held[0] <= held[1]
    assert held[0] <= held[2]
    assert held[2] > held[0]  # and in this case it does change


def beside_water(*costs: float) -> int:
    """Which of a sinking and a floating disc, equal in flight, is advised beside a pond."""
    fleet = fleet_of(
        ("sinks", (7.0, 5.0, -2.0, 1.0), "sinking base", 0.0),
        ("floats", (7.0, 5.0, -2.0, 1.0), "light floating", 0.0),
    )
    fleet = replace(fleet, relative_cost=np.array(costs))
    pond = Area(AreaKind.WATER, ((3.0, 20.0), (60.0, 20.0), (60.0, 130.0), (3.0, 130.0)))
    table = table_of(fleet, CALM, HOLE, areas=(pond,))
    assert table.loss[0].max() > 0.0
    return int(table.serves([0, 1])[0])


def test_beside_water_the_floating_or_the_cheaper_of_two_equal_discs() -> None:
    """Common practice, no source: "water_floats"."""
    assert "floating or the cheaper" in stated_rules()["water_floats"]
    assert beside_water(1.0, 1.0) == 1
    assert beside_water(0.1, 1.9) == 0


def test_around_a_bend_to_the_turn_side_the_worn_disc() -> None:
    """Common practice, no source: "turnover_worn", over eight seeds; the mirrored hole is the
    control, so that the worn disc is not simply the better one.

    A bend of 22 m in 85 m. The way among trees is counted along the straight line from lie to
    first touch, so a tighter bend, where only the flight's curve clears the corner, says nothing.
    """
    assert "worn or understable" in stated_rules()["turnover_worn"]
    printed = (8.0, 5.0, -1.0, 2.0)
    fleet = fleet_of(("new", printed, "sinking base", 0.0), ("worn", printed, "sinking base", 1.0))

    def worn_saves(side: float, seed: int) -> float:
        corner = ((3.0 * side, 15.0), (60.0 * side, 15.0), (60.0 * side, 62.0), (3.0 * side, 62.0))
        bend = Hole("1", (0.0, 0.0), (22.0 * side, 85.0))
        table = table_of(fleet, CALM, bend, areas=(Area(AreaKind.WOOD, corner),), seed=seed)
        new, worn = table.fresh[0].mean(axis=1, dtype=np.float64)
        return float(new - worn)

    saves = np.array([[worn_saves(side, seed) for side in (1.0, -1.0)] for seed in range(8)])
    more = saves[:, 0] - saves[:, 1]
    assert saves[:, 0].mean() > 0.0
    assert more.mean() > 2.0 * more.std(ddof=1) / np.sqrt(len(more))
