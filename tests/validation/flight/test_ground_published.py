"""Ground play against textbook results and an independent integration of a rolling disc.

The closed forms are those of engineering dynamics courses, as in Ginsberg (2008), written
from memory. Nothing here says what turf does to a disc: no measurement of that was found.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from rimwise.flight import _ground
from rimwise.flight.ground import GROUNDS, Ground, play_ground

GRAVITY_M_S2 = 9.80665
SHARP_RIM_M = 0.03  # no extra friction for bluntness
FLAT = np.array([[0.0, 0.0, 1.0]])
HOOP, SOLID = 1.0, 0.5  # Ia / (m R²)
RADIUS_M = 0.106
START = np.zeros((1, 3))


@pytest.mark.parametrize("name", sorted(GROUNDS))
def test_a_slide_is_as_long_as_friction_lets_it(name: str) -> None:
    """``v² / (2 μ g)`` in ``v / (μ g)``."""
    ground = GROUNDS[name]
    play = play_ground(START, np.array([[6.0, 8.0, 0.0]]), FLAT, ground, SHARP_RIM_M)
    length = 100.0 / (2 * ground.friction * GRAVITY_M_S2)
    assert play.rest_m[0] == pytest.approx([0.6 * length, 0.8 * length, 0.0])
    assert play.time_s[0] == pytest.approx(10.0 / (ground.friction * GRAVITY_M_S2))


def test_a_first_bounce_is_newton_and_coulomb() -> None:
    """Rising at ``e w``, slowed by ``μ (1 + e) w``, a parabola of ``2 e w / g`` seconds."""
    friction, restitution, speed, sink = 0.2, 0.5, 10.0, 4.0
    play = play_ground(
        START, np.array([[speed, 0.0, -sink]]), FLAT, Ground(friction, restitution, 0.0),
        SHARP_RIM_M, path=True,
    )  # fmt: skip
    after = speed - friction * (1 + restitution) * sink
    rise = restitution * sink / GRAVITY_M_S2
    top = (restitution * sink) ** 2 / (2 * GRAVITY_M_S2)
    assert play.path_m[0, 1] == pytest.approx([after * rise, 0.0, top])
    assert play.path_m[0, 2] == pytest.approx([2 * after * rise, 0.0, 0.0])


@pytest.mark.parametrize("bounce", [0.0, 0.5, 0.9])
def test_a_tilted_disc_bounces_off_its_edge_as_a_rigid_body(bounce: float) -> None:
    """Dropped at 45° the edge gives way with ``1/m + R² cos² 45° / It``, 3/m for a solid disc.

    The model takes 2 % of the lever away, because the ground gives.
    """
    state = np.array([0.0, 0.0, 0.0, 0.0, -3.0, math.sqrt(0.5), 0.0, math.sqrt(0.5), 0.0, 0.0])
    _ground._edge_blow(state, SOLID, 0.0, bounce, 0.0)
    assert state[4] == pytest.approx(-3.0 + (1 + bounce) * 3.0 / 3.0, abs=0.03 * (1 + bounce) * 3)


@pytest.mark.parametrize(
    ("ratio", "kept", "length"), [(HOOP, 1 / 2, 3 / 8), (SOLID, 2 / 3, 5 / 18)]
)
def test_a_sliding_wheel_begins_to_roll(ratio: float, kept: float, length: float) -> None:
    """A hoop keeps half its speed after ``3 v² / (8 μ g)``, a solid disc 2/3 after ``5/18``."""
    state = np.array([0.0, 0.0, 9.0, 0.0, 0.0, 0.0, -1.0, 0.0, 0.0, 0.0])
    _ground._catch(state, ratio, 0.4)
    assert state[2] == pytest.approx(9.0 * kept)
    assert state[8] == pytest.approx(-9.0 * kept)
    assert state[0] == pytest.approx(length * 81.0 / (0.4 * GRAVITY_M_S2))


@pytest.mark.parametrize(("ratio", "share"), [(HOOP, 1 / 4), (SOLID, 1 / 3)])
def test_an_upright_wheel_loses_its_balance_at_the_known_speed(ratio: float, share: float) -> None:
    """``v² = g R / 4`` for a hoop and ``g R / 3`` for a solid disc, bumps apart."""
    state = np.array([0.0, 0.0, 9.0, 0.0, 0.0, 0.0, -1.0, 0.0, -9.0, 0.0])
    ends2 = _ground._rolls(state, ratio, RADIUS_M)
    assert ends2 / _ground.BUMPS**2 == pytest.approx(share * GRAVITY_M_S2 * RADIUS_M)
    # The same from the equations of a rolling disc, a thousandth of a radian off upright: 3 %
    # above, the lean stays small; 3 % below, it grows at once to where the sway saturates.
    falls = math.sqrt(share * GRAVITY_M_S2 * RADIUS_M)
    assert _largest_lean(1.03 * falls, ratio) < 0.05
    assert _largest_lean(0.97 * falls, ratio) > 0.2


def _rolling(_t: float, y: np.ndarray, ratio: float, rolling: float, drag: float) -> list[float]:
    """Give the rates of a thin disc that rolls without slip on a plane, all in SI, per mass.

    y is tilt of the axis from the vertical, its rate, q (turning about the steepest radius),
    spin, heading, x, y of the centre. Momentum about the centre with the force at the contact
    eliminated; exact for any lean.
    """
    tilt, tilt_rate, q, spin, heading, _, _ = y
    axial, transverse, r2 = ratio * RADIUS_M**2, 0.5 * ratio * RADIUS_M**2, RADIUS_M**2
    r = q / math.tan(tilt)
    falling = transverse * r * q - (axial + r2) * q * spin
    falling -= GRAVITY_M_S2 * RADIUS_M * math.cos(tilt)
    speed = -RADIUS_M * spin
    brake = RADIUS_M * (rolling * GRAVITY_M_S2 + drag * speed**2) * np.sign(speed)
    aside = RADIUS_M * tilt_rate * math.sin(tilt)
    return [
        tilt_rate,
        falling / (transverse + r2),
        tilt_rate * (axial * spin / transverse - r),
        (r2 * q * tilt_rate + brake) / (axial + r2),
        q / math.sin(tilt),
        speed * math.cos(heading) + aside * math.sin(heading),
        speed * math.sin(heading) - aside * math.cos(heading),
    ]


def _largest_lean(speed: float, ratio: float) -> float:
    """Roll a disc a thousandth of a radian off upright for two seconds without resistance."""
    start = [0.5 * math.pi - 1e-3, 0.0, 0.0, -speed / RADIUS_M, 0.0, 0.0, 0.0]

    def lies(_t: float, y: np.ndarray, *_rest: float) -> float:
        return 1.2 - abs(0.5 * math.pi - float(y[0]))

    lies.terminal = True  # type: ignore[attr-defined]
    answer = solve_ivp(
        _rolling, (0.0, 2.0), start, args=(ratio, 0.0, 0.0), events=lies, rtol=1e-9, atol=1e-12
    )
    return float(np.abs(0.5 * math.pi - answer.y[0]).max())


@pytest.mark.parametrize("lean", [0.05, 0.2, 0.4])
@pytest.mark.parametrize("speed", [6.0, 12.0])
def test_a_leaning_roll_follows_the_exact_equations(lean: float, speed: float) -> None:
    """Length within 2 % and end within 6 % of it, from steady rolling to where bumps end it."""
    ratio, rolling = 0.72, GROUNDS["firm"].rolling
    state = np.array([0.0, 0.0, speed, 0.0, 0.0, 0.0, -math.cos(lean), math.sin(lean), -speed, 0.0])
    ends2 = _ground._rolls(state, ratio, RADIUS_M)
    length = _ground._roll(state, RADIUS_M, ratio, rolling, ends2, np.empty((0, 3)), 0)
    tilt, spin = 0.5 * math.pi - lean, -speed / RADIUS_M
    steady = GRAVITY_M_S2 * RADIUS_M * math.cos(tilt) / ((1 + ratio) * RADIUS_M**2 * -spin)

    def slow(_t: float, y: np.ndarray, *_rest: float) -> float:
        return float(y[3]) ** 2 * RADIUS_M**2 - ends2

    slow.terminal = True  # type: ignore[attr-defined]
    exact = solve_ivp(
        _rolling, (0.0, 60.0), [tilt, 0.0, steady, spin, 0.0, 0.0, 0.0],
        args=(ratio, rolling, _ground.ROLL_DRAG_PER_M), events=slow, rtol=1e-8, atol=1e-10,
    )  # fmt: skip
    assert exact.t_events[0].size == 1
    road = np.hypot(*np.diff(exact.y[5:7], axis=1)).sum()
    assert length == pytest.approx(road, rel=0.02)
    assert np.hypot(*(state[:2] - exact.y[5:7, -1])) < 0.06 * length
    assert state[9] == pytest.approx(exact.t[-1], rel=0.02)


def test_steady_rolling_draws_the_known_circle() -> None:
    """A fast, slightly leaning hoop runs on a radius of ``2 v² / (g β)``, without resistance."""
    lean, speed = 0.05, 10.0
    tilt, spin = 0.5 * math.pi - lean, -speed / RADIUS_M
    steady = GRAVITY_M_S2 * RADIUS_M * math.cos(tilt) / (2 * RADIUS_M**2 * -spin)
    exact = solve_ivp(
        _rolling, (0.0, 1.0), [tilt, 0.0, steady, spin, 0.0, 0.0, 0.0], args=(HOOP, 0.0, 0.0),
        rtol=1e-9, atol=1e-12,
    )  # fmt: skip
    radius = 2 * speed**2 / (GRAVITY_M_S2 * lean)
    assert speed / exact.y[4, -1] == pytest.approx(radius, rel=0.01)
    state = np.array([0.0, 0.0, speed, 0.0, 0.0, 0.0, -math.cos(lean), math.sin(lean), -speed, 0.0])
    path = np.zeros((_ground.PATH_POINTS, 3))
    _ground._roll(state, RADIUS_M, HOOP, 0.01, 0.99 * speed**2, path, 0)
    turned = math.atan2(state[3], state[2])
    mean2 = 0.995 * speed**2
    length = np.hypot(*np.diff(np.vstack([START, path[: _ground._ROLL_STEPS]]).T[:2], axis=1)).sum()
    assert length / turned == pytest.approx(2 * mean2 / (GRAVITY_M_S2 * lean), rel=0.01)
