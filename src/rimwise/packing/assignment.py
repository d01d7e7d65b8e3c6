"""Assign discs to places of limited room, with side conditions, exactly."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

__all__ = ["Array", "Demand", "Places", "assign"]

Array = NDArray[np.float64]
Places = NDArray[np.int64]
Demand = tuple[Array, float]
"""Coefficients (discs, places) and the most their sum over the assignment may come to."""

_FINE = 1000.0
"""Largest coefficient handed to the solver."""


def assign(cost: Array, rooms: Sequence[int], demands: Sequence[Demand] = ()) -> Places | None:
    """Give each disc a place at the least total cost, exactly.

    Parameters
    ----------
    cost
        (discs, places).
    rooms
        (places,) how many discs each place takes; together at least as many as there are discs.
    demands
        Sums over the assignment that must not exceed a value.

    Returns
    -------
    (discs,) the place of each disc, or None when no assignment meets the demands.
    """
    from scipy.optimize import linear_sum_assignment

    if not demands:
        slots = np.repeat(np.arange(len(rooms)), rooms)
        places: Places = slots[linear_sum_assignment(cost[:, slots])[1]]
        return places
    return _assign_with_demands(cost, rooms, demands)


def _assign_with_demands(
    cost: Array, rooms: Sequence[int], demands: Sequence[Demand]
) -> Places | None:
    """Solve the assignment with side conditions as an integer program, or return None."""
    from scipy.optimize import Bounds, LinearConstraint, milp

    discs, count = cost.shape
    if not discs:
        return np.zeros(0, dtype=np.int64) if min(most for _, most in demands) >= 0.0 else None
    each_disc_once = np.kron(np.eye(discs), np.ones((1, count)))
    room = np.kron(np.ones((1, discs)), np.eye(count))
    # The solver's tolerances are absolute: large numbers make them small in comparison.
    sizes = np.array([_FINE / max(np.abs(sums).max(), 1e-12) for sums, _ in demands])
    sums = np.array([coefficients.ravel() for coefficients, _ in demands]) * sizes[:, None]
    most = np.array([limit for _, limit in demands]) * sizes
    found = milp(
        cost.ravel() * (_FINE / max(np.abs(cost).max(), 1e-12)),
        constraints=[
            LinearConstraint(each_disc_once, 1.0, 1.0),
            LinearConstraint(room, 0.0, np.array(rooms, dtype=float)),
            LinearConstraint(sums, -np.inf, most),
        ],
        integrality=np.ones(cost.size, dtype=np.int64),
        bounds=Bounds(0.0, 1.0),
        options={"mip_rel_gap": 0.0},
    )
    if found.x is None:
        return None
    places: Places = found.x.reshape(cost.shape).argmax(axis=1).astype(np.int64)
    return places
