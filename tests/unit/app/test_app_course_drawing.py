"""Drawing on a hole by corners: where they come to lie, what is said, and what is refused."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from xml.etree import ElementTree as ET

import pytest

from rimwise.app.course_drawing import (
    Sketch,
    WithinError,
    around,
    corners_in,
    ground_of,
    keep_sketch,
    look_at_sketch,
)
from rimwise.app.course_editing import undo_change
from rimwise.errors import InputError
from rimwise.pictures.ground_map import ground_map_svg
from rimwise.records.courses import AreaKind, Course, Hole, Side, Trouble
from rimwise.store.opening import open_store

#: Hole 2 goes east: its left is north.
COURSE = Course("x", (Hole("1", (0.0, 0.0), (0.0, 80.0)), Hole("2", (5.0, 100.0), (95.0, 100.0))))
POND = Sketch("water", ((20.0, 10.0), (40.0, 10.0), (40.0, 2.0), (20.0, 2.0)), "pond")


@pytest.mark.parametrize(
    ("text", "corners"),
    [
        ("40 12R", [(40, -12)]), ("40m, 12 m left", [(40, 12)]), ("\n 40,5 2.5l \n\n-3 0R", None),
        ("40", [(40, 0)]), ("40 0", [(40, 0)]),
    ],
)  # fmt: skip
def test_corners_are_read_one_to_a_line(text, corners):
    found = corners_in(text, "m")
    assert found == tuple(corners or [(40.5, 2.5), (-3.0, -0.0)])
    assert corners_in(text, "ft")[0] == pytest.approx([0.3048 * value for value in found[0]])


@pytest.mark.parametrize("text", ["40 12", "far left", "40 12X", "40 -12R", "1\n2 2", "nan 1L"])
def test_a_line_that_is_no_corner_is_named(text):
    with pytest.raises(InputError, match=r"Line \d, .* is no corner; write how far out"):
        corners_in(text, "m")


def test_an_area_lies_where_its_corners_say_and_is_seen_there_again():
    found = look_at_sketch(COURSE, "2", POND)
    (area,) = found.course.areas
    assert (area.kind, area.name, area.drawn) == (AreaKind.WATER, "pond", True)
    assert area.ring[0] == pytest.approx((25.0, 110.0))
    assert area.ring[2] == pytest.approx((45.0, 102.0))
    assert found.words == "Water with 4 corners, 160 m², from 20 m to 40 m out."
    assert "1,720 ft²" in look_at_sketch(COURSE, "2", POND, "ft").words
    (seen,) = ground_of(found.course, "2").areas
    assert {(round(x, 6), round(y, 6)) for x, y in seen.ring} == set(POND.corners)
    again = look_at_sketch(found.course, "2", POND)
    assert len(again.course.areas) == 1
    assert again.warnings == ("1 of the same name or place replaced.",)


def test_marks_stand_where_they_are_put():
    tree = Sketch("mandatory", ((30.0, -4.0),), "oak", side="left")
    found = look_at_sketch(COURSE, "1", tree)
    (mark,) = found.course.mandatories
    assert mark.at == pytest.approx((4.0, 30.0))
    assert mark.side is Side.LEFT
    zone = Sketch("drop zone", ((50.0, 5.0),), after="water")
    (place,) = look_at_sketch(COURSE, "1", zone).course.drop_zones
    assert place.after is Trouble.WATER
    assert [one.label for one in ground_of(found.course, "1").marks] == ["oak"]
    assert ground_of(found.course, "2").marks == ()


@pytest.mark.parametrize(
    ("sketch", "match"),
    [
        (Sketch("water", ()), "Nothing is drawn"), (Sketch("water", POND.corners[:2]), "three"),
        (Sketch("water", tuple(POND.corners[i] for i in (0, 2, 1, 3))), "edges cross"),
        (Sketch("water", ((1.0, 0.0), (1.5, 0.0), (1.0, 0.5))), "hardly any ground"),
        (Sketch("water", ((70.0, 5.0), (90.0, 5.0), (90.0, -5.0), (70.0, -5.0))), "basket of hole"),
        (Sketch("water", ((20.0, 900.0), (40.0, 900.0), (40.0, 2.0))), "more than 300 m"),
        (Sketch("mandatory", POND.corners, side="left"), "one place"),
        (Sketch("mandatory", ((1.0, 1.0),)), "left or right"),
        (Sketch("drop zone", ((1.0, 1.0),), after="rain"), "for one of"),
        (Sketch("opening", POND.corners[:2]), "An opening has at least three"),
        (Sketch("lava", POND.corners), "cannot be drawn"),
    ],
)  # fmt: skip
def test_what_cannot_be_drawn_is_said(sketch, match):
    with pytest.raises(InputError, match=match):
        look_at_sketch(COURSE, "1", sketch)


def test_an_opening_is_cut_into_the_area_around_it():
    pond = look_at_sketch(COURSE, "2", POND).course
    island = Sketch("opening", ((25.0, 8.0), (35.0, 8.0), (35.0, 4.0), (25.0, 4.0)))
    found = look_at_sketch(pond, "2", island)
    assert found.words == "An opening with 4 corners in pond (water), 40 m² of it."
    (area,) = found.course.areas
    assert {at for ring in area.openings for at in ring} == {
        (30.0, 108.0), (40.0, 108.0), (40.0, 104.0), (30.0, 104.0),
    }  # fmt: skip
    assert around(found.course, "2") == {1: area}
    (seen,) = ground_of(found.course, "2").areas
    assert {(round(x, 6), round(y, 6)) for x, y in seen.openings[0]} == set(island.corners)
    with pytest.raises(InputError, match="No area lies there"):
        look_at_sketch(COURSE, "2", island)
    over = look_at_sketch(pond, "2", replace(POND, kind="wood", name="")).course
    with pytest.raises(WithinError, match=r"in pond \(water\) or the wood"):
        look_at_sketch(over, "2", island)
    cut = look_at_sketch(over, "2", replace(island, within=2)).course
    assert [len(one.openings) for one in cut.areas] == [0, 1]
    with pytest.raises(WithinError, match="no area of number 3"):
        look_at_sketch(over, "2", replace(island, within=3))


def test_a_sketch_is_kept_and_taken_back(unplanned):
    with open_store(unplanned) as store:
        course = store.courses.all()[0]
        keep_sketch(store, course, "1", POND, now=datetime(2026, 5, 3))
        assert [one.name for one in store.courses.all()[0].areas] == ["pond"]
        undo_change(store)
        assert store.courses.all()[0] == course


def test_the_map_of_the_ground_is_in_metres_and_says_what_it_shows():
    course = look_at_sketch(COURSE, "2", POND).course
    text = ground_map_svg(ground_of(course, "2"), "m", sketch=((10.0, -5.0), (15.0, -5.0)))
    drawn = ET.fromstring(text)  # noqa: S314 - of our own making
    left, top, width, height = map(float, drawn.get("viewBox").split())
    assert left < -40.0 + 1e-9
    assert left + width > 40.0 - 1e-9
    assert top == pytest.approx(-120.0)
    assert top + height == pytest.approx(20.0)
    assert "pond (water) on the left, from 20 m to 40 m." in text
    assert "Nothing is drawn on it yet." in ground_map_svg(ground_of(COURSE, "1"))
