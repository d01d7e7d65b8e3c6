"""The field from above, as its thrower sees it: where throws came to rest, to scale."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from rimwise.errors import check_range
from rimwise.pictures.svg import Paint, Scene
from rimwise.records.words import METRES_PER_FOOT, Units, distance, plural, sideways

__all__ = ["FieldMark", "field_map_svg"]

#: Half the width of the map, as a share of its length: wider throws are typed.
_HALF_WIDTH = 0.36
#: Behind the thrower there is room for their mark and the scale.
_BEHIND = 0.09


@dataclass(frozen=True, slots=True)
class FieldMark:
    """One throw on the map: its name, where it came to rest, and whether it stands out."""

    name: str
    distance_m: float
    left_m: float
    bold: bool = False


def field_map_svg(
    marks: Sequence[FieldMark], farthest_m: float, units: Units = "m", *, prefix: str = "field"
) -> str:
    """Draw the field in metres: the thrower below, the target line upward, left at the left.

    The drawing's own unit is the metre, with the thrower at (0, 0), so that a point of it says
    how far along the line and how far to the right of it something lies.

    Parameters
    ----------
    farthest_m
        How far the map reaches, 20 to 300 m.

    Raises
    ------
    InputError
        When that is outside its range.
    """
    far = check_range("reach of the map", farthest_m, 20.0, 300.0, "m")
    half = _HALF_WIDTH * far
    scene = Scene(prefix, "The field from above", _words(marks, units), -half, half,
                  -_BEHIND * far, far)  # fmt: skip
    step = _step_m(far, units)
    rings = int(far / step)
    for k in range(1, rings + 1):
        scene.line(((-half, k * step), (half, k * step)), Paint("faint", "none", 0.7))
        told = distance(k * step, units)
        scene.text(-half + 4 * scene.px, k * step + 4 * scene.px, told, size_px=11, paint="quiet")
    scene.line(((0.0, 0.0), (0.0, far)), Paint("ink", "none", 1.2, (6.0, 4.0)))
    scene.polygon(
        ((-5 * scene.px, -7 * scene.px), (5 * scene.px, -7 * scene.px), (0.0, 0.0)),
        Paint("ink", "ink"),
    )
    below = -_BEHIND * far + 6 * scene.px
    scene.text(0.0, below, "you", size_px=12, anchor="middle", halo=False)
    scene.text(-half + 4 * scene.px, below, "left", size_px=12, halo=False)
    scene.text(half - 4 * scene.px, below, "right", size_px=12, anchor="end", halo=False)
    scene.text(0.0, far - 15 * scene.px, "target line", size_px=12, anchor="middle")
    for mark in marks:
        paint = Paint("ink", "accent" if mark.bold else "paper", 1.2)
        scene.circle(-mark.left_m, mark.distance_m, 4.5 * scene.px, paint)
        at = -mark.left_m + 7 * scene.px, mark.distance_m - 4 * scene.px
        scene.text(*at, mark.name, size_px=11, bold=mark.bold)
    return scene.render()


def _step_m(far_m: float, units: Units) -> float:
    """Return the distance between two lines of the map: a round number, four to nine of them."""
    one_m = 1.0 if units == "m" else METRES_PER_FOOT
    return next(s * one_m for s in (5, 10, 20, 50, 100, 200, 500) if far_m / (s * one_m) <= 9.0)


def _words(marks: Sequence[FieldMark], units: Units) -> str:
    """Say what the map shows."""
    where = (
        "You stand at the middle of the lower edge; the target line goes straight up, left is "
        "your left."
    )
    if not marks:
        return f"{where} No throw is on it yet."
    told = "; ".join(
        f"{mark.name} {distance(mark.distance_m, units)} out, {sideways(mark.left_m, units)}"
        for mark in marks
    )
    return f"{where} {plural(len(marks), 'throw')}: {told}."
