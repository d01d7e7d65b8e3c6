"""The rigid body against a second one, written the way textbooks do, and other integrators.

The twin turns with the disc: Euler's equations with all three moments of inertia in axes
fixed in the disc, a quaternion for the attitude (Goldstein 2002, Classical Mechanics, memory),
loads from :meth:`Aero.curves`. It shares no line with the flown equations.
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest
from authority_tables import coefficient_sets
from scipy.integrate import solve_ivp
from scipy.spatial.transform import Rotation

from rimwise.errors import InputError
from rimwise.flight import _rigid, reference
from rimwise.flight.aero import Aero
from rimwise.flight.body import Body
from rimwise.flight.compare import fly_throw, realistic_throws
from rimwise.flight.reference import Damping, Surroundings, fly_reference
from rimwise.flight.release import Release

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import NDArray

    from rimwise.flight.compare import Throw

    Floats = NDArray[np.float64]

THROWS = realistic_throws(np.random.default_rng(61), 4, wobble_rad=0.1)
# Catch disc as measured by Hummel (2003), about whose flights the published sets speak.
CATCH_DISC = Body(0.175, 0.2694, 0.002352, 0.001219)


def scene_of(throw: Throw) -> Surroundings:
    """Still air of the throw's density."""
    return Surroundings(throw[3].density_kg_m3)


def twin_rates(throw: Throw) -> Callable[[float, Floats], Floats]:
    """Rates of position, velocity, quaternion (x y z w, disc to scene) and body rates."""
    aero, body, _release, air, _wind = throw
    inertia = np.array(
        [body.transverse_inertia_kg_m2, body.transverse_inertia_kg_m2, body.axial_inertia_kg_m2]
    )
    area = math.pi * body.diameter_m**2 / 4.0

    def rates(_t: float, y: Floats) -> Floats:
        turn = Rotation.from_quat(y[6:10]).as_matrix()
        spin = y[10:13]
        wind_in_disc = turn.T @ y[3:6]
        speed = np.linalg.norm(wind_in_disc)
        alpha = math.atan2(-wind_in_disc[2], math.hypot(wind_in_disc[0], wind_in_disc[1]))
        lift, drag, moment = aero.curves(alpha)
        push = 0.5 * air.density_kg_m3 * speed**2 * area
        ahead = np.array([wind_in_disc[0], wind_in_disc[1], 0.0])
        ahead /= np.linalg.norm(ahead)
        nose_up = np.cross(ahead, [0.0, 0.0, 1.0])
        up = np.cross(nose_up, wind_in_disc / speed)
        force = turn @ (push * (lift * up - drag * wind_in_disc / speed))
        lag = body.diameter_m / (2.0 * speed)
        scale = push * body.diameter_m
        torque = scale * (moment + (aero.cm_q_s + aero.cm_q * lag) * (spin @ nose_up)) * nose_up
        torque += scale * (aero.cl_p_s + aero.cl_p * lag) * (spin @ ahead) * ahead
        torque[2] += (aero.cn_r_n_m_s + scale * aero.cn_r * lag) * spin[2]
        x, y_, z, w = y[6:10]
        p, q, r = spin
        quaternion = 0.5 * np.array([
            w * p + y_ * r - z * q, w * q + z * p - x * r,
            w * r + x * q - y_ * p, -x * p - y_ * q - z * r,
        ])  # fmt: skip
        fall = np.array([0.0, 0.0, -9.80665])
        return np.concatenate([
            y[3:6], force / body.mass_kg + fall, quaternion,
            (torque - np.cross(spin, inertia * spin)) / inertia,
        ])  # fmt: skip

    return rates


def test_a_second_rigid_body_flies_the_same_way() -> None:
    """Euler's equations and a quaternion against axis and angular momentum: to 10 µm.

    Over the first quarter of a flight, in which the wobble dies away.
    """
    throw = THROWS[0]
    _aero, body, release, _air, _wind = throw
    flight = fly_reference(
        throw[0], Damping.of(throw[0]), body, release, scene_of(throw), points=5,
        wobble_phase_rad=0.7,
    )  # fmt: skip
    axis, momentum = flight.axis[0], flight.angular_momentum_kg_m2_s[0]
    side = np.cross(axis, [1.0, 0.0, 0.0])
    side /= np.linalg.norm(side)
    turn = np.column_stack([side, np.cross(axis, side), axis])
    inertia = [body.transverse_inertia_kg_m2] * 2 + [body.axial_inertia_kg_m2]
    start = np.concatenate([
        flight.position_m[0], flight.velocity_m_s[0], Rotation.from_matrix(turn).as_quat(),
        turn.T @ momentum / inertia,
    ])  # fmt: skip
    solution: Any = solve_ivp(
        twin_rates(throw), (0.0, flight.time_s[1]), start, method="DOP853", rtol=1e-8, atol=1e-9
    )
    end = solution.y[:, -1]
    assert flight.time_s[1] > 0.5
    assert end[0:3] == pytest.approx(flight.position_m[1], abs=1e-5)
    assert end[3:6] == pytest.approx(flight.velocity_m_s[1], abs=1e-5)
    assert Rotation.from_quat(end[6:10]).as_matrix()[:, 2] == pytest.approx(
        flight.axis[1], abs=1e-6
    )
    assert abs(end[12]) == pytest.approx(flight.spin_rad_s[1], rel=1e-7)


@pytest.mark.parametrize("method", ["DOP853", "LSODA"])
def test_other_integrators_land_in_the_same_place(method: str) -> None:
    """SciPy's other DOP853, in Python, and a multistep method on the same compiled rates."""
    throw = THROWS[2]
    aero, body, release = throw[:3]
    flight = fly_reference(aero, Damping.of(aero), body, release, scene_of(throw), points=2)
    p = reference._constants(scene_of(throw), body, aero, Damping.of(aero), {})
    start = reference._start(body, release, True, 0.0)
    solution: Any = solve_ivp(
        _rigid.rigid, (0.0, flight.time_s[-1]), start, args=(p,), method=method,
        rtol=1e-10, atol=1e-12,
    )  # fmt: skip
    assert solution.y[:3, -1] == pytest.approx(flight.position_m[-1], abs=1e-5)


def test_free_disc_keeps_angular_momentum_and_energy() -> None:
    """Without air: H to the last digits, and the energy of turning, half ω·H."""
    nothing = Aero(0, 0, 0, 0, 0, 0, 0)
    for _aero, body, release, air, _wind in THROWS:
        wobbling = replace(release, wobble_rad=0.35)
        flight = fly_reference(
            nothing, Damping(), body, wobbling, Surroundings(air.density_kg_m3), points=301
        )
        momentum = flight.angular_momentum_kg_m2_s
        assert momentum == pytest.approx(np.broadcast_to(momentum[0], momentum.shape), abs=1e-13)
        along = np.einsum("ij,ij->i", momentum, flight.axis)
        across = (momentum**2).sum(axis=1) - along**2
        energy = 0.5 * (
            along**2 / body.axial_inertia_kg_m2 + across / body.transverse_inertia_kg_m2
        )
        assert energy == pytest.approx(energy[0], rel=1e-7)
        assert across.min() > 0.05 * (along**2).min()  # it does wobble


def test_air_only_takes_flying_energy_away() -> None:
    """Lift is square to the motion and drag against it, however the disc wobbles."""
    for throw in THROWS:
        aero, body, release = throw[:3]
        flight = fly_reference(aero, Damping.of(aero), body, release, scene_of(throw), points=101)
        energy = 0.5 * body.mass_kg * (flight.velocity_m_s**2).sum(axis=1)
        energy += body.mass_kg * 9.80665 * flight.position_m[:, 2]
        assert np.diff(energy).max() < 1e-9 * energy[0]


@pytest.mark.parametrize("name", sorted(coefficient_sets()))
def test_published_catch_discs_precess_like_the_rigid_body(name: str) -> None:
    """Any throw of the published sets, 10–20 m/s, advance ratio 0.35–0.9: 95 % within 0.15 m.

    Hummel 2003; Hummel and Hubbard 2002; Crowther and Potts 2007.
    """
    rng = np.random.default_rng(62)
    apart = []
    for throw in realistic_throws(rng, 30):
        speed = float(rng.uniform(10, 20))
        spin = float(2 * rng.uniform(0.35, 0.9) * speed / CATCH_DISC.diameter_m)
        release = replace(throw[2], speed_m_s=speed, spin_rad_s=spin)
        own: Throw = (coefficient_sets()[name], CATCH_DISC, release, *throw[3:])
        averaged = fly_throw(own, "precession", nod_share=0.5).position_m[-1]
        apart.append(np.linalg.norm(averaged - fly_throw(own, "rigid").position_m[-1]))
    assert np.percentile(apart, 95) < 0.15


def test_a_curve_that_is_not_a_number_is_refused() -> None:
    """Instead of a landing somewhere."""
    with pytest.raises(InputError, match="curves must be finite and smooth"):
        fly_reference(
            lambda _alpha: (math.nan, 0.1, 0.0), Damping(), CATCH_DISC,
            Release(14.0, 50.0, 0.1, 0.0, 0.1), Surroundings(1.2),
        )  # fmt: skip


def test_thrown_down_from_below_the_landing_area_it_stays() -> None:
    """A disc that never gets above a higher landing area stays where it starts to fall."""
    aero, body, release = THROWS[3][:3]
    down = replace(release, launch_rad=-0.2)
    for model in ("precession", "rigid"):
        flight = fly_reference(
            aero, Damping.of(aero), body, down, Surroundings(1.2, ground_z_m=30.0), model=model
        )
        assert flight.landed
        assert flight.time_s[-1] == 0.0
        assert flight.position_m[-1] == pytest.approx([0.0, 0.0, release.height_m])
