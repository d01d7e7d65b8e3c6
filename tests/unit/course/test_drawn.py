"""Areas added to a course: by table along its holes, or by a map of areas alone."""

from __future__ import annotations

import json
import math

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from rimwise.course.drawn import (
    Features,
    baskets_in_trouble,
    features_on_course,
    with_features,
)
from rimwise.course.frame import LocalFrame
from rimwise.course.geojson import map_from_geojson
from rimwise.course.polygons import shape_of
from rimwise.course.strips import features_from_table
from rimwise.course.table import course_from_table
from rimwise.errors import InputError
from rimwise.records.courses import Area, AreaKind, Course, Hole

HEAD = "kind,hole,from (m),to (m),left (m),right (m),name\n"
COURSE = Course(
    "heath", (Hole("1", (0.0, 0.0), (80.0, 0.0)), Hole("2", (10.0, 50.0), (10.0, 150.0)))
)


def _areas(rows: str, course: Course = COURSE) -> tuple[Area, ...]:
    return features_from_table((HEAD + rows).encode(), course).areas


def _with(course: Course, areas: tuple[Area, ...]):
    return with_features(course, Features(areas))


def test_a_strip_lies_along_its_hole_and_left_is_the_throwers_left():
    """Hole 1 runs east, so left of it is north."""
    (pond,) = _areas("pond,1,30,50,5,20,mere\n")
    assert (pond.kind, pond.name) == (AreaKind.WATER, "mere")
    assert shape_of(pond).bounds == pytest.approx((30.0, -20.0, 50.0, 5.0))
    (wood,) = _areas("trees,2,0,100,30,-10,\n")
    assert shape_of(wood).bounds == pytest.approx((-20.0, 50.0, 0.0, 150.0))


@given(
    turn=st.floats(0.0, 360.0), start=st.floats(-50.0, 80.0), deep=st.floats(1.0, 60.0),
    left=st.floats(-20.0, 60.0), wide=st.floats(1.0, 60.0),
)  # fmt: skip
def test_a_strip_has_its_size_and_distance_on_a_hole_of_any_direction(
    turn, start, deep, left, wide
):
    end = (90.0 * math.sin(math.radians(turn)), 90.0 * math.cos(math.radians(turn)))
    course = Course("any", (Hole("7", (0.0, 0.0), end),))
    row = f"ob,7,{start:.6f},{start + deep:.6f},{left:.6f},{wide - left:.6f},\n"
    (area,) = features_from_table((HEAD + row).encode(), course).areas
    assert shape_of(area).area == pytest.approx(deep * wide, rel=1e-3, abs=1e-3)
    near = max(start, 0.0) if start + deep > 0.0 else start + deep
    aside = min(abs(left), abs(left - wide)) if (left < 0.0 or left > wide) else 0.0
    distance = shape_of(area).distance(shapely.Point(0.0, 0.0))
    assert distance == pytest.approx(math.hypot(near, aside), abs=1e-3)


def test_units_may_stand_in_the_cells():
    head = "kind,hole,from,to,left,right\n"
    data = (head + "wood,1,100 ft,200 ft,10 m,30 ft\n").encode()
    (area,) = features_from_table(data, COURSE).areas
    assert shape_of(area).bounds == pytest.approx((30.48, -9.144, 60.96, 10.0))


def test_a_course_of_lengths_alone_can_be_drawn_on_as_well():
    lengths = course_from_table(b"hole,length (m)\n1,80\n2,90\n", "lengths").course
    drawn = _with(lengths, _areas("water,2,40,60,5,5,\n", lengths)).course
    assert not drawn.bearings_known
    assert shape_of(drawn.areas[0]).distance(shapely.Point(lengths.hole("2").tee)) == 40.0


def test_the_same_name_takes_the_others_place_and_others_stay():
    once = _with(COURSE, _areas("pond,1,30,50,5,20,mere\nwood,2,0,40,20,-5,\n")).course
    again = _with(once, _areas("pond,1,30,60,5,20,mere\nwood,2,50,80,20,-5,\n"))
    assert [area.kind.value for area in again.course.areas] == ["wood", "water", "wood"]
    assert again.warnings == ("1 of the same name or place replaced.",)
    assert again.added == 2


def test_a_basket_under_water_is_refused_and_told_of():
    with pytest.raises(InputError, match="basket of hole 1 stands in water \\(mere\\)"):
        _with(COURSE, _areas("pond,1,70,90,5,5,mere\n"))
    wet = Area(AreaKind.WATER, ((70, -5), (90, -5), (90, 5), (70, 5)))
    assert baskets_in_trouble(Course("wet", COURSE.holes, (wet,))) == [
        "the basket of hole 1 stands in water"
    ]
    # What was wrong before is no reason to refuse something else.
    assert _with(Course("wet", COURSE.holes, (wet,)), _areas("wood,2,0,40,20,-5,\n")).added


@pytest.mark.parametrize(
    ("rows", "hint"),
    [
        ("bog,1,3,5,1,1,\n", "line 2 of the table of areas: 'bog' is no kind"),
        ("pond,9,3,5,1,1,\n", "has no hole '9'"),
        ("pond,1,5,3,1,1,\n", "has no ground"),
        ("pond,1,3,5,-4,2,\n", "has no ground"),
        ("pond,1,3,five,1,1,\n", "to 'five' is no length"),
        ("pond,1,3,5000,1,1,\n", "check the unit"),
        ("", "nothing to add"),
    ],
)
def test_wrong_rows_are_refused_with_their_line(rows, hint):
    with pytest.raises(InputError, match=hint):
        _with(COURSE, _areas(rows))


def test_headings_without_units_or_columns_are_refused():
    with pytest.raises(InputError, match=r"from 3 has no unit; write \"from \(m\)\""):
        features_from_table(b"kind,hole,from,to,left,right\npond,1,3,5,1,1\n", COURSE)
    with pytest.raises(InputError, match="has no left column"):
        features_from_table(b"kind,hole,from (m),to (m),right (m)\npond,1,3,5,1\n", COURSE)
    with pytest.raises(InputError, match="table of areas is not UTF-8"):
        features_from_table(b"kind\xff,hole\n", COURSE)


def _geojson(lat: float, lon: float, tags: dict[str, str]) -> bytes:
    ring = [[lon, lat], [lon + 3e-4, lat], [lon + 3e-4, lat + 2e-4], [lon, lat + 2e-4], [lon, lat]]
    feature = {
        "type": "Feature", "properties": tags,
        "geometry": {"type": "Polygon", "coordinates": [ring]},
    }  # fmt: skip
    return json.dumps({"type": "FeatureCollection", "features": [feature]}).encode()


MAPPED = Course("mapped", COURSE.holes, origin_lat_deg=10.0, origin_lon_deg=-30.0)


def test_a_map_of_areas_lands_where_it_lies():
    data = map_from_geojson(_geojson(10.0003, -30.0, {"natural": "water", "name": "mere"}))
    found = features_on_course(MAPPED, data)
    (pond,) = found.areas
    assert (found.warnings, pond.drawn) == ((), True)
    assert (pond.kind, pond.name) == (AreaKind.WATER, "mere")
    west, south, _, _ = shape_of(pond).bounds
    frame = LocalFrame(10.0, -30.0)
    assert (west, south) == pytest.approx(frame.to_local(10.0003, -30.0), abs=1e-3)


def test_a_map_of_somewhere_else_or_of_nothing_is_refused():
    far = map_from_geojson(_geojson(11.0, -30.0, {"natural": "water"}))
    with pytest.raises(InputError, match="check that it is a map of this course"):
        features_on_course(MAPPED, far)
    with pytest.raises(InputError, match="known only by its lengths"):
        features_on_course(COURSE, far)
    nothing = map_from_geojson(_geojson(10.0, -30.0, {"building": "yes"}))
    with pytest.raises(InputError, match="nothing to add"):
        with_features(MAPPED, features_on_course(MAPPED, nothing))
