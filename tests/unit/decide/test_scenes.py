"""What is drawn of a tee: cloud, outline, path and chances; and how discs fly for the arm."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from small_worlds import (
    CALM,
    FOUR,
    SEASON_COURSE,
    THROWER,
    box,
    demand,
    fleet_of,
    season,
    simulator,
    straight,
    windy,
)

from rimwise.course.geometry import AreaIndex
from rimwise.course.table import course_from_table
from rimwise.decide.ladder import rungs
from rimwise.decide.scenes import OUTLINE_SHARE, Scene, hole_scenes
from rimwise.records.courses import AreaKind
from rimwise.records.thrower import Hand


@pytest.fixture(scope="module")
def scenes() -> tuple[Scene, ...]:
    return hole_scenes(simulator(), season(), SEASON_COURSE, [1, 2, 3])


def inside(ring: np.ndarray, points: np.ndarray) -> np.ndarray:
    """Even-odd rule, written out."""
    x, y = points.T
    hit = np.zeros(len(points), dtype=bool)
    for (ax, ay), (bx, by) in zip(ring, np.roll(ring, -1, axis=0), strict=True):
        crosses = (ay > y) != (by > y)
        with np.errstate(divide="ignore", invalid="ignore"):
            hit ^= crosses & (x < ax + (y - ay) * (bx - ax) / (by - ay))
    return hit


def test_one_scene_for_each_hole_on_the_commonest_day(scenes: tuple[Scene, ...]) -> None:
    assert [scene.hole.ref for scene in scenes] == ["1", "2"]
    assert {season().days[scene.day].name for scene in scenes} == {"mild"}
    serves = season().serves([1, 2, 3])
    for scene in scenes:
        assert scene.disc == serves[scene.row]
        assert season().rows[scene.row].kind == "tee"


def test_the_outline_holds_its_share_of_the_landings(scenes: tuple[Scene, ...]) -> None:
    for scene in scenes:
        held = inside(scene.outline_m, scene.rest_m).mean()
        assert held == pytest.approx(OUTLINE_SHARE, abs=0.05)


def test_the_path_runs_from_the_tee_to_the_cloud(scenes: tuple[Scene, ...]) -> None:
    for scene in scenes:
        assert scene.path_m[0, :2] == pytest.approx([0.0, 0.0])
        assert scene.path_m[:, 2].max() > 1.2
        middle = np.median(scene.rest_m, axis=0)
        size = np.hypot(*scene.rest_m.std(axis=0)) + 8.0  # the slide after first touch
        assert np.hypot(*(scene.path_m[-1, :2] - middle)) < size


def test_chances_are_shares_and_the_strokes_are_the_tables(scenes: tuple[Scene, ...]) -> None:
    for scene in scenes:
        assert 0.0 <= scene.water <= 1.0
        assert scene.out == 0.0
        assert np.array_equal(
            scene.strokes, season().fresh[scene.row, scene.disc].astype(np.float64)
        )


def test_the_chance_of_water_is_counted_from_where_throws_touch_and_rest() -> None:
    """Water from just before the tee, too wide to lay up before it or beside it."""
    course = straight(70.0, areas=(box(AreaKind.WATER, -90.0, 6.0, 90.0, 200.0),))
    scene = hole_scenes(simulator(), demand([CALM], course, FOUR[1:2]), course, [0])[0]
    points = np.column_stack([-scene.rest_m[:, 1], scene.rest_m[:, 0]])  # left is west
    wet = AreaIndex(course).kinds(points)[AreaKind.WATER].mean()
    assert scene.water >= wet - 0.03
    assert scene.water > 0.5


def test_areas_are_in_the_holes_frame() -> None:
    pond = box(AreaKind.WATER, 30.0, -25.0, 60.0, -5.0)  # right of a hole that runs east
    course = straight(80.0, bearing_xy=(1.0, 0.0), areas=(pond,))
    scene = hole_scenes(simulator(), demand([CALM], course, FOUR[:2]), course, [0, 1])[0]
    (area,) = scene.areas
    assert area.kind is AreaKind.WATER
    assert area.ring.min(axis=0) == pytest.approx([30.0, -25.0], abs=1e-6)
    assert area.ring.max(axis=0) == pytest.approx([60.0, -5.0], abs=1e-6)


def test_the_second_disc_is_the_next_best_carried(scenes: tuple[Scene, ...]) -> None:
    for scene in scenes:
        others = [d for d in (1, 2, 3) if d != scene.disc]
        cost = season().cost[scene.row]
        assert scene.second == min(others, key=lambda d: cost[d])
        fresh = season().fresh[scene.row].astype(np.float64)
        assert scene.second_costs == pytest.approx((fresh[scene.second] - fresh[scene.disc]).mean())


def test_a_course_from_a_table_and_a_lone_disc() -> None:
    course = course_from_table(b"hole,length_m\n1,80\n", "Table").course
    table = demand([windy(3.0, 0.0)], course, FOUR[:1])
    (scene,) = hole_scenes(simulator(), table, course, [0])
    assert scene.second is None
    assert scene.areas == ()
    assert (scene.water, scene.out) == (0.0, 0.0)


def test_rungs_are_ordered_and_mirrored_for_a_left_hander() -> None:
    fleet = fleet_of()
    right = rungs(simulator(), fleet, windy(6.0, 90.0))
    for table in (right.reach_m, right.finish_left_m):
        assert table.shape == (len(FOUR), 3)
        assert np.all(np.diff(table, axis=1) >= 0.0)
    assert right.reach_m[2, 1] > right.reach_m[0, 1]  # a fairway driver outflies a putter
    assert right.finish_left_m[3, 1] > right.finish_left_m[2, 1] + 5.0  # overstable goes left
    left = rungs(simulator(replace(THROWER, hand=Hand.LEFT)), fleet, windy(6.0, 90.0))
    assert left.reach_m == pytest.approx(right.reach_m, abs=1e-3)
    assert left.finish_left_m == pytest.approx(-right.finish_left_m[:, ::-1], abs=1e-3)
    assert rungs(simulator(), fleet, CALM).reach_m == pytest.approx(right.reach_m)  # still air


def test_a_pond_that_cannot_be_carried_is_laid_up_to() -> None:
    course = straight(140.0, areas=(box(AreaKind.WATER, -90.0, 60.0, 90.0, 120.0),))
    scene = hole_scenes(simulator(), demand([CALM], course, FOUR), course, [0, 1, 2, 3])[0]
    assert scene.water < 0.35
    assert np.median(scene.rest_m[:, 0]) < 60.0
