"""The equations in double precision under an adaptive eighth-order method (SciPy DOP853).

Two models share every force and moment: the full rigid body with both moments of inertia,
whose axis nutates, and gyroscopic precession with the nutation averaged out, which is what
the kernel computes. Slow and plain on purpose: this is what the kernel is checked against.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Literal

import numpy as np

from rimwise.errors import InputError

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import NDArray

    from rimwise.flight.aero import Aero
    from rimwise.flight.body import Body
    from rimwise.flight.release import Release

__all__ = ["Damping", "ReferenceFlight", "Surroundings", "fly_reference"]

GRAVITY_M_S2 = 9.80665  # ISO 80000-3, standard acceleration of free fall
TIME_CAP_S = 60.0
# Precession means little when the axis turns as fast as the disc spins; the rate is held
# below half of this, which changes ordinary flights by less than a millimetre.
MAX_PRECESSION_RAD_S = 60.0

Vector = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Damping:
    """Damping coefficients, as in :class:`rimwise.flight.aero.Aero`; the two kinds add up."""

    cm_q_s: float = 0.0
    cl_p_s: float = 0.0
    cn_r_n_m_s: float = 0.0
    cm_q: float = 0.0
    cl_p: float = 0.0
    cn_r: float = 0.0

    @classmethod
    def of(cls, aero: Aero) -> Damping:
        """Take the damping of a coefficient set."""
        return cls(aero.cm_q_s, aero.cl_p_s, aero.cn_r_n_m_s, aero.cm_q, aero.cl_p, aero.cn_r)


@dataclass(frozen=True, slots=True)
class Surroundings:
    """Air, wind at 10 m in the throw frame, gravity and the height of the landing area."""

    density_kg_m3: float
    wind_x_m_s: float = 0.0
    wind_y_m_s: float = 0.0
    roughness_m: float = 0.0
    ground_z_m: float = 0.0
    gravity_m_s2: float = GRAVITY_M_S2

    def wind_share(self, z: float) -> float:
        """Wind at a height over the wind at 10 m: logarithmic, constant close to the ground."""
        if self.roughness_m == 0.0:
            return 1.0
        height = max(z - min(self.ground_z_m, 0.0), 2.0 * self.roughness_m)
        return math.log(height / self.roughness_m) / math.log(10.0 / self.roughness_m)


@dataclass(frozen=True, slots=True)
class ReferenceFlight:
    """One flight at evenly spread times, first row release, last row landing.

    Attributes
    ----------
    time_s, spin_rad_s : (n,) float64
        Spin as a magnitude.
    position_m, velocity_m_s, axis : (n, 3) float64
        In the throw frame.
    landed : bool
        False when the time cap came first.
    """

    time_s: NDArray[np.float64]
    position_m: NDArray[np.float64]
    velocity_m_s: NDArray[np.float64]
    axis: NDArray[np.float64]
    spin_rad_s: NDArray[np.float64]
    landed: bool


def fly_reference(
    curves: Callable[[float], tuple[float, float, float]],
    damping: Damping,
    body: Body,
    release: Release,
    surroundings: Surroundings,
    *,
    model: Literal["precession", "rigid"] = "rigid",
    points: int = 121,
    relative_tolerance: float = 1e-8,
) -> ReferenceFlight:
    """Integrate one flight from release to first touch.

    Parameters
    ----------
    curves : callable
        CL, CD, CM at an angle of attack in radians: :meth:`Aero.curves`, or splines
        through a wind-tunnel table.
    damping, body, release, surroundings
        The disc, the throw and the scene.
    model : {"precession", "rigid"}
        Precession alone, or the rigid body released without wobble.
    points : int
        Rows of the result, at least 2.
    relative_tolerance : float
        Of the integrator; the absolute one is a hundredth of it.

    Raises
    ------
    InputError
        When the model is unknown.
    """
    from scipy.integrate import solve_ivp

    if model not in ("precession", "rigid"):
        raise InputError(f"model must be 'precession' or 'rigid', but is {model!r}.")
    position, velocity, axis, spin = release_state(release)
    if model == "rigid":
        momentum = tuple(body.axial_inertia_kg_m2 * spin * n for n in axis)
        start = [*position, *velocity, *axis, *momentum]
        rates = _rigid_rates(curves, damping, body, surroundings)
    else:
        start = [*position, *velocity, *axis, spin]
        rates = _precession_rates(curves, damping, body, surroundings)

    def touches(_t: float, y: Any) -> float:
        return float(max(y[2] - surroundings.ground_z_m, y[5]))

    touches.terminal = True  # type: ignore[attr-defined]
    touches.direction = -1.0  # type: ignore[attr-defined]
    solution: Any = solve_ivp(
        rates, (0.0, TIME_CAP_S), start, method="DOP853", events=touches, dense_output=True,
        rtol=relative_tolerance, atol=relative_tolerance * 1e-2, max_step=0.25,
    )  # fmt: skip
    time = np.linspace(0.0, solution.t[-1], points)
    y = solution.sol(time).T
    length = np.linalg.norm(y[:, 6:9], axis=1)
    spins = y[:, 9]
    if model == "rigid":
        spins = np.einsum("ij,ij->i", y[:, 9:12], y[:, 6:9]) / length / body.axial_inertia_kg_m2
    return ReferenceFlight(
        time_s=time,
        position_m=y[:, 0:3].copy(),
        velocity_m_s=y[:, 3:6].copy(),
        axis=y[:, 6:9] / length[:, None],
        spin_rad_s=np.abs(spins),
        landed=bool(solution.status == 1),
    )


def release_state(release: Release) -> tuple[Vector, Vector, Vector, float]:
    """Position, velocity, axis and signed spin at release.

    The axis is banked about the velocity by the hyzer (toward the fade side), then pitched
    about the disc's own lateral axis by the nose angle, so that without wind the angle of
    attack is the nose angle.
    """
    cl, sl = math.cos(release.launch_rad), math.sin(release.launch_rad)
    ch, sh = math.cos(release.heading_rad), math.sin(release.heading_rad)
    forward = (ch * cl, sh * cl, sl)
    left = (-sh, ch, 0.0)
    up = _cross(forward, left)
    cb, sb = math.cos(release.hyzer_rad), release.side * math.sin(release.hyzer_rad)
    cn, sn = math.cos(release.nose_rad), math.sin(release.nose_rad)
    axis = tuple(cn * (cb * up[j] + sb * left[j]) - sn * forward[j] for j in range(3))
    velocity = tuple(release.speed_m_s * f for f in forward)
    return (
        (0.0, 0.0, release.height_m),
        (velocity[0], velocity[1], velocity[2]),
        (axis[0], axis[1], axis[2]),
        -release.side * release.spin_rad_s,
    )


def _cross(a: Vector, b: Vector) -> Vector:
    return (
        a[1] * b[2] - a[2] * b[1],
        a[2] * b[0] - a[0] * b[2],
        a[0] * b[1] - a[1] * b[0],
    )


@dataclass(frozen=True, slots=True)
class _Load:
    """Forces and moments at an instant: acceleration, forward unit vector and scales."""

    acceleration: Vector
    forward: Vector
    speed: float
    moment_scale: float  # q A d
    moment: float  # CM


def _load(
    y: Any,
    axis: Vector,
    curves: Callable[[float], tuple[float, float, float]],
    body: Body,
    scene: Surroundings,
) -> _Load:
    """Work out the static load: lift, drag and pitching moment, with gravity."""
    share = scene.wind_share(y[2])
    u = (y[3] - share * scene.wind_x_m_s, y[4] - share * scene.wind_y_m_s, y[5])
    speed = math.sqrt(u[0] ** 2 + u[1] ** 2 + u[2] ** 2 + 1e-6)
    u = (u[0] / speed, u[1] / speed, u[2] / speed)
    s = min(max(-(u[0] * axis[0] + u[1] * axis[1] + u[2] * axis[2]), -1.0), 1.0)
    c = math.sqrt(max(1.0 - s * s, 1e-6))
    forward = ((u[0] + s * axis[0]) / c, (u[1] + s * axis[1]) / c, (u[2] + s * axis[2]) / c)
    lift, drag, moment = curves(math.asin(s))
    area = 0.25 * math.pi * body.diameter_m**2
    push = 0.5 * scene.density_kg_m3 * speed**2 * area
    along, normal = lift * s - drag * c, lift * c + drag * s
    per_mass = push / body.mass_kg
    return _Load(
        acceleration=(
            per_mass * (along * forward[0] + normal * axis[0]),
            per_mass * (along * forward[1] + normal * axis[1]),
            per_mass * (along * forward[2] + normal * axis[2]) - scene.gravity_m_s2,
        ),
        forward=forward,
        speed=speed,
        moment_scale=push * body.diameter_m,
        moment=moment,
    )


def _damping_now(damping: Damping, body: Body, load: _Load) -> tuple[float, float, float]:
    """Pitch and roll damping in seconds and the spin torque per rad/s, both kinds added."""
    lag = 0.5 * body.diameter_m / load.speed
    return (
        damping.cm_q_s + damping.cm_q * lag,
        damping.cl_p_s + damping.cl_p * lag,
        damping.cn_r_n_m_s + damping.cn_r * lag * load.moment_scale,
    )


def _precession_rates(
    curves: Callable[[float], tuple[float, float, float]],
    damping: Damping,
    body: Body,
    scene: Surroundings,
) -> Callable[[float, Any], list[float]]:
    """Rates of (r, v, n, ω) with ``M + damping = Ia ω dn/dt`` solved for dn/dt."""

    def rates(_t: float, y: Any) -> list[float]:
        y = y.tolist()
        length = math.sqrt(y[6] ** 2 + y[7] ** 2 + y[8] ** 2)
        axis, spin = (y[6] / length, y[7] / length, y[8] / length), y[9]
        load = _load(y, axis, curves, body, scene)
        cm_q, cl_p, cn_r = _damping_now(damping, body, load)
        gyro = body.axial_inertia_kg_m2 * spin
        k = load.moment_scale
        limit = k * load.moment / MAX_PRECESSION_RAD_S
        determinant = gyro * gyro + k * k * cl_p * cm_q + limit * limit
        # dn/dt = a e1 + b e2 with e1 forward in the disc's plane and e2 = n x e1.
        a = k * k * cl_p * load.moment / determinant
        b = -k * load.moment * gyro / determinant
        e1, e2 = load.forward, _cross(axis, load.forward)
        return [
            y[3], y[4], y[5], *load.acceleration,
            a * e1[0] + b * e2[0], a * e1[1] + b * e2[1], a * e1[2] + b * e2[2],
            cn_r * spin / body.axial_inertia_kg_m2,
        ]  # fmt: skip

    return rates


def _rigid_rates(
    curves: Callable[[float], tuple[float, float, float]],
    damping: Damping,
    body: Body,
    scene: Surroundings,
) -> Callable[[float, Any], list[float]]:
    """Rates of (r, v, n, H) with angular momentum ``H = Ia ω n + It n × dn/dt``."""

    def rates(_t: float, y: Any) -> list[float]:
        y = y.tolist()
        length = math.sqrt(y[6] ** 2 + y[7] ** 2 + y[8] ** 2)
        axis = (y[6] / length, y[7] / length, y[8] / length)
        load = _load(y, axis, curves, body, scene)
        along = y[9] * axis[0] + y[10] * axis[1] + y[11] * axis[2]
        tilt_rate = tuple(
            (y[9 + j] - along * axis[j]) / body.transverse_inertia_kg_m2 for j in range(3)
        )
        wobble = (tilt_rate[0], tilt_rate[1], tilt_rate[2])
        cm_q, cl_p, cn_r = _damping_now(damping, body, load)
        e1, e2 = load.forward, _cross(axis, load.forward)
        roll = sum(wobble[j] * e1[j] for j in range(3))
        pitch = -sum(wobble[j] * e2[j] for j in range(3))
        k = load.moment_scale
        roll_moment = k * cl_p * roll
        pitch_moment = k * (load.moment + cm_q * pitch)
        spin_moment = cn_r * along / body.axial_inertia_kg_m2
        turning = _cross(wobble, axis)
        return [
            y[3], y[4], y[5], *load.acceleration, *turning,
            *(
                roll_moment * e1[j] - pitch_moment * e2[j] + spin_moment * axis[j]
                for j in range(3)
            ),
        ]  # fmt: skip

    return rates
