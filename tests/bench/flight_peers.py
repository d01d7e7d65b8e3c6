"""The flight equations by the ordinary means of Python, to measure the kernel against.

Double precision, the same precession model with nod and stall (no wobble), written once: NumPy
runs :func:`rates` on whole arrays of flights, and numba compiles the same lines for one flight
that SciPy's ``solve_ivp`` follows.
"""

from __future__ import annotations

import numba
import numpy as np
from scipy.integrate import solve_ivp

from rimwise.flight.reference import NOD_SHARE

#: Rows of the constants that :func:`rates` takes.
CONSTANTS = (
    "cl0", "cl_alpha", "cd0", "cd_alpha", "alpha0_rad", "cm0", "cm_alpha", "plate_cn",
    "push", "tilt", "pitch_s", "pitch_lag", "roll_s", "roll_lag", "spin_down", "spin_down_lag",
    "wind_x", "wind_x_log", "wind_y", "wind_y_log", "floor_m",
)  # fmt: skip
STEP_S = 0.0625
GRAVITY_M_S2 = 9.80665


def constants(parts: dict[str, np.ndarray], count: int) -> np.ndarray:
    """Return the constants of checked columns, (len(CONSTANTS), count); landing area at 0 m."""
    p = {name: np.broadcast_to(part, count) for name, part in parts.items()}
    assert not p["wobble_rad"].any()
    assert not p["ground_z_m"].any()
    half, axial = 0.5 * p["diameter_m"], p["axial_inertia_kg_m2"]
    push = 0.5 * p["density_kg_m3"] * np.pi * half**2
    tilt = push * p["diameter_m"] / axial
    rough = np.where(p["roughness_m"] > 0.0, p["roughness_m"], 1.0)
    slope = np.where(p["roughness_m"] > 0.0, 1.0 / np.log(10.0 / rough), 0.0)
    share = np.where(p["roughness_m"] > 0.0, -np.log(rough) * slope, 1.0)
    known = {
        "push": push / p["mass_kg"], "tilt": tilt,
        "pitch_s": p["cm_q_s"], "pitch_lag": p["cm_q"] * half,
        "roll_s": p["cl_p_s"], "roll_lag": p["cl_p"] * half,
        "spin_down": p["cn_r_n_m_s"] / axial, "spin_down_lag": p["cn_r"] * tilt * half,
        "wind_x": p["wind_x_m_s"] * share, "wind_x_log": p["wind_x_m_s"] * slope,
        "wind_y": p["wind_y_m_s"] * share, "wind_y_log": p["wind_y_m_s"] * slope,
        "floor_m": 2.0 * rough,
    }  # fmt: skip
    return np.array([known[name] if name in known else p[name] for name in CONSTANTS])


def release_states(parts: dict[str, np.ndarray], count: int) -> np.ndarray:
    """Return position, velocity, axis and signed spin at release, (10, count)."""
    p = {name: np.broadcast_to(part, count) for name, part in parts.items()}
    (cl, sl), (ch, sh), (cb, sb), (cn, sn) = (
        (np.cos(p[name]), np.sin(p[name]))
        for name in ("launch_rad", "heading_rad", "hyzer_rad", "nose_rad")
    )
    sb, zero = p["side"] * sb, np.zeros(count)
    return np.array([
        zero, zero, p["height_m"],
        p["speed_m_s"] * ch * cl, p["speed_m_s"] * sh * cl, p["speed_m_s"] * sl,
        cn * (-cb * ch * sl - sb * sh) - sn * ch * cl,
        cn * (-cb * sh * sl + sb * ch) - sn * sh * cl,
        cn * cb * cl - sn * sl,
        -p["side"] * p["spin_rad_s"],
    ])  # fmt: skip


def rates(y: np.ndarray, c: np.ndarray) -> np.ndarray:
    """Return dy/dt for one state or for columns of states; see rimwise.flight.reference."""
    nx, ny, nz, spin = y[6], y[7], y[8], y[9]
    logarithm = np.log(np.maximum(y[2], c[20]))
    ux, uy, uz = y[3] - c[16] - c[17] * logarithm, y[4] - c[18] - c[19] * logarithm, y[5]
    speed = np.sqrt(ux * ux + uy * uy + uz * uz + 1e-6)
    length = np.sqrt(nx * nx + ny * ny + nz * nz)
    nx, ny, nz, ux, uy, uz = (
        nx / length,
        ny / length,
        nz / length,
        ux / speed,
        uy / speed,
        uz / speed,
    )
    s = np.minimum(np.maximum(-(ux * nx + uy * ny + uz * nz), -1.0), 1.0)
    cosine = np.sqrt(np.maximum(1.0 - s * s, 1e-6))
    fx, fy, fz = (ux + s * nx) / cosine, (uy + s * ny) / cosine, (uz + s * nz) / cosine
    alpha = np.arcsin(s)
    blend = np.minimum(np.maximum((np.abs(s) - 0.5) / 0.2, 0.0), 1.0)
    blend = blend * blend * (3.0 - 2.0 * blend)
    turn = c[9] * speed * speed
    pitch = turn * (c[10] + c[11] / speed)
    roll = turn * (c[12] + c[13] / speed)
    stiff = spin * spin + pitch * roll
    moment = c[5] + c[6] * alpha
    torque = turn * (moment + blend * (0.14 * c[7] * s * cosine - moment))
    nod = NOD_SHARE * torque / (stiff + torque * torque / 3600.0)
    nod = np.minimum(np.maximum(nod, -0.1), 0.1)
    # The loads see the disc nodded: the same in the plane of air velocity and axis.
    a, b = np.cos(nod), np.sin(nod)
    s, cosine, alpha = s * a + cosine * b, cosine * a - s * b, alpha + nod
    mx, my, mz = a * nx - b * fx, a * ny - b * fy, a * nz - b * fz
    gx, gy, gz = a * fx + b * nx, a * fy + b * ny, a * fz + b * nz
    blend = np.minimum(np.maximum((np.abs(s) - 0.5) / 0.2, 0.0), 1.0)
    blend = blend * blend * (3.0 - 2.0 * blend)
    lift = c[0] + c[1] * alpha
    drag = c[2] + c[3] * (alpha - c[4]) * (alpha - c[4])
    moment = c[5] + c[6] * alpha
    forward, normal = lift * s - drag * cosine, lift * cosine + drag * s
    forward = forward - blend * (forward + c[2] * cosine)
    normal = normal + blend * (c[7] * s * (1.5 - 0.5 * s * s) - normal)
    torque = turn * (moment + blend * (0.14 * c[7] * s * cosine - moment))
    push = c[8] * speed * speed
    scale = torque / (stiff + torque * torque / 3600.0)
    ahead, aside = scale * roll, -scale * spin
    slopes = np.empty_like(y)
    slopes[0], slopes[1], slopes[2] = y[3], y[4], y[5]
    slopes[3] = push * (forward * gx + normal * mx)
    slopes[4] = push * (forward * gy + normal * my)
    slopes[5] = push * (forward * gz + normal * mz) - GRAVITY_M_S2
    slopes[6] = ahead * gx + aside * (my * gz - mz * gy)
    slopes[7] = ahead * gy + aside * (mz * gx - mx * gz)
    slopes[8] = ahead * gz + aside * (mx * gy - my * gx)
    slopes[9] = spin * (c[14] + c[15] * speed)
    return slopes


def numpy_landings(parts: dict[str, np.ndarray], count: int) -> np.ndarray:
    """Classical Runge-Kutta steps of all flights at once, dropping those that have landed."""
    c, y = constants(parts, count), release_states(parts, count)
    landings, left = np.empty((count, 3)), np.arange(count)
    while len(left):
        k1 = rates(y, c)
        k2 = rates(y + 0.5 * STEP_S * k1, c)
        k3 = rates(y + 0.5 * STEP_S * k2, c)
        k4 = rates(y + STEP_S * k3, c)
        later = y + STEP_S / 6.0 * (k1 + 2.0 * (k2 + k3) + k4)
        down = (later[2] <= 0.0) & (later[5] < 0.0)
        landings[left[down]] = _touch(y[:, down], later[:, down])
        y, c, left = later[:, ~down], c[:, ~down], left[~down]
    return landings


def _touch(early: np.ndarray, late: np.ndarray) -> np.ndarray:
    """Where the cubic through both ends of a step comes down, by bisection."""
    low, high = np.zeros(early.shape[1]), np.ones(early.shape[1])
    for _ in range(30):
        middle = 0.5 * (low + high)
        above = _cubic(middle, early, late)[2] > 0.0
        low, high = np.where(above, middle, low), np.where(above, high, middle)
    return _cubic(low, early, late).T


def _cubic(t: np.ndarray, early: np.ndarray, late: np.ndarray) -> np.ndarray:
    u, h = 1.0 - t, STEP_S
    start = (1.0 + 2.0 * t) * u * u * early[:3] + t * u * u * h * early[3:6]
    return start + t * t * ((3.0 - 2.0 * t) * late[:3] - u * h * late[3:6])


_one_rate = numba.njit(rates)


def _height(_t: float, y: np.ndarray, _c: np.ndarray) -> float:
    return y[2] if y[5] < 0.0 else 1.0


_height.terminal = True  # type: ignore[attr-defined]


def scipy_landings(parts: dict[str, np.ndarray], count: int) -> np.ndarray:
    """Follow one flight after the other by ``solve_ivp``, RK45, to 1e-6, with compiled rates."""
    c, y = constants(parts, count), release_states(parts, count)
    landings = np.empty((count, 3))
    for k in range(count):
        own = np.ascontiguousarray(c[:, k])
        flown = solve_ivp(
            lambda _t, state, own: _one_rate(state, own), (0.0, 60.0), y[:, k], args=(own,),
            events=_height, rtol=1e-6, atol=1e-6,
        )  # fmt: skip
        landings[k] = flown.y_events[0][0][:3]
    return landings
