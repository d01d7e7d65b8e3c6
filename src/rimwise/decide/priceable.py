"""A table whose lies can be priced again: for discs that nobody owns, and in other weather."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol, Self

import numpy as np
from numpy.typing import NDArray

from rimwise.beliefs.fleet import Fleet
from rimwise.decide.carry import Table
from rimwise.decide.clouds import Simulator
from rimwise.decide.days import Day
from rimwise.decide.demand import Progress
from rimwise.records.assumptions import Assumptions

__all__ = ["Priceable"]


class Priceable(Table, Protocol):
    """A table with frozen lies and strokes-to-finish, which go for whatever is priced on it.

    :class:`rimwise.decide.demand.Demand` and :class:`rimwise.decide.hole_table.HoleTable` are.
    """

    @property
    def next_m(self) -> NDArray[np.float32]:
        """(row, disc, sample, 2) metres: from where the next throw is made, in some frame."""

    def ahead_m_s(self, row: int, /) -> float:
        """Return the wind that blows from the basket toward a row's lie."""

    def with_more(
        self, simulator: Simulator, more: Fleet, assume: Assumptions, progress: Progress = ..., /
    ) -> Self:
        """Return the table with more discs behind its own."""

    def priced_in(
        self,
        simulator: Simulator,
        fleet: Fleet,
        number: int,
        weathers: Sequence[Day],
        assume: Assumptions,
        /,
    ) -> list[NDArray[np.float64]]:
        """Return what discs cost on the rows of one day in other weathers, (row, disc) strokes."""
