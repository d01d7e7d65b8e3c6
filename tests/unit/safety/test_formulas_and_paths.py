"""What leaves in a table is no formula; what comes with a name stays in its place."""

from __future__ import annotations

import csv
import io
import zipfile
from pathlib import Path

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from rimwise.errors import InputError
from rimwise.flight.printed import Printed
from rimwise.records.courses import Course, Hole
from rimwise.records.discs import Disc, Grip, Mold, Plastic, Weight
from rimwise.store.exchange import unarchive
from rimwise.store.exchange.archive import archive_of
from rimwise.store.exchange.discs import read_discs_csv
from rimwise.store.exchange.export import export_discs_csv, export_plastics_csv
from rimwise.store.exchange.known import Known
from rimwise.store.exchange.unarchive import files_of
from rimwise.store.opening import open_store
from rimwise.web import uploading

#: What spreadsheets take for the beginning of a formula (OWASP, CSV Injection).
DANGEROUS = ("=", "+", "-", "@", "\t", "\r", "\n")
HOSTILE = (
    "=1+1", "+1+1", "-1+1", "@SUM(A1)", '=HYPERLINK("http://x","y")', "=cmd|' /C calc'!A0",
    "\t=1", "\r=1", "\n=1", "'=1", "''=1", "=", "-", '"=1"', ",=1", ";=1",
)  # fmt: skip


def dangerous(text: str) -> list[list[str]]:
    """Return the rows that hold a cell that would be run; numbers are none."""

    def is_number(cell: str) -> bool:
        try:
            float(cell)
        except ValueError:
            return False
        return True

    rows = list(csv.reader(io.StringIO(text.removeprefix("\ufeff"), newline="")))
    return [row for row in rows if any(c.startswith(DANGEROUS) and not is_number(c) for c in row)]


def test_the_reader_of_this_test_sees_a_formula():
    assert dangerous('a,b\r\n-1.5,"=1"\r\n')
    assert dangerous("a\r\n@x\r\n")
    assert not dangerous("a,b\r\n-1.5,'=1\r\n")


def records(text: str) -> tuple[Disc, Mold, Plastic]:
    mold = Mold(text, Printed(7.0, 5.0, -1.0, 2.0), maker=text)
    plastic = Plastic(text, Grip(3.0, 3.0, 3.0, 3.0), 0.5)
    disc = Disc(text, text, text, Weight(170.0, 1.0), colour=text, mark=text, run=text, note=text,
                condition=text, meaning=text)  # fmt: skip
    return disc, mold, plastic


@settings(max_examples=60, deadline=None)
@given(st.text(st.sampled_from("=+-@\t\r\n' \"a1,;"), min_size=1, max_size=6))
@example("=1+1")
@example("\n=1")
def test_no_table_of_discs_or_plastics_holds_a_formula(text):
    text = text.strip()
    if not text:
        return
    disc, mold, plastic = records(text)
    table = export_discs_csv([disc], [mold], [plastic])
    assert dangerous(table) == []
    assert dangerous(export_plastics_csv([plastic])) == []
    read = read_discs_csv(table, "back.csv", Known.of([], [], []))
    assert (read.problems, read.discs) == ((), (disc,))


def test_no_table_of_the_full_export_holds_a_formula(tmp_path):
    with open_store(tmp_path / "x.db") as store:
        for text in HOSTILE:
            disc, mold, plastic = records(text)
            store.molds.put(mold)
            store.plastics.put(plastic)
            store.discs.put(disc)
        files = archive_of(store.connection, "test")
    tables = {name: data.decode() for name, data in files.items() if name.endswith(".csv")}
    assert "discs.csv" in tables
    assert sum(len(list(csv.reader(io.StringIO(one)))) for one in tables.values()) > 3 * len(
        HOSTILE
    )
    assert {name: dangerous(one) for name, one in tables.items() if dangerous(one)} == {}


NAMES = (
    "../../etc/passwd", "/etc/passwd", "..\\..\\x", "C:\\x", "..", ".", "", "a\0b", "x" * 400,
    "con", "\u202etxt.csv", "a/../../b", "%2e%2e%2fx", "~root", "-rf", "\n",
)  # fmt: skip


@pytest.mark.parametrize("name", NAMES)
def test_a_name_in_an_export_is_no_path(tmp_path, name):
    with open_store(tmp_path / "x.db") as store:
        store.courses.put(Course(name or "x", (Hole("1", (0, 0), (0, 80)),)))
        files = archive_of(store.connection, "test")
    for one in files:
        assert Path(one).name == one
        assert one.isascii()
        assert not one.startswith((".", "-"))


@settings(max_examples=200, deadline=None)
@given(st.text(max_size=300) | st.sampled_from(NAMES))
def test_the_name_of_an_upload_is_a_file_name_and_nothing_else(name):
    safe = uploading._safe_name(name)
    assert Path(safe).name == safe
    assert safe not in ("", ".", "..")
    assert "\0" not in safe
    assert len(safe.encode(errors="surrogatepass")) < 255


def test_a_zip_file_writes_nothing_and_swells_to_no_end(tmp_path, monkeypatch):
    evil = tmp_path / "evil.zip"
    with zipfile.ZipFile(evil, "w", zipfile.ZIP_DEFLATED) as packed:
        packed.writestr("../outside.csv", "x")
        packed.writestr("/absolute.csv", "x")
        packed.writestr("rimwise.json", "{}")
        packed.writestr("discs.csv", b"0" * 3_000_000)
    before = set(tmp_path.rglob("*"))
    assert set(files_of(evil)) == {"rimwise.json", "discs.csv"}
    assert set(tmp_path.rglob("*")) == before
    monkeypatch.setattr(unarchive, "_MOST_BYTES", 1_000_000)
    with pytest.raises(InputError, match="bigger than any export"):
        files_of(evil)
