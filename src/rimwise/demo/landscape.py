"""The invented coastal heath of the demonstration: where everything lies, in metres.

x runs east and y north from the car park corner. Nothing here is copied from a place; the
origin of the map lies in the open Atlantic, far from any land.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

__all__ = [
    "COPSES",
    "LANE",
    "MARKS",
    "ORIGIN_LAT_DEG",
    "ORIGIN_LON_DEG",
    "PLANNED_HOLES",
    "POND",
    "WOOD_CLEARING",
    "WOOD_OUTLINE",
    "PlannedHole",
    "height_m",
    "ragged",
    "ribbon",
    "smooth",
]

Path = tuple[tuple[float, float], ...]

ORIGIN_LAT_DEG, ORIGIN_LON_DEG = 45.0, -35.0


@dataclass(frozen=True, slots=True)
class PlannedHole:
    """A hole as laid out: tee, basket (metres) and par."""

    tee: tuple[float, float]
    basket: tuple[float, float]
    par: int = 3


#: A walk of eighteen holes that ends where it began: along the lane, around the pond, through
#: the pines, over the rise and home.
PLANNED_HOLES: tuple[PlannedHole, ...] = (
    PlannedHole((76.0, 54.0), (164.5, 63.0)),
    PlannedHole((189.0, 47.0), (298.0, 33.0)),
    PlannedHole((323.0, 46.0), (388.0, 96.0)),
    PlannedHole((411.0, 84.0), (519.0, 139.0)),
    PlannedHole((546.0, 163.0), (538.5, 243.0)),
    PlannedHole((513.0, 276.0), (407.0, 262.0)),
    PlannedHole((386.0, 287.0), (404.0, 461.0), par=4),
    PlannedHole((369.0, 465.0), (292.0, 431.5)),
    PlannedHole((276.0, 418.0), (231.0, 361.0)),
    PlannedHole((205.0, 382.5), (107.0, 431.0)),
    PlannedHole((84.0, 414.0), (47.0, 337.0)),
    PlannedHole((57.0, 308.0), (251.0, 281.0), par=4),
    PlannedHole((273.0, 297.0), (343.0, 258.0)),
    PlannedHole((352.0, 235.0), (383.0, 181.0)),
    PlannedHole((370.0, 155.0), (269.0, 176.0)),
    PlannedHole((247.0, 163.0), (194.0, 109.0)),
    PlannedHole((171.0, 126.0), (70.0, 182.0)),
    PlannedHole((50.0, 166.0), (49.0, 26.0), par=4),
)

#: Corners of the tidal pond's shore, rounded by :func:`smooth`.
POND: Path = (
    (403.0, 190.0), (409.0, 224.0), (431.0, 239.0), (437.0, 258.0), (448.0, 277.0),
    (468.0, 279.0), (483.0, 264.0), (491.0, 249.0), (514.0, 240.0), (525.0, 211.0),
    (518.0, 179.0), (496.0, 160.0), (471.0, 136.0), (441.0, 139.0), (419.0, 157.0),
)  # fmt: skip

#: Corners of the pine wood's edge, made uneven by :func:`ragged`.
WOOD_OUTLINE: Path = (
    (371.0, 331.0), (383.0, 370.0), (377.0, 411.0), (387.0, 444.0), (391.0, 481.0),
    (364.0, 501.0), (319.0, 489.0), (270.0, 479.0), (226.0, 463.0), (190.0, 441.0),
    (177.0, 416.0), (195.0, 404.0), (206.0, 385.0), (192.0, 361.0), (171.0, 344.0),
    (178.0, 318.0), (214.0, 306.0), (259.0, 313.0), (301.0, 323.0), (339.0, 316.0),
)  # fmt: skip

#: The middle of the clearing that holes 8 and 9 play along, and its half width there.
CLEARING_MIDDLE: Path = (
    (376.0, 468.5), (331.0, 450.0), (293.0, 430.5), (271.0, 412.0), (246.0, 381.0), (227.0, 351.0),
)  # fmt: skip
CLEARING_HALF_WIDTH_M = (6.0, 10.0, 13.0, 13.0, 10.0, 8.0)

#: The middle of the lane along the west and south, out of bounds.
LANE_MIDDLE: Path = (
    (-4.0, 480.0), (6.0, 420.0), (18.0, 350.0), (23.0, 280.0), (21.0, 210.0), (25.0, 140.0),
    (22.0, 75.0), (27.0, 32.0), (54.0, 7.0), (120.0, 6.0), (200.0, 14.0), (290.0, 10.0),
    (365.0, 16.0),
)  # fmt: skip
LANE_HALF_WIDTH_M = 2.5

#: Small groups of birches: middle and half widths.
COPSES: tuple[Path, ...] = tuple(
    tuple(
        (east + a_m * math.cos(math.tau * k / 9), north + b_m * math.sin(math.tau * k / 9))
        for k in range(9)
    )
    for east, north, a_m, b_m in ((199.0, 152.0, 15.0, 11.0), (121.0, 94.0, 17.0, 9.0),
                                  (345.0, 98.0, 13.0, 16.0))
)  # fmt: skip

#: What the map marks besides: kind, hole, place.
MARKS: tuple[tuple[str, str, tuple[float, float]], ...] = (
    ("drop_zone", "6", (500.0, 283.0)),
    ("mando", "12", (166.0, 300.0)),
)


def height_m(x_m: float, y_m: float) -> float:
    """Height of the ground above the sea: a rise in the west, dunes, a hollow at the pond."""

    def mound(east: float, north: float, across_m: float, along_m: float) -> float:
        return math.exp(-(((x_m - east) / across_m) ** 2) - ((y_m - north) / along_m) ** 2)

    return (
        4.0
        + 8.0 * mound(160.0, 270.0, 170.0, 120.0)
        + 6.5 * mound(330.0, 470.0, 110.0, 100.0)
        + 2.5 * mound(280.0, 30.0, 140.0, 40.0)
        - 2.5 * mound(460.0, 210.0, 90.0, 90.0)
    )


def smooth(corners: Path, per_side: int = 5) -> Path:
    """Round a closed outline: a Catmull-Rom curve through its corners."""
    count = len(corners)
    points = []
    for i in range(count):
        a, b, c, d = (corners[(i + k) % count] for k in (-1, 0, 1, 2))
        for step in range(per_side):
            t = step / per_side
            points.append(tuple(_catmull_rom(*axis, t) for axis in zip(a, b, c, d, strict=True)))
    return tuple((x, y) for x, y in points)


def _catmull_rom(a: float, b: float, c: float, d: float, t: float) -> float:
    return b + 0.5 * t * (
        c - a + t * (2.0 * a - 5.0 * b + 4.0 * c - d + t * (3.0 * (b - c) + d - a))
    )


def ragged(corners: Path, depth_m: float, per_side: int = 4) -> Path:
    """Round an outline, then push its points in and out as tree crowns do."""
    round_line = smooth(corners, per_side)
    count = len(round_line)
    points = []
    for i, (x, y) in enumerate(round_line):
        (x0, y0), (x1, y1) = round_line[i - 1], round_line[(i + 1) % count]
        length = math.hypot(x1 - x0, y1 - y0)
        push_m = depth_m * (0.6 * math.sin(2.4 * i) + 0.4 * math.sin(1.1 * i + 1.0))
        points.append((x + push_m * (y1 - y0) / length, y - push_m * (x1 - x0) / length))
    return tuple(points)


def ribbon(middle: Path, half_width_m: tuple[float, ...]) -> Path:
    """Outline of a strip about an open line, with a half width at each of its points."""
    left, right = [], []
    for i, (x, y) in enumerate(middle):
        (x0, y0), (x1, y1) = middle[max(i - 1, 0)], middle[min(i + 1, len(middle) - 1)]
        length = math.hypot(x1 - x0, y1 - y0)
        dx_m = -half_width_m[i] * (y1 - y0) / length
        dy_m = half_width_m[i] * (x1 - x0) / length
        left.append((x + dx_m, y + dy_m))
        right.append((x - dx_m, y - dy_m))
    return (*left, *reversed(right))


def _rounded_open(middle: Path, per_side: int = 4) -> Path:
    """Round an open line by the same curve, its ends repeated."""
    points: list[tuple[float, float]] = []
    for i in range(len(middle) - 1):
        a, b = middle[max(i - 1, 0)], middle[i]
        c, d = middle[i + 1], middle[min(i + 2, len(middle) - 1)]
        for step in range(per_side):
            t = step / per_side
            points.append(
                (_catmull_rom(a[0], b[0], c[0], d[0], t), _catmull_rom(a[1], b[1], c[1], d[1], t))
            )
    return (*points, middle[-1])


_LANE_LINE = _rounded_open(LANE_MIDDLE)

#: The lane as a strip.
LANE: Path = ribbon(_LANE_LINE, (LANE_HALF_WIDTH_M,) * len(_LANE_LINE))

#: The clearing's outline.
WOOD_CLEARING: Path = ribbon(CLEARING_MIDDLE, CLEARING_HALF_WIDTH_M)
