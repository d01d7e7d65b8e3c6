"""Area tests against shapely on the same polygons, one point at a time."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from rimwise.course.geometry import AreaIndex, HoleRaster, areas_near
from rimwise.course.polygons import shape_of
from rimwise.errors import InputError
from rimwise.records.courses import Area, AreaKind, Course, Hole


def blob(east, north, radius, kind, wobble=0.25, openings=(), points=40):
    """A curved area."""
    corners = []
    for k in range(points):
        angle = math.tau * k / points
        r = radius * (1 + wobble * math.sin(3 * angle))
        corners.append((east + r * math.cos(angle), north + r * math.sin(angle)))
    return Area(kind, tuple(corners), openings)


ISLAND = ((20.0, 45.0), (30.0, 45.0), (30.0, 55.0), (20.0, 55.0))
HOLE = Hole("1", (0.0, 0.0), (10.0, 100.0))
COURSE = Course(
    "Trees and water",
    (HOLE, Hole("2", (60.0, 0.0), (60.0, 80.0))),
    (
        blob(25.0, 50.0, 25.0, AreaKind.WATER, openings=(ISLAND,)),
        blob(-40.0, 40.0, 30.0, AreaKind.WOOD),
        blob(-60.0, 70.0, 30.0, AreaKind.WOOD),
        Area(AreaKind.OUT_OF_BOUNDS, ((-90.0, -30.0), (120.0, -30.0), (120.0, -24.0),
                                      (-90.0, -24.0))),
    ),
)  # fmt: skip
RASTER = HoleRaster.build(COURSE, HOLE)
INDEX = AreaIndex(COURSE)


def oracle(kind, points):
    shapes = [shape_of(area) for area in COURSE.areas if area.kind is kind]
    return np.array([any(s.contains(shapely.Point(p)) for s in shapes) for p in points], dtype=bool)


def points_around(count, seed=1):
    return np.random.default_rng(seed).uniform((-100, -60), (120, 160), (count, 2))


def test_points_lie_where_shapely_says():
    points = points_around(500)
    found = INDEX.kinds(points)
    for kind in AreaKind:
        assert np.array_equal(found[kind], oracle(kind, points))
    assert found[AreaKind.WATER].any()
    assert found[AreaKind.WOOD].any()
    assert not found[AreaKind.FAIRWAY].any()


def test_an_island_is_no_water():
    found = INDEX.kinds(np.array([[25.0, 50.0], [25.0, 40.0]]))
    assert found[AreaKind.WATER].tolist() == [False, True]


def test_the_raster_agrees_with_the_polygons_but_for_their_outlines():
    points = points_around(20_000)
    exact, coarse = INDEX.kinds(points), RASTER.kinds(points)
    for kind in AreaKind:
        outline = shapely.union_all(
            [shape_of(area) for area in COURSE.areas if area.kind is kind]
        ).boundary
        wrong = points[exact[kind] != coarse[kind]]
        assert len(wrong) < 0.02 * len(points)
        away = shapely.distance(shapely.points(wrong), outline)
        # Half the diagonal of a 1 m cell.
        assert (away <= math.sqrt(0.5)).all()


def test_a_finer_raster_errs_less():
    points = points_around(20_000)
    exact = INDEX.kinds(points)[AreaKind.WATER]

    def wrong(cell_m):
        raster = HoleRaster.build(COURSE, HOLE, cell_m=cell_m)
        return (raster.kinds(points)[AreaKind.WATER] != exact).mean()

    assert wrong(0.25) < wrong(1.0) < wrong(4.0)


def test_outside_the_raster_is_open_rough():
    found = RASTER.kinds(np.array([[1e6, 0.0], [-1e6, 1e6], [0.0, -1e9]]))
    assert not any(mask.any() for mask in found.values())
    wide = Course("All water", (HOLE,), (blob(0.0, 0.0, 5000.0, AreaKind.WATER, wobble=0.0),))
    raster = HoleRaster.build(wide, HOLE, margin_m=50.0)
    assert raster.kinds(np.array([[0.0, 0.0]]))[AreaKind.WATER].all()
    assert not raster.kinds(np.array([[4000.0, 0.0]]))[AreaKind.WATER].any()


def test_the_raster_covers_its_margin():
    for margin_m in (1.0, 37.3, 120.0):
        wide = Course("All wood", (HOLE,), (blob(0.0, 0.0, 5000.0, AreaKind.WOOD, wobble=0.0),))
        raster = HoleRaster.build(wide, HOLE, margin_m=margin_m)
        west, south = min(0.0, 10.0) - margin_m, 0.0 - margin_m
        east, north = 10.0 + margin_m, 100.0 + margin_m
        corners = np.array([[west, south], [east, south], [west, north], [east, north]])
        assert raster.kinds(corners * 0.9999)[AreaKind.WOOD].all()


@settings(deadline=None, max_examples=50)
@given(st.integers(0, 2**32 - 1))
def test_the_share_of_wood_on_the_way_is_shapelys(seed):
    ends = points_around(20, seed)
    wood = shapely.union_all([shape_of(a) for a in COURSE.areas if a.kind is AreaKind.WOOD])
    lines = shapely.linestrings([[(0.0, 0.0), tuple(end)] for end in ends])
    truth = shapely.length(shapely.intersection(lines, wood)) / shapely.length(lines)
    found = RASTER.wood_share((0.0, 0.0), ends, step_m=0.5)
    # One cell or step of error at each of a few crossings.
    assert np.abs(found - truth).max() <= 4.0 * 1.0 / shapely.length(lines).min() + 1e-9


def test_no_path_no_share():
    assert RASTER.wood_share((0.0, 0.0), np.zeros((0, 2))).shape == (0,)
    assert RASTER.wood_share((0.0, 0.0), np.zeros((1, 2))).tolist() == [0.0]


def penalty_shape():
    kinds = (AreaKind.WATER, AreaKind.OUT_OF_BOUNDS)
    return shapely.union_all([shape_of(area) for area in COURSE.areas if area.kind in kinds])


def test_relief_is_the_last_point_in_bounds_on_the_way_back():
    lie = (-20.0, 0.0)
    landings = points_around(2_000, seed=5)
    relief = RASTER.relief_points(lie, landings)
    penalty = penalty_shape()
    out = shapely.contains_xy(penalty, landings[:, 0], landings[:, 1])
    inner = shapely.distance(shapely.points(landings), penalty.boundary) > 1.0
    kept = ~out & inner
    assert np.array_equal(relief[kept], landings[kept])
    checked = 0
    for landing, spot in zip(landings[out & inner], relief[out & inner], strict=True):
        back = shapely.LineString([landing, lie])
        in_bounds = shapely.difference(back, penalty)
        truth = shapely.line_interpolate_point(
            back, min(back.project(shapely.Point(p)) for p in shapely.get_coordinates(in_bounds))
        )
        grazing = shapely.intersection(back.buffer(1.0), penalty.boundary).length
        # A raster cell and a step, but for lines that run along an outline.
        if grazing < 8.0:
            assert shapely.Point(spot).distance(truth) < 3.0
            checked += 1
    assert checked > 50


def test_relief_never_crosses_to_the_far_shore():
    # From the west, resting just short of the far (east) shore: back on the west side.
    lie, landing = (-10.0, 30.0), np.array([[35.0, 30.0]])
    assert INDEX.kinds(landing)[AreaKind.WATER].all()
    spot = RASTER.relief_points(lie, landing)[0]
    assert spot[0] < 15.0
    assert spot[1] == pytest.approx(30.0)


def test_a_line_that_is_out_all_the_way_goes_back_to_the_lie():
    spot = RASTER.relief_points((-80.0, -27.0), np.array([[60.0, -27.0]]))[0]
    assert spot.tolist() == [-80.0, -27.0]
    # Even when lie and landing are one.
    spot = RASTER.relief_points((60.0, -27.0), np.array([[60.0, -27.0]]))[0]
    assert spot.tolist() == [60.0, -27.0]


def test_areas_near_a_hole_are_cut_to_its_window():
    near = areas_near(COURSE, HOLE, 20.0)
    window = shapely.box(-20.0, -20.0, 30.0, 120.0)
    assert {area.kind for area in near} == {AreaKind.WATER, AreaKind.WOOD}
    for area in near:
        assert window.buffer(1e-9).contains(shape_of(area))
    whole = shapely.union_all([shape_of(a) for a in COURSE.areas if a.kind is AreaKind.WATER])
    cut = sum(shape_of(a).area for a in near if a.kind is AreaKind.WATER)
    assert cut == pytest.approx(whole.intersection(window).area)


@pytest.mark.parametrize("points", [np.zeros(3), np.zeros((2, 3)), np.array([[math.nan, 0.0]])])
def test_points_of_another_shape_are_refused(points):
    for ask in (INDEX.kinds, RASTER.kinds, lambda p: RASTER.relief_points((0, 0), p),
                lambda p: RASTER.wood_share((0, 0), p)):  # fmt: skip
        with pytest.raises(InputError, match=r"(points|ends|landings)_xy_m must"):
            ask(points)


def test_a_raster_cannot_be_changed():
    with pytest.raises(ValueError, match="read-only"):
        RASTER.bits[0, 0] = 1
