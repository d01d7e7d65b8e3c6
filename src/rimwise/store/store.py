"""The data file as the rest of Rimwise sees it."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable
from contextlib import AbstractContextManager, suppress
from pathlib import Path
from types import TracebackType
from typing import Any, Literal

from rimwise.errors import InputError, StoreError
from rimwise.records.discs import Disc, WeightRelativeTo
from rimwise.store import layouts
from rimwise.store.changes import note_setting
from rimwise.store.connection import Connection
from rimwise.store.shelves import Log, Shelf
from rimwise.store.weights import weight_faults

__all__ = ["DiscShelf", "Store", "Values"]


class DiscShelf(Shelf[Disc]):
    """The discs; their weights may lean on each other."""

    def put_all(self, records: Iterable[Disc]) -> None:
        """Save several discs, all or none; a weight may be given against any of them.

        Raises
        ------
        InputError
            When a weight is given against a missing disc or in a circle.
        """
        saved = list(records)
        with self._connection.atomic():
            self._check_weights(saved)
            super().put_all(saved)

    def _check_weights(self, coming: list[Disc]) -> None:
        leaning = {disc.id: disc.weight for disc in coming}
        if not any(isinstance(weight, WeightRelativeTo) for weight in leaning.values()):
            return
        rows = self._connection.rows("SELECT id, weight_against FROM discs ORDER BY rowid")
        against = {str(key): None if other is None else str(other) for key, other in rows}
        for disc_id, weight in leaning.items():
            against[disc_id] = weight.disc_id if isinstance(weight, WeightRelativeTo) else None
        for fault in weight_faults(against).values():
            raise InputError(f"{fault}; weigh one of them and give its weight in grams.")


class Values:
    """Named JSON values: settings the user changed, or reports that were computed."""

    def __init__(self, connection: Connection, table: Literal["settings", "reports"]) -> None:
        self._connection = connection
        self._table = table

    def all(self) -> dict[str, Any]:
        """Return every value by key."""
        rows = self._connection.rows(f"SELECT key, value FROM {self._table} ORDER BY key")  # noqa: S608
        return {str(key): json.loads(str(value)) for key, value in rows}

    def names(self) -> list[str]:
        """Return the keys of all values, sorted."""
        return [
            str(key)
            for (key,) in self._connection.rows(f"SELECT key FROM {self._table} ORDER BY key")  # noqa: S608
        ]

    def get(self, key: str, default: Any = None) -> Any:
        """Return one value, or ``default`` when it was never put."""
        rows = self._connection.rows(f"SELECT value FROM {self._table} WHERE key = ?", (key,))  # noqa: S608
        return json.loads(str(rows[0][0])) if rows else default

    def put(self, key: str, value: Any) -> None:
        """Save one value.

        Raises
        ------
        InputError
            When the value is no JSON (finite numbers, text, lists, objects).
        """
        try:
            text = json.dumps(value, allow_nan=False)
        except (TypeError, ValueError):
            raise InputError(f"value {key!r} must be plain text, numbers or lists.") from None
        with self._connection.atomic():
            if self._table == "settings":
                note_setting(self._connection, key, self.get(key), value)
            self._connection.execute(
                f"INSERT INTO {self._table} (key, value) VALUES (?, ?) "  # noqa: S608
                "ON CONFLICT (key) DO UPDATE SET value = excluded.value",
                (key, text),
            )

    def delete(self, key: str) -> None:
        """Forget one value; nothing happens when it was never put."""
        with self._connection.atomic():
            if self._table == "settings":
                note_setting(self._connection, key, self.get(key), None)
            self._connection.execute(f"DELETE FROM {self._table} WHERE key = ?", (key,))  # noqa: S608


class Store:
    """An open data file; a context manager that closes it.

    Attributes
    ----------
    molds, plastics, discs, throwers, courses, conditions, carts
        Shelves of named records: ``all``, ``keys``, ``get``, ``put``, ``put_all``, ``delete``.
    carries, throws, comparisons, grip_grades, condition_grades, knocks, rounds, putts
        Logs of numbered records: ``all``, ``get``, ``latest``, ``add``, ``add_all``,
        ``replace``, ``delete``, ``put_back``.
    settings, reports
        Named JSON values: what the user changed, and what was computed and told.
    path
        The data file.
    """

    def __init__(self, connection: Connection, path: Path) -> None:
        self._connection = connection
        self.path = path
        self.molds = Shelf(connection, layouts.MOLDS)
        self.plastics = Shelf(connection, layouts.PLASTICS)
        self.discs = DiscShelf(connection, layouts.DISCS)
        self.throwers = Shelf(connection, layouts.THROWERS)
        self.courses = Shelf(connection, layouts.COURSES)
        self.conditions = Shelf(connection, layouts.CONDITIONS)
        self.carts = Shelf(connection, layouts.CARTS)
        self.carries = Log(connection, layouts.CARRIES)
        self.throws = Log(connection, layouts.THROWS)
        self.comparisons = Log(connection, layouts.COMPARISONS)
        self.grip_grades = Log(connection, layouts.GRIP_GRADES)
        self.condition_grades = Log(connection, layouts.CONDITION_GRADES)
        self.knocks = Log(connection, layouts.KNOCKS)
        self.rounds = Log(connection, layouts.ROUNDS)
        self.putts = Log(connection, layouts.PUTTS)
        self.settings = Values(connection, "settings")
        self.reports = Values(connection, "reports")

    def atomic(self) -> AbstractContextManager[None]:
        """Return a block in which everything is saved, or nothing; blocks may nest."""
        return self._connection.atomic()

    def digest(self, tables: Iterable[str]) -> str:
        """Return a digest of everything in some tables, which changes when anything there does.

        Tables are named without their members: "throwers" covers a thrower's styles too.
        """
        said = hashlib.sha256()
        names = [
            str(name)
            for (name,) in self._connection.rows(
                "SELECT name FROM sqlite_schema WHERE type = 'table' ORDER BY name"
            )
        ]
        for table in sorted(tables):
            members = table.removesuffix("s") + "_"
            for name in names:
                if name == table or name.startswith(members):
                    said.update(repr((name, self._digest_of(name))).encode())
        return said.hexdigest()

    def _digest_of(self, name: str) -> str:
        """Return a digest of one table: the kept one, where nothing was written since."""
        with self._connection.snapshot():
            kept = self._connection.rows(
                "SELECT writes, digest FROM digests WHERE place = ?", (name,)
            )
            if kept and kept[0][1] is not None:
                return str(kept[0][1])
            rows = self._connection.rows(f'SELECT * FROM "{name}" ORDER BY rowid')  # noqa: S608
        found = hashlib.sha256(repr(rows).encode()).hexdigest()
        if kept:
            self._keep_digest(name, kept[0][0], found)
        return found

    def _keep_digest(self, name: str, writes: object, digest: str) -> None:
        """Keep a digest, unless the table was written meanwhile, or the file cannot be now."""
        if self._connection.raw.in_transaction:
            return
        with suppress(StoreError), self._connection.at_once():
            self._connection.execute(
                "UPDATE digests SET digest = ? WHERE place = ? AND writes = ?",
                (digest, name, writes),
            )

    @property
    def connection(self) -> Connection:
        """The connection, for backup and checks inside this package."""
        return self._connection

    def close(self) -> None:
        """Close the data file."""
        self._connection.close()

    def __enter__(self) -> Store:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()
