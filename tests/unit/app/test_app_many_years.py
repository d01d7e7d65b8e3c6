"""Ways that are as fast for twenty years as for one find the same as reading everything."""

from __future__ import annotations

import random
from collections import Counter
from dataclasses import replace
from datetime import date, datetime, timedelta

import pytest

from rimwise.app.believing import counted_words
from rimwise.app.box import assumptions_of
from rimwise.app.evidence import evidence_of
from rimwise.app.noted import delete_evidence, evidence_page, list_evidence
from rimwise.app.wearing import recorded_in, wear_histories
from rimwise.flight.printed import Printed
from rimwise.records.discs import Disc, Grip, Mold, Plastic, Weight
from rimwise.records.evidence import Comparison, Knock, Putts, Throw
from rimwise.records.thrower import Line, Style
from rimwise.store.opening import open_store

DISCS = ("red", "blue", "green")
LAST = date(2026, 6, 1)


@pytest.fixture(scope="module")
def store(tmp_path_factory):
    chance = random.Random(5)  # noqa: S311 - a test's own dice
    path = tmp_path_factory.mktemp("years") / "data.db"

    def day():
        return LAST - timedelta(days=chance.randrange(60))

    with open_store(path) as opened:
        with opened.atomic():
            opened.molds.put(Mold("NH 27", Printed(7, 5, -2, 1)))
            opened.plastics.put(Plastic("base", Grip(4, 3, 4, 3)))
            opened.discs.put_all(Disc(name, "NH 27", "base", Weight(170)) for name in DISCS)
            line = Line(Style.BACKHAND, 5.0, 10.0)
            for n in range(240):
                name = DISCS[chance.randrange(10) // 6 if n % 3 else 2]
                opened.throws.add(Throw(day(), name, line, 60.0 + n / 8, 1.0))
            for _ in range(40):
                opened.putts.add(Putts(day(), 5.0, 10, 6))
                opened.knocks.add(Knock(day(), chance.choice(DISCS)))
                opened.comparisons.add(Comparison(day(), *chance.sample(DISCS, 2)))
        delete_evidence(opened, ["t7", "k3"], datetime(2026, 6, 1))
        yield opened


@pytest.mark.parametrize("kind", [None, "throw", "knock", "putts", "round"])
@pytest.mark.parametrize("disc", [None, "red"])
@pytest.mark.parametrize("since", [None, LAST - timedelta(days=9)])
def test_pages_of_the_log_are_the_list_cut_up(store, kind, disc, since):
    whole = list_evidence(store, kind=kind, disc=disc, since=since)
    paged, at = [], 1
    while True:
        rows, count = evidence_page(store, at=at, size=37, kind=kind, disc=disc, since=since)
        assert count == len(whole)
        paged += rows
        at += 1
        if not rows:
            break
    assert tuple(paged) == whole
    assert whole == tuple(sorted(whole, key=lambda row: row.on, reverse=True))


@pytest.mark.parametrize("most", [0, 1, 20, 1000])
def test_the_latest_throws_are_those_of_everything_read(store, most):
    everything = recorded_in(store)
    few = recorded_in(store, latest=most)
    assert few == replace(everything.latest(most), putts=())
    held = Counter(throw.disc_id for throw in few.throws)
    assert max(held.values(), default=0) == min(
        most, max(Counter(t.disc_id for t in everything.throws).values())
    )
    assert len(few.throws) + sum(few.left_out.values()) == len(everything.throws) == 239
    for name in held:
        oldest = min(throw.on for throw in few.throws if throw.disc_id == name)
        assert all(on <= oldest for (disc, on) in few.left_out if disc == name)


def test_throws_that_are_left_out_wear_a_disc_all_the_same(store):
    assume = assumptions_of(store)
    everything = wear_histories(store, assume, recorded_in(store))
    assert wear_histories(store, assume) == everything
    assert wear_histories(store, assume, recorded_in(store).latest(3)) == everything
    assert sum(use.throws for use in everything["red"].uses) > 20


def test_what_is_learnt_from_is_said(store):
    assume = assumptions_of(store)
    whole = evidence_of(store, assume)
    assert len(whole.throws) == 239 - whole.older_throws
    few = evidence_of(store, replace(assume, learn_throws=10.0))
    assert len(few.throws) == 30
    assert counted_words(few) == "the latest 30 of 239 throws and 40 comparisons"
    assert few.wear.items() <= whole.wear.items()
