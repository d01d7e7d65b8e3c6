"""Copies of the data file, made by SQLite itself and read back before they count."""

from __future__ import annotations

import os
import re
import shutil
import sqlite3
from collections.abc import Iterable
from contextlib import closing
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from rimwise.errors import StoreError
from rimwise.store.connection import Connection, in_plain_words

__all__ = [
    "BACKUP_FOLDER",
    "MEND",
    "Backup",
    "backups_in",
    "flush_folder",
    "kept_of",
    "make_folder",
    "rotate",
    "write_backup",
]

#: Folder beside the data file for its backups.
BACKUP_FOLDER = "backups"
#: So many of the latest are kept, one for each of so many days and of so many months, and so many
#: that were made before something dangerous.
LATEST, DAYS, MONTHS, BEFORE = 10, 14, 12, 10
#: What a backup is called that was made before faults were mended: it has them.
MEND = "mend"


@dataclass(frozen=True, slots=True)
class Backup:
    """One backup: its file, when it was made, and before what, if before anything."""

    path: Path
    at: datetime
    before: str = ""


def write_backup(
    connection: Connection, folder: Path, stem: str, now: datetime, before: str = ""
) -> Path:
    """Write a verified copy of the data file into ``folder`` and return its path.

    The copy gets its dated name only after it was opened anew and read back: SQLite found no fault
    in it and every table has as many rows as the original.

    Parameters
    ----------
    before
        What is about to happen, one word for the name: ``restore``, ``purge``, ``mend``.

    Raises
    ------
    StoreError
        When the folder cannot be made or written, or the copy does not match.
    """
    try:
        make_folder(folder)
    except OSError as error:
        raise StoreError(
            f"the backup folder '{folder}' cannot be made ({error.strerror}); "
            "choose another place or change its permissions."
        ) from error
    dated = f"{stem}-{now:%Y-%m-%d-%H%M%S}"
    target = _free_name(folder, f"{dated}-before-{before}" if before else dated)
    # Two programs that back up in the same second must not write into one file.
    partial = target.with_suffix(f".{os.getpid()}.partial")
    try:
        wanted = _copy(connection, partial)
        _verify(connection, partial, wanted, sound=before != MEND)
        partial.replace(target)
        flush_folder(folder)
    except OSError as error:
        raise StoreError(
            f"the backup '{target}' cannot be written ({error.strerror}); nothing was changed."
        ) from error
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


def _copy(connection: Connection, partial: Path) -> object:
    """Copy the file as it is at one moment; return what the copy must hold."""
    partial.unlink(missing_ok=True)
    with in_plain_words(str(partial)), closing(sqlite3.connect(partial)) as copy:
        with connection.snapshot():
            connection.raw.backup(copy)
            wanted = _contents(connection.raw)
        # One plain file: a copy in WAL mode would grow companions when it is opened.
        copy.execute("PRAGMA journal_mode = DELETE")
    return wanted


def _verify(connection: Connection, partial: Path, wanted: object, *, sound: bool) -> None:
    with in_plain_words(str(partial)), closing(sqlite3.connect(partial)) as copy:
        # What is about to be mended is copied with its faults.
        found = copy.execute("PRAGMA integrity_check").fetchone()[0] if sound else "ok"
        if found == "ok" and _contents(copy) != wanted:
            found = "it does not have the rows of the file"
        if found != "ok":
            raise StoreError(
                f"the backup of '{connection.shown_path}' could not be verified ({found}); "
                "nothing was changed. Check the disk and try again."
            )


def make_folder(folder: Path) -> None:
    """Make a folder and those above it, so that their names outlive a power cut."""
    missing = [one for one in (folder, *folder.parents) if not one.exists()]
    folder.mkdir(parents=True, exist_ok=True)
    for one in missing:
        flush_folder(one.parent)


def flush_folder(folder: Path) -> None:
    """Make sure that a new name in a folder outlives a power cut, where the system lets us."""
    if os.name == "nt":  # pragma: no cover - folders cannot be opened there
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


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


def backups_in(folder: Path, stem: str) -> list[Backup]:
    """Return the backups of one data file by the names that we give them, oldest first."""
    named = re.compile(
        re.escape(stem) + r"-(\d{4}-\d\d-\d\d-\d{6})(?:-before-([a-z]+))?(?:-(\d+))?\.sqlite"
    )
    found = []
    for path in folder.glob("*.sqlite"):
        match = named.fullmatch(path.name)
        if match is None:
            continue
        try:
            at = datetime.strptime(match[1], "%Y-%m-%d-%H%M%S")
        except ValueError:  # no date: somebody else's file
            continue
        found.append((at, int(match[3] or 1), Backup(path, at, match[2] or "")))
    return [backup for _, _, backup in sorted(found, key=lambda one: one[:2])]


def kept_of(backups: Iterable[Backup]) -> list[Backup]:
    """Return which backups a rotation keeps, oldest first.

    Kept are the latest ten; the latest of each of the last 14 days and 12 months that have any;
    and the latest ten that were made before something dangerous.
    """
    ordered = sorted(backups, key=lambda backup: (backup.at, backup.path.name))
    usual = [backup for backup in ordered if not backup.before]
    kept = {backup.path: backup for backup in usual[-LATEST:]}
    for form, most in (("%Y-%m-%d", DAYS), ("%Y-%m", MONTHS)):
        latest = {backup.at.strftime(form): backup for backup in usual}
        kept |= {latest[day].path: latest[day] for day in sorted(latest)[-most:]}
    dangerous = [backup for backup in ordered if backup.before]
    kept |= {backup.path: backup for backup in dangerous[-BEFORE:]}
    return [backup for backup in ordered if backup.path in kept]


def rotate(folder: Path, stem: str) -> list[Path]:
    """Delete the backups that need not be kept, and halves that a crash left; return them.

    A file that has no name of ours is left alone.
    """
    backups = backups_in(folder, stem)
    kept = {backup.path for backup in kept_of(backups)}
    gone = [backup.path for backup in backups if backup.path not in kept]
    gone += [path for path in folder.glob(f"{stem}-*.partial*") if _is_left_over(path)]
    for path in gone:
        if path.is_dir():
            shutil.rmtree(path, ignore_errors=True)
        else:
            path.unlink(missing_ok=True)
    return gone


def _is_left_over(partial: Path) -> bool:
    """Return whether the program that was writing a half backup is gone."""
    number = partial.suffixes[-2].removeprefix(".") if len(partial.suffixes) > 1 else ""
    if not number.isdigit():
        return False
    if os.name == "nt":  # pragma: no cover - asking after a process would end it there
        return False
    try:
        os.kill(int(number), 0)
    except ProcessLookupError:
        return True
    except (PermissionError, OverflowError):
        return False
    return False
