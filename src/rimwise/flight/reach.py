"""How far a disc goes: the longest line of a disc for an arm, found by search.

Beside it the trade's rule of thumb, so that the two can be laid over each other.
"""

from __future__ import annotations

import math
from dataclasses import astuple, dataclass, fields
from typing import TYPE_CHECKING

import numpy as np

from rimwise.errors import InputError, check_range
from rimwise.flight._checks import column, common_length
from rimwise.flight._gather import chosen, gather
from rimwise.flight.aero import AERO_LIMITS, AeroArrays
from rimwise.flight.body import BodyArrays
from rimwise.flight.fly import fly_many
from rimwise.flight.release import RELEASE_LIMITS, ReleaseArrays
from rimwise.flight.wind import WindArrays

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

    from rimwise.flight.aero import Aero
    from rimwise.flight.air import Air
    from rimwise.flight.body import Body
    from rimwise.flight.flights import Flights
    from rimwise.flight.wind import Wind

    Floats = NDArray[np.float64]
    Columns = dict[str, Floats]

__all__ = [
    "ADVANCE_RATIO", "BACK_WITHIN_RAD", "RULE_FOOT", "RULE_MPH", "LineLimits", "LongestLines",
    "longest_lines", "rule_of_thumb_m",
]  # fmt: skip

#: A line comes back when its first touch lies this near the aim, seen from the tee. Half a
#: fairway's width at the distances of drives (assumption).
BACK_WITHIN_RAD = math.radians(15.0)
#: Rim speed over forward speed at release (memory: 0.40 to 0.50).
ADVANCE_RATIO = 0.45

#: The trade's rule of thumb for a suitable disc and line: release speed, and range in feet;
#: about ten feet more for each mile an hour (common practice, no source). Nothing is said
#: about slower and faster arms. For 45 mph it names 255 to 260 feet.
RULE_MPH = (45.0, 50.0, 60.0, 70.0)
RULE_FOOT = (257.5, 300.0, 400.0, 500.0)

# The search. The coarse grid is fine enough that its best line lies on the slope of the best
# of all; from the best line of each launch angle it then climbs in ever smaller steps.
_COARSE = (5, 13, 4)  # launch, hyzer and nose angles
_REFINEMENTS = 5
_AROUND = np.stack(np.meshgrid(*([-1.0, 0.0, 1.0],) * 3, indexing="ij"), axis=-1).reshape(-1, 3)
_MOST_FLIGHTS = 150_000  # in one batch, which takes about 50 MB

_MPH_M_S, _FOOT_M = 0.44704, 0.3048  # exact, by the 1959 agreement
_ADVANCE_LIMIT = (0.05, 2.0, "")


@dataclass(frozen=True, slots=True)
class LineLimits:
    """The lines among which the longest is looked for: what arms do (assumption).

    Parameters
    ----------
    launch_rad, hyzer_rad, nose_rad : (float, float)
        Lowest and highest angle, as in :class:`rimwise.flight.release.Release`; equal where
        the angle is given.

    Raises
    ------
    InputError
        When an angle is outside a release's range, or the lowest is above the highest.
    """

    launch_rad: tuple[float, float] = (math.radians(2.0), math.radians(20.0))
    hyzer_rad: tuple[float, float] = (math.radians(-30.0), math.radians(30.0))
    nose_rad: tuple[float, float] = (math.radians(-4.0), math.radians(2.0))

    def __post_init__(self) -> None:
        for item in fields(self):
            low, high = getattr(self, item.name)
            limit = RELEASE_LIMITS[item.name]
            for end in (low, high):
                check_range(f"lines.{item.name}", end, *limit)
            if low > high:
                raise InputError(
                    f"lines.{item.name} must not begin above its end, "
                    f"but goes from {low:g} to {high:g} rad."
                )


@dataclass(frozen=True, slots=True)
class LongestLines:
    """The longest line of each of N discs and arms, and its flight.

    Attributes
    ----------
    range_m, left_m : (N,) float64
        First touch down the aim line, and left of it.
    hang_s, apex_m : (N,) float64
        Time in the air; highest point.
    launch_rad, hyzer_rad, nose_rad : (N,) float64
        The line, as in :class:`rimwise.flight.release.Release`.
    comes_back : (N,) bool
        Whether the first touch lies within ``BACK_WITHIN_RAD`` of the aim. Where no line
        does, what is given is the one that comes nearest to it, not a longest one.
    """

    range_m: Floats
    left_m: Floats
    hang_s: Floats
    apex_m: Floats
    launch_rad: Floats
    hyzer_rad: Floats
    nose_rad: Floats
    comes_back: NDArray[np.bool_]

    def __len__(self) -> int:
        return len(self.range_m)


def longest_lines(
    aero: Aero | AeroArrays,
    body: Body | BodyArrays,
    speed_m_s: ArrayLike,
    air: Air | ArrayLike,
    wind: Wind | WindArrays | None = None,
    *,
    advance_ratio: ArrayLike = ADVANCE_RATIO,
    height_m: ArrayLike = 1.2,
    lines: LineLimits | None = None,
) -> LongestLines:
    """Find the launch, hyzer and nose that throw each disc furthest and bring it back.

    Furthest is the first touch down the aim line; back is within ``BACK_WITHIN_RAD`` of it.
    Level ground, nothing in the way, no wobble, right-handed backhand. A grid of lines, then
    ever smaller steps about the best of each launch angle; not 1 % short of the best line of a
    grid of 1° in the tests. Some 800 flights for each disc, in batches of bounded memory.

    Parameters
    ----------
    aero, body : one, or arrays of length 1 or N
        The discs.
    speed_m_s : float or (N,)
        Release speed, 1 … 50 m/s.
    air, wind
        As in :func:`rimwise.flight.fly.fly_many`; the aim line points north.
    advance_ratio : float or (N,)
        Rim speed over release speed, 0.05 … 2; the spin must stay within a release's range.
    height_m : float or (N,)
        Of the release, 0 … 50 m.
    lines : LineLimits, optional
        The lines to search.

    Raises
    ------
    InputError
        When an argument is outside its domain or lengths differ.
    """
    parts = _discs(aero, body, speed_m_s, air, wind, advance_ratio, height_m)
    count = common_length(parts)
    limits = np.array(astuple(lines or LineLimits()))
    best = np.empty((count, 3))
    batch = max(_MOST_FLIGHTS // _largest_round(limits), 1)
    for start in range(0, count, batch):
        rows = np.arange(start, min(start + batch, count))
        best[rows] = _search(chosen(parts, rows), len(rows), limits)
    flights = _throw(parts, best[:, None, :])
    return LongestLines(
        range_m=flights.range_m,
        left_m=flights.left_m,
        hang_s=flights.hang_s,
        apex_m=flights.apex_m,
        launch_rad=best[:, 0],
        hyzer_rad=best[:, 1],
        nose_rad=best[:, 2],
        comes_back=_off_aim_rad(flights) <= BACK_WITHIN_RAD,
    )


def rule_of_thumb_m(speed_m_s: ArrayLike) -> Floats:
    """Range by the trade's rule of thumb, m; see ``RULE_MPH``.

    Parameters
    ----------
    speed_m_s : array_like
        From the slowest to the fastest arm that the rule speaks of, 45 to 70 mph.

    Raises
    ------
    InputError
        When the rule says nothing about such an arm.
    """
    rule_m_s = np.array(RULE_MPH) * _MPH_M_S
    slack = 1e-9  # 45 mph, converted elsewhere, is still 45 mph
    speed = column("speed_m_s", speed_m_s, (rule_m_s[0] - slack, rule_m_s[-1] + slack, "m/s"))
    return np.asarray(np.interp(speed, rule_m_s, np.array(RULE_FOOT) * _FOOT_M))


def _discs(
    aero: object,
    body: object,
    speed_m_s: ArrayLike,
    air: object,
    wind: object,
    advance_ratio: ArrayLike,
    height_m: ArrayLike,
) -> Columns:
    """Check everything but the lines, and return it as columns of length 1 or N."""
    speed = column("speed_m_s", speed_m_s, RELEASE_LIMITS["speed_m_s"])
    ratio = column("advance_ratio", advance_ratio, _ADVANCE_LIMIT)
    common_length({"speed_m_s": speed, "advance_ratio": ratio})
    slowest = ReleaseArrays(speed, RELEASE_LIMITS["spin_rad_s"][0], 0.0, 0.0, 0.0, 0.0, height_m)
    parts = gather(aero, body, slowest, air, wind, 0.0, 0.0)
    common_length({**parts, "advance_ratio": ratio})
    spin = 2.0 * ratio * speed / parts["diameter_m"]
    return {**parts, "spin_rad_s": column("spin_rad_s", spin, RELEASE_LIMITS["spin_rad_s"])}


def _search(parts: Columns, count: int, limits: Floats) -> Floats:
    """Return the best launch, hyzer and nose of each of some discs, (count, 3)."""
    grid, steps = _grid(limits)
    flat = np.broadcast_to(grid.reshape(-1, 3), (count, grid.size // 3, 3))
    worth = _worth(_throw(parts, flat)).reshape(count, len(grid), -1)
    at = worth.argmax(axis=2)  # the best line of each launch angle
    best = grid.reshape(len(grid), -1, 3)[np.arange(len(grid)), at]
    for _ in range(_REFINEMENTS):
        steps = 0.5 * steps
        around = best[:, :, None, :] + np.unique(steps * _AROUND, axis=0)
        around = np.clip(around, limits[:, 0], limits[:, 1])
        tried = around.reshape(count, -1, 3)
        worth = _worth(_throw(parts, tried)).reshape(around.shape[:3])
        at = worth.argmax(axis=2)
        best = np.take_along_axis(around, at[:, :, None, None], axis=2)[:, :, 0]
    reached = worth.max(axis=2).argmax(axis=1)
    return np.asarray(best[np.arange(count), reached])


def _grid(limits: Floats) -> tuple[Floats, Floats]:
    """Return the coarse grid, (launches, hyzers, noses, 3), and its steps; 0 for a given angle."""
    axes = [
        np.linspace(low, high, number if high > low else 1)
        for (low, high), number in zip(limits, _COARSE, strict=True)
    ]
    steps = [axis[1] - axis[0] if len(axis) > 1 else 0.0 for axis in axes]
    return np.stack(np.meshgrid(*axes, indexing="ij"), axis=-1), np.array(steps)


def _largest_round(limits: Floats) -> int:
    """Return the most flights that one disc takes in one round of the search."""
    grid, _ = _grid(limits)
    return max(grid.size // 3, len(grid) * len(_AROUND))


def _worth(flights: Flights) -> Floats:
    """Range of lines that come back; below zero, the less the better, for those that do not."""
    off_aim = _off_aim_rad(flights)
    return np.asarray(np.where(off_aim <= BACK_WITHIN_RAD, flights.range_m, -off_aim))


def _off_aim_rad(flights: Flights) -> Floats:
    """Angle between the aim and the first touch; a half turn for what is still in the air."""
    angle = np.abs(np.arctan2(flights.left_m, flights.range_m))
    return np.asarray(np.where(flights.landed, angle, math.pi))


def _throw(parts: Columns, lines_rad: Floats) -> Flights:
    """Throw each disc on each of its lines, (discs, lines, 3), disc by disc."""
    count, each, _ = lines_rad.shape
    many = {name: part if len(part) == 1 else np.repeat(part, each) for name, part in parts.items()}
    launch, hyzer, nose = lines_rad.reshape(count * each, 3).T
    return fly_many(
        AeroArrays(**{name: many[name] for name in AERO_LIMITS}),
        BodyArrays(many["mass_kg"], many["diameter_m"], many["axial_inertia_kg_m2"]),
        ReleaseArrays(
            many["speed_m_s"], many["spin_rad_s"], launch, hyzer, nose, height_m=many["height_m"]
        ),
        many["density_kg_m3"],
        # The aim line points north, so what lies to its left is west.
        WindArrays(-many["wind_y_m_s"], many["wind_x_m_s"], many["roughness_m"]),
    )
