"""Where a disc came down: exact area tests, a fast raster, woods on the way, relief points."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from rimwise.course.polygons import polygon_parts, reshaped, shape_of
from rimwise.errors import InputError, check_range
from rimwise.records.courses import Area, AreaKind, Course, Hole, Point

__all__ = ["BITS", "PENALTY_BITS", "AreaIndex", "HoleRaster", "areas_near"]

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

#: The bit of each kind of area in a raster cell.
BITS: dict[AreaKind, int] = {
    AreaKind.WATER: 1,
    AreaKind.OUT_OF_BOUNDS: 2,
    AreaKind.WOOD: 4,
    AreaKind.FAIRWAY: 8,
    AreaKind.THICK: 16,
    AreaKind.NO_RUN_UP: 32,
    AreaKind.LOW_CEILING: 64,
}

#: Cells that cost a penalty throw.
PENALTY_BITS = BITS[AreaKind.WATER] | BITS[AreaKind.OUT_OF_BOUNDS]

#: How much ground beside a hole its raster covers; farther throws than this are open rough.
MARGIN_M = 120.0

#: Path samples looked up at once, to bound memory.
_CHUNK = 4_000_000


class AreaIndex:
    """Exact point-in-area tests for one course.

    Parameters
    ----------
    course
        Its areas are united by kind and prepared once.
    """

    def __init__(self, course: Course) -> None:
        self._shapes = {
            kind: shapely.union_all([shape_of(a) for a in course.areas if a.kind is kind])
            for kind in AreaKind
        }
        for shape in self._shapes.values():
            shapely.prepare(shape)

    def kinds(self, points_xy_m: Floats) -> dict[AreaKind, Bools]:
        """Return for each kind of area which points lie inside it.

        Parameters
        ----------
        points_xy_m
            (N, 2) east and north, metres. A point on an outline counts as outside.

        Raises
        ------
        InputError
            When the array has another shape or holds a value that is not finite.
        """
        points = _points("points_xy_m", points_xy_m)
        return {kind: _inside(shape, points) for kind, shape in self._shapes.items()}


def _inside(shape: shapely.Geometry, points: Floats) -> Bools:
    """Test only the points within the shape's bounding box."""
    inside = np.zeros(len(points), dtype=np.bool_)
    if shape.is_empty:
        return inside
    west, south, east, north = shape.bounds
    x, y = points[:, 0], points[:, 1]
    near = np.flatnonzero((x > west) & (x < east) & (y > south) & (y < north))
    inside[near] = shapely.contains_xy(shape, x[near], y[near])
    return inside


@dataclass(frozen=True, slots=True, eq=False)
class HoleRaster:
    """Areas around a hole as bits in square cells, for millions of look-ups.

    A cell holds the areas at its middle, so an outline is placed to within 0.71 cells. Points
    outside the raster read 0, open rough.

    Parameters
    ----------
    west_m, south_m
        Outer corner of the first cell.
    cell_m
        Side of a cell.
    bits
        (rows from south to north, columns from west to east) uint8, see :data:`BITS`. The
        outermost ring of cells is always 0.
    """

    west_m: float
    south_m: float
    cell_m: float
    bits: NDArray[np.uint8]

    @classmethod
    def build(
        cls, course: Course, hole: Hole, *, margin_m: float = MARGIN_M, cell_m: float = 1.0
    ) -> HoleRaster:
        """Rasterise the areas within ``margin_m`` of a hole's tee, basket and what lies between."""
        check_range("margin_m", margin_m, 1.0, 2_000.0, "m")
        check_range("cell_m", cell_m, 0.1, 20.0, "m")
        ends = np.array([hole.tee, hole.basket])
        west_m, south_m = np.floor((ends.min(axis=0) - margin_m) / cell_m) * cell_m - cell_m
        east_m, north_m = ends.max(axis=0) + margin_m + cell_m
        columns = int(np.ceil((east_m - west_m) / cell_m))
        rows = int(np.ceil((north_m - south_m) / cell_m))
        bits = np.zeros((rows, columns), dtype=np.uint8)
        x, y = np.meshgrid(
            west_m + (np.arange(1, columns - 1) + 0.5) * cell_m,
            south_m + (np.arange(1, rows - 1) + 0.5) * cell_m,
        )
        inside = AreaIndex(course).kinds(np.column_stack((x.ravel(), y.ravel())))
        for kind, mask in inside.items():
            bits[1:-1, 1:-1] |= mask.reshape(x.shape).astype(np.uint8) * np.uint8(BITS[kind])
        bits.flags.writeable = False
        return cls(float(west_m), float(south_m), cell_m, bits)

    def at(self, x_m: Floats, y_m: Floats) -> NDArray[np.uint8]:
        """Return the bits at points given as arrays of one shape (metres, finite)."""
        rows, columns = self.bits.shape
        column = np.clip(np.floor((x_m - self.west_m) / self.cell_m), 0, columns - 1)
        row = np.clip(np.floor((y_m - self.south_m) / self.cell_m), 0, rows - 1)
        found: NDArray[np.uint8] = self.bits[row.astype(np.intp), column.astype(np.intp)]
        return found

    def kinds(self, points_xy_m: Floats) -> dict[AreaKind, Bools]:
        """Return for each kind of area which of the (N, 2) points lie in its cells."""
        points = _points("points_xy_m", points_xy_m)
        found = self.at(points[:, 0], points[:, 1])
        return {kind: (found & bit) != 0 for kind, bit in BITS.items()}

    def wood_share(self, start_xy_m: Point, ends_xy_m: Floats, *, step_m: float = 2.5) -> Floats:
        """Return what share of each straight path from one start lies in wood.

        Parameters
        ----------
        start_xy_m
            Where every path begins, metres.
        ends_xy_m
            (N, 2) where they end, metres.
        step_m
            Longest distance between samples.

        Returns
        -------
        (N,) fractions from 0 to 1; the sampling errs by about ``step_m`` over the path's length.
        """
        ends = _points("ends_xy_m", ends_xy_m)
        check_range("step_m", step_m, 0.1, 50.0, "m")
        if not len(ends):
            return np.zeros(0)
        start = np.asarray(start_xy_m, dtype=np.float64)
        longest_m = float(np.hypot(*(ends - start).T).max())
        samples = max(1, int(np.ceil(longest_m / step_m)))
        along = (np.arange(samples) + 0.5) / samples
        share = np.empty(len(ends))
        for first in range(0, len(ends), max(1, _CHUNK // samples)):
            piece = slice(first, first + max(1, _CHUNK // samples))
            paths = start + along[:, None, None] * (ends[piece] - start)
            in_wood = self.at(paths[..., 0], paths[..., 1]) & BITS[AreaKind.WOOD]
            share[piece] = (in_wood != 0).mean(axis=0)
        return share

    def relief_points(
        self, lie_xy_m: Point, landings_xy_m: Floats, *, step_m: float = 0.5
    ) -> Floats:
        """Return where play goes on after landings in water or out of bounds.

        That is the last point in bounds on the straight line of flight: walking from the
        landing back to the lie, the first point that is neither water nor out of bounds, and
        never the nearest point in bounds across the water. A landing in bounds stays where it
        is; a line that is out all the way goes back to the lie.

        Parameters
        ----------
        lie_xy_m
            Where the throw was made, metres.
        landings_xy_m
            (N, 2) where it came to rest, metres.
        step_m
            Length of the steps back along the line.

        Returns
        -------
        (N, 2) metres.
        """
        landings = _points("landings_xy_m", landings_xy_m)
        check_range("step_m", step_m, 0.05, 10.0, "m")
        lie = np.asarray(lie_xy_m, dtype=np.float64)
        relief = landings.copy()
        out = np.flatnonzero(self.at(landings[:, 0], landings[:, 1]) & PENALTY_BITS)
        back = lie - landings[out]
        length_m = np.hypot(back[:, 0], back[:, 1])
        walked_m = 0.0
        while len(out):
            walked_m += step_m
            at_lie = walked_m >= length_m
            share = np.where(at_lie, 1.0, walked_m / np.maximum(length_m, step_m))
            spot = landings[out] + share[:, None] * back
            found = at_lie | (self.at(spot[:, 0], spot[:, 1]) & PENALTY_BITS == 0)
            relief[out[found]] = spot[found]
            out, back, length_m = out[~found], back[~found], length_m[~found]
        return relief


def areas_near(course: Course, hole: Hole, margin_m: float = 40.0) -> tuple[Area, ...]:
    """Return the areas around a hole, cut to its bounding box and a margin, for a picture."""
    check_range("margin_m", margin_m, 0.0, 2_000.0, "m")
    window = shapely.box(*shapely.LineString((hole.tee, hole.basket)).buffer(margin_m).bounds)
    return tuple(
        reshaped(area, part)
        for area in course.areas
        for part in polygon_parts(shapely.intersection(shape_of(area), window))
    )


def _points(name: str, points_xy_m: Floats) -> Floats:
    points = np.asarray(points_xy_m, dtype=np.float64)
    if points.ndim != 2 or points.shape[1] != 2:
        raise InputError(f"{name} must have the shape (N, 2), but has {points.shape}.")
    if not np.isfinite(points).all():
        raise InputError(f"{name} must hold finite numbers only.")
    return points
