"""The make chance against distance, with its band and the owner's own rates."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from rimwise.beliefs.putting_fit import MadeRate
from rimwise.errors import InputError, check_finite, check_range
from rimwise.pictures.svg import Paint, Scene, key_rows, text_width_px
from rimwise.records.words import METRES_PER_FOOT, Units, chance, distance, number

__all__ = ["CIRCLES_M", "MakeCurve", "putting_svg", "putting_words"]

#: Inside 10 m a throw is a putt by the rules of play; players also count the circle of 20 m.
CIRCLES_M = (10.0, 20.0)

WIDTH_PX, HEIGHT_PX = 640.0, 420.0
LEFT_PX, RIGHT_PX, BOTTOM_PX, TOP_PX = 44.0, 626.0, 80.0, 368.0
#: More points than this are drawn without their counts.
MOST_COUNTS = 14

XY = tuple[float, float]
Place = Callable[[float, float], XY]


@dataclass(frozen=True, slots=True)
class MakeCurve:
    """Chance to hole out by distance, with a band that holds 9 of 10 of what it may be.

    All of one length, at least two; distances in metres, rising; chances 0 to 1.

    Raises
    ------
    InputError
        When they are not.
    """

    distance_m: tuple[float, ...]
    made: tuple[float, ...]
    low: tuple[float, ...]
    high: tuple[float, ...]

    def __post_init__(self) -> None:
        lengths = {len(self.distance_m), len(self.made), len(self.low), len(self.high)}
        if len(lengths) != 1 or len(self.distance_m) < 2:
            raise InputError(
                "a curve of make chances needs at least two distances, and as many chances, "
                "lower and upper ends."
            )
        steps = zip(self.distance_m[:-1], self.distance_m[1:], strict=True)
        if not all(check_finite("distance_m", b) > check_finite("distance_m", a) for a, b in steps):
            raise InputError("the distances of a curve of make chances must rise.")
        for value in (*self.made, *self.low, *self.high):
            check_range("make chance", value, 0.0, 1.0)


def putting_svg(
    curve: MakeCurve, rates: Sequence[MadeRate] = (), units: Units = "m", *, prefix: str = "putting"
) -> str:
    """Draw the curve and its band, the two circles, and each rate with its count and interval."""
    scene = Scene(
        prefix,
        "Chance to hole a putt, by distance",
        putting_words(curve, rates, units),
        0.0,
        WIDTH_PX,
        0.0,
        HEIGHT_PX,
        WIDTH_PX,
    )
    farthest = max(curve.distance_m[-1], *(rate.distance_m for rate in rates), CIRCLES_M[-1])

    def place(metres: float, made: float) -> XY:
        across = metres / (1.03 * farthest)
        return LEFT_PX + across * (RIGHT_PX - LEFT_PX), BOTTOM_PX + made * (TOP_PX - BOTTOM_PX)

    _draw_axes(scene, 1.03 * farthest, place)
    _draw_circles(scene, units, place)
    along = curve.distance_m
    upper = [place(d, p) for d, p in zip(along, curve.high, strict=True)]
    lower = [place(d, p) for d, p in zip(along, curve.low, strict=True)]
    scene.polygon([*upper, *reversed(lower)], Paint("none", "accent", fill_opacity=0.22))
    middle = [place(d, p) for d, p in zip(along, curve.made, strict=True)]
    scene.line(middle, Paint("ink", "none", 2.2))
    _draw_rates(scene, rates, place)
    key = [("line", "line: the chance; shaded: where it lies 9 times in 10")]
    key += [("ring", "made / tried, with a 90 % interval")] if rates else []
    scene.key(LEFT_PX, 40.0, key_rows(key, RIGHT_PX - LEFT_PX))
    return scene.render()


def _draw_axes(scene: Scene, last_m: float, place: Place) -> None:
    """Draw out of 100 at left, metres below and feet above."""
    for tenth in range(0, 11, 2):
        y = place(0.0, tenth / 10)[1]
        paint = Paint("ink") if tenth == 0 else Paint("faint", "none", 0.6)
        scene.line(((LEFT_PX - 4, y), (RIGHT_PX, y)), paint)
        scene.text(LEFT_PX - 8, y - 4, str(10 * tenth), size_px=11, anchor="end", halo=False)
    for metres in range(0, int(last_m) + 1, 2 if last_m < 30 else 5):
        x = place(metres, 0.0)[0]
        scene.line(((x, BOTTOM_PX), (x, BOTTOM_PX - 4)), Paint())
        scene.text(x, BOTTOM_PX - 17, str(metres), size_px=11, anchor="middle", halo=False)
    scene.line(((LEFT_PX, TOP_PX), (RIGHT_PX, TOP_PX)), Paint("ink", "none", 0.8))
    for feet in range(0, int(last_m / METRES_PER_FOOT) + 1, 10 if last_m < 30 else 20):
        x = place(feet * METRES_PER_FOOT, 0.0)[0]
        scene.line(((x, TOP_PX), (x, TOP_PX + 5)), Paint())
        scene.text(x, TOP_PX + 9, str(feet), size_px=11, anchor="middle", halo=False)
    middle = 0.5 * (LEFT_PX + RIGHT_PX)
    scene.text(middle, 46, "distance to the basket, m", size_px=11, anchor="middle", halo=False)
    scene.text(4, HEIGHT_PX - 14, "made of 100", size_px=11, halo=False)
    scene.text(RIGHT_PX, HEIGHT_PX - 14, "feet", size_px=11, anchor="end", halo=False)


def _draw_circles(scene: Scene, units: Units, place: Place) -> None:
    for radius_m in CIRCLES_M:
        x = place(radius_m, 0.0)[0]
        scene.line(((x, BOTTOM_PX), (x, TOP_PX)), Paint("quiet", "none", 1.0, (3.0, 3.0)))
        said = f"circle of {distance(radius_m, units)}"
        wide = text_width_px(said, 12)
        at = x + 6 if x + 6 + wide <= RIGHT_PX else x - 6 - wide
        scene.text(at, TOP_PX - 16, said, size_px=12)


def _draw_rates(scene: Scene, rates: Sequence[MadeRate], place: Place) -> None:
    for rate in rates:
        x, low = place(rate.distance_m, rate.low)
        _, high = place(rate.distance_m, rate.high)
        scene.line(((x, low), (x, high)), Paint("accent", "none", 1.4))
        middle = place(rate.distance_m, rate.made / rate.tried)
        scene.circle(*middle, 4.5, Paint("accent", "paper", 1.6))
    taken: list[tuple[float, float]] = []
    for rate in rates if len(rates) <= MOST_COUNTS else ():
        x, y = place(rate.distance_m, rate.made / rate.tried)
        said = f"{rate.made}/{rate.tried}"
        wide = text_width_px(said, 11)
        while any(abs(x - a) < wide and abs(y - b) < 13 for a, b in taken):
            y += 13
        taken.append((x, y))
        at = x + 8 if x + 8 + wide <= WIDTH_PX else x - 8 - wide
        scene.text(at, y + 4, said, size_px=11)


def putting_words(curve: MakeCurve, rates: Sequence[MadeRate] = (), units: Units = "m") -> str:
    """Say the picture: the curve at some distances and at the circles, and every rate."""
    at = [
        f"{distance(d, units)}: {chance(p)} (between {number(100 * low)} and {number(100 * high)})"
        for d, p, low, high in zip(curve.distance_m, curve.made, curve.low, curve.high, strict=True)
        if d in (2.0, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0, 15.0, 20.0)
    ]
    said = f"Putts made by distance, with where the chance lies 9 times in 10. {'; '.join(at)}."
    if rates:
        counts = [f"{r.made} of {r.tried} from {_near(r.distance_m, units)}" for r in rates]
        said += f" Your own putts: {'; '.join(counts)}."
    return said


def _near(length_m: float, units: Units) -> str:
    """Say a putting distance: a tenth of a metre matters, a tenth of a foot does not."""
    if units == "ft":
        return distance(length_m, units)
    return f"{number(length_m, 0 if float(length_m).is_integer() else 1)} m"
