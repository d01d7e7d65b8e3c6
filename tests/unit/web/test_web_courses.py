"""The course in the pages: its holes, drawing with typed corners, taking away, taking back."""

from __future__ import annotations

import html
import re
from dataclasses import replace

import pytest
from web_page import Page

from rimwise.store.opening import open_store
from tiny_season import contents

HOLE = "/course/hole?name=course&hole=1"
POND = {"kind": "water", "corners": "20 10L\n40 10L\n40 2L\n20 2L", "name": "<b>pond</b>"}


@pytest.fixture
def page(season) -> Page:
    return Page(season)


def version(page):
    return re.search('name="version" value="([0-9a-f]+)"', page.get(HOLE).text)[1]


def course_of(season):
    with open_store(season) as store:
        return store.courses.all()[0]


def test_a_pond_is_looked_at_kept_taken_back_and_taken_away(page, season):
    before = contents(season)
    assert 'href="/course/hole?name=course&amp;hole=1"' in page.get("/course").text
    typed = POND | {"version": version(page)}
    looked = page.ask("POST", HOLE, data=typed | {"deed": "look"})
    assert "Water with 4 corners, 160 m²" in looked.text
    assert "Nothing is saved yet" in looked.text
    assert "<b>pond" not in looked.text
    assert contents(season) == before
    kept = page.ask("POST", HOLE, data=typed | {"deed": "keep"})
    assert kept.status_code == 303
    assert "Plan again" in page.get(kept.headers["location"]).text
    assert [area.name for area in course_of(season).areas] == ["<b>pond</b>"]
    listed = page.get("/course").text
    assert "160 m², near hole 1, drawn by you" in listed
    assert "drew water &lt;b&gt;pond&lt;/b&gt; on hole 1" in listed
    gone = {"name": "course", "number": "1", "version": version(page)}
    assert page.ask("POST", "/course/remove", data=gone).status_code == 303
    assert course_of(season).areas == ()
    page.ask("POST", "/course/undo", data={"name": "course"})
    assert len(course_of(season).areas) == 1
    done = page.ask("POST", "/course/undo", data={"name": "course", "hole": "1"})
    assert "The last change is taken back." in page.get(done.headers["location"]).text
    assert course_of(season).areas == ()


def test_corners_are_in_feet_where_the_owner_thinks_in_feet(page, season):
    with open_store(season) as store:
        store.settings.put("units", "ft")
    page.ask("POST", HOLE, data=POND | {"version": version(page), "deed": "keep"})
    xs = [at[1] for at in course_of(season).areas[0].ring]
    assert min(xs) == pytest.approx(20 * 0.3048)
    assert "160 ft²" in page.get(HOLE).text


@pytest.mark.parametrize(
    ("wrong", "field"),
    [
        ({"corners": "here\nthere"}, "corners"), ({"corners": ""}, "corners"),
        ({"corners": "20 10L\n40 2L\n40 10L\n20 2L"}, "corners"), ({"height": "tall"}, "height"),
        ({"kind": "lava<script>x"}, "kind"), ({"kind": "mandatory", "corners": "20"}, "side"),
        ({"name": "x" * 90}, "name"), ({"kind": "drop zone", "after": "rain"}, "after"),
        ({"kind": "drop zone"}, "corners"), ({"kind": "mandatory", "side": "up"}, "side"),
    ],
)  # fmt: skip
def test_what_is_wrong_is_told_beside_its_field_and_nothing_is_saved(page, season, wrong, field):
    typed = POND | {"version": version(page), "deed": "keep"} | wrong
    before = contents(season)
    answer = page.ask("POST", HOLE, data=typed)
    assert answer.status_code == 400
    assert f'id="{field}-wrong"' in answer.text
    assert "<script>x" not in answer.text
    assert contents(season) == before


def test_a_course_changed_elsewhere_is_not_changed_blindly(page, season):
    old = version(page)
    page.ask("POST", HOLE, data=POND | {"version": old, "deed": "keep"})
    before = contents(season)
    late = page.ask("POST", HOLE, data=POND | {"version": old, "deed": "keep", "name": "lake"})
    assert "changed elsewhere" in late.text
    late = page.ask("POST", "/course/remove", data={"name": "course", "number": "1"})
    assert late.status_code == 400
    assert contents(season) == before


def test_an_area_is_listed_on_every_hole_that_it_lies_on(page, season):
    with open_store(season) as store:
        first, second = store.courses.all()[0].holes[:2]
        beside = replace(second, tee=(first.tee[0] + 30.0, 0.0), basket=(first.tee[0] + 30.0, 70.0))
        store.courses.put(replace(store.courses.all()[0], holes=(first, beside)))
    drawn(page, corners="20 5L\n40 5L\n40 35R\n20 35R", name="pond")
    for ref in "12":
        assert "Take away pond, number 1" in page.get(f"/course/hole?name=course&hole={ref}").text
    drawn(page, corners="20 5L\n40 5L\n40 3R\n20 3R", name="puddle")
    assert "Take away puddle" in page.get("/course/hole?name=course&hole=2").text
    drawn(page, corners="20 60L\n40 60L\n40 70L\n20 70L", name="far one")
    assert "Take away far one" in page.get(HOLE).text
    assert "Take away far one" not in page.get("/course/hole?name=course&hole=2").text


def test_what_is_not_there_is_said(page):
    assert page.get("/course/hole?name=none&hole=1").status_code == 404
    assert page.get("/course/hole?name=course&hole=99").status_code == 400
    assert page.get("/course?name=none").status_code == 404


# -- openings -------------------------------------------------------------------------------------

ISLAND = {"kind": "opening", "corners": "25 8L\n35 8L\n35 4L\n25 4L"}


def drawn(page, **other):
    """Draw something on hole 1 and keep it."""
    typed = POND | {"version": version(page), "deed": "keep"} | other
    return page.ask("POST", HOLE, data=typed)


def test_an_opening_is_looked_at_kept_listed_and_closed(page, season):
    drawn(page, name="pond")
    before = contents(season)
    looked = page.ask("POST", HOLE, data=ISLAND | {"deed": "look", "version": version(page)})
    assert "An opening with 4 corners in pond (water), 40 m² of it." in looked.text
    assert contents(season) == before
    kept = drawn(page, **ISLAND, name="")
    assert kept.status_code == 303
    (pond,) = course_of(season).areas
    assert (pond.name, len(pond.openings), pond.drawn) == ("pond", 1, True)
    listed = page.get(HOLE).text
    assert "120 m²" in listed  # the pond, without its island
    assert "An opening of 40 m²" in listed
    closed = {"name": "course", "hole": "1", "number": "1", "opening": "1"}
    assert page.ask("POST", "/course/close", data=closed).status_code == 400  # no version of it
    closed |= {"version": version(page)}
    nothing = page.ask("POST", "/course/close", data=closed | {"opening": "2"})
    assert nothing.status_code == 404
    assert "has no opening 2; its openings are numbered 1." in nothing.text
    assert page.ask("POST", "/course/close", data=closed | {"number": "7"}).status_code == 404
    done = page.ask("POST", "/course/close", data=closed)
    assert "The opening is closed." in page.get(done.headers["location"]).text
    assert course_of(season).areas[0].openings == ()
    page.ask("POST", "/course/undo", data={"name": "course"})
    assert len(course_of(season).areas[0].openings) == 1


@pytest.mark.parametrize(
    ("wrong", "field"),
    [
        ({"corners": "25 8L\n35 8L"}, "corners"), ({"corners": "60 8R\n70 8R\n70 4R"}, "corners"),
        ({"corners": "10 30L\n50 30L\n50 0\n10 0"}, "corners"), ({"within": "9"}, "within"),
        ({"within": "x<script>y"}, "within"),
    ],
)  # fmt: skip
def test_an_opening_that_cannot_be_is_told_beside_its_field(page, season, wrong, field):
    drawn(page)
    before = contents(season)
    answer = drawn(page, **(ISLAND | wrong))
    assert answer.status_code == 400
    assert f'id="{field}-wrong"' in answer.text
    assert "<script>y" not in answer.text
    assert contents(season) == before


def test_where_areas_lie_over_each_other_it_is_asked_which_is_meant(page, season):
    drawn(page, name="pond")
    drawn(page, name="lane", kind="out of bounds")
    asked = drawn(page, **ISLAND, name="")
    assert 'id="within-wrong"' in asked.text
    assert "in pond (water) or lane (out of bounds)." in asked.text
    assert '<option value="2">lane, number 2 of the course</option>' in asked.text
    assert drawn(page, **ISLAND, name="", within="2").status_code == 303
    pond, lane = course_of(season).areas
    assert (len(pond.openings), len(lane.openings)) == (0, 1)


def test_a_drawing_over_a_course_that_changed_is_shown_with_it_and_not_kept(page, season):
    old = version(page)
    drawn(page, name="pond")
    before = contents(season)
    late = page.ask("POST", HOLE, data=ISLAND | {"version": old, "deed": "keep"})
    assert late.status_code == 409
    assert "as it is on file now, and what you drew" in late.text
    assert "pond (water) on the left" in late.text  # what is on file now
    assert "25 8L" in late.text  # and what was typed
    assert contents(season) == before
    again = page.ask(
        "POST", HOLE, data=ISLAND | {"version": version_in(late.text), "deed": "keep"}
    )  # fmt: skip
    assert again.status_code == 303


# -- facts of a hole ------------------------------------------------------------------------------

FACTS = "/course/facts?name=course&hole=1"


def version_in(text):
    return re.search('name="version" value="([0-9a-f]+)"', text)[1]


def form(page):
    found = re.findall(r'<input[^>]* name="([^"]+)" value="([^"]*)"', page.get(FACTS).text)
    return dict(found)


def hole_of(season):
    return course_of(season).hole("1")


def test_facts_of_a_hole_are_changed_and_taken_back(page, season):
    was = hole_of(season)
    assert f'href="{FACTS.replace("&", "&amp;")}"' in page.get(HOLE).text
    typed = form(page) | {"par": "4", "climb": "-3,5", "shelter": "60", "name": "<b>Oak</b>"}
    done = page.ask("POST", FACTS, data=typed)
    assert done.status_code == 303
    hole = hole_of(season)
    assert (hole.par, hole.elevation_change_m, hole.shelter) == (4, -3.5, pytest.approx(0.6))
    assert hole.name == "<b>Oak</b>"
    assert (hole.tee, hole.basket) == (was.tee, was.basket)
    shown = page.get(done.headers["location"]).text
    assert "par 4, the basket 4 m below the tee, 60 % of the wind, &lt;b&gt;Oak" in shown
    assert "changed par, climb, shelter and the name of hole 1" in shown
    page.ask("POST", "/course/undo", data={"name": "course"})
    assert hole_of(season) == was


@pytest.mark.parametrize("units", ["m", "ft"])
def test_a_form_of_facts_that_nobody_changed_changes_nothing(page, season, units):
    with open_store(season) as store:
        store.settings.put("units", units)
        course = store.courses.all()[0]
        odd = replace(course.holes[0], elevation_change_m=1.23456, shelter=0.61234567, par=3)
        store.courses.put(replace(course, holes=(odd, *course.holes[1:])))
    before = contents(season)
    assert page.ask("POST", FACTS, data=form(page)).status_code == 303
    assert contents(season) == before


def test_facts_are_in_feet_where_the_owner_thinks_in_feet(page, season):
    with open_store(season) as store:
        store.settings.put("units", "ft")
    assert "feet (minus: lower)" in page.get(FACTS).text
    page.ask("POST", FACTS, data=form(page) | {"climb": "-10"})
    assert hole_of(season).elevation_change_m == pytest.approx(-3.048)
    page.ask("POST", FACTS, data=form(page) | {"climb": "5 %"})
    hole = hole_of(season)
    assert hole.elevation_change_m == pytest.approx(0.05 * hole.length_m)


def test_a_hole_known_by_its_length_takes_another_and_its_basket_moves(page, season):
    tee = hole_of(season).tee
    done = page.ask("POST", FACTS, data=form(page) | {"length": "75,5"})
    assert "changed length of hole 1" in page.get(done.headers["location"]).text
    hole = hole_of(season)
    assert (hole.length_m, hole.played_length_m) == (pytest.approx(75.5), 75.5)
    assert hole.tee == tee
    # A pond where the basket would go is in the way of it.
    drawn(page, corners="85 5L\n95 5L\n95 5R\n85 5R")
    before = contents(season)
    wet = page.ask("POST", FACTS, data=form(page) | {"length": "90"})
    assert 'id="length-wrong"' in wet.text
    assert "stands in water" in wet.text
    assert contents(season) == before


@pytest.fixture
def mapped(season):
    with open_store(season) as store:
        store.courses.put(replace(store.courses.all()[0], bearings_known=True))


def test_a_mapped_hole_keeps_its_length_and_takes_that_on_its_sign(page, season, mapped):
    basket = hole_of(season).basket
    page.ask("POST", FACTS, data=form(page) | {"length": "200"})
    assert hole_of(season).basket == basket
    page.ask("POST", FACTS, data=form(page) | {"posted": "99"})
    assert hole_of(season).played_length_m == 99.0
    page.ask("POST", FACTS, data=form(page) | {"posted": "", "par": "", "shelter": ""})
    assert (hole_of(season).played_length_m, hole_of(season).par) == (None, None)


@pytest.mark.parametrize(
    ("wrong", "field", "told"),
    [
        ({"par": "9"}, "par", "from 2 to 7"), ({"par": "three"}, "par", "from 2 to 7"),
        ({"climb": "steep"}, "climb", "write one such as -4, or 3 %"),
        ({"climb": "x %"}, "climb", "such as 3 %"), ({"climb": "400"}, "climb", "at most 120 m"),
        ({"climb": "900 %"}, "climb", "at most 120 m"),
        ({"shelter": "0.6"}, "shelter", "for 0.6 write 60"),
        ({"shelter": "windy"}, "shelter", "write percent, such as 60"),
        ({"shelter": "200"}, "shelter", "from 0 to 150 percent"),
        ({"posted": "4"}, "posted", "from 10 to 500 m"), ({"posted": "<script>x"}, "posted", "88"),
        ({"name": "x" * 61}, "name", "at most 60 letters"),
    ],
)  # fmt: skip
def test_a_wrong_fact_is_told_beside_its_field_and_nothing_is_saved(
    page, season, mapped, wrong, field, told
):
    before = contents(season)
    answer = page.ask("POST", FACTS, data=form(page) | {"par": "5"} | wrong)
    assert answer.status_code == 400
    assert told in html.unescape(answer.text)
    assert f'id="{field}-wrong"' in answer.text
    assert "<script>x" not in answer.text
    assert contents(season) == before


def test_stale_facts_are_refused_with_both_versions(page, season):
    typed = form(page)
    page.ask("POST", FACTS, data=typed | {"par": "4"})
    before = contents(season)
    late = page.ask("POST", FACTS, data=typed | {"par": "5"})
    assert late.status_code == 409
    assert "Par: “4”; you typed “5”" in late.text
    assert contents(season) == before
    again = typed | {"par": "5", "version": version_in(late.text)}
    assert page.ask("POST", FACTS, data=again).status_code == 303
    assert hole_of(season).par == 5
    drawn(page)  # what is drawn on the hole does not make its facts stale
    assert page.ask("POST", FACTS, data=form(page) | {"par": "3"}).status_code == 303


def test_facts_of_what_is_not_there_are_not_asked_for(page):
    assert page.get("/course/facts?name=none&hole=1").status_code == 404
    assert page.get("/course/facts?name=course&hole=99").status_code == 400
