"""The equations in double precision under an adaptive eighth-order method (DOP853).

Two models share every force and moment: the full rigid body with both moments of inertia,
whose axis nutates, and gyroscopic precession with the nutation averaged out, which is what
the kernel computes. This is what the kernel is checked against. The rates are compiled
(:mod:`rimwise.flight._rigid`); the integrator is SciPy's
translation of Hairer's own code.

State
-----
The rigid body is carried as position, velocity, axis ``n`` and angular momentum ``H``:
twelve numbers. The body is axisymmetric, so which way round it is turned about its axis
touches neither forces nor moments; a quaternion would add that angle, which spins through
thirty turns in a flight and only asks for smaller steps. Nothing here is singular at any
attitude, a torque-free ``H`` is conserved exactly, and nutation is in it in full.

Wobble
------
At release the axis may stand off its mean ``m`` by ``θ``, with ``H`` along ``m``; it then
goes round ``m`` at ``H / It``, and damping wears the cone away. With ``It = Ia / 2``, to
lowest order in ``θ`` and with the air speed ``V`` at release:

``θ(t) = θ0 exp(−λ t)``,
``λ = −(½ ρ V² A d / Ia) ((cm_q + cl_p) d / 2V + cm_q_s + cl_p_s)``

The precession model sees the average over one round of the cone. The part of a coefficient
that does not depend on the angle of attack keeps its size while its direction ``(n + u sin
α) / cos α`` goes round with the disc; the angle itself swings by ``θ``. To second order

* ``CL0`` and ``CM0`` count ``1 − θ²/4``, ``CLα`` and ``CMα`` count ``1 − θ²/2``,
* ``CD`` gains ``CDα θ²/2``,
* the angular momentum is ``Ia ω / cos θ``, so the axis precesses ``1 − θ²/2`` as fast.

Against the rigid body's mean over where in the cone it starts, that cost is right to about a
sixth (median; see the tests): λ is held at its value at the release speed over still ground,
and the first rounds shift the mean axis. Where in the cone the disc leaves the hand is not in
the average: damping then tips the mean axis by up to ``θ λ It / H``, a quarter of a degree,
and the landing moves by a few times the cost.

Nod
---
What precesses is the angular momentum; while it does, the axis stands off it,

``n = m − (It / Ia ω) m × dm/dt``.

For a disc in flight this is a tilt in pitch of ``d = It M / (Ia ω)²``, nose up when the moment
``M`` is, of a tenth of a degree or two. The precession model keeps ``m`` and lets the loads see
``n``. Without it landings differ from the rigid body's by tenths of a metre.
"""

from __future__ import annotations

import math
import warnings
from bisect import bisect_right
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Literal

import numpy as np

from rimwise.errors import InputError
from rimwise.flight.aero import Aero

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import NDArray

    from rimwise.flight.body import Body
    from rimwise.flight.release import Release

    Floats = NDArray[np.float64]
    Curves = Aero | Callable[[float], tuple[float, float, float]]
    Rates = Callable[[float, Floats, Floats], Floats]
    Model = Literal["precession", "rigid"]

__all__ = ["Damping", "ReferenceFlight", "Surroundings", "fly_reference", "wobble_decay_per_s"]

GRAVITY_M_S2 = 9.80665  # ISO 80000-3, standard acceleration of free fall
TIME_CAP_S = 60.0
# It / Ia as the nod of the precession model takes it: 1/2 is a thin disc's, 0 means no nod.
NOD_SHARE = 0.5
LOOK_EVERY_S = 0.25  # whether it is down; a divisor of the time cap
MOST_STEPS = 100_000  # between two looks
# Precession means little when the axis turns as fast as the disc spins; the rate is held
# below half of this, which changes ordinary flights by less than a millimetre.
MAX_PRECESSION_RAD_S = 60.0

Vector = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Damping:
    """Damping coefficients, as in :class:`rimwise.flight.aero.Aero`; the two kinds add up."""

    cm_q_s: float = 0.0
    cl_p_s: float = 0.0
    cn_r_n_m_s: float = 0.0
    cm_q: float = 0.0
    cl_p: float = 0.0
    cn_r: float = 0.0

    @classmethod
    def of(cls, aero: Aero) -> Damping:
        """Take the damping of a coefficient set."""
        return cls(aero.cm_q_s, aero.cl_p_s, aero.cn_r_n_m_s, aero.cm_q, aero.cl_p, aero.cn_r)


@dataclass(frozen=True, slots=True)
class Surroundings:
    """Air, wind at 10 m in the throw frame, gravity and the height of the landing area."""

    density_kg_m3: float
    wind_x_m_s: float = 0.0
    wind_y_m_s: float = 0.0
    roughness_m: float = 0.0
    ground_z_m: float = 0.0
    gravity_m_s2: float = GRAVITY_M_S2


@dataclass(frozen=True, slots=True)
class ReferenceFlight:
    """One flight at evenly spread times, first row release, last row landing.

    Attributes
    ----------
    time_s, spin_rad_s : (n,) float64
        Spin as a magnitude.
    position_m, velocity_m_s, axis, angular_momentum_kg_m2_s : (n, 3) float64
        In the throw frame. The precession model's angular momentum lies along its axis.
    landed : bool
        False when the time cap came first.
    """

    time_s: NDArray[np.float64]
    position_m: NDArray[np.float64]
    velocity_m_s: NDArray[np.float64]
    axis: NDArray[np.float64]
    spin_rad_s: NDArray[np.float64]
    angular_momentum_kg_m2_s: NDArray[np.float64]
    landed: bool


def fly_reference(
    curves: Curves,
    damping: Damping,
    body: Body,
    release: Release,
    surroundings: Surroundings,
    *,
    model: Model = "rigid",
    points: int = 121,
    relative_tolerance: float = 1e-9,
    wobble_phase_rad: float = 0.0,
    nod_share: float = NOD_SHARE,
) -> ReferenceFlight:
    """Integrate one flight from release to first touch.

    Parameters
    ----------
    curves : Aero or callable
        The coefficients (compiled and fast), or a function that gives CL, CD, CM at an
        angle of attack in radians: splines through a wind-tunnel table, say.
    damping, body, release, surroundings
        The disc, the throw and the scene.
    model : {"precession", "rigid"}
        Precession alone, or the rigid body.
    points : int
        Rows of the result, at least 2.
    relative_tolerance : float
        Of the integrator; the absolute one is the same number of metres, m/s, rad, rad/s
        and kg m²/s.
    wobble_phase_rad : float
        Where in the cone of its wobble the rigid disc leaves the hand: 0 with the axis
        tipped forward (nose down), π/2 to the left. The precession model knows no phase.
    nod_share : float
        What the precession model takes for It / Ia in the nod of its axis; 0 for no nod.

    Raises
    ------
    InputError
        When the model is unknown, or the precession model is to average a wobble over
        curves other than an :class:`Aero`.
    """
    if model not in ("precession", "rigid"):
        raise InputError(f"model must be 'precession' or 'rigid', but is {model!r}.")
    rigid = model == "rigid"
    rates = _rates(curves, rigid, release)
    averaged = {} if rigid else {
        "nod_share": nod_share,
        "wobble_2": release.wobble_rad**2,
        "wobble_decay": wobble_decay_per_s(
            damping, body, release.speed_m_s, surroundings.density_kg_m3
        ),
    }  # fmt: skip
    p = _constants(surroundings, body, curves, damping, averaged)
    start = _start(body, release, rigid, wobble_phase_rad)
    path = _Path(rates, p, relative_tolerance)
    end_s, landed = path.to_touch(start, surroundings.ground_z_m)
    time = np.linspace(0.0, end_s, points)
    y = path.sampled(time)
    axis = y[:, 6:9] / np.linalg.norm(y[:, 6:9], axis=1)[:, None]
    if rigid:
        momentum = y[:, 9:12].copy()
        spin = np.einsum("ij,ij->i", momentum, axis) / body.axial_inertia_kg_m2
    else:
        spin = y[:, 9]
        momentum = body.axial_inertia_kg_m2 * spin[:, None] * axis
    return ReferenceFlight(
        time_s=time,
        position_m=y[:, 0:3].copy(),
        velocity_m_s=y[:, 3:6].copy(),
        axis=axis,
        spin_rad_s=np.abs(spin),
        angular_momentum_kg_m2_s=momentum,
        landed=landed,
    )


def wobble_decay_per_s(
    damping: Damping, body: Body, speed_m_s: float, density_kg_m3: float
) -> float:
    """Rate λ at which a wobble dies away, 1/s: ``θ(t) = θ0 exp(−λ t)``; see the module."""
    area = 0.25 * math.pi * body.diameter_m**2
    scale = 0.5 * density_kg_m3 * speed_m_s**2 * area * body.diameter_m
    lag = 0.5 * body.diameter_m / speed_m_s
    both = (damping.cm_q + damping.cl_p) * lag + damping.cm_q_s + damping.cl_p_s
    return -scale * both / body.axial_inertia_kg_m2


class _Path:
    """One initial-value problem, followed as often as it takes."""

    def __init__(self, rates: Rates, p: Floats, tolerance: float) -> None:
        from scipy.integrate import ode

        # Any: the stubs know the options of another integrator only.
        self._solver: Any = ode(rates)
        self._solver.set_f_params(p)
        self._solver.set_integrator("dop853", rtol=tolerance, atol=tolerance, nsteps=MOST_STEPS)
        self._seen: list[tuple[float, Floats]] = []  # times and states on the way to the touch

    def to_touch(self, start: Floats, ground_z_m: float) -> tuple[float, bool]:
        """When it first is at or below the ground and falling; whether within the time cap."""
        from scipy.optimize import brentq

        def above(t: float) -> float:
            state = self._advance(early_s, y, t)
            return float(max(state[2] - ground_z_m, state[5]))

        early_s, y = 0.0, start
        self._seen = [(early_s, y)]
        if above(0.0) <= 0.0:  # thrown down from below a higher landing area
            return 0.0, True
        while early_s < TIME_CAP_S:
            late_s = early_s + LOOK_EVERY_S
            later = self._advance(early_s, y, late_s)
            if later[2] <= ground_z_m and later[5] < 0.0:
                return float(brentq(above, early_s, late_s, xtol=1e-12, rtol=1e-14)), True
            early_s, y = late_s, later
            self._seen.append((early_s, y))
        return TIME_CAP_S, False

    def sampled(self, time_s: Floats) -> Floats:
        """States at increasing times until the touch, one row each."""
        seen_s = [t for t, _y in self._seen]
        rows = np.empty((len(time_s), len(self._seen[0][1])))
        from_s, y = self._seen[0]
        for k, t in enumerate(time_s):
            latest = self._seen[bisect_right(seen_s, t) - 1]
            if latest[0] > from_s:
                from_s, y = latest
            rows[k] = self._advance(from_s, y, t)
            from_s, y = t, rows[k]
        return rows

    def _advance(self, from_s: float, y: Floats, to_s: float) -> Floats:
        """State at a later time."""
        if to_s <= from_s:
            return y
        self._solver.set_initial_value(y, from_s)
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", UserWarning)  # of what is raised below
            later = np.asarray(self._solver.integrate(to_s))
        if not (self._solver.successful() and np.isfinite(later).all()):
            raise InputError(
                f"The flight cannot be followed beyond {self._solver.t:.3f} s to the asked "
                "tolerance; the curves must be finite and smooth."
            )
        return later


def _rates(curves: Curves, rigid: bool, release: Release) -> Rates:
    """Compiled rates for coefficients; for any other curves the same two stages around them."""
    from rimwise.flight import _rigid

    if isinstance(curves, Aero):
        return _rigid.rigid if rigid else _rigid.precession
    if not rigid and release.wobble_rad:
        raise InputError(
            "release.wobble_rad must be 0 for the precession model unless curves is an Aero, "
            f"but is {release.wobble_rad:g} rad."
        )

    def rigid_rates(_t: float, y: Floats, p: Floats) -> Floats:
        air = _rigid.flow(y, p)
        return _rigid.rigid_rates(y, air, *curves(math.asin(air[0])), p)

    def precession_rates(_t: float, y: Floats, p: Floats) -> Floats:
        air = _rigid.flow(y, p)
        air = _rigid.nodded(y, air, curves(math.asin(air[0]))[2], 0.0, p)
        return _rigid.precession_rates(y, air, *curves(math.asin(air[0])), 0.0, p)

    return rigid_rates if rigid else precession_rates


def _constants(
    scene: Surroundings, body: Body, curves: Curves, damping: Damping, averaged: dict[str, float]
) -> Floats:
    """Everything that stays the same, in the order the compiled rates want it."""
    from rimwise.flight._rigid import CONSTANTS

    values = dict.fromkeys(CONSTANTS, 0.0)
    for part in (scene, body, curves, damping):  # the damping last: an Aero has its own
        values |= {name: getattr(part, name) for name in CONSTANTS if hasattr(part, name)}
    values |= averaged
    return np.array([values[name] for name in CONSTANTS], dtype=np.float64)


def _start(body: Body, release: Release, rigid: bool, wobble_phase_rad: float) -> Floats:
    """State at release: of the precession model, or of the rigid body with its nutation."""
    position, velocity, mean_axis, spin = release_state(release)
    if not rigid:
        return np.array([*position, *velocity, *mean_axis, spin])
    mean = np.array(mean_axis)
    level = np.array(velocity) / release.speed_m_s
    ahead = level - (level @ mean) * mean
    ahead /= np.linalg.norm(ahead)
    left = np.cross(mean, ahead)
    cosine, sine = math.cos(release.wobble_rad), math.sin(release.wobble_rad)
    off = math.cos(wobble_phase_rad) * ahead + math.sin(wobble_phase_rad) * left
    momentum = body.axial_inertia_kg_m2 * spin / cosine * mean
    return np.concatenate([position, velocity, cosine * mean + sine * off, momentum])


def release_state(release: Release) -> tuple[Vector, Vector, Vector, float]:
    """Position, velocity, axis and signed spin at release.

    The axis is banked about the velocity by the hyzer (toward the fade side), then pitched
    about the disc's own lateral axis by the nose angle, so that without wind the angle of
    attack is the nose angle.
    """
    cl, sl = math.cos(release.launch_rad), math.sin(release.launch_rad)
    ch, sh = math.cos(release.heading_rad), math.sin(release.heading_rad)
    forward = (ch * cl, sh * cl, sl)
    left = (-sh, ch, 0.0)
    up = _cross(forward, left)
    cb, sb = math.cos(release.hyzer_rad), release.side * math.sin(release.hyzer_rad)
    cn, sn = math.cos(release.nose_rad), math.sin(release.nose_rad)
    axis = tuple(cn * (cb * up[j] + sb * left[j]) - sn * forward[j] for j in range(3))
    velocity = tuple(release.speed_m_s * f for f in forward)
    return (
        (0.0, 0.0, release.height_m),
        (velocity[0], velocity[1], velocity[2]),
        (axis[0], axis[1], axis[2]),
        -release.side * release.spin_rad_s,
    )


def _cross(a: Vector, b: Vector) -> Vector:
    return (
        a[1] * b[2] - a[2] * b[1],
        a[2] * b[0] - a[0] * b[2],
        a[0] * b[1] - a[1] * b[0],
    )
