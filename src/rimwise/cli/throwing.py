"""Commands that throw: fly, demo."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from rimwise.cli.common import JSON_HELP, console, emit, progress_bar, say, session_of
from rimwise.errors import InputError

if TYPE_CHECKING:
    from rimwise.records.words import Units

__all__ = ["add_to"]

_Json = Annotated[bool, typer.Option("--json", help=JSON_HELP)]


def add_to(app: typer.Typer) -> None:
    """Add these commands to the command line."""
    app.command("fly")(fly)
    app.command("demo")(demo)


def fly(
    context: typer.Context,
    disc: Annotated[str, typer.Argument(help='One of your discs, or printed numbers: "7/5/-1/2".')],
    style: Annotated[str, typer.Option(help="backhand or forehand.")] = "backhand",
    hand: Annotated[str | None, typer.Option(help="right or left; else your own.")] = None,
    speed: Annotated[
        float | None, typer.Option(help="Release speed in m/s; else your arm's own.")
    ] = None,
    spin: Annotated[float | None, typer.Option(help="Spin in turns per minute.")] = None,
    effort: Annotated[float, typer.Option(help="Share of full speed, 0.3 to 1.")] = 1.0,
    hyzer: Annotated[float, typer.Option(help="Degrees; negative is anhyzer.")] = 0.0,
    launch: Annotated[float, typer.Option(help="Degrees above level.")] = 10.0,
    nose: Annotated[float, typer.Option(help="Degrees; positive is nose up.")] = 0.0,
    weight: Annotated[float, typer.Option(help="Grams, for printed numbers.")] = 172.0,
    wind: Annotated[float, typer.Option(help="Wind in m/s at 10 m.")] = 0.0,
    wind_from: Annotated[
        float, typer.Option(help="Degrees: 0 a headwind, 90 from the right.")
    ] = 0.0,
    ground: Annotated[str, typer.Option(help="soft, firm, hard, wet or frozen.")] = "firm",
    temperature: Annotated[float | None, typer.Option(help="°C.")] = None,
    altitude: Annotated[float, typer.Option(help="Metres above sea level.")] = 0.0,
    rigid: Annotated[bool, typer.Option("--rigid", help="Fly the full rigid body.")] = False,
    svg: Annotated[Path | None, typer.Option(help="Also draw it into this file.")] = None,
    as_json: _Json = False,
) -> None:
    """Fly one throw: numbers, words and a picture."""
    from rimwise.app.flying import TURN_PER_MINUTE, ThrowAsked, fly_disc, fly_numbers
    from rimwise.app.sheets import draw_flight

    asked = ThrowAsked(
        style=style,
        hand=hand,
        speed_m_s=speed,
        spin_rad_s=None if spin is None else spin * TURN_PER_MINUTE,
        effort=effort,
        hyzer_deg=hyzer,
        launch_deg=launch,
        nose_deg=nose,
        wind_m_s=wind,
        wind_from_deg=wind_from,
        ground=ground,
        temperature_c=temperature,
        altitude_m=altitude,
        rigid=rigid,
    )
    numbers = _numbers(disc)
    if numbers is not None:
        flown = fly_numbers(numbers, weight, asked, _units(context))
    else:
        with session_of(context).store() as store:
            flown = fly_disc(store, disc, asked)
    if svg is not None:
        draw_flight(flown, svg, flown.units)

    def show() -> None:
        from rimwise.pictures.flight import flight_text

        say(flown.words)
        picture = flight_text(flown.flight, min(console().width, 76), flown.units)
        console().print(picture, markup=False, soft_wrap=True)
        if svg is not None:
            say(f"Drawn into {svg}.")

    emit(flown, as_json, show)


def _units(context: typer.Context) -> Units:
    """Return the owner's units; metres where there is no data file yet."""
    from rimwise.app.box import units_of

    session = session_of(context)
    if not session.data.exists():
        return "m"
    with session.store() as store:
        return units_of(store)


def _numbers(text: str) -> tuple[float, float, float, float] | None:
    """Read "7/5/-1/2" as printed numbers; ``None`` when it is a disc's name."""
    parts = text.replace("−", "-").split("/")
    if len(parts) != 4:
        return None
    try:
        speed, glide, turn, fade = (float(part.replace(",", ".")) for part in parts)
    except ValueError:
        raise InputError(
            f"printed numbers look like 7/5/-1/2 (speed, glide, turn, fade), but are {text!r}."
        ) from None
    return speed, glide, turn, fade


def demo(
    out: Annotated[Path, typer.Option(help="Folder for the demo's data file and sheet.")] = Path(
        "demo-out"
    ),
    seed: Annotated[int, typer.Option(min=0, help="Root seed of the simulations.")] = 1,
    as_json: _Json = False,
) -> None:
    """Do the whole job on an invented scenario: nothing in it exists."""
    from rimwise.cli.show import show_demo
    from rimwise.demo.scenario import run_demo

    with progress_bar(quiet=as_json) as progress:
        shown = run_demo(out, seed=seed, progress=progress)
    emit(shown, as_json, lambda: show_demo(shown))
