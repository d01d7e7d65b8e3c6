"""Throws from above in characters, for the terminal."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from rimwise.errors import check_range
from rimwise.pictures.flight import Named, check_throws, told
from rimwise.records.words import Units, check_units, in_units, short_side

__all__ = ["flight_text"]

#: Dots of a braille cell by column and row (Unicode 15, block "Braille Patterns").
_BRAILLE = ((0x01, 0x02, 0x04, 0x40), (0x08, 0x10, 0x20, 0x80))
#: A character cell is about twice as high as wide.
_CELL_ASPECT = 2.0


MARGIN = 9


def flight_text(
    throws: Sequence[Named], width: int = 72, units: Units = "m", *, braille: bool = True
) -> str:
    """Draw throws from above in characters: the tee at the left, the throws to the right.

    The thrower's left is up. Both axes have one scale as far as characters allow.

    Parameters
    ----------
    throws
        Pairs (name, flight), flown with their path; at least one.
    width
        Columns to fill, 30 to 400.
    braille
        Eight dots to a character; otherwise one asterisk.

    Returns
    -------
    str
        Lines without a final line break.

    Raises
    ------
    InputError
        When there is no flight, one has no path, or the width is out of range.
    """
    check_units(units)
    check_range("width", width, 30, 400)
    check_throws(throws)
    flights = [flight for _, flight in throws]
    columns = int(width) - MARGIN - 1
    every = np.concatenate(
        [np.zeros((1, 2))]
        + [np.vstack([flight.position_m[:, :2], flight.rest_m[:2]]) for flight in flights]
    )
    (start, low), (end, high) = every.min(axis=0).tolist(), every.max(axis=0).tolist()
    cell_m = max((max(end, start + 1.0) - start) / (columns - 1), 1e-3)
    row_m = cell_m * _CELL_ASPECT
    above, below = (max(math.ceil(side / row_m - 0.5), 0) for side in (high, -low))
    rows = above + below + 1
    grid = _Grid(columns, rows, start, (above + 0.5) * row_m, cell_m, braille=braille)
    for flight in flights:
        grid.draw(flight.position_m[:, :2])
    signs = {grid.cell(0.0, 0.0): "o"}
    for n, flight in enumerate(flights, start=1):
        at = grid.cell(float(flight.rest_m[0]), float(flight.rest_m[1]))
        signs[at] = "X" if len(flights) == 1 else str(n % 10)
    lines = []
    for r in range(rows):
        left_m = (above - r) * row_m
        label = short_side(left_m, units) if r in (0, rows - 1) or left_m == 0.0 else ""
        cells = [signs.get((c, r), grid.character(c, r)) for c in range(columns)]
        lines.append(f"{label:>{MARGIN - 1}} │{''.join(cells)}".rstrip())
    lines += _axis(MARGIN, columns, start, cell_m, units)
    return "\n".join([*lines, _legend(throws, units)])


def _legend(throws: Sequence[Named], units: Units) -> str:
    """Explain the marks; the numbers of one throw fit in, those of several stand elsewhere."""
    if len(throws) == 1:
        return f"o tee, X at rest; up is the thrower's left. {told(throws[0][1], units)}."
    return "o tee, each throw's number where it rests; up is the thrower's left."


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
