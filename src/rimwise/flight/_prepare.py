"""From checked columns to the constants and the state that the kernel's lanes begin with.

Apart from the kernel, which only flies. Flights are prepared in tiles, number by number, so
that the loops over a tile become vector instructions.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from rimwise.flight._jit import compiled, inlined
from rimwise.flight._lanes import PREPARED, TILE

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Singles = NDArray[np.float32]
    Integers = NDArray[np.int64]

__all__ = ["INPUTS", "prepare"]

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

# Rows of a tile.
(
    _CL0, _CL_ALPHA, _CD0, _CD_ALPHA, _ALPHA0, _CM0, _CM_ALPHA, _PLATE, _PLATE_MOMENT,
    _PITCH_S, _PITCH_LAG, _ROLL_S, _ROLL_LAG, _SPIN_DOWN, _SPIN_DOWN_LAG,
    _WIND_X, _WIND_X_LOG, _WIND_Y, _WIND_Y_LOG, _LOWEST, _FLOOR, _GROUND, _DECAY,
    _Z, _VX, _VY, _VZ, _NX, _NY, _NZ, _SPIN, _WOBBLE,
) = range(len(PREPARED))  # fmt: skip
_PLATE_CM = 0.14  # see aero.PLATE_CM_SHARE


@compiled
def prepare(data: Floats, where: Integers, count: int, prepared: Singles) -> None:
    """Prepare flights; those that fill up the last tile are copies of the last one.

    Parameters
    ----------
    data : (M,) float64
        The columns named in :data:`INPUTS`, of length 1 or ``count`` each, end to end.
    where : (len(INPUTS), 2) int64
        Place of each column's first entry, and 0 for a column of length 1, else 1.
    count : int
        Number of flights.
    prepared : (tiles, len(PREPARED), TILE) float32
        What each of them begins with, filled here.
    """
    own = np.empty((where.shape[0], TILE))
    share, slope = np.empty(TILE), np.empty(TILE)
    for tile in range(prepared.shape[0]):
        for name in range(where.shape[0]):
            _copy(data, where[name, 0], where[name, 1], tile * TILE, count, own[name])
        _find_profile(own[_IN_ROUGHNESS], share, slope)
        _prepare_disc(own, prepared[tile])
        _prepare_scene(own, share, slope, prepared[tile])
        _prepare_release(own, prepared[tile])


@inlined
def _copy(data: Floats, begin: int, stride: int, first: int, count: int, row: Floats) -> None:
    there = min(TILE, count - first) if stride else 0
    for i in range(there):
        row[i] = data[begin + first + i]
    last = data[begin + stride * (count - 1)]
    for i in range(there, TILE):
        row[i] = last


@compiled
def _find_profile(roughness_m: Floats, share: Floats, slope: Floats) -> None:
    """Find a and b of the share ``a + b ln(height)`` of the wind at 10 m, 1 and 0 where smooth."""
    known, a, b = 0.0, 1.0, 0.0
    for i in range(TILE):
        if roughness_m[i] != known:  # many flights share theirs; logarithms are slow
            known, a, b = roughness_m[i], 1.0, 0.0
            if known > 0.0:
                b = 1.0 / math.log(10.0 / known)
                a = -math.log(known) * b
        share[i], slope[i] = a, b


@compiled
def _prepare_disc(own: Floats, tile: Singles) -> None:
    for i in range(TILE):
        diameter, per_axial = own[_IN_DIAMETER, i], 1.0 / own[_IN_AXIAL_INERTIA, i]
        speed, half = own[_IN_SPEED, i], 0.5 * diameter
        pressure_area = 0.5 * own[_IN_DENSITY, i] * 0.25 * math.pi * diameter * diameter
        push, tilt = pressure_area / own[_IN_MASS, i], pressure_area * diameter * per_axial
        tile[_CL0, i], tile[_CL_ALPHA, i] = push * own[_IN_CL0, i], push * own[_IN_CL_ALPHA, i]
        tile[_CD0, i], tile[_CD_ALPHA, i] = push * own[_IN_CD0, i], push * own[_IN_CD_ALPHA, i]
        tile[_ALPHA0, i] = own[_IN_ALPHA0, i]
        tile[_CM0, i], tile[_CM_ALPHA, i] = tilt * own[_IN_CM0, i], tilt * own[_IN_CM_ALPHA, i]
        tile[_PLATE, i] = push * own[_IN_PLATE_CN, i]
        tile[_PLATE_MOMENT, i] = tilt * own[_IN_PLATE_CN, i] * _PLATE_CM
        pitch_s, pitch_lag = own[_IN_CM_Q_S, i], half * own[_IN_CM_Q, i]
        roll_s, roll_lag = own[_IN_CL_P_S, i], half * own[_IN_CL_P, i]
        tile[_PITCH_S, i], tile[_PITCH_LAG, i] = tilt * pitch_s, tilt * pitch_lag
        tile[_ROLL_S, i], tile[_ROLL_LAG, i] = tilt * roll_s, tilt * roll_lag
        tile[_SPIN_DOWN, i] = own[_IN_CN_R_RAW, i] * per_axial
        tile[_SPIN_DOWN_LAG, i] = tilt * half * own[_IN_CN_R, i]
        damping = speed * (pitch_s + roll_s) + pitch_lag + roll_lag
        tile[_DECAY, i] = -tilt * speed * damping
        tile[_WOBBLE, i] = own[_IN_WOBBLE, i] * own[_IN_WOBBLE, i]


@compiled
def _prepare_scene(own: Floats, share: Floats, slope: Floats, tile: Singles) -> None:
    for i in range(TILE):
        wind_x, wind_y = own[_IN_WIND_X, i], own[_IN_WIND_Y, i]
        tile[_WIND_X, i], tile[_WIND_X_LOG, i] = wind_x * share[i], wind_x * slope[i]
        tile[_WIND_Y, i], tile[_WIND_Y_LOG, i] = wind_y * share[i], wind_y * slope[i]
        roughness = own[_IN_ROUGHNESS, i]
        tile[_FLOOR, i] = 2.0 * roughness if roughness > 0.0 else 1.0
        ground = own[_IN_GROUND_Z, i]
        tile[_GROUND, i], tile[_LOWEST, i] = ground, min(ground, 0.0)


@compiled
def _prepare_release(own: Floats, tile: Singles) -> None:
    """State at release: bank about the velocity, then nose about the disc's own side."""
    for i in range(TILE):
        speed, side = own[_IN_SPEED, i], own[_IN_SIDE, i]
        sl, cl = _sine_cosine(own[_IN_LAUNCH, i])
        sh, ch = _sine_cosine(own[_IN_HEADING, i])
        tile[_Z, i] = own[_IN_HEIGHT, i]
        tile[_VX, i], tile[_VY, i] = speed * ch * cl, speed * sh * cl
        tile[_VZ, i], tile[_SPIN, i] = speed * sl, -side * own[_IN_SPIN, i]
    for i in range(TILE):
        sl, cl = _sine_cosine(own[_IN_LAUNCH, i])
        sh, ch = _sine_cosine(own[_IN_HEADING, i])
        sb, cb = _sine_cosine(own[_IN_HYZER, i])
        sn, cn = _sine_cosine(own[_IN_NOSE, i])
        sb *= own[_IN_SIDE, i]
        tile[_NX, i] = cn * (-cb * ch * sl - sb * sh) - sn * ch * cl
        tile[_NY, i] = cn * (-cb * sh * sl + sb * ch) - sn * sh * cl
        tile[_NZ, i] = cn * cb * cl - sn * sl


@inlined
def _sine_cosine(angle: float) -> tuple[float, float]:
    """Sine and cosine by Taylor's polynomials in the nearest quarter turn, error below 4e-9."""
    quarters = math.floor(angle * (2.0 / math.pi) + 0.5)
    r = angle - quarters * (0.5 * math.pi)
    r2 = r * r
    sine = r * (1.0 - r2 / 6.0 * (1.0 - r2 / 20.0 * (1.0 - r2 / 42.0 * (1.0 - r2 / 72.0))))
    cosine = 1.0 - r2 / 2.0 * (
        1.0 - r2 / 12.0 * (1.0 - r2 / 30.0 * (1.0 - r2 / 56.0 * (1.0 - r2 / 90.0)))
    )
    halves = math.floor(quarters * 0.5)
    odd, sign = quarters - 2.0 * halves, 1.0 - 2.0 * (halves - 2.0 * math.floor(halves * 0.5))
    # By a quarter turn sine becomes cosine and cosine minus sine; by two, both turn about.
    return sign * (sine + odd * (cosine - sine)), sign * (cosine - odd * (sine + cosine))
