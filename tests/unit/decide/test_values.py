"""Strokes-to-finish: order, hand-worked cases, nested discs, and the error it states."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray
from small_worlds import CALM, PUTTING, fleet_of, simulator, windy

from rimwise.beliefs.putting import LONGEST_PUTT_M, PuttingModel
from rimwise.decide._score import CHANNELS
from rimwise.decide.values import (
    DISTANCES_M,
    GRID_M,
    RESIDUAL_STROKES,
    StrokesToFinish,
    landing_weights,
    policy_lies,
    solve_policy,
    value_policy,
)

GRID = np.arange(GRID_M + 1, dtype=np.float64)


@lru_cache(maxsize=2)
def solved(speed_m_s: float = 0.0) -> tuple[NDArray[np.float32], StrokesToFinish]:
    day = windy(speed_m_s, 0.0) if speed_m_s else CALM
    points = simulator(screening=64).clouds(fleet_of(), day).points
    return points, solve_policy(points, PUTTING)[0]


def exact_thrower(reach_m: float) -> NDArray[np.float32]:
    """Clouds of someone who puts every throw where it is meant, up to ``reach_m``."""
    points = np.zeros((1, 1, 1, 4, CHANNELS, 2), dtype=np.float32)
    points[0, 0, 0, :, 0] = reach_m * np.array([0.0, 1 / 3, 2 / 3, 1.0])[:, None]
    return points


@pytest.mark.parametrize("speed_m_s", [0.0, 6.0])
def test_farther_is_never_nearer_to_done(speed_m_s: float) -> None:
    value = solved(speed_m_s)[1]
    assert np.all(np.diff(value.strokes) > -2.0 * RESIDUAL_STROKES)
    assert np.isfinite(value.strokes).all()
    assert value.residual <= RESIDUAL_STROKES
    assert 6.0 <= value.putt_within_m <= LONGEST_PUTT_M


def test_never_above_pure_putting_and_the_putt_itself_near_the_basket() -> None:
    value = solved()[1]
    putts = PUTTING.strokes(GRID)
    assert np.all(value.strokes <= putts)
    near = DISTANCES_M[0] > GRID
    assert np.array_equal(value.strokes[near], putts[near])


def test_someone_who_never_misses_needs_one_throw_and_a_tap_in() -> None:
    """By hand: within reach one throw to the basket, then a putt from nothing."""
    value, _ = solve_policy(exact_thrower(100.0), PUTTING)
    tap_in = float(PUTTING.strokes(0.0))
    for distance_m in (25.0, 50.0, 92.0):
        assert value.at(distance_m) == pytest.approx(1.0 + tap_in, abs=2e-3)
    for distance_m in (140.0, 185.0):  # a full throw leaves 40 or 85 m, the next one nothing
        assert value.at(distance_m) == pytest.approx(2.0 + tap_in, abs=2e-3)


def test_someone_who_is_always_short_needs_the_putt_that_is_left() -> None:
    """By hand: every throw of 30 m or more ends 8 m beyond its mark, to the left or right."""
    points = exact_thrower(100.0)
    points[..., 1, 0], points[..., 1, 1] = 8.0, -8.0
    value, _ = solve_policy(points, PUTTING)
    putt = np.interp(8.0, GRID, np.minimum(PUTTING.strokes(GRID), 1e9))
    assert value.at(50.0) == pytest.approx(1.0 + putt, abs=2e-3)


def test_it_is_a_fixed_point_of_its_own_throws() -> None:
    points, value = solved()
    again, _ = solve_policy(points, PUTTING, start=value.strokes)
    assert again.strokes == pytest.approx(value.strokes, abs=2.0 * RESIDUAL_STROKES)
    assert again.sweeps <= 2


def test_any_start_leads_to_the_same_value() -> None:
    points, value = solved()
    low = solve_policy(points, PUTTING, start=np.full(GRID_M + 1, 1.5))[0]
    assert low.strokes == pytest.approx(value.strokes, abs=0.02)


def test_more_discs_never_raise_it_on_one_set_of_throws() -> None:
    points, everything = solved()
    for keep in ([0], [0, 2], [1, 2, 3]):
        fewer, _ = solve_policy(points[keep], PUTTING)
        assert np.all(everything.strokes <= fewer.strokes + 5.0 * RESIDUAL_STROKES)


def test_a_better_putter_never_needs_more() -> None:
    points, value = solved()
    better, _ = solve_policy(points, PuttingModel(1.2))
    assert np.all(better.strokes <= value.strokes + 5.0 * RESIDUAL_STROKES)
    assert better.at(60.0) < value.at(60.0) - 0.1


def test_fresh_throws_cost_what_they_cost_whichever_value_they_start_from() -> None:
    rng = np.random.default_rng(3)
    left_m = np.abs(rng.normal(0.15, 0.05, (len(policy_lies()), 64)))
    left_m *= np.array([lie.distance_m for lie in policy_lies()])[:, None]
    start = solved()[1]
    one = value_policy(left_m, PUTTING, start)
    other = value_policy(
        left_m, PUTTING, StrokesToFinish(start.strokes + 1.0, 0.0, 0, 0.0, start.effects)
    )
    assert one.strokes == pytest.approx(other.strokes, abs=2e-3)
    assert one.effects.shape == (GRID_M + 1, 64)
    assert np.abs(one.effects.mean(axis=1)).max() < 1e-9
    assert np.abs(one.effects[: int(one.putt_within_m)]).max() == 0.0  # putts have no luck here


def test_the_stated_error_is_the_spread_over_fresh_sets_of_throws() -> None:
    """One policy valued on 60 independent sets: their spread against one set's own error."""
    distance = np.array([lie.distance_m for lie in policy_lies()])[:, None]
    samples, start = 64, solved()[1]
    found, stated = [], []
    for seed in range(60):
        luck = np.random.default_rng(seed).normal(size=(2, 1, samples))
        left_m = np.hypot(np.maximum(distance - 85.0, 0.0) + 0.1 * distance * luck[0], 12 * luck[1])
        value = value_policy(left_m, PUTTING, start)
        found.append(value.at(200.0))
        stated.append(value.effects[200].std(ddof=1) / np.sqrt(samples))
    assert np.std(found, ddof=1) == pytest.approx(np.mean(stated), rel=0.35)


@given(st.lists(st.floats(0.0, 600.0), min_size=1, max_size=30), st.integers(0, 99))
def test_spread_landings_read_what_interpolation_reads(left: list[float], seed: int) -> None:
    rng = np.random.default_rng(seed)
    weights, strokes = rng.random(len(left)), rng.random(GRID_M + 1)
    spread = landing_weights(np.array(left), weights)
    assert spread @ strokes == pytest.approx(float(weights @ np.interp(left, GRID, strokes)))


def test_policy_lies_look_four_ways() -> None:
    lies = policy_lies()
    assert len(lies) == 4 * len(DISTANCES_M)
    assert {lie.bearing_deg for lie in lies[:4]} == {0.0, 90.0, 180.0, 270.0}
    assert all(lie.around.level == 0 for lie in lies)
