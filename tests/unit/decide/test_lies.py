"""Polar tables around a lie against the raster's own, slower look-ups."""

from __future__ import annotations

import math

import numpy as np
import pytest
from numpy.typing import NDArray
from small_worlds import box

from rimwise.course.geometry import BITS, HoleRaster
from rimwise.decide import _score
from rimwise.decide.lies import HALF_RAYS, OPEN_AROUND, Lie, lie_at, open_lie
from rimwise.records.courses import Area, AreaKind, Course, Hole

TEE, BASKET = (3.0, -4.0), (60.0, 90.0)
POND = box(AreaKind.WATER, 20.0, 25.0, 45.0, 60.0)
ISLAND = Area(
    AreaKind.OUT_OF_BOUNDS,
    ((-40, 50), (15, 50), (15, 80), (-40, 80)),
    (((-20, 60), (-5, 60), (-5, 70), (-20, 70)),),
)
WOOD = box(AreaKind.WOOD, 50.0, 10.0, 90.0, 70.0)


def survey(*areas: Area) -> tuple[HoleRaster, Lie]:
    hole = Hole("1", TEE, BASKET)
    raster = HoleRaster.build(Course("c", (hole,), areas), hole)
    return raster, lie_at(TEE, BASKET, 0.0, raster)


def to_course(lie: Lie, polar: NDArray[np.float64]) -> NDArray[np.float64]:
    """Points at (degrees left of the basket's direction, metres) in the course's frame."""
    angle = math.radians(90.0 - lie.bearing_deg) + np.radians(polar[:, 0])
    return np.array(lie.xy_m) + polar[:, 1:] * np.column_stack([np.cos(angle), np.sin(angle)])


def landings(lie: Lie, count: int = 1500) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Whole degrees and whole metres: where the table holds what it was asked for."""
    rng = np.random.default_rng(4)
    polar = np.column_stack([rng.integers(-75, 76, count), rng.integers(5, 125, count)])
    return polar.astype(np.float64), to_course(lie, polar.astype(np.float64))


def test_the_loop_and_the_raster_mean_the_same_bits() -> None:
    assert BITS[AreaKind.WATER] == _score.WATER
    assert BITS[AreaKind.OUT_OF_BOUNDS] == _score.OUT
    assert BITS[AreaKind.WOOD] == _score.WOOD


def test_distance_and_bearing() -> None:
    _, lie = survey()
    assert lie.distance_m == pytest.approx(math.dist(TEE, BASKET))
    assert lie.bearing_deg == pytest.approx(math.degrees(math.atan2(57.0, 94.0)))
    west = lie_at((0.0, 0.0), (-30.0, 0.0), 0.0, survey()[0])
    assert west.bearing_deg == pytest.approx(270.0)


def test_level_says_how_much_there_is_to_look_up() -> None:
    assert survey()[1].around is OPEN_AROUND
    assert open_lie(50.0, 0.0).around is OPEN_AROUND
    assert survey(POND)[1].around.level == 1
    assert survey(POND, WOOD)[1].around.level == 2


def test_stem_metres_are_the_share_of_wood_on_the_way() -> None:
    raster, lie = survey(WOOD)
    polar, points = landings(lie)
    ray, ring = polar.astype(int).T
    metres = lie.around.wood[ray + HALF_RAYS, ring]
    share = raster.wood_share(TEE, points, step_m=0.25)
    assert (share > 0.1).mean() > 0.1
    assert np.abs(metres - share * polar[:, 1]).max() <= 2.0


def test_play_goes_on_where_the_raster_says() -> None:
    raster, lie = survey(POND, ISLAND)
    polar, points = landings(lie)
    ray, ring = polar.astype(int).T
    back_m = lie.around.relief[ray + HALF_RAYS, ring]
    relief = raster.relief_points(TEE, points, step_m=0.25)
    expected_m = np.hypot(*(relief - np.array(TEE)).T)
    moved = back_m < polar[:, 1]
    assert 0.1 < moved.mean() < 0.9
    # The table walks in whole metres; the tip of an area between two rings may be missed.
    close = np.abs(back_m - expected_m) <= 1.5
    assert close.mean() > 0.99


def test_play_never_goes_on_across_the_water() -> None:
    """Behind the pond but in it: the near bank, not the far one a metre away."""
    _, lie = survey(box(AreaKind.WATER, -200.0, 30.0, 200.0, 60.0))
    straight_on = lie.around.relief[HALF_RAYS]
    out = np.flatnonzero(straight_on < np.arange(len(straight_on)))
    assert len(out) > 25
    assert np.ptp(straight_on[out]) == 0.0
    assert straight_on[out[0]] == out[0] - 1


def test_a_thrower_in_the_wood_stands_clear_of_the_stems() -> None:
    raster, _ = survey(WOOD)
    lie = lie_at((60.0, 40.0), (60.0, 90.0), 0.0, raster)
    assert np.all(lie.around.wood[:, 0] == 0.0)
    assert np.all(lie.around.wood[:, 2] == 2.0)
