"""A lie as a player says it: "60m 5L", "200 ft 15 right", "tee", or map coordinates."""

from __future__ import annotations

import re
from dataclasses import dataclass

from rimwise.errors import InputError
from rimwise.records.evidence_words import LENGTH_UNITS_M, read_number
from rimwise.records.words import Units, check_short

__all__ = ["AlongAside", "OnMap", "lie_in"]

_NUMBER = r"[-+−]?\d+(?:[.,]\d+)?"
_UNIT = r"m|metres?|meters?|ft|feet|foot|'|yd|yds|yards?"
_ALONG = re.compile(
    rf"({_NUMBER})\s*({_UNIT})?(?:\s*,?\s*({_NUMBER})\s*({_UNIT})?\s*(l|left|r|right))?"
)
_MAP = re.compile(r"([-+−]?\d+\.\d{3,})\s*[, ]\s*([-+−]?\d+\.\d{3,})")
_HOW = 'write it as in "60m 5L" (along, and left or right of the line from tee to basket)'


@dataclass(frozen=True, slots=True)
class AlongAside:
    """A lie in metres: toward the basket from the tee, and to the thrower's left of that line."""

    along_m: float
    left_m: float


@dataclass(frozen=True, slots=True)
class OnMap:
    """A lie by latitude and longitude in degrees (WGS 84)."""

    lat_deg: float
    lon_deg: float


def lie_in(text: str, units: Units) -> AlongAside | OnMap:
    """Read a lie.

    Parameters
    ----------
    text
        "tee"; a distance along the line from tee to basket and, after it, how far left or right
        of it; or latitude and longitude with three decimals or more.
    units
        What bare numbers are in.

    Raises
    ------
    InputError
        When it is none of these.
    """
    check_short(text, "the lie")
    said = text.strip().lower()
    if said == "tee":
        return AlongAside(0.0, 0.0)
    if found := _MAP.fullmatch(said):
        return OnMap(read_number(found[1]), read_number(found[2]))
    found = _ALONG.fullmatch(said)
    if not found:
        raise InputError(f"the lie {text.strip()[:40]!r} is no place; {_HOW}.")
    unit = found[2] or found[4] or units
    along_m = read_number(found[1]) * LENGTH_UNITS_M[unit]
    if found[3] is None:
        return AlongAside(along_m, 0.0)
    aside_m = read_number(found[3]) * LENGTH_UNITS_M[found[4] or unit]
    return AlongAside(along_m, aside_m if found[5].startswith("l") else -aside_m)
