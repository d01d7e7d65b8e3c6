"""Add, drop and swap single discs: a good carry to start a proof from, and a tidy one to end on.

Nothing here is needed for exactness. A good first carry lets the proof discard most of the tree
(interchange: Teitz & Bart 1968, Operations Research 16, 955-961).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from rimwise.decide.criteria import Table
from rimwise.decide.rules import Rules

__all__ = ["Cap", "improve", "tidy", "within"]

Cap = tuple[Table, float]
"""A criterion and the most it may come to, offset left out."""

_EQUAL = 1e-12
#: Steps looked at one by one, the best first; rounding makes more than one or two of them rare.
_TRIED = 10


def within(caps: tuple[Cap, ...], chosen: tuple[int, ...]) -> bool:
    """Tell whether a set keeps every earlier criterion within its tolerance."""
    return all(table.value(chosen) <= most for table, most in caps)


def improve(
    table: Table, rules: Rules, caps: tuple[Cap, ...], start: tuple[int, ...]
) -> tuple[int, ...]:
    """Add, drop or swap the best single disc until nothing improves ``table``."""
    held = start
    while True:
        found = _best_step(table, rules, caps, held)
        if found is None:
            return held
        held = found


def _best_step(
    table: Table, rules: Rules, caps: tuple[Cap, ...], held: tuple[int, ...]
) -> tuple[int, ...] | None:
    """Return the best set that is one disc away, if it is better.

    One pass values all of them to rounding; the set that is taken is valued and checked by itself.
    """
    value = table.value(held)
    enough = value - _EQUAL * max(1.0, abs(value))
    added, dropped, swapped = table.exchanged(held)
    totals = np.vstack([added, swapped])
    fits = np.array(
        [rules.allow_each(base) for base in (held, *(_without(held, disc) for disc in held))]
    )
    for earlier, most in caps:
        with_each, _, without = earlier.exchanged(held)
        fits &= np.vstack([with_each, without]) <= most + _EQUAL * max(1.0, abs(most))
    totals[~fits] = np.inf
    steps = [
        (float(total), _without(held, disc))
        for disc, total in zip(held, dropped, strict=True)
        if len(held) > 1 and total < value
    ]
    for place in np.argsort(totals, axis=None, kind="stable").tolist():
        row, disc = divmod(place, totals.shape[1])
        if totals[row, disc] >= value:
            break
        base = held if row == 0 else _without(held, held[row - 1])
        steps.append((float(totals[row, disc]), tuple(sorted((*base, disc)))))
        if len(steps) > len(held) + _TRIED:
            break
    for _, found in sorted(steps, key=lambda step: step[0]):
        if rules.allow(found) and within(caps, found) and table.value(found) < enough:
            return found
    return None


def _without(held: tuple[int, ...], disc: int) -> tuple[int, ...]:
    return tuple(other for other in held if other != disc)


def tidy(
    table: Table, rules: Rules, caps: tuple[Cap, ...], chosen: tuple[int, ...]
) -> tuple[int, ...]:
    """Settle ties: leave idle discs at home, then prefer lower numbers, one swap at a time.

    The objective and the earlier criteria stay as they are to rounding, so that the same table
    gives the same carry whatever order the proof went in (as far as single swaps reach).
    """
    held = chosen
    most = _ceiling(table.value(held))
    caps = tuple((earlier, min(limit, _ceiling(earlier.value(held)))) for earlier, limit in caps)
    for disc in reversed(chosen):
        base = tuple(other for other in held if other != disc)
        if base and rules.allow(base) and table.value(base) <= most and within(caps, base):
            held = base
    swapped = True
    while swapped:
        swapped = False
        for disc in held:
            base = tuple(other for other in held if other != disc)
            fits = _allowed(rules, caps, base) & (table.value_with_each(base) <= most)
            lower = int(fits[:disc].argmax()) if fits[:disc].any() else disc
            if lower != disc:
                held, swapped = tuple(sorted((*base, lower))), True
                break
    return held


def _ceiling(value: float) -> float:
    return value + _EQUAL * max(1.0, abs(value))


def _allowed(rules: Rules, caps: tuple[Cap, ...], base: tuple[int, ...]) -> NDArray[np.bool_]:
    """Return (discs,): whether ``base`` plus that disc obeys rules and tolerances."""
    fits = rules.allow_each(base)
    for table, most in caps:
        fits = fits & (table.value_with_each(base) <= most)
    return fits
