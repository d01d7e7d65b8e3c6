"""Overlaps of carried discs."""

from __future__ import annotations

from dataclasses import replace

from small_worlds import demand, straight, windy

from rimwise.decide.overlaps import find_overlaps


def test_discs_that_do_each_others_work_overlap_and_others_do_not():
    """The twin costs the same on every throw; the driver's work nobody else can do."""
    table = demand([windy(2.0, 90.0)], straight(70.0, 110.0))
    cost, fresh = table.cost.copy(), table.fresh.copy()
    cost[:, 1], fresh[:, 1] = cost[:, 2] + 1e-6, fresh[:, 2]
    next_m = table.next_m.copy()
    next_m[:, 1] = next_m[:, 2]
    twins = replace(table, cost=cost, fresh=fresh, next_m=next_m)
    served = twins.serves([0, 1, 2, 3]) == 2
    cost[~served, 1] = cost[~served].min(axis=1) - 1e-7  # it is thrown as well
    found = find_overlaps(replace(twins, cost=cost), (0, 1, 2))
    assert ("fw", "mi") in {(one.first, one.second) for one in found}
    assert find_overlaps(table, (0, 2)) == ()
