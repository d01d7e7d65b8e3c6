"""A course on file: what it holds, what is added to it or taken away, and taken back."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path
from typing import TypeVar

from rimwise.app.box import pick, units_of
from rimwise.app.bring import read_file
from rimwise.app.guidance import par_notes
from rimwise.errors import InputError, NotFoundError
from rimwise.records import words
from rimwise.records.courses import Area, Course, DropZone, Hole, Mandatory, Trouble
from rimwise.records.words import Units
from rimwise.store.course_journal import CourseJournal
from rimwise.store.store import Store

__all__ = [
    "AreaLine",
    "CourseShown",
    "HoleShown",
    "MarkLine",
    "add_features",
    "close_opening",
    "copy_features",
    "keep_hole",
    "lengthened",
    "remove_feature",
    "show_course",
    "undo_change",
]

_T = TypeVar("_T")

#: How maps end, by how they are read.
_XML, _BINARY, _GEOJSON = (".osm", ".xml"), (".pbf",), (".geojson", ".json")


@dataclass(frozen=True, slots=True)
class HoleShown:
    """One hole, metres; ``shelter`` is its own wind factor, if it has one."""

    hole: str
    length_m: float
    climb_m: float
    par: int | None
    name: str
    shelter: float | None


@dataclass(frozen=True, slots=True)
class AreaLine:
    """One area: its number in the list, kind, name, size, and the nearest hole.

    ``stems_per_ha`` and ``canopy_m`` are its own, if it has any; ``drawn`` by the owner;
    ``openings_m2`` how large each opening in it is.
    """

    number: int
    kind: str
    name: str
    square_m: float
    near_hole: str
    stems_per_ha: float | None
    canopy_m: float | None
    drawn: bool
    openings_m2: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class MarkLine:
    """A mandatory or drop zone: its number in the list after the areas, and what it asks.

    ``along_m`` from the tee toward the basket, ``left_m`` of that line.
    """

    number: int
    kind: str
    name: str
    hole: str
    asks: str
    along_m: float
    left_m: float
    drawn: bool


@dataclass(frozen=True, slots=True)
class CourseShown:
    """A course as it is on file.

    ``notices`` say what was just done to it, ``notes`` where a hole's par and length do not go
    together.
    """

    name: str
    holes: tuple[HoleShown, ...]
    areas: tuple[AreaLine, ...]
    marks: tuple[MarkLine, ...]
    bearings_known: bool
    attribution: str
    notices: tuple[str, ...]
    notes: tuple[str, ...]
    units: Units


def show_course(store: Store, name: str | None = None) -> CourseShown:
    """Return a course's holes, areas and marks.

    Raises
    ------
    InputError, NotFoundError
        When there is none, several and no name, or none of this name.
    """
    return _shown(store, pick(store.courses, "course", name))


def add_features(
    store: Store, path: Path, name: str | None = None, *, now: datetime
) -> CourseShown:
    """Add what a map or a table holds to a course; what has the same name takes its place.

    Parameters
    ----------
    now
        Time of the change, for the journal.

    Raises
    ------
    InputError, NotFoundError
        When the file cannot be read, something cannot be placed, or a basket would stand in
        water; nothing is changed then.
    """
    from rimwise.course.drawn import features_on_course, with_features
    from rimwise.course.geojson import map_from_geojson
    from rimwise.course.osm import map_from_osm
    from rimwise.course.pbf import map_from_pbf
    from rimwise.course.strips import features_from_table

    course, data = pick(store.courses, "course", name), read_file(path)
    ending = path.suffix.lower()
    try:
        if ending in _XML + _BINARY + _GEOJSON:
            read = map_from_geojson
            if ending not in _GEOJSON:
                read = map_from_osm if ending in _XML else map_from_pbf
            found = read(data)
            features = features_on_course(course, found)
            course = replace(course, attribution=_both(course.attribution, found.attribution))
        else:
            features = features_from_table(data, course)
        drawn = with_features(course, features)
    except InputError as error:
        raise InputError(f"{path.name}: {error}") from None
    CourseJournal(store).put(drawn.course, f"added {path.name}", now)
    said = []
    if drawn.added:
        said.append(f"{features.words} added to {course.name}.")
    if features.holes:
        was = {hole.ref: hole for hole in course.holes}
        changed = [hole.ref for hole in features.holes if hole != was[hole.ref]]
        listed = words.joined(changed) if changed else "none"
        said.append(f"{'Hole' if len(changed) == 1 else 'Holes'} changed: {listed}.")
    return _shown(store, drawn.course, (*said, *drawn.warnings))


def _both(one: str, other: str) -> str:
    """Return two notices without repeating what both say."""
    parts = [*one.split("; "), *other.split("; ")]
    return "; ".join(dict.fromkeys(filter(None, parts)))


def copy_features(
    store: Store, source: str, name: str | None = None, *, now: datetime
) -> CourseShown:
    """Copy what the owner drew on one course to another layout of it.

    Raises
    ------
    InputError, NotFoundError
        When nothing was drawn there, or both do not lie on the same ground.
    """
    from rimwise.course.drawn import kept_drawings, with_features

    course, other = pick(store.courses, "course", name), store.courses.get(source)
    features = kept_drawings(other, course)
    if features is None or other.origin_lat_deg is None:
        raise InputError(
            f"{source} or {course.name} has no place on a map, so what was drawn cannot be copied; "
            "draw it with a table."
        )
    if not features.count:
        raise InputError(f"nothing was drawn on {source} that {course.name} could take.")
    drawn = with_features(course, features)
    CourseJournal(store).put(drawn.course, f"copied from {source}", now)
    added = f"{features.words} copied from {source} to {course.name}."
    return _shown(store, drawn.course, (added, *drawn.warnings))


def remove_feature(
    store: Store, number: int, name: str | None = None, *, now: datetime
) -> CourseShown:
    """Take one area, mandatory or drop zone away, by its number in the list.

    Raises
    ------
    NotFoundError
        When there is nothing of this number.
    """
    course = pick(store.courses, "course", name)
    lines: tuple[AreaLine | MarkLine, ...] = (*_lines(course), *_marks(course))
    found = next((line for line in lines if line.number == number), None)
    if found is None:
        raise NotFoundError(
            f"{course.name} has nothing of number {number}; its areas and marks are numbered 1 to "
            f"{len(lines)}."
            if lines
            else f"{course.name} has no area."
        )
    first, second = len(course.areas), len(course.areas) + len(course.mandatories)
    changed = replace(
        course,
        areas=_without(course.areas, number - 1),
        mandatories=_without(course.mandatories, number - 1 - first),
        drop_zones=_without(course.drop_zones, number - 1 - second),
    )
    gone = f"{found.kind} {found.name}".strip()
    CourseJournal(store).put(changed, f"took away {gone}", now)
    return _shown(store, changed, (f"{gone} was taken away from {course.name}.",))


def close_opening(
    store: Store, number: int, opening: int, name: str | None = None, *, now: datetime
) -> CourseShown:
    """Close an opening of an area; both are numbered from 1, the area as in the list.

    Raises
    ------
    InputError, NotFoundError
        When there is no such area or opening, or a basket would stand in water.
    """
    from rimwise.course.openings import called, without_opening

    course = pick(store.courses, "course", name)
    if not 1 <= number <= len(course.areas):
        raise NotFoundError(f"{course.name} has no area of number {number}.")
    changed = without_opening(course, number - 1, opening - 1)
    where = called(course.areas[number - 1])
    CourseJournal(store).put(changed, f"closed an opening in {where}", now)
    return _shown(store, changed, (f"An opening in {where} was closed.",))


def keep_hole(store: Store, course: Course, hole: Hole, *, now: datetime) -> None:
    """Put another version of a hole on a course on file; the change can be taken back.

    Parameters
    ----------
    hole
        As it becomes; :func:`lengthened` gives it another length.

    Raises
    ------
    InputError
        When its basket would come to stand in water or out of bounds, or there is no such hole;
        nothing is changed then.
    """
    from rimwise.course.drawn import Features, with_features

    was = course.hole(hole.ref)
    changed = [said for name, said in _FACTS if getattr(was, name) != getattr(hole, name)]
    if "length" in changed and "posted length" in changed:
        changed.remove("posted length")  # where there is no map, they are one
    holes = tuple(hole if one.ref == hole.ref else one for one in course.holes)
    drawn = with_features(course, Features(holes=holes))
    what = f"changed {words.joined(changed)} of hole {hole.ref}"
    CourseJournal(store).put(drawn.course, what, now)


#: What may change of a hole, and what the journal calls it.
_FACTS = (
    ("par", "par"), ("elevation_change_m", "climb"), ("shelter", "shelter"), ("name", "the name"),
    ("basket", "length"), ("played_length_m", "posted length"),
)  # fmt: skip


def lengthened(hole: Hole, length_m: float) -> Hole:
    """Return a hole known by its length alone with another one, in metres: its basket moves.

    Raises
    ------
    InputError
        When no hole is so long.
    """
    share = length_m / hole.length_m
    east, north = (tee + share * (at - tee) for tee, at in zip(hole.tee, hole.basket, strict=True))
    return replace(hole, basket=(east, north), played_length_m=length_m)


def _without(items: tuple[_T, ...], place: int) -> tuple[_T, ...]:
    return tuple(item for i, item in enumerate(items) if i != place)


def undo_change(store: Store, name: str | None = None) -> CourseShown:
    """Take the last change of a course back.

    Raises
    ------
    NotFoundError
        When no change is on file.
    """
    course = pick(store.courses, "course", name)
    change = CourseJournal(store).undo(course.name)
    said = f"{course.name} is as it was before {change.at:%d %B %Y, %H:%M}: {change.what}."
    return _shown(store, change.before, (said,))


def _shown(store: Store, course: Course, notices: tuple[str, ...] = ()) -> CourseShown:
    return CourseShown(
        name=course.name,
        holes=tuple(
            HoleShown(
                hole.ref,
                hole.length_m,
                hole.elevation_change_m,
                hole.par,
                hole.name,
                hole.shelter,
            )
            for hole in course.holes
        ),
        areas=_lines(course),
        marks=_marks(course),
        bearings_known=course.bearings_known,
        attribution=course.attribution,
        notices=notices,
        notes=par_notes(store, course),
        units=units_of(store),
    )


def _lines(course: Course) -> tuple[AreaLine, ...]:
    return tuple(_line(number, area, course) for number, area in enumerate(course.areas, start=1))


def _line(number: int, area: Area, course: Course) -> AreaLine:
    import shapely

    from rimwise.course.polygons import shape_of

    shape = shape_of(area)
    near = min(
        course.holes, key=lambda hole: shape.distance(shapely.LineString([hole.tee, hole.basket]))
    )
    return AreaLine(
        number,
        area.kind.value,
        area.name,
        float(shape.area),
        near.ref,
        area.stems_per_ha,
        area.canopy_m,
        area.drawn,
        tuple(float(shapely.Polygon(ring).area) for ring in area.openings),
    )


def _marks(course: Course) -> tuple[MarkLine, ...]:
    first = len(course.areas) + 1
    told = [("mandatory", m, f"pass on the {m.side.value}") for m in course.mandatories] + [
        ("drop zone", z, "" if z.after is Trouble.ANY else f"after {_AFTER[z.after]}")
        for z in course.drop_zones
    ]
    return tuple(
        MarkLine(first + i, kind, mark.name, mark.hole, asks, *_seen(course, mark), mark.drawn)
        for i, (kind, mark, asks) in enumerate(told)
    )


#: What a drop zone is for, as said after "after".
_AFTER = {
    Trouble.WATER: "water",
    Trouble.OUT_OF_BOUNDS: "out of bounds",
    Trouble.MANDATORY: "a missed mandatory",
}


def _seen(course: Course, mark: Mandatory | DropZone) -> tuple[float, float]:
    """Return how far out from the tee and how far left of the line a mark stands."""
    hole = course.hole(mark.hole)
    ahead = [(b - t) / hole.length_m for t, b in zip(hole.tee, hole.basket, strict=True)]
    east, north = mark.at[0] - hole.tee[0], mark.at[1] - hole.tee[1]
    return east * ahead[0] + north * ahead[1], north * ahead[0] - east * ahead[1]
