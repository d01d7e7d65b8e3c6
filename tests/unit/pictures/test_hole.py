"""The hole picture shows left on the left, far things farther, and the wind as it blows."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from reading import SVG, Window, parse, points, texts, windows

import picture_examples as examples
from rimwise.decide.report import AreaShape, HoleLine
from rimwise.pictures.hole import BASKET_M, hole_svg
from rimwise.pictures.svg import text_width_px


def drawn(hole: HoleLine, units: str = "m") -> tuple[Window, Window]:
    """The window from above and the one from the side."""
    _, plan, side = windows(parse(hole_svg(hole, units)))  # type: ignore[arg-type]
    return plan, side


def circles(window: Window, radius_px: float) -> list[tuple[float, float]]:
    return [
        (float(c.attrib["cx"]), -float(c.attrib["cy"]))
        for c in window.own("circle")
        if float(c.attrib["r"]) / window.px == pytest.approx(radius_px, abs=0.1)
    ]


def test_every_throw_is_a_dot_where_it_came_to_rest() -> None:
    hole = examples.hole_line(0)
    plan, _ = drawn(hole)
    dots = circles(plan, 1.7)
    assert len(dots) == 50 + 3  # and three in the key
    for (x, y), (right, up) in zip(hole.dots, dots, strict=False):
        assert (right, up) == (pytest.approx(-y, abs=0.006), pytest.approx(x, abs=0.006))


def test_the_throwers_left_is_on_the_left_and_the_basket_at_the_top() -> None:
    hole = replace(examples.hole_line(0), dots=((80.0, 15.0), (60.0, -10.0)))
    plan, _ = drawn(hole)
    left, right = circles(plan, 1.7)[:2]
    assert left[0] < 0 < right[0]
    assert left[1] > right[1] > 0
    at = texts(plan)
    assert at["basket"][1] == pytest.approx(hole.length_m, abs=3)
    assert at["tee"][1] < at["basket"][1]


def turned(points_m: tuple[tuple[float, ...], ...]) -> list[object]:
    """Points of the hole's frame as they must be drawn: right is minus left."""
    return [(pytest.approx(-p[1], abs=0.006), pytest.approx(p[0], abs=0.006)) for p in points_m]


def test_path_outline_and_aim_lie_where_they_are() -> None:
    hole = examples.hole_line(0)
    plan, _ = drawn(hole)
    lines = [points(line) for line in plan.own("polyline")]
    assert turned(hole.path) in lines
    assert turned(((0.0, 0.0), (hole.length_m, hole.aim_left_m))) in lines
    assert turned(hole.outline) in [points(ring) for ring in plan.own("polygon")]


@pytest.mark.parametrize("aim_left_m", [-140.0, -70.0, 70.0, 140.0])
@pytest.mark.parametrize("beside", [-0.5, 0.0])
def test_words_at_the_edge_stay_whole_inside_the_picture(aim_left_m: float, beside: float) -> None:
    """Not a hair of "aim", "tee" or "basket" is beyond the frame, whatever side all else lies."""
    hole = replace(
        examples.hole_line(0), aim_left_m=aim_left_m, path=(), outline=(),
        dots=((20.0, beside * aim_left_m),),
    )  # fmt: skip
    plan, _ = drawn(hole)
    words = {t.text: t for t in plan.own("text") if t.text in ("aim", "tee", "basket")}
    assert set(words) == {"aim", "tee", "basket"}
    for said, text in words.items():
        wide = text_width_px(said, float(text.attrib["font-size"]))
        ends = text.attrib.get("text-anchor") == "end"
        start = float(text.attrib["x"]) - (wide if ends else 0.0)
        # In a wide system font an "m" is nearly as wide as its size, so "aim" needs 2 px more.
        more = 2.0 * plan.px if said == "aim" else 0.0
        assert plan.left + more <= start + 0.02, said
        assert start + wide + more <= plan.left + plan.width + 0.02, said


def test_corners_of_an_area_inside_the_picture_are_kept() -> None:
    ring = ((20.0, 12.0), (60.0, 15.0), (50.0, 4.0))
    pond = AreaShape("water", "", ring, ())
    plan, _ = drawn(replace(examples.hole_line(0), areas=(pond,)))
    (path,) = [p for p in plan.own("path") if p.attrib["fill"].startswith("url")]
    numbers = [float(n) for n in path.attrib["d"].strip("MZ").replace(",", " ").split()]
    corners = set(zip(numbers[::2], numbers[1::2], strict=True))
    assert corners == {(-y, -x) for x, y in ring}  # svg counts down


@pytest.mark.parametrize("from_deg", [0.0, 60.0, 90.0, 180.0, 270.0])
def test_the_wind_arrow_blows_from_where_the_wind_comes(from_deg: float) -> None:
    hole = replace(examples.hole_line(0), wind_from_deg=from_deg)
    plan, _ = drawn(hole)
    (arrow,) = [p for p in plan.own("polyline") if p.attrib["stroke-width"] == "2.6"]
    start, end = points(arrow)
    blows = (end[0] - start[0], end[1] - start[1])
    comes = (math.sin(math.radians(from_deg)), math.cos(math.radians(from_deg)))
    size = math.hypot(*blows)
    assert blows[0] / size == pytest.approx(-comes[0], abs=0.01)
    assert blows[1] / size == pytest.approx(-comes[1], abs=0.01)


def test_wind_is_written_with_its_strength_and_side() -> None:
    hole = replace(examples.hole_line(0), wind_m_s=8.2, wind_from_deg=270.0)
    at = texts(drawn(hole)[0])
    assert "fresh breeze 8 m/s" in at
    assert "from the left" in at
    assert "fresh breeze 18 mph" in texts(drawn(hole, "ft")[0])
    calm = texts(drawn(replace(hole, wind_m_s=0.1))[0])
    assert "wind: calm" in calm
    assert "from the left" not in calm


def test_an_area_is_hatched_where_it_lies_and_named_inside() -> None:
    pond = AreaShape("water", "Pond", ((20, 40), (60, 40), (60, 10), (20, 10)), ())
    lane = AreaShape("out of bounds", "Lane", ((20, -10), (60, -10), (60, -40), (20, -40)), ())
    hole = replace(examples.hole_line(0), areas=(pond, lane), dots=((90.0, 45.0), (90.0, -45.0)))
    plan, _ = drawn(hole)
    fills = [p.attrib["fill"] for p in plan.own("path") if p.attrib["fill"].startswith("url")]
    assert len(fills) == len(set(fills)) == 2
    at = texts(plan)
    assert -40 < at["Pond"][0] < -10
    assert 10 < at["Lane"][0] < 40
    assert 20 < at["Pond"][1] < 60
    assert {"water", "out of bounds"} <= set(at)  # the key


def test_an_opening_stays_an_opening() -> None:
    island = ((35.0, 30.0), (45.0, 30.0), (45.0, 20.0))
    pond = AreaShape("water", "Pond", ((20, 40), (60, 40), (60, 10), (20, 10)), (island,))
    plan, _ = drawn(replace(examples.hole_line(0), areas=(pond,)))
    (path,) = [p for p in plan.own("path") if p.attrib["fill"].startswith("url")]
    assert path.attrib["d"].count("M") == 2
    assert path.attrib["fill-rule"] == "evenodd"


def test_a_name_that_does_not_fit_goes_to_the_key() -> None:
    sliver = AreaShape("water", "Ditch of the long name", ((20, 9), (60, 9), (60, 8), (20, 8)), ())
    at = texts(drawn(replace(examples.hole_line(0), areas=(sliver,)))[0])
    assert "Ditch of the long name" not in at
    assert "water: Ditch of the long name" in at


def test_an_area_out_of_the_picture_is_not_drawn_or_told() -> None:
    far = AreaShape("wood", "Far wood", ((500, 500), (600, 500), (600, 600)), ())
    svg = hole_svg(replace(examples.hole_line(0), areas=(far,)))
    assert "Far wood" not in svg
    assert "url(#" not in svg


def test_the_side_view_shows_apex_slope_and_basket_to_scale() -> None:
    hole = replace(examples.hole_line(1), elevation_change_m=7.0)
    _, side = drawn(hole)
    apex = max(z for _, _, z in hole.path)
    assert f"apex {apex:.0f} m" in texts(side)
    lines = [points(p) for p in side.own("polyline")]
    assert [(0.0, 0.0), (pytest.approx(hole.length_m, abs=0.01), 7.0)] == lines[0][1:3]
    assert lines[1][1][1] - lines[1][0][1] == pytest.approx(BASKET_M)
    flown = lines[2]
    assert max(z for _, z in flown) == pytest.approx(apex, abs=0.01)
    assert flown[-1][0] == pytest.approx(hole.path[-1][0], abs=0.01)


def test_the_description_says_what_the_picture_shows() -> None:
    root = parse(hole_svg(examples.hole_line(0), "ft"))
    said = (root.find(SVG + "desc").text or "") if root.find(SVG + "desc") is not None else ""
    for part in ("NH 27 soft base, blue", "302 ft away", "10 ft left", "80 of 100", "Tidal pond",
                 "(water) on the left", "(wood) on the right", "above the tee"):  # fmt: skip
        assert part in said, said


@pytest.mark.parametrize("aim_left_m", [-80.0, -6.0, 0.0, 6.0, 80.0])
def test_the_word_basket_is_written_inside_the_picture(aim_left_m: float) -> None:
    """A throw far around to one side leaves little room on the other."""
    base = examples.hole_line(0)
    hole = replace(
        base,
        aim_left_m=aim_left_m,
        path=((0.0, 0.0, 1.0), (50.0, 0.4 * aim_left_m, 0.0)),
        dots=((50.0, 0.4 * aim_left_m),),
        outline=(),
    )
    plan, _ = drawn(hole)
    (word,) = [text for text in plan.own("text") if text.text == "basket"]
    wide = text_width_px("basket", 12) * plan.px
    begin = float(word.attrib["x"]) - (wide if word.attrib.get("text-anchor") == "end" else 0.0)
    assert plan.left <= begin
    assert begin + wide <= plan.left + plan.width


def test_a_picture_by_itself_says_what_is_owed_for_the_map() -> None:
    notice = "\u00a9 OpenStreetMap contributors, ODbL 1.0"
    hole = examples.hole_line(0)
    _, plan, _ = windows(parse(hole_svg(hole, notice=notice)))
    (said,) = [text for text in plan.own("text") if text.text == notice]
    lowest = min(-float(text.attrib["y"]) for text in plan.own("text") if text is not said)
    assert -float(said.attrib["y"]) < lowest
    assert notice not in hole_svg(hole)
