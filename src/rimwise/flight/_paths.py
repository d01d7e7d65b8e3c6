"""Paths: the steps of flights under way, kept lane by lane, and points evenly in time from them."""

from __future__ import annotations  # noqa: I001 (a list of names, not a column)

import math
from typing import TYPE_CHECKING

import numpy as np

from rimwise.flight._jit import compiled
from rimwise.flight._lanes import (
    EVENT, LANES, LOG_COLUMNS, LOG_ROWS, PATH_COLUMNS, REJECTED, SLOPE, STEP, TIME, TRIED,
)  # fmt: skip

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Singles = NDArray[np.float32]
    Integers = NDArray[np.int64]

__all__ = ["record", "sample"]

_ONE, _TWO, _THREE, _TINY = np.float32(1), np.float32(2), np.float32(3), np.float32(1e-6)


@compiled
def record(lanes: Singles, counts: Integers, log: Singles) -> None:
    """Write the steps kept into the lanes' logs: position, axis, spin, their slopes, and time.

    Of a log that is full, every other row stays.
    """
    for i in range(LANES):
        if lanes[EVENT + i] == REJECTED:
            continue
        k = counts[i]
        if k == LOG_ROWS:
            k = LOG_ROWS // 2
            for m in range(k):
                for j in range(LOG_COLUMNS):
                    log[i, m, j] = log[i, 2 * m, j]
        for j in range(PATH_COLUMNS):
            of = (j if j < 3 else 3 + j) * LANES + i
            log[i, k, j] = lanes[TRIED + of]
            of = TRIED + (3 + j) * LANES + i if j < 3 else SLOPE + of
            log[i, k, PATH_COLUMNS + j] = lanes[of]
        log[i, k, 2 * PATH_COLUMNS] = lanes[TIME + i] + lanes[STEP + i]
        counts[i] = k + 1


@compiled
def sample(log: Singles, i: int, rows: int, row: Floats, path: Floats) -> None:
    """Spread a fixed number of points evenly in time from release to landing."""
    points = path.shape[0]
    k = 0
    for m in range(points):
        at = np.float32(row[10] * m / (points - 1))
        while k + 2 < rows and log[i, k + 1, 2 * PATH_COLUMNS] < at:
            k += 1
        after = min(k + 1, rows - 1)
        early = log[i, k, 2 * PATH_COLUMNS]
        h = max(log[i, after, 2 * PATH_COLUMNS] - early, _TINY)
        t = (at - early) / h
        u = _ONE - t
        w0, w1 = (_ONE + _TWO * t) * u * u, t * t * (_THREE - _TWO * t)
        m0, m1 = t * u * u * h, -t * t * u * h
        for j in range(PATH_COLUMNS):
            value = w0 * log[i, k, j] + w1 * log[i, after, j]
            slopes = m0 * log[i, k, PATH_COLUMNS + j] + m1 * log[i, after, PATH_COLUMNS + j]
            path[m, j] = value + slopes
        length = 1.0 / math.sqrt(path[m, 3] ** 2 + path[m, 4] ** 2 + path[m, 5] ** 2)
        for j in range(3, 6):
            path[m, j] *= length
        path[m, 6] = abs(path[m, 6])
    for j in range(3):
        path[points - 1, j] = row[j]
