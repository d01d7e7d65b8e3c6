"""Landings about their told middles, and scores beside what was told."""

from __future__ import annotations

import re

import pytest
from defusedxml.ElementTree import fromstring

from rimwise.errors import InputError
from rimwise.pictures.checking import LandingDots, ScoreBar, checking_svg

REGIONS = ((60.0, 30.0, -10.0), (200.0, 100.0, -33.0))
LANDINGS = LandingDots(((4.0, 10.0), (-6.0, -3.0)), REGIONS)
ROUNDS = (ScoreBar("2026-03-01", 60.2, 3.0, 66), ScoreBar("2026-03-08", 58.5, 3.0, 57))


def _numbers(text: str, name: str) -> list[float]:
    return [float(value) for value in re.findall(rf'{name}="(-?[\d.]+)"', text)]


def test_left_is_left_and_longer_is_up():
    drawn = checking_svg(LandingDots(((4.0, 10.0),), REGIONS), (), "said")
    (dots,) = re.findall(r"<g[^>]*>(<circle.*?)</g>", drawn)
    assert _numbers(dots, "cx") == [-4.0]
    assert _numbers(dots, "cy") == [-10.0]  # y grows downward in SVG


def test_a_score_far_above_what_was_told_stands_to_the_right_of_its_bar():
    drawn = checking_svg(None, ROUNDS, "said")
    high, low = _numbers(drawn, "cx")[:2]
    assert high > low
    boxes = re.findall(r'<rect x="([\d.]+)" y="[^"]*" width="([\d.]+)" height="8"', drawn)
    (left, wide) = map(float, boxes[0])
    assert left < high
    assert high == pytest.approx(left + wide * (66 - 54.2) / 12.0, abs=0.1)


def test_it_is_one_well_formed_picture_that_says_what_it_shows():
    root = fromstring(checking_svg(LANDINGS, ROUNDS, "two throws & two rounds"))
    desc = root.find("{http://www.w3.org/2000/svg}desc")
    assert desc is not None
    assert desc.text == "two throws & two rounds"
    ids = [node.get("id") for node in root.iter() if node.get("id")]
    assert len(ids) == len(set(ids))


def test_throws_beyond_the_picture_are_counted():
    far = LandingDots(((0.0, 1.0), (300.0, 0.0)), REGIONS)
    assert "1 farther off than" in checking_svg(far, (), "said")


def test_nothing_is_refused():
    with pytest.raises(InputError, match="nothing to draw"):
        checking_svg(None, (), "said")
    with pytest.raises(InputError, match="at least one landing"):
        LandingDots((), REGIONS)


def test_one_round_has_no_spread_to_draw():
    drawn = checking_svg(None, (ScoreBar("2026-03-01", 60.2, None, 66),), "said")
    assert 'height="8"' not in drawn
    assert "spread" not in drawn
    assert "spread" in checking_svg(None, ROUNDS, "said")
