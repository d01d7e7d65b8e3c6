"""The history: every table writes what it was before, dated, and nothing rewrites it."""

from __future__ import annotations

import sqlite3
from dataclasses import replace
from datetime import datetime

import pytest
import store_examples as ex

from rimwise.records.discs import Status
from rimwise.store import changes, layouts
from rimwise.store.opening import open_store

NOON = datetime(2026, 4, 1, 12, 0, 5)
LAYOUTS = {one.table: one for one in vars(layouts).values() if isinstance(one, layouts.Layout)}


@pytest.fixture
def store(tmp_path):
    with open_store(tmp_path / "data.sqlite", clock=lambda: NOON) as opened:
        ex.fill(opened)
        yield opened


def told(store, step):
    return [(c.place, c.key, c.action) for c in changes.changes_of(store.connection, step)]


def test_what_is_saved_together_is_one_dated_step(store):
    (step,) = changes.steps_of(store.connection)
    assert (step.at, step.undoes) == (NOON, None)
    places = [place for place, _, _ in told(store, step.number)]
    assert set(places) == set(LAYOUTS) | {"settings"}
    assert {action for _, _, action in told(store, step.number)} == {"added"}


def test_a_change_keeps_the_record_as_it_was(store):
    lost = replace(ex.RED, status=Status.LOST)
    store.discs.put(lost)
    (change,) = changes.changes_of(store.connection, 2)
    assert (change.place, change.key, change.action) == ("discs", "nh27-red", "changed")
    assert changes.record_from(layouts.DISCS.record, change.before) == ex.RED


@pytest.mark.parametrize("place", sorted(set(LAYOUTS) - {"molds", "plastics"}))
def test_a_deletion_keeps_the_record_whole(store, place):
    table, numbered = getattr(store, place), place in ex.LOGGED
    key = 1 if numbered else table.keys()[0]
    record = table.get(key)
    if place == "discs":
        with store.atomic():
            for name in ("carries", "throws", "comparisons", "grip_grades"):
                getattr(store, name).delete(1)
            store.condition_grades.delete(1)
            store.knocks.delete(1)
            store.discs.put(replace(ex.BLUE, weight=ex.RED.weight))
    if place == "courses":
        store.rounds.delete(1)
    if place == "discs":
        key, record = "nh27-blue", store.discs.get("nh27-blue")
    table.delete(key)
    step = changes.step_numbers(store.connection, place, str(key))[-1]
    change = changes.changes_of(store.connection, step)[-1]
    assert (change.place, change.key, change.action) == (place, str(key), "deleted")
    assert changes.record_from(LAYOUTS[place].record, change.before) == record


def test_saving_what_is_there_already_is_no_change(store):
    with store.atomic():
        store.discs.put_all(store.discs.all())
        store.throws.replace(1, store.throws.get(1))
        store.settings.put("demo", True)
    assert len(changes.steps_of(store.connection)) == 1


def test_settings_of_many_parts_change_part_by_part(store):
    store.settings.put("retired_on", {"a": "2026-01-01", "b": "2026-01-02"})
    store.settings.put("retired_on", {"b": "2026-02-02", "c": "2026-01-03"})
    assert told(store, 3) == [
        ("settings", "retired_on/a", "deleted"),
        ("settings", "retired_on/b", "changed"),
        ("settings", "retired_on/c", "added"),
    ]


def test_what_is_taken_back_by_an_error_leaves_no_step(store):
    def fail():
        with store.atomic():
            store.discs.put(replace(ex.RED, note="never"))
            raise RuntimeError

    with pytest.raises(RuntimeError):
        fail()
    with store.atomic():
        with pytest.raises(RuntimeError):
            fail()
        store.discs.put(replace(ex.RED, note="kept"))
    steps = changes.steps_of(store.connection)
    assert len(steps) == 2
    assert told(store, steps[-1].number) == [("discs", "nh27-red", "changed")]


def test_history_is_not_rewritten(store):
    for rewriting in ("UPDATE steps SET at = ''", "UPDATE changes SET before = NULL"):
        with pytest.raises(sqlite3.IntegrityError, match="history is not rewritten"):
            store.connection.execute(rewriting)
