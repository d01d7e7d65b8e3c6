"""What the ground of a hole is like, cell by cell, in a frame laid along the hole.

In the hole's own frame the tee is the origin, x runs to the basket and y to the left. Turning
a hole on the map therefore changes nothing, and a mirrored hole is mirrored to the bit.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from rimwise.course.geometry import BITS, PENALTY_BITS, AreaIndex
from rimwise.errors import check_range
from rimwise.records.courses import AreaKind, Course, Hole, Point

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

    @classmethod
    def build(
        cls,
        course: Course,
        hole: Hole,
        *,
        hits_per_m: float,
        canopy_m: float,
        cell_m: float = 1.0,
        margin_m: float = MARGIN_M,
    ) -> HoleGround:
        """Look at the areas around a hole.

        Parameters
        ----------
        hits_per_m, canopy_m
            Of every wood.

        Notes
        -----
        The ground is a plane that rises evenly from the tee to the basket and on beyond.
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
        if course.bearings_known:
            where = frame.to_map(np.column_stack((x.ravel(), y.ravel())))
            for kind, inside in AreaIndex(course).kinds(where).items():
                bits |= inside.reshape(x.shape).astype(np.uint8) * np.uint8(BITS[kind])
        wood = (bits & BITS[AreaKind.WOOD]) != 0
        slope = hole.elevation_change_m / length_m
        return cls(
            frame=frame,
            length_m=length_m,
            corner_m=corner,
            cell_m=cell_m,
            bits=bits,
            hits_per_m=np.where(wood, np.float32(hits_per_m), np.float32(0.0)),
            canopy_m=np.where(wood, np.float32(canopy_m), np.float32(0.0)),
            height_m=(slope * x).astype(np.float32),
            clear_m=_clear_m(wood, cell_m),
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


def _clear_m(wood: NDArray[np.bool_], cell_m: float) -> NDArray[np.float32]:
    from scipy.ndimage import distance_transform_edt

    if not wood.any():
        return np.full(wood.shape, np.float32(1e3))
    away = distance_transform_edt(~wood)
    return np.asarray(np.maximum((away - _UNSURE_CELLS) * cell_m, 0.0), dtype=np.float32)
