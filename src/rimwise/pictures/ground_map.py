"""The ground of a hole from above, to be drawn on: its areas and marks, and a sketch over them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from rimwise.decide.report import AreaShape
from rimwise.pictures.hole import NAME_PX, draw_area, draw_basket, draw_tee
from rimwise.pictures.placing import ShownArea, shown_areas
from rimwise.pictures.svg import Paint, Scene, text_width_px
from rimwise.records.words import METRES_PER_FOOT, Units, distance, sideways

__all__ = ["Ground", "GroundMark", "ground_map_svg"]

XY = tuple[float, float]

_WIDTH_PX = 350.0
#: The map reaches so far behind the tee, past the basket, and to each side.
_BEHIND_M, _PAST_M, _ASIDE_M = 20.0, 30.0, 40.0
#: It is at least so wide for its length, so that it fits a phone held upright.
_LEAST_WIDE = 0.6


@dataclass(frozen=True, slots=True)
class GroundMark:
    """A mandatory or a drop zone: what it is called, and where in the hole's frame."""

    label: str
    along_m: float
    left_m: float


@dataclass(frozen=True, slots=True)
class Ground:
    """What lies around a hole, in its frame: x toward the basket, y to the thrower's left."""

    ref: str
    length_m: float
    areas: tuple[AreaShape, ...] = ()
    marks: tuple[GroundMark, ...] = ()


def ground_map_svg(
    ground: Ground, units: Units = "m", *, sketch: Sequence[XY] = (), prefix: str = "ground"
) -> str:
    """Draw the ground in metres: the tee at (0, 0), the basket straight up, left at the left.

    The drawing's own unit is the metre, so that a point of it says how far out and how far to the
    right of the line something lies.

    Parameters
    ----------
    sketch
        Corners of what is being drawn, (along, left) in metres; one alone is a mark.
    """
    low_x = min([-_BEHIND_M, *(x - 5.0 for x, _ in sketch)])
    high_x = max([ground.length_m + _PAST_M, *(x + 5.0 for x, _ in sketch)])
    aside = max([_ASIDE_M, 0.5 * _LEAST_WIDE * (high_x - low_x),
                 *(abs(y) + 5.0 for _, y in sketch)])  # fmt: skip
    px = 2.0 * aside / _WIDTH_PX
    areas = _seen(ground, (low_x, high_x, -aside, aside), px)
    words = _words(ground, areas, units)
    scene = Scene(prefix, f"Hole {ground.ref} from above", words, -aside, aside, low_x, high_x)
    for area in areas:
        draw_area(scene, area)
    _draw_lines(scene, low_x, high_x, units)
    scene.line(((0.0, 0.0), (0.0, ground.length_m)), Paint("ink", "none", 1.2, (6.0, 4.0)))
    for area in areas:
        if area.name_at is not None:
            x, y = area.name_at
            base = x - 0.35 * NAME_PX * px
            scene.text(-y, base, area.name or area.kind, size_px=NAME_PX, anchor="middle")
    for mark in ground.marks:
        at = (-mark.left_m, mark.along_m)
        scene.circle(*at, 5 * px, Paint("ink", "paper", 2.0))
        scene.text(at[0] + 8 * px, at[1] - 4 * px, mark.label, size_px=NAME_PX)
    draw_tee(scene)
    draw_basket(scene, ground.length_m, 1)
    _draw_sketch(scene, sketch)
    return scene.render()


def _seen(
    ground: Ground, window: tuple[float, float, float, float], px: float
) -> tuple[ShownArea, ...]:
    if not ground.areas:
        return ()
    names = [area.name or area.kind for area in ground.areas]
    sizes = [((text_width_px(name, NAME_PX) + 4) * px, (NAME_PX + 5) * px) for name in names]
    return shown_areas(ground.areas, window, [[(0.0, 0.0), (ground.length_m, 0.0)]], sizes)


def _draw_lines(scene: Scene, low_x: float, high_x: float, units: Units) -> None:
    """Draw lines across at round distances, with what they are away from the tee."""
    one_m = 1.0 if units == "m" else METRES_PER_FOOT
    step = next(s * one_m for s in (10, 20, 50, 100, 200, 500) if high_x / (s * one_m) <= 9.0)
    for k in range(int(low_x / step), int(high_x / step) + 1):
        scene.line(((scene.left, k * step), (scene.right, k * step)), Paint("faint", "none", 0.7))
        if k > 0:
            at = (scene.left + 4 * scene.px, k * step + 4 * scene.px)
            scene.text(*at, distance(k * step, units), size_px=11, paint="quiet")


def _draw_sketch(scene: Scene, sketch: Sequence[XY]) -> None:
    corners = [(-y, x) for x, y in sketch]
    if len(corners) > 2:
        scene.polygon(corners, Paint("accent", "accent", 2.4, fill_opacity=0.18))
    elif corners:
        scene.line(corners, Paint("accent", "none", 2.4))
    scene.dots(corners, 4.0, Paint("none", "accent"))


def _words(ground: Ground, areas: Sequence[ShownArea], units: Units) -> str:
    away = distance(ground.length_m, units)
    told = [f"Seen from above: tee at the bottom, basket at the top, {away} away."]
    told += [area.words(units) for area in areas]
    told += [
        f"{mark.label} {distance(mark.along_m, units)} out, {sideways(mark.left_m, units)}."
        for mark in ground.marks
    ]
    if len(told) == 1:
        told.append("Nothing is drawn on it yet.")
    return " ".join(told)
