"""The command that shows the sets of days on file and makes new ones."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal

import typer

from rimwise.cli.common import JSON_HELP, console, emit, say, session_of, text_option
from rimwise.errors import InputError

if TYPE_CHECKING:
    from rimwise.app.weather import DayShown, WeatherShown
    from rimwise.records.words import Units

__all__ = ["add_to"]

_Json = Annotated[bool, typer.Option("--json", help=JSON_HELP)]


def add_to(app: typer.Typer) -> None:
    """Add this command to the command line."""
    app.command("weather")(weather)


def weather(
    context: typer.Context,
    name: Annotated[str | None, typer.Argument(help="Name of the set of days.")] = None,
    climate: Annotated[
        Path | None,
        typer.Option(help="Make it from a monthly climate table with a wind rose."),
    ] = None,
    months: Annotated[str, typer.Option(help="Months of the climate, such as Nov-Feb.")] = "all",
    days: Annotated[int, typer.Option(help="So many days stand for all kinds of day.")] = 6,
    every: Annotated[
        bool, typer.Option("--every", help="Take every kind of day there is.")
    ] = False,
    seed: Annotated[int, typer.Option(help="Another seed takes other days.")] = 1,
    report: Annotated[
        str | None, typer.Option(help="Make it from an airport's report (METAR) or forecast (TAF).")
    ] = None,
    plain: Annotated[
        str | None, typer.Option(help='Make it from words: "4C wet wind 9m/s, frozen ground".')
    ] = None,
    wind_from: Annotated[
        str, typer.Option("--from", help="Where a plain wind comes from: SW, or degrees.")
    ] = "",
    temperature: Annotated[
        float | None, typer.Option(help="°C, for a forecast that names none.")
    ] = None,
    elevation: Annotated[
        str, typer.Option(help="Height of the course above the sea, such as 120m or 400ft.")
    ] = "0m",
    cover: Annotated[
        str, typer.Option(help="What hides a disc: green, bare, leaves or snow.")
    ] = "green",
    dusk: Annotated[
        bool | None, typer.Option("--dusk/--daylight", help="Whether the light is poor.")
    ] = None,
    as_json: _Json = False,
) -> None:
    """Show the sets of days on file; make one from a climate, a report, a forecast or words."""
    from rimwise.app import weather as app

    sources = [climate is not None, report is not None, plain is not None]
    if sum(sources) > 1:
        raise InputError("give one of --climate, --report and --plain.")
    if any(sources) and not name:
        raise InputError('name the set of days, as in `rimwise weather "league nights" …`.')
    height_m = text_option(elevation, "--elevation", "a height such as 120m or 400ft")
    shown: tuple[WeatherShown, ...]
    with session_of(context).store() as store:
        if climate is not None:
            shown = (
                app.days_from_climate(
                    store, climate, name or "", months=months, count=days, every=every,
                    seed=seed, elevation_m=height_m, dusk=dusk,
                ),
            )  # fmt: skip
        elif report is not None:
            shown = (
                app.days_from_forecast(
                    store, report, name or "", elevation_m=height_m, temperature_c=temperature,
                    cover=cover, dusk=bool(dusk),
                ),
            )  # fmt: skip
        elif plain is not None:
            shown = (
                app.days_from_words(
                    store, plain, name or "", wind_from=wind_from, elevation_m=height_m,
                    cover=cover, dusk=bool(dusk),
                ),
            )  # fmt: skip
        else:
            shown = app.show_weather(store, name)
    emit(shown, as_json, lambda: _show(shown))


def _show(shown: tuple[WeatherShown, ...]) -> None:
    from rich.table import Table

    from rimwise.records.words import chance, temperature, wind_words

    for k, one in enumerate(shown):
        if k:
            console().print()
        for notice in one.notices:
            say(notice)
        say(
            f"{one.name}: {temperature(one.mean_temperature_c, one.units)} on average, wind "
            f"{wind_words(one.mean_wind_m_s, None, one.units)}, wet {chance(one.wet_share)}.",
            style="bold",
        )
        table = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0), header_style="bold")
        for head in ("day", "rounds", "air", "wind", "ground"):
            side: Literal["left", "right"] = "right" if head in ("rounds", "air") else "left"
            table.add_column(head, justify=side, no_wrap=head == "day")
        for day in one.days:
            table.add_row(
                day.name, f"{100 * day.share:.0f} %", temperature(day.temperature_c, one.units),
                _wind(day, one.units), _ground(day),
            )  # fmt: skip
        console().print(table)


def _wind(day: DayShown, units: Units) -> str:
    from rimwise.records.climate import COMPASS
    from rimwise.records.words import wind_speed, wind_words

    told = wind_words(day.wind_speed_m_s, None, units)
    if told == "calm":
        return told
    gusts = "" if day.gust_m_s is None else f", gusts {wind_speed(day.gust_m_s, units)}"
    return f"{told} {COMPASS[round(day.wind_from_deg / 22.5) % 16]}{gusts}"


def _ground(day: DayShown) -> str:
    told = [day.ground if day.ground == "wet" or not day.wet else f"{day.ground}, wet discs"]
    told += [{"leaves": "fallen leaves"}.get(day.cover, day.cover)] if day.cover != "green" else []
    return ", ".join(told + (["dusk"] if day.dusk else []))
