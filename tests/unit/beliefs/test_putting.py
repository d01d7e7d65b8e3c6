"""The putting model: bounds, order, and an independent simulation of its first factor."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from rimwise.beliefs.putting import (
    CATCH_CHANCE,
    CATCH_RADIUS_M,
    LONGEST_PUTT_M,
    PuttingModel,
    comeback_m,
)
from rimwise.errors import InputError

spreads = st.floats(0.3, 10.0)
halves = st.floats(3.0, 60.0)


@given(spreads, halves)
def test_chance_falls_and_strokes_rise_with_distance(sd_deg: float, half_m: float) -> None:
    model = PuttingModel(sd_deg, half_m)
    distance = np.linspace(0.0, LONGEST_PUTT_M, 200)
    made, strokes = model.make_probability(distance), model.strokes(distance)
    assert np.all((made >= 0.0) & (made <= CATCH_CHANCE))
    assert np.all(np.diff(made) <= 1e-12)
    assert np.all(np.diff(strokes) >= -1e-12)
    assert np.all((strokes >= 1.0) & np.isfinite(strokes))


@given(spreads, spreads, st.floats(0.0, LONGEST_PUTT_M))
def test_a_steadier_hand_never_putts_worse(one: float, other: float, distance_m: float) -> None:
    steady, wild = PuttingModel(min(one, other)), PuttingModel(max(one, other))
    assert steady.make_probability(distance_m) >= wild.make_probability(distance_m)
    assert steady.strokes(distance_m) <= wild.strokes(distance_m)


def test_beyond_the_longest_putt_nobody_putts() -> None:
    model = PuttingModel(2.2)
    assert np.isfinite(model.strokes(LONGEST_PUTT_M))
    assert np.isinf(model.strokes(np.array([LONGEST_PUTT_M + 0.01, 100.0]))).all()


@pytest.mark.parametrize("sd_deg", [1.0, 2.2, 5.0])
@pytest.mark.parametrize("distance_m", [3.0, 6.0, 12.0])
def test_direction_errors_hit_a_disc_of_the_catch_radius_that_often(
    sd_deg: float, distance_m: float
) -> None:
    """Throw normal errors at a disc: the Rayleigh form must be the share that hits it."""
    aim_deg = np.random.default_rng(5).normal(0.0, sd_deg, (200_000, 2))
    sideways_m = distance_m * np.tan(np.radians(np.hypot(*aim_deg.T)))
    hit = np.mean(sideways_m < CATCH_RADIUS_M)
    model = PuttingModel(sd_deg, 60.0)  # so long a half distance leaves only the direction
    long_enough = 1.0 / (1.0 + (distance_m / 60.0) ** 5)
    expected = model.make_probability(distance_m) / CATCH_CHANCE / long_enough
    error = np.sqrt(hit * (1.0 - hit) / len(aim_deg))
    assert abs(hit - expected) < 4.0 * error + 1e-9


def test_strokes_are_those_of_a_played_out_putt() -> None:
    """Play putts out: the first from 8 m, every further one from where the miss left it."""
    model, start = PuttingModel(2.2), 8.0
    rng = np.random.default_rng(8)
    first, second = model.make_probability(np.array([start, comeback_m(start)]))
    tries = rng.geometric(second, 100_000)
    strokes = np.where(rng.random(100_000) < first, 1, 1 + tries)
    error = strokes.std() / np.sqrt(len(strokes))
    assert abs(strokes.mean() - model.strokes(start)) < 4.0 * error


def test_a_miss_never_leaves_more_than_it_came_from() -> None:
    distance = np.linspace(0.0, 30.0, 100)
    assert np.all(comeback_m(distance) <= distance)
    assert np.all(np.diff(comeback_m(distance)) >= 0.0)


@pytest.mark.parametrize(("sd_deg", "half_m"), [(0.0, 18.0), (float("nan"), 18.0), (2.0, 1.0)])
def test_impossible_hands_are_refused(sd_deg: float, half_m: float) -> None:
    with pytest.raises(InputError, match="putting"):
        PuttingModel(sd_deg, half_m)
