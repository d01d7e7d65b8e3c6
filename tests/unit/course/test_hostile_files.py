"""Files that mean harm, or mean nothing: one sentence each, in every format, and never a crash."""

from __future__ import annotations

import json
import zlib

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from rimwise.course.drawn import features_on_course
from rimwise.course.features import natural_key
from rimwise.course.geojson import course_from_geojson, map_from_geojson
from rimwise.course.osm import course_from_osm
from rimwise.course.pbf import course_from_pbf
from rimwise.course.strips import features_from_table
from rimwise.course.table import course_from_table, holes_from_facts
from rimwise.errors import InputError
from rimwise.records.courses import Course, Hole

from .osm_text import OsmText

FORMATS = {
    "osm": course_from_osm,
    "pbf": course_from_pbf,
    "geojson": course_from_geojson,
    "table": course_from_table,
}
COURSE = Course("heath", (Hole("1", (0, 0), (0, 80)),), origin_lat_deg=45.0, origin_lon_deg=-35.0)
NINES = "9" * 5000


def holes_osm(*lengths_m: float) -> bytes:
    text = OsmText()
    for number, length_m in enumerate(lengths_m, start=1):
        text.hole(str(number), (20.0 * number, 0.0), (20.0 * number, length_m))
    return text.data()


def way(coordinates: str, **tags: str) -> bytes:
    properties = json.dumps({"disc_golf": "hole", "ref": "1", **tags})
    feature = (
        f'{{"type":"Feature","properties":{properties},'
        f'"geometry":{{"type":"LineString","coordinates":{coordinates}}}}}'
    )
    return f'{{"type":"FeatureCollection","features":[{feature}]}}'.encode()


@pytest.mark.parametrize("name", FORMATS)
@pytest.mark.parametrize("data", [b"", b"  \n\t", "\ufeff".encode(), "\u00a0\n".encode()])
def test_an_empty_file_is_refused_in_every_format(name, data):
    with pytest.raises(InputError) as caught:
        FORMATS[name](data, "x")
    assert str(caught.value).endswith(".")


@pytest.mark.parametrize(
    ("name", "data"),
    [
        ("osm", holes_osm(5000.0)),
        ("geojson", way("[[-35,45],[-35,45.045]]")),
        ("table", b"hole,length (m)\n1,5000\n"),
    ],
)
def test_a_hole_of_five_kilometres_is_refused(name, data):
    with pytest.raises(InputError, match="between 10 and 500 m"):
        FORMATS[name](data, "x")


@pytest.mark.parametrize(
    ("name", "data"),
    [
        ("osm", holes_osm(*[80.0] * 200)),
        ("table", b"hole,length (m)\n" + b"".join(b"%d,80\n" % n for n in range(1, 201))),
    ],
)
def test_two_hundred_holes_are_refused_with_their_count(name, data):
    with pytest.raises(InputError, match="has 200 holes, more than the 72"):
        FORMATS[name](data, "x")


def test_as_many_holes_as_are_taken():
    assert len(course_from_osm(holes_osm(*[80.0] * 72)).course.holes) == 72


@pytest.mark.parametrize(
    ("name", "data", "words"),
    [
        ("geojson", way(f"[[{NINES},45],[-35,45.001]]"), "far too long"),
        ("geojson", way(f"[[{NINES[:400]},45],[-35,45.001]]"), "must be between"),
        ("geojson", way("[[-35,45],[-35,45.001]]", ref=NINES), "and longer; write one such as 7"),
        ("osm", holes_osm(80.0).replace(b'"ref" v="1"', b'"ref" v="%s"' % NINES.encode()),
         "and longer"),
        ("table", f"hole,length (m),par\n1,80,{NINES}\n".encode(), "has par '999"),
        ("table", f"hole,length (m)\n1,{NINES}\n".encode(), "is no length"),
    ],
)  # fmt: skip
def test_numbers_without_end_are_refused_briefly(name, data, words):
    with pytest.raises(InputError, match=words) as caught:
        FORMATS[name](data, "x")
    assert len(str(caught.value)) < 300


def test_a_par_without_end_is_left_out_and_told_briefly():
    found = course_from_geojson(way("[[-35,45],[-35,45.001]]", par=NINES, dist=NINES))
    assert found.course.holes[0].par is None
    assert all(len(warning) < 300 for warning in found.warnings)


def test_a_deep_nest_is_refused():
    nest = b'{"type":"FeatureCollection","features":' + b"[" * 100_000 + b"]" * 100_000 + b"}"
    with pytest.raises(InputError, match="nested too deeply"):
        course_from_geojson(nest)
    with pytest.raises(InputError, match="no disc golf hole"):
        course_from_osm(b"<osm>" + b"<a>" * 100_000 + b"</a>" * 100_000 + b"</osm>")


def test_a_blob_that_swells_is_refused():
    """A block of a binary map whose 64 MB of nothing were pressed into 60 kB."""
    swollen = zlib.compress(bytes(64 * 1024 * 1024), 9)
    raw = b"\x10" + _varint(64 * 1024 * 1024) + b"\x1a" + _varint(len(swollen)) + swollen
    header = b"\x0a\x09OSMHeader" + b"\x18" + _varint(len(raw))
    with pytest.raises(InputError, match="once it is unpacked"):
        course_from_pbf(len(header).to_bytes(4, "big") + header + raw)


def _varint(value: int) -> bytes:
    out = b""
    while value > 127:
        out += bytes([value & 127 | 128])
        value >>= 7
    return out + bytes([value])


json_values = st.recursive(
    st.none() | st.booleans() | st.integers(-200, 200) | st.floats(-200, 200) | st.text(max_size=8),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=6), inner),
    max_leaves=12,
)
coordinates = st.recursive(
    st.tuples(st.floats(-35.01, -34.99), st.floats(44.99, 45.01)).map(list) | json_values,
    lambda inner: st.lists(inner, max_size=5),
    max_leaves=12,
)
features = st.fixed_dictionaries(
    {
        "type": st.just("Feature"),
        "properties": st.dictionaries(
            st.sampled_from(["disc_golf", "ref", "par", "dist", "ele", "natural", "name", "side",
                             "height", "stems_per_ha", "after"]),
            st.sampled_from(["hole", "tee", "basket", "mando", "drop_zone", "water", "wood", "1",
                             "2", "left", "dense", "nan", "-5", "30 ft", ""]) | json_values,
        ),
        "geometry": st.none()
        | st.fixed_dictionaries(
            {
                "type": st.sampled_from(
                    ["Point", "LineString", "Polygon", "MultiPolygon", "MultiPoint", "X"]
                ),
                "coordinates": coordinates,
            }
        ),
    }
)  # fmt: skip


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.lists(features, max_size=5))
def test_any_geojson_is_a_course_or_refused(found):
    data = json.dumps({"type": "FeatureCollection", "features": found}).encode()
    try:
        course = course_from_geojson(data).course
    except InputError:
        course = None
    assert course is None or course.holes
    try:
        added = features_on_course(COURSE, map_from_geojson(data))
    except InputError:
        return
    assert all(len(area.ring) >= 3 for area in added.areas)


cells = st.sampled_from(
    ["1", "2", "9", "40", "-8", "5000", "1e9", "nan", "inf", "40 m", "30 ft", "5 %", "left",
     "water", "wood", "ob", "mando", "drop zone", "low ceiling", "dense", "any", "", " ", '"', "é",
     NINES]
)  # fmt: skip
headings = st.lists(
    st.sampled_from(["kind", "hole", "from (m)", "to (m)", "left (m)", "right", "pass", "after",
                     "stems", "height (m)", "length (m)", "par", "slope (%)", "shelter",
                     "tee height (m)", "basket height (m)", "climb", "name", "x"]),
    min_size=1, max_size=10,
)  # fmt: skip


@settings(max_examples=200, deadline=None)
@given(headings, st.lists(st.lists(cells, max_size=11), max_size=4), st.sampled_from(",;\t"))
def test_any_table_is_understood_or_refused(heading, rows, mark):
    data = "\n".join(mark.join(row) for row in [heading, *rows]).encode()
    for read in (
        lambda: features_from_table(data, COURSE),
        lambda: holes_from_facts(data, COURSE),
        lambda: course_from_table(data, "x"),
    ):
        try:
            read()
        except InputError as error:
            said = str(error)
        else:
            said = "."
        assert said.endswith(".")
        assert "\n" not in said


@given(st.text(max_size=30), st.text(max_size=30))
def test_any_numbers_of_holes_can_be_put_in_order(one, other):
    a, b = natural_key(one), natural_key(other)
    assert [a < b, b < a, a == b].count(True) == 1
