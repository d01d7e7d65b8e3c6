"""How small a time step a flight needs to be stable, and which flights are none.

Explicit Runge-Kutta steps blow up where forces stop a disc, or torques its spin, within much
less than a step. Nothing that anyone throws comes near that, but every argument within its
limits must fly or be refused, and a light, wide, draggy disc in dense air does come near.
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
    from collections.abc import Callable

    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Columns = dict[str, Floats]

__all__ = ["chosen", "fly_in_groups", "halvings_needed", "refuse_runaways"]

#: A step may be this many times as long as forces would need to stop the disc at the greatest
#: speed it can have. The fourth-order method is stable up to 2.8 of them; of random throws over
#: all limits, none below 2 blew up.
MOST_PER_STEP = 2.0
MOST_HALVINGS = 5
#: A disc that ends faster than sound was driven by a wind profile it rides without drag; one
#: that spins faster than any release may was on its way there.
FASTEST_M_S, FASTEST_RAD_S = 400.0, 301.0
_STEEPEST_RAD = math.asin(STALL_TO_SIN)


def fly_in_groups(
    parts: Columns,
    count: int,
    step_s: float,
    fly: Callable[[Columns, int, float], tuple[Floats, Floats]],
) -> tuple[Floats, Floats]:
    """Fly columns in groups of one step each: nearly always all of them with the one given.

    Parameters
    ----------
    parts, step_s
        As in :func:`halvings_needed`.
    count : int
        Number of flights.
    fly : callable
        Columns, number of flights and step to results and paths, a row per flight each.
    """
    halvings = halvings_needed(parts, step_s)
    if not halvings.any():
        return fly(parts, count, step_s)
    halvings = np.broadcast_to(halvings, count)
    groups = [np.flatnonzero(halvings == times) for times in np.unique(halvings)]
    flown = [fly(chosen(parts, g), len(g), step_s / 2.0 ** halvings[g[0]]) for g in groups]
    order = np.argsort(np.concatenate(groups), kind="stable")
    out, paths = (np.concatenate(pieces)[order] for pieces in zip(*flown, strict=True))
    return out, paths


def refuse_runaways(numbers: Floats, velocity_m_s: Floats, spin_rad_s: Floats) -> None:
    """Refuse flights that are no flights, so that no result is ever a NaN.

    Parameters
    ----------
    numbers : (N, columns) float64
        Everything computed about the flights.
    velocity_m_s, spin_rad_s : (N, 3), (N,) float64
        At their end.

    Raises
    ------
    InputError
        When a number is not finite, or a disc ends faster than ``FASTEST_M_S`` or spins
        faster than ``FASTEST_RAD_S``.
    """
    sound = np.isfinite(numbers).all(axis=1)
    sound &= np.einsum("ij,ij->i", velocity_m_s, velocity_m_s) < FASTEST_M_S**2
    sound &= spin_rad_s < FASTEST_RAD_S
    if not sound.all():
        raise InputError(
            f"aero.cd0 must be large enough for the wind and the lift, but the disc at position "
            f"{int(np.argmin(sound))} gains speed without end."
        )


def chosen(parts: Columns, rows: NDArray[np.intp]) -> Columns:
    """Return the columns of some flights; what all share stays a single entry."""
    return {name: part if len(part) == 1 else part[rows] for name, part in parts.items()}


def halvings_needed(parts: Columns, step_s: float) -> NDArray[np.int64]:
    """Return how often the step must be halved, by flight.

    Parameters
    ----------
    parts : dict of (1,) or (N,) float64
        Checked columns, as :func:`rimwise.flight._gather.gather` makes them.
    step_s : float
        The step wished for.

    Returns
    -------
    (1,) or (N,) int64
        A single 0 for all ordinary batches.

    Raises
    ------
    InputError
        When even the smallest step is too long for a flight.
    """
    # Bounds clear ordinary batches at next to no cost: of whole columns, then of each flight.
    worst = {name: np.array([np.abs(column).max()]) for name, column in parts.items()}
    for name in ("mass_kg", "axial_inertia_kg_m2", "ground_z_m"):
        worst[name] = np.array([parts[name].min()])
    if _rates_per_s(worst, _bold_coefficient(worst))[0] * step_s <= MOST_PER_STEP:
        return np.zeros(1, dtype=np.int64)
    rates = _rates_per_s(parts, _bold_coefficient(parts))
    if (over := np.flatnonzero(rates * step_s > MOST_PER_STEP)).size:
        odd = chosen(parts, over)
        rates[over] = _rates_per_s(odd, _largest_coefficient(odd))
    halvings = np.ceil(np.log2(np.maximum(rates * step_s / MOST_PER_STEP, 1.0)))
    if halvings.max() > MOST_HALVINGS:
        first = int(np.argmax(halvings > MOST_HALVINGS))
        raise InputError(
            "aero, body, air, wind and release must leave a disc its speed and spin for at least "
            f"{step_s / MOST_PER_STEP / 2**MOST_HALVINGS:.1g} s, but the one at position {first} "
            f"would lose them within {1.0 / rates[first]:.1g} s."
        )
    return np.asarray(halvings, dtype=np.int64)


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
