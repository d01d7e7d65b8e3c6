"""The command that shows a course and changes what is drawn on it."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from rimwise.cli.common import JSON_HELP, console, emit, say, session_of
from rimwise.errors import InputError

if TYPE_CHECKING:
    from rich.table import Table

    from rimwise.app.course_editing import CourseShown

__all__ = ["add_to"]

#: Headings of numbers.
_NUMBERS = ("length", "climb", "par", "shelter", "area", "size", "mark")

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
            help="Add water, woods, fairway, out of bounds, thick rough, no run-up, low ceiling, "
            "mandatories or drop zones: a map (.geojson, .osm), or a table with kind, hole, from "
            "(m), to (m), left (m), right (m) and perhaps name; or change holes: a table with "
            "hole and par, climb (m), slope (%) or shelter."
        ),
    ] = None,
    remove: Annotated[
        int | None, typer.Option(help="Take away the area or mark of this number in the list.")
    ] = None,
    copy_from: Annotated[
        str | None, typer.Option(help="Copy what you drew on another layout of the course.")
    ] = None,
    undo: Annotated[bool, typer.Option("--undo", help="Take the last change back.")] = False,
    as_json: _Json = False,
) -> None:
    """Show a course's holes, areas and marks; add some, take some away, take a change back.

    What is added takes the place of the old one of the same kind and name.
    """
    from rimwise.app import course_editing as editing

    if sum((add is not None, remove is not None, copy_from is not None, undo)) > 1:
        raise InputError("--add, --remove, --copy-from and --undo go one after the other.")
    now = datetime.now()
    with session_of(context).store() as store:
        if add is not None:
            shown = editing.add_features(store, add, name, now=now)
        elif remove is not None:
            shown = editing.remove_feature(store, remove, name, now=now)
        elif copy_from is not None:
            shown = editing.copy_features(store, copy_from, name, now=now)
        elif undo:
            shown = editing.undo_change(store, name)
        else:
            shown = editing.show_course(store, name)
    emit(shown, as_json, lambda: _show(shown))


def _show(shown: CourseShown) -> None:
    from rimwise.records.words import plural

    for notice in shown.notices:
        say(notice)
    known = "" if shown.bearings_known else ", known by their lengths alone"
    say(f"{shown.name}: {plural(len(shown.holes), 'hole')}{known}.", style="bold")
    _show_holes(shown)
    _show_areas(shown)
    _show_marks(shown)
    for note in shown.notes:
        say(note)
    if shown.attribution:
        say(shown.attribution, indent=2)


def _table(*heads: str) -> Table:
    """Return a table with these headings; those of numbers stand right."""
    from rich.table import Table

    table = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0), header_style="bold")
    for head in heads:
        table.add_column(head, justify="right" if head in _NUMBERS else "left")
    return table


def _show_holes(shown: CourseShown) -> None:
    from rimwise.records.words import distance

    shelter = any(hole.shelter is not None for hole in shown.holes)
    own = ("shelter",) if shelter else ()
    table = _table("hole", "length", "climb", "par", *own, "name")
    for hole in shown.holes:
        climb = "" if abs(hole.climb_m) < 0.5 else distance(hole.climb_m, shown.units)
        cells = [hole.hole, distance(hole.length_m, shown.units), climb, _bare(hole.par)]
        if shelter:
            cells.append(_bare(hole.shelter))
        table.add_row(*cells, hole.name)
    console().print(table)


def _bare(value: float | None) -> str:
    return "" if value is None else f"{value:g}"


def _show_areas(shown: CourseShown) -> None:
    from rimwise.records.words import distance, plural

    if not shown.areas:
        say("No water, wood, fairway or out of bounds is on file; `--add FILE` adds some.")
        return
    table = _table("area", "kind", "name", "size", "near hole", "")
    for area in shown.areas:
        own = [] if area.stems_per_ha is None else [f"{area.stems_per_ha:g} stems a hectare"]
        if area.canopy_m is not None:
            own.append(f"{distance(area.canopy_m, shown.units)} high")
        if area.openings_m2:
            own.append(plural(len(area.openings_m2), "opening"))
        own += ["drawn by you"] if area.drawn else []
        size = f"{area.square_m:.0f} m²"
        table.add_row(str(area.number), area.kind, area.name, size, area.near_hole, ", ".join(own))
    console().print(table)


def _show_marks(shown: CourseShown) -> None:
    from rimwise.records.words import distance, sideways

    if not shown.marks:
        return
    table = _table("mark", "kind", "name", "hole", "where", "")
    for mark in shown.marks:
        where = f"{distance(mark.along_m, shown.units)} out, {sideways(mark.left_m, shown.units)}"
        own = [mark.asks] if mark.asks else []
        own += ["drawn by you"] if mark.drawn else []
        table.add_row(str(mark.number), mark.kind, mark.name, mark.hole, where, ", ".join(own))
    console().print(table)
