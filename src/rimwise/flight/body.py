"""Mass, size and moments of inertia of a disc."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from rimwise.errors import InputError, check_range
from rimwise.flight._checks import Limits, check_fields

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

__all__ = ["BODY_LIMITS", "Body", "BodyArrays", "rim_width_from_printed_speed_m"]

BODY_LIMITS: Limits = {
    "mass_kg": (0.05, 0.3, "kg"),
    "diameter_m": (0.15, 0.35, "m"),
    "axial_inertia_kg_m2": (1e-4, 1e-2, "kg m²"),
    "transverse_inertia_kg_m2": (5e-5, 1e-2, "kg m²"),
}

# Assumptions of the geometry model, editable by passing other values.
PLATE_SHARE_OF_RIM_HEIGHT = 0.14  # flight plate about 2 mm against a 14–16 mm rim
DEFAULT_RIM_HEIGHT_M = 0.016
DEFAULT_DIAMETER_M = 0.212


@dataclass(frozen=True, slots=True)
class Body:
    """A rigid, axisymmetric disc.

    Parameters
    ----------
    mass_kg : float
        0.05 … 0.3 kg.
    diameter_m : float
        0.15 … 0.35 m.
    axial_inertia_kg_m2, transverse_inertia_kg_m2 : float
        About the spin axis and about any diameter. The axial one cannot exceed that of a
        hoop, nor twice the transverse one.

    Raises
    ------
    InputError
        When a value is outside its range or no rigid body has such moments.
    """

    mass_kg: float
    diameter_m: float
    axial_inertia_kg_m2: float
    transverse_inertia_kg_m2: float

    def __post_init__(self) -> None:
        check_fields(self, BODY_LIMITS)
        hoop = self.mass_kg * (0.5 * self.diameter_m) ** 2
        if self.axial_inertia_kg_m2 > hoop:
            raise InputError(
                f"body.axial_inertia_kg_m2 must not exceed that of a hoop of this mass and "
                f"diameter ({hoop:.3g} kg m²), but is {self.axial_inertia_kg_m2:g}."
            )
        if self.axial_inertia_kg_m2 > 2.0 * self.transverse_inertia_kg_m2:
            raise InputError(
                f"body.transverse_inertia_kg_m2 must be at least half the axial inertia "
                f"({0.5 * self.axial_inertia_kg_m2:g} kg m²), "
                f"but is {self.transverse_inertia_kg_m2:g}."
            )

    @classmethod
    def from_dimensions(
        cls,
        mass_kg: float,
        diameter_m: float,
        rim_width_m: float,
        rim_height_m: float = DEFAULT_RIM_HEIGHT_M,
    ) -> Body:
        """Estimate the moments of inertia from outside dimensions.

        Two rings of equal material: a rim of rectangular section from the inside rim
        radius to the outside, and a thin plate inside it whose thickness is a fixed share
        of the rim's height (``PLATE_SHARE_OF_RIM_HEIGHT``, an assumption). Mass follows
        the volumes. A real rim tapers to a nose, so the true axial inertia is a few per
        cent lower for wide rims.

        Parameters
        ----------
        mass_kg, diameter_m : float
            As in :class:`Body`.
        rim_width_m : float
            0.005 … 0.04 m.
        rim_height_m : float
            0.005 … 0.04 m.
        """
        mass = check_range("mass_kg", mass_kg, *BODY_LIMITS["mass_kg"])
        diameter = check_range("diameter_m", diameter_m, *BODY_LIMITS["diameter_m"])
        width = check_range("rim_width_m", rim_width_m, 0.005, 0.04, "m")
        height = check_range("rim_height_m", rim_height_m, 0.005, 0.04, "m")
        axial, transverse = _two_ring_inertia(mass, diameter, width, height)
        return cls(mass, diameter, axial, transverse)

    @classmethod
    def from_printed_speed(
        cls, speed: float, mass_kg: float, diameter_m: float = DEFAULT_DIAMETER_M
    ) -> Body:
        """Body of a mold of which only the printed speed is known.

        The rim width follows the printed speed (common practice, no source; see
        :func:`rim_width_from_printed_speed_m`).
        """
        return cls.from_dimensions(mass_kg, diameter_m, rim_width_from_printed_speed_m(speed))


@dataclass(frozen=True, slots=True)
class BodyArrays:
    """Many bodies as arrays of length 1 or N; fields as in :class:`Body`.

    The transverse inertia only matters to the rigid-body reference, which flies one body
    at a time, so it is not part of this.
    """

    mass_kg: ArrayLike
    diameter_m: ArrayLike
    axial_inertia_kg_m2: ArrayLike


def rim_width_from_printed_speed_m(speed: float) -> float:
    """Rim width a mold of a printed speed usually has, m.

    Common practice, no source: putters have rims of about 1.0 cm, speed 7 about 1.7 cm,
    speed 13 about 2.4 cm, in line with the classes of approved discs' measured rims.
    """
    return 0.0085 + 0.0012 * check_range("printed.speed", speed, 1.0, 15.0)


def _two_ring_inertia(
    mass: float, diameter: float, rim_width: float, rim_height: float
) -> tuple[float, float]:
    outer = 0.5 * diameter
    inner = outer - rim_width
    plate_height = PLATE_SHARE_OF_RIM_HEIGHT * rim_height
    rim_volume = math.pi * (outer**2 - inner**2) * rim_height
    plate_volume = math.pi * inner**2 * plate_height
    rim = mass * rim_volume / (rim_volume + plate_volume)
    plate = mass - rim
    axial = 0.5 * rim * (outer**2 + inner**2) + 0.5 * plate * inner**2
    # Heights of the two centres above the bottom of the rim, and the common centre.
    rim_z, plate_z = 0.5 * rim_height, rim_height - 0.5 * plate_height
    centre = (rim * rim_z + plate * plate_z) / mass
    own = rim * rim_height**2 / 12.0 + plate * plate_height**2 / 12.0
    shifted = rim * (rim_z - centre) ** 2 + plate * (plate_z - centre) ** 2
    return axial, 0.5 * axial + own + shifted
