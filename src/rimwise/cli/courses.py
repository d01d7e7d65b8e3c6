"""The command that shows a course and changes its areas."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from rimwise.cli.common import JSON_HELP, console, emit, say, session_of
from rimwise.errors import InputError

if TYPE_CHECKING:
    from rimwise.app.course_editing import CourseShown

__all__ = ["add_to"]

_Json = Annotated[bool, typer.Option("--json", help=JSON_HELP)]


def add_to(app: typer.Typer) -> None:
    """Add this command to the command line."""
    app.command("course")(course)


def course(
    context: typer.Context,
    name: Annotated[str | None, typer.Argument(help="The course; else the only one.")] = None,
    add: Annotated[
        Path | None,
        typer.Option(
            help="Add water, woods, fairway or out of bounds: a map (.geojson, .osm), or a table "
            "with kind, hole, from (m), to (m), left (m), right (m) and perhaps name."
        ),
    ] = None,
    remove: Annotated[
        int | None, typer.Option(help="Take away the area of this number in the list.")
    ] = None,
    as_json: _Json = False,
) -> None:
    """Show a course's holes and areas; add or take away areas.

    An added area of the same kind and name takes the old one's place.
    """
    from rimwise.app.course_editing import add_areas, remove_area, show_course

    if add is not None and remove is not None:
        raise InputError("add and remove areas one after the other, not at once.")
    with session_of(context).store() as store:
        if add is not None:
            shown = add_areas(store, add, name)
        elif remove is not None:
            shown = remove_area(store, remove, name)
        else:
            shown = show_course(store, name)
    emit(shown, as_json, lambda: _show(shown))


def _show(shown: CourseShown) -> None:
    from rich.table import Table

    from rimwise.records.words import distance, plural

    for notice in shown.notices:
        say(notice)
    known = "" if shown.bearings_known else ", known by their lengths alone"
    say(f"{shown.name}: {plural(len(shown.holes), 'hole')}{known}.", style="bold")
    holes = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0), header_style="bold")
    for head in ("hole", "length", "climb", "par", "name"):
        holes.add_column(head, justify="left" if head in ("hole", "name") else "right")
    for hole in shown.holes:
        climb = "" if abs(hole.climb_m) < 0.5 else distance(hole.climb_m, shown.units)
        par = "" if hole.par is None else str(hole.par)
        length = distance(hole.length_m, shown.units)
        holes.add_row(hole.hole, length, climb, par, hole.name)
    console().print(holes)
    if shown.areas:
        areas = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0), header_style="bold")
        for head in ("area", "kind", "name", "size", "near hole"):
            areas.add_column(head, justify="right" if head in ("area", "size") else "left")
        for area in shown.areas:
            size = f"{area.square_m:.0f} m²"
            areas.add_row(str(area.number), area.kind, area.name, size, area.near_hole)
        console().print(areas)
    else:
        say("No water, wood, fairway or out of bounds is on file; `--add FILE` adds some.")
    if shown.attribution:
        say(shown.attribution, indent=2)
