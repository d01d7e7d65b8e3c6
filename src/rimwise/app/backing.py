"""Keeping the records safe: backups, restoring, looking for faults, taking everything out."""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from pathlib import Path

from rimwise import __version__
from rimwise.app.files import Written, write_bytes
from rimwise.errors import InputError, NotFoundError, StoreError
from rimwise.records.evidence_words import date_in
from rimwise.records.words import plural
from rimwise.store.backup import BACKUP_FOLDER, MEND, Backup, backups_in, rotate, write_backup
from rimwise.store.exchange.archive import archive_of, zipped
from rimwise.store.mending import Fault, faults_of
from rimwise.store.opening import open_store
from rimwise.store.restoring import restore_from
from rimwise.store.store import Store

__all__ = [
    "BackedUp",
    "BackupLine",
    "Checked",
    "FaultTold",
    "Restored",
    "back_up",
    "back_up_when_due",
    "backup_lines",
    "check_records",
    "export_records",
    "named_backup",
    "restore_records",
]

#: A backup of its own accord is made when the latest is older than this and something changed.
_DUE_AFTER = timedelta(hours=1)
_LATEST = "latest"


@dataclass(frozen=True, slots=True)
class BackedUp:
    """A backup that was made and read back; ``removed`` older ones were rotated out."""

    path: str
    size_bytes: int
    removed: int


@dataclass(frozen=True, slots=True)
class BackupLine:
    """One backup as listed; ``before`` says what it was made before, if before anything."""

    name: str
    at: str
    size_bytes: int
    before: str


@dataclass(frozen=True, slots=True)
class Restored:
    """What a restore did.

    Parameters
    ----------
    source
        The backup or export whose records are now in place.
    before
        Where the records that were replaced are kept; empty when there were none.
    damaged
        Whether what was there could not be read, and is kept as it was found.
    counts
        How much is on file now, by table.
    """

    source: str
    before: str
    damaged: bool
    counts: Mapping[str, int]
    notices: tuple[str, ...]

    @property
    def words(self) -> str:
        """What was done, in a sentence or two."""
        held = ", ".join(plural(n, name) for name, n in self.counts.items())
        told = f"The records are now those of {Path(self.source).name}: {held}."
        if self.damaged:
            return f"{told} The damaged file that was there is kept as {self.before}."
        if self.before:
            return (
                f"{told} What was there before is kept; to go back, "
                f"`rimwise restore {Path(self.before).name}`."
            )
        return told


@dataclass(frozen=True, slots=True)
class FaultTold:
    """One thing that is wrong, what can be done, and whether mending does it."""

    words: str
    remedy: str
    mendable: bool


@dataclass(frozen=True, slots=True)
class Checked:
    """What a look through the records found.

    Parameters
    ----------
    faults
        What is wrong now; what was mended is in ``mended``.
    backup
        The backup that was made before mending; empty when nothing was mended.
    bad_backups
        Backups that cannot be read, with the reason.
    """

    faults: tuple[FaultTold, ...]
    mended: tuple[FaultTold, ...]
    backup: str
    backups: int
    bad_backups: tuple[str, ...]

    @property
    def backups_told(self) -> str:
        """How many of the backups can be used."""
        if not self.backups:
            return "There is no backup yet; one is made of its own accord when records change."
        good = self.backups - len(self.bad_backups)
        return f"{good} of {plural(self.backups, 'backup')} could be opened and read whole."


def folder_of(data: Path) -> Path:
    """Return where the backups of a data file lie."""
    return data.expanduser().parent / BACKUP_FOLDER


def back_up(store: Store, now: datetime, folder: Path | None = None) -> BackedUp:
    """Write a backup, read it back, and rotate the older ones out.

    Parameters
    ----------
    folder
        Another place, such as a stick; nothing there is rotated out.

    Raises
    ------
    StoreError
        When it cannot be written or does not match; nothing is rotated out then.
    """
    place = folder_of(store.path) if folder is None else folder.expanduser()
    path = write_backup(store.connection, place, store.path.stem, now)
    removed = rotate(place, store.path.stem) if folder is None else []
    return BackedUp(str(path), path.stat().st_size, len(removed))


def back_up_when_due(data: Path, now: datetime) -> BackedUp | None:
    """Write a backup when something changed since the last one and that is an hour old.

    Raises
    ------
    StoreError
        When it is due and cannot be made; the records themselves are safe then.
    """
    data = data.expanduser()
    if not data.exists():
        return None
    made = backups_in(folder_of(data), data.stem)
    if made and now - made[-1].at < _DUE_AFTER:
        return None
    if made and _changed_at(data) < made[-1].path.stat().st_mtime:
        return None
    with open_store(data) as store:
        return back_up(store, now)


def _changed_at(data: Path) -> float:
    companion = data.with_name(data.name + "-wal")
    times = [path.stat().st_mtime for path in (data, companion) if path.exists()]
    return max(times)


def backup_lines(data: Path) -> tuple[BackupLine, ...]:
    """List the backups of a data file, the newest first."""
    made = backups_in(folder_of(data), data.stem)
    return tuple(
        BackupLine(
            one.path.name,
            one.at.isoformat(timespec="seconds"),
            one.path.stat().st_size,
            one.before,
        )
        for one in reversed(made)
    )


def named_backup(data: Path, said: str, today: date) -> Path:
    """Return the file that is meant.

    Parameters
    ----------
    said
        A path, the name of a backup, ``latest``, or a day such as 2026-05-03 or yesterday: the last
        backup of that day or before it.

    Raises
    ------
    NotFoundError
        When there is none.
    """
    path = Path(said).expanduser()
    beside = folder_of(data) / said
    if path.exists() and path.name:
        return path
    if Path(said).name == said and beside.is_file():
        return beside
    made = [one for one in backups_in(folder_of(data), data.stem) if not one.before]
    if said.strip().lower() == _LATEST:
        if not made:
            raise NotFoundError(
                f"there is no backup of {data.name} yet; `rimwise backup` makes one."
            )
        return made[-1].path
    return _of_day(made, said, today)


def _of_day(made: list[Backup], said: str, today: date) -> Path:
    try:
        day = date_in(said, today)
    except InputError:
        raise NotFoundError(
            f"there is no backup {said!r}; name a file, a day such as 2026-05-03, or latest "
            "(`rimwise backup --list` shows them)."
        ) from None
    until = [one for one in made if one.at.date() <= day]
    if not until:
        first = f"the first is of {made[0].at:%Y-%m-%d}" if made else "there is none yet"
        raise NotFoundError(f"there is no backup of {day} or before; {first}.")
    return until[-1].path


def restore_records(data: Path, said: str, now: datetime) -> Restored:
    """Put a backup or an export in the place of the records; what is there is backed up first.

    Raises
    ------
    NotFoundError, InputError, StoreError
        When there is no such backup, or it cannot be used; nothing is changed then.
    """
    data = data.expanduser()
    source = named_backup(data, said, now.date())
    done = restore_from(source, data, now)
    with open_store(data) as store:
        counts = {
            "disc": len(store.discs), "throw": len(store.throws), "round": len(store.rounds),
            "course": len(store.courses),
        }  # fmt: skip
    before = "" if done.before is None else str(done.before)
    return Restored(str(source), before, done.damaged, counts, done.notices)


def check_records(data: Path, now: datetime, *, mend: bool = False) -> Checked:
    """Look for faults in the records and their backups; mend what can be mended, if asked to.

    Raises
    ------
    StoreError
        When the file cannot be opened at all, or the backup before mending cannot be made.
    """
    data = data.expanduser()
    with open_store(data, clock=lambda: now) as store:
        faults = faults_of(store)
        mended, kept = [], ""
        mendable = [fault for fault in faults if fault.mend is not None]
        if mend and mendable:
            place = folder_of(data)
            kept = str(write_backup(store.connection, place, data.stem, now, MEND))
            mended = _mend(store, mendable)
            faults = faults_of(store)
    made = [one for one in backups_in(folder_of(data), data.stem) if one.before != MEND]
    bad = tuple(f"{one.path.name}: {why}" for one in made if (why := _wrong_with(one)))
    return Checked(tuple(map(_told, faults)), tuple(map(_told, mended)), kept, len(made), bad)


def _mend(store: Store, faults: list[Fault]) -> list[Fault]:
    """Mend all in one transaction; what one step mended along with another is looked for anew."""
    done: list[Fault] = []
    store.connection.execute("PRAGMA foreign_keys = OFF")
    try:
        with store.atomic():
            while faults:
                fault = faults[0]
                assert fault.mend is not None  # noqa: S101 - chosen by the caller
                fault.mend(store)
                done.append(fault)
                words = {one.words for one in done}
                faults = [
                    one
                    for one in faults_of(store)
                    if one.mend is not None and one.words not in words
                ]
    finally:
        store.connection.execute("PRAGMA foreign_keys = ON")
    return done


def _told(fault: Fault) -> FaultTold:
    return FaultTold(fault.words, fault.remedy, fault.mend is not None)


def _wrong_with(backup: Backup) -> str:
    """Say what is wrong with a backup; nothing when it opens and holds what it should."""
    try:
        with tempfile.TemporaryDirectory() as folder:
            copy = Path(folder) / backup.path.name
            shutil.copyfile(backup.path, copy)
            with open_store(copy) as store:
                faults = faults_of(store)
    except StoreError as error:
        return str(error)
    except OSError as error:
        return f"it cannot be read ({error.strerror or error})."
    return faults[0].words if faults else ""


def export_records(store: Store, path: Path) -> Written:
    """Write all records as CSV, GeoJSON and JSON: into a zip file, or into a new folder.

    Raises
    ------
    InputError
        When the folder is there already and holds something.
    StoreError
        When it cannot be written.
    """
    path = path.expanduser()
    files = archive_of(store.connection, __version__)
    if path.suffix.lower() == ".zip":
        return write_bytes(path, zipped(files))
    if path.exists() and (not path.is_dir() or any(path.iterdir())):
        raise InputError(
            f"{path} is there already; name a new folder, or a file that ends in .zip."
        )
    try:
        path.mkdir(exist_ok=True)
    except OSError as error:
        raise StoreError(
            f"the folder {path} cannot be made ({error.strerror}); choose another place."
        ) from None
    sizes = [write_bytes(path / name, data).size_bytes for name, data in files.items()]
    return Written(str(path), sum(sizes))
