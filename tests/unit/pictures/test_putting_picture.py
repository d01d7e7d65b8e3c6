"""The picture of putting: curve, band, circles and rates lie where the axes say."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pytest
from reading import SVG, Window, parse, points, texts, windows

from picture_examples import MADE_RATES, MAKE_CURVE
from rimwise.beliefs.putting_fit import MadeRate
from rimwise.errors import InputError
from rimwise.pictures.putting import CIRCLES_M, putting_svg, putting_words

CURVE, RATES = MAKE_CURVE, MADE_RATES
METRES = CURVE.distance_m
TEXT = putting_svg(CURVE, RATES)
(WINDOW,) = windows(parse(TEXT))


def scales(window: Window) -> tuple[np.ndarray, np.ndarray]:
    """Slope and zero of x over metres and of y over chances, read off the axes' own numbers."""
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
    low = min(y for _, anchor, _, y in ticks if anchor == "middle")
    metres = [(value, x) for value, anchor, x, y in ticks if anchor == "middle" and y == low]
    made = [(value / 100, y + 4.0) for value, anchor, _, y in ticks if anchor == "end"]
    return np.polyfit(*np.transpose(metres), 1), np.polyfit(*np.transpose(made), 1)


def test_curve_and_band_lie_where_the_axes_say() -> None:
    across, up = scales(WINDOW)
    (line,) = [p for p in map(points, WINDOW.own("polyline")) if len(p) == len(METRES)]
    (band,) = [p for p in map(points, WINDOW.own("polygon")) if len(p) == 2 * len(METRES)]
    for drawn, made in (
        (line, CURVE.made),
        (band[: len(METRES)], CURVE.high),
        (band[: len(METRES) - 1 : -1], CURVE.low),
    ):
        x, y = np.transpose(drawn)
        assert x == pytest.approx(np.polyval(across, METRES), abs=0.1)
        assert y == pytest.approx(np.polyval(up, made), abs=0.1)


def test_feet_agree_with_metres() -> None:
    across, _ = scales(WINDOW)
    high = max(-float(t.attrib["y"]) for t in WINDOW.own("text") if (t.text or "") == "10")
    feet = [
        (float(t.text or ""), float(t.attrib["x"]))
        for t in WINDOW.own("text")
        if re.fullmatch(r"\d+", t.text or "")
        and -float(t.attrib["y"]) == high
        and t.attrib.get("text-anchor") == "middle"
    ]
    assert len(feet) >= 6
    for value, x in feet:
        assert x == pytest.approx(np.polyval(across, 0.3048 * value), abs=0.1)


def test_circles_stand_at_ten_and_twenty_metres() -> None:
    across, _ = scales(WINDOW)
    upright = {
        round(line[0][0], 1)
        for line in map(points, WINDOW.own("polyline"))
        if len(line) == 2 and line[0][0] == line[1][0] and abs(line[0][1] - line[1][1]) > 200
    }
    assert upright == {round(float(np.polyval(across, radius)), 1) for radius in CIRCLES_M}


def test_every_rate_is_drawn_with_its_interval_and_count() -> None:
    across, up = scales(WINDOW)
    rings = [
        (float(c.attrib["cx"]), -float(c.attrib["cy"]))
        for c in WINDOW.own("circle")
        if c.attrib["r"] == "4.5"
    ]
    assert len(rings) == len(RATES)
    said = texts(WINDOW)
    for rate, (x, y) in zip(RATES, rings, strict=True):
        assert x == pytest.approx(float(np.polyval(across, rate.distance_m)), abs=0.1)
        assert y == pytest.approx(float(np.polyval(up, rate.made / rate.tried)), abs=0.1)
        assert f"{rate.made}/{rate.tried}" in said
    bars = [
        sorted((line[0][1], line[1][1]))
        for line in map(points, WINDOW.own("polyline"))
        if len(line) == 2 and any(abs(line[0][0] - x) < 0.01 for x, _ in rings)
    ]
    for rate in RATES:
        ends = np.polyval(up, [rate.low, rate.high])
        assert any(bar == pytest.approx(list(ends), abs=0.1) for bar in bars)


def test_counts_do_not_lie_over_each_other() -> None:
    counts = [
        (float(t.attrib["x"]), -float(t.attrib["y"]))
        for t in WINDOW.own("text")
        if (t.text or "").startswith("8/")
    ]
    (_, one), (_, other) = counts
    assert abs(one - other) >= 11.0


def test_many_rates_are_drawn_without_counts() -> None:
    many = [MadeRate(1.0 + 0.5 * n, 10, 5, 0.3, 0.7) for n in range(30)]
    (window,) = windows(parse(putting_svg(CURVE, many)))
    assert "5/10" not in texts(window)


def test_everything_lies_inside_and_far_putts_widen_the_axis() -> None:
    far = MadeRate(39.5, 10, 0, 0.0, 0.2)
    for picture in (TEXT, putting_svg(CURVE), putting_svg(CURVE, [*RATES, far], "ft")):
        (window,) = windows(parse(picture))
        for x, y in [p for line in map(points, window.own("polyline")) for p in line]:
            assert 0.0 <= x <= 640.0
            assert 0.0 <= y <= 420.0


def test_words_say_what_is_drawn() -> None:
    said = putting_words(CURVE, RATES)
    assert "5 m: 20 of 100 (between 16 and 24)" in said
    assert "149 of 160 from 3 m" in said
    assert "8 of 20 from 6.5 m" in said
    assert parse(TEXT).find(f"{SVG}desc").text == said  # type: ignore[union-attr]
    assert "16 ft: 20 of 100" in putting_words(CURVE, RATES, "ft")


@pytest.mark.parametrize(
    ("change", "fault"),
    [
        ({"made": CURVE.made[1:]}, "as many chances"),
        ({"distance_m": METRES[::-1]}, "must rise"),
        ({"high": (1.2, *CURVE.high[1:])}, "make chance must be between 0 and 1"),
        ({"low": (float("nan"), *CURVE.low[1:])}, "make chance must be a finite number"),
    ],
)
def test_curves_that_are_none_are_refused(change: dict[str, tuple[float, ...]], fault: str) -> None:
    with pytest.raises(InputError, match=fault):
        replace(CURVE, **change)
