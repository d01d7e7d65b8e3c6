"""Evidence as tables: throws, comparisons, grips, wear, knocks, putts and rounds.

Columns come in any order, under several names, with units in the header or in the cells. Every
row is read to its end, so that all its problems are told at once.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from typing import TypeVar

from rimwise.errors import InputError, RimwiseError
from rimwise.records.evidence import Quality
from rimwise.records.evidence_words import (
    LENGTH_UNITS_M,
    ComparisonSaid,
    comparison_in,
    length_in,
    speed_in,
    spin_in,
)
from rimwise.records.throw_words import ThrowSaid, check_said
from rimwise.records.thrower import Style
from rimwise.store.exchange.cells import number_in, text_in, yes_or_no
from rimwise.store.exchange.collector import Collector
from rimwise.store.exchange.evidence_scope import Place, Scope
from rimwise.store.exchange.problems import CellError, Problem
from rimwise.store.exchange.tables import Column, Row, Table, read_table
from rimwise.store.exchange.text import LARGEST_LOG_BYTES, read_text
from rimwise.store.journal import EvidenceRecord

__all__ = ["EVIDENCE_TABLES", "EvidenceRead", "evidence_kind", "read_evidence_csv"]

T = TypeVar("T")

_LENGTHS = ("m", "ft")
_ON = Column("on", ("date", "day", "when"))
_DISC = Column("disc", ("disc id", "disc name"))
_CONDITIONS = Column("conditions", ("weather", "in"))
_NOTE = Column("note", ("notes", "remark"))
_POINTS = ("tee", "rest", "aim")

_THROWS = (
    _ON, _DISC, _CONDITIONS, _NOTE,
    Column("throw", ("said", "words")),
    Column("style"),
    Column("hyzer", (), ("deg",)),
    Column("launch", ("height",), ("deg",)),
    Column("effort", ("power",), ("fraction", "percent")),
    Column("distance", ("rest along",), _LENGTHS),
    Column("left", (), _LENGTHS),
    Column("right", (), _LENGTHS),
    Column("side", ("left right", "sideways"), _LENGTHS),
    Column("to_go", ("distance to go",), _LENGTHS),
    Column("short", ("short of basket",), _LENGTHS),
    Column("length", ("hole length",), _LENGTHS),
    Column("hole"),
    Column("course"),
    Column("first_touch", ("touch",), _LENGTHS),
    Column("speed", ("release speed",), ("m s", "mph", "km h", "kt")),
    Column("spin", ("spin rpm", "rpm")),
    Column("ground"),
    *(Column(f"{point}_{way}", (f"{point} {long}",))
      for point in _POINTS for way, long in (("lat", "latitude"), ("lon", "longitude"))),
    Column("bearing", (), ("deg",)),
)  # fmt: skip

_COLUMNS: dict[str, tuple[Column, ...]] = {
    "throws": _THROWS,
    "comparisons": (
        _ON, Column("more"), Column("less"), Column("comparison", ("said", "words")),
        Column("quality"), Column("plainly", ("plain",)), Column("alike", ("same",)), _NOTE,
    ),
    "grips": (_ON, _DISC, Column("air"), Column("grade", ("grip",))),
    "wear": (_ON, _DISC, Column("wear"), _NOTE),
    "knocks": (_ON, _DISC, Column("knock", ("hit", "what")), Column("hard"), _NOTE),
    "putts": (
        _ON, Column("distance", (), _LENGTHS), Column("tried", ("attempts",)), Column("made"),
        _CONDITIONS,
    ),
    "rounds": (
        _ON, Column("course"), _CONDITIONS, Column("hole"), Column("strokes", ("score",)),
        Column("scores"), _NOTE,
    ),
}  # fmt: skip

#: Kinds of evidence that a table may hold.
EVIDENCE_TABLES = tuple(_COLUMNS)

#: Columns by which a table is known, and which every row needs; one set of several.
_NEEDED: dict[str, tuple[tuple[str, ...], ...]] = {
    "comparisons": (("more", "less"), ("comparison",)),
    "putts": (("distance", "tried", "made"),),
    "rounds": (("course", "hole", "strokes"), ("course", "scores")),
    "grips": (("disc", "air", "grade"),),
    "knocks": (("disc", "knock"),),
    "wear": (("disc", "wear"),),
    "throws": (
        ("disc", "distance"), ("disc", "throw"), ("disc", "to_go"), ("disc", "short"),
        ("disc", "rest_lat", "rest_lon"),
    ),
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class EvidenceRead:
    """The good rows of a table of evidence, its problems and its notices."""

    records: tuple[EvidenceRecord, ...]
    problems: tuple[Problem, ...]
    notices: tuple[Problem, ...]


def evidence_kind(data: bytes, name: str) -> str | None:
    """Return which kind of evidence a table holds, by its header; ``None`` when none.

    A table of evidence has a date, and none of the columns that tables of discs have. One of discs
    and where they came to rest is of throws all the same, so that its date is asked for.
    """
    try:
        text, _ = read_text(data, name, LARGEST_LOG_BYTES)
    except InputError:
        return None
    head = next((line for line in text.splitlines() if line.strip()), "")
    if re.search(r"\bmold\b", head, re.IGNORECASE):
        return None
    for kind, choices in _NEEDED.items():
        try:
            columns = read_table(f"{head}\n1\n", name, _COLUMNS[kind]).columns
        except InputError:
            continue
        dated = "on" in columns or kind == "throws"
        if dated and any(set(needed) <= set(columns) for needed in choices):
            return kind
    return None


def read_evidence_csv(data: str | bytes, name: str, kind: str, scope: Scope) -> EvidenceRead:
    """Read a table of one kind of evidence, columns in any order.

    Parameters
    ----------
    name
        Name of the file, for messages.
    kind
        One of :data:`EVIDENCE_TABLES`.
    scope
        What is on file.

    Raises
    ------
    InputError
        When the file as a whole cannot be read.
    """
    text, notices = read_text(data, name, LARGEST_LOG_BYTES)
    table = read_table(text, name, _COLUMNS[kind])
    collector = Collector(name)
    collector.notices += notices
    collector.add_problems(table.problems)
    _check_columns(table, kind, collector)
    if collector.problems:
        return EvidenceRead((), *collector.in_order())
    for header in table.unknown:
        collector.notice(1, header, f"the column {header!r} is not used", "leave it or rename it")
    reader = _Reader(scope, table, collector)
    records: list[EvidenceRecord] = []
    if kind == "rounds":
        records += reader.rounds()
    else:
        read = getattr(reader, f"{kind}_row")
        records += (made for row in table.rows if (made := read(row)) is not None)
    return EvidenceRead(tuple(records), *collector.in_order())


def _check_columns(table: Table, kind: str, collector: Collector) -> None:
    have = set(table.columns)
    if "on" not in have:
        collector.problem(1, "on", "there is no column for the date", "add a column named on")
    choices = _NEEDED[kind]
    if not any(set(needed) <= have for needed in choices):
        told = " or ".join(", ".join(needed) for needed in choices)
        collector.problem(1, "", f"these are no {kind}", f"the columns must have: {told}")


class _Reader:
    """Reads the rows of one table."""

    def __init__(self, scope: Scope, table: Table, collector: Collector) -> None:
        self.scope, self.table, self.collector = scope, table, collector

    # -- one row of each kind ----------------------------------------------------------------

    def throws_row(self, row: Row) -> EvidenceRecord | None:
        """Return the throw of a row; ``None`` when it has a problem."""
        on = self._try(row, "on", lambda: self.scope.day_of(row.cell("on")))
        disc = self._disc(row, "disc")
        said, place = self._said(row), self._place(row)
        if on is None or disc is None or said is None or place is None:
            return None
        return self._try(
            row,
            "",
            lambda: self.scope.throw(
                on, disc, check_said(said), place, ground=row.cell("ground"),
                note=text_in(row.cell("note")),
            ),
        )  # fmt: skip

    def comparisons_row(self, row: Row) -> EvidenceRecord | None:
        """Return the comparison of a row."""
        on = self._try(row, "on", lambda: self.scope.day_of(row.cell("on")))
        said = self._try(row, "comparison", lambda: self._compared(row))
        if on is None or said is None:
            return None
        return self._try(
            row, "", lambda: self.scope.comparison(on, said, text_in(row.cell("note")))
        )

    def grips_row(self, row: Row) -> EvidenceRecord | None:
        """Return the grip grade of a row."""
        on = self._try(row, "on", lambda: self.scope.day_of(row.cell("on")))
        disc = self._disc(row, "disc")
        if on is None or disc is None:
            return None
        return self._try(
            row, "grade", lambda: self.scope.grip(on, disc, row.cell("air"), row.cell("grade"))
        )

    def wear_row(self, row: Row) -> EvidenceRecord | None:
        """Return the condition grade of a row."""
        on = self._try(row, "on", lambda: self.scope.day_of(row.cell("on")))
        disc = self._disc(row, "disc")
        if on is None or disc is None:
            return None
        note = text_in(row.cell("note"))
        return self._try(row, "wear", lambda: self.scope.wear(on, disc, row.cell("wear"), note))

    def knocks_row(self, row: Row) -> EvidenceRecord | None:
        """Return the knock of a row; hard unless the table says otherwise."""
        on = self._try(row, "on", lambda: self.scope.day_of(row.cell("on")))
        disc = self._disc(row, "disc")
        cell = row.cell("hard")
        hard = self._try(row, "hard", lambda: yes_or_no(cell, "hard") if cell else True)
        if on is None or disc is None or hard is None:
            return None
        what, note = text_in(row.cell("knock")), text_in(row.cell("note"))
        return self._try(row, "knock", lambda: self.scope.knock(on, disc, what, hard, note))

    def putts_row(self, row: Row) -> EvidenceRecord | None:
        """Return the putts of a row."""
        on = self._try(row, "on", lambda: self.scope.day_of(row.cell("on")))
        distance_m = self._length(row, "distance")
        tried, made = self._whole(row, "tried"), self._whole(row, "made")
        if on is None or distance_m is None or tried is None or made is None:
            return None
        return self._try(
            row,
            "made",
            lambda: self.scope.putts(on, distance_m, tried, made, row.cell("conditions")),
        )

    def rounds(self) -> Iterable[EvidenceRecord]:
        """Yield the rounds: one a row with all scores, or one for the rows of a day's course."""
        if "scores" in self.table.columns:
            for row in self.table.rows:
                yield from self._round([row], [row.cell("scores")])
            return
        together: dict[tuple[str, ...], list[list[Row]]] = {}
        for row in self.table.rows:
            key = tuple(row.cell(name) for name in ("on", "course", "conditions", "note"))
            parts = together.setdefault(key, [[]])
            if any(row.cell("hole") == other.cell("hole") for other in parts[-1]):
                parts.append([])  # a hole again is another round of that day
            parts[-1].append(row)
        for parts in together.values():
            for rows in parts:
                holes = [self._hole_score(row) for row in rows]
                good = [score for score in holes if score is not None]
                if len(good) == len(holes):
                    yield from self._round(rows, good)

    def _round(self, rows: list[Row], scores: list[str]) -> Iterable[EvidenceRecord]:
        first = rows[0]
        on = self._try(first, "on", lambda: self.scope.day_of(first.cell("on")))
        if on is None:
            return
        made = self._try(
            first,
            "",
            lambda: self.scope.round(
                on, text_in(first.cell("course")), scores, first.cell("conditions"),
                text_in(first.cell("note")),
            ),
        )  # fmt: skip
        if made is not None:
            yield made

    def _hole_score(self, row: Row) -> str | None:
        """Return "hole:strokes" of a row whose course has that hole."""
        strokes = self._whole(row, "strokes")
        hole = self._try(
            row,
            "hole",
            lambda: self.scope.course(text_in(row.cell("course"))).hole(row.cell("hole")),
        )
        return None if strokes is None or hole is None else f"{hole.ref}:{strokes}"

    # -- cells -------------------------------------------------------------------------------

    def _said(self, row: Row) -> ThrowSaid | None:
        """Return what the cells of a throw say; words in one cell and cells of their own mix."""
        before = len(self.collector.problems)
        words = row.cell("throw")
        said = (
            self._try(row, "throw", lambda: self.scope.throw_in(words)) if words else None
        ) or ThrowSaid()
        found: dict[str, object] = {
            "distance_m": self._length(row, "distance"),
            "left_m": self._side(row),
            "to_go_m": self._length(row, "to_go"),
            "short_m": self._length(row, "short"),
            "first_touch_m": self._length(row, "first_touch"),
            "hyzer_deg": self._number(row, "hyzer", "5"),
            "launch_deg": self._number(row, "launch", "10"),
            "effort": self._effort(row),
            "speed_m_s": self._optional(row, "speed", self._speed),
            "spin_rad_s": self._optional(
                row, "spin", lambda cell: spin_in(_with_unit(cell, "rpm"), "spin")
            ),
            "style": self._optional(row, "style", _style),
            "weather": row.cell("conditions") or None,
        }
        if len(self.collector.problems) > before:
            return None
        return replace(said, **{name: value for name, value in found.items() if value is not None})  # type: ignore[arg-type]

    def _side(self, row: Row) -> float | None:
        """Return the distance left; a column for right or "5R" in one for the side is the same."""
        given = [name for name in ("left", "right", "side") if row.cell(name)]
        if len(given) > 1:
            self._fail(row, given[1], f"{' and '.join(given)} are both given", "keep one of them")
            return None
        if not given:
            return None
        if given[0] == "side":
            if not re.search(r"[lr]|straight", row.cell("side"), re.IGNORECASE):
                bare = row.cell("side")
                self._fail(row, "side", f"side is {bare!r}", f"write {bare}L or {bare}R")
                return None
            unit = self._unit("side") or self._distance_unit(row)
            cell = re.sub(r"(\d)\s*(?=l|r)", rf"\1{unit} ", row.cell("side"), flags=re.IGNORECASE)
            return self._try(row, "side", lambda: self.scope.throw_in(cell).left_m)
        length_m = self._length(row, given[0])
        return -length_m if length_m is not None and given[0] == "right" else length_m

    def _place(self, row: Row) -> Place | None:
        before = len(self.collector.problems)
        points = {point: self._point(row, point) for point in _POINTS}
        place = Place(
            length_m=self._length(row, "length"),
            hole=row.cell("hole") or None,
            course=text_in(row.cell("course")) or None,
            bearing_deg=self._number(row, "bearing", "120"),
            **points,
        )
        return place if len(self.collector.problems) == before else None

    def _point(self, row: Row, point: str) -> tuple[float, float] | None:
        lat = self._number(row, f"{point}_lat", "54.12345")
        lon = self._number(row, f"{point}_lon", "8.12345")
        if lat is not None and lon is not None:
            return lat, lon
        if bool(row.cell(f"{point}_lat")) != bool(row.cell(f"{point}_lon")):
            wrong = f"the {point} has only one of latitude and longitude"
            self._fail(row, f"{point}_lat", wrong, "write both")
        return None

    def _compared(self, row: Row) -> ComparisonSaid:
        quality = row.cell("quality") or None
        if row.cell("comparison"):
            return comparison_in(row.cell("comparison"), quality)
        try:
            meant = Quality(quality.lower()) if quality else Quality.STABILITY
        except ValueError:
            raise CellError(f"quality is {quality!r}", "write stability, reach or grip") from None
        return ComparisonSaid(
            text_in(row.cell("more")),
            text_in(row.cell("less")),
            meant,
            yes_or_no(row.cell("plainly"), "plainly"),
            yes_or_no(row.cell("alike"), "alike"),
        )

    def _disc(self, row: Row, field: str) -> str | None:
        return self._try(row, field, lambda: self.scope.disc(text_in(row.cell(field))).id)

    def _length(self, row: Row, field: str) -> float | None:
        unit = self._unit(field) or self._distance_unit(row)
        what = field.replace("_", " ")
        return self._optional(row, field, lambda cell: length_in(cell, what, unit))

    def _distance_unit(self, row: Row) -> str:
        """Return the unit that the distance has, in the header or in its cell."""
        in_cell = re.search(r"[a-z']+$", row.cell("distance").lower())
        known = in_cell[0] if in_cell and in_cell[0] in LENGTH_UNITS_M else ""
        return self._unit("distance") or known

    def _speed(self, cell: str) -> float:
        unit = {"m s": "m/s", "km h": "km/h"}.get(self._unit("speed"), self._unit("speed"))
        return speed_in(cell, "speed", unit)

    def _unit(self, field: str) -> str:
        return self.table.units.get(field, "")

    def _effort(self, row: Row) -> float | None:
        """Return the effort as a fraction; more than 1 can only be per cent."""
        value = self._optional(
            row, "effort", lambda cell: number_in(cell.removesuffix("%"), "effort", "0.8 or 80 %")
        )
        if value is None:
            return None
        percent = row.cell("effort").endswith("%") or self._unit("effort") == "percent"
        return value / 100.0 if percent or value > 1.0 else value

    def _number(self, row: Row, field: str, example: str) -> float | None:
        what = field.replace("_", " ")
        return self._optional(row, field, lambda cell: number_in(cell.rstrip("° "), what, example))

    def _whole(self, row: Row, field: str) -> int | None:
        def read() -> int:
            value = number_in(row.cell(field), field, "20")
            if not value.is_integer():
                raise CellError(f"{field} is {row.cell(field)}", "write a whole number")
            return int(value)

        return self._try(row, field, read)

    def _optional(self, row: Row, field: str, read: Callable[[str], T]) -> T | None:
        """Return what a cell says; ``None`` when it is empty or has a problem."""
        cell = row.cell(field)
        return self._try(row, field, lambda: read(cell)) if cell else None

    def _try(self, row: Row, field: str, read: Callable[[], T]) -> T | None:
        """Return what ``read`` returns, or note its complaint with line and column."""
        try:
            return read()
        except CellError as error:
            self._fail(row, field, error.wrong, error.instead)
        except RimwiseError as error:
            wrong, _, instead = str(error).rstrip(".?").partition("; ")
            self._fail(row, field, wrong, instead or "correct it")
        return None

    def _fail(self, row: Row, field: str, wrong: str, instead: str) -> None:
        shown = field.replace("_", " ")
        told = wrong if not shown or shown in wrong else f"{shown}: {wrong}"
        self.collector.problem(row.line, field, told, instead)


def _style(cell: str) -> Style:
    word = cell.strip().lower()
    for style in Style:
        if word in (style.value, style.value[0] + "h"):
            return style
    raise CellError(f"style is {cell!r}", "write backhand or forehand")


def _with_unit(cell: str, unit: str) -> str:
    return cell if re.search(r"[a-z]", cell.lower()) else f"{cell}{unit}"
