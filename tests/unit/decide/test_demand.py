"""The demand table: identities, weights, symmetry, and honest errors."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest
from small_worlds import (
    ASSUME,
    CALM,
    FOUR,
    PUTTING,
    SEASON_COURSE,
    SEASON_DAYS,
    THROWER,
    box,
    demand,
    disc,
    fleet_of,
    season,
    simulator,
    straight,
    windy,
)

from rimwise.course.table import course_from_table
from rimwise.decide.demand import build_demand, losses_for, prices_for
from rimwise.decide.lines import EFFORTS
from rimwise.records.courses import Area, AreaKind, Course, Hole
from rimwise.records.thrower import Hand

EVERYTHING = range(len(FOUR))


def test_a_carry_of_everything_costs_what_everything_costs() -> None:
    assert season().strokes(EVERYTHING) == season().strokes(None)
    assert season().difference(EVERYTHING, EVERYTHING) == (0.0, 0.0)


def test_strokes_and_differences_agree() -> None:
    table = season()
    for chosen in ([0], [1, 2], [0, 3]):
        gap = table.strokes(chosen)[0] - table.strokes(None)[0]
        assert gap == pytest.approx(table.difference(chosen, EVERYTHING)[0])
        other = table.difference(chosen, [0, 1])[0]
        assert other == pytest.approx(table.strokes(chosen)[0] - table.strokes([0, 1])[0])
        assert table.difference([0, 1], chosen)[0] == pytest.approx(-other)


def test_on_the_choosing_throws_more_discs_never_cost_more() -> None:
    table = season()
    for chosen in (c for n in (1, 2, 3) for c in combinations(EVERYTHING, n)):
        fewer = table.cost[:, chosen].min(axis=1)
        for extra in set(EVERYTHING) - set(chosen):
            assert np.all(table.cost[:, [*chosen, extra]].min(axis=1) <= fewer)


def test_every_row_is_served_by_the_cheapest_chosen_disc() -> None:
    table = season()
    serves = table.serves([3, 1])
    assert set(serves.tolist()) <= {1, 3}
    rows = np.arange(len(table.rows))
    assert np.array_equal(table.cost[rows, serves], table.cost[:, [1, 3]].min(axis=1))


def test_tees_are_visited_once_a_round_and_approaches_no_more_often_than_their_tees() -> None:
    table = season()
    tees = [row for row in table.rows if row.kind == "tee"]
    assert sum(row.weight for row in tees) == pytest.approx(2.0)
    for day, share in ((0, 0.6), (1, 0.4)):
        for hole in ("1", "2"):
            own = [row for row in table.rows if (row.day, row.hole) == (day, hole)]
            assert sum(row.weight for row in own if row.kind == "tee") == pytest.approx(share)
            after = [row.weight for row in own if row.kind == "approach"]
            assert sum(after) <= 2.0 * share + 1e-9
            assert all(weight > 0.0 for weight in after)
    assert any(row.kind == "approach" for row in table.rows)


def test_the_longer_hole_needs_more_approaches_and_more_strokes() -> None:
    table = season()
    visits = {
        hole: sum(r.weight for r in table.rows if r.kind == "approach" and r.hole == hole)
        for hole in ("1", "2")
    }
    assert visits["2"] > visits["1"]
    best = {
        row.hole: table.cost[r].min()
        for r, row in enumerate(table.rows)
        if row.kind == "tee" and row.day == 0
    }
    assert best["2"] > best["1"] + 0.2


def test_words_and_shapes() -> None:
    table = season()
    rows, discs = len(table.rows), len(FOUR)
    assert table.cost.shape == table.loss.shape == (rows, discs)
    assert table.fresh.shape == (rows, discs, 48)
    assert table.next_m.shape == (rows, discs, 48, 2)
    assert np.all((table.loss >= 0.0) & (table.loss <= 1.0))
    assert len(table.values) == 2
    for r in range(rows):
        for d in range(discs):
            effort = table.actions.effort(r, d, EFFORTS)
            assert ("full" in table.words(r, d)) == (effort > 0.97)


def test_same_seed_same_bytes_and_threads_change_nothing() -> None:
    first = season()
    again = build_demand(
        simulator(threads=1), fleet_of(), SEASON_DAYS, SEASON_COURSE, PUTTING, ASSUME
    )
    for name in ("cost", "fresh", "next_m", "loss"):
        assert getattr(first, name).tobytes() == getattr(again, name).tobytes()
    assert demand(SEASON_DAYS, SEASON_COURSE, seed=4).strokes() != first.strokes()


def test_the_progress_ends_finished() -> None:
    told: list[tuple[str, float]] = []
    build_demand(
        simulator(), fleet_of(FOUR[:1]), [CALM], straight(60.0), PUTTING, ASSUME,
        progress=lambda what, share: told.append((what, share)),
    )  # fmt: skip
    assert told[-1] == ("done", 1.0)
    assert [share for _, share in told] == sorted(share for _, share in told)


def test_a_course_from_a_table_is_thrown_in_four_directions() -> None:
    course = course_from_table(b"hole,length_m\n1,80\n2,120\n", "Table").course
    assert not course.bearings_known
    table = demand([windy(6.0, 30.0)], course)
    tees = [row for row in table.rows if row.kind == "tee"]
    assert len(tees) == 8
    assert {row.lie.bearing_deg for row in tees} == {0.0, 90.0, 180.0, 270.0}
    assert sum(row.weight for row in tees) == pytest.approx(2.0)
    # The wind's direction is unknown against the holes', so it cannot matter much.
    turned = demand([windy(6.0, 120.0)], course)
    assert turned.strokes()[0] == pytest.approx(table.strokes()[0], abs=1e-3)


def test_turning_course_and_wind_together_changes_nothing() -> None:
    north = demand([windy(6.0, 30.0)], straight(70.0, 110.0))
    east = demand([windy(6.0, 120.0)], straight(70.0, 110.0, bearing_xy=(1.0, 0.0)))
    assert east.strokes() == pytest.approx(north.strokes(), abs=1e-4)


def test_turning_a_pond_with_them_changes_no_more_than_its_cells_do() -> None:
    north = demand(
        [windy(5.0, 30.0)], straight(90.0, areas=(box(AreaKind.WATER, 5.0, 30.0, 40.0, 100.0),))
    )
    pond = box(AreaKind.WATER, 30.0, -40.0, 100.0, -5.0)
    east = demand([windy(5.0, 120.0)], straight(90.0, bearing_xy=(1.0, 0.0), areas=(pond,)))
    assert east.strokes()[0] == pytest.approx(north.strokes()[0], abs=0.03)


def test_a_left_hander_plays_the_mirrored_course_alike() -> None:
    def mirrored(area: Area) -> Area:
        return Area(area.kind, tuple((-x, y) for x, y in area.ring))

    pond = box(AreaKind.WATER, 5.0, 30.0, 40.0, 100.0)
    right = demand([windy(5.0, 30.0)], straight(90.0, areas=(pond,)))
    left = build_demand(
        simulator(replace(THROWER, hand=Hand.LEFT)), fleet_of(), [windy(5.0, 330.0)],
        straight(90.0, areas=(mirrored(pond),)), PUTTING, ASSUME,
    )  # fmt: skip
    assert left.strokes()[0] == pytest.approx(right.strokes()[0], abs=0.03)


def test_headwind_costs_more_than_tailwind() -> None:
    head = demand([windy(7.0, 0.0)], straight(110.0))
    tail = demand([windy(7.0, 180.0)], straight(110.0))
    assert head.cost[0].min() > tail.cost[0].min() + 0.1


def test_water_all_around_costs_more_and_loses_discs() -> None:
    dry = demand([CALM], straight(80.0))
    around = Area(
        AreaKind.WATER,
        ((-90.0, 12.0), (90.0, 12.0), (90.0, 180.0), (-90.0, 180.0)),
        (((-9.0, 68.0), (9.0, 68.0), (9.0, 92.0), (-9.0, 92.0)),),
    )
    wet = demand([CALM], straight(80.0, areas=(around,)))
    assert wet.strokes()[0] > dry.strokes()[0] + 0.3
    assert dry.loss.max() == 0.0
    assert wet.loss[0].max() > 0.2


def test_prices_by_hand() -> None:
    fleet = fleet_of(
        [disc("a", cost=10.0), disc("b", plastic="light floating", cost=30.0), disc("c", cost=20.0)]
    )
    day = replace(CALM, water_recovery=0.2)
    lost = losses_for(fleet, day, ASSUME).table
    assert lost[:, 1] == pytest.approx([0.8, 1.0 - ASSUME.floating_recovery, 0.8])
    assert lost[:, 0].tolist() == lost[:, 2].tolist() == [0.0, 0.0, 0.0]
    price = prices_for(fleet, day, ASSUME).table
    assert price[:, 0].tolist() == [ASSUME.penalty_strokes] * 3
    assert price[:, 1] == pytest.approx(
        ASSUME.lost_disc_strokes * lost[:, 1] * np.array([0.5, 1.5, 1.0])
    )
    assert price[:, 4].tolist() == [ASSUME.wood_hit_per_m] * 3


def test_choosing_and_valuing_on_one_set_promises_too_much() -> None:
    """The optimiser's curse: the least of many noisy values lies below its own fresh value."""
    twins = [disc(f"d{n}", mold) for n, mold in enumerate(["FW 7", "MI 5"] * 4)]
    gap = []
    for seed in range(4):
        table = demand([windy(4.0, 60.0)], straight(70.0, 100.0), twins, seed=seed, choosing=16)
        rows = np.arange(len(table.rows))
        served = table.serves(range(len(twins)))
        gap.append(
            table.weights @ (table.fresh[rows, served].mean(axis=1) - table.cost[rows, served])
        )
    assert np.mean(gap) > 0.0


def test_the_stated_error_is_the_spread_over_fresh_throws() -> None:
    """Several reporting sets of one policy: their spread against what each of them states."""
    tables = [
        demand([CALM], straight(70.0, 140.0), FOUR[:3], seed=seed, screening=64)
        for seed in range(12)
    ]
    found, stated = np.array([table.strokes() for table in tables]).T
    spread = found.std(ddof=1)
    assert 0.5 * spread < stated.mean() < 2.0 * spread


def test_beyond_the_basket_the_ground_falls_where_it_rose_before() -> None:
    hole = Hole("1", (0.0, 0.0), (0.0, 60.0), elevation_change_m=4.0)
    table = demand([CALM], Course("hill", (hole, replace(hole, ref="2", basket=(0.0, 130.0)))))
    rise = {"1": 4.0 / 60.0, "2": 4.0 / 130.0}
    for row in table.rows:
        along = np.cos(np.radians(row.lie.bearing_deg))
        assert row.lie.slope == pytest.approx(rise[row.hole] * along)
    level = demand([CALM], straight(60.0, 130.0))
    assert table.strokes()[0] > level.strokes()[0]
