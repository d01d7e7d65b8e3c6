"""Whole journeys in a real browser: by keyboard alone, by tapping, and what is wrong told."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from test_page import ARTEFACTS, SIZES, address, browser  # noqa: F401 - fixtures
from test_page_rules import ALL_RULES, COLOUR_RULES

from tiny_season import ROUGH

pytestmark = pytest.mark.browser

#: Forms that cannot be sent empty, and their buttons.
EMPTY = (
    ("log/new/putts", "Keep this"), ("log/field", "Keep this throw"),
    ("discs/new", "Add this disc"), ("weather/new/numbers", "Keep this day"),
    ("pack/measure", "Say where"), ("course/hole?name=course&hole=1", "Look at it"),
    ("cart/new", "Keep this cart"),
)  # fmt: skip


def _audited(browser: Any, *, script: bool) -> Any:  # noqa: F811
    """Open a browser of a phone's size, with axe in every page where there is script."""
    context = browser.new_context(
        viewport={"width": 390, "height": 844}, java_script_enabled=script, bypass_csp=True
    )
    if script:
        context.add_init_script(path=Path(__file__).parent / "vendor" / "axe.min.js")
    return context


def _audit(page: Any, where: str) -> None:
    """Let axe look at a page in both themes."""
    for theme, rules in (("light", ALL_RULES), ("dark", COLOUR_RULES)):
        page.emulate_media(color_scheme=theme)
        found = page.evaluate(rules)
        assert found["passes"], where
        assert [one["id"] for one in found["violations"]] == [], where


def test_a_form_sent_empty_says_what_to_type_and_leads_to_the_field(
    browser: Any,  # noqa: F811
    address: str,  # noqa: F811
) -> None:
    context = _audited(browser, script=True)
    page = context.new_page()
    for path, button in EMPTY:
        page.goto(f"{address}{path}")
        page.get_by_role("button", name=button).click()
        page.get_by_role("alert").wait_for()
        lead = page.get_by_role("alert").get_by_role("link").first
        field = page.locator(f'[id="{lead.get_attribute("href")[1:]}"]')
        assert field.get_attribute("aria-invalid") == "true"
        described = field.get_attribute("aria-describedby")
        assert page.locator(f'[id="{described}"]').inner_text() == lead.inner_text()
        _audit(page, path)
    context.close()


# -- a field session ------------------------------------------------------------------------------


@pytest.mark.parametrize("size", SIZES)
def test_a_tap_on_the_field_fills_in_metres_and_the_throw_is_kept(
    browser: Any,  # noqa: F811
    address: str,  # noqa: F811
    size: str,
) -> None:
    """The lines of the map say where to tap; nothing of the script's own sums is used."""
    width, height = SIZES[size]
    page = browser.new_page(viewport={"width": width, "height": height})
    page.goto(f"{address}log/field")
    page.get_by_label("Disc").select_option("nh27-gold")
    middle = page.locator("[data-field-map] polygon").bounding_box()
    here = middle["x"] + middle["width"] / 2
    lines = [one.bounding_box() for one in page.locator("[data-field-map] polyline").all()]
    level = sorted((one for one in lines if one["width"] > one["height"]), key=lambda b: -b["y"])
    per_m = (level[0]["y"] - level[1]["y"]) / 20.0
    for out_m, left_m, side in ((20, 0.0, "R"), (40, 10.0, "L"), (60, -10.0, "R")):
        line = level[out_m // 20 - 1]
        page.mouse.click(here - left_m * per_m, line["y"] + line["height"] / 2)
        assert abs(float(page.get_by_label("Distance").input_value()) - out_m) <= 1.0
        assert abs(float(page.get_by_label("Aside").input_value()) - abs(left_m)) <= 1.0
        if left_m:
            assert page.get_by_label("Side", exact=True).input_value() == side
    assert "60 m out, 10 right" in page.locator("#tapped").inner_text().replace("59", "60")
    assert page.locator("circle.tapped").count() == 1
    page.get_by_role("button", name="Keep this throw").click()
    page.get_by_text("t1 kept.").wait_for()
    assert page.get_by_label("Disc").input_value() == "nh27-gold"
    assert "10 m right" in page.get_by_role("status").inner_text()
    # The script still works on the page that the form led to, and a throw can be taken back.
    page.locator("[data-field-map]").scroll_into_view_if_needed()
    box = page.locator("[data-field-map] svg").bounding_box()
    page.mouse.click(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    assert page.get_by_label("Distance").input_value() != ""
    page.screenshot(path=ARTEFACTS / f"field-tapped-{size}.png")
    page.get_by_role("button", name="Delete t1").click()
    page.get_by_role("button", name="Undo: bring t1 back").click()
    page.get_by_text("t1 kept.").wait_for()
    page.close()


def test_a_field_session_needs_no_script(browser: Any, address: str) -> None:  # noqa: F811
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(f"{address}log/field")
    page.get_by_label("Distance").fill("64")
    page.get_by_label("Aside").fill("5")
    page.get_by_label("Side", exact=True).select_option("R")
    page.get_by_role("button", name="Keep this throw").click()
    page.get_by_text("t1 kept.").wait_for()
    assert "64 m, 5 m right" in page.get_by_role("status").inner_text()
    context.close()


# -- drawing on a hole ----------------------------------------------------------------------------


@pytest.mark.parametrize("script", [True, False])
def test_a_pond_is_drawn_on_a_hole_by_tapping_or_typing(
    browser: Any,  # noqa: F811
    address: str,  # noqa: F811
    script: bool,
) -> None:
    """The map's own marks, tee and basket 62 m apart, say where to tap."""
    context = browser.new_context(
        viewport={"width": 390, "height": 844}, java_script_enabled=script
    )
    page = context.new_page()
    page.goto(f"{address}course/hole?name=course&hole=1")
    page.get_by_label("What it is").select_option("water")
    corners = page.get_by_label("Corners, one to a line")
    if script:
        line = page.locator("[data-course-map] polyline").last.bounding_box()
        per_m = line["height"] / 62.0
        tee = line["x"] + line["width"] / 2, line["y"] + line["height"]
        for out_m, right_m in ((20, 8), (40, 8), (40, 20), (30, 25), (20, 20)):
            page.mouse.click(tee[0] + right_m * per_m, tee[1] - out_m * per_m)
        page.get_by_role("button", name="Take the last corner back").click()
        said = [line.split(" ") for line in corners.input_value().split("\n")]
        assert [aside[-1] for _, aside in said] == ["R"] * 4
        for (out, aside), (out_m, right_m) in zip(
            said, ((20, 8), (40, 8), (40, 20), (30, 25)), strict=True
        ):
            assert abs(float(out) - out_m) <= 1.0
            assert abs(float(aside[:-1]) - right_m) <= 1.0
    else:
        corners.fill("20 8R\n40 8R\n40 20R\n30 25R")
    page.get_by_role("button", name="Look at it").click()
    page.get_by_text("Water with 4 corners").wait_for()
    if script:
        page.screenshot(path=ARTEFACTS / "course-drawn-phone.png", full_page=True)
    page.get_by_role("button", name="Keep it").click()
    page.get_by_text("It is on the course").wait_for()
    page.get_by_role("button", name="Take the last change back").click()
    page.get_by_text("is taken back").wait_for()
    context.close()


@pytest.mark.parametrize("script", [True, False])
def test_an_island_is_opened_in_a_pond_and_closed_again(
    browser: Any,  # noqa: F811
    address: str,  # noqa: F811
    script: bool,
) -> None:
    """The map's own marks, tee and basket 62 m apart, say where to tap."""
    context = browser.new_context(
        viewport={"width": 390, "height": 844}, java_script_enabled=script
    )
    page = context.new_page()
    page.goto(f"{address}course/hole?name=course&hole=1")
    corners = page.get_by_label("Corners, one to a line")

    def keep(kind: str) -> None:
        page.get_by_role("button", name="Look at it").click()
        page.get_by_text("Nothing is saved yet").wait_for()
        assert f"{kind} with 4 corners" in page.get_by_role("status").first.inner_text()
        page.get_by_role("button", name="Keep it").click()
        page.get_by_text("It is on the course").wait_for()

    page.get_by_label("What it is").select_option("water")
    corners.fill("20 8R\n40 8R\n40 24R\n20 24R")
    keep("Water")
    page.get_by_label("What it is").select_option("opening")
    if script:
        page.locator("[data-course-map]").scroll_into_view_if_needed()
        line = page.locator("[data-course-map] polyline").last.bounding_box()
        per_m = line["height"] / 62.0
        tee = line["x"] + line["width"] / 2, line["y"] + line["height"]
        for out_m, right_m in ((25, 12), (35, 12), (35, 20), (25, 20)):
            page.mouse.click(tee[0] + right_m * per_m, tee[1] - out_m * per_m)
    else:
        corners.fill("25 12R\n35 12R\n35 20R\n25 20R")
    keep("An opening")
    listed = page.get_by_role("listitem").filter(has_text="An opening of").inner_text()
    square_m = [float(said.split(" m²")[0].split(" ")[-1]) for said in listed.split("\n")
                if "m²" in said]  # fmt: skip
    assert abs(sum(square_m) - 320.0) <= 1.5  # the pond's ground and its opening's
    assert abs(square_m[1] - 80.0) <= 18.0  # a metre more or less on each side
    if script:
        page.screenshot(path=ARTEFACTS / "course-opening-phone.png", full_page=True)
    page.get_by_role("button", name="Close opening 1 in water").click()
    page.get_by_text("The opening is closed").wait_for()
    assert page.get_by_text("An opening of").count() == 0
    context.close()


@pytest.mark.parametrize("script", [True, False])
def test_facts_of_a_hole_are_corrected_by_keyboard_and_never_blindly(
    browser: Any,  # noqa: F811
    address: str,  # noqa: F811
    script: bool,
) -> None:
    context = _audited(browser, script=script)
    page, other = context.new_page(), context.new_page()
    for one in (page, other):
        one.goto(f"{address}course/hole?name=course&hole=1")
        one.get_by_role("link", name="Change length, par, climb").press("Enter")
        one.get_by_label("Par, 2 to 7").wait_for()

    page.get_by_label("Par, 2 to 7").fill("11")
    page.get_by_label("How much of the forecast's wind").fill("0.5")
    page.keyboard.press("Enter")
    page.get_by_role("alert").wait_for()
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    if script:
        _audit(page, "facts refused")
    page.get_by_label("Par, 2 to 7").fill("4")
    page.get_by_label("How much of the forecast's wind").fill("50")
    page.get_by_label("How much higher the basket is").fill("-3")
    page.keyboard.press("Enter")
    page.get_by_text("It is saved").wait_for()
    told = page.locator("main").inner_text()
    assert "par 4, the basket 3 m below the tee, 50 % of the wind" in told
    assert "Take the last change back: changed par, climb and shelter of hole 1" in told

    other.get_by_label("Par, 2 to 7").fill("5")
    other.keyboard.press("Enter")
    alert = other.get_by_role("alert")
    alert.wait_for()
    assert "Par: “4”; you typed “5”" in alert.inner_text()
    assert "Shelter, in percent: “50”; you typed “”" in alert.inner_text()
    assert other.evaluate("document.documentElement.scrollWidth") <= 390
    if script:
        _audit(other, "facts stale")
        other.screenshot(path=ARTEFACTS / "course-facts-stale-phone.png", full_page=True)
    context.close()


# -- what if the cart were packed otherwise --------------------------------------------------------


@pytest.mark.parametrize("script", [True, False])
def test_a_pouch_hung_lower_and_a_disc_put_elsewhere_are_answered_in_words(
    browser: Any,  # noqa: F811
    address: str,  # noqa: F811
    script: bool,
) -> None:
    context = _audited(browser, script=script)
    page = context.new_page()
    page.goto(f"{address}pack?plan=winter")
    ask, answer = (
        page.get_by_role("button", name="Say how it stands then"),
        page.get_by_role("status"),
    )
    page.get_by_label("What if this").select_option("upper pouch")
    page.get_by_label("were").select_option("by")
    ask.press("Enter")
    page.get_by_role("alert").wait_for()
    page.get_by_role("alert").get_by_role("link").press("Enter")
    page.get_by_label("Up (minus: down), cm").fill("-25")
    page.keyboard.press("Enter")
    answer.wait_for()
    assert "Upper pouch moved 25 cm down: It falls over" in answer.inner_text()
    assert "° slope instead of " in answer.inner_text()
    assert "backward on a" in answer.inner_text()
    page.get_by_label("What if this").select_option(index=8)  # a disc
    page.get_by_label("were").select_option("into")
    page.get_by_text("Put: into which pocket").press("Enter")
    chosen = page.get_by_label("Into which pocket")
    chosen.select_option("upper pouch")
    ask.press("Enter")
    told = page.get_by_text("in upper pouch").first
    told.wait_for()
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    if script:
        _audit(page, "what if")
        page.screenshot(path=ARTEFACTS / "cart-what-if-phone.png", full_page=True)
    context.close()


# -- by keyboard alone ----------------------------------------------------------------------------


def _to(page: Any, name: str) -> None:
    """Go forward with Tab until something of this name, or with a label of it, has the focus."""
    called = """() => {
        const here = document.activeElement;
        const label = here.labels && here.labels[0] ? here.labels[0].textContent : "";
        return here.getAttribute("aria-label") || label || here.textContent;
    }"""
    for _ in range(90):
        page.keyboard.press("Tab")
        if page.evaluate(called).strip().startswith(name):
            return
    raise AssertionError(f"{name} cannot be reached by keyboard")


def _enter(page: Any, name: str, heading: str) -> None:
    """Go to something by keyboard and follow it to the page of a heading."""
    _to(page, name)
    page.keyboard.press("Enter")
    page.get_by_role("heading", name=heading, exact=True).wait_for()


def test_from_the_start_to_why_a_disc_goes_by_keyboard_alone(
    browser: Any,  # noqa: F811
    address: str,  # noqa: F811
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    from rimwise.app import planning

    monkeypatch.setattr(planning, "Simulator", ROUGH)
    page = browser.new_page()
    page.goto(f"{address}start")
    _to(page, "To the content")
    page.keyboard.press("Enter")
    _enter(page, "ten-minute start", "A ten-minute start")
    _enter(page, "Discs", "Discs")
    _enter(page, "kv15-red", "kv15-red")
    _to(page, "Note")
    page.keyboard.type("for the pocket")
    page.keyboard.press("Enter")
    page.wait_for_load_state("networkidle")
    _enter(page, "Weather", "Weather")
    _to(page, "Name, such as")
    page.keyboard.type("league nights")
    _to(page, "Words")
    page.keyboard.type("4C wet wind 5m/s")
    _to(page, "Where the wind")
    page.keyboard.type("SW")
    page.keyboard.press("Enter")
    page.get_by_role("heading", name="league nights").wait_for()
    _enter(page, "Plan", "Plan")
    _to(page, "For which weather")
    page.keyboard.type("league")
    _to(page, "Most discs to carry")
    page.keyboard.press("Control+A")
    page.keyboard.type("3")
    _to(page, "Other wishes")
    page.keyboard.press("Enter")
    _to(page, "At most so many")
    page.keyboard.type("putter: 1")
    _to(page, "Choose my carry")
    page.keyboard.press("Enter")
    page.get_by_role("heading", name="What goes: 3").wait_for(timeout=30_000)
    first = page.locator(".rows a").first.inner_text()
    _enter(page, first, first)
    page.get_by_text("league nights: goes").wait_for()
    page.close()


def test_a_round_is_noted_changed_and_undone_by_keyboard_alone(
    browser: Any,  # noqa: F811
    address: str,  # noqa: F811
) -> None:
    page = browser.new_page()
    page.goto(f"{address}log")
    _enter(page, "A round", "Note a round")
    for hole, strokes in (("Hole 1", "3"), ("Hole 2", "4")):
        _to(page, hole)
        page.keyboard.type(strokes)
    page.keyboard.press("Enter")
    page.get_by_text("r1 kept.").wait_for()
    _enter(page, "Change r1", "Change a round")
    _to(page, "Strokes by hole")
    page.keyboard.press("Control+A")
    page.keyboard.type("1:3 2:3")
    _to(page, "Save")
    page.keyboard.press("Enter")
    page.get_by_text("2 holes in 6 strokes").first.wait_for()
    _enter(page, "Change r1", "Change a round")
    _to(page, "Undo the last change")
    page.keyboard.press("Enter")
    page.get_by_text("2 holes in 7 strokes").first.wait_for()
    page.close()
