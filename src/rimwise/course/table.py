"""A course of which only the lengths are known: a table of holes as straight open corridors."""

from __future__ import annotations

import csv
import io
import re

from rimwise.course.features import METRES_PER, CourseImport, check_size, length_m
from rimwise.errors import InputError
from rimwise.records.courses import Course, Hole

__all__ = ["course_from_table", "table_rows"]

#: Holes without a map lie side by side, far enough apart that none reaches another.
APART_M = 400.0

_COLUMNS = {
    "ref": ("hole", "holes", "ref", "number", "no", "nr", "#"),
    "length": ("length", "dist", "distance"),
    "par": ("par",),
    "climb": ("elevation change", "elevation", "climb", "up", "slope", "height change"),
    "name": ("name",),
}


def course_from_table(data: bytes, name: str) -> CourseImport:
    """Read a table with a heading line: hole, length, and if known par and elevation change.

    Columns may stand in any order, between commas, semicolons or tabs. The unit of a length
    stands in the heading ("length (ft)", "length_m") or in the cell ("300 ft"); a bare length
    is refused rather than guessed. Each hole becomes a straight open corridor to the north
    (``bearings_known`` is false, so wind is averaged around the compass).

    Raises
    ------
    InputError
        When a line or cell cannot be understood; nothing is imported.
    """
    rows = table_rows(data, "course table")
    columns, units = _columns(rows[0][1])
    holes = tuple(
        _hole(index, line, cells, columns, units) for index, (line, cells) in enumerate(rows[1:])
    )
    if not holes:
        raise InputError("the course table has a heading but no hole; add one line for each hole.")
    return CourseImport(Course(name or "Course", holes, bearings_known=False))


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
    heading = text.lstrip().splitlines()[0]
    separator = max(";\t,", key=heading.count)
    reader = csv.reader(io.StringIO(text), delimiter=separator)
    try:
        return [
            (reader.line_num, [cell.strip() for cell in cells])
            for cells in reader
            if any(cell.strip() for cell in cells)
        ]
    except csv.Error as error:
        raise InputError(
            f"line {reader.line_num} of the {what} cannot be read ({error}); save it as CSV."
        ) from None


def _columns(heading: list[str]) -> tuple[dict[str, int], dict[str, str]]:
    """Where each column stands, and the unit its heading names."""
    columns: dict[str, int] = {}
    units: dict[str, str] = {}
    for index, cell in enumerate(heading):
        words = re.sub(r"[\s_()\[\],]+", " ", cell.lower()).strip().split(" ")
        unit = words.pop() if len(words) > 1 and words[-1] in METRES_PER else ""
        title = " ".join(words)
        for column, titles in _COLUMNS.items():
            if title in titles and column not in columns:
                columns[column], units[column] = index, unit
    for column, example in (("ref", "hole"), ("length", "length (m)")):
        if column not in columns:
            raise InputError(
                f"line 1 of the course table has no {example.split(' ')[0]} column; write a "
                f'heading such as "hole,length (m),par", with one called {example!r}.'
            )
    return columns, units


def _hole(
    index: int, line: int, cells: list[str], columns: dict[str, int], units: dict[str, str]
) -> Hole:
    where = f"line {line} of the course table"

    def cell(column: str) -> str:
        place = columns.get(column, len(cells))
        return cells[place] if place < len(cells) else ""

    ref = cell("ref")
    if not ref:
        raise InputError(f"{where} has no hole number; give every hole one.")
    metres = _metres(cell("length"), units["length"], f"{where} (hole {ref}): length")
    if metres <= 0.0:
        raise InputError(
            f"{where} (hole {ref}): length {cell('length')} is no length; write a number above 0."
        )
    climb_m = 0.0
    if cell("climb"):
        # A bare elevation change is in the unit of the lengths.
        unit = units["climb"] or units["length"]
        climb_m = _metres(cell("climb"), unit, f"{where} (hole {ref}): elevation change")
    tee = (index * APART_M, 0.0)
    try:
        return Hole(
            ref, tee, (tee[0], metres), _par(cell("par"), where), climb_m, metres, cell("name")
        )
    except InputError as error:
        raise InputError(f"{where}: {error}") from None


def _metres(text: str, unit: str, where: str) -> float:
    bare = re.fullmatch(r"[+-]?\d+([.,]\d+)?", text) is not None
    if bare and not unit:
        raise InputError(
            f'{where} {text} has no unit; write "length (m)" or "length (ft)" in the heading, or '
            f'"{text} ft" in the cell.'
        )
    metres = length_m(f"{text} {unit}" if bare else text)
    if metres is None:
        raise InputError(f'{where} {text!r} is no length; write a number, such as 85 or "280 ft".')
    return metres


def _par(text: str, where: str) -> int | None:
    if not text:
        return None
    if not text.isdecimal():
        raise InputError(f"{where} has par {text!r}; write a whole number from 2 to 7.")
    return int(text)
