"""The cart in the pages: packed and drawn, asked what if, described, changed, deleted."""

from __future__ import annotations

import html
import re
from dataclasses import replace

import pytest
from web_page import Page

from rimwise.app.packing import loaded_of, make_packing, pack_cart
from rimwise.app.what_ifs import Hung, Put, Shifted, TakenOff, what_if
from rimwise.store.opening import open_store
from tiny_season import contents


@pytest.fixture
def page(season) -> Page:
    return Page(season)


def cart_of(season):
    with open_store(season) as store:
        return store.carts.all()[0]


def form(page, path):
    """Return a form as it is filled in."""
    text = page.get(path).text
    found = re.findall(r'<input[^>]* name="([^"]+)" value="([^"]*)"', text)
    return {name: html.unescape(value) for name, value in found}


def test_the_packed_cart_is_told_and_drawn_with_the_names_of_its_discs(page, season):
    text = html.unescape(page.get("/pack?plan=winter").text)
    with open_store(season) as store:
        report = make_packing(store, "winter")
    assert report.words in text
    assert "packed, from the side and from above" in text
    for pocket in report.pockets:
        for disc in pocket.discs:
            assert f'href="/disc/{disc}"' in text
    for change in report.changes:
        assert change.name in text.lower()
    assert report.caution in text


@pytest.mark.parametrize("units", ["m", "ft"])
def test_what_if_says_in_words_what_moving_does(page, season, units):
    with open_store(season) as store:
        store.settings.put("units", units)
        loaded = loaded_of(pack_cart(store, "winter"))
    before = contents(season)
    per, unit = (0.0254, "inches") if units == "ft" else (0.01, "cm")
    disc, was = loaded.discs[0].disc, loaded.discs[0].pocket
    other = next(one.name for one in loaded.cart.pockets if one.name != was)
    asked = [
        ({"thing": "upper pouch", "deed": "off"}, TakenOff("upper pouch"), "Without upper pouch:"),
        ({"thing": "upper pouch", "deed": "by", "by_up": "-8", "by_ahead": "4"},
         Shifted("upper pouch", 4 * per, 0.0, -8 * per),
         f"Upper pouch moved 4 {unit} forward and 8 {unit} down:"),
        ({"thing": "water bottle", "deed": "by", "by_left": "−3,5"},
         Shifted("water bottle", 0.0, -3.5 * per, 0.0),
         f"Water bottle moved 3.5 {unit} to the right:"),
        ({"thing": "water bottle", "deed": "moved", "to_ahead": "10", "to_left": "-5",
          "to_up": "20"},
         Hung("water bottle", 10 * per, -5 * per, 20 * per), "Water bottle hung there:"),
        ({"thing": "towel", "deed": "into", "into": other}, Put("towel", other),
         f"Towel in {other}:"),
        ({"thing": disc, "deed": "into", "into": other}, Put(disc, other), f" in {other}:"),
        ({"thing": disc, "deed": "off"}, TakenOff(disc), "Without "),
    ]  # fmt: skip
    for typed, change, called in asked:
        told = html.unescape(page.get("/pack", params={"plan": "winter", **typed}).text)
        assert what_if(loaded, change).compared in told
        assert called in told
    assert contents(season) == before


def test_what_no_longer_stands_the_slope_asked_is_said(page, season):
    with open_store(season) as store:
        report = make_packing(store, "winter")
    asked = {"plan": "winter", "thing": "upper pouch", "deed": "by", "by_ahead": "-15"}
    told = html.unescape(page.get("/pack", params=asked).text)
    assert report.backward_deg >= report.asked_deg
    assert f"That is less than the {report.asked_deg:g}° it is to stand." in told
    low = html.unescape(page.get("/pack", params=asked | {"by_ahead": "5"}).text)
    assert "That is less than" not in low


@pytest.mark.parametrize(
    ("asked", "field"),
    [
        ({"thing": "water bottle", "deed": "moved", "to_ahead": "1"}, "to_left"),
        ({"thing": "water bottle", "deed": "moved", "to_ahead": "far"}, "to_ahead"),
        ({"thing": "water bottle", "deed": "moved", "to_ahead": "900"}, "to_ahead"),
        ({"thing": "upper pouch", "deed": "by"}, "by_up"),
        ({"thing": "upper pouch", "deed": "by", "by_up": "down"}, "by_up"),
        ({"thing": "upper pouch", "deed": "by", "by_up": "-180"}, "by_up"),
        ({"thing": "upper pouch", "deed": "into", "into": "main well"}, "deed"),
        ({"thing": "upper pouch", "deed": "thrown<script>x"}, "deed"),
        ({"thing": "water bottle", "deed": "into"}, "into"),
        ({"thing": "water bottle", "deed": "into", "into": "boot<script>x"}, "into"),
        ({"thing": "<script>x", "deed": "by", "by_up": "3"}, "thing"),
    ],
)  # fmt: skip
def test_a_wrong_what_if_is_told_beside_its_field(page, asked, field):
    answer = page.get("/pack", params={"plan": "winter", **asked})
    assert answer.status_code == 400
    assert f'id="{field}-wrong"' in answer.text
    assert "Nothing was saved" not in answer.text
    assert "<script>x" not in answer.text


def test_a_disc_that_is_in_that_pocket_already_is_said(page, season):
    with open_store(season) as store:
        first = loaded_of(pack_cart(store, "winter")).discs[0]
    asked = {"plan": "winter", "thing": first.disc, "deed": "into", "into": first.pocket}
    answer = page.get("/pack", params=asked)
    assert answer.status_code == 400
    assert f"is in {first.pocket} already; choose another pocket." in answer.text
    assert 'id="into-wrong"' in answer.text
    answer = page.get("/pack", params=asked | {"deed": "by", "by_up": "3"})
    assert "rides in a pocket; choose to put it into another one." in answer.text
    assert 'id="deed-wrong"' in answer.text


def test_what_is_not_on_the_cart_is_said(page):
    answer = page.get("/pack", params={"plan": "winter", "thing": "<b>piano</b>"})
    assert answer.status_code == 400
    assert "&lt;b&gt;piano" in answer.text


@pytest.mark.parametrize("units", ["m", "ft"])
def test_a_form_that_nobody_changed_changes_nothing(page, season, units):
    with open_store(season) as store:
        store.settings.put("units", units)
        store.carts.put(replace(store.carts.all()[0], com_x_m=0.1413579))
    before = cart_of(season)
    path = f"/cart?name={before.name}"
    assert page.ask("POST", path, data=form(page, path)).status_code == 303
    assert cart_of(season) == before


def test_pockets_and_things_are_changed_added_and_taken_off(page, season):
    cart = cart_of(season)
    path = f"/cart?name={cart.name}"
    typed = form(page, path)
    new = {"p3_name": "side <b>net</b>", "p3_room": "4", "p3_hand": "4", "p3_mass": "0,2",
           "p3_ahead": "-5", "p3_left": "10", "p3_up": "60"}  # fmt: skip
    typed |= new | {"p0_room": "3", "i0_name": "", "i1_up": "80"}
    done = page.ask("POST", path, data=typed)
    assert done.status_code == 303
    changed = cart_of(season)
    assert [one.name for one in changed.pockets][-1] == "side <b>net</b>"
    assert (changed.pockets[-1].x_m, changed.pockets[-1].mass_kg) == pytest.approx((-0.05, 0.2))
    assert changed.pockets[0] == replace(cart.pockets[0], room=3)
    assert [one.name for one in changed.items] == [one.name for one in cart.items][1:]
    assert changed.items[0].z_m == pytest.approx(0.8)
    assert changed.items[1] == cart.items[2]
    shown = page.get(done.headers["location"]).text
    assert "side &lt;b&gt;net" in shown


@pytest.mark.parametrize(
    ("wrong", "field"),
    [
        ({"p0_room": "many"}, "p0_room"), ({"p0_mass": "heavy"}, "p0_mass"),
        ({"p0_mass": "-1"}, "p0_mass"), ({"p1_up": "-3"}, "p1_up"), ({"foot": "0"}, "foot"),
        ({"com_up": "-1"}, "com_up"), ({"track": "<script>x"}, "track"), ({"mass": "0"}, "mass"),
        ({"p3_room": "4"}, "p3_name"), ({"i0_ahead": "500"}, "i0_ahead"),
        ({"p0_name": "", "p1_name": "", "p2_name": ""}, "p0_name"),
        ({"p0_hand": "0"}, "p0_hand"), ({"i0_name": "x" * 99}, "i0_name"), ({"foot": ""}, "foot"),
    ],
)  # fmt: skip
def test_what_is_wrong_with_a_cart_is_told_beside_its_field(page, season, wrong, field):
    path = f"/cart?name={cart_of(season).name}"
    before = contents(season)
    answer = page.ask("POST", path, data=form(page, path) | wrong)
    assert answer.status_code == 400
    assert f'id="{field}-wrong"' in answer.text
    assert "<script>x" not in answer.text
    assert contents(season) == before


def test_a_stale_cart_is_refused_with_both_versions(page, season):
    path = f"/cart?name={cart_of(season).name}"
    typed = form(page, path)
    page.ask("POST", path, data=typed | {"p0_room": "3"})
    before = contents(season)
    late = page.ask("POST", path, data=typed | {"p0_room": "4"})
    assert late.status_code == 409
    assert "“3”; you typed “4”" in late.text
    assert contents(season) == before


def test_a_cart_is_described_deleted_and_brought_back(page, season):
    old = cart_of(season)
    typed = form(page, f"/cart?name={old.name}") | {"name": old.name}
    assert "on file already" in page.ask("POST", "/cart/new", data=typed).text
    done = page.ask("POST", "/cart/new", data=typed | {"name": "light one"})
    assert done.status_code == 303
    assert page.get(done.headers["location"]).status_code == 200
    both = page.get("/pack").text
    assert "light one" in both  # and which of the two is asked
    assert 'href="/cart?name=light%20one"' in both
    for name in ("light one", old.name):
        page.ask("POST", "/cart/delete", data={"name": name})
    assert "No cart is on file" in page.get("/pack").text
    steps = page.get("/records/history").text
    latest = re.search('name="step" value="([0-9]+)"', steps)[1]
    page.ask("POST", "/records/undo", data={"step": latest})
    assert cart_of(season) == old
    assert page.get("/cart?name=none").status_code == 404
