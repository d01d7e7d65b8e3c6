"""Wishes as rules with words, and the fewest of them that cannot be met together.

A wish is one or more sums over the carried discs that may not exceed a number; "this one goes"
and "at most twenty" are such sums too. Where wishes contradict each other, the smallest set that
does is found exactly: a set that contradicts itself holds one wish of every set whose removal
would cure the whole, and the smallest set that does so is asked for until it cannot be met
(hitting sets: Reiter 1987, "A theory of diagnosis from first principles", Artificial
Intelligence 32, 57-95, cited from memory).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from rimwise.errors import InputError
from rimwise.records.words import joined

__all__ = ["Rule", "count_rule", "refuse_conflict", "smallest_conflict"]

_SLACK = 1e-9
"""Relative room given to every sum, as when a carry is chosen."""


@dataclass(frozen=True, slots=True)
class Rule:
    """A sum over the carried discs that may not exceed a number, in the owner's words.

    Parameters
    ----------
    words
        The wish as a clause: "you ask for a floating disc". Rules of the same words are one wish.
    weights
        (discs,) what each disc adds to the sum.
    most
        What the sum may come to.
    fact
        What stands in the way where the wish fails by itself: "none you own floats".
    """

    words: str
    weights: tuple[float, ...]
    most: float
    fact: str = ""


def count_rule(
    words: str, discs: int, members: Sequence[int], *, least: int = 0, most: int | None = None
) -> tuple[Rule, ...]:
    """Return the rules that at least ``least`` and at most ``most`` of some discs go."""
    held = np.zeros(discs)
    held[list(members)] = 1.0
    rules = []
    if least > 0:
        rules.append(Rule(words, tuple((-held).tolist()), -float(least)))
    if most is not None:
        rules.append(Rule(words, tuple(held.tolist()), float(most)))
    return tuple(rules)


def smallest_conflict(rules: Sequence[Rule], discs: int) -> tuple[str, ...]:
    """Return the words of the fewest wishes that cannot be met together, none if all can.

    At least one disc goes, whatever is wished. Ties go to the wishes named first.
    """
    wishes = list(dict.fromkeys(rule.words for rule in rules))
    parts = _Parts(rules, wishes, discs)
    everything = frozenset(range(len(wishes)))
    if parts.can_meet(everything):
        return ()
    cures: list[frozenset[int]] = []
    while True:
        core = _smallest_hitting(cures, len(wishes))
        if not parts.can_meet(core):
            return tuple(wishes[i] for i in sorted(core))
        cures.append(everything - parts.grown(core, everything))


def refuse_conflict(rules: Sequence[Rule], discs: int) -> None:
    """Say which wishes contradict each other, if some do.

    Raises
    ------
    InputError
        With the fewest wishes that cannot be met together, in words.
    """
    found = smallest_conflict(rules, discs)
    if not found:
        return
    said = joined(list(found))
    if len(found) > 1:
        raise InputError(f"{said}: these cannot be met together; loosen one of them.")
    fact = next((rule.fact for rule in rules if rule.words == found[0] and rule.fact), "")
    stands = f", but {fact}" if fact else ", which no set of your discs can meet"
    raise InputError(f"{said}{stands}; loosen it.")


class _Parts:
    """The rules by wish, and whether some of the wishes can be met together."""

    def __init__(self, rules: Sequence[Rule], wishes: Sequence[str], discs: int) -> None:
        self._discs = discs
        matrix = np.array([rule.weights for rule in rules], dtype=float).reshape(-1, discs)
        most = np.array([rule.most for rule in rules], dtype=float)
        size = np.maximum(np.abs(most), np.abs(matrix).max(axis=1, initial=0.0))
        self._matrix: NDArray[np.float64] = matrix
        self._most: NDArray[np.float64] = most + _SLACK * size
        self._wish = np.array([wishes.index(rule.words) for rule in rules], dtype=np.intp)

    def can_meet(self, some: frozenset[int]) -> bool:
        from scipy.optimize import Bounds, LinearConstraint, milp

        rows = np.isin(self._wish, sorted(some))
        constraints = [LinearConstraint(np.ones((1, self._discs)), 1.0, np.inf)]
        if rows.any():
            constraints.append(LinearConstraint(self._matrix[rows], -np.inf, self._most[rows]))
        found = milp(
            np.zeros(self._discs),
            constraints=constraints,
            integrality=np.ones(self._discs, dtype=np.int64),
            bounds=Bounds(0.0, 1.0),
        )
        return found.x is not None

    def grown(self, some: frozenset[int], everything: frozenset[int]) -> frozenset[int]:
        """Add wishes as long as all can be met together."""
        held = some
        for wish in sorted(everything - some):
            if self.can_meet(held | {wish}):
                held |= {wish}
        return held


def _smallest_hitting(sets: Sequence[frozenset[int]], wishes: int) -> frozenset[int]:
    """Return a smallest set of wishes that has one in each of ``sets``."""
    from scipy.optimize import Bounds, LinearConstraint, milp

    if not sets:
        return frozenset()
    member = np.array([[float(i in some) for i in range(wishes)] for some in sets])
    price = 1.0 + 1e-4 * np.arange(wishes) / max(wishes, 1)  # the wishes named first, in a tie
    found = milp(
        price,
        constraints=[LinearConstraint(member, 1.0, np.inf)],
        integrality=np.ones(wishes, dtype=np.int64),
        bounds=Bounds(0.0, 1.0),
        options={"mip_rel_gap": 0.0},
    )
    return frozenset(np.flatnonzero(np.asarray(found.x) > 0.5).tolist())
