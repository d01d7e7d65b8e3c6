"""Mandatories and drop zones as a map marks them, each given to its hole."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from rimwise.course.features import MapPoint, Tags
from rimwise.records.courses import DropZone, Hole, Mandatory, Point, Side, Trouble

__all__ = ["Marks", "away_m", "marks_from_map", "side_in_words", "trouble_in_words"]

#: A mark without a number is the nearest hole's when that is no farther off than this.
NEAR_HOLE_M = 60.0

_MANDATORY, _DROP_ZONE = ("mando", "mandatory"), ("drop_zone", "dropzone")
#: Tags that say on which side a mandatory is passed. The wiki names none yet.
_SIDE_TAGS = ("side", "pass", "mando", "mandatory", "direction")
_AFTER_TAGS = ("after", "drop_zone", "for")
_TROUBLES = {
    Trouble.ANY: ("", "any", "all", "yes", "everything"),
    Trouble.WATER: ("water", "pond", "lake", "hazard"),
    Trouble.OUT_OF_BOUNDS: ("ob", "out of bounds", "out"),
    Trouble.MANDATORY: ("mandatory", "mando", "missed mandatory", "missed mando"),
}


@dataclass(frozen=True, slots=True)
class Marks:
    """Mandatories and drop zones of a map, and what is to be said of them.

    ``notes`` tell of marks that cannot be played, ``warnings`` of guesses.
    """

    mandatories: tuple[Mandatory, ...] = ()
    drop_zones: tuple[DropZone, ...] = ()
    notes: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()


def marks_from_map(
    points: Sequence[MapPoint],
    holes: Sequence[Hole],
    to_local: Callable[[float, float], Point],
    *,
    drawn: bool = False,
) -> Marks:
    """Return the mandatories and drop zones among the points of a map.

    A mark belongs to the hole of its number (``ref``), or else to the nearest hole. A mandatory
    that does not say on which side it is passed cannot be played and becomes a note.
    """
    mandatories: list[Mandatory] = []
    drop_zones: list[DropZone] = []
    notes: list[str] = []
    warnings: list[str] = []
    for point in points:
        kind = point.tags.get("disc_golf", "")
        if kind not in _MANDATORY + _DROP_ZONE:
            continue
        word = "a mandatory" if kind in _MANDATORY else "a drop zone"
        at, name = to_local(*point.at), point.tags.get("name", "")
        lat_deg, lon_deg = point.at
        where = f"marked at {lat_deg:.5f}, {lon_deg:.5f} ({point.label})"
        hole = _hole_of(point.tags, at, holes)
        if hole is None:
            notes.append(f"{word} is {where}, on no hole of the course; it is not played.")
            continue
        if not point.tags.get("ref", "").strip():
            warnings.append(f"{word} {where} has no hole number; it was given to hole {hole.ref}.")
        if kind in _DROP_ZONE:
            after = trouble_in_words(_first(point.tags, _AFTER_TAGS)) or Trouble.ANY
            drop_zones.append(DropZone(hole.ref, at, after, name, drawn))
            continue
        side = next(
            (s for key in _SIDE_TAGS if (s := side_in_words(point.tags.get(key, "")))), None
        )
        if side is None:
            notes.append(
                f"{word} on hole {hole.ref} is {where}; the map does not say on which side to pass "
                "it, so it is not played; posted course rules come first."
            )
        else:
            mandatories.append(Mandatory(hole.ref, at, side, name, drawn))
    return Marks(tuple(mandatories), tuple(drop_zones), tuple(notes), tuple(warnings))


def side_in_words(text: str) -> Side | None:
    """Return the side that "left", "pass right" or "l" means, if any."""
    words = text.casefold().replace("_", " ").replace("-", " ").split()
    found = {Side.LEFT if w[0] == "l" else Side.RIGHT for w in words if w in _SIDE_WORDS}
    return found.pop() if len(found) == 1 else None


_SIDE_WORDS = ("left", "l", "right", "r")


def trouble_in_words(text: str) -> Trouble | None:
    """Return after which trouble a drop zone is played from, if the text says so."""
    said = " ".join(text.casefold().replace("_", " ").replace("-", " ").split())
    return next((trouble for trouble, known in _TROUBLES.items() if said in known), None)


def away_m(at: Point, hole: Hole) -> float:
    """Return how far a place lies from the straight line of a hole."""
    dx, dy = hole.basket[0] - hole.tee[0], hole.basket[1] - hole.tee[1]
    px, py = at[0] - hole.tee[0], at[1] - hole.tee[1]
    along = min(1.0, max(0.0, (px * dx + py * dy) / (dx * dx + dy * dy)))
    return math.hypot(px - along * dx, py - along * dy)


def _hole_of(tags: Tags, at: Point, holes: Sequence[Hole]) -> Hole | None:
    ref = tags.get("ref", "").strip()
    if ref:
        return next((hole for hole in holes if hole.ref == ref), None)
    nearest = min(holes, key=lambda hole: away_m(at, hole), default=None)
    return nearest if nearest is not None and away_m(at, nearest) <= NEAR_HOLE_M else None


def _first(tags: Tags, keys: Sequence[str]) -> str:
    return next((tags[key] for key in keys if tags.get(key)), "")
