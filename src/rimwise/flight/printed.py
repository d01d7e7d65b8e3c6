"""From the four printed numbers to coefficients: a prior, not a fact.

The printed numbers are opinions without a standard (Immonen 2022, Sports Engineering,
doi 10.1007/s12283-022-00390-5). Here they get a meaning through the pitching moment, in
closed form. With α in radians, ``s = (speed − 7) / 5`` and ``e`` the fade beyond about
2.4 of a disc without turn (smoothly switched):

* ``CD0`` falls with speed, ``CL0`` grows with glide; ``CLα``, ``CDα`` are the same for all.
* The moment line of a disc with turn 0 rises with fade and crosses zero at a negative
  angle of attack that lies above the angle of no lift. This is what makes more air speed,
  less mass or denser air turn a disc, and less air speed fade it.
* Turn shifts that line down, more slowly for extreme numbers.
* A disc that holds against wind, ``e > 0``, has a moment that is positive at any speed.

Numbers of the mapping were fitted by random search so that the trade's rules (common
practice, no source) come out over 224 discs; ``tests/validation/flight`` measures them.
Domain: the printed ranges of :class:`Printed`, smooth and monotone a little beyond.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from rimwise.flight._checks import Limits, check_fields, column
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
# Arrays may be offset opinions: held to these ends, which still fly.
_HELD_TO = {"speed": (0.0, 16.0), "glide": (0.0, 8.0), "turn": (-7.0, 3.0), "fade": (-1.0, 7.0)}
_ANY = (-100.0, 100.0, "")

CL_ALPHA = 2.15  # 1/rad
CD_ALPHA = 0.6  # 1/rad²
CD0_AT_NO_SPEED, CD0_PER_SPEED = 0.0938, 0.002
CL0_PER_GLIDE = 0.0147
LEAST_DRAG_SHARE = 0.8  # least drag lies at this share of the way to the angle of no lift
TRIM_SHARE = 0.268  # so does the zero of the moment line of a disc with turn 0
SLOPE, SLOPE_PER_FADE, SLOPE_PER_SPEED = 0.0316, 0.0183, 0.188
TURN_MOMENT, TURN_MOMENT_PER_SPEED, TURN_SATURATION = 0.0058, -0.226, 2.84
HOLD_FADE, HOLD_FADE_WIDTH = 2.4, 0.25
HOLD_TURN, HOLD_TURN_WIDTH = -0.5, 0.15
HOLD_MOMENT, HOLD_SLOPE, HOLD_SLOPE_PER_SPEED = 0.00074, 0.0053, 0.0225
# Dimensionless damping: assumed, of the size measured on catch discs (Hummel 2003).
CM_Q, CL_P, CN_R = -0.3, -0.3, -0.005


@dataclass(frozen=True, slots=True)
class Printed:
    """The four numbers on a disc.

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


def aero_from_printed(printed: Printed) -> Aero:
    """Coefficients of one disc from its printed numbers; see the module for the mapping."""
    arrays = aero_arrays_from_printed(printed.speed, printed.glide, printed.turn, printed.fade)
    return Aero(**{name: np.ravel(getattr(arrays, name))[0] for name in Aero.__slots__})


def aero_arrays_from_printed(
    speed: ArrayLike, glide: ArrayLike, turn: ArrayLike, fade: ArrayLike
) -> AeroArrays:
    """Coefficients for arrays of printed numbers, as beliefs sample them.

    Parameters
    ----------
    speed, glide, turn, fade : array_like
        Of length 1 or N. Values outside the printed ranges are used as they are up to
        speed 0 … 16, glide 0 … 8, turn −7 … 3, fade −1 … 7, and held there beyond.

    Returns
    -------
    AeroArrays
        Fields of length 1 or N.

    Raises
    ------
    InputError
        When a number is not finite or far outside any meaning (beyond ±100).
    """
    given = {"speed": speed, "glide": glide, "turn": turn, "fade": fade}
    held = {
        name: np.clip(column(f"printed.{name}", value, _ANY), *_HELD_TO[name])
        for name, value in given.items()
    }
    pace = (held["speed"] - 7.0) / 5.0
    cl0 = CL0_PER_GLIDE * held["glide"]
    no_lift_rad = -cl0 / CL_ALPHA
    slope = (SLOPE + SLOPE_PER_FADE * held["fade"]) * (1.0 + SLOPE_PER_SPEED * pace)
    turned = TURN_SATURATION * np.tanh(held["turn"] / TURN_SATURATION)
    turned = TURN_MOMENT * turned * (1.0 + TURN_MOMENT_PER_SPEED * pace)
    over_fade = (held["fade"] - HOLD_FADE) / HOLD_FADE_WIDTH
    no_turn = 1.0 / (1.0 + np.exp((HOLD_TURN - held["turn"]) / HOLD_TURN_WIDTH))
    hold = HOLD_FADE_WIDTH * np.logaddexp(0.0, over_fade) * no_turn
    return AeroArrays(
        cl0=cl0,
        cl_alpha=CL_ALPHA,
        cd0=CD0_AT_NO_SPEED - CD0_PER_SPEED * held["speed"],
        cd_alpha=CD_ALPHA,
        alpha0_rad=LEAST_DRAG_SHARE * no_lift_rad,
        cm0=turned - slope * TRIM_SHARE * no_lift_rad + HOLD_MOMENT * hold,
        cm_alpha=slope + hold * (HOLD_SLOPE + HOLD_SLOPE_PER_SPEED * pace),
        cm_q=CM_Q,
        cl_p=CL_P,
        cn_r=CN_R,
    )
