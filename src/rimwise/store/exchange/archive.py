"""All records in open formats: CSV tables, a GeoJSON file for each course, JSON for the rest.

Written row by row from the tables themselves, so that a table of a later version is never
forgotten, and so that what comes back is equal to the last bit.
"""

from __future__ import annotations

import csv
import hashlib
import io
import json
import re
import zipfile
from collections.abc import Iterable, Sequence
from itertools import pairwise
from pathlib import Path
from typing import Any

from rimwise.course.frame import LocalFrame
from rimwise.store.connection import Connection
from rimwise.store.rows import SqlValue

__all__ = [
    "COURSE_TABLES",
    "CSV_TABLES",
    "MANIFEST",
    "archive_of",
    "columns_of",
    "is_archive",
    "tables_of",
    "zipped",
]

#: What is in an export, and what it was made by.
MANIFEST = "rimwise.json"
FORMAT = 1
#: Tables that people open in a spreadsheet.
CSV_TABLES = (
    *("molds", "plastics", "discs", "throws", "comparisons", "grip_grades", "condition_grades"),
    *("knocks", "putts", "rounds", "round_scores", "carries", "carry_discs", "carry_alternates"),
    *("carry_items", "carry_take", "conditions", "condition_days"),
)
#: A course and its members; each course is one GeoJSON file.
COURSE_TABLES = (
    *("courses", "course_holes", "course_areas", "course_mandatories", "course_drop_zones"),
)
#: What a spreadsheet would run as a formula begins so; so does what we mark.
_FORMULA = re.compile(r"'*[=+\-@\t\r\n]|'+$")

_Row = dict[str, SqlValue]


def archive_of(connection: Connection, version: str) -> dict[str, bytes]:
    """Return the files of a full export by their names.

    Parameters
    ----------
    version
        Of the program, for the manifest.
    """
    with connection.snapshot():
        files: dict[str, bytes] = {}
        there = tables_of(connection)
        for table in there:
            if table in CSV_TABLES:
                files[f"{table}.csv"] = _csv(connection, table)
            elif table not in COURSE_TABLES:
                files[f"{table}.json"] = _json({"table": table, "rows": _rows(connection, table)})
        if "courses" in there:
            files |= _courses(connection, [table for table in COURSE_TABLES if table in there])
        files[MANIFEST] = _json(
            {
                "what": "all records of Rimwise, to be read back with `rimwise restore`",
                "format": FORMAT,
                "rimwise": version,
                "schema": int(str(connection.rows("PRAGMA user_version")[0][0])),
                "numbers": {
                    str(name): number
                    for name, number in connection.rows(
                        "SELECT name, seq FROM sqlite_sequence ORDER BY name"
                    )
                },
                "sha256": {name: hashlib.sha256(data).hexdigest() for name, data in files.items()},
            }
        )
    return files


def tables_of(connection: Connection) -> list[str]:
    """Return the names of the tables, in the order in which they were made."""
    rows = connection.rows(
        "SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite_%' "
        "ORDER BY rowid"
    )
    return [str(name) for (name,) in rows]


def columns_of(connection: Connection, table: str) -> list[tuple[str, str, bool]]:
    """Return (name, type, whether it may be empty) of a table's columns."""
    rows = connection.rows('SELECT name, type, "notnull" FROM pragma_table_info(?)', (table,))
    return [(str(name), str(kind), not needed) for name, kind, needed in rows]


def guarded(text: str, *, optional: bool) -> str:
    """Put an apostrophe before what a spreadsheet would take for a formula.

    In a column that may hold nothing at all, an empty text is one apostrophe.
    """
    if text == "" and optional:
        return "'"
    return f"'{text}" if _FORMULA.match(text) else text


def _rows(
    connection: Connection, table: str, where: str = "", cells: tuple[SqlValue, ...] = ()
) -> list[_Row]:
    names = [name for name, _, _ in columns_of(connection, table)]
    found = connection.rows(f'SELECT * FROM "{table}" {where} ORDER BY rowid', cells)  # noqa: S608
    return [dict(zip(names, row, strict=True)) for row in found]  # type: ignore[arg-type]


def _csv(connection: Connection, table: str) -> bytes:
    columns = columns_of(connection, table)
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow([name for name, _, _ in columns])
    for row in connection.rows(f'SELECT * FROM "{table}" ORDER BY rowid'):  # noqa: S608
        writer.writerow(
            [
                _cell(value, optional=optional)
                for value, (_, _, optional) in zip(row, columns, strict=True)
            ]
        )
    return out.getvalue().encode("utf-8-sig")  # the mark lets spreadsheets see UTF-8


def _cell(value: object, *, optional: bool) -> str:
    if value is None:
        return ""
    if isinstance(value, str):
        return guarded(value, optional=optional)
    return repr(value)


def _json(content: object) -> bytes:
    return json.dumps(content, ensure_ascii=False, allow_nan=False, indent=1).encode()


# -- courses -----------------------------------------------------------------------------------


def _courses(connection: Connection, tables: Sequence[str]) -> dict[str, bytes]:
    files = {}
    for number, course in enumerate(_rows(connection, "courses"), start=1):
        slug = re.sub(r"[^a-z0-9]+", "-", str(course["name"]).lower()).strip("-")[:40]
        features = []
        for table in tables:
            if table != "courses":
                owned = _rows(connection, table, "WHERE owner = ?", (course["name"],))
                features += [_feature(table, row, course) for row in owned]
        name = f"course-{number:03d}{'-' if slug else ''}{slug}.geojson"
        files[name] = _json({"type": "FeatureCollection", "rimwise": course, "features": features})
    return files


def _feature(table: str, row: _Row, course: _Row) -> dict[str, Any]:
    """Return one member of a course: drawn for other programs, told exactly for ours."""
    geometry = None
    if course["origin_lat_deg"] is not None and course["origin_lon_deg"] is not None:
        frame = LocalFrame(float(course["origin_lat_deg"]), float(course["origin_lon_deg"]))
        geometry = _geometry(row, frame)
    return {
        "type": "Feature",
        "geometry": geometry,
        "properties": {"rimwise": table, **row},
    }


def _geometry(row: _Row, frame: LocalFrame) -> dict[str, Any]:
    """Return what RFC 7946 calls a geometry: longitude first, rings closed, WGS 84."""

    def placed(points: Iterable[Sequence[float]]) -> list[list[float]]:
        found = (frame.to_geographic(east_m, north_m) for east_m, north_m in points)
        return [[round(lon, 8), round(lat, 8)] for lat, lon in found]

    if "tee" in row:
        ends = [json.loads(str(row[end])) for end in ("tee", "basket")]
        return {"type": "LineString", "coordinates": placed(ends)}
    if "ring" in row:
        rings = [json.loads(str(row["ring"])), *json.loads(str(row["openings"]))]
        closed = [_turned([*ring, ring[0]], left=i == 0) for i, ring in enumerate(rings)]
        return {"type": "Polygon", "coordinates": [placed(ring) for ring in closed]}
    return {"type": "Point", "coordinates": placed([json.loads(str(row["at"]))])[0]}


def _turned(ring: list[list[float]], *, left: bool) -> list[list[float]]:
    """Return a closed ring that goes round as RFC 7946 asks: outer ones counterclockwise."""
    twice_area = sum(a[0] * b[1] - b[0] * a[1] for a, b in pairwise(ring))
    return ring if (twice_area > 0.0) == left else ring[::-1]


# -- one file ----------------------------------------------------------------------------------


def zipped(files: dict[str, bytes]) -> bytes:
    """Return the files of an export as one zip file, the same for the same records."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as packed:
        for name in sorted(files):
            packed.writestr(zipfile.ZipInfo(name), files[name], zipfile.ZIP_DEFLATED)
    return out.getvalue()


def is_archive(path: Path) -> bool:
    """Return whether a file is a zip file."""
    with path.open("rb") as file:
        return file.read(4) == b"PK\x03\x04"
