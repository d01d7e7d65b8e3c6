"""Edits and deletions of evidence keep what was before; the same file twice changes nothing."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

import pytest
import store_examples as ex

from rimwise.errors import InputError, NotFoundError
from rimwise.records.evidence import Weather
from rimwise.store.journal import KINDS, Journal, kind_of_record
from rimwise.store.opening import open_store

NOON = datetime(2026, 4, 1, 12, 0, 5)
LATER = datetime(2026, 4, 2, 9, 30)
THROW, COMPARISON = KINDS["throw"], KINDS["comparison"]
EVIDENCE = [record for name, record in ex.LOGGED.items() if name != "carries"]


@pytest.fixture
def journal(tmp_path):
    with open_store(tmp_path / "data.sqlite") as store:
        ex.fill(store)
        yield Journal(store)


@pytest.mark.parametrize("record", EVIDENCE, ids=lambda record: type(record).__name__)
def test_a_deleted_record_comes_back_equal_under_its_number(journal, record):
    kind = kind_of_record(record)
    assert journal.delete(kind, 1, NOON) == record
    assert journal.all(kind) == []
    assert [one.record for one in journal.deleted()] == [record]
    assert journal.restore(kind, 1, LATER) == record
    assert journal.all(kind) == [(1, record)]
    assert journal.deleted() == []
    assert [(one.action, one.at) for one in journal.entries(kind, 1)] == [
        ("deleted", NOON),
        ("restored", LATER),
    ]


def test_every_earlier_version_is_kept_with_its_time(journal):
    first = replace(ex.THROW, distance_m=60.0)
    second = replace(first, left_m=2.0)
    journal.edit(THROW, 1, first, NOON)
    journal.edit(THROW, 1, second, LATER)
    assert journal.get(THROW, 1) == second
    assert [(one.record, one.at) for one in journal.entries(THROW, 1)] == [
        (ex.THROW, NOON),
        (first, LATER),
    ]


def test_what_cannot_be_changed_is_said(journal):
    with pytest.raises(InputError, match="t1 already says that"):
        journal.edit(THROW, 1, ex.THROW, NOON)
    with pytest.raises(InputError, match="c1 is not deleted"):
        journal.restore(COMPARISON, 1, NOON)
    with pytest.raises(NotFoundError, match="no throw t9 on file"):
        journal.delete(THROW, 9, NOON)
    journal.delete(THROW, 1, NOON)
    with pytest.raises(NotFoundError, match=r"t1 was deleted on 2026-04-01; .* log undelete t1"):
        journal.edit(THROW, 1, ex.THROW, LATER)
    assert len(journal.entries()) == 1
    journal.restore(THROW, 1, LATER)
    with pytest.raises(InputError, match="throw 1 is on file; there is nothing to bring back"):
        journal.restore(THROW, 1, LATER)


def test_a_failed_restoration_leaves_the_record_deleted(journal):
    journal.delete(THROW, 1, NOON)
    store = journal._store
    for log in ("carries", "comparisons", "grip_grades", "condition_grades", "knocks"):
        getattr(store, log).delete(1)
    store.discs.put(replace(ex.BLUE, weight=ex.RED.weight))
    store.discs.delete("nh27-red")
    with pytest.raises(NotFoundError, match="no disc 'nh27-red' on file"):
        journal.restore(THROW, 1, LATER)
    assert [one.record for one in journal.deleted()] == [ex.THROW]


def test_equal_throws_of_one_file_all_count_and_the_file_again_adds_none(journal):
    new = replace(ex.THROW, distance_m=70.0)
    file = [new, new, replace(new, left_m=1.0), ex.COMPARISON]
    first = journal.add_once(file)
    assert (len(first.numbers), first.known, first.deleted) == (3, 1, 0)
    again = journal.add_once(file)
    assert (again.numbers, again.known, again.deleted) == ((), 4, 0)
    longer = journal.add_once([*file, new])
    assert (len(longer.numbers), longer.known) == (1, 4)


def test_zero_to_the_right_is_zero_to_the_left_when_a_file_comes_again(journal):
    straight = replace(ex.THROW, left_m=-0.0, note='said "left_m": -0.0, by hand')
    assert len(journal.add_once([straight]).numbers) == 1
    again = journal.add_once([straight, replace(straight, left_m=0.0)])
    assert (len(again.numbers), again.known) == (1, 1)


def test_a_file_brings_back_neither_what_was_corrected_nor_what_was_deleted(journal):
    wrong, right = replace(ex.THROW, distance_m=17.0), replace(ex.THROW, distance_m=71.0)
    (number,) = journal.add_once([wrong]).numbers
    journal.edit(THROW, number, right, NOON)
    assert journal.add_once([wrong]).known == 1
    assert journal.add_once([right]).known == 1
    journal.delete(THROW, number, NOON)
    assert journal.add_once([right]).deleted == 1
    journal.restore(THROW, number, LATER)
    assert journal.add_once([right]).known == 1
    assert len(journal.all(THROW)) == 2


def test_a_file_is_the_same_after_the_stock_throw_or_a_named_day_changed(journal):
    line = replace(ex.THROW.line, hyzer_deg=3.0, launch_deg=12.0)
    other = replace(ex.THROW, line=line, weather=Weather(9.0))
    assert journal.add_once([other]).known == 1
    assert len(journal.add_once([replace(other, conditions="")]).numbers) == 1


def test_a_record_whose_day_was_corrected_is_known_by_its_earlier_day(journal):
    before = journal.get(THROW, 1)
    journal.edit(THROW, 1, replace(before, on=before.on.replace(day=20)), NOON)
    assert journal.add_once([before]).known == 1
    assert len(journal.all(THROW)) == 1
    assert journal.all(THROW, before.on.replace(day=20)) == journal.all(THROW)
    assert journal.all(THROW, before.on.replace(day=21)) == []
    journal.delete(THROW, 1, NOON)
    assert journal.add_once([before]).deleted == 1
