"""Wind: a logarithmic profile over terrain, given as in meteorology, and its gusts."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from rimwise.errors import InputError, check_finite, check_range
from rimwise.flight._checks import Limits, check_fields

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

__all__ = ["TERRAIN_ROUGHNESS_M", "Wind", "WindArrays"]

REFERENCE_HEIGHT_M = 10.0

#: Roughness lengths. EN 1991-1-4 Table 4.1 categories 0–IV, then WMO/Davenport classes.
#: At throwing height the logarithmic law itself holds only up to about 0.1 m; beyond, use
#: the wind of the nearest open ground and a shelter factor.
TERRAIN_ROUGHNESS_M = {
    "sea or coast": 0.003,
    "flat, no obstacles": 0.01,
    "open grass": 0.03,
    "low vegetation, isolated obstacles": 0.05,
    "roughly open": 0.10,
    "suburbs or forest": 0.3,
    "parkland or bushes": 0.5,
    "city": 1.0,
}

#: A reported gust is about this many standard deviations above the mean (memory: 2.5 to 3 for
#: the highest 3 s in ten minutes; EN 1991-1-4, 4.5 takes 3.5 for a building's worst case).
GUST_PEAK_FACTOR = 2.8
#: Standard deviation across the mean wind over that along it (memory: 1.9 against 2.4
#: friction velocities over flat open ground).
LATERAL_SHARE = 0.8
#: Draws are cut at this many standard deviations.
WIDEST_GUST = 3.5

_LIMITS: Limits = {
    "speed_m_s": (0.0, 60.0, "m/s"),
    "height_m": (1.0, 100.0, "m"),
    "roughness_m": (0.0, 2.0, "m"),
}
ARRAY_LIMITS: Limits = {
    "east_m_s": (-60.0, 60.0, "m/s"),
    "north_m_s": (-60.0, 60.0, "m/s"),
    "roughness_m": (0.0, 2.0, "m"),
}


@dataclass(frozen=True, slots=True)
class Wind:
    """A wind: its mean, and what it gusts to.

    Parameters
    ----------
    speed_m_s : float
        Mean speed at ``height_m``, 0 … 60 m/s, there and at 10 m.
    from_deg : float
        Direction it comes *from*, clockwise from true north.
    gust_m_s : float, optional
        Highest short gust at ``height_m``, not below the mean.
    height_m : float
        Height the speed belongs to, 1 … 100 m; 10 m is the meteorological standard.
    roughness_m : float
        Roughness length of the terrain, 0 … 2 m (see :data:`TERRAIN_ROUGHNESS_M`);
        0 means the same wind at every height.

    Raises
    ------
    InputError
        When a value is outside its range.
    """

    speed_m_s: float
    from_deg: float
    gust_m_s: float | None = None
    height_m: float = REFERENCE_HEIGHT_M
    roughness_m: float = 0.03

    def __post_init__(self) -> None:
        check_fields(self, _LIMITS)
        direction = check_finite("wind.from_deg", self.from_deg) % 360.0
        object.__setattr__(self, "from_deg", direction)
        if self.gust_m_s is not None:
            gust = check_range("wind.gust_m_s", self.gust_m_s, self.speed_m_s, 90.0, "m/s")
            object.__setattr__(self, "gust_m_s", gust)
        if self.height_m < 5.0 * self.roughness_m:
            raise InputError(
                f"wind.height_m must be at least 5 roughness lengths ({5 * self.roughness_m:g} m), "
                f"but is {self.height_m:g} m."
            )
        at_10m = self.speed_at_m_s(REFERENCE_HEIGHT_M)
        if at_10m > _LIMITS["speed_m_s"][1] * (1.0 + 1e-12):
            raise InputError(
                f"wind.speed_m_s must not mean more than {_LIMITS['speed_m_s'][1]:g} m/s at 10 m, "
                f"but {self.speed_m_s:g} m/s at {self.height_m:g} m is {at_10m:.0f} m/s there."
            )

    @classmethod
    def from_metar(cls, text: str) -> Wind:
        """Return the wind of an airport weather report (METAR).

        A variable wind (``VRB``) is given direction 0; it is light and its direction is
        unknown, so average over directions where that matters.

        Raises
        ------
        InputError
            When the report cannot be read or has no wind group.
        """
        from rimwise.flight.metar import parse_metar

        report = parse_metar(text)
        if report.wind_speed_m_s is None:
            raise InputError(
                f"The weather report {text.strip()!r} has no wind "
                "(a group such as 22015G25KT); give the wind by hand."
            )
        return cls(report.wind_speed_m_s, report.wind_from_deg or 0.0, report.gust_m_s)

    def speed_at_m_s(self, height_m: float) -> float:
        """Mean speed at a height: ``ln(z/z0)`` scaled, constant below two roughness lengths."""
        height = check_range("height_m", height_m, 0.0, 300.0, "m")
        if self.roughness_m == 0.0:
            return self.speed_m_s
        share = math.log(max(height / self.roughness_m, 2.0))
        return self.speed_m_s * share / math.log(self.height_m / self.roughness_m)

    @property
    def vector_10m_m_s(self) -> tuple[float, float]:
        """Components toward east and north at 10 m, m/s."""
        speed = self.speed_at_m_s(REFERENCE_HEIGHT_M)
        angle = math.radians(self.from_deg)
        return -speed * math.sin(angle), -speed * math.cos(angle)

    def turbulence_intensity(self, height_m: float = REFERENCE_HEIGHT_M) -> float:
        """Return the wind's standard deviation over its mean: ``1/ln(z/z0)`` (EN 1991-1-4, 4.4).

        With the recommended turbulence factor 1 and flat ground. Zero for roughness 0.
        """
        height = check_range("height_m", height_m, 0.0, 300.0, "m")
        if self.roughness_m == 0.0:
            return 0.0
        return 1.0 / math.log(max(height / self.roughness_m, 2.0))

    @property
    def gust_sd_m_s(self) -> float:
        """Standard deviation of the speed along the wind, m/s, over minutes.

        From the reported gust where there is one, ``(gust − mean) / GUST_PEAK_FACTOR``; else
        from the turbulence intensity. In a logarithmic wind it is the same at all heights.
        """
        if self.gust_m_s is not None:
            return (self.gust_m_s - self.speed_m_s) / GUST_PEAK_FACTOR
        return self.speed_m_s * self.turbulence_intensity(self.height_m)

    def gusts(self, count: int, rng: np.random.Generator) -> WindArrays:
        """Draw the winds that ``count`` throws meet; see :meth:`gusty`.

        Parameters
        ----------
        count : int
            At least 1.
        rng : numpy.random.Generator
            Source of the draws; equal generators give equal winds.

        Raises
        ------
        InputError
            When the count is less than 1.
        """
        if count < 1:
            raise InputError(f"count must be at least 1, but is {count}.")
        return self.gusty(rng.standard_normal((count, 2)))

    def gusty(self, normals: NDArray[np.float64]) -> WindArrays:
        """Turn standard normal draws into winds: the mean, and a gust along and across it.

        One throw meets one gust (assumption). Eddies at 10 m are about 70 m long over open
        grass (EN 1991-1-4, annex B, memory), as long as a flight, so a gust neither stays nor
        passes: averaged over a flight of 100 m its standard deviation would be a fifth less.
        On the other hand a gust is flown with the mean wind's profile, which makes it a
        quarter too small at 2 m. Vertical gusts are left out: near the ground they are half
        as strong, a few metres long, and average out.

        Parameters
        ----------
        normals : (N, 2) float64
            Along and across the wind; cut at ``WIDEST_GUST``.

        Returns
        -------
        WindArrays
            N winds at 10 m, as :func:`rimwise.flight.fly.fly_many` takes them.

        Raises
        ------
        InputError
            When the draws are not finite numbers of this shape.
        """
        drawn = np.asarray(normals, dtype=np.float64)
        if drawn.ndim != 2 or drawn.shape[1] != 2 or not np.isfinite(drawn).all():
            raise InputError(
                f"normals must be finite numbers of shape (N, 2), but have shape {drawn.shape}."
            )
        sd = self.gust_sd_m_s
        along, across = np.clip(drawn, -WIDEST_GUST, WIDEST_GUST).T
        speed = self.speed_at_m_s(REFERENCE_HEIGHT_M) + sd * along
        side = LATERAL_SHARE * sd * across
        angle = math.radians(self.from_deg)
        low, high, _ = ARRAY_LIMITS["east_m_s"]
        return WindArrays(
            np.clip(-speed * math.sin(angle) + side * math.cos(angle), low, high),
            np.clip(-speed * math.cos(angle) - side * math.sin(angle), low, high),
            self.roughness_m,
        )


@dataclass(frozen=True, slots=True)
class WindArrays:
    """Many winds as arrays of length 1 or N.

    Parameters
    ----------
    east_m_s, north_m_s : array_like
        Components the air moves toward, at 10 m height, −60 … 60 m/s.
    roughness_m : array_like
        Roughness length, 0 … 2 m; 0 means the same wind at every height.
    """

    east_m_s: ArrayLike = 0.0
    north_m_s: ArrayLike = 0.0
    roughness_m: ArrayLike = 0.03
