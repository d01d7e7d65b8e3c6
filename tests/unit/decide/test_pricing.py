"""The typed layer over the loop: effort words, threads, and chosen lines followed."""

from __future__ import annotations

import numpy as np
import pytest
from small_worlds import ASSUME, CALM, box, fleet_of, simulator, windy

from rimwise.course.geometry import HoleRaster
from rimwise.decide.clouds import Clouds
from rimwise.decide.demand import prices_for
from rimwise.decide.lies import Lie, lie_at, open_lie
from rimwise.decide.lines import EFFORTS
from rimwise.decide.pricing import (
    TARGETS_CLEAR,
    TARGETS_GUARDED,
    TARGETS_OPEN,
    Actions,
    price_lies,
    targets_for,
    trace_lie,
)
from rimwise.records.courses import AreaKind, Course, Hole

VALUE = 2.0 + np.arange(401) / 60.0
FLEET = fleet_of()
PRICES = prices_for(FLEET, CALM, ASSUME)


@pytest.fixture(scope="module")
def flown() -> Clouds:
    return simulator().clouds(FLEET, windy(4.0, 60.0))


@pytest.fixture(scope="module")
def lies() -> list[Lie]:
    areas = (
        box(AreaKind.WATER, 5.0, 30.0, 60.0, 110.0),
        box(AreaKind.WOOD, -90.0, 30.0, -8.0, 90.0),
    )
    hole = Hole("1", (0.0, 0.0), (0.0, 95.0))
    raster = HoleRaster.build(Course("c", (hole,), areas), hole)
    spots = [(0.0, 0.0), (-4.0, 30.0), (-10.0, 55.0)]
    return [lie_at(spot, hole.basket, 0.0, raster) for spot in spots] + [open_lie(60.0, 200.0)]


def price(flown: Clouds, lies: list[Lie], targets=TARGETS_GUARDED, threads: int = 2) -> Actions:  # type: ignore[no-untyped-def]
    return price_lies(
        flown.points, 60.0, lies, VALUE, PRICES, flown.nerve, targets=targets, threads=threads
    )  # fmt: skip


def test_threads_change_no_byte(flown: Clouds, lies: list[Lie]) -> None:
    assert price(flown, lies).table.tobytes() == price(flown, lies, threads=1).table.tobytes()


def test_rows_do_not_look_at_each_other(flown: Clouds, lies: list[Lie]) -> None:
    together = price(flown, lies).table
    for r, lie in enumerate(lies):
        assert np.array_equal(price(flown, [lie]).table[0], together[r])


def test_discs_do_not_look_at_each_other(flown: Clouds, lies: list[Lie]) -> None:
    together = price(flown, lies).table
    alone = price_lies(
        flown.points[2:3], 60.0, lies, VALUE, type(PRICES)(PRICES.table[2:3]), flown.nerve,
        targets=TARGETS_GUARDED,
    )  # fmt: skip
    assert np.array_equal(alone.table[:, 0], together[:, 2])


def test_every_disc_gets_a_finite_cost_and_a_possible_line(flown: Clouds, lies: list[Lie]) -> None:
    actions = price(flown, lies)
    assert np.all((actions.cost > 2.0) & (actions.cost < 8.0))
    for r in range(len(lies)):
        for d in range(len(FLEET)):
            assert 0 <= actions.base(r, d) < flown.points.shape[1]
            assert EFFORTS[0] <= actions.effort(r, d, EFFORTS) <= EFFORTS[-1]
            assert abs(actions.turn_rad(r, d)) < np.pi / 2


def test_following_the_chosen_line_costs_what_was_said(flown: Clouds, lies: list[Lie]) -> None:
    actions = price(flown, lies)
    for r, lie in enumerate(lies):
        for d in range(len(FLEET)):
            followed = trace_lie(
                flown.points[d, actions.base(r, d)], 60.0, lie, VALUE, PRICES.table[d],
                flown.nerve, actions.table[r, d],
            )  # fmt: skip
            assert followed[:, 0].mean() == pytest.approx(actions.cost[r, d], abs=1e-4)


def test_targets_nest(flown: Clouds, lies: list[Lie]) -> None:
    """Targets amid trouble hold the clear ones, which hold the middle of the open ones."""
    guarded, clear = price(flown, lies).cost, price(flown, lies, TARGETS_CLEAR).cost
    straight = price(flown, lies, TARGETS_OPEN[:1]).cost
    assert np.all(guarded <= clear)
    assert np.all(clear <= straight)
    assert {tuple(t) for t in TARGETS_CLEAR} <= {tuple(t) for t in TARGETS_GUARDED}


def test_trouble_in_reach_widens_what_is_tried(lies: list[Lie]) -> None:
    assert targets_for(lies[0]) is TARGETS_GUARDED
    assert targets_for(lies[3]) is TARGETS_CLEAR


def test_a_dearer_penalty_never_makes_a_lie_cheaper(flown: Clouds, lies: list[Lie]) -> None:
    dear = PRICES.table.copy()
    dear[:, 0] += 1.0
    costs = price_lies(
        flown.points, 60.0, lies, VALUE, type(PRICES)(dear), flown.nerve, targets=TARGETS_GUARDED
    ).cost
    cheap = price(flown, lies).cost
    assert np.all(costs >= cheap)
    assert costs[:3].sum() > cheap[:3].sum()
    assert np.array_equal(costs[3], cheap[3])  # open ground has no penalty to pay
