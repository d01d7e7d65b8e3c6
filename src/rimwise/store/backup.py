"""Copies of the data file, made by SQLite itself and read back before they count."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from datetime import datetime
from pathlib import Path

from rimwise.errors import StoreError
from rimwise.store.connection import Connection, in_plain_words

__all__ = ["write_backup"]


def write_backup(connection: Connection, folder: Path, stem: str, now: datetime) -> Path:
    """Write a verified copy of the data file into ``folder`` and return its path.

    The copy gets its dated name only after it was read back: SQLite found no fault in it and
    every table has as many rows as the original.

    Raises
    ------
    StoreError
        When the folder cannot be made or written, or the copy does not match.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise StoreError(
            f"the backup folder '{folder}' cannot be made ({error.strerror}); "
            "choose another place or change its permissions."
        ) from error
    target = _free_name(folder, f"{stem}-{now:%Y-%m-%d-%H%M%S}")
    partial = target.with_suffix(".partial")
    try:
        _copy_and_verify(connection, partial)
        partial.replace(target)
    finally:
        partial.unlink(missing_ok=True)
    return target


def _free_name(folder: Path, stem: str) -> Path:
    """Return a name that no earlier backup has."""
    target = folder / f"{stem}.sqlite"
    count = 2
    while target.exists():
        target = folder / f"{stem}-{count}.sqlite"
        count += 1
    return target


def _copy_and_verify(connection: Connection, partial: Path) -> None:
    with in_plain_words(str(partial)), closing(sqlite3.connect(partial)) as copy:
        with connection.snapshot():
            connection.raw.backup(copy)
            wanted = _contents(connection.raw)
        # One plain file: a copy in WAL mode would grow companions when it is opened.
        copy.execute("PRAGMA journal_mode = DELETE")
        found = copy.execute("PRAGMA integrity_check").fetchone()[0]
        if found != "ok" or _contents(copy) != wanted:
            raise StoreError(
                f"the backup of '{connection.shown_path}' could not be verified ({found}); "
                "nothing was changed. Check the disk and try again."
            )


def _contents(raw: sqlite3.Connection) -> tuple[object, ...]:
    """Return what a copy must share: the version, and each table with its number of rows."""
    tables = [
        name
        for (name,) in raw.execute(
            "SELECT name FROM sqlite_schema WHERE type = 'table' ORDER BY name"
        )
    ]
    counts = tuple(
        (name, raw.execute(f'SELECT count(*) FROM "{name}"').fetchone()[0])  # noqa: S608
        for name in tables
    )
    return (raw.execute("PRAGMA user_version").fetchone()[0], counts)
