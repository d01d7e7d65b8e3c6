"""A flat frame in metres (x east, y north) about a point of the globe, and back.

The frame is the ellipsoidal orthographic projection (IOGP Guidance Note 7-2, method 9840):
the foot points on the tangent plane at the origin. Its scale errs by d²/2R², which is
0.03 mm at 500 m and 1 mm at 2 km, far below the accuracy of any map of a course. North is
the origin's north; the meridian of a point 500 m to the east differs by less than 0.01°
below 60° of latitude.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from rimwise.errors import InputError, check_range
from rimwise.records.courses import Point

__all__ = ["WGS84_FLATTENING", "WGS84_SEMI_MAJOR_M", "LocalFrame"]

#: WGS 84 defining parameters (NGA.STND.0036).
WGS84_SEMI_MAJOR_M = 6_378_137.0
WGS84_FLATTENING = 1.0 / 298.257223563
_E2 = WGS84_FLATTENING * (2.0 - WGS84_FLATTENING)

#: The frame is meant for one course; the inverse is refused farther out than this.
_REACH_M = 50_000.0


def _prime_vertical_m(lat_rad: float) -> float:
    """Radius of curvature in the prime vertical, metres."""
    return WGS84_SEMI_MAJOR_M / math.sqrt(1.0 - _E2 * math.sin(lat_rad) ** 2)


def _meridional_m(lat_rad: float) -> float:
    """Radius of curvature in the meridian, metres."""
    return _prime_vertical_m(lat_rad) * (1.0 - _E2) / (1.0 - _E2 * math.sin(lat_rad) ** 2)


@dataclass(frozen=True, slots=True)
class LocalFrame:
    """The local frame about an origin.

    Parameters
    ----------
    lat_deg, lon_deg
        WGS 84 position of the origin, −89 to 89 and −180 to 180 degrees.
    """

    lat_deg: float
    lon_deg: float

    def __post_init__(self) -> None:
        check_range("latitude of the course", self.lat_deg, -89.0, 89.0, "degrees")
        check_range("longitude of the course", self.lon_deg, -180.0, 180.0, "degrees")

    def to_local(self, lat_deg: float, lon_deg: float) -> Point:
        """Return (east, north) in metres of a WGS 84 position in degrees.

        Raises
        ------
        InputError
            When the position is not on the globe.
        """
        check_range("latitude", lat_deg, -90.0, 90.0, "degrees")
        check_range("longitude", lon_deg, -180.0, 180.0, "degrees")
        lat, lat0 = math.radians(lat_deg), math.radians(self.lat_deg)
        dlon = math.radians(lon_deg - self.lon_deg)
        nu, nu0 = _prime_vertical_m(lat), _prime_vertical_m(lat0)
        east = nu * math.cos(lat) * math.sin(dlon)
        # sin φ cos φ₀ − cos φ sin φ₀ cos Δλ, arranged so that near points do not cancel.
        turn = math.sin(lat - lat0) + 2.0 * math.cos(lat) * math.sin(lat0) * (
            math.sin(dlon / 2.0) ** 2
        )
        flattening = _E2 * (nu0 * math.sin(lat0) - nu * math.sin(lat)) * math.cos(lat0)
        return east, nu * turn + flattening

    def to_geographic(self, east_m: float, north_m: float) -> tuple[float, float]:
        """Return (latitude, longitude) in degrees of a local point in metres.

        Inverts :meth:`to_local` by Newton steps with the two radii of curvature.

        Raises
        ------
        InputError
            When the point is more than 50 km from the origin.
        """
        if not math.hypot(east_m, north_m) <= _REACH_M:
            raise InputError(
                f"a point {east_m:g} m east and {north_m:g} m north is no place on a course; "
                "stay within 50 km of its origin."
            )
        lat_deg, lon_deg = self.lat_deg, self.lon_deg
        for _ in range(20):
            at_east, at_north = self.to_local(lat_deg, (lon_deg + 180.0) % 360.0 - 180.0)
            gap_east, gap_north = east_m - at_east, north_m - at_north
            lat = math.radians(lat_deg)
            lat_deg += math.degrees(gap_north / _meridional_m(lat))
            lon_deg += math.degrees(gap_east / (_prime_vertical_m(lat) * math.cos(lat)))
            if math.hypot(gap_east, gap_north) < 1e-6:
                break
        return lat_deg, (lon_deg + 180.0) % 360.0 - 180.0
