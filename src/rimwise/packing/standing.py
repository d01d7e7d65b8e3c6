"""Which sets of discs a cart can hold so that it stands, as sums over the discs.

Whether a set can be packed is asked of the placement itself, a linear program: each disc to one
pocket, each pocket within its room, and the reserve of the weakest edge as large as can be.
Where that comes out below zero, the program's prices give a sum over discs that this set breaks
and that no set breaks that can be packed (Benders 1962, Numerische Mathematik 4, 238-252).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from rimwise.errors import InputError
from rimwise.packing.placement import PackingDisc, edge_sums, pack
from rimwise.records.carts import Cart

__all__ = ["Slopes", "broken_sum"]

_FINE_M_KG = 1e-7
"""Reserve times mass below which an edge counts as not standing."""


@dataclass(frozen=True, slots=True)
class Slopes:
    """Slopes that the parked cart has to stand, degrees; ``None`` for no demand."""

    backward: float | None = None
    forward: float | None = None
    sideways: float | None = None

    @property
    def sides(self) -> tuple[tuple[str, float], ...]:
        """The sides asked for, with their slopes."""
        asked = (
            ("backward", self.backward),
            ("forward", self.forward),
            ("left", self.sideways),
            ("right", self.sideways),
        )
        return tuple((side, slope) for side, slope in asked if slope is not None)


def broken_sum(
    cart: Cart, discs: Sequence[PackingDisc], chosen: Sequence[int], slopes: Slopes
) -> tuple[NDArray[np.float64], float] | None:
    """Return a sum (discs,) and its most that ``chosen`` breaks, or ``None`` when it can be packed.

    Parameters
    ----------
    discs
        Every disc that may be carried.
    chosen
        Positions of the discs to pack; no more than the cart has room for.
    """
    if not slopes.sides:
        return None
    arms, already = _edges(cart, slopes)
    mass_kg = np.array([disc.mass_kg for disc in discs])
    rooms = np.array([pocket.room for pocket in cart.pockets], dtype=float)
    reserve, shares, places = _best_reserve(mass_kg[list(chosen)], arms, already, rooms)
    if reserve < -_FINE_M_KG:
        worth = np.outer(mass_kg, shares @ arms) - places
        return -worth.max(axis=1), float(places @ rooms + shares @ already)
    if len(already) == 1 or _packs(cart, [discs[i] for i in chosen], slopes):
        return None
    inside = np.zeros(len(discs))  # only halves of discs would stand: this very set is ruled out
    inside[list(chosen)] = 1.0
    inside[inside == 0.0] = -1.0
    return inside, float(len(chosen) - 1)


def _edges(cart: Cart, slopes: Slopes) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return (edges, pockets) metres a kilogram adds to a reserve, and (edges,) what is there."""
    rows, already = [], []
    for side, slope in slopes.sides:
        for arms, there in edge_sums(cart, side, math.tan(math.radians(slope))):
            rows.append(arms)
            already.append(there)
    return np.array(rows), np.array(already)


def _best_reserve(
    mass_kg: NDArray[np.float64],
    arms: NDArray[np.float64],
    already: NDArray[np.float64],
    rooms: NDArray[np.float64],
) -> tuple[float, NDArray[np.float64], NDArray[np.float64]]:
    """Return the largest least reserve (kg m), and the prices of edges and of pocket places."""
    from scipy.optimize import linprog

    discs, pockets = len(mass_kg), len(rooms)
    cells = discs * pockets
    edge_rows = np.hstack(
        [
            -(mass_kg[None, :, None] * arms[:, None, :]).reshape(len(arms), cells),
            np.ones((len(arms), 1)),
        ]
    )
    room_rows = np.hstack([np.kron(np.ones((1, discs)), np.eye(pockets)), np.zeros((pockets, 1))])
    once = np.hstack([np.kron(np.eye(discs), np.ones((1, pockets))), np.zeros((discs, 1))])
    found = linprog(
        np.concatenate([np.zeros(cells), [-1.0]]),
        A_ub=np.vstack([edge_rows, room_rows]),
        b_ub=np.concatenate([already, rooms]),
        A_eq=once,
        b_eq=np.ones(discs),
        bounds=[(0.0, None)] * cells + [(None, None)],
        method="highs",
    )
    if not found.success:
        raise InputError("more discs than the cart's pockets hold; carry fewer.")
    prices = -np.asarray(found.ineqlin.marginals)
    shares, places = prices[: len(arms)], np.maximum(prices[len(arms) :], 0.0)
    return -float(found.fun or 0.0), shares / shares.sum(), places


def _packs(cart: Cart, discs: Sequence[PackingDisc], slopes: Slopes) -> bool:
    try:
        pack(
            cart,
            discs,
            backward_deg=slopes.backward,
            forward_deg=slopes.forward,
            sideways_deg=slopes.sideways,
        )
    except InputError:
        return False
    return True
