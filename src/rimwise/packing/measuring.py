"""Where the mass of one's own cart sits, from three weighings and three lengths.

Weigh the empty cart whole; then stand its wheels on the floor and its foot on the scale, level;
then put scale and foot on a block and read again. Moments about the axle give how far forward the
mass sits from the level reading, and how high from how much lighter the raised foot is.
"""

from __future__ import annotations

import math

from rimwise.errors import InputError, check_range

__all__ = ["centre_of_mass_from_weighings"]


def centre_of_mass_from_weighings(
    *,
    whole_kg: float,
    foot_level_kg: float,
    foot_raised_kg: float,
    axle_to_foot_m: float,
    wheel_radius_m: float,
    raised_m: float,
) -> tuple[float, float]:
    """Return how far in front of the axle and how high above the ground the mass sits, m.

    Parameters
    ----------
    whole_kg
        The whole empty cart, 0.1 to 50.
    foot_level_kg, foot_raised_kg
        What the scale under the foot reads when the cart stands level, and when the foot stands
        ``raised_m`` higher than the ground under the wheels.
    axle_to_foot_m
        Along the ground, 0.02 to 2.
    wheel_radius_m
        0.02 to 0.5.
    raised_m
        0.05 or more: less shows nothing above the scale's error.

    Raises
    ------
    InputError
        When a number is out of range, or the readings fit no cart.
    """
    check_range("weight of the whole cart", whole_kg, 0.1, 50.0, "kg")
    check_range("weight on the level foot", foot_level_kg, 0.0, whole_kg, "kg")
    check_range("weight on the raised foot", foot_raised_kg, 0.0, whole_kg, "kg")
    length = check_range("distance of the foot from the axle", axle_to_foot_m, 0.02, 2.0, "m")
    radius = check_range("wheel radius", wheel_radius_m, 0.02, 0.5, "m")
    check_range("height of the block", raised_m, 0.05, 0.8 * length, "m")
    ahead_m = foot_level_kg * length / whole_kg
    # The foot, seen from the axle at (length, -radius), turns up until it stands raised_m high.
    tilt = math.asin((raised_m - radius) / math.hypot(length, radius)) + math.atan2(radius, length)
    arm_of_foot_m = length * math.cos(tilt) + radius * math.sin(tilt)
    arm_of_mass_m = foot_raised_kg * arm_of_foot_m / whole_kg
    high_m = radius + (ahead_m * math.cos(tilt) - arm_of_mass_m) / math.sin(tilt)
    if not 0.0 < high_m <= 2.0:
        raise InputError(
            f"these weighings would put the cart's mass {high_m:.2f} m above the ground; weigh "
            "again with the wheels on the floor and the foot alone on the scale."
        )
    return ahead_m, high_m
