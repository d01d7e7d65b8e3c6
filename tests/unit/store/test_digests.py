"""A digest tells whether anything changed, and reads years of throws once after each change."""

from __future__ import annotations

import sqlite3
from contextlib import closing

import pytest
import store_examples as ex

from rimwise.store.journal import KINDS, Journal
from rimwise.store.opening import open_store

THROWS = ("throws",)
ALL = ("putts", "rounds", "throws")


@pytest.fixture
def path(tmp_path):
    place = tmp_path / "data.sqlite"
    with open_store(place) as store:
        ex.fill(store)
    return place


@pytest.fixture
def store(path):
    with open_store(path) as opened:
        yield opened


def read_again(store, tables):
    """Return a digest, and whether the throws were read for it."""
    seen = []
    store.connection.raw.set_trace_callback(seen.append)
    found = store.digest(tables)
    store.connection.raw.set_trace_callback(None)
    return found, any('FROM "throws"' in statement for statement in seen)


def test_throws_are_read_once_after_each_change(store, path):
    first, read = read_again(store, THROWS)
    assert read
    assert read_again(store, THROWS) == (first, False)
    with open_store(path) as other:
        assert read_again(other, THROWS) == (first, False)
    store.throws.add(ex.THROW)
    second, read = read_again(store, THROWS)
    assert read
    assert second != first
    assert read_again(store, THROWS) == (second, False)


def test_what_is_taken_back_has_the_digest_that_it_had(store):
    first = store.digest(THROWS)
    number = store.throws.add(ex.THROW)
    assert store.digest(THROWS) != first
    Journal(store).delete(KINDS["throw"], number, store.connection.clock())
    assert store.digest(THROWS) == first


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE throws SET distance_m = distance_m + 1",
        "DELETE FROM throws",
        "UPDATE putts SET made = 0",
        "DELETE FROM putts",
        "UPDATE rounds SET note = 'windy'",
        "UPDATE round_scores SET strokes = 5 WHERE strokes = 4",
        "DELETE FROM round_scores WHERE strokes = 4",
    ],
)
def test_no_way_of_writing_is_missed(store, path, statement):
    """Not even that of a program that knows nothing of digests."""
    first = store.digest(ALL)
    with closing(sqlite3.connect(path)) as raw:
        assert raw.execute(statement).rowcount > 0
        raw.commit()
    assert store.digest(ALL) != first


def test_what_is_written_while_a_table_is_read_counts(store, path):
    with open_store(path) as other:
        late = []

        def write_once(statement):
            if 'FROM "throws"' in statement and not late:
                late.append(other.throws.add(ex.THROW))

        store.connection.raw.set_trace_callback(write_once)
        old = store.digest(THROWS)
        store.connection.raw.set_trace_callback(None)
        assert late
        assert store.digest(THROWS) == other.digest(THROWS) != old


def test_nobody_waits_for_a_digest_to_be_kept(store, path):
    """While another program writes, and where nothing may be written, it is told all the same."""
    with open_store(path, read_only=True) as reader:
        first, read = read_again(reader, THROWS)
        assert read
        assert read_again(reader, THROWS) == (first, True)
    with open_store(path) as writer, writer.atomic():
        writer.settings.put("units", "ft")
        assert read_again(store, THROWS) == (first, True)
    assert read_again(store, THROWS) == (first, True)
    assert read_again(store, THROWS) == (first, False)


def test_inside_a_snapshot_nothing_is_written(store, path):
    """Or whoever reads would keep others from writing until the end."""
    with open_store(path) as other:
        with store.connection.snapshot():
            first = store.digest(THROWS)
            with other.connection.at_once():
                other.putts.add(ex.PUTTS)
            assert read_again(store, THROWS) == (first, True)
        assert read_again(store, THROWS) == (first, True)
        assert read_again(store, THROWS) == (first, False)


def test_keeping_a_digest_is_no_change_of_the_records(store):
    before = store.connection.rows("SELECT count(*) FROM steps")
    store.digest(ALL)
    assert store.connection.rows("SELECT count(*) FROM steps") == before
