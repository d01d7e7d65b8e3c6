"""Plastics: a table of their own, and those that rows about discs speak of."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from functools import partial

from rimwise.records.discs import Grip, Plastic
from rimwise.records.words import joined
from rimwise.store.exchange.cells import number_in, text_in, yes_or_no
from rimwise.store.exchange.collector import Collector
from rimwise.store.exchange.disc_cells import grade_in
from rimwise.store.exchange.known import Known, fold
from rimwise.store.exchange.problems import CellError, Problem
from rimwise.store.exchange.tables import Column, Row, read_table
from rimwise.store.exchange.text import read_text

__all__ = ["MIDDLE_GRADE", "PLASTIC_COLUMNS", "PlasticsOfRows", "PlasticsRead", "read_plastics_csv"]

#: Grip of a plastic of which nothing is known, in every kind of air. An assumption.
MIDDLE_GRADE = 3.0

_GRIPS = ("cold_dry", "cold_wet", "warm_dry", "hot_sweaty")
_NUMBERS = ("durability", "stability_shift", "stability_shift_sd")

PLASTIC_COLUMNS = (
    Column("plastic", ("name", "material", "blend")),
    *(Column(f"grip_{air}", (air.replace("_", " "),)) for air in _GRIPS),
    Column("durability", ("durable",)),
    Column("floats", ("float", "floating")),
    Column("stability_shift", ("stability",)),
    Column("stability_shift_sd", ("stability sd",)),
)


@dataclass(frozen=True, slots=True)
class PlasticsRead:
    """The good rows of a file of plastics, its problems and its notices."""

    plastics: tuple[Plastic, ...]
    problems: tuple[Problem, ...]
    notices: tuple[Problem, ...]


def read_plastics_csv(data: str | bytes, name: str) -> PlasticsRead:
    """Read plastics from a table with a header, columns in any order.

    Needed are the plastic's name and its four grip grades (1 to 5 or a word). Understood as
    well: durability (0 to 1), floats (yes or no), stability shift and its sd in
    printed-number units.

    Raises
    ------
    InputError
        When the file as a whole cannot be read.
    """
    text, notices = read_text(data, name)
    table = read_table(text, name, PLASTIC_COLUMNS)
    collector = Collector(name)
    collector.add_problems(table.problems)
    collector.notices += notices
    for column in ("plastic", *(f"grip_{air}" for air in _GRIPS)):
        if column not in table.columns:
            shown = column.replace("_", " ")
            collector.problem(1, column, f"there is no column '{shown}'", "add it")
    if collector.problems:
        return PlasticsRead((), *collector.in_order())
    found: dict[str, Plastic] = {}
    for row in table.rows:
        plastic = _plastic(row, collector)
        if plastic is None or collector.is_bad(row.line):
            continue
        if fold(plastic.name) in found:
            collector.problem(
                row.line, "plastic", f"plastic '{plastic.name}' is there twice", "delete one row"
            )
        else:
            found[fold(plastic.name)] = plastic
    return PlasticsRead(tuple(found.values()), *collector.in_order())


def _plastic(row: Row, collector: Collector) -> Plastic | None:
    grades = {
        air: collector.attempt(row.line, f"grip_{air}", partial(_needed_grade, row, air))
        for air in _GRIPS
    }
    numbers = {
        name: collector.attempt(row.line, name, partial(number_in, row.cell(name), name, "0.5"))
        for name in _NUMBERS
        if row.cell(name)
    }
    floats = collector.attempt(row.line, "floats", lambda: yes_or_no(row.cell("floats"), "floats"))
    if collector.is_bad(row.line):
        return None
    return collector.attempt(
        row.line,
        "",
        lambda: Plastic(
            text_in(row.cell("plastic")),
            Grip(**{air: grade or MIDDLE_GRADE for air, grade in grades.items()}),
            floats=bool(floats),
            **{name: number or 0.0 for name, number in numbers.items()},
        ),
    )


def _needed_grade(row: Row, air: str) -> float:
    field = f"grip {air.replace('_', '-')}"
    grade = grade_in(row.cell(f"grip_{air}"), field)
    if grade is None:
        raise CellError(
            f"{field} is empty", f"write 1 to 5, or {MIDDLE_GRADE:g} if you do not know"
        )
    return grade


class PlasticsOfRows:
    """The plastics that rows about discs name; new ones begin with middle grades."""

    def __init__(self, known: Known, collector: Collector) -> None:
        self._collector = collector
        self._found = {fold(plastic.name): plastic for plastic in known.plastics}
        self.new: list[Plastic] = []
        self._first_line = 0

    def of_row(self, row: Row) -> Plastic | None:
        """Return the plastic of a row, made when it is new; ``None`` when it has a problem."""
        name = text_in(row.cell("plastic"))
        if not name:
            self._collector.problem(
                row.line, "plastic", "plastic is empty", "write it in plain words, as in soft base"
            )
            return None
        floats = self._collector.attempt(row.line, "floats", lambda: _says_floats(row))
        plastic = self._found.get(fold(name))
        if plastic is None:
            return self._make(name, bool(floats), row)
        if floats is not None and floats != plastic.floats:
            self._collector.problem(
                row.line,
                "floats",
                f"plastic {plastic.name} {'floats' if floats else 'sinks'} here, "
                f"but {'floats' if plastic.floats else 'sinks'} elsewhere",
                "correct one of them, or give the floating plastic another name",
            )
        return plastic

    def _make(self, name: str, floats: bool, row: Row) -> Plastic:
        plastic = Plastic(name, Grip(*(MIDDLE_GRADE,) * 4), floats=floats)
        self._found[fold(name)] = plastic
        self.new.append(plastic)
        self._first_line = self._first_line or row.line
        return plastic

    def note_new(self, used: Collection[str]) -> None:
        """Say once which plastics are new, of those that are used."""
        names = [f"'{plastic.name}'" for plastic in self.new if plastic.name in used]
        if not names:
            return
        one = len(names) == 1
        self._collector.notice(
            self._first_line,
            "plastic",
            f"plastic{'' if one else 's'} {joined(names)} {'is' if one else 'are'} new and "
            f"get{'s' if one else ''} middle grip grades ({MIDDLE_GRADE:g} of 5)",
            f"grade {'its' if one else 'their'} grip when you have held "
            f"{'it' if one else 'them'} in cold and wet",
        )


def _says_floats(row: Row) -> bool | None:
    cell = row.cell("floats")
    return yes_or_no(cell, "floats") if cell else None
