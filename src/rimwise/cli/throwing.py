"""Commands that throw: fly, demo."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from rimwise.cli.common import JSON_HELP, console, emit, progress_bar, say, session_of, text_option
from rimwise.errors import InputError

if TYPE_CHECKING:
    from collections.abc import Iterator

    from rimwise.app.flying import Flown, ThrowAsked
    from rimwise.beliefs.posterior import Posterior
    from rimwise.records.words import Units
    from rimwise.store.store import Store

__all__ = ["add_to"]

_Json = Annotated[bool, typer.Option("--json", help=JSON_HELP)]

#: Endings of a speed, and metres a second in one of them.
_SPEEDS = (("m/s", 1.0), ("mph", 0.44704), ("km/h", 1 / 3.6), ("kmh", 1 / 3.6), ("", 1.0))


def add_to(app: typer.Typer) -> None:
    """Add these commands to the command line."""
    app.command("fly")(fly)
    app.command("demo")(demo)


def fly(
    context: typer.Context,
    discs: Annotated[
        list[str],
        typer.Argument(help='Your discs, or printed numbers: "7/5/-1/2". Several fly together.'),
    ],
    style: Annotated[list[str] | None, typer.Option(help="backhand or forehand.")] = None,
    hand: Annotated[str | None, typer.Option(help="right or left; else your own.")] = None,
    speed: Annotated[
        list[str] | None,
        typer.Option(help="Release speed: 22 (m/s), 50mph or 80km/h; else your arm's own."),
    ] = None,
    spin: Annotated[list[float] | None, typer.Option(help="Spin in turns per minute.")] = None,
    effort: Annotated[
        list[float] | None, typer.Option(help="Share of full speed, 0.3 to 1.")
    ] = None,
    hyzer: Annotated[list[float] | None, typer.Option(help="Degrees; negative is anhyzer.")] = None,
    launch: Annotated[list[float] | None, typer.Option(help="Degrees above level.")] = None,
    nose: Annotated[list[float] | None, typer.Option(help="Degrees; positive is nose up.")] = None,
    wobble: Annotated[
        list[float] | None, typer.Option(help="Degrees that the disc's axis wobbles at release.")
    ] = None,
    height: Annotated[
        str, typer.Option(help="Height of the hand at release: 1.2m or 4ft.")
    ] = "1.2m",
    weight: Annotated[float, typer.Option(help="Grams, for printed numbers.")] = 172.0,
    wind: Annotated[
        list[str] | None, typer.Option(help="Wind at 10 m: 5 (m/s), 11mph or 18km/h.")
    ] = None,
    wind_from: Annotated[
        list[float] | None,
        typer.Option(help="Degrees: 0 a headwind, 90 from the right; else 0."),
    ] = None,
    ground: Annotated[
        list[str] | None, typer.Option(help="soft, firm, hard, wet or frozen; else firm.")
    ] = None,
    uphill: Annotated[
        list[str] | None,
        typer.Option(
            "--uphill",
            "--ground-height",
            help="How much higher the landing area lies: 3m or 10ft; negative is downhill.",
        ),
    ] = None,
    temperature: Annotated[float | None, typer.Option(help="°C.")] = None,
    altitude: Annotated[float, typer.Option(help="Metres above sea level.")] = 0.0,
    cloud: Annotated[
        int, typer.Option(help="Also where so many throws with your scatter come to rest.")
    ] = 0,
    seed: Annotated[int, typer.Option(min=0, help="Root seed of the cloud.")] = 1,
    printed: Annotated[
        bool, typer.Option("--printed", help="Go by printed numbers and your one distance alone.")
    ] = False,
    rigid: Annotated[bool, typer.Option("--rigid", help="Fly the full rigid body.")] = False,
    svg: Annotated[Path | None, typer.Option(help="Also draw it into this file.")] = None,
    as_json: _Json = False,
) -> None:
    """Fly throws: numbers, words and a picture.

    What is not given comes from your stock throw; discs and arm are as learnt from what you
    logged. Name several discs, or repeat an option
    (--hyzer 0 --hyzer 15), and the throws are shown over each other, up to five. With --json,
    one throw is an object and several are a list.

    Before you try one outside: never throw while anyone may be in range.
    """
    from rimwise.app.flying import (
        TURN_PER_MINUTE,
        ThrowAsked,
        draw_flown,
        learnt_for_flying,
        throws_asked,
    )

    asked = ThrowAsked(
        hand=hand,
        height_m=text_option(height, "--height", "a length such as 1.2m or 4ft"),
        temperature_c=temperature,
        altitude_m=altitude,
        rigid=rigid,
        cloud=cloud,
        seed=seed,
    )
    varied: dict[str, Sequence[object]] = {
        "style": style or (),
        "speed_m_s": [_speed(text, "--speed") for text in speed or ()],
        "spin_rad_s": [turns * TURN_PER_MINUTE for turns in spin or ()],
        "effort": effort or (),
        "hyzer_deg": hyzer or (),
        "launch_deg": launch or (),
        "nose_deg": nose or (),
        "wobble_deg": wobble or (),
        "wind_m_s": [_speed(text, "--wind") for text in wind or ()],
        "wind_from_deg": wind_from or (),
        "ground": ground or (),
        "ground_height_m": [
            text_option(text, "--uphill", "a height such as 3m or 10ft") for text in uphill or ()
        ],
    }
    with _store(context, needed=any(_numbers(disc) is None for disc in discs)) as store:
        throws = throws_asked(asked, discs, varied, _units(store))
        beliefs = None if store is None or printed else learnt_for_flying(store)
        flown = [_fly_one(store, disc, weight, one, apart, beliefs) for disc, apart, one in throws]
    if svg is not None:
        draw_flown(flown, svg)
    emit(flown[0] if len(flown) == 1 else flown, as_json, lambda: _show(flown, svg))


def _fly_one(
    store: Store | None,
    disc: str,
    weight: float,
    asked: ThrowAsked,
    apart: str,
    beliefs: Posterior | None,
) -> Flown:
    from rimwise.app.flying import fly_disc, fly_numbers

    numbers = _numbers(disc)
    if numbers is not None:
        return fly_numbers(
            numbers, weight, asked, _units(store), store=store, difference=apart, beliefs=beliefs
        )
    assert store is not None  # noqa: S101 - opened whenever a disc is named
    return fly_disc(store, disc, asked, apart, beliefs)


def _show(flown: Sequence[Flown], svg: Path | None) -> None:
    from rimwise.pictures.flight_text import flight_text

    several = len(flown) > 1
    for n, one in enumerate(flown, start=1):
        say(f"{n}  {one.words}" if several else one.words)
        if one.cloud is not None:
            out, across = one.cloud.picture().words(one.units)
            told = f"Of {one.cloud.throws} throws with this scatter, {out}, {across}."
            say(told, indent=3 * several)
        for doubt in one.doubts:
            say(f"Take with care: {doubt}", indent=3 * several)
    for thrown in dict.fromkeys(one.thrown for one in flown):
        say(f"Thrown {thrown}.")
    pairs = [(one.label, one.flight) for one in flown]
    picture = flight_text(pairs, min(console().width, 76), flown[0].units)
    console().print(picture, markup=False, soft_wrap=True)
    if svg is not None:
        say(f"Drawn into {svg}.")


@contextmanager
def _store(context: typer.Context, *, needed: bool) -> Iterator[Store | None]:
    """Open the data file where there is one; bare numbers fly without."""
    session = session_of(context)
    if not needed and not session.data.exists():
        yield None
        return
    with session.store() as store:
        yield store


def _units(store: Store | None) -> Units:
    """Return the owner's units; metres where there is no data file yet."""
    from rimwise.app.box import units_of

    return "m" if store is None else units_of(store)


def _speed(text: str, name: str) -> float:
    """Read a speed such as "22", "22m/s", "50mph" or "80km/h" as m/s."""
    said = text.strip().lower().replace(",", ".").replace(" ", "")
    for ending, factor in _SPEEDS:
        if said.endswith(ending):
            try:
                return float(said[: len(said) - len(ending)]) * factor
            except ValueError:
                break
    raise InputError(f"{name} must be a speed such as 22m/s, 50mph or 80km/h, but is {text!r}.")


def _numbers(text: str) -> tuple[float, float, float, float] | None:
    """Read "7/5/-1/2" as printed numbers; ``None`` when it is a disc's name."""
    values = [_number(part) for part in text.replace("−", "-").split("/")]
    found = [value for value in values if value is not None]
    if len(found) < 2:
        return None
    if len(found) != len(values) or len(values) != 4:
        raise InputError(
            f"printed numbers look like 7/5/-1/2 (speed, glide, turn, fade), but are {text!r}."
        )
    speed, glide, turn, fade = found
    return speed, glide, turn, fade


def _number(text: str) -> float | None:
    try:
        return float(text.replace(",", "."))
    except ValueError:
        return None


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
