"""Tags after the OpenStreetMap wiki: Key:disc_golf, Tag:leisure=disc_golf_course,
Relation:multipolygon, and dist in metres when bare."""

from __future__ import annotations

import re
from contextlib import suppress

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rimwise.course.features import OSM_ATTRIBUTION
from rimwise.course.osm import course_from_osm
from rimwise.course.polygons import shape_of
from rimwise.errors import InputError
from rimwise.records.courses import AreaKind

from .osm_text import FRAME, OsmText


def one_hole(**hole):
    text = OsmText()
    text.hole("1", (0, 0), (0, 90), **hole)
    return text


def refusal(data):
    """The one sentence that refuses a file."""
    with pytest.raises(InputError) as caught:
        course_from_osm(data)
    sentence = str(caught.value)
    assert sentence.endswith(".")
    assert "\n" not in sentence
    return sentence


def test_a_hole_runs_from_its_tee_to_its_basket():
    found = course_from_osm(one_hole(par="3", dist="90", name="Gorse").data(), "Home")
    hole = found.course.holes[0]
    assert (hole.ref, hole.par, hole.name) == ("1", 3, "Gorse")
    assert hole.length_m == pytest.approx(90.0, abs=0.01)
    assert hole.bearing_deg == pytest.approx(0.0, abs=0.01)
    assert hole.played_length_m == 90.0
    assert found.course.name == "Home"
    assert found.course.attribution == OSM_ATTRIBUTION
    assert found.warnings == ()


def test_a_way_drawn_from_the_basket_is_reversed_and_said():
    found = course_from_osm(one_hole(backward=True).data())
    assert found.course.holes[0].bearing_deg == pytest.approx(0.0, abs=0.01)
    assert found.warnings == ("hole 1 (way 3) is drawn from basket to tee; it was reversed.",)


def test_tees_of_other_holes_do_not_turn_a_hole_round():
    text = OsmText()
    text.hole("1", (0, 0), (0, 90), tee_tags={"ref": "1"}, basket_tags={"ref": "1"})
    text.hole("2", (3, 92), (90, 92), tee_tags={"ref": "2"}, basket_tags={"ref": "2"})
    text.hole("3", (90, 90), (2, 3), tee_tags={"ref": "3"}, basket_tags={"ref": "3"})
    found = course_from_osm(text.data())
    assert found.warnings == ()
    assert found.course.holes[0].bearing_deg == pytest.approx(0.0, abs=0.01)
    assert found.course.holes[2].basket[1] < found.course.holes[2].tee[1]


def test_holes_stand_in_playing_order():
    text = OsmText()
    for place, ref in enumerate(("10", "2", "12A", "1", "12")):
        text.hole(ref, (100 * place, 0), (100 * place, 60))
    holes = course_from_osm(text.data()).course.holes
    assert [hole.ref for hole in holes] == ["1", "2", "10", "12", "12A"]


def test_tee_and_basket_of_one_number_make_a_hole_without_a_way():
    text = OsmText()
    text.node(0, 0, disc_golf="tee", ref="4", par="3", ele="10")
    text.node(70, 0, disc_golf="basket", ref="4", ele="40 ft")
    hole = course_from_osm(text.data()).course.hole("4")
    assert hole.par == 3
    assert hole.bearing_deg == pytest.approx(90.0, abs=0.01)
    assert hole.elevation_change_m == pytest.approx(40 * 0.3048 - 10)


def test_heights_of_tee_and_basket_give_the_climb():
    found = course_from_osm(one_hole(tee_tags={"ele": "12.5"}, basket_tags={"ele": "9"}).data())
    assert found.course.holes[0].elevation_change_m == pytest.approx(-3.5)
    found = course_from_osm(one_hole(tee_tags={"ele": "12"}).data())
    assert found.course.holes[0].elevation_change_m == 0.0
    found = course_from_osm(one_hole(tee_tags={"ele": "high"}, basket_tags={"ele": "9"}).data())
    assert found.course.holes[0].elevation_change_m == 0.0
    assert "height 'high'" in found.warnings[0]


@pytest.mark.parametrize(
    ("dist", "metres", "words"),
    [
        ("300 ft", 91.44, ""),
        ("295'", 89.916, ""),
        ("98 yd", 89.6112, ""),
        ("92,5 m", 92.5, ""),
        ("300", 91.44, "feet were taken"),
        ("150", 150.0, "posted as 150 m but measures 90 m"),
        ("5 furlongs", None, "length '5 furlongs'"),
        ("-90", None, "left out"),
    ],
)
def test_posted_lengths(dist, metres, words):
    found = course_from_osm(one_hole(dist=dist).data())
    posted = found.course.holes[0].played_length_m
    assert posted == (None if metres is None else pytest.approx(metres))
    assert (words in " ".join(found.warnings)) if words else found.warnings == ()


@pytest.mark.parametrize("par", ["three", "12", "3.5"])
def test_an_odd_par_is_left_out_and_said(par):
    found = course_from_osm(one_hole(par=par).data())
    assert found.course.holes[0].par is None
    assert repr(par) in found.warnings[0]


def test_a_bend_is_said():
    text = OsmText()
    nodes = [text.node(0, 0, disc_golf="tee"), text.node(50, 50),
             text.node(100, 0, disc_golf="basket")]  # fmt: skip
    text.way(nodes, disc_golf="hole", ref="1")
    found = course_from_osm(text.data())
    assert found.course.holes[0].length_m == pytest.approx(100.0, abs=0.01)
    assert "141 m along it" in found.warnings[0]


SQUARE = [(0, 0), (40, 0), (40, 40), (0, 40)]


@pytest.mark.parametrize(
    ("tags", "kind"),
    [
        ({"natural": "water"}, AreaKind.WATER),
        ({"natural": "wood"}, AreaKind.WOOD),
        ({"landuse": "forest"}, AreaKind.WOOD),
        ({"disc_golf": "fairway"}, AreaKind.FAIRWAY),
        ({"disc_golf": "out_of_bounds"}, AreaKind.OUT_OF_BOUNDS),
    ],
)
def test_closed_ways_become_areas(tags, kind):
    text = one_hole()
    text.ring(SQUARE, name="patch", **tags)
    text.ring(SQUARE, building="yes")
    areas = course_from_osm(text.data()).course.areas
    assert [(area.kind, area.name, len(area.ring)) for area in areas] == [(kind, "patch", 4)]
    assert shape_of(areas[0]).area == pytest.approx(1600.0, rel=1e-5)


def test_a_multipolygon_is_joined_from_several_ways_with_its_opening():
    text = one_hole()
    a, b, c, d = (text.node(*at) for at in ((0, 0), (100, 0), (100, 100), (0, 100)))
    # Two outer ways that run against each other, and one inner ring: the forms that the wiki
    # page Relation:multipolygon allows.
    one, two = text.way([a, b, c]), text.way([a, d, c])
    inner = text.ring([(40, 40), (60, 40), (60, 60), (40, 60)])
    text.relation(
        [(one, "outer"), (two, "outer"), (inner, "inner")], type="multipolygon", natural="wood"
    )
    found = course_from_osm(text.data())
    assert found.warnings == ()
    (wood,) = found.course.areas
    assert len(wood.openings) == 1
    assert shape_of(wood).area == pytest.approx(10_000.0 - 400.0, rel=1e-5)


def test_a_multipolygon_of_two_grounds_becomes_two_areas():
    text = one_hole()
    far = [(x + 60, y) for x, y in SQUARE]
    members = [(text.ring(SQUARE), "outer"), (text.ring(far), "outer")]
    text.relation(members, type="multipolygon", natural="water")
    assert len(course_from_osm(text.data()).course.areas) == 2


def test_the_outline_of_a_multipolygon_does_not_fill_its_clearing():
    text = one_hole()
    outer = text.ring(SQUARE, natural="wood")
    inner = text.ring([(10, 10), (20, 10), (20, 20), (10, 20)])
    text.relation([(outer, "outer"), (inner, "inner")], type="multipolygon", natural="wood")
    (wood,) = course_from_osm(text.data()).course.areas
    assert shape_of(wood).area == pytest.approx(1500.0, rel=1e-5)


def test_an_area_cut_off_by_the_extract_is_said():
    text = one_hole()
    text.relation(
        [(text.ring(SQUARE), "outer"), (999, "outer")], type="multipolygon", natural="wood"
    )
    found = course_from_osm(text.data())
    assert "way 999 is missing" in found.warnings[0]
    assert len(found.course.areas) == 1


def test_an_outline_that_crosses_itself_is_repaired_and_said():
    text = one_hole()
    text.ring([(0, 0), (40, 40), (40, 0), (0, 40)], natural="water")
    found = course_from_osm(text.data())
    assert "crosses itself; it was repaired" in found.warnings[0]
    assert len(found.course.areas) == 2
    assert sum(shape_of(area).area for area in found.course.areas) == pytest.approx(800, rel=1e-5)


def test_an_open_outline_is_left_out_and_said():
    text = one_hole()
    text.way([text.node(*at) for at in SQUARE], natural="water")
    found = course_from_osm(text.data())
    assert found.course.areas == ()
    assert "does not close" in found.warnings[0]


def test_an_area_without_ground_is_left_out_and_said():
    text = one_hole()
    text.ring([(0, 0), (40, 0), (20, 0)], natural="water")
    found = course_from_osm(text.data())
    assert found.course.areas == ()
    assert "encloses no ground" in found.warnings[-1]


def test_pieces_that_cross_when_joined_are_repaired_and_said():
    text = one_hole()
    a, b, c, d = (text.node(*at) for at in ((0, 0), (40, 40), (40, 0), (0, 40)))
    members = [(text.way([a, b, c]), "outer"), (text.way([c, d, a]), "outer")]
    text.relation(members, type="multipolygon", natural="water")
    found = course_from_osm(text.data())
    assert "crosses itself; it was repaired" in found.warnings[0]
    assert sum(shape_of(area).area for area in found.course.areas) == pytest.approx(800, rel=1e-5)


def test_pieces_that_do_not_meet_are_left_out_and_said():
    text = one_hole()
    members = [(text.way([text.node(*at) for at in SQUARE]), "outer"),
               (text.ring([(60, 0), (80, 0), (80, 20), (60, 20)]), "outer")]  # fmt: skip
    text.relation(members, type="multipolygon", natural="wood")
    found = course_from_osm(text.data())
    assert "does not close; that part was left out" in found.warnings[0]
    assert [round(shape_of(area).area) for area in found.course.areas] == [400]


def test_a_tee_mapped_as_a_pad_stands_in_its_middle():
    text = OsmText()
    text.ring([(-1, -2), (1, -2), (1, 2), (-1, 2)], disc_golf="tee", ref="1")
    text.node(0, 70, disc_golf="basket", ref="1")
    hole = course_from_osm(text.data()).course.hole("1")
    assert hole.length_m == pytest.approx(70.0, abs=0.01)


def test_of_several_tees_the_first_is_taken_and_said():
    text = one_hole()
    for north in (300, 310):
        text.node(0, north, disc_golf="tee", ref="2")
    text.node(0, 380, disc_golf="basket", ref="2")
    found = course_from_osm(text.data())
    assert found.course.hole("2").length_m == pytest.approx(80.0, abs=0.01)
    assert found.warnings == ("hole 2 has 2 tee(s) and 1 basket(s); node 4 and node 6 were taken.",)


def test_a_course_relation_gives_the_name():
    text = OsmText()
    hole = text.hole("1", (0, 0), (0, 90))
    text.relation([(hole, "hole")], type="disc_golf_course", name="Links")
    assert course_from_osm(text.data()).course.name == "Links"


def test_of_several_courses_one_that_is_no_area_cannot_be_told_apart():
    text = one_hole()
    for name in ("Links", "Dunes"):
        text.relation([(3, "hole")], type="disc_golf_course", name=name)
    with pytest.raises(InputError, match=r"2 courses \(Dunes, Links\)"):
        course_from_osm(text.data(), "Links")


@settings(max_examples=60, deadline=None)
@given(st.data())
def test_a_damaged_file_is_read_or_refused_but_nothing_else(data):
    text = one_hole(dist="300 ft", par="3", tee_tags={"ele": "4"}, basket_tags={"ele": "5"})
    inner = text.ring([(10, 10), (20, 10), (20, 20), (10, 20)])
    text.relation([(text.ring(SQUARE), "outer"), (inner, "inner")],
                  type="multipolygon", natural="wood")  # fmt: skip
    sound = text.data()
    start = data.draw(st.integers(0, len(sound)))
    end = min(len(sound), start + data.draw(st.integers(0, 40)))
    patch = data.draw(st.sampled_from([b"", b'"', b"<", b"&", b"7", b"-", b"nan", b"\xff"]))
    with suppress(InputError):
        found = course_from_osm(sound[:start] + patch + sound[end:])
        assert len(found.course.holes) == 1


def test_areas_far_from_every_hole_are_left_out():
    text = one_hole()
    text.ring([(x + 600, y) for x, y in SQUARE], natural="water")
    assert course_from_osm(text.data()).course.areas == ()


def test_mandatories_and_drop_zones_are_read():
    text = one_hole()
    text.node(5, 40, disc_golf="mando", ref="1")
    text.node(6, 45, disc_golf="mando", ref="1", side="left")
    text.node(5, 50, disc_golf="drop_zone", ref="1")
    found = course_from_osm(text.data())
    (note,) = found.notes
    assert note.startswith("a mandatory on hole 1 is marked at 45.")  # on which side is not said
    assert [mark.side.value for mark in found.course.mandatories] == ["left"]
    (zone,) = found.course.drop_zones
    assert zone.hole == "1"
    assert zone.after.value == "any"


def test_deleted_elements_are_gone():
    data = one_hole().data().replace(b"</osm>", b'<way id="9" action="delete">'
                                     b'<tag k="disc_golf" v="hole"/></way></osm>')  # fmt: skip
    assert len(course_from_osm(data).course.holes) == 1


def test_the_file_names_the_course():
    text = one_hole()
    text.node(10, 10, leisure="disc_golf_course", name="Dunes")
    assert course_from_osm(text.data()).course.name == "Dunes"


def test_of_several_courses_the_named_one_is_read():
    text = one_hole()
    text.hole("1", (500, 0), (500, 80))
    text.ring([(-20, -20), (60, -20), (60, 120), (-20, 120)],
              leisure="disc_golf_course", name="West")  # fmt: skip
    text.ring([(440, -20), (560, -20), (560, 120), (440, 120)],
              leisure="disc_golf_course", name="East")  # fmt: skip
    course = course_from_osm(text.data(), "east").course
    assert course.name == "East"
    assert course.holes[0].length_m == pytest.approx(80.0, abs=0.01)
    assert "2 courses (East, West)" in refusal(text.data())


def test_data_never_uploaded_owes_no_attribution():
    text = one_hole()
    text.node(5, 5, leisure="disc_golf_course", attribution="Drawn by hand")
    data = text.data().replace(b' id="', b' id="-').replace(b' ref="', b' ref="-')
    assert course_from_osm(data).course.attribution == "Drawn by hand"
    assert course_from_osm(text.data()).course.attribution == f"{OSM_ATTRIBUTION}; Drawn by hand"


def test_the_origin_is_the_middle_of_the_holes():
    course = course_from_osm(one_hole().data()).course
    lat, lon = FRAME.to_geographic(0, 45)
    assert (course.origin_lat_deg, course.origin_lon_deg) == pytest.approx((lat, lon), abs=1e-6)


def test_ways_alone_are_trusted_with_a_warning():
    text = OsmText()
    text.way([text.node(0, 0), text.node(80, 0)], disc_golf="hole", ref="1")
    found = course_from_osm(text.data())
    assert found.course.holes[0].length_m == pytest.approx(80.0, abs=0.01)
    assert "marks no tee and no basket" in found.warnings[0]


def without_basket():
    text = OsmText()
    text.way([text.node(0, 0, disc_golf="tee"), text.node(0, 90)], disc_golf="hole", ref="7")
    return text.data()


def tee_alone():
    text = one_hole()
    text.node(0, 300, disc_golf="tee", ref="8")
    return text.data()


def basket_alone():
    text = one_hole()
    text.node(0, 300, disc_golf="basket", ref="9")
    return text.data()


def numbered_twice():
    text = one_hole()
    text.hole("1", (200, 0), (200, 90))
    return text.data()


def without_number():
    text = OsmText()
    text.way([text.node(0, 0), text.node(0, 90)], disc_golf="hole")
    return text.data()


def of_one_point():
    text = OsmText()
    text.way([text.node(0, 0, disc_golf="tee")], disc_golf="hole", ref="3")
    return text.data()


def of_no_length():
    text = one_hole()
    text.hole("2", (200, 0), (200, 3))
    return text.data()


def far_apart():
    text = one_hole()
    text.hole("2", (9000, 0), (9000, 90))
    return text.data()


BOMB = b"""<?xml version="1.0"?>
<!DOCTYPE osm [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;">]>
<osm version="0.6"><node id="1" lat="1" lon="1"><tag k="name" v="&b;"/></node></osm>"""
OUTSIDE = b"""<?xml version="1.0"?>
<!DOCTYPE osm [<!ENTITY a SYSTEM "file:///etc/hostname">]>
<osm version="0.6"><note>&a;</note></osm>"""
#: Found by fuzzing: a tee, a basket and a mark, none of which has a number.
NUMBERLESS = b"""<osm version="0.6">
<node id="1" lat="45.0000" lon="-35.0000"><tag k="disc_golf" v="tee"/></node>
<node id="2" lat="45.0008" lon="-35.0001"><tag k="disc_golf" v="basket"/></node>
<node id="3" lat="45.0004" lon="-35.0000"><tag k="disc_golf" v="mando"/></node></osm>"""


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"  \n", "the map file is empty"),
        (BOMB, "document type or entities"),
        (OUTSIDE, "document type or entities"),
        (b"<osm>" + b" " * 25_000_001, "25 MB"),
        (b'<osm version="0.6">\n<node id="1"\n</osm>', "line 3 of the map file is not well-formed"),
        (b"not a map", "line 1 of the map file is not well-formed"),
        (b'<?xml version="1.0" encoding="klingon"?><osm/>', "text encoding|well-formed"),
        (b"<gpx/>", "begins with <gpx>, not <osm>"),
        (b"<osm/>", "holds no disc golf hole"),
        (b'<osm><node id="4" lat="95" lon="1"/></osm>', "node 4 has latitude 95"),
        (b'<osm><node id="4" lat="5" lon="-181"/></osm>', "node 4 has longitude -181"),
        (b'<osm><node id="4" lat="nan" lon="1"/></osm>', "node 4 has latitude nan"),
        (b'<osm><node id="4" lat="north" lon="1"/></osm>', "node 4 has no usable lat and lon"),
        (without_basket(), r"hole 7 \(way 3\) has no basket"),
        (NUMBERLESS, r"no hole of the map file has both its tee and its basket"),
        (tee_alone(), r"hole 8 has a tee \(node 4\) but no basket"),
        (basket_alone(), r"hole 9 has a basket \(node 4\) but no tee"),
        (numbered_twice(), "hole 1 is mapped twice"),
        (without_number(), "way 3 is a hole without a number"),
        (of_one_point(), "hole 3 .* fewer than two points"),
        (of_no_length(), "length of hole 2 must be between 10"),
        (far_apart(), "more than 8 km apart"),
        (one_hole().data().replace(b'<nd ref="2"/>', b'<nd ref="77"/>'),
         r"hole 1 \(way 3\) runs to node 77, which is not in the file"),
    ],
)  # fmt: skip
def test_each_bad_file_is_refused_in_one_sentence(data, words):
    assert re.search(words, refusal(data))
