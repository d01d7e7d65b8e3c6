"""The carry and the alternates in the car, against every way to choose both."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from small_worlds import FOUR, season

from rimwise.decide.carry import LEAST_TOLERANCE, Wishes, choose_carry, held_back, per_round
from rimwise.decide.conflict import Rule, count_rule
from rimwise.decide.demand import Demand
from rimwise.decide.two_stage import choose_with_car
from rimwise.errors import InputError

DISCS = range(len(FOUR))


def shuffled(seed: int) -> Demand:
    """The season with costs drawn anew, so that the two days want different discs."""
    table = season()
    rng = np.random.default_rng(seed)
    return replace(table, cost=rng.uniform(2.0, 4.0, table.cost.shape))


def day_cost(table: Demand, day: int, chosen: tuple[int, ...]) -> float:
    rows = [r for r, row in enumerate(table.rows) if row.day == day]
    return float(table.weights[rows] @ per_round(table)[rows][:, list(chosen)].min(axis=1))


def sets(pool: tuple[int, ...], most: int) -> list[tuple[int, ...]]:
    return [s for n in range(1, most + 1) for s in combinations(pool, n)]


@settings(max_examples=30, deadline=None)
@given(st.integers(0, 10**6), st.integers(1, 3), st.integers(0, 2), st.booleans(), st.booleans())
def test_what_comes_along_is_the_best_of_all(
    seed: int, limit: int, alternates: int, asked: bool, tips: bool
) -> None:
    """Oracle: every set that may come along, and every day's best of it that stands."""
    table = shuffled(seed)
    wishes = Wishes(limit, must=(0,) if asked else (), never=(3,) if asked else ())
    heavy = count_rule("not these together", len(FOUR), (1, 2), most=1)[0]

    def stands(chosen: Sequence[int]) -> Rule | None:
        return heavy if {1, 2} <= set(chosen) else None

    def keeps(chosen: tuple[int, ...]) -> bool:
        wished = not asked or (0 in chosen and 3 not in chosen)
        return wished and not (tips and stands(chosen))

    def possible(pool: tuple[int, ...]) -> list[tuple[int, ...]]:
        return [s for s in sets(pool, limit) if keeps(s) and len(pool) - len(s) <= alternates]

    def best(pool: tuple[int, ...]) -> float:
        each = possible(pool)
        return sum(min(day_cost(table, day, s) for s in each) for day in (0, 1))

    least = min(best(p) for p in sets(tuple(DISCS), limit + alternates) if possible(p))
    found = choose_with_car(table, wishes, alternates, stands if tips else None)
    come = tuple(sorted({*found.carry.chosen, *found.alternates}))
    told = 0.0
    for swap, day in zip(found.swaps, (0, 1), strict=True):
        carried = tuple(sorted((set(found.carry.chosen) - set(swap.out)) | set(swap.into)))
        assert set(carried) <= set(come)
        assert len(carried) <= limit
        assert keeps(carried)
        told += day_cost(table, day, carried)
    shares = sum(table.days[day].share for day in (0, 1))
    assert least - 1e-6 <= told <= least + found.carry.tolerance * shares + 1e-6
    assert len(found.alternates) <= alternates
    assert abs(found.gap) <= 1e-6


@settings(max_examples=30, deadline=None)
@given(st.integers(0, 10**6), st.integers(1, 3), st.integers(1, 2), st.integers(1, 3))
def test_alternates_go_with_a_carry_that_is_kept(
    seed: int, limit: int, alternates: int, most: int
) -> None:
    """Oracle: every set that holds the carry, and every day's best of it."""
    table = shuffled(seed)
    carry = choose_carry(shuffled(seed + 1), Wishes(min(limit, most)))
    size = len(carry.chosen)

    def best(pool: tuple[int, ...]) -> float:
        each = [s for s in sets(pool, limit) if len(pool) - len(s) <= alternates]
        return sum(min(day_cost(table, day, s) for s in each) for day in (0, 1))

    pools = [p for p in sets(tuple(DISCS), size + alternates) if set(carry.chosen) <= set(p)]
    least = min(map(best, pools))
    found = choose_with_car(table, Wishes(limit), alternates, carry=carry)
    assert found.carry is carry
    told = 0.0
    for swap, day in zip(found.swaps, (0, 1), strict=True):
        carried = tuple(sorted((set(carry.chosen) - set(swap.out)) | set(swap.into)))
        assert len(carried) <= limit
        told += day_cost(table, day, carried)
    shares = sum(table.days[day].share for day in (0, 1))
    assert least - 1e-6 <= told <= least + max(carry.tolerance, LEAST_TOLERANCE) * shares + 1e-6
    assert len(found.alternates) <= alternates
    assert not set(found.alternates) & set(carry.chosen)


def test_the_carry_stands_where_that_is_asked() -> None:
    heavy = choose_with_car(season(), Wishes(3), 1).carry.chosen
    barred = count_rule("not these together", len(FOUR), heavy, most=len(heavy) - 1)[0]

    def stands(chosen: Sequence[int]) -> Rule | None:
        return barred if set(heavy) <= set(chosen) else None

    found = choose_with_car(season(), Wishes(3), 1, stands)
    assert not set(heavy) <= set(found.carry.chosen)


def test_without_room_in_the_car_nothing_is_swapped() -> None:
    found = choose_with_car(season(), Wishes(2), 0)
    assert found.alternates == ()
    assert all(not swap.into for swap in found.swaps)


def test_a_disc_held_back_is_never_thrown() -> None:
    table = season()
    used = set(table.serves(list(DISCS)).tolist())
    kept = next(iter(used))
    held = held_back(table, [kept])
    assert kept not in set(held.serves(list(DISCS)).tolist())
    choice = choose_carry(held, Wishes(3, must=(kept,)))
    assert kept in choice.chosen
    with pytest.raises(InputError, match="none is left to throw"):
        held_back(table, list(DISCS))
