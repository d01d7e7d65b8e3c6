"""Rimwise: which discs to carry, how each one flies for your arm, and why.

The names below are the public contract; everything else may change. They are loaded
on first use, so that ``import rimwise`` stays quick.
"""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING

from rimwise.flight.showing import lend_pen

if TYPE_CHECKING:
    from rimwise.app.drawing import Drawing, draw_flights
    from rimwise.decide.choose import Choice, choose
    from rimwise.errors import InputError, NotFoundError, RimwiseError, StoreError
    from rimwise.flight.aero import Aero
    from rimwise.flight.air import Air
    from rimwise.flight.body import Body
    from rimwise.flight.flights import Flight, Flights
    from rimwise.flight.fly import fly, fly_many
    from rimwise.flight.printed import Printed, aero_from_printed
    from rimwise.flight.release import Release
    from rimwise.flight.wind import Wind
    from rimwise.packing.statics import CartLoad

__all__ = [
    "Aero",
    "Air",
    "Body",
    "CartLoad",
    "Choice",
    "Drawing",
    "Flight",
    "Flights",
    "InputError",
    "NotFoundError",
    "Printed",
    "Release",
    "RimwiseError",
    "StoreError",
    "Wind",
    "__version__",
    "aero_from_printed",
    "choose",
    "draw_flights",
    "fly",
    "fly_many",
]

__version__ = "0.1.0"

_HOME = {
    "Aero": "flight.aero",
    "Air": "flight.air",
    "Body": "flight.body",
    "CartLoad": "packing.statics",
    "Choice": "decide.choose",
    "Drawing": "app.drawing",
    "Flight": "flight.flights",
    "Flights": "flight.flights",
    "InputError": "errors",
    "NotFoundError": "errors",
    "Printed": "flight.printed",
    "Release": "flight.release",
    "RimwiseError": "errors",
    "StoreError": "errors",
    "Wind": "flight.wind",
    "aero_from_printed": "flight.printed",
    "choose": "decide.choose",
    "draw_flights": "app.drawing",
    "fly": "flight.fly",
    "fly_many": "flight.fly",
}


def __getattr__(name: str) -> object:
    """Load a public name from the module that defines it."""
    home = _HOME.get(name)
    if home is None:
        raise AttributeError(f"module 'rimwise' has no attribute {name!r}")
    value = getattr(importlib.import_module(f"rimwise.{home}"), name)
    globals()[name] = value
    return value


def __dir__() -> list[str]:
    """List the public names, loaded or not."""
    return sorted(set(globals()) | set(__all__))


def _draw(flown: Flight | Flights) -> str | None:
    """Draw what was flown; the pictures are loaded when the first one is asked for."""
    from rimwise.app.drawing import picture_of

    return picture_of(flown)


lend_pen(_draw)
