"""The picture of reach says and shows the numbers it was given; the page shows it."""

from __future__ import annotations

import re
import runpy
from pathlib import Path

import numpy as np
import pytest
from reading import SVG, Window, parse, points, texts, windows

from rimwise.errors import InputError
from rimwise.flight.reach import RULE_FOOT, RULE_MPH
from rimwise.pictures.reach import MOST_CURVES, ReachCurve, reach_svg
from rimwise.pictures.svg import text_width_px

ROOT = Path(__file__).parents[3]
SPEEDS_M_S = tuple(13.0 + 2.0 * n for n in range(12))
CURVES = [
    ReachCurve(name, SPEEDS_M_S, tuple(share * (5.5 * v - 36.0) for v in SPEEDS_M_S))
    for name, share in (("far", 1.0), ("nearly as far", 0.99), ("near", 0.6), ("between", 0.985))
]
SVG_TEXT = reach_svg(CURVES)
(WINDOW,) = windows(parse(SVG_TEXT))


def scales(window: Window) -> tuple[np.ndarray, np.ndarray]:
    """Slope and zero of x over m/s and of y over metres, read off the axes' own numbers."""
    ticks = [
        (
            float(t.text or ""),
            t.attrib.get("text-anchor"),
            float(t.attrib["x"]),
            -float(t.attrib["y"]),
        )
        for t in window.own("text")
        if re.fullmatch(r"\d+", t.text or "")
    ]
    low = min(y for *_, y in ticks)
    speeds = [(value, x) for value, anchor, x, y in ticks if anchor == "middle" and y == low]
    metres = [(value, y + 4.0) for value, anchor, _, y in ticks if anchor == "end"]
    return np.polyfit(*np.transpose(speeds), 1), np.polyfit(*np.transpose(metres), 1)


def curve_lines(window: Window) -> list[list[tuple[float, float]]]:
    lines = [points(line) for line in window.own("polyline")]
    return [line for line in lines if len(line) == len(SPEEDS_M_S)]


def test_curves_lie_where_the_axes_say() -> None:
    across, up = scales(WINDOW)
    drawn = curve_lines(WINDOW)
    assert len(drawn) == len(CURVES)
    for curve, line in zip(CURVES, drawn, strict=True):
        x, y = np.transpose(line)
        assert x == pytest.approx(np.polyval(across, curve.speed_m_s), abs=0.1)
        assert y == pytest.approx(np.polyval(up, curve.range_m), abs=0.1)


def test_feet_and_mph_agree_with_metres_and_metres_a_second() -> None:
    across, up = scales(WINDOW)
    opposite = [
        (
            float(t.text or ""),
            float(t.attrib["x"]),
            -float(t.attrib["y"]),
            t.attrib.get("text-anchor"),
        )
        for t in WINDOW.own("text")
        if re.fullmatch(r"\d+", t.text or "")
    ]
    high = max(y for _, _, y, anchor in opposite if anchor == "middle")
    mph = [(value, x) for value, x, y, anchor in opposite if anchor == "middle" and y == high]
    feet = [(value, y + 4.0) for value, _, y, anchor in opposite if anchor is None]
    assert len(mph) >= 4
    assert len(feet) >= 4
    for value, x in mph:
        assert x == pytest.approx(np.polyval(across, value * 0.44704), abs=0.1)
    for value, y in feet:
        assert y == pytest.approx(np.polyval(up, value * 0.3048), abs=0.1)


def test_the_strip_is_the_rule_of_thumb_give_or_take_15_per_cent() -> None:
    across, up = scales(WINDOW)
    strip = np.array(points(next(iter(WINDOW.own("polygon")))))
    speeds, metres = np.array(RULE_MPH) * 0.44704, np.array(RULE_FOOT) * 0.3048
    high, low = strip[: len(speeds)], strip[len(speeds) :][::-1]
    for edge, share in ((high, 1.15), (low, 0.85)):
        assert edge[:, 0] == pytest.approx(np.polyval(across, speeds), abs=0.1)
        assert edge[:, 1] == pytest.approx(np.polyval(up, share * metres), abs=0.1)


def test_no_strip_where_the_rule_says_nothing() -> None:
    slow = ReachCurve("slow arm", (10.0, 15.0, 19.0), (20.0, 45.0, 70.0))
    (window,) = windows(parse(reach_svg([slow])))
    assert not list(window.own("polygon"))
    assert not any("rule" in text for text in texts(window))


def test_curves_differ_without_colour_and_are_named_apart() -> None:
    drawn = [e for e in WINDOW.own("polyline") if len(points(e)) == len(SPEEDS_M_S)]
    looks = {(e.attrib["stroke-width"], e.attrib.get("stroke-dasharray")) for e in drawn}
    assert len(looks) == len(CURVES)
    at = texts(WINDOW)
    heights = sorted(at[curve.name][1] for curve in CURVES)
    assert min(np.diff(heights)) >= 15.0
    by_range = sorted(CURVES, key=lambda curve: curve.range_m[-1])
    assert [at[curve.name][1] for curve in by_range] == heights


def test_it_is_told_in_words_too() -> None:
    desc = parse(SVG_TEXT).find(SVG + "desc")
    assert desc is not None
    said = desc.text or ""
    for curve in CURVES:
        assert f"{curve.name}: " in said
        for far in curve.range_m:
            assert f"{far:.0f} m ({far / 0.3048:.0f} ft)" in said
    assert "300 ft at 50 mph" in said
    assert "give or take 15 %" in said


def test_nothing_written_is_cut_off() -> None:
    full = [ReachCurve("a long name of a disc", SPEEDS_M_S, (200.0,) * 12)] * MOST_CURVES
    short = [ReachCurve("x", (1.0, 2.0), (0.0, 0.0))]
    for svg in (SVG_TEXT, reach_svg(full), reach_svg(short)):
        (window,) = windows(parse(svg))
        for element in window.own("text"):
            size = float(element.attrib["font-size"])
            wide = text_width_px(element.text or "", size)
            anchor = element.attrib.get("text-anchor", "start")
            begin = {"start": 0.0, "middle": 0.5, "end": 1.0}[anchor]
            start = float(element.attrib["x"]) - begin * wide
            assert start >= window.left, element.text
            assert start + wide <= window.left + window.width, element.text
            base = float(element.attrib["y"])
            assert window.top + 0.75 * size <= base <= window.top + window.height, element.text


@pytest.mark.parametrize(
    ("speeds", "ranges", "said"),
    [
        ((20.0,), (90.0,), "at least two speeds"),
        ((20.0, 25.0), (90.0,), "as many ranges"),
        ((25.0, 20.0), (90.0, 100.0), "must rise"),
        ((20.0, float("nan")), (90.0, 100.0), "finite"),
        ((20.0, 25.0), (90.0, -1.0), "must not be negative"),
    ],
)
def test_bad_curves_are_refused(
    speeds: tuple[float, ...], ranges: tuple[float, ...], said: str
) -> None:
    with pytest.raises(InputError, match=said):
        ReachCurve("bad", speeds, ranges)


def test_too_few_and_too_many_curves_are_refused() -> None:
    for curves in ([], [CURVES[0]] * (MOST_CURVES + 1)):
        with pytest.raises(InputError, match="1 to 5 curves"):
            reach_svg(curves)


# -- the page -------------------------------------------------------------------------------


def test_the_page_is_what_the_tool_writes() -> None:
    """Run `make docs` when this fails.

    Headings, tables' shapes and first columns are compared, not the computed numbers, which may
    differ in the last digit from one processor to another.
    """
    tool = runpy.run_path(str(ROOT / "tools" / "draw_distance.py"))
    made, picture = tool["page"]()
    kept = (ROOT / "docs" / "distance.md").read_text("utf-8")
    assert skeleton(kept) == skeleton(made)
    shown = re.findall(r"!\[[^]]+\]\(pictures/([\w-]+\.svg)\)", kept)
    assert shown == [tool["PICTURE"]]
    assert (ROOT / "docs" / "pictures" / shown[0]).read_text("utf-8").startswith("<svg ")
    (window,) = windows(parse(picture))
    assert set(tool["CLASSES"]) <= set(texts(window))


def skeleton(page: str) -> list[tuple[str, int]]:
    lines = [line for line in page.splitlines() if line.startswith(("#", "|"))]
    return [(line.split(" | ")[0], line.count(" | ")) for line in lines]
