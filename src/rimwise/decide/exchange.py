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


def within(caps: tuple[Cap, ...], chosen: tuple[int, ...]) -> bool:
    """Tell whether a set keeps every earlier criterion within its tolerance."""
    return all(table.value(chosen) <= most for table, most in caps)


def improve(
    table: Table, rules: Rules, caps: tuple[Cap, ...], start: tuple[int, ...]
) -> tuple[int, ...]:
    """Add, drop or swap the best single disc until nothing improves ``table``."""
    held, value = start, table.value(start)
    while True:
        found, best = held, value - _EQUAL * max(1.0, abs(value))
        for kept in ((), *((disc,) for disc in held)):
            base = tuple(disc for disc in held if disc not in kept)
            if base and rules.allow(base) and within(caps, base) and table.value(base) < best:
                found, best = base, table.value(base)
            totals = np.where(_allowed(rules, caps, base), table.value_with_each(base), np.inf)
            disc = int(totals.argmin())
            if totals[disc] < best:
                found, best = tuple(sorted((*base, disc))), float(totals[disc])
        if found == held:
            return held
        held, value = found, table.value(found)


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
