"""Typed access to the tables: a shelf of named things, a log of numbered ones.

Every table pair of a record and its members is described once by a :class:`Layout`; the SQL
follows from it.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, fields
from typing import Any, Generic, TypeVar

from rimwise.errors import InputError, NotFoundError
from rimwise.store.changes import note_change, record_text
from rimwise.store.connection import Connection
from rimwise.store.rows import RowMap, SqlValue, row_map, scalar_map

__all__ = ["Children", "Layout", "Log", "Reference", "Shelf"]

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Children:
    """A field whose members live in a table of their own, in order.

    Parameters
    ----------
    field
        Name of the record's field.
    table
        The table; its columns ``owner`` and ``position`` come before the member's own.
    rows
        How one member is kept.
    """

    field: str
    table: str
    rows: RowMap[Any]

    @classmethod
    def records(cls, field: str, table: str, member: type) -> Children:
        """Return the description of a field that holds records."""
        return cls(field, table, row_map(member))

    @classmethod
    def texts(cls, field: str, table: str, column: str) -> Children:
        """Return the description of a field that holds bare texts."""
        return cls(field, table, scalar_map(column))


@dataclass(frozen=True, slots=True)
class Reference:
    """A column that names something in another table: ``column`` names a ``thing``."""

    column: str
    table: str
    key: str
    thing: str


class Layout(Generic[T]):
    """Where a type of record is kept.

    Parameters
    ----------
    record, thing, table
        The type, what a sentence calls one of them, and its table.
    key
        The column that names it. Where the record has no such field, ``numbered`` is true: the
        store gives numbers.
    children
        Fields kept in tables of their own.
    references
        Columns (of the table or of a child table) that must name something on file.
    """

    def __init__(
        self,
        record: type[T],
        thing: str,
        table: str,
        key: str,
        *,
        children: Sequence[Children] = (),
        references: Sequence[Reference] = (),
    ) -> None:
        self.record = record
        self.thing = thing
        self.table = table
        self.key = key
        self.children = tuple(children)
        self.references = tuple(references)
        self.numbered = key not in {field.name for field in fields(record)}  # type: ignore[arg-type]
        self.rows = row_map(record, without=[child.field for child in self.children])

    @property
    def column_list(self) -> str:
        """The record's own columns, quoted for SQL."""
        return ", ".join(f'"{column}"' for column in self.rows.columns)


@dataclass(frozen=True, slots=True)
class _Before(Generic[T]):
    """A record as it was before a change; ``None`` where it could not be read."""

    record: T | None

    @property
    def text(self) -> str | None:
        """The record as JSON, for the history."""
        return None if self.record is None else record_text(self.record)


class _Table(Generic[T]):
    """Reading and writing common to shelves and logs."""

    def __init__(self, connection: Connection, layout: Layout[T]) -> None:
        self._connection = connection
        self._layout = layout

    def __len__(self) -> int:
        rows = self._connection.rows(f"SELECT count(*) FROM {self._layout.table}")  # noqa: S608
        return int(str(rows[0][0]))

    def _read(self, where: str = "", cells: tuple[SqlValue, ...] = ()) -> list[tuple[Any, T]]:
        """Return (key, record) of the rows that match, oldest first."""
        layout = self._layout
        query = (
            f"SELECT {layout.key}, {layout.column_list} FROM {layout.table} "  # noqa: S608
            f"{where} ORDER BY rowid"
        )
        with self._connection.snapshot():
            rows = self._connection.rows(query, cells)
            only = rows[0][0] if len(rows) == 1 else None
            members = {child.field: self._members(child, only) for child in layout.children}
        return [
            (
                row[0],
                layout.rows.decode(
                    row[1:],  # type: ignore[arg-type]
                    **{field: tuple(found[row[0]]) for field, found in members.items()},
                ),
            )
            for row in rows
        ]

    def _members(self, child: Children, owner: object) -> dict[Any, list[Any]]:
        """Return the members of one owner, or of all, by owner."""
        columns = ", ".join(f'"{column}"' for column in child.rows.columns)
        where, cells = ("", ()) if owner is None else ("WHERE owner = ?", (owner,))
        found: dict[Any, list[Any]] = defaultdict(list)
        for row in self._connection.rows(
            f"SELECT owner, {columns} FROM {child.table} {where} ORDER BY owner, position",  # noqa: S608
            cells,
        ):
            found[row[0]].append(child.rows.decode(row[1:]))  # type: ignore[arg-type]
        return found

    def _write_members(self, owner: object, record: T) -> None:
        for child in self._layout.children:
            self._connection.execute(f"DELETE FROM {child.table} WHERE owner = ?", (owner,))  # noqa: S608
            marks = ", ".join("?" * (2 + len(child.rows.columns)))
            columns = ", ".join(f'"{column}"' for column in child.rows.columns)
            for position, member in enumerate(getattr(record, child.field)):
                self._connection.execute(
                    f"INSERT INTO {child.table} (owner, position, {columns}) VALUES ({marks})",  # noqa: S608
                    (owner, position, *child.rows.encode(member)),
                )

    def _check_references(self, record: T) -> None:
        """Say which named thing is not on file, before SQLite refuses without a name."""
        for reference in self._layout.references:
            names = getattr(record, reference.column)
            for name in (names,) if isinstance(names, str) else names:
                if not self._connection.rows(
                    f"SELECT 1 FROM {reference.table} WHERE {reference.key} = ?",  # noqa: S608
                    (name,),
                ):
                    raise NotFoundError(
                        f"there is no {reference.thing} {name!r} on file; "
                        f"add it first or correct the name."
                    )

    def _delete(self, key: SqlValue) -> None:
        layout = self._layout
        with self._connection.atomic():
            self._refuse_if_named_elsewhere(key)
            before = self._before(key)
            if before is None:
                raise self._missing(key)
            self._connection.execute(
                f"DELETE FROM {layout.table} WHERE {layout.key} = ?",  # noqa: S608
                (key,),
            )
            note_change(self._connection, layout.table, key, "deleted", before.text)

    def _before(self, key: SqlValue) -> _Before[T] | None:
        """Return the record of this key before a change, if there is one."""
        try:
            found = self._read(f"WHERE {self._layout.key} = ?", (key,))
        except (ValueError, TypeError):  # unreadable: it can still be replaced or deleted
            return _Before(None)
        return _Before(found[0][1]) if found else None

    def _refuse_if_named_elsewhere(self, key: SqlValue) -> None:
        uses = []
        for other, column in _references_to(self._connection, self._layout.table):
            count = self._connection.rows(
                f'SELECT count(*) FROM {other} WHERE "{column}" = ?',  # noqa: S608
                (key,),
            )[0][0]
            if count:
                uses.append(f"{count} in {other.replace('_', ' ')}")
        if uses:
            raise InputError(
                f"{self._layout.thing} {key!r} cannot be deleted, because it is still named "
                f"({', '.join(uses)}); delete those first"
                + (", or retire it." if self._layout.thing == "disc" else ".")
            )

    def _missing(self, key: SqlValue) -> NotFoundError:
        return NotFoundError(f"there is no {self._layout.thing} {key!r} on file.")


class Shelf(_Table[T]):
    """Things with a name of their own: discs, molds, courses and the like."""

    def all(self) -> list[T]:
        """Return every record, in the order they came."""
        return [record for _, record in self._read()]

    def keys(self) -> list[str]:
        """Return the names, in the order they came."""
        layout = self._layout
        query = f"SELECT {layout.key} FROM {layout.table} ORDER BY rowid"  # noqa: S608
        return [str(row[0]) for row in self._connection.rows(query)]

    def __contains__(self, key: object) -> bool:
        layout = self._layout
        query = f"SELECT 1 FROM {layout.table} WHERE {layout.key} = ?"  # noqa: S608
        return bool(self._connection.rows(query, (key,)))

    def get(self, key: str) -> T:
        """Return the record of this name.

        Raises
        ------
        NotFoundError
            When there is none.
        """
        found = self._read(f"WHERE {self._layout.key} = ?", (key,))
        if not found:
            raise self._missing(key)
        return found[0][1]

    def put(self, record: T) -> None:
        """Save one record, over the one of the same name if there is one."""
        self.put_all([record])

    def put_all(self, records: Iterable[T]) -> None:
        """Save several records, all or none; they may name each other."""
        saved = list(records)
        with self._connection.atomic():
            for record in saved:
                self._write(record)
            for record in saved:
                self._check_references(record)

    def _write(self, record: T) -> None:
        layout = self._layout
        cells = layout.rows.encode(record)  # refuses first what no file can keep
        key = getattr(record, layout.key)
        before = self._before(key)
        if before is None:
            note_change(self._connection, layout.table, key, "added")
        elif before.record != record:
            note_change(self._connection, layout.table, key, "changed", before.text)
        columns = layout.rows.columns
        changes = ", ".join(f'"{column}" = excluded."{column}"' for column in columns)
        self._connection.execute(
            f"INSERT INTO {layout.table} ({layout.column_list}) "  # noqa: S608
            f"VALUES ({', '.join('?' * len(columns))}) "
            f"ON CONFLICT ({layout.key}) DO UPDATE SET {changes}",
            cells,
        )
        self._write_members(key, record)

    def delete(self, key: str) -> None:
        """Delete the record of this name, unless something on file still names it.

        Raises
        ------
        NotFoundError
            When there is none.
        InputError
            When something names it.
        """
        self._delete(key)


class Log(_Table[T]):
    """Things with a number and a date: evidence and carries, oldest first."""

    def all(self) -> list[tuple[int, T]]:
        """Return (number, record) of everything, in the order it was added."""
        return self._read()

    def where(self, condition: str, cells: tuple[SqlValue, ...] = ()) -> list[tuple[int, T]]:
        """Return (number, record) of what fits an SQL condition, in the order it was added."""
        return self._read(f"WHERE {condition}", cells)

    def like(self, record: T) -> int | None:
        """Return the lowest number of an equal record, or ``None``."""
        columns = self._layout.rows.columns
        same = " AND ".join(f'"{column}" IS ?' for column in columns)
        found = self.where(same, self._layout.rows.encode(record))
        return next((number for number, other in found if other == record), None)

    def get(self, number: int) -> T:
        """Return the record of this number.

        Raises
        ------
        NotFoundError
            When there is none.
        """
        found = self._read("WHERE id = ?", (number,))
        if not found:
            raise self._missing(number)
        return found[0][1]

    def latest(self) -> tuple[int, T] | None:
        """Return (number, record) of what was added last, or ``None``."""
        found = self._read(f"WHERE id = (SELECT max(id) FROM {self._layout.table})")  # noqa: S608
        return found[0] if found else None

    def add(self, record: T) -> int:
        """Save a new record and return its number; numbers are never used again."""
        return self.add_all([record])[0]

    def add_all(self, records: Iterable[T]) -> list[int]:
        """Save several new records, all or none, and return their numbers."""
        with self._connection.atomic():
            return [self._add(record, None) for record in records]

    def replace(self, number: int, record: T) -> None:
        """Save a corrected record under the number of the old one."""
        layout = self._layout
        with self._connection.atomic():
            before = self._before(number)
            if before is None:
                raise self._missing(number)
            query = f"DELETE FROM {layout.table} WHERE id = ?"  # noqa: S608
            self._connection.execute(query, (number,))
            self._insert(record, number)
            if before.record != record:
                note_change(self._connection, layout.table, number, "changed", before.text)

    def delete(self, number: int) -> None:
        """Delete the record of this number.

        Raises
        ------
        NotFoundError
            When there is none.
        """
        self._delete(number)

    def put_back(self, number: int, record: T) -> None:
        """Save a deleted record again under the number it had.

        Raises
        ------
        InputError
            When the number is in use.
        """
        with self._connection.atomic():
            if self._read("WHERE id = ?", (number,)):
                raise InputError(
                    f"{self._layout.thing} {number} is on file; there is nothing to bring back."
                )
            self._add(record, number)

    def _add(self, record: T, number: int | None) -> int:
        added = self._insert(record, number)
        note_change(self._connection, self._layout.table, added, "added")
        return added

    def _insert(self, record: T, number: int | None) -> int:
        layout = self._layout
        marks = ", ".join("?" * (1 + len(layout.rows.columns)))
        self._check_references(record)
        added = self._connection.execute(
            f"INSERT INTO {layout.table} (id, {layout.column_list}) VALUES ({marks})",  # noqa: S608
            (number, *layout.rows.encode(record)),
        )
        owner = int(str(added.lastrowid))
        self._write_members(owner, record)
        return owner


def _references_to(connection: Connection, table: str) -> list[tuple[str, str]]:
    """Return (table, column) of every reference to a table that keeps its rows alive.

    References that are deleted along with what they name (members) do not count.
    """
    return [
        (str(other), str(column))
        for other, column in connection.rows(
            'SELECT m.name, f."from" FROM sqlite_schema AS m, pragma_foreign_key_list(m.name) '
            "AS f WHERE m.type = 'table' AND f.\"table\" = ? AND f.on_delete <> 'CASCADE' "
            "ORDER BY m.name, f.id",
            (table,),
        )
    ]
