"""Strokes-to-finish as a function of distance, for this thrower on this day.

The idea is published for golf (Broadie 2012, *Interfaces* 42(2)): the worth of a lie is the
expected number of strokes from it. Here it is a function of the distance alone, on open
ground, with the wind from every side in turn: from far away the cheapest approach throw, from
near the putt, whichever costs less.

The policy is chosen on one set of simulated throws and valued on another: choosing and
valuing on the same throws would promise too much (the optimiser's curse).
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from rimwise.beliefs.putting import PuttingModel
from rimwise.decide.lies import Lie, open_lie
from rimwise.decide.pricing import TARGETS_OPEN, Actions, Prices, price_lies, trace_lie

__all__ = [
    "DISTANCES_M",
    "GRID_M",
    "StrokesToFinish",
    "landing_weights",
    "policy_lies",
    "solve_policy",
    "value_policy",
]

#: Length of the one-metre grid.
GRID_M = 400
#: Distances at which approach throws are priced; between them the value is linear.
DISTANCES_M = np.array(
    [
        *(6, 9, 12, 15, 18, 21, 25, 30, 36, 42, 50, 58),
        *(68, 80, 92, 106, 122, 140, 160, 185, 215, 250, 300, 360),
    ],
    dtype=np.float64,
)
#: Winds averaged over: head, left, tail, right.
_BEARINGS_DEG = (0.0, 90.0, 180.0, 270.0)
#: Sweeps stop when no distance changes by more than this.
RESIDUAL_STROKES = 1e-3
_MOST_SWEEPS = 12


@dataclass(frozen=True, slots=True, eq=False)
class StrokesToFinish:
    """Expected strokes from a lie on open ground.

    Parameters
    ----------
    strokes
        (GRID_M + 1,) at 0, 1, 2 … m.
    putt_within_m
        Nearer than this the putt is the better choice.
    sweeps, residual
        How the iteration ended.
    effects
        (GRID_M + 1, sample) how far each fresh throw's luck moves ``strokes``, to first order;
        zero on average, their standard error is that of ``strokes``. No columns for a policy
        that was not valued on fresh throws.
    """

    strokes: NDArray[np.float64]
    putt_within_m: float
    sweeps: int
    residual: float
    effects: NDArray[np.float64]

    def at(self, distance_m: NDArray[np.float64] | float) -> NDArray[np.float64]:
        """Return strokes-to-finish at any distance, linear between whole metres."""
        return np.asarray(np.interp(distance_m, np.arange(len(self.strokes)), self.strokes))


def policy_lies() -> list[Lie]:
    """Return the lies of the policy's rows: every distance, four wind directions each."""
    return [open_lie(d, b) for d in DISTANCES_M for b in _BEARINGS_DEG]


def _blend(putting: PuttingModel, throws: NDArray[np.float64]) -> tuple[NDArray[np.float64], float]:
    """Take the cheaper of the exact putt and the interpolated throw at every metre."""
    grid = np.arange(GRID_M + 1, dtype=np.float64)
    putt = putting.strokes(grid)
    throw = np.interp(grid, DISTANCES_M, throws, left=np.inf)
    within = np.flatnonzero(putt <= throw)
    return np.minimum(putt, throw), float(within[-1]) if len(within) else 0.0


def solve_policy(
    points: NDArray[np.float32],
    putting: PuttingModel,
    *,
    start: NDArray[np.float64] | None = None,
    threads: int = 2,
) -> tuple[StrokesToFinish, Actions]:
    """Iterate until the cheapest approach throws are stable (policy iteration, Howard 1960).

    Each sweep chooses the cheapest throws under the value so far, and values that choice to
    its own fixed point on the same throws.

    Parameters
    ----------
    points
        (disc, base, direction, effort, channel, sample) clouds of one day.
    start
        Strokes at 0, 1, 2 … m to begin with, for example another day's.

    Returns
    -------
    The value on the throws it was chosen on, and the policy: rows are the distances, four
    wind directions each.
    """
    lies = policy_lies()
    free = Prices(np.zeros((points.shape[0], 5)))
    nerve = np.ones(points.shape[5])
    grid = np.arange(GRID_M + 1, dtype=np.float64)
    first = start if start is not None else 1.9 + grid / 70.0
    value = StrokesToFinish(first, 0.0, 0, np.inf, np.zeros((GRID_M + 1, 0)))
    sweep, residual = 0, np.inf
    while residual > RESIDUAL_STROKES and sweep < _MOST_SWEEPS:
        actions = price_lies(
            points,
            0.0,
            lies,
            value.strokes,
            free,
            nerve,
            targets=TARGETS_OPEN,
            threads=threads,
        )
        before = value.strokes
        left_m = _distance_left(points, lies, actions, nerve)
        value = value_policy(left_m, putting, value)
        residual = float(np.max(np.abs(value.strokes - before)))
        sweep += 1
    return replace(value, sweeps=sweep, residual=residual), actions


def _distance_left(
    points: NDArray[np.float32], lies: list[Lie], actions: Actions, nerve: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Return the distance left (row, sample) after each row's cheapest action."""
    left_m = np.empty((len(lies), len(nerve)))
    nothing = np.zeros(2)
    for r, disc in enumerate(np.argmin(actions.cost, axis=1).tolist()):
        cloud = points[disc, actions.base(r, disc)]
        action = actions.table[r, disc]
        landed = trace_lie(cloud, 0.0, lies[r], nothing, np.zeros(5), nerve, action)
        left_m[r] = np.hypot(lies[r].distance_m - landed[:, 1], landed[:, 2])
    return left_m


def value_policy(
    left_m: NDArray[np.float64], putting: PuttingModel, start: StrokesToFinish
) -> StrokesToFinish:
    """Value a fixed policy on fresh throws.

    Parameters
    ----------
    left_m
        Distance left after each fresh throw, (distance × wind, sample), metres.
    """
    throws = np.interp(DISTANCES_M, np.arange(GRID_M + 1), start.strokes)
    sweep, residual = 0, np.inf
    while residual > RESIDUAL_STROKES / 10 and sweep < 50:
        strokes, within = _blend(putting, throws)
        after = np.interp(left_m, np.arange(GRID_M + 1), strokes)
        before, throws = throws, _mean_over_winds(1.0 + after.mean(axis=1))
        residual = float(np.max(np.abs(throws - before)))
        sweep += 1
    strokes, within = _blend(putting, throws)
    effects = _sample_effects(left_m, throws, strokes, putting)
    return StrokesToFinish(strokes, within, sweep, residual, effects)


def landing_weights(
    left_m: NDArray[np.float64], weights: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Spread weighted landings over the one-metre grid.

    The result times ``strokes`` is the landings' weighted strokes-to-finish.

    Parameters
    ----------
    left_m, weights
        Distance left after each landing, and what it counts; arrays of one shape.
    """
    below = np.minimum(left_m.astype(np.intp), GRID_M - 1).ravel()
    share = np.minimum(left_m.ravel() - below, 1.0)
    load = weights.ravel()
    return np.asarray(
        np.bincount(below, load * (1.0 - share), GRID_M + 1)
        + np.bincount(below + 1, load * share, GRID_M + 1)
    )


def _sample_effects(
    left_m: NDArray[np.float64],
    throws: NDArray[np.float64],
    strokes: NDArray[np.float64],
    putting: PuttingModel,
) -> NDArray[np.float64]:
    """Carry each sample's luck through the fixed point that the strokes are.

    The throws' value solves t = 1 + mean of W(t) over the landings. A sample whose landings
    are off by r moves t by (I − J)⁻¹ r, J being how often a throw leads to another.
    """
    grid = np.arange(GRID_M + 1, dtype=np.float64)
    own = 1.0 + np.interp(left_m, grid, strokes)
    own = own.reshape(len(DISTANCES_M), len(_BEARINGS_DEG), -1).mean(axis=1)
    own -= own.mean(axis=1, keepdims=True)
    spread = np.array([np.interp(grid, DISTANCES_M, one) for one in np.eye(len(DISTANCES_M))]).T
    spread[putting.strokes(grid) <= np.interp(grid, DISTANCES_M, throws, left=np.inf)] = 0.0
    rows = left_m.reshape(len(DISTANCES_M), -1)
    leads_to = np.array([landing_weights(row, np.full(row.shape, 1.0 / row.size)) for row in rows])
    return np.asarray(spread @ np.linalg.solve(np.eye(len(rows)) - leads_to @ spread, own))


def _mean_over_winds(rows: NDArray[np.float64]) -> NDArray[np.float64]:
    return np.asarray(rows.reshape(len(DISTANCES_M), len(_BEARINGS_DEG)).mean(axis=1))
