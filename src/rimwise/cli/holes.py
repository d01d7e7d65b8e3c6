"""Commands about holes: what to expect, what to throw from here, and which discs it costs."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from rimwise.cli.common import JSON_HELP, emit, progress_bar, say, session_of

if TYPE_CHECKING:
    from rimwise.app.holes import HoleReport
    from rimwise.app.risking import RiskReport
    from rimwise.decide.tee_report import TeeChoice, TeeReport

__all__ = ["add_to"]

_CAUTION = (
    "Before you throw: nobody in range, blind spots included. Posted course rules come first."
)

Ref = Annotated[str, typer.Argument(metavar="HOLE", help="Its number, such as 6.")]
Conditions = Annotated[
    str | None, typer.Argument(help="The conditions; needed when there are several.")
]
Course = Annotated[str | None, typer.Option(help="The course, when there are several.")]
ThrowerName = Annotated[str | None, typer.Option(help="The thrower, if there are several.")]
Discs = Annotated[list[str] | None, typer.Option("--disc", help="Only this disc; repeat it.")]
Carry = Annotated[bool, typer.Option("--carry", help="Only the discs of the latest plan.")]
Quick = Annotated[bool, typer.Option("--quick", help="A third of the work, with a larger error.")]
Printed = Annotated[
    bool, typer.Option("--printed", help="Go by printed numbers and your one distance alone.")
]
Seed = Annotated[int, typer.Option(min=0, help="Root seed of the throws.")]
Quiet = Annotated[bool, typer.Option("--quiet", help="Show no progress.")]
AsJson = Annotated[bool, typer.Option("--json", help=JSON_HELP)]


def add_to(app: typer.Typer) -> None:
    """Add these commands to the command line."""
    app.command("hole")(hole)
    app.command("tee")(tee)
    app.command("risk")(risk)


def hole(
    context: typer.Context,
    ref: Ref,
    conditions: Conditions = None,
    course: Course = None,
    thrower: ThrowerName = None,
    disc: Discs = None,
    carry: Carry = False,
    quick: Quick = False,
    printed: Printed = False,
    seed: Seed = 1,
    quiet: Quiet = False,
    as_json: AsJson = False,
) -> None:
    """Say what a hole asks: strokes to expect, what to throw from the tee, what can go wrong."""
    from rimwise.app.holes import tell_hole
    from rimwise.app.solving import Question

    asked = Question(
        conditions, course, thrower, tuple(disc or ()), carry=carry, quick=quick, printed=printed,
        seed=seed,
    )  # fmt: skip
    with session_of(context).store() as store, progress_bar(quiet=quiet) as progress:
        report = tell_hole(store, ref, asked, progress=progress)
    emit(report, as_json, lambda: _show_hole(report))


def tee(
    context: typer.Context,
    ref: Ref,
    conditions: Conditions = None,
    lie: Annotated[
        str | None,
        typer.Option(
            help='Where you stand, as in "60m 5L" along and aside of the line from tee to basket, '
            "or latitude and longitude; else the tee."
        ),
    ] = None,
    day: Annotated[
        str | None, typer.Option(help="Only this kind of day, by a part of its name.")
    ] = None,
    disc: Discs = None,
    carry: Carry = False,
    picture: Annotated[
        Path | None, typer.Option(help="Draw it too, for one day, into an SVG file.")
    ] = None,
    course: Course = None,
    thrower: ThrowerName = None,
    quick: Quick = False,
    printed: Printed = False,
    seed: Seed = 1,
    quiet: Quiet = False,
    as_json: AsJson = False,
) -> None:
    """Say what to throw from the tee, or from any lie: up to three choices with their risks."""
    from rimwise.app.solving import Question
    from rimwise.app.tee import tell_tee

    asked = Question(
        conditions, course, thrower, tuple(disc or ()), carry=carry, quick=quick, printed=printed,
        seed=seed,
    )  # fmt: skip
    with session_of(context).store() as store, progress_bar(quiet=quiet) as progress:
        report = tell_tee(store, ref, asked, lie=lie, day=day, progress=progress)
        if picture is not None:
            from rimwise.app.drawing_tee import draw_tee

            draw_tee(store, picture, report)
    emit(report, as_json, lambda: _show_tee(report))


def risk(
    context: typer.Context,
    conditions: Conditions = None,
    course: Course = None,
    thrower: ThrowerName = None,
    disc: Discs = None,
    carry: Carry = False,
    quick: Quick = False,
    printed: Printed = False,
    seed: Seed = 1,
    quiet: Quiet = False,
    as_json: AsJson = False,
) -> None:
    """Say which discs a round costs you, on which holes, in discs, strokes and money."""
    from rimwise.app.risking import tell_risk
    from rimwise.app.solving import Question

    asked = Question(
        conditions, course, thrower, tuple(disc or ()), carry=carry, quick=quick, printed=printed,
        seed=seed,
    )  # fmt: skip
    with session_of(context).store() as store, progress_bar(quiet=quiet) as progress:
        report = tell_risk(store, asked, progress=progress)
    emit(report, as_json, lambda: _show_risk(report))


def _day_words(name: str, share: float) -> str:
    from rimwise.records.words import of_rounds

    often = of_rounds(share)
    return f"{name} ({often})" if often else name


def _show_hole(report: HoleReport) -> None:
    from rimwise.records.words import strokes

    for sentence in report.sentences:
        say(sentence)
    say()
    say("From the tee:")
    for throw in report.throws:
        say(f"{_day_words(throw.day, throw.share)}, {throw.wind}:", indent=2)
        say(f"{': '.join(filter(None, (throw.disc, throw.line)))}; {throw.aim}.", indent=4)
        say(f"Out of 100 throws: {throw.risks}.", indent=4)
        say(f"{strokes(throw.strokes, throw.strokes_se)} on such a day.", indent=4)
    say()
    say(_CAUTION)
    if report.attribution:
        say(report.attribution)


def _show_tee(report: TeeReport) -> None:
    say(report.headline)
    if report.kind:
        say(f"Your lie is {report.kind}.")
    for day in report.days:
        say()
        say(f"{_day_words(day.day, day.share)}, {day.wind}:")
        if day.putt:
            say(day.putt, indent=2)
        for place, choice in enumerate(day.choices, start=1):
            _show_choice(place, choice)
        for sentence in filter(None, (*day.winds, day.over_water, day.floating)):
            say(sentence, indent=2)
    say()
    for caution in report.cautions:
        say(caution)
    if report.attribution:
        say(report.attribution)


def _show_choice(place: int, choice: TeeChoice) -> None:
    say(f"{place}. {choice.disc_label}: {choice.line}; {choice.aim}.", indent=2)
    say(f"{choice.landing[0].upper()}{choice.landing[1:]}.", indent=5)
    say(choice.chances, indent=5)
    say(choice.compared, indent=5)


def _show_risk(report: RiskReport) -> None:
    from rich.table import Table

    from rimwise.cli.common import console
    from rimwise.records.words import number

    for sentence in report.sentences:
        say(sentence)
    if not report.discs:
        return
    say()
    table = Table(box=None, pad_edge=False)
    table.add_column("disc")
    for name in ("lost a round", "in strokes", "in money"):
        table.add_column(name, justify="right")
    table.add_column("where")
    for disc in report.discs[:12]:
        money = "" if disc.money is None else number(disc.money, 2)
        where = ", ".join(hole for hole, _ in disc.holes[:4])
        label = f"{disc.label} (floats)" if disc.floats else disc.label
        table.add_row(label, number(disc.lost, 3), number(disc.strokes, 3), money, where)
    console().print(table)
    say()
    say("Never wade, swim or step on ice for a disc.")
