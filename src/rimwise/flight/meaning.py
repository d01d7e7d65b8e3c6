"""What the printed numbers are held against: one reference throw and what is seen of it.

The trade has no standard throw, so this one is ours: a right-handed backhand with its nose 2°
down, launched at 6°, with an advance ratio of 0.48, from 1.2 m, in still standard air, of a
175 g disc with the rim that goes with its printed speed. Launched that low, a faster disc is agreed
to stay up longer and go further than a slower one. The throw is flat up to 20 m/s; above, it gets
0.6° of hyzer for each further m/s, as nobody throws a disc that turns flat and with all his
strength: it would bury itself before it could show its numbers.

Players speak of turn as what a disc does in the first part of its flight and of fade as its hook
at the end (common practice, no source). So turn is read off the side the disc has got to soon
after the release, and fade off how far its direction swings just before the first touch. The
furthest drift to the turn side and the place of the first touch are seen too; they mix both, and
what a disc that turns over meets first is the ground.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from rimwise.flight.air import Air
from rimwise.flight.body import Body, BodyArrays
from rimwise.flight.fly import fly_many
from rimwise.flight.release import ReleaseArrays

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

    from rimwise.flight.aero import Aero, AeroArrays
    from rimwise.flight.flights import Flights

    Floats = NDArray[np.float64]

__all__ = ["REFERENCE_SPEEDS_M_S", "Observed", "observe", "reference_body", "reference_release"]

REFERENCE_SPEEDS_M_S = (15.0, 20.0, 25.0, 30.0)
LAUNCH_RAD, NOSE_RAD = math.radians(6.0), math.radians(-2.0)
ADVANCE_RATIO = 0.48
#: Flat up to here; hyzer for each m/s beyond.
FLAT_UP_TO_M_S, HYZER_RAD_PER_M_S = 20.0, math.radians(0.6)
MASS_KG, RIM_OF_PRINTED_SPEED = 0.175, 7.0
#: The first and the last part of a flight.
PART_S = 1.5
_PATH_POINTS = 121


@dataclass(frozen=True, slots=True)
class Observed:
    """What is seen of the reference throw, (N,) each.

    Attributes
    ----------
    range_m, hang_s : (N,) float64
        First touch down the aim line; time in the air.
    turned_m : (N,) float64
        To the turn side of the aim line 1.5 s after the release, negative on the fade side.
    hook_deg : (N,) float64
        How far the direction of flight, seen from above, swings to the fade side in the last 1.5 s.
    drift_m : (N,) float64
        Furthest to the turn side of the aim line, 0 for a disc that never goes there.
    finish_deg : (N,) float64
        Direction of the first touch from the tee, to the fade side of the aim line positive.
    """

    range_m: Floats
    hang_s: Floats
    turned_m: Floats
    hook_deg: Floats
    drift_m: Floats
    finish_deg: Floats


def reference_body(printed_speed: float = RIM_OF_PRINTED_SPEED) -> Body:
    """Return the body of the reference throw."""
    return Body.from_printed_speed(printed_speed, MASS_KG)


def reference_release(speed_m_s: ArrayLike) -> ReleaseArrays:
    """Return the release of the reference throw at one or (N,) speeds."""
    speed = np.asarray(speed_m_s, dtype=np.float64)
    spin_rad_s = 2.0 * ADVANCE_RATIO * speed / reference_body().diameter_m
    hyzer_rad = HYZER_RAD_PER_M_S * np.maximum(speed - FLAT_UP_TO_M_S, 0.0)
    return ReleaseArrays(speed, spin_rad_s, LAUNCH_RAD, hyzer_rad, NOSE_RAD)


def observe(
    aero: Aero | AeroArrays,
    speed_m_s: ArrayLike,
    printed_speed: ArrayLike = RIM_OF_PRINTED_SPEED,
) -> Observed:
    """Throw discs on the reference throw and watch.

    Parameters
    ----------
    aero : Aero or AeroArrays
        Coefficients, of length 1 or N.
    speed_m_s : float or (N,)
        Release speed, 1 … 50 m/s.
    printed_speed : float or (N,)
        What the rim goes with, 1 … 15; a fairway driver's if not given.

    Raises
    ------
    InputError
        When an argument is outside its domain.
    """
    rims, disc = np.unique(np.atleast_1d(printed_speed), return_inverse=True)
    bodies = [reference_body(float(rim)) for rim in rims]
    inertia = np.array([body.axial_inertia_kg_m2 for body in bodies])
    flights = fly_many(
        aero,
        BodyArrays(MASS_KG, bodies[0].diameter_m, inertia[disc]),
        reference_release(speed_m_s),
        Air.standard(0.0).density_kg_m3,
        path_points=_PATH_POINTS,
    )
    return Observed(
        range_m=flights.range_m,
        hang_s=flights.hang_s,
        turned_m=-_at(flights, flights.path_m[:, :, 1], PART_S),
        hook_deg=_hook_deg(flights),
        drift_m=-flights.rightmost_m,
        finish_deg=np.degrees(np.arctan2(flights.left_m, flights.range_m)),
    )


def _hook_deg(flights: Flights) -> Floats:
    step = np.diff(flights.path_m, axis=1)
    heading = np.unwrap(np.arctan2(step[:, :, 1], step[:, :, 0]), axis=1)
    return np.degrees(heading[:, -1] - _at(flights, heading, flights.hang_s - PART_S))


def _at(flights: Flights, along: Floats, time_s: Floats | float) -> Floats:
    """Return values along paths, (N, points) evenly spaced in time, at one time of each flight."""
    last = along.shape[1] - 1
    place: Floats = np.clip(time_s / flights.hang_s * last, 0.0, last)
    before = np.minimum(place.astype(np.intp), last - 1)
    row, share = np.arange(len(along)), place - before
    at: Floats = (1.0 - share) * along[row, before] + share * along[row, before + 1]
    return at
