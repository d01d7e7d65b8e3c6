"""The compiled loop against plain NumPy, hand sums and itself uncompiled."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from small_worlds import box

from rimwise.course.geometry import HoleRaster
from rimwise.decide import _score
from rimwise.decide.lies import OPEN_AROUND, Lie, lie_at, open_lie
from rimwise.decide.pricing import TARGETS_GUARDED, TARGETS_OPEN, middles_of
from rimwise.records.courses import AreaKind, Course, Hole

VALUE = 2.0 + np.arange(401) / 60.0
#: Penalty, loss in water, extra strokes among trees, loss among trees, hits per metre.
PRICE = np.array([1.0, 0.4, 0.35, 0.05, 0.02])
SAMPLES = 24


def lie_with(*areas) -> Lie:  # type: ignore[no-untyped-def]
    hole = Hole("1", (0.0, 0.0), (0.0, 100.0))
    return lie_at(hole.tee, hole.basket, 0.0, HoleRaster.build(Course("c", (hole,), areas), hole))


def outcome(lie: Lie, touch, rest, nerve: float = 50.0):  # type: ignore[no-untyped-def]
    around = lie.around
    return _score._outcome(
        *touch, *rest, nerve, lie.row, around.frame, around.raster, around.wood, around.relief,
        VALUE, PRICE,
    )  # fmt: skip


def clouds(seed: int, bases: int = 2, directions: int = 8) -> NDArray[np.float32]:
    """Made-up clouds that reach farther with effort and drift with the wind's side."""
    rng = np.random.default_rng(seed)
    efforts = np.array([0.4, 0.6, 0.8, 1.0])
    angle = 2.0 * np.pi * np.arange(directions) / directions
    points = np.zeros((bases, directions, 4, _score.CHANNELS, SAMPLES))
    reach = 90.0 * efforts[None, :, None] - 8.0 * np.cos(angle)[:, None, None]
    drift = 5.0 * np.sin(angle)[:, None, None] * efforts[None, :, None]
    for b in range(bases):
        points[b, :, :, 0] = reach + 4.0 * rng.normal(size=SAMPLES)
        points[b, :, :, 1] = drift + 6.0 * b + 5.0 * rng.normal(size=SAMPLES)
        points[b, :, :, 2] = 3.0 + rng.random(SAMPLES)
        points[b, :, :, 3] = rng.random(SAMPLES)
        points[b, :, :, 4] = 2.0 + 0.1 * rng.random(SAMPLES)
    return points.astype(np.float32)


def priced(points, lie: Lie, targets, *, angle_rad: float = 0.0, python: bool = False):  # type: ignore[no-untyped-def]
    best, around = np.full((1, 7), np.nan), lie.around
    nerve = np.linspace(0.1, 3.0, SAMPLES)
    function = _score.price_row.py_func if python else _score.price_row
    function(
        points[None], middles_of(points[None]), angle_rad, lie.row, around.frame, around.raster,
        around.wood, around.relief, VALUE, PRICE[None], nerve, targets, best,
    )  # fmt: skip
    return best[0]


def traced(points, lie: Lie, action, *, angle_rad: float = 0.0, python: bool = False):  # type: ignore[no-untyped-def]
    out, around = np.empty((SAMPLES, 4)), lie.around
    nerve = np.linspace(0.1, 3.0, SAMPLES)
    function = _score.trace_row.py_func if python else _score.trace_row
    function(
        points[int(action[1])], angle_rad, lie.row, around.frame, around.raster, around.wood,
        around.relief, VALUE, PRICE, nerve, action, out,
    )  # fmt: skip
    return out


@given(st.integers(0, 1000), st.sampled_from([2, 4, 8, 12, 16]), st.floats(-10.0, 10.0))
@settings(deadline=None)
def test_directions_interpolate_as_numpys_fourier_transform_does(
    seed: int, directions: int, angle_rad: float
) -> None:
    samples = np.random.default_rng(seed).normal(size=directions)
    weights = np.empty(directions)
    _score.direction_weights(angle_rad, weights)
    harmonics = np.fft.rfft(samples) / directions
    waves = np.exp(1j * angle_rad * np.arange(len(harmonics)))
    # The highest harmonic of an even number of samples is shared by +n/2 and −n/2.
    doubled = np.array([1.0, *[2.0] * (len(harmonics) - 2), 1.0])
    # Within 2e-7 rad of a direction it counts alone, as the division by the slope fails there.
    expected = float((doubled * harmonics * waves).real.sum())
    assert weights @ samples == pytest.approx(expected, abs=1e-5)
    assert weights.sum() == pytest.approx(1.0)


def test_directions_are_exact_for_slow_waves_and_at_the_knots() -> None:
    angle = 2.0 * np.pi * np.arange(8) / 8

    def wave(a):  # type: ignore[no-untyped-def]
        return 3.0 + np.cos(a) - 2.0 * np.sin(2.0 * a) + 0.5 * np.cos(3.0 * a + 1.0)

    weights = np.empty(8)
    for at in np.linspace(-4.0, 9.0, 50):
        _score.direction_weights(at, weights)
        assert weights @ wave(angle) == pytest.approx(wave(at))
    _score.direction_weights(angle[3], weights)
    assert weights == pytest.approx(np.eye(8)[3], abs=1e-12)
    alone = np.empty(1)
    _score.direction_weights(2.0, alone)
    assert alone[0] == 1.0


def test_an_open_hole_is_plain_arithmetic() -> None:
    """No wind, no slope: scale to the target, turn the mean to it, read the strokes."""
    points, lie = clouds(1, bases=1, directions=1), open_lie(70.0, 0.0)
    best = priced(points, lie, TARGETS_OPEN[:1])
    rest = points[0, 0, :, :2].astype(np.float64) + points[0, 0, :, 2:4]
    reach = np.hypot(*rest.mean(axis=2).T)
    knot = int(np.searchsorted(reach, 70.0)) - 1
    share = (70.0 - reach[knot]) / (reach[knot + 1] - reach[knot])
    cloud = rest[knot] + share * (rest[knot + 1] - rest[knot])
    turn = -math.atan2(*cloud.mean(axis=1)[::-1])
    spun = np.array([[math.cos(turn), -math.sin(turn)], [math.sin(turn), math.cos(turn)]]) @ cloud
    left_m = np.hypot(70.0 - spun[0], spun[1])
    expected = 1.0 + np.interp(left_m, np.arange(401), VALUE).mean()
    assert best[0] == pytest.approx(expected, abs=1e-5)
    assert best[1:4] == pytest.approx([0, knot, share], abs=1e-5)
    assert best[4] == pytest.approx(turn, abs=1e-5)


def test_beyond_reach_it_is_thrown_with_full_effort_and_too_near_with_the_softest() -> None:
    points = clouds(1, bases=1, directions=1)
    far = priced(points, open_lie(200.0, 0.0), TARGETS_OPEN[:1])
    assert far[2:4].tolist() == [2.0, 1.0]
    near = priced(points, open_lie(10.0, 0.0), TARGETS_OPEN[:1])
    assert near[2:4].tolist() == [0.0, 0.0]


def test_tracing_the_best_throw_gives_its_cost() -> None:
    lie = lie_with(
        box(AreaKind.WATER, 3.0, 30.0, 40.0, 90.0), box(AreaKind.WOOD, -60.0, 20.0, -6.0, 120.0)
    )
    points = clouds(2)
    for angle_rad in (0.0, 1.3, 4.0):
        best = priced(points, lie, TARGETS_GUARDED, angle_rad=angle_rad)
        followed = traced(points, lie, best, angle_rad=angle_rad)
        assert followed[:, 0].mean() == pytest.approx(best[0], abs=1e-9)


def test_more_targets_or_lines_never_cost_more() -> None:
    lie = lie_with(box(AreaKind.WATER, 3.0, 30.0, 40.0, 90.0))
    points = clouds(3, bases=3)
    few = priced(points, lie, TARGETS_GUARDED[:5])[0]
    assert priced(points, lie, TARGETS_GUARDED)[0] <= few
    assert priced(points[:1], lie, TARGETS_GUARDED)[0] >= priced(points, lie, TARGETS_GUARDED)[0]


@pytest.mark.parametrize("level", ["open", "trees"])
def test_compiled_and_plain_python_agree(level: str) -> None:
    lie = open_lie(80.0, 0.0)
    if level == "trees":
        lie = lie_with(
            box(AreaKind.WATER, 3.0, 30.0, 40.0, 90.0), box(AreaKind.WOOD, -60.0, 20.0, -6.0, 120.0)
        )
    points = clouds(4)
    fast = priced(points, lie, TARGETS_GUARDED, angle_rad=0.7)
    plain = priced(points, lie, TARGETS_GUARDED, angle_rad=0.7, python=True)
    assert fast == pytest.approx(plain, abs=1e-4)
    assert traced(points, lie, fast, angle_rad=0.7) == pytest.approx(
        traced(points, lie, fast, angle_rad=0.7, python=True), abs=1e-4
    )


@given(st.integers(0, 10_000))
@settings(deadline=None, max_examples=40)
def test_each_compiled_step_agrees_with_its_plain_python(seed: int) -> None:
    rng = np.random.default_rng(seed)
    lie = lie_with(
        box(AreaKind.WATER, 3.0, 30.0, 40.0, 90.0),
        box(AreaKind.WOOD, -60.0, 20.0, -6.0, 120.0),
        box(AreaKind.OUT_OF_BOUNDS, 50.0, -20.0, 90.0, 130.0),
    )
    touch, rest = rng.uniform([0.0, -60.0], [130.0, 60.0], (2, 2))
    nerve, around = float(rng.exponential()), lie.around
    arguments = (
        *touch, *rest, nerve, lie.row, around.frame, around.raster, around.wood, around.relief,
        VALUE, PRICE,
    )  # fmt: skip
    assert _score._outcome(*arguments) == pytest.approx(_score._outcome.py_func(*arguments))
    scale = np.cumsum(rng.uniform(1.0, 30.0, (4, 2)), axis=0)
    aim = (scale, float(rng.uniform(1.0, 150.0)), 0.1)
    assert _score._aim(*aim) == pytest.approx(_score._aim.py_func(*aim))


def test_a_landing_in_water_costs_and_drops_on_the_line_back() -> None:
    lie = lie_with(box(AreaKind.WATER, -20.0, 50.0, 20.0, 80.0))
    cost, x, y, trees = outcome(lie, (70.0, 6.0), (72.0, 6.0))
    assert trees == 0.0
    assert y / x == pytest.approx(6.0 / 70.0)  # on the line of flight, from the first touch
    assert x == pytest.approx(50.0, abs=1.0)
    left_m = math.hypot(100.0 - x, y)
    assert cost == pytest.approx(1.0 + 1.0 + 0.4 + np.interp(left_m, np.arange(401), VALUE))


def test_a_slide_into_water_counts_and_a_slide_out_of_bounds_too() -> None:
    water = lie_with(box(AreaKind.WATER, -20.0, 50.0, 20.0, 80.0))
    cost, x, _, _ = outcome(water, (48.0, 0.0), (53.0, 0.0))
    assert x == pytest.approx(50.0, abs=1.0)
    assert cost == pytest.approx(2.4 + VALUE[0] + (100.0 - x) / 60.0)
    lane = lie_with(box(AreaKind.OUT_OF_BOUNDS, -20.0, 50.0, 20.0, 80.0))
    back_in = outcome(lane, (70.0, 0.0), (85.0, 0.0))
    assert back_in[:2] == pytest.approx((1.0 + VALUE[15], 85.0))  # it is the rest that counts
    stays = outcome(lane, (70.0, 0.0), (75.0, 0.0))
    assert stays[0] == pytest.approx(2.0 + VALUE[0] + (100.0 - stays[1]) / 60.0)


def test_water_all_around_sends_the_throw_back_to_the_lie() -> None:
    lie = lie_with(box(AreaKind.WATER, -110.0, -100.0, 110.0, 210.0))
    _, x, y, _ = outcome(lie, (60.0, 10.0), (60.0, 10.0))
    assert (x, y) == (0.0, 0.0)


def test_a_stem_stops_the_throw_where_its_nerve_ends() -> None:
    """Wood from 20 m on, 0.02 hits a metre: a nerve of 0.3 is gone after 15 m of trees."""
    lie = lie_with(box(AreaKind.WOOD, -40.0, 20.0, 40.0, 90.0))
    cost, x, _, trees = outcome(lie, (95.0, 0.0), (97.0, 0.0), nerve=0.3)
    assert trees == 1.0
    assert x == pytest.approx(35.0, abs=1.5)
    assert cost == pytest.approx(1.0 + 0.35 + 0.05 + VALUE[0] + (100.0 - x) / 60.0)
    through = outcome(lie, (95.0, 0.0), (97.0, 0.0), nerve=3.0)
    assert through == pytest.approx((1.0 + VALUE[3], 97.0, 0.0, 0.0))


def test_hits_are_as_likely_as_the_metres_of_wood_say() -> None:
    """Exponential nerve: the chance to come through m metres is exp(−0.02 m)."""
    lie = lie_with(box(AreaKind.WOOD, -40.0, 20.0, 40.0, 70.0))
    nerve = np.random.default_rng(1).exponential(size=4000)
    hit = np.mean([outcome(lie, (95.0, 0.0), (95.0, 0.0), nerve=n)[3] for n in nerve])
    assert hit == pytest.approx(1.0 - math.exp(-0.02 * 50.0), abs=0.03)


def test_off_the_map_is_open_rough() -> None:
    lie = lie_with(box(AreaKind.WATER, -20.0, 50.0, 20.0, 80.0))
    cost, x, y, _ = outcome(lie, (100.0, 300.0), (100.0, 300.0))
    assert (cost, x, y) == pytest.approx((1.0 + VALUE[300], 100.0, 300.0))
    far = outcome(lie, (-500.0, 0.0), (-500.0, 0.0))
    assert far[0] == pytest.approx(1.0 + VALUE[400])


@pytest.mark.parametrize("slope", [0.1, 0.03, 0.0, -0.03, -0.1])
def test_on_a_slope_the_touch_is_where_the_descent_meets_the_ground(slope: float) -> None:
    """Two metres onward and one to the left for each metre of fall, bending as stated."""
    points = np.zeros((1, 4, _score.CHANNELS, SAMPLES), dtype=np.float32)
    points[:, :, 0], points[:, :, 2], points[:, :, 4], points[:, :, 5] = 40.0, 3.0, 2.0, 1.0
    cloud, scale = np.empty((4, _score.CHANNELS, SAMPLES), dtype=np.float32), np.empty((4, 2))
    _score._blend(points, np.ones(1), 0, len(scale) - 1, scale, slope, cloud)
    fall_m = -slope * cloud[0, 0, 0]
    onward_m = 2.0 * fall_m / (1.0 + fall_m / _score._BENDS_M)
    assert cloud[:, 0] == pytest.approx(40.0 + onward_m, abs=0.3)
    assert cloud[:, 1] == pytest.approx(fall_m, abs=0.1)
    assert scale[0] == pytest.approx([cloud[0, 0, 0] + 3.0, cloud[0, 1, 0]], rel=1e-6)


def test_open_ground_is_the_same_priced_either_way() -> None:
    """The short cut for open ground against the full look-up with nothing to find."""
    points = clouds(5)
    lie = open_lie(80.0, 0.0)
    looked_up = Lie(
        lie.xy_m, lie.distance_m, lie.bearing_deg, 0.0,
        type(OPEN_AROUND)(
            1, False, OPEN_AROUND.frame, OPEN_AROUND.raster, OPEN_AROUND.wood, OPEN_AROUND.relief
        ),
    )  # fmt: skip
    short = priced(points, lie, TARGETS_GUARDED)
    assert priced(points, looked_up, TARGETS_GUARDED) == pytest.approx(short, abs=1e-5)
