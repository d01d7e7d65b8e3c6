"""What a map file gives: tagged points, lines and areas, before they become a course.

Both map formats are read into these, so that one assembly and one set of messages serves
both. Tags are those of the OpenStreetMap wiki (Key:disc_golf, Tag:leisure=disc_golf_course,
Tag:natural=water, Tag:natural=wood, Tag:landuse=forest, Tag:natural=scrub, Tag:natural=heath).
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass

from rimwise.errors import InputError
from rimwise.records.courses import AreaKind, Course

__all__ = [
    "OSM_ATTRIBUTION",
    "CourseImport",
    "LatLon",
    "MapArea",
    "MapData",
    "MapLine",
    "MapPoint",
    "area_kind",
    "check_position",
    "check_size",
    "length_m",
    "natural_key",
    "shown",
    "whole_number",
]

#: The notice that the Open Database License asks for, in the form the project suggests.
OSM_ATTRIBUTION = "© OpenStreetMap contributors, ODbL 1.0"

#: One course and its surroundings fill well under a megabyte.
MAX_FILE_BYTES = 25_000_000

METRES_PER = {
    "": 1.0, "m": 1.0, "metre": 1.0, "metres": 1.0, "meter": 1.0, "meters": 1.0,
    "ft": 0.3048, "foot": 0.3048, "feet": 0.3048, "'": 0.3048,
    "yd": 0.9144, "yds": 0.9144, "yard": 0.9144, "yards": 0.9144,
}  # fmt: skip

#: Areas by their ``disc_golf`` tag; the last three are ours, for maps that an owner draws.
_OWN_KINDS = {
    "out_of_bounds": AreaKind.OUT_OF_BOUNDS,
    "fairway": AreaKind.FAIRWAY,
    "thick_rough": AreaKind.THICK,
    "no_run_up": AreaKind.NO_RUN_UP,
    "low_ceiling": AreaKind.LOW_CEILING,
}

LatLon = tuple[float, float]
"""Latitude and longitude in degrees (WGS 84)."""

Tags = Mapping[str, str]


@dataclass(frozen=True, slots=True)
class MapPoint:
    """A tagged point; ``label`` says where it stands in the file ("node 12")."""

    label: str
    tags: Tags
    at: LatLon


@dataclass(frozen=True, slots=True)
class MapLine:
    """A tagged line, such as a hole from tee to basket."""

    label: str
    tags: Tags
    path: tuple[LatLon, ...]


@dataclass(frozen=True, slots=True)
class MapArea:
    """A tagged area: pieces of its outer and inner rings, closed or still to be joined."""

    label: str
    tags: Tags
    outer: tuple[tuple[LatLon, ...], ...]
    inner: tuple[tuple[LatLon, ...], ...] = ()


@dataclass(frozen=True, slots=True)
class MapData:
    """Everything of interest in one map file."""

    points: tuple[MapPoint, ...]
    lines: tuple[MapLine, ...]
    areas: tuple[MapArea, ...]
    attribution: str = ""
    warnings: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class CourseImport:
    """A course read from a file.

    Parameters
    ----------
    course
        What could be used.
    warnings
        One sentence for each thing that was repaired, guessed or left out.
    notes
        What the file says beyond the course record (a mandatory without a side).
    """

    course: Course
    warnings: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()


def area_kind(tags: Tags) -> AreaKind | None:
    """Return what kind of area these tags describe, if one that matters to a throw."""
    own = _OWN_KINDS.get(tags.get("disc_golf", ""))
    if own is not None:
        return own
    if tags.get("natural") == "water":
        return AreaKind.WATER
    if tags.get("natural") == "wood" or tags.get("landuse") == "forest":
        return AreaKind.WOOD
    if tags.get("natural") in ("scrub", "heath"):
        return AreaKind.THICK
    return None


def check_size(data: bytes) -> None:
    """Refuse a file that cannot be a course.

    Raises
    ------
    InputError
        When the file is empty or larger than 25 MB.
    """
    if not data.strip():
        raise InputError("the map file is empty; export the course again.")
    if len(data) > MAX_FILE_BYTES:
        raise InputError(
            f"the map file has {len(data) / 1e6:.0f} MB, more than the {MAX_FILE_BYTES / 1e6:.0f} "
            "MB read here; export only the course and its surroundings."
        )


def check_position(label: str, lat_deg: float, lon_deg: float) -> LatLon:
    """Return the position, or say that ``label`` is not on the globe.

    Raises
    ------
    InputError
        When latitude or longitude is not finite or out of range.
    """
    for name, value, limit in (("latitude", lat_deg, 90.0), ("longitude", lon_deg, 180.0)):
        if not (math.isfinite(value) and abs(value) <= limit):
            raise InputError(
                f"{label} has {name} {value:g}, which must be between {-limit:g} and {limit:g} "
                "degrees; check that latitude and longitude are not swapped."
            )
    return lat_deg, lon_deg


def length_m(text: str) -> float | None:
    """Return a length written as "91", "91 m", "300 ft", "300'" or "100 yd" in metres.

    A bare number is metres, as the OpenStreetMap wiki has it for ``dist`` and ``ele``.
    ``None`` when the text is no such length.
    """
    found = re.fullmatch(r"\s*([+-]?\d+(?:[.,]\d+)?)\s*([A-Za-z']*)\.?\s*", text)
    if found is None or found[2].lower() not in METRES_PER:
        return None
    value = float(found[1].replace(",", ".")) * METRES_PER[found[2].lower()]
    return value if math.isfinite(value) else None


def natural_key(ref: str) -> tuple[tuple[int, int, str], ...]:
    """Sort key that puts holes in playing order: 1, 2, …, 10, 12, 12A."""
    parts = re.findall(r"\d+|\D+", ref.strip())
    # Digits compare by how many there are, then one by one: no number is too long for it.
    numbers = (part.lstrip("0") if part.isdecimal() else part.casefold() for part in parts)
    return tuple(
        (0, len(said), said) if part.isdecimal() else (1, 0, said)
        for part, said in zip(parts, numbers, strict=True)
    )


def shown(text: str) -> str:
    """Return a text from a file as a message quotes it: short, on one line."""
    said = text if len(text) <= _MOST_SHOWN else f"{text[:_MOST_SHOWN]}…"
    return repr(said)


#: Signs of a text that a message quotes.
_MOST_SHOWN = 40


def whole_number(text: str) -> int | None:
    """Return the number that a few decimal digits write, if they do."""
    return int(text) if re.fullmatch(r"\d{1,9}", text) else None
