"""The check of landings and scores: what it reads, what it leaves out, and what it says."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest

import tiny_season
from rimwise.app import checking
from rimwise.app.checking import check_log, draw_check
from rimwise.app.noting import When, note_round, note_throw, note_wear
from rimwise.errors import InputError
from rimwise.store.opening import open_store

FIRST = date(2026, 3, 1)


@pytest.fixture
def store(unplanned):
    with open_store(unplanned) as opened:
        yield opened


def _throws(store, lengths, on):
    for length_m in lengths:
        note_throw(store, "ol17-white", f"{length_m}m 3L bh flat", When(on))


def test_with_nothing_on_record_it_says_what_to_log(store):
    with pytest.raises(InputError, match="rimwise log throw"):
        check_log(store)


def test_a_day_is_told_from_what_was_on_record_before_it_alone(store):
    """The second day repeats the first, so what was learnt from the first must tell it better."""
    _throws(store, (38, 40, 42, 39, 41, 40), FIRST)
    alone = check_log(store, since=FIRST)
    assert alone.landings.miss_m == alone.landings.rim_miss_m  # nothing was known before
    _throws(store, (38, 40, 42, 39, 41, 40), FIRST + timedelta(days=7))
    both = check_log(store, since=FIRST + timedelta(days=7))
    assert (both.landings.throws, both.landings.days) == (6, 1)
    assert both.landings.miss_m[0] < 0.7 * both.landings.rim_miss_m[0]
    assert any("That is little" in said for said in both.sentences)
    assert both.rounds == ()


def test_the_last_month_is_asked_about_and_an_emptier_time_is_refused(store):
    _throws(store, (50,), FIRST)
    _throws(store, (50, 51), FIRST + timedelta(days=60))
    assert check_log(store).landings.throws == 2
    with pytest.raises(InputError, match="since an earlier day"):
        check_log(store, since=FIRST + timedelta(days=90))


def test_of_a_month_with_many_days_of_play_the_latest_are_asked_about(store, monkeypatch):
    monkeypatch.setattr(checking, "MOST_DAYS", 2)
    days = [FIRST + timedelta(days=7 * week) for week in range(3)]
    for on in days:
        _throws(store, (50,), on)
    usual = check_log(store)
    assert (usual.since, usual.landings.days) == (days[1].isoformat(), 2)
    assert check_log(store, since=FIRST).landings.days == 3


def test_scores_are_held_against_the_strokes_told_of_that_day(store, monkeypatch, tmp_path):
    monkeypatch.setattr(checking, "Simulator", tiny_season.ROUGH)
    (course,) = store.courses.keys()
    holes = len(store.courses.get(course).holes)
    for days, strokes in ((0, 3), (7, 9)):
        note_round(store, course, [str(strokes)] * holes, When(FIRST + timedelta(days=days)))
    report = check_log(store)
    low, high = report.rounds
    assert (low.scored, high.scored) == (3 * holes, 9 * holes)
    assert low.guessed
    assert low.told == high.told  # the same day was guessed for both
    assert 2.0 * holes < low.told < 6.0 * holes
    mean, error = report.above
    assert mean == pytest.approx(6.0 * holes - low.told)
    assert error > 2.9 * holes
    assert len(report.holes) == holes
    assert sum(one.above for one in report.holes) == pytest.approx(mean)
    assert any("which may be chance" in said for said in report.sentences)
    assert any("mild and calm" in said for said in report.sentences)
    draw_check(report, tmp_path / "check.svg")
    assert "Scores" in (tmp_path / "check.svg").read_text("utf-8")


def test_what_is_noted_later_does_not_change_what_was_told(store):
    second = FIRST + timedelta(days=7)
    for on in (FIRST, second):
        _throws(store, (38, 40, 42, 39, 41, 40), on)
    before = check_log(store, since=second).landings
    note_wear(store, "ol17-white", "90%", When(second + timedelta(days=7)))
    _throws(store, (80, 82), second + timedelta(days=14))
    after = [
        check for check, _ in checking._landings(_asked(store), second, lambda *_: None)
        if check.throw.on == second
    ]  # fmt: skip
    assert np.mean([check.off_m[0] for check in after]) == before.longer_m[0]
    assert np.mean([check.off_m[1] for check in after]) == before.left_m[0]


def _asked(store):
    assume = checking.assumptions_of(store)
    who = checking.pick(store.throwers, "thrower", None)
    return checking._Asked(store, who, assume, checking.recorded_in(store))


def test_beliefs_are_those_of_plans(store, monkeypatch):
    """A disc that changed is learnt as it is now, as plans learn it."""
    from rimwise.beliefs import drift

    called = []
    monkeypatch.setattr(
        drift, "learn_now", lambda *a, real=drift.learn_now: called.append(a[3]) or real(*a)
    )
    for days in (0, 7):
        _throws(store, (40, 41), FIRST + timedelta(days=days))
    check_log(store, since=FIRST)
    assert [len(evidence.throws) for evidence in called] == [2]


def test_two_days_that_agree_are_still_two_days(store):
    """Two days hardly tell habit from chance: a mean of three errors is nothing there."""
    for days, lengths in ((0, (50, 52)), (7, (45, 47))):
        _throws(store, lengths, FIRST + timedelta(days=days))
    report = check_log(store, since=FIRST)
    mean, se = report.landings.longer_m
    assert abs(mean) > 2.0 * se
    assert abs(mean) < 12.7 * se
    (said,) = [one for one in report.sentences if one.startswith("They rested")]
    assert "which may be chance" in said.split(" and ")[0]


def test_a_hole_that_is_gone_is_left_out_and_one_round_blames_no_hole(store, monkeypatch, tmp_path):
    monkeypatch.setattr(checking, "Simulator", tiny_season.ROUGH)
    (name,) = store.courses.keys()
    note_round(store, name, ["3", "9"], When(FIRST))
    whole = check_log(store)
    assert all(math.isnan(hole.above_se) for hole in whole.holes)
    assert not any("cost most" in said for said in whole.sentences)
    draw_check(whole, tmp_path / "one.svg")
    assert "spread" not in (tmp_path / "one.svg").read_text("utf-8")
    course = store.courses.get(name)
    store.courses.put(replace(course, holes=course.holes[:1]))
    (left,) = check_log(store).rounds
    assert (left.holes, left.gone, left.scored) == (1, 1, 3)
    assert any("no longer has" in said for said in check_log(store).sentences)
