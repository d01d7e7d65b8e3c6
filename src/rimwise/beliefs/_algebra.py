"""Compiled: the likelihood of throws from their polynomials, its gradient and information.

What is seen of one throw is a sum of five normal distributions, one for each nose angle its
release may have had. Within each, scatter moves the landing along the columns ``v`` of a square
root of its covariance: first-order moves, second-order moves of one thing (weight ½, as
``z² − 1`` has variance 2) and products of two. With the residual ``r`` and ``p = S⁻¹ r``,

``log N = −½ rᵀp − ½ log|S|``,  ``∂/∂δ = pᵀ ∂m/∂δ + Σ_q 2 α_q v_qᵀ G ∂v_q/∂δ``,
``G = ½ (p pᵀ − S⁻¹)``.

The second term is what a linearised treatment leaves out. Indices: local arguments as
``unknowns.LOCAL``, polynomial arguments as ``flown.POLY``, seen numbers as ``observed.OBSERVED``.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from rimwise.flight._jit import compiled

__all__ = [
    "SCATTERED", "WIDTH", "Curves", "Data",
    "first_residuals", "learn_scatter", "observed_information", "throw_likelihoods",
]  # fmt: skip

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]

#: Width of a nose component over the scatter, and the share of each: their sum has the mean and
#: variance of a normal distribution, and is within 0.003 of it as a distribution function.
WIDTH = 0.543
SHARES = (0.0495189, 0.2372028, 0.4265566, 0.2372028, 0.0495189)
_SPACING = 0.9
#: What is scattered, as the columns of the ``scatter`` argument.
SCATTERED = ("speed", "launch", "hyzer", "nose", "heading", "advance ratio")

_LOCALS, _SEEN, _COLUMNS, _COMPONENTS = 11, 5, 17, 5
_MASS, _SPEED, _RATIO, _NOSE, _HEADING = 4, 5, 6, 9, 10
_POLY = (0, 1, 2, 3, 5, 7, 8)
_POLYS, _NUMBERS, _ARMS = 7, 4, 3
# Columns: three of the arm, nose, ratio, heading; squares of arm, nose, heading; products.
_BY_NOSE, _BY_RATIO, _BY_HEADING, _SQUARE, _SQUARE_NOSE, _SQUARE_HEADING = 3, 4, 5, 6, 9, 10
_NOSE_BY_ARM, _ARM_BY_ARM = 11, 14
_WEIGHT = np.array([1.0] * 6 + [0.5] * 5 + [1.0] * 6)
_LOG_2PI = math.log(2.0 * math.pi)


class Curves(NamedTuple):
    """The arrays of :class:`rimwise.beliefs.flown.Polynomials`, of U different throws."""

    middle: Floats
    slope: Floats
    curve: Floats
    mixed: Floats
    side: Floats
    nose_step: Floats


class Data(NamedTuple):
    """What is known of T throws.

    ``which`` (T,) is a throw's row in the curves; ``scatter`` (T, 6) as :data:`SCATTERED`, the
    first and last as fractions, the others in rad; ``seen``, ``noise`` (T, 5) with 0 in
    ``visible`` where not seen, measured speed and spin less what the middle of the curves has;
    ``heading`` (T,) that the middle has, rad; ``wide`` (T,) log density of a shank.
    """

    which: Integers
    scatter: Floats
    seen: Floats
    visible: Integers
    noise: Floats
    heading: Floats
    wide: Floats


class _Work(NamedTuple):
    """Room for one throw: one row per nose component, or one for all."""

    mean: Floats
    by: Floats
    residual: Floats
    logs: Floats
    grads: Floats
    col: Floats
    dcol: Floats
    s: Floats
    inverse: Floats
    whole: Floats
    p: Floats
    kept: Integers


@compiled
def _room() -> _Work:
    return _Work(
        np.zeros((_COMPONENTS, _SEEN)),
        np.zeros((_COMPONENTS, _SEEN, _LOCALS)),
        np.zeros((_COMPONENTS, _SEEN)),
        np.zeros(_COMPONENTS),
        np.zeros((_COMPONENTS, _LOCALS)),
        np.zeros((_COLUMNS, _SEEN)),
        np.zeros((_COLUMNS, _SEEN, _LOCALS)),
        np.zeros((_SEEN, _SEEN)),
        np.zeros((_SEEN, _SEEN)),
        np.zeros((_SEEN, _SEEN)),
        np.zeros(_SEEN),
        np.zeros(_SEEN, dtype=np.int64),
    )


@compiled
def _shape(k: int, u: int, delta: Floats, curves: Curves, scatter: Floats, work: _Work) -> None:
    """Fill mean and Jacobian of component k, columns and their Jacobian, from row u of the curves.

    All but the heading's own Jacobian, which needs what was seen.
    """
    middle, slope, curve, mixed = (
        curves.middle[u], curves.slope[u], curves.curve[u], curves.mixed[u],
    )  # fmt: skip
    side, nose_step = curves.side[u], curves.nose_step[u]
    mean, by, col, dcol = work.mean[k], work.by[k], work.col, work.dcol
    # Measured speed and spin.
    by[3, _SPEED], by[4, _SPEED], by[4, _RATIO] = 1.0, 1.0, 1.0
    col[0, 3], col[0, 4], col[_BY_RATIO, 4] = scatter[0], scatter[0], scatter[5]
    wide = WIDTH * scatter[3] / nose_step
    moved = delta[_NOSE] / nose_step
    nose = (k - 2) * _SPACING * scatter[3] / nose_step + moved
    e = nose - (k - 2)
    x = 0.5 * nose
    l0, l1, l2 = 0.5 * x * (x - 1.0), 1.0 - x * x, 0.5 * x * (x + 1.0)
    d0, d1, d2 = 0.25 * (2.0 * x - 1.0), -x, 0.25 * (2.0 * x + 1.0)
    turn = 1.0 - 0.5 * scatter[4] ** 2
    for d in range(3):
        before, here, after = middle[k, d], middle[k + 1, d], middle[k + 2, d]
        bend = after + before - 2.0 * here
        value = here + 0.5 * (after - before) * e + 0.5 * bend * e * e
        along = 0.5 * (after - before) + bend * e
        lift = 0.0
        for j in range(_POLYS):
            t = delta[_POLY[j]]
            s = l0 * slope[0, j, d] + l1 * slope[1, j, d] + l2 * slope[2, j, d]
            c = l0 * curve[0, j, d] + l1 * curve[1, j, d] + l2 * curve[2, j, d]
            s1 = d0 * slope[0, j, d] + d1 * slope[1, j, d] + d2 * slope[2, j, d]
            c1 = d0 * curve[0, j, d] + d1 * curve[1, j, d] + d2 * curve[2, j, d]
            s2 = 0.25 * slope[0, j, d] - 0.5 * slope[1, j, d] + 0.25 * slope[2, j, d]
            value += s * t + 0.5 * c * t * t
            along += s1 * t + 0.5 * c1 * t * t
            bend += s2 * t
            jac = s + c * t
            steer = s1 + c1 * t
            if j < _NUMBERS:
                for a in range(_ARMS):
                    other = delta[_POLY[_NUMBERS + a]]
                    jac += mixed[j, a, d] * other
                    value += mixed[j, a, d] * t * other
            else:
                a = j - _NUMBERS
                for i in range(_POLYS):
                    jac += mixed[i, a, d] * delta[_POLY[i]]
                    if _NUMBERS <= i < j:
                        value += mixed[i, a, d] * t * delta[_POLY[i]]
                    dcol[a, d, _POLY[i]] = scatter[a] * mixed[i, a, d]
                s_a = scatter[a]
                col[a, d] = s_a * jac
                dcol[a, d, _POLY[j]] = s_a * c
                dcol[a, d, _NOSE] = s_a * steer / nose_step
                col[_SQUARE + a, d] = s_a * s_a * c
                dcol[_SQUARE + a, d, _NOSE] = s_a * s_a * c1 / nose_step
                lift += 0.5 * s_a * s_a * c1
                value += 0.5 * s_a * s_a * c
                col[_NOSE_BY_ARM + a, d] = s_a * wide * steer
                dcol[_NOSE_BY_ARM + a, d, _POLY[j]] = s_a * wide * c1
                dcol[_NOSE_BY_ARM + a, d, _NOSE] = s_a * wide * s2 / nose_step
            by[d, _POLY[j]] = jac + 0.5 * wide * wide * s2
            dcol[_BY_NOSE, d, _POLY[j]] = wide * steer
            dcol[_SQUARE_NOSE, d, _POLY[j]] = wide * wide * s2
        value += side[0, d] * delta[_MASS] + side[1, d] * delta[_RATIO]
        by[d, _MASS], by[d, _RATIO] = side[0, d], side[1, d]
        by[d, _NOSE] = (along + lift) / nose_step
        col[_BY_NOSE, d] = wide * along
        dcol[_BY_NOSE, d, _NOSE] = wide * bend / nose_step
        col[_SQUARE_NOSE, d] = wide * wide * bend
        value += 0.5 * wide * wide * bend
        col[_BY_RATIO, d] = scatter[5] * side[1, d]
        col[_ARM_BY_ARM, d] = scatter[0] * scatter[1] * mixed[4, 1, d]
        col[_ARM_BY_ARM + 1, d] = scatter[0] * scatter[2] * mixed[4, 2, d]
        col[_ARM_BY_ARM + 2, d] = scatter[1] * scatter[2] * mixed[5, 2, d]
        mean[d] = value
    swing = scatter[4]
    col[_BY_HEADING, 0], col[_BY_HEADING, 1] = -swing * mean[1], swing * mean[0]
    for d in range(2):
        col[_SQUARE_HEADING, d] = -swing * swing * mean[d]
        for j in range(_HEADING):
            dcol[_SQUARE_HEADING, d, j] = -swing * swing * by[d, j]
    for j in range(_HEADING):
        dcol[_BY_HEADING, 0, j], dcol[_BY_HEADING, 1, j] = -swing * by[1, j], swing * by[0, j]
    for d in range(2):
        mean[d] *= turn
        for j in range(_HEADING):
            by[d, j] *= turn


@compiled
def _invert(s: Floats, n: int, inverse: Floats) -> float:
    """Invert the leading n x n of a positive matrix by Cholesky, lost in it; return log det."""
    log_det = 0.0
    for i in range(n):
        for j in range(i + 1):
            total = s[i, j]
            for m in range(j):
                total -= s[i, m] * s[j, m]
            if i == j:
                s[i, i] = math.sqrt(total)
                log_det += 2.0 * math.log(s[i, i])
            else:
                s[i, j] = total / s[j, j]
    for c in range(n):
        for i in range(n):
            total = 1.0 if i == c else 0.0
            for m in range(i):
                total -= s[i, m] * inverse[m, c]
            inverse[i, c] = total / s[i, i]
        for i in range(n - 1, -1, -1):
            total = inverse[i, c]
            for m in range(i + 1, n):
                total -= s[m, i] * inverse[m, c]
            inverse[i, c] = total / s[i, i]
    return log_det


@compiled
def _residual(t: int, k: int, delta: Floats, data: Data, work: _Work) -> int:
    """Take the mean off what was seen, turned back by the heading; return how much was seen."""
    seen, mean, by, r = data.seen[t], work.mean[k], work.by[k], work.residual[k]
    turned = data.heading[t] + delta[_HEADING]
    c, s = math.cos(turned), math.sin(turned)
    x, y = c * seen[0] + s * seen[1], c * seen[1] - s * seen[0]
    by[0, _HEADING], by[1, _HEADING] = -y, x
    n = 0
    for d in range(_SEEN):
        if data.visible[t, d]:
            if d == 0:
                r[n] = x - mean[0]
            elif d == 1:
                r[n] = y - mean[1]
            elif d == 2:
                r[n] = seen[2] - mean[2]
            elif d == 3:
                r[n] = seen[3] - delta[_SPEED]
            else:
                r[n] = seen[4] - delta[_SPEED] - delta[_RATIO]
            work.kept[n] = d
            n += 1
    return n


@compiled
def _covariance(noise: Floats, n: int, work: _Work) -> None:
    col, kept = work.col, work.kept
    for i in range(n):
        for j in range(i + 1):
            total = noise[kept[i]] ** 2 if i == j else 0.0
            for q in range(_COLUMNS):
                total += _WEIGHT[q] * col[q, kept[i]] * col[q, kept[j]]
            work.s[i, j] = total
            work.s[j, i] = total


@compiled
def _density(t: int, k: int, delta: Floats, curves: Curves, data: Data, work: _Work) -> int:
    """Fill everything about component k of throw t but the gradient; return how much was seen."""
    _shape(k, data.which[t], delta, curves, data.scatter[t], work)
    n = _residual(t, k, delta, data, work)
    _covariance(data.noise[t], n, work)
    for i in range(n):
        for j in range(n):
            work.whole[i, j] += SHARES[k] * work.s[i, j]
    log_det = _invert(work.s, n, work.inverse)
    square = 0.0
    for i in range(n):
        work.p[i] = 0.0
        for j in range(n):
            work.p[i] += work.inverse[i, j] * work.residual[k, j]
        square += work.p[i] * work.residual[k, i]
    work.logs[k] = math.log(SHARES[k]) - 0.5 * (square + log_det + n * _LOG_2PI)
    return n


@compiled
def _gradient(k: int, n: int, work: _Work) -> None:
    """Fill the gradient of component k from what :func:`_density` left."""
    p, inverse, kept, grad = work.p, work.inverse, work.kept, work.grads[k]
    for j in range(_LOCALS):
        total = 0.0
        for i in range(n):
            total += p[i] * work.by[k, kept[i], j]
        grad[j] = total
    for q in range(_COLUMNS):
        dot = 0.0
        for i in range(n):
            dot += p[i] * work.col[q, kept[i]]
        for i in range(n):
            pull = p[i] * dot
            for m in range(n):
                pull -= inverse[i, m] * work.col[q, kept[m]]
            pull *= _WEIGHT[q]
            for j in range(_LOCALS):
                grad[j] += pull * work.dcol[q, kept[i], j]


@compiled
def _mixture(
    t: int, delta: Floats, curves: Curves, data: Data, shank: float, work: _Work, grad: Floats
) -> tuple[float, float, int]:
    """Fill the gradient of one throw; return log likelihood, trust and how much was seen."""
    work.whole[:] = 0.0
    n = 0
    for k in range(_COMPONENTS):
        n = _density(t, k, delta, curves, data, work)
        _gradient(k, n, work)
    top = max(work.logs.max(), data.wide[t])
    shanked = shank * math.exp(data.wide[t] - top)
    good = 0.0
    for k in range(_COMPONENTS):
        work.logs[k] = (1.0 - shank) * math.exp(work.logs[k] - top)
        good += work.logs[k]
    total = good + shanked
    for j in range(_LOCALS):
        grad[j] = 0.0
        for k in range(_COMPONENTS):
            grad[j] += work.logs[k] / total * work.grads[k, j]
    return top + math.log(total), good / total, n


@compiled
def _expected(n: int, trust: float, work: _Work, information: Floats) -> None:
    """Fill the information of the normal distribution with the mixture's mean and covariance."""
    middle, slope = np.zeros(_SEEN), np.zeros((_SEEN, _LOCALS))
    for k in range(_COMPONENTS):
        for i in range(n):
            middle[i] += SHARES[k] * work.residual[k, i]
            for j in range(_LOCALS):
                slope[i, j] += SHARES[k] * work.by[k, work.kept[i], j]
    for k in range(_COMPONENTS):
        for i in range(n):
            for j in range(n):
                apart = work.residual[k, i] - middle[i]
                apart *= work.residual[k, j] - middle[j]
                work.whole[i, j] += SHARES[k] * apart
    _invert(work.whole, n, work.inverse)
    for a in range(_LOCALS):
        for b in range(_LOCALS):
            total = 0.0
            for i in range(n):
                for j in range(n):
                    total += slope[i, a] * work.inverse[i, j] * slope[j, b]
            information[a, b] = trust * total


@compiled
def throw_likelihoods(
    start: int,
    stop: int,
    delta: Floats,
    curves: Curves,
    data: Data,
    shank: float,
    value: Floats,
    grad: Floats,
    information: Floats,
    trust: Floats,
) -> None:
    """Fill value (T,), gradient (T, 11), information (T, 11, 11) and trust (T,) of throws.

    ``delta`` (T, 11) is where to, from the middle of the curves; ``information`` the expected one
    of the normal distribution with the mixture's mean and covariance (of length 0: not wanted);
    ``trust`` the chance that a throw is no shank.
    """
    work = _room()
    for t in range(start, stop):
        value[t], trust[t], n = _mixture(t, delta[t], curves, data, shank, work, grad[t])
        if len(information) > 0:
            _expected(n, trust[t], work, information[t])


@compiled
def first_residuals(
    start: int,
    stop: int,
    delta: Floats,
    curves: Curves,
    data: Data,
    grad: Floats,
    information: Floats,
) -> None:
    """Fill gradient and information for a start from afar: one normal distribution per throw.

    Its covariance is taken as fixed, and a throw farther out than 2.5 standard deviations pulls
    no harder than one there, instead of counting as a shank.
    """
    work = _room()
    for t in range(start, stop):
        work.whole[:] = 0.0
        n = 0
        for k in range(_COMPONENTS):
            n = _density(t, k, delta[t], curves, data, work)
        _expected(n, 1.0, work, information[t])
        pull = np.zeros(_SEEN)
        square = 0.0
        for k in range(_COMPONENTS):
            for i in range(n):
                pull[i] += SHARES[k] * work.residual[k, i]
        grad[t, :] = 0.0
        for i in range(n):
            force = 0.0
            for j in range(n):
                force += work.inverse[i, j] * pull[j]
            square += force * pull[i]
            for k in range(_COMPONENTS):
                for a in range(_LOCALS):
                    grad[t, a] += SHARES[k] * work.by[k, work.kept[i], a] * force
        ease = min(1.0, 2.5 / math.sqrt(max(square, 1e-12)))
        for a in range(_LOCALS):
            grad[t, a] *= ease
            for b in range(_LOCALS):
                information[t, a, b] *= ease


@compiled
def observed_information(
    start: int,
    stop: int,
    step: Floats,
    delta: Floats,
    curves: Curves,
    data: Data,
    shank: float,
    information: Floats,
) -> None:
    """Fill the observed information (T, 11, 11): central differences of the gradient."""
    work = _room()
    more, less, moved = np.zeros(_LOCALS), np.zeros(_LOCALS), np.zeros(_LOCALS)
    for t in range(start, stop):
        for j in range(_LOCALS):
            moved[:] = delta[t]
            moved[j] += step[j]
            _mixture(t, moved, curves, data, shank, work, more)
            moved[j] -= 2.0 * step[j]
            _mixture(t, moved, curves, data, shank, work, less)
            for i in range(_LOCALS):
                information[t, i, j] = (less[i] - more[i]) / (2.0 * step[j])
        for i in range(_LOCALS):
            for j in range(i):
                both = 0.5 * (information[t, i, j] + information[t, j, i])
                information[t, i, j] = both
                information[t, j, i] = both


@compiled
def learn_scatter(
    start: int,
    stop: int,
    delta: Floats,
    curves: Curves,
    data: Data,
    shank: float,
    unsure: Floats,
    square: Floats,
    trust: Floats,
) -> None:
    """Fill the expected squares (T, 5) of what speed, launch, hyzer, nose and heading drew.

    In standard deviations, given what was seen and how unsure (T, 11, 11) its mean is: the
    expectation step of EM.
    """
    work = _room()
    drawn = np.zeros((_COMPONENTS, 5))
    spread = np.zeros((_SEEN, _SEEN))
    for t in range(start, stop):
        work.whole[:] = 0.0
        for k in range(_COMPONENTS):
            n = _density(t, k, delta[t], curves, data, work)
            _spread(k, n, unsure[t], work, spread)
            for part in range(5):
                drawn[k, part] = _drawn(part, k, n, work, spread)
        top = max(work.logs.max(), data.wide[t])
        good = 0.0
        square[t, :] = 0.0
        for k in range(_COMPONENTS):
            share = (1.0 - shank) * math.exp(work.logs[k] - top)
            good += share
            for part in range(5):
                square[t, part] += share * drawn[k, part]
        trust[t] = good / (good + shank * math.exp(data.wide[t] - top))
        for part in range(5):
            square[t, part] /= good


@compiled
def _spread(k: int, n: int, unsure: Floats, work: _Work, spread: Floats) -> None:
    """Fill the covariance of the mean that comes from not knowing the local arguments."""
    for i in range(n):
        for j in range(n):
            spread[i, j] = 0.0
            for a in range(_LOCALS):
                for b in range(_LOCALS):
                    slopes = work.by[k, work.kept[i], a] * work.by[k, work.kept[j], b]
                    spread[i, j] += slopes * unsure[a, b]


@compiled
def _drawn(part: int, k: int, n: int, work: _Work, spread: Floats) -> float:
    """Return the expected square of one standardised part of the release, within component k."""
    q = part if part < 4 else _BY_HEADING
    gain = np.zeros(_SEEN)
    middle, known = 0.0, 0.0
    for i in range(n):
        for j in range(n):
            gain[i] += work.inverse[i, j] * work.col[q, work.kept[j]]
        middle += gain[i] * work.residual[k, i]
        known += gain[i] * work.col[q, work.kept[i]]
    unsure = 1.0 - known
    for i in range(n):
        for j in range(n):
            unsure += gain[i] * spread[i, j] * gain[j]
    if part == 3:
        return float(((k - 2) * _SPACING + WIDTH * middle) ** 2 + WIDTH**2 * unsure)
    return float(middle**2 + unsure)
