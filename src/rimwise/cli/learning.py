"""The command that says what was learnt about the owner's discs."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from rimwise.cli.common import JSON_HELP, console, emit, say, session_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rimwise.app.learning import DiscTold, LearntReport, Span
    from rimwise.records.words import Units

__all__ = ["add_to"]

_Json = Annotated[bool, typer.Option("--json", help=JSON_HELP)]
#: Contradictions shown, and discs told in a sentence each unless more are asked for.
_SHOWN, _TOLD = 3, 5


def add_to(app: typer.Typer) -> None:
    """Add this command to the command line."""
    app.command("learnt")(learnt)


def learnt(
    context: typer.Context,
    disc: Annotated[
        str | None, typer.Argument(help="One disc, or a part of its name; else all of them.")
    ] = None,
    everything: Annotated[
        bool, typer.Option("--all", help="Tell every disc, not only those that differ most.")
    ] = False,
    picture: Annotated[
        Path | None,
        typer.Option(help="Draw what is believed of the one disc, and why, into this .svg file."),
    ] = None,
    as_json: _Json = False,
) -> None:
    """Say how your discs differ from their numbers, and what that rests on."""
    from rimwise.app.learning import tell_learnt

    with session_of(context).store() as store:
        if picture is None:
            report = tell_learnt(store, disc)
        else:
            from rimwise.app.belief_strips import draw_into

            report = draw_into(store, disc, picture)

    def show() -> None:
        _show(report, len(report.discs) if everything else _TOLD)
        if picture is not None:
            say(f"Drawn into {picture}.")

    emit(report, as_json, show)


def _show(report: LearntReport, most: int) -> None:
    say(f"Your stock throw on a mild, calm day, learnt from {report.rests_on}.")
    if not report.settled:
        say("The search for what fits best ended a step early; take intervals as a bit wider.")
    say()
    _show_table(report)
    say(
        "R right, L left; in brackets where it lies 8 times in 10. Wrong side: of 100 throws, "
        "those that end more than 2 m to the side that discs turn to.",
        indent=2,
    )
    say()
    for disc in _most_different(report.discs, most):
        say(disc.sentence)
    if most < len(report.discs):
        say(
            f"These {most} differ most surely from their numbers; `rimwise learnt DISC` tells of "
            "another, `rimwise learnt --all` of all."
        )
    for drift in report.drifts:
        say()
        say(drift)
    for clash in report.contradictions[:_SHOWN]:
        say()
        say(clash.words)
    if len(report.contradictions) > _SHOWN:
        say(f"And {len(report.contradictions) - _SHOWN} more like this.")


def _most_different(discs: Sequence[DiscTold], most: int) -> list[DiscTold]:
    """Return the discs whose landing is most surely not where their numbers put it, in order."""

    def surely(disc: DiscTold) -> float:
        return max(
            abs(span.mean) / max(span.high - span.low, 1e-9)
            for span in (disc.longer_m, disc.more_left_m, disc.stabler)
        )

    kept = sorted(discs, key=surely, reverse=True)[:most]
    return [disc for disc in discs if disc in kept]


def _show_table(report: LearntReport) -> None:
    from rich.table import Table

    from rimwise.records.words import in_units, number

    units = report.units
    table = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0), header_style="bold")
    heads = ("disc", f"reach, {units}", f"side, {units}", "by numbers", "wrong side", "from*")
    for i, column in enumerate(heads):
        table.add_column(column, justify="right" if i else "left", no_wrap=True)
    for disc in report.discs:
        reach = [number(in_units(v, units)) for v in _ends(disc.reach_m)]
        side = [_short(v, units) for v in _ends(disc.left_m)]
        printed_m = number(in_units(disc.printed_reach_m.mean, units))
        table.add_row(
            disc.disc,
            f"{reach[0]} ({reach[1]}–{reach[2]})",
            f"{side[0]} ({side[1]}–{side[2]})",
            f"{printed_m}, {_short(disc.printed_left_m.mean, units)}",
            f"{100 * disc.wrong_side:.0f}",
            f"{disc.throws} + {disc.comparisons}",
        )
    console().print(table)
    say("* throws with it + comparisons of it", indent=2)


def _short(left_m: float, units: Units) -> str:
    """Say a sideways distance as throws are logged: "9R", "4L", "0"."""
    from rimwise.records.words import short_side

    return short_side(left_m, units).replace(" right", "R").replace(" left", "L")


def _ends(span: Span) -> tuple[float, float, float]:
    return span.mean, span.low, span.high
