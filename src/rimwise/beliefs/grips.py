"""Grip of each disc: its plastic's grades, moved by grades given by hand and by comparisons.

A disc is a little surer or poorer than its plastic in all air, and by half as much again in each
kind of air by itself. Grip does not depend on how discs fly, so it is learnt on its own.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from rimwise.beliefs.felt import graded, grades_of
from rimwise.beliefs.fleet import AIR_KINDS, Fleet
from rimwise.beliefs.observed import Evidence, compared, place_of
from rimwise.beliefs.posterior import Grips
from rimwise.records.assumptions import Assumptions
from rimwise.records.evidence import Quality

__all__ = ["disc_grip_sd", "learn_grips"]

Floats = NDArray[np.float64]

#: How far one kind of air strays from a disc's own grip, against how far discs stray.
_AIR_SHARE = 0.5
_STEPS, _SMALL = 30, 1e-6


def disc_grip_sd(assume: Assumptions) -> float:
    """Return how far a disc's grip in one kind of air strays from its plastic's, grades."""
    return assume.own_grip_sd * math.hypot(1.0, _AIR_SHARE)


def learn_grips(fleet: Fleet, evidence: Evidence, assume: Assumptions) -> Grips:
    """Return believed grades (n, 4) of every disc, held to 1 to 5, and their sd.

    Raises
    ------
    InputError
        When there is evidence for a disc that is not in the fleet.
    """
    count, kinds = len(fleet), len(AIR_KINDS)
    # Unknowns in grades: each disc in all air, then each disc in each kind of air.
    sd = np.repeat([assume.own_grip_sd, assume.own_grip_sd * _AIR_SHARE], [count, count * kinds])
    grade = np.zeros((count, kinds, len(sd)))
    for d in range(count):
        for k in range(kinds):
            grade[d, k, d] = grade[d, k, count + kinds * d + k] = 1.0
    rows = [
        (place_of(one.disc_id, fleet), AIR_KINDS.index(one.air), one.grade)
        for one in evidence.grip_grades
    ]
    disc, kind = (np.array([row[i] for row in rows], dtype=np.int64) for i in (0, 1))
    given = np.array([row[2] for row in rows]) - fleet.grip[disc, kind]
    seen = grade[disc, kind]
    pairs = compared(evidence, Quality.GRIP)
    more = np.array([place_of(one.more, fleet) for one in pairs], dtype=np.int64)
    less = np.array([place_of(one.less, fleet) for one in pairs], dtype=np.int64)
    apart = (grade[more] - grade[less]).mean(axis=1)
    apart_prior = (fleet.grip[more] - fleet.grip[less]).mean(axis=1)
    grades = grades_of(pairs, assume)
    precision = np.diag(sd**-2.0) + seen.T @ seen / assume.grip_grade_noise**2
    x, whole = np.zeros(len(sd)), precision
    for _ in range(_STEPS if pairs else 1):
        _, first, _, information = graded(apart_prior + apart @ x, grades, assume.wrong_comparison)
        whole = precision + (apart.T * information) @ apart
        pull = seen.T @ (given - seen @ x) / assume.grip_grade_noise**2 + apart.T @ first
        step = np.linalg.solve(whole, pull - x / sd**2)
        x = x + step
        if np.abs(step).max() < _SMALL:
            break
    covariance = np.linalg.inv(whole)
    flat = grade.reshape(-1, len(sd))
    spread = np.sqrt(np.einsum("ij,jk,ik->i", flat, covariance, flat, optimize=True))
    mean = np.clip(fleet.grip + (flat @ x).reshape(count, kinds), 1.0, 5.0)
    return Grips(mean, spread.reshape(count, kinds))
