"""Throws that leave what the model was checked for are told so in words; others are not."""

from __future__ import annotations

import math
import subprocess
import sys
from dataclasses import replace

import numpy as np
import pytest

from rimwise.flight.aero import Aero
from rimwise.flight.air import Air
from rimwise.flight.body import Body
from rimwise.flight.compare import realistic_throws
from rimwise.flight.domain import DOMAIN, doubt_masks, doubts
from rimwise.flight.fly import fly, fly_many
from rimwise.flight.printed import Printed, aero_from_printed
from rimwise.flight.reference import Damping, Surroundings, fly_reference
from rimwise.flight.release import Release, ReleaseArrays
from rimwise.flight.wind import Wind

NUMBERS = Printed(7, 5, -1, 2)
AERO = aero_from_printed(NUMBERS)
BODY = Body.from_printed_speed(7, 0.175)
AIR = Air.standard(0)
THROW = Release(23.0, 95.0, 0.15, 0.08, -0.01)
BREEZE = Wind(3.0, 40.0)


def codes(**changes: object) -> set[str]:
    """Codes doubted when a usual throw is changed; a flight is flown unless given as None."""
    throw = {"aero": AERO, "body": BODY, "release": THROW, "air": AIR, "wind": BREEZE} | changes
    extra = {name: throw.pop(name) for name in ("printed",) if name in throw}
    scene = {name: throw.pop(name) for name in ("ground", "ground_z_m") if name in throw}
    flight = fly(*throw.values(), **scene)  # type: ignore[arg-type]
    scene.pop("ground", None)
    return {doubt.code for doubt in doubts(*throw.values(), flight, **scene, **extra)}  # type: ignore[arg-type]


def test_a_usual_throw_is_not_doubted() -> None:
    assert codes(printed=NUMBERS) == set()
    assert doubts(AERO, BODY, THROW, AIR) == ()


def test_most_throws_an_amateur_makes_are_not_doubted() -> None:
    """Else nobody would read the warnings. A few stall, and some wind is strong."""
    parts = [list(p) for p in zip(*realistic_throws(np.random.default_rng(4), 400), strict=True)]
    masks = doubt_masks(*parts, fly_many(*parts, path_points=121))
    doubted = np.zeros(400, dtype=bool)
    for mask in masks.values():
        doubted |= mask
    assert doubted.mean() < 0.1


STEEP = replace(THROW, launch_rad=0.6, hyzer_rad=0.0)
OVERHEAD = replace(THROW, hyzer_rad=-2.2, launch_rad=0.6)
CATCH = Aero(0.33, 1.91, 0.18, 0.69, -0.17, -0.08, 0.43, cm_q_s=-0.005, cl_p_s=-0.0055)


@pytest.mark.parametrize(
    ("changes", "code"),
    [
        ({"release": STEEP}, "stalled"),
        ({"release": replace(THROW, nose_rad=-0.45)}, "air_from_above"),
        ({"release": OVERHEAD}, "on_edge"),
        ({"release": replace(THROW, spin_rad_s=20.0)}, "advance_ratio"),
        ({"release": replace(THROW, spin_rad_s=299.0)}, "advance_ratio"),
        ({"release": replace(THROW, spin_rad_s=8.0)}, "no_gyroscope"),
        ({"release": replace(THROW, wobble_rad=0.4)}, "wobble"),
        ({"release": replace(THROW, speed_m_s=9.0, spin_rad_s=40.0)}, "release_speed"),
        ({"release": replace(THROW, speed_m_s=45.0, spin_rad_s=180.0)}, "release_speed"),
        ({"release": replace(THROW, speed_m_s=5.0, spin_rad_s=25.0)}, "reynolds_number"),
        ({"printed": Printed(15, 5, -1, 2)}, "printed_speed"),
        ({"printed": Printed(7, 7, -1, 2)}, "printed_glide"),
        ({"printed": (7.0, 5.0, -5.5, 2.0)}, "printed_turn"),
        ({"printed": (7.0, 5.0, -1.0, 5.5)}, "printed_fade"),
        ({"aero": replace(AERO, cl_alpha=4.0)}, "lift_slope"),
        ({"aero": replace(AERO, cl_alpha=1.0)}, "lift_slope"),
        ({"aero": replace(AERO, cd0=0.02)}, "least_drag"),
        ({"aero": replace(AERO, cd0=0.3)}, "least_drag"),
        ({"aero": CATCH}, "damping_in_seconds"),
        ({"air": Air.standard(6000.0)}, "air_density"),
        ({"air": Air(-40.0, 1040.0, 0.5)}, "air_density"),
        ({"wind": Wind(3.0, 40.0, roughness_m=0.5)}, "rough_terrain"),
        ({"wind": Wind(15.0, 40.0)}, "strong_wind"),
        ({"ground_z_m": -80.0}, "high_in_the_wind"),
    ],
)
def test_a_throw_outside_is_told_so(changes: dict[str, object], code: str) -> None:
    assert code in codes(**changes)


def test_far_on_the_ground_is_told() -> None:
    low = replace(THROW, launch_rad=0.02, speed_m_s=28.0)
    flight = fly(AERO, BODY, low, AIR, ground="frozen", rim_width_m=0.024)
    assert np.linalg.norm(flight.rest_m - flight.landing_m) > 12.0
    assert "ground_play" in {d.code for d in doubts(AERO, BODY, low, AIR, None, flight)}
    near = fly(AERO, BODY, THROW, AIR, ground="soft")
    assert "ground_play" not in {d.code for d in doubts(AERO, BODY, THROW, AIR, None, near)}


def test_a_flight_cut_off_says_that_it_has_no_landing() -> None:
    flight = replace(fly(AERO, BODY, THROW, AIR), hang_s=60.0, landed=False)
    told = doubts(AERO, BODY, THROW, AIR, None, flight)
    assert told[0].code == "still_in_the_air"
    assert "still in the air" in told[0].sentence


def test_what_is_not_known_is_not_doubted() -> None:
    """Without a path nothing is said of angles in the air; roughness without wind is nothing."""
    steep = STEEP
    bare = fly(AERO, BODY, steep, AIR, path=False)
    assert "stalled" not in {d.code for d in doubts(AERO, BODY, steep, AIR, None, bare)}
    assert "rough_terrain" not in codes(wind=Wind(0.0, 0.0, roughness_m=0.5))
    assert "strong_wind" not in codes(wind=None)


def test_every_entry_is_complete_and_speaks_in_words() -> None:
    assert len({limit.code for limit in DOMAIN}) == len(DOMAIN)
    for limit in DOMAIN:
        assert limit.low < limit.high
        assert limit.why
        assert limit.quantity
        span = limit.high - limit.low
        for told, value in ((limit.below, limit.low - span), (limit.above, limit.high + span)):
            if told:
                sentence = limit.sentence(value)
                assert sentence[0].isupper() or sentence[0] in "-0123456789"
                assert sentence.endswith(".")
                assert "{" not in sentence
                assert limit.code not in sentence or "_" not in limit.code
        assert limit.above
        assert limit.below or limit.low == 0.0  # nothing can be less than none


def test_sentence_carries_the_share_of_the_flight() -> None:
    steep = STEEP
    doubt = next(
        d for d in doubts(AERO, BODY, steep, AIR, None, fly(AERO, BODY, steep, AIR))
        if d.code == "stalled"
    )  # fmt: skip
    assert f"{100 * doubt.value:.0f} % of its time stalled" in doubt.sentence


def test_incidence_along_a_path_is_the_reference_flights() -> None:
    """Share of a stalling flight beyond 30°, from DOP853's own velocities in the wind."""
    steep = STEEP
    wind = Wind(6.0, 200.0, roughness_m=0.05)
    east, north = wind.vector_10m_m_s
    scene = Surroundings(AIR.density_kg_m3, north, -east, 0.05)
    slow = fly_reference(AERO.curves, Damping.of(AERO), BODY, steep, scene, model="precession")
    speeds = [wind.speed_at_m_s(max(z, 0.0)) for z in slow.position_m[:, 2]]
    share = np.array(speeds) / wind.speed_at_m_s(10.0)
    air_speed = slow.velocity_m_s - share[:, None] * np.array([north, -east, 0.0])
    sine = -np.sum(air_speed * slow.axis, axis=1) / np.linalg.norm(air_speed, axis=1)
    expected = np.mean(np.abs(sine) > 0.5)
    found = doubts(AERO, BODY, steep, AIR, wind, fly(AERO, BODY, steep, AIR, wind))
    stalled = next(d.value for d in found if d.code == "stalled")
    assert 0.15 < expected < 0.9
    assert stalled == pytest.approx(expected, abs=0.02)


def test_many_and_one_are_doubted_alike() -> None:
    speeds = np.array([9.0, 23.0, 45.0])
    releases = ReleaseArrays(speeds, 4.2 * speeds, 0.15, 0.08, np.array([-0.01, -0.01, 0.9]))
    flights = fly_many(AERO, BODY, releases, AIR, BREEZE, path_points=121)
    masks = doubt_masks(AERO, BODY, releases, AIR, BREEZE, flights)
    for k, speed in enumerate(speeds):
        one = Release(speed, 4.2 * speed, 0.15, 0.08, float([-0.01, -0.01, 0.9][k]))
        found = {
            d.code for d in doubts(AERO, BODY, one, AIR, BREEZE, fly(AERO, BODY, one, AIR, BREEZE))
        }
        assert found == {code for code, mask in masks.items() if mask[min(k, len(mask) - 1)]}


def test_little_spin_leaves_the_rigid_body_as_the_entry_says() -> None:
    """Precession against the rigid body: near for usual spin, decimetres off for next to none."""
    apart = []
    for spin in (95.0, 12.0):
        release = replace(THROW, spin_rad_s=spin)
        ends = [
            fly(AERO, BODY, release, AIR, model=model, path=False).landing_m
            for model in ("precession", "rigid")
        ]
        apart.append(float(np.linalg.norm(ends[0] - ends[1])))
        told = doubts(AERO, BODY, release, AIR, None, fly(AERO, BODY, release, AIR))
        assert ("no_gyroscope" in {d.code for d in told}) == (spin < 50.0)
    assert apart[0] < 0.01
    assert apart[1] > 0.1


def test_importing_the_domain_is_light() -> None:
    code = (
        "import sys, rimwise.flight.domain;"
        "sys.exit(any(m in sys.modules for m in ('numba', 'scipy', 'metar')))"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


def test_overhead_throw_is_told_its_angle() -> None:
    told = next(d for d in doubts(AERO, BODY, OVERHEAD, AIR) if d.code == "on_edge")
    assert told.value == pytest.approx(
        math.acos(
            math.cos(-0.01) * math.cos(-2.2) * math.cos(0.6) - math.sin(-0.01) * math.sin(0.6)
        )
    )
