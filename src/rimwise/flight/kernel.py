"""Many flights at once: the precession model under fourth-order Runge-Kutta, in lanes.

The whole integration is here, not only the derivative. Flights are worked on in
``LANES`` lanes side by side (structure of arrays, single precision, no branches), so
that the compiler turns the lane loop into vector instructions. A lane whose flight has
landed takes the next flight at once. No lane looks at another, so a flight's result
does not depend on its neighbours or on the number of threads.

Equations: :mod:`rimwise.flight.reference` states them in double precision.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from rimwise.flight._jit import compiled, inlined

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Singles = NDArray[np.float32]
    Integers = NDArray[np.int64]
    Single = np.float32

__all__ = ["INPUTS", "OUTPUTS", "PATH_COLUMNS", "TIME_CAP_S", "fly_lanes"]

#: What one flight is made of, in the order of the input; each column has length 1 or N.
INPUTS = (
    "mass_kg", "diameter_m", "axial_inertia_kg_m2",
    "cl0", "cl_alpha", "cd0", "cd_alpha", "alpha0_rad", "cm0", "cm_alpha",
    "cm_q_s", "cl_p_s", "cn_r_n_m_s", "cm_q", "cl_p", "cn_r", "plate_cn",
    "speed_m_s", "spin_rad_s", "launch_rad", "hyzer_rad", "nose_rad", "heading_rad",
    "height_m", "side", "wobble_rad",
    "density_kg_m3", "wind_x_m_s", "wind_y_m_s", "roughness_m", "ground_z_m",
)  # fmt: skip

# Places in the input.
(
    _IN_MASS, _IN_DIAMETER, _IN_AXIAL_INERTIA, _IN_CL0, _IN_CL_ALPHA, _IN_CD0, _IN_CD_ALPHA,
    _IN_ALPHA0, _IN_CM0, _IN_CM_ALPHA, _IN_CM_Q_S, _IN_CL_P_S, _IN_CN_R_RAW, _IN_CM_Q,
    _IN_CL_P, _IN_CN_R, _IN_PLATE_CN, _IN_SPEED, _IN_SPIN, _IN_LAUNCH, _IN_HYZER, _IN_NOSE,
    _IN_HEADING, _IN_HEIGHT, _IN_SIDE, _IN_WOBBLE, _IN_DENSITY, _IN_WIND_X, _IN_WIND_Y,
    _IN_ROUGHNESS, _IN_GROUND_Z,
) = range(len(INPUTS))  # fmt: skip

#: Columns of the result, one row per flight.
OUTPUTS = (
    "x_m", "y_m", "z_m", "vx_m_s", "vy_m_s", "vz_m_s", "nx", "ny", "nz", "spin_rad_s",
    "hang_s", "apex_m", "leftmost_m", "rightmost_m", "landed",
)  # fmt: skip

#: Columns of a sampled path: position, axis, spin.
PATH_COLUMNS = 7

TIME_CAP_S = 60.0

LANES = 32
# One flat buffer holds everything a lane needs, row by row: the constants of its flight, the
# state now and one step ago (x y z, vx vy vz, nx ny nz, signed spin), and the bookkeeping.
# Constant distances inside one buffer let the compiler prove that lanes do not overlap.
(
    _PUSH, _CL0, _CL_ALPHA, _CD0, _CD_ALPHA, _ALPHA0, _CM0, _CM_ALPHA, _PITCH_S, _ROLL_S,
    _PITCH_LAG, _ROLL_LAG, _PLATE, _PLATE_MOMENT, _WIND_X, _WIND_X_LOG, _WIND_Y, _WIND_Y_LOG,
    _LOWEST, _FLOOR, _TILT, _SPIN_DOWN, _SPIN_DOWN_LAG, _WOBBLE_LEFT,
) = range(24)  # fmt: skip
_STATE = 10
_NOW = 24
_WAS = _NOW + _STATE
_GROUND, _LEFT, _RIGHT, _COUNT, _EVENT, _WOBBLE, _ROWS = range(_WAS + _STATE, _WAS + _STATE + 7)

_F = np.float32
_ZERO, _ONE, _TWO, _THREE, _HALF = _F(0), _F(1), _F(2), _F(3), _F(0.5)
_QUARTER, _SIXTH, _TINY = _F(0.25), _F(1 / 6), _F(1e-6)
_GRAVITY = _F(9.80665)
# Stall: between 30 and 44 degrees the attached-flow curves give way to a bluff plate.
_STALL_FROM, _STALL_SPAN, _STALL_TO = _F(0.5), _F(1 / 0.2), _F(0.7)
_PLATE_1 = _F(1.5)  # normal force grows as s (3 - s^2) / 2 towards broadside
_PLATE_CM = 0.14
_STEEPEST = _F(math.asin(0.7))
_NOD_SHARE, _MOST_NOD = _F(0.5), _F(0.1)  # see reference.NOD_SHARE and MAX_NOD_RAD
_SLOWEST2 = _F(1.0 / 60.0**2)  # (rad/s)^-2, see reference.MAX_PRECESSION_RAD_S
# arcsin(s) = s P(s^2) for |s| <= 0.7, least-squares on Chebyshev nodes, error below 1e-6.
_A0, _A1, _A2, _A3, _A4, _A5 = (
    _F(0.99999932), _F(0.16676094), _F(0.07292635), _F(0.06088737), _F(-0.02421635), _F(0.09635391),
)  # fmt: skip

# ln(1 + x) = x P(x) for x in −1/4 … 1/2, least-squares on Chebyshev nodes, error below 1e-6.
_L0, _L1, _L2, _L3, _L4, _L5, _L6, _L7 = (
    _F(1.00000014), _F(-0.50000220), _F(0.33329810), _F(-0.24976539),
    _F(0.20106367), _F(-0.17373886), _F(0.14149029), _F(-0.06665579),
)  # fmt: skip
_LN2 = _F(0.69314718)
_THREE_QUARTERS, _MANTISSA, _MANTISSA_MASK = np.int32(0x3F400000), np.int32(23), np.int32(0x7FFFFF)


@inlined
def _logarithm(height: Single) -> Single:
    """Natural logarithm of a positive number without a library call (the lanes stay vectors).

    ``h = 2^k (1 + x)`` with x in −1/4 … 1/2, read off the bits of the number; then
    ``k ln 2`` and a polynomial.
    """
    bits = np.int32(np.float32(height).view(np.int32) - _THREE_QUARTERS)
    exponent = np.int32(bits >> _MANTISSA)
    mantissa = (bits & _MANTISSA_MASK) + _THREE_QUARTERS
    x = np.int32(mantissa).view(np.float32) - _ONE
    tail = _L3 + x * (_L4 + x * (_L5 + x * (_L6 + x * _L7)))
    return np.float32(exponent) * _LN2 + x * (_L0 + x * (_L1 + x * (_L2 + x * tail)))


@inlined
def _arcsine(s: Single) -> Single:
    s2 = s * s
    return s * (_A0 + s2 * (_A1 + s2 * (_A2 + s2 * (_A3 + s2 * (_A4 + s2 * _A5)))))


@inlined
def _blended(s: Single, attached: Single, stalled: Single) -> Single:
    """Blend the attached flow into the bluff plate at the sine of an angle of attack."""
    share = min(max((abs(s) - _STALL_FROM) * _STALL_SPAN, _ZERO), _ONE)
    return attached + share * share * (_THREE - _TWO * share) * (stalled - attached)


@inlined
def _turning(tilt: Single, stiffness: Single) -> Single:
    """Divide the turning moment by the stiffness of the gyroscope, finite where there is none."""
    return tilt / (stiffness + tilt * tilt * _SLOWEST2)


@inlined
def _rates(
    z: Single, vx: Single, vy: Single, vz: Single, nx: Single, ny: Single, nz: Single,
    spin: Single, wobble2: Single, lanes: Singles, i: int,
) -> tuple[Single, Single, Single, Single, Single, Single, Single]:  # fmt: skip
    """Acceleration, rate of the axis and spin-down of one lane.

    ``wobble2`` is the square of the wobble now; see :mod:`rimwise.flight.reference`.
    """
    log_height = _logarithm(max(z - lanes[_LOWEST * LANES + i], lanes[_FLOOR * LANES + i]))
    ux = vx - lanes[_WIND_X * LANES + i] - lanes[_WIND_X_LOG * LANES + i] * log_height
    uy = vy - lanes[_WIND_Y * LANES + i] - lanes[_WIND_Y_LOG * LANES + i] * log_height
    speed2 = ux * ux + uy * uy + vz * vz + _TINY
    per_speed = _ONE / np.sqrt(speed2)
    speed = speed2 * per_speed
    per_length = _ONE / np.sqrt(nx * nx + ny * ny + nz * nz)
    nx, ny, nz = nx * per_length, ny * per_length, nz * per_length
    # sin(alpha) = -u.n / |u|; e1 is the unit vector forward in the plane of the disc.
    s = -(ux * nx + uy * ny + vz * nz) * per_speed
    s = min(max(s, -_ONE), _ONE)
    c2 = max(_ONE - s * s, _TINY)
    per_c = _ONE / np.sqrt(c2)
    c = c2 * per_c
    fx = (ux * per_speed + s * nx) * per_c
    fy = (uy * per_speed + s * ny) * per_c
    fz = (vz * per_speed + s * nz) * per_c
    alpha = _arcsine(min(max(s, -_STALL_TO), _STALL_TO))
    steady, sloped = _ONE - _QUARTER * wobble2, _ONE - _HALF * wobble2
    moment_0 = lanes[_CM0 * LANES + i] * steady
    moment_1 = lanes[_CM_ALPHA * LANES + i] * sloped
    moment = _blended(s, moment_0 + moment_1 * alpha, lanes[_PLATE_MOMENT * LANES + i] * s * c)
    # Precession with damping: a 2x2 solve for dn/dt = a e1 + b (n x e1).
    turn = lanes[_TILT * LANES + i] * speed2
    pitch_damping = lanes[_PITCH_S * LANES + i] + lanes[_PITCH_LAG * LANES + i] * per_speed
    roll_damping = lanes[_ROLL_S * LANES + i] + lanes[_ROLL_LAG * LANES + i] * per_speed
    gyro = spin * (_ONE + _HALF * wobble2)
    stiffness = gyro * gyro + turn * turn * pitch_damping * roll_damping + _TINY
    # The axis that the loads see stands off the one that precesses by the nod, in pitch.
    scale = _turning(turn * moment, stiffness)
    nod = min(max(_NOD_SHARE * scale, -_MOST_NOD), _MOST_NOD)
    cos_nod, sin_nod = _ONE - _HALF * nod * nod, nod * (_ONE - _SIXTH * nod * nod)
    s, c = s * cos_nod + c * sin_nod, c * cos_nod - s * sin_nod
    fx, nx = cos_nod * fx + sin_nod * nx, cos_nod * nx - sin_nod * fx
    fy, ny = cos_nod * fy + sin_nod * ny, cos_nod * ny - sin_nod * fy
    fz, nz = cos_nod * fz + sin_nod * nz, cos_nod * nz - sin_nod * fz
    alpha = min(max(alpha + nod, -_STEEPEST), _STEEPEST)
    off = alpha - lanes[_ALPHA0 * LANES + i]
    lift = lanes[_CL0 * LANES + i] * steady + lanes[_CL_ALPHA * LANES + i] * sloped * alpha
    drag = lanes[_CD0 * LANES + i] + lanes[_CD_ALPHA * LANES + i] * (off * off + _HALF * wobble2)
    plate = lanes[_PLATE * LANES + i] * s * (_PLATE_1 - _HALF * s * s)
    forward = _blended(s, lift * s - drag * c, -lanes[_CD0 * LANES + i] * c)
    normal = _blended(s, lift * c + drag * s, plate)
    moment = _blended(s, moment_0 + moment_1 * alpha, lanes[_PLATE_MOMENT * LANES + i] * s * c)
    push = lanes[_PUSH * LANES + i] * speed2
    ax = push * (forward * fx + normal * nx)
    ay = push * (forward * fy + normal * ny)
    az = push * (forward * fz + normal * nz) - _GRAVITY
    scale = _turning(turn * moment, stiffness)
    a = scale * turn * roll_damping
    b = -scale * gyro
    dnx = a * fx + b * (ny * fz - nz * fy)
    dny = a * fy + b * (nz * fx - nx * fz)
    dnz = a * fz + b * (nx * fy - ny * fx)
    dspin = spin * (lanes[_SPIN_DOWN * LANES + i] + lanes[_SPIN_DOWN_LAG * LANES + i] * speed)
    return ax, ay, az, dnx, dny, dnz, dspin


@compiled
def _advance(lanes: Singles, dt: Single, most: Single) -> None:
    """One Runge-Kutta step of every lane; the state before it is kept beside the new one."""
    h = _HALF * dt
    w = dt * _SIXTH
    for i in range(LANES):
        x = lanes[(_NOW + 0) * LANES + i]
        y = lanes[(_NOW + 1) * LANES + i]
        z = lanes[(_NOW + 2) * LANES + i]
        vx = lanes[(_NOW + 3) * LANES + i]
        vy = lanes[(_NOW + 4) * LANES + i]
        vz = lanes[(_NOW + 5) * LANES + i]
        nx = lanes[(_NOW + 6) * LANES + i]
        ny = lanes[(_NOW + 7) * LANES + i]
        nz = lanes[(_NOW + 8) * LANES + i]
        spin = lanes[(_NOW + 9) * LANES + i]
        wobble2 = lanes[_WOBBLE * LANES + i]
        left = lanes[_WOBBLE_LEFT * LANES + i]
        a1, b1, c1, p1, q1, r1, s1 = _rates(z, vx, vy, vz, nx, ny, nz, spin, wobble2, lanes, i)
        wobble2 = wobble2 * left
        wz2 = vz + h * c1
        a2, b2, c2, p2, q2, r2, s2 = _rates(
            z + h * vz, vx + h * a1, vy + h * b1, wz2,
            nx + h * p1, ny + h * q1, nz + h * r1, spin + h * s1, wobble2, lanes, i,
        )  # fmt: skip
        wz3 = vz + h * c2
        a3, b3, c3, p3, q3, r3, s3 = _rates(
            z + h * wz2, vx + h * a2, vy + h * b2, wz3,
            nx + h * p2, ny + h * q2, nz + h * r2, spin + h * s2, wobble2, lanes, i,
        )  # fmt: skip
        wobble2 = wobble2 * left
        wz4 = vz + dt * c3
        a4, b4, c4, p4, q4, r4, s4 = _rates(
            z + dt * wz3, vx + dt * a3, vy + dt * b3, wz4,
            nx + dt * p3, ny + dt * q3, nz + dt * r3, spin + dt * s3, wobble2, lanes, i,
        )  # fmt: skip
        lanes[_WOBBLE * LANES + i] = wobble2
        lanes[(_WAS + 0) * LANES + i] = x
        lanes[(_WAS + 1) * LANES + i] = y
        lanes[(_WAS + 2) * LANES + i] = z
        lanes[(_WAS + 3) * LANES + i] = vx
        lanes[(_WAS + 4) * LANES + i] = vy
        lanes[(_WAS + 5) * LANES + i] = vz
        lanes[(_WAS + 6) * LANES + i] = nx
        lanes[(_WAS + 7) * LANES + i] = ny
        lanes[(_WAS + 8) * LANES + i] = nz
        lanes[(_WAS + 9) * LANES + i] = spin
        # The velocity's own stages give the position: (k1 + 2 k2 + 2 k3 + k4) / 6.
        y_new = y + dt * (vy + w * (b1 + b2 + b3))
        z_new = z + dt * (vz + w * (c1 + c2 + c3))
        vz_new = vz + w * (c1 + _TWO * (c2 + c3) + c4)
        lanes[_NOW * LANES + i] = x + dt * (vx + w * (a1 + a2 + a3))
        lanes[(_NOW + 1) * LANES + i] = y_new
        lanes[(_NOW + 2) * LANES + i] = z_new
        lanes[(_NOW + 3) * LANES + i] = vx + w * (a1 + _TWO * (a2 + a3) + a4)
        lanes[(_NOW + 4) * LANES + i] = vy + w * (b1 + _TWO * (b2 + b3) + b4)
        lanes[(_NOW + 5) * LANES + i] = vz_new
        nx += w * (p1 + _TWO * (p2 + p3) + p4)
        ny += w * (q1 + _TWO * (q2 + q3) + q4)
        nz += w * (r1 + _TWO * (r2 + r3) + r4)
        per_length = _ONE / np.sqrt(nx * nx + ny * ny + nz * nz)
        lanes[(_NOW + 6) * LANES + i] = nx * per_length
        lanes[(_NOW + 7) * LANES + i] = ny * per_length
        lanes[(_NOW + 8) * LANES + i] = nz * per_length
        lanes[(_NOW + 9) * LANES + i] = spin + w * (s1 + _TWO * (s2 + s3) + s4)
        # Anything to attend to: the top of the flight, the ground, or the end of patience.
        count = lanes[_COUNT * LANES + i] + _ONE
        below = _ONE if z_new <= lanes[_GROUND * LANES + i] else _ZERO
        falling = _ONE if vz_new < _ZERO else _ZERO
        turning = _ONE if vz * vz_new <= _ZERO else _ZERO
        late = _ONE if count >= most else _ZERO
        lanes[_COUNT * LANES + i] = count
        lanes[_EVENT * LANES + i] = below * falling + turning + late
        lanes[_LEFT * LANES + i] = max(lanes[_LEFT * LANES + i], y)
        lanes[_RIGHT * LANES + i] = min(lanes[_RIGHT * LANES + i], y)


@inlined
def _value(data: Floats, where: Integers, k: int, name: int) -> float:
    """Flight ``k``'s own value, or the one that all flights share."""
    return float(data[where[name, 0] + k * where[name, 1]])


@compiled
def _load(data: Floats, where: Integers, k: int, i: int, dt: float, lanes: Singles) -> None:
    """Put flight ``k`` into lane ``i``: constants of the equations and the release state."""
    mass = _value(data, where, k, _IN_MASS)
    diameter = _value(data, where, k, _IN_DIAMETER)
    axial = _value(data, where, k, _IN_AXIAL_INERTIA)
    density = _value(data, where, k, _IN_DENSITY)
    area = 0.25 * math.pi * diameter * diameter
    lanes[_PUSH * LANES + i] = 0.5 * density * area / mass
    for j in range(7):  # the static coefficients, cl0 … cm_alpha
        lanes[(_CL0 + j) * LANES + i] = _value(data, where, k, _IN_CL0 + j)
    half = 0.5 * diameter
    lanes[_PITCH_S * LANES + i] = _value(data, where, k, _IN_CM_Q_S)
    lanes[_ROLL_S * LANES + i] = _value(data, where, k, _IN_CL_P_S)
    lanes[_PITCH_LAG * LANES + i] = _value(data, where, k, _IN_CM_Q) * half
    lanes[_ROLL_LAG * LANES + i] = _value(data, where, k, _IN_CL_P) * half
    plate = _value(data, where, k, _IN_PLATE_CN)
    lanes[_PLATE * LANES + i] = plate
    lanes[_PLATE_MOMENT * LANES + i] = plate * _PLATE_CM
    lanes[_TILT * LANES + i] = 0.5 * density * area * diameter / axial
    lanes[_SPIN_DOWN * LANES + i] = _value(data, where, k, _IN_CN_R_RAW) / axial
    lanes[_SPIN_DOWN_LAG * LANES + i] = (
        _value(data, where, k, _IN_CN_R) * 0.5 * density * area * diameter * half / axial
    )
    lanes[_GROUND * LANES + i] = _value(data, where, k, _IN_GROUND_Z)
    lanes[_LEFT * LANES + i] = 0.0
    lanes[_RIGHT * LANES + i] = 0.0
    lanes[_COUNT * LANES + i] = 0.0
    _load_wind(
        _value(data, where, k, _IN_WIND_X), _value(data, where, k, _IN_WIND_Y),
        _value(data, where, k, _IN_ROUGHNESS), _value(data, where, k, _IN_GROUND_Z), i, lanes,
    )  # fmt: skip
    # The wobble's half angle dies away at a fixed rate; two halves of a step at a time.
    speed = _value(data, where, k, _IN_SPEED)
    lag = half / speed
    damping = lag * (_value(data, where, k, _IN_CM_Q) + _value(data, where, k, _IN_CL_P))
    damping += _value(data, where, k, _IN_CM_Q_S) + _value(data, where, k, _IN_CL_P_S)
    decay = -0.5 * density * area * diameter / axial * speed * speed * damping
    wobble = _value(data, where, k, _IN_WOBBLE)
    lanes[_WOBBLE * LANES + i] = wobble * wobble
    lanes[_WOBBLE_LEFT * LANES + i] = math.exp(-decay * dt)
    _load_release(data, where, k, i, lanes)


@compiled
def _load_wind(
    wx: float, wy: float, roughness: float, ground_z: float, i: int, lanes: Singles
) -> None:
    """Wind along and across as ``a + b ln(height)``; roughness 0 means the same at all heights."""
    floor, share, slope = 1.0, 1.0, 0.0
    if roughness > 0.0:
        floor = 2.0 * roughness
        slope = 1.0 / math.log(10.0 / roughness)
        share = -math.log(roughness) * slope
    lanes[_WIND_X * LANES + i] = wx * share
    lanes[_WIND_X_LOG * LANES + i] = wx * slope
    lanes[_WIND_Y * LANES + i] = wy * share
    lanes[_WIND_Y_LOG * LANES + i] = wy * slope
    lanes[_LOWEST * LANES + i] = min(ground_z, 0.0)
    lanes[_FLOOR * LANES + i] = floor


@compiled
def _load_release(data: Floats, where: Integers, k: int, i: int, lanes: Singles) -> None:
    """Set the state at release: bank about the velocity, then nose about the disc's own side."""
    speed = _value(data, where, k, _IN_SPEED)
    launch = _value(data, where, k, _IN_LAUNCH)
    hyzer = _value(data, where, k, _IN_HYZER)
    nose = _value(data, where, k, _IN_NOSE)
    heading = _value(data, where, k, _IN_HEADING)
    side = _value(data, where, k, _IN_SIDE)
    cl, sl = math.cos(launch), math.sin(launch)
    ch, sh = math.cos(heading), math.sin(heading)
    cb, sb = math.cos(hyzer), side * math.sin(hyzer)
    cn, sn = math.cos(nose), math.sin(nose)
    lanes[_NOW * LANES + i] = 0.0
    lanes[(_NOW + 1) * LANES + i] = 0.0
    lanes[(_NOW + 2) * LANES + i] = _value(data, where, k, _IN_HEIGHT)
    lanes[(_NOW + 3) * LANES + i] = speed * ch * cl
    lanes[(_NOW + 4) * LANES + i] = speed * sh * cl
    lanes[(_NOW + 5) * LANES + i] = speed * sl
    lanes[(_NOW + 6) * LANES + i] = cn * (-cb * ch * sl - sb * sh) - sn * ch * cl
    lanes[(_NOW + 7) * LANES + i] = cn * (-cb * sh * sl + sb * ch) - sn * sh * cl
    lanes[(_NOW + 8) * LANES + i] = cn * cb * cl - sn * sl
    lanes[(_NOW + 9) * LANES + i] = -side * _value(data, where, k, _IN_SPIN)


@compiled
def _hermite(t: float, y0: float, y1: float, m0: float, m1: float) -> float:
    """Cubic through two values and slopes (slopes times the step), ``t`` in 0 … 1."""
    u = 1.0 - t
    return (1.0 + 2.0 * t) * u * u * y0 + t * u * u * m0 + t * t * ((3.0 - 2.0 * t) * y1 - u * m1)


@compiled
def _touchdown(z0: float, z1: float, v0: float, v1: float, dt: float, ground: float) -> float:
    """Share of the step at which the cubic through both ends comes down to the ground."""
    if z0 <= ground:  # it rose below the plane and never reached it: stays where it turned
        return 1.0
    low, high = 0.0, 1.0
    for _ in range(6):
        middle = 0.5 * (low + high)
        if _hermite(middle, z0, z1, v0 * dt, v1 * dt) > ground:
            low = middle
        else:
            high = middle
    share = 0.5 * (low + high)
    for _ in range(3):  # Newton from inside the bracket
        u = 1.0 - share
        slope = 6.0 * share * u * (z1 - z0) + u * (1.0 - 3.0 * share) * v0 * dt
        slope += share * (3.0 * share - 2.0) * v1 * dt
        if slope < 0.0:
            share -= (_hermite(share, z0, z1, v0 * dt, v1 * dt) - ground) / slope
        share = min(max(share, low), high)
    return share


@compiled
def _finish(lanes: Singles, i: int, share: float, dt: float, started: float, row: Floats) -> None:
    """Write the state at ``share`` of the last step into the flight's result row."""
    for j in range(3):
        y0, y1 = float(lanes[(_WAS + j) * LANES + i]), float(lanes[(_NOW + j) * LANES + i])
        m0, m1 = lanes[(_WAS + 3 + j) * LANES + i] * dt, lanes[(_NOW + 3 + j) * LANES + i] * dt
        row[j] = _hermite(share, y0, y1, m0, m1)
    for j in range(3, _STATE):
        y0, y1 = float(lanes[(_WAS + j) * LANES + i]), float(lanes[(_NOW + j) * LANES + i])
        row[j] = y0 + share * (y1 - y0)
    length = math.sqrt(row[6] * row[6] + row[7] * row[7] + row[8] * row[8])
    for j in range(6, 9):
        row[j] /= length
    row[9] = abs(row[9])
    row[10] = started + share * dt
    row[12] = max(float(lanes[_LEFT * LANES + i]), row[1])
    row[13] = min(float(lanes[_RIGHT * LANES + i]), row[1])


@compiled
def _apex(lanes: Singles, i: int, dt: float, row: Floats) -> None:
    """Raise the highest point when the last step went over a top."""
    v0, v1 = float(lanes[(_WAS + 5) * LANES + i]), float(lanes[(_NOW + 5) * LANES + i])
    if v0 > 0.0 and v1 <= 0.0:
        z0, z1 = float(lanes[(_WAS + 2) * LANES + i]), float(lanes[(_NOW + 2) * LANES + i])
        row[11] = max(row[11], _hermite(v0 / (v0 - v1), z0, z1, v0 * dt, v1 * dt))


@compiled
def _record(lanes: Singles, log: Singles) -> None:
    """Write the last step of every lane into its log."""
    for i in range(LANES):
        k = int(lanes[_COUNT * LANES + i])
        for j in range(_STATE):
            log[i, k - 1, j] = lanes[(_WAS + j) * LANES + i]
            log[i, k, j] = lanes[(_NOW + j) * LANES + i]


@compiled
def _sample(log: Singles, i: int, steps: int, dt: float, row: Floats, path: Floats) -> None:
    """Spread a fixed number of points evenly in time from release to landing.

    ``log[i, k]`` is the state after ``k`` steps, ``steps`` the number begun.
    """
    points = path.shape[0]
    total = row[10] / dt
    for m in range(points):
        at = total * m / max(points - 1, 1)
        k = min(int(at), steps - 1)
        t = at - k
        for j in range(3):
            path[m, j] = _hermite(
                t, float(log[i, k, j]), float(log[i, k + 1, j]),
                log[i, k, 3 + j] * dt, log[i, k + 1, 3 + j] * dt,
            )  # fmt: skip
        for j in range(3, PATH_COLUMNS):
            y0, y1 = float(log[i, k, 3 + j]), float(log[i, k + 1, 3 + j])
            path[m, j] = y0 + t * (y1 - y0)
        length = math.sqrt(path[m, 3] ** 2 + path[m, 4] ** 2 + path[m, 5] ** 2)
        for j in range(3, 6):
            path[m, j] /= length
        path[m, 6] = abs(path[m, 6])
    for j in range(3):
        path[points - 1, j] = row[j]


@compiled
def _end(lanes: Singles, i: int, dt: float, most: int, row: Floats) -> bool:
    """Close the flight of a lane that came down or ran out of time; say whether it did."""
    ground = lanes[_GROUND * LANES + i]
    count = lanes[_COUNT * LANES + i]
    z1, v1 = lanes[(_NOW + 2) * LANES + i], lanes[(_NOW + 5) * LANES + i]
    down = z1 <= ground and v1 < 0.0
    if not down and count < most:
        return False
    share = 1.0
    if down:
        z0, v0 = lanes[(_WAS + 2) * LANES + i], lanes[(_WAS + 5) * LANES + i]
        share = _touchdown(float(z0), float(z1), float(v0), float(v1), dt, float(ground))
    _finish(lanes, i, share, dt, (count - 1.0) * dt, row)
    row[14] = 1.0 if down else 0.0
    return True


@compiled
def _take(
    data: Floats, where: Integers, i: int, following: int, start: int, stop: int, dt: float,
    lanes: Singles, flight: Integers, out: Floats,
) -> int:  # fmt: skip
    """Give lane ``i`` the next flight; without one it idles on a copy of the first.

    Returns the number of flights taken, 1 or 0.
    """
    if following >= stop:
        _load(data, where, start, i, dt, lanes)
        flight[i] = -1
        return 0
    _load(data, where, following, i, dt, lanes)
    flight[i] = following
    out[following, 11] = lanes[(_NOW + 2) * LANES + i]
    return 1


@compiled
def fly_lanes(
    data: Floats, where: Integers, start: int, stop: int, dt: float, cap_s: float,
    out: Floats, paths: Floats,
) -> None:  # fmt: skip
    """Fly the flights ``start`` … ``stop`` (exclusive) and fill their rows of ``out``.

    Parameters
    ----------
    data : (M,) float64
        The columns named in :data:`INPUTS`, of length 1 or N each, end to end.
    where : (len(INPUTS), 2) int64
        Place of each column's first entry, and 0 for a column of length 1, else 1.
    start, stop : int
        Range of flights.
    dt : float
        Time step in seconds.
    cap_s : float
        A flight still in the air after this time ends there, with ``landed`` 0.
    out : (N, len(OUTPUTS)) float64
        Result, see :data:`OUTPUTS`.
    paths : (N, points, PATH_COLUMNS) float64
        Sampled paths; zero points for none.
    """
    lanes = np.ones(_ROWS * LANES, np.float32)
    flight = np.full(LANES, -1)
    most = math.ceil(cap_s / dt)
    points = paths.shape[1]
    log = np.zeros((LANES if points else 0, most + 1, _STATE), np.float32)
    following, landed = start, start
    for i in range(LANES):
        following += _take(data, where, i, following, start, stop, dt, lanes, flight, out)
    while landed < stop:
        _advance(lanes, np.float32(dt), np.float32(most))
        if points:
            _record(lanes, log)
        for i in range(LANES):
            if lanes[_EVENT * LANES + i] == 0.0:
                continue
            k = flight[i]
            if k >= 0:
                _apex(lanes, i, dt, out[k])
                if not _end(lanes, i, dt, most, out[k]):
                    continue
                landed += 1
                if points:
                    _sample(log, i, int(lanes[_COUNT * LANES + i]), dt, out[k], paths[k])
            following += _take(data, where, i, following, start, stop, dt, lanes, flight, out)
