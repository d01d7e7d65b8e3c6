"""The cart as a rigid body on three or four contacts that can push and not pull.

Independent of the tipping formula: a parked body is in equilibrium when some non-negative forces
at its contacts, with friction enough, balance its weight and its moments (Meriam & Kraige,
Engineering Mechanics: Statics, equilibrium in three dimensions, from memory). Whether there are
such forces is asked of a linear program, slope by slope.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy.optimize import linprog

import rimwise as rw
from rimwise.errors import InputError
from rimwise.packing.measuring import centre_of_mass_from_weighings
from rimwise.packing.statics import MassAt

Vector = NDArray[np.float64]

loads = st.builds(
    lambda masses, track, foot, half: rw.CartLoad(
        [MassAt(f"m{i}", m, x, y, z) for i, (m, x, y, z) in enumerate(masses)],
        wheel_track_m=track,
        foot_x_m=foot,
        foot_half_width_m=half * track / 2,
    ),
    st.lists(
        st.tuples(
            st.floats(0.2, 5.0), st.floats(0.05, 0.2), st.floats(-0.05, 0.05), st.floats(0.2, 0.9)
        ),
        min_size=1,
        max_size=5,
    ),
    st.floats(0.3, 0.6),
    st.floats(0.3, 0.5),
    st.sampled_from([0.0, 0.4, 0.9]),
)


def contacts(load: rw.CartLoad) -> list[Vector]:
    half = load.wheel_track_m / 2
    feet = {load.foot_half_width_m, -load.foot_half_width_m}
    return [
        np.array([0.0, half, 0.0]),
        np.array([0.0, -half, 0.0]),
        *(np.array([load.foot_x_m, y, 0.0]) for y in sorted(feet)),
    ]


def in_equilibrium(load: rw.CartLoad, downhill: Vector, slope_deg: float) -> bool:
    """Whether contact forces exist; each may push up and rub along the ground without limit."""
    slope = math.radians(slope_deg)
    pull = np.array([*(math.sin(slope) * downhill), -math.cos(slope)])
    columns = []
    for place in contacts(load):
        for force in np.eye(3):
            columns.append([*force, *np.cross(place, force)])
    weight: Vector = np.zeros(6)
    for item in load.items:
        force = item.mass_kg * pull
        weight += [*force, *np.cross([item.x_m, item.y_m, item.z_m], force)]
    bounds = [(None, None), (None, None), (0.0, None)] * len(contacts(load))
    found = linprog(np.zeros(len(columns)), A_eq=np.array(columns).T, b_eq=-weight, bounds=bounds)
    return bool(found.success)


def downhill_of(load: rw.CartLoad, side: str) -> Vector:
    """Straight back or ahead; sideways square to the line from that wheel to the foot."""
    if side in ("backward", "forward"):
        return np.array([-1.0 if side == "backward" else 1.0, 0.0])
    narrowing = load.wheel_track_m / 2 - load.foot_half_width_m
    out = np.array([narrowing, load.foot_x_m]) / math.hypot(narrowing, load.foot_x_m)
    return out if side == "left" else out * [1.0, -1.0]


@settings(max_examples=40, deadline=None)
@given(loads, st.sampled_from(["backward", "forward", "left", "right"]))
def test_forces_balance_below_the_tipping_angle_and_not_above(load: rw.CartLoad, side: str) -> None:
    if not load.stands:
        assert not in_equilibrium(load, downhill_of(load, side), 0.0)
        return
    angle = getattr(load.tipping_angles_deg, side)
    downhill = downhill_of(load, side)
    assert in_equilibrium(load, downhill, max(angle - 0.05, 0.0))
    assert not in_equilibrium(load, downhill, angle + 0.05)


def scale_under_foot(
    com: tuple[float, float], whole_kg: float, foot_m: float, radius_m: float, tilt: float
) -> float:
    """What the scale reads, by solving for both contact forces of the turned cart."""
    turn = np.array([[math.cos(tilt), -math.sin(tilt)], [math.sin(tilt), math.cos(tilt)]])
    mass = turn @ [com[0], com[1] - radius_m]
    foot = turn @ [foot_m, -radius_m]
    # Vertical forces at the wheels (under the axle) and at the foot: sum and moment about the axle.
    forces = np.linalg.solve([[1.0, 1.0], [0.0, foot[0]]], [whole_kg, whole_kg * mass[0]])
    return float(forces[1])


@pytest.mark.parametrize(("tilt_deg", "radius_m"), [(12.0, 0.12), (20.0, 0.08), (25.0, 0.2)])
def test_weighings_give_back_where_the_mass_sits(tilt_deg: float, radius_m: float) -> None:
    com, whole_kg, foot_m, tilt = (0.14, 0.42), 3.2, 0.35, math.radians(tilt_deg)
    raised_m = radius_m + foot_m * math.sin(tilt) - radius_m * math.cos(tilt)
    found = centre_of_mass_from_weighings(
        whole_kg=whole_kg,
        foot_level_kg=scale_under_foot(com, whole_kg, foot_m, radius_m, 0.0),
        foot_raised_kg=scale_under_foot(com, whole_kg, foot_m, radius_m, tilt),
        axle_to_foot_m=foot_m,
        wheel_radius_m=radius_m,
        raised_m=raised_m,
    )
    assert found == pytest.approx(com, abs=1e-9)


def test_readings_that_fit_no_cart_are_refused() -> None:
    with pytest.raises(InputError, match="weigh again"):
        centre_of_mass_from_weighings(
            whole_kg=3.0,
            foot_level_kg=1.0,
            foot_raised_kg=2.9,
            axle_to_foot_m=0.35,
            wheel_radius_m=0.1,
            raised_m=0.1,
        )
