"""The history told, taken back step by step, and forgotten."""

from __future__ import annotations

import random
from dataclasses import replace
from datetime import date, datetime, timedelta

import pytest

from rimwise.app.history import history, purge, undo
from rimwise.app.noted import delete_evidence, undelete_evidence
from rimwise.app.noting import When, note_throw
from rimwise.app.showing import change_disc
from rimwise.errors import InputError, NotFoundError
from rimwise.flight.printed import Printed
from rimwise.records.discs import Disc, Grip, Mold, Plastic, Weight
from rimwise.records.evidence import Knock
from rimwise.store.journal import KINDS, Journal
from rimwise.store.opening import integrity_check, open_store

DAY = date(2026, 4, 1)
NOON = datetime(2026, 4, 1, 12, 0, 5)
TABLES = (
    *("molds", "plastics", "discs", "throws", "comparisons", "knocks", "settings", "grip_grades"),
)


@pytest.fixture
def store(tmp_path):
    with open_store(tmp_path / "data.sqlite", clock=lambda: NOON) as opened:
        with opened.atomic():
            opened.molds.put(Mold("NH 27", Printed(7, 5, -2, 1)))
            opened.plastics.put(Plastic("base", Grip(4, 3, 4, 3)))
            opened.discs.put_all(
                Disc(name, "NH 27", "base", Weight(170)) for name in ("red", "blue", "green")
            )
        yield opened


def state(store):
    """Return everything but the history, without the moment of a row's writing."""
    rows = store.connection.rows
    found = {table: sorted(rows(f"SELECT * FROM {table}"), key=repr) for table in TABLES}  # noqa: S608
    found["deleted"] = sorted((one.kind, one.number) for one in Journal(store).deleted())
    return found


def test_a_step_is_told_and_taken_back(store):
    before = state(store)
    change_disc(store, "red", "status=retired", DAY)
    assert history(store)[0].words == (
        "disc red changed: status: at home → retired",
        "the day of retiring red added",
    )
    assert history(store)[0].at == "2026-04-01 12:00"
    done = undo(store)
    assert (done.number, done.step) == (2, 3)
    assert state(store) == {**before, "settings": [("retired_on", "{}")]}
    latest, undone, _ = history(store)
    assert latest.words[0] == "took step 2 back"
    assert (latest.undoes, latest.undone, undone.undone) == (2, False, True)
    undo(store, 3)
    assert store.discs.get("red").status.value == "retired"
    assert not history(store)[2].undone


def test_evidence_is_taken_back_into_its_own_journal(store):
    note_throw(store, "red", "60m 4L", When(DAY))
    assert history(store, "t1")[0].words[0].startswith("throw t1 added: 2026-04-01, red 60 m")
    undo(store)
    assert [one.number for one in Journal(store).deleted()] == [1]
    undelete_evidence(store, ["t1"], NOON)
    delete_evidence(store, ["t1"], NOON)
    undo(store)
    assert store.throws.get(1).distance_m == 60.0
    assert Journal(store).deleted() == []


def test_what_was_changed_since_is_not_taken_back_over(store):
    change_disc(store, "red", "note=first")
    change_disc(store, "red", "note=second")
    change_disc(store, "blue", "note=other")
    with pytest.raises(InputError, match=r"disc red was changed again since, in step 3; take that"):
        undo(store, 2)
    undo(store, 3)
    undo(store, 2)
    assert store.discs.get("red").note == ""
    assert store.discs.get("blue").note == "other"
    with pytest.raises(InputError, match="step 2 is taken back already"):
        undo(store, 2)
    with pytest.raises(NotFoundError, match="there is no step 99"):
        undo(store, 99)


def test_a_disc_that_is_named_elsewhere_stays(store):
    store.discs.put(Disc("new", "NH 27", "base", Weight(170)))
    note_throw(store, "new", "60m 4L", When(DAY))
    before = state(store)
    with pytest.raises(InputError, match="disc 'new' cannot be deleted, because it is still named"):
        undo(store, 2)
    assert state(store) == before
    assert len(history(store)) == 3


def test_settings_are_taken_back_part_by_part(store):
    change_disc(store, "red", "wear=0.3", DAY)
    change_disc(store, "blue", "wear=0.4", DAY)
    undo(store, 2)
    assert store.settings.get("wear_noted_on") == {"blue": "2026-04-01"}
    assert (store.discs.get("red").wear, store.discs.get("blue").wear) == (0.0, 0.4)


def test_many_changes_are_counted(store):
    store.discs.put_all(Disc(f"d{n}", "NH 27", "base", Weight(170)) for n in range(30))
    assert history(store)[0].words == ("30 discs added",)
    assert history(store, most=1) == history(store)[:1]
    assert history(store)[1].words == (
        "mold NH 27 added",
        "plastic base added",
        "disc red added",
        "disc blue added",
        "disc green added",
    )


def test_the_history_of_one_thing(store):
    change_disc(store, "red", "note=a")
    change_disc(store, "blue", "note=b")
    assert [one.number for one in history(store, "red")] == [2, 1]
    with pytest.raises(NotFoundError, match="nosuch"):
        history(store, "nosuch")


def random_change(store, chance):
    names, numbers = store.discs.keys(), [n for n, _ in store.knocks.all()]
    what = chance.randrange(6)
    if what == 0 or not names:
        with store.atomic():
            for _ in range(chance.randrange(1, 4)):
                name = f"n{chance.randrange(8)}"
                store.discs.put(Disc(name, "NH 27", "base", Weight(160 + chance.randrange(9))))
    elif what == 1:
        change_disc(store, chance.choice(names), f"wear={chance.random():.2f}", DAY)
    elif what == 2:
        store.knocks.add(Knock(DAY, chance.choice(names), str(chance.random())))
    elif what == 3 and numbers:
        delete_evidence(store, [f"k{chance.choice(numbers)}"], NOON)
    elif what == 4 and numbers:
        number = chance.choice(numbers)
        changed = replace(store.knocks.get(number), note=str(chance.random()))
        Journal(store).edit(KINDS["knock"], number, changed, NOON)
    else:
        name = chance.choice(names)
        if not store.connection.rows("SELECT 1 FROM knocks WHERE disc_id = ?", (name,)):
            store.discs.delete(name)


@pytest.mark.parametrize("seed", range(4))
def test_any_changes_are_taken_back_to_the_beginning(store, seed):
    chance = random.Random(seed)  # noqa: S311 - a test's own dice
    states = [state(store)]
    for _ in range(25):
        random_change(store, chance)
        if chance.random() < 0.3 and len(states) > 1:
            undo(store)
    states.append(state(store))
    numbers = store.connection.rows("SELECT max(id) FROM knocks")
    while True:
        standing = [one for one in history(store, most=999) if not (one.undone or one.undoes)]
        if len(standing) == 1:
            break
        undo(store)
    left = state(store)
    assert left["discs"] == states[0]["discs"]
    assert left["knocks"] == []
    assert not left["settings"] or left["settings"] == [("wear_noted_on", "{}")]
    assert integrity_check(store) == ()
    assert numbers


def test_a_purge_forgets_for_good_and_keeps_a_backup(store, tmp_path):
    note_throw(store, "red", "60m 4L", When(DAY), note="a secret 4711")
    note_throw(store, "red", "61m 4L", When(DAY))
    delete_evidence(store, ["t1"], NOON)
    done = purge(store, NOON + timedelta(days=1), date(2026, 3, 1))
    assert (done.changes, done.deleted) == (0, 0)
    done = purge(store, NOON + timedelta(days=1))
    assert (done.changes, done.deleted) == (8, 1)
    assert history(store) == ()
    with pytest.raises(NotFoundError, match="nothing is left to take back"):
        undo(store)
    with pytest.raises(NotFoundError):
        undelete_evidence(store, ["t1"], NOON)
    assert len(store.throws) == 1
    files = [tmp_path / "data.sqlite", tmp_path / "data.sqlite-wal"]
    assert b"4711" not in b"".join(file.read_bytes() for file in files)
    with open_store(done.backup) as copy:
        assert [one.number for one in Journal(copy).deleted()] == [1]
    note_throw(store, "red", "62m 4L", When(DAY))
    assert [number for number, _ in store.throws.all()] == [2, 3]
