"""The file for the phone outlives the program that made it, and says when it is out of date."""

from __future__ import annotations

import json
from datetime import date

import pytest

from phone_examples import phone_file as example
from rimwise.app import phone, phone_keeping
from rimwise.app.history import purge
from rimwise.app.noting import When, note_putts, note_throw
from rimwise.app.phone_keeping import kept_file, made_file
from rimwise.errors import StoreError
from rimwise.store.opening import open_store

TODAY = date(2026, 11, 26)


@pytest.fixture
def made(season, monkeypatch):
    """Return the data file, and the days on which a file was worked out for it."""
    days: list[date] = []

    def work(_store, _plan, *, day, today, progress):
        assert day == "raw"
        progress("hole 1", 0.5)
        days.append(today)
        return example()

    monkeypatch.setattr(phone, "phone_file", work)
    with open_store(season) as store:
        made_file(store, "winter", "raw", today=TODAY)
    return season, days


def test_it_is_read_back_where_nothing_changed(made) -> None:
    season, days = made
    with open_store(season) as store:  # another program, another day
        kept = kept_file(store, "winter", "raw")
        again = made_file(store, "winter", "raw", today=date(2026, 12, 1))
    assert kept is not None
    assert (kept.made_on, kept.changed) == ("2026-11-26", ())
    assert kept.size_bytes == len(again.encode())
    assert again.startswith("<!doctype html>")
    assert days == [TODAY]


def test_what_changed_since_is_named_and_it_is_made_anew(made) -> None:
    season, days = made
    with open_store(season) as store:
        note_throw(store, "nh27-gold", "64m 5L", When(TODAY))
        old = kept_file(store, "winter", "raw")
        assert old is not None
        assert old.changed == ("your throws",)
        assert old.text().startswith("<!doctype html>")
        note_putts(store, ["3m 1/1"], When(TODAY))
        both = kept_file(store, "winter", "raw")
        assert both is not None
        assert both.changed == ("your throws", "your putts")
        made_file(store, "winter", "raw", today=date(2026, 12, 1))
        new = kept_file(store, "winter", "raw")
    assert new is not None
    assert (new.made_on, new.changed) == ("2026-12-01", ())
    assert len(days) == 2


def test_what_changes_while_it_is_made_makes_it_old(made, monkeypatch) -> None:
    season, _ = made

    def work(store, *_args, **_rest):
        note_throw(store, "nh27-gold", "64m 5L", When(TODAY))
        return example()

    monkeypatch.setattr(phone, "phone_file", work)
    with open_store(season) as store:
        store.settings.put("units", "ft")
        made_file(store, "winter", "raw", today=TODAY)
        kept = kept_file(store, "winter", "raw")
    assert kept is not None
    assert kept.changed == ("your throws",)


@pytest.mark.parametrize("harm", ["half", "no note", "nonsense"])
def test_half_a_file_counts_as_none(made, harm) -> None:
    season, _ = made
    with open_store(season) as store:
        kept = kept_file(store, "winter", "raw")
        assert kept is not None
        note = kept.path.with_suffix(".json")
        if harm == "half":
            kept.path.write_text(kept.text()[:500], encoding="utf-8")
        elif harm == "no note":
            note.unlink()
        else:
            note.write_text(json.dumps([1, 2]), encoding="utf-8")
        assert kept_file(store, "winter", "raw") is None


def test_a_full_disk_does_not_cost_the_work(made, monkeypatch) -> None:
    season, _ = made

    def full(*_args):
        raise StoreError("the disk is full.")

    monkeypatch.setattr(phone_keeping, "write_whole", full)
    with open_store(season) as store:
        note_throw(store, "nh27-gold", "64m 5L", When(TODAY))
        text = made_file(store, "winter", "raw", today=TODAY)
        assert text.startswith("<!doctype html>")
        old = kept_file(store, "winter", "raw")
        assert old is not None
        assert old.changed


def test_a_stopped_file_is_not_kept(made, monkeypatch) -> None:
    season, _ = made

    def stopped(*_args, **_rest):
        raise InterruptedError

    monkeypatch.setattr(phone, "phone_file", stopped)
    with open_store(season) as store:
        with pytest.raises(InterruptedError):
            made_file(store, "winter", "frost", today=TODAY)
        assert kept_file(store, "winter", "frost") is None
        assert kept_file(store, "winter", "raw") is not None


def test_purging_forgets_it_too(made) -> None:
    """It names discs, and what is purged may have been one of them."""
    season, _ = made
    with open_store(season) as store:
        from datetime import datetime

        purge(store, datetime(2026, 11, 27, 8, 0))
        assert kept_file(store, "winter", "raw") is None
    assert list((season.parent / phone_keeping.FOLDER).iterdir()) == []
