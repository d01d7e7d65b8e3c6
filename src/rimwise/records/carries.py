"""A carry: the discs chosen to go, named and dated."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from rimwise.errors import InputError

__all__ = ["Carry"]


@dataclass(frozen=True, slots=True)
class Carry:
    """A set of discs chosen for an occasion.

    Parameters
    ----------
    name
        The occasion in the owner's words ("winter league").
    disc_ids
        The discs that go.
    alternates
        Discs left in the car for a swap after feeling the wind.
    reasons
        Why each disc goes, by disc id.
    seed
        Root seed of the simulations behind it.
    """

    name: str
    on: date
    conditions: str
    course: str
    disc_ids: tuple[str, ...]
    alternates: tuple[str, ...] = ()
    reasons: tuple[tuple[str, str], ...] = ()
    strokes_per_round: float | None = None
    strokes_se: float | None = None
    seed: int = 0
    note: str = ""

    def __post_init__(self) -> None:
        if not self.disc_ids:
            raise InputError(f"carry {self.name!r} has no disc.")
        if len(set(self.disc_ids)) != len(self.disc_ids):
            raise InputError(f"carry {self.name!r} names a disc twice.")
