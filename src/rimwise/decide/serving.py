"""Who serves where: the ground around a target, seen from the lies that a season really gives.

Every lie of one kind of day is laid around one basket, north up, where it stands to its own. Lies
that the same disc serves and that lie side by side are one territory.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from rimwise.decide.demand import Demand

__all__ = ["ServedGround", "Territory", "served_ground"]

#: A lie speaks for the ground so near to it.
AROUND_M = 9.0
#: Lies as close as this are one place.
_SAME_PLACE_M = 0.5
#: Corners of ground are so exact; on a grid, areas meet without slivers.
_GRID_M = 0.01
#: Another disc that costs so little more, a throw, does the same job there.
SAME_STROKES = 0.02
#: Strokes are held against those of lies so much nearer or farther.
_ALIKE_M = 10.0

Ring = tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True)
class Territory:
    """Ground around the basket that one disc serves.

    Parameters
    ----------
    disc
        Name of the disc; ``also`` names another that does the same job there, or is empty.
    rings
        Edges of the ground and of the gaps in it, metres east and north of the basket.
    at, room_m
        Where a number may stand, and how far that is from the edge.
    throws
        Throws from there in a round on such a day.
    near_m, far_m
        The nearest and the farthest lie.
    dearer
        Strokes from there above what lies of that distance cost elsewhere, a throw.
    missed
        Strokes a round, on such a day, that discs at home would save there.
    """

    disc: str
    also: str
    rings: tuple[Ring, ...]
    at: tuple[float, float]
    room_m: float
    throws: float
    near_m: float
    far_m: float
    dearer: float
    missed: float


@dataclass(frozen=True, slots=True)
class ServedGround:
    """Territories, those thrown from most first, and the lies: metres east, north, throws."""

    day: str
    wind_m_s: float
    wind_from_deg: float
    territories: tuple[Territory, ...]
    lies: tuple[tuple[float, float, float], ...]


def served_ground(demand: Demand, chosen: Sequence[int], day: int) -> ServedGround:
    """Lay the lies of one kind of day around the basket, with the discs of a carry.

    Parameters
    ----------
    chosen
        Places of the carried discs in the fleet.
    day
        Number of the day.
    """
    import shapely

    rows = np.array([r for r, row in enumerate(demand.rows) if row.day == day])
    share = demand.days[day].share
    throws = demand.weights[rows] / share
    cost = demand.cost[rows]
    serves = demand.serves(chosen)[rows]
    away_m = np.array([demand.rows[r].lie.distance_m for r in rows])
    toward = np.radians([demand.rows[r].lie.bearing_deg for r in rows])
    points = -away_m[:, None] * np.column_stack((np.sin(toward), np.cos(toward)))
    every = np.arange(len(rows))
    own = cost[every, serves]
    dearer = own - _usual(away_m, own, throws)
    missed = throws * (own - cost.min(axis=1))
    found = []
    for disc in np.unique(serves).tolist():
        mine = np.flatnonzero(serves == disc)
        others = [other for other in chosen if other != disc]
        for piece, inside in _pieces(points, mine):
            weight = throws[inside]
            load = weight / weight.sum()
            more = load @ (cost[inside][:, others] - own[inside, None])
            near = int(np.argmin(more)) if others else -1
            also = demand.fleet.ids[others[near]] if others and more[near] < SAME_STROKES else ""
            (x, y), edge = shapely.maximum_inscribed_circle(piece).coords
            found.append(
                Territory(
                    demand.fleet.ids[disc],
                    also,
                    _rings(piece),
                    (x, y),
                    math.dist((x, y), edge),
                    float(weight.sum()),
                    float(away_m[inside].min()),
                    float(away_m[inside].max()),
                    float(load @ dearer[inside]),
                    float(missed[inside].sum()),
                )
            )
    found.sort(key=lambda one: (-one.throws, one.disc, one.at))
    wind = demand.days[day].wind
    lies = tuple((float(x), float(y), float(w)) for (x, y), w in zip(points, throws, strict=True))
    return ServedGround(demand.days[day].name, wind.speed_m_s, wind.from_deg, tuple(found), lies)


def _usual(
    away_m: NDArray[np.float64], strokes: NDArray[np.float64], weights: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Return what lies of about each one's distance cost, on a line through them."""
    usual = np.empty(len(strokes))
    for n, here in enumerate(away_m):
        near = weights * (np.abs(away_m - here) <= _ALIKE_M)
        middle = near @ away_m / near.sum()
        off = away_m - middle
        spread = near @ off**2
        mean = near @ strokes / near.sum()
        rise = near @ (off * strokes) / spread if spread > 1e-9 else 0.0
        usual[n] = mean + rise * (here - middle)
    return usual


def _pieces(
    points: NDArray[np.float64], mine: NDArray[np.intp]
) -> list[tuple[Any, NDArray[np.intp]]]:
    """Return connected ground around some of the points, and which of them lie in each piece.

    Ground belongs to the nearest point, if that is near enough.
    """
    import shapely

    cells = _cells(points)
    ground = shapely.union_all([cells[n] for n in mine.tolist()], grid_size=_GRID_M)
    found = []
    for piece in shapely.get_parts(ground):
        inside = mine[shapely.dwithin(piece, shapely.points(points[mine]), _SAME_PLACE_M)]
        if len(inside):
            found.append((piece, inside))
    return found


def _cells(points: NDArray[np.float64]) -> list[Any]:
    """Return for each point the ground that is nearer to it than to the others, and near to it.

    Points in one place share the cell of the first of them.
    """
    import shapely

    places, whose = np.unique(np.round(points / _SAME_PLACE_M), axis=0, return_inverse=True)
    centres = shapely.points(places * _SAME_PLACE_M)
    around = shapely.buffer(centres, AROUND_M)
    if len(places) < 2:
        return [around[n] for n in whose.ravel().tolist()]
    cells = shapely.get_parts(shapely.voronoi_polygons(shapely.multipoints(centres)))
    tree = shapely.STRtree(cells)
    cell, centre = tree.query(centres, predicate="within")[::-1]
    nearest = dict(zip(centre.tolist(), cell.tolist(), strict=True))
    own = [
        shapely.intersection(around[n], cells[nearest[n]], grid_size=_GRID_M)
        if n in nearest
        else around[n]
        for n in range(len(places))
    ]
    return [own[n] for n in whose.ravel().tolist()]


def _rings(piece: Any) -> tuple[Ring, ...]:
    return tuple(
        tuple((round(x, 2), round(y, 2)) for x, y in ring.coords)
        for ring in (piece.exterior, *piece.interiors)
    )
