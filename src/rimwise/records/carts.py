"""The cart: pockets, wheels, a foot, and what else rides along.

Frame: x forward, from the axle toward the foot; negative x is the side the handle leans to,
where the cart falls backward. y to the left, z up from the ground. Metres and kilograms.
"""

from __future__ import annotations

from dataclasses import dataclass

from rimwise.errors import InputError, check_range

__all__ = ["Cart", "CartItem", "Pocket"]


@dataclass(frozen=True, slots=True)
class Pocket:
    """A place for discs.

    Parameters
    ----------
    room
        How many discs fit.
    x_m, y_m, z_m
        Middle of the pocket when full.
    mass_kg
        Mass of the empty pocket or pouch.
    at_hand
        1 for the pocket reached first, larger for those farther in.
    """

    name: str
    room: int
    x_m: float
    y_m: float
    z_m: float
    mass_kg: float = 0.0
    at_hand: int = 1

    def __post_init__(self) -> None:
        check_range(f"room of pocket {self.name}", self.room, 0, 60)
        check_range(f"mass of pocket {self.name}", self.mass_kg, 0.0, 20.0, "kg")
        check_range(f"x of pocket {self.name}", self.x_m, -2.0, 2.0, "m")
        check_range(f"y of pocket {self.name}", self.y_m, -1.0, 1.0, "m")
        check_range(f"height of pocket {self.name}", self.z_m, 0.0, 2.0, "m")
        check_range(f"rank of pocket {self.name}", self.at_hand, 1, 99)


@dataclass(frozen=True, slots=True)
class CartItem:
    """Something else on the cart, with its mass and the place it hangs."""

    name: str
    mass_kg: float
    x_m: float
    y_m: float
    z_m: float

    def __post_init__(self) -> None:
        check_range(f"mass of {self.name}", self.mass_kg, 0.0, 50.0, "kg")


@dataclass(frozen=True, slots=True)
class Cart:
    """A rigid body on two wheels and a foot.

    Parameters
    ----------
    mass_kg, com_x_m, com_z_m
        The empty cart and its centre of mass (from three lengths and two weighings).
    wheel_track_m
        Distance between the wheels' contact points.
    foot_x_m, foot_half_width_m
        Where the foot stands in front of the axle, and half its width (0 for a single point).
    """

    name: str
    mass_kg: float
    com_x_m: float
    com_z_m: float
    wheel_track_m: float
    foot_x_m: float
    foot_half_width_m: float = 0.0
    pockets: tuple[Pocket, ...] = ()
    items: tuple[CartItem, ...] = ()

    def __post_init__(self) -> None:
        check_range(f"mass of cart {self.name}", self.mass_kg, 0.1, 50.0, "kg")
        check_range("height of the cart's centre of mass", self.com_z_m, 0.0, 2.0, "m")
        check_range("wheel track", self.wheel_track_m, 0.05, 2.0, "m")
        check_range("distance of the foot from the axle", self.foot_x_m, 0.02, 2.0, "m")
        if not self.pockets:
            raise InputError(f"cart {self.name!r} has no pocket for discs.")
        names = [pocket.name for pocket in self.pockets]
        if len(set(names)) != len(names):
            raise InputError(f"cart {self.name!r} has two pockets of one name; rename one.")

    @property
    def room(self) -> int:
        """How many discs the pockets take together."""
        return sum(pocket.room for pocket in self.pockets)
