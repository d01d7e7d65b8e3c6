"""Compiled rates of the two reference models: one set of equations for every caller.

Each rate is worked out in two stages, :func:`flow` (how the air meets the disc) and
:func:`precession_rates` or :func:`rigid_rates` (what the loads do), with the lift, drag and
moment coefficient in between. Coefficients come from the compiled :func:`coefficients` or,
in :mod:`rimwise.flight.reference`, from any Python function.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from rimwise.flight._jit import compiled_exactly

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Flow = tuple[float, float, float, float, float, float, float, float, float]

__all__ = [
    "CONSTANTS",
    "coefficients",
    "flow",
    "nodded",
    "precession",
    "precession_rates",
    "rigid",
    "rigid_rates",
    "wobble_squared",
]

#: What stays the same during a flight, in the order of the array ``p``. Of the precession
#: model only, else 0: ``wobble_2``, the square of the wobble at release, rad²;
#: ``wobble_decay``, its λ, 1/s; ``nod_share``, which stands for It / Ia.
CONSTANTS = (
    "density_kg_m3", "wind_x_m_s", "wind_y_m_s", "roughness_m", "ground_z_m", "gravity_m_s2",
    "mass_kg", "diameter_m", "axial_inertia_kg_m2", "transverse_inertia_kg_m2",
    "cm_q_s", "cl_p_s", "cn_r_n_m_s", "cm_q", "cl_p", "cn_r",
    "wobble_2", "wobble_decay", "nod_share",
    "cl0", "cl_alpha", "cd0", "cd_alpha", "alpha0_rad", "cm0", "cm_alpha", "plate_cn",
)  # fmt: skip
(
    _DENSITY, _WIND_X, _WIND_Y, _ROUGHNESS, _GROUND_Z, _GRAVITY,
    _MASS, _DIAMETER, _AXIAL, _TRANSVERSE,
    _CM_Q_S, _CL_P_S, _CN_R_N_M_S, _CM_Q, _CL_P, _CN_R,
    _WOBBLE_2, _WOBBLE_DECAY, _NOD_SHARE,
    _CL0, _CL_ALPHA, _CD0, _CD_ALPHA, _ALPHA0, _CM0, _CM_ALPHA, _PLATE_CN,
) = range(len(CONSTANTS))  # fmt: skip

# Copies of what rimwise.flight.aero and .reference say: numba's cache watches this file only.
MAX_PRECESSION_RAD_S = 60.0
MAX_NOD_RAD = 0.1
STALL_FROM_SIN, STALL_TO_SIN = 0.5, 0.7
PLATE_CM_SHARE = 0.14


@compiled_exactly
def flow(y: Floats, p: Floats) -> Flow:
    """How the air meets the disc.

    Parameters
    ----------
    y : (≥9,) float64
        Position, velocity and axis, the latter of any length.
    p : (len(CONSTANTS),) float64
        See :data:`CONSTANTS`.

    Returns
    -------
    tuple of 9 float
        Sine and cosine of the angle of attack, air speed in m/s, the unit axis, and the
        unit vector forward in the plane of the disc.
    """
    share = 1.0
    if p[_ROUGHNESS] > 0.0:
        height = max(y[2] - min(p[_GROUND_Z], 0.0), 2.0 * p[_ROUGHNESS])
        share = math.log(height / p[_ROUGHNESS]) / math.log(10.0 / p[_ROUGHNESS])
    u0, u1, u2 = y[3] - share * p[_WIND_X], y[4] - share * p[_WIND_Y], y[5]
    speed = math.sqrt(u0 * u0 + u1 * u1 + u2 * u2 + 1e-6)
    u0, u1, u2 = u0 / speed, u1 / speed, u2 / speed
    length = math.sqrt(y[6] * y[6] + y[7] * y[7] + y[8] * y[8])
    n0, n1, n2 = y[6] / length, y[7] / length, y[8] / length
    s = min(max(-(u0 * n0 + u1 * n1 + u2 * n2), -1.0), 1.0)
    c = math.sqrt(max(1.0 - s * s, 1e-6))
    return s, c, speed, n0, n1, n2, (u0 + s * n0) / c, (u1 + s * n1) / c, (u2 + s * n2) / c


@compiled_exactly
def coefficients(s: float, wobble_2: float, p: Floats) -> tuple[float, float, float]:
    """Lift, drag and moment coefficient, as :meth:`Aero.curves`, averaged over the wobble.

    Parameters
    ----------
    s : float
        Sine of the angle of attack.
    wobble_2 : float
        Square of the wobble, rad²; see :mod:`rimwise.flight.reference` for the average.
    p : (len(CONSTANTS),) float64
    """
    alpha, c = math.asin(s), math.sqrt(1.0 - s * s)
    steady, sloped = 1.0 - 0.25 * wobble_2, 1.0 - 0.5 * wobble_2
    lift = steady * p[_CL0] + sloped * p[_CL_ALPHA] * alpha
    drag = p[_CD0] + p[_CD_ALPHA] * ((alpha - p[_ALPHA0]) ** 2 + 0.5 * wobble_2)
    moment = steady * p[_CM0] + sloped * p[_CM_ALPHA] * alpha
    share = (abs(s) - STALL_FROM_SIN) / (STALL_TO_SIN - STALL_FROM_SIN)
    share = min(max(share, 0.0), 1.0)
    blend = share * share * (3.0 - 2.0 * share)
    plate = p[_PLATE_CN] * s * (1.5 - 0.5 * s * s)
    lift += blend * (plate * c - p[_CD0] * c * s - lift)
    drag += blend * (plate * s + p[_CD0] * c * c - drag)
    moment += blend * (PLATE_CM_SHARE * p[_PLATE_CN] * s * c - moment)
    return lift, drag, moment


@compiled_exactly
def _acceleration(
    air: Flow, lift: float, drag: float, p: Floats
) -> tuple[float, float, float, float]:
    """Acceleration of the centre and the scale of moments, ``q A d``."""
    s, c, speed, n0, n1, n2, e0, e1, e2 = air
    area = 0.25 * math.pi * p[_DIAMETER] ** 2
    push = 0.5 * p[_DENSITY] * speed * speed * area
    along = push * (lift * s - drag * c) / p[_MASS]
    normal = push * (lift * c + drag * s) / p[_MASS]
    return (
        along * e0 + normal * n0,
        along * e1 + normal * n1,
        along * e2 + normal * n2 - p[_GRAVITY],
        push * p[_DIAMETER],
    )


@compiled_exactly
def _damping(speed: float, scale: float, p: Floats) -> tuple[float, float, float]:
    """Pitch and roll damping in N m per rad/s and the spin torque per rad/s, both kinds added."""
    lag = 0.5 * p[_DIAMETER] / speed
    return (
        scale * (p[_CM_Q_S] + p[_CM_Q] * lag),
        scale * (p[_CL_P_S] + p[_CL_P] * lag),
        p[_CN_R_N_M_S] + p[_CN_R] * lag * scale,
    )


@compiled_exactly
def nodded(y: Floats, air: Flow, moment: float, wobble_2: float, p: Floats) -> Flow:
    """Tilt the flow to the disc's own axis, which stands off the one that precesses.

    ``n = m − (It / Ia ω) m × dm/dt``, of which the tilt in pitch matters.
    """
    s, c, speed, n0, n1, n2, e0, e1, e2 = air
    torque, determinant = _gyroscope(y, air, moment, wobble_2, p)[:2]
    d = p[_NOD_SHARE] * p[_AXIAL] * torque / determinant
    d = min(max(d, -MAX_NOD_RAD), MAX_NOD_RAD)
    a, b = math.cos(d), math.sin(d)
    s, c = s * a + c * b, c * a - s * b
    return (
        min(max(s, -1.0), 1.0), max(c, 1e-3), speed,
        a * n0 - b * e0, a * n1 - b * e1, a * n2 - b * e2,
        a * e0 + b * n0, a * e1 + b * n1, a * e2 + b * n2,
    )  # fmt: skip


@compiled_exactly
def _gyroscope(
    y: Floats, air: Flow, moment: float, wobble_2: float, p: Floats
) -> tuple[float, float, float, float]:
    """Pitching torque, determinant of the precession, angular momentum and roll damping."""
    area = 0.25 * math.pi * p[_DIAMETER] ** 2
    scale = 0.5 * p[_DENSITY] * air[2] * air[2] * area * p[_DIAMETER]
    pitch_damping, roll_damping, _spin_damping = _damping(air[2], scale, p)
    gyro = p[_AXIAL] * y[9] * (1.0 + 0.5 * wobble_2)
    torque = scale * moment
    limit = torque / MAX_PRECESSION_RAD_S
    return torque, gyro * gyro + roll_damping * pitch_damping + limit * limit, gyro, roll_damping


@compiled_exactly
def wobble_squared(t: float, p: Floats) -> float:
    """Square of the wobble that is left, rad²."""
    return float(p[_WOBBLE_2] * math.exp(-2.0 * p[_WOBBLE_DECAY] * t))


@compiled_exactly
def precession_rates(
    y: Floats, air: Flow, lift: float, drag: float, moment: float, wobble_2: float, p: Floats
) -> Floats:
    """Rates of (r, v, m, ω): ``M + damping = Ia ω dm/dt / cos θ`` solved for dm/dt.

    ``m`` is the mean axis, ``ω`` the signed spin about the disc's own.
    """
    ax, ay, az, scale = _acceleration(air, lift, drag, p)
    torque, determinant, gyro, roll_damping = _gyroscope(y, air, moment, wobble_2, p)
    # dm/dt = a e + b (m x e) with e forward in the disc's plane.
    a = roll_damping * torque / determinant
    b = -torque * gyro / determinant
    _s, _c, speed, n0, n1, n2, e0, e1, e2 = air
    return np.array([
        y[3], y[4], y[5], ax, ay, az,
        a * e0 + b * (n1 * e2 - n2 * e1),
        a * e1 + b * (n2 * e0 - n0 * e2),
        a * e2 + b * (n0 * e1 - n1 * e0),
        _damping(speed, scale, p)[2] * y[9] / p[_AXIAL],
    ])  # fmt: skip


@compiled_exactly
def rigid_rates(y: Floats, air: Flow, lift: float, drag: float, moment: float, p: Floats) -> Floats:
    """Rates of (r, v, n, H) with angular momentum ``H = Ia ω n + It n × dn/dt``."""
    ax, ay, az, scale = _acceleration(air, lift, drag, p)
    pitch_damping, roll_damping, spin_damping = _damping(air[2], scale, p)
    _s, _c, _speed, n0, n1, n2, e0, e1, e2 = air
    f0, f1, f2 = n1 * e2 - n2 * e1, n2 * e0 - n0 * e2, n0 * e1 - n1 * e0
    along = y[9] * n0 + y[10] * n1 + y[11] * n2
    # The angular velocity across the axis.
    w0 = (y[9] - along * n0) / p[_TRANSVERSE]
    w1 = (y[10] - along * n1) / p[_TRANSVERSE]
    w2 = (y[11] - along * n2) / p[_TRANSVERSE]
    roll = roll_damping * (w0 * e0 + w1 * e1 + w2 * e2)
    pitch = scale * moment - pitch_damping * (w0 * f0 + w1 * f1 + w2 * f2)
    spin = spin_damping * along / p[_AXIAL]
    return np.array([
        y[3], y[4], y[5], ax, ay, az,
        w1 * n2 - w2 * n1, w2 * n0 - w0 * n2, w0 * n1 - w1 * n0,
        roll * e0 - pitch * f0 + spin * n0,
        roll * e1 - pitch * f1 + spin * n1,
        roll * e2 - pitch * f2 + spin * n2,
    ])  # fmt: skip


@compiled_exactly
def precession(t: float, y: Floats, p: Floats) -> Floats:
    """Rates of the precession model with the coefficients in ``p``."""
    wobble_2 = wobble_squared(t, p)
    air = flow(y, p)
    moment = coefficients(air[0], wobble_2, p)[2]
    air = nodded(y, air, moment, wobble_2, p)
    lift, drag, moment = coefficients(air[0], wobble_2, p)
    return precession_rates(y, air, lift, drag, moment, wobble_2, p)


@compiled_exactly
def rigid(_t: float, y: Floats, p: Floats) -> Floats:
    """Rates of the rigid body with the coefficients in ``p``."""
    air = flow(y, p)
    lift, drag, moment = coefficients(air[0], 0.0, p)
    return rigid_rates(y, air, lift, drag, moment, p)
