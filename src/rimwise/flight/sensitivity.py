"""How a landing answers to the throw and to the disc: a Jacobian from one batch of flights.

Every throw is flown once as it is, and once with each parameter a little more and once a
little less, all in one call of :func:`rimwise.flight.fly.fly_many`. The differences are central
ones. Their steps are a compromise: landings are computed in single precision with steps that
each flight chooses for itself, so that neighbouring flights differ by noise of a fraction of a
millimetre (that is divided by the step), while curvature costs the square of the step. ``STEPS``
moves landings by a few decimetres each. Where a parameter stands at the edge of its domain the
difference is one-sided.
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import TYPE_CHECKING, Any

import numpy as np

from rimwise.errors import InputError
from rimwise.flight._checks import Limits, column, common_length
from rimwise.flight._gather import _DENSITY_LIMIT, gather
from rimwise.flight.aero import AERO_LIMITS, AeroArrays
from rimwise.flight.body import BODY_LIMITS, BodyArrays
from rimwise.flight.fly import _RIM_LIMIT, DEFAULT_RIM_WIDTH_M, STEP_S, fly_many
from rimwise.flight.release import ARRAY_LIMITS as RELEASE_LIMITS
from rimwise.flight.release import ReleaseArrays
from rimwise.flight.wind import WindArrays

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import ArrayLike, NDArray

    from rimwise.flight.aero import Aero
    from rimwise.flight.air import Air
    from rimwise.flight.body import Body
    from rimwise.flight.flights import Flights
    from rimwise.flight.ground import Ground
    from rimwise.flight.release import Release
    from rimwise.flight.wind import Wind

    Floats = NDArray[np.float64]
    Columns = dict[str, Floats]

__all__ = ["PARAMETERS", "STEPS", "Sensitivities", "landing_sensitivities"]

#: Each parameter with the step of its central difference and its unit.
STEPS: dict[str, tuple[float, str]] = {
    "speed_m_s": (0.1, "m/s"),
    "spin_rad_s": (1.0, "rad/s"),
    "launch_rad": (0.006, "rad"),
    "hyzer_rad": (0.006, "rad"),
    "nose_rad": (0.004, "rad"),
    "heading_rad": (0.01, "rad"),
    "height_m": (0.05, "m"),
    "cl0": (0.002, ""),
    "cl_alpha": (0.03, "1/rad"),
    "cd0": (0.001, ""),
    "cd_alpha": (0.04, "1/rad²"),
    "alpha0_rad": (0.005, "rad"),
    "cm0": (0.0003, ""),
    "cm_alpha": (0.002, "1/rad"),
    "cm_q": (0.3, ""),
    "cl_p": (0.1, ""),
    "cn_r": (0.002, ""),
    "mass_kg": (0.001, "kg"),
    "density_kg_m3": (0.01, "kg/m³"),
}
PARAMETERS = tuple(STEPS)

_LIMITS: Limits = {**RELEASE_LIMITS, **AERO_LIMITS, **BODY_LIMITS, "density_kg_m3": _DENSITY_LIMIT}


@dataclass(frozen=True, slots=True)
class Sensitivities:
    """Derivatives of N landings; per unit of each of P parameters, in the throw frame.

    Attributes
    ----------
    parameters, units : tuple of str
        Names and units of the P parameters, see :data:`STEPS`. ``mass_kg`` is that of a disc
        of the same shape: its moment of inertia goes with it.
    landing_m : (N, P, 2) float64
        Of the first touch along x and y, m per unit.
    rest_m : (N, P, 2) float64
        Of the place of rest; equal to ``landing_m`` without a ground. Ground play jumps where
        a disc just does or does not hop, so take these as slopes over ``STEPS``.
    hang_s : (N, P) float64
        Of the time in the air, s per unit.
    flights : Flights
        The N flights themselves.
    """

    parameters: tuple[str, ...]
    units: tuple[str, ...]
    landing_m: Floats
    rest_m: Floats
    hang_s: Floats
    flights: Flights

    def __len__(self) -> int:
        return len(self.hang_s)

    def of(self, parameter: str) -> Floats:
        """Return the derivative of the landing by one parameter, (N, 2).

        Raises
        ------
        InputError
            When there is no such parameter.
        """
        if parameter not in self.parameters:
            raise InputError(
                f"parameter must be one of {', '.join(self.parameters)}, but is {parameter!r}."
            )
        return self.landing_m[:, self.parameters.index(parameter)]

    def __repr__(self) -> str:
        return f"Sensitivities: {len(self)} landings by {len(self.parameters)} parameters"


def landing_sensitivities(
    aero: Aero | Sequence[Aero] | AeroArrays,
    body: Body | Sequence[Body] | BodyArrays,
    release: Release | Sequence[Release] | ReleaseArrays,
    air: Air | Sequence[Air] | ArrayLike,
    wind: Wind | Sequence[Wind] | WindArrays | None = None,
    *,
    bearing_deg: ArrayLike = 0.0,
    ground: Ground | str | None = None,
    ground_z_m: ArrayLike = 0.0,
    rim_width_m: ArrayLike = DEFAULT_RIM_WIDTH_M,
    threads: int = 2,
) -> Sensitivities:
    """Return how N landings move with release, coefficients, mass and density.

    Parameters
    ----------
    aero, body, release, air, wind, bearing_deg, ground, ground_z_m, rim_width_m, threads
        As in :func:`rimwise.flight.fly.fly_many`.

    Returns
    -------
    Sensitivities
        39 flights a throw, flown in half the usual steps.

    Raises
    ------
    InputError
        When an argument is outside its domain or lengths differ.
    """
    parts = gather(aero, body, release, air, wind, bearing_deg, ground_z_m)
    parts["rim_width_m"] = column("rim_width_m", rim_width_m, _RIM_LIMIT)
    count = common_length(parts)
    parts = {name: np.broadcast_to(part, count) for name, part in parts.items()}
    moved, spans = _moved(parts)
    flown = _fly(moved, ground, threads)
    copies = 2 * len(PARAMETERS) + 1

    def split(values: Floats) -> Floats:
        return values.reshape(count, copies, *values.shape[1:])

    def slopes(values: Floats) -> Floats:
        rows = split(values)
        apart = rows[:, 1::2] - rows[:, 2::2]
        return np.asarray(apart / spans.reshape(count, -1, *[1] * (values.ndim - 1)))

    own: Any = {field.name: split(getattr(flown, field.name))[:, 0] for field in fields(flown)}
    return Sensitivities(
        parameters=PARAMETERS,
        units=tuple(unit for _step, unit in STEPS.values()),
        landing_m=slopes(flown.landing_m[:, :2]),
        rest_m=slopes(flown.rest_m[:, :2]),
        hang_s=slopes(flown.hang_s),
        flights=type(flown)(**own),
    )


def _moved(parts: Columns) -> tuple[Columns, Floats]:
    """Every throw as it is, then each parameter more and less; and by how much, (N, P)."""
    copies = 2 * len(PARAMETERS) + 1
    count = len(parts["mass_kg"])
    moved = {name: np.repeat(part[:, None], copies, axis=1) for name, part in parts.items()}
    spans = np.empty((count, len(PARAMETERS)))
    for k, (name, (step, _unit)) in enumerate(STEPS.items()):
        low, high, _ = _LIMITS[name]
        moved[name][:, 2 * k + 1] = np.minimum(parts[name] + step, high)
        moved[name][:, 2 * k + 2] = np.maximum(parts[name] - step, low)
        spans[:, k] = moved[name][:, 2 * k + 1] - moved[name][:, 2 * k + 2]
    moved["axial_inertia_kg_m2"] *= moved["mass_kg"] / parts["mass_kg"][:, None]
    return {name: part.reshape(-1) for name, part in moved.items()}, spans


def _fly(columns: Columns, ground: Ground | str | None, threads: int) -> Flights:
    """Fly columns that were gathered before, in one call."""

    def of(kind: Any) -> Any:
        return kind(**{field.name: columns[field.name] for field in fields(kind)})

    # The wind is turned into the throw frame already, which a bearing of north leaves alone.
    wind = WindArrays(-columns["wind_y_m_s"], columns["wind_x_m_s"], columns["roughness_m"])
    return fly_many(
        of(AeroArrays), of(BodyArrays), of(ReleaseArrays), columns["density_kg_m3"], wind,
        ground=ground, ground_z_m=columns["ground_z_m"], rim_width_m=columns["rim_width_m"],
        step_s=0.5 * STEP_S, threads=threads,
    )  # fmt: skip
