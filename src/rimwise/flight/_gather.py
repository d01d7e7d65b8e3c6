"""From one or many of anything to checked columns, as the kernel takes them."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from rimwise.flight import aero as _aero
from rimwise.flight import body as _body
from rimwise.flight import release as _release
from rimwise.flight import wind as _wind
from rimwise.flight._checks import column, columns, common_length
from rimwise.flight.air import Air

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

    Floats = NDArray[np.float64]

__all__ = ["chosen", "gather"]

_DENSITY_LIMIT = (0.0, 2.0, "kg/m³")
_GROUND_LIMIT = (-200.0, 200.0, "m")
_BEARING_LIMIT = (-720.0, 720.0, "degrees")


def gather(
    aero: object,
    body: object,
    release: object,
    air: object,
    wind: object,
    bearing_deg: ArrayLike,
    ground_z_m: ArrayLike,
) -> dict[str, Floats]:
    """Turn the arguments of :func:`fly_many` into checked columns of length 1 or N."""
    parts = columns("aero", aero, _aero.Aero, _aero.AeroArrays, _aero.AERO_LIMITS)
    body_limits = {k: v for k, v in _body.BODY_LIMITS.items() if not k.startswith("transverse")}
    parts |= columns("body", body, _body.Body, _body.BodyArrays, body_limits)
    sizes = {name: parts[name] for name in body_limits}
    common_length(sizes)
    _body.check_possible(**sizes)
    parts |= columns(
        "release", release, _release.Release, _release.ReleaseArrays, _release.ARRAY_LIMITS
    )
    parts["density_kg_m3"] = _densities(air)
    parts["ground_z_m"] = column("ground_z_m", ground_z_m, _GROUND_LIMIT)
    bearing = np.radians(column("bearing_deg", bearing_deg, _BEARING_LIMIT))
    east, north, parts["roughness_m"] = _winds(wind)
    common_length({"wind.east_m_s": east, "wind.north_m_s": north, "bearing_deg": bearing})
    sine, cosine = np.sin(bearing), np.cos(bearing)
    parts["wind_x_m_s"] = east * sine + north * cosine
    parts["wind_y_m_s"] = north * sine - east * cosine
    return parts


def chosen(
    parts: dict[str, Floats], rows: NDArray[np.intp] | NDArray[np.bool_] | slice
) -> dict[str, Floats]:
    """Return the columns of some flights; what all share stays a single entry."""
    return {name: part if len(part) == 1 else part[rows] for name, part in parts.items()}


def _densities(air: object) -> Floats:
    if isinstance(air, Air):
        return np.array([air.density_kg_m3])
    if isinstance(air, list | tuple) and air and all(isinstance(a, Air) for a in air):
        return np.array([a.density_kg_m3 for a in air])
    return column("air", air, _DENSITY_LIMIT)  # type: ignore[arg-type]


def _winds(wind: object) -> tuple[Floats, Floats, Floats]:
    if wind is None:
        zero = np.zeros(1)
        return zero, zero, zero
    if isinstance(wind, _wind.Wind):
        wind = [wind]
    if isinstance(wind, list | tuple) and wind and all(isinstance(w, _wind.Wind) for w in wind):
        vectors = np.array([w.vector_10m_m_s for w in wind])
        rough = np.array([w.roughness_m for w in wind])
        return vectors[:, 0].copy(), vectors[:, 1].copy(), rough
    parts = columns("wind", wind, _wind.Wind, _wind.WindArrays, _wind.ARRAY_LIMITS)
    return parts["east_m_s"], parts["north_m_s"], parts["roughness_m"]
