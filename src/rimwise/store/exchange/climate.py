"""A monthly climate table with a wind rose."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import partial
from typing import TypeVar

from rimwise.errors import InputError
from rimwise.records.climate import COMPASS, ClimateMonth, months_in_words
from rimwise.records.conditions import Cover, Ground
from rimwise.store.exchange.cells import UNITS, number_in, yes_or_no
from rimwise.store.exchange.collector import Collector
from rimwise.store.exchange.problems import CellError, Problem
from rimwise.store.exchange.tables import Column, Row, Table, count_recognised, read_table
from rimwise.store.exchange.text import read_text

__all__ = ["ClimateRead", "is_climate", "read_climate"]

#: Taken where the table does not say; it moves the air's density by a fifth of a percent.
_HUMIDITY = 0.75
#: A table with so many directions is a wind rose.
_LEAST_POINTS = 3

_ROSE = tuple(Column(point.lower(), (), ("percent",)) for point in COMPASS)
_COLUMNS = (
    Column("month"),
    Column("rounds", ("weight", "nights", "days")),
    Column("temperature", ("temp", "t", "air temperature"), ("c", "f")),
    Column("temperature_sd", ("temperature spread", "spread"), ("c",)),
    Column("pressure", ("station pressure",), ("hpa", "inhg", "kpa")),
    Column("relative_humidity", ("humidity", "rh"), ("percent",)),
    Column("wind_speed", ("wind", "mean wind"), ("m s", "kt", "mph", "km h")),
    Column("calm", (), ("percent",)),
    Column("wet", ("wet fraction", "wet share", "rain"), ("percent",)),
    Column("ground"),
    Column("cover"),
    Column("dusk", ("dark",)),
    *_ROSE,
)


@dataclass(frozen=True, slots=True)
class ClimateRead:
    """The months of a table in the order of the calendar; its problems and notices."""

    months: tuple[ClimateMonth, ...]
    problems: tuple[Problem, ...]
    notices: tuple[Problem, ...]


def is_climate(data: str | bytes, name: str) -> bool:
    """Say whether a file is a climate table with a wind rose."""
    text, _ = read_text(data, name)
    return count_recognised(text, _ROSE) >= _LEAST_POINTS and count_recognised(text, _COLUMNS) > 5


def read_climate(data: str | bytes, name: str, *, elevation_m: float = 0.0) -> ClimateRead:
    """Read one row for each month.

    The header names month, temperature and wind (speed), and the points of the compass (N, NE,
    … or all sixteen) with the share of each; perhaps calm and wet with the share of such hours,
    rounds, the spread of the temperature, humidity, pressure (the station's own), ground, cover
    and dusk. Shares may be in percent or any unit; calm and wet are percent or fractions.

    Parameters
    ----------
    elevation_m
        Height of the course above sea level, for the pressure where the table has none.

    Raises
    ------
    InputError
        When the file as a whole cannot be read.
    """
    text, notices = read_text(data, name)
    collector = Collector(name)
    collector.notices += notices
    table = read_table(text, name, _COLUMNS)
    collector.add_problems(table.problems)
    for header in table.unknown:
        collector.notice(1, header, f"the column '{header}' is not used", "rename it if it matters")
    if _columns_missing(table, collector):
        return ClimateRead((), *collector.in_order())
    found: dict[int, ClimateMonth] = {}
    for row in table.rows:
        month = collector.attempt(row.line, "", partial(_month, row, table.units, elevation_m))
        if month is None or collector.is_bad(row.line):
            continue
        if month.month in found:
            collector.problem(row.line, "month", f"{month.name} is there twice", "delete one row")
        found[month.month] = month
    months = tuple(found[number] for number in sorted(found))
    return ClimateRead(months, *collector.in_order())


def _columns_missing(table: Table, collector: Collector) -> bool:
    examples = {
        "month": "month",
        "temperature": "temperature_c",
        "wind_speed": "wind_speed_m_s (or wind_kt, wind_mph, wind_km_h)",
    }
    missing = [name for name in examples if name not in table.columns]
    for name in missing:
        shown = name.replace("_", " ")
        collector.problem(1, name, f"there is no column for the {shown}", f"add {examples[name]}")
    if not any(column.name in table.columns for column in _ROSE):
        collector.problem(
            1, "", "there is no wind rose", "add columns N, NE, E … with the share of each"
        )
        return True
    return bool(missing)


def _month(row: Row, units: Mapping[str, str], elevation_m: float) -> ClimateMonth:
    def number(name: str, example: str, default: float | None = None) -> float:
        cell = row.cell(name)
        if not cell and default is not None:
            return default
        value = number_in(cell.removesuffix("%"), name.replace("_", " "), example)
        unit = units.get(name, "")
        return UNITS[unit](value) if unit and unit != "percent" else value

    def share(name: str) -> float:
        value = number(name, "0.3 or 30%", 0.0)
        percent = units.get(name) == "percent" or row.cell(name).endswith("%") or value > 1.0
        return value / 100.0 if percent else value

    return ClimateMonth(
        month=_calendar(row.cell("month")),
        temperature_c=number("temperature", "3.5"),
        pressure_hpa=number("pressure", "1009", _pressure_hpa(elevation_m)),
        relative_humidity=share("relative_humidity") or _HUMIDITY,
        wind_speed_m_s=number("wind_speed", "5"),
        rose=tuple(number(column.name, "12", 0.0) for column in _ROSE),
        calm=share("calm"),
        wet=share("wet"),
        temperature_sd_c=number("temperature_sd", "3", 0.0),
        rounds=number("rounds", "4") if row.cell("rounds") else None,
        ground=_word(Ground, row.cell("ground"), "ground", Ground.FIRM),
        cover=_word(Cover, row.cell("cover"), "cover", Cover.GREEN),
        dusk=yes_or_no(row.cell("dusk"), "dusk"),
    )


def _calendar(cell: str) -> int:
    try:
        (month,) = months_in_words(cell) if cell else ()
    except (InputError, ValueError):
        shown = f"is {cell!r}, which is no month" if cell else "is empty"
        raise CellError(f"month {shown}", "write one such as Nov or 11") from None
    return month


_Word = TypeVar("_Word", Ground, Cover)


def _word(kind: type[_Word], cell: str, name: str, default: _Word) -> _Word:
    if not cell:
        return default
    try:
        return kind(cell.lower())
    except ValueError:
        words = ", ".join(one.value for one in kind)
        raise CellError(f"{name} is {cell!r}", f"write one of {words}") from None


def _pressure_hpa(elevation_m: float) -> float:
    from rimwise.flight.air import Air

    return float(Air.standard(elevation_m).pressure_hpa)
