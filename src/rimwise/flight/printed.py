"""From the four printed numbers to coefficients: a prior, not a fact."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from rimwise.flight._checks import Limits, check_fields
from rimwise.flight.aero import Aero, AeroArrays

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

__all__ = ["PRINTED_LIMITS", "Printed", "aero_arrays_from_printed", "aero_from_printed"]

PRINTED_LIMITS: Limits = {
    "speed": (1.0, 15.0, ""),
    "glide": (1.0, 7.0, ""),
    "turn": (-5.0, 1.0, ""),
    "fade": (0.0, 5.0, ""),
}

CL_ALPHA = 2.15
CD_ALPHA = 1.25
TURN_ALPHA_RAD, FADE_ALPHA_RAD = 0.005, 0.23


@dataclass(frozen=True, slots=True)
class Printed:
    """The four numbers on a disc.

    Opinions without a standard (Immonen 2022, Sports Engineering,
    doi 10.1007/s12283-022-00390-5); here they only start the belief about a disc.

    Parameters
    ----------
    speed : float
        1 … 15.
    glide : float
        1 … 7.
    turn : float
        −5 … +1, more negative turns more.
    fade : float
        0 … 5.

    Raises
    ------
    InputError
        When a number is outside its range.
    """

    speed: float
    glide: float
    turn: float
    fade: float

    def __post_init__(self) -> None:
        check_fields(self, PRINTED_LIMITS)


def aero_arrays_from_printed(
    speed: ArrayLike, glide: ArrayLike, turn: ArrayLike, fade: ArrayLike
) -> AeroArrays:
    """Coefficients for arrays of printed numbers, also a little outside the printed ranges."""
    speed = np.clip(np.asarray(speed, dtype=np.float64), 0.0, 16.0)
    glide = np.clip(np.asarray(glide, dtype=np.float64), 0.0, 8.0)
    turn = np.clip(np.asarray(turn, dtype=np.float64), -7.0, 3.0)
    fade = np.clip(np.asarray(fade, dtype=np.float64), -1.0, 7.0)
    cl0 = 0.03 + 0.022 * glide
    cm_turn, cm_fade = 0.0010 * turn, 0.006 + 0.006 * fade
    cm_alpha = (cm_fade - cm_turn) / (FADE_ALPHA_RAD - TURN_ALPHA_RAD)
    return AeroArrays(
        cl0=cl0,
        cl_alpha=CL_ALPHA,
        cd0=0.078 - 0.0026 * speed,
        cd_alpha=CD_ALPHA,
        alpha0_rad=-0.8 * cl0 / CL_ALPHA,
        cm0=cm_turn - cm_alpha * TURN_ALPHA_RAD,
        cm_alpha=cm_alpha,
        cm_q=-0.3,
        cl_p=-0.3,
        cn_r=-0.005,
    )


def aero_from_printed(printed: Printed) -> Aero:
    """Coefficients of one disc from its printed numbers; see :func:`aero_arrays_from_printed`."""
    arrays = aero_arrays_from_printed(printed.speed, printed.glide, printed.turn, printed.fade)
    return Aero(**{name: float(getattr(arrays, name)) for name in Aero.__slots__})
