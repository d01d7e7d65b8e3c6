"""Wear, what is left of a disc, and advice: on the small season's six discs."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from rimwise.app.box import assumptions_of, fleet_of
from rimwise.app.evidence import evidence_of
from rimwise.app.noting import When, note_knock, note_round, note_throw
from rimwise.app.retiring import tell_lives
from rimwise.app.showing import change_disc
from rimwise.errors import NotFoundError
from rimwise.records.carries import Carry
from rimwise.store.opening import open_store

FIRST = date(2026, 3, 1)


@pytest.fixture
def store(unplanned):
    with open_store(unplanned) as opened:
        yield opened


def _life(store, name):
    (life,) = tell_lives(store, name).discs
    return life


def test_a_new_disc_does_its_job_and_says_what_this_rests_on(store):
    change_disc(store, "nh27-gold", "wear=0")
    life = _life(store, "nh27-gold")
    assert (life.advice, life.throws, life.months_left, life.drift) == ("keep", 0.0, None, None)
    assert life.sentence == "nh27-gold flies as good as new. It does its job."
    assert life.throws_left_low < life.throws_left < life.throws_left_high
    assert tell_lives(store, "nh27-gold").rests_on.startswith("printed numbers")


def test_wear_counts_in_the_numbers_that_plans_use_only_with_use_on_record(store):
    change_disc(store, "nh27-gold", "wear=0.2")
    assume = assumptions_of(store)
    before = fleet_of(store, assume)
    note_throw(store, "nh27-gold", "70m straight", When(FIRST))
    for _ in range(12):
        note_knock(store, "nh27-gold", "a tree", When(FIRST + timedelta(days=1)))
    # Its own record was read as of the last day, so the first throw was with a newer disc.
    wear = evidence_of(store, assume).wear["nh27-gold", FIRST]
    place = before.ids.index("nh27-gold")
    now = fleet_of(store, assume).wear[place]
    assert wear < now - 0.05
    assert now == pytest.approx(0.2, abs=0.15)
    assert fleet_of(store, assume, worn=False).wear[place] == before.wear[place] == 0.2
    assert _life(store, "nh27-gold").knocks == 12


def test_a_beaten_disc_is_retired_only_for_another_that_lands_there(store):
    """nh27-gold and nh27-blue are one mold; blue beaten in drops far below gold."""
    change_disc(store, "nh27-blue", "wear=0.95")
    life = _life(store, "nh27-blue")
    assert life.lost == pytest.approx(0.95 * 2.1, abs=0.01)
    assert life.advice in ("new job", "keep")
    assert life.throws_left == pytest.approx(0.0, abs=1.0)
    change_disc(store, "nh3-white-1", "wear=0.6")
    change_disc(store, "nh3-yellow", "wear=0.45")
    putter = _life(store, "nh3-white-1")
    assert putter.advice == "retire"
    assert "nh3-yellow lands where it does" in putter.sentence


def test_a_cracked_disc_comes_first_with_its_danger(store):
    change_disc(store, "nh27-blue", "condition=cracked rim")
    lives = tell_lives(store).discs
    assert (lives[0].disc, lives[0].advice) == ("nh27-blue", "retire")
    assert "do not throw it" in lives[0].sentence


def test_a_disc_thrown_much_lasts_a_time_that_halves_when_thrown_twice_as_much(store):
    change_disc(store, "nh27-blue", "wear=0.3")
    for day in range(0, 56, 7):
        note_throw(store, "nh27-blue", "70m straight", When(FIRST + timedelta(days=day)))
    once = _life(store, "nh27-blue").months_left
    for day in range(0, 56, 7):
        note_throw(store, "nh27-blue", "71m straight", When(FIRST + timedelta(days=day)))
    assert _life(store, "nh27-blue").months_left == pytest.approx(0.5 * once, rel=0.1)


def test_a_round_that_names_its_carry_wears_the_discs_of_it(store):
    discs = ("nh27-blue", "nh3-yellow")
    store.carries.add(Carry("league", FIRST, "any", "any", discs))
    (course,) = store.courses.keys()
    holes = len(store.courses.get(course).holes)
    scores = ["4"] * holes
    note_round(store, course, scores, When(FIRST), carry="league")
    note_round(store, course, scores, When(FIRST + timedelta(days=1)))
    thrown = holes * (4 - assumptions_of(store).putts_per_hole)
    assert _life(store, "nh27-blue").throws == pytest.approx(thrown / 2)
    assert _life(store, "nh27-gold").throws == 0.0
    with pytest.raises(NotFoundError, match="you have league"):
        note_round(store, course, scores, When(FIRST), carry="leage")
