"""Who does whose work: what a carried disc is worth, and who covers for one left at home."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from rimwise.decide.criteria import check_strokes
from rimwise.decide.rules import make_rules
from rimwise.errors import InputError

__all__ = ["StandIn", "TakeOver", "stand_in_costs", "who_takes_over"]


@dataclass(frozen=True, slots=True)
class StandIn:
    """What it costs to leave one chosen disc at home.

    Parameters
    ----------
    disc
        The disc that stays home.
    cost
        Weighted strokes lost when the best others chosen stand in, 0 or more.
    weight
        Weight of the rows it plays.
    rows
        Which rows it plays (indices into the table).
    by
        Which chosen disc stands in on each of ``rows``.
    """

    disc: int
    cost: float
    weight: float
    rows: tuple[int, ...]
    by: tuple[int, ...]

    @property
    def deputies(self) -> tuple[int, ...]:
        """The discs that stand in, the one with the most rows first."""
        discs, counts = np.unique(np.array(self.by, dtype=int), return_counts=True)
        return tuple(int(disc) for disc in discs[np.argsort(-counts, kind="stable")])


@dataclass(frozen=True, slots=True)
class TakeOver:
    """Who does the work of a disc that was not chosen.

    Parameters
    ----------
    disc
        The disc left at home.
    cost
        Weighted strokes lost on the rows it would play best among all discs, 0 or more.
    weight
        Weight of those rows.
    rows
        Those rows (indices into the table); none when some other disc is always as good.
    by
        Which chosen disc plays each of ``rows``.
    """

    disc: int
    cost: float
    weight: float
    rows: tuple[int, ...]
    by: tuple[int, ...]


def stand_in_costs(
    cost: ArrayLike, weights: ArrayLike | None, chosen: Iterable[int]
) -> tuple[StandIn, ...]:
    """Return, for each chosen disc, what is lost when it stays home and the others stand in.

    Parameters
    ----------
    cost, weights
        As for :func:`rimwise.decide.choose.choose`.
    chosen
        The carry, two discs or more.

    Raises
    ------
    InputError
        When the table is malformed or fewer than two discs are chosen.
    """
    table, load, held = _check(cost, weights, chosen)
    if len(held) < 2:
        raise InputError("chosen must hold two discs or more, so that one can stand in.")
    serves = held[table[:, held].argmin(axis=1)]
    report = []
    for disc in held:
        rows = np.flatnonzero(serves == disc)
        others = held[held != disc]
        by = others[table[np.ix_(rows, others)].argmin(axis=1)]
        lost = load[rows] @ (table[rows, by] - table[rows, disc])
        report.append(StandIn(int(disc), float(lost), float(load[rows].sum()), *_ints(rows, by)))
    return tuple(report)


def who_takes_over(
    cost: ArrayLike, weights: ArrayLike | None, chosen: Iterable[int]
) -> tuple[TakeOver, ...]:
    """Return, for each disc not chosen, who plays the rows it would play best among all.

    Parameters and errors as for :func:`stand_in_costs`; one chosen disc is enough. A row that
    several discs play equally well counts for the lowest number among them, chosen discs first.
    """
    table, load, held = _check(cost, weights, chosen)
    serves = held[table[:, held].argmin(axis=1)]
    ahead = table.min(axis=1) < table[np.arange(len(table)), serves]
    best = np.where(ahead, table.argmin(axis=1), serves)
    report = []
    for disc in np.setdiff1d(np.arange(table.shape[1]), held):
        rows = np.flatnonzero(best == disc)
        by = serves[rows]
        lost = load[rows] @ (table[rows, by] - table[rows, disc])
        report.append(TakeOver(int(disc), float(lost), float(load[rows].sum()), *_ints(rows, by)))
    return tuple(report)


def _check(
    cost: ArrayLike, weights: ArrayLike | None, chosen: Iterable[int]
) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.int64]]:
    table, load, _ = check_strokes(cost, weights)
    discs = table.shape[1]
    held = make_rules(discs, discs, must=chosen).must
    if not held:
        raise InputError("chosen must name at least one disc, but is empty.")
    return table, load, np.array(held, dtype=np.int64)


def _ints(
    rows: NDArray[np.int64], by: NDArray[np.int64]
) -> tuple[tuple[int, ...], tuple[int, ...]]:
    return tuple(int(row) for row in rows), tuple(int(disc) for disc in by)
