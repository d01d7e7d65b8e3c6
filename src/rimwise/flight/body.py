"""Mass, size and moments of inertia of a disc."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from rimwise.errors import InputError, check_range
from rimwise.flight._checks import Limits, check_fields

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

    Floats = NDArray[np.float64]

__all__ = [
    "BODY_LIMITS", "Body", "BodyArrays", "check_possible", "rim_width_from_printed_speed_m",
]  # fmt: skip

BODY_LIMITS: Limits = {
    "mass_kg": (0.05, 0.3, "kg"),
    "diameter_m": (0.15, 0.35, "m"),
    "axial_inertia_kg_m2": (1e-4, 1e-2, "kg m²"),
    "transverse_inertia_kg_m2": (5e-5, 1e-2, "kg m²"),
}

# Assumptions of the geometry model, editable by passing other values.
DEFAULT_RIM_HEIGHT_M = 0.016  # rim depths of 11–14 mm and a plate; see the measured classes
DEFAULT_PLATE_THICKNESS_M = 0.00224  # about 2 mm; the technical standards allow 5
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
        plate_thickness_m: float = DEFAULT_PLATE_THICKNESS_M,
    ) -> Body:
        """Estimate the moments of inertia from outside dimensions.

        Geometry: two coaxial pieces of one material. The rim is a ring of rectangular
        section, ``R − rim_width … R`` and ``rim_height`` tall; the flight plate is a flat
        disc inside it, flush with the rim's top. Masses ``m_r``, ``m_p`` follow the volumes,
        and with ``r = R − rim_width``, rim height ``h`` and plate thickness ``t``

        ``Ia = m_r (R² + r²) / 2 + m_p r² / 2``

        ``It = Ia / 2 + m_r h² / 12 + m_p t² / 12 + m_r m_p (h − t)² / (4 m)``

        the last term by the parallel-axis theorem (any statics handbook, such as Meriam and
        Kraige). Limits: ``t = h`` is the uniform disc, ``m R² / 2`` and
        ``m (3 R² + h²) / 12``; ``t → 0`` and ``rim_width → 0`` the hoop, ``m R²`` and
        ``m R² / 2``. A real rim tapers to a nose: with the outer half of the rim a triangle
        the axial inertia is 6 to 10 % lower, the more the wider (computed in the tests).
        Domes are left out.

        Parameters
        ----------
        mass_kg, diameter_m : float
            As in :class:`Body`.
        rim_width_m : float
            0.005 … 0.04 m.
        rim_height_m : float
            0.005 … 0.04 m.
        plate_thickness_m : float
            0.0005 m … ``rim_height_m``.

        Raises
        ------
        InputError
            When a value is outside its range.
        """
        mass = check_range("mass_kg", mass_kg, *BODY_LIMITS["mass_kg"])
        diameter = check_range("diameter_m", diameter_m, *BODY_LIMITS["diameter_m"])
        width = check_range("rim_width_m", rim_width_m, 0.005, 0.04, "m")
        height = check_range("rim_height_m", rim_height_m, 0.005, 0.04, "m")
        plate = check_range("plate_thickness_m", plate_thickness_m, 0.0005, height, "m")
        axial, transverse = _two_piece_inertia(mass, diameter, width, height, plate)
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


def check_possible(mass_kg: Floats, diameter_m: Floats, axial_inertia_kg_m2: Floats) -> None:
    """Refuse arrays with a moment of inertia that no body of that size and mass has.

    Raises
    ------
    InputError
        When an axial inertia exceeds a hoop's.
    """
    share = axial_inertia_kg_m2 / (mass_kg * (0.5 * diameter_m) ** 2)
    if share.max() > 1.0 + 1e-9:
        first = int(np.argmax(share > 1.0 + 1e-9))
        raise InputError(
            f"body.axial_inertia_kg_m2 must not exceed that of a hoop of this mass and diameter, "
            f"but is {share[first]:.3g} times that at position {first}."
        )


def rim_width_from_printed_speed_m(speed: float) -> float:
    """Rim width a mold of a printed speed usually has, m.

    Common practice, no source: putters have rims of about 1.0 cm, speed 7 about 1.7 cm,
    speed 13 about 2.4 cm, in line with the classes of approved discs' measured rims.
    """
    return 0.0085 + 0.0012 * check_range("printed.speed", speed, 1.0, 15.0)


def _two_piece_inertia(
    mass: float, diameter: float, rim_width: float, rim_height: float, plate_thickness: float
) -> tuple[float, float]:
    """Axial and transverse inertia of a rim and a plate; see :meth:`Body.from_dimensions`."""
    outer = 0.5 * diameter
    inner = outer - rim_width
    rim_volume = (outer**2 - inner**2) * rim_height
    plate_volume = inner**2 * plate_thickness
    rim = mass * rim_volume / (rim_volume + plate_volume)
    plate = mass - rim
    axial = 0.5 * rim * (outer**2 + inner**2) + 0.5 * plate * inner**2
    own = (rim * rim_height**2 + plate * plate_thickness**2) / 12.0
    apart = 0.5 * (rim_height - plate_thickness)  # between the centres of the two pieces
    return axial, 0.5 * axial + own + rim * plate / mass * apart**2
