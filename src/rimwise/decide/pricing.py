"""Pricing lies: a thin, typed layer over the compiled loop, spread over threads.

Rows never look at each other, so the number of threads changes no result.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from rimwise.decide.lies import Lie

__all__ = [
    "TARGETS_CLEAR",
    "TARGETS_GUARDED",
    "TARGETS_OPEN",
    "Actions",
    "Prices",
    "middles_of",
    "price_lies",
    "targets_for",
    "trace_lie",
]

# The most promising come first: a target that cannot beat the best so far costs next to nothing.
_HEADINGS = tuple(math.radians(h) for h in (0.0, -5.0, 5.0))
_WIDE_HEADINGS = tuple(math.radians(h) for h in (0.0, -5.0, 5.0, -14.0, 14.0, -28.0, 28.0))


def _grid(shares: Sequence[float], headings: Sequence[float]) -> NDArray[np.float64]:
    return np.array([(share, heading) for share in shares for heading in headings])


#: Targets tried where trouble is near: share of the way to the basket, and heading. They reach
#: from going for the basket to laying up short and well aside.
TARGETS_GUARDED = _grid((1.0, 0.93, 0.8, 0.6, 0.4), _WIDE_HEADINGS)
#: Targets tried where there is none.
TARGETS_CLEAR = _grid((1.0, 0.93, 0.8), _HEADINGS)
#: Targets tried on open ground, where only the length matters.
TARGETS_OPEN = _grid((1.0, 0.94), (0.0,))


@dataclass(frozen=True, slots=True, eq=False)
class Prices:
    """What a landing costs besides the distance that is left.

    ``table`` (disc, 5): penalty, loss in water, extra strokes among trees, loss among trees,
    hits per metre of trees.
    """

    table: NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Actions:
    """The cheapest throw of every disc from every lie.

    Arrays are (row, disc): ``cost`` in strokes, ``base`` index,
    ``effort`` knot and share, ``turn_rad`` (left positive), ``reach_m`` of the mean.
    """

    table: NDArray[np.float64]

    @property
    def cost(self) -> NDArray[np.float64]:
        """Strokes from each lie with each disc, (row, disc)."""
        return self.table[:, :, 0]

    def base(self, row: int, disc: int) -> int:
        """Return the index of the base line."""
        return int(self.table[row, disc, 1])

    def effort(self, row: int, disc: int, efforts: Sequence[float]) -> float:
        """Return the effort as a fraction of full speed."""
        knot, share = int(self.table[row, disc, 2]), float(self.table[row, disc, 3])
        return efforts[knot] + share * (efforts[knot + 1] - efforts[knot])

    def turn_rad(self, row: int, disc: int) -> float:
        """Return the heading at release against the direction of the basket."""
        return float(self.table[row, disc, 4])


def targets_for(lie: Lie) -> NDArray[np.float64]:
    """Return the targets worth trying from a lie."""
    return TARGETS_GUARDED if lie.around.guarded else TARGETS_CLEAR


def middles_of(points: NDArray[np.float32]) -> NDArray[np.float64]:
    """Return where the clouds rest on average: (disc, base, direction, effort, 2), metres."""
    mean = points[..., :4, :].mean(axis=-1, dtype=np.float64)
    return np.ascontiguousarray(mean[..., 0:2] + mean[..., 2:4])


def price_lies(
    points: NDArray[np.float32],
    wind_from_deg: float,
    lies: Sequence[Lie],
    value: NDArray[np.float64],
    prices: Prices,
    nerve: NDArray[np.float64],
    *,
    targets: NDArray[np.float64] | None = None,
    threads: int = 2,
) -> Actions:
    """Find every disc's cheapest line and target from every lie.

    Parameters
    ----------
    points
        (disc, base, direction, effort, channel, sample) clouds of one day; direction *k* of
        *n* was flown with the wind coming from 360·k/n degrees right of the aim line.
    wind_from_deg
        The day's wind, clockwise from true north.
    value
        Strokes-to-finish at 0, 1, 2 … m.
    nerve
        (sample,) stem-metres each sample survives.
    targets
        Targets to try from every lie; those of :func:`targets_for` when not given.
    """
    from rimwise.decide._score import price_row

    table = np.full((len(lies), points.shape[0], 7), np.inf)
    middles = middles_of(points)

    def work(i: int) -> None:
        lie = lies[i]
        around = lie.around
        price_row(
            points,
            middles,
            math.radians(wind_from_deg - lie.bearing_deg),
            lie.row,
            around.frame,
            around.raster,
            around.wood,
            around.relief,
            value,
            prices.table,
            nerve,
            targets_for(lie) if targets is None else targets,
            table[i],
        )

    with ThreadPoolExecutor(threads) as pool:
        list(pool.map(work, range(len(lies))))
    return Actions(table)


def trace_lie(
    points: NDArray[np.float32],
    wind_from_deg: float,
    lie: Lie,
    value: NDArray[np.float64],
    price: NDArray[np.float64],
    nerve: NDArray[np.float64],
    action: NDArray[np.float64],
) -> NDArray[np.float64]:
    """Follow one chosen action: (sample, 4) cost, next lie in the row's frame, among trees.

    ``points`` are the clouds of the action's disc and base, ``price`` the disc's row of
    :class:`Prices`, ``action`` its row of :class:`Actions`.
    """
    from rimwise.decide._score import trace_row

    around = lie.around
    out = np.empty((points.shape[3], 4))
    trace_row(
        points,
        math.radians(wind_from_deg - lie.bearing_deg),
        lie.row,
        around.frame,
        around.raster,
        around.wood,
        around.relief,
        value,
        price,
        nerve,
        action,
        out,
    )
    return out
