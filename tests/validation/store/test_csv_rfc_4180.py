"""The examples of RFC 4180, section 2 (Shafranovich 2005, doi:10.17487/RFC4180).

The examples are those of the memo, with its fields ``aaa``, ``bbb``, ``ccc`` and so on; the
header is put in front of those that have none, because our tables need one.
"""

from __future__ import annotations

import csv
import io

import pytest

from rimwise.flight.printed import Printed
from rimwise.records.discs import Disc, Grip, Mold, Plastic, Weight
from rimwise.store.exchange.export import export_discs_csv
from rimwise.store.exchange.tables import Column, read_table

COLUMNS = (Column("field_name"), Column("second", ("field name 2",)), Column("third"))
HEADER = "field_name,second,third\r\n"

EXAMPLES = {
    "rule 1, lines end with CRLF": (
        "aaa,bbb,ccc\r\nzzz,yyy,xxx\r\n",
        [["aaa", "bbb", "ccc"], ["zzz", "yyy", "xxx"]],
    ),
    "rule 2, no line break after the last record": (
        "aaa,bbb,ccc\r\nzzz,yyy,xxx",
        [["aaa", "bbb", "ccc"], ["zzz", "yyy", "xxx"]],
    ),
    "rule 5, quoted and bare fields": (
        '"aaa","bbb","ccc"\r\nzzz,yyy,xxx',
        [["aaa", "bbb", "ccc"], ["zzz", "yyy", "xxx"]],
    ),
    "rule 6, a line break inside quotes": (
        '"aaa","b\r\nbb","ccc"\r\nzzz,yyy,xxx',
        [["aaa", "b\r\nbb", "ccc"], ["zzz", "yyy", "xxx"]],
    ),
    "rule 7, a double quote written twice": ('"aaa","b""bb","ccc"', [["aaa", 'b"bb', "ccc"]]),
}


@pytest.mark.parametrize("example", EXAMPLES)
def test_reading(example):
    text, expected = EXAMPLES[example]
    table = read_table(HEADER + text, "rfc.csv", COLUMNS)
    assert [[row.cells[name] for name in table.columns] for row in table.rows] == expected


def test_rule_4_spaces_are_part_of_a_field():
    table = read_table(HEADER + " aaa ,bbb, ccc", "rfc.csv", COLUMNS)
    assert list(table.rows[0].cells.values()) == [" aaa ", "bbb", " ccc"]


def test_writing_follows_rules_1_5_6_and_7():
    note = 'b"b\r\nb, c'
    disc = Disc("d", "NH 27", "soft base", Weight(170.0), colour="red", note=note)
    text = export_discs_csv(
        [disc], [Mold("NH 27", Printed(7, 5, 0, 1))], [Plastic("soft base", Grip(3, 3, 3, 3))]
    )
    assert text.endswith(',"b""b\r\nb, c"\r\n')
    rows = list(csv.reader(io.StringIO(text, newline=""), strict=True))
    assert {len(row) for row in rows} == {len(rows[0])}  # rule 4: as many fields in each line
