"""Commands that look a plan over: gaps, wish, lost, rule, certify."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Annotated

import typer

from rimwise.cli.common import JSON_HELP, emit, progress_bar, say, session_of

__all__ = ["add_to"]

_Json = Annotated[bool, typer.Option("--json", help=JSON_HELP)]
_Conditions = Annotated[
    str | None, typer.Argument(help="Conditions of the plan; else the latest one.")
]
_OnHoles = Annotated[
    bool,
    typer.Option("--on-holes", help="Solve every hole for the carry first: takes minutes."),
]


def add_to(app: typer.Typer) -> None:
    """Add these commands to the command line."""
    app.command("gaps")(gaps)
    app.command("wish")(wish)
    app.command("lost")(lost)
    app.command("rule")(rule)
    app.command("certify")(certify)


def gaps(
    context: typer.Context,
    conditions: _Conditions = None,
    on_holes: _OnHoles = False,
    as_json: _Json = False,
) -> None:
    """Say what your carry lacks, which discs overlap, and what could stay at home for good."""
    from rimwise.app.wishing import tell_gaps

    with progress_bar(quiet=as_json) as progress, session_of(context).store() as store:
        report = tell_gaps(store, conditions, progress, on_holes=on_holes)
    emit(report, as_json, lambda: _say_all(report.sentences))


def wish(
    context: typer.Context,
    file: Annotated[Path, typer.Argument(help="A table of discs you may buy, like your own.")],
    conditions: _Conditions = None,
    on_holes: _OnHoles = False,
    as_json: _Json = False,
) -> None:
    """Rank discs that you may buy by the strokes that they would save. Nothing is kept."""
    from rimwise.app.wishing import tell_wishes

    with progress_bar(quiet=as_json) as progress, session_of(context).store() as store:
        report = tell_wishes(store, file, conditions, progress, on_holes=on_holes)
    emit(report, as_json, lambda: _say_all(report.sentences))


def lost(
    context: typer.Context,
    disc: Annotated[str, typer.Argument(help="The disc that is gone.")],
    conditions: _Conditions = None,
    as_json: _Json = False,
) -> None:
    """Say what losing a disc costs, which disc from home takes its place, what to look for."""
    from rimwise.app.losing import tell_lost

    with progress_bar(quiet=as_json) as progress, session_of(context).store() as store:
        report = tell_lost(store, disc, conditions, progress)
    emit(report, as_json, lambda: _say_all(report.sentences))


def rule(context: typer.Context, conditions: _Conditions = None, as_json: _Json = False) -> None:
    """Say in three sentences what to throw when there is no time to look."""
    from rimwise.app.wishing import tell_rule

    with progress_bar(quiet=as_json) as progress, session_of(context).store() as store:
        report = tell_rule(store, conditions, progress)
    emit(report, as_json, lambda: _say_all((*report.sentences, report.words)))


def certify(
    context: typer.Context,
    conditions: _Conditions = None,
    holes: Annotated[
        bool,
        typer.Option("--holes", help="Also solve every hole anew with the carry and its changes."),
    ] = False,
    as_json: _Json = False,
) -> None:
    """Hold a planned carry against its best changes, each solved for itself: takes minutes."""
    from rimwise.app.certifying import certify_plan

    with progress_bar(quiet=as_json) as progress, session_of(context).store() as store:
        report = certify_plan(store, conditions, progress, holes=holes)
    emit(report, as_json, lambda: _say_all(report.sentences))


def _say_all(sentences: Sequence[str]) -> None:
    for sentence in sentences:
        say(sentence)
