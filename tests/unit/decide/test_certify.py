"""A carry by its own policy: the same table by other roads, and changes solved for themselves."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from small_worlds import ASSUME, FOUR, PUTTING, SEASON_COURSE, SEASON_DAYS, fleet_of, simulator

from rimwise.decide.carry import Wishes
from rimwise.decide.certify import Change, certify, table_of_carry
from rimwise.decide.demand import build_demand


def build(fleet, told):
    return build_demand(
        simulator(), fleet, SEASON_DAYS, SEASON_COURSE, PUTTING, ASSUME, progress=told
    )


def more(table, fleet, told):
    return table.with_more(simulator(), fleet, ASSUME, told)


def quiet(_what, _share):
    pass


def test_the_table_of_a_carry_of_everything_is_the_plans_table():
    fleet = fleet_of(FOUR)
    plans = build(fleet, quiet)
    found = table_of_carry(fleet, [3, 0, 2, 1], build, more, quiet)
    assert np.array_equal(found.cost, plans.cost)
    assert np.array_equal(found.fresh, plans.fresh)


def test_the_table_of_a_carry_has_its_own_policy_and_every_disc_in_its_column():
    fleet = fleet_of(FOUR)
    own = build(fleet.subset([1, 3]), quiet)
    found = table_of_carry(fleet, [3, 1], build, more, quiet)
    assert found.fleet is fleet
    assert [row.weight for row in found.rows] == [row.weight for row in own.rows]
    assert np.array_equal(found.cost[:, [1, 3]], own.cost)
    for mine, theirs in zip(found.values, own.values, strict=True):
        assert np.array_equal(mine.strokes, theirs.strokes)


def test_a_bad_carry_is_changed_and_the_saving_is_that_of_two_tables():
    fleet = fleet_of(FOUR)
    found = certify(fleet, [0], Wishes(1), build, more)
    assert found.chosen != (0,)
    gap = (
        build(fleet.subset([0]), quiet).samples()
        - build(fleet.subset(found.chosen), quiet).samples()
    )
    assert found.against == pytest.approx(gap.mean())
    assert found.against_se == pytest.approx(gap.std(ddof=1) / np.sqrt(len(gap)))
    assert found.against > 2.0 * found.against_se


def test_the_changes_are_single_obey_the_wishes_and_are_solved_for_themselves():
    fleet = fleet_of(FOUR)
    found = certify(fleet, [0, 2], Wishes(2, must=(0,), never=(1,)), build, more)
    base = build(fleet.subset(found.chosen), quiet).samples()
    assert found.changes
    for change in found.changes:
        assert change.out != 0
        assert change.into != 1
        changed = sorted({*found.chosen, *([] if change.into is None else [change.into])}
                         - {change.out})  # fmt: skip
        assert len(changed) <= 2
        gap = base - build(fleet.subset(changed), quiet).samples()
        assert change.saves == pytest.approx(gap.mean())
    saved = [change.saves for change in found.changes]
    assert saved == sorted(saved, reverse=True)


def test_a_putter_kept_for_putting_is_in_no_policy():
    fleet = fleet_of(FOUR)
    found = certify(fleet, [0, 2], Wishes(2, must=(0, 2)), build, more, putting=[0])
    assert found.chosen == (0, 2)
    assert found.stable
    assert found.against == 0.0


def test_better_means_more_than_two_errors():
    change = Change(1, 2, 0.05, 0.02)
    assert change.better
    assert not replace(change, saves_se=0.03).better
    assert not replace(change, saves=0.0, saves_se=0.0).better
