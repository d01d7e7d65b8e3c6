"""What the flight model was checked for, and what to tell a user whose throw leaves it.

Every entry of :data:`DOMAIN` names one quantity, the range in which there is something to lean
on (a measurement, a check or an assumption, which ``why`` says), and the sentence for a throw
outside it. Arguments that the model cannot take at all are refused elsewhere, with an error;
what is told here still flies.
"""

from __future__ import annotations

import math
from dataclasses import astuple, dataclass
from typing import TYPE_CHECKING

import numpy as np

from rimwise.flight._gather import gather
from rimwise.flight.flights import Flight, Flights
from rimwise.flight.printed import PRINTED_LIMITS, Printed

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

    from rimwise.flight.aero import Aero
    from rimwise.flight.air import Air
    from rimwise.flight.body import Body
    from rimwise.flight.release import Release
    from rimwise.flight.wind import Wind

    Floats = NDArray[np.float64]
    Columns = dict[str, Floats]

__all__ = ["DOMAIN", "Doubt", "Limit", "doubt_masks", "doubts"]

#: Angles of attack of the wind-tunnel table of a catch disc (Potts and Crowther 2002).
MEASURED_FROM_RAD, MEASURED_TO_RAD = math.radians(-10.0), math.radians(30.0)
#: Viscosity of air at 20 °C, Pa s (memory); 0 to 40 °C changes it by 6 %.
VISCOSITY_PA_S = 1.81e-5


@dataclass(frozen=True, slots=True)
class Limit:
    """One quantity and the range in which the model has something to lean on.

    Parameters
    ----------
    code : str
        Short name, unique.
    quantity, unit : str
        What is looked at, in words; unit of ``low`` and ``high``.
    low, high : float
        Ends of the range; they belong to it. Infinite where there is no end.
    why : str
        Where the range comes from.
    below, above : str
        What the user is told on either side; ``{value}``, ``{percent}`` (of a share) and
        ``{degrees}`` (of an angle) stand for the throw's own.
    """

    code: str
    quantity: str
    unit: str
    low: float
    high: float
    why: str
    below: str = ""
    above: str = ""

    def holds(self, value: Floats) -> NDArray[np.bool_]:
        """Return where values lie in the range; what is not known (NaN) is not doubted."""
        return ~((value < self.low) | (value > self.high))

    def sentence(self, value: float) -> str:
        """Return what to tell about a value outside the range."""
        told = self.below if value < self.low else self.above
        return told.format(value=value, percent=100.0 * value, degrees=math.degrees(value))


@dataclass(frozen=True, slots=True)
class Doubt:
    """A limit that a throw leaves.

    Attributes
    ----------
    code : str
        Of the :class:`Limit`.
    sentence : str
        For the user, in words.
    value : float
        The throw's own, in the limit's unit.
    """

    code: str
    sentence: str
    value: float


def _printed(name: str, low: float, high: float, few: str) -> Limit:
    """Return the limit of a printed number."""
    told = f"{few} printed with a {name} of {{value:g}}; its flight is an extrapolation."
    why = "what usual discs have (common practice, no source)"
    return Limit(f"printed_{name}", f"printed {name}", "", low, high, why, told, told)


#: The domain, the most important entries first.
DOMAIN: tuple[Limit, ...] = (
    Limit(
        "still_in_the_air", "time in the air until the simulation stops", "s", 0.0, 59.9,
        "flights are cut off at 60 s (assumption: no throw stays up as long)",
        above="This flight was cut off after {value:.0f} s, still in the air; what is shown as "
        "its landing is not one.",
    ),
    Limit(
        "stalled", "share of the flight at more than 30° angle of attack, either way", "share",
        0.0, 0.1,
        "the wind-tunnel table ends at 30° (Potts and Crowther 2002); beyond, the disc is taken "
        "for a plate; a tenth of the flight is let pass (assumption)",
        above="This throw spends {percent:.0f} % of its time stalled, where no published "
        "measurements exist; take the landing as a rough guess.",
    ),
    Limit(
        "air_from_above", "share of the flight at an angle of attack of −30° to −10°", "share",
        0.0, 0.2,
        "the wind-tunnel table begins at −10° (Potts and Crowther 2002); a fifth of the flight "
        "is let pass (assumption)",
        above="For {percent:.0f} % of this flight the air strikes the top of the disc more "
        "steeply than was ever measured; take the landing with care.",
    ),
    Limit(
        "on_edge", "angle between the disc's axis and the vertical at release",
        "rad", 0.0, math.radians(60.0),
        "no measurement of overhead throws or rollers was found; 60° is an assumption",
        above="This disc leaves the hand {degrees:.0f}° away from flat: overhead throws and "
        "rollers fall the right way here, but no measurement backs how far they go.",
    ),
    Limit(
        "advance_ratio", "rim speed over forward speed at release (advance ratio)", "ratio",
        0.2, 0.8,
        "of 400 throws of 0.04 to 0.6, nine in ten above 0.2 landed within 0.01 m of the rigid "
        "body, of those below within 0.22 m (computed); 0.8 is an assumption",
        below="The rim moves at only {value:.2f} times the speed of the throw, much less spin "
        "than discs are thrown with; it may tumble where the model flies.",
        above="The rim moves at {value:.2f} times the speed of the throw, more spin than discs "
        "are thrown with; nothing published says how that changes the lift.",
    ),
    Limit(
        "no_gyroscope", "fastest turning of the disc's axis over its spin", "ratio", 0.0, 0.04,
        "of 400 throws with advance ratios of 0.04 to 0.6, those above landed 0.10 m (median) from "
        "the rigid body and one in ten beyond 0.45 m, those below 0.002 m (computed)",
        above="At its worst this disc's axis turns at {percent:.0f} % of the rate of its spin: "
        "too little spin to be a gyroscope, and the model is one; fly it as a rigid body.",
    ),
    Limit(
        "wobble", "half angle of the wobble at release", "rad", 0.0, 0.3,
        "the cost of a wobble is kept to second order in this angle; the next order is about "
        "1 % of the lift at 0.3 (its fourth power)",
        above="A wobble of {degrees:.0f}° is wider than the model's small wobbles; take the "
        "landing as a rough guess.",
    ),
    Limit(
        "release_speed", "release speed", "m/s", 12.0, 36.0,
        "the meaning of the printed numbers was fitted to throws of these speeds",
        below="{value:.0f} m/s is slower than the throws this model was fitted to (from 12 m/s); "
        "a soft toss is mostly right about distance, less about the curve.",
        above="{value:.0f} m/s is faster than the throws this model was fitted to (to 36 m/s).",
    ),
    Limit(
        "reynolds_number", "Reynolds number of the release, by diameter", "", 1.2e5, 1.1e6,
        "published coefficients come from a catch disc at about 20 m/s, 3.6e5 (memory); a third "
        "and three times that are an assumption",
        below="So slow a flow (Reynolds number {value:.1e}) is far from the wind tunnel's; drag "
        "and lift may be others.",
        above="So fast a flow (Reynolds number {value:.1e}) is far from the wind tunnel's; drag "
        "and lift may be others.",
    ),
    _printed("speed", 2.0, 14.0, "Few discs are"),
    _printed("glide", 2.0, 6.0, "Few discs are"),
    _printed("turn", -5.0, 1.0, "No disc is"),
    _printed("fade", 0.0, 5.0, "No disc is"),
    Limit(
        "lift_slope", "slope of the lift curve", "1/rad", 1.5, 3.5,
        "three published sets of a catch disc have 1.9 to 3.1 (Hummel 2003; Hummel and Hubbard "
        "2002; Crowther and Potts 2007); the margin is an assumption",
        below="This disc gains less lift with its angle ({value:.1f} per radian) than any disc "
        "that was measured.",
        above="This disc gains more lift with its angle ({value:.1f} per radian) than any disc "
        "that was measured.",
    ),
    Limit(
        "least_drag", "drag coefficient at its least", "", 0.04, 0.2,
        "published sets of a catch disc have 0.08 to 0.18; golf discs are sharper, and 0.04 is "
        "an assumption",
        below="This disc has less drag ({value:.3f}) than any disc that was measured or assumed.",
        above="This disc has more drag ({value:.3f}) than any disc that was measured or assumed.",
    ),
    Limit(
        "damping_in_seconds", "diameter of a disc whose damping is given in seconds", "m",
        0.25, 0.29,
        "such values hold for a disc of 0.27 m near 14 m/s (Hummel 2003); give dimensionless "
        "ones for others",
        below="Damping in seconds was measured on a disc of 0.27 m and is too strong for one of "
        "{value:.2f} m; give it without dimension.",
        above="Damping in seconds was measured on a disc of 0.27 m and is too weak for one of "
        "{value:.2f} m; give it without dimension.",
    ),
    Limit(
        "air_density", "density of the air", "kg/m³", 0.75, 1.45,
        "moist air was checked against a general library from −20 to 45 °C and 700 to 1050 hPa",
        below="Air of {value:.2f} kg/m³ is thinner than any this was checked for.",
        above="Air of {value:.2f} kg/m³ is denser than any this was checked for.",
    ),
    Limit(
        "rough_terrain", "roughness length of the terrain, in wind", "m", 0.0, 0.1,
        "at throwing height the logarithmic profile holds up to about 0.1 m (EN 1991-1-4: not "
        "below 5 m among houses and trees)",
        above="Among obstacles (roughness {value:.1f} m) the wind at throwing height follows no "
        "rule; use the wind of the nearest open ground and shelter it.",
    ),
    Limit(
        "strong_wind", "wind at 10 m over release speed", "ratio", 0.0, 0.6,
        "assumption: gusts then change the air speed by a tenth of the throw and more, and they "
        "are held for a whole flight",
        above="The wind blows at {percent:.0f} % of the speed of the throw; one gust more or "
        "less decides where this disc lands.",
    ),
    Limit(
        "high_in_the_wind", "highest point over the lowest ground, in wind", "m", 0.0, 60.0,
        "the logarithmic profile is that of level ground (EN 1991-1-4, 4.3); wind over cliffs and "
        "high slopes is another; 60 m is an assumption",
        above="This disc flies {value:.0f} m above the lowest ground; the wind over such a drop "
        "is not that of level ground.",
    ),
    Limit(
        "ground_play", "distance from first touch to rest", "m", 0.0, 12.0,
        "no measurement of discs on turf was found: every property of a ground is an assumption; "
        "what an ordinary throw slides or skips is let pass, since a warning with every throw is "
        "read with none",
        above="It moves {value:.0f} m on the ground after first touch; nobody has measured discs "
        "on turf, so trust the first touch more than the rest.",
    ),
)  # fmt: skip


def doubts(
    aero: Aero,
    body: Body,
    release: Release,
    air: Air,
    wind: Wind | None = None,
    flight: Flight | None = None,
    *,
    printed: Printed | tuple[float, float, float, float] | None = None,
    bearing_deg: float = 0.0,
    ground_z_m: float = 0.0,
) -> tuple[Doubt, ...]:
    """Return what to tell the user about a throw, in the order of :data:`DOMAIN`.

    Parameters
    ----------
    aero, body, release, air, wind, bearing_deg, ground_z_m
        As in :func:`rimwise.flight.fly.fly`.
    flight : Flight, optional
        What came of it; angles of attack and precession need its path.
    printed : Printed or (speed, glide, turn, fade), optional
        The numbers that ``aero`` was made from; as an opinion they may lie off the range.

    Raises
    ------
    InputError
        When an argument is outside its domain.
    """
    parts = gather(aero, body, release, air, wind, bearing_deg, ground_z_m)
    values = _at_release(parts)
    if printed is not None:
        numbers = astuple(printed) if isinstance(printed, Printed) else printed
        for name, number in zip(PRINTED_LIMITS, numbers, strict=True):
            values[f"printed_{name}"] = np.array([float(number)])
    if flight is not None:
        values |= _in_the_air(parts, _Path.of(flight))
    found = []
    for limit in DOMAIN:
        value = float(values[limit.code][0]) if limit.code in values else math.nan
        if not limit.holds(np.array(value)):
            found.append(Doubt(limit.code, limit.sentence(value), value))
    return tuple(found)


def doubt_masks(
    aero: object,
    body: object,
    release: object,
    air: object,
    wind: object = None,
    flights: Flights | None = None,
    *,
    bearing_deg: ArrayLike = 0.0,
    ground_z_m: ArrayLike = 0.0,
) -> dict[str, NDArray[np.bool_]]:
    """Return by code where throws leave a limit; for one or many of anything.

    Parameters
    ----------
    aero, body, release, air, wind, bearing_deg, ground_z_m
        As in :func:`rimwise.flight.fly.fly_many`.
    flights : Flights, optional
        What came of them; angles of attack and precession need their paths.

    Returns
    -------
    dict of (N,) bool
        Length 1 where all throws share what decides. Limits that are not known are left out.

    Raises
    ------
    InputError
        When an argument is outside its domain.
    """
    parts = gather(aero, body, release, air, wind, bearing_deg, ground_z_m)
    values = _at_release(parts)
    if flights is not None:
        values |= _in_the_air(parts, _Path.of(flights))
    return {
        limit.code: ~limit.holds(values[limit.code]) for limit in DOMAIN if limit.code in values
    }


def _at_release(parts: Columns) -> Columns:
    """Quantities known before the flight, by code."""
    speed, diameter = parts["speed_m_s"], parts["diameter_m"]
    wind = np.hypot(parts["wind_x_m_s"], parts["wind_y_m_s"])
    raw = (parts["cm_q_s"] != 0.0) | (parts["cl_p_s"] != 0.0)
    launch, nose = parts["launch_rad"], parts["nose_rad"]
    upright = np.cos(nose) * np.cos(parts["hyzer_rad"]) * np.cos(launch)
    upright = upright - np.sin(nose) * np.sin(launch)  # vertical part of the axis at release
    return {
        "on_edge": np.arccos(np.clip(upright, -1.0, 1.0)),
        "advance_ratio": 0.5 * parts["spin_rad_s"] * diameter / speed,
        "wobble": parts["wobble_rad"],
        "release_speed": speed,
        "reynolds_number": parts["density_kg_m3"] * speed * diameter / VISCOSITY_PA_S,
        "lift_slope": parts["cl_alpha"],
        "least_drag": parts["cd0"],
        "damping_in_seconds": np.where(raw, diameter, np.nan),
        "air_density": parts["density_kg_m3"],
        "rough_terrain": np.where(wind > 0.0, parts["roughness_m"], np.nan),
        "strong_wind": wind / speed,
    }


@dataclass(frozen=True, slots=True)
class _Path:
    """What is known of N flights: ends (N,), and paths (N, points, 3)."""

    hang_s: Floats
    apex_m: Floats
    onward_m: Floats
    position_m: Floats
    axis: Floats
    spin_rad_s: Floats

    @classmethod
    def of(cls, flown: Flight | Flights) -> _Path:
        onward = np.linalg.norm(flown.rest_m - flown.landing_m, axis=-1)
        if isinstance(flown, Flights):
            return cls(
                flown.hang_s, flown.apex_m, onward, flown.path_m, flown.path_axis,
                flown.path_spin_rad_s,
            )  # fmt: skip
        return cls(
            np.array([flown.hang_s]), np.array([flown.apex_m]), np.atleast_1d(onward),
            flown.position_m[None], flown.axis[None], flown.spin_rad_s[None],
        )  # fmt: skip


def _in_the_air(parts: Columns, path: _Path) -> Columns:
    """Quantities of the flight, by code; those of a path only where there is one."""
    lowest = np.minimum(parts["ground_z_m"], 0.0)
    windy = np.hypot(parts["wind_x_m_s"], parts["wind_y_m_s"]) > 0.0
    values = {
        "still_in_the_air": path.hang_s,
        "high_in_the_wind": np.where(windy, path.apex_m - lowest, np.nan),
        "ground_play": path.onward_m,
    }
    points = path.position_m.shape[1]
    if points < 3:
        return values
    step_s = np.maximum(path.hang_s, 1e-6)[:, None, None] / (points - 1)
    incidence = _incidence_rad(parts, path, step_s)
    steep = np.abs(incidence) > MEASURED_TO_RAD
    turning = np.linalg.norm(np.gradient(path.axis, axis=1) / step_s, axis=2)
    return values | {
        "stalled": steep.mean(axis=1),
        "air_from_above": ((incidence < MEASURED_FROM_RAD) & ~steep).mean(axis=1),
        "no_gyroscope": (turning / np.maximum(path.spin_rad_s, 1e-9)).max(axis=1),
    }


def _incidence_rad(parts: Columns, path: _Path, step_s: Floats) -> Floats:
    """Angle of attack along paths, (N, points): velocity by differences of the positions."""
    moving = np.gradient(path.position_m, axis=1, edge_order=2) / step_s
    rough = np.maximum(parts["roughness_m"], 1e-9)[:, None]
    height = path.position_m[:, :, 2] - np.minimum(parts["ground_z_m"], 0.0)[:, None]
    share = np.log(np.maximum(height / rough, 2.0)) / np.log(10.0 / rough)
    share = np.where(parts["roughness_m"][:, None] > 0.0, share, 1.0)
    moving[:, :, 0] -= share * parts["wind_x_m_s"][:, None]
    moving[:, :, 1] -= share * parts["wind_y_m_s"][:, None]
    speed = np.maximum(np.linalg.norm(moving, axis=2), 1e-9)
    sine = -np.einsum("ijk,ijk->ij", moving, path.axis) / speed
    return np.asarray(np.arcsin(np.clip(sine, -1.0, 1.0)))
