"""Put a backup in the place of the records: checked first, whole or not at all."""

from __future__ import annotations

import os
import shutil
import sqlite3
from collections.abc import Iterator, Sequence
from contextlib import closing, contextmanager
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from rimwise.errors import InputError, StoreError
from rimwise.store.backup import BACKUP_FOLDER, flush_folder, make_folder, write_backup
from rimwise.store.connection import Connection, DamagedError, connect, in_plain_words
from rimwise.store.exchange.archive import is_archive
from rimwise.store.exchange.unarchive import database_from, files_of
from rimwise.store.migrate import APPLICATION_ID, Migration, refuse_foreign_file
from rimwise.store.opening import integrity_check, open_store

__all__ = ["Restored", "restore_from"]

#: How every SQLite file begins.
_SQLITE = b"SQLite format 3\x00"


@dataclass(frozen=True, slots=True)
class Restored:
    """What a restore did.

    Parameters
    ----------
    before
        Where what was there before is kept; ``None`` when nothing was.
    damaged
        Whether what was there could not be read, and is kept as it was found.
    notices
        What its owner should know of the file that was restored.
    """

    before: Path | None
    damaged: bool
    notices: tuple[str, ...] = ()


def restore_from(
    source: Path, place: Path, now: datetime, *, migrations: Sequence[Migration] | None = None
) -> Restored:
    """Put the records of a backup or an export in the place of the data file.

    The source is copied, brought up to date and read whole before anything is touched. Then what is
    there goes into the backup folder, and the new records replace the old ones in one transaction:
    a crash leaves the old ones or the new ones, other programs that have the file open go on with
    the new ones, and nothing that was saved before is missing in the backup.

    Parameters
    ----------
    source
        A backup (one SQLite file), or an export: a folder or a zip file.
    place
        The data file; it need not exist.

    Raises
    ------
    InputError
        When the source is missing, is the data file itself, or is not made by Rimwise.
    StoreError
        When the source is damaged or newer than this program, or the place cannot be written.
    """
    if not source.exists():
        raise InputError(f"there is no file {source}; `rimwise backup --list` names the backups.")
    if place.exists() and source.samefile(place):
        raise InputError(f"{source} is the data file itself; name one of its backups.")
    with _scratch(place) as folder:
        ready = folder / "ready.sqlite"
        notices = _prepare(source, ready, migrations)
        if not place.exists():
            _move_in(ready, place)
            return Restored(None, damaged=False, notices=notices)
        _copy_as_it_is(place, folder / "found.db")  # opening a damaged file may change it
        live = _sound(place)
        if live is None:
            kept = place.parent / BACKUP_FOLDER / f"{place.stem}-{now:%Y-%m-%d-%H%M%S}-damaged.db"
            _copy_as_it_is(folder / "found.db", kept)
            _move_in(ready, place)
            return Restored(kept, damaged=True, notices=notices)
        with closing(live):
            return Restored(_replace(live, place, ready, now), damaged=False, notices=notices)


@contextmanager
def _scratch(place: Path) -> Iterator[Path]:
    """Give a folder on the same disk; what a crash leaves of it goes with the next rotation."""
    folder = place.parent / BACKUP_FOLDER / f"{place.stem}-restore.{os.getpid()}.partial"
    try:
        shutil.rmtree(folder, ignore_errors=True)
        make_folder(folder)
    except OSError as error:
        raise StoreError(
            f"the folder '{folder.parent}' cannot be written ({error.strerror}); "
            "free some space or change its permissions. Nothing was changed."
        ) from None
    try:
        yield folder
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def _prepare(source: Path, ready: Path, migrations: Sequence[Migration] | None) -> tuple[str, ...]:
    """Copy the source, bring it up to date, and read all of it."""
    notices: tuple[str, ...] = ()
    try:
        if source.is_dir() or is_archive(source):
            notices = database_from(files_of(source), ready)
        else:
            _check_mark(source)
            shutil.copyfile(source, ready)
            companion = source.with_name(source.name + "-wal")
            if companion.exists():  # a data file that was copied by hand while it was in use
                shutil.copyfile(companion, ready.with_name(ready.name + "-wal"))
    except OSError as error:
        raise StoreError(
            f"'{source}' cannot be copied ({error.strerror or error}). Nothing was changed."
        ) from None
    try:
        with open_store(ready, migrations=migrations) as store:
            faults = integrity_check(store)
    except StoreError as error:
        raise StoreError(str(error).replace(str(ready), str(source))) from None
    if faults:
        raise StoreError(
            f"'{source}' is damaged ({faults[0].rstrip('.')}); choose another backup. Nothing was "
            "changed."
        )
    with in_plain_words(str(ready)), closing(sqlite3.connect(ready)) as plain:
        plain.execute("PRAGMA journal_mode = DELETE")  # one file, without companions
    return notices


def _check_mark(source: Path) -> None:
    """Refuse a file that SQLite did not make, or did for another program, by its first bytes."""
    with source.open("rb") as file:
        head = file.read(100)
    mark = int.from_bytes(head[68:72], "big")  # SQLite's application_id in its file format
    if not head.startswith(_SQLITE):
        raise InputError(
            f"{source} is neither a backup nor an export of Rimwise; `rimwise backup --list` names "
            "the backups."
        )
    if mark != APPLICATION_ID:
        raise InputError(f"{source} is a database of another program; choose one of Rimwise's.")


def _sound(place: Path) -> Connection | None:
    """Open what is there; ``None`` when it is damaged.

    Raises
    ------
    StoreError
        When it belongs to another program, or cannot be reached.
    """
    _refuse_no_database(place)
    try:
        live = connect(place, str(place))
    except DamagedError:
        return None
    try:
        refuse_foreign_file(live)
        with in_plain_words(str(place)):
            found = live.raw.execute("PRAGMA integrity_check").fetchone()[0]
    except DamagedError:
        found = ""
    except BaseException:
        live.close()
        raise
    if found == "ok":
        return live
    live.close()
    return None


def _refuse_no_database(place: Path) -> None:
    with place.open("rb") as file:
        head = file.read(16)
    if head not in (b"", _SQLITE):
        raise InputError(
            f"{place} is not a Rimwise data file; name another with --data, so that nothing of "
            "yours is written over."
        )


def _replace(live: Connection, place: Path, ready: Path, now: datetime) -> Path:
    """Replace all records in one transaction, after a backup that no write can fall behind."""
    with in_plain_words(str(place)):
        live.raw.execute("PRAGMA foreign_keys = OFF")
        live.raw.execute("ATTACH DATABASE ? AS ready", (str(ready),))
        with live.atomic():
            with closing(connect(place, str(place))) as reader:
                kept = write_backup(
                    reader, place.parent / BACKUP_FOLDER, place.stem, now, "restore"
                )
            _drop_everything(live)
            _take_everything(live)
            if live.rows("PRAGMA main.foreign_key_check"):
                raise StoreError("some records would lose their place; nothing was changed.")
        live.raw.execute("DETACH DATABASE ready")
    return kept


def _objects(live: Connection, schema: str, kinds: tuple[str, ...]) -> list[tuple[str, str, str]]:
    """Return (kind, name, SQL) of what a database is made of, in the order it was made."""
    rows = live.rows(
        f"SELECT type, name, sql FROM {schema}.sqlite_schema "  # noqa: S608
        "WHERE sql IS NOT NULL AND name NOT LIKE 'sqlite_%' ORDER BY rowid"
    )
    return [(str(k), str(n), str(s)) for k, n, s in rows if k in kinds]


def _drop_everything(live: Connection) -> None:
    for kind, name, _ in _objects(live, "main", ("trigger", "view", "table")):
        live.execute(f'DROP {kind.upper()} IF EXISTS main."{name}"')


def _take_everything(live: Connection) -> None:
    tables = _objects(live, "ready", ("table",))
    for _, name, sql in tables:
        live.execute(sql)
        live.execute(
            f'INSERT INTO main."{name}" SELECT * FROM ready."{name}" ORDER BY rowid'  # noqa: S608
        )
    live.execute("DELETE FROM main.sqlite_sequence")
    live.execute("INSERT INTO main.sqlite_sequence SELECT * FROM ready.sqlite_sequence")
    for _, _, sql in _objects(live, "ready", ("index", "trigger", "view")):
        live.execute(sql)
    for mark in ("application_id", "user_version"):
        value = int(str(live.rows(f"PRAGMA ready.{mark}")[0][0]))
        live.execute(f"PRAGMA main.{mark} = {value}")


def _copy_as_it_is(place: Path, copy: Path) -> None:
    """Copy a data file and its companions byte for byte, down to the disk."""
    try:
        for ending in ("", "-wal", "-shm"):
            part = place.with_name(place.name + ending)
            if part.exists():
                _flush(shutil.copyfile(part, copy.with_name(copy.name + ending)))
        flush_folder(copy.parent)
    except OSError as error:
        raise StoreError(
            f"'{place}' cannot be kept aside ({error.strerror or error}). Nothing was changed."
        ) from None


def _move_in(ready: Path, place: Path) -> None:
    """Put a checked file where nothing sound is.

    The companions of what was there go first: SQLite would read them into the new file.
    """
    for ending in ("-wal", "-shm", "-journal"):
        place.with_name(place.name + ending).unlink(missing_ok=True)
    _flush(ready)
    ready.replace(place)
    flush_folder(place.parent)


def _flush(path: Path) -> None:
    """Make sure that what is in a file outlives a power cut."""
    with path.open("rb+") as file:
        os.fsync(file.fileno())
