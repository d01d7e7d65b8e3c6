"""The signature picture: a hole from above at true scale, and the same flight from the side.

From above the thrower looks up the page: the tee is at the bottom, the basket at the top, and
left on the picture is the thrower's left.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from rimwise.decide.report import HoleLine
from rimwise.pictures.placing import ShownArea, shown_areas
from rimwise.pictures.svg import Paint, Scene, fitted, key_rows, stack, text_width_px
from rimwise.records.words import (
    Units,
    beaufort,
    check_units,
    distance,
    joined,
    sideways,
    wind_direction,
    wind_speed,
    wind_words,
)

__all__ = [
    "AREA_EDGES",
    "CHOICES",
    "draw_area",
    "draw_basket",
    "draw_strip",
    "draw_tee",
    "hole_svg",
    "plan_scene",
    "side_scene",
]

WIDTH_PX = 350.0
NAME_PX, KEY_PX, NOTICE_PX = 11.5, 11.0, 10.0
#: The drawn ground is at least this share as wide as it is long.
LEAST_WIDE = 0.6
#: An aim nearer to the basket than this is not drawn, and how far its word stands from it.
LEAST_AIM_M, AIM_OFF_PX = 1.5, 6.0
#: Height of a basket's rim above the ground; common practice, no source.
BASKET_M = 1.4

XY = tuple[float, float]
AREA_EDGES = {
    "water": Paint("water", "none", 1.2),
    "wood": Paint("wood", "none", 1.2, (1.0, 3.0)),
    "out of bounds": Paint("ink", "none", 1.2, (6.0, 3.0)),
}
#: Paint and dashes of each choice on a hole, dark enough for the sun (in the dark, bright enough);
#: its landings are dots, rings, crosses.
CHOICES = (("accent", ()), ("two", (7.0, 4.0)), ("one", (2.0, 4.0)))
_OTHER_EDGE = Paint("faint", "none", 1.0, (2.0, 3.0))


def hole_svg(hole: HoleLine, units: Units = "m", *, prefix: str = "hole", notice: str = "") -> str:
    """Draw one hole from above and from the side.

    Parameters
    ----------
    hole
        What is thrown there and what is around it.
    units
        "m" or "ft" for everything written; the drawing itself is in metres.
    prefix
        Start of the ids; give each picture on a page its own.
    notice
        What is owed to the source of the map, where the page around the picture does not say it.

    Returns
    -------
    str
        One ``<svg>`` element with a title and a description in words.
    """
    check_units(units)
    plan = plan_scene(hole, units, prefix=f"{prefix}-plan", notice=notice)
    side = side_scene(hole, units, prefix=f"{prefix}-side")
    title = f"Hole {hole.ref} from above and from the side"
    return stack(prefix, title, f"{plan.desc} {side.desc}", (plan, side))


# -- from above ---------------------------------------------------------------------------


def plan_scene(hole: HoleLine, units: Units, *, prefix: str, notice: str = "") -> Scene:
    """Draw the hole from above; scene x is to the thrower's right, y toward the basket."""
    low_x, high_x, low_y, high_y = window = _window(hole)
    px = (high_y - low_y) / WIDTH_PX
    names = [area.name or area.kind for area in hole.areas]
    sizes = [((text_width_px(name, NAME_PX) + 4) * px, (NAME_PX + 5) * px) for name in names]
    busy = [[(p[0], p[1]) for p in hole.path], [*hole.outline, *hole.outline[:1]]]
    areas = shown_areas(hole.areas, window, busy, sizes) if hole.areas else ()
    key = key_rows(_key_items(areas), WIDTH_PX - 12)
    strip_px = 62 + 17 * len(key) + (NOTICE_PX + 6 if notice else 0)
    scene = Scene(
        prefix,
        f"Hole {hole.ref} from above",
        _plan_words(hole, areas, units),
        -high_y,
        -low_y,
        low_x - strip_px * px,
        high_x,
        WIDTH_PX,
    )
    for area in areas:
        draw_area(scene, area)
    scene.box(-high_y, -low_y, low_x, high_x, Paint("ink", "none", 1.0))
    _draw_throw(scene, hole)
    for area in areas:
        if area.name_at is not None:
            x, y = area.name_at
            base = x - 0.35 * NAME_PX * px
            scene.text(-y, base, area.name or area.kind, size_px=NAME_PX, anchor="middle")
    draw_tee(scene)
    # The basket's word keeps off the word "aim".
    draw_basket(scene, hole.length_m, -1 if hole.aim_left_m < 0 else 1)
    draw_strip(
        scene, units, low_x, bearing_deg=hole.bearing_deg, wind_m_s=hole.wind_m_s,
        wind_from_deg=hole.wind_from_deg,
    )  # fmt: skip
    scene.key(-high_y + 6 * px, low_x - 58 * px, key)
    if notice:
        said = fitted(notice, NOTICE_PX, WIDTH_PX - 12)
        foot = low_x - (strip_px - 4) * px
        scene.text(-high_y + 6 * px, foot, said, size_px=NOTICE_PX, paint="quiet", halo=False)
    return scene


def _window(hole: HoleLine) -> tuple[float, float, float, float]:
    """Return (least x, most x, least y, most y) of the drawn ground in the hole's frame."""
    points = [(p[0], p[1]) for p in hole.path] + [*hole.dots, *hole.outline]
    points += [(0.0, 0.0), (hole.length_m, 0.0), (hole.length_m, hole.aim_left_m)]
    margin = max(0.07 * hole.length_m, 3.0)
    low_x, high_x = min(p[0] for p in points) - margin, max(p[0] for p in points) + margin
    low_y, high_y = min(p[1] for p in points) - margin, max(p[1] for p in points) + margin
    missing = max(LEAST_WIDE * (high_x - low_x) - (high_y - low_y), 0.0)
    # Widen the narrower side first, so that tee and basket come near the middle.
    right = min(max((missing + high_y + low_y) / 2, 0.0), missing)
    low_y, high_y = low_y - right, high_y + missing - right
    # The word beside the aim, as a share of the picture's width, fits there as well; its "m" is
    # wider than most letters, so it stays off the edge by as much again as it stands from the aim.
    word = (2 * AIM_OFF_PX + text_width_px("aim", KEY_PX)) / WIDTH_PX
    if hole.aim_left_m >= LEAST_AIM_M:
        high_y = max(high_y, (hole.aim_left_m - word * low_y) / (1.0 - word))
    elif hole.aim_left_m <= -LEAST_AIM_M:
        low_y = min(low_y, (hole.aim_left_m - word * high_y) / (1.0 - word))
    return low_x, high_x, low_y, high_y


def draw_area(scene: Scene, area: ShownArea) -> None:
    """Draw an area hatched by its kind; scene x is to the thrower's right."""
    edge = AREA_EDGES.get(area.kind, _OTHER_EDGE)
    fill = scene.hatch(area.kind) if area.kind in AREA_EDGES else "none"
    for rings in area.pieces:
        turned = [[(-y, x) for x, y in ring] for ring in rings]
        scene.rings(turned, Paint(edge.stroke, fill, edge.width_px, edge.dash_px))


def _draw_throw(scene: Scene, hole: HoleLine) -> None:
    px = scene.px
    if abs(hole.aim_left_m) >= LEAST_AIM_M:
        aim = (-hole.aim_left_m, hole.length_m)
        scene.line(((0.0, 0.0), aim), Paint("quiet", "none", 1.0, (2.0, 4.0)))
        arm = 4 * px
        scene.line(((aim[0] - arm, aim[1]), (aim[0] + arm, aim[1])), Paint("quiet"))
        away = -1 if aim[0] < 0 else 1
        anchor = "end" if away < 0 else "start"
        beside = aim[0] + away * AIM_OFF_PX * px
        scene.text(beside, aim[1] - 4 * px, "aim", size_px=KEY_PX, anchor=anchor)
    if hole.outline:
        ring = [(-y, x) for x, y in hole.outline]
        scene.polygon(ring, Paint("accent", "accent", 1.4, fill_opacity=0.12))
    scene.dots([(-y, x) for x, y in hole.dots], 1.7, Paint("none", "accent"))
    if hole.path:
        scene.line([(-p[1], p[0]) for p in hole.path], Paint(width_px=2.4))


def draw_tee(scene: Scene) -> None:
    """Mark the tee, at the origin, with its word on the right where there is room."""
    px = scene.px
    side = 1 if scene.right >= (8 + text_width_px("tee", 12)) * px else -1
    anchor = "start" if side > 0 else "end"
    scene.box(-4 * px, 4 * px, -10 * px, 0.0, Paint("ink", "paper", 1.6))
    scene.text(side * 8 * px, -9 * px, "tee", size_px=12, bold=True, anchor=anchor)


def draw_basket(scene: Scene, basket_m: float, side: int) -> None:
    """Mark the basket, with its word on the right (1) or the left (−1) where there is room."""
    px = scene.px
    scene.circle(0.0, basket_m, 5 * px, Paint("ink", "paper", 2.0))
    scene.dots(((0.0, basket_m),), 2.0, Paint("none", "ink"))
    room = scene.right if side > 0 else -scene.left
    if room < (9 + text_width_px("basket", 12)) * px:
        side = -side
    scene.text(
        side * 9 * px,
        min(basket_m + 4 * px, scene.top - 10 * px),
        "basket",
        size_px=12,
        bold=True,
        anchor="start" if side > 0 else "end",
    )


def draw_strip(
    scene: Scene,
    units: Units,
    top: float,
    *,
    bearing_deg: float | None,
    wind_m_s: float,
    wind_from_deg: float,
    wind_from: str | None = None,
) -> None:
    """Draw scale bar, north arrow and wind under the ground.

    Parameters
    ----------
    top
        Lower edge of the ground.
    bearing_deg
        Where the picture's up points; no arrow where it is not known.
    wind_from_deg
        0 is from the top of the picture, 90 from the right.
    wind_from
        How to say that; as the thrower at the lower edge feels it when not given.
    """
    px, left = scene.px, scene.left
    scene.scale_bar(left + 8 * px, top - 36 * px, 80, units)
    if bearing_deg is not None:
        scene.north_arrow(left + 124 * px, top - 31 * px, bearing_deg, size_px=22)
    force, name = beaufort(wind_m_s)
    x = left + 152 * px
    if force == 0:
        scene.text(x, top - 34 * px, "wind: calm", size_px=12, halo=False)
        return
    said = f"{name} {wind_speed(wind_m_s, units)}"
    scene.text(x, top - 26 * px, said, size_px=12, bold=True, halo=False)
    where = wind_from or wind_direction(wind_from_deg)
    scene.text(x, top - 42 * px, where, size_px=11, halo=False)
    turn = math.radians(wind_from_deg)
    away = (math.sin(turn) * 13 * px, math.cos(turn) * 13 * px)
    x, y = scene.right - 17 * px, top - 31 * px
    scene.arrow(
        (x + away[0], y + away[1]), (x - away[0], y - away[1]), Paint(width_px=2.6), head_px=9
    )


def _key_items(areas: Sequence[ShownArea]) -> list[tuple[str, str]]:
    kinds = list(dict.fromkeys(area.kind for area in areas if area.kind in AREA_EDGES))
    items = []
    for kind in kinds:
        unnamed = [
            area.name for area in areas if area.kind == kind and area.name and not area.name_at
        ]
        words = f"{kind}: {joined(unnamed)}" if unnamed else kind
        items.append((kind, fitted(words, KEY_PX, WIDTH_PX - 50)))
    return [
        *items,
        ("line", "middle throw"),
        ("dots", "fifty throws at rest"),
        ("ring", "about 80 of 100"),
    ]


def _plan_words(hole: HoleLine, areas: Sequence[ShownArea], units: Units) -> str:
    away = distance(hole.length_m, units)
    told = [f"Seen from above: tee at the bottom, basket at the top, {away} away."]
    told.append(f"{hole.disc_label}, {hole.line}.")
    if hole.path:
        x, y = hole.path[-1][:2]
        told.append(
            f"The middle throw comes down {distance(x, units)} from the tee, {sideways(y, units)}."
        )
    if hole.outline:
        xs, ys = [p[0] for p in hole.outline], [p[1] for p in hole.outline]
        told.append(
            f"About 80 of 100 throws rest between {distance(min(xs), units)} and "
            f"{distance(max(xs), units)}, from {sideways(max(ys), units)} to "
            f"{sideways(min(ys), units)} of the line to the basket."
        )
    told += [area.words(units) for area in areas]
    wind = hole.wind_words or wind_words(hole.wind_m_s, hole.wind_from_deg, units)
    told.append(f"Wind: {wind}.")
    return " ".join(told)


# -- from the side ------------------------------------------------------------------------


def side_scene(hole: HoleLine, units: Units, *, prefix: str) -> Scene:
    """Draw height above the tee against distance, equal axes; scene x is toward the basket."""
    xs = [0.0, hole.length_m, *(p[0] for p in hole.path)]
    heights = [0.0, hole.elevation_change_m, *(p[2] for p in hole.path)]
    margin = 0.05 * (max(xs) - min(xs))
    left, right = min(xs) - margin, max(xs) + margin
    px = (right - left) / WIDTH_PX
    ends = hole.elevation_change_m
    scene = Scene(
        prefix,
        f"Hole {hole.ref} from the side",
        _side_words(hole, units),
        left,
        right,
        min(heights) - 40 * px,
        max(max(heights), ends + BASKET_M) + 24 * px,
        WIDTH_PX,
    )
    ground = [(left, 0.0), (0.0, 0.0), (hole.length_m, ends), (right, ends)]
    below = [(right, scene.bottom + 26 * px), (left, scene.bottom + 26 * px)]
    scene.polygon([*ground, *below], Paint("none", "shade"))
    scene.line(ground, Paint(width_px=1.4))
    scene.line(((hole.length_m, ends), (hole.length_m, ends + BASKET_M)), Paint(width_px=3.0))
    if hole.path:
        scene.line([(p[0], p[2]) for p in hole.path], Paint(width_px=2.4))
        _mark_apex(scene, hole, units)
    scene.text(0.0, -13 * px, "tee", size_px=11, anchor="middle")
    basket = min(hole.length_m, right - 20 * px)
    scene.text(basket, ends - 13 * px, "basket", size_px=11, anchor="middle")
    base = scene.bottom + 10 * px
    scene.scale_bar(left + 8 * px, base, 95, units)
    scene.text(
        right - 6 * px,
        base - 4 * px,
        "from the side, true to scale",
        size_px=11,
        anchor="end",
        paint="quiet",
        halo=False,
    )
    return scene


def _mark_apex(scene: Scene, hole: HoleLine, units: Units) -> None:
    x, _, z = max(hole.path, key=lambda p: p[2])
    scene.dots(((x, z),), 2.5, Paint("none", "accent"))
    half = text_width_px("apex 00 ft", 12) / 2 * scene.px
    x = min(max(x, scene.left + half), scene.right - half)
    said = f"apex {distance(z, units)}"
    scene.text(x, z + 8 * scene.px, said, size_px=12, bold=True, anchor="middle")


def _side_words(hole: HoleLine, units: Units) -> str:
    rise = hole.elevation_change_m
    level = abs(rise) < 0.5
    words = "level" if level else f"{distance(abs(rise), units)} {'up' if rise > 0 else 'down'}"
    told = f"From the side: the ground to the basket is {words}."
    if not hole.path:
        return told
    x, _, z = max(hole.path, key=lambda p: p[2])
    return (
        f"{told} The throw is highest, {distance(z, units)} above the tee, "
        f"{distance(x, units)} out."
    )
