"""Over the water or not, and which disc: as paired differences that agree with plain ones."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from advice_worlds import Asked, pond_across, solved
from hole_worlds import CALM, open_hole, world
from rimwise.decide.advice import advise, lie_at, shortlist
from rimwise.decide.crossing import Floating, crossing, floating
from rimwise.decide.tries import try_lines


@pytest.fixture(scope="module")
def pond() -> Asked:
    return solved(world(pond_across(), CALM))


def test_a_narrow_pond_is_gone_over_and_saves_a_throw(pond: Asked) -> None:
    lie = lie_at(pond.one, 0.0, 0.0)
    found = crossing(pond.hole, pond.one, lie)
    assert found is not None
    assert (found.kind, found.near_m, found.far_m) == ("water", 40.0, 66.0)
    assert found.saves > 0.3
    assert found.saves > 5.0 * found.saves_se
    assert found.go_penalty > found.lay_up_penalty
    tries = try_lines(pond.hole, pond.one, lie, [found.go, found.lay_up], pond.hole.reporting)
    assert found.saves == pytest.approx(tries.cost[1] - tries.cost[0])
    first = advise(pond.hole, pond.one, lie, flips=False).choices[0]
    assert math.hypot(*first.line.target_m) > 66.0


def test_a_lay_up_stays_short_and_a_carry_goes_beyond(pond: Asked) -> None:
    lie = lie_at(pond.one, 0.0, 0.0)
    found = crossing(pond.hole, pond.one, lie)
    assert found is not None
    tries = try_lines(pond.hole, pond.one, lie, [found.go, found.lay_up], pond.hole.reporting)
    assert np.median(tries.where_m[0, :, 0]) > 60.0
    assert np.median(tries.where_m[1, :, 0]) < 40.0


def test_a_pond_too_wide_to_carry_is_not_spoken_of() -> None:
    wide = solved(world(pond_across(40.0, 110.0, 125.0), CALM))
    assert crossing(wide.hole, wide.one, lie_at(wide.one, 0.0, 0.0)) is None


def test_where_nothing_lies_in_the_way_there_is_nothing_to_say() -> None:
    free = solved(world(open_hole(70.0), CALM))
    lie = lie_at(free.one, 0.0, 0.0)
    assert crossing(free.hole, free.one, lie) is None
    first = advise(free.hole, free.one, lie, flips=False).choices[0]
    assert floating(free.hole, free.one, lie, first.line) is None


def test_behind_the_pond_it_is_no_longer_in_the_way(pond: Asked) -> None:
    assert crossing(pond.hole, pond.one, lie_at(pond.one, 68.0, 0.0)) is None


def test_without_a_floating_disc_that_is_said(pond: Asked) -> None:
    lie = lie_at(pond.one, 0.0, 0.0)
    first = advise(pond.hole, pond.one, lie, flips=False).choices[0]
    found = floating(pond.hole, pond.one, lie, first.line)
    assert found is not None
    assert found.other is None
    assert found.water == pytest.approx(first.water)


def test_a_disc_that_floats_itself_is_not_spoken_of(pond: Asked) -> None:
    lie = lie_at(pond.one, 0.0, 0.0)
    line = shortlist(pond.one, lie)[0]
    fleet = replace(pond.hole.fleet, floats=np.ones(len(pond.hole.fleet), dtype=np.bool_))
    assert floating(replace(pond.hole, fleet=fleet), pond.one, lie, line) is None


def test_a_lost_disc_must_be_worth_what_play_costs_for_each_disc_kept() -> None:
    found = Floating(0, None, 0.1, -0.02, 0.01, play=0.02, keeps=0.05)
    assert found.worth_from == pytest.approx(0.4)
    assert replace(found, keeps=0.0).worth_from == math.inf
    assert replace(found, play=-0.1).worth_from == 0.0
