"""What every command shares: the data file, plain output or JSON, progress, and endings."""

from __future__ import annotations

import json
import math
import os
import sys
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import fields, is_dataclass
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

import typer

from rimwise.errors import InputError, StoreError

if TYPE_CHECKING:
    from rich.console import Console

    from rimwise.store.store import Store

__all__ = [
    "JSON_HELP",
    "Session",
    "console",
    "default_data_file",
    "emit",
    "progress_bar",
    "say",
    "session_of",
    "text_option",
]

JSON_HELP = "Print the result as JSON instead of text."


class Session:
    """The chosen data file."""

    def __init__(self, data: Path) -> None:
        self.data = data

    @contextmanager
    def store(self, *, create: bool = False) -> Iterator[Store]:
        """Open the data file; it has to exist unless ``create`` is set.

        Raises
        ------
        StoreError
            When it is missing or cannot be opened or its folder cannot be made.
        """
        from rimwise.store.opening import open_store

        if create:
            _make_folder(self.data)
        elif not self.data.exists():
            raise StoreError(
                f"there is no data file {self.data} yet; run `rimwise init` first, "
                "or name another with --data."
            )
        with open_store(self.data) as store:
            yield store
            changed = store.connection.raw.total_changes > 0
        if changed:
            self._back_up()

    def _back_up(self) -> None:
        """Make a backup if it is time for one; a failure is told, for what was asked is done."""
        from datetime import datetime

        from rimwise.app.backing import back_up_when_due

        try:
            back_up_when_due(self.data, datetime.now())
        except StoreError as error:
            note = f"rimwise: note: your records are saved, but {error}"
            print(note, file=sys.stderr)  # noqa: T201 - the command line's voice


def _make_folder(path: Path) -> None:
    try:
        path.expanduser().parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise StoreError(
            f"the folder {path.parent} cannot be made ({error.strerror}); "
            "choose another place with --data."
        ) from None


def default_data_file() -> Path:
    """Return the data file in the user's own data folder."""
    import platformdirs

    return Path(platformdirs.user_data_dir("rimwise", appauthor=False)) / "rimwise.db"


def session_of(context: typer.Context) -> Session:
    """Return the session that the top command made."""
    session = context.find_object(Session)
    if session is None:  # pragma: no cover - the top command always makes one
        raise StoreError("no data file was chosen; name one with --data.")
    return session


@cache
def console() -> Console:
    """Return where sentences and tables go; errors go to standard error."""
    from rich.console import Console

    class Terminal(Console):
        def on_broken_pipe(self) -> None:
            raise BrokenPipeError

    return Terminal(highlight=False, soft_wrap=False)


def say(text: str = "", *, style: str | None = None, indent: int = 0) -> None:
    """Print a sentence, wrapped to the terminal; ``indent`` moves all its lines in."""
    import textwrap

    lines = textwrap.wrap(
        text,
        console().width,
        initial_indent=" " * indent,
        subsequent_indent=" " * indent,
        break_long_words=False,
        break_on_hyphens=False,
    )
    console().print("\n".join(lines), markup=False, style=style, soft_wrap=True)


def emit(result: Any, as_json: bool, show: Callable[[], None]) -> None:
    """Print a result as JSON, or let ``show`` print it for people."""
    try:
        if as_json:
            # Signs outside ASCII are escaped, so that the bytes are the same on every terminal.
            sys.stdout.write(json.dumps(_plain(result), indent=1, allow_nan=False) + "\n")
        else:
            show()
        sys.stdout.flush()
    except BrokenPipeError:  # the reader of a pipe has enough: nothing more to say
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        raise typer.Exit(0) from None


def _plain(value: Any) -> Any:
    """Turn records, arrays and paths into what JSON knows; what is no finite number into null."""
    if is_dataclass(value) and not isinstance(value, type):
        return {item.name: _plain(getattr(value, item.name)) for item in fields(value)}
    if hasattr(value, "tolist"):
        return _plain(value.tolist())
    if isinstance(value, Mapping):
        return {str(key): _plain(item) for key, item in value.items()}
    if isinstance(value, (list, tuple)):
        return [_plain(item) for item in value]
    if isinstance(value, float):
        return value if math.isfinite(value) else None
    return value if value is None or isinstance(value, (bool, int)) else str(value)


def text_option(value: str, name: str, unit_words: str) -> float:
    """Read a length such as "90m", "90", "300ft" or "300 ft" as metres.

    Raises
    ------
    InputError
        When it is no length.
    """
    text = value.strip().lower().replace(",", ".")
    for ending, factor in (("feet", 0.3048), ("ft", 0.3048), ("'", 0.3048), ("m", 1.0), ("", 1.0)):
        if text.endswith(ending):
            try:
                return float(text[: len(text) - len(ending)]) * factor
            except ValueError:
                break
    raise InputError(f"{name} must be {unit_words}, but is {value!r}.")


@contextmanager
def progress_bar(*, quiet: bool) -> Iterator[Callable[[str, float], None]]:
    """Show what is being done on standard error; stay silent where nobody looks."""
    if quiet or not sys.stderr.isatty():
        yield lambda _what, _share: None
        return
    from rich.console import Console
    from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn

    columns = (BarColumn(), TextColumn("{task.description}"), TimeElapsedColumn())
    with Progress(*columns, console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task("starting", total=1.0)
        yield lambda what, share: bar.update(task, description=what, completed=share)
