"""Match tees, baskets and mapped holes, and read what the map says about each hole."""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from rimwise.course.features import MapLine, length_m, natural_key, shown, whole_number
from rimwise.course.frame import LocalFrame
from rimwise.errors import InputError
from rimwise.records.courses import Hole, Point

__all__ = ["Marker", "holes_from_map"]

#: A tee or basket this near the end of a hole's way is that hole's.
NEAR_M = 30.0

#: A posted length that differs more than this from the map is worth a sentence.
LENGTH_MISMATCH = 0.2

#: A hole's way that is this much longer than the straight line bends.
BEND = 1.05


@dataclass(frozen=True, slots=True)
class Marker:
    """A tee or a basket in the local frame."""

    label: str
    tags: Mapping[str, str]
    at: Point

    @property
    def ref(self) -> str:
        """Its hole number, or empty."""
        return self.tags.get("ref", "").strip()


def holes_from_map(
    lines: Sequence[MapLine],
    tees: Sequence[Marker],
    baskets: Sequence[Marker],
    frame: LocalFrame,
    warnings: list[str],
    layout: str = "",
) -> list[Hole]:
    """Return the holes, from their ways or else from tees and baskets of one number.

    A hole may be drawn once for each of its tees and baskets. The way whose tags, tee or basket
    name the ``layout`` is taken, or else the first.

    Raises
    ------
    InputError
        When a hole has no number, or one has no basket, or no hole knows the layout.
    """
    holes: list[Hole] = []
    taken: dict[str, str] = {}
    known: set[str] = set()
    trusted = bool(tees or baskets)
    if not trusted:
        warnings.append(
            "the map marks no tee and no basket, so each hole's way is taken to run from its tee "
            "to its basket; check the map."
        )
    for ref, line in _ways_of_layout(lines, tees, baskets, frame, layout, known, warnings):
        path = [frame.to_local(*at) for at in line.path]
        if len(path) < 2:
            raise InputError(
                f"hole {ref} ({line.label}) has a way with fewer than two points, so its basket is "
                "missing; draw it from tee to basket."
            )
        holes.append(_hole_from_line(ref, line, path, tees, baskets, warnings, trusted=trusted))
        taken[ref] = line.label
    holes.extend(_holes_from_markers(set(taken), tees, baskets, layout, known, warnings))
    if layout and not known:
        raise InputError(
            f"no hole of the map knows a layout {layout!r}; layouts are named by the tags of "
            "holes, tees and baskets (name, tee, layout, colour, description)."
        )
    return holes


#: Tags that tell the ways, tees and baskets of one hole apart.
_LAYOUT_TAGS = ("layout", "name", "tee", "colour", "color", "description", "basket", "position")


def _ways_of_layout(
    lines: Sequence[MapLine],
    tees: Sequence[Marker],
    baskets: Sequence[Marker],
    frame: LocalFrame,
    layout: str,
    known: set[str],
    warnings: list[str],
) -> list[tuple[str, MapLine]]:
    """Return one way for each hole number, in the order of the file."""
    ways: dict[str, list[MapLine]] = {}
    for line in lines:
        ref = line.tags.get("ref", "").strip()
        if not ref:
            raise InputError(
                f"{line.label} is a hole without a number; give it a ref, such as ref=7."
            )
        ways.setdefault(ref, []).append(line)
    chosen = []
    for ref, several in ways.items():
        told = []
        for line in several:
            ends = [frame.to_local(*at) for at in (*line.path[:1], *line.path[-1:])]
            markers = [_nearest(ref, end, found) for end in ends for found in (tees, baskets)]
            told.append([line.tags, *(marker.tags for marker in markers if marker)])
        place = _of_layout(told, layout)
        if place is not None:
            known.add(ref)
        elif len(several) > 1:
            names = _names(told)
            if len(names) < 2:
                raise InputError(
                    f"hole {ref} is mapped twice ({several[0].label} and {several[1].label}), and "
                    "nothing tells them apart; remove or renumber one, or name their tees."
                )
            warnings.append(
                f"hole {ref} is drawn {len(several)} times ({', '.join(names)}); "
                f"{several[0].label} was taken. To take another, import it with --layout and its "
                "name."
            )
        chosen.append((ref, several[place or 0]))
    return chosen


def _of_layout(told: Sequence[Sequence[Mapping[str, str]]], layout: str) -> int | None:
    """Return which of several things a layout names by their tags, if any."""
    said = layout.strip().casefold()
    if not said:
        return None
    for place, tags in enumerate(told):
        if any(said in one.get(key, "").casefold() for one in tags for key in _LAYOUT_TAGS):
            return place
    return None


def _names(told: Sequence[Sequence[Mapping[str, str]]]) -> list[str]:
    """Return the words by which several ways of a hole can be told apart."""
    found = [
        next((one[key] for one in tags for key in _LAYOUT_TAGS if one.get(key)), "")
        for tags in told
    ]
    return list(dict.fromkeys(name for name in found if name))


def _hole_from_line(
    ref: str,
    line: MapLine,
    path: list[Point],
    tees: Sequence[Marker],
    baskets: Sequence[Marker],
    warnings: list[str],
    *,
    trusted: bool,
) -> Hole:
    if _runs_backward(ref, path, tees, baskets):
        path = path[::-1]
        warnings.append(f"hole {ref} ({line.label}) is drawn from basket to tee; it was reversed.")
    tee, basket = _nearest(ref, path[0], tees), _nearest(ref, path[-1], baskets)
    if basket is None and trusted:
        raise InputError(
            f"hole {ref} ({line.label}) has no basket: none is mapped within {NEAR_M:.0f} m of its "
            "end; add a node tagged disc_golf=basket there."
        )
    along_m = sum(math.dist(a, b) for a, b in itertools.pairwise(path))
    if along_m > BEND * math.dist(path[0], path[-1]):
        warnings.append(
            f"hole {ref} ({line.label}) is drawn with a bend ({along_m:.0f} m along it); distances "
            "here are straight from tee to basket."
        )
    return _hole(
        ref,
        line.tags,
        (tee.at if tee else path[0], basket.at if basket else path[-1]),
        (tee, basket),
        warnings,
    )


def _holes_from_markers(
    done: set[str],
    tees: Sequence[Marker],
    baskets: Sequence[Marker],
    layout: str,
    known: set[str],
    warnings: list[str],
) -> list[Hole]:
    """Holes that no way describes: a tee and a basket of one number."""
    holes = []
    refs = {marker.ref for marker in (*tees, *baskets)} - done - {""}
    for ref in sorted(refs, key=natural_key):
        own_tees = [tee for tee in tees if tee.ref == ref]
        own_baskets = [basket for basket in baskets if basket.ref == ref]
        if not own_baskets:
            raise InputError(
                f"hole {ref} has a tee ({own_tees[0].label}) but no basket; add a node tagged "
                f"disc_golf=basket and ref={ref}."
            )
        if not own_tees:
            raise InputError(
                f"hole {ref} has a basket ({own_baskets[0].label}) but no tee; add a node tagged "
                f"disc_golf=tee and ref={ref}."
            )
        at_tee = _of_layout([[tee.tags] for tee in own_tees], layout)
        at_basket = _of_layout([[basket.tags] for basket in own_baskets], layout)
        if at_tee is not None or at_basket is not None:
            known.add(ref)
            own_tees = own_tees[at_tee or 0 :]
            own_baskets = own_baskets[at_basket or 0 :]
        elif len(own_tees) > 1 or len(own_baskets) > 1:
            warnings.append(
                f"hole {ref} has {len(own_tees)} tee(s) and {len(own_baskets)} basket(s); "
                f"{own_tees[0].label} and {own_baskets[0].label} were taken."
            )
        tee, basket = own_tees[0], own_baskets[0]
        tags = {**basket.tags, **tee.tags}
        holes.append(_hole(ref, tags, (tee.at, basket.at), (tee, basket), warnings))
    return holes


def _nearest(ref: str, at: Point, markers: Sequence[Marker]) -> Marker | None:
    """Return the marker of this hole (or of none) nearest ``at``, if any is near."""
    near = [
        marker
        for marker in markers
        if marker.ref in (ref, "") and math.dist(marker.at, at) <= NEAR_M
    ]
    return min(near, key=lambda marker: math.dist(marker.at, at), default=None)


def _runs_backward(
    ref: str, path: list[Point], tees: Sequence[Marker], baskets: Sequence[Marker]
) -> bool:
    """Whether tees and baskets fit the way better from its end than from its start."""

    def misfit(start: Point, end: Point) -> float:
        return sum(
            math.dist(found.at, at) if (found := _nearest(ref, at, markers)) else NEAR_M
            for at, markers in ((start, tees), (end, baskets))
        )

    return misfit(path[-1], path[0]) < misfit(path[0], path[-1]) - 1.0


def _hole(
    ref: str,
    tags: Mapping[str, str],
    ends: tuple[Point, Point],
    markers: tuple[Marker | None, Marker | None],
    warnings: list[str],
) -> Hole:
    return Hole(
        ref=ref,
        tee=ends[0],
        basket=ends[1],
        par=_par(ref, tags, warnings),
        elevation_change_m=_climb_m(ref, markers, warnings),
        played_length_m=_posted_length_m(ref, tags, math.dist(*ends), warnings),
        name=tags.get("name", ""),
    )


def _par(ref: str, tags: Mapping[str, str], warnings: list[str]) -> int | None:
    text = tags.get("par", "").strip()
    if not text:
        return None
    par = whole_number(text)
    if par is None or not 2 <= par <= 7:
        warnings.append(
            f"hole {ref} has par {shown(text)}; a whole number from 2 to 7 was expected."
        )
        return None
    return par


def _climb_m(ref: str, markers: tuple[Marker | None, Marker | None], warnings: list[str]) -> float:
    """Height of the basket above the tee from their ``ele`` tags, 0 where one is missing."""
    heights = []
    for marker in markers:
        text = marker.tags.get("ele", "") if marker else ""
        if not text:
            return 0.0
        height_m = length_m(text)
        if height_m is None:
            warnings.append(
                f"{marker.label if marker else ''} of hole {ref} has height {shown(text)}; the "
                "hole is taken as level (write metres, such as ele=12.5)."
            )
            return 0.0
        heights.append(height_m)
    return heights[1] - heights[0]


def _posted_length_m(
    ref: str, tags: Mapping[str, str], straight_m: float, warnings: list[str]
) -> float | None:
    text = tags.get("dist", "").strip()
    if not text:
        return None
    posted_m = length_m(text)
    if posted_m is None or posted_m <= 0:
        warnings.append(
            f"hole {ref} has length {shown(text)}, which was left out; write metres, or a unit "
            'such as "300 ft".'
        )
        return None
    bare = text.replace(".", "").isdecimal()
    if bare and _alike(posted_m * 0.3048, straight_m) and not _alike(posted_m, straight_m):
        warnings.append(
            f"hole {ref} has length {text} without a unit, which fits the map in feet, not in "
            "metres; feet were taken."
        )
        return posted_m * 0.3048
    if not _alike(posted_m, straight_m):
        warnings.append(
            f"hole {ref} is posted as {posted_m:.0f} m but measures {straight_m:.0f} m on the map; "
            "the map is used."
        )
    return posted_m


def _alike(posted_m: float, straight_m: float) -> bool:
    return abs(posted_m - straight_m) <= LENGTH_MISMATCH * straight_m
