"""What is drawn and said of one tee: the best carried disc, its flight and its landing cloud."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from rimwise.course.geometry import BITS, HoleRaster, areas_near
from rimwise.decide.clouds import REPORTING, Simulator
from rimwise.decide.demand import Demand
from rimwise.decide.lies import Lie
from rimwise.decide.pricing import Actions
from rimwise.records.courses import Area, AreaKind, Course, Hole, Point

__all__ = ["FramedArea", "Scene", "hole_scenes", "landing_outline"]

#: Landings drawn as dots.
DOTS = 50
#: The outline holds this share of the landings.
OUTLINE_SHARE = 0.8
_OUTLINE_CORNERS = 36
#: Areas within this distance of a hole are drawn.
PICTURE_MARGIN_M = 35.0


@dataclass(frozen=True, slots=True, eq=False)
class FramedArea:
    """An area in the hole's frame: x toward the basket, y left, metres."""

    kind: AreaKind
    name: str
    ring: NDArray[np.float64]
    openings: tuple[NDArray[np.float64], ...]


@dataclass(frozen=True, slots=True, eq=False)
class Scene:
    """One tee on one day, everything in the hole's frame (x toward the basket, y left, z up).

    ``rest_m`` (sample, 2) fresh landings at rest; ``path_m`` (points, 3) the middle throw;
    ``outline_m`` (corners, 2); ``strokes`` (sample,) from the tee; ``water`` and ``out`` the
    chances to end in water and out of bounds; ``second`` the next best carried disc and what
    it costs more.
    """

    row: int
    hole: Hole
    day: int
    disc: int
    second: int | None
    second_costs: float
    turn_rad: float
    rest_m: NDArray[np.float64]
    path_m: NDArray[np.float64]
    outline_m: NDArray[np.float64]
    strokes: NDArray[np.float64]
    water: float
    out: float
    bearing_known: bool
    areas: tuple[FramedArea, ...]


def hole_scenes(
    simulator: Simulator, demand: Demand, course: Course, chosen: Sequence[int]
) -> tuple[Scene, ...]:
    """Return one scene for each hole, on the commonest kind of day."""
    day = max(range(len(demand.days)), key=lambda d: (demand.days[d].share, -d))
    serves = demand.serves(chosen)
    rows: dict[str, int] = {}
    for r, row in enumerate(demand.rows):
        if row.day == day and row.kind == "tee":
            rows.setdefault(row.hole, r)
    return tuple(
        _scene(simulator, demand, course, course.hole(hole), r, int(serves[r]), chosen)
        for hole, r in rows.items()
    )


def _scene(
    simulator: Simulator,
    demand: Demand,
    course: Course,
    hole: Hole,
    r: int,
    disc: int,
    chosen: Sequence[int],
) -> Scene:
    row = demand.rows[r]
    day = demand.days[row.day]
    alone = demand.fleet.subset([disc])
    action = Actions(demand.actions.table[r : r + 1, disc : disc + 1])
    throws = simulator.throw_actions(alone, day, [row.lie], action, REPORTING)
    rest = throws.rest[0, 0]
    second, costs = _second(demand, r, disc, chosen)
    water, out = _penalties(course, hole, row.lie, throws.touch[0, 0], rest)
    return Scene(
        row=r,
        hole=hole,
        day=row.day,
        disc=disc,
        second=second,
        second_costs=costs,
        turn_rad=demand.actions.turn_rad(r, disc),
        rest_m=rest,
        path_m=simulator.middle_throw(alone, day, row.lie, action),
        outline_m=landing_outline(rest),
        strokes=demand.fresh[r, disc].astype(np.float64),
        water=water,
        out=out,
        bearing_known=course.bearings_known,
        areas=_framed_areas(course, hole, row.lie),
    )


def _second(demand: Demand, r: int, disc: int, chosen: Sequence[int]) -> tuple[int | None, float]:
    others = [d for d in chosen if d != disc]
    if not others:
        return None, 0.0
    second = min(others, key=lambda d: (demand.cost[r, d], d))
    gap = demand.fresh[r, second].astype(np.float64) - demand.fresh[r, disc]
    return second, float(gap.mean())


def _penalties(
    course: Course,
    hole: Hole,
    lie: Lie,
    touch: NDArray[np.float64],
    rest: NDArray[np.float64],
) -> tuple[float, float]:
    if not course.bearings_known:
        return 0.0, 0.0
    raster = HoleRaster.build(course, hole)
    at_touch, at_rest = (raster.at(*_to_course(lie, points).T) for points in (touch, rest))
    water = ((at_touch | at_rest) & BITS[AreaKind.WATER]) != 0
    out = ~water & ((at_rest & BITS[AreaKind.OUT_OF_BOUNDS]) != 0)
    return float(water.mean()), float(out.mean())


def _axes(lie: Lie) -> tuple[float, float]:
    direction = math.radians(90.0 - lie.bearing_deg)
    return math.cos(direction), math.sin(direction)


def _to_course(lie: Lie, points_m: NDArray[np.float64]) -> NDArray[np.float64]:
    cosine, sine = _axes(lie)
    x, y = points_m[:, 0], points_m[:, 1]
    return np.column_stack(
        [lie.xy_m[0] + cosine * x - sine * y, lie.xy_m[1] + sine * x + cosine * y]
    )


def _to_hole(lie: Lie, points: Sequence[Point]) -> NDArray[np.float64]:
    cosine, sine = _axes(lie)
    east, north = (np.asarray(points) - np.asarray(lie.xy_m)).T
    return np.column_stack([cosine * east + sine * north, cosine * north - sine * east])


def _framed_areas(course: Course, hole: Hole, lie: Lie) -> tuple[FramedArea, ...]:
    if not course.bearings_known:
        return ()

    def framed(area: Area) -> FramedArea:
        return FramedArea(
            area.kind,
            area.name,
            _to_hole(lie, area.ring),
            tuple(_to_hole(lie, opening) for opening in area.openings),
        )

    return tuple(framed(area) for area in areas_near(course, hole, PICTURE_MARGIN_M))


def landing_outline(rest_m: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return the ellipse around the landings that holds ``OUTLINE_SHARE`` of them."""
    middle = np.median(rest_m, axis=0)
    spread = np.cov(rest_m.T) + 1e-6 * np.eye(2)
    off = rest_m - middle
    far = np.sqrt(np.einsum("ij,jk,ik->i", off, np.linalg.inv(spread), off))
    radius = float(np.quantile(far, OUTLINE_SHARE))
    angle = np.linspace(0.0, 2.0 * math.pi, _OUTLINE_CORNERS, endpoint=False)
    circle = np.column_stack([np.cos(angle), np.sin(angle)])
    return np.asarray(middle + radius * circle @ np.linalg.cholesky(spread).T)
