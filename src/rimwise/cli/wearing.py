"""The command that says how worn discs are and what to do about it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from rimwise.cli.common import JSON_HELP, console, emit, say, session_of

if TYPE_CHECKING:
    from rimwise.app.retiring import DiscLife, LifeReport

__all__ = ["add_to"]

_Json = Annotated[bool, typer.Option("--json", help=JSON_HELP)]
#: Discs that need nothing are told in a sentence each only where few are asked about.
_FEW = 3
#: More months than these are not counted.
_MANY = 99


def add_to(app: typer.Typer) -> None:
    """Add this command to the command line."""
    app.command("wear")(wear)


def wear(
    context: typer.Context,
    disc: Annotated[
        str | None, typer.Argument(help="One disc, or a part of its name; else all of them.")
    ] = None,
    as_json: _Json = False,
) -> None:
    """Say how worn your discs are, whether they changed, and which to replace or retire.

    Nothing is retired by this: `rimwise discs --set DISC status=retired` does that.
    """
    from rimwise.app.retiring import tell_lives

    with session_of(context).store() as store:
        report = tell_lives(store, disc)
    emit(report, as_json, lambda: _show(report))


def _show(report: LifeReport) -> None:
    lives = report.discs
    needy = [life for life in lives if life.advice != "keep" or life.drift is not None]
    for life in lives if len(lives) <= _FEW else needy:
        say(life.sentence)
    if len(lives) > _FEW:
        rest = len(lives) - len(needy)
        if rest:
            say(f"Nothing needs doing for {'the other' if needy else 'all'} {rest}.")
    say()
    _show_table(lives)
    say(
        "Wear from 0 (new) to 1 (beaten in); lost is turn and fade together; throws left until "
        "beaten in, and months of them at your rate of use, eight times in ten between the ends. "
        f"This rests on {report.rests_on} and on your notes of wear.",
        indent=2,
    )


def _show_table(lives: tuple[DiscLife, ...]) -> None:
    from rich.table import Table

    from rimwise.records.words import number

    table = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0), header_style="bold")
    for i, head in enumerate(("disc", "thrown", "wear", "lost", "throws left", "months", "")):
        table.add_column(head, justify="right" if 0 < i < 6 else "left", no_wrap=True)
    for life in lives:
        low, high = (round(end, -1) for end in (life.throws_left_low, life.throws_left_high))
        months = (life.months_left_low, life.months_left_high)
        table.add_row(
            life.disc,
            number(life.throws),
            f"{life.wear:.2f} ± {life.wear_sd:.2f}",
            number(life.lost, 1),
            f"{number(low)} to {number(high)}" if high else "none",
            _months(*months),
            life.advice,
        )
    console().print(table)


def _months(low: float | None, high: float | None) -> str:
    from rimwise.records.words import number

    if low is None or high is None:
        return "–"
    if low >= _MANY:
        return f"over {_MANY}"
    if high < 0.5:
        return "none"
    return f"{number(low)} to {number(high)}" if high < _MANY else f"{number(low)} to {_MANY}+"
