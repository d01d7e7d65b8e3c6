"""Sound polygons from mapped rings: joined from pieces, repaired where they cross themselves."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely import LineString, MultiPolygon, Polygon

from rimwise.course.features import LatLon, MapArea, length_m
from rimwise.course.woods import stems_in_words
from rimwise.errors import InputError
from rimwise.records.courses import Area, AreaKind, Point

__all__ = ["SLIVER_M2", "areas_from_map", "polygon_parts", "reshaped", "shape_of"]

#: Slivers smaller than this come from repairs, not from the ground.
SLIVER_M2 = 0.01
#: Rings are joined of so many pieces at most: the largest lakes mapped have hundreds.
MOST_PIECES = 5_000
#: The time that a repair takes grows with the square of the crossings, without end: an outline
#: with more of them is a scribble and no ground's. They are counted up to so many corners.
MOST_CROSSINGS = 300
MOST_CORNERS = 5_000


@dataclass(frozen=True, slots=True)
class _Rings:
    shape: MultiPolygon
    crossing: bool
    unclosed: bool
    scribbled: bool = False


def areas_from_map(
    mapped: MapArea,
    kind: AreaKind,
    to_local: Callable[[float, float], Point],
    warnings: list[str],
    *,
    drawn: bool = False,
) -> tuple[Area, ...]:
    """Return the areas of one mapped area in the local frame; repairs go to ``warnings``."""
    what = f"{mapped.label} ({kind.value})"
    outer, inner = _joined(mapped.outer, to_local), _joined(mapped.inner, to_local)
    if outer.unclosed or inner.unclosed:
        warnings.append(f"{what} has an outline that does not close; that part was left out.")
    if outer.crossing or inner.crossing:
        warnings.append(f"{what} has an outline that crosses itself; it was repaired.")
    if outer.scribbled or inner.scribbled:
        warnings.append(f"{what} crosses itself everywhere, or has pieces without end; left out.")
        return ()
    shape = shapely.difference(outer.shape, inner.shape)
    trees = _trees(mapped, kind, what, warnings)
    like = Area(kind, _ANY_RING, (), mapped.tags.get("name", ""), *trees, drawn)
    found = tuple(reshaped(like, part) for part in polygon_parts(shape))
    if not found and not outer.unclosed:
        warnings.append(f"{what} encloses no ground; it was left out.")
    return found


#: Stands in for an outline until the area has its own.
_ANY_RING = ((0.0, 0.0), (1.0, 0.0), (0.0, 1.0))


def _trees(
    mapped: MapArea, kind: AreaKind, what: str, warnings: list[str]
) -> tuple[float | None, float | None]:
    """Return stems a hectare and height as the tags have them; what cannot be used is told."""
    stems = height = None
    said, tall = mapped.tags.get("stems_per_ha", ""), mapped.tags.get("height", "")
    try:
        if said and kind is AreaKind.WOOD:
            stems = stems_in_words(said)
            Area(kind, _ANY_RING, stems_per_ha=stems)
    except InputError as error:
        stems = None
        warnings.append(f"{what}: {error} It was taken as an ordinary wood.")
    try:
        if tall and kind in (AreaKind.WOOD, AreaKind.THICK, AreaKind.LOW_CEILING):
            height = length_m(tall)
            Area(kind, _ANY_RING, canopy_m=height)
    except InputError as error:
        height = None
        warnings.append(f"{what}: {error} The height was left out.")
    return stems, height


def _joined(
    pieces: Iterable[tuple[LatLon, ...]], to_local: Callable[[float, float], Point]
) -> _Rings:
    """Join pieces end to end into rings and return the ground they enclose together."""
    closed: list[MultiPolygon] = []
    open_lines: list[LineString] = []
    crossing = unclosed = False
    pieces = tuple(pieces)
    if len(pieces) > MOST_PIECES:
        return _Rings(MultiPolygon(), crossing=False, unclosed=False, scribbled=True)
    for piece in pieces:
        points = [to_local(*at) for at in piece]
        if len(points) >= 4 and piece[0] == piece[-1]:
            polygon = Polygon(points)
            crossing |= not polygon.is_valid
            if _is_scribble(polygon):
                return _Rings(MultiPolygon(), crossing=False, unclosed=False, scribbled=True)
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


def _is_scribble(polygon: Polygon) -> bool:
    """Return whether an outline crosses itself too often to be repaired in good time."""
    if polygon.is_valid:
        return False
    corners = shapely.get_coordinates(polygon)
    if len(corners) > MOST_CORNERS:
        return True
    sides = shapely.linestrings(np.stack([corners[:-1], corners[1:]], axis=1))
    crossings = shapely.STRtree(sides).query(sides, predicate="crosses")
    return bool(crossings.shape[1] > 2 * MOST_CROSSINGS)  # each is found from both sides


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


def reshaped(area: Area, polygon: Polygon) -> Area:
    """Return an area with another outline."""
    return replace(
        area,
        ring=tuple((x, y) for x, y in polygon.exterior.coords[:-1]),
        openings=tuple(tuple((x, y) for x, y in ring.coords[:-1]) for ring in polygon.interiors),
    )


def shape_of(area: Area) -> MultiPolygon:
    """Return an area as a sound polygon (a record made by hand may cross itself)."""
    return _sound(Polygon(area.ring, area.openings))
