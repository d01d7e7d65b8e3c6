"""What holds for every picture: sound, described, true to scale, nothing cut off."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from itertools import chain

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from reading import SVG, measures, parse, windows

import picture_examples as examples
from rimwise.errors import InputError
from rimwise.pictures.belief import belief_strip_svg
from rimwise.pictures.cart import Look, cart_svg
from rimwise.pictures.curve import curve_svg
from rimwise.pictures.flight import Cloud, flight_svg
from rimwise.pictures.hole import hole_svg
from rimwise.pictures.ladder import fade_is_left, ladder_svg
from rimwise.pictures.putting import putting_svg
from rimwise.pictures.serving import serving_svg
from rimwise.pictures.svg import Paint, Scene, coordinate, fitted, text_width_px
from rimwise.pictures.telling import Names

PLAN = examples.plan_report()
LOOKS = {disc.disc_id: Look(disc.label, disc.colour) for disc in PLAN.discs}
LONG = "a name much longer than any picture is wide, " * 3


def ladder(role: str) -> str:
    discs = [disc for disc in PLAN.discs if disc.role == role]
    return ladder_svg(discs, PLAN.chosen, fade_left=fade_is_left(PLAN.discs))


def long_names() -> list[str]:
    hole = examples.hole_line(0)
    areas = tuple(replace(area, name=LONG) for area in hole.areas)
    disc = replace(PLAN.discs[0], label=LONG, mold=LONG)
    twin = replace(disc, disc_id="twin")
    return [
        hole_svg(replace(hole, areas=areas), "ft"),
        ladder_svg([disc, twin], ["twin"], fade_left=True),
        flight_svg([(LONG, examples.flight(90, 5))]),
        flight_svg([(LONG, examples.flight(90, 5))] * 5, "ft"),
        belief_strip_svg(replace(examples.belief_strip(), disc=LONG), "ft"),
        serving_svg(examples.served_ground(), Names({disc.disc_id: LONG for disc in PLAN.discs})),
    ]


PICTURES: dict[str, Callable[[], list[str]]] = {
    "holes": lambda: [hole_svg(hole) for hole in PLAN.holes],
    "holes with a notice": lambda: [
        hole_svg(PLAN.holes[0], notice="\u00a9 OpenStreetMap contributors, ODbL 1.0")
    ],
    "holes in feet": lambda: [hole_svg(hole, "ft") for hole in PLAN.holes[:5]],
    "bare hole": lambda: [
        hole_svg(replace(PLAN.holes[0], areas=(), path=(), dots=(), outline=(), wind_m_s=0.0))
    ],
    "steep holes": lambda: [
        hole_svg(replace(PLAN.holes[0], elevation_change_m=rise)) for rise in (-60.0, 60.0)
    ],
    "holes with an aim far to a side": lambda: [
        hole_svg(
            replace(PLAN.holes[0], aim_left_m=aim, path=(), outline=(), dots=((20.0, rest),)), units
        )
        for aim in (-140.0, -60.0, -2.0, 2.0, 60.0, 140.0)
        for rest in (-0.6 * aim, 0.3 * aim)
        for units in ("m", "ft")
    ],
    "curve": lambda: [curve_svg(PLAN)],
    "short curve": lambda: [curve_svg(replace(PLAN, curve=PLAN.curve[:1], flat_from=1))],
    "ladders": lambda: [ladder(role) for role in {disc.role for disc in PLAN.discs}],
    "who serves where": lambda: [
        serving_svg(examples.served_ground(), Names.of(PLAN), units) for units in ("m", "ft")
    ],
    "cart": lambda: [cart_svg(examples.cart_scene(), LOOKS)],
    "flights": lambda: [
        flight_svg([("NH 27", examples.flight(92, 6)), ("OL 31", examples.flight(80, -14))]),
        flight_svg([("NH 3", examples.flight(6, 0.4, 2.0))], "ft"),
    ],
    "flights with clouds": lambda: [
        flight_svg(
            [(str(left), examples.flight(80, left)) for left in (-14, -2, 3, 15)],
            "ft",
            clouds=[None, Cloud(np.random.default_rng(1).normal((84, -3), 9.0, (60, 2)))],
        ),
        flight_svg([("steep", examples.flight(9, 0.4, 40.0))]),
    ],
    "putting": lambda: [
        putting_svg(examples.MAKE_CURVE, examples.MADE_RATES),
        putting_svg(examples.MAKE_CURVE, (), "ft"),
    ],
    "belief strips": lambda: [
        belief_strip_svg(replace(examples.belief_strip(), throws=throws), units, named=named)
        for throws, units, named in ((4, "m", True), (12_345, "ft", False))
    ],
    "long names": long_names,
}


@pytest.fixture(params=sorted(PICTURES))
def pictures(request: pytest.FixtureRequest) -> list[str]:
    return PICTURES[request.param]()


def test_sound_described_and_alone(pictures: list[str]) -> None:
    for svg in pictures:
        root = parse(svg)
        assert root.tag == SVG + "svg"
        assert root.attrib["role"] == "img"
        ids = [e.attrib["id"] for e in root.iter() if "id" in e.attrib]
        assert len(ids) == len(set(ids))
        title, desc = root.find(SVG + "title"), root.find(SVG + "desc")
        assert title is not None
        assert desc is not None
        assert root.attrib["aria-labelledby"].split() == [title.attrib["id"], desc.attrib["id"]]
        assert title.text
        assert len(desc.text or "") > 60
        assert "http" not in svg.replace("http://www.w3.org/2000/svg", "", 1)
        assert not {e.tag for e in root.iter()} & {SVG + "script", SVG + "image", SVG + "use"}


def test_hatches_that_are_used_are_drawn_in_the_same_picture(pictures: list[str]) -> None:
    for svg in pictures:
        root = parse(svg)
        ids = {e.attrib["id"] for e in root.iter() if "id" in e.attrib}
        for element in root.iter():
            fill = element.attrib.get("fill", "")
            if fill.startswith("url("):
                assert fill[5:-1] in ids


def test_both_axes_have_one_scale(pictures: list[str]) -> None:
    """The window's shape is the drawing's shape, so a metre is a metre both ways."""
    for svg in pictures:
        for window in windows(parse(svg)):
            high_px = float(window.element.attrib["height"])
            wide_px = float(window.element.attrib["width"])
            hundredth = 0.005 / min(window.width, window.height) + 0.005 / min(high_px, wide_px)
            scale = (window.width / wide_px) / (window.height / high_px)
            assert scale == pytest.approx(1.0, abs=3 * hundredth)
            assert "preserveAspectRatio" not in window.element.attrib


def test_numbers_have_two_decimals_at_most(pictures: list[str]) -> None:
    for number in chain.from_iterable(measures(parse(svg)) for svg in pictures):
        assert "e" not in number.lower()
        assert len(number.partition(".")[2]) <= 2


def test_nothing_written_is_cut_off(pictures: list[str]) -> None:
    for svg in pictures:
        for window in windows(parse(svg)):
            for element in window.own("text"):
                size = float(element.attrib["font-size"])
                wide = text_width_px(element.text or "", size)
                anchor = element.attrib.get("text-anchor", "start")
                start = (
                    float(element.attrib["x"])
                    - {"start": 0, "middle": 0.5, "end": 1}[anchor] * wide
                )
                assert start >= window.left - 0.02 * window.width, element.text
                assert start + wide <= window.left + 1.02 * window.width, element.text
                base = float(element.attrib["y"])
                assert base <= window.top + window.height, element.text
                assert base - 0.75 * size >= window.top - 0.01 * window.height, element.text


def test_text_from_outside_stays_text() -> None:
    hostile = "</text><script>alert(1)</script>&\"'\x00\ud800"
    hole = replace(examples.hole_line(0), disc_label=hostile)
    hole = replace(hole, areas=tuple(replace(area, name=hostile) for area in hole.areas))
    root = parse(hole_svg(hole))
    assert SVG + "script" not in {e.tag for e in root.iter()}
    desc = root.find(SVG + "desc")
    assert desc is not None
    assert "</text><script>alert(1)</script>&\"'" in (desc.text or "")


@given(st.floats(-1e5, 1e5))
def test_coordinates_are_short_and_true(value: float) -> None:
    text = coordinate(value)
    assert abs(float(text) - value) <= 0.005 + 1e-9
    assert text == "0" or not text.startswith("-0.00")
    assert not text.endswith((".", "-"))


@given(st.text(max_size=60), st.floats(20, 300))
@settings(max_examples=100)
def test_a_shortened_text_fits(text: str, width_px: float) -> None:
    short = fitted(text, 12, width_px)
    assert text_width_px(short, 12) <= max(width_px, text_width_px("ab", 12))
    assert short == text or (short.endswith("…") and text.startswith(short[:-1]))


def test_a_scene_without_extent_is_refused() -> None:
    with pytest.raises(InputError, match="right > left"):
        Scene("s", "t", "d", 1.0, 1.0, 0.0, 1.0)


def test_a_scale_bar_is_as_long_as_it_says() -> None:
    for units, unit_m in (("m", 1.0), ("ft", 0.3048)):
        for wide_m in (7.0, 43.0, 260.0):
            scene = Scene("s", "t", "d", 0.0, wide_m, 0.0, wide_m)
            scene.scale_bar(1.0, 1.0, 95, units)
            root = parse(scene.render())
            bars = [r for r in root.iter(SVG + "rect") if "stroke" in r.attrib]
            drawn_m = sum(float(bar.attrib["width"]) for bar in bars)
            said = [t.text or "" for t in root.iter(SVG + "text")][-1]
            length, unit = said.split()
            assert unit == units
            assert drawn_m == pytest.approx(float(length) * unit_m, abs=0.02)
            assert 95 / 2.5 <= drawn_m / scene.px <= 95 + 1


@pytest.mark.parametrize("bearing_deg", [0.0, 40.0, 90.0, 200.0, 315.0])
def test_the_north_arrow_points_north(bearing_deg: float) -> None:
    """Turning clockwise from north by the bearing brings one back to the picture's up."""
    import math

    from reading import points

    scene = Scene("s", "t", "d", 0.0, 100.0, 0.0, 100.0)
    scene.north_arrow(50.0, 50.0, bearing_deg)
    start, end = points(next(parse(scene.render()).iter(SVG + "polyline")))
    clockwise_from_up = math.degrees(math.atan2(end[0] - start[0], end[1] - start[1]))
    assert (clockwise_from_up + bearing_deg) % 360.0 == pytest.approx(0.0, abs=0.3) or (
        clockwise_from_up + bearing_deg
    ) % 360.0 == pytest.approx(360.0, abs=0.3)


def test_a_paint_without_a_name_gets_no_class() -> None:
    assert "class" not in Paint("#123456", "none").attributes()
    assert 'class="s-ink f-paper"' in Paint("ink", "paper").attributes()
