"""Openings in areas: an island in a pond, a gap in a wood, a fairway cut through it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import shapely

from rimwise.course.drawn import check_baskets
from rimwise.course.polygons import SLIVER_M2, polygon_parts, reshaped, shape_of
from rimwise.errors import InputError, NotFoundError
from rimwise.records.courses import Area, Course, Point
from rimwise.records.words import joined, plural

__all__ = ["Opened", "areas_under", "called", "with_opening", "without_opening"]


@dataclass(frozen=True, slots=True)
class Opened:
    """A course with an opening in one of its areas.

    Parameters
    ----------
    area
        The area as it was.
    opening_m2
        How much of its ground the opening takes.
    notes
        What else comes of it, in sentences.
    """

    course: Course
    area: Area
    opening_m2: float
    notes: tuple[str, ...] = ()


def called(area: Area) -> str:
    """Return what to call an area in a sentence: "Tidal pond (water)", or "the wood"."""
    return f"{area.name} ({area.kind})" if area.name else f"the {area.kind}"


def areas_under(course: Course, ring: Sequence[Point]) -> tuple[int, ...]:
    """Return the places, in ``course.areas``, of those that a ring has ground in.

    Parameters
    ----------
    ring
        (east, north) in metres, at least three, without a crossing; the first is not repeated.
    """
    cut = shapely.Polygon(ring)
    return tuple(
        place
        for place, area in enumerate(course.areas)
        if shape_of(area).intersection(cut).area > SLIVER_M2
    )


def with_opening(course: Course, place: int, ring: Sequence[Point]) -> Opened:
    """Cut a ring out of an area; what reaches over the area's edge makes it smaller there.

    Parameters
    ----------
    place
        Of the area in ``course.areas``.
    ring
        As for :func:`areas_under`.

    Raises
    ------
    InputError
        When the area has no ground there, or none would be left.
    """
    area, cut = course.areas[place], shapely.Polygon(ring)
    whole = shape_of(area)
    left = polygon_parts(whole.difference(cut))
    opening_m2 = float(whole.intersection(cut).area)
    if opening_m2 <= SLIVER_M2:
        raise InputError(f"It does not lie in {called(area)}; draw it inside that.")
    if not left:
        raise InputError(f"It covers all of {called(area)}; take that area away instead.")
    alone = sum((one.kind, one.name) == (area.kind, area.name) for one in course.areas) == 1
    lasts = area.drawn or (bool(area.name) and alone)
    notes = []
    if not whole.covers(cut):
        notes.append(f"It reaches over the edge of {called(area)}, which gets smaller there.")
    parts = len(left) - len(whole.geoms)
    if parts > 0:
        notes.append(f"It parts {called(area)} into {plural(len(left), 'piece')}.")
    if not lasts and course.origin_lat_deg is not None:
        notes.append("When the map is brought again, this area is whole again.")
    cut_up = tuple(replace(reshaped(area, part), drawn=lasts) for part in left)
    areas = (*course.areas[:place], *cut_up, *course.areas[place + 1 :])
    return Opened(replace(course, areas=areas), area, opening_m2, tuple(notes))


def without_opening(course: Course, place: int, opening: int) -> Course:
    """Return a course with one opening of an area closed.

    Parameters
    ----------
    place
        Of the area in ``course.areas``.
    opening
        Of the opening in the area's ``openings``.

    Raises
    ------
    NotFoundError
        When there is no such opening.
    InputError
        When a basket would stand in water or out of bounds.
    """
    area = course.areas[place]
    if not 0 <= opening < len(area.openings):
        numbers = joined([str(number) for number in range(1, len(area.openings) + 1)])
        raise NotFoundError(
            f"{called(area)} has no opening {opening + 1}; "
            + (f"its openings are numbered {numbers}." if numbers else "it has none.")
        )
    rings = area.openings[:opening] + area.openings[opening + 1 :]
    closed = replace(area, openings=rings)
    areas = (*course.areas[:place], closed, *course.areas[place + 1 :])
    changed = replace(course, areas=areas)
    check_baskets(course, changed)
    return changed
