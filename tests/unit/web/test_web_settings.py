"""Settings in the browser: units, hand and arm, assumptions changed and put back; help."""

from __future__ import annotations

import html
import re
from dataclasses import fields, replace

import pytest
from web_page import Page, form_of

from rimwise.app.box import assumptions_of
from rimwise.records.assumptions import Assumptions
from rimwise.records.thrower import Scatter
from rimwise.store.opening import open_store
from rimwise.web.helping import HELP
from tiny_season import contents


@pytest.fixture
def page(season) -> Page:
    return Page(season)


def _form(page: Page, path: str) -> dict[str, str]:
    text = page.get(path).text
    typed = dict(re.findall('name="([a-z_]+)" value="([^"]*)"', text))
    chosen = re.findall('<select id="([a-z]+)"[^>]*>.*?<option value="([^"]*)" selected', text)
    return {name: html.unescape(value) for name, value in (*typed.items(), *chosen)}


def thrower(data):
    with open_store(data) as store:
        return store.throwers.all()[0]


def test_hand_distance_and_units_are_changed_and_all_else_of_the_arm_stays(page, season):
    before = thrower(season)
    typed = _form(page, "/settings")
    hand = "right" if typed["hand"] == "left" else "left"
    sent = typed | {"hand": hand, "units": "ft"}
    assert page.ask("POST", "/settings", data=sent).headers["location"].startswith("/settings")
    assert thrower(season) == replace(before, hand=type(before.hand)(hand))
    shown = _form(page, "/settings")
    assert shown["shown_in"] == "ft"
    style = before.stock.style
    page.ask("POST", "/settings", data=shown | {style.value: "300"})
    assert thrower(season).skill(style).fairway_distance_m == pytest.approx(91.44)
    assert thrower(season).skill(style).scatter == before.skill(style).scatter
    assert "feet" in page.get("/settings").text


def test_the_level_is_asked_only_where_it_counts(page, season):
    one = thrower(season)
    skills = tuple(replace(skill, scatter=Scatter(0.03, 2, 3, 1, 3)) for skill in one.styles)
    with open_store(season) as store:
        store.throwers.put(replace(one, styles=skills))
    assert 'name="level"' not in page.get("/settings").text


@pytest.mark.parametrize(
    ("wrong", "field"),
    [
        ({"hand": "both"}, "hand"), ({"units": "<script>x"}, "units"),
        ({"backhand": "far"}, "backhand"), ({"backhand": "9000"}, "backhand"),
        ({"backhand": "", "forehand": ""}, "backhand"), ({"level": "<script>x"}, "hand"),
    ],
)  # fmt: skip
def test_wrong_settings_are_told_beside_their_field(page, season, wrong, field):
    before = contents(season)
    answer = page.ask("POST", "/settings", data=_form(page, "/settings") | wrong)
    assert answer.status_code == 400
    assert f'aria-describedby="{field}-wrong"' in answer.text
    assert "<script>x" not in answer.text
    assert contents(season) == before


def test_settings_changed_elsewhere_show_both_versions(page, season):
    late = _form(page, "/settings") | {"backhand": "77"}
    page.ask("POST", "/settings", data=_form(page, "/settings") | {"backhand": "66"})
    before = contents(season)
    answer = page.ask("POST", "/settings", data=late)
    assert answer.status_code == 409
    assert "“66”; you typed “77”" in answer.text
    assert contents(season) == before


def test_units_alone_are_kept_where_nobody_is_on_file(tmp_path):
    data = tmp_path / "empty.db"
    open_store(data).close()
    page = Page(data)
    page.ask("POST", "/settings", data=_form(page, "/settings") | {"units": "ft"})
    with open_store(data) as store:
        assert store.settings.get("units", "m") == "ft"


def test_every_assumption_is_listed_with_value_unit_and_source(page):
    text = html.unescape(page.get("/settings/assumptions").text)
    for one in fields(Assumptions):
        assert f'href="/settings/assumption/{one.name}"' in text
        assert one.metadata["why"] in text
    assert "None of these numbers was measured" in text


def test_an_assumption_is_changed_once_marked_and_put_back(page, season):
    path = "/settings/assumption/lost_disc_strokes"
    sent_to = form_of(page, path, path)
    typed = _form(page, path) | {"value": "0,25"}
    for _ in range(2):
        assert page.ask("POST", sent_to, data=typed).status_code == 303
    with open_store(season) as store:
        assert assumptions_of(store) == replace(Assumptions(), lost_disc_strokes=0.25)
    assert "(usually 0.1)" in page.get("/settings/assumptions").text
    late = page.ask("POST", path, data=typed | {"value": "0.5"})
    assert late.status_code == 409
    assert "“0.25”; you typed “0.5”" in late.text
    version = _form(page, path)["version"]
    page.ask("POST", path, data={"version": version, "reset": "yes"})
    with open_store(season) as store:
        assert assumptions_of(store) == Assumptions()


def test_assumptions_are_in_feet_and_fahrenheit_for_those_who_think_in_them(page, season):
    with open_store(season) as store:
        store.settings.put("units", "ft")
    shown = html.unescape(page.get("/settings/assumptions").text)
    for told in ("53.6 °F", "39.37 ft", "3.229 ft²", "0.006096 1/ft"):
        assert f"<b>{told}</b>" in shown
    before = contents(season)
    for name in ("cold_below_c", "wood_canopy_m", "wood_hit_per_m", "umbrella_area_m2"):
        path = f"/settings/assumption/{name}"
        assert page.ask("POST", path, data=_form(page, path)).status_code == 303
    assert contents(season) == before
    path = "/settings/assumption/cold_below_c"
    assert "Value, °F, from 32 to 68" in page.get(path).text
    wrong = page.ask("POST", path, data=_form(page, path) | {"value": "12"})
    assert "The value cannot be 12; write a number from 32 to 68" in wrong.text
    page.ask("POST", path, data=_form(page, path) | {"value": "50"})
    path = "/settings/assumption/wood_canopy_m"
    page.ask("POST", path, data=_form(page, path) | {"value": "196.9"})  # as its limit is told
    with open_store(season) as store:
        found = assumptions_of(store)
    assert found.cold_below_c == pytest.approx(10.0)
    assert found.wood_canopy_m == 60.0


@pytest.mark.parametrize("value", ["", "many", "-1", "9", "nan", "<script>x"])
def test_a_wrong_value_of_an_assumption_is_told(page, season, value):
    path = "/settings/assumption/lost_disc_strokes"
    before = contents(season)
    answer = page.ask("POST", path, data=_form(page, path) | {"value": value})
    assert answer.status_code == 400
    assert 'aria-describedby="value-wrong"' in answer.text
    assert "<script>x" not in answer.text
    assert contents(season) == before


def test_help_is_there_and_leads_only_to_pages_that_are(page):
    contents_page = page.get("/help").text
    leads = set()
    for name, (title, _) in HELP.items():
        assert f'href="/help/{name}"' in contents_page
        shown = page.get(f"/help/{name}")
        assert title in html.unescape(shown.text)
        leads |= set(re.findall('href="(/[^"#?]*)', shown.text.split("<main")[1]))
    assert len(leads) > 15
    assert {to: page.get(to).status_code for to in leads} == dict.fromkeys(leads, 200)
    assert page.get("/help/luck").status_code == 404


def test_cautions_name_people_lightning_water_pain_and_carts(page):
    text = page.get("/help/cautions").text
    for word in ("anyone may be in range", "thunder", "Never wade", "see a professional", "tip",
                 "Posted course rules"):  # fmt: skip
        assert word in text


CART = {
    "whole": "3,2", "foot": "1.28", "raised": "0.85", "length": "35", "radius": "12",
    "block": "12",
}  # fmt: skip


def test_a_measured_cart_is_told_and_kept_when_asked(page, season):
    before = contents(season)
    told = page.ask("POST", "/pack/measure", data=CART).text
    # By hand: 1.28 of 3.2 kg on a foot 35 cm away puts the mass 35 * 0.4 cm ahead of the axle.
    assert "Its mass sits 14 cm in front of the axle" in told
    assert contents(season) == before
    with open_store(season) as store:
        (cart,) = store.carts.all()
    told = page.ask("POST", "/pack/measure", data=CART | {"cart": cart.name}).text
    assert f"kept with {cart.name}" in html.unescape(told)
    with open_store(season) as store:
        assert store.carts.get(cart.name).com_x_m == pytest.approx(0.14)


@pytest.mark.parametrize(
    ("wrong", "field"), [({"foot": ""}, "foot"), ({"block": "<script>x"}, "block")]
)
def test_a_wrong_reading_of_the_cart_is_told_beside_its_field(page, wrong, field):
    answer = page.ask("POST", "/pack/measure", data=CART | wrong)
    assert answer.status_code == 400
    assert f'aria-describedby="{field}-wrong"' in answer.text
    assert "<script>x" not in answer.text
