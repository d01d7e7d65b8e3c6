"""Scenario days from weather reports (METAR) or from a climate table."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import partial
from pathlib import PurePath

from rimwise.records.climate import COMPASS
from rimwise.records.conditions import Conditions, Cover, Ground, ScenarioDay
from rimwise.store.exchange.cells import UNITS, number_in, text_in, yes_or_no
from rimwise.store.exchange.collector import Collector
from rimwise.store.exchange.problems import CellError, Problem
from rimwise.store.exchange.tables import Column, Row, Table, count_recognised, read_table
from rimwise.store.exchange.text import read_text

__all__ = ["WET_GROUP", "ConditionsRead", "day_from_metar", "read_conditions"]

_SPEEDS = ("m s", "kt", "mph", "km h")

CLIMATE_COLUMNS = (
    Column("name", ("month", "day", "kind of day", "season")),
    Column("weight", ("share", "rounds")),
    Column("metar", ("report",)),
    Column("elevation", ("altitude",), ("m", "ft")),
    Column("temperature", ("temp", "t", "air temperature"), ("c", "f")),
    Column("pressure", ("station pressure",), ("hpa", "inhg", "kpa")),
    Column("relative_humidity", ("humidity", "rh"), ("percent",)),
    Column("wind_speed", ("wind",), _SPEEDS),
    Column("wind_from", ("wind direction", "direction", "from"), ("deg",)),
    Column("gust", ("gusts", "wind gust"), _SPEEDS),
    Column("wet", ()),
    Column("ground", ()),
    Column("water_recovery", (), ("percent",)),
    Column("cover", ()),
    Column("dusk", ("dark",)),
)

#: Weather groups that wet hands and discs: drizzle, rain, snow, grains, ice, hail, and
#: unknown precipitation, but not "in the vicinity" (WMO No. 306, code table 4678).
WET_GROUP = re.compile(r"(?:[-+])?(?:MI|BC|PR|DR|BL|SH|TS|FZ)?(?:DZ|RA|SN|SG|IC|PL|GR|GS|UP)+")


@dataclass(frozen=True, slots=True)
class ConditionsRead:
    """The conditions of a file, ``None`` when no row is good; its problems and notices."""

    conditions: Conditions | None
    problems: tuple[Problem, ...]
    notices: tuple[Problem, ...]


def read_conditions(
    data: str | bytes, name: str, *, title: str = "", elevation_m: float = 0.0
) -> ConditionsRead:
    """Read scenario days from METAR lines, a table with METARs, or a climate table.

    - Lines: one report each, optionally ``weight name | report``, as in
      ``3 winter gale | METAR EHAM 141825Z 18010KT 9999 04/04 Q1024``. Lines that begin with
      ``#`` are skipped.
    - A table with a header and the columns metar, name, weight, elevation_m, wet, ground,
      water_recovery; only metar is needed.
    - A climate table with a header and the columns month (or name), weight, temperature_c,
      pressure_hpa, relative_humidity, wind_speed_m_s, wind_from_deg, gust_m_s, wet, ground,
      water_recovery, cover (green, bare, leaves, snow) and dusk. Headers may name other units
      (temperature_f, pressure_inHg, wind_kt, gust_mph, "humidity %"). Weight and all from gust
      on may be missing. The pressure is the station's own.

    Parameters
    ----------
    data
        Content of a file, or pasted text.
    name
        Name of the file, for messages.
    title
        Name for the conditions; the file's name without its ending when empty.
    elevation_m
        Height of the course above sea level, for reports without one of their own.

    Raises
    ------
    InputError
        When the file as a whole cannot be read.
    """
    text, notices = read_text(data, name)
    collector = Collector(name)
    collector.notices += notices
    if count_recognised(text, CLIMATE_COLUMNS) >= 2 or _is_bare_metar_header(text):
        days = _from_table(text, name, elevation_m, collector)
    else:
        days = _from_lines(text, elevation_m, collector)
    conditions = None
    if days:
        conditions = collector.attempt(
            0, "", lambda: Conditions(title or PurePath(name).stem or name, tuple(days))
        )
    return ConditionsRead(conditions, *collector.in_order())


def _is_bare_metar_header(text: str) -> bool:
    return text.split("\n", 1)[0].strip().lower() == "metar"


def day_from_metar(
    report: str,
    elevation_m: float,
    *,
    name: str = "",
    weight: float = 1.0,
    wet: bool | None = None,
    ground: Ground | None = None,
    water_recovery: float = 0.2,
    cover: Cover = Cover.GREEN,
    dusk: bool = False,
) -> ScenarioDay:
    """Return the scenario day of one weather report.

    Parameters
    ----------
    report
        The METAR.
    elevation_m
        Height of the course above sea level.
    wet, ground
        Taken from the weather of the report (rain, snow …) when ``None``.

    Raises
    ------
    InputError
        When the report cannot be read or lacks what a flight needs.
    """
    # Weather decoding loads a library of its own; most commands never need it.
    from rimwise.flight.air import Air
    from rimwise.flight.wind import Wind

    air = Air.from_metar(report, elevation_m)
    wind = Wind.from_metar(report)
    is_wet = _says_wet(report) if wet is None else wet
    return ScenarioDay(
        name=name or " ".join(report.split()[:3]),
        weight=weight,
        temperature_c=air.temperature_c,
        pressure_hpa=air.pressure_hpa,
        relative_humidity=air.relative_humidity,
        wind_speed_m_s=wind.speed_m_s,
        wind_from_deg=wind.from_deg,
        gust_m_s=wind.gust_m_s,
        wet=is_wet,
        ground=ground or (Ground.WET if is_wet else Ground.FIRM),
        water_recovery=water_recovery,
        source=" ".join(report.split()),
        cover=cover,
        dusk=dusk,
    )


def _says_wet(report: str) -> bool:
    body = report.split(" RMK")[0].split(" TEMPO")[0].split(" BECMG")[0]
    return any(WET_GROUP.fullmatch(group) for group in body.split())


def _from_lines(text: str, elevation_m: float, collector: Collector) -> list[ScenarioDay]:
    days = []
    for number, line in enumerate(text.splitlines(), start=1):
        if not line.strip() or line.lstrip().startswith("#"):
            continue
        label, bar, report = line.rpartition("|")
        day = collector.attempt(
            number, "metar", partial(_labelled_day, label if bar else "", report, elevation_m)
        )
        if day is not None:
            days.append(day)
    return days


def _labelled_day(label: str, report: str, elevation_m: float) -> ScenarioDay:
    """Return the day of "weight name | report"; weight or name may be missing."""
    first, _, rest = label.strip().partition(" ")
    try:
        weight = number_in(first, "weight", "3") if first else 1.0
    except CellError:
        return day_from_metar(report, elevation_m, name=label.strip())
    return day_from_metar(report, elevation_m, name=rest.strip(), weight=weight)


def _from_table(
    text: str, file: str, elevation_m: float, collector: Collector
) -> list[ScenarioDay]:
    table = read_table(text, file, CLIMATE_COLUMNS)
    collector.add_problems(table.problems)
    for header in table.unknown:
        collector.notice(1, header, f"the column '{header}' is not used", "rename it if it matters")
    if "metar" not in table.columns and _columns_missing(table, collector):
        return []
    days = []
    for row in table.rows:
        cells = _Cells(row, table.units, collector)
        read: Callable[[], ScenarioDay] = (
            partial(_metar_day, cells, elevation_m)
            if "metar" in table.columns
            else partial(_climate_day, cells)
        )
        day = collector.attempt(row.line, "", read)
        if day is not None and not collector.is_bad(row.line):
            days.append(day)
    return days


def _columns_missing(table: Table, collector: Collector) -> bool:
    examples = {
        "temperature": "temperature_c",
        "pressure": "pressure_hpa (at the station, not reduced to sea level)",
        "relative_humidity": "relative_humidity (0 to 1, or in %)",
        "wind_speed": "wind_speed_m_s (or wind_kt, wind_mph, wind_km_h)",
        "wind_from": "wind_from_deg (degrees or N, NE …)",
    }
    missing = [name for name in examples if name not in table.columns]
    for name in missing:
        shown = name.replace("_", " ")
        collector.problem(1, name, f"there is no column for the {shown}", f"add {examples[name]}")
    return bool(missing)


class _Cells:
    """Typed access to the cells of one row; a bad cell raises, naming its column."""

    def __init__(self, row: Row, units: Mapping[str, str], collector: Collector) -> None:
        self.row = row
        self._units = units
        self._collector = collector

    def text(self, name: str) -> str:
        return text_in(self.row.cell(name))

    def number(self, name: str, example: str, default: float | None = None) -> float:
        """Return a number in our unit, the default where the cell is empty."""
        cell = self.row.cell(name)
        if not cell and default is not None:
            return default
        value = number_in(cell, name.replace("_", " "), example)
        unit = self._units.get(name, "")
        return UNITS[unit](value) if unit else value

    def fraction(self, name: str, default: float | None = None) -> float:
        """Return a share from 0 to 1, also written in percent."""
        cell = self.row.cell(name)
        if cell.endswith("%"):
            return number_in(cell[:-1], name.replace("_", " "), "80%") / 100.0
        value = self.number(name, "0.8 or 80%", default)
        return value / 100.0 if 1.0 < value <= 100.0 else value

    def wet(self) -> bool | None:
        cell = self.row.cell("wet")
        return yes_or_no(cell, "wet") if cell else None

    def ground(self) -> Ground | None:
        cell = self.row.cell("ground").lower()
        if not cell:
            return None
        try:
            return Ground(cell)
        except ValueError:
            words = ", ".join(ground.value for ground in Ground)
            raise CellError(f"ground is '{cell}'", f"write one of {words}") from None

    def cover(self) -> Cover:
        cell = self.row.cell("cover").lower()
        try:
            return Cover(cell) if cell else Cover.GREEN
        except ValueError:
            words = ", ".join(cover.value for cover in Cover)
            raise CellError(f"cover is '{cell}'", f"write one of {words}") from None

    def dusk(self) -> bool:
        return yes_or_no(self.row.cell("dusk"), "dusk")


def _metar_day(cells: _Cells, elevation_m: float) -> ScenarioDay:
    report = cells.text("metar")
    if not report:
        raise CellError("metar is empty", "paste the weather report")
    return day_from_metar(
        report,
        cells.number("elevation", "12", elevation_m),
        name=cells.text("name"),
        weight=cells.number("weight", "3", 1.0),
        wet=cells.wet(),
        ground=cells.ground(),
        water_recovery=cells.fraction("water_recovery", 0.2),
        cover=cells.cover(),
        dusk=cells.dusk(),
    )


def _climate_day(cells: _Cells) -> ScenarioDay:
    name = cells.text("name") or f"line {cells.row.line}"
    gust = cells.row.cell("gust")
    wet = bool(cells.wet())
    return ScenarioDay(
        name=name,
        weight=cells.number("weight", "3", 1.0),
        temperature_c=cells.number("temperature", "12.5"),
        pressure_hpa=cells.number("pressure", "1009"),
        relative_humidity=cells.fraction("relative_humidity"),
        wind_speed_m_s=cells.number("wind_speed", "5"),
        wind_from_deg=_bearing(cells),
        gust_m_s=cells.number("gust", "9") if gust else None,
        wet=wet,
        ground=cells.ground() or (Ground.WET if wet else Ground.FIRM),
        water_recovery=cells.fraction("water_recovery", 0.2),
        source="climate table",
        cover=cells.cover(),
        dusk=cells.dusk(),
    )


def _bearing(cells: _Cells) -> float:
    word = cells.row.cell("wind_from").upper()
    if word in COMPASS:
        return COMPASS.index(word) * 22.5
    return cells.number("wind_from", "240 or SW")
