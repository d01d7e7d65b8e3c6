"""The place where a higher layer leaves its pen.

Flights can show themselves in a notebook, but this layer knows no pictures. Whoever knows
them lends a drawing function here (``rimwise/__init__`` does); without one, a flight shows
itself in words only.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, TypeAlias

if TYPE_CHECKING:
    from rimwise.flight.flights import Flight, Flights

    #: Turns what was flown into one ``<svg>`` element, or nothing where there is no path.
    Pen: TypeAlias = Callable[[Flight | Flights], str | None]

__all__ = ["drawn", "lend_pen"]

_lent: dict[str, Pen] = {}


def lend_pen(pen: Pen | None) -> Pen | None:
    """Draw flights with ``pen`` from now on, or not at all; return the pen used until now."""
    before = _lent.pop("pen", None)
    if pen is not None:
        _lent["pen"] = pen
    return before


def drawn(flown: Flight | Flights) -> str | None:
    """Return the picture of a flight or of many, if a pen was lent and there is a path."""
    pen = _lent.get("pen")
    return None if pen is None else pen(flown)
