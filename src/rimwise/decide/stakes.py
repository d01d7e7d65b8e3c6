"""How costs of a demand table follow where discs land: simulated, with lines chosen anew.

Every disc's own numbers are moved up and down along two directions (turn and fade together; glide),
all clouds are flown and all lines chosen again on the same random numbers, and the differences are
read as slopes by the landing of the stock throw, which moves along both directions too. The same
moves under the lines that were chosen say what a wrong belief costs: second differences.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date

import numpy as np
from numpy.typing import NDArray

from rimwise.beliefs.fleet import MOLD_SHARE
from rimwise.beliefs.landings import stock_landings
from rimwise.beliefs.posterior import LearntFleet, Posterior
from rimwise.beliefs.predicting import predict_landings
from rimwise.decide.clouds import CHOOSING, Simulator
from rimwise.decide.demand import Demand, prices_for
from rimwise.decide.field_session import Doubt, Stakes
from rimwise.decide.pricing import price_lies
from rimwise.records.assumptions import Assumptions
from rimwise.records.evidence import Throw

__all__ = ["doubt_of", "stakes_of"]

Floats = NDArray[np.float64]
Progress = Callable[[str, float], None]

#: Moves of each disc's own numbers (speed, glide, turn, fade), up and down.
_MOVES = ((0.0, 0.0, 0.5, 0.5), (0.0, 0.8, 0.0, 0.0))
#: Throws behind every cloud here, and sets of them that know nothing of each other: choices are
#: valued on another set than they are made on. Differences on the same throws need few.
_SAMPLES, _SETS = 32, 2
#: Draws that landings are told from, and their seed.
_DRAWS, _SEED = 256, 20263
#: Landings that two directions move less apart than this are not told apart, m.
_SMALLEST_M = 1.0
#: Answers come in grades, which hides about this much of a difference, degrees.
_GRADED_DEG = 1.3


def stakes_of(
    simulator: Simulator,
    fleet: LearntFleet,
    demand: Demand,
    carried: tuple[int, ...],
    assume: Assumptions,
    progress: Progress = lambda _what, _share: None,
) -> Stakes:
    """Return the demand table with its slopes.

    Parameters
    ----------
    fleet
        The discs of ``demand``, in its order.
    """
    found = []
    for number in range(_SETS):
        rough = replace(
            simulator, seed=simulator.seed + number, screening=_SAMPLES, choosing=_SAMPLES
        )

        def told(what: str, share: float, done: int = number) -> None:
            progress(what, (done + share) / _SETS)

        found.append(_slopes(rough, fleet, demand, assume, told))
    slopes, bends = zip(*found, strict=True)
    bend = np.maximum(np.mean(bends, axis=0), 0.0)  # a wrong belief never helps
    return Stakes(demand.cost, demand.weights, np.stack(slopes), bend, carried)


def _slopes(
    simulator: Simulator,
    fleet: LearntFleet,
    demand: Demand,
    assume: Assumptions,
    progress: Progress,
) -> tuple[Floats, Floats]:
    """Return slopes and bends, (row, disc, 2) each, from one set of throws."""
    kept = _costs_as_aimed(simulator, fleet, demand, assume)
    cost, landed, bent = [], [], []
    for number, move in enumerate(_MOVES):
        ends = []
        for sign in (1.0, -1.0):
            progress("moving every disc a little", (2 * number + (sign < 0)) / (2 * len(_MOVES)))
            moved = _moved(fleet.beliefs, sign * np.array(move))
            own = moved.learnt_fleet(fleet)
            aimed = _costs_as_aimed(simulator, own, demand, assume)
            ends.append((_costs(simulator, own, demand, assume), _middles(moved, fleet), aimed))
        cost.append(ends[0][0] - ends[1][0])
        landed.append(ends[0][1] - ends[1][1])
        bent.append(0.5 * (ends[0][2] + ends[1][2]) - kept)
    # (disc, direction, 2) metres and (disc, direction, row) strokes.
    by = np.stack(landed, axis=1)
    strokes = np.stack(cost, axis=0).transpose(2, 0, 1)
    square = by @ by.transpose(0, 2, 1) + _SMALLEST_M**2 * np.eye(len(_MOVES))
    slope = by.transpose(0, 2, 1) @ np.linalg.solve(square, strokes)
    # What half of each move costs when nobody knows of it: squares of metres.
    half = (0.5 * by) ** 2
    lost = np.stack(bent, axis=0).transpose(2, 0, 1)
    square = half.transpose(0, 2, 1) @ half + _SMALLEST_M**4 * np.eye(len(_MOVES))
    bend = np.linalg.solve(square, half.transpose(0, 2, 1) @ lost)
    return np.asarray(slope.transpose(2, 0, 1)), np.asarray(
        bend.transpose(2, 0, 1), dtype=np.float64
    )


def doubt_of(beliefs: Posterior, fleet: LearntFleet) -> Doubt:
    """Return what is not known of landings, and what a throw or an answer tells of them."""
    u = beliefs.draw_unknowns(_DRAWS, _SEED)
    rows = [beliefs.unknowns.fleet.ids.index(disc) for disc in fleet.ids]
    landed = stock_landings(beliefs.unknowns, beliefs.grips.mean, u)[rows]
    size = 2 * len(rows)
    flat = landed.transpose(1, 0, 2).reshape(_DRAWS, size)
    covariance = np.cov(flat.T).reshape(len(rows), 2, len(rows), 2)
    sure = replace(beliefs, covariance=1e-12 * np.eye(len(beliefs.mean)), _root=None)
    stock = beliefs.unknowns.thrower.stock
    scatter = np.empty((len(rows), 2, 2))
    for i, disc in enumerate(fleet.ids):
        throw = Throw(date(2000, 1, 1), disc, stock, 0.0, 0.0)
        spread = predict_landings(sure, throw, _DRAWS, _SEED)
        scatter[i] = np.cov(spread.T)
    assume = beliefs.unknowns.assume
    felt_rad = np.radians(np.hypot(assume.felt_noise_deg, _GRADED_DEG))
    reach_m = np.hypot(*landed.mean(axis=1).T)
    return Doubt(covariance, scatter, felt_rad * reach_m)


def _moved(beliefs: Posterior, move: Floats) -> Posterior:
    """Return beliefs with every disc's own numbers moved, (4,)."""
    own = move / (np.sqrt(1.0 - MOLD_SHARE) * beliefs.unknowns.fleet.printed_sd)
    mean = beliefs.mean.copy()
    for row, (kind, _, part) in enumerate(beliefs.unknowns.names):
        if kind == "disc":
            mean[row] += own[part]
    return replace(beliefs, mean=mean)


def _middles(beliefs: Posterior, fleet: LearntFleet) -> Floats:
    """Return the middle landing of every disc of a fleet, (disc, 2) m."""
    rows = [beliefs.unknowns.fleet.ids.index(disc) for disc in fleet.ids]
    u = beliefs.draw_unknowns(_DRAWS // 4, _SEED)
    landed = stock_landings(beliefs.unknowns, beliefs.grips.mean, u)
    return np.asarray(landed.mean(axis=1)[rows])


def _costs(simulator: Simulator, fleet: LearntFleet, demand: Demand, assume: Assumptions) -> Floats:
    """Return the cost of every row with every disc, (row, disc), lines chosen anew."""
    cost = np.empty(demand.cost.shape)
    for number, day in enumerate(demand.days):
        rows = [i for i, row in enumerate(demand.rows) if row.day == number]
        clouds = simulator.clouds(fleet, day)
        cost[rows] = price_lies(
            clouds.points,
            day.wind.from_deg,
            [demand.rows[i].lie for i in rows],
            demand.values[number].strokes,
            prices_for(fleet, day, assume),
            clouds.nerve,
            threads=simulator.threads,
        ).cost
    return cost


def _costs_as_aimed(
    simulator: Simulator, fleet: LearntFleet, demand: Demand, assume: Assumptions
) -> Floats:
    """Return the cost of every row with every disc, (row, disc), thrown on the lines chosen."""
    cost = np.empty(demand.cost.shape)
    for number, day in enumerate(demand.days):
        rows = [i for i, row in enumerate(demand.rows) if row.day == number]
        lies = [demand.rows[i].lie for i in rows]
        actions = replace(demand.actions, table=demand.actions.table[rows])
        thrown = simulator.throw_actions(fleet, day, lies, actions, CHOOSING)
        prices = prices_for(fleet, day, assume)
        strokes, _ = thrown.price(demand.values[number].strokes, prices)
        cost[rows] = strokes.mean(axis=2, dtype=np.float64)
    return cost
