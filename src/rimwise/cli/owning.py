"""Commands about what the owner has: init, import, discs, assume."""

from __future__ import annotations

from contextlib import nullcontext
from datetime import date
from pathlib import Path
from typing import Annotated

import typer

from rimwise.cli.common import JSON_HELP, emit, say, session_of, text_option
from rimwise.errors import InputError

__all__ = ["add_to"]

_Json = Annotated[bool, typer.Option("--json", help=JSON_HELP)]


def add_to(app: typer.Typer) -> None:
    """Add these commands to the command line."""
    app.command("init")(init)
    app.command("import")(import_files)
    app.command("discs")(discs)
    app.command("assume")(assume)


def init(
    context: typer.Context,
    name: Annotated[str, typer.Option(help="Your name, for sheets.")] = "me",
    hand: Annotated[str, typer.Option(help="Your throwing hand: right or left.")] = "right",
    fairway: Annotated[
        str | None, typer.Option(help="How far your fairway driver goes backhand: 90m or 300ft.")
    ] = None,
    forehand: Annotated[
        str | None, typer.Option(help="How far it goes forehand, if you throw one.")
    ] = None,
    level: Annotated[
        str, typer.Option(help="beginner, recreational, intermediate, advanced or top.")
    ] = "recreational",
    units: Annotated[
        str | None, typer.Option(help="Show distances in m or ft; m at first.")
    ] = None,
    as_json: _Json = False,
) -> None:
    """Make the data file, and tell it how far you throw."""
    from rimwise.app.starting import start, thrower_from
    from rimwise.records.words import check_units

    session = session_of(context)
    backhand_m = None if fairway is None else text_option(fairway, "--fairway", _LENGTH)
    forehand_m = None if forehand is None else text_option(forehand, "--forehand", _LENGTH)
    thrower = thrower_from(
        name=name, hand=hand, backhand_m=backhand_m, forehand_m=forehand_m, level=level
    )
    shown = None if units is None else check_units(units)
    with session.store(create=True) as store:  # only when everything typed can be used
        started = start(store, thrower, shown)
    emit(started, as_json, lambda: say(started.words))


_LENGTH = "a length such as 90m or 300ft"


def import_files(
    context: typer.Context,
    files: Annotated[
        list[Path], typer.Argument(help="Files: .csv, .osm, .pbf, .geojson, .json, .txt.")
    ],
    kind: Annotated[
        str | None,
        typer.Option(
            help="What it is: discs, plastics, course, conditions, thrower, cart, throws, "
            "comparisons, grips, wear, knocks, putts, rounds, or phone for its log."
        ),
    ] = None,
    name: Annotated[str | None, typer.Option(help="Name for a course or conditions.")] = None,
    layout: Annotated[
        str | None,
        typer.Option(help="Of a map: the tees and baskets to take where a hole has several."),
    ] = None,
    elevation: Annotated[
        str, typer.Option(help="Height of the course above sea level, for weather reports.")
    ] = "0m",
    keep_good: Annotated[
        bool, typer.Option("--keep-good", help="Save the good rows although others are wrong.")
    ] = False,
    anyway: Annotated[
        bool,
        typer.Option("--anyway", help="Take evidence of retired discs and very long throws too."),
    ] = False,
    as_json: _Json = False,
) -> None:
    """Bring in discs, plastics, a course, weather, thrower, cart, or what you logged.

    Importing a log again adds only what is new in it.
    """
    from rimwise.app.bring import bring_file, bring_many

    if layout is not None and len(files) > 1:
        raise InputError("--layout fits one map only; import it by itself.")
    if name is not None and len(files) > 1:
        raise InputError("--name fits one file only; import the files one by one.")
    elevation_m = text_option(elevation, "--elevation", "a height such as 120m or 400ft")
    with session_of(context).store() as store:
        if kind is None and name is None and layout is None and len(files) > 1:
            brought = bring_many(
                store,
                files,
                elevation_m=elevation_m,
                keep_good=keep_good,
                today=date.today(),
                anyway=anyway,
            )
        else:
            with store.atomic() if len(files) > 1 else nullcontext():
                brought = tuple(
                    bring_file(
                        store,
                        file,
                        kind=kind,
                        name=name,
                        layout=layout,
                        elevation_m=elevation_m,
                        keep_good=keep_good,
                        today=date.today(),
                        anyway=anyway,
                    )
                    for file in files
                )

    def show() -> None:
        for item in brought:
            say(item.words)
            for notice in item.notices:
                say(f"note: {notice}", indent=2)

    emit(brought, as_json, show)


def discs(
    context: typer.Context,
    everything: Annotated[
        bool, typer.Option("--all", help="List lost, lent and retired discs too.")
    ] = False,
    change: Annotated[
        tuple[str, str] | None,
        typer.Option(
            "--set", metavar="DISC CHANGE", help="Change a disc: --set nh27-red status=lost."
        ),
    ] = None,
    save: Annotated[
        Path | None, typer.Option(help="Write all discs into this CSV file, to edit or to keep.")
    ] = None,
    as_json: _Json = False,
) -> None:
    """List your discs, change one, or save them all as a table."""
    from rimwise.app.showing import change_disc, disc_rows
    from rimwise.app.taking import save_discs_table
    from rimwise.cli.show import show_discs

    with session_of(context).store() as store:
        if save is not None:
            written = save_discs_table(store, save)
            emit(written, as_json, lambda: say(f"Written to {written.path}."))
            return
        if change is not None:
            changed = change_disc(store, *change, today=date.today())
            emit(changed, as_json, lambda: say(f"{changed.id}: {change[1]}."))
            return
        rows = disc_rows(store, everything=everything)
    emit(rows, as_json, lambda: show_discs(rows))


def assume(
    context: typer.Context,
    change: Annotated[
        tuple[str, float] | None,
        typer.Option(
            "--set", metavar="NAME VALUE", help="Change one: --set lost_disc_strokes 0.2."
        ),
    ] = None,
    as_json: _Json = False,
) -> None:
    """List every assumption with its reason, or change one."""
    from rimwise.app.box import assumptions_of, set_assumption
    from rimwise.cli.show import show_assumptions
    from rimwise.records.assumptions import assumption_table

    with session_of(context).store() as store:
        values = set_assumption(store, *change) if change else assumptions_of(store)
    table = assumption_table(values)
    emit(table, as_json, lambda: show_assumptions(table))
