"""Areas added to a course: from a map of areas alone, or drawn hole by hole in a table.

Most mapped courses have a tee and a basket for each hole and nothing else. A row of the table
places a strip along one hole: from so far to so far from the tee toward the basket, and from so far
left of that line to so far right of it.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import shapely

from rimwise.course.features import METRES_PER, MapData, area_kind, length_m
from rimwise.course.frame import LocalFrame
from rimwise.course.polygons import areas_from_map, shape_of
from rimwise.course.table import table_rows
from rimwise.errors import InputError
from rimwise.records.courses import Area, AreaKind, Course, Hole

__all__ = ["Drawn", "areas_from_table", "areas_on_course", "baskets_in_trouble", "with_areas"]

#: Words for kinds of area in a table.
_KINDS = {
    AreaKind.WATER: ("water", "pond", "lake", "river", "creek", "stream", "sea"),
    AreaKind.WOOD: ("wood", "woods", "trees", "forest", "bush", "bushes"),
    AreaKind.OUT_OF_BOUNDS: ("ob", "out of bounds", "out"),
    AreaKind.FAIRWAY: ("fairway",),
}
_COLUMNS = {
    "kind": ("kind", "what", "type", "area"),
    "hole": ("hole", "ref", "number"),
    "from": ("from", "start", "begins"),
    "to": ("to", "end", "ends"),
    "left": ("left",),
    "right": ("right",),
    "name": ("name",),
}
#: An area reaches no farther from its hole's line or past its ends than this.
_FARTHEST_M = 300.0


@dataclass(frozen=True, slots=True)
class Drawn:
    """A course with areas added, and what was replaced or repaired, in sentences."""

    course: Course
    added: int
    warnings: tuple[str, ...] = ()


def with_areas(course: Course, areas: Sequence[Area]) -> Drawn:
    """Add areas; one of a kind and name that the course has takes that one's place.

    Raises
    ------
    InputError
        When a basket would stand in water or out of bounds.
    """
    if not areas:
        raise InputError(
            "nothing to add: the file holds no water, wood, fairway or out-of-bounds area."
        )
    named = {(area.kind, area.name) for area in areas if area.name}
    kept = tuple(area for area in course.areas if (area.kind, area.name) not in named)
    gone = len(course.areas) - len(kept)
    drawn = replace(course, areas=kept + tuple(areas))
    known = set(baskets_in_trouble(course))
    wrong = [said for said in baskets_in_trouble(drawn) if said not in known]
    if wrong:
        raise InputError(f"{wrong[0]}; draw the area around the basket, or leave an opening.")
    said = (f"{gone} of the same name replaced.",) if gone else ()
    return Drawn(drawn, len(areas), said)


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


def areas_on_course(course: Course, data: MapData) -> tuple[tuple[Area, ...], tuple[str, ...]]:
    """Return the areas of a map in a course's frame, and what was repaired.

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
            found.extend(areas_from_map(mapped, kind, frame.to_local, warnings))
    play = shapely.MultiPoint([at for hole in course.holes for at in (hole.tee, hole.basket)])
    near = play.buffer(_FARTHEST_M)
    far = [area for area in found if not shape_of(area).intersects(near)]
    if found and len(far) == len(found):
        raise InputError(
            f"all areas of the map lie more than {_FARTHEST_M:.0f} m from {course.name}; check "
            "that it is a map of this course."
        )
    if far:
        warnings.append(f"{len(far)} of them lie far from every hole and were left out.")
    return tuple(area for area in found if area not in far), tuple(warnings)


def areas_from_table(data: bytes, course: Course) -> tuple[Area, ...]:
    """Return the areas that a table draws along the holes of a course.

    The heading names kind, hole, from, to, left and right in any order, with the unit of the
    lengths ("from (m)") or units in the cells; a name is optional.

    Raises
    ------
    InputError
        When a line or cell cannot be understood; nothing is added.
    """
    rows = table_rows(data, "table of areas")
    columns, units = _columns(rows[0][1])
    return tuple(_strip(line, cells, columns, units, course) for line, cells in rows[1:])


def _columns(heading: Sequence[str]) -> tuple[dict[str, int], dict[str, str]]:
    columns: dict[str, int] = {}
    units: dict[str, str] = {}
    for index, cell in enumerate(heading):
        parts = re.sub(r"[\s_()\[\],]+", " ", cell.lower()).strip().split(" ")
        unit = parts.pop() if len(parts) > 1 and parts[-1] in METRES_PER else ""
        for column, titles in _COLUMNS.items():
            if " ".join(parts) in titles and column not in columns:
                columns[column], units[column] = index, unit
    missing = [name for name in _COLUMNS if name not in columns and name != "name"]
    if missing:
        raise InputError(
            f"line 1 of the table of areas has no {missing[0]} column; write a heading such as "
            '"kind,hole,from (m),to (m),left (m),right (m),name".'
        )
    return columns, units


def _strip(
    line: int,
    cells: Sequence[str],
    columns: Mapping[str, int],
    units: Mapping[str, str],
    course: Course,
) -> Area:
    where = f"line {line} of the table of areas"

    def cell(column: str) -> str:
        place = columns.get(column, len(cells))
        return cells[place] if place < len(cells) else ""

    def metres(column: str) -> float:
        text = cell(column)
        bare = re.fullmatch(r"[+-]?\d+([.,]\d+)?", text) is not None
        if bare and not units[column]:
            raise InputError(
                f'{where}: {column} {text} has no unit; write "{column} (m)" or "{column} (ft)" in '
                "the heading."
            )
        found = length_m(f"{text} {units[column]}" if bare else text)
        if found is None:
            raise InputError(f"{where}: {column} {text!r} is no length; write a number such as 40.")
        return found

    kind = _kind(cell("kind"), where)
    hole = _hole(cell("hole"), course, where)
    start, end, left, right = (metres(name) for name in ("from", "to", "left", "right"))
    if end <= start or left + right <= 0.0:
        raise InputError(
            f"{where}: the area has no ground; to must be more than from, and left plus right more "
            "than 0 (right of the line, left is negative)."
        )
    if max(-start, end - hole.length_m, abs(left), abs(right)) > _FARTHEST_M:
        raise InputError(
            f"{where}: the area reaches more than {_FARTHEST_M:.0f} m past hole {hole.ref}; check "
            "the unit."
        )
    corners = ((start, left), (end, left), (end, -right), (start, -right))
    return Area(kind, tuple(_place(hole, *corner) for corner in corners), (), cell("name"))


def _kind(text: str, where: str) -> AreaKind:
    said = text.lower().replace("-", " ").replace("_", " ")
    for kind, known in _KINDS.items():
        if said in known:
            return kind
    raise InputError(f"{where}: {text!r} is no kind of area; write water, wood, ob or fairway.")


def _hole(ref: str, course: Course, where: str) -> Hole:
    try:
        return course.hole(ref)
    except InputError as error:
        raise InputError(f"{where}: {error}") from None


def _place(hole: Hole, along_m: float, left_m: float) -> tuple[float, float]:
    """Return a place along a hole's line and left of it, in the course's frame."""
    turn = math.radians(hole.bearing_deg)
    ahead, aside = (math.sin(turn), math.cos(turn)), (-math.cos(turn), math.sin(turn))
    return (
        hole.tee[0] + along_m * ahead[0] + left_m * aside[0],
        hole.tee[1] + along_m * ahead[1] + left_m * aside[1],
    )
