"""What is exported reads back equal, formulas are kept harmless, records survive the file."""

from __future__ import annotations

import csv
import io

import pytest
import store_examples as ex
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from rimwise.errors import NotFoundError
from rimwise.flight.printed import Printed
from rimwise.records.discs import (
    Disc,
    Grip,
    Mold,
    OwnGrip,
    Plastic,
    Status,
    Weight,
    WeightRelativeTo,
)
from rimwise.store.exchange.discs import read_discs_csv
from rimwise.store.exchange.export import export_discs_csv, export_plastics_csv
from rimwise.store.exchange.known import Known, fold
from rimwise.store.exchange.plastics import read_plastics_csv
from rimwise.store.exchange.save import known_in, save_discs
from rimwise.store.opening import open_store

# Control characters and surrogates are no text of a disc; white space around it is dropped.
letters = st.characters(exclude_categories=["Cs", "Cc"], include_characters="\n")
texts = st.one_of(
    st.text(letters, max_size=12),
    st.builds(
        str.__add__, st.sampled_from(["=", "+", "-", "@", "'", "'=", "''@"]), st.text(letters)
    ),
).map(str.strip)
names = texts.filter(bool)
grades = st.floats(1.0, 5.0)
shares = st.floats(0.0, 1.0)
molds = st.builds(
    Mold,
    names,
    st.builds(Printed, st.floats(1, 15), st.floats(1, 7), st.floats(-5, 1), st.floats(0, 5)),
    texts,
    st.none() | st.floats(0.20, 0.30),
    st.none() | st.floats(0.004, 0.026),
)
plastics = st.builds(
    Plastic,
    names,
    st.builds(Grip, grades, grades, grades, grades),
    shares,
    st.booleans(),
    st.floats(-2, 2),
    st.floats(0, 2),
)


@st.composite
def collections(draw):
    """Some molds, plastics and discs of them, weights leaning on earlier discs included."""
    some_molds = draw(st.lists(molds, min_size=1, max_size=3, unique_by=lambda m: fold(m.name)))
    some_plastics = draw(
        st.lists(plastics, min_size=1, max_size=3, unique_by=lambda p: fold(p.name))
    )
    ids = draw(st.lists(names, min_size=1, max_size=5, unique=True))
    discs: list[Disc] = []
    for disc_id in ids:
        known = st.builds(Weight, st.floats(60, 200), st.floats(0, 20))
        others = st.sampled_from([disc.id for disc in discs]) if discs else st.nothing()
        offsets = st.floats(-100, 100).map(lambda offset: offset + 0.0)
        relative = st.builds(WeightRelativeTo, others, offsets, st.floats(0, 20))
        own = st.none() | grades
        discs.append(
            draw(
                st.builds(
                    Disc,
                    st.just(disc_id),
                    st.sampled_from([mold.name for mold in some_molds]),
                    st.sampled_from([plastic.name for plastic in some_plastics]),
                    known | relative,
                    run=texts,
                    colour=texts,
                    mark=texts,
                    wear=shares,
                    condition=texts,
                    status=st.sampled_from(Status),
                    cost=st.none() | st.floats(0, 100_000),
                    meaning=texts,
                    own_grip=st.builds(OwnGrip, own, own, own, own),
                    note=texts,
                )
            )
        )
    return some_molds, some_plastics, discs


@given(collections())
@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_exported_discs_read_back_equal(collection):
    some_molds, some_plastics, discs = collection
    text = export_discs_csv(discs, some_molds, some_plastics)
    read = read_discs_csv(text.encode("utf-8-sig"), "discs.csv", Known.of([], some_plastics))
    assert [str(problem) for problem in read.problems] == []
    assert list(read.discs) == discs
    used = {disc.mold for disc in discs}
    assert {mold.name: mold for mold in read.molds} == {
        mold.name: mold for mold in some_molds if mold.name in used
    }


@given(collections())
@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_saved_discs_come_back_equal(tmp_path_factory, collection):
    some_molds, some_plastics, discs = collection
    with open_store(tmp_path_factory.mktemp("store") / "data.sqlite") as store:
        store.molds.put_all(some_molds)
        store.plastics.put_all(some_plastics)
        store.discs.put_all(reversed(discs))
        assert store.discs.all() == list(reversed(discs))
        assert store.molds.all() == some_molds
        assert store.plastics.all() == some_plastics


@given(st.lists(plastics, min_size=1, max_size=3, unique_by=lambda p: fold(p.name)))
@settings(max_examples=40, deadline=None)
def test_exported_plastics_read_back_equal(some_plastics):
    read = read_plastics_csv(export_plastics_csv(some_plastics), "plastics.csv")
    assert [str(problem) for problem in read.problems] == []
    assert list(read.plastics) == some_plastics


@pytest.mark.parametrize("start", ["=", "+", "-", "@"])
def test_no_exported_text_cell_begins_like_a_formula(start):
    # The four signs are those of the OWASP page "CSV Injection".
    text = f"{start}cmd|' /C calc'!A0"
    disc = Disc(
        text, text, text, WeightRelativeTo(text + "2", -5.0),
        run=text, colour=text, mark=text, condition=text, meaning=text, note=text,
    )  # fmt: skip
    other = Disc(text + "2", text, text, Weight(170.0))
    mold = Mold(text, Printed(7, 5, 0, 1), text)
    plastic = Plastic(text, Grip(3, 3, 3, 3))
    table = export_discs_csv([disc, other], [mold], [plastic])
    cells = [cell for row in csv.reader(io.StringIO(table, newline="")) for cell in row]
    assert sum(cell.startswith("'" + start) for cell in cells) == 14
    assert not any(cell.startswith(start) for cell in cells)
    assert read_discs_csv(table, "discs.csv").discs == (disc, other)


def test_a_disc_without_its_mold_is_not_exported_half():
    with pytest.raises(NotFoundError, match="disc 'nh27-red' is of mold 'NH 27', which is not giv"):
        export_discs_csv([ex.RED], [], [ex.PLASTIC])


def test_export_edit_import(tmp_path):
    with open_store(tmp_path / "data.sqlite") as store:
        ex.fill(store)
        table = export_discs_csv(store.discs.all(), store.molds.all(), store.plastics.all())
        edited = table.replace("nicks on the rim", "cracked")
        read = read_discs_csv(edited, "discs.csv", known_in(store))
        assert [notice.wrong for notice in read.notices] == [
            "'nh27-red' is on file and will be replaced"
        ]
        save_discs(store, read)
        assert store.discs.get("nh27-red").condition == "cracked"
        assert store.discs.get("nh27-blue") == ex.BLUE
        assert len(store.throws) == 1
