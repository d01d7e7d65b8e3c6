"""What no choice of disc, throw or weather may break: symmetry, frames, energy, continuity."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from rimwise.errors import InputError
from rimwise.flight import kernel
from rimwise.flight.aero import STALL_FROM_SIN, STALL_TO_SIN, Aero
from rimwise.flight.air import Air
from rimwise.flight.body import Body
from rimwise.flight.compare import realistic_throws
from rimwise.flight.fly import fly, fly_many
from rimwise.flight.printed import Printed, aero_from_printed
from rimwise.flight.release import Release, ReleaseArrays
from rimwise.flight.wind import Wind, WindArrays

GRAVITY_M_S2 = 9.80665
#: Single precision: a flight of 100 m is known to some tenths of a millimetre.
ROUNDING_M = 0.003
AIR = Air.standard(0)
MANY = settings(max_examples=60, deadline=None)

discs = st.builds(
    Printed, st.floats(1, 15), st.floats(1, 7), st.floats(-5, 1), st.floats(0, 5)
).map(lambda numbers: (aero_from_printed(numbers), Body.from_printed_speed(numbers.speed, 0.17)))
throws = st.builds(
    Release,
    speed_m_s=st.floats(5, 38),
    spin_rad_s=st.floats(40, 160),
    launch_rad=st.floats(-0.2, 0.9),
    hyzer_rad=st.floats(-1.2, 1.2),
    nose_rad=st.floats(-0.3, 0.5),
    heading_rad=st.floats(-0.6, 0.6),
    height_m=st.floats(0.5, 3.0),
    hand=st.sampled_from(["right", "left"]),
    style=st.sampled_from(["backhand", "forehand"]),
)
winds = st.builds(
    Wind, st.floats(0, 14), st.floats(0, 360), roughness_m=st.sampled_from([0.0, 0.003, 0.03, 0.1])
)


@MANY
@given(discs, throws, winds, st.sampled_from([None, "firm", "hard"]))
def test_the_other_hand_is_the_mirror_image(
    disc: Any, throw: Release, wind: Wind, ground: str | None
) -> None:
    """Every sideways quantity changes its sign, and nothing else changes."""
    other = replace(
        throw, heading_rad=-throw.heading_rad, hand="left" if throw.hand == "right" else "right"
    )
    mirrored = Wind(wind.speed_m_s, 360.0 - wind.from_deg, roughness_m=wind.roughness_m)
    one = fly(*disc, throw, AIR, wind, ground=ground)
    two = fly(*disc, other, AIR, mirrored, ground=ground)
    flip = np.array([1.0, -1.0, 1.0])
    assert two.landing_m == pytest.approx(one.landing_m * flip, abs=ROUNDING_M)
    assert two.landing_axis == pytest.approx(one.landing_axis * flip, abs=1e-3)
    assert two.position_m == pytest.approx(one.position_m * flip, abs=ROUNDING_M)
    assert two.hang_s == pytest.approx(one.hang_s, abs=1e-4)


@MANY
@given(discs, throws, winds, st.floats(-360, 360))
def test_turning_the_scene_turns_nothing_in_it(
    disc: Any, throw: Release, wind: Wind, turn_deg: float
) -> None:
    straight = fly(*disc, throw, AIR, wind)
    turned_wind = Wind(wind.speed_m_s, wind.from_deg + turn_deg, roughness_m=wind.roughness_m)
    turned = fly(*disc, throw, AIR, turned_wind, bearing_deg=turn_deg)
    assert turned.position_m == pytest.approx(straight.position_m, abs=ROUNDING_M)


@MANY
@given(discs, throws, st.floats(-0.5, 0.5))
def test_a_heading_turns_the_whole_flight(disc: Any, throw: Release, more_rad: float) -> None:
    """Without wind every direction is like every other."""
    one = fly(*disc, throw, AIR).position_m
    two = fly(*disc, replace(throw, heading_rad=throw.heading_rad + more_rad), AIR).position_m
    c, s = math.cos(more_rad), math.sin(more_rad)
    turned = one @ np.array([[c, s, 0.0], [-s, c, 0.0], [0.0, 0.0, 1.0]])
    assert two == pytest.approx(turned, abs=ROUNDING_M)


@MANY
@given(discs, throws, st.floats(0, 12), st.floats(0, 360))
def test_uniform_wind_is_still_air_that_moves(
    disc: Any, throw: Release, speed_m_s: float, from_deg: float
) -> None:
    """Galilean invariance, whatever the attitude."""
    wind = Wind(speed_m_s, from_deg, roughness_m=0.0)
    east, north = wind.vector_10m_m_s
    drift = np.array([north, -east, 0.0])
    windy = fly(*disc, throw, AIR, wind)
    try:
        seen = seen_from_the_air(throw, drift, windy.axis[0])
    except InputError:  # hardly any wind over the disc: slower than a release may be
        assume(False)
    still = fly(*disc, seen, AIR)
    assert still.hang_s == pytest.approx(windy.hang_s, abs=2e-4)
    assert still.landing_m + drift * still.hang_s == pytest.approx(
        windy.landing_m, abs=2 * ROUNDING_M
    )


def seen_from_the_air(throw: Release, drift: np.ndarray, axis: np.ndarray) -> Release:
    """The same release described by someone who drifts with the air."""
    cl, sl = math.cos(throw.launch_rad), math.sin(throw.launch_rad)
    ch, sh = math.cos(throw.heading_rad), math.sin(throw.heading_rad)
    velocity = throw.speed_m_s * np.array([ch * cl, sh * cl, sl]) - drift
    speed = float(np.linalg.norm(velocity))
    forward = velocity / speed
    heading = math.atan2(forward[1], forward[0])
    left = np.array([-math.sin(heading), math.cos(heading), 0.0])
    up = np.cross(forward, left)
    return replace(
        throw, speed_m_s=speed, launch_rad=math.asin(forward[2]), heading_rad=heading,
        hyzer_rad=math.atan2(float(axis @ left), float(axis @ up)) * throw.side,
        nose_rad=math.asin(max(-1.0, min(1.0, -float(axis @ forward)))),
    )  # fmt: skip


@MANY
@given(discs, throws, winds, st.floats(0, 20))
def test_only_the_height_over_the_ground_counts(
    disc: Any, throw: Release, wind: Wind, lower_m: float
) -> None:
    """Hand and landing area moved down together, wind profile and all."""
    high = replace(throw, height_m=throw.height_m + lower_m)
    one = fly(*disc, high, AIR, wind)
    two = fly(*disc, throw, AIR, wind, ground_z_m=-lower_m)
    shift = np.array([0.0, 0.0, lower_m])
    assert two.position_m + shift == pytest.approx(one.position_m, abs=ROUNDING_M)
    assert two.apex_m + lower_m == pytest.approx(one.apex_m, abs=ROUNDING_M)


def test_energy_and_spin_never_rise_without_wind(monkeypatch: pytest.MonkeyPatch) -> None:
    """Of 300 throws, stopped every eighth of a second: height and speed of the kernel's states."""
    parts = [list(p) for p in zip(*realistic_throws(np.random.default_rng(21), 300), strict=True)]
    steep = [replace(r, launch_rad=1.3, nose_rad=0.7) for r in parts[2][:100]]
    parts[2][:100] = steep  # a third stalls
    before = np.array([0.5 * r.speed_m_s**2 + GRAVITY_M_S2 * r.height_m for r in parts[2]])
    spin = np.array([r.spin_rad_s for r in parts[2]])
    for cap_s in np.arange(0.125, 8.0, 0.125):
        monkeypatch.setattr(kernel, "TIME_CAP_S", float(cap_s))
        flights = fly_many(*parts[:4])
        speed2 = np.sum(flights.landing_velocity_m_s**2, axis=1)
        energy = 0.5 * speed2 + GRAVITY_M_S2 * flights.landing_m[:, 2]
        assert (energy <= before * (1.0 + 2e-6)).all()
        assert (flights.landing_spin_rad_s <= spin * (1.0 + 1e-6)).all()
        before, spin = energy, flights.landing_spin_rad_s
    assert flights.landed.mean() > 0.9


def test_a_lift_alone_takes_no_energy() -> None:
    """No drag, no plate: speed is only traded for height (fourth-order steps, one in 10,000)."""
    aero = Aero(0.1, 2.0, 0.0, 0.0, 0.0, 0.0, 0.02, plate_cn=0.0)
    throw = Release(22.0, 100.0, 0.15, 0.1, 0.02, height_m=1.5)
    flight = fly(aero, Body.from_printed_speed(7, 0.175), throw, AIR)
    before = 0.5 * 22.0**2 + GRAVITY_M_S2 * 1.5
    after = 0.5 * float(flight.landing_velocity_m_s @ flight.landing_velocity_m_s)
    assert after == pytest.approx(before, rel=1e-4)


# -- the stall blend --------------------------------------------------------------------------

ANY_AERO = st.builds(
    Aero, st.floats(-0.3, 0.6), st.floats(0, 5), st.floats(0.02, 0.3), st.floats(0, 4),
    st.floats(-0.3, 0.1), st.floats(-0.1, 0.1), st.floats(-0.2, 0.5),
)  # fmt: skip


@MANY
@given(ANY_AERO, st.sampled_from([STALL_FROM_SIN, STALL_TO_SIN]), st.sampled_from([-1.0, 1.0]))
def test_curves_and_their_slopes_pass_the_ends_of_the_blend(
    aero: Aero, sine: float, side: float
) -> None:
    """No step, and no kink: slopes a microradian to either side are equal."""
    at, h = side * math.asin(sine), 1e-6
    below, here, above = (np.array(aero.curves(at + k * h)) for k in (-1, 0, 1))
    assert above == pytest.approx(below, abs=1e-4)
    assert (above - here) / h == pytest.approx((here - below) / h, abs=1e-3)


@pytest.mark.parametrize("side", [-1.0, 1.0])
def test_landings_pass_through_the_blend_without_a_jump(side: float) -> None:
    """Nose angles of 25° to 50° in steps of 0.02°, and of half of that: jumps halve, too."""
    aero, body = aero_from_printed(Printed(7, 5, -1, 2)), Body.from_printed_speed(7, 0.175)

    def largest_jump(count: int) -> float:
        nose = side * np.radians(np.linspace(25.0, 50.0, count))
        throw = ReleaseArrays(20.0, 95.0, 0.2, 0.1, nose)
        landing = fly_many(aero, body, throw, AIR).landing_m
        return float(np.linalg.norm(np.diff(landing, axis=0), axis=1).max())

    coarse, fine = largest_jump(1251), largest_jump(2501)
    assert coarse < 0.1
    assert fine == pytest.approx(coarse / 2, rel=0.2)


@MANY
@given(discs, throws, st.floats(1e-5, 1e-4))
def test_a_little_more_of_anything_moves_the_landing_little(
    disc: Any, throw: Release, little: float
) -> None:
    """A throw changed by some hundredths of a degree and of a per mille lands within 0.3 m."""
    names = ("launch_rad", "hyzer_rad", "nose_rad", "heading_rad")
    nudged = replace(
        throw, speed_m_s=throw.speed_m_s * (1 + little),
        **{name: getattr(throw, name) + little for name in names},
    )  # fmt: skip
    one, two = (fly(*disc, each, AIR, path=False) for each in (throw, nudged))
    assert np.linalg.norm(one.landing_m - two.landing_m) < 0.3


def test_neighbours_in_a_batch_do_not_matter() -> None:
    """A flight among 500 others, of other lengths, lands where it lands alone, to the bit."""
    throws_ = realistic_throws(np.random.default_rng(31), 500)
    parts = [list(p) for p in zip(*throws_, strict=True)]
    east, north = np.array([w.vector_10m_m_s for w in parts[4]]).T
    winds_ = WindArrays(east, north, np.array([w.roughness_m for w in parts[4]]))
    together = fly_many(*parts[:4], winds_).landing_m
    for k in (0, 17, 250, 499):
        alone = fly_many(*(part[k] for part in parts)).landing_m[0]
        assert alone.tobytes() == together[k].tobytes()
