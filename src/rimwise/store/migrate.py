"""Numbered steps from an older data file to the present one, each kept safe by a backup."""

from __future__ import annotations

import re
import sqlite3
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from importlib import resources
from pathlib import Path

from rimwise.errors import StoreError
from rimwise.store.backup import BACKUP_FOLDER, write_backup
from rimwise.store.connection import Connection, connect

__all__ = [
    "APPLICATION_ID",
    "BACKUP_FOLDER",
    "Migration",
    "migrate",
    "refuse_foreign_file",
    "shipped_migrations",
]

#: Marks an SQLite file as ours ("RIMW" in ASCII; SQLite's application_id).
APPLICATION_ID = 0x52494D57


@dataclass(frozen=True, slots=True)
class Migration:
    """One step: after it, the file's ``user_version`` is ``number``."""

    number: int
    name: str
    sql: str


def shipped_migrations() -> tuple[Migration, ...]:
    """Return the steps that come with the program, in order."""
    folder = resources.files("rimwise.store") / "migrations"
    files = sorted(
        (item for item in folder.iterdir() if item.name.endswith(".sql")),
        key=lambda item: item.name,
    )
    return tuple(
        Migration(int(item.name[:4]), item.name[5:-4], item.read_text("utf-8")) for item in files
    )


def migrate(
    connection: Connection, path: Path, migrations: Sequence[Migration], now: datetime
) -> None:
    """Bring the file to the newest version, all steps in one transaction or none.

    Before the first step on a file that already holds data, a verified backup goes to the
    ``backups`` folder; each step ends with a check of all references.

    Raises
    ------
    StoreError
        When the file is newer than the program or a step fails; the file is then as it was.
    """
    version = _version(connection)
    newest = migrations[-1].number
    if version > newest:
        raise StoreError(
            f"'{connection.shown_path}' was made by a newer Rimwise "
            f"(file version {version}, this program knows {newest}); update the program."
        )
    if version == newest:
        return
    # A step that rebuilds a table must not set off the references to it; they are all
    # checked at its end. The switch works only outside a transaction.
    connection.execute("PRAGMA foreign_keys = OFF")
    try:
        with connection.atomic():
            version = _version(connection)  # another process may have been faster
            if 0 < version < newest:
                _back_up_under_lock(path, connection.shown_path, now)
            for step in migrations[version:]:
                _apply(connection, step)
    finally:
        connection.execute("PRAGMA foreign_keys = ON")


def _version(connection: Connection) -> int:
    return int(str(connection.rows("PRAGMA user_version")[0][0]))


def refuse_foreign_file(connection: Connection) -> None:
    """Leave alone an SQLite file that another program made.

    Raises
    ------
    StoreError
        When the file is neither ours nor empty.
    """
    version = _version(connection)
    mark = connection.rows("PRAGMA application_id")[0][0]
    has_tables = bool(connection.rows("SELECT 1 FROM sqlite_schema LIMIT 1"))
    if mark == APPLICATION_ID or (version == 0 and not has_tables and mark == 0):
        return
    raise StoreError(
        f"'{connection.shown_path}' is an SQLite file, but not one made by Rimwise; "
        "choose another file, or a new name to begin afresh."
    )


def _apply(connection: Connection, step: Migration) -> None:
    try:
        for statement in _statements(step.sql):
            connection.execute(statement)
    except sqlite3.Error as error:
        raise StoreError(_failed(connection, step, str(error))) from error
    if connection.rows("PRAGMA foreign_key_check"):
        raise StoreError(_failed(connection, step, "some records would lose their place"))
    connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
    connection.execute(f"PRAGMA user_version = {step.number}")


def _back_up_under_lock(path: Path, shown_path: str, now: datetime) -> None:
    """Copy the file as it was last saved, while our lock keeps other writers out."""
    reader = connect(path, shown_path)
    try:
        write_backup(reader, path.parent / BACKUP_FOLDER, path.stem, now)
    finally:
        reader.close()


def _failed(connection: Connection, step: Migration, reason: str) -> str:
    return (
        f"'{connection.shown_path}' could not be brought to version {step.number} "
        f"({step.name}: {reason}); it was left as it was, so go on with the program you had."
    )


def _statements(script: str) -> Iterator[str]:
    """Split a script into statements; ``executescript`` would end our transaction."""
    statement = ""
    for piece in re.split(r"(?<=;)", script):
        statement += piece
        if sqlite3.complete_statement(statement):
            yield statement
            statement = ""
    if statement.strip():
        yield statement
