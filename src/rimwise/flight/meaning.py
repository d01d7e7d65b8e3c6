"""What the printed numbers are held against: one reference throw and what is seen of it.

The trade has no standard throw, so this one is ours: a right-handed backhand with its nose 2°
down, launched at 10°, with an advance ratio of 0.48, from 1.2 m, in still standard air, of a
175 g disc with the rim of a fairway driver. It is thrown flat up to 20 m/s; above, it gets 0.6° of
hyzer for each further m/s, as nobody throws a disc that turns flat and with all his strength: it
would bury itself before it could show its numbers.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from rimwise.flight.air import Air
from rimwise.flight.body import Body
from rimwise.flight.fly import fly_many
from rimwise.flight.release import ReleaseArrays

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

    from rimwise.flight.aero import Aero, AeroArrays

    Floats = NDArray[np.float64]

__all__ = ["REFERENCE_SPEEDS_M_S", "Observed", "observe", "reference_body", "reference_release"]

REFERENCE_SPEEDS_M_S = (15.0, 20.0, 25.0, 30.0)
LAUNCH_RAD, NOSE_RAD = math.radians(10.0), math.radians(-2.0)
ADVANCE_RATIO = 0.48
#: Flat up to here; hyzer for each m/s beyond.
FLAT_UP_TO_M_S, HYZER_RAD_PER_M_S = 20.0, math.radians(0.6)
MASS_KG, RIM_OF_PRINTED_SPEED = 0.175, 7.0


@dataclass(frozen=True, slots=True)
class Observed:
    """What is seen of the reference throw, (N,) each.

    Attributes
    ----------
    range_m, hang_s : (N,) float64
        First touch down the aim line; time in the air.
    drift_m : (N,) float64
        Furthest to the turn side of the aim line, 0 for a disc that never goes there.
    finish_deg : (N,) float64
        Direction of the first touch from the tee, to the fade side of the aim line positive.
    """

    range_m: Floats
    hang_s: Floats
    drift_m: Floats
    finish_deg: Floats


def reference_body() -> Body:
    """Return the body of the reference throw."""
    return Body.from_printed_speed(RIM_OF_PRINTED_SPEED, MASS_KG)


def reference_release(speed_m_s: ArrayLike) -> ReleaseArrays:
    """Return the release of the reference throw at one or (N,) speeds."""
    speed = np.asarray(speed_m_s, dtype=np.float64)
    spin_rad_s = 2.0 * ADVANCE_RATIO * speed / reference_body().diameter_m
    hyzer_rad = HYZER_RAD_PER_M_S * np.maximum(speed - FLAT_UP_TO_M_S, 0.0)
    return ReleaseArrays(speed, spin_rad_s, LAUNCH_RAD, hyzer_rad, NOSE_RAD)


def observe(aero: Aero | AeroArrays, speed_m_s: ArrayLike) -> Observed:
    """Throw discs on the reference throw and watch.

    Parameters
    ----------
    aero : Aero or AeroArrays
        Coefficients, of length 1 or N.
    speed_m_s : float or (N,)
        Release speed, 1 … 50 m/s.

    Raises
    ------
    InputError
        When an argument is outside its domain.
    """
    flights = fly_many(
        aero, reference_body(), reference_release(speed_m_s), Air.standard(0.0).density_kg_m3
    )
    finish_deg = np.degrees(np.arctan2(flights.left_m, flights.range_m))
    return Observed(flights.range_m, flights.hang_s, -flights.rightmost_m, finish_deg)
