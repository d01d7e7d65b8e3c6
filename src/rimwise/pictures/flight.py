"""One or several throws from above and from the side, as a picture or for the terminal."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from rimwise.errors import InputError, check_range
from rimwise.flight.flights import Flight
from rimwise.pictures.svg import Paint, Scene, fitted, stack
from rimwise.records.words import Units, check_units, distance, in_units, short_side, sideways

__all__ = ["flight_svg", "flight_text"]

WIDTH_PX = 350.0
LEAST_WIDE = 0.6
LEAST_WINDOW_M = 12.0
ROW_PX = 17.0

#: Paint and dashes of the throws in turn; the dashes alone tell them apart in black and white.
_LINES = (
    ("one", ()),
    ("two", (9.0, 4.0)),
    ("three", (2.0, 5.0)),
    ("four", (12.0, 3.0, 2.0, 3.0)),
    ("five", (5.0, 5.0)),
)

Named = tuple[str, Flight]


def flight_svg(flights: Sequence[Named], units: Units = "m", *, prefix: str = "flight") -> str:
    """Draw throws from above and from the side at true scale, with their numbers in a key.

    Parameters
    ----------
    flights
        Pairs (name, flight), flown with their path; at least one.

    Raises
    ------
    InputError
        When there is no flight, or one has no path.
    """
    check_units(units)
    _check(flights)
    plan, side = _plan(flights, units, f"{prefix}-plan"), _side(flights, units, f"{prefix}-side")
    title = "Flight from above and from the side"
    told = ". ".join(f"{name}: {_told(flight, units)}" for name, flight in flights)
    desc = f"The tee is at the bottom, left is the thrower's left. {told}."
    return stack(prefix, title, desc, (plan, side))


def _check(flights: Sequence[Named]) -> None:
    if not flights:
        raise InputError("there is no flight to draw; give at least one.")
    for name, flight in flights:
        if len(flight.position_m) < 2:
            raise InputError(f"the flight of {name} has no path to draw; fly it with path=True.")


def _told(flight: Flight, units: Units) -> str:
    return (
        f"{distance(flight.range_m, units)}, {sideways(flight.left_m, units)}, "
        f"apex {distance(flight.apex_m, units)}, {flight.hang_s:.1f} s"
    )


def _style(n: int) -> Paint:
    stroke, dashes = _LINES[n % len(_LINES)]
    return Paint(stroke, "none", 2.4, dashes)


def _plan(flights: Sequence[Named], units: Units, prefix: str) -> Scene:
    """Draw from above; scene x is to the thrower's right, y down the aim line."""
    paths = [flight.position_m for _, flight in flights]
    rests = np.array([flight.rest_m[:2] for _, flight in flights])
    every = np.concatenate([*(p[:, :2] for p in paths), rests, np.zeros((1, 2))])
    low, high = every.min(axis=0), every.max(axis=0)
    margin = max(0.08 * float(high[0] - low[0]), 1.5)
    bottom, top = float(low[0]) - margin, float(high[0]) + margin
    wide = max(float(high[1] - low[1]) + 2 * margin, LEAST_WIDE * (top - bottom), LEAST_WINDOW_M)
    middle = -float(high[1] + low[1]) / 2
    px = wide / WIDTH_PX
    strip_px = 30.0 + ROW_PX * 2 * len(flights)
    scene = Scene(
        prefix,
        "From above",
        "",
        middle - wide / 2,
        middle + wide / 2,
        bottom - strip_px * px,
        top,
        WIDTH_PX,
    )
    scene.box(scene.left, scene.right, bottom, top, Paint())
    scene.line(((0.0, 0.0), (0.0, top - margin / 2)), Paint("faint", "none", 1.0, (2.0, 4.0)))
    for n, (path, rest) in enumerate(zip(paths, rests, strict=True)):
        style = _style(n)
        scene.line([(-y, x) for x, y in path[:, :2].tolist()], style)
        scene.circle(-float(rest[1]), float(rest[0]), 4 * px, Paint(style.stroke, "paper", 2.0))
        if len(flights) > 1:
            number_x = -float(rest[1]) + 7 * px
            scene.text(number_x, float(rest[0]) - 4 * px, str(n + 1), size_px=12, bold=True)
    scene.box(-4 * px, 4 * px, -10 * px, 0.0, Paint("ink", "paper", 1.6))
    scene.text(8 * px, -9 * px, "tee", bold=True)
    scene.scale_bar(scene.left + 8 * px, bottom - 22 * px, 95, units)
    _key(scene, flights, units, bottom - 46 * px)
    return scene


def _key(scene: Scene, flights: Sequence[Named], units: Units, top: float) -> None:
    px = scene.px
    for n, (name, flight) in enumerate(flights):
        y = top - 2 * ROW_PX * n * px
        x = scene.left + 8 * px
        scene.line(((x, y + 4 * px), (x + 26 * px, y + 4 * px)), _style(n))
        said = f"{n + 1}  {name}" if len(flights) > 1 else name
        said = fitted(said, 13, WIDTH_PX - 50)
        scene.text(x + 34 * px, y, said, bold=True, halo=False)
        scene.text(x + 34 * px, y - 15 * px, _told(flight, units), size_px=11.5, halo=False)


def _side(flights: Sequence[Named], units: Units, prefix: str) -> Scene:
    """Draw height against distance down the aim line, equal axes."""
    every = np.concatenate([flight.position_m[:, [0, 2]] for _, flight in flights])
    low = np.minimum(every.min(axis=0), 0.0)
    high = every.max(axis=0)
    margin = max(0.05 * float(high[0] - low[0]), 1.0)
    left, right = float(low[0]) - margin, float(high[0]) + margin
    px = (right - left) / WIDTH_PX
    scene = Scene(
        prefix,
        "From the side",
        "",
        left,
        right,
        float(low[1]) - 40 * px,
        float(high[1]) + 24 * px,
        WIDTH_PX,
    )
    scene.line(((left, 0.0), (right, 0.0)), Paint(width_px=1.4))
    for n, (_, flight) in enumerate(flights):
        scene.line(flight.position_m[:, [0, 2]].tolist(), _style(n))
    n, (_, highest) = max(enumerate(flights), key=lambda pair: pair[1][1].apex_m)
    x, z = highest.position_m[int(np.argmax(highest.position_m[:, 2])), [0, 2]].tolist()
    x = min(max(x, left + 40 * px), right - 40 * px)
    said = f"apex {distance(z, units)}"
    scene.text(x, z + 8 * px, said, bold=True, anchor="middle")
    scene.scale_bar(left + 8 * px, scene.bottom + 10 * px, 95, units)
    return scene


# -- for the terminal ---------------------------------------------------------------------

#: Dots of a braille cell by column and row (Unicode 15, block "Braille Patterns").
_BRAILLE = ((0x01, 0x02, 0x04, 0x40), (0x08, 0x10, 0x20, 0x80))
#: A character cell is about twice as high as wide.
_CELL_ASPECT = 2.0


def flight_text(
    flight: Flight, width: int = 72, units: Units = "m", *, braille: bool = True
) -> str:
    """Draw one throw from above in characters: the tee at the left, the throw to the right.

    The thrower's left is up. Both axes have one scale as far as characters allow.

    Parameters
    ----------
    width
        Columns to fill, 30 to 400.
    braille
        Eight dots to a character; otherwise one asterisk.

    Returns
    -------
    str
        Lines without a final line break.
    """
    check_units(units)
    check_range("width", width, 30, 400)
    _check([("this throw", flight)])
    margin = 9
    columns = int(width) - margin - 1
    path = flight.position_m
    high = max(0.0, float(path[:, 1].max()), float(flight.rest_m[1]))
    low = min(0.0, float(path[:, 1].min()), float(flight.rest_m[1]))
    start = min(0.0, float(path[:, 0].min()))
    end = max(float(path[:, 0].max()), float(flight.rest_m[0]), start + 1.0)
    cell_m = max((end - start) / (columns - 1), 1e-3)
    row_m = cell_m * _CELL_ASPECT
    above, below = math.ceil(high / row_m - 0.5), math.ceil(-low / row_m - 0.5)
    rows = max(above, 0) + max(below, 0) + 1
    grid = _Grid(columns, rows, start, (max(above, 0) + 0.5) * row_m, cell_m, braille=braille)
    grid.draw(path[:, :2])
    tee = grid.cell(0.0, 0.0)
    rest = grid.cell(float(flight.rest_m[0]), float(flight.rest_m[1]))
    lines = []
    for r in range(rows):
        left_m = (max(above, 0) - r) * row_m
        label = short_side(left_m, units) if r in (0, rows - 1) or left_m == 0.0 else ""
        cells = [
            "o" if (c, r) == tee else "X" if (c, r) == rest else grid.character(c, r)
            for c in range(columns)
        ]
        lines.append(f"{label:>{margin - 1}} │{''.join(cells)}".rstrip())
    lines += _axis(margin, columns, start, cell_m, units)
    lines.append(f"o tee, X at rest; up is the thrower's left. {_told(flight, units)}.")
    return "\n".join(lines)


class _Grid:
    """Character cells that hold dots."""

    def __init__(
        self, columns: int, rows: int, left: float, top: float, cell_m: float, *, braille: bool
    ) -> None:
        self._columns, self._rows = columns, rows
        self._left, self._top, self._cell_m = left, top, cell_m
        self._fine = (2, 4) if braille else (1, 1)
        self._bits = np.zeros((rows, columns), dtype=np.int64)

    def cell(self, x_m: float, y_m: float) -> tuple[int, int]:
        """Return column and row of a place."""
        column = int((x_m - self._left) / self._cell_m + 0.5)
        row = int((self._top - y_m) / (self._cell_m * _CELL_ASPECT))
        return min(max(column, 0), self._columns - 1), min(max(row, 0), self._rows - 1)

    def draw(self, points_m: np.ndarray[tuple[int, ...], np.dtype[np.float64]]) -> None:
        """Set the dots along a line of points, close enough together to leave no gap."""
        fine = np.linspace(0.0, len(points_m) - 1.0, 8 * self._columns)
        at = np.arange(len(points_m))
        for x, y in zip(
            np.interp(fine, at, points_m[:, 0]), np.interp(fine, at, points_m[:, 1]), strict=True
        ):
            across = (x - self._left) / self._cell_m + 0.5
            down = (self._top - y) / (self._cell_m * _CELL_ASPECT)
            column, row = self.cell(float(x), float(y))
            dot_x = min(int((across - column) * self._fine[0]), self._fine[0] - 1)
            dot_y = min(max(int((down - row) * self._fine[1]), 0), self._fine[1] - 1)
            self._bits[row, column] |= _BRAILLE[max(dot_x, 0)][dot_y]

    def character(self, column: int, row: int) -> str:
        """Return what stands in a cell."""
        bits = int(self._bits[row, column])
        if not bits:
            return " "
        return chr(0x2800 + bits) if self._fine == (2, 4) else "*"


def _axis(margin: int, columns: int, start: float, cell_m: float, units: Units) -> list[str]:
    """Return the ruler under the drawing: marks at round distances, and their numbers."""
    unit_m = 1.0 / in_units(1.0, units)
    steps = [base * 10.0**power for power in range(4) for base in (1.0, 2.0, 5.0)]
    step = next(s for s in steps if s * unit_m / cell_m >= 9)
    marks, numbers = ["─"] * columns, [" "] * (columns + 8)
    tick = 0
    while (column := round((tick * step * unit_m - start) / cell_m)) < columns:
        marks[column] = "┴"
        label = f"{tick * step:.0f}" + (f" {units}" if tick == 0 else "")
        numbers[column : column + len(label)] = label
        tick += 1
    indent = " " * margin
    return [f"{indent}└{''.join(marks)}", f"{indent} {''.join(numbers)}".rstrip()]
