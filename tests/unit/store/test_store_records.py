"""Every record comes back from the data file as it went in."""

from __future__ import annotations

import dataclasses
import math
import sqlite3
from datetime import date

import pytest
import store_examples as ex

from rimwise.errors import InputError, NotFoundError, StoreError
from rimwise.flight.printed import Printed
from rimwise.records.carries import Carry
from rimwise.records.discs import Disc, Mold, WeightRelativeTo
from rimwise.records.evidence import Putts
from rimwise.store import layouts
from rimwise.store.opening import integrity_check, open_store
from rimwise.store.shelves import Layout
from rimwise.store.store import Store

LAYOUTS = [item for item in vars(layouts).values() if isinstance(item, Layout)]


@pytest.fixture
def store(tmp_path):
    with open_store(tmp_path / "data.sqlite") as opened:
        yield opened


@pytest.fixture
def filled(store):
    ex.fill(store)
    return store


@pytest.mark.parametrize("name", list(ex.SHELVED))
def test_a_shelved_record_comes_back_equal(filled, name):
    shelf, record = getattr(filled, name), ex.SHELVED[name]
    assert shelf.all() == [record]
    assert shelf.get(record.name) == record
    assert shelf.keys() == [record.name]
    assert record.name in shelf
    assert "nothing" not in shelf
    assert len(shelf) == 1


@pytest.mark.parametrize("name", list(ex.LOGGED))
def test_a_logged_record_comes_back_equal(filled, name):
    log, record = getattr(filled, name), ex.LOGGED[name]
    assert log.all() == [(1, record)]
    assert log.get(1) == record
    assert log.latest() == (1, record)


def test_discs_molds_and_plastics_come_back_equal(filled):
    assert filled.discs.all() == [ex.BLUE, ex.RED]
    assert filled.molds.all() == [ex.MOLD]
    assert filled.plastics.all() == [ex.PLASTIC]


@pytest.mark.parametrize("layout", LAYOUTS, ids=lambda layout: layout.table)
def test_the_schema_has_exactly_the_columns_of_the_record(store, layout):
    def columns(table):
        return [row[1] for row in store.connection.rows(f"PRAGMA table_info({table})")]

    own = list(layout.rows.columns)
    assert columns(layout.table) == (own if layout.key in own else [layout.key, *own])
    for child in layout.children:
        assert columns(child.table) == ["owner", "position", *child.rows.columns]


def test_every_table_is_strict(store):
    tables = store.connection.rows(
        "SELECT name, strict FROM pragma_table_list "
        "WHERE schema = 'main' AND name NOT LIKE 'sqlite_%'"
    )
    described = {layout.table for layout in LAYOUTS}
    described |= {child.table for layout in LAYOUTS for child in layout.children}
    assert described | {"settings"} <= {name for name, _ in tables}
    assert all(strict for _, strict in tables)


def test_the_connection_is_careful(store):
    def setting(name):
        return store.connection.rows(f"PRAGMA {name}")[0][0]

    assert setting("journal_mode") == "wal"
    assert setting("foreign_keys") == 1
    assert setting("synchronous") == 2  # FULL, https://sqlite.org/pragma.html#pragma_synchronous


def test_putting_again_replaces_the_members_and_keeps_the_order(filled):
    filled.courses.put(dataclasses.replace(ex.COURSE, name="pines"))
    shorter = dataclasses.replace(ex.COURSE, holes=ex.COURSE.holes[:1], areas=(), drop_zones=())
    filled.courses.put(shorter)
    assert [course.name for course in filled.courses.all()] == ["heath", "pines"]
    assert filled.courses.get("heath") == shorter
    assert filled.courses.get("pines").holes == ex.COURSE.holes


def test_numbers_of_deleted_records_are_not_used_again(filled):
    second = filled.putts.add(ex.PUTTS)
    filled.putts.delete(second)
    assert filled.putts.add(ex.PUTTS) == second + 1


def test_a_corrected_record_keeps_its_number(filled):
    later = filled.rounds.add(ex.ROUND)
    corrected = dataclasses.replace(ex.ROUND, scores=ex.ROUND.scores[:1])
    filled.rounds.replace(1, corrected)
    assert filled.rounds.all() == [(1, corrected), (later, ex.ROUND)]
    with pytest.raises(NotFoundError, match="there is no round 9 on file"):
        filled.rounds.replace(9, corrected)


def test_nothing_latest_in_an_empty_log(store):
    assert store.carries.latest() is None


@pytest.mark.parametrize("name", [*ex.SHELVED, "discs", "molds", "plastics"])
def test_a_missing_name_is_said(store, name):
    shelf = getattr(store, name)
    with pytest.raises(NotFoundError, match=r"there is no .* 'ghost' on file"):
        shelf.get("ghost")
    with pytest.raises(NotFoundError, match=r"there is no .* 'ghost' on file"):
        shelf.delete("ghost")


@pytest.mark.parametrize("name", list(ex.LOGGED))
def test_a_missing_number_is_said(store, name):
    log = getattr(store, name)
    with pytest.raises(NotFoundError, match=r"there is no .* 7 on file"):
        log.get(7)
    with pytest.raises(NotFoundError, match=r"there is no .* 7 on file"):
        log.delete(7)


def test_a_disc_needs_its_mold_and_plastic_on_file(filled):
    with pytest.raises(NotFoundError, match="there is no mold 'OL 9' on file; add it first"):
        filled.discs.put(dataclasses.replace(ex.RED, mold="OL 9"))
    with pytest.raises(NotFoundError, match="there is no plastic 'tin' on file; add it first"):
        filled.discs.put(dataclasses.replace(ex.RED, plastic="tin"))
    assert filled.discs.get("nh27-red") == ex.RED


def test_evidence_needs_its_disc_on_file(filled):
    with pytest.raises(NotFoundError, match="there is no disc 'ghost' on file"):
        filled.throws.add(dataclasses.replace(ex.THROW, disc_id="ghost"))
    with pytest.raises(NotFoundError, match="there is no disc 'ghost' on file"):
        filled.carries.add(dataclasses.replace(ex.CARRY, alternates=("ghost",)))
    assert len(filled.throws) == len(filled.carries) == 1


def test_what_is_still_named_is_not_deleted(filled):
    with pytest.raises(InputError) as caught:
        filled.discs.delete("nh27-red")
    text = str(caught.value)
    assert "disc 'nh27-red' cannot be deleted" in text
    assert "1 in throws" in text
    assert text.endswith("or retire it.")
    with pytest.raises(InputError, match=r"mold 'NH 27' cannot be deleted.*2 in discs"):
        filled.molds.delete("NH 27")
    with pytest.raises(InputError, match=r"course 'heath' cannot be deleted.*1 in rounds"):
        filled.courses.delete("heath")


def test_what_nothing_names_is_deleted_with_its_members(filled):
    filled.rounds.delete(1)
    filled.courses.delete("heath")
    assert filled.courses.all() == []
    assert filled.connection.rows("SELECT count(*) FROM course_holes") == [(0,)]


def test_a_weight_against_a_missing_disc_is_refused(filled):
    stray = dataclasses.replace(ex.BLUE, weight=WeightRelativeTo("ghost", 1.0))
    with pytest.raises(InputError, match="given against 'ghost', which is not on file"):
        filled.discs.put(stray)
    assert filled.discs.get("nh27-blue") == ex.BLUE


@pytest.mark.parametrize("length", [1, 2, 3])
def test_weights_in_a_circle_are_refused(filled, length):
    names = [f"ring-{number}" for number in range(length)]
    ring = [
        Disc(name, "NH 27", "soft base", WeightRelativeTo(names[(i + 1) % length], 1.0))
        for i, name in enumerate(names)
    ]
    with pytest.raises(InputError, match="the weights go in a circle: 'ring-0'"):
        filled.discs.put_all(ring)


def test_a_block_that_fails_saves_nothing_and_an_inner_one_only_its_own(store):
    def fail():
        with store.atomic():
            store.putts.add(ex.PUTTS)
            raise RuntimeError("stop")

    with pytest.raises(RuntimeError):
        fail()
    assert len(store.putts) == 0
    with store.atomic():
        store.putts.add(ex.PUTTS)
        with pytest.raises(RuntimeError):
            fail()
    assert store.putts.all() == [(1, ex.PUTTS)]


def test_what_a_file_cannot_keep_is_refused(filled):
    store = filled
    with pytest.raises(InputError, match=r"seed is .*; give a whole number of at most 18 digits"):
        store.carries.add(Carry("big", ex.DAY, "", "", ("nh27-red",), seed=2**64))
    with pytest.raises(InputError, match="name holds a broken character; type it anew"):
        store.molds.put(Mold("NH \udc80", Printed(7, 5, 0, 1)))
    cart = dataclasses.replace(ex.CART, com_x_m=math.nan)
    with pytest.raises(InputError, match="com_x_m must be a finite number"):
        store.carts.put(cart)
    course = dataclasses.replace(
        ex.COURSE,
        areas=(dataclasses.replace(ex.COURSE.areas[0], ring=((0, 0), (1, 0), (0, math.inf))),),
    )
    with pytest.raises(InputError, match="ring must hold finite numbers only"):
        store.courses.put(course)
    assert store.carts.all() == [ex.CART]
    assert store.courses.all() == [ex.COURSE]
    assert len(store.molds) == len(store.carries) == 1


def test_a_full_disk_is_said_and_nothing_is_saved(filled):
    pages = filled.connection.rows("PRAGMA page_count")[0][0]
    filled.connection.execute(f"PRAGMA max_page_count = {pages}")  # as if the disk ended here
    large = [dataclasses.replace(ex.PUTTS, conditions="x" * 3000)] * 20
    with pytest.raises(StoreError, match=r"the disk with '.*' is full and nothing was saved"):
        filled.putts.add_all(large)
    assert filled.putts.all() == [(1, ex.PUTTS)]
    filled.connection.execute("PRAGMA max_page_count = 100000")
    assert filled.putts.add_all(large) == list(range(2, 22))


def test_settings_keep_json_and_defaults(store):
    assert store.settings.get("demo", False) is False
    store.settings.put("demo", True)
    store.settings.put("scatter.boost", {"per_degree": 0.03, "words": ["a", "ü"]})
    store.settings.put("demo", False)
    assert store.settings.all() == {
        "demo": False,
        "scatter.boost": {"per_degree": 0.03, "words": ["a", "ü"]},
    }
    store.settings.delete("demo")
    store.settings.delete("demo")
    assert store.settings.get("demo") is None
    with pytest.raises(InputError, match="'x' must be plain text, numbers or lists"):
        store.settings.put("x", math.nan)


def test_a_sound_file_has_no_fault(filled):
    assert integrity_check(filled) == ()


def test_a_value_no_record_allows_is_found(filled):
    raw = filled.connection
    raw.execute("UPDATE discs SET status = 'on the moon' WHERE id = 'nh27-red'")
    raw.execute("PRAGMA foreign_keys = OFF")
    raw.execute("UPDATE discs SET plastic = 'tin' WHERE id = 'nh27-red'")
    raw.execute("UPDATE discs SET weight_against = 'ghost' WHERE id = 'nh27-blue'")
    found = integrity_check(filled)
    assert any("disc 'nh27-red' cannot be read" in text and "on the moon" in text for text in found)
    assert "A row of discs names 'tin' of plastics, which is gone." in found
    assert any("given against 'ghost'" in text for text in found)


def test_two_readers_and_a_writer_share_the_file(tmp_path):
    path = tmp_path / "data.sqlite"
    with open_store(path) as writer, open_store(path, read_only=True) as reader:
        ex.fill(writer)
        assert reader.discs.all() == writer.discs.all()
        with writer.atomic():
            writer.putts.add(Putts(date(2026, 5, 1), 5.0, 10, 9))
            assert len(reader.putts) == 1
        assert len(reader.putts) == 2


def test_the_store_is_the_only_way_in(filled):
    assert isinstance(filled, Store)
    filled.close()
    with pytest.raises(sqlite3.ProgrammingError):
        filled.discs.all()
