"""The proof stands on its own: without a good start, and with cuts forgotten on the way."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest
from carry_cases import Case, cases, field
from hypothesis import HealthCheck, given, settings

from rimwise.decide import proof as proof_module
from rimwise.decide.choose import Score, Strokes, choose, choose_in_order, choose_lexicographic
from rimwise.decide.criteria import Table, make_table
from rimwise.decide.exchange import Cap
from rimwise.decide.proof import Proof
from rimwise.decide.rules import Rules, make_rules


def as_given(
    table: Table, rules: Rules, caps: tuple[Cap, ...], start: tuple[int, ...]
) -> tuple[int, ...]:
    """Stand in for the exchange search and improve nothing."""
    return start


@settings(
    max_examples=120,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(case=cases())
def test_tree_finds_the_optimum_from_the_smallest_set(
    monkeypatch: pytest.MonkeyPatch, case: Case
) -> None:
    monkeypatch.setattr(proof_module, "improve", as_given)
    sets = case.sets()
    if not sets:
        return
    rules = make_rules(case.cost.shape[1], case.limit, **case.rules)
    table = make_table(Strokes(case.cost, case.weights, case.price), rules)
    start = rules.start()
    found, bound = Proof(table, rules, (), start).best(case.limit, start)
    least = min(case.value(chosen) for chosen in sets)
    assert case.value(found) == pytest.approx(least, abs=1e-7)
    assert bound + table.offset == pytest.approx(least, abs=1e-6)


def test_forgotten_cuts_are_found_again(monkeypatch: pytest.MonkeyPatch) -> None:
    rng = np.random.default_rng(2)
    cost = rng.uniform(2.0, 4.0, (60, 12))
    least = min(cost[:, list(c)].min(axis=1).sum() for c in combinations(range(12), 4))
    monkeypatch.setattr(proof_module, "_MOST_ROWS", 40)
    found = choose(cost, 4)
    assert found.objective == pytest.approx(least)
    assert found.gap <= 1e-6


def test_huge_cost_stands_for_a_disc_that_cannot_do_the_job() -> None:
    cost, weights = field(6, 80, 12)
    cost = np.where(np.random.default_rng(6).random(cost.shape) < 0.2, 1e6, cost)
    least = min(weights @ cost[:, list(c)].min(axis=1) for c in combinations(range(12), 5))
    found = choose(cost, 5, weights=weights)
    assert found.objective == pytest.approx(least, rel=1e-12)
    assert found.gap <= 1e-6 * max(1.0, found.objective)


def test_least_change_from_last_time_among_near_equals() -> None:
    cost, weights = field(12, 90, 10)
    last = np.isin(np.arange(10), [2, 5, 7])
    change = Score(np.where(last, -1.0, 1.0), name="change")
    sets = list(combinations(range(10), 3))
    values = {c: float(weights @ cost[:, list(c)].min(axis=1)) for c in sets}
    near = [c for c in sets if values[c] <= min(values.values()) + 2.0]
    found = choose_lexicographic(cost, 3, second=change, tolerance=2.0, weights=weights)
    kept = max(len({2, 5, 7} & set(c)) for c in near)
    assert len({2, 5, 7} & set(found.chosen)) == kept
    assert values[found.chosen] <= min(values.values()) + 2.0 + 1e-6


def test_a_score_may_come_first() -> None:
    fewest_grams = Score([3.0, 1.0, 2.0], tolerance=1.0, name="grams")
    cost = Strokes([[2.0, 4.0, 3.0]])
    found = choose_in_order([fewest_grams, cost], 2)
    assert found.chosen == (2,)
    assert found.best == pytest.approx((1.0, 3.0))
