"""Commands of ``rimwise``: one for each thing a player does."""

from __future__ import annotations

import io
import os
import sys
from pathlib import Path
from typing import Annotated, cast

import typer

from rimwise import __version__
from rimwise.cli import (
    carries,
    carrying,
    checking,
    courses,
    field,
    holes,
    learning,
    noting,
    owning,
    putting,
    records,
    serving,
    throwing,
    wearing,
    weather,
    wishing,
)
from rimwise.cli.common import Session, default_data_file
from rimwise.errors import RimwiseError

__all__ = ["app", "run"]

#: Names another data file; the option --data goes before it.
DATA_VARIABLE = "RIMWISE_DATA"

app = typer.Typer(
    name="rimwise",
    help="Which discs to carry, how each one flies for your arm, and why.",
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    add_completion=False,
    rich_markup_mode=None,
)


def _version(asked: bool) -> None:
    if asked:
        typer.echo(f"rimwise {__version__}")
        raise typer.Exit


@app.callback()
def top(
    context: typer.Context,
    data: Annotated[
        Path | None,
        typer.Option("--data", help=f"Data file; else {DATA_VARIABLE}, else your data folder."),
    ] = None,
    _version_asked: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Print the version.")
    ] = False,
) -> None:
    """Which discs to carry, how each one flies for your arm, and why."""
    named = os.environ.get(DATA_VARIABLE)
    context.obj = Session(data or (Path(named) if named else default_data_file()))


owning.add_to(app)
records.add_to(app)
noting.add_to(app)
learning.add_to(app)
field.add_to(app)
courses.add_to(app)
weather.add_to(app)
checking.add_to(app)
wearing.add_to(app)
carrying.add_to(app)
carries.add_to(app)
wishing.add_to(app)
throwing.add_to(app)
holes.add_to(app)
putting.add_to(app)
serving.add_to(app)


#: What is raised for a mistyped command. Some versions of Typer bring their own Click, so the
#: class is taken from Typer and not from the package ``click``.
_UsageError = cast("type[typer.BadParameter]", typer.BadParameter.__mro__[1])
#: What Typer returns when Ctrl-C ended a command.
_STOPPED = 130


def run() -> None:
    """Run the command line; exit 0 when done, 1 for a user's error, 2 for wrong usage."""
    _write_any_sign()
    try:
        code = app(prog_name="rimwise", standalone_mode=False)
    except _UsageError as error:
        error.show()
        sys.exit(2)
    except RimwiseError as error:
        _say(str(error))
        sys.exit(1)
    except (KeyboardInterrupt, typer.Abort):
        code = _STOPPED
    if code == _STOPPED:
        _say("Stopped; nothing was changed.")
        sys.exit(1)
    sys.exit(code if isinstance(code, int) else 0)


def _write_any_sign() -> None:
    """Let a terminal that lacks a sign, such as ±, show a question mark instead of failing."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")


def _say(sentence: str) -> None:
    print(f"rimwise: {sentence}", file=sys.stderr)  # noqa: T201 - the command line's voice
