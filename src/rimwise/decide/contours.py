"""Contours: lines of equal worth over a regular grid (marching squares, Lorensen & Cline 1987)."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

__all__ = ["contour_lines"]

Floats = NDArray[np.float64]
_Point = tuple[float, float]
#: An edge of the grid: row, column, and whether it runs along the row.
_Edge = tuple[int, int, bool]


def contour_lines(values: Floats, level: float) -> list[Floats]:
    """Return the lines on which a grid of values is at a level.

    Parameters
    ----------
    values
        (row, column), finite.

    Returns
    -------
    Lines (points, 2) of column and row, in steps of the grid; a closed line ends where it began.
    A saddle is cut by the mean of its corners.
    """
    above = values > level
    joints: dict[_Edge, list[_Edge]] = {}
    cells = np.argwhere(_mixed(above))
    for i, j in cells.tolist():
        for a, b in _segments(above, values, level, i, j):
            joints.setdefault(a, []).append(b)
            joints.setdefault(b, []).append(a)
    at = {edge: _crossing(values, level, edge) for edge in joints}
    return [np.array([at[edge] for edge in chain]) for chain in _chains(joints)]


def _mixed(above: NDArray[np.bool_]) -> NDArray[np.bool_]:
    corners = [above[:-1, :-1], above[:-1, 1:], above[1:, :-1], above[1:, 1:]]
    count = np.sum(corners, axis=0)
    return np.asarray((count > 0) & (count < 4))


def _segments(
    above: NDArray[np.bool_], values: Floats, level: float, i: int, j: int
) -> list[tuple[_Edge, _Edge]]:
    """Return the one or two pairs of edges that a line joins in a cell."""
    low, right = (i, j, True), (i, j + 1, False)
    high, left = (i + 1, j, True), (i, j, False)
    corners = (above[i, j], above[i, j + 1], above[i + 1, j + 1], above[i + 1, j])
    cut = [
        edge
        for edge, a, b in zip((low, right, high, left), corners, corners[1:] + corners[:1],
                              strict=True)
        if a != b
    ]  # fmt: skip
    if len(cut) == 2:
        return [(cut[0], cut[1])]
    middle = float(values[i : i + 2, j : j + 2].mean()) > level
    if middle == bool(corners[0]):
        return [(low, right), (high, left)]
    return [(left, low), (right, high)]


def _crossing(values: Floats, level: float, edge: _Edge) -> _Point:
    i, j, along = edge
    first = float(values[i, j])
    second = float(values[i, j + 1] if along else values[i + 1, j])
    share = (level - first) / (second - first)
    return (j + share, float(i)) if along else (float(j), i + share)


def _chains(joints: dict[_Edge, list[_Edge]]) -> list[list[_Edge]]:
    """Put edges in a row, beginning with the open lines."""
    left = {edge: list(others) for edge, others in joints.items()}
    starts = [edge for edge, others in joints.items() if len(others) == 1]
    found = []
    for start in [*starts, *joints]:
        chain = [start]
        while left[chain[-1]]:
            following = left[chain[-1]].pop()
            left[following].remove(chain[-1])
            chain.append(following)
        if len(chain) > 1:
            found.append(chain)
    return found
