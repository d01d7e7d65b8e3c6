"""Courses in a local metric frame: x east, y north, metres from the course's origin."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

from rimwise.errors import InputError, check_range

__all__ = ["Area", "AreaKind", "Course", "Hole", "Point"]

#: A point of the local frame, metres east and north of the origin.
Point = tuple[float, float]


class AreaKind(StrEnum):
    """What a mapped area is."""

    WATER = "water"
    WOOD = "wood"
    OUT_OF_BOUNDS = "out of bounds"
    FAIRWAY = "fairway"


@dataclass(frozen=True, slots=True)
class Area:
    """A polygon with optional openings (an island in a pond).

    ``ring`` and each of ``openings`` are closed implicitly: the first point is not repeated.
    """

    kind: AreaKind
    ring: tuple[Point, ...]
    openings: tuple[tuple[Point, ...], ...] = ()
    name: str = ""

    def __post_init__(self) -> None:
        if len(self.ring) < 3:
            raise InputError(f"{self.kind} area {self.name!r} needs at least three corners.")


@dataclass(frozen=True, slots=True)
class Hole:
    """One hole: from a tee to a basket.

    Parameters
    ----------
    ref
        Its number as posted ("7", "12A").
    tee, basket
        Positions in the local frame, metres.
    par
        Posted par, or ``None``.
    elevation_change_m
        Height of the basket above the tee.
    played_length_m
        The posted length (``dist``), if any; the straight distance is ``length_m``.
    """

    ref: str
    tee: Point
    basket: Point
    par: int | None = None
    elevation_change_m: float = 0.0
    played_length_m: float | None = None
    name: str = ""

    def __post_init__(self) -> None:
        where = f" of hole {self.ref}"
        if not self.ref.strip():
            raise InputError("a hole needs a number (ref).")
        check_range("length" + where, self.length_m, 10.0, 500.0, "m")
        check_range("elevation change" + where, self.elevation_change_m, -120.0, 120.0, "m")
        if self.par is not None:
            check_range("par" + where, self.par, 2, 7)

    @property
    def length_m(self) -> float:
        """Straight distance from tee to basket."""
        return math.dist(self.tee, self.basket)

    @property
    def bearing_deg(self) -> float:
        """Direction from tee to basket, degrees clockwise from true north."""
        east, north = self.basket[0] - self.tee[0], self.basket[1] - self.tee[1]
        return math.degrees(math.atan2(east, north)) % 360.0


@dataclass(frozen=True, slots=True)
class Course:
    """Holes and the areas around them.

    Parameters
    ----------
    origin_lat_deg, origin_lon_deg
        WGS 84 position of the local frame's origin; ``None`` for a course from a table.
    bearings_known
        False for a course known only by its lengths: its holes then point north and the
        wind is averaged around the compass.
    attribution
        Notice owed to the source of the map, shown wherever the course is.
    """

    name: str
    holes: tuple[Hole, ...]
    areas: tuple[Area, ...] = ()
    origin_lat_deg: float | None = None
    origin_lon_deg: float | None = None
    bearings_known: bool = True
    attribution: str = ""

    def __post_init__(self) -> None:
        if not self.holes:
            raise InputError(f"course {self.name!r} has no hole.")
        refs = [hole.ref for hole in self.holes]
        twice = sorted({ref for ref in refs if refs.count(ref) > 1})
        if twice:
            raise InputError(f"course {self.name!r} has hole {twice[0]} twice; renumber one.")

    def hole(self, ref: str) -> Hole:
        """Return the hole with this number."""
        for hole in self.holes:
            if hole.ref == ref:
                return hole
        raise InputError(
            f"course {self.name!r} has no hole {ref!r}; "
            f"it has {', '.join(hole.ref for hole in self.holes)}."
        )
