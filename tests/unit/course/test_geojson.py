"""Forms and errors of GeoJSON after RFC 7946 (section numbers beside the checks)."""

from __future__ import annotations

import json
import math

import pytest

from rimwise.course.features import OSM_ATTRIBUTION
from rimwise.course.geojson import course_from_geojson
from rimwise.course.osm import course_from_osm
from rimwise.course.polygons import shape_of
from rimwise.errors import InputError
from rimwise.records.courses import AreaKind

from .osm_text import FRAME, OsmText


def position(east, north, *height):
    lat, lon = FRAME.to_geographic(east, north)
    return [lon, lat, *height]


def feature(kind, coordinates, **properties):
    return {"type": "Feature", "properties": properties,
            "geometry": {"type": kind, "coordinates": coordinates}}  # fmt: skip


def ring(*points):
    return [position(*point) for point in (*points, points[0])]


def hole_features(ref="1", **properties):
    return [
        feature("Point", position(0, 0), disc_golf="tee"),
        feature("Point", position(0, 90), disc_golf="basket"),
        feature("LineString", [position(0, 0), position(0, 90)], disc_golf="hole", ref=ref,
                **properties),
    ]  # fmt: skip


def collection(*features, **members):
    return json.dumps({"type": "FeatureCollection", "features": list(features), **members}).encode()


def test_the_same_course_in_both_formats_is_the_same():
    text = OsmText()
    text.hole("1", (0, 0), (0, 90), par="3", dist="300 ft")
    text.ring([(-30, 0), (-10, 0), (-10, 40), (-30, 40)], natural="water", name="Pond")
    pond = ring((-30, 0), (-10, 0), (-10, 40), (-30, 40))
    ours = course_from_geojson(
        collection(
            *hole_features(par=3, dist="300 ft"),
            feature("Polygon", [pond], natural="water", name="Pond"),
        ),
        "Home",
    ).course
    other = course_from_osm(text.data(), "Home").course
    assert ours.holes[0].par == other.holes[0].par == 3
    assert ours.holes[0].played_length_m == other.holes[0].played_length_m
    assert ours.holes[0].basket == pytest.approx(other.holes[0].basket, abs=1e-3)
    assert (ours.areas[0].kind, ours.areas[0].name) == (AreaKind.WATER, "Pond")
    assert shape_of(ours.areas[0]).hausdorff_distance(shape_of(other.areas[0])) < 0.001


def test_polygons_with_openings_and_in_groups():
    # Sections 3.1.6 and 3.1.7: the first ring is the outline, the others openings.
    pond = [ring((0, 0), (40, 0), (40, 40), (0, 40)), ring((10, 10), (20, 10), (20, 20), (10, 20))]
    far = [ring((60, 0), (80, 0), (80, 20), (60, 20))]
    areas = course_from_geojson(
        collection(*hole_features(), feature("MultiPolygon", [pond, far], natural="wood"))
    ).course.areas
    assert [round(shape_of(area).area) for area in areas] == [1500, 400]


def test_the_third_number_of_a_position_is_a_height():
    # Section 3.1.1: longitude, latitude, then optionally height in metres.
    course = course_from_geojson(
        collection(
            feature("Point", position(0, 0, 4.0), disc_golf="tee", ref="1"),
            feature("Point", position(0, 90, 9.5), disc_golf="basket", ref="1"),
        )
    ).course
    assert course.holes[0].elevation_change_m == pytest.approx(5.5)


def test_a_course_without_geometry_still_gives_its_name_and_notice():
    # Section 3.2: the geometry may be null.
    nowhere = {"type": "Feature", "geometry": None, "properties": {
        "leisure": "disc_golf_course", "attribution": "Drawn at home"}}  # fmt: skip
    found = course_from_geojson(collection(*hole_features(), nowhere))
    assert found.course.attribution == "Drawn at home"


def test_ids_of_openstreetmap_bring_its_attribution():
    features = hole_features()
    features[0]["id"] = "node/123"
    assert course_from_geojson(collection(*features)).course.attribution == OSM_ATTRIBUTION
    assert course_from_geojson(collection(*hole_features())).course.attribution == ""


def test_what_a_course_has_no_use_for_is_left_out_and_said():
    found = course_from_geojson(
        collection(*hole_features(), feature("MultiPoint", [position(0, 0)], natural="tree"))
    )
    (warning,) = found.warnings
    assert warning == "feature 4 is a MultiPoint, which a course has no use for; it was left out."


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "empty"),
        (b'{"type": "FeatureCollection",\n"features": [}', "line 2 of the GeoJSON file"),
        (b"\xff\xfe\x00", "not UTF-8"),
        (b"[" * 100_000, "nested too deeply"),
        (b"[1, 2]", "is a bare value, not a FeatureCollection"),
        (b'{"type": "Feature"}', "is a Feature, not a FeatureCollection"),
        (collection(), "holds no disc golf hole"),
        (collection(3), "feature 1 of the GeoJSON file is no Feature"),
        (collection({"type": "Feature", "geometry": [], "properties": {}}), "no object"),
        (collection({"type": "Feature", "geometry": None, "properties": []}), "no object"),
        (collection(feature("Point", [math.nan, 1.0])), "holds NaN"),
        (collection(feature("Point", 3, disc_golf="tee")), "no list"),
        (collection(feature("Point", [1], disc_golf="tee")), r"position \[1\]"),
        (collection(feature("Point", ["1", "2"], disc_golf="tee")), "write .longitude, latitude."),
        (collection(feature("Point", [10.0, 95.0], disc_golf="tee")), "latitude 95, .* swapped"),
        (collection(feature("MultiLineString", [], disc_golf="hole")), "one LineString"),
        (collection(*hole_features(), *hole_features()), "hole 1 is mapped twice"),
        (collection(*(hole_features()[i] for i in (0, 2))), r"hole 1 \(feature 2\) has no basket"),
        (collection(*hole_features(), crs={"properties": {"name": "EPSG:25832"}}), "WGS 84"),
    ],
)  # fmt: skip
def test_each_bad_file_is_refused_in_one_sentence(data, words):
    with pytest.raises(InputError, match=words) as caught:
        course_from_geojson(data)
    assert str(caught.value).endswith(".")
    assert "\n" not in str(caught.value)


def test_the_crs_that_means_wgs_84_is_taken():
    crs = {"type": "name", "properties": {"name": "urn:ogc:def:crs:OGC:1.3:CRS84"}}
    assert course_from_geojson(collection(*hole_features(), crs=crs)).course.holes[0].ref == "1"
