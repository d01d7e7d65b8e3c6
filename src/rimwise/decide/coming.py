"""Where throws come to: how often each part of a hole is thrown from, so that work goes there.

A stroke saved where one round in a thousand comes is worth a thousandth of one saved on the tee.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from rimwise.decide.lattice import Lattice
from rimwise.decide.posing import Problem

__all__ = ["Coming", "coming_of"]

Floats = NDArray[np.float64]

_AREA_M2 = 100.0


@dataclass(frozen=True, slots=True, eq=False)
class Coming:
    """Lies that are thrown from, and how often.

    Parameters
    ----------
    lies
        (N, 3): x, y, kind.
    throws
        (N,) expected throws from each in one play of the hole, the first from the tee left out.
    """

    lies: Floats
    throws: Floats

    def at(self, lattice: Lattice) -> Floats:
        """Return the expected throws from 100 m² around each lie of a lattice, (lie,).

        Each lie has the mean of the three by three around it: where one throw came to, others may.
        The tee's, the last, is 1.
        """
        from scipy.ndimage import uniform_filter

        whose = lattice.nearest(self.lies)
        each = np.bincount(whose, self.throws, len(lattice.lies))
        kind, row, column = lattice.slots[:-1].T
        grid = np.zeros(lattice.owner.shape)
        grid[kind, row, column] = each[:-1]
        around = uniform_filter(grid, size=(1, 3, 3), mode="constant")
        dense = around[kind, row, column] * (_AREA_M2 / lattice.cell_m**2)
        return np.append(np.maximum(dense, 0.0), 1.0)


def coming_of(
    problem: Problem,
    lattice: Lattice,
    actions: Floats,
    where: NDArray[np.float32],
    codes: NDArray[np.uint8],
    cost: Floats,
) -> Coming:
    """Say where throws are made from when each of a lie's actions is thrown equally often.

    Several actions rather than the best alone: which is best is not settled yet.

    Parameters
    ----------
    actions, where, codes
        (lie, action, 4), their landings (lie, action, sample, 2) and codes (lie, action, sample).
    cost
        (lie,) strokes-to-finish by a throw; where a putt is dearer a throw is made.
    """
    from rimwise.decide._sweeps import visit
    from rimwise.decide._terrain import worth

    thrown = actions[..., 0] >= 0
    counts = thrown.sum(axis=1) * codes.shape[-1]
    start = np.concatenate([[0], np.cumsum(counts)]).astype(np.int64)
    landed, code = where[thrown].reshape(-1, 2).astype(np.float64), codes[thrown].ravel()
    price = np.ascontiguousarray(problem.prices[np.maximum(actions[:, 0, 0], 0.0).astype(np.intp)])
    field, visits = problem.field(cost, lattice), np.zeros(len(actions))
    visit(field, lattice.owner, lattice.extra, start, landed, code, price, visits)
    lies = np.column_stack((landed, (code & 3).astype(np.float64)))
    both = np.empty((len(lies), 2))
    worth(field, lies, both)
    throws = np.repeat(visits / np.maximum(counts, 1), counts)
    made = (both[:, 1] <= both[:, 0]) & (throws > 0.0)
    return Coming(lies[made], throws[made])
