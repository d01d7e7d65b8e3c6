"""Who serves where: lies around one basket, and the ground that each disc serves."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
import shapely
from small_worlds import FOUR, season

from rimwise.decide.serving import AROUND_M, served_ground

DISCS = tuple(range(len(FOUR)))


def rows_of(day: int):
    table = season()
    return table, [r for r, row in enumerate(table.rows) if row.day == day]


def polygon(part):
    return shapely.Polygon(part.rings[0], part.rings[1:])


def test_lies_stand_to_the_basket_as_they_do_on_their_holes() -> None:
    table, rows = rows_of(1)
    ground = served_ground(table, DISCS, 1)
    assert ground.day == table.days[1].name
    for r, (x, y, throws) in zip(rows, ground.lies, strict=True):
        lie = table.rows[r].lie
        assert math.hypot(x, y) == pytest.approx(lie.distance_m)
        # Who stands there looks back at the basket along the lie's bearing.
        assert math.degrees(math.atan2(-x, -y)) % 360.0 == pytest.approx(lie.bearing_deg % 360.0)
        assert throws == pytest.approx(table.rows[r].weight / table.days[1].share)


@pytest.mark.parametrize("chosen", [DISCS, (0, 2), (3,)])
def test_every_lie_is_served_by_one_disc_and_no_ground_by_two(chosen: tuple[int, ...]) -> None:
    table, rows = rows_of(0)
    ground = served_ground(table, chosen, 0)
    serves = table.serves(chosen)
    thrown = {table.fleet.ids[d]: 0.0 for d in chosen}
    for r, (_, _, throws) in zip(rows, ground.lies, strict=True):
        thrown[table.fleet.ids[serves[r]]] += throws
    for disc, throws in thrown.items():
        told = sum(part.throws for part in ground.territories if part.disc == disc)
        assert told == pytest.approx(throws)
    shapes = [polygon(part) for part in ground.territories]
    assert all(shape.is_valid for shape in shapes)
    whole = shapely.union_all(shapes, grid_size=0.01)
    assert sum(shape.area for shape in shapes) == pytest.approx(whole.area, rel=1e-3)
    points = shapely.points([(x, y) for x, y, _ in ground.lies])
    assert (shapely.distance(whole, points) < 0.6).all()
    assert (shapely.distance(shapely.MultiPoint(points), shapely.points(
        shapely.get_coordinates(whole))) < AROUND_M + 0.6).all()  # fmt: skip
    for part, shape in zip(ground.territories, shapes, strict=True):
        assert shape.contains(shapely.Point(part.at))
        assert shape.exterior.distance(shapely.Point(part.at)) >= part.room_m - 0.05
        assert part.near_m <= part.far_m
    assert [p.throws for p in ground.territories] == sorted(
        (p.throws for p in ground.territories), reverse=True
    )


def test_what_discs_at_home_would_save_adds_up_to_what_the_carry_misses() -> None:
    table, rows = rows_of(1)
    assert sum(part.missed for part in served_ground(table, DISCS, 1).territories) == 0.0
    ground = served_ground(table, (0,), 1)
    lost = table.weights[rows] @ (table.cost[rows, 0] - table.cost[rows].min(axis=1))
    told = sum(part.missed for part in ground.territories)
    assert told == pytest.approx(lost / table.days[1].share)


def test_ground_is_dear_against_what_its_distance_costs_elsewhere() -> None:
    table = season()
    away_m = np.array([row.lie.distance_m for row in table.rows])
    even = replace(table, cost=np.tile((2.0 + 0.01 * away_m)[:, None], (1, len(DISCS))))
    ground = served_ground(even, DISCS, 0)
    assert [part.dearer for part in ground.territories] == pytest.approx(
        [0.0] * len(ground.territories), abs=1e-9
    )
    # Discs that cost the same are one job.
    assert all(part.also for part in ground.territories)


def test_ground_on_one_side_is_dearer_than_the_same_distances_on_the_other() -> None:
    """Four lies south and four north of the basket, the northern ones a stroke dearer each."""
    table, rows = rows_of(0)
    moved, dear = list(table.rows), []
    for n, r in enumerate([r for r in rows if table.rows[r].kind != "tee"][:8]):
        lie = replace(
            table.rows[r].lie, distance_m=30.0 + 4.0 * (n // 2), bearing_deg=180.0 * (n % 2)
        )
        moved[r] = replace(table.rows[r], lie=lie, weight=1.0)
        dear += [r] if n % 2 else []
    away_m = np.array([row.lie.distance_m for row in moved])
    cost = np.tile((2.0 + 0.01 * away_m)[:, None], (1, len(DISCS)))
    cost[dear] += 1.0
    parts = served_ground(replace(table, rows=tuple(moved), cost=cost), (0,), 0).territories
    for y, dearer in ((36.0, 0.5), (-36.0, -0.5)):
        (mine,) = [p for p in parts if polygon(p).contains(shapely.Point(0.0, y))]
        assert mine.throws == pytest.approx(4.0 / table.days[0].share)
        assert mine.dearer == pytest.approx(dearer, abs=1e-9)
    assert all(part.also == "" for part in parts)  # alone in the carry
