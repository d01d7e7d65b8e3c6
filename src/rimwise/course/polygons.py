"""Sound polygons from mapped rings: joined from pieces, repaired where they cross themselves."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace

import shapely
from shapely import LineString, MultiPolygon, Polygon

from rimwise.course.features import LatLon, MapArea
from rimwise.records.courses import Area, AreaKind, Point

__all__ = ["area_from_shape", "areas_from_map", "polygon_parts", "reshaped", "shape_of"]

#: Slivers smaller than this come from repairs, not from the ground.
SLIVER_M2 = 0.01


@dataclass(frozen=True, slots=True)
class _Rings:
    shape: MultiPolygon
    crossing: bool
    unclosed: bool


def areas_from_map(
    mapped: MapArea,
    kind: AreaKind,
    to_local: Callable[[float, float], Point],
    warnings: list[str],
) -> tuple[Area, ...]:
    """Return the areas of one mapped area in the local frame; repairs go to ``warnings``."""
    what = f"{mapped.label} ({kind.value})"
    outer, inner = _joined(mapped.outer, to_local), _joined(mapped.inner, to_local)
    if outer.unclosed or inner.unclosed:
        warnings.append(f"{what} has an outline that does not close; that part was left out.")
    if outer.crossing or inner.crossing:
        warnings.append(f"{what} has an outline that crosses itself; it was repaired.")
    shape = shapely.difference(outer.shape, inner.shape)
    name = mapped.tags.get("name", "")
    found = tuple(area_from_shape(kind, part, name) for part in polygon_parts(shape))
    if not found and not outer.unclosed:
        warnings.append(f"{what} encloses no ground; it was left out.")
    return found


def _joined(
    pieces: Iterable[tuple[LatLon, ...]], to_local: Callable[[float, float], Point]
) -> _Rings:
    """Join pieces end to end into rings and return the ground they enclose together."""
    closed: list[MultiPolygon] = []
    open_lines: list[LineString] = []
    crossing = unclosed = False
    for piece in pieces:
        points = [to_local(*at) for at in piece]
        if len(points) >= 4 and piece[0] == piece[-1]:
            polygon = Polygon(points)
            crossing |= not polygon.is_valid
            closed.append(_sound(polygon))
        elif len(points) >= 2 and piece[0] != piece[-1]:
            open_lines.append(LineString(points))
        else:
            unclosed = True
    if open_lines:
        rings, cuts, dangles, invalid = shapely.polygonize_full(open_lines)
        closed.append(MultiPolygon(list(rings.geoms)))
        closed.extend(
            _sound(Polygon(line.coords)) for line in invalid.geoms if len(line.coords) >= 4
        )
        unclosed |= not (cuts.is_empty and dangles.is_empty)
        crossing |= not invalid.is_empty
    together = shapely.union_all(closed) if closed else Polygon()
    return _Rings(MultiPolygon(polygon_parts(together)), crossing, unclosed)


def _sound(polygon: Polygon) -> MultiPolygon:
    """Return the polygon without crossings (shapely's make_valid), as one or several."""
    return MultiPolygon(polygon_parts(shapely.make_valid(polygon)))


def polygon_parts(shape: shapely.Geometry) -> list[Polygon]:
    """Return the polygons of any geometry, slivers left out."""
    return [
        part
        for part in shapely.get_parts(shapely.get_parts(shape)).tolist()
        if isinstance(part, Polygon) and part.area > SLIVER_M2
    ]


def area_from_shape(kind: AreaKind, polygon: Polygon, name: str = "") -> Area:
    """Return the record of a polygon in the local frame."""
    return Area(kind, *_corners(polygon), name)


def reshaped(area: Area, polygon: Polygon) -> Area:
    """Return an area with another outline."""
    ring, openings = _corners(polygon)
    return replace(area, ring=ring, openings=openings)


def _corners(polygon: Polygon) -> tuple[tuple[Point, ...], tuple[tuple[Point, ...], ...]]:
    return (
        tuple((x, y) for x, y in polygon.exterior.coords[:-1]),
        tuple(tuple((x, y) for x, y in ring.coords[:-1]) for ring in polygon.interiors),
    )


def shape_of(area: Area) -> MultiPolygon:
    """Return an area as a sound polygon (a record made by hand may cross itself)."""
    return _sound(Polygon(area.ring, area.openings))
