"""The rigid body against textbook tops, against itself, and the precession model against it.

Textbook forms: Landau and Lifshitz (1976), Mechanics, §33 and §35 (memory): a free symmetrical
top's axis goes round its angular momentum at H / It; a heavy one keeps its spin, its angular
momentum about the fixed direction and its energy. A disc that the air only twists, in air
that blows past it evenly, is such a heavy top.
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
import pytest
from scipy.optimize import brentq

from rimwise.errors import InputError
from rimwise.flight import _rigid
from rimwise.flight.aero import Aero
from rimwise.flight.body import Body
from rimwise.flight.compare import fly_throw, realistic_throws
from rimwise.flight.reference import (
    NOD_SHARE,
    Damping,
    Surroundings,
    fly_reference,
    wobble_decay_per_s,
)
from rimwise.flight.release import Release

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from rimwise.flight.compare import Throw

    Floats = NDArray[np.float64]

DENSITY_KG_M3 = 1.2
NO_GRAVITY = Surroundings(DENSITY_KG_M3, gravity_m_s2=0.0)
NOTHING = Aero(0, 0, 0, 0, 0, 0, 0)
# Thin disc, catch disc as measured by Hummel (2003), and a body with almost a ball's moments.
BODIES = {
    "thin": Body(0.175, 0.212, 0.0012, 0.0006),
    "catch": Body(0.175, 0.2694, 0.002352, 0.001219),
    "ball": Body(0.175, 0.212, 0.0010, 0.00099),
}
THIN = BODIES["thin"]
# Gently downward: without gravity and forces it is down after 0.5 s, in a straight line.
STRAIGHT = Release(20.0, 90.0, -0.1, 0.0, 0.0, height_m=1.0)


def twisted(cm0: float, cm_alpha: float) -> Aero:
    """Coefficients of a disc that the air twists and does not push."""
    return Aero(0, 0, 0, 0, 0, cm0, cm_alpha, plate_cn=0.0)


def torque_scale_n_m(body: Body) -> float:
    """Pitching moment over its coefficient at the speed of ``STRAIGHT``."""
    area = 0.25 * math.pi * body.diameter_m**2
    return 0.5 * DENSITY_KG_M3 * STRAIGHT.speed_m_s**2 * area * body.diameter_m


def angles_about(axis: Floats, pole: Floats, zero: Floats) -> tuple[Floats, Floats]:
    """Angle off ``pole`` and unwrapped angle about it, right-handed, of the rows of ``axis``."""
    zero = zero - (zero @ pole) * pole
    zero /= np.linalg.norm(zero)
    side = np.cross(pole, zero)
    off = np.arctan2(np.hypot(axis @ zero, axis @ side), axis @ pole)
    return off, np.unwrap(np.arctan2(axis @ side, axis @ zero))


def mean_axis(release: Release) -> Floats:
    """Direction of the angular momentum at release."""
    level = replace(release, wobble_rad=0.0)
    still = fly_reference(NOTHING, Damping(), THIN, level, NO_GRAVITY, points=2)
    return np.asarray(still.axis[0])


class TestTops:
    """Closed forms, and what stays the same."""

    @pytest.mark.parametrize("hand", ["right", "left"])
    @pytest.mark.parametrize("body", BODIES.values(), ids=list(BODIES))
    def test_free_disc_nutates_at_h_over_it(self, body: Body, hand: str) -> None:
        """The axis keeps its angle off H and goes round it at Ia ω / (It cos θ)."""
        release = replace(STRAIGHT, wobble_rad=0.3, nose_rad=0.2, hyzer_rad=0.4, hand=hand)
        flight = fly_reference(
            NOTHING, Damping(), body, release, NO_GRAVITY, points=1001, wobble_phase_rad=1.0
        )
        mean = mean_axis(release)
        off, about = angles_about(flight.axis, mean, flight.axis[0])
        assert off == pytest.approx(0.3, abs=1e-7)
        rate = body.axial_inertia_kg_m2 / body.transverse_inertia_kg_m2 * 90.0 / math.cos(0.3)
        sign = -1.0 if hand == "right" else 1.0
        assert about == pytest.approx(sign * rate * flight.time_s, abs=1e-5)
        assert flight.spin_rad_s == pytest.approx(90.0, abs=1e-6)
        assert abs(about[-1]) > 40.0  # the check runs over many rounds

    def test_phase_says_where_the_disc_leaves_the_hand(self) -> None:
        release = replace(STRAIGHT, launch_rad=-0.05, wobble_rad=0.2)
        tips = [
            fly_reference(
                NOTHING, Damping(), THIN, release, NO_GRAVITY, points=2, wobble_phase_rad=phase
            ).axis[0]
            for phase in (0.0, 0.5 * math.pi)
        ]
        assert tips[0] == pytest.approx([math.sin(0.25), 0.0, math.cos(0.25)], abs=1e-12)
        up = mean_axis(release)
        assert tips[1] == pytest.approx(
            math.cos(0.2) * up + math.sin(0.2) * np.array([0.0, 1.0, 0.0]), abs=1e-12
        )

    @pytest.mark.parametrize("cm", [0.02, -0.03])
    @pytest.mark.parametrize("body", BODIES.values(), ids=list(BODIES))
    def test_heavy_top_precesses_steadily(self, body: Body, cm: float) -> None:
        """Released with just the wobble of steady precession, it keeps its angle of attack.

        Steady precession at Ω about the air stream at angle of attack α needs
        ``M = Ω cos α (Ia ω + It Ω sin α)``; the slow root is flown.
        """
        alpha, spin = 0.15, -90.0
        across = body.transverse_inertia_kg_m2 * math.sin(alpha)
        along = body.axial_inertia_kg_m2 * spin
        torque = torque_scale_n_m(body) * cm / math.cos(alpha)
        # The slow root of across Ω² + along Ω − torque = 0, in the form that loses no digits.
        rate = 2.0 * torque / (along - math.sqrt(along**2 + 4.0 * across * torque))
        tilt = math.atan(body.transverse_inertia_kg_m2 * rate * math.cos(alpha) / along)
        # The momentum leans forward of the axis by the tilt, so the axis is tipped back by it.
        release = replace(STRAIGHT, nose_rad=alpha - tilt, wobble_rad=abs(tilt))
        flight = fly_reference(
            twisted(cm, 0.0), Damping(), body, release, NO_GRAVITY,
            points=501, wobble_phase_rad=math.pi if tilt > 0 else 0.0,
        )  # fmt: skip
        stream = flight.velocity_m_s[0] / 20.0
        off, about = angles_about(flight.axis, stream, flight.axis[0])
        assert off == pytest.approx(0.5 * math.pi + alpha, abs=1e-7)
        assert about == pytest.approx(rate * flight.time_s, abs=1e-6)
        assert abs(about[-1]) > 0.02
        # Without that wobble it nods: the check can fail.
        plain = fly_reference(
            twisted(cm, 0.0), Damping(), body, replace(STRAIGHT, nose_rad=alpha), NO_GRAVITY,
            points=501,
        )  # fmt: skip
        assert np.ptp(angles_about(plain.axis, stream, plain.axis[0])[0]) > 1e-4

    @pytest.mark.parametrize(("cm0", "cm_alpha"), [(0.03, 0.0), (-0.02, 0.5), (0.0, -0.3)])
    def test_heavy_top_nods_between_its_turning_points(self, cm0: float, cm_alpha: float) -> None:
        """From rest the axis nods to where energy and momentum say, over and over.

        With ``s = sin α``: H about the stream gives ``φ' = Ia ω (s − s0) / (It cos² α)``, and
        at a turning point ``It φ'² cos² α / 2`` is the work of the moment.
        """
        start = 0.12
        body = THIN
        momentum = body.axial_inertia_kg_m2 * 90.0
        scale = torque_scale_n_m(body)

        def excess(alpha: float) -> float:
            work = cm0 * (alpha - start) + 0.5 * cm_alpha * (alpha**2 - start**2)
            speed = momentum * (math.sin(alpha) - math.sin(start)) / math.cos(alpha)
            whole = 0.5 * speed**2 / body.transverse_inertia_kg_m2 - scale * work
            return whole / (alpha - start)  # the start is a turning point too

        sign = math.copysign(1.0, cm0 + cm_alpha * start)
        turn = float(brentq(excess, start + sign * 1e-7, start + sign * 0.2, xtol=1e-14))
        flight = fly_reference(
            twisted(cm0, cm_alpha), Damping(), body, replace(STRAIGHT, nose_rad=start),
            NO_GRAVITY, points=6001,
        )  # fmt: skip
        alpha = np.arcsin(-flight.axis @ flight.velocity_m_s[0] / 20.0)
        ends = np.sort([start, turn])
        assert [alpha.min(), alpha.max()] == pytest.approx(ends, abs=1e-3 * abs(turn - start))
        assert abs(turn - start) > 1e-3
        assert flight.spin_rad_s == pytest.approx(90.0, abs=1e-6)

    @pytest.mark.parametrize(("pitch", "roll"), [(-0.3, -0.3), (-0.6, 0.0), (0.0, -0.4)])
    def test_wobble_dies_away_as_the_formula_says(self, pitch: float, roll: float) -> None:
        damping = Damping(cm_q=pitch, cl_p=roll)
        release = replace(STRAIGHT, launch_rad=-0.02, wobble_rad=0.1)  # 2.5 s
        flight = fly_reference(NOTHING, damping, THIN, release, NO_GRAVITY, points=4001)
        # Two kinds of damping bend H itself a little: measured as half of what the axis sweeps.
        window = 110  # about two rounds of the cone
        rounds = (0, len(flight.axis) - window)
        cones = []
        for first in rounds:
            part = flight.axis[first : first + window]
            centre = part.mean(axis=0) / np.linalg.norm(part.mean(axis=0))
            cones.append(np.arccos(part @ centre).mean())
        elapsed = flight.time_s[rounds[1]] - flight.time_s[rounds[0]]
        decay = math.log(cones[0] / cones[1]) / elapsed
        expected = wobble_decay_per_s(damping, THIN, 20.0, DENSITY_KG_M3)
        area = 0.25 * math.pi * 0.212**2
        by_hand = -0.5 * 1.2 * 20.0**2 * area * 0.212 / 0.0012 * (pitch + roll) * 0.212 / 40.0
        assert expected == pytest.approx(by_hand, rel=1e-12)
        assert decay == pytest.approx(expected, rel=0.02)
        assert cones[0] / cones[1] > 1.5

    def test_nothing_turns_or_stops_a_flight_without_air(self) -> None:
        """Horizontal momentum stays, energy too, whatever the disc does about its centre."""
        release = replace(STRAIGHT, launch_rad=0.5, wobble_rad=0.4, hyzer_rad=1.0)
        flight = fly_reference(NOTHING, Damping(), THIN, release, Surroundings(DENSITY_KG_M3))
        v = flight.velocity_m_s
        assert np.abs(v[:, :2] - v[0, :2]).max() < 1e-9
        energy = 0.5 * (v**2).sum(axis=1) + 9.80665 * flight.position_m[:, 2]
        assert energy == pytest.approx(energy[0], abs=1e-7)


class TestItself:
    """The integration, not the equations."""

    def test_tighter_tolerances_converge(self) -> None:
        """Landings at 1e-9 are within a tenth of a millimetre of those at 1e-11."""
        throws = realistic_throws(np.random.default_rng(31), 12, wobble_rad=0.05)
        ends = {
            tolerance: np.array(
                [fly_throw(t, "rigid", relative_tolerance=tolerance).position_m[-1] for t in throws]
            )
            for tolerance in (1e-5, 1e-7, 1e-9, 1e-11)
        }
        apart = [np.linalg.norm(ends[k] - ends[1e-11], axis=1).max() for k in (1e-5, 1e-7, 1e-9)]
        assert apart[2] < 1e-4
        assert apart[1] < 1e-2
        assert apart[2] < 0.1 * apart[1] < 0.1 * apart[0]

    @pytest.mark.parametrize("model", ["precession", "rigid"])
    def test_compiled_coefficients_equal_any_other_curves(self, model: str) -> None:
        """An Aero and a Python function of the angle of attack fly alike, stall and all."""
        steep = Release(12.0, 60.0, 0.5, 0.3, 0.45)
        aero = realistic_throws(np.random.default_rng(32), 1)[0][0]
        compiled, plain = (
            fly_reference(
                curves, Damping.of(aero), THIN, steep, Surroundings(1.2, 2.0, 1.0, 0.03),
                model=model, relative_tolerance=1e-8,
            )
            for curves in (aero, aero.curves)
        )  # fmt: skip
        u = compiled.velocity_m_s / np.linalg.norm(compiled.velocity_m_s, axis=1)[:, None]
        assert np.abs((u * compiled.axis).sum(axis=1)).max() > 0.5  # it does stall
        assert plain.time_s[-1] == pytest.approx(compiled.time_s[-1], abs=1e-5)
        assert plain.position_m == pytest.approx(compiled.position_m, abs=1e-4)

    def test_wobble_over_unknown_curves_is_refused(self) -> None:
        aero = realistic_throws(np.random.default_rng(32), 1)[0][0]
        release = replace(STRAIGHT, wobble_rad=0.1)
        with pytest.raises(InputError, match=r"wobble_rad must be 0 .*0\.1 rad"):
            fly_reference(
                aero.curves, Damping(), THIN, release, Surroundings(1.2), model="precession"
            )


def apart_m(throws: list[Throw], nod_share: float = NOD_SHARE) -> Floats:
    """Distance between the landings of the precession model and the rigid body."""
    averaged = [
        fly_throw(throw, "precession", nod_share=nod_share).position_m[-1] for throw in throws
    ]
    full = [fly_throw(throw, "rigid").position_m[-1] for throw in throws]
    return np.asarray(np.linalg.norm(np.array(averaged) - np.array(full), axis=1))


class TestPrecessionFirstHalf:
    """250 of 500 realistic throws; two halves, so that two processes share them."""

    def test_landings(self) -> None:
        apart = apart_m(realistic_throws(np.random.default_rng(41), 250))
        assert np.percentile(apart, 95) < 0.15


class TestPrecessionSecondHalf:
    """The other 250."""

    def test_landings(self) -> None:
        apart = apart_m(realistic_throws(np.random.default_rng(42), 250))
        assert np.percentile(apart, 95) < 0.15


class TestNodAndWobble:
    """What the precession model averages."""

    def test_nod_belongs_in_the_precession(self) -> None:
        """With the axis standing off the momentum, landings agree to centimetres."""
        throws = realistic_throws(np.random.default_rng(43), 60)
        with_nod, without = apart_m(throws, 0.5), apart_m(throws, 0.0)
        assert np.percentile(with_nod, 95) < 0.02
        assert np.median(without) > 5.0 * np.median(with_nod)

    @pytest.mark.parametrize("alpha", [-0.1, 0.05, 0.1])
    def test_averaged_coefficients_are_the_mean_over_the_cone(self, alpha: float) -> None:
        """Vectors averaged over the cone by numbers, to second order, at small angles of attack.

        At 0.3 rad the gain in drag is a ninth too large, a term in ``α tan α``.
        """
        aero = Aero(0.15, 2.15, 0.07, 1.2, -0.06, 0.01, 0.12)
        wobble = 0.03
        p = np.array([getattr(aero, name, 0.0) for name in _rigid.CONSTANTS])
        stream = np.array([1.0, 0.0, 0.0])
        mean = np.array([-math.sin(alpha), 0.0, math.cos(alpha)])
        ahead = np.array([math.cos(alpha), 0.0, math.sin(alpha)])
        sums = np.zeros(3)
        for turn in np.arange(24) * math.pi / 12:
            off = math.cos(turn) * ahead + math.sin(turn) * np.array([0.0, 1.0, 0.0])
            axis = math.cos(wobble) * mean + math.sin(wobble) * off
            lift, drag, moment = aero.curves(math.asin(-axis @ stream))
            # Lift is along the axis less its part along the stream, here the third direction.
            upward = axis[2] / math.hypot(axis[1], axis[2])
            sums += [lift * upward, drag, moment * upward]
        averaged = np.array(_rigid.coefficients(math.sin(alpha), wobble**2, p))
        still = np.array(_rigid.coefficients(math.sin(alpha), 0.0, p))
        change, expected = averaged - still, sums / 24 - still
        # Of fourth order in the wobble is what is left.
        assert change == pytest.approx(expected, abs=0.01 * wobble**2)
        assert (np.abs(expected) > 0.001 * wobble**2).all()

    def test_averaged_wobble_is_the_mean_over_where_it_starts(self) -> None:
        """What a wobble of 0.2 rad costs, against the rigid body's mean over six phases.

        Not exact: left out is what the jolts of the cone do to the path before it averages,
        of second order too. It makes up about a fifth, whatever the size of the wobble.
        """
        costs, misses = [], []
        for throw in realistic_throws(np.random.default_rng(44), 16):
            wobbly: Throw = (*throw[:2], replace(throw[2], wobble_rad=0.2), *throw[3:])
            ends = [
                fly_throw(wobbly, "rigid", wobble_phase_rad=phase).position_m[-1]
                for phase in np.arange(6) * math.pi / 3
            ]
            full = np.mean(ends, axis=0) - fly_throw(throw, "rigid").position_m[-1]
            averaged = fly_throw(wobbly, "precession").position_m[-1]
            averaged -= fly_throw(throw, "precession").position_m[-1]
            costs.append(np.linalg.norm(full))
            misses.append(np.linalg.norm(full - averaged))
        assert np.median(costs) > 0.1
        assert np.median(misses) < 0.06
        assert np.linalg.norm(misses) < 0.25 * np.linalg.norm(costs)
