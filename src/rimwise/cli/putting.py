"""The command that putts: the curve, where strokes are, and an evening of practice."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from rimwise.cli.common import JSON_HELP, console, emit, say, session_of

if TYPE_CHECKING:
    from rich.table import Table

    from rimwise.app.putting import PuttingReport

__all__ = ["add_to"]

_Json = Annotated[bool, typer.Option("--json", help=JSON_HELP)]


def add_to(app: typer.Typer) -> None:
    """Add this command to the command line."""
    app.command("putting")(putting)


def putting(
    context: typer.Context,
    conditions: Annotated[
        str | None,
        typer.Argument(help="Whose plan says where putts start; else the latest plan."),
    ] = None,
    practice: Annotated[
        int | None, typer.Option(help="Lay out an evening of so many putts, 10 to 300.")
    ] = None,
    svg: Annotated[Path | None, typer.Option(help="Also draw the curve into this file.")] = None,
    as_json: _Json = False,
) -> None:
    """Say how often you hole out from where, what it is worth, and what to practise."""
    from rimwise.app.putting import draw_putting, make_putting

    with session_of(context).store() as store:
        report = make_putting(store, plan=conditions, practice=practice)
    if svg is not None:
        draw_putting(report, svg)
    emit(report, as_json, lambda: _show(report, svg))


def _show(report: PuttingReport, svg: Path | None) -> None:
    for sentence in report.sentences:
        say(sentence)
    say()
    _show_curve(report)
    say("* between: where the chance lies 9 times in 10", indent=2)
    say()
    _show_worths(report)
    say(f"Putts a round: {report.first_putts}, and what misses leave.", indent=2)
    if report.practice is not None:
        say()
        _show_practice(report)
    if svg is not None:
        say(f"Drawn into {svg}.")


def _table(*columns: str, words: int = 0) -> Table:
    from rich.table import Table

    table = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0), header_style="bold")
    for i, column in enumerate(columns):
        table.add_column(column, justify="left" if i < words else "right", no_wrap=True)
    return table


def _show_curve(report: PuttingReport) -> None:
    from rimwise.records.words import distance

    table = _table("from", "made of 100", "between*", "your putts", words=1)
    curve = report.curve
    own = {round(rate.distance_m): rate for rate in report.rates}
    for i, metres in enumerate(curve.distance_m):
        if metres not in (2, 3, 4, 5, 6, 8, 10, 12, 15, 20):
            continue
        rate = own.get(round(metres))
        circle = " (circle)" if metres in {circle.radius_m for circle in report.circles} else ""
        table.add_row(
            f"{distance(metres, report.units)}{circle}",
            f"{100 * curve.made[i]:.0f}",
            f"{100 * curve.low[i]:.0f} to {100 * curve.high[i]:.0f}",
            f"{rate.made} of {rate.tried}" if rate is not None else "",
        )
    console().print(table)


def _show_worths(report: PuttingReport) -> None:
    from rimwise.records.words import distance, number

    table = _table("about", "putts a round", "a make saves", "a tenth steadier saves", words=1)
    for worth in report.worths:
        table.add_row(
            distance(worth.distance_m, report.units),
            number(worth.per_round, 1),
            number(worth.saved, 2),
            f"{number(worth.steadier, 2)} strokes",
        )
    console().print(table)


def _show_practice(report: PuttingReport) -> None:
    from rimwise.records.words import distance, number

    plan = report.practice
    if plan is None:
        return
    say(f"An evening of {plan.putts} putts", style="bold")
    table = _table("from", "putts", "of them to learn", "you make about", words=1)
    for spot in plan.spots:
        table.add_row(
            distance(spot.distance_m, report.units),
            str(spot.putts),
            str(spot.to_learn or ""),
            number(spot.expected_made),
        )
    console().print(table)
    say(
        f"Putting costs you {number(plan.strokes, 1)} strokes a round, give or take "
        f"{number(plan.strokes_sd, 2)} for what is not known of your putting; with these putts "
        f"logged, {number(plan.strokes_sd_after, 2)}."
    )
    say(report.caution)
