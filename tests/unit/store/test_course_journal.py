"""Every change of a course can be taken back, the last first."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

import pytest
import store_examples as ex

from rimwise.errors import NotFoundError
from rimwise.store.course_journal import KEPT, CourseJournal
from rimwise.store.opening import open_store

NOW = datetime(2026, 11, 25, 21, 0)


@pytest.fixture
def store(tmp_path):
    with open_store(tmp_path / "data.sqlite") as opened:
        yield opened


def test_changes_are_taken_back_one_by_one(store):
    journal = CourseJournal(store)
    journal.put(ex.COURSE, "imported heath.osm", NOW)
    bare = replace(ex.COURSE, areas=())
    journal.put(bare, "took away the pond", NOW)
    journal.put(replace(bare, attribution=""), "no notice", NOW)
    assert (change := journal.undo("heath")).before == bare
    assert (change.what, change.at) == ("no notice", NOW)
    assert store.courses.get("heath") == bare
    journal.undo("heath")
    assert store.courses.get("heath") == ex.COURSE
    with pytest.raises(NotFoundError, match="heath was not changed"):
        journal.undo("heath")


def test_the_same_again_is_no_change(store):
    journal = CourseJournal(store)
    journal.put(ex.COURSE, "imported", NOW)
    journal.put(ex.COURSE, "imported", NOW)
    with pytest.raises(NotFoundError):
        journal.undo("heath")


def test_old_changes_are_forgotten(store):
    journal = CourseJournal(store)
    for number in range(KEPT + 6):
        journal.put(replace(ex.COURSE, attribution=str(number)), "renamed", NOW)
    other = replace(ex.COURSE, name="other")
    journal.put(other, "imported", NOW)
    journal.put(replace(other, attribution=""), "changed", NOW)
    for _ in range(KEPT):
        journal.undo("heath")
    assert store.courses.get("heath").attribution == "5"
    with pytest.raises(NotFoundError):
        journal.undo("heath")
    assert journal.undo("other").before == other
