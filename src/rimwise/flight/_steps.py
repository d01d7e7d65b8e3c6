"""Which flights are none.

Explicit Runge-Kutta steps blow up where forces stop a disc, or torques its spin, within much
less than a step. The kernel's steps shrink there, but not without end. Nothing that anyone
throws comes near that; every argument within its limits must fly or be refused, though.
"""

from __future__ import annotations

import itertools
import math
from typing import TYPE_CHECKING

import numpy as np

from rimwise.errors import InputError
from rimwise.flight.aero import STALL_FROM_SIN, STALL_TO_SIN
from rimwise.flight.reference import GRAVITY_M_S2

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Columns = dict[str, Floats]

__all__ = ["refuse_runaways", "refuse_stiff"]

#: The first step may be this many times as long as forces would need to stop the disc at the
#: greatest speed it can have. The shortest step is a 512th of the first, and the fourth-order
#: method is stable up to 2.8 of those times; that leaves a factor of eleven.
MOST_PER_STEP = 128.0
#: A disc that ends faster than sound was driven by a wind profile it rides without drag; one
#: that spins faster than any release may was on its way there.
FASTEST_M_S, FASTEST_RAD_S = 400.0, 301.0
_STEEPEST_RAD = math.asin(STALL_TO_SIN)


def refuse_runaways(out: Floats, first: int = 0) -> None:
    """Refuse flights that are no flights, so that no result is ever a NaN.

    Parameters
    ----------
    out : (N, len(OUTPUTS)) float64
        What the kernel found, see :data:`rimwise.flight.kernel.OUTPUTS`.
    first : int
        Position of the first of these flights among those asked for.

    Raises
    ------
    InputError
        When a number is not finite, or a disc ends faster than ``FASTEST_M_S`` or spins
        faster than ``FASTEST_RAD_S``.
    """
    velocity_m_s, spin_rad_s = out[:, 3:6], out[:, 9]
    slow = np.abs(velocity_m_s).max() < 0.5 * FASTEST_M_S and spin_rad_s.max() < FASTEST_RAD_S
    if slow and np.isfinite(out.sum()):  # nearly always
        return
    sound = np.isfinite(out).all(axis=1)
    sound &= np.einsum("ij,ij->i", velocity_m_s, velocity_m_s) < FASTEST_M_S**2
    sound &= spin_rad_s < FASTEST_RAD_S
    if not sound.all():
        raise InputError(
            f"aero.cd0 must be large enough for the wind and the lift, but the disc at position "
            f"{first + int(np.argmin(sound))} gains speed without end."
        )


def refuse_stiff(parts: Columns, step_s: float, first: int = 0) -> None:
    """Refuse flights that even the shortest steps cannot follow.

    Parameters
    ----------
    parts : dict of (1,) or (N,) float64
        Checked columns, as :func:`rimwise.flight._gather.gather` makes them.
    step_s : float
        The first step.
    first : int
        Position of the first of these flights among those asked for.

    Raises
    ------
    InputError
        When there is one.
    """
    # A bound of whole columns clears ordinary batches at next to no cost.
    worst = {name: np.array([max(part.max(), -part.min())]) for name, part in parts.items()}
    for name in ("mass_kg", "axial_inertia_kg_m2", "ground_z_m"):
        worst[name] = np.array([parts[name].min()])
    if _rates_per_s(worst, _bold_coefficient(worst))[0] * step_s <= MOST_PER_STEP:
        return
    rates = _rates_per_s(parts, _largest_coefficient(parts))
    stiffest = int(np.argmax(rates))
    if rates[stiffest] * step_s > MOST_PER_STEP:
        raise InputError(
            "aero, body, air, wind and release must leave a disc its speed and spin for at least "
            f"{step_s / MOST_PER_STEP:.1g} s, but the one at position {first + stiffest} would "
            f"lose them within {1.0 / rates[stiffest]:.1g} s."
        )


def _rates_per_s(parts: Columns, coefficient: Floats) -> Floats:
    """Rate at which forces change the velocity, or torques the spin, whichever is faster."""
    diameter = parts["diameter_m"]
    fall = np.maximum(parts["height_m"] - parts["ground_z_m"], 0.0)
    speed = np.sqrt(parts["speed_m_s"] ** 2 + 2.0 * GRAVITY_M_S2 * fall) + _wind_m_s(parts)
    push = parts["density_kg_m3"] * 0.25 * math.pi * diameter**2 * speed
    spin_torque = np.abs(parts["cn_r_n_m_s"])
    spin_torque = spin_torque + np.abs(parts["cn_r"]) * 0.25 * push * diameter**2
    return np.asarray(
        np.maximum(
            push * coefficient / parts["mass_kg"], spin_torque / parts["axial_inertia_kg_m2"]
        )
    )


def _wind_m_s(parts: Columns) -> Floats:
    """Wind at release, at least that at 10 m; roughness below a micrometre counts as one."""
    rough = np.maximum(parts["roughness_m"], 1e-6)
    height = parts["height_m"] - np.minimum(parts["ground_z_m"], 0.0)
    share = np.log(np.maximum(height / rough, 2.0)) / np.log(10.0 / rough)
    share = np.where(parts["roughness_m"] > 0.0, np.maximum(share, 1.0), 1.0)
    return np.asarray(share * np.hypot(parts["wind_x_m_s"], parts["wind_y_m_s"]))


def _bold_coefficient(parts: Columns) -> Floats:
    """At least the largest force coefficient, quickly."""
    lift = np.abs(parts["cl0"]) + np.abs(parts["cl_alpha"]) * _STEEPEST_RAD
    drag = parts["cd0"] + parts["cd_alpha"] * (_STEEPEST_RAD + np.abs(parts["alpha0_rad"])) ** 2
    return np.asarray(np.maximum(np.hypot(lift, drag), parts["plate_cn"] + parts["cd0"]))


def _largest_coefficient(parts: Columns) -> Floats:
    """Largest force coefficient over all angles of attack, with the stall blend.

    Below the stall it is at one of the ends, because lift is linear and drag convex.
    """
    most = parts["plate_cn"] + parts["cd0"]
    for side, share in itertools.product((-1.0, 1.0), (0.0, 0.25, 0.5, 0.75)):
        sine = side * (STALL_FROM_SIN + share * (STALL_TO_SIN - STALL_FROM_SIN))
        alpha = math.asin(sine)
        attached = 1.0 - share * share * (3.0 - 2.0 * share)
        lift = parts["cl0"] + parts["cl_alpha"] * alpha
        drag = parts["cd0"] + parts["cd_alpha"] * (alpha - parts["alpha0_rad"]) ** 2
        plate = parts["plate_cn"] * abs(sine) + parts["cd0"]
        most = np.maximum(most, attached * np.hypot(lift, drag) + (1.0 - attached) * plate)
    return np.asarray(most)
