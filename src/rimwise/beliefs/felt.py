"""Comparisons: what "slightly more stable" and "plainly farther" say about two discs.

A graded paired comparison (Thurstone 1927): the owner feels the difference of two simulated
numbers with a normal error, and writes "slightly" or "plainly" when it passes a threshold. The
numbers are those of a flat reference throw at full effort by this owner's arm in mild, calm
air: for stability the bearing of the first touch, toward the fade side positive; for reach the
distance to it. A small share of comparisons says nothing, so that one mix-up is no disaster.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from rimwise.beliefs.arm import REFERENCE_AIR
from rimwise.beliefs.flown import Bodies, fly_local
from rimwise.beliefs.observed import ThrowTable
from rimwise.beliefs.unknowns import LOCAL, Unknowns
from rimwise.records.assumptions import Assumptions
from rimwise.records.evidence import Comparison, Quality

__all__ = ["FELT", "FeltCurves", "Grades", "felt_curves", "graded", "grades_of", "reference_throws"]

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]

#: What is felt of the reference throw: finish (degrees toward the fade side) and reach (m).
FELT = (Quality.STABILITY, Quality.REACH)
REFERENCE_LAUNCH_DEG = 10.0
#: Steps of the central differences along ``LOCAL``; heading turns all discs alike.
_STEPS = (0.6, 0.5, 0.4, 0.4, 0.02, 0.03, 0.05, 0.02, 0.03, 0.03)
#: Kinds of answers: plainly and slightly either way, and no difference.
_ANSWERS = 5


@dataclass(frozen=True, eq=False)
class FeltCurves:
    """What is felt of F discs near ``at`` (F, 11); last axis as :data:`FELT`.

    ``value`` (F, 2); ``slope``, ``curve`` (F, 11, 2) first and second derivatives.
    """

    at: Floats
    value: Floats
    slope: Floats
    curve: Floats

    def there(self, local: Floats) -> tuple[Floats, Floats]:
        """Return values (F, 2) and slopes (F, 11, 2) at local arguments (F, 11)."""
        moved = (local - self.at)[..., None]
        slope = self.slope + self.curve * moved
        value = self.value + ((self.slope + 0.5 * self.curve * moved) * moved).sum(axis=1)
        return value, slope


@dataclass(frozen=True, eq=False)
class Grades:
    """Answers, (C,) each: both thresholds, which one was passed, and the error of feeling.

    With ``is_alike`` none was passed: the two were felt to be about the same.
    """

    slightly: Floats
    plainly: Floats
    noise: Floats
    is_plain: NDArray[np.bool_]
    is_alike: NDArray[np.bool_]


def grades_of(comparisons: Sequence[Comparison], assume: Assumptions) -> Grades:
    """Return answers in degrees, metres or grades of grip."""
    scales = {
        Quality.STABILITY: (assume.slightly_deg, assume.plainly_deg, assume.felt_noise_deg),
        Quality.REACH: (assume.slightly_m, assume.plainly_m, assume.felt_noise_m),
        Quality.GRIP: (assume.slightly_grip, assume.plainly_grip, assume.grip_grade_noise),
    }
    rows = np.array([scales[one.quality] for one in comparisons], dtype=np.float64).reshape(-1, 3)
    plain = np.array([one.plainly for one in comparisons], dtype=np.bool_)
    alike = np.array([one.alike for one in comparisons], dtype=np.bool_)
    return Grades(rows[:, 0], rows[:, 1], rows[:, 2], plain, alike)


def graded(difference: Floats, grades: Grades, wrong: float) -> tuple[Floats, ...]:
    """Return log likelihood, its first and second derivative and Fisher's information, (C,) each.

    Parameters
    ----------
    difference
        Simulated differences, more minus less, (C,).
    wrong
        Chance that an answer says nothing.
    """
    edge = np.array([-math.inf, 0.0, 0.0, 0.0, 0.0, math.inf])[:, None] + np.stack(
        [0.0 * difference, -grades.plainly, -grades.slightly, grades.slightly, grades.plainly,
         0.0 * difference]
    )  # fmt: skip
    chance, slope, curve = _answers((edge - difference) / grades.noise, grades.noise, wrong)
    information = (slope**2 / chance).sum(axis=0)
    here = np.where(grades.is_alike, 2, np.where(grades.is_plain, 4, 3))[None]
    p, p1, p2 = (np.take_along_axis(of, here, axis=0)[0] for of in (chance, slope, curve))
    return np.log(p), p1 / p, p2 / p - (p1 / p) ** 2, information


def _answers(edge: Floats, noise: Floats, wrong: float) -> tuple[Floats, Floats, Floats]:
    """Return the chance (5, C) of every answer and its derivatives by the difference."""
    from scipy.special import ndtr

    bell = np.exp(-0.5 * edge**2) / math.sqrt(2.0 * math.pi)
    tilted = np.where(np.isfinite(edge), edge, 0.0) * bell
    right = 1.0 - wrong
    chance = right * np.diff(ndtr(edge), axis=0) + wrong / _ANSWERS
    return (
        chance,
        -right * np.diff(bell, axis=0) / noise,
        -right * np.diff(tilted, axis=0) / noise**2,
    )


def reference_throws(unknowns: Unknowns, disc: Integers, wear: Floats) -> ThrowTable:
    """Return the flat reference throw of discs (F,) at a wear (F,), in the stock style."""
    count = len(disc)
    one = np.ones(count)
    style = unknowns.styles.index(unknowns.thrower.stock.style)
    return ThrowTable(
        disc=disc,
        style=np.full(count, style, dtype=np.int64),
        wear=wear,
        cold_c=0.0 * one,
        speed_factor=one,
        width=one,
        launch_rad=math.radians(REFERENCE_LAUNCH_DEG) * one,
        hyzer_rad=0.0 * one,
        density_kg_m3=float(REFERENCE_AIR.density_kg_m3) * one,
        ground=("firm",) * count,
        seen=np.empty((count, 0)),
        noise=np.empty((count, 0)),
        wide=0.0 * one,
    )


def felt_curves(
    unknowns: Unknowns, bodies: Bodies, table: ThrowTable, at: Floats, threads: int = 2
) -> FeltCurves:
    """Fly the reference throws around ``at`` (F, 11): 21 flights each."""
    count, steps = len(table), np.array(_STEPS)
    moves = np.zeros((1 + 2 * len(steps), len(LOCAL)))
    for j, step in enumerate(steps):
        moves[1 + 2 * j, j], moves[2 + 2 * j, j] = step, -step
    local = (at[:, None] + moves).reshape(-1, len(LOCAL))
    throw = np.repeat(np.arange(count), len(moves))
    flown = fly_local(unknowns, bodies, table, throw, local, threads=threads)
    felt = felt_of(unknowns, flown).reshape(count, len(moves), 2)
    more, less, own = felt[:, 1::2], felt[:, 2::2], felt[:, :1]
    slope, curve = np.zeros((2, count, len(LOCAL), 2))
    slope[:, : len(steps)] = (more - less) / (2.0 * steps[:, None])
    curve[:, : len(steps)] = (more + less - 2.0 * own) / steps[:, None] ** 2
    return FeltCurves(at, felt[:, 0], slope, curve)


def felt_of(unknowns: Unknowns, landed: Floats) -> Floats:
    """Return finish (degrees) and reach (m), (N, 2), of reference throws flown (N, 4)."""
    stock = unknowns.thrower.stock.style
    side = 1.0 if (unknowns.thrower.hand == "right") == (stock == "backhand") else -1.0
    x, y = landed[:, 2], landed[:, 3]
    return np.column_stack([side * np.degrees(np.arctan2(y, x)), np.hypot(x, y)])
