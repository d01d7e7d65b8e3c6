"""Three sentences to remember: the cheapest of all that were tried, and what they cost."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from small_worlds import demand, season, straight, windy

from rimwise.decide.pocket import _conditions, find_rule


def test_one_disc_needs_one_rule_and_costs_nothing() -> None:
    rule = find_rule(season(), [2])
    assert {clause.disc for clause in rule.clauses} == {2}
    assert rule.costs == 0.0


def test_a_rule_finds_the_distance_at_which_discs_change() -> None:
    """Costs made so that the putter is right up to 80 m and the driver beyond."""
    table = demand([windy(0.0, 0.0)], straight(45.0, 55.0, 65.0, 85.0, 95.0, 115.0))
    away = np.array([row.lie.distance_m for row in table.rows])
    cost = np.full_like(table.cost, 9.0)
    cost[:, 0], cost[:, 2] = np.where(away < 80.0, 3.0, 4.0), np.where(away < 80.0, 4.0, 3.0)
    fresh = np.repeat(cost[:, :, None], table.fresh.shape[2], axis=2).astype(np.float32)
    made = replace(table, cost=cost, fresh=fresh)
    rule = find_rule(made, [0, 1, 2, 3])
    assert float(made.weights @ made.cost.min(axis=1)) == pytest.approx(
        float(sum(3.0 * clause.throws for clause in rule.clauses))
    )
    by_kind = {(clause.kind, clause.metres): clause.disc for clause in rule.clauses}
    assert by_kind.get(("shorter", 80.0), 0) == 0
    assert by_kind.get(("longer", 80.0), 2) == 2
    assert sum(clause.throws for clause in rule.clauses) == pytest.approx(made.weights.sum())


def test_the_wind_is_felt_from_the_side_it_comes_from() -> None:
    """Thrown north in a westerly: the wind is on the left, and one disc is made right for it."""
    table = demand([windy(6.0, 270.0, "west", 0.5), windy(6.0, 90.0, "east", 0.5)], straight(75.0))
    west = np.array([row.day == 0 for row in table.rows])
    cost = np.full_like(table.cost, 9.0)
    cost[:, 1], cost[:, 3] = np.where(west, 3.0, 5.0), np.where(west, 5.0, 3.0)
    rule = find_rule(replace(table, cost=cost), [1, 3])
    said = {clause.kind: clause.disc for clause in rule.clauses}
    assert said.get("wind from the left", 1) == 1
    assert said.get("wind from the right", 3) == 3
    assert {"wind from the left", "wind from the right"} & set(said)


def test_shorter_and_longer_divide_throws_at_their_distance() -> None:
    table = demand([windy(0.0, 0.0)], straight(45.0, 75.0, 115.0))
    away = np.array([row.lie.distance_m for row in table.rows])
    for kind, metres, holds in _conditions(table):
        if metres is not None:
            assert np.array_equal(holds, away < metres if kind == "shorter" else away >= metres)


def test_what_a_rule_costs_is_told_on_throws_it_was_not_chosen_on() -> None:
    table = season()
    rule = find_rule(table, [0, 1, 2, 3])
    assert rule.costs_se > 0.0
    assert rule.costs > -3.0 * rule.costs_se
