"""Holes with several tees or baskets: which one a layout takes."""

from __future__ import annotations

import json

import pytest

from rimwise.course.geojson import course_from_geojson
from rimwise.errors import InputError

LAT, LON = 45.0, -35.0
METRE = 1.0 / 111_132.0


def _point(north_m: float, **tags: str) -> dict[str, object]:
    geometry = {"type": "Point", "coordinates": [LON, LAT + north_m * METRE]}
    return {"type": "Feature", "properties": tags, "geometry": geometry}


def _way(start_m: float, end_m: float, **tags: str) -> dict[str, object]:
    path = [[LON, LAT + north * METRE] for north in (start_m, end_m)]
    geometry = {"type": "LineString", "coordinates": path}
    return {
        "type": "Feature", "properties": {"disc_golf": "hole", "ref": "1", **tags},
        "geometry": geometry,
    }  # fmt: skip


def _course(*features: dict[str, object], layout: str = ""):
    data = json.dumps({"type": "FeatureCollection", "features": features}).encode()
    return course_from_geojson(data, "heath", layout)


BASKET = _point(100.0, disc_golf="basket")
WHITE = _point(0.0, disc_golf="tee", colour="white")
BLUE = _point(-45.0, disc_golf="tee", colour="blue")


def test_a_layout_takes_the_way_from_its_tee_and_names_the_course():
    features = (BASKET, WHITE, BLUE, _way(0.0, 100.0), _way(-45.0, 100.0))
    blue = _course(*features, layout="blue")
    assert blue.course.name == "heath (blue)"
    assert blue.course.hole("1").length_m == pytest.approx(145.0, abs=0.5)
    assert _course(*features, layout="White").course.hole("1").length_m == pytest.approx(
        100.0, abs=0.5
    )
    assert blue.warnings == ()


def test_without_a_layout_the_first_is_taken_and_the_names_are_told():
    found = _course(BASKET, WHITE, BLUE, _way(0.0, 100.0), _way(-45.0, 100.0))
    assert found.course.hole("1").length_m == pytest.approx(100.0, abs=0.5)
    (warning,) = found.warnings
    assert "drawn 2 times (white, blue)" in warning
    assert "--layout" in warning


def test_tees_without_ways_are_chosen_among_alike():
    marks = (
        _point(100.0, disc_golf="basket", ref="1", name="A"),
        _point(130.0, disc_golf="basket", ref="1", name="B"),
        _point(0.0, disc_golf="tee", ref="1"),
    )
    assert _course(*marks, layout="B").course.hole("1").length_m == pytest.approx(130.0, abs=0.5)
    assert _course(*marks).course.hole("1").length_m == pytest.approx(100.0, abs=0.5)


def test_a_layout_that_no_hole_knows_is_refused():
    with pytest.raises(InputError, match="knows a layout 'gold'"):
        _course(BASKET, WHITE, _way(0.0, 100.0), layout="gold")


def test_the_same_way_twice_is_a_mistake_and_not_a_layout():
    with pytest.raises(InputError, match="nothing tells them apart"):
        _course(BASKET, WHITE, _way(0.0, 100.0), _way(0.0, 100.0))
