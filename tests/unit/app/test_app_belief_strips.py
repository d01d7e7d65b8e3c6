"""Strips made of the records: of which discs, what throws say, and where comparisons pull."""

from __future__ import annotations

import shutil
from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from rimwise.app.belief_strips import LATEST, draw_into, draw_learnt, strips_of
from rimwise.app.box import set_assumption
from rimwise.app.learning import learn_from, rests_of, tell_learnt
from rimwise.app.noting import When, note_comparison, note_throw
from rimwise.errors import InputError
from rimwise.pictures.belief import PULLS_M
from rimwise.store.opening import open_store

WHEN = When(date(2026, 5, 3))
THROWN = ("50m 3L", "52m 9L", "48m 1R", "51m 4L", "49m 2L", "50m 5L")
LINE = "bh flat"


@pytest.fixture(scope="module")
def logged(_fresh, tmp_path_factory):
    """Return a data file with throws of one disc and comparisons of others."""
    data = tmp_path_factory.mktemp("strips") / "logged.db"
    shutil.copy(_fresh, data)
    with open_store(data) as store:
        for text in THROWN:
            note_throw(store, "ol17-white", f"{text} {LINE}", WHEN)
        note_comparison(store, "kv15-red > nh27-blue", WHEN)
        note_comparison(store, "nh27-gold >> kv15-red", WHEN)
    return data


@pytest.fixture(scope="module")
def learnt(logged):
    with open_store(logged) as store:
        return learn_from(store)


@pytest.fixture(scope="module")
def rests(learnt):
    return rests_of(learnt)


@pytest.fixture(scope="module")
def strips(learnt, rests):
    return {one.disc: one for one in strips_of(learnt, learnt.discs, rests)}


def test_each_disc_with_evidence_has_one_and_no_other(strips):
    assert set(strips) == {"ol17-white", "nh27-blue", "nh27-gold", "kv15-red"}
    assert (strips["ol17-white"].throws, strips["ol17-white"].pulls) == (6, ())
    assert len(strips["kv15-red"].pulls) == 2


def test_hills_are_the_beliefs_that_are_told(logged, learnt, rests, strips):
    with open_store(logged) as store:
        told = {one.disc: one for one in tell_learnt(store).discs}
    for disc, strip in strips.items():
        one = told[disc]
        for hill, left in ((strip.now, one.left_m), (strip.printed, one.printed_left_m)):
            assert (hill.middle_m, hill.low_m, hill.high_m) == (left.mean, left.low, left.high)
            assert np.trapezoid(hill.per_m, hill.at_m) == pytest.approx(1.0, abs=0.01)
    again = {one.disc: one for one in strips_of(learnt, ["kv15-red"], rests)}
    assert again == {"kv15-red": strips["kv15-red"]}


def test_throws_say_what_they_ended_beside_what_was_expected(strips):
    """Throws of one line on one day differ as their landings do."""
    strip = strips["ol17-white"]
    ended = np.array([3.0, 9.0, -1.0, 4.0, 2.0, 5.0])
    says = np.array(strip.says_left_m)
    assert says - says[0] == pytest.approx(ended - ended[0])
    printed, now, said = strip.printed.middle_m, strip.now.middle_m, float(says.mean())
    assert printed < now < said  # a belief lies between the numbers and the throws,
    assert said - now < 0.5 * (now - printed)  # and six throws count for more


def test_only_the_latest_throws_are_drawn_and_all_are_counted(learnt, rests):
    throw = learnt.evidence.throws[0]
    many = tuple(
        replace(throw, on=date(2026, 5, day), left_m=float(day)) for day in range(20, 4, -1)
    )
    evidence = replace(learnt.evidence, throws=many)
    (strip,) = strips_of(replace(learnt, evidence=evidence), ["ol17-white"], rests)
    assert strip.throws == 16
    assert len(strip.says_left_m) == LATEST
    assert np.diff(strip.says_left_m) == pytest.approx(1.0)  # by day, the last one last
    assert strip.says_left_m[-1] - strip.says_left_m[0] == pytest.approx(LATEST - 1.0)


def test_older_throws_than_are_learnt_from_are_not_drawn(logged, tmp_path):
    data = shutil.copy(logged, tmp_path / "few.db")
    with open_store(data) as store:
        set_assumption(store, "learn_throws", 10.0)
        for _ in range(6):
            note_throw(store, "ol17-white", f"50m 3L {LINE}", WHEN)
        (strip,) = draw_learnt(store, "ol17-white").strips
    assert strip.throws == 10


def test_a_comparison_pulls_the_more_stable_disc_to_the_fade_side(strips):
    (pull,) = strips["nh27-blue"].pulls
    assert (pull.answer, pull.other) == ("slightly less stable than", "kv15-red")
    assert pull.moves_left_m > 0.5  # a left-hander's backhand turns to the left
    other, _ = strips["kv15-red"].pulls
    assert (other.answer, other.other) == ("slightly more stable than", "nh27-blue")
    assert other.moves_left_m == pytest.approx(-pull.moves_left_m)


@pytest.mark.parametrize(
    ("said", "moves"),
    [
        ("nh27-gold > nh27-blue", True),  # the numbers say "plainly"
        ("nh27-blue = nh3-yellow", True),
        ("kv15-red > nh27-blue", True),
        ("nh27-blue >> nh27-gold", False),  # against the numbers by far: taken for a slip
    ],
)
def test_the_pull_is_about_what_learning_from_that_answer_alone_does(unplanned, said, moves):
    """Within 2.5 of each other: the strip takes the difference that is felt as normal."""
    with open_store(unplanned) as store:
        note_comparison(store, said, WHEN)
        learnt = learn_from(store)
    rests, ids = rests_of(learnt), learnt.posterior.unknowns.fleet.ids
    (one,) = learnt.evidence.comparisons
    more, less = ids.index(one.more), ids.index(one.less)
    before_m, now_m = (
        float((of[more, :, 1] - of[less, :, 1]).mean()) for of in (rests.before, rests.now)
    )
    (strip,) = strips_of(learnt, [one.more], rests)
    pulled_m = strip.pulls[0].moves_left_m
    if moves:
        assert 0.4 < pulled_m / (now_m - before_m) < 2.5
        assert abs(pulled_m) > 2.0
    else:
        assert (pulled_m, now_m - before_m) == pytest.approx((0.0, 0.0), abs=0.1)


def test_what_the_numbers_say_already_pulls_to_neither_side(strips):
    """By its numbers alone the one is far more stable than the other."""
    (pull,) = strips["nh27-gold"].pulls
    assert (pull.answer, pull.other) == ("plainly more stable than", "kv15-red")
    assert abs(pull.moves_left_m) < PULLS_M


def test_a_right_hander_s_comparison_pulls_to_the_other_side(logged, tmp_path):
    data = shutil.copy(logged, tmp_path / "right.db")
    with open_store(data) as store:
        (thrower,) = store.throwers.all()
        store.throwers.put(replace(thrower, hand="right"))
        (strip,) = draw_learnt(store, "nh27-blue").strips
    assert strip.pulls[0].moves_left_m < -0.5


def test_a_picture_is_of_one_disc_that_something_is_known_of(logged, tmp_path):
    with open_store(logged) as store:
        with pytest.raises(InputError, match=r"rimwise learnt DISC"):
            draw_into(store, None, tmp_path / "a.svg")
        with pytest.raises(InputError, match=r"not into 'a\.png'"):
            draw_into(store, "ol17-white", tmp_path / "a.png")
        with pytest.raises(InputError, match="nothing to draw for nh3-yellow"):
            draw_into(store, "nh3-yellow", tmp_path / "a.svg")
        report = draw_into(store, "ol17-white", tmp_path / "a.svg")
    assert [one.disc for one in report.discs] == ["ol17-white"]
    assert "6 throws" in (tmp_path / "a.svg").read_text(encoding="utf-8")
    assert not (tmp_path / "a.png").exists()
