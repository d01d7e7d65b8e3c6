"""What an owner adds to a course: areas, mandatories, drop zones and facts about its holes.

Most mapped courses have a tee and a basket for each hole and nothing else. The rest comes from a
map of such features alone, or from a table (see :mod:`rimwise.course.strips`).
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

import shapely

from rimwise.course.features import MapData, area_kind
from rimwise.course.frame import LocalFrame
from rimwise.course.marks import marks_from_map
from rimwise.course.polygons import areas_from_map, shape_of
from rimwise.errors import InputError
from rimwise.records.courses import Area, AreaKind, Course, DropZone, Hole, Mandatory, Point
from rimwise.records.words import joined, plural

__all__ = [
    "FARTHEST_M",
    "Drawn",
    "Features",
    "baskets_in_trouble",
    "check_baskets",
    "features_on_course",
    "kept_drawings",
    "with_features",
]

#: What is added reaches no farther from its hole than this.
FARTHEST_M = 300.0
#: A mark this near another of its kind and hole takes its place.
_SAME_PLACE_M = 1.0


@dataclass(frozen=True, slots=True)
class Features:
    """What is to be added to a course; ``holes``, if any, are all of them, as they become."""

    areas: tuple[Area, ...] = ()
    mandatories: tuple[Mandatory, ...] = ()
    drop_zones: tuple[DropZone, ...] = ()
    holes: tuple[Hole, ...] = ()
    warnings: tuple[str, ...] = ()

    @property
    def count(self) -> int:
        """How many areas and marks there are."""
        return len(self.areas) + len(self.mandatories) + len(self.drop_zones)

    @property
    def words(self) -> str:
        """How many of each, as in "2 areas and 1 drop zone"."""
        marks = len(self.mandatories)
        told = [
            plural(len(self.areas), "area"),
            f"{marks} {'mandatory' if marks == 1 else 'mandatories'}",
            plural(len(self.drop_zones), "drop zone"),
        ]
        return joined([said for said in told if not said.startswith("0 ")])


@dataclass(frozen=True, slots=True)
class Drawn:
    """A course with features added, and what was replaced or repaired, in sentences."""

    course: Course
    added: int
    warnings: tuple[str, ...] = ()


def with_features(course: Course, features: Features) -> Drawn:
    """Add features; one of a kind and name that the course has takes that one's place.

    A mandatory or drop zone also takes the place of one of its hole that stands where it does.

    Raises
    ------
    InputError
        When there is nothing to add, or a basket would stand in water or out of bounds.
    """
    if not features.count and not features.holes:
        raise InputError(
            "nothing to add: the file holds no water, wood, fairway, out of bounds, thick rough, "
            "restricted lie, mandatory or drop zone."
        )
    named = {(area.kind, area.name) for area in features.areas if area.name}
    areas = tuple(area for area in course.areas if (area.kind, area.name) not in named)
    mandatories = tuple(
        m for m in course.mandatories if not any(_same(m, new) for new in features.mandatories)
    )
    zones = tuple(
        z
        for z in course.drop_zones
        if not any(_same(z, new) and z.after is new.after for new in features.drop_zones)
    )
    drawn = replace(
        course,
        holes=features.holes or course.holes,
        areas=areas + features.areas,
        mandatories=mandatories + features.mandatories,
        drop_zones=zones + features.drop_zones,
    )
    check_baskets(course, drawn)
    gone = sum(map(len, (course.areas, course.mandatories, course.drop_zones)))
    gone -= sum(map(len, (areas, mandatories, zones)))
    said = (f"{gone} of the same name or place replaced.",) if gone else ()
    return Drawn(drawn, features.count, (*said, *features.warnings))


def _same(one: Mandatory | DropZone, other: Mandatory | DropZone) -> bool:
    if one.hole != other.hole:
        return False
    near = shapely.Point(one.at).distance(shapely.Point(other.at)) <= _SAME_PLACE_M
    return near or (bool(one.name) and one.name == other.name)


def check_baskets(before: Course, after: Course) -> None:
    """Check that no basket comes to stand in water or out of bounds that did not before.

    Raises
    ------
    InputError
        When one does.
    """
    known = set(baskets_in_trouble(before))
    wrong = [said for said in baskets_in_trouble(after) if said not in known]
    if wrong:
        raise InputError(f"{wrong[0]}; draw the area around the basket, or leave an opening.")


def baskets_in_trouble(course: Course) -> list[str]:
    """Say which baskets stand in water or out of bounds."""
    said = []
    for kind in (AreaKind.WATER, AreaKind.OUT_OF_BOUNDS):
        shapes = [(area, shape_of(area)) for area in course.areas if area.kind is kind]
        for hole in course.holes:
            inside = next(
                (area for area, shape in shapes if shape.contains(shapely.Point(hole.basket))), None
            )
            if inside is not None:
                name = f" ({inside.name})" if inside.name else ""
                said.append(f"the basket of hole {hole.ref} stands in {kind.value}{name}")
    return said


def features_on_course(course: Course, data: MapData) -> Features:
    """Return the areas and marks of a map in a course's frame, and what was repaired.

    Raises
    ------
    InputError
        When the course has no place on the globe, or the map lies far from it.
    """
    if course.origin_lat_deg is None or course.origin_lon_deg is None:
        raise InputError(
            f"{course.name} is known only by its lengths and has no place on a map; draw its areas "
            "in a table (kind, hole, from, to, left, right) instead."
        )
    frame = LocalFrame(course.origin_lat_deg, course.origin_lon_deg)
    warnings = list(data.warnings)
    found: list[Area] = []
    for mapped in data.areas:
        kind = area_kind(mapped.tags)
        if kind is not None:
            found.extend(areas_from_map(mapped, kind, frame.to_local, warnings, drawn=True))
    marks = marks_from_map(data.points, course.holes, frame.to_local, drawn=True)
    near = _play(course).buffer(FARTHEST_M)
    areas = tuple(area for area in found if shape_of(area).intersects(near))
    mandatories = tuple(m for m in marks.mandatories if near.contains(shapely.Point(m.at)))
    zones = tuple(z for z in marks.drop_zones if near.contains(shapely.Point(z.at)))
    kept = len(areas) + len(mandatories) + len(zones)
    far = len(found) + len(marks.mandatories) + len(marks.drop_zones) - kept
    if far and not kept:
        raise InputError(
            f"everything on the map lies more than {FARTHEST_M:.0f} m from {course.name}; check "
            "that it is a map of this course."
        )
    if far:
        warnings.append(f"{far} of them lie far from every hole and were left out.")
    said = (*warnings, *marks.warnings, *marks.notes)
    return Features(areas, mandatories, zones, warnings=said)


def _play(course: Course) -> shapely.Geometry:
    return shapely.MultiPoint([at for hole in course.holes for at in (hole.tee, hole.basket)])


def kept_drawings(old: Course, new: Course) -> Features | None:
    """Return what the owner had drawn on a course, for the same course read from its map again.

    It is moved into the new frame. ``None`` when one of both is known only by its lengths and
    the other is not; then nothing can be said of where the drawings belong.
    """
    if (old.origin_lat_deg is None) != (new.origin_lat_deg is None):
        return None
    refs = {hole.ref for hole in new.holes}

    def moved(at: Point) -> Point:
        if None in (old.origin_lat_deg, old.origin_lon_deg, new.origin_lat_deg, new.origin_lon_deg):
            return at
        before = LocalFrame(old.origin_lat_deg or 0.0, old.origin_lon_deg or 0.0)
        after = LocalFrame(new.origin_lat_deg or 0.0, new.origin_lon_deg or 0.0)
        return at if before == after else after.to_local(*before.to_geographic(*at))

    def path(points: Iterable[Point]) -> tuple[Point, ...]:
        return tuple(moved(at) for at in points)

    return Features(
        tuple(
            replace(area, ring=path(area.ring), openings=tuple(path(o) for o in area.openings))
            for area in old.areas
            if area.drawn
        ),
        tuple(
            replace(mark, at=moved(mark.at))
            for mark in old.mandatories
            if mark.drawn and mark.hole in refs
        ),
        tuple(
            replace(zone, at=moved(zone.at))
            for zone in old.drop_zones
            if zone.drawn and zone.hole in refs
        ),
    )
