"""Mandatories and drop zones: from a map, from a table, and who takes whose place."""

from __future__ import annotations

import pytest

from rimwise.course.drawn import Features, kept_drawings, with_features
from rimwise.course.frame import LocalFrame
from rimwise.course.marks import away_m, side_in_words, trouble_in_words
from rimwise.course.osm import course_from_osm, map_from_osm
from rimwise.course.strips import features_from_table
from rimwise.errors import InputError
from rimwise.records.courses import (
    Area,
    AreaKind,
    Course,
    DropZone,
    Hole,
    Mandatory,
    Side,
    Trouble,
)

from .osm_text import FRAME, OsmText

HEAD = "kind,hole,from (m),left (m),right (m),pass,after,name\n"
COURSE = Course(
    "heath", (Hole("1", (0.0, 0.0), (80.0, 0.0)), Hole("2", (10.0, 150.0), (10.0, 250.0)))
)


def _map(*marks: tuple[float, float, dict[str, str]]) -> bytes:
    text = OsmText()
    text.hole("1", (0.0, 0.0), (0.0, 100.0))
    text.hole("2", (300.0, 0.0), (300.0, 100.0))
    for east, north, tags in marks:
        text.node(east, north, **tags)
    return text.data()


def test_a_mandatory_with_a_side_is_played():
    found = course_from_osm(
        _map((5, 40, {"disc_golf": "mando", "ref": "1", "side": "pass left", "name": "oak"}))
    )
    (mark,) = found.course.mandatories
    assert (mark.hole, mark.side, mark.name, mark.drawn) == ("1", Side.LEFT, "oak", False)
    first, second = FRAME.to_local(found.course.origin_lat_deg, found.course.origin_lon_deg)
    assert (mark.at[0] + first, mark.at[1] + second) == pytest.approx((5.0, 40.0), abs=0.01)
    assert found.notes == found.warnings == ()


def test_a_mandatory_without_a_side_is_told_and_not_played():
    found = course_from_osm(_map((5, 40, {"disc_golf": "mando", "ref": "1"})))
    assert found.course.mandatories == ()
    (note,) = found.notes
    assert note.startswith("a mandatory on hole 1 is marked at 45.")
    assert "on which side" in note
    assert note.endswith("posted course rules come first.")


def test_a_drop_zone_without_a_number_goes_to_the_nearest_hole():
    found = course_from_osm(_map((310, 60, {"disc_golf": "drop_zone", "after": "water"})))
    (zone,) = found.course.drop_zones
    assert (zone.hole, zone.after) == ("2", Trouble.WATER)
    (warning,) = found.warnings
    assert "given to hole 2" in warning


@pytest.mark.parametrize("tags", [{}, {"ref": "9"}])
def test_a_mark_on_no_hole_is_told(tags):
    found = course_from_osm(_map((150, 50, {"disc_golf": "drop_zone", **tags})))
    assert found.course.drop_zones == ()
    assert "on no hole of the course" in found.notes[0]


def test_the_table_places_marks_out_and_aside():
    rows = "mando,1,30,4,,right,,oak\ndrop zone,2,60,,5,,ob,\nDZ,2,60,,,,,\n"
    found = features_from_table((HEAD + rows).encode(), COURSE)
    (mark,) = found.mandatories
    assert mark == Mandatory("1", pytest.approx((30.0, 4.0)), Side.RIGHT, "oak", drawn=True)
    right, middle = found.drop_zones
    assert right == DropZone("2", pytest.approx((15.0, 210.0)), Trouble.OUT_OF_BOUNDS, "", True)
    assert (middle.at, middle.after) == (pytest.approx((10.0, 210.0)), Trouble.ANY)
    assert found.words == "1 mandatory and 2 drop zones"


@pytest.mark.parametrize(
    ("row", "hint"),
    [
        ("mando,1,30,4,,up,,\n", "line 2 of the table of areas: pass 'up' is no side"),
        ("mando,1,30,4,,,,\n", "write left or right"),
        ("dz,1,30,4,,,rain,\n", "after 'rain' is unknown; write one of any, water"),
        ("dz,1,3000,4,,,,\n", "check the unit"),
        ("dz,7,30,4,,,,\n", "has no hole '7'"),
        ("water,1,30,4,5,,,\n", "line 1 of the table of areas has no to column"),
    ],
)
def test_wrong_marks_are_refused_with_their_line(row, hint):
    with pytest.raises(InputError, match=hint):
        features_from_table((HEAD + row).encode(), COURSE)


def test_a_mark_of_one_name_or_place_takes_the_others():
    first = with_features(
        COURSE, features_from_table((HEAD + "mando,1,30,4,,right,,oak\ndz,2,60,,,,,\n").encode(),
                                    COURSE)
    ).course  # fmt: skip
    again = (HEAD + "mando,1,45,,2,left,,oak\ndz,2,60.5,,,,,\ndz,2,60,,,,water,\n").encode()
    second = with_features(first, features_from_table(again, first))
    assert [m.side for m in second.course.mandatories] == [Side.LEFT]
    assert [(z.at[1], z.after) for z in second.course.drop_zones] == [
        (pytest.approx(210.5), Trouble.ANY),
        (pytest.approx(210.0), Trouble.WATER),
    ]
    assert second.warnings == ("2 of the same name or place replaced.",)


def test_sides_and_troubles_in_words():
    assert [side_in_words(said) for said in ("Left", "pass_right", "l", "left right", "")] == [
        Side.LEFT, Side.RIGHT, Side.LEFT, None, None,
    ]  # fmt: skip
    assert trouble_in_words("missed mando") is Trouble.MANDATORY
    assert trouble_in_words("fog") is None


def test_distance_from_a_hole_is_from_its_line_between_tee_and_basket():
    hole = COURSE.holes[0]
    assert away_m((40.0, 7.0), hole) == pytest.approx(7.0)
    assert away_m((-3.0, 4.0), hole) == pytest.approx(5.0)
    assert away_m((83.0, 4.0), hole) == pytest.approx(5.0)


def test_a_course_takes_marks_of_its_own_holes_only():
    with pytest.raises(InputError, match="no hole '7'"):
        Course("c", COURSE.holes, mandatories=(Mandatory("7", (0, 0), Side.LEFT),))
    with pytest.raises(InputError, match="no hole '8'"):
        Course("c", COURSE.holes, drop_zones=(DropZone("8", (0, 0)),))


def test_drawings_move_into_the_frame_of_the_map_read_again():
    """The frame's origin lies 200 m further east and 100 m further north the second time."""
    old_frame = LocalFrame(45.0, -35.0)
    lat, lon = old_frame.to_geographic(200.0, 100.0)
    ring = ((10.0, 10.0), (30.0, 10.0), (30.0, 30.0))
    old = Course(
        "heath", COURSE.holes, (
            Area(AreaKind.WOOD, ring, (), "mine", 250.0, 9.0, drawn=True),
            Area(AreaKind.WATER, ring, (), "mapped"),
        ),
        45.0, -35.0,
        mandatories=(Mandatory("1", (5.0, 6.0), Side.LEFT, drawn=True),),
        drop_zones=(DropZone("2", (7.0, 8.0), drawn=True), DropZone("1", (0.0, 0.0))),
    )  # fmt: skip
    new = Course("heath", COURSE.holes[:1], (), lat, lon)
    kept = kept_drawings(old, new)
    (wood,) = kept.areas
    assert (wood.name, wood.stems_per_ha, wood.canopy_m, wood.drawn) == ("mine", 250.0, 9.0, True)
    assert wood.ring[0] == pytest.approx((-190.0, -90.0), abs=0.01)
    assert kept.mandatories[0].at == pytest.approx((-195.0, -94.0), abs=0.01)
    assert kept.drop_zones == ()  # hole 2 is gone, and the other was the map's
    assert kept_drawings(old, Course("heath", COURSE.holes)) is None
    assert kept_drawings(old, old).areas[0].ring == ring


def test_a_map_of_marks_alone_can_be_added():
    from rimwise.course.drawn import features_on_course

    course = course_from_osm(_map()).course
    more = OsmText()
    more.node(5, 40, disc_golf="mandatory", ref="1", side="right")
    more.ring([(20, 20), (40, 20), (40, 40)], natural="scrub")
    more.ring(
        [(-20, 20), (-40, 20), (-40, 40)], natural="wood", stems_per_ha="dense", height="30 ft"
    )
    more.ring([(-5, 90), (5, 90), (5, 99)], disc_golf="no_run_up")
    found = features_on_course(course, map_from_osm(more.data()))
    assert [area.kind for area in found.areas] == [
        AreaKind.THICK, AreaKind.WOOD, AreaKind.NO_RUN_UP,
    ]  # fmt: skip
    wood = found.areas[1]
    assert (wood.stems_per_ha, wood.canopy_m) == (1500.0, pytest.approx(9.144))
    drawn = with_features(course, found).course
    assert drawn.mandatories[0].side is Side.RIGHT


@pytest.mark.parametrize(
    ("tags", "hint"),
    [
        ({"stems_per_ha": "many"}, "'many' is no wood"),
        ({"stems_per_ha": "nan"}, "must be a finite number"),
        ({"height": "900 m"}, "height of the wood must be"),
    ],
)
def test_trees_that_cannot_be_are_left_out_and_told(tags, hint):
    text = OsmText()
    text.hole("1", (0.0, 0.0), (0.0, 100.0))
    text.ring([(-20, 20), (-40, 20), (-40, 40)], natural="wood", **tags)
    found = course_from_osm(text.data())
    (warning,) = found.warnings
    assert hint in warning
    assert (found.course.areas[0].stems_per_ha, found.course.areas[0].canopy_m) == (None, None)


def test_woods_in_a_table_have_stems_and_height():
    head = "kind,hole,from (m),to (m),left (m),right (m),stems,height (m)\n"
    rows = "wood,1,0,50,20,-5,open,7.5\nlow ceiling,1,0,50,3,3,,2\n"
    wood, low = features_from_table((head + rows).encode(), COURSE).areas
    assert (wood.stems_per_ha, wood.canopy_m) == (120.0, 7.5)
    assert (low.kind, low.canopy_m) == (AreaKind.LOW_CEILING, 2.0)
    with pytest.raises(InputError, match="line 2 of the table of areas: 'lots' is no wood"):
        features_from_table((head + "wood,1,0,50,20,-5,lots,7\n").encode(), COURSE)
    with pytest.raises(InputError, match="line 2 of the table of areas: height of the wood"):
        features_from_table((head + "wood,1,0,50,20,-5,,700\n").encode(), COURSE)


def test_no_mark_and_no_area_is_nothing():
    with pytest.raises(InputError, match="nothing to add"):
        with_features(COURSE, Features())
