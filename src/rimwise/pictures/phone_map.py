"""The map of a hole in the file for the phone: its ground, and over it the throws of one wind.

The ground is a drawing like every other; the throws lie in a group of their own, which the
file's script draws anew for another wind or lie, in the same way as here.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from rimwise.pictures.hole import (
    AREA_EDGES,
    CHOICES,
    NAME_PX,
    WIDTH_PX,
    draw_area,
    draw_basket,
    draw_tee,
)
from rimwise.pictures.phone_scene import PhoneHole, PhoneThrow
from rimwise.pictures.placing import ShownArea, shown_areas
from rimwise.pictures.svg import Paint, Scene, coordinate, key_rows, text_width_px
from rimwise.records.words import Units, distance

__all__ = ["HoleMap", "hole_map"]

XY = tuple[float, float]

_BEHIND_M, _PAST_M, _ASIDE_M = 8.0, 16.0, 30.0
#: A map is at least so wide for its length, so that it fits a phone held upright.
_LEAST_WIDE = 0.55
_STRIP_PX = 44


@dataclass(frozen=True, slots=True)
class HoleMap:
    """A drawn map, and what its script has to know: metres a pixel, right and upper edge."""

    svg: str
    px_m: float
    right_m: float
    top_m: float


def hole_map(
    hole: PhoneHole, throws: Sequence[PhoneThrow], wind_from_deg: float | None, units: Units,
    *, prefix: str, words: str,
) -> HoleMap:  # fmt: skip
    """Draw a hole with the throws from its tee.

    Parameters
    ----------
    wind_from_deg
        0 is from the basket, 90 from the right; ``None`` when calm.
    words
        What the throws are, for those who do not see the picture.
    """
    low_x, high_x = -_BEHIND_M, hole.length_m + _PAST_M
    aside = max(_ASIDE_M, 0.5 * _LEAST_WIDE * (high_x - low_x))
    window = (low_x, high_x, -aside, aside)
    px = 2.0 * aside / WIDTH_PX
    names = [area.name or area.kind for area in hole.areas]
    sizes = [((text_width_px(name, NAME_PX) + 4) * px, (NAME_PX + 5) * px) for name in names]
    busy = [[(0.0, 0.0), (hole.length_m, 0.0)]]
    areas = shown_areas(hole.areas, window, busy, sizes) if hole.areas else ()
    kinds = dict.fromkeys(area.kind for area in areas if area.kind in AREA_EDGES)
    key = key_rows([(kind, kind) for kind in kinds], WIDTH_PX - 12)
    strip_px = _STRIP_PX + (17 * len(key) if kinds else 0)
    scene = Scene(
        prefix, f"Map of hole {hole.ref}", f"{_ground_words(hole, areas, units)} {words}",
        -aside, aside, low_x - strip_px * px, high_x, WIDTH_PX,
    )  # fmt: skip
    for area in areas:
        draw_area(scene, area)
    scene.box(-aside, aside, low_x, high_x, Paint("ink", "none", 1.0))
    for area in areas:
        if area.name_at is not None:
            x, y = area.name_at
            base = x - 0.35 * NAME_PX * px
            scene.text(-y, base, area.name or area.kind, size_px=NAME_PX, anchor="middle")
    draw_tee(scene)
    draw_basket(scene, hole.length_m, 1)
    scene.scale_bar(-aside + 8 * px, low_x - 30 * px, 110, units)
    if hole.bearing_deg is not None:
        scene.north_arrow(aside - 30 * px, low_x - 26 * px, hole.bearing_deg, size_px=20)
    scene.key(-aside + 6 * px, low_x - (_STRIP_PX - 6) * px, key)
    drawn = _throws(throws, (0.0, 0.0), px, aside)
    wind = _wind(wind_from_deg, aside, high_x, px)
    whole = scene.render().removesuffix("</svg>")
    return HoleMap(f'{whole}<g class="throws">{wind}{drawn}</g></svg>', px, aside, high_x)


def _ground_words(hole: PhoneHole, areas: Sequence[ShownArea], units: Units) -> str:
    away = distance(hole.length_m, units)
    told = [f"Seen from above: tee at the bottom, basket at the top, {away} away."]
    told += [area.words(units) for area in areas]
    return " ".join(told)


# -- what the script draws anew ----------------------------------------------------------------


def _throws(throws: Sequence[PhoneThrow], lie: XY, px: float, right: float) -> str:
    """Draw the middle throws, their landings and their numbers, the first on top."""
    parts = []
    for place, throw in reversed(list(enumerate(throws))):
        paint, dashes = CHOICES[place]
        points = " ".join(_point(at) for at in _path(lie, throw))
        look = Paint(paint, "none", 2.6, dashes).attributes()
        parts.append(f'<polyline points="{points}"{look}/>')
        parts += [_landing(place, dot, px) for dot in throw.dots_m]
    for place, throw in enumerate(throws):
        y = -throw.centre_m[0]
        side = _beside(place, throw, px, right)
        look = Paint(CHOICES[place][0], "paper", 1.8).attributes()
        lead = Paint(CHOICES[place][0], "none", 0.9).attributes()
        radius = coordinate(9 * px)
        parts.append(
            f'<polyline points="{coordinate(side)},{coordinate(y)} {_point(throw.end_m)}"{lead}/>'
            f'<circle cx="{coordinate(side)}" cy="{coordinate(y)}" r="{radius}"{look}/>'
            f'<text x="{coordinate(side)}" y="{coordinate(y + 4.5 * px)}" text-anchor="middle"'
            f' font-size="{coordinate(13 * px)}" font-weight="700" class="f-ink">{place + 1}</text>'
        )
    return "".join(parts)


def _beside(place: int, throw: PhoneThrow, px: float, right: float) -> float:
    """Return where a throw's number stands: beside its landings, left and right in turn."""
    off = (throw.left_half_m + 12 * px) * (1 if place % 2 else -1)
    most = right - 12 * px
    return min(max(-throw.centre_m[1] + off, -most), most)


def _path(lie: XY, throw: PhoneThrow) -> list[XY]:
    """Return the middle throw's points, from the lie through its bends to its end."""
    way = (throw.end_m[0] - lie[0], throw.end_m[1] - lie[1])
    length = math.hypot(*way) or 1.0
    left = (-way[1] / length, way[0] / length)
    inner = [
        (lie[0] + share * way[0] + bend * left[0], lie[1] + share * way[1] + bend * left[1])
        for share, bend in zip((0.2, 0.4, 0.6, 0.8), throw.bends_m, strict=True)
    ]
    return [lie, *inner, throw.end_m]


def _landing(place: int, at: XY, px: float) -> str:
    paint = CHOICES[place][0]
    x, y = -at[1], -at[0]
    if place == 2:
        arm = 2.6 * px
        path = (
            f"M{coordinate(x - arm)},{coordinate(y - arm)}L{coordinate(x + arm)},"
            f"{coordinate(y + arm)}M{coordinate(x - arm)},{coordinate(y + arm)}"
            f"L{coordinate(x + arm)},{coordinate(y - arm)}"
        )
        return f'<path d="{path}"{Paint(paint, width_px=1.4).attributes()}/>'
    look = Paint("none", paint) if place == 0 else Paint(paint, "none", 1.4)
    radius = (2.2 if place == 0 else 2.8) * px
    return (
        f'<circle cx="{coordinate(x)}" cy="{coordinate(y)}" r="{coordinate(radius)}"'
        f"{look.attributes()}/>"
    )


def _wind(from_deg: float | None, right: float, top: float, px: float) -> str:
    """Draw the wind's arrow in the upper right corner."""
    if from_deg is None:
        return ""
    x, y = right - 24 * px, -(top - 24 * px)
    length, head = 34 * px, 11 * px
    path = (
        f"M0,{coordinate(-length / 2)}V{coordinate(length / 2)}"
        f"M{coordinate(-head / 2)},{coordinate(length / 2 - head)}L0,{coordinate(length / 2)}"
        f"L{coordinate(head / 2)},{coordinate(length / 2 - head)}"
    )
    place = f"translate({coordinate(x)} {coordinate(y)}) rotate({coordinate(from_deg)})"
    return f'<path d="{path}" transform="{place}"{Paint(width_px=3.2).attributes()}/>'


def _point(at: XY) -> str:
    return f"{coordinate(-at[1])},{coordinate(-at[0])}"
