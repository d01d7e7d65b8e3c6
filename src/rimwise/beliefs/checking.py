"""Real landings against predicted ones: how often the predicted region held them.

A throw is predicted with everything that is not known (:func:`.predict_landings`). Its place among
the samples, counted from the middle outward, is even between 0 and 1 when predictions are honest
(probability integral transform; Dawid 1984): half of all throws then come to rest inside the region
that holds half of the samples, and nine of ten inside the one that holds nine of ten.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from rimwise.beliefs.observed import Evidence
from rimwise.beliefs.posterior import Posterior
from rimwise.beliefs.predicting import predict_landings
from rimwise.records.evidence import Throw

__all__ = ["LandingCheck", "check_landings", "mean_and_error", "share_interval"]

Floats = NDArray[np.float64]

SAMPLES = 400


@dataclass(frozen=True, slots=True, eq=False)
class LandingCheck:
    """One throw against its prediction, metres.

    Parameters
    ----------
    told_m
        Middle of the predicted landings, along and left of the aim line, (2,).
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
        near = (np.linalg.solve(root, (landed - middle).T) ** 2).sum(axis=0)
        off = np.array([throw.distance_m, throw.left_m]) - middle
        own = float((np.linalg.solve(root, off) ** 2).sum())
        place = (float((near < own).sum()) + 0.5) / (SAMPLES + 1)
        checks.append(LandingCheck(throw, middle, off, place, root))
    return checks


def share_interval(inside: int, of: int, z: float = 1.96) -> tuple[float, float]:
    """Return the ends of a 95 % interval of a share (Wilson 1927).

    Parameters
    ----------
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
