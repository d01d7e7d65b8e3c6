"""A field session in the browser: the map in metres, and throws kept from it."""

from __future__ import annotations

import html
import re

import pytest
from web_page import Page

from rimwise.errors import InputError
from rimwise.pictures.field_map import FieldMark, field_map_svg
from rimwise.store.opening import open_store
from tiny_season import contents

TAPPED = {"disc": "nh27-gold", "distance": "64", "aside": "5", "side": "L"}


@pytest.fixture
def page(season) -> Page:
    return Page(season)


def test_the_maps_unit_is_the_metre_with_the_thrower_at_its_origin():
    drawn = field_map_svg([FieldMark("t1", 64.0, 5.0), FieldMark("t2", 30.0, -4.0, True)], 100.0)
    left, top, width, height = map(float, re.search('viewBox="([^"]+)"', drawn)[1].split())
    assert (left, left + width) == (-36.0, 36.0)
    assert (top, top + height) == (-100.0, 9.0)
    marks = re.findall(r'<circle cx="([-\d.]+)" cy="([-\d.]+)"', drawn)
    assert marks == [("-5", "-64"), ("4", "-30")]
    assert "t1 64 m out, 5 m left; t2 30 m out, 4 m right" in drawn


def test_the_map_says_feet_and_escapes_names():
    drawn = field_map_svg([FieldMark("<script>", 30.48, 3.048)], 100.0, "ft")
    assert "100 ft out, 10 ft left" in drawn
    assert "<script>" not in drawn
    with pytest.raises(InputError, match="20"):
        field_map_svg([], 5.0)


@pytest.mark.parametrize(
    ("units", "metres"), [("m", (64.0, 5.0)), ("ft", (64 * 0.3048, 5 * 0.3048))]
)
def test_a_throw_is_kept_and_what_stays_stays(page, season, units, metres):
    with open_store(season) as store:
        store.settings.put("units", units)
    typed = TAPPED | {"line": "fh hyzer 20 80%", "conditions": "4C wet"}
    kept = page.ask("POST", "/log/field", data=typed)
    with open_store(season) as store:
        ((_, throw),) = store.throws.all()
    assert (throw.distance_m, throw.left_m) == pytest.approx(metres)
    assert (str(throw.line.style), throw.line.hyzer_deg, throw.line.effort) == ("forehand", 20, 0.8)
    shown = page.get(kept.headers["location"]).text
    assert "t1 kept." in shown
    assert 'value="fh hyzer 20 80%"' in shown
    assert 'value="nh27-gold" selected' in shown
    assert "Today: 1 throw" in shown
    gone = page.ask("POST", "/log/delete", data={"id": "t1", "from": "field"})
    assert gone.headers["location"] == "/log/field?gone=t1"
    assert "Undo: bring t1 back" in page.get("/log/field?gone=t1").text


def test_a_length_may_bring_its_own_unit(page, season):
    page.ask("POST", "/log/field", data=TAPPED | {"distance": "200 ft", "aside": "2,5"})
    with open_store(season) as store:
        ((_, throw),) = store.throws.all()
    assert (throw.distance_m, throw.left_m) == pytest.approx((60.96, 2.5))


def test_right_and_straight(page, season):
    page.ask("POST", "/log/field", data=TAPPED | {"side": "R"})
    page.ask("POST", "/log/field", data=TAPPED | {"aside": ""})
    with open_store(season) as store:
        assert [one.left_m for _, one in store.throws.all()] == [-5.0, 0.0]


@pytest.mark.parametrize(
    ("wrong", "field"),
    [
        ({"distance": ""}, "distance"), ({"distance": "far"}, "distance"),
        ({"distance": "900"}, "distance"), ({"aside": "nan"}, "aside"), ({"aside": "-3"}, "aside"),
        ({"side": "<script>x"}, "side"), ({"disc": "<script>x"}, "disc"),
        ({"line": "64m"}, "line"), ({"line": "<script>x"}, "line"), ({"on": "tomorrow"}, "on"),
    ],
)  # fmt: skip
def test_what_is_wrong_is_said_beside_its_field(page, season, wrong, field):
    before = contents(season)
    answer = page.ask("POST", "/log/field", data=TAPPED | {"on": "today"} | wrong)
    assert answer.status_code == 400, html.unescape(answer.text)
    assert f'aria-describedby="{field}-wrong"' in answer.text
    assert "<script>x" not in answer.text
    assert contents(season) == before
