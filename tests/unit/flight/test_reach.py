"""The longest line: against parabolas, against brute force, and what is refused."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace

import numpy as np
import pytest

from rimwise.errors import InputError
from rimwise.flight import reach
from rimwise.flight.aero import Aero, AeroArrays
from rimwise.flight.air import Air
from rimwise.flight.body import Body, BodyArrays
from rimwise.flight.fly import fly_many
from rimwise.flight.printed import Printed, aero_arrays_from_printed, aero_from_printed
from rimwise.flight.reach import (
    BACK_WITHIN_RAD,
    LineLimits,
    LongestLines,
    longest_lines,
    rule_of_thumb_m,
)
from rimwise.flight.release import Release, ReleaseArrays
from rimwise.flight.wind import Wind, WindArrays

AIR = Air(15.0, 1013.25, 0.5)
FAIRWAY = (aero_from_printed(Printed(7, 5, -1, 2)), Body.from_printed_speed(7, 0.172))
NUMBERS = [(2, 3, 0, 1), (5, 4, -1, 1), (7, 5, -3, 1), (7, 4, 0, 3), (12, 5, -1, 3), (13, 5, -2, 2)]
SPEEDS_M_S = np.array([14.0, 25.0, 22.0, 19.0, 30.0, 35.0])
BODIES = [Body.from_printed_speed(numbers[0], 0.172) for numbers in NUMBERS]
MANY = (
    aero_arrays_from_printed(*np.array(NUMBERS, dtype=float).T),
    BodyArrays(0.172, 0.212, np.array([body.axial_inertia_kg_m2 for body in BODIES])),
)
VACUUM = Aero(**dict.fromkeys(Aero.__slots__, 0.0))


def given(launch_rad: float, hyzer_rad: float = 0.0, nose_rad: float = 0.0) -> LineLimits:
    return LineLimits(*((angle, angle) for angle in (launch_rad, hyzer_rad, nose_rad)))


def assert_same(one: LongestLines, other: LongestLines) -> None:
    for name in LongestLines.__slots__:
        np.testing.assert_array_equal(getattr(one, name), getattr(other, name))


# -- the search -----------------------------------------------------------------------------


@pytest.mark.parametrize("height_m", [0.0, 1.2, 20.0])
def test_in_a_vacuum_it_finds_the_longest_parabola(height_m: float) -> None:
    """From height h, tan(launch) = v / √(v² + 2gh) throws v √(v² + 2gh) / g (Galileo)."""
    speed, gravity = 20.0, 9.80665
    fall = math.sqrt(speed**2 + 2.0 * gravity * height_m)
    wide = replace(LineLimits(), launch_rad=(0.0, math.radians(80.0)))
    found = longest_lines(VACUUM, FAIRWAY[1], speed, AIR, height_m=height_m, lines=wide)
    assert found.range_m[0] == pytest.approx(speed * fall / gravity, rel=1e-3)
    assert math.degrees(found.launch_rad[0]) == pytest.approx(
        math.degrees(math.atan(speed / fall)), abs=1.5
    )
    held = longest_lines(VACUUM, FAIRWAY[1], speed, AIR, height_m=height_m)
    assert math.degrees(held.launch_rad[0]) == pytest.approx(20.0)  # the highest searched


def test_it_is_not_one_per_cent_short_of_a_fine_grid() -> None:
    found = longest_lines(*MANY, SPEEDS_M_S, AIR)
    angles = itertools.product(
        np.arange(2, 20.1, 1), np.arange(-30, 30.1, 1), np.arange(-4, 2.1, 1)
    )
    lines = np.radians(np.array(list(angles))).T
    for n, speed in enumerate(SPEEDS_M_S):
        aero = aero_from_printed(Printed(*NUMBERS[n]))
        flights = fly_many(aero, BODIES[n], ReleaseArrays(speed, 0.9 * speed / 0.212, *lines), AIR)
        back = np.abs(np.arctan2(flights.left_m, flights.range_m)) <= math.radians(15.0)
        assert found.comes_back[n]
        assert found.range_m[n] > 0.99 * flights.range_m[back].max()


def test_the_line_flies_as_told_and_keeps_its_limits() -> None:
    found = longest_lines(*MANY, SPEEDS_M_S, AIR)
    assert len(found) == len(NUMBERS)
    for n, (numbers, body, speed) in enumerate(zip(NUMBERS, BODIES, SPEEDS_M_S, strict=True)):
        angles = (float(a[n]) for a in (found.launch_rad, found.hyzer_rad, found.nose_rad))
        release = Release(speed, 0.9 * speed / body.diameter_m, *angles)
        flight = fly_many(aero_from_printed(Printed(*numbers)), body, release, AIR)
        assert found.range_m[n] == pytest.approx(flight.range_m[0], abs=1e-6)
        assert found.left_m[n] == pytest.approx(flight.left_m[0], abs=1e-6)
        assert found.hang_s[n] == pytest.approx(flight.hang_s[0], abs=1e-6)
        assert found.apex_m[n] == pytest.approx(flight.apex_m[0], abs=1e-6)
    for name in ("launch_rad", "hyzer_rad", "nose_rad"):
        low, high = getattr(LineLimits(), name)
        assert low <= getattr(found, name).min() <= getattr(found, name).max() <= high
    assert np.all(np.abs(found.left_m) <= math.tan(BACK_WITHIN_RAD) * found.range_m + 1e-9)


def test_more_lines_to_choose_from_never_shorten_it_much() -> None:
    """The search may miss, by a per cent at most; a fixed nose is one the free one may take."""
    free = longest_lines(*MANY, SPEEDS_M_S, AIR)
    for nose_deg in (-4.0, -1.0, 2.0):
        held = replace(LineLimits(), nose_rad=(math.radians(nose_deg),) * 2)
        found = longest_lines(*MANY, SPEEDS_M_S, AIR, lines=held)
        assert found.nose_rad == pytest.approx(math.radians(nose_deg))
        assert np.all(free.range_m > 0.99 * found.range_m)


def test_batches_and_neighbours_do_not_matter(monkeypatch: pytest.MonkeyPatch) -> None:
    together = longest_lines(*MANY, SPEEDS_M_S, AIR)
    monkeypatch.setattr(reach, "_MOST_FLIGHTS", 600)  # two discs in a batch
    assert_same(longest_lines(*MANY, SPEEDS_M_S, AIR), together)
    alone = longest_lines(aero_from_printed(Printed(*NUMBERS[4])), BODIES[4], 30.0, AIR)
    assert alone.range_m[0] == pytest.approx(together.range_m[4], abs=1e-6)


def test_one_disc_and_many_arms() -> None:
    found = longest_lines(*FAIRWAY, [15.0, 20.0, 25.0, 30.0], AIR)
    assert np.all(np.diff(found.range_m) > 10.0)


def test_every_argument_may_be_many() -> None:
    """Two throws that differ in everything, against each alone."""
    density, winds = [1.2, 1.0], WindArrays([0.0, 2.0], [-4.0, 3.0], [0.03, 0.0])
    aero = AeroArrays(*(np.repeat(v, 2) for v in (getattr(FAIRWAY[0], n) for n in Aero.__slots__)))
    pair = longest_lines(
        aero, FAIRWAY[1], [20.0, 26.0], density, winds,
        advance_ratio=[0.4, 0.5], height_m=[1.0, 3.0],
    )  # fmt: skip
    for n in range(2):
        wind = WindArrays(*(getattr(winds, name)[n] for name in WindArrays.__slots__))
        one = longest_lines(
            *FAIRWAY, [20.0, 26.0][n], density[n], wind,
            advance_ratio=[0.4, 0.5][n], height_m=[1.0, 3.0][n],
        )  # fmt: skip
        assert pair.range_m[n] == pytest.approx(one.range_m[0], abs=1e-6)


@pytest.mark.parametrize("from_deg", [0.0, 90.0, 180.0, 270.0, 30.0])
def test_the_aim_points_north(from_deg: float) -> None:
    wind = Wind(6.0, from_deg)
    found = longest_lines(*FAIRWAY, 22.0, AIR, wind, lines=given(0.2, 0.1, -0.02))
    release = Release(22.0, 0.9 * 22.0 / FAIRWAY[1].diameter_m, 0.2, 0.1, -0.02)
    flight = fly_many(*FAIRWAY, release, AIR, wind)
    assert found.range_m[0] == pytest.approx(flight.range_m[0], abs=1e-6)
    assert found.left_m[0] == pytest.approx(flight.left_m[0], abs=1e-6)


def test_where_nothing_comes_back_the_nearest_to_it_is_given() -> None:
    """In a gale from the left no high line lands near the aim."""
    gale = Wind(40.0, 270.0, roughness_m=0.0)
    lines = replace(LineLimits(), launch_rad=(0.15, 0.35), hyzer_rad=(-0.1, 0.1))
    found = longest_lines(*FAIRWAY, 15.0, AIR, gale, lines=lines)
    assert not found.comes_back[0]
    off = abs(math.atan2(found.left_m[0], found.range_m[0]))
    assert off > BACK_WITHIN_RAD
    rng = np.random.default_rng(3)
    others = [rng.uniform(*getattr(lines, name), 2000) for name in LineLimits.__slots__]
    spin = 0.9 * 15.0 / FAIRWAY[1].diameter_m
    flights = fly_many(*FAIRWAY, ReleaseArrays(15.0, spin, *others), AIR, gale)
    assert off < np.abs(np.arctan2(flights.left_m, flights.range_m)).min() + math.radians(1.0)


# -- the rule of thumb ------------------------------------------------------------------------


def test_the_rule_of_thumb() -> None:
    """50 mph about 300 ft, 60 about 400, 70 about 500 (common practice, no source)."""
    mph = np.array([45.0, 50.0, 55.0, 60.0, 70.0])
    feet = rule_of_thumb_m(mph * 0.44704) / 0.3048
    assert feet == pytest.approx([257.5, 300.0, 350.0, 400.0, 500.0])
    for beyond in (44.0, 71.0, math.nan):
        with pytest.raises(InputError, match="speed_m_s must be between"):
            rule_of_thumb_m(beyond * 0.44704)


# -- what is refused --------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"speed_m_s": 0.5}, "speed_m_s must be between 1 and 50 m/s, but is 0.5"),
        ({"speed_m_s": math.nan}, "speed_m_s must be between"),
        ({"speed_m_s": [20.0, 22.0], "advance_ratio": [0.4] * 3}, "3 entries but speed_m_s has 2"),
        ({"speed_m_s": [20.0, 22.0], "air": [1.2, 1.1, 1.0]}, "entries"),
        ({"advance_ratio": 0.01}, "advance_ratio must be between 0.05 and 2"),
        ({"speed_m_s": 50.0, "advance_ratio": 1.5}, "spin_rad_s must be between 5 and 300 rad/s"),
        ({"height_m": -1.0}, "release.height_m must be between"),
        ({"aero": "a driver"}, "aero must be"),
    ],
)
def test_bad_input_is_named(changes: dict[str, object], said: str) -> None:
    arguments = {"aero": FAIRWAY[0], "body": FAIRWAY[1], "speed_m_s": 22.0, "air": AIR} | changes
    with pytest.raises(InputError, match=said):
        longest_lines(**arguments)  # type: ignore[arg-type]


def test_limits_of_lines_are_checked() -> None:
    with pytest.raises(InputError, match=r"lines\.launch_rad must not begin above its end"):
        LineLimits(launch_rad=(0.3, 0.1))
    with pytest.raises(InputError, match=r"lines\.nose_rad must be between"):
        LineLimits(nose_rad=(-4.0, 0.0))
    with pytest.raises(InputError, match=r"lines\.hyzer_rad"):
        LineLimits(hyzer_rad=(math.nan, 0.0))
