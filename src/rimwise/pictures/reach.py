"""How far discs go: longest lines against release speed, beside the trade's rule of thumb."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from rimwise.errors import InputError, check_finite
from rimwise.flight.reach import RULE_MPH, rule_of_thumb_m
from rimwise.pictures.svg import Paint, Scene, text_width_px
from rimwise.records.words import METRES_PER_FOOT, MPH_PER_M_S, distance, joined, number

__all__ = ["MOST_CURVES", "RULE_GIVE_OR_TAKE", "ReachCurve", "reach_svg"]

#: The rule of thumb is drawn give or take this share (what it is held to, an assumption).
RULE_GIVE_OR_TAKE = 0.15

WIDTH_PX, HEIGHT_PX = 640.0, 430.0
LEFT_PX, RIGHT_PX, BOTTOM_PX, TOP_PX = 44.0, 592.0, 44.0, 382.0
NAME_PX, NAME_GAP_PX = 12.0, 16.0

#: Paint, width and dashes of each curve: they differ in all three.
_LINES = (
    ("one", 2.6, ()),
    ("two", 2.2, (9.0, 4.0)),
    ("three", 2.2, (2.0, 3.5)),
    ("four", 2.2, (12.0, 3.0, 2.0, 3.0)),
    ("five", 1.4, ()),
)
MOST_CURVES = len(_LINES)

XY = tuple[float, float]
Place = Callable[[float, float], XY]


@dataclass(frozen=True, slots=True)
class ReachCurve:
    """The longest line of one disc by release speed.

    Parameters
    ----------
    name : str
        Written at the curve's end.
    speed_m_s, range_m : tuple of float
        At least two speeds, rising, and as many ranges, none negative.

    Raises
    ------
    InputError
        When they are not.
    """

    name: str
    speed_m_s: tuple[float, ...]
    range_m: tuple[float, ...]

    def __post_init__(self) -> None:
        if len(self.speed_m_s) != len(self.range_m) or len(self.range_m) < 2:
            raise InputError(
                f"a reach curve needs at least two speeds and as many ranges, but {self.name!r} "
                f"has {len(self.speed_m_s)} and {len(self.range_m)}."
            )
        steps = zip(self.speed_m_s[:-1], self.speed_m_s[1:], strict=True)
        if not all(check_finite("speed_m_s", b) > check_finite("speed_m_s", a) for a, b in steps):
            raise InputError(f"the speeds of a reach curve must rise, but {self.name!r}'s do not.")
        if min(check_finite("range_m", far) for far in self.range_m) < 0.0:
            raise InputError(f"range_m must not be negative, but {self.name!r} has one that is.")


def reach_svg(curves: Sequence[ReachCurve], *, prefix: str = "reach") -> str:
    """Draw up to five curves in metres and m/s, with feet and mph along the other edges.

    Raises
    ------
    InputError
        When there are none, or too many to tell apart.
    """
    if not 1 <= len(curves) <= MOST_CURVES:
        raise InputError(
            f"a picture of reach takes 1 to {MOST_CURVES} curves, but is given {len(curves)}."
        )
    scene = Scene(
        prefix,
        "How far the longest line goes, by release speed",
        _words(curves),
        0.0,
        WIDTH_PX,
        0.0,
        HEIGHT_PX,
        WIDTH_PX,
    )
    first = min(curve.speed_m_s[0] for curve in curves)
    last = max(curve.speed_m_s[-1] for curve in curves)
    names_px = 14.0 + max(text_width_px(curve.name, NAME_PX) for curve in curves)
    farthest = max(max(curve.range_m) for curve in curves)
    top = max(1.04 * farthest, (1.0 + RULE_GIVE_OR_TAKE) * _rule()[-1][1])

    def place(speed_m_s: float, range_m: float) -> XY:
        across = (speed_m_s - first) / (last - first)
        up = range_m / top
        right = RIGHT_PX - names_px
        return LEFT_PX + across * (right - LEFT_PX), BOTTOM_PX + up * (TOP_PX - BOTTOM_PX)

    _draw_rule(scene, (first, last), place)
    _draw_axes(scene, (first, last), top, place)
    for curve, (stroke, width_px, dashes) in zip(curves, _LINES, strict=False):
        along = zip(curve.speed_m_s, curve.range_m, strict=True)
        scene.line([place(*point) for point in along], Paint(stroke, "none", width_px, dashes))
    _write_names(scene, curves, place)
    return scene.render()


def _rule() -> list[XY]:
    """Return the rule of thumb's release speeds, m/s, and ranges, m."""
    speeds = [mph / MPH_PER_M_S for mph in RULE_MPH]
    return [(v, float(rule_of_thumb_m(v)[0])) for v in speeds]


def _draw_rule(scene: Scene, ends_m_s: XY, place: Place) -> None:
    """Shade what the rule allows, as far as both it and the picture go."""
    rule = [(v, far) for v, far in _rule() if ends_m_s[0] <= v <= ends_m_s[1]]
    if len(rule) < 2:
        return
    high, low = 1.0 + RULE_GIVE_OR_TAKE, 1.0 - RULE_GIVE_OR_TAKE
    upper = [place(v, high * far) for v, far in rule]
    lower = [place(v, low * far) for v, far in rule]
    scene.polygon([*upper, *reversed(lower)], Paint("none", "shade"))
    for edge in (upper, lower):
        scene.line(edge, Paint("quiet", "none", 0.8, (3.0, 3.0)))
    scene.line([place(v, far) for v, far in rule], Paint("quiet", "none", 0.8))
    said = f"rule of thumb, give or take {100 * RULE_GIVE_OR_TAKE:.0f} %"
    x, y = upper[0]
    scene.line(((x, y), (x, y + 64)), Paint("quiet", "none", 0.8))
    at = max(x - text_width_px(said, NAME_PX) / 2, LEFT_PX + 6)
    scene.text(at, y + 70, said, size_px=NAME_PX)


def _draw_axes(scene: Scene, ends_m_s: XY, top_m: float, place: Place) -> None:
    """Draw metres and m/s at left and below with grid lines; feet and mph opposite."""
    first, last = ends_m_s
    for metres in _ticks(0.0, top_m, 7):
        y = place(first, metres)[1]
        paint = Paint("ink") if metres == 0.0 else Paint("faint", "none", 0.6)
        scene.line(((LEFT_PX - 4, y), (RIGHT_PX, y)), paint)
        scene.text(LEFT_PX - 8, y - 4, number(metres), size_px=11, anchor="end", halo=False)
    for feet in _ticks(0.0, top_m / METRES_PER_FOOT, 7):
        y = place(first, feet * METRES_PER_FOOT)[1]
        scene.line(((RIGHT_PX, y), (RIGHT_PX + 5, y)), Paint())
        scene.text(RIGHT_PX + 9, y - 4, number(feet), size_px=11, halo=False)
    scene.line(((RIGHT_PX, BOTTOM_PX), (RIGHT_PX, TOP_PX)), Paint("ink", "none", 0.8))
    for speed in _ticks(first, last, 8):
        x = place(speed, 0.0)[0]
        scene.line(((x, BOTTOM_PX), (x, BOTTOM_PX - 4)), Paint())
        scene.text(x, BOTTOM_PX - 17, number(speed), size_px=11, anchor="middle", halo=False)
    scene.line(((LEFT_PX, TOP_PX), (place(last, 0.0)[0], TOP_PX)), Paint("ink", "none", 0.8))
    for mph in _ticks(first * MPH_PER_M_S, last * MPH_PER_M_S, 8):
        x = place(mph / MPH_PER_M_S, 0.0)[0]
        scene.line(((x, TOP_PX), (x, TOP_PX + 5)), Paint())
        scene.text(x, TOP_PX + 9, number(mph), size_px=11, anchor="middle", halo=False)
    middle = 0.5 * (LEFT_PX + place(last, 0.0)[0])
    scene.text(middle, 8, "release speed, m/s", size_px=11, anchor="middle", halo=False)
    scene.text(middle, HEIGHT_PX - 14, "mph", size_px=11, anchor="middle", halo=False)
    scene.text(6, HEIGHT_PX - 14, "first touch, m", size_px=11, halo=False)
    scene.text(WIDTH_PX - 6, HEIGHT_PX - 14, "feet", size_px=11, anchor="end", halo=False)


def _ticks(low: float, high: float, most: int) -> list[float]:
    """Return round numbers from ``low`` to ``high``, ends included where they are round."""
    bases = (1.0, 2.0, 2.5, 5.0)
    steps = [base * 10.0**power for power in range(-1, 4) for base in bases]
    step = next((s for s in steps if (high - low) / s <= most), steps[-1])
    slack = 1e-6 * step
    begin, end = math.ceil((low - slack) / step), math.floor((high + slack) / step)
    return [step * count for count in range(begin, end + 1)]


def _write_names(scene: Scene, curves: Sequence[ReachCurve], place: Place) -> None:
    """Name every curve at its end, from the lowest up, never over each other or the top."""
    ends = [place(curve.speed_m_s[-1], curve.range_m[-1]) for curve in curves]
    upward = sorted(range(len(curves)), key=lambda n: ends[n][1])
    floor = BOTTOM_PX
    for above, n in zip(range(len(curves) - 1, -1, -1), upward, strict=True):
        (x, y), stroke = ends[n], _LINES[n][0]
        at = min(max(y, floor), TOP_PX - above * NAME_GAP_PX)
        scene.line(((x, y), (x + 9, at)), Paint(stroke, "none", 0.8))
        scene.text(x + 12, at - 4, curves[n].name, size_px=NAME_PX)
        floor = at + NAME_GAP_PX


def _words(curves: Sequence[ReachCurve]) -> str:
    told = []
    for curve in curves:
        along = zip(curve.speed_m_s, curve.range_m, strict=True)
        at = [
            f"{distance(far)} ({distance(far, 'ft')}) at {number(v, 1)} m/s "
            f"({number(v * MPH_PER_M_S)} mph)"
            for v, far in along
        ]
        told.append(f"{curve.name}: {joined(at)}")
    rule = [f"{distance(far, 'ft')} at {number(v * MPH_PER_M_S)} mph" for v, far in _rule()]
    return (
        f"First touch of the longest line against release speed. {'. '.join(told)}. "
        f"The trade's rule of thumb, shaded, says {joined(rule)}, give or take "
        f"{100 * RULE_GIVE_OR_TAKE:.0f} %."
    )
