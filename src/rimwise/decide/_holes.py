"""Compiled loops of the hole solver: what throws from the lies of a hole cost.

Everything is in the hole's own frame (x to the basket, y to the left, metres). A cloud's
channels are x and y of the first touch, x and y of the slide after it, and how far the disc
goes on in x and y for each metre that it comes down, all along an aim line, flown in evenly
spaced wind directions (direction *k* of *n*: from 360·k/n degrees to the right of the aim line)
and at a few efforts. Each call works alone on its hole, so that threads change no result.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from rimwise.decide._aiming import (
    BENDS_M,
    MOST_DOWN_M,
    MOST_UP_M,
    bend_at,
    effort_for,
    mean_at,
    reach_at,
    resolve,
)
from rimwise.decide._terrain import (
    Field,
    Terrain,
    hazard_in,
    height_at,
    kind_in,
    landing_cost,
    outcome,
    plain_code,
    value_at,
)  # fmt: skip
from rimwise.flight._jit import compiled, inlined

__all__ = ["CHANNELS", "CURVE", "NEVER", "Rules", "Sky", "aim_at", "land", "reprice", "search"]

CHANNELS = 6
#: Points of a mean flight between release and first touch, evenly spaced in time.
CURVE = 7
#: More than any throw costs. Not infinity: fast arithmetic may assume that there is none.
NEVER = 1e9
#: The ground's slope is taken over this distance on either side.
_NEAR_M = 4.0
#: A first look at a target takes so many throws; one this much dearer is not looked at again.
_FIRST_LOOK, _DOUBT = 16, 0.1
#: Chosen actions are followed in blocks of so many throws.
_BLOCK = 64
#: So much dearer after the first look, trouble included, is plainly dearer.
_PLAINLY = 0.15
#: A line is refined only while it is so near to the best.
_WORTH_REFINING = 0.03
#: Steps of half the grid's spacing, then a quarter, around the best target of the grid.
_FINER = (0.5, 0.25)


class Rules(NamedTuple):
    """What each kind of lie allows: ``most`` effort in knots (kind,), and bases (kind, base)."""

    most: NDArray[np.float64]
    allowed: NDArray[np.bool_]


class Sky(NamedTuple):
    """The clouds of a day: ``points`` (pair, direction, effort, channel, sample), their
    ``middles`` (pair, direction, effort, 4: rest and onward), ``curves`` (pair, direction,
    effort, CURVE, 3: along and across as a complex share of the first touch, height), and
    ``pair`` (disc, base), negative where not flown.
    """  # noqa: D205

    points: NDArray[np.float32]
    middles: NDArray[np.float64]
    curves: NDArray[np.float64]
    pair: NDArray[np.int64]
    nerve: NDArray[np.float64]


class Flown(NamedTuple):
    """Room for one throw's samples and what they pass through."""

    weights: NDArray[np.float64]
    scale: NDArray[np.float64]
    cloud: NDArray[np.float32]
    out: NDArray[np.float32]
    curve: NDArray[np.float64]
    line: NDArray[np.float64]
    where: NDArray[np.float64]
    codes: NDArray[np.int64]


@compiled
def _room(sky):  # type: ignore[no-untyped-def]
    _, directions, efforts, _, samples = sky.points.shape
    return Flown(
        np.empty(directions),
        np.empty((efforts, 2)),
        np.empty((efforts, CHANNELS, samples), dtype=np.float32),
        np.empty((4, samples), dtype=np.float32),
        np.empty((CURVE, 3)),
        np.empty((CURVE + 2, 3)),
        np.empty((2, samples)),
        np.empty(samples, dtype=np.int64),
    )


# -- aim -----------------------------------------------------------------------------------


@compiled
def aim_at(
    sky: Sky, terrain: Terrain, wind_rad: float, most: NDArray[np.float64],
    lies: NDArray[np.float64], actions: NDArray[np.float64], out: NDArray[np.float64],
) -> None:  # fmt: skip
    """Fill ``out`` (N, 3) with effort in knots, heading and reach of actions from lies.

    Parameters
    ----------
    lies
        (N, 3): x, y, kind.
    actions
        (N, 4): disc, base, x and y of the target point.
    """
    weights = np.empty(sky.points.shape[1])
    scale = np.empty((sky.points.shape[2], 2))
    for i in range(lies.shape[0]):
        x, y, tx, ty = lies[i, 0], lies[i, 1], actions[i, 2], actions[i, 3]
        fall = height_at(terrain, x, y) - height_at(terrain, tx, ty)
        row = sky.pair[int(actions[i, 0]), int(actions[i, 1])]
        at, turn = resolve(
            sky.middles[row], wind_rad, tx - x, ty - y, fall, most[int(lies[i, 2])], weights, scale
        )
        out[i, 0], out[i, 1], out[i, 2] = at, turn, reach_at(scale, at)


# -- throws ----------------------------------------------------------------------------------


@compiled
def _blend(points, weights, e, sloping, cloud, first, last):  # type: ignore[no-untyped-def]
    """Interpolate (direction, effort, channel, sample) to one wind, for one effort."""
    directions, _, channels, _ = points.shape
    used = channels if sloping else channels - 2  # level ground asks for no descent
    for c in range(used):
        into = cloud[e, c]
        if directions == 1:
            alone = points[0, e, c]
            for s in range(first, last):
                into[s] = alone[s]
        for k in range(0, directions - 1, 4):  # four at a time: half the time of one by one
            p, q = points[k, e, c], points[k + 1, e, c]
            u, v = points[k + 2, e, c], points[k + 3, e, c]
            wp, wq = np.float32(weights[k]), np.float32(weights[k + 1])
            wu, wv = np.float32(weights[k + 2]), np.float32(weights[k + 3])
            if k == 0:
                for s in range(first, last):
                    into[s] = wp * p[s] + wq * q[s] + wu * u[s] + wv * v[s]
            else:
                for s in range(first, last):
                    into[s] += wp * p[s] + wq * q[s] + wu * u[s] + wv * v[s]


@inlined
def _throw(terrain, room, at, turn, x, y, first, last):  # type: ignore[no-untyped-def]
    """Fill ``room.out`` with touch and rest of some samples, in the hole's frame."""
    k = min(int(at), room.cloud.shape[0] - 2)
    low, high = room.cloud[k], room.cloud[k + 1]
    lx, ly, lu, lv = low[0], low[1], low[2], low[3]
    hx, hy, hu, hv = high[0], high[1], high[2], high[3]
    ox, oy, ou, ov = room.out[0], room.out[1], room.out[2], room.out[3]
    share, sine, cosine = np.float32(at - k), np.float32(math.sin(turn)), np.float32(math.cos(turn))
    bx, by = np.float32(bend_at(room.scale, at, 0)), np.float32(bend_at(room.scale, at, 1))
    x, y = np.float32(x), np.float32(y)
    for s in range(first, last):
        tx = lx[s] + share * (hx[s] - lx[s]) + bx
        ty = ly[s] + share * (hy[s] - ly[s]) + by
        rx = tx + lu[s] + share * (hu[s] - lu[s])
        ry = ty + lv[s] + share * (hv[s] - lv[s])
        ox[s] = x + tx * cosine - ty * sine
        oy[s] = y + tx * sine + ty * cosine
        ou[s] = x + rx * cosine - ry * sine
        ov[s] = y + rx * sine + ry * cosine
    if terrain.sloping:
        _meet(terrain, room, k, share, sine, cosine, x, y, at, first, last)


@compiled
def _meet(terrain, room, k, share, sine, cosine, x, y, at, first, last):  # type: ignore[no-untyped-def]
    """Move touches along their descent to sloping ground, a plane where the mean comes down."""
    mx, my = mean_at(room.scale, at, 0), mean_at(room.scale, at, 1)
    mx, my = x + mx * cosine - my * sine, y + mx * sine + my * cosine
    gx = (height_at(terrain, mx + _NEAR_M, my) - height_at(terrain, mx - _NEAR_M, my)) / (
        2.0 * _NEAR_M
    )
    gy = (height_at(terrain, mx, my + _NEAR_M) - height_at(terrain, mx, my - _NEAR_M)) / (
        2.0 * _NEAR_M
    )
    level = height_at(terrain, x, y) - height_at(terrain, mx, my) + gx * mx + gy * my
    gx, gy, level = np.float32(gx), np.float32(gy), np.float32(level)
    la, lb, ha, hb = room.cloud[k, 4], room.cloud[k, 5], room.cloud[k + 1, 4], room.cloud[k + 1, 5]
    ox, oy, ou, ov = room.out[0], room.out[1], room.out[2], room.out[3]
    up, down, bends = np.float32(-MOST_UP_M), np.float32(MOST_DOWN_M), np.float32(1.0 / BENDS_M)
    one = np.float32(1.0)
    for s in range(first, last):
        a = la[s] + share * (ha[s] - la[s])
        b = lb[s] + share * (hb[s] - lb[s])
        a, b = a * cosine - b * sine, a * sine + b * cosine
        dx = dy = np.float32(0.0)
        for _ in range(4):
            fall = min(max(level - gx * (ox[s] + dx) - gy * (oy[s] + dy), up), down)
            onward = fall / (one + fall * bends)
            dx, dy = onward * a, onward * b
        ox[s] += dx
        oy[s] += dy
        ou[s] += dx
        ov[s] += dy


@compiled
def _mean_curve(curves, room, at):  # type: ignore[no-untyped-def]
    """Fill the mean flight at one wind and effort."""
    k = min(int(at), room.cloud.shape[0] - 2)
    share = at - k
    for p in range(CURVE):
        for c in range(3):
            total = 0.0
            for d in range(curves.shape[0]):
                low, high = curves[d, k, p, c], curves[d, k + 1, p, c]
                total += room.weights[d] * (low + share * (high - low))
            room.curve[p, c] = total


@compiled
def _free_m(clear_m, corner_m, cell_m, room, at, turn, x, y):  # type: ignore[no-untyped-def]
    """Return how far a first touch may lie from the mean one with no tree on the way to it."""
    mx, my = mean_at(room.scale, at, 0), mean_at(room.scale, at, 1)
    sine, cosine = math.sin(turn), math.cos(turn)
    mx, my = mx * cosine - my * sine, mx * sine + my * cosine
    rows, columns = clear_m.shape
    bx, by, free = x, y, 1e6
    for p in range(CURVE + 1):
        along, across = (room.curve[p, 0], room.curve[p, 1]) if p < CURVE else (1.0, 0.0)
        ax, ay = bx, by
        bx, by = x + along * mx - across * my, y + along * my + across * mx
        i = math.floor((0.5 * (ay + by) - corner_m[1]) / cell_m)
        j = math.floor((0.5 * (ax + bx) - corner_m[0]) / cell_m)
        clear = clear_m[i, j] if 0 <= i < rows and 0 <= j < columns else 0.0
        clear -= 0.5 * math.hypot(bx - ax, by - ay)
        free = min(free, max(clear, 0.0) / max(math.hypot(along, across), 0.1))
    return free


@compiled
def _followed(terrain, room, s, x, y, start, nerve):  # type: ignore[no-untyped-def]
    """Follow one sample along the mean flight bent to its own first touch."""
    out, line = room.out, room.line
    tx, ty = out[0, s] - x, out[1, s] - y
    line[0, 0], line[0, 1], line[0, 2] = x, y, start + 1.0
    for p in range(CURVE):
        along, across = room.curve[p, 0], room.curve[p, 1]
        line[p + 1, 0] = x + along * tx - across * ty
        line[p + 1, 1] = y + along * ty + across * tx
        line[p + 1, 2] = start + room.curve[p, 2]
    line[CURVE + 1, 0], line[CURVE + 1, 1] = out[0, s], out[1, s]
    line[CURVE + 1, 2] = height_at(terrain, out[0, s], out[1, s])
    return outcome(terrain, line, CURVE + 2, out[2, s], out[3, s], nerve)


@compiled
def _ends(terrain, nerve, room, x, y, mx, my, free, first, last):  # type: ignore[no-untyped-def]
    """Fill where some samples end, and their codes.

    ``mx`` and ``my`` are the mean first touch; within ``free`` of it there is no tree on the way,
    and without trouble at its ends a flight need not be followed. Several plain loops: numba
    counts references in loops with branches, which takes longer than all else here.
    """
    tx, ty, rx, ry = room.out[0], room.out[1], room.out[2], room.out[3]
    where, codes = room.where, room.codes
    for s in range(first, last):
        where[0, s], where[1, s] = rx[s], ry[s]
        codes[s] = plain_code(terrain, tx[s], ty[s], rx[s], ry[s])
    if terrain.wooded:
        for s in range(first, last):
            dx, dy = tx[s] - mx, ty[s] - my
            codes[s] = codes[s] if dx * dx + dy * dy < free * free else -1
    if terrain.marked:
        for m in range(terrain.marks.shape[0]):
            mark = terrain.marks[m, 0]
            if x < mark:
                for s in range(first, last):
                    codes[s] = codes[s] if max(tx[s], rx[s]) < mark else -1
    if terrain.wooded or terrain.guarded or terrain.marked:
        start = height_at(terrain, x, y)
        for s in range(first, last):
            if codes[s] < 0:
                nx, ny, code = _followed(terrain, room, s, x, y, start, nerve[s])
                where[0, s], where[1, s], codes[s] = nx, ny, code


@compiled
def _prepare(terrain, curves, room, at, turn, x, y):  # type: ignore[no-untyped-def]
    """Ready the mean flight of a throw; return its first touch, and how free it is of trees."""
    mx, my = mean_at(room.scale, at, 0), mean_at(room.scale, at, 1)
    sine, cosine = math.sin(turn), math.cos(turn)
    free = 1e6
    if terrain.wooded or terrain.guarded or terrain.marked:
        _mean_curve(curves, room, at)
    if terrain.wooded:
        free = _free_m(terrain.clear_m, terrain.corner_m, terrain.cell_m, room, at, turn, x, y)
    return x + mx * cosine - my * sine, y + mx * sine + my * cosine, free


@compiled
def _strokes(field, price, room, first, last):  # type: ignore[no-untyped-def]
    """Add up what some samples cost: strokes, replays, and how many met with trouble."""
    total = again = 0.0
    troubled = 0
    nx, ny, codes = room.where[0], room.where[1], room.codes
    for s in range(first, last):
        code = codes[s]
        cost, lost = landing_cost(price, code)
        total += cost + (1.0 - lost) * value_at(field, nx[s], ny[s], kind_in(code))
        again += lost
        troubled += (hazard_in(code) != 0) | (kind_in(code) != 0)
    return total, again, troubled


@inlined
def _floor_sum(floor, room, basket_m, first, last):  # type: ignore[no-untyped-def]
    """Return what lies of the throw's samples would at least be worth together."""
    farthest = floor.shape[0] - 1
    ou, ov = room.out[2], room.out[3]
    total = 0.0
    for s in range(first, last):
        dx, dy = ou[s] - basket_m, ov[s]
        total += floor[min(int(math.sqrt(dx * dx + dy * dy)), farthest)]
    return total


# -- search, choice, and landings to keep -----------------------------------------------------


@inlined
def _try(sky, terrain, field, floor, price, most, row, x, y, meant, reach, cut, ready, room, n):  # type: ignore[no-untyped-def]
    """Price one target; return cost, target point and samples in trouble.

    The cost is ``NEVER`` where it cannot beat ``cut``; nothing is known of trouble then.
    """
    at = effort_for(room.scale, reach, most)
    k = min(int(at), room.cloud.shape[0] - 2)
    samples = room.out.shape[1]
    for e in (k, k + 1):
        if not ready[e]:
            _blend(sky.points[row], room.weights, e, terrain.sloping, room.cloud, 0, samples)
            ready[e] = True
    mx, my = mean_at(room.scale, at, 0), mean_at(room.scale, at, 1)
    look = min(samples, _FIRST_LOOK)
    turn = meant - math.atan2(my, mx)
    reached = math.hypot(mx, my)
    tx, ty = x + reached * math.cos(meant), y + reached * math.sin(meant)
    n[0] += 1
    cost, troubled = NEVER, -1
    _throw(terrain, room, at, turn, x, y, 0, look)
    least = _floor_sum(floor, room, field.basket_m, 0, look)
    if 1.0 + least / look < cut + _DOUBT:
        _throw(terrain, room, at, turn, x, y, look, samples)
        least += _floor_sum(floor, room, field.basket_m, look, samples)
        if 1.0 + least / samples < cut:
            n[1] += 1
            mx, my, free = _prepare(terrain, sky.curves[row], room, at, turn, x, y)
            total, again, troubled = 0.0, 0.0, 0
            for part in range(2):  # a line that plainly costs more is not followed further
                first, last = (0, look) if part == 0 else (look, samples)
                _ends(terrain, sky.nerve, room, x, y, mx, my, free, first, last)
                more, lost, caught = _strokes(field, price, room, first, last)
                total += more
                again += lost
                troubled += caught
                cost = total / max(last - again, 1e-3)
                if part == 0 and cost > cut + _PLAINLY:
                    troubled = max(troubled, 1)
                    break
    return cost, tx, ty, troubled


@compiled
def _keep(best, base, cost, tx, ty):  # type: ignore[no-untyped-def]
    """Put an action into a disc's list, cheapest first."""
    m = best.shape[0] - 1
    if cost >= best[m, 0]:
        return
    while m > 0 and best[m - 1, 0] > cost:
        best[m] = best[m - 1]
        m -= 1
    best[m, 0], best[m, 1], best[m, 2], best[m, 3] = cost, base, tx, ty


@inlined
def _search_pair(  # type: ignore[no-untyped-def]
    sky, terrain, field, floor, wind_rad, most, price, shares, headings, finest, slack, lie, row,
    base, best, least, straight, ready, room, n, prune,
):  # fmt: skip
    """Find the best target of one disc and base from one lie; return its cost."""
    x, y = lie[0], lie[1]
    dx, dy = field.basket_m - x, -y
    distance, toward = math.hypot(dx, dy), math.atan2(dy, dx)
    fall = height_at(terrain, x, y) - height_at(terrain, field.basket_m, 0.0)
    middle = sky.middles[row]
    at, _ = resolve(middle, wind_rad, dx, dy, fall, most, room.weights, room.scale)
    full = reach_at(room.scale, at)
    if full < 0.98 * distance and fall != 0.0:
        fall *= full / distance
        at, _ = resolve(middle, wind_rad, dx, dy, fall, most, room.weights, room.scale)
        full = reach_at(room.scale, at)
    most_m = reach_at(room.scale, most)
    ready[:] = False
    own, share, heading, px, py = NEVER, 0.0, 0.0, 0.0, 0.0
    sides = headings.shape[0]
    grid = shares.shape[0] * sides
    widest, finer, in_vain = math.pi, 1.0, 0
    for t in range(grid + 8):
        cut = min(own, min(best[-1, 0], least + slack))
        if t < grid:
            s, h = shares[t // sides], headings[t % sides]
            if (abs(h) > widest and t % sides > 0) or in_vain >= 2:
                continue
        else:
            if own >= least + min(slack, _WORTH_REFINING):
                break
            side = (t - grid) % 4
            finer = 0.5 if t - grid < 4 else 0.25
            s = share + finer * finest[0] * ((side == 0) - (side == 1))
            h = heading + finer * finest[1] * ((side == 2) - (side == 3))
            cut = min(own, least + slack)
        cost, tx, ty, troubled = _try(
            sky, terrain, field, floor, price, most, row, x, y, toward + h,
            min(full * s, most_m), cut, ready, room, n,
        )  # fmt: skip
        if t < grid and t % sides == 0:  # aiming aside only helps where something is in the way
            straight[0] = min(straight[0], cost)
            widest = 1.01 * abs(finest[1]) if troubled == 0 else math.pi
            if troubled < 0 or cost > straight[0] + finest[2]:
                widest = -1.0
            in_vain += troubled <= 0  # nor does going shorter, where the way is free or too far
            if not prune:
                widest, in_vain = math.pi, 0
        if cost < cut:
            own, px, py, share, heading = cost, tx, ty, s, h
    if own < NEVER:
        _keep(best, base, own, px, py)
    return own


@compiled
def search(
    sky: Sky, terrain: Terrain, field: Field, floor: NDArray[np.float64], rules: Rules,
    wind_rad: float, lies: NDArray[np.float64], tried: NDArray[np.bool_], order: NDArray[np.int64],
    shares: NDArray[np.float64], headings: NDArray[np.float64],
    finest: NDArray[np.float64], prices: NDArray[np.float64],
    slack: float, best: NDArray[np.float64], least: NDArray[np.float64], prune: bool,
    n: NDArray[np.int64],
) -> None:  # fmt: skip
    """Find for every disc its best lines and targets from some lies.

    Parameters
    ----------
    floor
        No lie at 0, 1, 2 … m from the basket is worth less.
    wind_rad
        Where the wind comes from, to the right of the hole's x.
    lies
        (lie, 3): x, y, kind.
    tried
        (lie, disc, base): what is looked at.
    order
        Discs, the most promising first: they spare the others work.
    shares, headings
        Targets: shares of the way to the basket, or of the reach where it falls short, and
        headings in radians, straight on first; ``finest`` (3,) is their spacing, halved twice
        around the best, and how much dearer than another a line may be straight on and still be
        aimed aside.
    prices
        (disc, PRICES).
    slack
        A line that costs so much more than the best is not looked at further.
    best
        (lie, disc, kept, 4), filled with cost, base, target x and y; the cheapest first, one for
        each base.
    least
        (lie,), filled with the least cost.
    prune
        Whether to aim aside only where the straight line met with trouble.
    n
        (2,), counts the throws looked at, and those priced in full.
    """
    room = _room(sky)
    ready = np.empty(sky.points.shape[2], dtype=np.bool_)
    straight = np.full((lies.shape[0], 1), NEVER)
    for d in order:
        for b in range(sky.pair.shape[1]):
            row = sky.pair[d, b]
            for i in range(lies.shape[0]):
                kind = int(lies[i, 2])
                if row < 0 or not rules.allowed[kind, b] or not tried[i, d, b]:
                    continue
                own = _search_pair(
                    sky, terrain, field, floor, wind_rad, rules.most[kind], prices[d], shares,
                    headings, finest, slack, lies[i], row, b, best[i, d], least[i], straight[i],
                    ready, room,
                    n, prune,
                )  # fmt: skip
                least[i] = min(least[i], own)


@compiled
def _aim(sky, terrain, wind_rad, most, lie, action, room):  # type: ignore[no-untyped-def]
    """Aim a chosen action from a lie at its target point; return effort and heading."""
    x, y, tx, ty = lie[0], lie[1], action[2], action[3]
    row = sky.pair[int(action[0]), int(action[1])]
    fall = height_at(terrain, x, y) - height_at(terrain, tx, ty)
    return resolve(sky.middles[row], wind_rad, tx - x, ty - y, fall, most, room.weights, room.scale)


@inlined
def _load(sky, terrain, action, x, y, at, turn, room, first, last):  # type: ignore[no-untyped-def]
    """Throw some samples of an action that is aimed, and fill ``room``."""
    row = sky.pair[int(action[0]), int(action[1])]
    k = min(int(at), room.cloud.shape[0] - 2)
    _blend(sky.points[row], room.weights, k, terrain.sloping, room.cloud, first, last)
    _blend(sky.points[row], room.weights, k + 1, terrain.sloping, room.cloud, first, last)
    _throw(terrain, room, at, turn, x, y, first, last)


@compiled
def reprice(
    sky: Sky, terrain: Terrain, field: Field, rules: Rules, wind_rad: float,
    lies: NDArray[np.float64], actions: NDArray[np.float64], prices: NDArray[np.float64],
    slack: float, cost: NDArray[np.float64],
) -> None:  # fmt: skip
    """Fill ``cost`` (lie, action) of given actions (lie, action, 4: disc, base, x, y).

    A negative disc stands for no action. An action is followed block by block of throws, and no
    further once it is ``slack`` dearer than the lie's best so far.
    """
    room = _room(sky)
    samples = sky.points.shape[4]
    for i in range(lies.shape[0]):
        x, y, most = lies[i, 0], lies[i, 1], rules.most[int(lies[i, 2])]
        least = NEVER
        for a in range(actions.shape[1]):
            cost[i, a] = NEVER
            disc = int(actions[i, a, 0])
            if disc < 0 or sky.pair[disc, int(actions[i, a, 1])] < 0:
                continue
            at, turn = _aim(sky, terrain, wind_rad, most, lies[i], actions[i, a], room)
            row = sky.pair[disc, int(actions[i, a, 1])]
            mx, my, free = _prepare(terrain, sky.curves[row], room, at, turn, x, y)
            total = again = 0.0
            last = 0
            while last < samples:
                first, last = last, min(last + _BLOCK, samples)
                _load(sky, terrain, actions[i, a], x, y, at, turn, room, first, last)
                _ends(terrain, sky.nerve, room, x, y, mx, my, free, first, last)
                more, lost, _ = _strokes(field, prices[disc], room, first, last)
                total += more
                again += lost
                cost[i, a] = total / max(last - again, 1e-3)
                if cost[i, a] > least + slack:
                    break
            if last == samples:
                least = min(least, cost[i, a])


@compiled
def land(
    sky: Sky, terrain: Terrain, rules: Rules, wind_rad: float, lies: NDArray[np.float64],
    actions: NDArray[np.float64], where: NDArray[np.float32], codes: NDArray[np.uint8],
) -> None:  # fmt: skip
    """Fill the next lies (lie, action, sample, 2) and codes (lie, action, sample) of actions."""
    room = _room(sky)
    for i in range(lies.shape[0]):
        x, y = lies[i, 0], lies[i, 1]
        for a in range(actions.shape[1]):
            if actions[i, a, 0] < 0:
                continue
            most = rules.most[int(lies[i, 2])]
            at, turn = _aim(sky, terrain, wind_rad, most, lies[i], actions[i, a], room)
            row = sky.pair[int(actions[i, a, 0]), int(actions[i, a, 1])]
            mx, my, free = _prepare(terrain, sky.curves[row], room, at, turn, x, y)
            _load(sky, terrain, actions[i, a], x, y, at, turn, room, 0, where.shape[2])
            _ends(terrain, sky.nerve, room, x, y, mx, my, free, 0, where.shape[2])
            for s in range(where.shape[2]):
                where[i, a, s, 0], where[i, a, s, 1] = room.where[0, s], room.where[1, s]
                codes[i, a, s] = room.codes[s]
