"""How likely a putt is to go in.

The form is the angular-error model of Gelman & Nolan (2002, *Teaching Statistics* 24(3)),
carried over to discs by Vehtari (2026, disc putting case study): the direction error is
normal in two dimensions, so the chance to hit a target of radius *R* at distance *d* is
Rayleigh, ``1 − exp(−½(θ/σ)²)`` with ``θ = atan(R/d)``. A long putt can also fall short or
sail on; the factor ``1/(1 + (d/half)⁵)`` stands for that and was fitted to the published make
rates: exponent 5 fits both groups within 0.006, with half distances of 16.9 m (top men) and
13.6 m (top women).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from rimwise.errors import check_range

__all__ = [
    "CATCH_RADIUS_M",
    "LONGEST_PUTT_M",
    "PuttingModel",
    "comeback_m",
    "make_chance",
    "strokes_after",
]

#: Radius that catches a putt (Vehtari 2026).
CATCH_RADIUS_M = 0.25
#: A putt on line is caught this often (fitted to the published make rates).
CATCH_CHANCE = 0.999
#: From farther away a throw is a throw, not a putt (common practice, no source).
LONGEST_PUTT_M = 22.0
#: How sharply long putts fall off (fitted).
_FALLOFF = 5.0


@dataclass(frozen=True, slots=True)
class PuttingModel:
    """Make probability against distance.

    Parameters
    ----------
    sd_deg
        Angular spread in degrees; about 1.0 for top men, 1.4 for top women (Vehtari 2026),
        2.2 for a weekly league amateur (memory).
    half_m
        Distance at which half of the putts on line have the wrong length. The default is an
        assumption, from memory: a little beyond what fits top players, whose long putts are
        bolder.
    """

    sd_deg: float
    half_m: float = 18.0

    def __post_init__(self) -> None:
        check_range("putting spread", self.sd_deg, 0.3, 10.0, "degrees")
        check_range("putting half distance", self.half_m, 3.0, 60.0, "m")

    def make_probability(self, distance_m: ArrayLike) -> NDArray[np.float64]:
        """Return the chance to hole out from ``distance_m`` (any shape, metres, ≥ 0)."""
        return make_chance(distance_m, self.sd_deg, self.half_m)

    def strokes(self, distance_m: ArrayLike) -> NDArray[np.float64]:
        """Return expected strokes to hole out by putting from ``distance_m``.

        A miss leaves a putt from :func:`comeback_m`; the sequence is geometric from there.
        Beyond ``LONGEST_PUTT_M`` nobody putts and the result is infinite.
        """
        distance = np.asarray(distance_m, dtype=np.float64)
        made = self.make_probability(distance)
        strokes = strokes_after(made, self.make_probability(comeback_m(distance)))
        return np.where(distance <= LONGEST_PUTT_M, strokes, np.inf)


def make_chance(distance_m: ArrayLike, sd_deg: ArrayLike, half_m: ArrayLike) -> NDArray[np.float64]:
    """Return the chance to hole out, for any shapes that fit together.

    Parameters
    ----------
    distance_m
        Distance to the basket, metres, ≥ 0.
    sd_deg, half_m
        As in :class:`PuttingModel`; both above 0.
    """
    distance = np.maximum(np.asarray(distance_m, dtype=np.float64), 1e-6)
    angle_deg = np.degrees(np.arctan(CATCH_RADIUS_M / distance))
    on_line = -np.expm1(-0.5 * (angle_deg / np.asarray(sd_deg)) ** 2)
    long_enough = 1.0 / (1.0 + (distance / np.asarray(half_m)) ** _FALLOFF)
    return np.asarray(CATCH_CHANCE * on_line * long_enough)


def strokes_after(made: ArrayLike, second: ArrayLike) -> NDArray[np.float64]:
    """Return expected strokes of a putt made this often, whose comeback is made ``second``."""
    return np.asarray(1.0 + (1.0 - np.asarray(made)) / np.asarray(second))


def comeback_m(distance_m: ArrayLike) -> NDArray[np.float64]:
    """Return how far a missed putt leaves, never farther than it came from (memory)."""
    distance = np.asarray(distance_m, dtype=np.float64)
    return np.minimum(distance, 1.5 + 0.12 * distance)
