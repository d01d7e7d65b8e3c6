"""Real landings against predicted ones: how often the predicted region held them.

A throw is predicted with everything that is not known (:func:`.predict_landings`). Its place among
the samples, counted from the middle outward, is even between 0 and 1 when predictions are honest
(probability integral transform; Dawid 1984): half of all throws then come to rest inside the region
that holds half of the samples, and nine of ten inside the one that holds nine of ten. As when
learning, one throw in twenty (an assumption) may say nothing: as many samples lie anywhere about.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from rimwise.beliefs.observed import Evidence, wide_of
from rimwise.beliefs.posterior import Posterior
from rimwise.beliefs.predicting import predict_landings
from rimwise.records.evidence import Throw

__all__ = [
    "LandingCheck",
    "beyond_chance",
    "check_landings",
    "mean_and_error",
    "share_interval",
    "worth_of",
]

Floats = NDArray[np.float64]

SAMPLES = 400


@dataclass(frozen=True, slots=True, eq=False)
class LandingCheck:
    """One throw against its prediction, metres.

    Parameters
    ----------
    told_m
        Middle of the predicted landings but shanks, along and left of the aim line, (2,).
    off_m
        Where it came to rest, less that, (2,).
    place
        Share of the predicted landings nearer the middle than the real one, 0 to 1, with the
        spread's own shape as measure of nearness.
    root
        Square root of the predicted covariance, (2, 2), for regions about the middle.
    """

    throw: Throw
    told_m: Floats
    off_m: Floats
    place: float
    root: Floats


def check_landings(
    beliefs: Posterior, throws: Sequence[Throw], evidence: Evidence, seed: int
) -> list[LandingCheck]:
    """Predict each throw by beliefs that did not see it, and hold the real landing against it.

    Parameters
    ----------
    evidence
        Where days and wear are known from.
    """
    checks = []
    for i, throw in enumerate(throws):
        landed = predict_landings(beliefs, throw, SAMPLES, seed + i, evidence=evidence)
        middle = landed.mean(axis=0)
        root = np.asarray(np.linalg.cholesky(np.cov(landed.T)), dtype=np.float64)
        with_shanks = _shanked(landed, beliefs.unknowns.assume.shank_chance, seed + i)
        near = (np.linalg.solve(root, (with_shanks - middle).T) ** 2).sum(axis=0)
        off = np.array([throw.distance_m, throw.left_m]) - middle
        own = float((np.linalg.solve(root, off) ** 2).sum())
        place = (float((near < own).sum()) + 0.5) / (SAMPLES + 1)
        checks.append(LandingCheck(throw, middle, off, place, root))
    return checks


def _shanked(landed: Floats, chance: float, seed: int) -> Floats:
    """Return landings of which a share comes down anywhere on a wide square about its place."""
    random = np.random.default_rng(np.random.SeedSequence(seed, spawn_key=(0x5A4C,)))
    shanked = random.random(len(landed)) < chance
    wide_m = wide_of(np.hypot(*landed.T))
    return np.asarray(
        landed + (shanked * wide_m)[:, None] * random.uniform(-1.0, 1.0, landed.shape)
    )


def worth_of(inside: Sequence[bool], groups: Sequence[object]) -> float:
    """Return how many independent throws these are worth, at most as many as there are.

    The effective sample size of Korn and Graubard (1998): throws of one group that go together
    count for fewer. Groups that happen to be more alike than luck allows count for no more.
    """
    count = len(inside)
    share, se = mean_and_error([float(one) for one in inside], groups)
    if math.isnan(se) or se == 0.0:
        return float(count)
    return min(share * (1.0 - share) / (se * se), float(count))


def share_interval(inside: float, of: float, z: float = 1.96) -> tuple[float, float]:
    """Return the ends of a 95 % interval of a share (Wilson 1927).

    Parameters
    ----------
    inside, of
        Counts, or shares of an effective sample size (:func:`worth_of`).
    z
        Quantile of the normal distribution: 1.96 for 95 %.
    """
    share, weight = inside / of, z * z / of
    middle = (share + 0.5 * weight) / (1.0 + weight)
    half = z * math.sqrt((share * (1.0 - share) + 0.25 * weight) / of) / (1.0 + weight)
    return max(middle - half, 0.0), min(middle + half, 1.0)


def mean_and_error(values: Sequence[float], groups: Sequence[object]) -> tuple[float, float]:
    """Return the mean of values and its standard error, values of one group going together.

    The error is that of the groups' sums about the mean (a cluster-robust error with the usual
    small-sample factor); NaN with fewer than two groups.
    """
    array = np.asarray(values, dtype=np.float64)
    mean = float(array.mean())
    sums: dict[object, float] = {}
    for value, group in zip(array.tolist(), groups, strict=True):
        sums[group] = sums.get(group, 0.0) + value - mean
    if len(sums) < 2:
        return mean, math.nan
    square = sum(one * one for one in sums.values()) * len(sums) / (len(sums) - 1)
    return mean, math.sqrt(square) / len(array)


def beyond_chance(mean: float, error: float, groups: int, level: float = 0.95) -> bool:
    """Tell whether a mean differs from 0 by more than chance explains (Student 1908).

    Parameters
    ----------
    error
        Its standard error, from that many groups; with two or three, several of them are chance.
        NaN, of a single group, tells nothing.
    """
    if groups < 2 or math.isnan(error):
        return False
    from scipy.special import stdtrit

    return abs(mean) > float(stdtrit(groups - 1, 0.5 + 0.5 * level)) * error
