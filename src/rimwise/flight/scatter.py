"""How throws differ from what was meant: standard-normal draws into releases."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from rimwise.errors import InputError
from rimwise.flight._checks import Limits, check_fields
from rimwise.flight.release import RELEASE_LIMITS, Release, ReleaseArrays

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

    Floats = NDArray[np.float64]

__all__ = ["DRAWS", "SHANK_FACTOR", "ReleaseScatter", "scattered_releases"]

#: Columns of the draws: speed, spin, launch, hyzer, nose, heading.
DRAWS = 6

#: A shank is a throw whose angles and heading go astray this many times further (assumption).
SHANK_FACTOR = 4.0

_LIMITS: Limits = {
    "speed_fraction": (0.0, 0.5, ""),
    "launch_rad": (0.0, 0.5, "rad"),
    "hyzer_rad": (0.0, 0.8, "rad"),
    "nose_rad": (0.0, 0.5, "rad"),
    "heading_rad": (0.0, 0.8, "rad"),
    "spin_fraction": (0.0, 0.5, ""),
    "speed_spin_correlation": (-1.0, 1.0, ""),
    "shank_chance": (0.0, 0.5, ""),
}


@dataclass(frozen=True, slots=True)
class ReleaseScatter:
    """Standard deviations per throw about the meant release.

    Parameters
    ----------
    speed_fraction, spin_fraction : float
        Of the meant speed and spin, 0 … 0.5.
    launch_rad, hyzer_rad, nose_rad, heading_rad : float
        Radians.
    speed_spin_correlation : float
        −1 … 1; a faster throw usually spins more (assumption).
    shank_chance : float
        Chance of a bad throw, 0 … 0.5, whose angles stray ``SHANK_FACTOR`` times as far.

    Raises
    ------
    InputError
        When a value is outside its range.
    """

    speed_fraction: float
    launch_rad: float
    hyzer_rad: float
    nose_rad: float
    heading_rad: float
    spin_fraction: float = 0.05
    speed_spin_correlation: float = 0.6
    shank_chance: float = 0.0

    def __post_init__(self) -> None:
        check_fields(self, _LIMITS)

    def widened(self, factor: float) -> ReleaseScatter:
        """Scatter of the angles and heading times a factor, for unpractised lines or low grip."""
        low, high = 0.0, 10.0
        if not low <= factor <= high:
            raise InputError(f"factor must be between {low:g} and {high:g}, but is {factor}.")
        return ReleaseScatter(
            self.speed_fraction,
            min(self.launch_rad * factor, _LIMITS["launch_rad"][1]),
            min(self.hyzer_rad * factor, _LIMITS["hyzer_rad"][1]),
            min(self.nose_rad * factor, _LIMITS["nose_rad"][1]),
            min(self.heading_rad * factor, _LIMITS["heading_rad"][1]),
            self.spin_fraction,
            self.speed_spin_correlation,
            self.shank_chance,
        )


def scattered_releases(
    meant: Release | ReleaseArrays,
    scatter: ReleaseScatter,
    normal: Floats,
    uniform: ArrayLike | None = None,
) -> ReleaseArrays:
    """Perturb a meant release once per row of draws.

    Draws are passed in, so that alternatives can be compared on the same throws (common
    random numbers).

    Parameters
    ----------
    meant : Release or ReleaseArrays
        The release aimed at; array fields have length 1 or N.
    scatter : ReleaseScatter
        How far throws stray.
    normal : (N, 6) float64
        Independent standard-normal draws, columns as in :data:`DRAWS`.
    uniform : (N,) float64, optional
        Draws in 0 … 1 that decide which throws are shanks; without them none is.

    Returns
    -------
    ReleaseArrays
        N releases, held inside the release's own limits.

    Raises
    ------
    InputError
        When the draws have the wrong shape.
    """
    draws = np.asarray(normal, dtype=np.float64)
    if draws.ndim != 2 or draws.shape[1] != DRAWS:
        raise InputError(f"normal must have shape (N, {DRAWS}), but has shape {draws.shape}.")
    wide = np.ones(len(draws))
    if uniform is not None:
        chances = np.asarray(uniform, dtype=np.float64)
        if chances.shape != wide.shape:
            raise InputError(f"uniform must have shape {wide.shape}, but has {chances.shape}.")
        wide = np.where(chances < scatter.shank_chance, SHANK_FACTOR, 1.0)
    rho = scatter.speed_spin_correlation
    spin_draw = rho * draws[:, 0] + math.sqrt(1.0 - rho * rho) * draws[:, 1]
    values = {
        "speed_m_s": np.asarray(meant.speed_m_s) * (1.0 + scatter.speed_fraction * draws[:, 0]),
        "spin_rad_s": np.asarray(meant.spin_rad_s) * (1.0 + scatter.spin_fraction * spin_draw),
        "launch_rad": np.asarray(meant.launch_rad) + scatter.launch_rad * wide * draws[:, 2],
        "hyzer_rad": np.asarray(meant.hyzer_rad) + scatter.hyzer_rad * wide * draws[:, 3],
        "nose_rad": np.asarray(meant.nose_rad) + scatter.nose_rad * wide * draws[:, 4],
        "heading_rad": np.asarray(meant.heading_rad) + scatter.heading_rad * wide * draws[:, 5],
    }
    held = {name: np.clip(v, *RELEASE_LIMITS[name][:2]) for name, v in values.items()}
    return ReleaseArrays(**held, height_m=meant.height_m, side=meant.side)
