"""Look through the records for what is wrong, say it in sentences, and mend what can be mended."""

from __future__ import annotations

import re
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing
from dataclasses import dataclass
from functools import cache
from typing import Any

from rimwise.errors import RimwiseError
from rimwise.store import layouts
from rimwise.store.changes import record_from
from rimwise.store.connection import Connection, DamagedError
from rimwise.store.migrate import shipped_migrations
from rimwise.store.rows import SqlValue
from rimwise.store.shelves import Children, Layout
from rimwise.store.store import Store
from rimwise.store.weights import weight_faults

__all__ = ["Fault", "faults_of"]

#: What SQLite says when a list that it makes of the rows is wrong, and the rows are not.
_OF_AN_INDEX = re.compile(
    r"row \d+ missing from index|wrong # of entries in index|non-unique entry"
)
#: Evidence and carries have a number, and nothing names them: one that is broken can be taken out.
_LAYOUTS: dict[str, Layout[Any]] = {
    one.table: one for one in vars(layouts).values() if isinstance(one, Layout)
}
_MEMBERS: dict[str, Children] = {
    child.table: child for one in _LAYOUTS.values() for child in one.children
}
_RESTORE = "put a backup in its place with `rimwise restore`"


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing that is wrong.

    Parameters
    ----------
    words
        What is wrong, a sentence.
    remedy
        What mending would do, or what its owner can do where it cannot be mended.
    mend
        Mends it, inside a transaction; ``None`` where that is not possible.
    """

    words: str
    remedy: str
    mend: Callable[[Store], None] | None = None


def faults_of(store: Store) -> tuple[Fault, ...]:
    """Return what is wrong with the records; an empty tuple when all is well.

    SQLite checks its pages, its indexes and the references between tables; the tables, indexes and
    triggers are held against those that this version has; every row is read as the record that it
    stands for; the weights that lean on each other are followed.
    """
    connection = store.connection
    try:
        found = [*_pages(connection), *_missing_parts(connection)]
        if any(fault.mend is None for fault in found):
            return tuple(found)  # more would only repeat it
        found += [*_references(connection), *_unreadable(connection), *_weights(connection)]
    except DamagedError:
        return (Fault("SQLite cannot read a part of the file.", _RESTORE),)
    return tuple(found)


def _pages(connection: Connection) -> Iterator[Fault]:
    said = [str(row[0]) for row in connection.rows("PRAGMA integrity_check") if row[0] != "ok"]
    of_index = [line for line in said if _OF_AN_INDEX.search(line)]
    if of_index:
        yield Fault(
            f"An index does not fit its table (SQLite: {of_index[0]}).",
            "it is made anew from the rows",
            lambda store: _do(store, "REINDEX"),
        )
    others = [line for line in said if line not in of_index]
    if others:
        yield Fault(f"SQLite finds the file damaged ({others[0].splitlines()[-1]}).", _RESTORE)


def _missing_parts(connection: Connection) -> Iterator[Fault]:
    there = {
        (str(kind), str(name))
        for kind, name in connection.rows("SELECT type, name FROM sqlite_schema")
    }
    gone = [part for part in _parts() if part[:2] not in there]
    tables = [name for kind, name, _ in gone if kind == "table"]
    for name in tables:
        yield Fault(f"The table {name} is gone.", _RESTORE)
    for kind, name, sql in gone:
        if not tables:
            yield Fault(
                f"The {kind} {name} is gone.",
                "it is made anew",
                lambda store, sql=sql: _do(store, sql),  # type: ignore[misc]
            )


@cache
def _parts() -> tuple[tuple[str, str, str], ...]:
    """Return (kind, name, SQL) of everything a data file of this version is made of."""
    with closing(sqlite3.connect(":memory:")) as fresh:
        for step in shipped_migrations():
            fresh.executescript(step.sql)
        return tuple(
            fresh.execute(
                "SELECT type, name, sql FROM sqlite_schema "
                "WHERE sql IS NOT NULL AND name NOT LIKE 'sqlite_%' ORDER BY rowid"
            )
        )


def _references(connection: Connection) -> Iterator[Fault]:
    """Name rows that name something which is gone."""
    for table, row, other, number in connection.rows("PRAGMA foreign_key_check"):
        columns = {
            (int(str(key)), str(column))
            for key, column in connection.rows(
                'SELECT id, "from" FROM pragma_foreign_key_list(?)', (str(table),)
            )
        }
        column = dict(columns)[int(str(number))]
        ((name,),) = connection.rows(
            f'SELECT "{column}" FROM "{table}" WHERE rowid = ?',  # noqa: S608
            (row,),
        )
        yield _dangling(connection, str(table), int(str(row)), str(other), str(name))


def _dangling(connection: Connection, table: str, row: int, other: str, name: str) -> Fault:
    words = f"A row of {table} names {name!r} of {other}, which is gone."
    past = _last_before(connection, other, name)
    if past is not None:
        return Fault(
            words,
            f"{name!r} is brought back as the history has it",
            lambda store: getattr(store, other).put(past),
        )
    if table in _MEMBERS or (table in _LAYOUTS and _LAYOUTS[table].numbered):
        return Fault(
            words,
            "the row is taken out; the backup made before keeps it",
            lambda store: _do(store, f'DELETE FROM "{table}" WHERE rowid = ?', row),  # noqa: S608
        )
    thing = other.removesuffix("s")
    return Fault(words, f"import the {thing} {name!r} again, or {_RESTORE}")


def _last_before(connection: Connection, place: str, key: str) -> Any:
    """Return a record as it was before its latest deletion or change, if the history knows."""
    layout = _LAYOUTS.get(place)
    rows = connection.rows(
        "SELECT before FROM changes WHERE place = ? AND key = ? AND before IS NOT NULL "
        "ORDER BY id DESC LIMIT 1",
        (place, key),
    )
    if layout is None or not rows:
        return None
    try:
        return record_from(layout.record, str(rows[0][0]))
    except ValueError:
        return None


def _unreadable(connection: Connection) -> Iterator[Fault]:
    """Read every row as the record that it stands for."""
    for layout in _LAYOUTS.values():
        query = f"SELECT {layout.key}, {layout.column_list} FROM {layout.table}"  # noqa: S608
        members = {child.field: _members(connection, child) for child in layout.children}
        for key, *cells in connection.rows(query):
            own = {field: tuple(found.get(key, ())) for field, found in members.items()}
            broken = [one for many in own.values() for one in many if isinstance(one, _Broken)]
            if broken:
                yield _unreadable_one(layout, key, broken[0].why)
                continue
            try:
                layout.rows.decode(cells, **own)  # type: ignore[arg-type]
            except (RimwiseError, ValueError, TypeError) as error:
                yield _unreadable_one(layout, key, str(error).splitlines()[0])


def _members(connection: Connection, child: Children) -> dict[object, list[Any]]:
    columns = ", ".join(f'"{column}"' for column in child.rows.columns)
    found: dict[object, list[Any]] = {}
    query = f"SELECT owner, {columns} FROM {child.table} ORDER BY owner, position"  # noqa: S608
    for key, *cells in connection.rows(query):
        try:
            member = child.rows.decode(cells)  # type: ignore[arg-type]
        except (RimwiseError, ValueError, TypeError) as error:
            member = _Broken(str(error).splitlines()[0])
        found.setdefault(key, []).append(member)
    return found


@dataclass(frozen=True, slots=True)
class _Broken:
    """Stands for a member that cannot be read."""

    why: str


def _unreadable_one(layout: Layout[Any], key: object, why: str) -> Fault:
    words = f"The {layout.thing} {key!r} cannot be read: {why.rstrip('.')}."
    if not layout.numbered:
        return Fault(words, f"save it anew by importing it again, or {_RESTORE}")
    return Fault(
        words,
        "it is taken out; the backup made before keeps it",
        lambda store: _do(store, f"DELETE FROM {layout.table} WHERE id = ?", key),  # noqa: S608
    )


def _weights(connection: Connection) -> Iterator[Fault]:
    rows = connection.rows("SELECT id, weight_against FROM discs")
    against = {str(key): None if other is None else str(other) for key, other in rows}
    for fault in sorted(set(weight_faults(against).values())):
        yield Fault(
            f"{fault[0].upper()}{fault[1:]}.",
            "weigh one of them and import it with its weight in grams",
        )


def _do(store: Store, sql: str, *cells: SqlValue | object) -> None:
    store.connection.execute(sql, cells)
