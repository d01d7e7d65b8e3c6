"""Tables as people save them: any delimiter, any column order, units in the header."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import islice

from rimwise.errors import InputError
from rimwise.store.exchange.problems import Problem

__all__ = ["Column", "Row", "Table", "count_recognised", "read_table"]

_DELIMITERS = (",", ";", "\t")
#: A table of ours has a few dozen columns; each header is looked at several times.
MOST_COLUMNS = 1_000
#: More than twenty years of heavy use fill, one throw a row.
MOST_ROWS = 300_000

#: Ways to write a unit in a header, after signs are replaced by blanks.
_UNIT_WORDS = {
    "g": "g", "gram": "g", "grams": "g", "gr": "g", "oz": "oz", "ounce": "oz", "ounces": "oz",
    "c": "c", "celsius": "c", "f": "f", "fahrenheit": "f",
    "hpa": "hpa", "mbar": "hpa", "mb": "hpa", "inhg": "inhg", "in hg": "inhg", "kpa": "kpa",
    "m s": "m s", "ms": "m s", "mps": "m s", "kt": "kt", "kts": "kt", "kn": "kt", "knots": "kt",
    "mph": "mph", "mi h": "mph", "km h": "km h", "kmh": "km h", "kph": "km h",
    "m": "m", "metres": "m", "meters": "m", "cm": "cm", "mm": "mm", "ft": "ft", "feet": "ft",
    "percent": "percent", "deg": "deg", "degrees": "deg",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Column:
    """A column a table may have.

    Parameters
    ----------
    name
        Our name for it.
    words
        Other headers that mean it, in small letters, without signs and units.
    units
        Units its header may name; the first is meant when none is named.
    """

    name: str
    words: tuple[str, ...] = ()
    units: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Row:
    """One row: its line in the file and its cells by column name."""

    line: int
    cells: Mapping[str, str]

    def cell(self, name: str) -> str:
        """Return the stripped cell, empty when the table has no such column."""
        return self.cells.get(name, "").strip()


@dataclass(frozen=True, slots=True)
class Table:
    """A table whose columns were recognised.

    Parameters
    ----------
    units
        Unit named in the header, by column name.
    unknown
        Headers that mean nothing to us.
    """

    columns: tuple[str, ...]
    units: Mapping[str, str]
    unknown: tuple[str, ...]
    rows: tuple[Row, ...]
    problems: tuple[Problem, ...]


def read_table(text: str, file: str, columns: Sequence[Column]) -> Table:
    """Recognise the columns of a delimited table with a header and read its rows.

    Quoting follows RFC 4180. The delimiter is the one of comma, semicolon and tab under
    which most headers are recognised. Empty rows are skipped.

    Raises
    ------
    InputError
        When there is no row or more than :data:`MOST_ROWS`, one column is there twice or the
        quoting is broken.
    """
    delimiter = max(_DELIMITERS, key=lambda mark: _recognised(text, mark, columns))
    records = list(islice(_records(text, file, delimiter), MOST_ROWS + 2))
    if len(records) > MOST_ROWS + 1:
        raise InputError(
            f"{file} has more than {MOST_ROWS:,} rows; split it into several files, each with the "
            "same header."
        )
    if len(records) < 2:
        raise InputError(f"{file} has no row; give a file with a header and at least one row.")
    _, header = records[0]
    if len(header) > MOST_COLUMNS:
        raise InputError(
            f"{file} has {len(header):,} columns; give a table with only the columns you need."
        )
    found = [_match(cell, columns) for cell in header]
    names = [match[0] if match else None for match in found]
    twice = sorted({name for name in names if name and names.count(name) > 1})
    if twice:
        raise InputError(f"{file} has the column '{twice[0]}' twice; delete or rename one.")
    rows, problems = [], []
    for line, cells in records[1:]:
        if len(cells) > len(header) and any(cell.strip() for cell in cells[len(header) :]):
            problems.append(_too_many(file, line, len(cells), len(header)))
        named = zip(names, cells, strict=False)
        rows.append(Row(line, {name: cell for name, cell in named if name}))
    return Table(
        columns=tuple(name for name in names if name),
        units={match[0]: match[1] for match in found if match and match[1]},
        unknown=tuple(
            cell.strip() for cell, name in zip(header, names, strict=True) if not name and cell
        ),
        rows=tuple(rows),
        problems=tuple(problems),
    )


def count_recognised(text: str, columns: Sequence[Column]) -> int:
    """Return how many headers of the first line mean one of the columns."""
    return max(_recognised(text, mark, columns) for mark in _DELIMITERS)


def _too_many(file: str, line: int, cells: int, headers: int) -> Problem:
    return Problem(
        file,
        line,
        "",
        f"the row has {cells} cells, but the header {headers}",
        'put cells that hold the delimiter between double quotes, as in "1,5"',
    )


def _recognised(text: str, delimiter: str, columns: Sequence[Column]) -> int:
    first = next((line for line in text.splitlines() if line.strip()), "")
    try:
        header = next(csv.reader([first], delimiter=delimiter), [])
    except csv.Error:  # a cell without end
        return 0
    return sum(_match(cell, columns) is not None for cell in header[:MOST_COLUMNS])


def _records(text: str, file: str, delimiter: str) -> Iterator[tuple[int, list[str]]]:
    """Yield (line, cells) of the rows that are not empty."""
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    line = 1
    try:
        for cells in reader:
            if any(cell.strip() for cell in cells):
                yield line, cells
            line = reader.line_num + 1
    except csv.Error as error:
        if "field larger" in str(error):
            raise InputError(
                f"{file}, line {line}: a cell is longer than any of ours may be; shorten it."
            ) from None
        raise InputError(
            f"{file}, line {line}: a double quote is not closed or stands alone; "
            'write it twice ("") inside a quoted cell, or delete it.'
        ) from None


def _match(header: str, columns: Sequence[Column]) -> tuple[str, str] | None:
    """Return (column name, unit named in the header or "") of a header cell."""
    words = re.sub(r"[^\w%]|_", " ", header.lower()).replace("%", " percent ").split()
    for length in range(min(2, len(words)), -1, -1):
        cut = len(words) - length
        unit = _UNIT_WORDS.get(" ".join(words[cut:]), "") if length else ""
        if length and not unit:
            continue
        for column in columns:
            if unit and unit not in column.units:
                continue
            known = (column.name.replace("_", " ").replace("-", " "), *column.words)
            if " ".join(words[:cut]) in known or (unit and not cut and unit in column.words):
                return column.name, unit
    return None
