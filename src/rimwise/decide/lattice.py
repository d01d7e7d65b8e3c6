"""Where lies are valued: a lattice of points laid along a hole, and the tee.

Near trees a point carries two lies, a free one and one among the trees, where the run-up is
short and the branches hang low, and likewise where there is no run-up or a low ceiling: which of
them a landing has is seen on the ground, cell by cell. Points out in the water speak for the
shore beside them; those farther out, and places without a lie of a kind, take over the worth of
the nearest lie.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from rimwise.course.geometry import BITS, PENALTY_BITS
from rimwise.course.raster import HoleGround
from rimwise.records.courses import AreaKind

__all__ = ["FREE", "KINDS", "KIND_ON", "LOW_CEILING", "NO_RUN_UP", "RESTRICTED", "Lattice"]

#: Kinds of lie; ``RESTRICTED`` are those among trees, where both limits hold.
FREE, RESTRICTED, NO_RUN_UP, LOW_CEILING = KINDS = range(4)
#: The lattice goes so far aside, behind the tee, and past the basket.
ASIDE_M, BEHIND_M, PAST_M = 40.0, 10.0, 35.0
#: Lies are solved together in rings of this width around the basket, from within outward.
RING_M = 8.0
#: Trouble within this angle of the basket, and no farther than a long throw, counts.
AHEAD_DEG, LONGEST_M = 35.0, 110.0


def _kind_on(bits: int) -> int:
    if bits & BITS[AreaKind.WOOD]:
        return RESTRICTED
    short, low = bits & BITS[AreaKind.NO_RUN_UP], bits & BITS[AreaKind.LOW_CEILING]
    if short and low:
        return RESTRICTED
    return NO_RUN_UP if short else LOW_CEILING if low else FREE


#: The kind of a lie on ground of each combination of bits.
KIND_ON = np.array([_kind_on(bits) for bits in range(256)])
#: A point so many spacings from ground of its kind still speaks for it.
_SPEAKS = 1.5
#: What a metre to the nearest lie adds where a slot takes over its worth.
_PER_M = 1.0 / 70.0


@dataclass(frozen=True, slots=True, eq=False)
class Lattice:
    """Lies of a hole, from the basket outward, and the tee as the last.

    Parameters
    ----------
    lies
        (lie, 3): x, y, kind.
    slots
        (lie, 3): kind, row, column; −1 for the tee.
    owner, extra
        (kind, row, column): the lie that speaks for a slot, and what it is dearer there.
    corner_m, cell_m
        x and y of the first point, and the spacing.
    rings
        Lies are solved in these spans of their numbers.
    guarded
        (lie,): whether trouble lies where a throw at the basket may end.
    """

    lies: NDArray[np.float64]
    slots: NDArray[np.int64]
    owner: NDArray[np.int64]
    extra: NDArray[np.float64]
    corner_m: NDArray[np.float64]
    cell_m: float
    rings: tuple[tuple[int, int], ...]
    guarded: NDArray[np.bool_]

    @classmethod
    def build(cls, ground: HoleGround, cell_m: float) -> Lattice:
        """Lay a lattice whose middle row runs from tee to basket and through the basket."""
        aside = math.ceil(ASIDE_M / cell_m)
        before = math.ceil((ground.length_m + BEHIND_M) / cell_m)
        past = math.ceil(PAST_M / cell_m)
        x = ground.length_m + cell_m * np.arange(-before, past + 1)
        y = cell_m * np.arange(-aside, aside + 1)
        row, column = (a.ravel() for a in np.indices((len(y), len(x))))
        points = np.column_stack((x[column], y[row]))
        spoken = _spoken(ground, points, _SPEAKS * cell_m)
        found = [
            (points[i, 0], points[i, 1], kind, row[i], column[i])
            for kind in KINDS
            for i in np.flatnonzero(spoken[kind]).tolist()
        ]
        table = np.array(found)
        away = np.hypot(table[:, 0] - ground.length_m, table[:, 1])
        # Ties go by the distance from the middle row, so that a mirrored hole is a mirror.
        table = table[np.lexsort((np.abs(table[:, 1]), np.round(away, 6)))]
        lies = np.vstack([table[:, :3], (0.0, 0.0, FREE)])
        slots = np.vstack([table[:, [2, 3, 4]], (-1, -1, -1)]).astype(np.int64)
        owner, extra = _owners(table, (len(y), len(x)), cell_m)
        corner = np.array([x[0], y[0]])
        away = np.hypot(lies[:, 0] - ground.length_m, lies[:, 1])
        guarded = _guarded(ground, lies)
        return cls(lies, slots, owner, extra, corner, cell_m, _rings(away[:-1]), guarded)

    def nearest(self, lies: NDArray[np.float64]) -> NDArray[np.intp]:
        """Return the lie of the lattice that speaks for each of (N, 3) true lies."""
        _, rows, columns = self.owner.shape
        column = np.rint((lies[:, 0] - self.corner_m[0]) / self.cell_m)
        row = np.rint((lies[:, 1] - self.corner_m[1]) / self.cell_m)
        column = np.clip(column, 0, columns - 1).astype(np.intp)
        row = np.clip(row, 0, rows - 1).astype(np.intp)
        return np.asarray(self.owner[lies[:, 2].astype(np.intp), row, column], dtype=np.intp)


def _spoken(ground: HoleGround, points: NDArray[np.float64], within_m: float) -> NDArray[np.bool_]:
    """Say for each kind which points have ground of the kind around them, (kind, N)."""
    steps = np.arange(-within_m, within_m + 1e-9, max(ground.cell_m, within_m / 8.0))
    dx, dy = (a.ravel() for a in np.meshgrid(steps, steps))
    near = np.hypot(dx, dy) <= within_m
    around = points[:, None, :] + np.column_stack((dx[near], dy[near]))
    bits = ground.bits_at(around.reshape(-1, 2)).reshape(len(points), -1)
    playable = (bits & PENALTY_BITS) == 0
    here = KIND_ON[bits]
    return np.stack([(playable & (here == kind)).any(axis=1) for kind in KINDS])


def _owners(
    table: NDArray[np.float64], shape: tuple[int, int], cell_m: float
) -> tuple[NDArray[np.int64], NDArray[np.float64]]:
    from scipy.spatial import cKDTree

    owner = np.empty((len(KINDS), *shape), dtype=np.int64)
    extra = np.zeros((len(KINDS), *shape))
    row, column = (a.ravel() for a in np.indices(shape))
    for kind in KINDS:
        own = np.flatnonzero(table[:, 2] == kind)
        if not len(own):
            own = np.arange(len(table))
        away, which = cKDTree(table[own, 3:5]).query(np.column_stack((row, column)))
        owner[kind] = own[which].reshape(shape)
        extra[kind] = np.reshape(away * cell_m * _PER_M, shape)
    return owner, extra


def _rings(away_m: NDArray[np.float64]) -> tuple[tuple[int, int], ...]:
    edges = np.flatnonzero(np.diff((away_m / RING_M).astype(np.intp))) + 1
    spans = [0, *edges.tolist(), len(away_m)]
    rings = list(itertools.pairwise(spans))
    return (*rings, (len(away_m), len(away_m) + 1))


def _guarded(ground: HoleGround, lies: NDArray[np.float64]) -> NDArray[np.bool_]:
    """Say for each lie whether trees, a mandatory or a penalty lie within reach of a throw."""
    dx, dy = ground.length_m - lies[:, 0], -lies[:, 1]
    toward = np.arctan2(dy, dx)[:, None] + np.radians(np.arange(-AHEAD_DEG, AHEAD_DEG + 1, 5.0))
    far_m = 1.25 * np.minimum(np.hypot(dx, dy), LONGEST_M) + 10.0
    ring = np.arange(2.0, 1.25 * LONGEST_M + 12.0, 2.0)
    x = lies[:, 0, None, None] + ring * np.cos(toward)[:, :, None]
    y = lies[:, 1, None, None] + ring * np.sin(toward)[:, :, None]
    bits = ground.bits_at(np.column_stack((x.ravel(), y.ravel()))).reshape(x.shape)
    trouble = (bits & (PENALTY_BITS | BITS[AreaKind.WOOD])) != 0
    near = (trouble & (ring <= far_m[:, None, None])).any(axis=(1, 2))
    for x_m, y_m, _ in ground.marks:
        away_m = np.hypot(lies[:, 0] - x_m, lies[:, 1] - y_m)
        near |= (lies[:, 0] < x_m) & (away_m <= far_m)
    return np.asarray(near)
