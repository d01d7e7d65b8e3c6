"""The growth curve of docs/soak.md: seconds against years of records."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from rimwise.pictures.svg import Paint, Scene, text_width_px

__all__ = ["growth_svg"]

WIDTH_PX, HEIGHT_PX = 690.0, 460.0
LEFT_PX, RIGHT_PX, BOTTOM_PX, TOP_PX = 58.0, 452.0, 44.0, 440.0
#: Labels stand at least so far apart.
APART_PX = 15.0
DASHES = ((), (6.0, 3.0), (2.0, 3.0), (8.0, 3.0, 2.0, 3.0))

_TITLE = "Processor seconds against years of heavy use"


def growth_svg(found: Mapping[str, Mapping[float, float]]) -> str:
    """Draw seconds, on a scale of powers of ten, against years for each thing that was timed."""
    timed = {name: values for name, values in found.items() if len(values) > 1}
    years = sorted({year for values in timed.values() for year in values})
    seconds = [max(s, 0.001) for values in timed.values() for s in values.values()]
    low, high = math.floor(math.log10(min(seconds))), math.ceil(math.log10(max(seconds)))

    def place(year: float, s: float) -> tuple[float, float]:
        across = (year - years[0]) / (years[-1] - years[0])
        up = (math.log10(max(s, 0.001)) - low) / (high - low)
        return LEFT_PX + across * (RIGHT_PX - LEFT_PX), BOTTOM_PX + up * (TOP_PX - BOTTOM_PX)

    scene = Scene("growth", _TITLE, _words(timed), 0.0, WIDTH_PX, 0.0, HEIGHT_PX, WIDTH_PX)
    for power in range(low, high + 1):
        y = place(years[0], 10.0**power)[1]
        scene.line(((LEFT_PX, y), (RIGHT_PX, y)), Paint("faint", "none", 0.7))
        said = f"{10.0**power:g} s"
        scene.text(LEFT_PX - 6 - text_width_px(said, 12), y - 4, said, size_px=12, halo=False)
    for year in years:
        x = place(year, 1.0)[0]
        scene.line(((x, BOTTOM_PX), (x, BOTTOM_PX - 4)), Paint("ink"))
        scene.text(x, BOTTOM_PX - 18, f"{year:g}", size_px=12, anchor="middle", halo=False)
    scene.text(RIGHT_PX, BOTTOM_PX - 36, "years", size_px=12, anchor="end", halo=False)
    ends = {name: place(year := max(values), values[year]) for name, values in timed.items()}
    heights = _spread([ends[name][1] for name in timed])
    for number, (name, values) in enumerate(timed.items()):
        paint = Paint("ink", "none", 1.3, DASHES[number % len(DASHES)])
        points = [place(year, values[year]) for year in sorted(values)]
        scene.line(points, paint)
        scene.dots(points, 1.8, Paint("none", "ink"))
        scene.line((points[-1], (RIGHT_PX + 12, heights[number])), Paint("faint", "none", 0.7))
        scene.text(RIGHT_PX + 14, heights[number] - 4, name, size_px=12, halo=False)
    return scene.render()


def _spread(heights: Sequence[float]) -> list[float]:
    """Return heights for labels, from the lowest up, none on another, and none above the top."""
    order = sorted(range(len(heights)), key=lambda n: heights[n])
    found = [0.0] * len(heights)
    below = -math.inf
    for n in order:
        below = found[n] = max(heights[n], below + APART_PX)
    above = TOP_PX + APART_PX
    for n in reversed(order):
        above = found[n] = min(found[n], above - APART_PX)
    return found


def _words(timed: Mapping[str, Mapping[float, float]]) -> str:
    said = [
        f"{name}: {values[min(values)]:.2g} s at {min(values):g} years, "
        f"{values[max(values)]:.2g} s at {max(values):g}"
        for name, values in timed.items()
    ]
    return "; ".join(said) + "."
