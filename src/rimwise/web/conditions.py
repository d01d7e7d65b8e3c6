"""Weather: sets of days on file, and new ones in words, in numbers, from a report or a climate."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING
from urllib.parse import quote, urlencode

from fastapi import FastAPI, Response
from fastapi.responses import RedirectResponse

from rimwise.errors import InputError, NotFoundError, RimwiseError
from rimwise.records.climate import COMPASS
from rimwise.records.conditions import Cover, Ground, ScenarioDay
from rimwise.records.words import MPH_PER_M_S, Units
from rimwise.store.opening import open_store
from rimwise.store.store import Store
from rimwise.web.fields import (
    Field,
    FieldError,
    StaleError,
    about,
    choice,
    decimal,
    mark_of,
    told_wrong,
)
from rimwise.web.rendering import Typed, page, whole_number
from rimwise.web.starting import next_step
from rimwise.web.uploading import Upload, Uploaded, as_file

if TYPE_CHECKING:
    from rimwise.app.weather import WeatherShown

__all__ = ["add_conditions"]

_Typed = Mapping[str, str]

_NO_YES = (("", "no"), ("yes", "yes"))
_NAME = Field("name", "Name, such as league nights")
_REPLACE = Field(
    "replace", "If that name is on file already", "select",
    (("", "keep what is there"), ("yes", "put this in its place")),
)  # fmt: skip
_HEIGHT = Field("elevation", "Height of the course above the sea, as in 120m; 0 when left empty")
_COVER = Field(
    "cover", "What hides a disc on the ground", "select",
    tuple(
        (one.value, words)
        for one, words in zip(Cover, ("green, grown grass", "bare", "fallen leaves", "snow"),
                              strict=True)
    ),
)  # fmt: skip
_DUSK = Field("dusk", "Poor light", "select", _NO_YES)
_SUCH = {
    "m": "4C wet wind 9m/s from the west, frozen ground",
    "ft": "40F wet wind 15 to 20 mph from the west, frozen ground",
}
_REPORT = (
    _NAME,
    Field("report", "An airport's report (METAR) or forecast (TAF), pasted whole", "lines"),
    Field("temperature", "Temperature, for a forecast that names none, as in 6C or 43F"),
    _HEIGHT, _COVER, _DUSK, _REPLACE,
)  # fmt: skip
_CLIMATE = (
    _NAME,
    Field("table", "The table, pasted", "lines"),
    Field("file", "Or as a file", "file"),
    Field("months", "Months, as in Nov-Feb; all when left empty"),
    Field("days", "So many days stand for all kinds of day; 6 when left empty", "whole"),
    _HEIGHT,
    Field(
        "dusk", "Poor light", "select",
        (("", "as the table says"), ("yes", "yes"), ("no", "no")),
    ),
    _REPLACE,
)  # fmt: skip
_TITLES = {
    "numbers": "A day in plain numbers", "report": "Weather from a report or forecast",
    "climate": "A season from a monthly climate",
}  # fmt: skip
_EXAMPLE = """month,temperature (C),spread,wind (m/s),calm (%),wet (%),cover,N,NE,E,SE,S,SW,W,NW
Nov,7,3,5.5,5,45,leaves,8,6,8,12,14,24,18,10
Dec,4,3.5,5.8,5,50,leaves,8,6,9,12,15,24,16,10"""


def add_conditions(app: FastAPI, data: Path) -> None:
    """Add the pages about weather."""
    _add_sets(app, data)
    _add_days(app, data)

    @app.get("/weather/new/{kind}")
    def new(kind: str, name: str = "") -> Response:
        return _new_page(data, kind, {"name": name, "weight": "1"}, {})

    @app.post("/weather/new/numbers")
    def from_numbers(typed: Typed) -> Response:
        with open_store(data) as store:
            try:
                _keep_numbers(store, typed)
            except RimwiseError as error:
                return _new_page(data, "numbers", typed, told_wrong(error))
        return _shown(typed["name"])

    @app.post("/weather/new/report")
    def from_report(typed: Typed) -> Response:
        with open_store(data) as store:
            try:
                made = _keep_report(store, typed)
            except RimwiseError as error:
                return _new_page(data, "report", typed, told_wrong(error, "report"))
        return _told(made)

    @app.post("/weather/new/climate")
    def from_climate(upload: Uploaded) -> Response:
        with open_store(data) as store:
            try:
                made = _keep_climate(store, upload)
            except RimwiseError as error:
                return _new_page(data, "climate", upload.typed, told_wrong(error, "table"))
        return _told(made)


def _add_sets(app: FastAPI, data: Path) -> None:
    @app.get("/weather")
    def weather(gone: str = "", less: str = "") -> Response:
        return _weather_page(data, {}, {}, gone=gone, less=less)

    @app.post("/weather")
    def from_words(typed: Typed) -> Response:
        from rimwise.app.weather import DirectionError, days_from_words

        with open_store(data) as store:
            try:
                name = _new_name(store, typed)
                with about("words"):
                    try:
                        days_from_words(
                            store, typed.get("words", ""), name, wind_from=typed.get("from", "")
                        )
                    except DirectionError as error:
                        raise FieldError("from", error) from None
            except RimwiseError as error:
                return _weather_page(data, typed, told_wrong(error))
        return _shown(name)

    @app.post("/weather/delete")
    def delete(typed: Typed) -> Response:
        from rimwise.app.weather import delete_weather

        with open_store(data) as store:
            delete_weather(store, typed.get("name", ""))
        return RedirectResponse(f"/weather?{urlencode({'gone': typed.get('name', '')})}", 303)

    @app.post("/weather/back")
    def bring_back(typed: Typed) -> Response:
        from rimwise.app.weather import undo_weather

        name = typed.get("name", "")
        with open_store(data) as store:
            undo_weather(store, name)
        return _shown(name)


def _add_days(app: FastAPI, data: Path) -> None:
    @app.get("/weather/day")
    def day(name: str, at: int = 1) -> Response:
        with open_store(data) as store:
            found = _day(store, name, at)
            return _day_page(store, name, at, found, _values(store, found), {})

    @app.post("/weather/day")
    def save(typed: Typed, name: str, at: int = 1) -> Response:
        from rimwise.app.weather import put_day

        with open_store(data) as store, store.atomic():
            found = _day(store, name, at)
            try:
                made = _day_of(store, typed, found)
                if made == found:
                    return _shown(name)
                if typed.get("version") != mark_of(found):
                    raise StaleError(f"{found.name} was changed elsewhere.")
                with about("day"):
                    put_day(store, name, made, at - 1)
            except StaleError:
                return _day_page(store, name, at, found, typed, {}, stale=True)
            except RimwiseError as error:
                return _day_page(store, name, at, found, typed, told_wrong(error))
        return _shown(name)

    @app.post("/weather/day/delete")
    def drop(typed: Typed, name: str, at: int = 1) -> Response:
        from rimwise.app.weather import delete_weather

        with open_store(data) as store, store.atomic():
            if typed.get("version") != mark_of(_day(store, name, at)):
                raise InputError("This day was changed elsewhere; look at it again first.")
            delete_weather(store, name, at - 1)
        return RedirectResponse(f"/weather?{urlencode({'less': name})}", 303)


# -- what is kept ---------------------------------------------------------------------------------


def _new_name(store: Store, typed: _Typed) -> str:
    """Return the name of a new set of days."""
    name = typed.get("name", "")
    with about("name"):
        if not name:
            raise InputError("The days need a name; write one such as league nights.")
        if name in store.conditions.keys() and typed.get("replace") != "yes":  # noqa: SIM118 - a shelf has no other way
            raise InputError(f"{name!r} is on file already; give another name.")
    return name


def _keep_numbers(store: Store, typed: _Typed) -> None:
    from rimwise.app.weather import put_day

    with about("name"):
        if not typed.get("name"):
            raise InputError("The days need a name; write one such as league nights.")
    made = _day_of(store, typed)
    with about("day"):
        put_day(store, typed["name"], made)


def _keep_report(store: Store, typed: _Typed) -> WeatherShown:
    from rimwise.app.weather import days_from_forecast

    name = _new_name(store, typed)
    temperature_c = _forecast_c(store, typed)
    report = " ".join(typed.get("report", "").split())
    with about("report"):
        if not report:
            raise InputError("The report is missing; paste a METAR or a TAF.")
        try:
            return days_from_forecast(
                store, report, name, elevation_m=_height_m(typed), temperature_c=temperature_c,
                cover=typed.get("cover", "green"), dusk=typed.get("dusk") == "yes",
            )  # fmt: skip
        except InputError as error:
            if "--temperature" not in str(error):
                raise
            told = "The forecast names no temperature; write one such as 6C or 43F."
            raise FieldError("temperature", told) from None


def _forecast_c(store: Store, typed: _Typed) -> float | None:
    """Return the temperature that was typed; a bare number is in what the owner thinks in."""
    from rimwise.app.box import units_of

    text = typed.get("temperature", "").replace("°", "").strip()
    letter = text[-1:].upper()
    if letter in ("C", "F"):
        text = text[:-1].strip()
    elif units_of(store) == "ft":
        letter = "F"
    told = "write one such as 6C or 43F"
    found = decimal({"temperature": text}, "temperature", "Temperature", instead=told)
    return (found - 32.0) / 1.8 if found is not None and letter == "F" else found


def _keep_climate(store: Store, upload: Upload) -> WeatherShown:
    from rimwise.app.weather import DEFAULT_DAYS, days_from_climate

    typed = upload.typed
    name = _new_name(store, typed)
    with about("days"):
        count = whole_number(typed, "days", "Days", 1, 60) if typed.get("days") else DEFAULT_DAYS
    if not upload.name:
        upload = Upload("table.csv", typed.get("table", "").encode(), typed)
    with about("table"):
        if not upload.content:
            raise InputError("The table is missing; paste it or choose a file.")
        with as_file(upload) as path:
            return days_from_climate(
                store, path, name, months=typed.get("months") or "all", count=count,
                elevation_m=_height_m(typed),
                dusk={"yes": True, "no": False}.get(typed.get("dusk", "")),
            )  # fmt: skip


def _height_m(typed: _Typed) -> float:
    from rimwise.records.evidence_words import length_in

    with about("elevation"):
        return length_in(typed["elevation"], "the height") if typed.get("elevation") else 0.0


def _day_of(store: Store, typed: _Typed, before: ScenarioDay | None = None) -> ScenarioDay:
    """Return the day that was typed; what its form does not show stays as before."""
    from rimwise.app.box import units_of
    from rimwise.app.weather import DirectionError, day_from_numbers

    units = units_of(store)
    name = typed.get("day", "") or (typed.get("name", "") if before is None else "")
    with about("day"):
        if not name:
            raise InputError("The day needs a name; write one such as windy.")
    weight = _number(typed, "weight", "Share of the rounds", "2", 0.0, 1e6)
    degrees = _number(typed, "temperature", "Temperature", "4", -50.0, 150.0)
    speed = _number(typed, "wind", "Wind", "5", 0.0, 100.0) if typed.get("wind") else 0.0
    gust = _number(typed, "gust", "Gusts", "9", 0.0, 160.0) if typed.get("gust") else None
    humidity = _number(typed, "humidity", "Humidity", "75", 0.0, 100.0)
    elevation_m = _height_m(typed)
    ground = choice({"ground": "firm", **typed}, "ground", "Ground", dict.fromkeys(Ground))
    cover = choice({"cover": "green", **typed}, "cover", "What hides a disc", dict.fromkeys(Cover))
    with about("temperature"):
        try:
            made = day_from_numbers(
                name, weight=weight, temperature_c=_celsius(degrees, units),
                wind_speed_m_s=_m_s(speed, units), wind_from=typed.get("from", ""),
                gust_m_s=None if gust is None else _m_s(gust, units), elevation_m=elevation_m,
                humidity=humidity / 100.0, wet=typed.get("wet") == "yes",
                ground=ground, cover=cover,
                dusk=typed.get("dusk") == "yes",
            )  # fmt: skip
        except DirectionError as error:
            raise FieldError("from", error) from None
    if before is None:
        return made
    same = _values(store, before)
    kept: dict[str, float | str | None] = {"source": before.source}
    if not typed.get("elevation"):
        kept["pressure_hpa"] = before.pressure_hpa
    for name_of, fields in (
        ("temperature", ("temperature_c",)), ("wind", ("wind_speed_m_s",)),
        ("gust", ("gust_m_s",)), ("from", ("wind_from_deg",)), ("weight", ("weight",)),
        ("humidity", ("relative_humidity",)),
    ):  # fmt: skip
        if typed.get(name_of, "") == same[name_of]:  # shown rounded, kept as it is
            kept |= {field: getattr(before, field) for field in fields}
    return replace(made, water_recovery=before.water_recovery, **kept)  # type: ignore[arg-type]


def _number(typed: _Typed, field: str, what: str, example: str, low: float, high: float) -> float:
    found = decimal(typed, field, what, instead=f"write one such as {example}")
    if found is None or not low <= found <= high:
        raise FieldError(field, f"{what} must be a number from {low:g} to {high:g}; write one "
                                f"such as {example}.")  # fmt: skip
    return found


def _celsius(degrees: float, units: Units) -> float:
    return degrees if units == "m" else (degrees - 32.0) / 1.8


def _m_s(speed: float, units: Units) -> float:
    return speed if units == "m" else speed / MPH_PER_M_S


# -- what is shown --------------------------------------------------------------------------------


def _day_fields(units: Units) -> tuple[Field, ...]:
    degrees, speed = ("°C", "m/s") if units == "m" else ("°F", "mph")
    return (
        Field("day", "Name of this kind of day, such as windy"),
        Field("weight", "Its share of the rounds, against the other days of the set", "decimal"),
        Field("temperature", f"Temperature, {degrees}"),
        Field("wind", f"Wind, {speed}; calm when left empty", "decimal"),
        Field("from", "Where the wind comes from, SW or degrees"),
        Field("gust", f"Gusts, {speed}, if there are any", "decimal"),
        Field("humidity", "Humidity, out of 100", "decimal"),
        Field("wet", "Wet hands and discs", "select", _NO_YES),
        Field("ground", "Ground", "select", tuple((str(one), str(one)) for one in Ground)),
        _COVER, _DUSK, _HEIGHT,
    )  # fmt: skip


def _values(store: Store, day: ScenarioDay) -> dict[str, str]:
    """Return a day as it is typed; an empty height leaves its pressure as it is."""
    from rimwise.app.box import units_of

    metric = units_of(store) == "m"
    speed = 1.0 if metric else MPH_PER_M_S
    degrees = day.temperature_c if metric else day.temperature_c * 1.8 + 32.0
    point = day.wind_from_deg / 22.5
    way = COMPASS[int(point) % 16] if point.is_integer() else f"{day.wind_from_deg:.0f}"
    return {
        "day": day.name, "weight": f"{day.weight:g}", "temperature": f"{degrees:.1f}",
        "wind": f"{day.wind_speed_m_s * speed:.1f}", "from": way if day.wind_speed_m_s else "",
        "gust": "" if day.gust_m_s is None else f"{day.gust_m_s * speed:.1f}",
        "humidity": f"{100.0 * day.relative_humidity:.0f}", "wet": "yes" if day.wet else "",
        "ground": day.ground.value, "cover": day.cover.value, "dusk": "yes" if day.dusk else "",
        "elevation": "",
    }  # fmt: skip


def _day(store: Store, name: str, at: int) -> ScenarioDay:
    days = store.conditions.get(name).days
    if not 1 <= at <= len(days):
        raise NotFoundError(f"{name} has no day number {at}; it has {len(days)}.")
    return days[at - 1]


def _shown(name: str) -> Response:
    return RedirectResponse(f"/weather#{quote(name)}", 303)


def _told(made: WeatherShown) -> Response:
    return page("weather_made", title=f"Weather: {made.name}", made=made)


def _weather_page(
    data: Path, typed: _Typed, errors: Mapping[str, str], *, gone: str = "", less: str = ""
) -> Response:
    from rimwise.app.box import units_of
    from rimwise.app.weather import show_weather
    from rimwise.records.words import of_rounds, temperature, wind_words

    with open_store(data) as store:
        shown = show_weather(store) if len(store.conditions) else ()
        onward = next_step(store) if shown else None
        such = _SUCH[units_of(store)]
        gone = "" if gone in store.conditions else gone
        less = less if less in store.conditions else ""
    fields = (
        _NAME, Field("words", f"Words, as in {such}"),
        Field("from", "Where the wind comes from, SW or degrees, if the words do not say it"),
    )  # fmt: skip
    return page(
        "weather", title="Weather", status=400 if errors else 200, shown=shown, typed=typed,
        errors=errors, fields=fields, temperature=temperature, wind_words=wind_words,
        of_rounds=of_rounds,
        compass=COMPASS, titles=_TITLES, gone=gone, less=less, onward=onward,
    )  # fmt: skip


def _new_page(data: Path, kind: str, typed: _Typed, errors: Mapping[str, str]) -> Response:
    from rimwise.app.box import units_of

    if kind not in _TITLES:
        raise NotFoundError("There is no such page.")
    fields = {"report": _REPORT, "climate": _CLIMATE}.get(kind, ())
    with open_store(data) as store:
        units = units_of(store)
        names = list(store.conditions.keys())
    if kind == "numbers":
        name = Field("name", "Name of the set; of one on file, to add a day to it", "weather")
        fields = (name, *_day_fields(units))
        typed = {"humidity": "75", "ground": "firm", **typed}
    return page(
        "weather_new", title=_TITLES[kind], status=400 if errors else 200, kind=kind, names=names,
        fields=fields, typed=typed, errors=errors, example=_EXAMPLE,
    )  # fmt: skip


def _day_page(
    store: Store,
    name: str,
    at: int,
    found: ScenarioDay,
    typed: _Typed,
    errors: Mapping[str, str],
    *,
    stale: bool = False,
) -> Response:
    from rimwise.app.box import units_of

    fields = _day_fields(units_of(store))
    now = _values(store, found)
    differing = [
        (one.label, now[one.name], typed.get(one.name, ""))
        for one in fields
        if stale and typed.get(one.name, "") != now[one.name]
    ]
    return page(
        "weather_day", title=f"{name}: {found.name}", fields=fields, typed=typed, errors=errors,
        stale=differing, version=mark_of(found), name=name, at=at, days=len(
            store.conditions.get(name).days
        ), status=409 if stale else 400 if errors else 200,
    )  # fmt: skip
