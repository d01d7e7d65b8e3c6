"""A worked cart, by hand, and what carts are commonly seen to do.

Formula: a body on a slope tips when tan(slope) = b / h, with b the horizontal distance of the
centre of mass from the tipping edge and h its height (tipping of a block; Meriam & Kraige,
Engineering Mechanics: Statics, from memory).
"""

from __future__ import annotations

import math

import pytest

import rimwise as rw
from rimwise.packing.placement import packed_load
from rimwise.packing.statics import MassAt, gust_that_tips_m_s
from rimwise.records.carts import Cart, CartItem, Pocket


def worked() -> rw.CartLoad:
    """Wheels at (0, +-0.25), a single foot at (0.40, 0); four masses.

    =================  ======  ======  ======  ======
    thing              kg      x m     y m     z m
    =================  ======  ======  ======  ======
    cart               4.0     0.10    0.00    0.40
    20 discs, low      3.5     0.16    0.00    0.50
    4 discs, upper     0.7    -0.02    0.00    0.90
    water, left side   0.8     0.00    0.15    0.70
    =================  ======  ======  ======  ======
    """
    return rw.CartLoad(
        [
            MassAt("cart", 4.0, 0.10, 0.00, 0.40),
            MassAt("20 discs, low", 3.5, 0.16, 0.00, 0.50),
            MassAt("4 discs, upper", 0.7, -0.02, 0.00, 0.90),
            MassAt("water", 0.8, 0.00, 0.15, 0.70),
        ],
        wheel_track_m=0.50,
        foot_x_m=0.40,
    )


def test_worked_centre_of_mass() -> None:
    # Mass: 4.0 + 3.5 + 0.7 + 0.8 = 9.0 kg.
    # x: (0.400 + 0.560 - 0.014 + 0.000) / 9.0 = 0.946 / 9.0 = 0.105111 m
    # y: (0.8 * 0.15) / 9.0 = 0.120 / 9.0 = 0.013333 m
    # z: (1.600 + 1.750 + 0.630 + 0.560) / 9.0 = 4.540 / 9.0 = 0.504444 m
    load = worked()
    assert load.mass_kg == pytest.approx(9.0)
    assert load.centre_of_mass_m == pytest.approx((0.105111, 0.013333, 0.504444), abs=1e-6)


def test_worked_tipping_angles() -> None:
    # Backward, about the wheels: atan(0.105111 / 0.504444) = atan(0.208370) = 11.770 degrees.
    # Left, about the line (0, 0.25) - (0.40, 0): 0.25 x + 0.40 y = 0.10, length of the normal
    #   sqrt(0.25^2 + 0.40^2) = 0.471699. Left over: 0.10 - 0.026278 - 0.005333 = 0.068389;
    #   distance 0.068389 / 0.471699 = 0.144984 m; atan(0.144984 / 0.504444) = 16.035 degrees.
    # Right: 0.10 - 0.026278 + 0.005333 = 0.079056; / 0.471699 = 0.167598 m; 18.379 degrees.
    # Forward, straight ahead along y = 0.013333 until 0.25 x + 0.40 y = 0.10:
    #   x = (0.10 - 0.005333) / 0.25 = 0.378667; ahead 0.273556 m; 28.471 degrees.
    angles = worked().tipping_angles_deg
    assert angles.backward == pytest.approx(11.770, abs=2e-3)
    assert angles.left == pytest.approx(16.035, abs=2e-3)
    assert angles.right == pytest.approx(18.379, abs=2e-3)
    assert angles.forward == pytest.approx(28.471, abs=2e-3)


def test_worked_gust() -> None:
    # Umbrella 0.8 m2 at 1.5 m, Cd 1.4, air 1.225 kg/m3, wind from ahead.
    # Holding moment 9.0 * 9.80665 * 0.105111 = 9.2771 N m.
    # Push per v^2: 0.5 * 1.225 * 1.4 * 0.8 * 1.5 = 1.0290. v = sqrt(9.0157) = 3.0026 m/s.
    speed = gust_that_tips_m_s(worked(), "backward", area_m2=0.8, height_m=1.5)
    assert speed == pytest.approx(3.0026, abs=2e-4)


@pytest.mark.parametrize(("base_m", "height_m"), [(0.3, 0.6), (0.5, 0.5), (1.0, 2.0)])
def test_uniform_block_tips_where_the_handbook_says(base_m: float, height_m: float) -> None:
    # A block of width b and height h on four corners: tan(slope) = b / h to either side.
    block = rw.CartLoad(
        [MassAt("block", 10.0, base_m / 2, 0.0, height_m / 2)],
        wheel_track_m=base_m,
        foot_x_m=base_m,
        foot_half_width_m=base_m / 2,
    )
    expected = math.degrees(math.atan(base_m / height_m))
    assert tuple(block.tipping_angles_deg) == pytest.approx((expected,) * 4)


def test_rotating_the_weight_and_floor_reaction_agree_with_the_angle() -> None:
    # Independent of the formula: on the tipping slope the weight's moment about the wheels
    # vanishes, and a degree less leaves the foot pressed to the ground.
    load = worked()
    x, _, z = load.centre_of_mass_m

    def foot_force_n(slope_deg: float) -> float:
        slope = math.radians(slope_deg)
        along, across = -9.0 * 9.80665 * math.sin(slope), -9.0 * 9.80665 * math.cos(slope)
        return -(x * across - z * along) / load.foot_x_m

    assert foot_force_n(load.tipping_angles_deg.backward) == pytest.approx(0.0, abs=1e-9)
    assert foot_force_n(load.tipping_angles_deg.backward - 1.0) > 0.0
    assert foot_force_n(load.tipping_angles_deg.backward + 1.0) < 0.0


CART = Cart(
    "light",
    4.0,
    0.10,
    0.40,
    0.5,
    0.4,
    pockets=(
        Pocket("upper pouch", 6, -0.03, 0.0, 0.95, 0.4, at_hand=1),
        Pocket("lower pocket", 20, 0.15, 0.0, 0.45, 0.3, at_hand=2),
    ),
    items=(CartItem("water", 0.8, 0.0, 0.0, 0.7),),
)


def test_weight_moved_into_a_high_pouch_falls_backward_sooner() -> None:
    # Common practice, no source: a full upper pouch makes a cart fall over backward.
    angles = [
        packed_load(
            CART, [("lower pocket", 0.175 * (18 - up)), ("upper pouch", 0.175 * up)]
        ).tipping_angles_deg.backward
        for up in range(7)
    ]
    assert angles == sorted(angles, reverse=True)
    assert angles[0] - angles[6] > 2.0


def test_symmetric_cart_is_as_steady_left_as_right() -> None:
    angles = packed_load(CART, [("lower pocket", 3.0)]).tipping_angles_deg
    assert angles.left == pytest.approx(angles.right)


def test_wider_track_and_wider_foot_are_steadier_sideways() -> None:
    def left(track_m: float, half_foot_m: float) -> float:
        return rw.CartLoad(
            [MassAt("all", 9.0, 0.1, 0.0, 0.5)],
            wheel_track_m=track_m,
            foot_x_m=0.4,
            foot_half_width_m=half_foot_m,
        ).tipping_angles_deg.left

    assert left(0.5, 0.0) < left(0.6, 0.0)
    assert left(0.5, 0.0) < left(0.5, 0.1)
