"""Commands about kept carries and their size: carry, how-many."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from rimwise.cli.common import JSON_HELP, emit, progress_bar, say, session_of
from rimwise.errors import InputError

if TYPE_CHECKING:
    from rimwise.app.carries import CarryLine, CarryShown

__all__ = ["add_to"]

_Json = Annotated[bool, typer.Option("--json", help=JSON_HELP)]

carry = typer.Typer(
    no_args_is_help=True, help="Keep, show and compare dated carries for your occasions."
)


def add_to(app: typer.Typer) -> None:
    """Add these commands to the command line."""
    app.command("how-many")(tell_how_many)
    app.add_typer(carry, name="carry")
    carry.command("list")(list_carries)
    carry.command("show")(show_one)
    carry.command("keep")(keep_one)
    carry.command("compare")(compare_two)


def tell_how_many(
    context: typer.Context,
    conditions: Annotated[str | None, typer.Argument(help="Conditions of the plan.")] = None,
    out: Annotated[Path | None, typer.Option(help="Draw the curve into this .svg file.")] = None,
    resolve: Annotated[
        bool, typer.Option("--resolve", help="Solve 5, 10, 15, 20 and 25 discs anew (minutes).")
    ] = False,
    quiet: Annotated[bool, typer.Option("--quiet", help="Show no progress.")] = False,
    as_json: _Json = False,
) -> None:
    """Say how many discs are worth carrying, and where it goes flat."""
    from rimwise.app.how_many import how_many
    from rimwise.cli.show import show_curve

    with (
        session_of(context).store() as store,
        progress_bar(quiet=quiet or as_json) as progress,
    ):
        told = how_many(store, conditions, picture=out, resolve=resolve, progress=progress)

    def show() -> None:
        for sentence in told.sentences:
            say(sentence)
        show_curve(told.curve, every=True)
        if told.picture:
            say(f"Drawn into {told.picture}.")

    emit(told, as_json, show)


def list_carries(
    context: typer.Context,
    name: Annotated[str | None, typer.Argument(help="Only carries of this name.")] = None,
    as_json: _Json = False,
) -> None:
    """List the kept carries, oldest first."""
    from rimwise.app.carries import carry_lines

    with session_of(context).store() as store:
        lines = carry_lines(store, name)
    emit(lines, as_json, lambda: _say_lines(lines))


def _say_lines(lines: tuple[CarryLine, ...]) -> None:
    if not lines:
        say("No carry is kept yet; `rimwise plan` keeps one.")
    for line in lines:
        cost = "" if line.strokes_per_round is None else f", {line.strokes_per_round:.1f} strokes"
        note = f"; {line.note}" if line.note else ""
        say(f"#{line.number} {line.on} {line.name}: {line.discs} discs{cost}{note}")


def show_one(
    context: typer.Context,
    name: Annotated[
        str | None, typer.Argument(metavar="CARRY", help="Name or number; else the latest.")
    ] = None,
    as_json: _Json = False,
) -> None:
    """Show one kept carry: discs, alternates, things on the cart, what to take."""
    from rimwise.app.carries import shown

    with session_of(context).store() as store:
        one = shown(store, name)
    emit(one, as_json, lambda: _say_carry(one))


def _say_carry(one: CarryShown) -> None:
    say(f"#{one.number} {one.name}, {one.on}", style="bold")
    for disc, label in zip(one.discs, one.labels, strict=True):
        say(f"{disc}: {label}", indent=2)
    if one.alternates:
        say(f"In the car: {', '.join(one.alternates)}")
    for item in one.items:
        say(f"On the cart: {item.name}, {item.mass_kg:g} kg", indent=2)
    if one.take:
        say("For the weather")
        for thing in one.take:
            say(thing, indent=2)
    if one.note:
        say(one.note)


def keep_one(
    context: typer.Context,
    occasion: Annotated[str, typer.Argument(help='The occasion, as in "casual doubles".')],
    like: Annotated[
        str | None, typer.Option(metavar="CARRY", help="Start from this carry, name or number.")
    ] = None,
    disc: Annotated[
        list[str] | None, typer.Option(metavar="DISC", help="A disc that goes (repeatable).")
    ] = None,
    mold: Annotated[
        str | None, typer.Option(help="Every disc of this mold goes: a practice stack.")
    ] = None,
    weather: Annotated[
        str | None, typer.Option("--for", metavar="CONDITIONS", help="Its weather.")
    ] = None,
    item: Annotated[
        list[str] | None,
        typer.Option(
            metavar="THING",
            help='On the cart: "cool box 2.5kg 0.10 0 0.35", metres forward, left, up.',
        ),
    ] = None,
    on: Annotated[str | None, typer.Option(metavar="DATE", help="Its day; else today.")] = None,
    note: Annotated[str, typer.Option(help="A note to keep with it.")] = "",
    as_json: _Json = False,
) -> None:
    """Keep a carry for an occasion; earlier ones of that name stay."""
    from rimwise.app.carries import keep

    with session_of(context).store() as store:
        one = keep(
            store,
            occasion,
            on=date.today() if on is None else _day(on),
            like=like,
            discs=disc or (),
            mold=mold,
            conditions=weather,
            items=item or (),
            note=note,
        )
    emit(one, as_json, lambda: _say_carry(one))


def _day(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise InputError(f"--on must be a day such as 2026-05-31, but is {text!r}.") from None


def compare_two(
    context: typer.Context,
    old: Annotated[str, typer.Argument(metavar="CARRY", help="Name or number.")],
    new: Annotated[str, typer.Argument(metavar="CARRY", help="Name or number.")],
    as_json: _Json = False,
) -> None:
    """Say how two kept carries differ."""
    from rimwise.app.carries import compare

    with session_of(context).store() as store:
        told = compare(store, old, new)

    def show() -> None:
        for sentence in told.sentences:
            say(sentence)

    emit(told, as_json, show)
