"""The course in the pages: its holes, drawing with typed corners, taking away, taking back."""

from __future__ import annotations

import re

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


def test_what_is_not_there_is_said(page):
    assert page.get("/course/hole?name=none&hole=1").status_code == 404
    assert page.get("/course/hole?name=course&hole=99").status_code == 400
    assert page.get("/course?name=none").status_code == 404
