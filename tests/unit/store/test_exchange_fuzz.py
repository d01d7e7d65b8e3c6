"""Whatever is thrown at a reader, it answers with records, problems or one of our sentences."""

from __future__ import annotations

from collections.abc import Callable

import pytest
import store_examples as ex
from hypothesis import given, settings
from hypothesis import strategies as st

from rimwise.errors import InputError
from rimwise.store.exchange.conditions import CLIMATE_COLUMNS, read_conditions
from rimwise.store.exchange.disc_rows import DISC_COLUMNS
from rimwise.store.exchange.discs import read_discs, read_discs_csv, read_discs_lines
from rimwise.store.exchange.json_files import read_cart_json, read_thrower_json
from rimwise.store.exchange.known import Known
from rimwise.store.exchange.plastics import PLASTIC_COLUMNS, read_plastics_csv
from rimwise.store.exchange.save import known_in, save_discs
from rimwise.store.opening import integrity_check, open_store

KNOWN = Known.of([ex.MOLD], [ex.PLASTIC], [ex.RED, ex.BLUE])
CELLS = st.sampled_from(
    [
        *("", "NH 27", "OL 9", "soft base", "170", "6.2", "-1", "0,5", "1e999", "nan", "inf", "½"),
        *("٣", "5 g lighter than a", "same as a", "same as nh27-red", "a", "b", "'", '"', "'=1"),
        *("yes", "new", "40", "100%", "%", "--", "£", "\n", "x" * 300, "1_000", "0x10", "\u2028"),
        *("METAR EHAM 141825Z 18010KT 2700 BR 04/04 Q1024", "METAR", "METAR EHAM", "SW", "wet"),
    ]
)
READERS: list[Callable[[str | bytes, str], object]] = [
    lambda data, name: read_discs(data, name, KNOWN),
    lambda data, name: read_discs_csv(data, name, KNOWN),
    lambda data, name: read_discs_lines(data, name, KNOWN),
    read_plastics_csv,
    read_conditions,
    read_thrower_json,
    read_cart_json,
]


@pytest.mark.parametrize("reader", READERS)
@given(data=st.one_of(st.binary(max_size=60), st.text(max_size=60)))
@settings(max_examples=25, deadline=None)
def test_any_bytes_or_text(reader, data):
    try:
        reader(data, "any")
    except InputError as error:
        assert str(error).startswith("any")  # noqa: PT017 - most inputs raise, some do not


def quoted(rows):
    return ["".join(f'"{cell.replace(chr(34), chr(34) * 2)}",' for cell in row) for row in rows]


def table(draw, columns):
    names = st.sampled_from([column.name for column in columns])
    header = draw(st.lists(names, min_size=1, max_size=12, unique=True))
    rows = draw(st.lists(st.lists(CELLS, min_size=1, max_size=13), max_size=4))
    return "\n".join([",".join(header), *quoted(rows)])


@st.composite
def disc_tables(draw):
    """A table with the columns a disc needs, good cells more often than not, then any others."""
    needed = ["disc", "mold", "plastic", "weight"]
    names = st.sampled_from([item.name for item in DISC_COLUMNS if item.name not in needed])
    others = draw(st.lists(names, max_size=3, unique=True))
    row = st.tuples(
        st.sampled_from(["", "a", "b", "c", "=d"]),
        st.sampled_from(["NH 27", "nh27"]) | CELLS,
        st.sampled_from(["soft base", "tin"]) | CELLS,
        st.sampled_from(["170", "same as a", "same as b", "5 g lighter than =d"]) | CELLS,
        *(CELLS for _ in others),
    )
    filled = row.filter(lambda cells: any(cell.strip() for cell in cells))
    rows = draw(st.lists(filled, min_size=1, max_size=5))
    return "\n".join([",".join([*needed, *others]), *quoted(rows)])


@given(disc_tables())
@settings(max_examples=30, deadline=None)
def test_what_is_read_from_any_table_can_be_saved(tmp_path_factory, text):
    with open_store(tmp_path_factory.mktemp("fuzz") / "data.sqlite") as store:
        ex.fill(store)
        read = read_discs_csv(text, "any", known_in(store))
        assert save_discs(store, read, keep_good=True) == len(read.discs)
        assert integrity_check(store) == ()


@pytest.mark.parametrize(
    ("reader", "columns"),
    [(read_plastics_csv, PLASTIC_COLUMNS), (read_conditions, CLIMATE_COLUMNS)],
)
@given(data=st.data())
@settings(max_examples=30, deadline=None)
def test_any_other_table(reader, columns, data):
    text = table(data.draw, columns)
    try:
        reader(text, "any")
    except InputError as error:
        assert str(error).startswith("any")  # noqa: PT017 - most inputs raise, some do not
