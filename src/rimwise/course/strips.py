"""A table that draws along the holes of a course: strips of ground, mandatories, drop zones.

A row places a strip along one hole: from so far to so far from the tee toward the basket, and
from so far left of that line to so far right of it; or a mark so far out and so far aside.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from rimwise.course.drawn import FARTHEST_M, Features
from rimwise.course.features import METRES_PER, length_m, shown
from rimwise.course.marks import side_in_words, trouble_in_words
from rimwise.course.table import holes_from_facts, table_rows
from rimwise.course.woods import stems_in_words
from rimwise.errors import InputError
from rimwise.records.courses import (
    Area,
    AreaKind,
    Course,
    DropZone,
    Hole,
    Mandatory,
    Point,
    Trouble,
)

__all__ = ["features_from_table"]

#: Words for kinds of area in a table.
_KINDS = {
    AreaKind.WATER: ("water", "pond", "lake", "river", "creek", "stream", "sea"),
    AreaKind.WOOD: ("wood", "woods", "trees", "forest"),
    AreaKind.OUT_OF_BOUNDS: ("ob", "out of bounds", "out"),
    AreaKind.FAIRWAY: ("fairway",),
    AreaKind.THICK: ("thick rough", "thick", "tall grass", "long grass", "heather", "bush",
                     "bushes", "scrub"),
    AreaKind.NO_RUN_UP: ("no run up", "no runup"),
    AreaKind.LOW_CEILING: ("low ceiling", "ceiling", "low branches"),
}  # fmt: skip
_MANDATORY, _DROP_ZONE = ("mandatory", "mando"), ("drop zone", "dropzone", "dz")
_COLUMNS = {
    "kind": ("kind", "what", "type", "area"),
    "hole": ("hole", "ref", "number"),
    "from": ("from", "start", "begins"),
    "to": ("to", "end", "ends"),
    "left": ("left",),
    "right": ("right",),
    "name": ("name",),
    "pass": ("pass", "side"),
    "after": ("after",),
    "stems": ("stems", "stems per ha", "density"),
    "height": ("height", "canopy"),
}
_HEADING = "kind,hole,from (m),to (m),left (m),right (m),name"


def features_from_table(data: bytes, course: Course) -> Features:
    """Return what a table draws along the holes of a course, or says of its holes.

    With a kind column, the heading names kind, hole and from, for areas to, left and right as
    well, and perhaps name, stems (a hectare), height, pass (the side of a mandatory) and after
    (what a drop zone is for), in any order, with the unit of the lengths ("from (m)") or units
    in the cells. Without, it is a table of facts about the holes
    (:func:`rimwise.course.table.holes_from_facts`).

    Raises
    ------
    InputError
        When a line or cell cannot be understood; nothing is added.
    """
    rows = table_rows(data, "table of areas")
    columns = _columns(rows[0][1])
    if "kind" not in columns:
        return Features(holes=holes_from_facts(data, course))
    missing = [name for name in ("hole", "from") if name not in columns]
    if missing:
        raise _no_column(missing[0])
    areas: list[Area] = []
    mandatories: list[Mandatory] = []
    zones: list[DropZone] = []
    for line, cells in rows[1:]:
        row = _Row(f"line {line} of the table of areas", cells, columns, course)
        kind = row.kind_words
        if kind in _MANDATORY:
            mandatories.append(row.mandatory())
        elif kind in _DROP_ZONE:
            zones.append(row.drop_zone())
        else:
            areas.append(row.area())
    return Features(tuple(areas), tuple(mandatories), tuple(zones))


def _no_column(name: str) -> InputError:
    return InputError(
        f'line 1 of the table of areas has no {name} column; write a heading such as "{_HEADING}".'
    )


def _columns(heading: Sequence[str]) -> dict[str, tuple[int, str]]:
    """Where each column stands, and the unit its heading names."""
    columns: dict[str, tuple[int, str]] = {}
    for index, cell in enumerate(heading):
        parts = re.sub(r"[\s_()\[\],]+", " ", cell.lower()).strip().split(" ")
        unit = parts.pop() if len(parts) > 1 and parts[-1] in METRES_PER else ""
        for column, titles in _COLUMNS.items():
            if " ".join(parts) in titles:
                columns.setdefault(column, (index, unit))
    return columns


@dataclass(frozen=True, slots=True)
class _Row:
    """One line; ``where`` names it in messages."""

    where: str
    cells: Sequence[str]
    columns: Mapping[str, tuple[int, str]]
    course: Course

    def cell(self, column: str) -> str:
        place, _ = self.columns.get(column, (len(self.cells), ""))
        return self.cells[place] if place < len(self.cells) else ""

    def metres(self, column: str) -> float:
        if column not in self.columns:
            raise _no_column(column)
        text, (_, unit) = self.cell(column), self.columns[column]
        bare = re.fullmatch(r"[+-]?\d+([.,]\d+)?", text) is not None
        if bare and not unit:
            raise InputError(
                f'{self.where}: {column} {text} has no unit; write "{column} (m)" or "{column} '
                '(ft)" in the heading.'
            )
        found = length_m(f"{text} {unit}" if bare else text)
        if found is None:
            raise InputError(
                f"{self.where}: {column} {shown(text)} is no length; write a number such as 40."
            )
        return found

    @property
    def kind_words(self) -> str:
        words = self.cell("kind").lower().replace("-", " ").replace("_", " ").split()
        return " ".join(words)

    def area(self) -> Area:
        kind = next((kind for kind, known in _KINDS.items() if self.kind_words in known), None)
        if kind is None:
            raise InputError(
                f"{self.where}: {shown(self.cell('kind'))} is no kind of area; write water, wood, "
                "ob, fairway, thick rough, no run-up, low ceiling, mandatory or drop zone."
            )
        hole = self.hole()
        start, end, left, right = (self.metres(name) for name in ("from", "to", "left", "right"))
        if end <= start or left + right <= 0.0:
            raise InputError(
                f"{self.where}: the area has no ground; to must be more than from, and left plus "
                "right more than 0 (right of the line, left is negative)."
            )
        self.check_reach(hole, start, end, left, right)
        corners = ((start, left), (end, left), (end, -right), (start, -right))
        ring = tuple(_place(hole, *corner) for corner in corners)
        try:
            stems = stems_in_words(self.cell("stems")) if self.cell("stems") else None
            height_m = self.metres("height") if self.cell("height") else None
            return Area(kind, ring, (), self.cell("name"), stems, height_m, drawn=True)
        except InputError as error:
            raise self._here(error) from None

    def mandatory(self) -> Mandatory:
        hole, at = self.mark()
        side = side_in_words(self.cell("pass"))
        if side is None:
            raise InputError(
                f"{self.where}: pass {shown(self.cell('pass'))} is no side; write left or right, "
                "where a disc has to pass the mark."
            )
        return Mandatory(hole.ref, at, side, self.cell("name"), drawn=True)

    def drop_zone(self) -> DropZone:
        hole, at = self.mark()
        after = trouble_in_words(self.cell("after"))
        if after is None:
            words = ", ".join(trouble.value for trouble in Trouble)
            raise InputError(
                f"{self.where}: after {shown(self.cell('after'))} is unknown; write one of {words}."
            )
        return DropZone(hole.ref, at, after, self.cell("name"), drawn=True)

    def mark(self) -> tuple[Hole, Point]:
        """Return the hole, and the place so far out and so far left or right of its line."""
        hole, along = self.hole(), self.metres("from")
        left = self.metres("left") if self.cell("left") else 0.0
        left -= self.metres("right") if self.cell("right") else 0.0
        self.check_reach(hole, along, along, left, -left)
        return hole, _place(hole, along, left)

    def hole(self) -> Hole:
        try:
            return self.course.hole(self.cell("hole"))
        except InputError as error:
            raise self._here(error) from None

    def check_reach(self, hole: Hole, start: float, end: float, left: float, right: float) -> None:
        if max(-start, end - hole.length_m, abs(left), abs(right)) > FARTHEST_M:
            raise InputError(
                f"{self.where}: the area reaches more than {FARTHEST_M:.0f} m past hole "
                f"{hole.ref}; check the unit."
            )

    def _here(self, error: InputError) -> InputError:
        said = str(error)
        return error if said.startswith("line ") else InputError(f"{self.where}: {said}")


def _place(hole: Hole, along_m: float, left_m: float) -> Point:
    """Return a place along a hole's line and left of it, in the course's frame."""
    turn = math.radians(hole.bearing_deg)
    ahead, aside = (math.sin(turn), math.cos(turn)), (-math.cos(turn), math.sin(turn))
    return (
        hole.tee[0] + along_m * ahead[0] + left_m * aside[0],
        hole.tee[1] + along_m * ahead[1] + left_m * aside[1],
    )
