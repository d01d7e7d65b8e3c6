"""What is told of discs: from which evidence, against which numbers, and which answers clash."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from rimwise.app.clashing import contradictions_in
from rimwise.app.learning import learn_from, tell_learnt, told_discs
from rimwise.app.noting import When, note_comparison, note_throw
from rimwise.beliefs.posterior import prior_posterior
from rimwise.errors import InputError, NotFoundError
from rimwise.store.opening import open_store

WHEN = When(date(2026, 5, 3))


@pytest.fixture
def store(unplanned):
    with open_store(unplanned) as opened:
        yield opened


def _without_evidence(learnt):
    return replace(learnt, posterior=prior_posterior(learnt.posterior.unknowns))


def test_nothing_on_file_says_how_to_begin(store):
    with pytest.raises(InputError, match="rimwise log throw"):
        learn_from(store)


def test_throws_move_where_a_disc_rests_and_narrow_it(store):
    for length_m in (50, 52, 48, 51, 49, 50):
        note_throw(store, "ol17-white", f"{length_m}m 3L bh flat", WHEN)
    learnt = learn_from(store)
    (told,) = told_discs(learnt, "ol17-white")
    assert (told.throws, told.comparisons) == (6, 0)
    assert "6 throws with it" in told.sentence
    assert abs(told.reach_m.mean - 50.0) < 0.6 * abs(told.printed_reach_m.mean - 50.0)
    width_m = told.reach_m.high - told.reach_m.low
    assert width_m < 0.7 * (told.printed_reach_m.high - told.printed_reach_m.low)
    moved_m = told.reach_m.mean - told.printed_reach_m.mean
    assert told.longer_m.mean == pytest.approx(moved_m)
    assert ("shorter" if moved_m < 0.0 else "longer") in told.sentence


def test_what_rests_on_no_evidence_is_what_the_numbers_say(store):
    note_comparison(store, "nh27-blue > nh27-gold", WHEN)
    for told in told_discs(_without_evidence(learn_from(store))):
        assert told.reach_m == told.printed_reach_m
        assert told.left_m == told.printed_left_m
        assert told.longer_m.mean == pytest.approx(0.0, abs=1e-9)
        assert "where its numbers alone put it" in told.sentence


def test_stability_is_told_against_the_other_discs_alone(store):
    note_comparison(store, "nh27-blue >> nh27-gold", WHEN)
    told = told_discs(learn_from(store))
    assert sum(one.stabler.mean for one in told) == pytest.approx(0.0, abs=1e-9)
    by_name = {one.disc: one for one in told}
    assert by_name["nh27-blue"].stabler.mean > by_name["nh27-gold"].stabler.mean
    said = " ".join(one.sentence for one in told)
    assert "nose" not in said
    assert "glide" not in said


def test_less_stable_discs_end_on_the_wrong_side_more_often(store):
    note_comparison(store, "nh27-blue > nh27-gold", WHEN)
    learnt = learn_from(store)
    thrower = learnt.posterior.unknowns.thrower
    assert (thrower.hand, thrower.stock.style) == ("left", "backhand")  # turns to the left
    told = told_discs(learnt)
    wrong = np.array([one.wrong_side for one in told])
    left_m = np.array([one.left_m.mean for one in told])
    assert np.corrcoef(left_m, wrong)[0, 1] > 0.8
    assert wrong[left_m > 5.0].min() > 0.5 > wrong[left_m < -5.0].max()


def both_hold(one, other):
    """Whether each disc's landing lies within all of the other's intervals."""
    return all(
        a.reach_m.holds(b.reach_m.mean) and a.left_m.holds(b.left_m.mean)
        for a, b in ((one, other), (other, one))
    )


def apart_m(one, other):
    return np.hypot(one.reach_m.mean - other.reach_m.mean, one.left_m.mean - other.left_m.mean)


@pytest.mark.parametrize("share", [0.02, 0.1, 1.0])
def test_overlaps_are_the_closest_within_both_intervals_and_available(store, share):
    """With narrow intervals some discs overlap none, with wide ones all may."""
    note_comparison(store, "nh27-blue > nh27-gold", WHEN)
    learnt = learn_from(store)
    narrow = replace(learnt.posterior, covariance=share * learnt.posterior.covariance)
    learnt = replace(learnt, posterior=narrow)
    told = {one.disc: one for one in told_discs(learnt)}
    pairs = [(one, told[one.overlaps]) for one in told.values() if one.overlaps]
    assert len(pairs) < len(told) or share == 1.0
    for one in told.values():
        rivals = [
            other
            for other in told.values()
            if other.disc in learnt.available - {one.disc} and both_hold(one, other)
        ]
        nearest = min(rivals, key=lambda other: apart_m(one, other), default=None)
        assert one.overlaps == (nearest.disc if nearest else None)
    alone = replace(learnt, available=frozenset({"nh27-blue"}))
    assert {one.overlaps for one in told_discs(alone)} <= {None, "nh27-blue"}


def test_answers_in_a_circle_are_told_with_dates_the_least_believed_first(store):
    for day in (3, 4):
        note_comparison(store, "nh27-gold >> nh27-blue", When(date(2026, 5, day)))
    for day in (9, 10):
        note_comparison(store, "nh27-blue >> nh27-gold", When(date(2026, 5, day)))
    (told,) = tell_learnt(store, "nh27-blue").contradictions
    assert [one.more for one in told.answers] == ["nh27-blue", "nh27-gold"]
    assert told.excess_sd > 2.0
    assert "nh27-blue plainly more stable than nh27-gold (2026-05-09)" in told.words
    assert "(2026-05-03)" in told.words


def test_a_longer_way_back_is_found_and_answers_that_agree_are_no_circle(store):
    note_comparison(store, "nh27-gold > ol17-white", WHEN)
    note_comparison(store, "ol17-white >> nh27-blue", WHEN)
    learnt = learn_from(store)
    agree = learnt.evidence.comparisons
    assert contradictions_in(learnt.posterior, agree) == ()
    back = replace(agree[1], more="nh27-blue", less="nh27-gold")
    (told,) = contradictions_in(learnt.posterior, (*agree, back))
    assert told.answers == (back, *agree)


def test_an_answer_against_belief_without_a_way_back_is_no_circle(store):
    note_comparison(store, "nh27-blue >> nh27-gold", WHEN)
    learnt = learn_from(store)
    prior = prior_posterior(learnt.posterior.unknowns)
    assert contradictions_in(prior, learnt.evidence.comparisons) == ()


def test_an_unknown_disc_is_refused_before_anything_is_learnt(store):
    with pytest.raises(NotFoundError):
        tell_learnt(store, "zz99")
