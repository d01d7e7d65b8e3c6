"""Which putts are worth strokes, and an evening of practice that follows from it.

Strokes per round are counted from where first putts start. A putt made more often at one
distance saves what a miss there costs, at every first putt and every comeback from there. The
worth of a distance is what a hand ten per cent steadier would save at that distance alone.

Three quarters of an evening go where practice is worth most, in proportion; the rest where it
tells most about the strokes per round, half of that at one distance at most. That split is ours:
nothing measured says how much a putt practised improves a putter.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from rimwise.beliefs.putting import LONGEST_PUTT_M, comeback_m, make_chance, strokes_after
from rimwise.beliefs.putting_fit import PuttingFit, information
from rimwise.errors import check_range

__all__ = [
    "STEADIER",
    "FirstPutts",
    "PracticePlan",
    "PracticeSpot",
    "PuttWorth",
    "plan_practice",
    "putt_strokes",
    "putt_worths",
    "usual_first_putts",
]

Floats = NDArray[np.float64]

#: The steadier hand whose gain is the worth of a distance: spread times this.
STEADIER = 0.9
#: Putts are practised from these distances, metres, and in blocks of so many.
SPOTS_M = (2.0, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0, 15.0)
BLOCK = 5
#: One block in so many is there to learn from; the others are where steadiness saves most.
_LEARNING = 4
FEWEST_PUTTS, MOST_PUTTS = 10, 300


@dataclass(frozen=True, eq=False)
class FirstPutts:
    """First putts of a round: ``per_round`` (n,) of them from ``distance_m`` (n,), rising."""

    distance_m: Floats
    per_round: Floats


def usual_first_putts(commonest_m: float, holes: int = 18) -> FirstPutts:
    """Return first putts while nothing is planned: Rayleigh, as of a round error of approaches.

    Parameters
    ----------
    commonest_m
        The commonest distance, metres.
    """
    edge = np.arange(0.5, LONGEST_PUTT_M + 0.5)
    share = -np.diff(np.exp(-0.5 * (edge / commonest_m) ** 2))
    middle = 0.5 * (edge[:-1] + edge[1:])
    return FirstPutts(middle, holes * share / share.sum())


def putt_strokes(fit: PuttingFit, first: FirstPutts) -> tuple[float, float]:
    """Return putting strokes per round and the standard deviation of what is not known of it."""
    by_node = _strokes_by_node(fit, first) @ first.per_round
    mean = float(fit.weight @ by_node)
    return mean, math.sqrt(float(fit.weight @ (by_node - mean) ** 2))


def _strokes_by_node(fit: PuttingFit, first: FirstPutts) -> Floats:
    """Return the strokes of each first putt for each node, (k, n)."""
    made = fit.chances(first.distance_m)
    second = fit.chances(comeback_m(first.distance_m))
    return strokes_after(made, second)


@dataclass(frozen=True, slots=True)
class PuttWorth:
    """What putts from about one distance are worth.

    Parameters
    ----------
    per_round
        Putts per round from there, comebacks included.
    made
        Chance to make one.
    saved
        Strokes that one more made putt saves.
    steadier
        Strokes per round that a hand ten per cent steadier saves there.
    """

    distance_m: float
    per_round: float
    made: float
    saved: float
    steadier: float


def putt_worths(
    fit: PuttingFit, first: FirstPutts, spots_m: Sequence[float] = SPOTS_M
) -> tuple[PuttWorth, ...]:
    """Return what putts are worth, gathered at the nearest of ``spots_m``, rising.

    At the posterior means, but for ``made``. The parts of ``steadier`` are exact to first order:
    their sum over the spots is close to what the steadier hand saves in a round.
    """
    model = fit.model()
    back_m = comeback_m(first.distance_m)
    made, second = model.make_probability(first.distance_m), model.make_probability(back_m)
    misses = first.per_round * (1.0 - made)
    # Strokes saved per unit of chance, at the first putt and at its comebacks (1/q of them).
    places = np.concatenate([first.distance_m, back_m])
    visits = np.concatenate([first.per_round, misses / second])
    saves = np.concatenate([1.0 / second, 1.0 / second])
    steady = make_chance(places, STEADIER * model.sd_deg, model.half_m)
    gains = visits * saves * (steady - model.make_probability(places))
    nearest = np.argmin(np.abs(places[:, None] - np.asarray(spots_m)), axis=1)
    worths = []
    for i, spot_m in enumerate(spots_m):
        here = nearest == i
        number = float(visits[here].sum())
        worths.append(
            PuttWorth(
                distance_m=spot_m,
                per_round=number,
                made=float(fit.make_probability(spot_m)),
                saved=float(1.0 / model.make_probability(comeback_m(spot_m))),
                steadier=float(gains[here].sum()),
            )
        )
    return tuple(worths)


# -- an evening ---------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class PracticeSpot:
    """So many putts from one distance; ``to_learn`` of them are there to learn from."""

    distance_m: float
    putts: int
    to_learn: int
    expected_made: float
    worth: float


@dataclass(frozen=True, slots=True)
class PracticePlan:
    """An evening of putts.

    ``strokes`` per round by putting, ``strokes_sd`` what is not known of it now and
    ``strokes_sd_after`` once these putts are logged, ``steadier`` what a hand ten per cent
    steadier saves per round.
    """

    putts: int
    spots: tuple[PracticeSpot, ...]
    strokes: float
    strokes_sd: float
    strokes_sd_after: float
    steadier: float


def plan_practice(fit: PuttingFit, first: FirstPutts, putts: int) -> PracticePlan:
    """Lay out an evening of ``putts`` putts (10 to 300), in blocks of five.

    Raises
    ------
    InputError
        When ``putts`` is outside its range.
    """
    count = int(check_range("putts of an evening", putts, FEWEST_PUTTS, MOST_PUTTS))
    worths = putt_worths(fit, first)
    blocks = count // BLOCK
    learning = blocks // _LEARNING
    to_gain = _shares(np.array([w.steadier for w in worths]), blocks - learning)
    strokes, sd = putt_strokes(fit, first)
    to_learn, kept = _learning_blocks(fit, first, to_gain, learning)
    numbers = BLOCK * (to_gain + to_learn)
    numbers[int(np.argmax(numbers))] += count % BLOCK
    spots = tuple(
        PracticeSpot(w.distance_m, int(n), BLOCK * int(learn), float(n) * w.made, w.steadier)
        for w, n, learn in zip(worths, numbers, to_learn, strict=True)
        if n
    )
    return PracticePlan(
        count, spots, strokes, sd, sd * math.sqrt(kept), sum(w.steadier for w in worths)
    )


def _shares(worth: Floats, blocks: int) -> NDArray[np.intp]:
    """Share blocks out in proportion, by largest remainder; alike when nothing has worth."""
    worth = worth if worth.sum() > 0.0 else np.ones_like(worth)
    exact = blocks * worth / worth.sum()
    shared = np.floor(exact).astype(np.intp)
    rest = blocks - int(shared.sum())
    shared[np.argsort(shared - exact, kind="stable")[:rest]] += 1
    return np.asarray(shared)


def _learning_blocks(
    fit: PuttingFit, first: FirstPutts, given: NDArray[np.intp], blocks: int
) -> tuple[NDArray[np.intp], float]:
    """Place blocks one by one where they leave least unknown of the strokes of each putt.

    What is made smallest is the variance of a putt's strokes, averaged over the first putts of
    a round, so that the whole curve is learned and not its sum alone. Linear in the unknowns.
    Returns the blocks by spot, and the share of the variance of the strokes per round that is
    left after them and those ``given``.
    """
    told = BLOCK * information(fit.prior, fit.weight @ fit.u, np.asarray(SPOTS_M)) / fit.dispersion
    slopes = _stroke_slopes(fit, first)
    each = slopes.T @ (slopes * first.per_round[:, None])
    together = slopes.T @ first.per_round
    before = float(together @ fit.covariance @ together)
    precision = np.linalg.inv(fit.covariance) + np.tensordot(given.astype(np.float64), told, 1)
    placed = np.zeros(len(SPOTS_M), dtype=np.intp)
    most = -(-blocks // 2)  # half at one distance is dull enough
    for _ in range(blocks):
        left = [
            np.trace(np.linalg.solve(precision + one, each)) if placed[i] < most else math.inf
            for i, one in enumerate(told)
        ]
        best = int(np.argmin(left))
        placed[best] += 1
        precision = precision + told[best]
    return placed, float(together @ np.linalg.solve(precision, together)) / before


def _stroke_slopes(fit: PuttingFit, first: FirstPutts) -> Floats:
    """Return how the strokes of each first putt follow ``u`` over the posterior, (n, 3)."""
    off = fit.u - fit.weight @ fit.u
    by_node = _strokes_by_node(fit, first)
    moments = (off * fit.weight[:, None]).T @ by_node
    return np.asarray(np.linalg.solve(fit.covariance, moments).T)
