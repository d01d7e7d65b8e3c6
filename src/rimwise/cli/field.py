"""The command that lays out a field session."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from rimwise.cli.common import JSON_HELP, console, emit, progress_bar, say, session_of

if TYPE_CHECKING:
    from rimwise.app.field_session import FieldReport

__all__ = ["add_to"]

_Json = Annotated[bool, typer.Option("--json", help=JSON_HELP)]


def add_to(app: typer.Typer) -> None:
    """Add this command to the command line."""
    app.command("field")(field)


def field(
    context: typer.Context,
    conditions: Annotated[
        str | None, typer.Argument(help="Whose plan it is to help; else the latest plan.")
    ] = None,
    throws: Annotated[int, typer.Option(help="Throws there is time for, in fives.")] = 20,
    comparisons: Annotated[int, typer.Option(help="Comparisons of two discs.")] = 10,
    seed: Annotated[int, typer.Option(min=0, help="Root seed of the outcomes.")] = 1,
    as_json: _Json = False,
) -> None:
    """Say what to throw next: the session that would improve your choices most."""
    from rimwise.app.field_session import plan_field_session

    with progress_bar(quiet=as_json) as progress, session_of(context).store() as store:
        report = plan_field_session(
            store, conditions, throws=throws, comparisons=comparisons, seed=seed, progress=progress
        )
    emit(report, as_json, lambda: _show(report))


def _show(report: FieldReport) -> None:
    from rich.table import Table

    for sentence in report.sentences:
        say(sentence)
    say()
    table = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0), header_style="bold")
    table.add_column("", justify="right", no_wrap=True)
    for head in ("throw", "times", "for"):
        table.add_column(head, no_wrap=True)
    for number, step in enumerate(report.steps, start=1):
        thrown = step.disc if step.other is None else f"{step.disc} and {step.other}"
        times = f"{step.throws}" if step.other is None else "3 each"
        table.add_row(str(number), thrown, times, step.decides)
    console().print(table)
    say()
    say(
        "Your stock throw at full effort; note every throw, the bad ones too "
        '(`rimwise log throw DISC "64m 5L"`), and of two discs thrown in turn which is more stable '
        '(`rimwise log compare A ">" B`).',
        indent=2,
    )
    say(report.caution, indent=2)
