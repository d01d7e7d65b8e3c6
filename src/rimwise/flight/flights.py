"""What a flight is once it has been flown: frozen results in the throw frame.

Both kinds say what they are in a line of words, and draw themselves in a notebook.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np

from rimwise.flight.showing import drawn

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

__all__ = ["Flight", "Flights"]


@dataclass(frozen=True, slots=True)
class Flight:
    """One flight, in the throw frame: x down the aim line, y to the left, z up.

    Attributes
    ----------
    time_s : (n,) float64
        From release to landing; empty without path.
    position_m, axis : (n, 3) float64
        Centre of the disc and unit normal out of its top; empty without path.
    spin_rad_s : (n,) float64
        Magnitude; empty without path.
    landing_m : (3,) float64
        First touch.
    landing_velocity_m_s, landing_axis : (3,) float64
        Velocity and axis at first touch.
    rest_m : (3,) float64
        After ground play; the first touch when no ground was given.
    apex_m, hang_s : float
        Highest point above the foot of the tee; time in the air.
    landed : bool
        False when the flight was cut off at the time cap, still in the air.
    ground_path_m : (points, 3) float64
        From first touch to rest, to draw; empty without path or ground.
    doubts : tuple of str
        Where the flight left what the model was checked for, one sentence each.
    """

    time_s: Floats
    position_m: Floats
    axis: Floats
    spin_rad_s: Floats
    landing_m: Floats
    landing_velocity_m_s: Floats
    landing_axis: Floats
    rest_m: Floats
    apex_m: float
    hang_s: float
    landed: bool
    ground_path_m: Floats = field(default_factory=lambda: np.empty((0, 3)))
    doubts: tuple[str, ...] = ()

    @property
    def range_m(self) -> float:
        """Distance of first touch down the aim line."""
        return float(self.landing_m[0])

    @property
    def left_m(self) -> float:
        """Distance of first touch left of the aim line (negative: right)."""
        return float(self.landing_m[1])

    @property
    def played_on(self) -> bool:
        """Whether the disc rests elsewhere than where it first touched."""
        return not np.array_equal(self.landing_m, self.rest_m)

    def __repr__(self) -> str:
        if not self.landed:
            return f"Flight: still in the air after {self.hang_s:.1f} s, {_place(self.landing_m)}"
        told = [f"first touch {_place(self.landing_m)}"]
        if self.played_on:
            told.append(f"at rest {_place(self.rest_m)}")
        told.append(f"apex {self.apex_m:.1f} m")
        told.append(f"{self.hang_s:.1f} s in the air")
        return f"Flight: {', '.join(told)}"

    def _repr_html_(self) -> str | None:
        """Show a notebook the flight from above and from the side; needs the path."""
        return drawn(self)


@dataclass(frozen=True, slots=True)
class Flights:
    """N flights as arrays; frame and names as in :class:`Flight`.

    Attributes
    ----------
    landing_m, rest_m, landing_velocity_m_s, landing_axis : (N, 3) float64
        ``rest_m`` is the first touch when no ground was given.
    landing_spin_rad_s, apex_m, hang_s : (N,) float64
        At first touch; highest point; time in the air.
    leftmost_m, rightmost_m : (N,) float64
        Furthest points to either side of the aim line while in the air (the tee is 0).
    landed : (N,) bool
        False where the flight was cut off at the time cap.
    path_m, path_axis : (N, points, 3) float64
        Positions and axes evenly spread in time from release to landing; no points unless
        asked for.
    path_spin_rad_s : (N, points) float64
        Spin along the path.
    """

    landing_m: Floats
    rest_m: Floats
    landing_velocity_m_s: Floats
    landing_axis: Floats
    landing_spin_rad_s: Floats
    apex_m: Floats
    hang_s: Floats
    leftmost_m: Floats
    rightmost_m: Floats
    landed: NDArray[np.bool_]
    path_m: Floats
    path_axis: Floats
    path_spin_rad_s: Floats

    def __len__(self) -> int:
        return len(self.landing_m)

    def __repr__(self) -> str:
        if not len(self):
            return "Flights: none"
        out, left = _eight_of_ten(self.rest_m[:, 0]), self.rest_m[:, 1]
        right_end, left_end = _eight_of_ten(left)
        airborne = int(np.count_nonzero(~self.landed))
        still = f"; {airborne} still in the air" if airborne else ""
        return (
            f"Flights: {len(self)}; at rest 8 of 10 lie {out[0]:.1f} to {out[1]:.1f} m out, "
            f"8 of 10 from {_side(left_end)} to {_side(right_end)}{still}"
        )

    def _repr_html_(self) -> str | None:
        """Show a notebook where they came to rest, and their paths where these were kept."""
        return drawn(self)

    @property
    def range_m(self) -> Floats:
        """Distance of first touch down the aim line, (N,)."""
        return self.landing_m[:, 0]

    @property
    def left_m(self) -> Floats:
        """Distance of first touch left of the aim line (negative: right), (N,)."""
        return self.landing_m[:, 1]

    @property
    def landing_bank_rad(self) -> Floats:
        """Bank at first touch about the direction of travel, left edge down positive, (N,)."""
        along = self.landing_velocity_m_s[:, :2]
        speed = np.maximum(np.hypot(along[:, 0], along[:, 1]), 1e-9)
        left = np.stack([-along[:, 1], along[:, 0]], axis=1) / speed[:, None]
        lean = np.einsum("ij,ij->i", self.landing_axis[:, :2], left)
        return np.asarray(np.arcsin(np.clip(lean, -1.0, 1.0)))


def _eight_of_ten(values: Floats) -> tuple[float, float]:
    low, high = np.quantile(values, (0.1, 0.9))
    return float(low), float(high)


def _place(point_m: Floats) -> str:
    return f"{float(point_m[0]):.1f} m out, {_side(float(point_m[1]))}"


def _side(left_m: float) -> str:
    size = f"{abs(left_m):.1f}"
    return "straight" if size == "0.0" else f"{size} m {'left' if left_m > 0 else 'right'}"
