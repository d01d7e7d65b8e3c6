"""Compiled: which effort and heading bring a throw to a target, in wind and over sloping ground."""

from __future__ import annotations

import math

from rimwise.flight._jit import compiled, inlined

__all__ = [
    "BENDS_M", "MOST_DOWN_M", "MOST_UP_M", "bend_at", "effort_for", "mean_at", "reach_at",
    "resolve",
]  # fmt: skip

#: Where the ground falls away a disc comes down ever more steeply: after this many metres it
#: has gone half as far as straight on. Fitted to flights from 8 m down to 3 m up.
BENDS_M = 10.0
MOST_UP_M, MOST_DOWN_M = 4.0, 40.0
#: Nobody aims farther aside of where the throw shall end.
_WIDEST_RAD = math.radians(50.0)
_CLOSE_RAD = 1e-3


@compiled
def direction_weights(angle_rad, weights):  # type: ignore[no-untyped-def]
    """Fill weights of evenly spaced directions for a trigonometric interpolation.

    Dirichlet's kernel, as in ``_score``: exact for harmonics below half their number.
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


@inlined
def onward_m(fall_m):  # type: ignore[no-untyped-def]
    """Metres of straight descent that a fall of the ground is worth."""
    fall = min(max(fall_m, -MOST_UP_M), MOST_DOWN_M)
    return fall / (1.0 + fall / BENDS_M)


@compiled
def _means(middle, weights, fall_m, scale):  # type: ignore[no-untyped-def]
    """Fill the mean rest of every effort, for one wind and a fall to where it is meant for."""
    directions, efforts, _ = middle.shape
    onward = onward_m(fall_m)
    for e in range(efforts):
        x = y = 0.0
        for k in range(directions):
            x += weights[k] * (middle[k, e, 0] + onward * middle[k, e, 2])
            y += weights[k] * (middle[k, e, 1] + onward * middle[k, e, 3])
        scale[e, 0], scale[e, 1] = x, y


@inlined
def bend_at(scale, at, c):  # type: ignore[no-untyped-def]
    """Return what a parabola through the means adds to a straight line between two efforts."""
    last = scale.shape[0] - 1
    k = min(int(at), last - 1)
    share = at - k
    second = 0.0
    below, above = k > 0, k + 2 <= last
    if below:
        second += scale[k + 1, c] - 2.0 * scale[k, c] + scale[k - 1, c]
    if above:
        second += scale[k + 2, c] - 2.0 * scale[k + 1, c] + scale[k, c]
    if below and above:
        second *= 0.5
    return 0.5 * share * (share - 1.0) * second


@inlined
def mean_at(scale, at, c):  # type: ignore[no-untyped-def]
    k = min(int(at), scale.shape[0] - 2)
    return scale[k, c] + (at - k) * (scale[k + 1, c] - scale[k, c]) + bend_at(scale, at, c)


@inlined
def reach_at(scale, at):  # type: ignore[no-untyped-def]
    x, y = mean_at(scale, at, 0), mean_at(scale, at, 1)
    return math.sqrt(x * x + y * y)


@compiled
def effort_for(scale, reach_m, most):  # type: ignore[no-untyped-def]
    """Return the effort, counted in knots, whose mean goes ``reach_m``.

    Where even the softest goes too far it is the softest, where the hardest allowed falls
    short the hardest.
    """
    near, low = reach_at(scale, 0.0), 0.0
    if reach_m <= near:
        return 0.0
    while low < most:
        high = min(math.floor(low) + 1.0, most)
        far = reach_at(scale, high)
        if reach_m <= far and far > near:
            for _ in range(4):  # false position on a nearly straight line
                at = low + (high - low) * (reach_m - near) / (far - near)
                there = reach_at(scale, at)
                if abs(there - reach_m) < 1e-3:
                    return at
                if there < reach_m:
                    low, near = at, there
                else:
                    high, far = at, there
            return low + (high - low) * (reach_m - near) / max(far - near, 1e-9)
        low, near = high, far
    return most


@compiled
def resolve(middle, wind_rad, tx, ty, fall_m, most, weights, scale):  # type: ignore[no-untyped-def]
    """Find effort and heading that bring the mean to a target (tx, ty) from the lie.

    In wind a heading does not merely turn a cloud: turning the throw changes where the wind
    comes from, so the heading is found by repetition. Leaves the wind's weights and the means.
    """
    reach, toward = math.hypot(tx, ty), math.atan2(ty, tx)
    turn, at = toward, 0.0
    for _ in range(6):
        direction_weights(wind_rad + turn, weights)
        _means(middle, weights, fall_m, scale)
        at = effort_for(scale, reach, most)
        aside = math.atan2(mean_at(scale, at, 1), mean_at(scale, at, 0))
        following = toward - min(max(aside, -_WIDEST_RAD), _WIDEST_RAD)
        change = following - turn
        turn = following
        if abs(change) < _CLOSE_RAD:
            break
    return at, turn
