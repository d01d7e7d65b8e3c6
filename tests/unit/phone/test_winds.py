"""Holes solved on clouds shared by all directions agree with holes solved for one direction."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from hole_worlds import BREEZE, PUTTING, SMALL, everything, world
from rimwise.app.phone_answers import answers_from
from rimwise.decide.advice import Advice, advise, lie_at
from rimwise.decide.many_lies import advise_all
from rimwise.decide.rounds import solve_holes
from rimwise.decide.winds import (
    Pools,
    drawn_once,
    fly_clouds,
    search_between,
    search_in_wind,
    solve_in_wind,
    value_in_winds,
)  # fmt: skip

SIZES = replace(SMALL, pool=512, least=16)


@pytest.fixture(scope="module")
def flown():
    """Return a hole, and what is flown once for all directions of a wind."""
    made = world(everything(), sizes=SIZES)
    clouds = fly_clouds(made.simulator, made.fleet, replace_from(10.0), SIZES)
    return made, made.problem(), clouds, Pools.draw(made.simulator, made.fleet, 64, 256)


@pytest.fixture(scope="module")
def solved(flown):
    """Return one hole in two directions of a wind, on clouds flown for yet another."""
    made, posed, clouds, pools = flown
    return made, {
        deg: solve_in_wind(
            made.simulator, made.fleet, posed, clouds, pools, math.radians(deg - 90.0), SIZES
        )
        for deg in (250.0, 70.0)
    }


def replace_from(deg: float):
    return replace(BREEZE, wind=replace(BREEZE.wind, from_deg=deg))


def test_it_is_worth_the_same_as_when_solved_for_that_wind_alone(solved) -> None:
    made, found = solved
    (plan,) = solve_holes(
        made.simulator, made.fleet, (replace_from(250.0),), made.course, PUTTING, made.assume,
        sizes=SIZES,
    )  # fmt: skip
    hole = found[250.0]
    allowed = 0.03 + 3.0 * math.hypot(hole.strokes_se, plan.strokes_se)
    assert hole.strokes == pytest.approx(plan.strokes, abs=allowed)


def test_remembered_draws_are_those_of_the_fleet(solved) -> None:
    fleet = solved[0].fleet
    remembered = drawn_once(fleet)
    for samples, draw_set in ((8, 1), (8, 2), (16, 1), (8, 1)):
        assert (
            remembered.sample_printed(samples, 1, draw_set)
            == fleet.sample_printed(samples, 1, draw_set)
        ).all()
        assert (
            remembered.sample_mass_kg(samples, 1, draw_set)
            == fleet.sample_mass_kg(samples, 1, draw_set)
        ).all()
    again = remembered.sample_printed(8, 1, draw_set=1)
    assert again is remembered.sample_printed(8, 1, draw_set=1)


def test_the_direction_matters(solved) -> None:
    """A tailwind and a headwind on a hole of 95 m are not worth the same."""
    _, found = solved
    behind, ahead = found[250.0], found[70.0]
    assert ahead.strokes - behind.strokes > 3.0 * math.hypot(ahead.strokes_se, behind.strokes_se)


def test_advice_from_it_is_told_with_its_error(solved) -> None:
    _, found = solved
    ((tee, lie),) = answers_from([found[250.0]], [(0.0, 0.0), (20.0, -4.0)])
    assert tee.throws[0].strokes == pytest.approx(found[250.0].strokes, abs=0.006)
    assert lie.throws[0].strokes < tee.throws[0].strokes
    assert 0.0 < lie.throws[0].strokes_se < 0.2
    assert (len(tee.throws[0].dots_m), len(lie.throws[0].dots_m)) == (20, 12)
    for throw in (*tee.throws, *lie.throws):
        assert max(abs(bend) for bend in throw.bends_m) < 25.0


LIES = ((0.0, 0.0), (20.0, -4.0), (60.0, 3.0), (50.0, -20.0), (92.0, 0.0))


@pytest.fixture(scope="module")
def lies(solved):
    one = solved[1][250.0].days[0]
    return [lie_at(one, *lie) for lie in LIES]


@pytest.fixture(scope="module")
def alone(solved, lies) -> list[list[Advice]]:
    """Return what is advised when each lie is asked for by itself."""
    return [
        [advise(hole, hole.days[0], lie, flips=False) for lie in lies]
        for hole in solved[1].values()
    ]


def both(some: list[list[Advice]], others: list[list[Advice]]):
    for mine, theirs in zip(some, others, strict=True):
        yield from zip(mine, theirs, strict=True)


def test_asked_for_together_lies_are_told_what_each_is_told_alone(solved, lies, alone) -> None:
    together = advise_all(list(solved[1].values()), lies)
    for one, many in both(alone, together):
        assert (many.putts, many.putt) == (one.putts, one.putt)
        assert many.strokes_to_finish == pytest.approx(one.strokes_to_finish, abs=0.002)
        assert [choice.line for choice in many.choices] == [choice.line for choice in one.choices]
        for mine, theirs in zip(many.choices, one.choices, strict=True):
            assert mine.strokes == pytest.approx(theirs.strokes, abs=0.002)
            assert mine.path_m == pytest.approx(theirs.path_m, abs=0.01)
            assert mine.dots_m == pytest.approx(theirs.dots_m, abs=0.01)
    assert any(one.putts for one, _ in both(alone, together))
    assert any(len(one.choices) > 1 for one, _ in both(alone, together))


def test_fewer_throws_choose_where_fewer_are_asked_for(solved, lies) -> None:
    """They are the first of the same set, so that all of them are what is taken when not said."""
    holes = list(solved[1].values())
    most = len(holes[0].choosing)
    tee = lies[0]
    fewer = advise_all(holes, lies, throws=lambda lie: most if lie is tee else 16)
    every = advise_all(holes, lies)
    for some, all_of in both(fewer, every):
        if some.lie is tee:
            assert [one.line for one in some.choices] == [one.line for one in all_of.choices]
    chosen = [[one.line for one in advice.choices] for many in fewer for advice in many]
    assert chosen != [[one.line for one in advice.choices] for many in every for advice in many]


def test_work_between_can_be_stopped(solved, lies) -> None:
    def stop() -> None:
        raise InterruptedError

    with pytest.raises(InterruptedError):
        advise_all(list(solved[1].values()), lies, between=stop)


def test_a_wind_between_two_is_chosen_for_as_well_as_when_searched(flown) -> None:
    """Among what is best in the winds on both sides; paired, on throws that chose nothing."""
    made, posed, clouds, pools = flown
    near = [search_in_wind(posed, clouds, math.radians(deg), SIZES) for deg in (-20.0, 70.0)]
    between = search_between(posed, clouds, math.radians(25.0), near, SIZES)
    alone = search_in_wind(posed, clouds, math.radians(25.0), SIZES)
    hole, other = value_in_winds(
        made.simulator, made.fleet, clouds, pools, [alone, between], SIZES
    )  # fmt: skip
    assert other.strokes == pytest.approx(hole.strokes, abs=0.05)
    assert other.days[0].problem.wind_rad == math.radians(25.0)
    # Nothing is taken over as it is: every throw is aimed in this wind.
    headings = [near[n].chosen.cost[-1] for n in (0, 1)]
    assert between.chosen.cost[-1] not in headings
