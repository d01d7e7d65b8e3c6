"""Jacobians of landings, against mathematics and against the reference in double precision."""

from __future__ import annotations

import math
from dataclasses import fields, replace
from typing import Any

import numpy as np
import pytest

from rimwise.errors import InputError
from rimwise.flight import sensitivity
from rimwise.flight.aero import Aero
from rimwise.flight.air import Air
from rimwise.flight.body import Body
from rimwise.flight.compare import realistic_throws
from rimwise.flight.fly import STEP_S, fly_many
from rimwise.flight.printed import Printed, aero_from_printed
from rimwise.flight.reference import Damping, Surroundings, fly_reference
from rimwise.flight.release import Release
from rimwise.flight.sensitivity import PARAMETERS, STEPS, landing_sensitivities
from rimwise.flight.wind import Wind

GRAVITY_M_S2 = 9.80665
FAIRWAY = aero_from_printed(Printed(7, 5, -1, 2))
BODY = Body.from_printed_speed(7, 0.175)
AIR = Air.standard(0)
THROW = Release(23.0, 95.0, 0.15, 0.08, -0.01)


def test_without_air_the_derivatives_are_those_of_a_parabola() -> None:
    """``hang = (w + √(w² + 2 g h)) / g`` with ``w = v sin λ``; differentiated by hand."""
    v, launch, h = 20.0, math.radians(35), 1.5
    c, s = math.cos(launch), math.sin(launch)
    root = math.sqrt((v * s) ** 2 + 2 * GRAVITY_M_S2 * h)
    hang = (v * s + root) / GRAVITY_M_S2
    hang_w, hang_h = (1 + v * s / root) / GRAVITY_M_S2, 1 / root
    got = landing_sensitivities(
        Aero(0, 0, 0, 0, 0, 0, 0), BODY, Release(v, 90.0, launch, 0.1, 0.05, height_m=h), AIR
    )
    expected = {
        "speed_m_s": (c * hang + v * c * s * hang_w, s * hang_w),
        "launch_rad": (-v * s * hang + v * c * v * c * hang_w, v * c * hang_w),
        "height_m": (v * c * hang_h, hang_h),
        "hyzer_rad": (0.0, 0.0),
        "spin_rad_s": (0.0, 0.0),
    }
    for name, (out, time) in expected.items():
        step = STEPS[name][0]
        assert got.of(name)[0] == pytest.approx([out, 0.0], rel=2e-4, abs=2e-4 / step), name
        assert got.hang_s[0, PARAMETERS.index(name)] == pytest.approx(
            time, rel=2e-4, abs=2e-5 / step
        )


def test_a_heading_turns_the_landing_about_the_tee() -> None:
    """In still air the derivative by the heading is the landing turned by a right angle."""
    throws = [replace(THROW, hyzer_rad=hyzer) for hyzer in (-0.2, 0.0, 0.3)]
    got = landing_sensitivities(FAIRWAY, BODY, throws, AIR)
    x, y = got.flights.landing_m[:, 0], got.flights.landing_m[:, 1]
    assert got.of("heading_rad") == pytest.approx(np.column_stack([-y, x]), rel=2e-3, abs=0.05)


def test_derivatives_agree_with_the_reference() -> None:
    """Central differences of DOP853 at tolerance 1e-11 with twentieths of the steps.

    Ours carry two errors: noise of single precision and of chosen steps, some tenths of a
    millimetre over the step, and curvature of long, sensitive flights. So: four of five within
    a percent, the middle one within a thousandth, and none further than a decimetre over the
    step, which moves landings by several.
    """
    throws = realistic_throws(np.random.default_rng(3), 6)
    aeros, bodies, releases, airs, winds = (list(part) for part in zip(*throws, strict=True))
    got = landing_sensitivities(aeros, bodies, releases, airs, winds)
    names = [name for name in PARAMETERS if name != "cm_q"]  # next to nothing: millimetres
    off, size = np.empty((2, len(throws), len(names)))
    for i, throw in enumerate(throws):
        for k, name in enumerate(names):
            step = STEPS[name][0] / 20
            more, less = (reference_landing(*varied(throw, name, by)) for by in (step, -step))
            slope = (more - less) / (2 * step)
            off[i, k] = np.linalg.norm(got.of(name)[i] - slope)
            size[i, k] = np.linalg.norm(slope)
    shares = off / size
    assert np.median(shares) < 0.001
    assert np.percentile(shares, 80) < 0.01
    assert (off * [STEPS[name][0] for name in names]).max() < 0.1


def varied(throw: Any, name: str, by: float) -> tuple[Aero, Body, Release, float, Wind]:
    aero, body, release, air, wind = throw
    density = air.density_kg_m3
    if name == "density_kg_m3":
        density += by
    elif name == "mass_kg":  # of the same shape
        share = 1.0 + by / body.mass_kg
        names = ("mass_kg", "axial_inertia_kg_m2", "transverse_inertia_kg_m2")
        body = replace(body, **{of: getattr(body, of) * share for of in names})
    elif hasattr(release, name):
        release = replace(release, **{name: getattr(release, name) + by})
    else:
        aero = replace(aero, **{name: getattr(aero, name) + by})
    return aero, body, release, density, wind


def reference_landing(
    aero: Aero, body: Body, release: Release, density_kg_m3: float, wind: Wind
) -> np.ndarray:
    east, north = wind.vector_10m_m_s
    scene = Surroundings(density_kg_m3, north, -east, wind.roughness_m)
    flown = fly_reference(
        aero, Damping.of(aero), body, release, scene, model="precession", points=2,
        relative_tolerance=1e-11,
    )  # fmt: skip
    return flown.position_m[-1, :2]


def test_everything_is_flown_in_one_call(monkeypatch: pytest.MonkeyPatch) -> None:
    calls = []

    def counting(*args: Any, **how: Any) -> Any:
        flown = fly_many(*args, **how)
        calls.append(len(flown))
        return flown

    monkeypatch.setattr(sensitivity, "fly_many", counting)
    got = landing_sensitivities(FAIRWAY, BODY, [THROW] * 5, AIR, Wind(3.0, 40.0), bearing_deg=70.0)
    assert calls == [5 * (2 * len(PARAMETERS) + 1)]
    assert got.landing_m.shape == (5, len(PARAMETERS), 2)
    assert np.array_equal(got.landing_m[0], got.landing_m[4])


def test_the_flights_themselves_come_along() -> None:
    wind = Wind(4.0, 20.0)
    throws = [THROW, replace(THROW, hand="left", wobble_rad=0.2)]
    how: dict[str, Any] = {
        "bearing_deg": 50.0, "ground": "firm", "ground_z_m": np.array([0.0, -3.0]),
        "rim_width_m": 0.012,
    }  # fmt: skip
    got = landing_sensitivities(FAIRWAY, BODY, throws, AIR, wind, **how)
    plain = fly_many(FAIRWAY, BODY, throws, AIR, wind, step_s=0.5 * STEP_S, **how)
    for field in fields(plain):
        assert getattr(got.flights, field.name) == pytest.approx(
            getattr(plain, field.name), abs=1e-3
        ), field.name
    assert not np.array_equal(got.rest_m, got.landing_m)
    bare = landing_sensitivities(FAIRWAY, BODY, throws, AIR, wind)
    assert np.array_equal(bare.rest_m, bare.landing_m)


def test_at_the_edge_of_the_domain_the_difference_is_one_sided() -> None:
    """On the ground, and with no damping at all; the slope is nearly that from a little inside."""
    edge = replace(THROW, height_m=0.0, launch_rad=0.3)
    inside = replace(edge, height_m=0.1)
    undamped = replace(FAIRWAY, cl_p=0.0, cm_q=0.0, cn_r=0.0)
    got = landing_sensitivities(undamped, BODY, [edge, inside], AIR)
    assert np.isfinite(got.landing_m).all()
    for name in ("height_m", "cl_p", "cn_r"):
        assert got.of(name)[0] == pytest.approx(got.of(name)[1], rel=0.1, abs=0.05), name


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        ({"aero": 3.0}, "aero must be a Aero"),
        ({"air": float("nan")}, "air must be between 0 and 2 kg/m³, but is nan"),
        ({"air": [1.2, 1.3, 3.0]}, "air must be between 0 and 2 kg/m³, but is 3 .* at position 2"),
        ({"ground_z_m": float("inf")}, "ground_z_m must be between -200 and 200 m, but is inf"),
        ({"rim_width_m": 0.5}, "rim_width_m must be between 0.005 and 0.04 m, but is 0.5"),
        ({"bearing_deg": [0.0, 1e9]}, "bearing_deg must be between -720 and 720 degrees"),
        ({"ground": "carpet"}, "ground must be one of"),
    ],
)
def test_bad_arguments_are_named(arguments: dict[str, Any], words: str) -> None:
    good: dict[str, Any] = {"aero": FAIRWAY, "body": BODY, "release": THROW, "air": 1.2}
    with pytest.raises(InputError, match=words):
        landing_sensitivities(**{**good, **arguments})


def test_a_parameter_that_is_none_is_refused() -> None:
    got = landing_sensitivities(FAIRWAY, BODY, THROW, AIR)
    with pytest.raises(InputError, match=r"parameter must be one of speed_m_s, .* is 'luck'"):
        got.of("luck")
    assert repr(got) == f"Sensitivities: 1 landings by {len(PARAMETERS)} parameters"
    assert len(got.units) == len(got.parameters) == len(STEPS)
