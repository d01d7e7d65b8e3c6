"""Open, back up and check a data file."""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from datetime import datetime
from os import PathLike, fspath
from pathlib import Path

from rimwise.errors import StoreError
from rimwise.store.backup import write_backup
from rimwise.store.connection import PATIENCE_S, Connection, connect
from rimwise.store.mending import faults_of
from rimwise.store.migrate import Migration, migrate, refuse_foreign_file, shipped_migrations
from rimwise.store.store import Store

__all__ = ["backup", "integrity_check", "open_store"]


def open_store(
    path: str | PathLike[str],
    *,
    read_only: bool = False,
    migrations: Sequence[Migration] | None = None,
    clock: Callable[[], datetime] = datetime.now,
) -> Store:
    """Open the data file at ``path``, made or brought up to date when needed.

    Parameters
    ----------
    path
        The file; ``~`` stands for the home folder. Its folder must exist.
    read_only
        Refuse every write once open; the file must exist already, and is brought up to date.
    migrations
        Steps to the present version; those shipped with the program unless given.
    clock
        Gives the local time for the history and for the names of backups.

    Raises
    ------
    StoreError
        When the file cannot be opened or written, is no data file of ours, or was made by a
        newer Rimwise.
    """
    shown = fspath(path)
    place = Path(shown).expanduser()
    _check_place(place, shown, must_exist=read_only)
    connection = connect(place, shown, clock)
    try:
        refuse_foreign_file(connection)
        # Readers go on reading while one writes, and a killed writer leaves no half change.
        _keep_a_write_ahead_log(connection)
        migrate(connection, place, migrations or shipped_migrations(), clock())
        if read_only:
            connection.execute("PRAGMA query_only = ON")
    except BaseException:
        connection.close()
        raise
    return Store(connection, place)


def _keep_a_write_ahead_log(connection: Connection) -> None:
    """Switch a new file to write-ahead logging, however many programs make it at once.

    SQLite answers "locked" at once, without waiting, when two switch at the same moment; the
    slower one finds the file switched when it looks again.
    """
    deadline = time.monotonic() + PATIENCE_S
    while connection.rows("PRAGMA journal_mode")[0][0] != "wal":
        try:
            connection.execute("PRAGMA journal_mode = WAL")
        except StoreError:
            if time.monotonic() > deadline:
                raise
            time.sleep(0.02)


def _check_place(place: Path, shown: str, *, must_exist: bool) -> None:
    """Name the plain reasons first: an empty path, a folder, a missing folder, no file."""
    if not shown.strip():
        raise StoreError("the path of the data file is empty; give a file name.")
    try:
        _check_kind(place, shown, must_exist=must_exist)
    except PermissionError:
        raise StoreError(
            f"'{shown}' cannot be reached, because a folder on the way may not be entered; "
            "choose another place."
        ) from None


def _check_kind(place: Path, shown: str, *, must_exist: bool) -> None:
    if place.is_dir():
        raise StoreError(f"'{shown}' is a folder; give the name of a file in it.")
    folder = place.parent
    if not folder.is_dir():
        raise StoreError(
            f"'{shown}' cannot be opened, because its folder does not exist; "
            "create the folder or choose another place."
        )
    if must_exist and not place.exists():
        raise StoreError(f"there is no data file '{shown}'; check the name.")


def backup(
    store: Store, folder: str | PathLike[str], *, clock: Callable[[], datetime] = datetime.now
) -> Path:
    """Write a verified, dated copy of an open data file into ``folder`` and return its path.

    Raises
    ------
    StoreError
        When the folder cannot be made or written, or the copy could not be verified.
    """
    place = Path(fspath(folder)).expanduser()
    return write_backup(store.connection, place, store.path.stem, clock())


def integrity_check(store: Store) -> tuple[str, ...]:
    """Return what is wrong with the data file, in sentences; an empty tuple when all is well.

    See :func:`~rimwise.store.mending.faults_of` for what is looked at.
    """
    return tuple(fault.words for fault in faults_of(store))
