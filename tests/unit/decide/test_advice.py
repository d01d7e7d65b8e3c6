"""Advice from a solved hole: honest, really different, mirrored, refused where no lie is."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace

import numpy as np
import pytest

from advice_worlds import Asked, pond_across, solved
from hole_worlds import BREEZE, CALM, everything, moved, open_hole, wind_mirrored, world
from rimwise.decide.advice import (
    APART_CHANCE,
    APART_M,
    CHANGE_M_S,
    NEAR_STROKES,
    TURN_DEG,
    Choice,
    advise,
    lie_at,
    other_winds,
    shortlist,
)
from rimwise.decide.fresh import Policy
from rimwise.decide.skies import light_sky
from rimwise.decide.tries import aimed_in, reflown, try_lines
from rimwise.errors import InputError
from rimwise.records.thrower import Hand

#: Free lies and one among trees, the tee first.
LIES = ((0.0, 0.0), (30.0, 2.0), (50.0, -20.0))


@pytest.fixture(scope="module")
def asked() -> Asked:
    return solved(world(everything()))


@pytest.fixture(scope="module")
def calm() -> Asked:
    """A short open hole on which several discs do."""
    return solved(world(open_hole(62.0), CALM))


def risks(choice: Choice) -> np.ndarray:
    return np.array([choice.putt_next, choice.penalty, choice.water, choice.trees, choice.gone])


def different(a: Choice, b: Choice) -> bool:
    apart_m = math.dist(a.centre_m, b.centre_m)
    return apart_m >= APART_M or float(np.abs(risks(a) - risks(b)).max()) >= APART_CHANCE


@pytest.mark.parametrize("lie", LIES)
def test_choices_are_few_near_and_really_different(asked: Asked, lie) -> None:
    advice = advise(asked.hole, asked.one, lie_at(asked.one, *lie))
    assert 1 <= len(advice.choices) <= 3
    for choice in advice.choices[1:]:
        assert choice.strokes - advice.choices[0].strokes <= NEAR_STROKES + 1e-9
    for a, b in itertools.combinations(advice.choices, 2):
        assert a.line.disc != b.line.disc or a.line.base != b.line.base
        assert different(a, b)


def test_where_one_disc_alone_clears_the_water_there_are_fewer_choices() -> None:
    pond = solved(world(pond_across(), CALM, discs=("putter", "driver")))
    lie = lie_at(pond.one, 0.0, 0.0)
    choices = advise(pond.hole, pond.one, lie).choices
    assert {choice.line.disc for choice in choices} == {1}
    assert len(choices) < 3
    putters = [line for line in shortlist(pond.one, lie) if line.disc == 0]
    tries = try_lines(pond.hole, pond.one, lie, [choices[0].line, *putters], pond.hole.reporting)
    assert (tries.cost[1:] - tries.cost[0] > NEAR_STROKES).all()


def test_what_is_told_of_the_tees_policy_is_its_own_value(asked: Asked) -> None:
    lie = lie_at(asked.one, 0.0, 0.0)
    first = advise(asked.hole, asked.one, lie).choices[0]
    policy = tuple(asked.one.policy.actions[-1])
    if (first.line.disc, first.line.base, *first.line.target_m) == policy:
        told = first.strokes, first.strokes_se
        assert told == (asked.one.strokes, asked.one.strokes_se)
    else:  # only something plainly better takes its place
        mine = [shortlist(asked.one, lie)[0], first.line]
        tries = try_lines(asked.hole, asked.one, lie, mine, asked.hole.reporting)
        gap, error = tries.gap(0, 1)
        assert gap > -2.0 * error


def test_the_tees_landings_agree_with_those_the_value_came_from(asked: Asked) -> None:
    lie = lie_at(asked.one, 0.0, 0.0)
    first = advise(asked.hole, asked.one, lie).choices[0]
    tries = try_lines(asked.hole, asked.one, lie, [first.line], asked.hole.reporting)
    gap = tries.cost[0] - asked.one.strokes
    assert abs(gap) < 4.0 * math.hypot(tries.error(0), asked.one.strokes_se)
    assert tries.error(0) < 0.06  # else the line above says little


def test_how_much_better_is_the_difference_of_strokes_with_a_smaller_error() -> None:
    pair = solved(world(open_hole(85.0), BREEZE))
    lie = lie_at(pair.one, 0.0, 0.0)
    lines = shortlist(pair.one, lie)[:2]
    tries = try_lines(pair.hole, pair.one, lie, lines, pair.hole.reporting)
    gap, error = tries.gap(1, 0)
    assert gap == pytest.approx(tries.cost[1] - tries.cost[0])
    assert error < math.hypot(tries.error(0), tries.error(1))


def test_quick_throws_agree_with_exact_ones(asked: Asked) -> None:
    lie = lie_at(asked.one, 30.0, 2.0)
    lines = shortlist(asked.one, lie)[:3]
    exact = try_lines(asked.hole, asked.one, lie, lines, asked.hole.reporting)
    quick, rest = reflown(
        asked.hole, asked.one, lie, lines, asked.hole.reporting,
        samples=len(asked.hole.reporting),
    )  # fmt: skip
    assert rest.shape == exact.where_m.shape
    # On a slope long throws come down earlier and short ones later; differences stand that.
    for line in range(1, len(lines)):
        assert quick.gap(line, 0)[0] == pytest.approx(exact.gap(line, 0)[0], abs=0.06)
    assert np.abs(quick.centres_m - exact.centres_m).max() < 2.0


def test_chances_are_those_of_the_landings(asked: Asked) -> None:
    lie = lie_at(asked.one, 0.0, 0.0)
    for choice in advise(asked.hole, asked.one, lie).choices:
        assert 0.0 <= choice.water <= choice.penalty <= 1.0
        assert choice.gone <= 1.0
        away_m = np.hypot(choice.rest_m[:, 0] - 95.0, choice.rest_m[:, 1])
        assert np.mean(away_m > 22.5) <= 1.0 - choice.putt_next + 1e-9  # nobody putts from there


def test_a_putt_is_told_as_a_putt(asked: Asked) -> None:
    advice = advise(asked.hole, asked.one, lie_at(asked.one, 91.0, 1.0))
    assert advice.putts
    assert not advice.choices
    assert advice.putt is not None
    assert 0.3 < advice.putt < 1.0
    assert 1.0 < advice.strokes_to_finish < 2.0


@pytest.mark.parametrize(
    ("x_m", "y_m", "says"),
    [(65.0, 20.0, "in water"), (111.0, 0.0, "out of bounds"), (400.0, 0.0, "too far")],
)
def test_where_nobody_plays_on_is_refused(asked: Asked, x_m, y_m, says) -> None:
    with pytest.raises(InputError, match=says):
        lie_at(asked.one, x_m, y_m)


def test_a_lie_among_trees_keeps_to_what_it_allows(asked: Asked) -> None:
    lie = lie_at(asked.one, 50.0, -20.0)
    assert lie[2] == 1.0
    assume = asked.hole.simulator.assume
    for choice in advise(asked.hole, asked.one, lie).choices:
        base = asked.hole.simulator.bases[choice.line.base]
        assert base.launch_deg <= assume.wood_lie_launch_deg
        assert choice.line.effort <= assume.wood_lie_effort + 1e-6


# -- other winds -------------------------------------------------------------------------------


def test_other_winds_are_those_asked_for(calm: Asked) -> None:
    advice = advise(calm.hole, calm.one, lie_at(calm.one, 0.0, 0.0))
    if len(advice.choices) > 1:
        assert [flip.change for flip in advice.flips] == ["ahead", "right", "behind", "left"]
        assert {flip.speed_m_s for flip in advice.flips} == {CHANGE_M_S}
    windy = solved(world(open_hole(62.0), BREEZE))
    now = math.degrees(windy.one.problem.wind_rad)
    winds = {
        change: (day.wind.speed_m_s, math.degrees(wind_rad) - now)
        for change, day, wind_rad in other_winds(windy.one)
    }
    assert winds == {
        "left": (4.0, pytest.approx(-TURN_DEG)),
        "right": (4.0, pytest.approx(TURN_DEG)),
        "stronger": (4.0 + CHANGE_M_S, 0.0),
        "weaker": (pytest.approx(4.0 - CHANGE_M_S), 0.0),
    }


def test_a_throw_aimed_anew_in_another_wind_ends_where_it_is_meant_to() -> None:
    windy = solved(world(open_hole(70.0), BREEZE))
    lie = lie_at(windy.one, 0.0, 0.0)
    line = shortlist(windy.one, lie)[:1]
    for change, day, wind_rad in other_winds(windy.one):
        if change not in ("stronger", "weaker"):
            continue
        again = aimed_in(windy.hole, windy.one, lie, line, windy.hole.choosing, day, wind_rad)
        off = [
            np.hypot(
                *(
                    reflown(
                        windy.hole, windy.one, lie, lines, windy.hole.reporting, samples=256,
                        day=day, wind_rad=wind_rad,
                    )[0].where_m[0].mean(axis=0)
                    - line[0].target_m
                )
            )
            for lines in (line, again)
        ]  # fmt: skip
        assert off[1] < max(0.5 * off[0], 2.5), (change, off)


# -- mirror ------------------------------------------------------------------------------------


def mirrored(asked: Asked) -> Asked:
    """Mirror a solved hole, its thrower and its wind, left for right."""
    other = world(moved(everything(), mirror=True), wind_mirrored(BREEZE), hand=Hand.LEFT)
    posed, mine = other.problem(), asked.one.problem
    lies = posed.lattice.lies * (1.0, -1.0, 1.0)
    same = mine.lattice.nearest(lies)
    same[-1] = len(lies) - 1
    assert np.abs(mine.lattice.lies[same] - lies).max() < 1e-9
    policy = asked.one.policy
    directions = policy.sky.middles.shape[1]
    turned = policy.sky.middles[:, -np.arange(directions) % directions] * (1.0, -1.0, 1.0, -1.0)
    one = replace(
        asked.one,
        day=other.day,
        policy=Policy(
            posed,
            policy.actions[same] * (1.0, 1.0, 1.0, -1.0),
            policy.decide[same],
            light_sky(np.ascontiguousarray(turned), policy.sky.pair),
        ),
        cost=asked.one.cost[same],
        offers=asked.one.offers[same] * np.array((1, 1, 1, -1, 1), dtype=np.float32),
    )
    return Asked(replace(asked.hole, simulator=other.simulator, days=(one,)), one)


@pytest.mark.parametrize("lie", LIES)
def test_a_left_hander_on_the_mirrored_hole_gets_mirrored_advice(asked: Asked, lie) -> None:
    other = mirrored(asked)
    mine = advise(asked.hole, asked.one, lie_at(asked.one, *lie))
    theirs = advise(other.hole, other.one, lie_at(other.one, lie[0], -lie[1]))
    assert len(mine.choices) == len(theirs.choices)
    for a, b in zip(mine.choices, theirs.choices, strict=True):
        assert (a.line.disc, a.line.base) == (b.line.disc, b.line.base)
        assert a.line.turn_rad == pytest.approx(-b.line.turn_rad, abs=1e-6)
        assert a.strokes == pytest.approx(b.strokes, abs=5e-3)
        assert np.abs(risks(a) - risks(b)).max() < 0.006
        assert a.centre_m[1] == pytest.approx(-b.centre_m[1], abs=0.05)
    sides = {"left": "right", "right": "left"}
    assert {sides.get(f.change, f.change): f.best for f in mine.flips} == {
        f.change: f.best for f in theirs.flips
    }
