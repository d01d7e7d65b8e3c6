"""A course on file: what it holds, and areas added to it or taken away."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

from rimwise.app.box import pick, units_of
from rimwise.app.bring import read_file
from rimwise.errors import InputError, NotFoundError
from rimwise.records import words
from rimwise.records.courses import Area, Course
from rimwise.records.words import Units
from rimwise.store.store import Store

__all__ = ["AreaLine", "CourseShown", "HoleShown", "add_areas", "remove_area", "show_course"]

#: How maps end, by how they are read.
_XML, _BINARY, _GEOJSON = (".osm", ".xml"), (".pbf",), (".geojson", ".json")


@dataclass(frozen=True, slots=True)
class HoleShown:
    """One hole, metres."""

    hole: str
    length_m: float
    climb_m: float
    par: int | None
    name: str


@dataclass(frozen=True, slots=True)
class AreaLine:
    """One area: its number in the list, kind, name, size, and the nearest hole."""

    number: int
    kind: str
    name: str
    square_m: float
    near_hole: str


@dataclass(frozen=True, slots=True)
class CourseShown:
    """A course as it is on file; ``notices`` say what was just done to it."""

    name: str
    holes: tuple[HoleShown, ...]
    areas: tuple[AreaLine, ...]
    bearings_known: bool
    attribution: str
    notices: tuple[str, ...]
    units: Units


def show_course(store: Store, name: str | None = None) -> CourseShown:
    """Return a course's holes and areas.

    Raises
    ------
    InputError, NotFoundError
        When there is none, several and no name, or none of this name.
    """
    return _shown(pick(store.courses, "course", name), units_of(store))


def add_areas(store: Store, path: Path, name: str | None = None) -> CourseShown:
    """Add the areas of a map or a table to a course; those of a kind and name take its place.

    Raises
    ------
    InputError, NotFoundError
        When the file cannot be read, an area cannot be placed, or a basket would stand in water;
        nothing is changed then.
    """
    from rimwise.course.drawn import areas_from_table, areas_on_course, with_areas
    from rimwise.course.geojson import map_from_geojson
    from rimwise.course.osm import map_from_osm
    from rimwise.course.pbf import map_from_pbf

    course, data = pick(store.courses, "course", name), read_file(path)
    ending = path.suffix.lower()
    repaired: tuple[str, ...] = ()
    try:
        if ending in _XML + _BINARY + _GEOJSON:
            read = map_from_geojson
            if ending not in _GEOJSON:
                read = map_from_osm if ending in _XML else map_from_pbf
            areas, repaired = areas_on_course(course, read(data))
        else:
            areas = areas_from_table(data, course)
        drawn = with_areas(course, areas)
    except InputError as error:
        raise InputError(f"{path.name}: {error}") from None
    store.courses.put(drawn.course)
    added = f"{words.plural(drawn.added, 'area')} added to {course.name}."
    return _shown(drawn.course, units_of(store), (added, *drawn.warnings, *repaired))


def remove_area(store: Store, number: int, name: str | None = None) -> CourseShown:
    """Take one area away, by its number in the list.

    Raises
    ------
    NotFoundError
        When there is no area of this number.
    """
    course = pick(store.courses, "course", name)
    lines = _lines(course)
    found = next((line for line in lines if line.number == number), None)
    if found is None:
        raise NotFoundError(
            f"{course.name} has no area {number}; its areas are numbered 1 to {len(lines)}."
            if lines
            else f"{course.name} has no area."
        )
    kept = tuple(area for i, area in enumerate(course.areas, start=1) if i != number)
    changed = replace(course, areas=kept)
    store.courses.put(changed)
    gone = f"{found.kind} {found.name}".strip()
    return _shown(changed, units_of(store), (f"{gone} was taken away from {course.name}.",))


def _shown(course: Course, units: Units, notices: tuple[str, ...] = ()) -> CourseShown:
    return CourseShown(
        name=course.name,
        holes=tuple(
            HoleShown(hole.ref, hole.length_m, hole.elevation_change_m, hole.par, hole.name)
            for hole in course.holes
        ),
        areas=_lines(course),
        bearings_known=course.bearings_known,
        attribution=course.attribution,
        notices=notices,
        units=units,
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
    return AreaLine(number, area.kind.value, area.name, float(shape.area), near.ref)
