"""Wear of a disc: what use, knocks and grades do to it, by hand and against SciPy's arithmetic."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import simpson
from scipy.stats import norm

from rimwise.beliefs.wear import (
    Use,
    WearHistory,
    life_throws,
    number_drift,
    throws_of_round,
    uses_of,
    wear_now,
    wear_on,
)
from rimwise.records.assumptions import Assumptions
from rimwise.records.carries import Carry
from rimwise.records.discs import Disc, Grip, Plastic, Weight
from rimwise.records.evidence import ConditionGrade, HoleScore, Round, Throw
from rimwise.records.thrower import Line, Style

ASSUME = Assumptions()
MAY = date(2026, 5, 1)
OCTOBER = date(2026, 10, 1)
SOFT = Plastic("soft base", Grip(4, 4, 4, 3), durability=0.2)
HARD = replace(SOFT, name="clear premium", durability=0.9)
DISC = Disc("nh27-blue", "NH 27", "soft base", Weight(172.0), wear=0.3)


def after(days: int) -> date:
    return MAY + timedelta(days=days)


def test_life_by_durability() -> None:
    """1500 throws in the middle, three times as many at 1 and a third at 0 (the assumptions)."""
    lives = [life_throws(durability, ASSUME) for durability in (0.0, 0.5, 1.0)]
    assert lives == pytest.approx([500.0, 1500.0, 4500.0])


def test_a_new_disc_that_is_surely_new_wears_as_the_form_says() -> None:
    """With next to no uncertainty: 1 − exp(−throws/life − knocks·size), by hand."""
    sure = replace(ASSUME, wear_life_spread=0.05, wear_knock_spread=0.05, wear_grade_noise=0.01)
    history = WearHistory(0.5, (Use(after(5), 900.0),), (after(9),), ((MAY, 0.0),) * 40)
    (before, _), (worn, _), (knocked, _) = wear_on(history, [MAY, after(5), after(9)], sure)
    assert before == pytest.approx(0.0, abs=0.01)
    assert worn == pytest.approx(1.0 - math.exp(-900.0 / 1500.0), abs=0.01)
    assert knocked == pytest.approx(1.0 - math.exp(-900.0 / 1500.0 - 0.03), abs=0.01)


def test_a_grade_is_weighed_as_its_error_says() -> None:
    """One grade, no use: wear uniform on 0 to 1 before it, normal error (SciPy's Simpson)."""
    wear = np.linspace(0.0, 1.0, 2001)
    density = norm.pdf(0.15, wear, ASSUME.wear_grade_noise)
    total = simpson(density, x=wear)
    mean = simpson(wear * density, x=wear) / total
    sd = math.sqrt(simpson((wear - mean) ** 2 * density, x=wear) / total)
    found = wear_on(WearHistory(0.5, grades=((MAY, 0.15),)), [MAY], ASSUME)[0]
    assert found == pytest.approx([mean, sd], abs=2e-3)


def test_nothing_known_is_half_worn_and_hardly_known() -> None:
    mean, sd = wear_on(WearHistory(0.5), [MAY], ASSUME)[0]
    assert (mean, sd) == pytest.approx((0.5, 1.0 / math.sqrt(12.0)), abs=0.002)


def test_use_since_the_record_was_written_adds_wear_and_doubt() -> None:
    uses = [Use(after(7 * n), 30.0) for n in range(1, 21)]
    first = wear_now(DISC, SOFT, uses, [], [], MAY, ASSUME, noted_on=MAY)
    later = wear_now(DISC, SOFT, uses, [], [], OCTOBER, ASSUME, noted_on=MAY)
    assert first[0] == pytest.approx(0.3, abs=0.02)
    assert later[0] > first[0] + 0.2
    assert later[1] > first[1]


def test_soft_plastic_wears_faster() -> None:
    uses = [Use(after(1), 400.0)]
    soft, hard = (
        wear_now(DISC, plastic, uses, [], [], OCTOBER, ASSUME, noted_on=MAY)[0]
        for plastic in (SOFT, HARD)
    )
    assert soft > hard + 0.1


def test_a_knock_is_dated_wear() -> None:
    history = WearHistory(0.5, knocks=(after(10),), grades=((MAY, 0.1),))
    before, at, long_after = wear_on(history, [after(9), after(10), OCTOBER], ASSUME)[:, 0]
    assert before < at == long_after


def test_a_later_grade_speaks_about_earlier_days_too() -> None:
    uses = (Use(after(10), 200.0),)
    known = ((MAY, 0.1), (OCTOBER, 0.75))
    before, after_use = (
        wear_on(WearHistory(0.5, uses, grades=known[:n]), [OCTOBER], ASSUME)[0] for n in (1, 2)
    )
    assert after_use[0] > before[0] + 0.2
    early = wear_on(WearHistory(0.5, uses, grades=known[1:]), [MAY, OCTOBER], ASSUME)
    assert early[0, 0] < early[1, 0]
    assert early[0, 1] < wear_on(WearHistory(0.5), [MAY], ASSUME)[0, 1]


def test_an_undated_record_counts_as_written_today_until_there_is_a_grade() -> None:
    uses = [Use(after(1), 400.0)]
    today = wear_now(DISC, SOFT, uses, [], [], OCTOBER, ASSUME)
    assert today[0] == pytest.approx(0.3, abs=0.1)
    grades = [ConditionGrade(OCTOBER, DISC.id, 0.7), ConditionGrade(OCTOBER, "other", 0.0)]
    graded = wear_now(DISC, SOFT, uses, [], grades, OCTOBER, ASSUME)
    assert graded == wear_now(replace(DISC, wear=1.0), SOFT, uses, [], grades, OCTOBER, ASSUME)
    assert graded[0] == pytest.approx(0.7, abs=0.03)


@given(
    st.lists(st.tuples(st.integers(0, 300), st.floats(0.0, 5000.0)), max_size=5),
    st.lists(st.integers(0, 300), max_size=5),
    st.lists(st.tuples(st.integers(0, 300), st.floats(0.0, 1.0)), max_size=4),
    st.floats(0.0, 1.0),
)
@settings(max_examples=40, deadline=None)
def test_wear_never_falls_and_stays_between_new_and_beaten_in(
    uses: list[tuple[int, float]],
    knocks: list[int],
    grades: list[tuple[int, float]],
    durability: float,
) -> None:
    history = WearHistory(
        durability,
        tuple(Use(after(day), throws) for day, throws in uses),
        tuple(after(day) for day in knocks),
        tuple((after(day), wear) for day, wear in grades),
    )
    path = wear_on(history, [after(day) for day in range(0, 320, 20)], ASSUME)
    assert np.all((path >= 0.0) & (path <= 1.0))
    assert np.all(np.diff(path[:, 0]) >= -1e-12)


def test_wear_drifts_toward_understable() -> None:
    turn, fade = number_drift(0.2, 0.7, ASSUME)
    assert (turn, fade) == pytest.approx((-0.6, -0.45))


# -- use ------------------------------------------------------------------------------------


def thrown(day: int, disc_id: str = DISC.id) -> Throw:
    return Throw(after(day), disc_id, Line(Style.BACKHAND, 0.0, 10.0), 80.0, 0.0)


def round_on(day: int, carry: str = "winter") -> Round:
    scores = tuple(HoleScore(str(n), strokes) for n, strokes in enumerate((2, 3, 4, 5)))
    return Round(after(day), "Heath", scores, carry=carry)


def carry_on(day: int, *disc_ids: str) -> Carry:
    return Carry("winter", after(day), "winter", "Heath", disc_ids)


def test_throws_of_a_round_leave_out_the_putts() -> None:
    """Holes of 2, 3, 4 and 5 with 1.7 putts each: 1 + 1.3 + 2.3 + 3.3."""
    assert throws_of_round(round_on(0), ASSUME) == pytest.approx(7.9)


def test_use_is_throws_and_a_share_of_the_rounds() -> None:
    throws = [thrown(0), thrown(0), thrown(3), thrown(3, "other")]
    carries = [carry_on(0, DISC.id, "other"), carry_on(20, "other")]
    rounds = [round_on(3), round_on(10), round_on(25), round_on(11, carry="")]
    uses = uses_of(DISC.id, throws, rounds, carries, ASSUME)
    assert [use.on for use in uses] == [MAY, after(3), after(10)]
    assert [use.throws for use in uses] == pytest.approx([2.0, 1.0 + 7.9 / 2.0, 7.9 / 2.0])


def test_a_disc_never_thrown_has_no_use() -> None:
    assert uses_of("unknown", [thrown(0)], [round_on(3)], [carry_on(0, DISC.id)], ASSUME) == ()
