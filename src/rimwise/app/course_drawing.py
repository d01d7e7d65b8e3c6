"""Drawing on a hole: corners so far out and so far aside become an area, or a place a mark."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

import numpy as np

from rimwise.decide.report import AreaShape
from rimwise.errors import InputError
from rimwise.pictures.ground_map import Ground, GroundMark
from rimwise.records import words
from rimwise.records.courses import (
    Area,
    AreaKind,
    Course,
    DropZone,
    Hole,
    Mandatory,
    Point,
    Side,
    Trouble,
)
from rimwise.records.words import METRES_PER_FOOT, Units
from rimwise.store.course_journal import CourseJournal
from rimwise.store.store import Store

__all__ = [
    "DROP_ZONE",
    "KINDS",
    "MANDATORY",
    "OPENING",
    "Corner",
    "Sketch",
    "Sketched",
    "WithinError",
    "around",
    "corners_in",
    "ground_of",
    "keep_sketch",
    "look_at_sketch",
]

Corner = tuple[float, float]
"""So far out from the tee toward the basket, and so far left of that line, metres."""

MANDATORY, DROP_ZONE, OPENING = "mandatory", "drop zone", "opening"
#: What can be drawn.
KINDS = (*(kind.value for kind in AreaKind), OPENING, MANDATORY, DROP_ZONE)
#: An area smaller than this is a slip of the finger, m².
_LEAST_M2 = 1.0
#: More corners than anybody draws by hand.
_MOST_CORNERS = 200
_MARGIN_M = 80.0
_CORNER = re.compile(
    r"(?P<out>[+-]?\d+(?:[.,]\d+)?)\s*(?:m|ft|')?(?:[\s,;]+(?P<aside>\d+(?:[.,]\d+)?)\s*(?:m|ft|')?"
    r"\s*(?P<side>l|r|left|right)?)?",
    re.IGNORECASE,
)


@dataclass(frozen=True, slots=True)
class Sketch:
    """What is drawn on a hole.

    Parameters
    ----------
    kind
        One of :data:`KINDS`.
    corners
        Around an area in order, the first not repeated; one place for a mark.
    stems
        How dense a wood is: open, medium, dense, or stems on a hectare; empty for the usual.
    height_m
        Of a wood's trees, of thick rough, or of the branches over a low ceiling.
    side, after
        Where a mandatory is passed; what a drop zone is for.
    within
        The number, in the course's list, of the area that an opening is in; ``None`` for the only
        one there.
    """

    kind: str
    corners: tuple[Corner, ...]
    name: str = ""
    stems: str = ""
    height_m: float | None = None
    side: str = ""
    after: str = Trouble.ANY.value
    within: int | None = None


class WithinError(InputError):
    """Which area an opening is in cannot be told."""


@dataclass(frozen=True, slots=True)
class Sketched:
    """A course with the sketch on it, and what is to be said of that; nothing is saved."""

    course: Course
    words: str
    warnings: tuple[str, ...]


def corners_in(text: str, units: Units) -> tuple[Corner, ...]:
    """Return the corners typed one to a line: how far out, how far aside, and the side.

    Raises
    ------
    InputError
        When a line is no corner; it names the line.
    """
    one_m = 1.0 if units == "m" else METRES_PER_FOOT
    found = []
    for number, line in enumerate(text.splitlines(), start=1):
        if not line.strip():
            continue
        said = _CORNER.fullmatch(line.strip())
        aside = 0.0 if said is None or not said["aside"] else _value(said["aside"])
        if said is None or (aside and not said["side"]):
            raise InputError(
                f"Line {number}, {line.strip()[:40]!r}, is no corner; write how far out from the "
                "tee, how far aside, and L or R, as in 40 12R."
            )
        left = aside if (said["side"] or "L")[0].lower() == "l" else -aside
        found.append((_value(said["out"]) * one_m, left * one_m))
        if len(found) > _MOST_CORNERS:
            raise InputError(f"More than {_MOST_CORNERS} corners; draw it with fewer.")
    return tuple(found)


def _value(text: str) -> float:
    return float(text.replace(",", "."))


def look_at_sketch(course: Course, ref: str, sketch: Sketch, units: Units = "m") -> Sketched:
    """Return a course as it would be with a sketch on one of its holes.

    Raises
    ------
    InputError
        When the sketch has no ground, crosses itself, lies far from the hole or drowns a basket;
        a :class:`WithinError` when it is an opening and its area is not known.
    """
    from rimwise.course.drawn import Features, with_features

    hole = course.hole(ref)
    _check_reach(hole, sketch.corners)
    if sketch.kind == MANDATORY:
        if sketch.side not in list(Side):
            raise InputError("Say on which side of the mark a disc has to pass: left or right.")
        mark = Mandatory(ref, _one_place(hole, sketch), Side(sketch.side), sketch.name, drawn=True)
        drawn = with_features(course, Features(mandatories=(mark,)))
        return Sketched(drawn.course, f"A mandatory, passed on the {sketch.side}.", drawn.warnings)
    if sketch.kind == DROP_ZONE:
        if sketch.after not in list(Trouble):
            raise InputError(f"A drop zone is for one of {', '.join(Trouble)}.")
        zone = DropZone(ref, _one_place(hole, sketch), Trouble(sketch.after), sketch.name, True)
        drawn = with_features(course, Features(drop_zones=(zone,)))
        said = "" if zone.after is Trouble.ANY else f" after {zone.after}"
        return Sketched(drawn.course, f"A drop zone{said}.", drawn.warnings)
    if sketch.kind == OPENING:
        return _opened(course, hole, sketch, units)
    area, square_m = _area(hole, sketch)
    drawn = with_features(course, Features(areas=(area,)))
    first = min(x for x, _ in sketch.corners)
    last = max(x for x, _ in sketch.corners)
    told = (
        f"{sketch.kind.capitalize()} with {len(sketch.corners)} corners, "
        f"{words.surface(square_m, units)}, from {words.distance(first, units)} to "
        f"{words.distance(last, units)} out."
    )
    return Sketched(drawn.course, told, drawn.warnings)


def keep_sketch(
    store: Store, course: Course, ref: str, sketch: Sketch, *, now: datetime
) -> Sketched:
    """Put a sketch on a course on file; the change can be taken back.

    Raises
    ------
    InputError
        As :func:`look_at_sketch` does; nothing is changed then.
    """
    found = look_at_sketch(course, ref, sketch)
    called = "an opening" if sketch.kind == OPENING else f"{sketch.kind} {sketch.name}".strip()
    CourseJournal(store).put(found.course, f"drew {called} on hole {ref}", now)
    return found


def around(course: Course, ref: str, margin_m: float = _MARGIN_M) -> dict[int, Area]:
    """Return the areas so near to a hole's line by their numbers in the course's list, from 1."""
    import shapely

    from rimwise.course.polygons import shape_of

    hole = course.hole(ref)
    near = shapely.LineString([hole.tee, hole.basket]).buffer(margin_m)
    return {
        number: area
        for number, area in enumerate(course.areas, start=1)
        if shape_of(area).intersects(near)
    }


def ground_of(course: Course, ref: str) -> Ground:
    """Return what lies around a hole, in its own frame."""
    from rimwise.course.geometry import areas_near
    from rimwise.course.raster import HoleFrame

    hole = course.hole(ref)
    frame = HoleFrame.of(hole)

    def ring(points: Sequence[Point]) -> tuple[tuple[float, float], ...]:
        return tuple((float(x), float(y)) for x, y in frame.to_hole(np.asarray(points)))

    areas = tuple(
        AreaShape(str(area.kind), area.name, ring(area.ring), tuple(ring(o) for o in area.openings))
        for area in areas_near(course, hole, _MARGIN_M)
    )
    said = [
        (one.name or f"mandatory: {one.side}", one.at)
        for one in course.mandatories
        if one.hole == ref
    ]
    said += [(one.name or DROP_ZONE, one.at) for one in course.drop_zones if one.hole == ref]
    marks = tuple(GroundMark(label, *ring([at])[0]) for label, at in said)
    return Ground(ref, hole.length_m, areas, marks)


def _check_reach(hole: Hole, corners: Sequence[Corner]) -> None:
    from rimwise.course.drawn import FARTHEST_M

    if not corners:
        raise InputError("Nothing is drawn yet; tap the map, or write a corner such as 40 12R.")
    far = max(max(-x, x - hole.length_m, abs(y)) for x, y in corners)
    if far > FARTHEST_M:
        raise InputError(
            f"It reaches more than {FARTHEST_M:.0f} m past hole {hole.ref}; check the corners."
        )


def _one_place(hole: Hole, sketch: Sketch) -> Point:
    if len(sketch.corners) != 1:
        raise InputError(
            f"A {sketch.kind} is one place, but {len(sketch.corners)} are given; leave one line."
        )
    return _on_map(hole, sketch.corners)[0]


def _area(hole: Hole, sketch: Sketch) -> tuple[Area, float]:
    from rimwise.course.woods import stems_in_words

    if sketch.kind not in list(AreaKind):
        raise InputError(f"{sketch.kind[:40]!r} cannot be drawn; choose one of {', '.join(KINDS)}.")
    square_m = _ground_m2(sketch)
    wood = sketch.kind == AreaKind.WOOD
    area = Area(
        AreaKind(sketch.kind), _on_map(hole, sketch.corners), (), sketch.name,
        stems_in_words(sketch.stems) if wood and sketch.stems else None,
        sketch.height_m if sketch.kind in _HIGH else None, drawn=True,
    )  # fmt: skip
    return area, square_m


def _ground_m2(sketch: Sketch) -> float:
    """Return how much ground the corners go around, or say why they go around none."""
    import shapely

    if len(sketch.corners) < 3:
        raise InputError(
            f"{'An opening' if sketch.kind == OPENING else 'An area'} has at least three corners; "
            "tap around it, one after the other."
        )
    shape = shapely.Polygon(sketch.corners)
    if not shape.is_valid:
        raise InputError("Its edges cross; tap the corners one after the other around it.")
    if shape.area < _LEAST_M2:
        raise InputError("It has hardly any ground; tap its corners farther apart.")
    return float(shape.area)


def _opened(course: Course, hole: Hole, sketch: Sketch, units: Units) -> Sketched:
    from rimwise.course.openings import areas_under, called, with_opening

    _ground_m2(sketch)
    ring = _on_map(hole, sketch.corners)
    found = areas_under(course, ring)
    if sketch.within is not None:
        if not 1 <= sketch.within <= len(course.areas):
            raise WithinError(f"{course.name} has no area of number {sketch.within}; choose one.")
        place = sketch.within - 1
    elif len(found) == 1:
        place = found[0]
    elif found:
        which = words.joined([called(course.areas[n]) for n in found], "or")
        raise WithinError(f"There is more than one area here: say whether it is in {which}.")
    else:
        raise InputError("No area lies there; tap the corners within water, a wood or another one.")
    opened = with_opening(course, place, ring)
    told = (
        f"An opening with {len(sketch.corners)} corners in {called(opened.area)}, "
        f"{words.surface(opened.opening_m2, units)} of it."
    )
    return Sketched(opened.course, told, opened.notes)


#: Kinds that have a height.
_HIGH = (AreaKind.WOOD, AreaKind.THICK, AreaKind.LOW_CEILING)


def _on_map(hole: Hole, corners: Sequence[Corner]) -> tuple[Point, ...]:
    from rimwise.course.raster import HoleFrame

    placed = HoleFrame.of(hole).to_map(np.asarray(corners, dtype=np.float64))
    return tuple((float(x), float(y)) for x, y in placed)
