"""Files that are small and would become huge, endless or slow: refused or left out, and said."""

from __future__ import annotations

import json
import math
import struct
import zlib

import numpy as np
import pytest

from rimwise.course import pbf
from rimwise.course.geojson import course_from_geojson
from rimwise.course.osm import course_from_osm
from rimwise.course.pbf import course_from_pbf
from rimwise.course.table import course_from_table
from rimwise.errors import InputError
from rimwise.records.climate import months_in_words
from rimwise.records.lie_words import lie_in
from rimwise.records.throw_words import throw_in
from rimwise.store.exchange import tables
from rimwise.store.exchange.conditions import read_conditions
from rimwise.store.exchange.discs import read_discs, read_discs_csv
from rimwise.store.exchange.evidence_scope import Scope
from rimwise.store.exchange.evidence_tables import evidence_kind, read_evidence_csv
from rimwise.store.exchange.json_files import read_cart_json, read_thrower_json
from rimwise.store.exchange.known import Known

NOTHING_KNOWN = Known.of([], [], [])

ENTITIES = "".join(
    f'<!ENTITY {after} "{f"&{before};" * 10}">'
    for before, after in zip("abcdefghi", "bcdefghij", strict=True)
)
LAUGHS = f'<?xml version="1.0"?><!DOCTYPE osm [<!ENTITY a "lol">{ENTITIES}]><osm>&j;</osm>'


@pytest.mark.parametrize(
    "text",
    [
        LAUGHS,
        '<!DOCTYPE osm [<!ENTITY x SYSTEM "file:///etc/passwd">]><osm>&x;</osm>',
        '<!DOCTYPE osm SYSTEM "http://example.org/x.dtd"><osm/>',
        '<!DOCTYPE osm [<!ENTITY % p SYSTEM "file:///dev/zero"> %p;]><osm/>',
    ],
)
def test_entities_and_document_types_are_refused(text):
    with pytest.raises(InputError, match="declares a document type"):
        course_from_osm(text.encode())


def test_a_long_way_named_again_and_again_is_refused():
    """100 kB that would become four million corners."""
    way = '<way id="1">' + '<nd ref="1"/>' * 2000 + "</way>"
    member = '<member type="way" ref="1" role="outer"/>'
    tags = '<tag k="type" v="multipolygon"/><tag k="natural" v="wood"/>'
    relation = f'<relation id="2">{tags}{member * 2000}</relation>'
    text = f'<osm><node id="1" lat="45" lon="-35"/>{way}{relation}</osm>'
    with pytest.raises(InputError, match="more than 1,000,000 corners"):
        course_from_osm(text.encode())


def _hole_and(area: list[list[float]]) -> bytes:
    features = [
        ({"disc_golf": "hole", "ref": "1"}, "LineString", [[-35, 45], [-35, 45.001]]),
        ({"natural": "wood"}, "Polygon", [area]),
    ]
    listed = [
        {"type": "Feature", "properties": tags, "geometry": {"type": kind, "coordinates": at}}
        for tags, kind, at in features
    ]
    return json.dumps({"type": "FeatureCollection", "features": listed}).encode()


def test_a_scribble_is_left_out_and_said():
    """An outline whose repair takes minutes: the time grows with the square of crossings."""
    corners = np.random.default_rng(1).uniform((-35.0, 45.0), (-34.999, 45.001), (400, 2))
    found = course_from_geojson(_hole_and([*corners.tolist(), corners[0].tolist()]))
    assert found.course.areas == ()
    assert any("crosses itself everywhere" in one for one in found.warnings)


def test_a_long_shore_is_kept():
    turns = np.linspace(0.0, 2.0 * math.pi, 8001)
    radius = 0.0005 * (1.0 + 0.2 * np.sin(40.0 * turns))
    shore = np.stack([-35.0 + radius * np.cos(turns), 45.0 + radius * np.sin(turns)], axis=1)
    shore[-1] = shore[0]
    (area,) = course_from_geojson(_hole_and(shore.tolist())).course.areas
    assert len(area.ring) > 7000


def _varint(value: int) -> bytes:
    out = b""
    while value > 127:
        out += bytes([value & 127 | 128])
        value >>= 7
    return out + bytes([value])


def _field(number: int, content: bytes | int) -> bytes:
    if isinstance(content, int):
        return _varint(number << 3) + _varint(content)
    return _varint(number << 3 | 2) + _varint(len(content)) + content


def _block(kind: bytes, content: bytes) -> bytes:
    blob = _field(2, len(content)) + _field(3, zlib.compress(content, 9))
    header = _field(1, kind) + _field(3, len(blob))
    return struct.pack(">I", len(header)) + header + blob


def _tagged_nodes(count: int, blocks: int) -> bytes:
    """Return a binary map of dense nodes that are all tagged, at 0, 0."""
    words = _field(1, b"") + _field(1, b"leisure") + _field(1, b"x")
    dense = _field(1, b"\x02" * count) + _field(8, bytes(count)) + _field(9, bytes(count))
    group = _field(2, dense + _field(10, b"\x01\x02\x00" * count))
    start = _block(b"OSMHeader", _field(4, b"OsmSchema-V0.6") + _field(4, b"DenseNodes"))
    return start + _block(b"OSMData", _field(1, words) + _field(2, group)) * blocks


def test_blocks_that_swell_together_are_refused():
    """Blocks that are small enough each: 120 kB for 120 MB."""
    data = _tagged_nodes(1_000_000, 20)
    assert len(data) < 150_000
    with pytest.raises(InputError, match="once it is unpacked"):
        course_from_pbf(data)


@pytest.mark.parametrize("limit", ["MAX_KEPT", "MAX_NODES"])
def test_more_things_than_a_town_has_are_refused(monkeypatch, limit):
    with pytest.raises(InputError, match="no disc golf hole"):
        course_from_pbf(_tagged_nodes(500, 1))
    monkeypatch.setattr(pbf, limit, 300)
    with pytest.raises(InputError, match="once it is unpacked"):
        course_from_pbf(_tagged_nodes(500, 1))


@pytest.mark.parametrize("mark", ",;\t")
@pytest.mark.parametrize("name", ["disc", "x"])
def test_hundreds_of_thousands_of_columns_are_refused(mark, name):
    text = f"mold{mark}" + f"{name}{mark}" * 300_000 + "\na\n"
    for read in (
        lambda: read_discs_csv(text, "wide.csv", NOTHING_KNOWN),
        lambda: read_evidence_csv(text, "wide.csv", "throws", Scope()),
        lambda: course_from_table(text.replace("mold", "hole").encode(), "wide"),
    ):
        with pytest.raises(InputError, match=r"columns|cell is longer"):
            read()


def test_a_log_may_be_longer_than_a_list_of_discs_and_has_its_end_too():
    text = "on,disc,distance_m\n" + f"2026-05-01,red,60{' ' * 1_000}\n" * 6_000
    assert len(text) > 6_000_000
    assert evidence_kind(text.encode(), "log.csv") == "throws"
    assert len(read_evidence_csv(text, "log.csv", "throws", Scope()).problems) == 6_000
    with pytest.raises(InputError, match=r"discs\.csv is larger than 5 MB"):
        read_discs_csv(text, "discs.csv", NOTHING_KNOWN)
    with pytest.raises(InputError, match=r"log\.csv is larger than 25 MB"):
        read_evidence_csv(text * 5, "log.csv", "throws", Scope())


@pytest.mark.parametrize(("rows", "refused"), [(50, False), (51, True)])
def test_a_table_has_its_most_rows_and_no_more(monkeypatch, rows, refused):
    monkeypatch.setattr(tables, "MOST_ROWS", 50)
    text = "on,disc,distance_m\n" + "\n2026-05-01,red,60\n" * rows
    if not refused:
        assert len(read_evidence_csv(text, "long.csv", "throws", Scope()).problems) == 50
        return
    with pytest.raises(InputError, match=r"long\.csv has more than 50 rows; split it"):
        read_evidence_csv(text, "long.csv", "throws", Scope())


@pytest.mark.parametrize(
    "text", ["mold," + "x" * 200_000 + "\na,b\n", "mold,disc\na," + "x" * 200_000]
)
def test_a_cell_without_end_is_refused(text):
    with pytest.raises(InputError, match=r"long\.csv"):
        read_discs_csv(text, "long.csv", NOTHING_KNOWN)


@pytest.mark.parametrize("read", [throw_in, lambda text: lie_in(text, "m"), months_in_words])
@pytest.mark.parametrize("letter", ["1", "\n", "a"])
def test_a_sentence_without_end_is_refused_before_it_is_read(read, letter):
    """These take as long as the square of the length: a form's megabyte would take hours."""
    with pytest.raises(InputError, match="say it shorter"):
        read(f"60m {letter * 900_000}")


@pytest.mark.parametrize(
    "read",
    [
        read_cart_json, read_thrower_json, lambda data, _: course_from_geojson(data),
        lambda data, name: read_discs(data, name, NOTHING_KNOWN), read_conditions,
    ],
)  # fmt: skip
@pytest.mark.parametrize("data", [b"[" * 200_000, b'{"a":' * 200_000, b'{"pockets":' + b"9" * 9999])
def test_a_nest_without_end_is_refused(read, data):
    try:
        found = read(data, "deep")
    except InputError as error:
        assert len(str(error)) < 400  # noqa: PT017 - as plain lines it has problems instead
    else:
        assert found.problems
