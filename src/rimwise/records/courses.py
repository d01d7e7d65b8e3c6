"""Courses in a local metric frame: x east, y north, metres from the course's origin."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

from rimwise.errors import InputError, check_range

__all__ = [
    "LONGEST_HOLE_M",
    "MOST_HOLES",
    "SHORTEST_HOLE_M",
    "Area",
    "AreaKind",
    "Course",
    "DropZone",
    "Hole",
    "Mandatory",
    "Point",
    "Side",
    "Trouble",
]

#: Four rounds of 18; a file with more holds several courses or layouts (no source).
MOST_HOLES = 72

#: Holes are from this to that long, metres (generous; common practice, no source).
SHORTEST_HOLE_M, LONGEST_HOLE_M = 10.0, 500.0

#: A point of the local frame, metres east and north of the origin.
Point = tuple[float, float]


class AreaKind(StrEnum):
    """What a mapped area is.

    ``THICK`` is tall grass, heather or bushes that hide a disc. In ``NO_RUN_UP`` (roots, a steep
    bank) nobody can run up to a throw; under a ``LOW_CEILING`` it cannot be thrown high.
    """

    WATER = "water"
    WOOD = "wood"
    OUT_OF_BOUNDS = "out of bounds"
    FAIRWAY = "fairway"
    THICK = "thick rough"
    NO_RUN_UP = "no run-up"
    LOW_CEILING = "low ceiling"


class Side(StrEnum):
    """A side as seen from the tee, looking at the basket."""

    LEFT = "left"
    RIGHT = "right"


class Trouble(StrEnum):
    """After what a drop zone is played from."""

    ANY = "any"
    WATER = "water"
    OUT_OF_BOUNDS = "out of bounds"
    MANDATORY = "mandatory"


@dataclass(frozen=True, slots=True)
class Area:
    """A polygon with optional openings (an island in a pond).

    ``ring`` and each of ``openings`` are closed implicitly: the first point is not repeated.

    Parameters
    ----------
    stems_per_ha
        Tree stems on a hectare of a wood; ``None`` for the assumed wood.
    canopy_m
        Height of a wood's trees, of thick rough, or of the branches over a low ceiling;
        ``None`` for what is assumed.
    drawn
        Whether the owner drew it; what a map brought is replaced when the map comes again.
    """

    kind: AreaKind
    ring: tuple[Point, ...]
    openings: tuple[tuple[Point, ...], ...] = ()
    name: str = ""
    stems_per_ha: float | None = None
    canopy_m: float | None = None
    drawn: bool = False

    def __post_init__(self) -> None:
        if len(self.ring) < 3:
            raise InputError(f"{self.kind} area {self.name!r} needs at least three corners.")
        where = f" of the {self.kind} {self.name}".rstrip()
        if self.stems_per_ha is not None:
            check_range("stems per hectare" + where, self.stems_per_ha, 0.0, 20_000.0)
        if self.canopy_m is not None:
            check_range("height" + where, self.canopy_m, 0.2, 80.0, "m")


@dataclass(frozen=True, slots=True)
class Mandatory:
    """A mark that every throw on a hole must pass on one side.

    Parameters
    ----------
    at
        The mark (a tree, a post) in the local frame.
    side
        Where the disc has to pass, left or right of the mark.
    """

    hole: str
    at: Point
    side: Side
    name: str = ""
    drawn: bool = False


@dataclass(frozen=True, slots=True)
class DropZone:
    """Where play goes on after a penalty on a hole."""

    hole: str
    at: Point
    after: Trouble = Trouble.ANY
    name: str = ""
    drawn: bool = False


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
    shelter
        Wind on this hole against the reported wind; ``None`` for the assumed shelter factor.
    """

    ref: str
    tee: Point
    basket: Point
    par: int | None = None
    elevation_change_m: float = 0.0
    played_length_m: float | None = None
    name: str = ""
    shelter: float | None = None

    def __post_init__(self) -> None:
        where = f" of hole {self.ref}"
        if not self.ref.strip():
            raise InputError("a hole needs a number (ref).")
        if len(self.ref) > 20:
            raise InputError(
                f"the number of a hole is {self.ref[:20]!r} and longer; write one such as 7 or 12A."
            )
        check_range("length" + where, self.length_m, SHORTEST_HOLE_M, LONGEST_HOLE_M, "m")
        check_range("elevation change" + where, self.elevation_change_m, -120.0, 120.0, "m")
        if self.par is not None:
            check_range("par" + where, self.par, 2, 7)
        if self.shelter is not None:
            check_range("shelter factor" + where, self.shelter, 0.0, 1.5, "times")

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
    mandatories, drop_zones
        Marks to pass on one side, and places to go on from; each on one of the holes.
    """

    name: str
    holes: tuple[Hole, ...]
    areas: tuple[Area, ...] = ()
    origin_lat_deg: float | None = None
    origin_lon_deg: float | None = None
    bearings_known: bool = True
    attribution: str = ""
    mandatories: tuple[Mandatory, ...] = ()
    drop_zones: tuple[DropZone, ...] = ()

    def __post_init__(self) -> None:
        if not self.holes:
            raise InputError(f"course {self.name!r} has no hole.")
        if len(self.holes) > MOST_HOLES:
            raise InputError(
                f"course {self.name!r} has {len(self.holes)} holes, more than the {MOST_HOLES} "
                "taken here; bring one course or layout at a time."
            )
        refs = [hole.ref for hole in self.holes]
        twice = sorted({ref for ref in refs if refs.count(ref) > 1})
        if twice:
            raise InputError(f"course {self.name!r} has hole {twice[0]} twice; renumber one.")
        marked = [m.hole for m in self.mandatories] + [z.hole for z in self.drop_zones]
        for ref in marked:
            self.hole(ref)

    def hole(self, ref: str) -> Hole:
        """Return the hole with this number."""
        for hole in self.holes:
            if hole.ref == ref:
                return hole
        raise InputError(
            f"course {self.name!r} has no hole {ref!r}; "
            f"it has {', '.join(hole.ref for hole in self.holes)}."
        )
