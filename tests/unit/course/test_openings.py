"""Openings cut out of areas: what is left, what is said, and closed again."""

from __future__ import annotations

import numpy as np
import pytest

from rimwise.course.geometry import AreaIndex
from rimwise.course.openings import areas_under, with_opening, without_opening
from rimwise.course.polygons import shape_of
from rimwise.errors import InputError, NotFoundError
from rimwise.records.courses import Area, AreaKind, Course, Hole


def box(west: float, south: float, east: float, north: float) -> tuple[tuple[float, float], ...]:
    return ((west, south), (east, south), (east, north), (west, north))


POND = Area(AreaKind.WATER, box(10, 10, 50, 40), name="pond")
WOOD = Area(AreaKind.WOOD, box(-60, 0, -20, 80), drawn=True, canopy_m=9.0, stems_per_ha=700.0)
COURSE = Course(
    "x", (Hole("1", (0.0, 0.0), (0.0, 80.0)),), (POND, WOOD), origin_lat_deg=54.0,
    origin_lon_deg=8.0,
)  # fmt: skip
ISLAND = box(20, 20, 30, 30)


def test_an_island_is_dry_and_the_water_around_it_is_not() -> None:
    opened = with_opening(COURSE, 0, ISLAND)
    assert (opened.area, opened.opening_m2) == (POND, pytest.approx(100.0))
    pond, wood = opened.course.areas
    assert (pond.name, pond.kind, len(pond.openings)) == ("pond", AreaKind.WATER, 1)
    assert wood == WOOD
    wet = AreaIndex(opened.course).kinds(np.array([[25.0, 25.0], [15.0, 25.0]]))[AreaKind.WATER]
    assert wet.tolist() == [False, True]
    assert without_opening(opened.course, 0, 0).areas[0].openings == ()
    assert opened.notes == ()


def test_a_gap_across_parts_the_wood_and_keeps_its_trees() -> None:
    opened = with_opening(COURSE, 1, box(-70, 30, -10, 50))
    pond, *woods = opened.course.areas
    assert pond == POND
    assert sorted(shape_of(one).area for one in woods) == pytest.approx([1200.0, 1200.0])
    assert all(one.stems_per_ha == 700.0 and one.canopy_m == 9.0 and one.drawn for one in woods)
    assert opened.opening_m2 == pytest.approx(800.0)
    assert opened.notes == (
        "It reaches over the edge of the wood, which gets smaller there.",
        "It parts the wood into 2 pieces.",
    )


def test_two_openings_that_touch_become_one() -> None:
    once = with_opening(COURSE, 0, ISLAND).course
    twice = with_opening(once, 0, box(25, 20, 35, 30))
    assert len(twice.course.areas[0].openings) == 1
    assert twice.opening_m2 == pytest.approx(50.0)
    assert shape_of(twice.course.areas[0]).area == pytest.approx(1200.0 - 150.0)


def test_what_the_map_brings_again_is_said_to_be_whole_again() -> None:
    unnamed = Course(
        "x", COURSE.holes, (Area(AreaKind.WATER, POND.ring),), origin_lat_deg=54.0,
        origin_lon_deg=8.0,
    )  # fmt: skip
    opened = with_opening(unnamed, 0, ISLAND)
    assert opened.notes == ("When the map is brought again, this area is whole again.",)
    assert not opened.course.areas[0].drawn
    # One of two of a name would come in the place of both when the map is brought again.
    twins = Course(
        "x", COURSE.holes, (POND, Area(AreaKind.WATER, box(60, 0, 70, 10), name="pond")),
        origin_lat_deg=54.0, origin_lon_deg=8.0,
    )  # fmt: skip
    assert not with_opening(twins, 0, ISLAND).course.areas[0].drawn
    assert with_opening(COURSE, 0, ISLAND).course.areas[0].drawn


def test_the_areas_under_a_ring_are_found() -> None:
    assert areas_under(COURSE, ISLAND) == (0,)
    assert areas_under(COURSE, box(-30, 20, 30, 30)) == (0, 1)
    assert areas_under(COURSE, box(0, 60, 5, 70)) == ()
    assert areas_under(COURSE, box(50, 10, 60, 40)) == ()  # it only touches the pond


def test_what_cannot_be_opened_or_closed_is_said() -> None:
    with pytest.raises(InputError, match=r"It does not lie in pond \(water\)"):
        with_opening(COURSE, 0, box(-30, 20, -25, 30))
    with pytest.raises(InputError, match=r"covers all of pond \(water\); take that area away"):
        with_opening(COURSE, 0, box(0, 0, 60, 60))
    with pytest.raises(NotFoundError, match=r"pond \(water\) has no opening 1; it has none"):
        without_opening(COURSE, 0, 0)
    island = Course("x", (Hole("1", (0.0, 0.0), (25.0, 25.0)),), COURSE.areas)
    dry = with_opening(island, 0, ISLAND).course
    with pytest.raises(InputError, match="basket of hole 1 stands in water"):
        without_opening(dry, 0, 0)
