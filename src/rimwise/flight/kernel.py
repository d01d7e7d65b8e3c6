"""Many flights at once: the precession model under Runge-Kutta steps of their own, in lanes.

The whole integration is here, not only the derivative. Flights are worked on in ``LANES``
lanes side by side (structure of arrays, single precision, no branches), so that the compiler
turns the lane loops into vector instructions. Each lane has its own step, kept or tried again
by its own error estimate; one whose flight has landed takes the next flight at once. No lane
looks at another, so a flight's result does not depend on its neighbours or on the number of
threads.

The method is the classical fourth-order one. Its third-order companion, for the estimate,
takes the slope at the end of the step in place of the last stage's: that slope is the next
step's first, so the estimate is free (Dormand and Prince's "first same as last").

Equations: :mod:`rimwise.flight.reference` states them in double precision. Here they are put
so that little is divided. With ``û`` the direction of the air speed, ``s`` and ``c`` sine and
cosine of the angle of attack, lift acts along ``(n + s û) / c`` and drag along ``−û``, which
nodding does not turn; the plate's force acts along the nodded axis. Within a step the axis is
not brought back to length one: the equations keep its length, so that is of fourth order too.
"""

from __future__ import annotations  # noqa: I001 (a list of names, not a column)

import math
from typing import TYPE_CHECKING

import numpy as np

from rimwise.flight._jit import compiled, inlined
from rimwise.flight._lanes import (
    AHEAD, ALONG, ALPHA, ALPHA0, ASIDE, CD0, CD_ALPHA, CL0, CL_ALPHA, CM0, CM_ALPHA, CONSTANTS,
    DECAY, ENDED, EVENT, FIRST, FLOOR, FORWARD, FOURTH, GROUND, LANES, LEFT, LOG_COLUMNS,
    LOG_ROWS, LOWEST, NOD, NORMAL, NOW, NX, NY, NZ, PER_C, PER_SPEED, PITCH_LAG,
    PITCH_S, PLATE, PLATE_MOMENT, REJECTED, RIGHT, ROLL_LAG, ROLL_S, ROWS, S, SLOPE, SPEED2,
    SPIN, SPIN_DOWN, SPIN_DOWN_LAG, STATE, STEP, STEP_NEXT, STIFF, SUM, TILE, TIME, TOP, TRIED,
    TURN_Y, TURN_Z, UP, UX, UY, VX, VY, VZ, WIND_X, WIND_X_LOG, WIND_Y, WIND_Y_LOG, WOBBLE,
    WOBBLE_LEFT, X, Y, Z,
)  # fmt: skip
from rimwise.flight._paths import record, sample

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Singles = NDArray[np.float32]
    Integers = NDArray[np.int64]
    Single = np.float32

__all__ = ["OUTPUTS", "TIME_CAP_S", "fly_lanes"]

#: Columns of the result, one row per flight.
OUTPUTS = (
    "x_m", "y_m", "z_m", "vx_m_s", "vy_m_s", "vz_m_s", "nx", "ny", "nz", "spin_rad_s",
    "hang_s", "apex_m", "leftmost_m", "rightmost_m", "landed",
)  # fmt: skip

TIME_CAP_S = 60.0

_F = np.float32
_ZERO, _ONE, _TWO, _THREE, _HALF = _F(0), _F(1), _F(2), _F(3), _F(0.5)
_QUARTER, _SIXTH, _TWENTYFOURTH, _TINY = _F(0.25), _F(1 / 6), _F(1 / 24), _F(1e-6)
_GRAVITY = _F(9.80665)
# Stall: between 30 and 44 degrees the attached-flow curves give way to a bluff plate.
_STALL_FROM, _STALL_SPAN, _STALL_TO = _F(0.5), _F(1 / 0.2), _F(0.7)
_STEEPEST = _F(math.asin(0.7))
_PLATE_1 = _F(1.5)  # normal force grows as s (3 - s^2) / 2 towards broadside
_SLOWEST2 = _F(1.0 / 60.0**2)  # (rad/s)^-2, see reference.MAX_PRECESSION_RAD_S
_NOD_SHARE, _MOST_NOD = _F(0.5), _F(0.1)  # see reference.NOD_SHARE and MAX_NOD_RAD
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

# Steps. An error of the axis weighs as one of the velocity: 150 m/s per radian, about what a
# tilted lift does to the velocity of a fast disc by the end of its flight. One of the spin
# weighs a thousandth of that per rad/s. One step may be off
# by FINE times the fourth power of the step wished for; the longest and the shortest are so many
# times that one. Chosen on realistic throws against DOP853.
_AXIS_WEIGHT, _FINE = _F(150.0), 10.0
_SPIN_SHARE = _F(1e-3)
_LONGEST, _SHORTEST = _F(5.0), _F(1 / 512)
_CAUTION, _SHRINK, _GROW = _F(0.71), _F(0.25), _F(1.5)
_LEAST_ERROR2, _MOST_ERROR2 = _F(1e-8), _F(1e8)
# A step ends a little beyond where the parabola through its start comes down.
_BEYOND, _BEYOND_S = _F(1.02), _F(0.003)
_FASTEST2 = _F(1e6)  # (m/s)²; what is faster is no flight and ends at once
_ALMOST = _F(0.999999)


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
def _turning_value(x0: Single, x1: Single, v0: Single, v1: Single, h: Single) -> Single:
    """Value where the cubic through both ends of a step turns back, or at the nearer end."""
    change = v0 - v1
    change = change if abs(change) > _TINY else _TINY
    t = min(max(v0 / change, _ZERO), _ONE)
    u = _ONE - t
    late = t * t * ((_THREE - _TWO * t) * x1 - u * h * v1)
    return (_ONE + _TWO * t) * u * u * x0 + t * u * u * h * v0 + late


@inlined
def _stalled(s: Single) -> Single:
    """Share of the bluff plate at the sine of an angle of attack."""
    share = min(max((abs(s) - _STALL_FROM) * _STALL_SPAN, _ZERO), _ONE)
    return share * share * (_THREE - _TWO * share)


@compiled
def _find_slopes(lanes: Singles) -> None:
    """Acceleration, rate of the axis and spin-down of every lane in the state tried.

    In short loops, each from buffer to buffer: the processor works on the next lanes while
    those before them wait for a root or a quotient.
    """
    _find_air_speed(lanes)
    _find_attack(lanes)
    _find_nod(lanes)
    _find_loads(lanes)
    for i in range(LANES):
        ux, uy, uz = lanes[UX + i], lanes[UY + i], lanes[TRIED + VZ + i]
        nx, ny, nz = lanes[TRIED + NX + i], lanes[TRIED + NY + i], lanes[TRIED + NZ + i]
        along, normal = lanes[ALONG + i], lanes[NORMAL + i]
        lanes[SLOPE + VX + i] = along * ux + normal * nx
        lanes[SLOPE + VY + i] = along * uy + normal * ny
        lanes[SLOPE + VZ + i] = along * uz + normal * nz - _GRAVITY
        forward, up, aside = lanes[FORWARD + i], lanes[UP + i], lanes[ASIDE + i]
        lanes[SLOPE + NX + i] = forward * ux + up * nx + aside * (ny * uz - nz * uy)
        lanes[SLOPE + NY + i] = forward * uy + up * ny + aside * (nz * ux - nx * uz)
        lanes[SLOPE + NZ + i] = forward * uz + up * nz + aside * (nx * uy - ny * ux)


@compiled
def _find_air_speed(lanes: Singles) -> None:
    for i in range(LANES):
        height = max(lanes[TRIED + Z + i] - lanes[LOWEST + i], lanes[FLOOR + i])
        log_height = _logarithm(height)
        wind_x = lanes[WIND_X + i] + lanes[WIND_X_LOG + i] * log_height
        wind_y = lanes[WIND_Y + i] + lanes[WIND_Y_LOG + i] * log_height
        lanes[UX + i] = lanes[TRIED + VX + i] - wind_x
        lanes[UY + i] = lanes[TRIED + VY + i] - wind_y


@compiled
def _find_attack(lanes: Singles) -> None:
    """Find the squared air speed, and sine and cosine of the angle of attack of the mean axis."""
    for i in range(LANES):
        ux, uy, uz = lanes[UX + i], lanes[UY + i], lanes[TRIED + VZ + i]
        nx, ny, nz = lanes[TRIED + NX + i], lanes[TRIED + NY + i], lanes[TRIED + NZ + i]
        speed2 = ux * ux + uy * uy + uz * uz + _TINY
        per_speed = _ONE / np.sqrt(speed2)
        s = min(max(-(ux * nx + uy * ny + uz * nz) * per_speed, -_ONE), _ONE)
        lanes[SPEED2 + i], lanes[PER_SPEED + i] = speed2, per_speed
        lanes[S + i], lanes[PER_C + i] = s, _ONE / np.sqrt(max(_ONE - s * s, _TINY))


@inlined
def _cosine(s: Single, per_c: Single) -> Single:
    return max(_ONE - s * s, _TINY) * per_c


@compiled
def _find_nod(lanes: Singles) -> None:
    """Find how far the axis that the loads see stands off the mean one, and what keeps it."""
    for i in range(LANES):
        s, per_c, speed2 = lanes[S + i], lanes[PER_C + i], lanes[SPEED2 + i]
        wobble2, per_speed = lanes[TRIED + WOBBLE + i], lanes[PER_SPEED + i]
        alpha = _arcsine(min(max(s, -_STALL_TO), _STALL_TO))
        moment = lanes[CM0 + i] * (_ONE - _QUARTER * wobble2)
        moment = moment + lanes[CM_ALPHA + i] * (_ONE - _HALF * wobble2) * alpha
        plate = lanes[PLATE_MOMENT + i] * s * _cosine(s, per_c)
        moment = moment + _stalled(s) * (plate - moment)
        # Precession with damping: a 2x2 solve for dn/dt = a e1 + b (n x e1). The limit keeps
        # the rate finite where there is too little spin to be a gyroscope.
        pitch_damping = lanes[PITCH_S + i] + lanes[PITCH_LAG + i] * per_speed
        roll_damping = lanes[ROLL_S + i] + lanes[ROLL_LAG + i] * per_speed
        gyro, speed4 = lanes[TRIED + SPIN + i] * (_ONE + _HALF * wobble2), speed2 * speed2
        stiff = gyro * gyro + speed4 * pitch_damping * roll_damping + _TINY
        nod = _NOD_SHARE * speed2 * moment / (stiff + speed4 * moment * moment * _SLOWEST2)
        nod = min(max(nod, -_MOST_NOD), _MOST_NOD)
        lanes[NOD + i], lanes[STIFF + i] = nod, stiff
        lanes[ALPHA + i] = min(max(alpha + nod, -_STEEPEST), _STEEPEST)
        lanes[AHEAD + i], lanes[ASIDE + i] = speed2 * roll_damping, -gyro * per_speed * per_c


@compiled
def _find_loads(lanes: Singles) -> None:
    """Find forces and moment of the nodded axis, along the air speed and the mean axis."""
    for i in range(LANES):
        s, per_c, speed2 = lanes[S + i], lanes[PER_C + i], lanes[SPEED2 + i]
        nod, alpha, per_speed = lanes[NOD + i], lanes[ALPHA + i], lanes[PER_SPEED + i]
        wobble2, speed, c = lanes[TRIED + WOBBLE + i], speed2 * per_speed, _cosine(s, per_c)
        steady, sloped = _ONE - _QUARTER * wobble2, _ONE - _HALF * wobble2
        cos_nod = _ONE - _HALF * nod * nod
        sin_nod = nod * (_ONE - _SIXTH * nod * nod)
        nod_s, nod_c = s * cos_nod + c * sin_nod, c * cos_nod - s * sin_nod
        stalled = _stalled(nod_s)
        attached, off = _ONE - stalled, alpha - lanes[ALPHA0 + i]
        lift = lanes[CL0 + i] * steady + lanes[CL_ALPHA + i] * sloped * alpha
        lift = attached * lift * per_c
        more_drag = lanes[CD_ALPHA + i] * (off * off + _HALF * wobble2)
        plate = lanes[PLATE + i] * (_PLATE_1 - _HALF * nod_s * nod_s) - lanes[CD0 + i]
        plate = stalled * plate * nod_s
        along = lift * s - attached * more_drag - lanes[CD0 + i] - plate * sin_nod * per_c
        lanes[ALONG + i] = speed * along
        lanes[NORMAL + i] = speed2 * (lift + plate * (cos_nod - sin_nod * s * per_c))
        moment = lanes[CM0 + i] * steady + lanes[CM_ALPHA + i] * sloped * alpha
        moment = moment + stalled * (lanes[PLATE_MOMENT + i] * nod_s * nod_c - moment)
        limited = lanes[STIFF + i] + speed2 * speed2 * moment * moment * _SLOWEST2
        scale = speed2 * moment / limited
        ahead = scale * lanes[AHEAD + i]
        lanes[ASIDE + i] *= scale
        lanes[FORWARD + i] = ahead * cos_nod * per_c * per_speed
        lanes[UP + i] = ahead * (cos_nod * s * per_c + sin_nod)
        down = lanes[SPIN_DOWN + i] + lanes[SPIN_DOWN_LAG + i] * speed
        lanes[SLOPE + SPIN + i] = lanes[TRIED + SPIN + i] * down


@compiled
def _choose_step(lanes: Singles, cap_s: Single) -> None:
    """Choose the step: as wished, but hardly beyond the ground, and not beyond the cap."""
    for i in range(LANES):
        above = lanes[NOW + Z + i] - lanes[GROUND + i]
        vz = lanes[NOW + VZ + i]
        az = lanes[FIRST + VZ + i]
        inside = max(vz * vz - _TWO * az * above, _ZERO)
        down = _TWO * above / max(np.sqrt(inside) - vz, _TINY)
        wished = lanes[STEP_NEXT + i]
        limit = down * _BEYOND + _BEYOND_S
        limit = limit if inside > _ZERO else wished
        limit = limit if above > _ZERO else wished
        step = min(min(wished, limit), cap_s - lanes[TIME + i])
        lanes[STEP + i] = step
        # Half a step leaves exp(-4 e) of the squared wobble.
        e = _QUARTER * lanes[DECAY + i] * step
        left = _ONE / (_ONE + e * (_ONE + e * (_HALF + e * (_SIXTH + e * _TWENTYFOURTH))))
        left = left * left
        lanes[WOBBLE_LEFT + i] = left * left


@compiled
def _go_on(lanes: Singles, reach: Single, adds: bool, calms: Single) -> None:
    """Go a share of the step from its start, by the latest slopes, to the next stage.

    ``adds`` where those are to be added to the sum, ``calms`` 1 where the next stage is half a
    step later than this one and 0 where it is not.
    """
    for i in range(LANES):
        h = reach * lanes[STEP + i]
        lanes[TRIED + WOBBLE + i] *= _ONE + calms * (lanes[WOBBLE_LEFT + i] - _ONE)
        lanes[TRIED + Z + i] = lanes[NOW + Z + i] + h * lanes[TRIED + VZ + i]
        for j in range(3, STATE):
            k = j * LANES + i
            slope, before = lanes[SLOPE + k], lanes[SUM + k]
            lanes[SUM + k] = slope + (before if adds else _ZERO)
            lanes[TRIED + k] = lanes[NOW + k] + h * slope


@compiled
def _end_of_step(lanes: Singles) -> None:
    """Go to the end of the step by the mean of all four slopes."""
    for i in range(LANES):
        h = lanes[STEP + i]
        w = h * _SIXTH
        # The velocity's own stages give the position: (k1 + 2 k2 + 2 k3 + k4) / 6.
        for j in range(3):
            k = (3 + j) * LANES + i
            mean = lanes[NOW + k] + w * (lanes[FIRST + k] + lanes[SUM + k])
            lanes[TRIED + j * LANES + i] = lanes[NOW + j * LANES + i] + h * mean
        for j in range(3, STATE):
            k = j * LANES + i
            total = lanes[FIRST + k] + _TWO * lanes[SUM + k] + lanes[SLOPE + k]
            lanes[FOURTH + k] = lanes[SLOPE + k]
            lanes[TRIED + k] = lanes[NOW + k] + w * total
        nx, ny, nz = lanes[TRIED + NX + i], lanes[TRIED + NY + i], lanes[TRIED + NZ + i]
        per_length = _ONE / np.sqrt(nx * nx + ny * ny + nz * nz)
        lanes[TRIED + NX + i] = nx * per_length
        lanes[TRIED + NY + i] = ny * per_length
        lanes[TRIED + NZ + i] = nz * per_length


@compiled
def _judge_step(lanes: Singles, first: Single, per_tolerance: Single, cap_s: Single) -> None:
    """Keep the step or not, choose the next one, and see whether the flight ends in it."""
    for i in range(LANES):
        h = lanes[STEP + i]
        w = h * _SIXTH * per_tolerance
        ex = w * (lanes[FOURTH + VX + i] - lanes[SLOPE + VX + i])
        ey = w * (lanes[FOURTH + VY + i] - lanes[SLOPE + VY + i])
        ez = w * (lanes[FOURTH + VZ + i] - lanes[SLOPE + VZ + i])
        w = w * _AXIS_WEIGHT
        en = w * (lanes[FOURTH + NX + i] - lanes[SLOPE + NX + i])
        em = w * (lanes[FOURTH + NY + i] - lanes[SLOPE + NY + i])
        eo = w * (lanes[FOURTH + NZ + i] - lanes[SLOPE + NZ + i])
        es = w * _SPIN_SHARE * (lanes[FOURTH + SPIN + i] - lanes[SLOPE + SPIN + i])
        error2 = ex * ex + ey * ey + ez * ez + en * en + em * em + eo * eo + es * es
        kept = _ONE if error2 <= _ONE else _ZERO
        kept = _ONE if h <= _SHORTEST * first else kept
        error2 = error2 if error2 < _MOST_ERROR2 else _MOST_ERROR2  # nor is it a NaN
        error2 = max(error2, _LEAST_ERROR2)
        factor = _CAUTION / np.sqrt(np.sqrt(np.sqrt(error2)))
        following = h * min(max(factor, _SHRINK), _GROW)
        following = min(max(following, _SHORTEST * first), _LONGEST * first)
        # A flight that was just taken has made no step yet, only its first slopes.
        lanes[STEP_NEXT + i] = following if h > _ZERO else first
        z0, z1 = lanes[NOW + Z + i], lanes[TRIED + Z + i]
        v0, v1 = lanes[NOW + VZ + i], lanes[TRIED + VZ + i]
        turn_z = _turning_value(z0, z1, v0, v1, h)
        lanes[TURN_Z + i] = turn_z
        ground = lanes[GROUND + i]
        lowest = min(z1, turn_z if v0 < _ZERO else z1)
        ended = _ONE if min(v0, v1) < _ZERO else _ZERO
        ended = ended if lowest <= ground else _ZERO
        ended = ended if lanes[TIME + i] + h < cap_s * _ALMOST else _ONE
        vx, vy = lanes[TRIED + VX + i], lanes[TRIED + VY + i]
        ended = ended if vx * vx + vy * vy + v1 * v1 < _FASTEST2 else _ONE
        lanes[EVENT + i] = ended if kept > _ZERO else REJECTED


@compiled
def _stay(lanes: Singles, i: int) -> None:
    """Make the state tried by lane ``i`` the one it has, because the step was not good."""
    lanes[STEP + i] = _ZERO
    lanes[TURN_Z + i] = lanes[NOW + Z + i]
    for j in range(STATE + 1):
        lanes[TRIED + j * LANES + i] = lanes[NOW + j * LANES + i]
    for j in range(3, STATE):
        lanes[SLOPE + j * LANES + i] = lanes[FIRST + j * LANES + i]


@compiled
def _move_on(lanes: Singles) -> None:
    """Take the step: what was tried is now."""
    for i in range(LANES):
        h = lanes[STEP + i]
        y0, y1 = lanes[NOW + Y + i], lanes[TRIED + Y + i]
        v0, v1 = lanes[NOW + VY + i], lanes[TRIED + VY + i]
        lanes[TURN_Y + i] = _turning_value(y0, y1, v0, v1, h)
    for i in range(LANES):
        turn_y, y1 = lanes[TURN_Y + i], lanes[TRIED + Y + i]
        turn_z, z1 = lanes[TURN_Z + i], lanes[TRIED + Z + i]
        left, right = lanes[LEFT + i], lanes[RIGHT + i]
        top = lanes[TOP + i]
        lanes[LEFT + i] = max(left, max(y1, turn_y))
        lanes[RIGHT + i] = min(right, min(y1, turn_y))
        lanes[TOP + i] = max(top, max(z1, turn_z))
        lanes[TIME + i] += lanes[STEP + i]
    for i in range((STATE + 1) * LANES):
        lanes[NOW + i] = lanes[TRIED + i]
    for i in range(3 * LANES, STATE * LANES):
        lanes[FIRST + i] = lanes[SLOPE + i]


@compiled
def _try_step(lanes: Singles, first: Single, per_tolerance: Single, cap_s: Single) -> None:
    """One Runge-Kutta step of every lane, judged but not yet taken."""
    _choose_step(lanes, cap_s)
    _go_on(lanes, _HALF, False, _ONE)
    _find_slopes(lanes)
    _go_on(lanes, _HALF, False, _ZERO)
    _find_slopes(lanes)
    _go_on(lanes, _ONE, True, _ONE)
    _find_slopes(lanes)
    _end_of_step(lanes)
    _find_slopes(lanes)
    _judge_step(lanes, first, per_tolerance, cap_s)


@compiled
def _take(prepared: Singles, k: int, lanes: Singles, i: int) -> None:
    """Put flight ``k`` into lane ``i``, as after a step of no length."""
    tile, place = k // TILE, k % TILE
    for j in range(CONSTANTS):
        lanes[j * LANES + i] = prepared[tile, j, place]
    for j in range(2, STATE + 1):
        lanes[NOW + j * LANES + i] = prepared[tile, CONSTANTS - 2 + j, place]
    lanes[NOW + X + i] = _ZERO
    lanes[NOW + Y + i] = _ZERO
    for j in range(3, STATE):
        lanes[FIRST + j * LANES + i] = _ZERO
    lanes[TIME + i] = _ZERO
    lanes[STEP_NEXT + i] = _ZERO
    lanes[LEFT + i] = _ZERO
    lanes[RIGHT + i] = _ZERO
    lanes[TOP + i] = lanes[NOW + Z + i]
    _stay(lanes, i)


@compiled
def _fit(lanes: Singles, i: int, j: int, curve: Floats) -> None:
    """Quintic through both ends of the step tried: value, slope and curvature of coordinate j.

    ``curve`` is its six coefficients in the share of the step.
    """
    h, k = float(lanes[STEP + i]), (3 + j) * LANES + i
    y0, y1 = float(lanes[NOW + j * LANES + i]), float(lanes[TRIED + j * LANES + i])
    v0, v1 = h * lanes[NOW + k], h * lanes[TRIED + k]
    a0, a1 = h * h * lanes[FIRST + k], h * h * lanes[SLOPE + k]
    # What is left of the end's value, slope and curvature after the first three terms.
    value, slope, bend = y1 - y0 - v0 - 0.5 * a0, v1 - v0 - a0, a1 - a0
    curve[0], curve[1], curve[2] = y0, v0, 0.5 * a0
    curve[3] = 10.0 * value - 4.0 * slope + 0.5 * bend
    curve[4] = -15.0 * value + 7.0 * slope - bend
    curve[5] = 6.0 * value - 3.0 * slope + 0.5 * bend


@inlined
def _at(curve: Floats, t: float) -> float:
    early: float = curve[0] + t * (curve[1] + t * curve[2])
    late: float = curve[3] + t * (curve[4] + t * curve[5])
    return early + t * t * t * late


@inlined
def _slope_at(curve: Floats, t: float) -> float:
    early: float = curve[1] + t * (2.0 * curve[2] + t * 3.0 * curve[3])
    late: float = 4.0 * curve[4] + t * 5.0 * curve[5]
    return early + t * t * t * late


@compiled
def _touchdown(lanes: Singles, i: int, curve: Floats) -> float:
    """Share of the step tried at which the disc first is on the ground and falls.

    ``curve`` is its height, see :func:`_fit`.
    """
    ground = float(lanes[GROUND + i])
    v0, v1 = curve[1], float(lanes[TRIED + VZ + i])
    turn = v0 / (v0 - lanes[STEP + i] * v1) if v0 * v1 < 0.0 else 0.0
    low, high = 0.0, 1.0
    if curve[0] <= ground:
        # From below the plane: it touches where it falls back onto it, or begins to fall.
        if v0 <= 0.0 or _at(curve, turn) <= ground:
            return turn
        low = turn
    elif v0 < 0.0 < v1:  # a dip
        high = turn
    share = high
    for _ in range(20):  # Newton's method inside a bracket
        height = _at(curve, share) - ground
        if abs(height) < 1e-6:
            break
        if height > 0.0:
            low = share
        else:
            high = share
        slope = _slope_at(curve, share)
        if slope < 0.0:
            share -= height / slope
        if slope >= 0.0 or share <= low or share >= high:
            share = 0.5 * (low + high)
    return share


@compiled
def _finish(lanes: Singles, i: int, share: float, curve: Floats, row: Floats) -> None:
    """Write the state at ``share`` of the last step into the flight's result row."""
    h = float(lanes[STEP + i])
    u = 1.0 - share
    w0, w1 = (1.0 + 2.0 * share) * u * u, share * share * (3.0 - 2.0 * share)
    m0, m1 = h * share * u * u, -h * share * share * u
    for j in range(3, STATE):
        k = j * LANES + i
        row[j] = w0 * lanes[NOW + k] + w1 * lanes[TRIED + k]
        row[j] += m0 * lanes[FIRST + k] + m1 * lanes[SLOPE + k]
    length = 1.0 / math.sqrt(row[6] * row[6] + row[7] * row[7] + row[8] * row[8])
    for j in range(6, 9):
        row[j] *= length
    row[9] = abs(row[9])
    row[10] = lanes[TIME + i] + share * h
    row[2], row[11] = _at(curve, share), lanes[TOP + i]
    row[11] = max(row[11], max(row[2], _turning_at(curve, share)))
    _fit(lanes, i, 1, curve)
    row[1] = _at(curve, share)
    turn = _turning_at(curve, share)
    row[12] = max(float(lanes[LEFT + i]), max(turn, row[1]))
    row[13] = min(float(lanes[RIGHT + i]), min(turn, row[1]))
    _fit(lanes, i, 0, curve)
    row[0] = _at(curve, share)


@inlined
def _turning_at(curve: Floats, share: float) -> float:
    """Value where a curve turns before ``share`` of the step, or at its start."""
    v0, v1 = curve[1], _slope_at(curve, share)
    return _at(curve, share * v0 / (v0 - v1)) if v0 * v1 < 0.0 else curve[0]


@compiled
def _end(lanes: Singles, i: int, cap_s: float, curve: Floats, row: Floats) -> None:
    """Close the flight of a lane that came down, ran out of time or is no flight."""
    z1, v1 = lanes[TRIED + Z + i], lanes[TRIED + VZ + i]
    falling = lanes[NOW + VZ + i] < 0.0
    lowest = min(z1, lanes[TURN_Z + i]) if falling else z1
    down = lowest <= lanes[GROUND + i] and (falling or v1 < 0.0)
    _fit(lanes, i, 2, curve)
    _finish(lanes, i, _touchdown(lanes, i, curve) if down else 1.0, curve, row)
    row[14] = 1.0 if down else 0.0
    if not down:  # the time, a sum in single precision, hardly meets it
        row[10] = cap_s


@compiled
def fly_lanes(prepared: Singles, step_s: float, cap_s: float, out: Floats, paths: Floats) -> int:
    """Fly N flights and fill their rows of ``out``.

    Parameters
    ----------
    prepared : (tiles, len(PREPARED), TILE) float32
        What each flight begins with, see :mod:`rimwise.flight._prepare`.
    step_s : float
        First time step; the error goes with its fourth power.
    cap_s : float
        A flight still in the air after this time ends there, with ``landed`` 0.
    out : (N, len(OUTPUTS)) float64
        Result, see :data:`OUTPUTS`.
    paths : (N, points, PATH_COLUMNS) float64
        Sampled paths; zero points for none.

    Returns
    -------
    int
        Steps tried, those of idle lanes included.
    """
    lanes = np.ones(ROWS * LANES, np.float32)
    curve = np.empty(6)
    flight, counts = np.full(LANES, -1), np.zeros(LANES, np.int64)
    points = paths.shape[1]
    log = np.empty((LANES if points else 0, LOG_ROWS, LOG_COLUMNS), np.float32)
    per_tolerance, cap = np.float32(1.0 / (_FINE * step_s**4)), np.float32(cap_s)
    for i in range(LANES):
        lanes[EVENT + i] = ENDED
    following, flying, stop, tried = 0, 0, out.shape[0], 0
    while True:
        for i in range(LANES):
            if lanes[EVENT + i] == _ZERO:
                continue
            if lanes[EVENT + i] == REJECTED:
                _stay(lanes, i)
                continue
            if flight[i] >= 0:
                flying -= 1
                _end(lanes, i, cap_s, curve, out[flight[i]])
                if points:
                    sample(log, i, counts[i], out[flight[i]], paths[flight[i]])
            # Lanes without a flight of their own idle on copies of the first.
            more = following < stop
            flight[i] = following if more else -1
            _take(prepared, following if more else 0, lanes, i)
            following += more
            flying += more
            counts[i] = 0
        if flying == 0:
            break
        _move_on(lanes)
        _try_step(lanes, np.float32(step_s), per_tolerance, cap)
        tried += LANES
        if points:
            record(lanes, counts, log)
    return tried
