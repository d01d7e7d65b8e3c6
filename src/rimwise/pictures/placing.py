"""Cutting areas to a picture's window, and finding room for a name inside them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import shapely
from shapely.geometry import LineString, Polygon, box

from rimwise.decide.report import AreaShape
from rimwise.records.words import Units, distance

__all__ = ["ShownArea", "shown_areas"]

XY = tuple[float, float]

#: Pieces smaller than this share of the window are not worth a hatch.
_LEAST_SHARE = 0.0005


@dataclass(frozen=True, slots=True)
class ShownArea:
    """An area as it is seen in a window.

    ``pieces`` hold rings (the outer one first); ``name_at`` is the middle of the name, or
    ``None`` where it does not fit. ``extent`` is (nearest x, farthest x, rightmost y, leftmost
    y) in the hole's frame.
    """

    kind: str
    name: str
    pieces: tuple[tuple[tuple[XY, ...], ...], ...]
    name_at: XY | None
    extent: tuple[float, float, float, float]

    def words(self, units: Units) -> str:
        """Say what it is and where it lies, in a sentence."""
        low_x, high_x, low_y, high_y = self.extent
        name = f"{self.name} ({self.kind})" if self.name else self.kind.capitalize()
        where = "on the left" if low_y > 0 else "on the right" if high_y < 0 else "across the line"
        begins = "behind the tee" if low_x < 0 else distance(low_x, units)
        return f"{name} {where}, from {begins} to {distance(high_x, units)}."


def shown_areas(
    areas: Sequence[AreaShape],
    window: tuple[float, float, float, float],
    busy: Sequence[Sequence[XY]],
    name_size: Sequence[tuple[float, float]],
) -> tuple[ShownArea, ...]:
    """Cut areas to a window and place their names.

    Parameters
    ----------
    areas
        In the hole's frame (x toward the basket, y left).
    window
        (least x, most x, least y, most y) of the same frame.
    busy
        Lines that a name should keep off.
    name_size
        Width (along y) and height (along x) of each area's name as written.
    """
    frame = box(window[0], window[2], window[1], window[3])
    lines = [LineString(line) for line in busy if len(line) > 1]
    taken = [shapely.buffer(line, max(size[1] for size in name_size)) for line in lines]
    found = []
    for area, size in zip(areas, name_size, strict=True):
        whole = shapely.make_valid(Polygon(area.ring, area.openings))
        seen = shapely.intersection(whole, frame)
        parts = [
            part
            for part in shapely.get_parts(shapely.get_parts(seen))
            if isinstance(part, Polygon) and part.area > _LEAST_SHARE * frame.area
        ]
        if not parts:
            continue
        at = _name_place(parts, size, taken)
        if at is not None:
            taken.append(
                box(at[0] - size[1], at[1] - size[0] / 2, at[0] + size[1], at[1] + size[0] / 2)
            )
        low_x, low_y, high_x, high_y = shapely.MultiPolygon(parts).bounds
        found.append(
            ShownArea(
                area.kind,
                area.name,
                tuple(_rings(part) for part in parts),
                at,
                (low_x, high_x, low_y, high_y),
            )
        )
    return tuple(found)


def _rings(part: Polygon) -> tuple[tuple[XY, ...], ...]:
    return tuple(
        tuple((float(x), float(y)) for x, y in ring.coords[:-1])
        for ring in (part.exterior, *part.interiors)
    )


def _name_place(
    parts: Sequence[Polygon], size: tuple[float, float], taken: Sequence[Polygon]
) -> XY | None:
    """Return the middle of a free place that holds the name, in the largest piece that has one.

    Places are tried around the point that is farthest from every edge.
    """
    wide, high = size
    for part in sorted(parts, key=lambda p: -p.area):
        free = part.difference(shapely.union_all(taken)) if taken else part
        for piece in sorted(shapely.get_parts(free), key=lambda p: -p.area):
            if piece.area < wide * high or not isinstance(piece, Polygon):
                continue
            deep = shapely.maximum_inscribed_circle(piece).coords[0]
            inside = piece.representative_point()
            for x, y in (deep, (inside.x, inside.y), (piece.centroid.x, piece.centroid.y)):
                name = box(x - high / 2, y - wide / 2, x + high / 2, y + wide / 2)
                if piece.contains(name):
                    return float(x), float(y)
    return None
