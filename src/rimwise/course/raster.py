"""What the ground of a hole is like, cell by cell, in a frame laid along the hole.

In the hole's own frame the tee is the origin, x runs to the basket and y to the left. Turning
a hole on the map therefore changes nothing, and a mirrored hole is mirrored to the bit.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from rimwise.course.geometry import BITS, PENALTY_BITS, AreaIndex
from rimwise.course.polygons import shape_of
from rimwise.course.woods import canopy_m, hits_per_m
from rimwise.errors import check_range
from rimwise.records.assumptions import Assumptions
from rimwise.records.courses import AreaKind, Course, DropZone, Hole, Point, Side, Trouble

__all__ = ["HoleFrame", "HoleGround"]

Floats = NDArray[np.float64]

#: Ground beside the hole that is looked at; what lies farther off is open rough.
MARGIN_M = 80.0
#: From a cell whose middle is so many cells from a tree's, half a diagonal at both ends is not
#: surely clear.
_UNSURE_CELLS = 1.5


@dataclass(frozen=True, slots=True)
class HoleFrame:
    """Turns the map's east and north into a hole's own x and y, and back.

    Parameters
    ----------
    tee
        Origin, metres east and north on the map.
    direction_rad
        Of the basket, counterclockwise from east.
    """

    tee: Point
    direction_rad: float

    @classmethod
    def of(cls, hole: Hole) -> HoleFrame:
        """Return the frame of a hole."""
        east, north = hole.basket[0] - hole.tee[0], hole.basket[1] - hole.tee[1]
        return cls(hole.tee, math.atan2(north, east))

    @property
    def bearing_deg(self) -> float:
        """Direction of the basket, clockwise from true north."""
        return (90.0 - math.degrees(self.direction_rad)) % 360.0

    def to_map(self, points_m: Floats) -> Floats:
        """Return east and north of (N, 2) points of the hole, metres."""
        return np.asarray(points_m @ self._turn() + np.asarray(self.tee))

    def to_hole(self, points_m: Floats) -> Floats:
        """Return x and y along the hole of (N, 2) points of the map, metres."""
        return np.asarray((points_m - np.asarray(self.tee)) @ self._turn().T)

    def _turn(self) -> Floats:
        cosine, sine = math.cos(self.direction_rad), math.sin(self.direction_rad)
        return np.array([[cosine, sine], [-sine, cosine]])


@dataclass(frozen=True, slots=True, eq=False)
class HoleGround:
    """Square cells around a hole, rows from right to left, columns from tee to basket.

    Parameters
    ----------
    frame
        Where the hole lies.
    length_m
        From tee to basket.
    corner_m
        x and y of the first cell's outer corner.
    cell_m
        Side of a cell.
    bits
        uint8, see :data:`rimwise.course.geometry.BITS`.
    hits_per_m
        Chance to strike a stem per metre flown below the canopy, float32.
    canopy_m
        Height of the trees above the ground, float32; 0 where there are none.
    height_m
        Height of the ground above the tee, float32.
    clear_m
        As far as this there surely is no tree, float32.
    marks
        (mark, 3) mandatories: x, y, and 1 where they are passed on the left, −1 on the right.
    zones
        (3, 3) drop zones after water, out of bounds and a mandatory: x, y, and 1 where there is
        one.
    """

    frame: HoleFrame
    length_m: float
    corner_m: Point
    cell_m: float
    bits: NDArray[np.uint8]
    hits_per_m: NDArray[np.float32]
    canopy_m: NDArray[np.float32]
    height_m: NDArray[np.float32]
    clear_m: NDArray[np.float32]
    marks: Floats
    zones: Floats

    @classmethod
    def build(
        cls,
        course: Course,
        hole: Hole,
        assume: Assumptions,
        *,
        cell_m: float = 1.0,
        margin_m: float = MARGIN_M,
    ) -> HoleGround:
        """Look at the areas around a hole, and at its marks.

        Notes
        -----
        The ground is a plane that rises evenly from the tee to the basket and on beyond. Where
        woods overlap, the denser and the higher one counts.
        """
        check_range("cell_m", cell_m, 0.1, 20.0, "m")
        length_m = hole.length_m
        columns = math.ceil((length_m + 2.0 * margin_m) / cell_m)
        rows = 2 * math.ceil(margin_m / cell_m)
        corner = (0.5 * length_m - 0.5 * columns * cell_m, -0.5 * rows * cell_m)
        x, y = np.meshgrid(
            corner[0] + (np.arange(columns) + 0.5) * cell_m,
            corner[1] + (np.arange(rows) + 0.5) * cell_m,
        )
        frame = HoleFrame.of(hole)
        bits = np.zeros(x.shape, dtype=np.uint8)
        where = frame.to_map(np.column_stack((x.ravel(), y.ravel())))
        for kind, inside in AreaIndex(course).kinds(where).items():
            bits |= inside.reshape(x.shape).astype(np.uint8) * np.uint8(BITS[kind])
        wood = (bits & BITS[AreaKind.WOOD]) != 0
        hits, canopy = _trees(course, where, wood, assume)
        slope = hole.elevation_change_m / length_m
        return cls(
            frame=frame,
            length_m=length_m,
            corner_m=corner,
            cell_m=cell_m,
            bits=bits,
            hits_per_m=hits,
            canopy_m=canopy,
            height_m=(slope * x).astype(np.float32),
            clear_m=_clear_m(wood, cell_m),
            marks=_marks(course, hole, frame),
            zones=_zones(course, hole, frame),
        )

    @property
    def wooded(self) -> bool:
        """Whether there are trees anywhere near the hole."""
        return bool((self.hits_per_m > 0.0).any())

    @property
    def guarded(self) -> bool:
        """Whether there is any water or ground out of bounds near the hole."""
        return bool((self.bits & PENALTY_BITS).any())

    @property
    def marked(self) -> bool:
        """Whether the hole has a mandatory."""
        return len(self.marks) > 0

    @property
    def sloping(self) -> bool:
        """Whether the ground rises or falls anywhere."""
        return bool(np.ptp(self.height_m) > 0.0)

    def bits_at(self, points_m: Floats) -> NDArray[np.uint8]:
        """Return the bits at (N, 2) points of the hole; 0 outside the cells."""
        column = np.floor((points_m[:, 0] - self.corner_m[0]) / self.cell_m).astype(np.intp)
        row = np.floor((points_m[:, 1] - self.corner_m[1]) / self.cell_m).astype(np.intp)
        rows, columns = self.bits.shape
        inside = (row >= 0) & (row < rows) & (column >= 0) & (column < columns)
        found = np.zeros(len(points_m), dtype=np.uint8)
        found[inside] = self.bits[row[inside], column[inside]]
        return found


def _trees(
    course: Course, where: Floats, wood: NDArray[np.bool_], assume: Assumptions
) -> tuple[NDArray[np.float32], NDArray[np.float32]]:
    """Return chances to strike a stem per metre, and heights, in the cells that are wood."""
    hits, canopy = (np.zeros(wood.size, dtype=np.float32) for _ in range(2))
    cells = np.flatnonzero(wood)
    for area in course.areas:
        if area.kind is AreaKind.WOOD and len(cells):
            inside = cells[shapely.contains_xy(shape_of(area), *where[cells].T)]
            hits[inside] = np.maximum(hits[inside], np.float32(hits_per_m(area, assume)))
            canopy[inside] = np.maximum(canopy[inside], np.float32(canopy_m(area, assume)))
    return hits.reshape(wood.shape), canopy.reshape(wood.shape)


def _marks(course: Course, hole: Hole, frame: HoleFrame) -> Floats:
    own = [mark for mark in course.mandatories if mark.hole == hole.ref]
    at = frame.to_hole(np.array([mark.at for mark in own]).reshape(-1, 2))
    sides = [1.0 if mark.side is Side.LEFT else -1.0 for mark in own]
    return np.column_stack([at, np.array(sides)])


def _zones(course: Course, hole: Hole, frame: HoleFrame) -> Floats:
    own = [zone for zone in course.drop_zones if zone.hole == hole.ref]
    found = np.zeros((3, 3))
    for n, trouble in enumerate((Trouble.WATER, Trouble.OUT_OF_BOUNDS, Trouble.MANDATORY)):
        zone = _zone_after(own, trouble)
        if zone is not None:
            found[n] = (*frame.to_hole(np.array([zone.at]))[0], 1.0)
    return found


def _zone_after(zones: Sequence[DropZone], trouble: Trouble) -> DropZone | None:
    """Return the drop zone for a trouble; one that is for it alone comes before one for any."""
    for after in (trouble, Trouble.ANY):
        for zone in zones:
            if zone.after is after:
                return zone
    return None


def _clear_m(wood: NDArray[np.bool_], cell_m: float) -> NDArray[np.float32]:
    from scipy.ndimage import distance_transform_edt

    if not wood.any():
        return np.full(wood.shape, np.float32(1e3))
    away = distance_transform_edt(~wood)
    return np.asarray(np.maximum((away - _UNSURE_CELLS) * cell_m, 0.0), dtype=np.float32)
