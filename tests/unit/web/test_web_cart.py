"""The cart in the pages: packed and drawn, asked what if, described, changed, deleted."""

from __future__ import annotations

import html
import re
from dataclasses import replace

import pytest
from web_page import Page

from rimwise.app.packing import make_packing
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
def test_what_if_says_what_the_command_says(page, season, units):
    with open_store(season) as store:
        store.settings.put("units", units)
        off = make_packing(store, "winter", without="upper pouch").changes[-1]
        moved = make_packing(store, "winter", move=("water bottle", 0.254, -0.127, 0.508)).changes
    before = contents(season)
    asked = {"plan": "winter", "thing": "upper pouch", "deed": "off"}
    assert off.words in html.unescape(page.get("/pack", params=asked).text)
    per = 0.0254 if units == "ft" else 0.01
    to = {"ahead": 0.254, "left": -0.127, "up": 0.508}
    asked = {"plan": "winter", "thing": "water bottle", "deed": "moved"}
    asked |= {f"to_{name}": f"{value / per:g}" for name, value in to.items()}
    assert moved[-1].words in html.unescape(page.get("/pack", params=asked).text)
    assert contents(season) == before


@pytest.mark.parametrize(
    ("asked", "field"),
    [
        ({"thing": "water bottle", "deed": "moved", "to_ahead": "1"}, "to_left"),
        ({"thing": "water bottle", "deed": "moved", "to_ahead": "far"}, "to_ahead"),
        ({"thing": "upper pouch", "deed": "moved", "to_ahead": "1", "to_left": "0", "to_up": "1"},
         "thing"),
        ({"thing": "water bottle", "deed": "moved", "to_ahead": "900"}, "to_ahead"),
    ],
)  # fmt: skip
def test_a_wrong_what_if_is_told_beside_its_field(page, asked, field):
    answer = page.get("/pack", params={"plan": "winter", **asked})
    assert answer.status_code == 400
    assert f'id="{field}-wrong"' in answer.text
    assert "Nothing was saved" not in answer.text


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
