"""The compiled inner loop: what throws cost, sample by sample.

A *row* is a lie on a day. Its frame has the lie at the origin and x toward the basket. For
every disc and every base line, clouds flown in eight wind directions are interpolated to the
row's own, moved for the slope, scaled to a target by effort, turned to an aim, and dropped
on the course. Everything is single-threaded per row, so results do not depend on threads.

Cloud channels: x and y of the first touch, x and y of the slide after it, and how far the disc
goes on in x and y for each metre that it comes down.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from rimwise.flight._jit import compiled

__all__ = ["CHANNELS", "OUT", "WATER", "WOOD", "price_flights", "price_row", "trace_row"]

CHANNELS = 6
WATER, OUT, WOOD = 1, 2, 4  # the bits of rimwise.course.geometry.BITS; a test holds them together
#: Where the ground falls away a disc comes down ever more steeply: after this many metres it
#: has gone half as far as straight on, and so in reverse where the ground rises. Fitted to
#: flights from 8 m down to 3 m up (seven to fifteen metres, by disc and line).
_BENDS_M = 10.0
_MOST_UP_M, _MOST_DOWN_M = 4.0, 40.0
#: Nobody aims farther aside than this; lines that need it are not offered.
_WIDEST_RAD = math.radians(50.0)
_NARROWEST = math.cos(_WIDEST_RAD)
_CLOSE_RAD = math.radians(2.0)
#: More than any throw costs. Not infinity: fast arithmetic may assume that there is none.
_DEAREST = 1e9


@compiled
def direction_weights(angle_rad, weights):  # type: ignore[no-untyped-def]
    """Fill weights of equally spaced directions for a trigonometric interpolation.

    Exact for every function whose harmonics stay below half the number of directions (an even
    number, or one); the weights sum to one. They are Dirichlet's kernel,
    ``sin(n x / 2) / (n tan(x / 2))`` at the distance ``x`` from each direction. With a single
    direction (calm air) the weight is one.
    """
    directions = weights.shape[0]
    if directions == 1:
        weights[0] = 1.0
        return
    top = math.sin(0.5 * directions * angle_rad) / directions
    for k in range(directions):
        slope = math.tan(0.5 * angle_rad - math.pi * k / directions)
        if abs(slope) < 1e-7:  # on a direction: it counts alone
            for j in range(directions):
                weights[j] = 0.0
            weights[k] = 1.0
            return
        weights[k] = top / slope if k % 2 == 0 else -top / slope


@compiled
def _meet_slope(cloud, s, slope):  # type: ignore[no-untyped-def]
    """Move one first touch along its descent to where it meets the sloping ground."""
    level_x = cloud[0, s]
    x = level_x
    for _ in range(6):
        fall = min(max(-slope * x, -_MOST_UP_M), _MOST_DOWN_M)
        x = max(level_x + cloud[4, s] * fall / (1.0 + fall / _BENDS_M), 0.3 * level_x)
    cloud[0, s] = x
    cloud[1, s] += cloud[5, s] * fall


@compiled
def _blend(points, weights, first, last, scale, slope, out):  # type: ignore[no-untyped-def]
    """Interpolate (direction, effort, channel, sample) to one wind angle; allow for the slope.

    Only the efforts ``first`` to ``last`` are filled, in ``out`` and in ``scale``.
    """
    directions, _, channels, samples = points.shape
    used = channels if slope != 0.0 else channels - 2  # level ground asks for no descent
    for e in range(first, last + 1):
        for c in range(used):
            for s in range(samples):
                out[e, c, s] = 0.0
            for k in range(directions):
                w = np.float32(weights[k])
                for s in range(samples):
                    out[e, c, s] += w * points[k, e, c, s]
        if slope != 0.0:
            for s in range(samples):
                _meet_slope(out[e], s, slope)
        mx = my = np.float32(0.0)
        for s in range(samples):
            mx += out[e, 0, s] + out[e, 2, s]
            my += out[e, 1, s] + out[e, 3, s]
        scale[e, 0] = mx / samples
        scale[e, 1] = my / samples


@compiled
def _efforts_needed(scale, row, targets):  # type: ignore[no-untyped-def]
    """Return the softest and the hardest effort that any target may ask for.

    ``scale`` holds the middles on level ground; a slope may shift the effort by one knot.
    """
    efforts = scale.shape[0]
    full_m = math.hypot(scale[-1, 0], scale[-1, 1])
    first, last = efforts - 1, 0
    for t in range(targets.shape[0]):
        knot, _, _, _ = _aim(scale, min(row[0] * targets[t, 0], full_m), 0.0)
        first, last = min(first, knot), max(last, knot + 1)
    if row[2] != 0.0:
        first, last = max(first - 1, 0), min(last + 1, efforts - 1)
    return first, last


@compiled
def _middle_scale(middles, weights, angle_rad, scale):  # type: ignore[no-untyped-def]
    """Fill the wind weights of an angle and, with them, the middle of every effort's cloud."""
    directions, efforts, _ = middles.shape
    direction_weights(angle_rad, weights)
    for e in range(efforts):
        x = y = 0.0
        for k in range(directions):
            x += weights[k] * middles[k, e, 0]
            y += weights[k] * middles[k, e, 1]
        scale[e, 0], scale[e, 1] = x, y


@compiled
def _settle(middles, weights, angle_rad, reach_m, scale):  # type: ignore[no-untyped-def]
    """Find the heading that a throw of ``reach_m`` needs, and the wind weights along it.

    In wind a heading does not merely turn a cloud: turning the throw changes where the wind
    comes from. The heading is found by repetition on the clouds' middles alone, which blend
    like the clouds themselves. Returns that heading.
    """
    heading = 0.0
    for _ in range(3):
        _middle_scale(middles, weights, angle_rad + heading, scale)
        full_m = math.hypot(scale[-1, 0], scale[-1, 1])
        _, _, sine, cosine = _aim(scale, min(reach_m, full_m), 0.0)
        following = math.atan2(sine, cosine)
        if abs(following - heading) < _CLOSE_RAD:
            return heading
        heading = min(max(following, -_WIDEST_RAD), _WIDEST_RAD)
    _middle_scale(middles, weights, angle_rad + heading, scale)
    return heading


@compiled
def _throw(cloud, knot, share, sine, cosine, paths):  # type: ignore[no-untyped-def]
    """Fill ``paths`` (4, sample) with touch and rest at one effort, turned to the aim."""
    share, sine, cosine = np.float32(share), np.float32(sine), np.float32(cosine)
    low, high = cloud[knot], cloud[knot + 1]
    for s in range(paths.shape[1]):
        tx = low[0, s] + share * (high[0, s] - low[0, s])
        ty = low[1, s] + share * (high[1, s] - low[1, s])
        rx = tx + low[2, s] + share * (high[2, s] - low[2, s])
        ry = ty + low[3, s] + share * (high[3, s] - low[3, s])
        paths[0, s] = tx * cosine - ty * sine
        paths[1, s] = tx * sine + ty * cosine
        paths[2, s] = rx * cosine - ry * sine
        paths[3, s] = rx * sine + ry * cosine


@compiled
def _mean_on_open_ground(paths, basket_m, value):  # type: ignore[no-untyped-def]
    """Mean cost where only the distance left matters."""
    last = value.shape[0] - 2
    total = 0.0
    for s in range(paths.shape[1]):
        x, y = basket_m - paths[2, s], paths[3, s]
        left_m = min(math.sqrt(x * x + y * y), float(last))
        i = int(left_m)
        total += value[i] + (left_m - i) * (value[i + 1] - value[i])
    return 1.0 + total / paths.shape[1]


@compiled
def _aim(scale, reach_m, heading):  # type: ignore[no-untyped-def]
    """Find the effort that brings the mean to ``reach_m`` and the turn that points it right.

    Returns the lower knot, the share of the upper knot, and the sine and cosine of the turn.
    Where even the softest effort goes too far, it is thrown at the softest effort.
    """
    efforts = scale.shape[0]
    last = math.hypot(scale[0, 0], scale[0, 1])
    knot, share = efforts - 2, 1.0
    if reach_m <= last:
        knot, share = 0, 0.0
    for e in range(efforts - 1 if reach_m > last else 0):
        following = math.hypot(scale[e + 1, 0], scale[e + 1, 1])
        if reach_m <= following and following > last:
            knot, share = e, (reach_m - last) / (following - last)
            break
        last = following
    mx = scale[knot, 0] + share * (scale[knot + 1, 0] - scale[knot, 0])
    my = scale[knot, 1] + share * (scale[knot + 1, 1] - scale[knot, 1])
    turn = heading - math.atan2(my, mx)
    return knot, share, math.sin(turn), math.cos(turn)


@compiled
def _at(value, distance_m):  # type: ignore[no-untyped-def]
    """Strokes-to-finish at a distance, linear on its one-metre grid."""
    last = value.shape[0] - 2
    i = min(int(distance_m), last)
    share = min(distance_m - i, 1.0)
    return value[i] + share * (value[i + 1] - value[i])


@compiled
def _class_at(frame, raster, x, y):  # type: ignore[no-untyped-def]
    """Say what the course is at a point of the row's frame; 0 off the raster."""
    east = frame[0] + frame[2] * x - frame[3] * y
    north = frame[1] + frame[3] * x + frame[2] * y
    i, j = math.floor(north), math.floor(east)
    if i < 0 or j < 0 or i >= raster.shape[0] or j >= raster.shape[1]:
        return 0
    return int(raster[i, j])


@compiled
def _polar(table, x, y):  # type: ignore[no-untyped-def]
    """Cell of a polar table with one-degree rays around the row's x axis and one-metre rings."""
    rays, rings = table.shape
    ray = math.floor(math.degrees(math.atan2(y, x)) + 0.5) + rays // 2
    ring = int(math.hypot(x, y) + 0.5)
    return min(max(ray, 0), rays - 1), min(ring, rings - 1)


@compiled
def _outcome(tx, ty, rx, ry, nerve, row, frame, raster, wood, relief, value, price):  # type: ignore[no-untyped-def]
    """Cost of one landing after the throw, and where the next lie is.

    ``nerve`` is the amount of stem-metres this sample survives; ``price`` holds penalty,
    loss in water, extra strokes in the wood, loss in the wood, and hits per metre of wood.
    """
    cost = 1.0
    trees = 0.0
    basket_m = row[0]
    if row[1] > 0.0:
        flown = True
        if row[1] > 1.0:  # trees stand somewhere on the way
            ray, ring = _polar(wood, tx, ty)
            if wood[ray, ring] * price[4] > nerve:
                low, high = 0, ring
                while low < high:
                    middle = (low + high) // 2
                    if wood[ray, middle] * price[4] > nerve:
                        high = middle
                    else:
                        low = middle + 1
                reach = math.hypot(tx, ty)
                stop = min(float(low), reach) / max(reach, 1e-6)
                rx, ry, flown = tx * stop, ty * stop, False
        kind = _class_at(frame, raster, rx, ry)
        if flown and _class_at(frame, raster, tx, ty) & WATER:
            kind, rx, ry = WATER, tx, ty
        if kind & (WATER | OUT):
            cost += price[0]
            if kind & WATER:
                cost += price[1]
            ray, ring = _polar(relief, rx, ry)
            back = relief[ray, ring] / max(math.hypot(rx, ry), 1e-6)
            back = min(back, 1.0)
            rx, ry = rx * back, ry * back
            kind = _class_at(frame, raster, rx, ry)
        if kind & WOOD or not flown:
            trees = 1.0
            cost += price[2] + price[3]
    left_m = math.hypot(basket_m - rx, ry)
    return cost + _at(value, left_m), rx, ry, trees


@compiled
def price_row(
    points: NDArray[np.float32],
    middles: NDArray[np.float64],
    angle_rad: float,
    row: NDArray[np.float64],
    frame: NDArray[np.float64],
    raster: NDArray[np.uint8],
    wood: NDArray[np.float32],
    relief: NDArray[np.float32],
    value: NDArray[np.float64],
    prices: NDArray[np.float64],
    nerve: NDArray[np.float64],
    targets: NDArray[np.float64],
    best: NDArray[np.float64],
) -> None:
    """Find each disc's cheapest line and target from one lie.

    Parameters
    ----------
    points
        (disc, base, direction, effort, channel, sample), metres.
    middles
        (disc, base, direction, effort, 2), the clouds' mean rest, metres.
    angle_rad
        Where the wind comes from, to the right of the direction of the basket.
    row
        (3,): distance to the basket in metres; 0 open, 1 water or out of bounds near, 2 trees
        too; slope of the ground toward the basket.
    frame
        (4,): lie's east and north on the raster, cosine and sine of the basket's direction
        from east.
    raster, wood, relief
        Classes at one metre; stem-metres and last playable ring on polar rays.
    value
        Strokes-to-finish at 0, 1, 2 … m.
    prices
        (disc, 5), see ``_outcome``.
    nerve
        (sample,) stem-metres survived.
    targets
        (target, 2): share of the distance to the basket, heading in radians.
    best
        (disc, 7), filled with cost, base, knot, share of the upper knot, heading in radians,
        reach of the mean in metres, heading for which the wind was blended.
    """
    discs, bases, directions, efforts, _, samples = points.shape
    cloud = np.empty((efforts, CHANNELS, samples), dtype=np.float32)
    paths = np.empty((4, samples), dtype=np.float32)
    scale = np.empty((efforts, 2))
    weights = np.empty(directions)
    for d in range(discs):
        best[d, 0] = _DEAREST
        for b in range(bases):
            flown = _settle(middles[d, b], weights, angle_rad, row[0], scale)
            first, last = _efforts_needed(scale, row, targets)
            _blend(points[d, b], weights, first, last, scale, row[2], cloud)
            full_m = math.hypot(scale[efforts - 1, 0], scale[efforts - 1, 1])
            for t in range(targets.shape[0]):
                reach_m = min(row[0] * targets[t, 0], full_m)
                knot, share, sine, cosine = _aim(scale, reach_m, targets[t, 1])
                if knot < first:
                    knot, share = first, 0.0
                elif knot >= last:
                    knot, share = last - 1, 1.0
                if cosine < _NARROWEST and b > 0:
                    continue
                _throw(cloud, knot, share, sine, cosine, paths)
                mean = _mean_on_open_ground(paths, row[0], value)
                if mean >= best[d, 0]:  # trouble on the way would only add to it
                    continue
                if row[1] > 0.0:
                    mean = 0.0
                    for s in range(samples):
                        cost, _, _, _ = _outcome(
                            paths[0, s], paths[1, s], paths[2, s], paths[3, s],
                            nerve[s], row, frame, raster, wood, relief, value, prices[d],
                        )  # fmt: skip
                        mean += cost
                    mean /= samples
                if mean < best[d, 0]:
                    best[d, 0], best[d, 1], best[d, 2], best[d, 3] = mean, b, knot, share
                    best[d, 4], best[d, 5] = math.atan2(sine, cosine), reach_m
                    best[d, 6] = flown


@compiled
def trace_row(
    points: NDArray[np.float32],
    angle_rad: float,
    row: NDArray[np.float64],
    frame: NDArray[np.float64],
    raster: NDArray[np.uint8],
    wood: NDArray[np.float32],
    relief: NDArray[np.float32],
    value: NDArray[np.float64],
    price: NDArray[np.float64],
    nerve: NDArray[np.float64],
    action: NDArray[np.float64],
    out: NDArray[np.float64],
) -> None:
    """Fill ``out`` (sample, 4) with cost, next lie (x, y) and in-trees of one chosen action.

    ``points`` are one disc's and base's (direction, effort, channel, sample); ``action`` is a
    line of ``price_row``'s ``best``.
    """
    directions, efforts, _, samples = points.shape
    weights = np.empty(directions)
    direction_weights(angle_rad + action[6], weights)
    cloud = np.empty((efforts, CHANNELS, samples), dtype=np.float32)
    paths = np.empty((4, samples), dtype=np.float32)
    scale = np.empty((efforts, 2))
    _blend(points, weights, int(action[2]), int(action[2]) + 1, scale, row[2], cloud)
    _throw(cloud, int(action[2]), action[3], math.sin(action[4]), math.cos(action[4]), paths)
    for s in range(samples):
        out[s, 0], out[s, 1], out[s, 2], out[s, 3] = _outcome(
            paths[0, s], paths[1, s], paths[2, s], paths[3, s],
            nerve[s], row, frame, raster, wood, relief, value, price,
        )  # fmt: skip


@compiled
def price_flights(
    touch: NDArray[np.float64],
    rest: NDArray[np.float64],
    row: NDArray[np.float64],
    frame: NDArray[np.float64],
    raster: NDArray[np.uint8],
    wood: NDArray[np.float32],
    relief: NDArray[np.float32],
    value: NDArray[np.float64],
    price: NDArray[np.float64],
    nerve: NDArray[np.float64],
    out: NDArray[np.float64],
) -> None:
    """Fill ``out`` (sample, 4) with cost, next lie and in-trees of flights already aimed.

    ``touch`` and ``rest`` (sample, 2) are in the row's frame.
    """
    for s in range(touch.shape[0]):
        out[s, 0], out[s, 1], out[s, 2], out[s, 3] = _outcome(
            touch[s, 0], touch[s, 1], rest[s, 0], rest[s, 1],
            nerve[s], row, frame, raster, wood, relief, value, price,
        )  # fmt: skip
