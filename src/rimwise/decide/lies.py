"""Lies: where a throw is made from, and what surrounds it.

A lie carries polar tables of its surroundings, one-degree rays and one-metre rings around the
direction of the basket: how many metres of trees lie on the way, and the last ring in bounds
on the line of flight back from water or out of bounds.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from rimwise.course.geometry import BITS, PENALTY_BITS, HoleRaster
from rimwise.records.courses import AreaKind, Point

__all__ = ["OPEN_AROUND", "Lie", "Surroundings", "lie_at", "open_lie"]

#: Rays on either side of the direction of the basket, degrees.
HALF_RAYS = 80
#: A throw is never tabulated farther than this.
RINGS = 260
#: Rays on either side, and metres, in which trouble changes what is aimed at.
AHEAD_RAYS, LONGEST_M = 35, 110.0


@dataclass(frozen=True, slots=True, eq=False)
class Surroundings:
    """Polar tables (ray, ring) and how much there is to look up.

    ``level`` is 0 for open ground, 1 where water or out of bounds is near, 2 with trees.
    ``guarded`` says whether any of it lies where a throw at the basket may end.
    """

    level: int
    guarded: bool
    frame: NDArray[np.float64]
    raster: NDArray[np.uint8]
    wood: NDArray[np.float32]
    relief: NDArray[np.float32]


@dataclass(frozen=True, slots=True, eq=False)
class Lie:
    """One place from which a throw is made.

    Parameters
    ----------
    xy_m
        East and north in the course's frame.
    distance_m, bearing_deg
        To the basket.
    slope
        Rise of the ground per metre toward the basket.
    """

    xy_m: Point
    distance_m: float
    bearing_deg: float
    slope: float
    around: Surroundings

    @property
    def row(self) -> NDArray[np.float64]:
        """The three numbers that the compiled loop reads."""
        return np.array([self.distance_m, float(self.around.level), self.slope])


_EMPTY_RASTER = np.zeros((1, 1), dtype=np.uint8)
_EMPTY_TABLE = np.zeros((1, 1), dtype=np.float32)

#: Open ground all around: no hazard, no tree.
OPEN_AROUND = Surroundings(
    0, False, np.array([0.0, 0.0, 1.0, 0.0]), _EMPTY_RASTER, _EMPTY_TABLE, _EMPTY_TABLE
)


def open_lie(distance_m: float, bearing_deg: float) -> Lie:
    """Return a lie on open, level ground."""
    return Lie((0.0, 0.0), distance_m, bearing_deg, 0.0, OPEN_AROUND)


def lie_at(xy_m: Point, basket_m: Point, slope: float, raster: HoleRaster) -> Lie:
    """Return the lie at a point of a hole, with the tables of its surroundings."""
    east, north = basket_m[0] - xy_m[0], basket_m[1] - xy_m[1]
    distance_m = math.hypot(east, north)
    direction = math.atan2(north, east)
    return Lie(
        xy_m=xy_m,
        distance_m=distance_m,
        bearing_deg=math.degrees(math.atan2(east, north)) % 360.0,
        slope=slope,
        around=_survey(xy_m, direction, distance_m, raster),
    )


def _survey(
    xy_m: Point, direction_rad: float, distance_m: float, raster: HoleRaster
) -> Surroundings:
    rays = direction_rad + np.radians(np.arange(-HALF_RAYS, HALF_RAYS + 1))
    rings = np.arange(RINGS, dtype=np.float64)
    bits = raster.at(
        xy_m[0] + np.cos(rays)[:, None] * rings, xy_m[1] + np.sin(rays)[:, None] * rings
    )
    trees = (bits & BITS[AreaKind.WOOD]) != 0
    trees[:, 0] = False  # the thrower stands clear of the stems
    out = (bits & PENALTY_BITS) != 0
    level = 2 if trees.any() else 1 if out.any() else 0
    if level == 0:
        return OPEN_AROUND
    last_in = np.maximum.accumulate(np.where(out, 0.0, rings), axis=1)
    frame = np.array(
        [
            (xy_m[0] - raster.west_m) / raster.cell_m,
            (xy_m[1] - raster.south_m) / raster.cell_m,
            math.cos(direction_rad) / raster.cell_m,
            math.sin(direction_rad) / raster.cell_m,
        ]
    )
    return Surroundings(
        level=level,
        guarded=_guarded(trees | out, distance_m),
        frame=frame,
        raster=raster.bits,
        wood=np.cumsum(trees, axis=1, dtype=np.float32),
        relief=last_in.astype(np.float32),
    )


def _guarded(trouble: NDArray[np.bool_], distance_m: float) -> bool:
    """Say whether trouble lies within reach of a throw at the basket."""
    ahead = slice(HALF_RAYS - AHEAD_RAYS, HALF_RAYS + AHEAD_RAYS + 1)
    return bool(trouble[ahead, : int(1.25 * min(distance_m, LONGEST_M)) + 10].any())
