"""Compiled loops over landings that are kept: values, visits and scores of a hole's lies.

Lies are numbered from the basket outward, the tee last; ``slots`` (lie, 3) says where each
stands on the lattice (kind, row, column), with a negative kind for the tee, and ``owner``
(kind, row, column) which lie speaks for a slot.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from rimwise.decide._terrain import (
    PER_M,
    PUTT_STEP_M,
    Field,
    hazard_in,
    kind_in,
    landing_cost,
    throw_value,
    value_at,
)
from rimwise.flight._jit import compiled

__all__ = ["fill", "follow", "scores", "sweep", "visit"]

_NEVER = 1e9


@compiled
def fill(field: Field, owner: NDArray[np.int64], extra: NDArray[np.float64],
         cost: NDArray[np.float64]) -> None:  # fmt: skip
    """Give every slot of the lattice its owner's worth, and ``extra`` for being elsewhere."""
    kinds, rows, columns = owner.shape
    for k in range(kinds):
        for i in range(rows):
            for j in range(columns):
                field.throw[k, i, j] = cost[owner[k, i, j]] + extra[k, i, j]


@compiled
def _mean(field, price, where, codes):  # type: ignore[no-untyped-def]
    """Return the expected strokes of one action's landings, replays included."""
    total = again = 0.0
    samples = where.shape[0]
    for s in range(samples):
        code = int(codes[s])
        cost, lost = landing_cost(price, code)
        total += cost + (1.0 - lost) * value_at(field, where[s, 0], where[s, 1], kind_in(code))
        again += lost
    return total / max(samples - again, 1e-3 * samples)


@compiled
def sweep(
    field: Field, slots: NDArray[np.int64], actions: NDArray[np.float64],
    prices: NDArray[np.float64], where: NDArray[np.float32], codes: NDArray[np.uint8],
    cost: NDArray[np.float64], chosen: NDArray[np.int64],
) -> float:  # fmt: skip
    """Go over all lies once, from the basket outward; return the largest change.

    ``where`` (lie, action, sample, 2) and ``codes`` (lie, action, sample) are the landings of
    ``actions`` (lie, action, 4); ``cost`` and ``chosen`` (lie,) are brought up to date.
    """
    change = 0.0
    for i in range(actions.shape[0]):
        best, best_action = _NEVER, -1
        for a in range(actions.shape[1]):
            if actions[i, a, 0] >= 0:
                mean = _mean(field, prices[int(actions[i, a, 0])], where[i, a], codes[i, a])
                if mean < best:
                    best, best_action = mean, a
        if best_action < 0:
            continue
        change = max(change, abs(best - cost[i]))
        cost[i], chosen[i] = best, best_action
        if slots[i, 0] >= 0:
            field.throw[slots[i, 0], slots[i, 1], slots[i, 2]] = best
    return change


@compiled
def _throws(decide, x, y, kind):  # type: ignore[no-untyped-def]
    """Say whether the policy throws from here rather than putts."""
    k = int(math.hypot(x - decide.basket_m, y) / PUTT_STEP_M)
    if k + 1 >= decide.putt.shape[0]:
        return True
    throw = throw_value(decide, x, y, kind)
    return throw <= value_at(decide, x, y, kind)


@compiled
def _putt(field, x, y):  # type: ignore[no-untyped-def]
    at = math.hypot(x - field.basket_m, y) / PUTT_STEP_M
    k = int(at)
    return field.putt[k] + (at - k) * (field.putt[k + 1] - field.putt[k])


@compiled
def follow(
    field: Field, decide: Field, slots: NDArray[np.int64], start: NDArray[np.int64],
    where: NDArray[np.float64], codes: NDArray[np.uint8], price: NDArray[np.float64],
    cost: NDArray[np.float64], each: NDArray[np.float64],
) -> float:  # fmt: skip
    """Value a fixed policy once over all lies; return the largest change.

    Parameters
    ----------
    field, decide
        The value that is sought; the one by which the policy putts or throws.
    start
        (lie + 1,): landings ``start[i]`` to ``start[i + 1]`` are of lie *i*; lies without any
        keep their cost.
    price
        (lie, PRICES) of the lie's disc.
    each
        (landing,), filled with how much each landing is dearer than its lie's cost.
    """
    change = 0.0
    for i in range(slots.shape[0]):
        first, last = start[i], start[i + 1]
        if last == first:
            continue
        total = again = 0.0
        for s in range(first, last):
            code = int(codes[s])
            once, lost = landing_cost(price[i], code)
            x, y, kind = where[s, 0], where[s, 1], kind_in(code)
            after = (
                throw_value(field, x, y, kind)
                if _throws(decide, x, y, kind)
                else _putt(field, x, y)
            )
            each[s] = once + (1.0 - lost) * after + lost * cost[i] - cost[i]
            total += once + (1.0 - lost) * after
            again += lost
        mean = total / max(last - first - again, 1e-3)
        change = max(change, abs(mean - cost[i]))
        cost[i] = mean
        if slots[i, 0] >= 0:
            field.throw[slots[i, 0], slots[i, 1], slots[i, 2]] = mean
    return change


@compiled
def _corners(field, owner, extra, x, y, kind, lies, weights):  # type: ignore[no-untyped-def]
    """Fill the four lies, and their weights, whose worth a lie's is taken from.

    Returns what the lie is dearer than they are, because it is elsewhere.
    """
    _, rows, columns = owner.shape
    u, v = (x - field.corner_m[0]) * field.per_m, (y - field.corner_m[1]) * field.per_m
    cu, cv = min(max(u, 0.0), columns - 1.000001), min(max(v, 0.0), rows - 1.000001)
    beyond = abs(u - cu) + abs(v - cv)
    i, j = int(cv), int(cu)
    v, u = cv - i, cu - j
    lies[0], weights[0] = owner[kind, i, j], (1.0 - v) * (1.0 - u)
    lies[1], weights[1] = owner[kind, i, j + 1], (1.0 - v) * u
    lies[2], weights[2] = owner[kind, i + 1, j], v * (1.0 - u)
    lies[3], weights[3] = owner[kind, i + 1, j + 1], v * u
    low = (1.0 - u) * extra[kind, i, j] + u * extra[kind, i, j + 1]
    high = (1.0 - u) * extra[kind, i + 1, j] + u * extra[kind, i + 1, j + 1]
    return (1.0 - v) * low + v * high + beyond * field.cell_m * PER_M


@compiled
def visit(
    decide: Field, owner: NDArray[np.int64], extra: NDArray[np.float64],
    start: NDArray[np.int64],
    where: NDArray[np.float64], codes: NDArray[np.uint8], price: NDArray[np.float64],
    visits: NDArray[np.float64],
) -> None:  # fmt: skip
    """Fill the expected throws from each lie in one play of the hole from its last lie, the tee.

    ``where``, ``codes`` and ``start`` are the policy's landings, as in :func:`follow`.
    """
    count = visits.shape[0]
    pending = np.zeros(count)
    pending[count - 1] = 1.0
    lies, weights = np.empty(4, dtype=np.int64), np.empty(4)
    for _ in range(200):
        left = 0.0
        for i in range(count - 1, -1, -1):
            mass = pending[i]
            if mass < 1e-12:
                continue
            pending[i] = 0.0
            visits[i] += mass
            first, last = start[i], start[i + 1]
            for s in range(first, last):
                code = int(codes[s])
                _, lost = landing_cost(price[i], code)
                share = mass / (last - first)
                pending[i] += share * lost
                x, y, kind = where[s, 0], where[s, 1], kind_in(code)
                if not _throws(decide, x, y, kind):
                    continue
                _corners(decide, owner, extra, x, y, kind, lies, weights)
                for c in range(4):
                    pending[lies[c]] += share * (1.0 - lost) * weights[c]
        for i in range(count):
            left += pending[i]
        if left < 1e-7:
            break


@compiled
def scores(
    decide: Field, owner: NDArray[np.int64], extra: NDArray[np.float64],
    start: NDArray[np.int64],
    where: NDArray[np.float64], codes: NDArray[np.uint8], price: NDArray[np.float64],
    made: NDArray[np.float64], chance: NDArray[np.float64],
) -> float:  # fmt: skip
    """Bring the chances (lie, strokes) to hole out in so many strokes up to date, once.

    ``made`` (step, 2) are the chances to make a putt and its comeback, at ``PUTT_STEP_M``; the
    last column of ``chance`` holds all higher scores. Returns the largest change.
    """
    count, most = chance.shape
    lies, weights = np.empty(4, dtype=np.int64), np.empty(4)
    fresh = np.empty(most)
    change = 0.0
    for i in range(count):
        first, last = start[i], start[i + 1]
        if last == first:
            continue
        fresh[:] = 0.0
        for s in range(first, last):
            code = int(codes[s])
            _, lost = landing_cost(price[i], code)
            x, y, kind = where[s, 0], where[s, 1], kind_in(code)
            strokes = 2 if hazard_in(code) else 1
            if lost > 0.0:
                for k in range(most):
                    fresh[min(k + 2, most - 1)] += lost * chance[i, k]
            if _throws(decide, x, y, kind):
                dearer = min(_corners(decide, owner, extra, x, y, kind, lies, weights), 1.0)
                for c in range(4):
                    for k in range(most):
                        share = (1.0 - lost) * weights[c] * chance[lies[c], k]
                        fresh[min(k + strokes, most - 1)] += (1.0 - dearer) * share
                        fresh[min(k + strokes + 1, most - 1)] += dearer * share
            else:
                at = math.hypot(x - decide.basket_m, y) / PUTT_STEP_M
                k = int(at)
                one = made[k, 0] + (at - k) * (made[k + 1, 0] - made[k, 0])
                two = made[k, 1] + (at - k) * (made[k + 1, 1] - made[k, 1])
                fresh[min(strokes + 1, most - 1)] += (1.0 - lost) * one
                left = (1.0 - lost) * (1.0 - one)
                for k in range(strokes + 2, most):
                    fresh[k] += left * two if k < most - 1 else left
                    left *= 1.0 - two
        for k in range(most):
            fresh[k] /= last - first
            change = max(change, abs(fresh[k] - chance[i, k]))
            chance[i, k] = fresh[k]
    return change
