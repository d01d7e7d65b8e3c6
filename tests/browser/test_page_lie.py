"""A tap on a hole's map says where you lie, in metres or feet, in a real browser."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from test_page import SIZES, browser  # noqa: F401 - a fixture is known by its name

import rimwise.web
from rimwise.pictures.tee import tee_svg
from tee_examples import HOLE, day, report

pytestmark = pytest.mark.browser
SCRIPT = (Path(rimwise.web.__file__).parent / "static" / "tee.js").read_text(encoding="utf-8")


@pytest.mark.parametrize(("units", "metres"), [("m", 1.0), ("ft", 0.3048)])
@pytest.mark.parametrize("size", ["phone", "laptop"])
def test_a_tap_fills_in_the_lie(browser: Any, units: Any, metres: float, size: str) -> None:  # noqa: F811
    width, height = SIZES[size]
    tab = browser.new_page(viewport={"width": width, "height": height})
    picture = tee_svg(report(), day(2), units)
    tab.set_content(
        f"<style>figure > svg {{ max-width: 100%; height: auto; }}</style>"
        f"<figure data-lie-map={units}>{picture}</figure><p id=tapped></p><input id=lie>"
    )
    tab.add_script_tag(content=SCRIPT)
    plan = tab.locator("svg svg").first
    basket = plan.get_by_text("basket", exact=True).bounding_box()
    tee = plan.get_by_text("tee", exact=True).bounding_box()
    assert basket["y"] < tee["y"]

    # The ground is drawn to scale, the basket straight up from the tee: by the labels' heights.
    middle = 0.5 * (basket["x"] + tee["x"] + basket["width"])
    tab.mouse.click(middle, basket["y"] + 0.5 * (tee["y"] - basket["y"]))
    along, aside = tab.locator("#lie").input_value().split(" ")
    assert along.endswith(units)
    assert abs(float(along.removesuffix(units)) * metres - 0.5 * HOLE.length_m) < 8.0
    assert aside[-1] in "LR"
    assert tab.locator("circle.tapped").count() == 1
    assert "ask again" in tab.locator("#tapped").inner_text()

    box = plan.bounding_box()
    tab.mouse.click(box["x"] + box["width"] - 4.0, basket["y"] + 20.0)
    assert tab.locator("#lie").input_value().endswith("R")
    tab.mouse.click(box["x"] + 4.0, basket["y"] + 20.0)
    assert tab.locator("#lie").input_value().endswith("L")
    before = tab.locator("#lie").input_value()
    tab.mouse.click(box["x"] + 20.0, box["y"] + box["height"] - 3.0)  # the key, not the ground
    assert tab.locator("#lie").input_value() == before
    tab.close()
