"""Shares of a swap's causes against the Shapley value computed from its definition (1953)."""

from __future__ import annotations

from itertools import combinations
from math import factorial

import numpy as np
import pytest

from rimwise.decide.swaps import shares_of

FACTORS = ("grip", "arm", "air", "wind", "ground", "water", "wear")


def _shapley(game, players):
    """The mean of a player's contributions over all orders, from the definition."""
    n = len(players)
    value = dict.fromkeys(players, 0.0)
    for player in players:
        others = [p for p in players if p != player]
        for size in range(n):
            weight = factorial(size) * factorial(n - size - 1) / factorial(n)
            for before in combinations(others, size):
                joined = game[frozenset((*before, player))] - game[frozenset(before)]
                value[player] += weight * joined
    return value


def _game(random, players, order):
    """A random game whose players act alone, and together up to so many at once."""
    together = {
        frozenset(group): random.normal()
        for size in range(order + 1)
        for group in combinations(players, size)
    }
    return {
        frozenset(group): sum(value for part, value in together.items() if part <= set(group))
        for size in range(len(players) + 1)
        for group in combinations(players, size)
    }


def _looked_at(game):
    """The worlds that a swap is priced in."""
    players = max(game, key=len)
    sizes = {0, 1, len(players) - 1, len(players)}
    return {group: value for group, value in game.items() if len(group) in sizes}


@pytest.mark.parametrize("count", range(1, 8))
def test_shares_are_shapleys_where_no_three_factors_act_together(count):
    random = np.random.default_rng(count)
    players = FACTORS[:count]
    game = _game(random, players, order=2)
    found, together = shares_of(_looked_at(game))
    assert together == pytest.approx(0.0, abs=1e-9)
    exact = _shapley(game, players)
    assert {f: found[f] for f in players} == pytest.approx(exact, abs=1e-9)


def test_shares_of_three_factors_are_shapleys_whatever_they_do_together():
    game = _game(np.random.default_rng(11), FACTORS[:3], order=3)
    found, _ = shares_of(_looked_at(game))
    assert found == pytest.approx(_shapley(game, FACTORS[:3]), abs=1e-9)


def test_shares_sum_to_the_whole_of_any_game():
    game = _game(np.random.default_rng(5), FACTORS, order=7)
    found, together = shares_of(_looked_at(game))
    whole = game[frozenset(FACTORS)] - game[frozenset()]
    assert sum(found.values()) == pytest.approx(whole)
    assert together != pytest.approx(0.0, abs=1e-6)


def test_nothing_that_differs_shares_nothing():
    assert shares_of({frozenset(): 0.3}) == ({}, 0.0)
