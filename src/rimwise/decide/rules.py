"""What a carry has to obey: how many discs, which must or must not go, and sums of any kind.

The owner's rules become one table ``matrix @ x <= upper`` over the indicator ``x`` of the
chosen discs, so that search and proof check the very same numbers. Rules that cannot be met
are refused here, with the rule that stands in the way, before anything is optimised.
"""

from __future__ import annotations

import operator
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import SupportsIndex

import numpy as np
from numpy.typing import ArrayLike, NDArray

from rimwise.errors import InputError

__all__ = ["AtLeast", "Linear", "Rules", "finite_array", "make_rules"]

AtLeast = Sequence[tuple[Iterable[int], int]]
Linear = tuple[ArrayLike, ArrayLike] | None

_SLACK = 1e-9
"""Relative room given to every sum, so that 20 x 0.175 kg still fits into 3.5 kg."""


@dataclass(frozen=True, slots=True, eq=False)
class Rules:
    """The rules of a carry over ``discs`` discs.

    Parameters
    ----------
    discs
        How many discs there are to choose from.
    limit
        Most discs that may go (at least one always goes).
    must, never
        Sorted indices of discs that have to go or have to stay.
    matrix, upper
        (rules, discs) and (rules,): ``matrix @ x <= upper``.
    words
        What each row of ``matrix`` asks for, for messages.
    """

    discs: int
    limit: int
    must: tuple[int, ...]
    never: tuple[int, ...]
    matrix: NDArray[np.float64]
    upper: NDArray[np.float64]
    words: tuple[str, ...]

    def with_limit(self, limit: int) -> Rules:
        """Return the same rules with another most number of discs."""
        return replace(self, limit=limit)

    @property
    def free(self) -> NDArray[np.bool_]:
        """(discs,) whether a disc may go."""
        free = np.ones(self.discs, dtype=bool)
        free[list(self.never)] = False
        return free

    def allow(self, chosen: Iterable[int]) -> bool:
        """Tell whether a set of discs obeys every rule."""
        held = sorted(set(chosen))
        if not 1 <= len(held) <= self.limit:
            return False
        if not set(self.must) <= set(held) or set(self.never) & set(held):
            return False
        return bool(np.all(self.matrix[:, held].sum(axis=1) <= self.upper))

    def allow_each(self, kept: Sequence[int]) -> NDArray[np.bool_]:
        """Return (discs,): whether ``kept`` plus that one disc obeys every rule."""
        if not set(self.must) - set(kept):
            fits = self.free
        else:
            fits = np.zeros(self.discs, dtype=bool)
            missing = sorted(set(self.must) - set(kept))
            fits[missing] = len(missing) == 1
        if len(kept) + 1 > self.limit:
            fits[:] = False
        fits[list(kept)] = False
        sums = self.matrix[:, list(kept)].sum(axis=1)[:, None] + self.matrix
        allowed: NDArray[np.bool_] = fits & np.all(sums <= self.upper[:, None], axis=0)
        return allowed

    def smallest(self) -> tuple[int, ...] | None:
        """Return a smallest set that obeys the rules whatever the limit, or None."""
        from scipy.optimize import Bounds, LinearConstraint, milp

        low = np.zeros(self.discs)
        low[list(self.must)] = 1.0
        ones = np.ones((1, self.discs))
        bounds = [LinearConstraint(ones, 1.0, np.inf)]
        if len(self.upper):
            bounds.append(LinearConstraint(self.matrix, -np.inf, self.upper))
        found = milp(
            np.ones(self.discs),
            constraints=bounds,
            integrality=np.ones(self.discs, dtype=np.int64),
            bounds=Bounds(low, self.free.astype(float)),
        )
        if found.x is None:
            return None
        return tuple(int(disc) for disc in np.flatnonzero(found.x > 0.5))

    def start(self) -> tuple[int, ...]:
        """Return a smallest set that obeys the rules.

        Raises
        ------
        InputError
            When there is none, naming the rule that stands in the way where one does.
        """
        found = self.smallest()
        if found is None:
            raise InputError(f"No carry can meet every rule: {self._culprit()}")
        if len(found) > self.limit:
            raise InputError(
                f"The rules together need at least {len(found)} discs, but the limit is "
                f"{self.limit}; raise the limit or loosen a rule."
            )
        return found

    def _culprit(self) -> str:
        """Name one rule without which the others can be met."""
        for row, words in enumerate(self.words):
            others = np.arange(len(self.words)) != row
            if replace(self, matrix=self.matrix[others], upper=self.upper[others]).smallest():
                return f"{words} stands against the others; loosen it."
        return "several of them stand against each other; loosen more than one."


def make_rules(
    discs: int,
    limit: int,
    must: Iterable[int] = (),
    never: Iterable[int] = (),
    at_least: AtLeast = (),
    linear: Linear = None,
) -> Rules:
    """Check the rules of a carry one by one and put them into one table.

    Raises
    ------
    InputError
        When a rule is malformed or cannot be met; the sentence names the rule.
    """
    most = _whole("limit", limit)
    if most < 1:
        raise InputError(f"limit must be 1 or more, because a round needs a disc, but is {most}.")
    go, stay = _indices("must", must, discs), _indices("never", never, discs)
    both = sorted(set(go) & set(stay))
    if both:
        raise InputError(f"disc {both[0]} is in must and in never; take it out of one of them.")
    if len(go) > most:
        raise InputError(
            f"must names {len(go)} discs, but the limit is {most}; raise the limit or name fewer."
        )
    if len(stay) == discs:
        raise InputError("never names every disc, so none is left to carry; name fewer.")
    group_rows, group_upper, group_words = _group_rows(discs, most, stay, at_least)
    sum_rows, sum_upper, sum_words = _sum_rows(discs, linear)
    return Rules(
        discs=discs,
        limit=most,
        must=go,
        never=stay,
        matrix=np.vstack([group_rows, sum_rows]),
        upper=np.concatenate([group_upper, sum_upper]),
        words=(*group_words, *sum_words),
    )


def _group_rows(
    discs: int, limit: int, never: tuple[int, ...], at_least: AtLeast
) -> tuple[NDArray[np.float64], NDArray[np.float64], list[str]]:
    """Turn "at least k of these" into ``-sum x <= -k``."""
    matrix, upper, words = np.zeros((len(at_least), discs)), np.zeros(len(at_least)), []
    for row, rule in enumerate(at_least):
        name = f"at-least rule {row + 1}"
        try:
            members, asked = rule
        except (TypeError, ValueError):
            raise InputError(
                f"{name} must be a pair (disc indices, how many), but is {rule!r}."
            ) from None
        group = _indices(name, members, discs)
        wanted = _whole(f"the number in {name}", asked)
        there = len(set(group) - set(never))
        if wanted > there:
            raise InputError(
                f"{name} asks for {wanted} discs, but only {there} of its discs may go; "
                f"ask for {there} or fewer, or name more discs."
            )
        if wanted > limit:
            raise InputError(
                f"{name} asks for {wanted} discs, but the limit is {limit}; "
                "raise the limit or ask for fewer."
            )
        matrix[row, list(group)] = -1.0
        upper[row] = -wanted
        words.append(f"{name} (at least {wanted} of discs {', '.join(map(str, group))})")
    return matrix, upper, words


def _sum_rows(
    discs: int, linear: Linear
) -> tuple[NDArray[np.float64], NDArray[np.float64], list[str]]:
    """Check ``A x <= b``; a single rule may come as a vector and a number."""
    if linear is None:
        return np.zeros((0, discs)), np.zeros(0), []
    try:
        left, right = linear
    except (TypeError, ValueError):
        raise InputError("linear must be a pair (A, b) meaning A x <= b.") from None
    matrix = np.atleast_2d(finite_array("A in linear", left))
    upper = np.atleast_1d(finite_array("b in linear", right))
    if matrix.ndim != 2 or matrix.shape[1] != discs or upper.shape != (len(matrix),):
        raise InputError(
            f"linear must hold A with {discs} columns, one for each disc, and b with one number "
            f"for each row of A, but A has shape {matrix.shape} and b {upper.shape}."
        )
    size = np.maximum(np.abs(upper), np.abs(matrix).max(axis=1, initial=0.0))
    words = [f"linear rule {row + 1} (at most {value:g})" for row, value in enumerate(upper)]
    return matrix, upper + _SLACK * size, words


def finite_array(name: str, values: ArrayLike) -> NDArray[np.float64]:
    """Return ``values`` as an array of floats, or say that ``name`` holds something else.

    Raises
    ------
    InputError
        When an entry is no number, NaN or infinite.
    """
    try:
        array = np.array(values, dtype=np.float64)
    except (TypeError, ValueError):
        raise InputError(f"{name} must hold numbers only, in rows of one length.") from None
    wrong = np.argwhere(~np.isfinite(array))
    if len(wrong):
        place = ", ".join(str(int(index)) for index in wrong[0])
        raise InputError(
            f"{name} must hold finite numbers only, but has {array[tuple(wrong[0])]} at [{place}]; "
            "give a disc that cannot do the job a large finite cost, or put it in never."
        )
    return array


def _whole(name: str, value: object) -> int:
    if isinstance(value, SupportsIndex) and not isinstance(value, bool):
        return operator.index(value)
    raise InputError(f"{name} must be a whole number, but is {value!r}.")


def _indices(name: str, values: object, discs: int) -> tuple[int, ...]:
    """Return sorted indices without doubles, each of them a disc that exists."""
    if isinstance(values, str) or not isinstance(values, Iterable):
        raise InputError(f"{name} must be a list of disc indices, but is {values!r}.")
    found = {_whole(f"each disc in {name}", value) for value in values}
    for disc in sorted(found):
        if not 0 <= disc < discs:
            raise InputError(
                f"{name} names disc {disc}, but the discs are numbered 0 to {discs - 1}."
            )
    return tuple(sorted(found))
