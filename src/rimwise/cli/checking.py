"""The command that holds what was told against what happened."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from rimwise.cli.common import JSON_HELP, console, emit, progress_bar, say, session_of
from rimwise.errors import InputError

if TYPE_CHECKING:
    from rimwise.app.checking import CheckReport

__all__ = ["add_to"]

_Json = Annotated[bool, typer.Option("--json", help=JSON_HELP)]


def add_to(app: typer.Typer) -> None:
    """Add this command to the command line."""
    app.command("check")(check)


def check(
    context: typer.Context,
    since: Annotated[
        str | None, typer.Option(help="First day, as 2026-03-01; else the log's last days.")
    ] = None,
    scores: Annotated[
        bool, typer.Option("--scores/--no-scores", help="Rounds too; takes as long as a plan.")
    ] = True,
    svg: Annotated[Path | None, typer.Option(help="Also draw it into this file.")] = None,
    as_json: _Json = False,
) -> None:
    """Hold your logged landings and scores against what would have been told before them."""
    from rimwise.app.checking import check_log, draw_check

    first = None
    if since is not None:
        try:
            first = dt.date.fromisoformat(since)
        except ValueError:
            raise InputError(f"--since must be a day such as 2026-03-01, not {since!r}.") from None
    with progress_bar(quiet=as_json) as progress, session_of(context).store() as store:
        report = check_log(store, since=first, scores=scores, progress=progress)
    if svg is not None:
        draw_check(report, svg)
    emit(report, as_json, lambda: _show(report, svg))


def _show(report: CheckReport, svg: Path | None) -> None:
    from rimwise.records.words import date_words

    say(f"From {date_words(report.since)} to {date_words(report.until)}.", style="bold")
    for sentence in report.sentences:
        say(sentence)
    if report.rounds:
        say()
        _show_rounds(report)
    say()
    say(
        "Each throw was told from what was on record before its day, rounds from before the first; "
        "± beside strokes told is the simulation's own error. Throws you did not log are not in "
        "this, so a log of good throws flatters.",
        indent=2,
    )
    if svg is not None:
        say(f"Drawn into {svg}.")


def _show_rounds(report: CheckReport) -> None:
    from rich.table import Table

    from rimwise.records.words import date_words, number

    table = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0), header_style="bold")
    for i, head in enumerate(("round", "told", "scored", "day")):
        table.add_column(head, justify="right" if i in (1, 2) else "left", no_wrap=i < 3)
    for one in report.rounds:
        told = f"{number(one.told, 1)} ± {number(one.told_se, 1)}"
        day = f"{one.day} (guessed)" if one.guessed else one.day
        table.add_row(date_words(one.on), told, str(one.scored), day)
    console().print(table)
