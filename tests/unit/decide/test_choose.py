"""The chosen carry against every possible set, its proof, its ties and its refusals."""

from __future__ import annotations

import subprocess
import sys
from itertools import pairwise
from typing import Any

import numpy as np
import pytest
from carry_cases import Case, cases, field, full_cases
from hypothesis import given, settings

import rimwise as rw
from rimwise.decide.choose import (
    Score,
    Strokes,
    choose,
    choose_in_order,
    choose_lexicographic,
    how_many,
)


@settings(max_examples=400, deadline=None)
@given(cases())
def test_choose_finds_the_best_of_all_sets(case: Case) -> None:
    sets = case.sets()
    arguments: dict[str, Any] = {"weights": case.weights, "price": case.price, **case.rules}
    if not sets:
        with pytest.raises(rw.InputError):
            choose(case.cost, case.limit, **arguments)
        return
    least = min(case.value(chosen) for chosen in sets)
    found = choose(case.cost, case.limit, **arguments)
    assert found.chosen in sets
    assert found.objective == pytest.approx(case.value(found.chosen), abs=1e-12)
    assert found.objective == pytest.approx(least, abs=1e-8)
    assert 0.0 <= found.gap <= 1e-6
    assert found.bound <= least + 1e-9
    assert set(found.serves) <= set(found.chosen)
    served = case.cost[np.arange(len(case.cost)), list(found.serves)]
    assert np.array_equal(served, case.cost[:, list(found.chosen)].min(axis=1))


@settings(max_examples=500, deadline=None)
@given(full_cases())
def test_with_every_kind_of_wish_the_best_of_all_sets_is_found(case: Case) -> None:
    """Oracle: every set that obeys the rules, looked at one by one."""
    found = choose(case.cost, case.limit, weights=case.weights, price=case.price, **case.rules)
    assert case.obeys(found.chosen)
    assert len(found.chosen) <= case.limit
    best = min(case.value(chosen) for chosen in case.sets())
    assert found.objective == pytest.approx(best, abs=1e-9)
    assert found.gap <= 1e-6


@settings(max_examples=120, deadline=None)
@given(cases())
def test_second_criterion_is_the_best_among_near_equals(case: Case) -> None:
    sets = case.sets()
    if not sets:
        return
    tolerance = 0.3
    harsh = np.sin(np.arange(case.cost.size)).reshape(case.cost.shape) * 2.0
    weights = np.ones(len(harsh))
    least = min(case.value(chosen) for chosen in sets)
    near = [chosen for chosen in sets if case.value(chosen) <= least + tolerance]
    least_harsh = min(float(harsh[:, list(chosen)].min(axis=1).sum()) for chosen in near)
    found = choose_lexicographic(
        case.cost,
        case.limit,
        second=(harsh, weights),
        tolerance=tolerance,
        weights=case.weights,
        price=case.price,
        **case.rules,
    )
    assert found.chosen in sets
    assert case.value(found.chosen) <= least + tolerance + 1e-6
    assert found.best[0] == pytest.approx(least, abs=1e-8)
    assert found.objectives[1] == pytest.approx(least_harsh, abs=1e-6)
    assert max(found.gaps) <= 1e-6


@settings(max_examples=60, deadline=None)
@given(cases())
def test_score_decides_between_near_equals_and_then_a_third_criterion(case: Case) -> None:
    sets = case.sets()
    if not sets:
        return
    change = np.arange(case.cost.shape[1]) % 3 - 0.5
    later = case.cost[::-1] ** 2
    least = min(case.value(chosen) for chosen in sets)
    near = [chosen for chosen in sets if case.value(chosen) <= least + 0.5 + 1e-9]
    least_change = min(change[list(chosen)].sum() for chosen in near)
    nearer = [chosen for chosen in near if change[list(chosen)].sum() <= least_change + 1e-9]
    least_later = min(later[:, list(chosen)].min(axis=1).sum() for chosen in nearer)
    found = choose_in_order(
        [
            Strokes(case.cost, case.weights, case.price, tolerance=0.5),
            Score(change, name="change"),
            Strokes(later, name="later"),
        ],
        case.limit,
        **case.rules,
    )
    assert found.names == ("strokes", "change", "later")
    assert found.objectives[1] == pytest.approx(least_change, abs=1e-6)
    assert found.objectives[2] == pytest.approx(least_later, abs=1e-5)


@settings(max_examples=60, deadline=None)
@given(cases())
def test_how_many_curve_falls_and_agrees_with_single_questions(case: Case) -> None:
    if not case.sets():
        return
    arguments: dict[str, Any] = {"weights": case.weights, "price": case.price, **case.rules}
    curve = how_many(case.cost, case.limit, **arguments)
    assert curve[-1].limit == case.limit
    for left, right in pairwise(curve):
        assert right.limit == left.limit + 1
        assert right.objective <= left.objective + 1e-9
    for choice in curve:
        least = min(case.value(chosen) for chosen in case.sets(choice.limit))
        assert choice.objective == pytest.approx(least, abs=1e-8)
    assert not case.sets(curve[0].limit - 1)


def test_same_input_same_carry_and_row_order_does_not_matter() -> None:
    cost, weights = field(3, 300, 25)
    first = choose(cost, 7, weights=weights)
    assert choose(cost, 7, weights=weights) == first
    turned = choose(cost[::-1], 7, weights=weights[::-1])
    assert turned.chosen == first.chosen
    assert turned.serves == first.serves[::-1]


def test_among_twins_the_lower_number_goes_and_idle_discs_stay_home() -> None:
    cost = np.array([[2.0, 2.0, 3.0, 3.0], [3.0, 3.0, 2.5, 2.5]])
    assert choose(cost, 2).chosen == (0, 2)
    assert choose(cost, 4).chosen == (0, 2)
    assert choose(cost, 4, must=[3]).chosen == (0, 3)


def test_price_keeps_discs_home_that_do_not_earn_it() -> None:
    cost = np.array([[2.0, 3.0], [3.0, 2.9]])
    assert choose(cost, 2).chosen == (0, 1)
    assert choose(cost, 2, price=0.2).chosen == (0,)
    assert choose(cost, 2, price=[0.2, 0.05]).chosen == (0, 1)


def test_weight_limit_just_met_is_met() -> None:
    cost = 3.0 - np.eye(20)
    mass = np.full((1, 20), 0.175)
    assert len(choose(cost, 20, linear=(mass, [20 * 0.175])).chosen) == 20
    assert len(choose(cost, 20, linear=(mass, [3.4])).chosen) == 19


def test_stopping_early_leaves_an_honest_gap() -> None:
    rng = np.random.default_rng(5)
    cost = rng.uniform(2.0, 4.0, (60, 18))
    hasty = choose(cost, 5, node_limit=1)
    proven = choose(cost, 5)
    assert hasty.gap > 1e-3
    assert hasty.bound <= proven.objective <= hasty.objective
    assert proven.gap <= 1e-6


def test_nothing_is_printed() -> None:
    code = "import rimwise; rimwise.choose([[2.0, 3.0], [3.0, 2.5], [2.0, 2.1]], 2)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, check=True)
    assert done.stdout == b""
    assert done.stderr == b""


TABLE = np.array([[2.0, 3.0, 4.0], [3.0, 2.0, 4.0]])
REFUSED: list[tuple[dict[str, Any], str]] = [
    ({"limit": 0}, "limit must be 1 or more"),
    ({"limit": 2.5}, "limit must be a whole number"),
    ({"must": [0, 1, 2]}, "must names 3 discs, but the limit is 2"),
    ({"must": [1], "never": [1]}, "disc 1 is in must and in never"),
    ({"never": [0, 1, 2]}, "never names every disc"),
    ({"must": [3]}, "must names disc 3, but the discs are numbered 0 to 2"),
    ({"never": [-1]}, "never names disc -1"),
    ({"never": 1}, "never must be a list of disc indices"),
    ({"at_least": [([0, 1], 3)]}, "at-least rule 1 asks for 3 discs, but only 2"),
    ({"at_least": [([0, 1], 2)], "never": [0]}, "at-least rule 1 asks for 2 discs, but only 1"),
    ({"at_least": [([0, 1, 2], 3)]}, "at-least rule 1 asks for 3 discs, but the limit is 2"),
    ({"at_least": [([0, 1], 2), ([2], 1)]}, "need at least 3 discs, but the limit is 2"),
    ({"at_least": [5]}, "at-least rule 1 must be a pair"),
    ({"linear": ([[1.0, 1.0, 1.0]], [0.5])}, r"linear rule 1 \(at most 0.5\) stands against"),
    ({"linear": ([[1.0, 1.0]], [0.5])}, "A with 3 columns"),
    ({"linear": 3}, "linear must be a pair"),
    ({"weights": [1.0]}, "one number for each of the 2 rows"),
    ({"weights": [1.0, -1.0]}, "row 1 has -1"),
    ({"weights": [0.0, 0.0]}, "weights are all zero"),
    ({"price": [1.0, 2.0]}, "price must be one number or one for each of the 3 discs"),
    ({"price": float("nan")}, "price must hold finite numbers only"),
    ({"cost": [[2.0, float("inf")], [1.0, 2.0]]}, r"has inf at \[0, 1\]; give a disc that cannot"),
    ({"cost": [[2.0, float("nan")]]}, r"has nan at \[0, 1\]"),
    ({"cost": [1.0, 2.0]}, "cost must be a table"),
    ({"cost": np.zeros((0, 3))}, "at least one row"),
    ({"cost": [[1.0], [1.0, 2.0]]}, "cost must hold numbers only"),
]


@pytest.mark.parametrize(("change", "sentence"), REFUSED)
def test_refusals_say_what_to_change(change: dict[str, Any], sentence: str) -> None:
    arguments: dict[str, Any] = {"cost": TABLE, "limit": 2, **change}
    with pytest.raises(rw.InputError, match=sentence):
        choose(arguments.pop("cost"), arguments.pop("limit"), **arguments)


def test_refusals_of_several_criteria() -> None:
    with pytest.raises(rw.InputError, match="criteria must hold at least one"):
        choose_in_order([], 2)
    with pytest.raises(rw.InputError, match="tolerance of strokes must be between 0"):
        choose_in_order([Strokes(TABLE, tolerance=-1.0)], 2)
    with pytest.raises(rw.InputError, match="wear must hold one number for each of the 3 discs"):
        choose_in_order([Strokes(TABLE), Score([1.0], name="wear")], 2)
    with pytest.raises(rw.InputError, match="harsh must have 3 columns"):
        choose_in_order([Strokes(TABLE), Strokes(TABLE[:, :2], name="harsh")], 2)
    with pytest.raises(rw.InputError, match="second must be a pair"):
        choose_lexicographic(TABLE, 2, second=TABLE[:1], tolerance=0.1)  # type: ignore[arg-type]
    with pytest.raises(rw.InputError, match="criteria must hold Strokes or Score"):
        choose_in_order([TABLE], 2)  # type: ignore[list-item]
