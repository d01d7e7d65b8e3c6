"""Stand-in costs and take-overs against their meaning."""

from __future__ import annotations

import numpy as np
import pytest
from carry_cases import field

from rimwise.decide.choose import choose
from rimwise.decide.stand_in import stand_in_costs, who_takes_over
from rimwise.errors import InputError


def test_stand_in_cost_is_the_objective_without_the_disc() -> None:
    cost, weights = field(8, 120, 14)
    carry = choose(cost, 5, weights=weights)
    report = stand_in_costs(cost, weights, carry.chosen)
    assert tuple(entry.disc for entry in report) == carry.chosen
    for entry in report:
        others = [disc for disc in carry.chosen if disc != entry.disc]
        without = float(weights @ cost[:, others].min(axis=1))
        assert entry.cost == pytest.approx(without - carry.objective, abs=1e-9)
        assert entry.cost >= 0.0
        assert entry.rows == tuple(np.flatnonzero(np.array(carry.serves) == entry.disc))
        assert set(entry.by) <= set(others)
    assert sum(entry.weight for entry in report) == pytest.approx(weights.sum())


def test_deputies_come_with_the_busiest_first() -> None:
    cost = np.array([[2.0, 3.0, 4.0], [2.0, 4.0, 3.0], [2.0, 4.0, 3.0]])
    entry = stand_in_costs(cost, None, (0, 1, 2))[0]
    assert entry.by == (1, 2, 2)
    assert entry.deputies == (2, 1)
    assert entry.cost == pytest.approx(3.0)


def test_take_over_names_who_does_the_work_of_those_left_home() -> None:
    cost = np.array([[2.0, 3.0, 2.5], [2.0, 3.0, 1.0], [4.0, 3.0, 2.0], [2.0, 2.0, 2.0]])
    (entry,) = who_takes_over(cost, [1.0, 1.0, 2.0, 1.0], (0, 1))
    assert entry.disc == 2
    assert entry.rows == (1, 2)
    assert entry.by == (0, 1)
    assert entry.cost == pytest.approx(1.0 + 2.0)
    assert entry.weight == pytest.approx(3.0)


def test_take_overs_and_carry_share_all_rows() -> None:
    cost, weights = field(9, 80, 12)
    report = who_takes_over(cost, weights, (1, 4, 6))
    played = [row for entry in report for row in entry.rows]
    assert len(played) == len(set(played))
    everything = weights @ cost.min(axis=1)
    carry = weights @ cost[:, [1, 4, 6]].min(axis=1)
    assert sum(entry.cost for entry in report) == pytest.approx(carry - everything)


def test_refusals() -> None:
    cost = np.ones((2, 3))
    with pytest.raises(InputError, match="two discs or more"):
        stand_in_costs(cost, None, (1,))
    with pytest.raises(InputError, match="at least one disc"):
        who_takes_over(cost, None, ())
    with pytest.raises(InputError, match="names disc 7"):
        who_takes_over(cost, None, (7,))
