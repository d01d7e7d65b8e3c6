"""Read an export back into a data file, row for row."""

from __future__ import annotations

import csv
import hashlib
import io
import json
import math
import re
import sqlite3
import zipfile
import zlib
from collections.abc import Callable, Iterable, Mapping
from contextlib import closing
from datetime import datetime
from pathlib import Path
from typing import Any

from rimwise.errors import InputError, StoreError
from rimwise.store.connection import Connection, connect
from rimwise.store.exchange.archive import (
    COURSE_TABLES,
    CSV_TABLES,
    FORMAT,
    MANIFEST,
    columns_of,
    tables_of,
)
from rimwise.store.migrate import migrate, shipped_migrations
from rimwise.store.rows import SqlValue

__all__ = ["database_from", "files_of"]

#: More than an export of a lifetime needs, and less than what would fill a computer's memory.
_MOST_BYTES = 512 * 1024 * 1024
_MOST_FILES = 2000
_NAMES = re.compile(r"[a-z0-9_-]{1,80}\.(csv|json|geojson)")
_GUARD = re.compile(r"'+[=+\-@\t\r\n]|'+$")
_WHOLE = re.compile(r"-?\d{1,19}")

_Row = tuple[str, Mapping[str, SqlValue]]


def files_of(source: Path) -> dict[str, bytes]:
    """Return the files of an export in a folder or a zip file; others in it are left alone.

    Raises
    ------
    InputError
        When it is no export, or bigger than any.
    """
    found = _in_folder(source) if source.is_dir() else _in_zip(source)
    if MANIFEST not in found:
        raise InputError(
            f"{source} is no export of Rimwise: it has no file {MANIFEST}; make one with "
            "`rimwise records export`."
        )
    return found


def _in_folder(source: Path) -> dict[str, bytes]:
    paths = [
        one for one in sorted(source.iterdir()) if one.is_file() and _NAMES.fullmatch(one.name)
    ]
    if len(paths) > _MOST_FILES or sum(one.stat().st_size for one in paths) > _MOST_BYTES:
        raise _too_big(source)
    return {one.name: one.read_bytes() for one in paths}


def _in_zip(source: Path) -> dict[str, bytes]:
    """Unpack in memory: no name in it becomes a path, and what it says of its sizes is checked."""
    try:
        with zipfile.ZipFile(source) as packed:
            wanted = [one for one in packed.infolist() if _NAMES.fullmatch(one.filename)]
            if len(wanted) > _MOST_FILES or sum(one.file_size for one in wanted) > _MOST_BYTES:
                raise _too_big(source)
            found = {}
            left = _MOST_BYTES
            for one in wanted:
                with packed.open(one) as file:
                    found[one.filename] = file.read(left + 1)
                left -= len(found[one.filename])
                if left < 0:
                    raise _too_big(source)
            return found
    except (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, RuntimeError) as error:
        raise InputError(
            f"{source} is a broken or locked zip file ({error}); make the export again."
        ) from None


def _too_big(source: Path) -> InputError:
    return InputError(f"{source} is bigger than any export of Rimwise; nothing was read.")


def database_from(files: Mapping[str, bytes], path: Path) -> tuple[str, ...]:
    """Make a data file at ``path``, of the version that was exported; return notices.

    Raises
    ------
    InputError
        When something in the files cannot be used: in which file, line and column.
    StoreError
        When the export was made by a newer Rimwise.
    """
    manifest = _manifest(files)
    steps = shipped_migrations()[: manifest["schema"]]
    with closing(connect(path, str(path))) as connection:
        migrate(connection, path, steps, datetime(2000, 1, 1))
        connection.execute("PRAGMA foreign_keys = OFF")
        with connection.atomic():
            for table in tables_of(connection):
                connection.execute(f'DELETE FROM "{table}"')  # noqa: S608
            _fill(connection, files)
            connection.execute("DELETE FROM sqlite_sequence")
            for name, number in manifest["numbers"].items():
                connection.execute("INSERT INTO sqlite_sequence VALUES (?, ?)", (name, number))
            _check_references(connection)
    return tuple(
        f"{name} was changed since it was exported."
        for name, digest in manifest["sha256"].items()
        if hashlib.sha256(files[name]).hexdigest() != digest
    )


def _manifest(files: Mapping[str, bytes]) -> dict[str, Any]:
    found = _read_json(files, MANIFEST)
    shape = {"format": int, "schema": int, "numbers": dict, "sha256": dict}
    if not isinstance(found, dict) or any(
        type(found.get(name)) is not kind for name, kind in shape.items()
    ):
        raise InputError(f"{MANIFEST} is not as Rimwise writes it; make the export again.")
    newest = shipped_migrations()[-1].number
    if found["format"] > FORMAT or found["schema"] > newest:
        raise StoreError(
            f"the export was made by a newer Rimwise (file version {found['schema']}, this program "
            f"knows {newest}); update the program."
        )
    numbers = found["numbers"].values()
    if found["schema"] < 1 or any(type(one) is not int or one < 0 for one in numbers):
        raise InputError(f"{MANIFEST} is not as Rimwise writes it; make the export again.")
    missing = [name for name in found["sha256"] if name not in files]
    if missing:
        raise InputError(f"the export lacks {missing[0]}; copy all of its files.")
    return found


def _fill(connection: Connection, files: Mapping[str, bytes]) -> None:
    for table in tables_of(connection):
        columns = columns_of(connection, table)
        if table in CSV_TABLES:
            rows: Iterable[_Row] = _csv_rows(files, f"{table}.csv", columns)
        elif table in COURSE_TABLES:
            continue
        else:
            rows = _json_rows(files, f"{table}.json")
        _insert(connection, table, columns, rows)
    for name in sorted(name for name in files if name.endswith(".geojson")):
        for table, row in _course_rows(files, name):
            if table in COURSE_TABLES:
                _insert(connection, table, columns_of(connection, table), [row])


def _insert(
    connection: Connection, table: str, columns: list[tuple[str, str, bool]], rows: Iterable[_Row]
) -> None:
    names = [name for name, _, _ in columns]
    listed = ", ".join(f'"{name}"' for name in names)
    marks = ", ".join("?" * len(names))
    query = f'INSERT INTO "{table}" ({listed}) VALUES ({marks})'  # noqa: S608
    for where, row in rows:
        if set(row) != set(names):
            odd = sorted(set(row) ^ set(names))
            raise InputError(f"{where}: the columns are not those of {table} ({odd[0]}).")
        try:
            connection.raw.execute(query, tuple(row[name] for name in names))
        except (sqlite3.IntegrityError, sqlite3.ProgrammingError, OverflowError) as error:
            raise InputError(f"{where}: this row cannot be kept ({error}).") from None
        except UnicodeEncodeError:
            raise InputError(f"{where}: there is a broken character; type it anew.") from None


def _check_references(connection: Connection) -> None:
    broken = connection.rows("PRAGMA foreign_key_check")
    if broken:
        table, _, other = broken[0][:3]
        raise InputError(f"the export is not whole: {table} names something that {other} lacks.")


# -- the files ---------------------------------------------------------------------------------


def _csv_rows(
    files: Mapping[str, bytes], name: str, columns: list[tuple[str, str, bool]]
) -> Iterable[_Row]:
    reader = csv.reader(io.StringIO(_text(files, name), newline=""), strict=True)
    readers = {column: _reader(kind, optional) for column, kind, optional in columns}
    header: list[str] | None = None
    try:
        for cells in reader:
            where = f"{name}, line {reader.line_num}"
            if header is None:
                header = cells
                continue
            if len(cells) != len(header):
                raise InputError(
                    f"{where}: there are {len(cells)} cells for {len(header)} columns."
                )
            row: dict[str, SqlValue] = {}
            for column, cell in zip(header, cells, strict=True):
                read = readers.get(column)
                if read is None:
                    raise InputError(f"{name} has a column {column!r} that Rimwise does not know.")
                try:
                    row[column] = read(cell)
                except ValueError:
                    raise InputError(f"{where}: {column} is no number, but {cell!r:.60}.") from None
            yield where, row
    except csv.Error as error:
        raise InputError(f"{name}, line {reader.line_num}: this is no CSV ({error}).") from None


def _reader(kind: str, optional: bool) -> Callable[[str], SqlValue]:
    def text(cell: str) -> str:
        return cell[1:] if _GUARD.match(cell) else cell

    def real(cell: str) -> float:
        number = float(cell)
        if "_" in cell or not math.isfinite(number):
            raise ValueError
        return number

    def whole(cell: str) -> int:
        if not _WHOLE.fullmatch(cell):
            raise ValueError
        return int(cell)

    read: Callable[[str], SqlValue] = {"REAL": real, "INTEGER": whole}.get(kind, text)
    if not optional:
        return read
    return lambda cell: None if cell == "" else read(cell)


def _json_rows(files: Mapping[str, bytes], name: str) -> Iterable[_Row]:
    found = _read_json(files, name)
    rows = found.get("rows") if isinstance(found, dict) else None
    if not isinstance(rows, list):
        raise InputError(f"{name} is not as Rimwise writes it; make the export again.")
    for number, row in enumerate(rows, start=1):
        yield _plain_row(f"{name}, row {number}", row)


def _course_rows(files: Mapping[str, bytes], name: str) -> Iterable[tuple[str, _Row]]:
    """Return the rows of a course with their tables; its own row comes first."""
    found = _read_json(files, name)
    features = found.get("features") if isinstance(found, dict) else None
    if not isinstance(features, list):
        raise InputError(f"{name} is not as Rimwise writes it; make the export again.")
    yield "courses", _plain_row(name, found.get("rimwise"))
    for number, feature in enumerate(features, start=1):
        where = f"{name}, feature {number}"
        properties = feature.get("properties") if isinstance(feature, dict) else None
        if not isinstance(properties, dict):
            raise InputError(f"{where} is not as Rimwise writes it; make the export again.")
        row = dict(properties)
        yield str(row.pop("rimwise", "")), _plain_row(where, row)


def _plain_row(where: str, row: Any) -> _Row:
    plain = (str, int, float, type(None))
    if not isinstance(row, dict) or not all(type(value) in plain for value in row.values()):
        raise InputError(f"{where} is not as Rimwise writes it; make the export again.")
    return where, row


def _read_json(files: Mapping[str, bytes], name: str) -> Any:
    try:
        return json.loads(_text(files, name))
    except (ValueError, RecursionError) as error:
        if isinstance(error, InputError):
            raise
        raise InputError(f"{name} is no JSON ({error}); make the export again.") from None


def _text(files: Mapping[str, bytes], name: str) -> str:
    if name not in files:
        raise InputError(f"the export lacks {name}; copy all of its files.")
    try:
        return files[name].decode("utf-8-sig")
    except UnicodeDecodeError:
        raise InputError(f"{name} is not UTF-8 text; save it as UTF-8.") from None
