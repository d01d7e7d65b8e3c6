"""Compiled: what the ground does to a throw, and what a lie is worth.

Everything is in the hole's own frame (x to the basket, y to the left, metres).

A landing's ``code`` says where it ended: bits 0 and 1 the kind of the next lie (0 free, 1 among
trees, 2 without a run-up, 3 under a low ceiling), bits 2 to 4 what the disc lies on (0 nothing it
may be lost on, 1 rough, 2 fairway, 3 wood, 4 thick rough), bits 5 and 6 what costs a penalty
(1 water, 2 out of bounds, 3 a mandatory passed on the wrong side: with 1 for what it lies on, the
throw is made again, else from the drop zone).
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from rimwise.flight._jit import compiled, inlined

__all__ = [
    "PER_M", "PRICES", "PUTT_STEP_M", "Field", "Terrain", "hazard_in", "height_at", "heights",
    "kind_in", "landing_cost", "outcome", "plain_code", "settle", "throw_value", "value_at",
    "worth",
]  # fmt: skip

#: Columns of a disc's prices: strokes of a penalty, strokes that the disc is worth, chances to
#: lose it in water, out of bounds, in the rough, on the fairway, among trees, in thick rough,
#: strokes of a mandatory passed on the wrong side.
PRICES = 9
#: The putts' worth is tabulated at this spacing; straight lines between err by less than 1e-4.
PUTT_STEP_M = 0.05
_STEPS_PER_M = 1.0 / PUTT_STEP_M
#: Beyond the lattice's edge a metre costs so much.
PER_M = 1.0 / 70.0
# As in rimwise.course.geometry and rimwise.decide.lattice; a test holds them together.
WATER, OUT, WOOD, FAIRWAY, THICK, NO_RUN_UP, LOW_CEILING = 1, 2, 4, 8, 16, 32, 64


class Terrain(NamedTuple):
    """:class:`rimwise.course.raster.HoleGround`, and the step through trees."""

    bits: NDArray[np.uint8]
    hits_per_m: NDArray[np.float32]
    canopy_m: NDArray[np.float32]
    height_m: NDArray[np.float32]
    clear_m: NDArray[np.float32]
    marks: NDArray[np.float64]
    zones: NDArray[np.float64]
    corner_m: NDArray[np.float64]
    cell_m: float
    per_m: float
    step_m: float
    wooded: bool
    guarded: bool
    sloping: bool
    marked: bool


class Field(NamedTuple):
    """Strokes-to-finish: throws on a lattice (kind, row, column), putts by distance."""

    throw: NDArray[np.float64]
    putt: NDArray[np.float64]
    corner_m: NDArray[np.float64]
    cell_m: float
    per_m: float
    basket_m: float


@inlined
def _bits(bits, corner_m, per_m, x, y):  # type: ignore[no-untyped-def]
    i = math.floor((y - corner_m[1]) * per_m)
    j = math.floor((x - corner_m[0]) * per_m)
    if i < 0 or j < 0 or i >= bits.shape[0] or j >= bits.shape[1]:
        return 0
    return int(bits[i, j])


@inlined
def _kind(bits):  # type: ignore[no-untyped-def]
    """Return the kind of a lie on this ground; both limits together are those among trees."""
    if bits & WOOD:
        return 1
    return (2 if bits & NO_RUN_UP else 0) ^ (3 if bits & LOW_CEILING else 0)


@inlined
def _lies_on(bits):  # type: ignore[no-untyped-def]
    if bits & WOOD:
        return 3
    if bits & FAIRWAY:
        return 2
    return 4 if bits & THICK else 1


@inlined
def kind_in(code):  # type: ignore[no-untyped-def]
    """Return the kind of the next lie."""
    return code & 3


@inlined
def hazard_in(code):  # type: ignore[no-untyped-def]
    """Return what cost a penalty, 0 where nothing did."""
    return code >> 5


@inlined
def _height(height_m, corner_m, per_m, x, y):  # type: ignore[no-untyped-def]
    rows, columns = height_m.shape
    v = min(max((y - corner_m[1]) * per_m - 0.5, 0.0), rows - 1.000001)
    u = min(max((x - corner_m[0]) * per_m - 0.5, 0.0), columns - 1.000001)
    i, j = int(v), int(u)
    v, u = v - i, u - j
    low = height_m[i, j] + u * (height_m[i, j + 1] - height_m[i, j])
    high = height_m[i + 1, j] + u * (height_m[i + 1, j + 1] - height_m[i + 1, j])
    return low + v * (high - low)


@inlined
def height_at(terrain, x, y):  # type: ignore[no-untyped-def]
    """Return the height of the ground at a point."""
    if not terrain.sloping:
        return 0.0
    return _height(terrain.height_m, terrain.corner_m, terrain.per_m, x, y)


@compiled
def _stopped(  # type: ignore[no-untyped-def]
    clear_m, hits_per_m, canopy_m, height_m, corner_m, per_m, step_m, sloping, line, points, nerve
):
    """Return the segment and the share of it at which a disc strikes a stem; −1 when none."""
    met = 0.0
    rows, columns = clear_m.shape
    for p in range(points - 1):
        x0, y0, z0 = line[p, 0], line[p, 1], line[p, 2]
        dx, dy, dz = line[p + 1, 0] - x0, line[p + 1, 1] - y0, line[p + 1, 2] - z0
        length = math.sqrt(dx * dx + dy * dy)
        done = 0.0
        while done < length:
            share = done / length
            i = math.floor((y0 + share * dy - corner_m[1]) * per_m)
            j = math.floor((x0 + share * dx - corner_m[0]) * per_m)
            inside = 0 <= i < rows and 0 <= j < columns
            clear = float(clear_m[i, j]) if inside else step_m
            if clear >= step_m:
                done += clear
                continue
            step = min(step_m, length - done)
            share = (done + 0.5 * step) / length
            x, y = x0 + share * dx, y0 + share * dy
            i = math.floor((y - corner_m[1]) * per_m)
            j = math.floor((x - corner_m[0]) * per_m)
            if 0 <= i < rows and 0 <= j < columns and hits_per_m[i, j] > 0.0:
                above = z0 + share * dz
                if sloping:
                    above -= _height(height_m, corner_m, per_m, x, y)
                hits = hits_per_m[i, j] * step
                if above < canopy_m[i, j]:
                    if met + hits > nerve:
                        return p, (done + step * (nerve - met) / hits) / length
                    met += hits
            done += step
    return -1, 0.0


@compiled
def _last_in(bits, corner_m, per_m, line, last, x, y):  # type: ignore[no-untyped-def]
    """Return where a flight that ends at (x, y) after point ``last`` was last in bounds."""
    ax, ay = x, y
    p = last
    while p >= 0:
        bx, by = line[p, 0], line[p, 1]
        length = math.sqrt((bx - ax) * (bx - ax) + (by - ay) * (by - ay))
        steps = int(length * per_m) + 1
        for n in range(1, steps + 1):
            sx, sy = ax + (bx - ax) * n / steps, ay + (by - ay) * n / steps
            if not _bits(bits, corner_m, per_m, sx, sy) & (WATER | OUT):
                out = (n - 1.0) / steps
                back = float(n) / steps
                for _ in range(5):
                    middle = 0.5 * (out + back)
                    mx, my = ax + (bx - ax) * middle, ay + (by - ay) * middle
                    if _bits(bits, corner_m, per_m, mx, my) & (WATER | OUT):
                        out = middle
                    else:
                        back = middle
                return ax + (bx - ax) * back, ay + (by - ay) * back
        ax, ay = bx, by
        p -= 1
    return line[0, 0], line[0, 1]


@compiled
def _missed(marks, line, last, x, y):  # type: ignore[no-untyped-def]
    """Say whether a flight, from point ``last`` on straight to (x, y), passes a mandatory wrong.

    The line that must not be crossed runs from the mark straight aside, away from the right side.
    """
    for m in range(marks.shape[0]):
        mx, my, side = marks[m, 0], marks[m, 1], marks[m, 2]
        for p in range(last + 1):
            ax, ay = line[p, 0], line[p, 1]
            bx, by = (line[p + 1, 0], line[p + 1, 1]) if p < last else (x, y)
            if ax < mx <= bx and side * (ay + (mx - ax) / (bx - ax) * (by - ay) - my) < 0.0:
                return True
    return False


@inlined
def _relieved(terrain, line, last, x, y, hazard):  # type: ignore[no-untyped-def]
    """Return where play goes on after a penalty, and its code."""
    again = 0
    if terrain.zones[hazard - 1, 2] > 0.0:
        x, y = terrain.zones[hazard - 1, 0], terrain.zones[hazard - 1, 1]
    elif hazard == 3:
        x, y, again = line[0, 0], line[0, 1], 1
    else:
        x, y = _last_in(terrain.bits, terrain.corner_m, terrain.per_m, line, last, x, y)
    kind = _kind(_bits(terrain.bits, terrain.corner_m, terrain.per_m, x, y))
    return x, y, hazard << 5 | again << 2 | kind


@inlined
def outcome(terrain, line, points, x, y, nerve):  # type: ignore[no-untyped-def]
    """Return where the next throw is made from and the code of what happened.

    ``line`` holds the flight, its first point the lie and its last the first touch; (x, y) is
    where the disc would come to rest. A disc that touches down in water stays there.
    """
    all_bits, corner_m, per_m = terrain.bits, terrain.corner_m, terrain.per_m
    last = points - 1
    among = 0
    if terrain.wooded:
        p, share = _stopped(
            terrain.clear_m, terrain.hits_per_m, terrain.canopy_m, terrain.height_m, corner_m,
            per_m, terrain.step_m, terrain.sloping, line, points, nerve,
        )  # fmt: skip
        if p >= 0:
            x = line[p, 0] + share * (line[p + 1, 0] - line[p, 0])
            y = line[p, 1] + share * (line[p + 1, 1] - line[p, 1])
            last, among = p, 1
    if among == 0 and _bits(all_bits, corner_m, per_m, line[last, 0], line[last, 1]) & WATER:
        x, y, last = line[last, 0], line[last, 1], last - 1
    bits = _bits(all_bits, corner_m, per_m, x, y)
    hazard = 1 if bits & WATER else (2 if bits & OUT else 0)
    if terrain.marked and _missed(terrain.marks, line, last, x, y):
        hazard = 3
    if hazard:
        return _relieved(terrain, line, last, x, y, hazard)
    if among:
        bits |= WOOD
    return x, y, _lies_on(bits) << 2 | _kind(bits)


@inlined
def plain_code(terrain, tx, ty, x, y):  # type: ignore[no-untyped-def]
    """Return the code of a landing with nothing on the way; −1 for a penalty or among trees."""
    bits = _bits(terrain.bits, terrain.corner_m, terrain.per_m, x, y)
    touched = _bits(terrain.bits, terrain.corner_m, terrain.per_m, tx, ty)
    if (bits | (touched & WATER)) & (WATER | OUT | WOOD):
        return -1
    return _lies_on(bits) << 2 | _kind(bits)


@inlined
def landing_cost(price, code):  # type: ignore[no-untyped-def]
    """Return what a landing costs at once, and the chance that it is thrown again."""
    hazard = hazard_in(code)
    if hazard == 3:
        return 1.0 + price[8], 1.0 if code & 4 else 0.0
    if hazard:
        return 1.0 + price[0] + price[1] * price[1 + hazard], 0.0
    lost = price[3 + ((code >> 2) & 7)]
    return 1.0 + (price[0] + price[1]) * lost, lost


@inlined
def value_at(field, x, y, kind):  # type: ignore[no-untyped-def]
    """Strokes-to-finish of a lie: the putt, exact in distance, or the throw, bilinear."""
    throw = throw_value(field, x, y, kind)
    dx = x - field.basket_m
    at = math.sqrt(dx * dx + y * y) * _STEPS_PER_M  # hypot takes thrice the time
    k = int(at)
    if k + 1 < field.putt.shape[0]:
        return min(throw, field.putt[k] + (at - k) * (field.putt[k + 1] - field.putt[k]))
    return throw


@inlined
def throw_value(field, x, y, kind):  # type: ignore[no-untyped-def]
    _, rows, columns = field.throw.shape
    u, v = (x - field.corner_m[0]) * field.per_m, (y - field.corner_m[1]) * field.per_m
    cu, cv = min(max(u, 0.0), columns - 1.000001), min(max(v, 0.0), rows - 1.000001)
    i, j = int(cv), int(cu)
    fv, fu = cv - i, cu - j
    grid = field.throw[kind]
    low = grid[i, j] + fu * (grid[i, j + 1] - grid[i, j])
    high = grid[i + 1, j] + fu * (grid[i + 1, j + 1] - grid[i + 1, j])
    beyond = abs(u - cu) + abs(v - cv)
    return low + fv * (high - low) + beyond * field.cell_m * PER_M


@compiled
def heights(terrain: Terrain, points: NDArray[np.float64], out: NDArray[np.float64]) -> None:
    """Fill ``out`` (N,) with the height of the ground at points (N, 2)."""
    for i in range(points.shape[0]):
        out[i] = height_at(terrain, points[i, 0], points[i, 1])


@compiled
def worth(field: Field, lies: NDArray[np.float64], out: NDArray[np.float64]) -> None:
    """Fill ``out`` (N, 2) with the worth of putting or throwing, and of throwing, from lies."""
    for i in range(lies.shape[0]):
        out[i, 0] = value_at(field, lies[i, 0], lies[i, 1], int(lies[i, 2]))
        out[i, 1] = throw_value(field, lies[i, 0], lies[i, 1], int(lies[i, 2]))


@compiled
def settle(
    terrain: Terrain, lines: NDArray[np.float64], rest: NDArray[np.float64],
    nerve: NDArray[np.float64], where: NDArray[np.float64], codes: NDArray[np.uint8],
) -> None:  # fmt: skip
    """Say where exact flights end: ``lines`` (N, points, 3) to first touch, ``rest`` (N, 2)."""
    for i in range(lines.shape[0]):
        x, y, code = outcome(terrain, lines[i], lines.shape[1], rest[i, 0], rest[i, 1], nerve[i])
        where[i, 0], where[i, 1], codes[i] = x, y, code
