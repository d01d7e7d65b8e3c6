"""The arm from one number, and how scatter depends on the line."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from rimwise.beliefs.arm import (
    LEVEL_SCATTER,
    arm_style,
    best_reach_m,
    line_scatter_factor,
    speed_for_distance,
    spin_for_speed,
)
from rimwise.errors import InputError
from rimwise.records.assumptions import Assumptions
from rimwise.records.thrower import Hand, Level, Line, Scatter, Style, StyleSkill, Thrower

ASSUME = Assumptions()
STOCK = Line(Style.BACKHAND, 0.0, 10.0)


@pytest.mark.parametrize("distance_m", [55.0, 90.0, 130.0])
@pytest.mark.parametrize("nose_deg", [-2.0, 2.0])
def test_the_speed_found_throws_that_far(distance_m: float, nose_deg: float) -> None:
    speed_m_s = speed_for_distance(distance_m, nose_deg, 0.45)
    assert best_reach_m(speed_m_s, nose_deg, 0.45) == pytest.approx(distance_m, abs=0.2)


def test_a_farther_throw_needs_a_faster_arm_and_so_does_a_raised_nose() -> None:
    speeds = [speed_for_distance(d, 0.0, 0.45) for d in (50.0, 70.0, 90.0, 110.0, 140.0)]
    assert np.all(np.diff(speeds) > 0.0)
    assert speed_for_distance(90.0, 4.0, 0.45) > speed_for_distance(90.0, 0.0, 0.45)


@pytest.mark.parametrize("distance_m", [3.0, 900.0])
def test_a_distance_no_arm_throws_says_which_ones_do(distance_m: float) -> None:
    with pytest.raises(InputError, match=r"no arm throws .* give a distance between \d+ and \d+ m"):
        speed_for_distance(distance_m, 0.0, 0.45)


def test_the_distances_it_names_are_themselves_possible() -> None:
    with pytest.raises(InputError) as said:
        speed_for_distance(900.0, 0.0, 0.45)
    near, far = (float(n) for n in str(said.value).split("between ")[1][:-3].split(" and "))
    assert speed_for_distance(near, 0.0, 0.45) < speed_for_distance(far, 0.0, 0.45)


def test_spin_is_the_advance_ratio() -> None:
    """Rim speed over forward speed, worked by hand: 0.5 at 20 m/s is 10 m/s at 0.106 m."""
    assert spin_for_speed(20.0, 0.5, 0.212) == pytest.approx(10.0 / 0.106)


def test_an_arm_takes_its_level_unless_scatter_is_given_and_turns_its_bias_left_positive() -> None:
    own = Scatter(0.01, 1.0, 1.0, 1.0, 1.0)
    thrower = Thrower(
        "T",
        Hand.RIGHT,
        (
            StyleSkill(Style.BACKHAND, 90.0, Level.ADVANCED, heading_bias_deg=2.0),
            StyleSkill(Style.FOREHAND, 60.0, scatter=own),
        ),
    )
    backhand = arm_style(thrower, Style.BACKHAND, ASSUME)
    assert backhand.scatter == LEVEL_SCATTER[Level.ADVANCED]
    assert backhand.heading_bias_rad == pytest.approx(-math.radians(2.0))
    forehand = arm_style(thrower, Style.FOREHAND, ASSUME)
    assert forehand.scatter == own
    assert forehand.speed_m_s < backhand.speed_m_s


def test_a_better_level_scatters_less_in_everything() -> None:
    order = [LEVEL_SCATTER[level] for level in Level]
    for better, worse in zip(order[1:], order, strict=False):
        for name in Scatter.__slots__:
            assert getattr(better, name) <= getattr(worse, name)


@given(
    st.sampled_from(list(Style)),
    st.floats(-60.0, 80.0),
    st.floats(0.3, 1.0),
    st.floats(-30.0, 30.0),
)
def test_scatter_is_least_on_the_stock_throw(
    style: Style, hyzer_deg: float, effort: float, stock_hyzer_deg: float
) -> None:
    stock = Line(Style.BACKHAND, stock_hyzer_deg, 10.0)

    def factor(line: Line) -> float:
        return line_scatter_factor(stock, line, ASSUME)

    assert factor(Line(Style.BACKHAND, stock_hyzer_deg, 8.0)) == 1.0
    full = factor(Line(style, hyzer_deg, 8.0))
    assert 1.0 <= full <= ASSUME.unpractised_scatter
    soft = factor(Line(style, hyzer_deg, 8.0, effort))
    assert full * ASSUME.soft_effort_scatter <= soft * (1.0 + 1e-12)
    assert soft <= full


def test_the_other_style_and_a_far_hyzer_are_fully_unpractised() -> None:
    far = Line(Style.BACKHAND, ASSUME.practised_hyzer_deg, 10.0)
    other = Line(Style.FOREHAND, 0.0, 10.0)
    for line in (far, other):
        assert line_scatter_factor(STOCK, line, ASSUME) == ASSUME.unpractised_scatter
    softest = Line(Style.BACKHAND, 0.0, 10.0, 0.3)
    assert line_scatter_factor(STOCK, softest, ASSUME) == pytest.approx(ASSUME.soft_effort_scatter)
