"""Tables about holes: a course known only by its lengths, or facts about the holes on file."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from rimwise.course.features import (
    METRES_PER,
    CourseImport,
    check_size,
    length_m,
    shown,
    whole_number,
)
from rimwise.errors import InputError
from rimwise.records.courses import Course, Hole

__all__ = ["course_from_table", "holes_from_facts", "table_rows"]

#: A table of holes has a dozen columns.
MOST_COLUMNS = 1_000
#: Holes without a map lie side by side, far enough apart that none reaches another.
APART_M = 400.0

_COLUMNS = {
    "ref": ("hole", "holes", "ref", "number", "no", "nr", "#"),
    "length": ("length", "dist", "distance"),
    "par": ("par",),
    "climb": ("elevation change", "elevation", "climb", "up", "height change"),
    "slope": ("slope", "gradient"),
    "tee": ("tee height", "tee elevation"),
    "basket": ("basket height", "basket elevation"),
    "shelter": ("shelter", "shelter factor"),
    "name": ("name",),
}
#: What says something of a hole beyond its number and length.
_FACTS = ("par", "climb", "slope", "tee", "basket", "shelter", "name")


def course_from_table(data: bytes, name: str) -> CourseImport:
    """Read a table with a heading line: hole, length, and what else is known of each hole.

    That is par, the elevation change or the heights of tee and basket or a slope in percent, a
    shelter factor, and a name. Columns may stand in any order, between commas, semicolons or
    tabs. The unit of a length stands in the heading ("length (ft)", "length_m") or in the cell
    ("300 ft"); a bare length is refused rather than guessed. Each hole becomes a straight open
    corridor to the north
    (``bearings_known`` is false, so wind is averaged around the compass).

    Raises
    ------
    InputError
        When a line or cell cannot be understood; nothing is imported.
    """
    rows = table_rows(data, "course table")
    columns = _columns(rows[0][1])
    for column, example in (("ref", "hole"), ("length", "length (m)")):
        if column not in columns:
            raise InputError(
                f"line 1 of the course table has no {example.split(' ')[0]} column; write a "
                f'heading such as "hole,length (m),par", with one called {example!r}.'
            )
    holes = tuple(
        _hole(index, _Row(f"line {line} of the course table", cells, columns))
        for index, (line, cells) in enumerate(rows[1:])
    )
    if not holes:
        raise InputError("the course table has a heading but no hole; add one line for each hole.")
    return CourseImport(Course(name or "Course", holes, bearings_known=False))


def holes_from_facts(data: bytes, course: Course) -> tuple[Hole, ...]:
    """Return the holes of a course with what a table says of them; empty cells change nothing.

    The heading names hole and some of par, elevation change, slope, tee height and basket
    height, shelter and name.

    Raises
    ------
    InputError
        When a line or cell cannot be understood.
    """
    rows = table_rows(data, "table of holes")
    columns = _columns(rows[0][1])
    if "ref" not in columns or not any(fact in columns for fact in _FACTS):
        raise InputError(
            "line 1 of the table has no column that says what is to be changed; for areas and "
            'marks write "kind,hole,from (m),to (m),left (m),right (m)", for holes "hole,par,climb '
            '(m),shelter".'
        )
    holes = {hole.ref: hole for hole in course.holes}
    for line, cells in rows[1:]:
        row = _Row(f"line {line} of the table of holes", cells, columns)
        ref = row.cell("ref")
        if ref not in holes:
            raise InputError(
                f"{row.where}: {course.name} has no hole {shown(ref)}; it has {', '.join(holes)}."
            )
        holes[ref] = row.told_of(holes[ref])
    return tuple(holes.values())


def table_rows(data: bytes, what: str) -> list[tuple[int, list[str]]]:
    """Return the lines of a table that are not blank, with their numbers.

    Parameters
    ----------
    what
        What messages call the table.

    Raises
    ------
    InputError
        When the file is empty, too large, or no table.
    """
    check_size(data)
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise InputError(f"the {what} is not UTF-8 text; save it as UTF-8.") from None
    if not text.strip():
        raise InputError(f"the {what} is empty; write a heading and one line for each hole.")
    heading = text.lstrip().splitlines()[0]
    separator = max(";\t,", key=heading.count)
    reader = csv.reader(io.StringIO(text), delimiter=separator)
    try:
        rows = [
            (reader.line_num, [cell.strip() for cell in cells])
            for cells in reader
            if any(cell.strip() for cell in cells)
        ]
    except csv.Error as error:
        raise InputError(
            f"line {reader.line_num} of the {what} cannot be read ({error}); save it as CSV."
        ) from None
    if not rows:
        raise InputError(f"the {what} is empty; write a heading and one line for each hole.")
    if len(rows[0][1]) > MOST_COLUMNS:
        raise InputError(
            f"the {what} has {len(rows[0][1]):,} columns; give one with only those you need."
        )
    return rows


def _columns(heading: list[str]) -> dict[str, tuple[int, str]]:
    """Where each column stands, and the unit its heading names."""
    columns: dict[str, tuple[int, str]] = {}
    for index, cell in enumerate(heading):
        words = re.sub(r"[\s_()\[\],]+", " ", cell.lower()).strip().split(" ")
        unit = words.pop() if len(words) > 1 and words[-1] in (*METRES_PER, "%", "percent") else ""
        title = " ".join(words)
        for column, titles in _COLUMNS.items():
            if title not in titles:
                continue
            # A slope in feet or metres is the height won, not a share of the length.
            called = "climb" if column == "slope" and unit in METRES_PER and unit else column
            columns.setdefault(called, (index, unit))
    return columns


@dataclass(frozen=True, slots=True)
class _Row:
    """One line about one hole; ``where`` names it in messages."""

    where: str
    cells: Sequence[str]
    columns: Mapping[str, tuple[int, str]]

    def cell(self, column: str) -> str:
        place, _ = self.columns.get(column, (len(self.cells), ""))
        return self.cells[place] if place < len(self.cells) else ""

    def metres(self, column: str, words: str, unit: str = "") -> float:
        """Return a length; ``unit`` is what a bare number has where its heading names none."""
        unit = self.columns[column][1] or unit
        return _metres(self.cell(column), unit, f"{self.where}: {words}")

    def told_of(self, hole: Hole) -> Hole:
        """Return a hole with what this line says of it."""
        shelter = self.cell("shelter")
        try:
            return replace(
                hole,
                par=_par(self.cell("par"), self.where) if self.cell("par") else hole.par,
                elevation_change_m=self._climb_m(hole),
                shelter=self._plain("shelter", "0.6") if shelter else hole.shelter,
                name=self.cell("name") or hole.name,
            )
        except InputError as error:
            said = str(error)
            raise InputError(
                said if said.startswith(self.where) else f"{self.where}: {said}"
            ) from None

    def _climb_m(self, hole: Hole) -> float:
        # A bare elevation change is in the unit of the lengths.
        unit = self.columns["length"][1] if "length" in self.columns else ""
        if self.cell("climb"):
            return self.metres("climb", f"hole {hole.ref}: elevation change", unit)
        if self.cell("slope"):
            return self._plain("slope", "-3 %", percent=True) / 100.0 * hole.length_m
        if bool(self.cell("tee")) != bool(self.cell("basket")):
            raise InputError(
                f"{self.where}: hole {hole.ref} has only one of tee height and basket height; give "
                "both, or the climb between them."
            )
        if self.cell("tee"):
            ends = [self.metres(end, f"hole {hole.ref}: {end} height", unit)
                    for end in ("tee", "basket")]  # fmt: skip
            return ends[1] - ends[0]
        return hole.elevation_change_m

    def _plain(self, column: str, example: str, *, percent: bool = False) -> float:
        text = self.cell(column)
        bare = text.removesuffix("%").strip() if percent else text
        if percent and bare == text and self.columns[column][1] not in ("%", "percent"):
            raise InputError(
                f'{self.where}: {column} {text} has no unit; write "{column} (%)" in the heading.'
            )
        if re.fullmatch(r"[+-]?\d+([.,]\d+)?", bare) is None:
            raise InputError(
                f"{self.where}: {column} {shown(text)} is no number; write one such as {example}."
            )
        return float(bare.replace(",", "."))


def _hole(index: int, row: _Row) -> Hole:
    ref = row.cell("ref")
    if not ref:
        raise InputError(f"{row.where} has no hole number; give every hole one.")
    named = replace(row, where=f"{row.where} (hole {ref})")
    metres = named.metres("length", "length")
    if metres <= 0.0:
        raise InputError(
            f"{named.where}: length {row.cell('length')} is no length; write a number above 0."
        )
    tee = (index * APART_M, 0.0)
    try:
        hole = Hole(ref, tee, (tee[0], metres), played_length_m=metres)
    except InputError as error:
        raise InputError(f"{row.where}: {error}") from None
    return row.told_of(hole)


def _metres(text: str, unit: str, where: str) -> float:
    bare = re.fullmatch(r"[+-]?\d+([.,]\d+)?", text) is not None
    if bare and not unit:
        raise InputError(
            f'{where} {text} has no unit; write "length (m)" or "length (ft)" in the heading, or '
            f'"{text} ft" in the cell.'
        )
    metres = length_m(f"{text} {unit}" if bare else text)
    if metres is None:
        raise InputError(
            f'{where} {shown(text)} is no length; write a number, such as 85 or "280 ft".'
        )
    return metres


def _par(text: str, where: str) -> int | None:
    if not text:
        return None
    par = whole_number(text)
    if par is None:
        raise InputError(f"{where} has par {shown(text)}; write a whole number from 2 to 7.")
    return par
