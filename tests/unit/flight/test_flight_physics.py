"""What must be true of any flight, whatever the coefficients."""

from __future__ import annotations

import math
import subprocess
import sys
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rimwise.flight import _prepare, _rigid, kernel, reference
from rimwise.flight import aero as aero_module
from rimwise.flight.aero import Aero
from rimwise.flight.air import Air
from rimwise.flight.body import Body
from rimwise.flight.compare import landing_differences_m, realistic_throws
from rimwise.flight.fly import fly, fly_many
from rimwise.flight.printed import Printed, aero_from_printed
from rimwise.flight.reference import Damping, Surroundings, fly_reference
from rimwise.flight.release import Release, ReleaseArrays
from rimwise.flight.wind import Wind

MILLIMETRE, CENTIMETRE = 0.001, 0.01
GRAVITY_M_S2 = 9.80665
FAIRWAY = aero_from_printed(Printed(7, 5, -1, 2))
BODY = Body.from_printed_speed(7, 0.175)
AIR = Air.standard(0)
THROW = Release(23.0, 95.0, 0.15, 0.08, -0.01)


def test_without_air_the_flight_is_a_parabola() -> None:
    release = Release(20.0, 90.0, math.radians(40), 0.1, 0.05, height_m=1.5)
    flight = fly(Aero(0, 0, 0, 0, 0, 0, 0), BODY, release, AIR)
    vx, vz = 20 * math.cos(math.radians(40)), 20 * math.sin(math.radians(40))
    hang = (vz + math.sqrt(vz**2 + 2 * GRAVITY_M_S2 * 1.5)) / GRAVITY_M_S2
    assert flight.hang_s == pytest.approx(hang, abs=1e-4)
    assert flight.landing_m == pytest.approx([vx * hang, 0.0, 0.0], abs=MILLIMETRE)
    assert flight.apex_m == pytest.approx(1.5 + vz**2 / (2 * GRAVITY_M_S2), abs=MILLIMETRE)


def test_left_hand_is_the_mirror_image() -> None:
    wind, mirrored = Wind(4.0, 30.0), Wind(4.0, -30.0)
    right = fly(FAIRWAY, BODY, replace(THROW, heading_rad=0.1), AIR, wind, ground="firm")
    left = fly(
        FAIRWAY, BODY, replace(THROW, heading_rad=-0.1, hand="left"), AIR, mirrored, ground="firm"
    )
    flip = np.array([1.0, -1.0, 1.0])
    assert left.landing_m == pytest.approx(right.landing_m * flip, abs=MILLIMETRE)
    assert left.rest_m == pytest.approx(right.rest_m * flip, abs=MILLIMETRE)
    assert left.position_m == pytest.approx(right.position_m * flip, abs=MILLIMETRE)
    assert right.left_m > 1.0  # a right-handed backhand fades left


def test_left_forehand_equals_right_backhand() -> None:
    one = fly(FAIRWAY, BODY, THROW, AIR)
    other = fly(FAIRWAY, BODY, replace(THROW, hand="left", style="forehand"), AIR)
    assert np.array_equal(one.position_m, other.position_m)


def test_uniform_wind_is_a_change_of_frame() -> None:
    """Galilean invariance: flying in a uniform wind is flying in still air that moves."""
    wind = Wind(6.0, 60.0, roughness_m=0.0)
    drift = np.array([wind.vector_10m_m_s[1], -wind.vector_10m_m_s[0], 0.0])
    windy = fly(FAIRWAY, BODY, THROW, AIR, wind)
    state = np.array([23 * math.cos(0.15), 0.0, 23 * math.sin(0.15)]) - drift
    speed = float(np.linalg.norm(state))
    heading = math.atan2(state[1], state[0])
    launch = math.asin(state[2] / speed)
    # The same disc attitude, described relative to the new velocity.
    hyzer, nose = _attitude(windy.axis[0], heading, launch)
    still = fly(FAIRWAY, BODY, Release(speed, 95.0, launch, hyzer, nose, heading), AIR)
    assert still.hang_s == pytest.approx(windy.hang_s, abs=1e-4)
    assert still.landing_m + drift * still.hang_s == pytest.approx(
        windy.landing_m, abs=2 * MILLIMETRE
    )


def _attitude(axis: np.ndarray, heading: float, launch: float) -> tuple[float, float]:
    """Hyzer and nose of an axis relative to a velocity (right-handed backhand)."""
    ch, sh, cl, sl = math.cos(heading), math.sin(heading), math.cos(launch), math.sin(launch)
    forward, left = np.array([ch * cl, sh * cl, sl]), np.array([-sh, ch, 0.0])
    up = np.cross(forward, left)
    return math.atan2(axis @ left, axis @ up), math.asin(-(axis @ forward))


@pytest.mark.parametrize("turn_deg", [37.0, 120.0, 261.0])
def test_turning_the_whole_scene_changes_nothing(turn_deg: float) -> None:
    straight = fly(FAIRWAY, BODY, THROW, AIR, Wind(5.0, 75.0), bearing_deg=10.0)
    turned = fly(FAIRWAY, BODY, THROW, AIR, Wind(5.0, 75.0 + turn_deg), bearing_deg=10.0 + turn_deg)
    assert turned.landing_m == pytest.approx(straight.landing_m, abs=MILLIMETRE)
    # A heading to the left is the same as an aim line turned to the left.
    headed = fly(FAIRWAY, BODY, replace(THROW, heading_rad=0.3), AIR)
    c, s = math.cos(0.3), math.sin(0.3)
    plain = fly(FAIRWAY, BODY, THROW, AIR).landing_m
    rotated = [c * plain[0] - s * plain[1], s * plain[0] + c * plain[1], plain[2]]
    assert headed.landing_m == pytest.approx(rotated, abs=MILLIMETRE)


def test_energy_never_rises_without_wind() -> None:
    for aero, body, release, air, _wind in realistic_throws(np.random.default_rng(7), 40):
        scene = Surroundings(air.density_kg_m3)
        flight = fly_reference(
            aero.curves, Damping.of(aero), body, release, scene, model="precession"
        )
        energy = GRAVITY_M_S2 * flight.position_m[:, 2] + 0.5 * np.sum(
            flight.velocity_m_s**2, axis=1
        )
        assert np.diff(energy).max() <= 1e-6
        assert np.diff(flight.spin_rad_s).max() <= 1e-6


def test_integrator_converges_at_fourth_order() -> None:
    """Halving a step divides a throw's error by about sixteen: the middle ratio of many throws."""
    parts = [list(p) for p in zip(*realistic_throws(np.random.default_rng(8), 200), strict=True)]

    def landings(step_s: float) -> np.ndarray:
        return fly_many(*parts, step_s=step_s).landing_m

    exact = landings(1 / 64)
    coarse, fine = (np.linalg.norm(landings(step) - exact, axis=1) for step in (0.2, 0.1))
    assert 8.0 < np.median(coarse / fine) < 32.0


def test_kernel_agrees_with_dop853_to_a_centimetre() -> None:
    """All but one in a hundred at least; near a standstill in the air, small differences grow.

    Of 10,000 throws it is six (``tools/compare_with_dop853.py``).
    """
    throws = realistic_throws(np.random.default_rng(11), 200)
    differences = landing_differences_m(throws)
    assert np.percentile(differences, 99.0) < CENTIMETRE
    assert differences.max() < 10.0 * CENTIMETRE
    assert np.median(differences) < MILLIMETRE


def test_fly_and_fly_many_and_threads_agree_to_the_bit() -> None:
    rng = np.random.default_rng(3)
    count = 1500
    releases = ReleaseArrays(
        rng.uniform(14, 30, count), 95.0, rng.uniform(0, 0.3, count), rng.uniform(-0.2, 0.4, count),
        rng.uniform(-0.05, 0.05, count), side=np.where(rng.random(count) < 0.5, 1.0, -1.0),
    )  # fmt: skip
    one = fly_many(FAIRWAY, BODY, releases, AIR, Wind(3, 45), threads=1, path_points=7)
    two = fly_many(FAIRWAY, BODY, releases, AIR, Wind(3, 45), threads=3, path_points=7)
    assert one.landing_m.tobytes() == two.landing_m.tobytes()
    assert one.path_m.tobytes() == two.path_m.tobytes()
    single = fly(
        FAIRWAY, BODY,
        Release(*(float(getattr(releases, n)[5]) for n in ("speed_m_s",)), 95.0,
                float(releases.launch_rad[5]), float(releases.hyzer_rad[5]),
                float(releases.nose_rad[5]), hand="right" if releases.side[5] > 0 else "left"),
        AIR, Wind(3, 45),
    )  # fmt: skip
    assert single.landing_m.tobytes() == one.landing_m[5].tobytes()


def test_path_begins_in_the_hand_and_ends_on_the_ground() -> None:
    flight = fly(FAIRWAY, BODY, THROW, AIR, Wind(3, 45))
    assert flight.position_m[0] == pytest.approx([0, 0, 1.2], abs=1e-6)
    assert np.array_equal(flight.position_m[-1], flight.landing_m)
    assert flight.time_s[-1] == flight.hang_s
    assert np.linalg.norm(flight.axis, axis=1) == pytest.approx(1.0, abs=1e-6)
    assert flight.position_m[:, 2].max() == pytest.approx(flight.apex_m, abs=CENTIMETRE)
    bare = fly(FAIRWAY, BODY, THROW, AIR, Wind(3, 45), path=False)
    assert bare.position_m.shape == (0, 3)
    assert bare.time_s.shape == (0,)
    assert np.array_equal(bare.landing_m, flight.landing_m)


def test_path_agrees_with_the_reference_in_between() -> None:
    flight = fly(FAIRWAY, BODY, THROW, AIR)
    scene = Surroundings(AIR.density_kg_m3)
    slow = fly_reference(
        FAIRWAY.curves, Damping.of(FAIRWAY), BODY, THROW, scene, model="precession"
    )
    assert flight.position_m == pytest.approx(slow.position_m, abs=CENTIMETRE)
    assert flight.axis == pytest.approx(slow.axis, abs=0.002)
    assert flight.spin_rad_s == pytest.approx(slow.spin_rad_s, rel=1e-4)


def test_lower_landing_area_is_further_and_higher_nearer() -> None:
    ranges = fly_many(FAIRWAY, BODY, THROW, AIR, ground_z_m=np.array([-8.0, 0.0, 2.0])).landing_m
    assert ranges[:, 2] == pytest.approx([-8.0, 0.0, 2.0], abs=1e-4)
    assert np.all(np.diff(ranges[:, 0]) < 0)
    above = fly(FAIRWAY, BODY, THROW, AIR, ground_z_m=100.0)  # never gets up there
    assert above.landed
    assert above.landing_m[2] == pytest.approx(above.apex_m, abs=0.1)


def test_a_flight_without_end_is_cut_off(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(kernel, "TIME_CAP_S", 1.0)
    flight = fly(FAIRWAY, BODY, THROW, AIR)
    assert not flight.landed
    assert flight.hang_s == 1.0
    assert np.isfinite(flight.position_m).all()


def test_stalled_disc_falls_no_faster_than_a_plate() -> None:
    """Dropped flat: terminal speed of a plate with CN 1.17, sqrt(2 m g / (rho A CN))."""
    drop = Release(1.0, 90.0, -math.pi / 2, 0.0, 0.0, height_m=50.0)
    flat = replace(drop, nose_rad=math.pi / 2)  # falls straight onto its underside
    flight = fly(FAIRWAY, BODY, flat, AIR)
    area = math.pi * BODY.diameter_m**2 / 4
    terminal = math.sqrt(2 * 0.175 * GRAVITY_M_S2 / (AIR.density_kg_m3 * area * 1.17))
    assert -flight.landing_velocity_m_s[2] == pytest.approx(terminal, rel=0.03)


angle = st.floats(-1.5, 1.5)


@settings(max_examples=60, deadline=None)
@given(
    st.floats(1, 50), st.floats(5, 300), angle, st.floats(-3.1, 3.1), angle,
    st.floats(0, 25), st.floats(0, 360), st.floats(-30, 30),
)  # fmt: skip
def test_anything_thrown_lands_somewhere_finite(
    speed: float, spin: float, launch: float, hyzer: float, nose: float,
    wind: float, wind_from: float, ground_z: float,
) -> None:  # fmt: skip
    flight = fly(
        FAIRWAY, BODY, Release(speed, spin, launch, hyzer, nose), AIR, Wind(wind, wind_from),
        ground="hard", ground_z_m=ground_z,
    )  # fmt: skip
    for values in (flight.position_m, flight.axis, flight.spin_rad_s, flight.rest_m):
        assert np.isfinite(values).all()
    assert math.isfinite(flight.hang_s)
    assert flight.apex_m >= 1.2 - 1e-6


_PLAIN = """
from rimwise.flight.compare import realistic_throws
from rimwise.flight.fly import fly_many
import numpy as np
parts = [list(p) for p in zip(*realistic_throws(np.random.default_rng(2), 3))]
print(fly_many(*parts, path_points=3).landing_m.tolist())
"""


def test_compiled_equals_plain_python() -> None:
    """The same source without the compiler lands in the same place (fast-math rounding apart)."""
    plain = subprocess.run(
        [sys.executable, "-W", "ignore", "-c", _PLAIN], capture_output=True, text=True, check=True,
        env={"NUMBA_DISABLE_JIT": "1", "PATH": ""},
    )  # fmt: skip
    parts = [list(p) for p in zip(*realistic_throws(np.random.default_rng(2), 3), strict=True)]
    compiled = fly_many(*parts, path_points=3).landing_m
    assert np.array(eval(plain.stdout)) == pytest.approx(compiled, abs=2 * MILLIMETRE)  # noqa: S307


@pytest.mark.parametrize("module", ["air", "wind", "body", "aero", "printed", "release", "fly"])
def test_importing_is_light(module: str) -> None:
    code = (
        f"import sys, rimwise.flight.{module};"
        "sys.exit(any(m in sys.modules for m in ('numba', 'scipy', 'metar')))"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


def test_kernel_and_curves_share_their_stall_constants() -> None:
    """Compiled files keep their own copies: numba's cache only watches the function's file."""
    assert float(kernel._STALL_FROM) == aero_module.STALL_FROM_SIN
    assert float(kernel._STALL_TO) == pytest.approx(aero_module.STALL_TO_SIN)
    assert _prepare._PLATE_CM == aero_module.PLATE_CM_SHARE
    assert float(kernel._GRAVITY) == pytest.approx(reference.GRAVITY_M_S2)
    assert float(kernel._SLOWEST2) == pytest.approx(reference.MAX_PRECESSION_RAD_S**-2)
    for name in ("STALL_FROM_SIN", "STALL_TO_SIN", "PLATE_CM_SHARE"):
        assert getattr(_rigid, name) == getattr(aero_module, name)
    assert _rigid.MAX_PRECESSION_RAD_S == reference.MAX_PRECESSION_RAD_S


def test_kernel_functions_are_accurate() -> None:
    """The polynomial arcsine and logarithm against NumPy's, on the range they are used on."""
    sines = np.linspace(-0.7, 0.7, 701, dtype=np.float32)
    arcs = np.array([kernel._arcsine.py_func(s) for s in sines])  # type: ignore[attr-defined]
    assert np.abs(arcs - np.arcsin(sines.astype(float))).max() < 2e-6
    heights = np.geomspace(0.005, 300, 500).astype(np.float32)
    logs = np.array([kernel._logarithm.py_func(h) for h in heights])  # type: ignore[attr-defined]
    assert np.abs(logs - np.log(heights.astype(float))).max() < 2e-6


def test_stalled_flights_agree_with_the_reference_too() -> None:
    """Thrown so steeply that it stalls and slides back: same equations, same landing."""
    steep = Release(20.0, 95.0, 1.2, 0.2, 0.3)
    fast = fly(FAIRWAY, BODY, steep, AIR)
    scene = Surroundings(AIR.density_kg_m3)
    slow = fly_reference(
        FAIRWAY.curves, Damping.of(FAIRWAY), BODY, steep, scene, model="precession"
    )
    assert fast.landing_m == pytest.approx(slow.position_m[-1], abs=0.1)


def test_rigid_model_is_reached_through_fly() -> None:
    """Same frame, same names, close to the production model; ground play included."""
    fast = fly(FAIRWAY, BODY, THROW, AIR, Wind(4, 30), ground="firm", rim_width_m=0.012)
    rigid = fly(
        FAIRWAY, BODY, THROW, AIR, Wind(4, 30), model="rigid", ground="firm", rim_width_m=0.012
    )
    assert rigid.landing_m == pytest.approx(fast.landing_m, abs=0.2)
    assert rigid.rest_m == pytest.approx(fast.rest_m, abs=0.3)
    assert rigid.apex_m == pytest.approx(fast.apex_m, abs=0.05)
    assert rigid.position_m.shape == fast.position_m.shape
    bare = fly(FAIRWAY, BODY, THROW, AIR, Wind(4, 30), model="rigid", path=False)
    assert bare.position_m.shape == (0, 3)
    sharper = fly(FAIRWAY, BODY, THROW, AIR, Wind(4, 30), ground="firm", rim_width_m=0.024)
    assert sharper.rest_m[0] > fast.rest_m[0]
