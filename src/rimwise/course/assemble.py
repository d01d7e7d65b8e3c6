"""From tagged points, lines and areas to a course: holes matched, ends checked, areas made."""

from __future__ import annotations

from dataclasses import dataclass

import shapely
from shapely import Point as ShapelyPoint

from rimwise.course.drawn import baskets_in_trouble
from rimwise.course.features import (
    CourseImport,
    MapArea,
    MapData,
    MapLine,
    MapPoint,
    area_kind,
    natural_key,
)
from rimwise.course.frame import LocalFrame
from rimwise.course.holes import Marker, holes_from_map
from rimwise.course.marks import marks_from_map
from rimwise.course.polygons import areas_from_map, shape_of
from rimwise.errors import InputError
from rimwise.records.courses import Area, Course, Hole

__all__ = ["assemble"]

#: A course is no wider than this; more means several courses or a wrong coordinate.
WIDEST_M = 8_000.0

#: Areas farther than this from every hole are no part of the course.
SURROUNDINGS_M = 150.0

#: How far outside its mapped boundary a tee or basket may stand.
BOUNDARY_SLACK_M = 30.0


@dataclass(frozen=True, slots=True)
class _Site:
    """The chosen course among those in the file, and the name it goes by."""

    name: str
    outline: MapArea | None


def assemble(data: MapData, name: str = "", layout: str = "") -> CourseImport:
    """Build the course that a map file describes.

    Parameters
    ----------
    name
        What to call it; which one is meant when the file holds several.
    layout
        Word for the tees and baskets to take where a hole has several.

    Raises
    ------
    InputError
        When the file holds no hole, several courses and none of the given ``name``, or a hole
        that cannot be placed.
    """
    warnings = list(data.warnings)
    site = _site(data, name)
    lines = [line for line in data.lines if line.tags.get("disc_golf") == "hole"]
    tees, baskets = _targets(data, "tee"), _targets(data, "basket")
    if not lines and not (tees and baskets):
        raise InputError(
            "the map file holds no disc golf hole; it needs ways tagged disc_golf=hole, or tees "
            "and baskets with a hole number (ref)."
        )
    frame = _frame(lines, tees, baskets)
    if site.outline is not None:
        lines, tees, baskets = _inside(site.outline, frame, lines, tees, baskets)
    holes = holes_from_map(
        lines,
        [_marker(point, frame) for point in tees],
        [_marker(point, frame) for point in baskets],
        frame,
        warnings,
        layout,
    )
    if not holes:
        raise InputError(
            "no hole of the map file has both its tee and its basket; give both the number of "
            "their hole (ref), or join them by a way tagged disc_golf=hole."
        )
    holes = sorted(holes, key=lambda hole: natural_key(hole.ref))
    marks = marks_from_map(data.points, holes, frame.to_local)
    course = Course(
        name=f"{site.name} ({layout})" if layout else site.name,
        holes=tuple(holes),
        areas=_areas(data, holes, frame, warnings),
        origin_lat_deg=frame.lat_deg,
        origin_lon_deg=frame.lon_deg,
        attribution=data.attribution,
        mandatories=marks.mandatories,
        drop_zones=marks.drop_zones,
    )
    wet = (f"{said}; check the map." for said in baskets_in_trouble(course))
    return CourseImport(course, (*warnings, *marks.warnings, *wet), marks.notes)


def _targets(data: MapData, what: str) -> list[MapPoint]:
    """Tees or baskets, whether mapped as a point or as a small area (a pad)."""
    points = [point for point in data.points if point.tags.get("disc_golf") == what]
    for area in data.areas:
        corners = [at for piece in area.outer for at in piece]
        if area.tags.get("disc_golf") == what and corners:
            middle = shapely.MultiPoint(corners).envelope.centroid
            points.append(MapPoint(area.label, area.tags, (middle.x, middle.y)))
    return points


def _marker(point: MapPoint, frame: LocalFrame) -> Marker:
    return Marker(point.label, point.tags, frame.to_local(*point.at))


def _frame(lines: list[MapLine], tees: list[MapPoint], baskets: list[MapPoint]) -> LocalFrame:
    """Put the origin in the middle of the holes, on a round 1e-6 degree."""
    spots = [at for line in lines for at in line.path] + [p.at for p in tees + baskets]
    if not spots:
        raise InputError("the holes in the map file have no positions; export the course again.")
    lats, lons = [lat for lat, _ in spots], [lon for _, lon in spots]
    frame = LocalFrame(
        round((min(lats) + max(lats)) / 2.0, 6), round((min(lons) + max(lons)) / 2.0, 6)
    )
    corner = frame.to_local(max(lats), max(lons))
    if max(lons) - min(lons) > 1.0 or max(abs(corner[0]), abs(corner[1])) > WIDEST_M / 2.0:
        raise InputError(
            f"the holes in the map file lie more than {WIDEST_M / 1000:.0f} km apart; check for a "
            "mistyped coordinate, or export one course at a time."
        )
    return frame


def _site(data: MapData, name: str) -> _Site:
    """Choose the course meant by ``name`` when the file holds several."""
    found: list[tuple[str, MapArea | None]] = [
        (area.tags.get("name", ""), area)
        for area in data.areas
        if area.tags.get("leisure") == "disc_golf_course"
    ]
    found += [
        (point.tags.get("name", ""), None)
        for point in data.points
        if point.tags.get("leisure") == "disc_golf_course"
    ]
    names = sorted({own for own, _ in found if own})
    if len(names) <= 1:
        return _Site(name or (names[0] if names else "Course"), None)
    for own, area in found:
        if own.casefold() == name.casefold() and area is not None and area.outer:
            return _Site(own, area)
    raise InputError(
        f"the map file holds {len(names)} courses ({', '.join(names)}); give the name of one that "
        "is mapped as an area, or export one course at a time."
    )


def _inside(
    outline: MapArea,
    frame: LocalFrame,
    lines: list[MapLine],
    tees: list[MapPoint],
    baskets: list[MapPoint],
) -> tuple[list[MapLine], list[MapPoint], list[MapPoint]]:
    """Keep what stands inside a course's boundary, or just outside it."""
    corners = [frame.to_local(*at) for piece in outline.outer for at in piece]
    boundary = shapely.MultiPoint(corners).convex_hull.buffer(BOUNDARY_SLACK_M)

    def within(at: tuple[float, float]) -> bool:
        return bool(boundary.contains(ShapelyPoint(frame.to_local(*at))))

    return (
        [line for line in lines if line.path and within(line.path[0])],
        [point for point in tees if within(point.at)],
        [point for point in baskets if within(point.at)],
    )


def _areas(
    data: MapData, holes: list[Hole], frame: LocalFrame, warnings: list[str]
) -> tuple[Area, ...]:
    play = shapely.MultiPoint([at for hole in holes for at in (hole.tee, hole.basket)])
    surroundings = shapely.box(*play.buffer(SURROUNDINGS_M).bounds)
    areas: list[Area] = []
    for mapped in data.areas:
        kind = area_kind(mapped.tags)
        if kind is None:
            continue
        areas.extend(
            area
            for area in areas_from_map(mapped, kind, frame.to_local, warnings)
            if shape_of(area).intersects(surroundings)
        )
    return tuple(areas)
