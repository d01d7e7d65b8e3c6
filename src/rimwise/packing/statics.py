"""Will the packed cart tip? Statics of a rigid body on two wheels and a foot.

Frame, as for :class:`rimwise.records.carts.Cart`: x forward, from the axle toward the foot;
negative x is the side the handle leans to, where the cart falls backward; y to the left; z up
from the ground. Metres, kilograms, degrees.

A parked body tips over an edge of its support when the plumb line of its centre of mass passes
that edge: ``tan(slope) = distance from the edge / height`` (tipping of a block, Meriam & Kraige,
*Engineering Mechanics: Statics*, chapter on equilibrium and friction; cited from memory). The
wheels are taken as held; a free cart may roll before it tips.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal, NamedTuple

from rimwise.errors import InputError, check_finite, check_range
from rimwise.records.words import joined

__all__ = [
    "CAUTION",
    "STANDARD_GRAVITY_M_S2",
    "UMBRELLA_DRAG",
    "CartLoad",
    "MassAt",
    "Side",
    "Sides",
    "compared_words",
    "gust_that_tips_m_s",
    "tipping_words",
]

CAUTION = (
    "A cart on a slope can roll or tip: park it on level ground where you can, "
    "and never where it could roll toward people or water."
)

STANDARD_GRAVITY_M_S2 = 9.80665
"""Conventional value (3rd CGPM 1901)."""

UMBRELLA_DRAG = 1.4
"""Drag coefficient of an open umbrella facing the wind: an assumption, near the value commonly
tabulated for a hollow hemisphere open to the wind (from memory); give your own to change it."""

Side = Literal["backward", "forward", "left", "right"]


class Sides(NamedTuple):
    """One number for each side a cart can fall to."""

    backward: float
    forward: float
    left: float
    right: float

    @property
    def weakest(self) -> Side:
        """The side with the smallest number; the first named among equals."""
        names: tuple[Side, ...] = ("backward", "forward", "left", "right")
        return names[self.index(min(self))]


@dataclass(frozen=True, slots=True)
class MassAt:
    """A mass at a place, both taken as a point.

    Parameters
    ----------
    mass_kg
        0 to 200.
    x_m, y_m, z_m
        Place in the cart's frame; ``z_m`` zero or more.
    """

    name: str
    mass_kg: float
    x_m: float
    y_m: float
    z_m: float

    def __post_init__(self) -> None:
        check_range(f"mass of {self.name}", self.mass_kg, 0.0, 200.0, "kg")
        check_finite(f"x of {self.name}", self.x_m)
        check_finite(f"y of {self.name}", self.y_m)
        check_range(f"height of {self.name}", self.z_m, 0.0, 5.0, "m")


@dataclass(frozen=True, slots=True)
class CartLoad:
    """A packed cart, parked on its two wheels and its foot.

    Parameters
    ----------
    items
        Everything on the cart and the cart itself, as masses at places.
    wheel_track_m
        Distance between the points where the wheels touch the ground.
    foot_x_m
        Where the foot stands, in front of the axle.
    axle_x_m
        Where the wheels touch the ground.
    foot_half_width_m
        Half the width of the foot; 0 for a foot that is a single point.

    Raises
    ------
    InputError
        When nothing has mass, or the foot does not stand in front of the axle.
    """

    items: Sequence[MassAt]
    wheel_track_m: float
    foot_x_m: float
    axle_x_m: float = 0.0
    foot_half_width_m: float = 0.0

    def __post_init__(self) -> None:
        object.__setattr__(self, "items", tuple(self.items))
        check_range("wheel_track_m", self.wheel_track_m, 0.01, 5.0, "m")
        check_range("foot_half_width_m", self.foot_half_width_m, 0.0, 2.5, "m")
        if not check_finite("foot_x_m", self.foot_x_m) > check_finite("axle_x_m", self.axle_x_m):
            raise InputError(
                f"foot_x_m must be larger than axle_x_m ({self.axle_x_m:g} m), because x counts "
                f"from the axle toward the foot, but is {self.foot_x_m:g} m."
            )
        if self.mass_kg <= 0.0:
            raise InputError("items must hold at least one mass above 0 kg.")

    @property
    def mass_kg(self) -> float:
        """All of it, kg."""
        return math.fsum(item.mass_kg for item in self.items)

    @property
    def centre_of_mass_m(self) -> tuple[float, float, float]:
        """Return x, y, z of the centre of mass, m."""
        mass = self.mass_kg
        return (
            math.fsum(item.mass_kg * item.x_m for item in self.items) / mass,
            math.fsum(item.mass_kg * item.y_m for item in self.items) / mass,
            math.fsum(item.mass_kg * item.z_m for item in self.items) / mass,
        )

    @property
    def reserve_m(self) -> Sides:
        """Horizontal distance of the centre of mass from where it would fall, m.

        Backward: to the line through the wheels. Left and right: square to the line from that
        wheel to the foot. Forward: straight ahead to the edge of the support. Negative when the
        centre of mass is already outside.
        """
        x, y, _ = self.centre_of_mass_m
        length = self.foot_x_m - self.axle_x_m
        narrowing = 0.5 * self.wheel_track_m - self.foot_half_width_m
        # Half width of the support at the centre of mass, along the wheel-foot lines.
        half = 0.5 * self.wheel_track_m - narrowing * (x - self.axle_x_m) / length
        square = length / math.hypot(length, narrowing)
        ahead = self.foot_x_m - x
        if narrowing > 0.0:
            ahead = min(ahead, (half - abs(y)) * length / narrowing)
        return Sides(x - self.axle_x_m, ahead, (half - y) * square, (half + y) * square)

    @property
    def tipping_angles_deg(self) -> Sides:
        """Slope on which the parked cart just falls to each side, degrees.

        The ground drops toward that side, square to the line the cart tips over (straight ahead
        for ``forward``). 0 or less: the cart does not stand, not even on level ground.
        """
        _, _, height = self.centre_of_mass_m
        return Sides(*(math.degrees(math.atan2(reserve, height)) for reserve in self.reserve_m))

    @property
    def stands(self) -> bool:
        """Whether the cart stands on level ground."""
        return min(self.reserve_m) > 0.0


def gust_that_tips_m_s(
    load: CartLoad,
    toward: Side,
    *,
    area_m2: float,
    height_m: float,
    drag_coefficient: float = UMBRELLA_DRAG,
    air_density_kg_m3: float = 1.225,
    slope_deg: float = 0.0,
) -> float:
    """Return the wind speed at which an umbrella just tips the parked cart, m/s.

    The pressure ``0.5 rho v^2`` on ``drag_coefficient * area_m2`` at ``height_m`` above the
    ground has the moment about the tipping line that the weight can hold:
    ``0.5 rho v^2 Cd A H = m g (reserve cos(slope) - height sin(slope))``. A steady wind is
    assumed; a sudden gust can tip the cart sooner. Lift on the umbrella is left out.

    Parameters
    ----------
    toward
        The side the wind blows to.
    area_m2
        Area of the umbrella as the wind sees it, 0.01 to 10.
    height_m
        Height of its middle above the ground, 0.05 to 5.
    drag_coefficient
        0.05 to 3.
    air_density_kg_m3
        0.5 to 1.6.
    slope_deg
        Ground dropping toward the same side, 0 to 60.

    Returns
    -------
    float
        0 when the cart does not stand there even without wind.
    """
    check_range("area_m2", area_m2, 0.01, 10.0, "m²")
    check_range("height_m", height_m, 0.05, 5.0, "m")
    check_range("drag_coefficient", drag_coefficient, 0.05, 3.0)
    check_range("air_density_kg_m3", air_density_kg_m3, 0.5, 1.6, "kg/m³")
    slope = math.radians(check_range("slope_deg", slope_deg, 0.0, 60.0, "°"))
    if toward not in Sides._fields:
        raise InputError(f"toward must be one of {', '.join(Sides._fields)}, but is {toward!r}.")
    reserve: float = getattr(load.reserve_m, toward)
    _, _, height = load.centre_of_mass_m
    arm = reserve * math.cos(slope) - height * math.sin(slope)
    if arm <= 0.0:
        return 0.0
    held_n_m = load.mass_kg * STANDARD_GRAVITY_M_S2 * arm
    push_per_speed2 = 0.5 * air_density_kg_m3 * drag_coefficient * area_m2 * height_m
    return math.sqrt(held_n_m / push_per_speed2)


def tipping_words(load: CartLoad) -> str:
    """Say on which slopes the cart falls, weakest side first, whole degrees rounded down."""
    angles = load.tipping_angles_deg
    if not load.stands:
        return f"Does not stand: it falls over {_way(angles.weakest)} on level ground."
    sides: list[Side] = ["backward", "forward", "left", "right"]
    sides.sort(key=lambda side: getattr(angles, side))
    parts = [f"{_way(side)} on a {math.floor(getattr(angles, side))}° slope" for side in sides]
    return f"Falls over {parts[0]}, {parts[1]}, {parts[2]} and {parts[3]}."


#: Slopes that differ by less than this are called the same, and by less than a degree in tenths.
_SAME_DEG, _WHOLE_DEG = 0.1, 1.0


def compared_words(before: CartLoad, after: CartLoad) -> str:
    """Say on which slopes a cart falls instead of those on which it fell, the weakest side first.

    Slopes are rounded down, to whole degrees where they differ by one or more and else to tenths.
    """
    if not after.stands:
        way = _way(after.tipping_angles_deg.weakest)
        was = "" if before.stands else ", as it does now"
        return f"It does not stand: it falls over {way} on level ground{was}."
    if not before.stands:
        return f"It stands, which it does not now. {tipping_words(after)}"
    was_deg, is_deg = before.tipping_angles_deg, after.tipping_angles_deg
    gains = {side: getattr(is_deg, side) - getattr(was_deg, side) for side in Sides._fields}
    changed = [side for side in gains if abs(gains[side]) >= _SAME_DEG]
    changed.sort(key=lambda side: getattr(is_deg, side))
    if not changed:
        return "It falls over on the same slopes as now, to a tenth of a degree."
    told = [
        f"{_way(side)} on a {_slope(getattr(is_deg, side), gains[side])}° slope instead of "
        f"{_slope(getattr(was_deg, side), gains[side])}°"
        for side in changed
    ]
    same = [_way(side) for side in gains if side not in changed]
    kept = f"; {joined(same)} as now" if same else ""
    return f"It falls over {joined(told)}{kept}."


def _slope(angle_deg: float, gain_deg: float) -> str:
    if abs(gain_deg) >= _WHOLE_DEG:
        return f"{math.floor(angle_deg)}"
    return f"{math.floor(angle_deg * 10.0) / 10.0:.1f}"


def _way(side: str) -> str:
    return side if side.endswith("ward") else f"to the {side}"
