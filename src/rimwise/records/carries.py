"""A carry: the discs chosen to go, named and dated."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from rimwise.errors import InputError
from rimwise.records.carts import CartItem
from rimwise.records.conditions import Conditions

__all__ = ["Carry", "things_for"]


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
    items
        What else rides on the cart on this occasion, with its mass and place.
    take
        What to take for the weather.
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
    items: tuple[CartItem, ...] = ()
    take: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        if not self.disc_ids:
            raise InputError(f"carry {self.name!r} has no disc.")
        if len(set(self.disc_ids)) != len(self.disc_ids):
            raise InputError(f"carry {self.name!r} names a disc twice.")


def things_for(
    conditions: Conditions, *, cold_below_c: float, hot_above_c: float
) -> tuple[str, ...]:
    """Return what to take for the weather, with the reason (common practice, no source).

    A thing is taken when any day of the conditions asks for it.
    """
    days = [day for day in conditions.days if day.weight > 0.0]
    wet = any(day.wet for day in days)
    coldest = min(day.temperature_c for day in days)
    warmest = max(day.temperature_c for day in days)
    asked = (
        (wet, "a second towel, kept dry: hands and discs get wet"),
        (wet or warmest > hot_above_c, "grip powder: wet or sweaty hands slip"),
        (coldest < cold_below_c, "hand warmers and a layer more: cold hands and arms throw short"),
        (warmest > hot_above_c, "a litre of water more, and shade: heat tires"),
        (any(day.dusk for day in days), "a lamp: light is poor for finding a disc"),
    )
    return tuple(thing for needed, thing in asked if needed)
