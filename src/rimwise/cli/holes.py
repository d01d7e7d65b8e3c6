"""The command about a single hole: strokes to expect, the throw from the tee, the risks."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from rimwise.cli.common import JSON_HELP, emit, progress_bar, say, session_of

if TYPE_CHECKING:
    from rimwise.app.holes import HoleReport

__all__ = ["add_to"]

_CAUTION = (
    "Before you throw: nobody in range, blind spots included. Posted course rules come first."
)


def add_to(app: typer.Typer) -> None:
    """Add this command to the command line."""
    app.command("hole")(hole)


def hole(
    context: typer.Context,
    ref: Annotated[str, typer.Argument(metavar="HOLE", help="Its number, such as 6.")],
    conditions: Annotated[
        str | None, typer.Argument(help="The conditions; needed when there are several.")
    ] = None,
    course: Annotated[str | None, typer.Option(help="The course, when there are several.")] = None,
    thrower: Annotated[str | None, typer.Option(help="The thrower, if there are several.")] = None,
    quick: Annotated[
        bool, typer.Option("--quick", help="A third of the work, with a larger error.")
    ] = False,
    printed: Annotated[
        bool, typer.Option("--printed", help="Go by printed numbers and your one distance alone.")
    ] = False,
    seed: Annotated[int, typer.Option(min=0, help="Root seed of the throws.")] = 1,
    quiet: Annotated[bool, typer.Option("--quiet", help="Show no progress.")] = False,
    as_json: Annotated[bool, typer.Option("--json", help=JSON_HELP)] = False,
) -> None:
    """Say what a hole asks: strokes to expect, what to throw from the tee, what can go wrong."""
    from rimwise.app.holes import tell_hole

    with session_of(context).store() as store, progress_bar(quiet=quiet) as progress:
        report = tell_hole(
            store, ref, conditions, course=course, thrower=thrower, quick=quick, printed=printed,
            seed=seed, progress=progress,
        )  # fmt: skip
    emit(report, as_json, lambda: _show(report))


def _show(report: HoleReport) -> None:
    from rimwise.records.words import number, strokes

    for sentence in report.sentences:
        say(sentence)
    say()
    say("From the tee:")
    for throw in report.throws:
        say(f"{throw.day} ({number(100.0 * throw.share)} of 100 rounds), {throw.wind}:", indent=2)
        say(f"{throw.disc}: {throw.line}; {throw.aim}.", indent=4)
        say(f"Out of 100 throws: {throw.risks}.", indent=4)
        say(f"{strokes(throw.strokes, throw.strokes_se)} on such a day.", indent=4)
    say()
    say(_CAUTION)
    if report.attribution:
        say(report.attribution)
