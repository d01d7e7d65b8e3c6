"""What to throw from here: up to three throws over the hole at true scale, and from the side.

From above the thrower looks up the page from the tee. Each choice has its number, its own marks
and its own kind of line, so that nothing rests on colour.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence

from rimwise.decide.tee_report import TeeChoice, TeeDay, TeeReport
from rimwise.pictures.hole import (
    AREA_EDGES,
    BASKET_M,
    CHOICES,
    LEAST_WIDE,
    NAME_PX,
    NOTICE_PX,
    WIDTH_PX,
    draw_area,
    draw_basket,
    draw_strip,
    draw_tee,
)
from rimwise.pictures.placing import ShownArea, shown_areas
from rimwise.pictures.svg import Paint, Scene, fitted, key_rows, stack, text_width_px
from rimwise.records.words import Units, check_units, distance, number, strokes

__all__ = ["tee_svg"]

XY = tuple[float, float]

_CHOICE_PX, _CONTOUR_PX = 12.0, 9.5
#: A contour shorter than this on the picture is not drawn; its number keeps so far off others.
_SHORTEST_PX, _CLEAR_PX = 40.0, 26.0


def tee_svg(report: TeeReport, day: TeeDay, units: Units = "m", *, prefix: str = "tee") -> str:
    """Draw the choices of one day from above and from the side.

    Parameters
    ----------
    units
        "m" or "ft" for everything written; the drawing itself is in metres.
    prefix
        Start of the ids; give each picture on a page its own.

    Returns
    -------
    str
        One ``<svg>`` element with a title and a description in words.
    """
    check_units(units)
    plan = _plan(report, day, units, f"{prefix}-plan")
    side = _side(report, day, units, f"{prefix}-side")
    title = f"What to throw on hole {report.hole}: {day.day}"
    return stack(prefix, title, f"{plan.desc} {side.desc}", (plan, side))


# -- from above --------------------------------------------------------------------------------


def _plan(report: TeeReport, day: TeeDay, units: Units, prefix: str) -> Scene:
    low_x, high_x, low_y, high_y = window = _window(report, day)
    px = (high_y - low_y) / WIDTH_PX
    busy = [[(p[0], p[1]) for p in c.path] for c in day.choices]
    busy += [[*c.outline, *c.outline[:1]] for c in day.choices]
    names = [area.name or area.kind for area in report.areas]
    sizes = [((text_width_px(name, NAME_PX) + 4) * px, (NAME_PX + 5) * px) for name in names]
    areas = shown_areas(report.areas, window, busy, sizes) if report.areas else ()
    key = key_rows(_key_items(areas), WIDTH_PX - 12)
    rows = len(day.choices)
    strip_px = 66 + 17 * (len(key) + rows) + (NOTICE_PX + 6 if report.attribution else 0)
    scene = Scene(
        prefix, f"Hole {report.hole} from above", _plan_words(report, day, areas, units),
        -high_y, -low_y, low_x - strip_px * px, high_x, WIDTH_PX,
    )  # fmt: skip
    for area in areas:
        draw_area(scene, area)
    _draw_contours(scene, day, window, report.length_m)
    scene.box(-high_y, -low_y, low_x, high_x, Paint("ink", "none", 1.0))
    for place, choice in reversed(list(enumerate(day.choices))):
        _draw_choice(scene, place, choice)
    for area in areas:
        if area.name_at is not None:
            x, y = area.name_at
            base = x - 0.35 * NAME_PX * px
            scene.text(-y, base, area.name or area.kind, size_px=NAME_PX, anchor="middle")
    _draw_ends(scene, report, day, window)
    _draw_numbers(scene, day)
    draw_strip(
        scene, units, low_x, bearing_deg=report.bearing_deg, wind_m_s=day.wind_m_s,
        wind_from_deg=day.wind_from_deg,
    )  # fmt: skip
    _draw_key(scene, day, key, low_x, report.attribution)
    return scene


def _window(report: TeeReport, day: TeeDay) -> tuple[float, float, float, float]:
    """Return (least x, most x, least y, most y) of the drawn ground in the hole's frame."""
    points: list[XY] = [report.lie, (report.length_m, 0.0)]
    if report.lie[0] < 0.5 * report.length_m:
        points.append((0.0, 0.0))
    for choice in day.choices:
        points += [(p[0], p[1]) for p in choice.path] + list(choice.outline)
        points += _most(choice.dots)
    span = max(p[0] for p in points) - min(p[0] for p in points)
    margin = max(0.07 * span, 4.0)
    low_x, high_x = min(p[0] for p in points) - margin, max(p[0] for p in points) + margin
    low_y, high_y = min(p[1] for p in points) - margin, max(p[1] for p in points) + margin
    missing = max(LEAST_WIDE * (high_x - low_x) - (high_y - low_y), 0.0)
    right = min(max((missing + high_y + low_y) / 2, 0.0), missing)
    low_y, high_y = low_y - right, high_y + missing - right
    tall = max(0.8 * (high_y - low_y) - (high_x - low_x), 0.0)
    return low_x - 0.5 * tall, high_x + 0.5 * tall, low_y, high_y


def _most(dots: Sequence[XY]) -> list[XY]:
    """Return the dots without the few that fly far off and would make all else small."""
    middle = sorted(dots)[len(dots) // 2]
    away = sorted(dots, key=lambda p: math.hypot(p[0] - middle[0], p[1] - middle[1]))
    return away[: max(1, int(0.94 * len(away)))]


def _draw_contours(
    scene: Scene, day: TeeDay, window: tuple[float, float, float, float], basket_m: float
) -> None:
    """Draw strokes-to-finish as faint lines, each with its number once."""
    taken = [(-p[1], p[0]) for c in day.choices for p in (*c.dots, *c.path)]
    word = text_width_px("basket", 12) * scene.px
    taken += [(x, basket_m) for x in (-word, -0.5 * word, 0.0, 0.5 * word, word)] + [(0.0, 0.0)]
    for contour in day.contours:
        pieces = _inside([(-y, x) for x, y in contour.points], window)
        long = [p for p in pieces if _length(p) > _SHORTEST_PX * scene.px]
        for piece in long:
            scene.line(piece, Paint("faint", "none", 0.9))
    for level in dict.fromkeys(contour.strokes for contour in day.contours):
        pieces = [
            piece
            for contour in day.contours
            if contour.strokes == level
            for piece in _inside([(-y, x) for x, y in contour.points], window)
            if _length(piece) > _SHORTEST_PX * scene.px
        ]
        at = _clear_place(scene, pieces, taken)
        if at is not None:
            taken.append(at)
            said = number(level, 1)
            base = at[1] - 0.35 * _CONTOUR_PX * scene.px
            scene.text(at[0], base, said, size_px=_CONTOUR_PX, anchor="middle", paint="quiet")


def _inside(points: Sequence[XY], window: tuple[float, float, float, float]) -> list[list[XY]]:
    """Cut a line to the pieces whose points lie in the window."""
    low_x, high_x, low_y, high_y = window
    pieces: list[list[XY]] = [[]]
    for right, up in points:
        if low_x < up < high_x and -high_y < right < -low_y:
            pieces[-1].append((right, up))
        elif pieces[-1]:
            pieces.append([])
    return [piece for piece in pieces if len(piece) > 1]


def _length(points: Sequence[XY]) -> float:
    return sum(math.dist(a, b) for a, b in itertools.pairwise(points))


def _clear_place(scene: Scene, pieces: Sequence[Sequence[XY]], taken: Sequence[XY]) -> XY | None:
    """Return the place on a line that is farthest from what is drawn already."""
    edge = 16 * scene.px
    places = [
        p
        for piece in pieces
        for p in piece
        if scene.left + edge < p[0] < scene.right - edge and p[1] < scene.top - edge
    ]
    if not places:
        return None
    best = max(places, key=lambda p: min((math.dist(p, q) for q in taken), default=1e9))
    clear = min((math.dist(best, q) for q in taken), default=1e9)
    return best if clear > _CLEAR_PX * scene.px else None


def _draw_choice(scene: Scene, place: int, choice: TeeChoice) -> None:
    paint, dashes = CHOICES[place]
    ring = [(-y, x) for x, y in choice.outline]
    scene.polygon(ring, Paint(paint, paint, 1.4, dashes, fill_opacity=0.10))
    _draw_dots(scene, place, [(-y, x) for x, y in choice.dots])
    scene.line([(-p[1], p[0]) for p in choice.path], Paint(paint, "none", 2.4, dashes))


def _draw_dots(scene: Scene, place: int, at: Sequence[XY]) -> None:
    """Draw landings: filled dots, open rings, or crosses."""
    paint = CHOICES[place][0]
    at = [p for p in at if scene.left < p[0] < scene.right and p[1] < scene.top]
    if place == 0:
        scene.dots(at, 1.8, Paint("none", paint))
    elif place == 1:
        for x, y in at:
            scene.circle(x, y, 2.6 * scene.px, Paint(paint, "none", 1.0))
    else:
        arm = 2.2 * scene.px
        for x, y in at:
            scene.line(((x - arm, y - arm), (x + arm, y + arm)), Paint(paint))
            scene.line(((x - arm, y + arm), (x + arm, y - arm)), Paint(paint))


def _draw_numbers(scene: Scene, day: TeeDay) -> None:
    """Write each choice's number beside its cloud, on the side away from the others."""
    px = scene.px
    middles = [_middle(choice.outline) for choice in day.choices]
    for place, (choice, (_, y)) in enumerate(zip(day.choices, middles, strict=True)):
        others = [m for n, m in enumerate(middles) if n != place]
        away = sum(y - other[1] for other in others)
        edge = max(choice.outline, key=lambda p: p[1] if away >= 0 else -p[1])
        turn = -1 if away >= 0 else 1
        at = -edge[1] + turn * 11 * px
        at = min(max(at, scene.left + 9 * px), scene.right - 9 * px)
        paint = CHOICES[place][0]
        scene.circle(at, edge[0], 8.5 * px, Paint(paint, "paper", 1.6))
        scene.text(
            at, edge[0] - 4.3 * px, str(place + 1), size_px=_CHOICE_PX, anchor="middle", bold=True,
            halo=False,
        )  # fmt: skip


def _middle(points: Sequence[XY]) -> XY:
    return sum(p[0] for p in points) / len(points), sum(p[1] for p in points) / len(points)


def _draw_ends(
    scene: Scene, report: TeeReport, day: TeeDay, window: tuple[float, float, float, float]
) -> None:
    """Mark tee, basket and, away from the tee, where the thrower stands."""
    x, y = report.lie
    if window[0] < 0.0:
        draw_tee(scene)
    if (x, y) != (0.0, 0.0):
        px = scene.px
        scene.dots(((-y, x),), 4.0, Paint("ink", "ink"))
        scene.text(-y + 9 * px, x - 4 * px, "you", size_px=12, bold=True)
    crowd = sum(-p[1] for choice in day.choices for p in choice.dots)
    draw_basket(scene, report.length_m, -1 if crowd > 0 else 1)


def _key_items(areas: Sequence[ShownArea]) -> list[tuple[str, str]]:
    kinds = list(dict.fromkeys(area.kind for area in areas if area.kind in AREA_EDGES))
    return [*((kind, kind) for kind in kinds), ("contour", "strokes to finish from there")]


def _draw_key(
    scene: Scene,
    day: TeeDay,
    key: Sequence[Sequence[tuple[str, str]]],
    low_x: float,
    notice: str,
) -> None:
    px, left = scene.px, scene.left + 6 * scene.px
    y = low_x - 74 * px
    for place, choice in enumerate(day.choices):
        paint, dashes = CHOICES[place]
        scene.text(left, y, str(place + 1), size_px=_CHOICE_PX, bold=True, halo=False)
        scene.line(((left + 13 * px, y + 4 * px), (left + 36 * px, y + 4 * px)),
                   Paint(paint, "none", 2.4, dashes))  # fmt: skip
        _draw_dots(scene, place, [(left + 45 * px, y + 4 * px)])
        worth = f"{number(choice.strokes, 2)} strokes"
        room = WIDTH_PX - 70 - text_width_px(worth, 11)
        scene.text(left + 55 * px, y, fitted(choice.disc_label, 11, room), size_px=11, halo=False)
        scene.text(scene.right - 6 * px, y, worth, size_px=11, anchor="end", halo=False)
        y -= 17 * px
    scene.key(left, y + 12 * px, key)
    if notice:
        foot = scene.bottom + 4 * px
        said = fitted(notice, NOTICE_PX, WIDTH_PX - 12)
        scene.text(left, foot, said, size_px=NOTICE_PX, paint="quiet", halo=False)


def _plan_words(report: TeeReport, day: TeeDay, areas: Sequence[ShownArea], units: Units) -> str:
    away = distance(report.length_m, units)
    told = [f"Seen from above: tee at the bottom, basket at the top, {away} away."]
    for place, choice in enumerate(day.choices, start=1):
        told.append(
            f"Choice {place}: {choice.disc_label}, {choice.line}; {choice.aim}; {choice.landing}; "
            f"{strokes(choice.strokes, choice.strokes_se)}."
        )
    if not day.choices:
        told.append(day.putt)
    told += [area.words(units) for area in areas]
    told.append(f"Wind: {day.wind}. Thin lines say what a lie is worth, in strokes to finish.")
    return " ".join(told)


# -- from the side -------------------------------------------------------------------------------


def _side(report: TeeReport, day: TeeDay, units: Units, prefix: str) -> Scene:
    """Draw height above the tee against the way to the basket, equal axes."""
    away = math.hypot(report.length_m - report.lie[0], report.lie[1])
    paths = [_along(report, choice) for choice in day.choices]
    xs = [0.0, away, *(p[0] for path in paths for p in path)]
    trees = [g for g in day.profile if g.canopy_m > 0.0]
    ends = report.elevation_change_m
    heights = [0.0, *(g.ground_m for g in day.profile), *(p[1] for path in paths for p in path)]
    tops = [*heights, ends + BASKET_M, *(g.ground_m + g.canopy_m for g in trees)]
    margin = 0.05 * (max(xs) - min(xs))
    left, right = min(xs) - margin, max(xs) + margin
    px = (right - left) / WIDTH_PX
    scene = Scene(
        prefix, f"Hole {report.hole} from the side", _side_words(day, units), left, right,
        min(*heights, ends) - 40 * px, max(tops) + 24 * px, WIDTH_PX,
    )  # fmt: skip
    ground = _ground(day, away, ends, left, right)
    foot = scene.bottom + 26 * px
    scene.polygon([*ground, (right, foot), (left, foot)], Paint("none", "shade"))
    _draw_canopy(scene, day, units)
    scene.line(ground, Paint(width_px=1.4))
    scene.line(((away, ends), (away, ends + BASKET_M)), Paint(width_px=3.0))
    for place, path in reversed(list(enumerate(paths))):
        paint, dashes = CHOICES[place]
        scene.line(path, Paint(paint, "none", 2.2, dashes))
    _mark_apexes(scene, paths, units)
    start = "tee" if report.lie == (0.0, 0.0) else "you"
    scene.text(0.0, ground[1][1] - 13 * px, start, size_px=11, anchor="middle")
    scene.text(min(away, right - 20 * px), ends - 13 * px, "basket", size_px=11, anchor="middle")
    base = scene.bottom + 10 * px
    scene.scale_bar(left + 8 * px, base, 95, units)
    scene.text(
        right - 6 * px, base - 4 * px, "from the side, true to scale", size_px=11, anchor="end",
        paint="quiet", halo=False,
    )  # fmt: skip
    return scene


def _along(report: TeeReport, choice: TeeChoice) -> list[XY]:
    """Return a path as (way toward the basket from the lie, height)."""
    x, y = report.lie
    dx, dy = report.length_m - x, -y
    away = math.hypot(dx, dy)
    return [(((p[0] - x) * dx + (p[1] - y) * dy) / away, p[2]) for p in choice.path]


def _ground(day: TeeDay, away: float, ends: float, left: float, right: float) -> list[XY]:
    """Return the ground's outline: under the first flight, then on to the basket."""
    points = [(g.along_m, g.ground_m) for g in day.profile]
    start = points[0][1] if points else 0.0
    grown: list[XY] = [(left, start), (0.0, start)]
    for x, z in points:
        if x > grown[-1][0]:
            grown.append((x, z))
    if grown[-1][0] < away:
        grown.append((away, ends))
    return [*grown, (right, grown[-1][1])]


def _draw_canopy(scene: Scene, day: TeeDay, units: Units) -> None:
    runs: list[list[tuple[float, float, float]]] = [[]]
    for g in day.profile:
        if g.canopy_m > 0.0:
            runs[-1].append((g.along_m, g.ground_m, g.canopy_m))
        elif runs[-1]:
            runs.append([])
    for run in runs:
        if len(run) < 2:
            continue
        top = [(x, z + high) for x, z, high in run]
        foot = [(x, z) for x, z, _ in reversed(run)]
        edge = AREA_EDGES["wood"]
        scene.polygon([*top, *foot], Paint(edge.stroke, scene.hatch("wood"), 1.0, edge.dash_px))
        said = f"trees to {distance(max(high for _, _, high in run), units)}"
        x = 0.5 * (top[0][0] + top[-1][0])
        half = text_width_px(said, 11) / 2 * scene.px
        ends = 44 * scene.px  # where "tee" and "basket" stand
        x = min(max(x, scene.left + half + ends), scene.right - half - ends)
        low = min(z for _, z, _ in run)  # under the ground, where no flight is
        scene.text(x, low - 13 * scene.px, said, size_px=11, anchor="middle")


def _mark_apexes(scene: Scene, paths: Sequence[Sequence[XY]], units: Units) -> None:
    """Mark the highest point of each flight, and write the highest of all."""
    tops = [max(path, key=lambda p: p[1]) for path in paths]
    for place, top in enumerate(tops):
        scene.dots((top,), 2.5, Paint("none", CHOICES[place][0]))
    if not tops:
        return
    place = max(range(len(tops)), key=lambda n: tops[n][1])
    x, z = tops[place]
    whose = f" of {place + 1}:" if len(tops) > 1 else ""
    said = f"apex{whose} {distance(z, units)}"
    half = text_width_px(said, 12) / 2 * scene.px
    x = min(max(x, scene.left + half), scene.right - half)
    scene.text(x, z + 8 * scene.px, said, size_px=12, bold=True, anchor="middle")


def _side_words(day: TeeDay, units: Units) -> str:
    told = ["From the side:"]
    for place, choice in enumerate(day.choices, start=1):
        top = max(choice.path, key=lambda p: p[2])
        told.append(f"choice {place} rises to {distance(top[2], units)} above the tee;")
    trees = [g.canopy_m for g in day.profile if g.canopy_m > 0.0]
    if trees:
        told.append(f"under the first choice stand trees up to {distance(max(trees), units)}.")
    else:
        told.append("no trees stand under the first choice.")
    return " ".join(told)
