"""What a wood does to a flight: chance to strike a stem per metre, and how high the trees are.

A disc strikes a stem when its middle comes within half a stem's and half a disc's width of the
stem's middle. Among stems that stand anywhere alike (a Poisson forest) the chance per metre
flown is therefore stems per square metre times the sum of both widths.
"""

from __future__ import annotations

from rimwise.course.features import shown
from rimwise.errors import InputError
from rimwise.records.assumptions import Assumptions
from rimwise.records.courses import Area

__all__ = ["DISC_WIDTH_M", "WOODS", "canopy_m", "hits_per_m", "stems_in_words"]

#: Width of a disc, metres; the least that the sport's technical standards allow.
DISC_WIDTH_M = 0.21
_SQUARE_M_PER_HA = 10_000.0

#: Stems on a hectare of woods by the word for them (memory: old parks, forests, thickets).
WOODS = {"open": 120.0, "medium": 400.0, "dense": 1500.0}


def hits_per_m(area: Area, assume: Assumptions) -> float:
    """Return the chance to strike a stem per metre flown below a wood's canopy."""
    if area.stems_per_ha is None:
        return assume.wood_hit_per_m
    return area.stems_per_ha / _SQUARE_M_PER_HA * (assume.wood_stem_m + DISC_WIDTH_M)


def canopy_m(area: Area, assume: Assumptions) -> float:
    """Return the height of a wood's trees above the ground."""
    return assume.wood_canopy_m if area.canopy_m is None else area.canopy_m


def stems_in_words(text: str) -> float:
    """Return the stems on a hectare said as a number or as open, medium or dense.

    Raises
    ------
    InputError
        When it is neither.
    """
    said = text.strip().casefold()
    if said in WOODS:
        return WOODS[said]
    try:
        return float(said)
    except ValueError:
        raise InputError(
            f"{shown(text)} is no wood; write the stems on a hectare, or {', '.join(WOODS)}."
        ) from None
