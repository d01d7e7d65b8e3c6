"""Ground play of many discs, compiled: touches, hops, then a roll or a slide, one disc at a time.

Everything is per unit of mass, and spin is kept as the speed of the rim, so that an angular
momentum is a speed too: ``l = ratio · rim · n`` with ``ratio = Ia / (m R²)``. Between touches
the wobble a blow leaves has died out: the axis lies along the angular momentum, at rotational
energy ``½ |l|² / ratio``, which is the least for that momentum. Heights are those of the
centre when the lowest point of the rim touches, ``R · steepness``. With these two every event
below can only lose energy; the tests hold each one to that.

:mod:`rimwise.flight.ground` says what the model is and names its sources.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from rimwise.flight._jit import compiled

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

__all__ = ["DISC", "ENERGIES", "OUTCOMES", "PATH_POINTS", "SURFACE", "play"]

#: Columns of a disc at first touch. Rim speed is spin times radius, positive anticlockwise
#: seen from the side the axis points to; the ratio is Ia / (m R²).
DISC = (
    "x_m", "y_m", "vx_m_s", "vy_m_s", "vz_m_s", "nx", "ny", "nz", "rim_speed_m_s",
    "radius_m", "inertia_ratio", "friction",
)  # fmt: skip
#: What else a ground is made of; its friction came with the disc, because rims change it.
SURFACE = ("restitution", "dig", "rolling")
#: Columns of the result.
OUTCOMES = ("x_m", "y_m", "hops", "hopped_m", "rolled_m", "slid_m", "time_s")

_X, _Y, _VX, _VY, _VZ, _NX, _NY, _NZ, _RIM, _TIME, _STATE = range(11)
_RADIUS, _RATIO, _FRICTION = range(9, 12)
_HOPS, _HOPPED, _ROLLED, _SLID, _SECONDS = range(2, 7)

GRAVITY_M_S2 = 9.80665

# Assumptions of the model, the same on every ground. None has data behind it.
MOST_TOUCHES = 6
#: Slower than this at a touch, a disc hops no more (it would rise under a centimetre).
LAST_TOUCH_M_S = 0.4
#: A shorter hop is a shuffle and not counted as a skip.
COUNTED_HOP_M = 0.5
#: Sine of the tilt at which half a blow acts on one point of the rim. The ground gives, so
#: that a flatter disc is met all round, where blows and rim speed cancel.
FLAT_SINE = 0.10
#: Share of its tilt a flat disc loses when the whole fall is left to slap it down.
FLATTENING = 0.6
#: Tangent of the most a touch can tip a disc.
MOST_TIP = 0.6
#: Below this speed of the rim a disc is no gyroscope, and its axis stays.
SLOW_RIM_M_S = 1.0
#: ½ ρ A / m of air at 1.2 kg/m³ and a disc of 175 g, 1/m, and its lift at no incidence, per
#: radian, and at most. Lift bends hops toward the low edge; that it stretches them is left out.
AIR_PER_M = 0.12
LIFT_0, LIFT_PER_RAD, MOST_LIFT = 0.15, 2.15, 1.0
#: A disc rolls that stands within this angle of upright …
ROLL_LEAN_RAD = 0.70
#: … and travels within this cosine of its own plane.
ROLL_ALONG = 0.8
#: Bumps knock a rolling disc over at so many times the speed at which it would fall unaided.
BUMPS = 3.0
#: The lean at which a rolling disc lies down.
FALLEN_LEAN_RAD = 1.0
#: Drag over mass per metre of a disc rolling edge-on, 1/m: ½ ρ A CD / m with CD 0.07.
ROLL_DRAG_PER_M = 0.0084
#: Transverse over axial inertia: a thin disc's, whatever its rim (a rim's height adds 1 %).
THIN = 0.5

_ROLL_STEPS = 16
#: Points of a drawn path, the last repeated where fewer are needed.
PATH_POINTS = 2 * MOST_TOUCHES + _ROLL_STEPS + 3
#: Energies told: at each touch, before and after a roll, and before the slide.
ENERGIES = MOST_TOUCHES + 4


@compiled
def _length(a: float, b: float) -> float:
    """Length of a plane vector; the library's own guards against overflow at a cost."""
    return math.sqrt(a * a + b * b)


@compiled
def _steepness(state: Floats) -> float:
    """Sine of the disc's tilt: 0 flat, 1 on edge."""
    return min(_length(state[_NX], state[_NY]), 1.0)


@compiled
def _energy(state: Floats, radius: float, ratio: float) -> float:
    """Kinetic, rotational and potential energy per mass with the rim on the ground, J/kg."""
    moving = float(state[_VX] ** 2 + state[_VY] ** 2 + state[_VZ] ** 2)
    return (
        0.5 * (moving + ratio * float(state[_RIM]) ** 2) + GRAVITY_M_S2 * radius * _steepness(state)
    )  # fmt: skip


@compiled
def _edge_blow(
    state: Floats, ratio: float, friction: float, restitution: float, dig: float
) -> None:
    """Let the lowest point of the rim strike: restitution, friction, and the axis it tips.

    With h the horizontal unit vector toward the low edge and t = z × h, the edge's spot is
    ``lever · R · (cos h − sin z)`` from the centre and moves along t at the rim's speed. The
    impulses per mass are ``normal`` (up) and ``along_t``, ``along_h``.
    """
    steep = _steepness(state)
    lever = steep**2 / (steep**2 + FLAT_SINE**2)
    hx, hy = 1.0, 0.0
    if steep > 1e-9:
        hx, hy = state[_NX] / steep, state[_NY] / steep
    flat = state[_NZ]
    sink = max(-state[_VZ], 0.0)
    _dig_in(state, hx, hy, sink, lever, dig * steep)
    give = 1.0 + (lever * flat) ** 2 / (THIN * ratio)
    normal = (1.0 + restitution) * sink / give
    # Sliding speed of the spot, the turn about t that the upward blow began included.
    swing = lever**2 * flat * steep / (THIN * ratio)
    slip_h = state[_VX] * hx + state[_VY] * hy + swing * normal
    slip_t = state[_VY] * hx - state[_VX] * hy + lever * state[_RIM]
    slip = max(_length(slip_h, slip_t), 1e-12)
    dh, dt = slip_h / slip, slip_t / slip
    yields = 1.0 + lever**2 * (dt**2 / ratio + (dh * steep) ** 2 / (THIN * ratio))
    rub = min(friction * normal, slip / yields)
    along_h, along_t = -rub * dh, -rub * dt
    state[_VX] += along_h * hx - along_t * hy
    state[_VY] += along_h * hy + along_t * hx
    state[_VZ] = normal - sink
    state[_RIM] += lever * along_t / ratio
    _tip(state, ratio, hx, hy, -lever * (flat * normal + steep * along_h))


@compiled
def _dig_in(state: Floats, hx: float, hy: float, sink: float, lever: float, dig: float) -> None:
    """Take speed from a disc whose edge cuts in: the steeper it falls, the more it slips.

    An edge that already turns with the travel, as a roller's does, does not dig.
    """
    speed = max(_length(state[_VX], state[_VY]), 1e-9)
    slip = _length(state[_VX] - lever * state[_RIM] * hy, state[_VY] + lever * state[_RIM] * hx)
    steepness = sink / _length(speed, sink)  # of the fall: its sine
    kept = 1.0 - dig * min(slip / speed, 1.0) * 2.0 * steepness / (1.0 + steepness**2)
    state[_VX] *= kept
    state[_VY] *= kept


@compiled
def _tip(state: Floats, ratio: float, hx: float, hy: float, turn: float) -> None:
    """Turn the axis onto the new angular momentum, which grew by ``turn`` along t = z × h."""
    spun = ratio * state[_RIM]
    share = turn * spun / (spun**2 + (ratio * SLOW_RIM_M_S) ** 2)
    share = min(max(share, -MOST_TIP), MOST_TIP)
    longer = math.sqrt(1.0 + share**2)
    state[_NX] = (state[_NX] - share * hy) / longer
    state[_NY] = (state[_NY] + share * hx) / longer
    state[_NZ] /= longer
    state[_RIM] *= longer


@compiled
def _slap(state: Floats, friction: float, restitution: float, sink: float) -> None:
    """Let the rest of the disc come down where the edge did not stop its fall, and flatten it."""
    left = max(-state[_VZ], 0.0)
    if left == 0.0:
        return
    speed = max(_length(state[_VX], state[_VY]), 1e-9)
    kept = max(1.0 - friction * (1.0 + restitution) * left / speed, 0.0)
    state[_VX] *= kept
    state[_VY] *= kept
    state[_VZ] = restitution * left
    # The further edge is out of reach of the ground when the disc stands.
    flatter = 1.0 - FLATTENING * state[_NZ] ** 2 * left / sink
    _lay(state, flatter * _steepness(state))


@compiled
def _lay(state: Floats, steep: float) -> None:
    """Give the axis another tilt in the direction it leans."""
    now = _steepness(state)
    if now < 1e-9:
        return
    state[_NX] *= steep / now
    state[_NY] *= steep / now
    state[_NZ] = math.sqrt(max(1.0 - steep**2, 0.0))


@compiled
def _hop(state: Floats, radius: float, before: float, path: Floats, point: int) -> float:
    """Fly to the next touch under gravity alone, bent by lift; return the distance.

    The centre starts ``R · before`` up and is met again at the height of its new tilt.
    """
    up = float(state[_VZ])
    room = 0.5 * up**2 / (GRAVITY_M_S2 * radius)  # a hop cannot rise higher than it pays for
    if _steepness(state) > before + room:
        _lay(state, min(before + room, 1.0))
    steep = _steepness(state)
    down = math.sqrt(max(up**2 + 2.0 * GRAVITY_M_S2 * radius * (before - steep), 0.0))
    time = (up + down) / GRAVITY_M_S2
    vx, vy = float(state[_VX]), float(state[_VY])
    speed = _length(vx, vy)
    incidence = -(vx * state[_NX] + vy * state[_NY]) / max(speed, 1e-9)
    lift = min(max(LIFT_0 + LIFT_PER_RAD * incidence, 0.0), MOST_LIFT)
    # Half the turn on the way is the direction of the chord; this is a rotation at any size.
    quarter = 0.25 * AIR_PER_M * lift * time * (state[_NY] * vx - state[_NX] * vy)
    cosine, sine = (1.0 - quarter**2) / (1.0 + quarter**2), 2.0 * quarter / (1.0 + quarter**2)
    ax, ay = vx * cosine - vy * sine, vy * cosine + vx * sine
    if len(path):
        rise = up / GRAVITY_M_S2
        path[point] = (state[_X] + ax * rise, state[_Y] + ay * rise, 0.5 * up * rise)
    state[_X] += ax * time
    state[_Y] += ay * time
    state[_VX], state[_VY] = ax * cosine - ay * sine, ay * cosine + ax * sine
    state[_VZ] = -down
    state[_TIME] += time
    if len(path):
        path[point + 1] = (state[_X], state[_Y], 0.0)
    return speed * time


@compiled
def _catch(state: Floats, ratio: float, friction: float) -> float:
    """Slide an upright disc until its rim stops slipping; return the distance along t.

    Friction keeps the angular momentum about the spot of contact, which settles the rolling
    speed; a disc that spins against its travel may come back. What it has across its plane
    is rubbed off.
    """
    steep = _steepness(state)
    tx, ty = -float(state[_NY]) / steep, float(state[_NX]) / steep
    along = float(state[_VX]) * tx + float(state[_VY]) * ty
    across = state[_VX] * ty - state[_VY] * tx
    rolling = (along - ratio * float(state[_RIM])) / (1.0 + ratio)
    brake = friction * GRAVITY_M_S2
    slipped = abs(rolling - along) * 0.5 * (rolling + along) / brake
    aside = across * abs(across) / (2.0 * brake)
    state[_X] += slipped * tx + aside * ty
    state[_Y] += slipped * ty - aside * tx
    state[_VX], state[_VY] = rolling * tx, rolling * ty
    state[_RIM] = -rolling
    state[_TIME] += abs(rolling - along) / brake
    return _length(slipped, aside)


@compiled
def _rolls(state: Floats, ratio: float, radius: float) -> float:
    """Return the squared speed at which the disc's roll would end; negative when it cannot roll.

    Unaided, an upright disc falls below ``v_c² = g R (It / Ia) / (1 + ratio)``; a lean β grows
    as ``(1 − v_c² / v²)^-1/2``, so that a leaning disc lies down a little earlier.
    """
    steep = _steepness(state)
    lean = math.acos(steep)
    if lean > ROLL_LEAN_RAD:
        return -1.0
    speed = _length(state[_VX], state[_VY])
    along = float(state[_VY] * state[_NX] - state[_VX] * state[_NY]) / steep
    if abs(along) < ROLL_ALONG * speed:
        return -1.0
    rolling2 = ((along - ratio * float(state[_RIM])) / (1.0 + ratio)) ** 2
    falls2 = THIN * GRAVITY_M_S2 * radius / (1.0 + ratio)
    room = (lean / FALLEN_LEAN_RAD) ** 2 * (1.0 - falls2 / max(rolling2, falls2))
    ends2 = max(BUMPS**2 * falls2, falls2 / (1.0 - room))
    return ends2 if rolling2 > ends2 else -1.0


@compiled
def _roll(
    state: Floats, radius: float, ratio: float, rolling: float, ends2: float,
    path: Floats, point: int,
) -> float:  # fmt: skip
    """Roll without slip from now to ``ends2``, curving toward the lean; return the distance.

    Rolling resistance and drag slow it: ``(1 + ratio) d(v²)/ds = −2 (c g + D v²)``. Steady
    rolling turns the path by ``dψ/ds = g β / ((1 + ratio) v²)`` while the lean β grows as in
    :func:`_rolls`. In ``u = arcosh(v / v_c)`` that is ``dψ = β0 √(1 − v_c²/v0²) / c(v) du``
    with ``c(v) = c + D v² / g``; the steps below are even in u, and straight.
    """
    begins2 = float(state[_VX] ** 2 + state[_VY] ** 2)
    speed, falls = math.sqrt(begins2), math.sqrt(THIN * GRAVITY_M_S2 * radius / (1.0 + ratio))
    ux, uy = state[_VX] / speed, state[_VY] / speed
    # The axis points toward the low edge, so the centre leans the other way.
    toward = math.copysign(1.0, state[_NX] * uy - state[_NY] * ux)
    strength = toward * math.acos(_steepness(state)) * math.sqrt(1.0 - falls**2 / begins2)
    at = math.acosh(speed / falls)
    part = (at - math.acosh(math.sqrt(ends2) / falls)) / _ROLL_STEPS
    before2, turned, length = begins2, 0.0, 0.0
    for i in range(_ROLL_STEPS):
        middle2 = (falls * math.cosh(at - (i + 0.5) * part)) ** 2
        after2 = (falls * math.cosh(at - (i + 1.0) * part)) ** 2
        brake = rolling * GRAVITY_M_S2 + ROLL_DRAG_PER_M * middle2
        half = 0.5 * strength * part * GRAVITY_M_S2 / brake
        step = (1.0 + ratio) * (before2 - after2) / (2.0 * brake)
        cosine, sine = math.cos(turned + half), math.sin(turned + half)
        state[_X] += step * (ux * cosine - uy * sine)
        state[_Y] += step * (uy * cosine + ux * sine)
        state[_TIME] += step / math.sqrt(middle2)
        length += step
        turned += 2.0 * half
        before2 = after2
        if len(path):
            path[point + i] = (state[_X], state[_Y], 0.0)
    cosine, sine = math.cos(turned), math.sin(turned)
    last = math.sqrt(ends2)
    state[_VX], state[_VY] = last * (ux * cosine - uy * sine), last * (uy * cosine + ux * sine)
    state[_RIM] = math.copysign(last, state[_RIM])
    return length


@compiled
def _slide(state: Floats, friction: float) -> float:
    """Slide to rest, flat on the ground: ``v² / (2 μ g)``; return the distance."""
    brake = friction * GRAVITY_M_S2
    speed = _length(state[_VX], state[_VY])
    state[_X] += state[_VX] * speed / (2.0 * brake)
    state[_Y] += state[_VY] * speed / (2.0 * brake)
    state[_TIME] += speed / brake
    return speed**2 / (2.0 * brake)


@compiled
def _touches(
    state: Floats, disc: Floats, surface: Floats, out: Floats, path: Floats, energies: Floats
) -> int:
    """Touch and hop until the hops die; return how many there were."""
    radius, ratio, friction = disc[_RADIUS], disc[_RATIO], disc[_FRICTION]
    touch = 0
    while touch < MOST_TOUCHES:
        if len(energies):
            energies[touch] = _energy(state, radius, ratio)
        before = _steepness(state)
        sink = max(-state[_VZ], 0.0)
        _edge_blow(state, ratio, friction, surface[0], surface[1])
        _slap(state, friction, surface[0], sink)
        hop = _hop(state, radius, before, path, 1 + 2 * touch)
        touch += 1
        out[_HOPPED] += hop
        out[_HOPS] += 1.0 if hop >= COUNTED_HOP_M else 0.0
        if state[_VZ] > -LAST_TOUCH_M_S:
            break
    state[_VZ] = 0.0
    return touch


@compiled
def _one(
    state: Floats, disc: Floats, surface: Floats, out: Floats, path: Floats, energies: Floats
) -> None:
    """Play one disc from first touch to rest."""
    radius, ratio, friction = disc[_RADIUS], disc[_RATIO], disc[_FRICTION]
    _set_up(state, disc)
    out[:] = 0.0
    if len(path):
        path[0] = (state[_X], state[_Y], 0.0)
    touches = _touches(state, disc, surface, out, path, energies)
    point = 1 + 2 * touches
    if len(energies):
        energies[touches:] = _energy(state, radius, ratio)
    ends2 = _rolls(state, ratio, radius)
    if ends2 > 0.0:
        out[_SLID] = _catch(state, ratio, friction)
        if len(path):
            path[point] = (state[_X], state[_Y], 0.0)
        if len(energies):
            energies[touches + 1 :] = _energy(state, radius, ratio)
        out[_ROLLED] = _roll(state, radius, ratio, surface[2], ends2, path, point + 1)
        point += 1 + _ROLL_STEPS
        _lay(state, 0.0)
        if len(energies):
            energies[touches + 2 :] = _energy(state, radius, ratio)
    out[_SLID] += _slide(state, friction)
    out[0], out[1], out[_SECONDS] = state[_X], state[_Y], state[_TIME]
    for i in range(point, len(path)):
        path[i] = (state[_X], state[_Y], 0.0)


@compiled
def _set_up(state: Floats, disc: Floats) -> None:
    """Copy a disc into the state, top side up: ground play does not tell the sides apart."""
    for i in range(_TIME):
        state[i] = disc[i]
    state[_TIME] = 0.0
    if state[_NZ] < 0.0:
        for i in range(_NX, _TIME):
            state[i] = -state[i]


@compiled
def play(
    discs: Floats, surface: Floats, start: int, stop: int,
    out: Floats, paths: Floats, energies: Floats,
) -> None:  # fmt: skip
    """Play the discs ``start`` … ``stop`` (exclusive) and fill their rows of ``out``.

    Parameters
    ----------
    discs : (N, len(DISC)) float64
        At first touch.
    surface : (len(SURFACE),) float64
        The ground.
    start, stop : int
        Range of discs.
    out : (N, len(OUTCOMES)) float64
        Result.
    paths : (N, PATH_POINTS, 3) float64
        Touches, tops of hops and points along a roll; zero points for none.
    energies : (N, ENERGIES) float64
        Energy per mass as play goes on, J/kg; zero columns for none.
    """
    state = np.zeros(_STATE)
    for i in range(start, stop):
        _one(state, discs[i], surface, out[i], paths[i], energies[i])
