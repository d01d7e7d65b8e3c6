"""One connection to the data file: transactions that nest, and errors in plain words."""

from __future__ import annotations

import shutil
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path

from rimwise.errors import StoreError

__all__ = ["Connection", "DamagedError", "connect", "in_plain_words"]

#: How long a write waits for another program's write to end, seconds. The longest write of ours,
#: an import of twenty years, takes less.
PATIENCE_S = 60.0


class DamagedError(StoreError):
    """The data file holds pages that SQLite cannot make sense of."""


class Connection:
    """A connection on which every change happens inside :meth:`atomic`.

    Parameters
    ----------
    raw
        The SQLite connection, in autocommit mode.
    shown_path
        The path as the user gave it, for messages.
    clock
        Gives the local time for the history.

    Attributes
    ----------
    step
        The step of the history that the transaction under way has begun, if it has.
    """

    def __init__(
        self,
        raw: sqlite3.Connection,
        shown_path: str,
        clock: Callable[[], datetime] = datetime.now,
    ) -> None:
        self.raw = raw
        self.shown_path = shown_path
        self.clock = clock
        self.step: int | None = None
        self._depth = 0

    def execute(self, sql: str, cells: tuple[object, ...] = ()) -> sqlite3.Cursor:
        """Run one statement."""
        with in_plain_words(self.shown_path):
            return self.raw.execute(sql, cells)

    def rows(self, sql: str, cells: tuple[object, ...] = ()) -> list[tuple[object, ...]]:
        """Run one query and return all its rows."""
        with in_plain_words(self.shown_path):
            return self.raw.execute(sql, cells).fetchall()

    @contextmanager
    def atomic(self) -> Iterator[None]:
        """Keep all of what happens inside, or nothing of it.

        The outermost block takes the write lock at once, so that no other writer can come
        between its reading and its writing; a block inside another is a savepoint.
        """
        outermost = self._depth == 0
        point = f"step_{self._depth}"
        begun = self.step
        self.execute("BEGIN IMMEDIATE" if outermost else f"SAVEPOINT {point}")
        self._depth += 1
        try:
            yield
            self.execute("COMMIT" if outermost else f"RELEASE {point}")
        except BaseException:
            self._undo(None if outermost else point)
            self.step = begun
            raise
        finally:
            self._depth -= 1
            if outermost:
                self.step = None

    def _undo(self, point: str | None) -> None:
        """Go back to where the block began; SQLite may have done so already (disk full)."""
        if not self.raw.in_transaction:
            return
        if point is None:
            self.execute("ROLLBACK")
        else:
            self.execute(f"ROLLBACK TO {point}")
            self.execute(f"RELEASE {point}")

    @contextmanager
    def snapshot(self) -> Iterator[None]:
        """Let several queries, and a copy, see the file as it was when this began."""
        if self.raw.in_transaction:
            yield
            return
        self.execute("BEGIN")
        try:
            # SQLite begins to hold a state with the first reading, and a copy made before that
            # holds its own and lets it go: what is read after it could be another one.
            self.execute("SELECT 1 FROM sqlite_schema LIMIT 1").fetchall()
            yield
        finally:
            self.execute("COMMIT")

    @contextmanager
    def at_once(self) -> Iterator[None]:
        """Do not wait for another program's write to end; what is asked fails instead."""
        self.raw.execute("PRAGMA busy_timeout = 0")
        try:
            yield
        finally:
            self.raw.execute(f"PRAGMA busy_timeout = {PATIENCE_S * 1000.0:.0f}")

    def close(self) -> None:
        """Close the connection."""
        self.raw.close()


def connect(
    path: Path, shown_path: str, clock: Callable[[], datetime] = datetime.now
) -> Connection:
    """Open a connection with the settings every Rimwise connection has.

    Parameters
    ----------
    path, shown_path
        The file, and its path as the user gave it.
    clock
        Gives the local time for the history.

    Raises
    ------
    StoreError
        When the file cannot be opened or is no SQLite database.
    """
    with in_plain_words(shown_path):
        raw = sqlite3.connect(path, timeout=PATIENCE_S, isolation_level=None)
        try:
            raw.execute("PRAGMA foreign_keys = ON")
            # What is acknowledged is on the disk: also on macOS, whose plain flush ends in the
            # disk's own cache.
            raw.execute("PRAGMA synchronous = FULL")
            raw.execute("PRAGMA fullfsync = ON")
            raw.execute("PRAGMA checkpoint_fullfsync = ON")
            raw.execute("PRAGMA user_version").fetchone()
        except BaseException:
            raw.close()
            raise
    return Connection(raw, shown_path, clock)


@contextmanager
def in_plain_words(shown_path: str) -> Iterator[None]:
    """Turn what SQLite says about the file into a sentence for the user."""
    try:
        yield
    except sqlite3.Error as error:
        sentence = _sentence(error)
        if sentence is None:
            raise
        if sentence is _SENTENCES["SQLITE_IOERR"] and _is_full(shown_path):
            sentence = _SENTENCES["SQLITE_FULL"]
        kind = DamagedError if sentence is _DAMAGED else StoreError
        raise kind(sentence.format(path=shown_path)) from error


def _sentence(error: sqlite3.Error) -> str | None:
    name = getattr(error, "sqlite_errorname", "")
    for beginning, sentence in _SENTENCES.items():
        if name.startswith(beginning):
            return sentence
    return None


def _is_full(shown_path: str) -> bool:
    """Return whether the disk has no room: SQLite calls that a failure for some of its files."""
    try:
        return shutil.disk_usage(Path(shown_path).expanduser().parent).free < _ROOM_BYTES
    except OSError:
        return False


#: Less room than this counts as none.
_ROOM_BYTES = 65_536
_DAMAGED = (
    "'{path}' is damaged; `rimwise backup --list` names the backups, and `rimwise restore` puts "
    "one in its place and keeps the damaged file."
)
#: Sentences by the beginning of SQLite's own name for the hindrance.
_SENTENCES = {
    "SQLITE_NOTADB": (
        "'{path}' is not a Rimwise data file (no SQLite database); "
        "choose another file, or a new name to begin afresh."
    ),
    "SQLITE_BUSY": (
        "'{path}' is being written by another program; wait for it or close it, then try again."
    ),
    "SQLITE_LOCKED": (
        "'{path}' is being written by another program; wait for it or close it, then try again."
    ),
    "SQLITE_FULL": "the disk with '{path}' is full and nothing was saved; free some space first.",
    "SQLITE_READONLY": (
        "'{path}' may not be written; change its permissions or choose another file."
    ),
    "SQLITE_CANTOPEN": (
        "'{path}' cannot be opened; check that its folder exists and may be written."
    ),
    "SQLITE_IOERR": "the disk with '{path}' failed while reading or writing; check the disk.",
    "SQLITE_CORRUPT": _DAMAGED,
}
