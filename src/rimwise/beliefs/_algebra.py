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
    "AFAR", "EM", "EXPECTED", "GRADIENT", "SCATTERED",
    "Curves", "Data", "Results", "visit_throws",
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
_POLYS, _NUMBERS = 7, 4
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


class Results(NamedTuple):
    """Room for what is wanted of T throws; what is not wanted may have length 0.

    ``value``, ``trust`` (T,) log likelihood and the chance that a throw is no shank; ``gradient``
    (T, 11); ``information`` (T, 11, 11); ``square`` (T, 5) expected squares of what speed,
    launch, hyzer, nose and heading drew, in standard deviations; ``overlap`` (T, 5, 5) how much
    two of these are alike in what they move, squared and in units of what is seen: half of the
    information on the logarithms of their standard deviations.
    """

    value: Floats
    trust: Floats
    gradient: Floats
    information: Floats
    square: Floats
    overlap: Floats


#: What may be wanted: value and gradient; with the expected information; gradient and
#: information for a start from afar; what releases drew (the expectation step of EM).
GRADIENT, EXPECTED, AFAR, EM = 0, 1, 2, 3
#: From afar, a throw farther out than this many standard deviations pulls no harder than there.
_FAR = 2.5


class _Work(NamedTuple):
    """Room for one throw: one row per nose component, or one for all."""

    mean: Floats
    by: Floats
    residual: Floats
    logs: Floats
    grads: Floats
    drawn: Floats
    moves: Floats
    cross: Floats
    lift: Floats
    col: Floats
    dcol: Floats
    s: Floats
    inverse: Floats
    whole: Floats
    spread: Floats
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
        np.zeros((_COMPONENTS, 5)),
        np.zeros((5, _SEEN)),
        np.zeros((3, _POLYS)),
        np.zeros(3),
        np.zeros((_COLUMNS, _SEEN)),
        np.zeros((_COLUMNS, _SEEN, _LOCALS)),
        np.zeros((_SEEN, _SEEN)),
        np.zeros((_SEEN, _SEEN)),
        np.zeros((_SEEN, _SEEN)),
        np.zeros((_SEEN, _SEEN)),
        np.zeros(_SEEN),
        np.zeros(_SEEN, dtype=np.int64),
    )


@compiled
def _prepare(t: int, delta: Floats, curves: Curves, data: Data, work: _Work) -> None:
    """Fill what all nose components of throw t share: mixed curvatures, measured speed and spin."""
    scatter, mixed = data.scatter[t], curves.mixed[data.which[t]]
    side = curves.side[data.which[t]]
    for d in range(3):
        work.lift[d] = side[0, d] * delta[_MASS] + side[1, d] * delta[_RATIO]
        for j in range(_POLYS):
            total = 0.0
            for i in range(_POLYS):
                total += mixed[i, j, d] * delta[_POLY[i]]
            work.cross[d, j] = total
            work.lift[d] += 0.5 * total * delta[_POLY[j]]
            for a in range(3):
                work.dcol[a, d, _POLY[j]] = scatter[a] * mixed[j, _NUMBERS + a, d]
        work.col[_ARM_BY_ARM, d] = scatter[0] * scatter[1] * mixed[4, 5, d]
        work.col[_ARM_BY_ARM + 1, d] = scatter[0] * scatter[2] * mixed[4, 6, d]
        work.col[_ARM_BY_ARM + 2, d] = scatter[1] * scatter[2] * mixed[5, 6, d]
        work.col[_BY_RATIO, d] = scatter[5] * side[1, d]
        for k in range(_COMPONENTS):
            work.by[k, d, _MASS], work.by[k, d, _RATIO] = side[0, d], side[1, d]
    work.col[0, 3], work.col[0, 4], work.col[_BY_RATIO, 4] = scatter[0], scatter[0], scatter[5]
    for k in range(_COMPONENTS):
        work.by[k, 3, _SPEED], work.by[k, 4, _SPEED], work.by[k, 4, _RATIO] = 1.0, 1.0, 1.0


@compiled
def _shape(k: int, t: int, delta: Floats, curves: Curves, data: Data, work: _Work) -> None:
    """Fill mean and Jacobian of component k of throw t, columns and their Jacobian.

    All but the heading's own Jacobian, which needs what was seen.
    """
    u, scatter = data.which[t], data.scatter[t]
    middle, slope, curve = curves.middle[u], curves.slope[u], curves.curve[u]
    mean, by, col, dcol = work.mean[k], work.by[k], work.col, work.dcol
    inverse_step = 1.0 / curves.nose_step[u]
    wide = WIDTH * scatter[3] * inverse_step
    nose = ((k - 2) * _SPACING * scatter[3] + delta[_NOSE]) * inverse_step
    e = nose - (k - 2)
    x = 0.5 * nose
    l0, l1, l2 = 0.5 * x * (x - 1.0), 1.0 - x * x, 0.5 * x * (x + 1.0)
    d0, d1, d2 = 0.25 * (2.0 * x - 1.0), -x, 0.25 * (2.0 * x + 1.0)
    for d in range(3 if data.visible[t, 2] else 2):
        before, here, after = middle[k, d], middle[k + 1, d], middle[k + 2, d]
        bend = after + before - 2.0 * here
        value = here + 0.5 * (after - before) * e + 0.5 * bend * e * e + work.lift[d]
        along = 0.5 * (after - before) + bend * e
        raised = 0.0
        for j in range(_POLYS):
            moved = delta[_POLY[j]]
            s0, s1, s2 = slope[0, j, d], slope[1, j, d], slope[2, j, d]
            c0, c1, c2 = curve[0, j, d], curve[1, j, d], curve[2, j, d]
            own = l0 * c0 + l1 * c1 + l2 * c2
            own_by_nose = d0 * c0 + d1 * c1 + d2 * c2
            straight = l0 * s0 + l1 * s1 + l2 * s2
            by_nose = d0 * s0 + d1 * s1 + d2 * s2 + own_by_nose * moved
            twice_by_nose = 0.25 * s0 - 0.5 * s1 + 0.25 * s2
            value += (straight + 0.5 * own * moved) * moved
            along += (by_nose - 0.5 * own_by_nose * moved) * moved
            bend += twice_by_nose * moved
            jacobian = straight + own * moved + work.cross[d, j]
            if j >= _NUMBERS:
                a = j - _NUMBERS
                s_a = scatter[a]
                col[a, d] = s_a * jacobian
                dcol[a, d, _POLY[j]] = s_a * own
                dcol[a, d, _NOSE] = s_a * by_nose * inverse_step
                col[_SQUARE + a, d] = s_a * s_a * own
                dcol[_SQUARE + a, d, _NOSE] = s_a * s_a * own_by_nose * inverse_step
                raised += 0.5 * s_a * s_a * own_by_nose
                value += 0.5 * s_a * s_a * own
                col[_NOSE_BY_ARM + a, d] = s_a * wide * by_nose
                dcol[_NOSE_BY_ARM + a, d, _POLY[j]] = s_a * wide * own_by_nose
                dcol[_NOSE_BY_ARM + a, d, _NOSE] = s_a * wide * twice_by_nose * inverse_step
            by[d, _POLY[j]] = jacobian + 0.5 * wide * wide * twice_by_nose
            dcol[_BY_NOSE, d, _POLY[j]] = wide * by_nose
            dcol[_SQUARE_NOSE, d, _POLY[j]] = wide * wide * twice_by_nose
        by[d, _NOSE] = (along + raised) * inverse_step
        col[_BY_NOSE, d] = wide * along
        dcol[_BY_NOSE, d, _NOSE] = wide * bend * inverse_step
        col[_SQUARE_NOSE, d] = wide * wide * bend
        mean[d] = value + 0.5 * wide * wide * bend
    _swing(scatter[4], mean, by, col, dcol)


@compiled
def _swing(swing: float, mean: Floats, by: Floats, col: Floats, dcol: Floats) -> None:
    """Scatter the heading by ``swing`` (rad): turns a landing about the tee."""
    turn = 1.0 - 0.5 * swing * swing
    col[_BY_HEADING, 0], col[_BY_HEADING, 1] = -swing * mean[1], swing * mean[0]
    for d in range(2):
        col[_SQUARE_HEADING, d] = -swing * swing * mean[d]
        mean[d] *= turn
    for j in range(_HEADING):
        dcol[_BY_HEADING, 0, j], dcol[_BY_HEADING, 1, j] = -swing * by[1, j], swing * by[0, j]
        for d in range(2):
            dcol[_SQUARE_HEADING, d, j] = -swing * swing * by[d, j]
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
    _shape(k, t, delta, curves, data, work)
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
        grad[j] = 0.0
        for i in range(n):
            grad[j] += p[i] * work.by[k, kept[i], j]
    for q in range(_ARM_BY_ARM):
        if q == _BY_RATIO:
            continue
        dot = 0.0
        for i in range(n):
            dot += p[i] * work.col[q, kept[i]]
        for i in range(n):
            pull = p[i] * dot
            for m in range(n):
                pull -= inverse[i, m] * work.col[q, kept[m]]
            pull *= _WEIGHT[q]
            if _SQUARE <= q < _SQUARE_NOSE:
                grad[_NOSE] += pull * work.dcol[q, kept[i], _NOSE]
            elif q >= _NOSE_BY_ARM:
                arm = _POLY[_NUMBERS + q - _NOSE_BY_ARM]
                grad[_NOSE] += pull * work.dcol[q, kept[i], _NOSE]
                grad[arm] += pull * work.dcol[q, kept[i], arm]
            else:
                for j in range(_HEADING):
                    grad[j] += pull * work.dcol[q, kept[i], j]


@compiled
def _mixture(
    t: int,
    delta: Floats,
    unsure: Floats,
    curves: Curves,
    data: Data,
    shank: float,
    work: _Work,
    gradient: Floats,
) -> tuple[float, float, int]:
    """Fill the gradient of one throw; return log likelihood, trust and how much was seen.

    Leaves the share of each component, shanks included, in ``work.logs``; where ``unsure``
    (11, 11) is given, also what the release drew in each.
    """
    work.whole[:] = 0.0
    _prepare(t, delta, curves, data, work)
    n = 0
    for k in range(_COMPONENTS):
        n = _density(t, k, delta, curves, data, work)
        _gradient(k, n, work)
        if len(unsure) > 0:
            _spread(k, n, unsure, work)
            for part in range(5):
                work.drawn[k, part] = _drawn(part, k, n, work)
                if k == 2:
                    column = part if part < 4 else _BY_HEADING
                    for i in range(n):
                        whole = WIDTH if part == 3 else 1.0
                        work.moves[part, i] = work.col[column, work.kept[i]] / whole
    top = max(work.logs.max(), data.wide[t])
    good = 0.0
    for k in range(_COMPONENTS):
        work.logs[k] = (1.0 - shank) * math.exp(work.logs[k] - top)
        good += work.logs[k]
    total = good + shank * math.exp(data.wide[t] - top)
    for j in range(_LOCALS):
        gradient[j] = 0.0
        for k in range(_COMPONENTS):
            gradient[j] += work.logs[k] / total * work.grads[k, j]
    for k in range(_COMPONENTS):
        work.logs[k] /= total
    return top + math.log(total), good / total, n


@compiled
def _expected(n: int, work: _Work, information: Floats, gradient: Floats, far: bool) -> float:
    """Fill the information of the normal distribution with the mixture's mean and covariance.

    Also its gradient, when ``far``. Returns the squared distance of what was seen.
    """
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
    square = 0.0
    for i in range(n):
        for j in range(n):
            square += middle[i] * work.inverse[i, j] * middle[j]
    for a in range(_LOCALS):
        if far:
            gradient[a] = 0.0
        for i in range(n):
            pull = 0.0
            for j in range(n):
                pull += work.inverse[i, j] * middle[j]
            if far:
                gradient[a] += slope[i, a] * pull
        for b in range(_LOCALS):
            information[a, b] = 0.0
            for i in range(n):
                for j in range(n):
                    information[a, b] += slope[i, a] * work.inverse[i, j] * slope[j, b]
    return square


@compiled
def visit_throws(
    start: int,
    stop: int,
    want: int,
    delta: Floats,
    unsure: Floats,
    curves: Curves,
    data: Data,
    shank: float,
    results: Results,
) -> None:
    """Fill what is wanted of throws ``start … stop``; all in one, as compiling costs seconds.

    Parameters
    ----------
    want
        :data:`GRADIENT`, :data:`EXPECTED`, :data:`AFAR` or :data:`EM`.
    delta
        Where to, from the middle of the curves, (T, 11).
    unsure
        Covariances (T, 11, 11) of that, for EM; of length 0 otherwise.
    shank
        Chance that a throw says nothing.
    """
    work = _room()
    gradient, none, room = np.zeros(_LOCALS), np.zeros((0, _LOCALS)), np.zeros((_LOCALS, _LOCALS))
    for t in range(start, stop):
        value, trust, n = _mixture(
            t, delta[t], unsure[t] if want == EM else none, curves, data, shank, work, gradient
        )
        results.value[t], results.trust[t] = value, trust
        if want == EM:
            for part in range(5):
                results.square[t, part] = 0.0
                for k in range(_COMPONENTS):
                    results.square[t, part] += work.logs[k] / trust * work.drawn[k, part]
            _expected(n, work, room, gradient, False)
            for a in range(5):
                for b in range(5):
                    alike = 0.0
                    for i in range(n):
                        for j in range(n):
                            alike += work.moves[a, i] * work.inverse[i, j] * work.moves[b, j]
                    results.overlap[t, a, b] = alike * alike
            continue
        results.gradient[t, :] = gradient
        if want != GRADIENT:
            far = want == AFAR
            square = _expected(n, work, results.information[t], results.gradient[t], far)
            ease = min(1.0, _FAR / math.sqrt(max(square, 1e-12))) if far else trust
            for i in range(_LOCALS):
                if far:
                    results.gradient[t, i] *= ease
                for j in range(_LOCALS):
                    results.information[t, i, j] *= ease


@compiled
def _spread(k: int, n: int, unsure: Floats, work: _Work) -> None:
    """Fill the covariance of the mean that comes from not knowing the local arguments."""
    for i in range(n):
        for j in range(n):
            work.spread[i, j] = 0.0
            for a in range(_LOCALS):
                for b in range(_LOCALS):
                    slopes = work.by[k, work.kept[i], a] * work.by[k, work.kept[j], b]
                    work.spread[i, j] += slopes * unsure[a, b]


@compiled
def _drawn(part: int, k: int, n: int, work: _Work) -> float:
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
            unsure += gain[i] * work.spread[i, j] * gain[j]
    if part == 3:
        return float(((k - 2) * _SPACING + WIDTH * middle) ** 2 + WIDTH**2 * unsure)
    return float(middle**2 + unsure)
