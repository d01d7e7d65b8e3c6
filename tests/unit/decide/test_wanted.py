"""Discs that nobody owns: the same table as if they were there, gaps, and what they save."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from small_worlds import (
    ASSUME,
    CALM,
    FOUR,
    PUTTING,
    demand,
    disc,
    fleet_of,
    season,
    simulator,
    straight,
)

from rimwise.decide.demand import build_demand
from rimwise.decide.wanted import (
    _learnt_in,
    _saved,
    best_addition,
    find_gaps,
    known_draws,
    value_of_wanted,
)
from rimwise.errors import InputError

DISCS = len(FOUR)


def test_a_disc_added_costs_what_it_costs_when_it_is_owned() -> None:
    """Each disc's throws know nothing of the others': on a tee the figures are equal to the bit."""
    course = straight(75.0)
    full = demand([CALM], course)
    without = build_demand(simulator(), fleet_of(FOUR[:3]), [CALM], course, PUTTING, ASSUME)
    both = without.with_more(simulator(), fleet_of(FOUR[3:]), ASSUME)
    assert both.fleet.ids == full.fleet.ids
    # What follows a throw rests on the discs that are owned, so only lies and lines are compared.
    own = replace(without, values=full.values)
    tees = [r for r, row in enumerate(own.rows) if row.kind == "tee"]
    again = own.with_more(simulator(), fleet_of(FOUR[3:]), ASSUME)
    assert np.array_equal(again.cost[tees, 3], full.cost[tees, 3])
    assert np.array_equal(again.fresh[tees, 3], full.fresh[tees, 3])


def test_a_twin_of_an_owned_disc_fills_no_gap_and_a_useful_one_does() -> None:
    table = season()
    twin, putter = disc("twin", "FW 7"), disc("more", "PU 1")
    wide = table.with_more(simulator(), fleet_of([twin, putter]), ASSUME)
    gaps = find_gaps(wide, [0], [4, 5])  # the carry is the putter alone
    assert gaps[0].disc == 4
    saved, error = wide.difference([0], [0, 4])
    assert (gaps[0].saves, gaps[0].saves_se) == (saved, error)
    assert sum(share for _, share in gaps[0].kinds) == pytest.approx(1.0)
    assert [gap.disc for gap in find_gaps(wide, [0, 1, 2, 3], [5])] == []


def test_a_gap_that_is_filled_is_not_told_again() -> None:
    """Two of one mold: the second is worth hardly anything once the first is carried."""
    table = season()
    pairs = fleet_of([disc("one", "FW 7"), disc("other", "FW 7")])
    wide = table.with_more(simulator(), pairs, ASSUME)
    gaps = find_gaps(wide, [0], [4, 5])
    alone = {d: wide.difference([0], [0, d])[0] for d in (4, 5)}
    assert gaps[0].saves == alone[gaps[0].disc]
    for gap in gaps[1:]:
        assert gap.saves < 0.5 * alone[gap.disc]


def test_a_disc_that_is_no_use_saves_nothing_at_all() -> None:
    table = season()
    best, worst = table.cost.min(axis=1), table.cost.max(axis=1)
    # A carry of one disc that always is right: another one in its place can only cost strokes.
    worse = replace(table, cost=np.column_stack([best, worst, worst, worst]))
    assert _saved(worse, [0], 3, room=False) == 0.0
    assert worse.difference([0], [3])[0] != 0.0


def test_the_best_addition_is_the_one_that_lowers_the_strokes_most() -> None:
    table = season()
    best = best_addition(table, [0], [1, 2, 3])
    left = {d: float(table.weights @ table.cost[:, [0, d]].min(axis=1)) for d in (1, 2, 3)}
    assert best == min(left, key=lambda disc: left[disc])
    assert best_addition(table, [0, 1], [0, 1]) is None


def test_known_draws_spread_as_the_beliefs_do_and_are_surely_known() -> None:
    fleet = fleet_of(FOUR[2:3])
    draws = known_draws(fleet, 5, 400)
    assert len(draws) == 400
    spread = draws.printed.std(axis=0)
    wanted = np.sqrt(fleet.printed_sd**2 + np.array([0, 0, 1, 1]) * fleet.plastic_sd[0] ** 2)
    assert spread == pytest.approx(wanted, rel=0.12)
    again = draws.sample_printed(3, 1)
    assert again == pytest.approx(np.repeat(draws.printed[:, None], 3, axis=1))


def test_draws_of_a_known_disc_grip_as_it_may_turn_out() -> None:
    fleet = fleet_of(FOUR[:2])
    spread = np.array([[0.4] * 4, [0.0] * 4])
    draws = known_draws(fleet, 5, 500, spread).grip.reshape(2, 500, 4)
    assert draws[0].std(axis=0) == pytest.approx([0.4] * 4, rel=0.1)
    assert np.array_equal(draws[1], np.repeat(fleet.grip[1:], 500, axis=0))
    widest = known_draws(fleet, 5, 500, 20.0 * spread).grip
    assert (widest.min(), widest.max()) == (1.0, 5.0)


def test_a_wish_is_worth_more_once_it_is_known_than_at_first() -> None:
    table = season()
    wishes = fleet_of([disc("wish", "FW 7"), disc("idle", "PU 1")])
    found = value_of_wanted(simulator(), table, [0, 1], wishes, ASSUME, room=True)
    assert [wishes.ids[one.disc] for one in found] == ["wish", "idle"]
    best = found[0]
    assert best.at_first > 2.0 * best.at_first_se
    assert best.low <= best.known <= best.high
    assert best.known > best.at_first - 2.0 * best.at_first_se
    assert best.instead_of is None
    assert best.throws > 0.0
    idle = found[1]
    assert (idle.throws > 0.0) == math.isfinite(idle.half_known_rounds)


def test_what_learning_gives_away_is_the_share_of_variance_that_is_left() -> None:
    """Throws of a wish scatter by 3 m each way, and what is not known of it by 4 m each way."""
    rng = np.random.default_rng(1)
    table = season()
    rows, count, draws = len(table.rows), 1500, 20
    scatter = 3.0 * rng.normal(size=(rows, 1, count, 2))
    believed = scatter + 4.0 * rng.normal(size=(rows, 1, count, 2))
    known = 3.0 * rng.normal(size=(rows, draws, count, 2)) + 4.0 * rng.normal(
        size=(rows, draws, 1, 2)
    )
    best = table.cost.min(axis=1, keepdims=True) - 1.0
    first = replace(
        table, cost=np.hstack([table.cost, best]),
        next_m=np.concatenate([np.zeros((rows, DISCS, count, 2)), believed], axis=1),
    )  # fmt: skip
    throws, half = _learnt_in(first, replace(table, next_m=known), [0, 1, DISCS], 0, draws)
    assert throws == pytest.approx(table.weights.sum())
    assert half == pytest.approx(9.0 / (throws * 16.0), rel=0.05)
    # Checked against the posterior of a normal mean, taken throw by throw.
    precision = 1.0 / 16.0
    for _ in range(6):
        precision += 1.0 / 9.0
    assert 1.0 / (1.0 + 6.0 / throws / half) == pytest.approx(1.0 / precision / 16.0, rel=0.05)


def test_a_disc_that_nothing_falls_to_is_never_learnt() -> None:
    table = season()
    dear = replace(table, cost=np.hstack([table.cost, table.cost.max(axis=1)[:, None] + 1.0]))
    assert _learnt_in(dear, table, [0, DISCS], 0, 2) == (0.0, math.inf)


def test_a_full_carry_gives_up_the_disc_that_is_missed_least() -> None:
    table = season()
    wishes = fleet_of([disc("wish", "FW 7")])
    (found,) = value_of_wanted(simulator(), table, [0, 1, 3], wishes, ASSUME)
    wide = table.with_more(simulator(), wishes, ASSUME)
    kept = {gone: [d for d in [0, 1, 3, 4] if d != gone] for gone in (0, 1, 3)}
    cost = {gone: float(wide.weights @ wide.cost[:, k].min(axis=1)) for gone, k in kept.items()}
    assert found.instead_of == min(cost, key=lambda gone: cost[gone])


def test_a_name_that_is_owned_already_is_refused() -> None:
    with pytest.raises(InputError, match="two discs are named 'fw'"):
        season().with_more(simulator(), fleet_of([disc("fw")]), ASSUME)
