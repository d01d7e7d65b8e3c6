"""The molds that rows of a table speak of."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import partial

from rimwise.flight.printed import PRINTED_LIMITS, Printed
from rimwise.records.discs import Mold
from rimwise.store.exchange.cells import UNITS, number_in, text_in
from rimwise.store.exchange.collector import Collector
from rimwise.store.exchange.known import Known, fold
from rimwise.store.exchange.problems import CellError
from rimwise.store.exchange.tables import Column, Row

__all__ = ["MOLD_COLUMNS", "printed_words", "read_molds"]

_NUMBERS = ("speed", "glide", "turn", "fade")

MOLD_COLUMNS = (
    Column("maker", ("brand", "manufacturer", "make")),
    Column("mold", ("mould", "model", "mold name", "mould name")),
    *(Column(number, (f"printed {number}",)) for number in _NUMBERS),
    Column("diameter", ("disc diameter",), ("m", "cm", "mm")),
    Column("rim_width", ("rim",), ("m", "cm", "mm")),
)


def printed_words(printed: Printed) -> str:
    """Return printed numbers as people write them: "7/5/-2/1"."""
    return "/".join(f"{getattr(printed, number):g}" for number in _NUMBERS)


def read_molds(
    rows: Sequence[Row], units: Mapping[str, str], known: Known, collector: Collector
) -> dict[str, Mold]:
    """Return the molds on file and in the rows, by folded name.

    A mold's numbers need to stand in one row only; where they stand twice they must agree,
    with each other and with what is on file.
    """
    molds = {fold(mold.name): mold for mold in known.molds}
    places = dict.fromkeys(molds, "on file")
    for row in rows:
        mold = _mold(row, units, collector)
        if mold is None:
            continue
        key = fold(mold.name)
        if key not in molds:
            molds[key], places[key] = mold, f"in line {row.line}"
        else:
            _compare(mold, molds[key], places[key], row, collector)
    for row in rows:
        _note_if_unknown(row, molds, collector)
    return molds


def _mold(row: Row, units: Mapping[str, str], collector: Collector) -> Mold | None:
    """Return the mold a row describes, or ``None`` when it has no printed numbers."""
    name = text_in(row.cell("mold"))
    if not name or not any(row.cell(number) for number in _NUMBERS):
        return None
    numbers = [
        collector.attempt(row.line, number, partial(_printed_number, row.cell(number), number))
        for number in _NUMBERS
    ]
    good = [number for number in numbers if number is not None]
    if len(good) < len(_NUMBERS):
        return None
    return collector.attempt(
        row.line,
        "mold",
        lambda: Mold(
            name,
            Printed(*good),
            text_in(row.cell("maker")),
            _metres(row, units, "diameter", "0.211"),
            _metres(row, units, "rim_width", "0.017"),
        ),
    )


def _printed_number(cell: str, number: str) -> float:
    low, high, _ = PRINTED_LIMITS[number]
    value = number_in(cell, number, f"{low:g} to {high:g}")
    if not low <= value <= high:
        raise CellError(f"{number} is {cell}", f"printed {number}s go from {low:g} to {high:g}")
    return value


def _metres(row: Row, units: Mapping[str, str], name: str, example: str) -> float | None:
    cell = row.cell(name)
    if not cell:
        return None
    return UNITS[units.get(name) or "m"](number_in(cell, name.replace("_", " "), example))


def _compare(mold: Mold, other: Mold, place: str, row: Row, collector: Collector) -> None:
    if mold.printed != other.printed:
        collector.problem(
            row.line,
            "speed",
            f"mold {mold.name} is {printed_words(mold.printed)} here, "
            f"but {printed_words(other.printed)} {place}",
            "correct one of them, or give one of the molds another name",
        )
    if mold.maker and other.maker and fold(mold.maker) != fold(other.maker):
        collector.problem(
            row.line,
            "maker",
            f"mold {mold.name} is by {mold.maker} here, but by {other.maker} {place}",
            f"call one of them by its maker too, such as '{mold.maker} {mold.name}'",
        )


def _note_if_unknown(row: Row, molds: Mapping[str, Mold], collector: Collector) -> None:
    name = text_in(row.cell("mold"))
    if not name:
        collector.problem(row.line, "mold", "mold is empty", "write the name of the mold")
    elif fold(name) not in molds and not collector.is_bad(row.line):
        collector.problem(
            row.line,
            "mold",
            f"mold '{name}' is not on file and has no printed numbers here",
            "write its speed, glide, turn and fade in columns of these names, once",
        )
