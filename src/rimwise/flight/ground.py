"""First touch to rest: bounce, slide and skip, simply.

No data for discs on turf were found. Everything here is Coulomb friction and restitution
with named, editable assumptions; it can be learnt from recorded skips.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from rimwise.errors import InputError
from rimwise.flight._checks import Limits, check_fields

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

__all__ = ["GROUNDS", "Ground", "play_to_rest"]

GRAVITY_M_S2 = 9.80665

_LIMITS: Limits = {
    "friction": (0.05, 2.0, ""),
    "restitution": (0.0, 0.9, ""),
    "dig": (0.0, 1.0, ""),
}


@dataclass(frozen=True, slots=True)
class Ground:
    """What the landing area is like.

    Parameters
    ----------
    friction : float
        Coulomb coefficient of a sliding disc, 0.05 … 2.
    restitution : float
        Share of the vertical speed kept at a touch, 0 … 0.9.
    dig : float
        Share of the horizontal speed lost by an edge that strikes square on, 0 … 1;
        scaled down for flat and shallow landings.
    """

    friction: float
    restitution: float
    dig: float

    def __post_init__(self) -> None:
        check_fields(self, _LIMITS)

    @classmethod
    def named(cls, name: str) -> Ground:
        """Return one of :data:`GROUNDS`.

        Raises
        ------
        InputError
            When there is no such ground.
        """
        if name not in GROUNDS:
            raise InputError(f"ground must be one of {', '.join(GROUNDS)}, but is {name!r}.")
        return GROUNDS[name]


#: Assumptions. Friction 0.4–0.6 on dry turf and 0.25–0.4 wet, restitution 0.1–0.3 on turf
#: and 0.3–0.5 on hard ground are ordinary ranges for plastic on these surfaces.
GROUNDS = {
    "soft": Ground(friction=0.60, restitution=0.10, dig=0.80),
    "firm": Ground(friction=0.50, restitution=0.20, dig=0.60),
    "hard": Ground(friction=0.40, restitution=0.40, dig=0.40),
    "wet": Ground(friction=0.32, restitution=0.15, dig=0.60),
    "frozen": Ground(friction=0.25, restitution=0.45, dig=0.30),
}

# A rim's share of sharpness: 0 for the bluntest putter, 1 for the widest driver rim.
BLUNT_RIM_M, SHARP_RIM_M = 0.009, 0.026
BLUNT_EXTRA_FRICTION = 0.6  # the bluntest rim slides against this much more friction
MAX_BOUNCES = 4


def play_to_rest(
    landing_m: NDArray[np.float64],
    velocity_m_s: NDArray[np.float64],
    axis: NDArray[np.float64],
    ground: Ground,
    rim_width_m: ArrayLike = 0.016,
) -> NDArray[np.float64]:
    """Follow discs from first touch to rest on a level plane.

    At each touch the vertical speed is reversed and kept in part, friction takes its
    impulse share ``μ (1 + e) |v_z|`` of the horizontal speed, and an edge that leads into
    the ground digs in. Bounces end after ``MAX_BOUNCES``; the rest is a slide of
    ``v² / (2 μ g)``. Nothing here adds energy, and the path keeps its direction.

    Parameters
    ----------
    landing_m, velocity_m_s, axis : (N, 3) float64
        At first touch; position, velocity and unit axis.
    ground : Ground
        The surface.
    rim_width_m : float or (N,)
        Wide, sharp rims go on further than blunt ones (common practice, no source).

    Returns
    -------
    (N, 3) float64
        Rest positions.
    """
    sharpness = (np.asarray(rim_width_m, dtype=np.float64) - BLUNT_RIM_M) / (
        SHARP_RIM_M - BLUNT_RIM_M
    )
    sharpness = np.clip(sharpness, 0.0, 1.0)
    friction = ground.friction * (1.0 + BLUNT_EXTRA_FRICTION * (1.0 - sharpness))
    along = velocity_m_s[:, :2]
    speed = np.hypot(along[:, 0], along[:, 1])
    direction = along / np.maximum(speed, 1e-9)[:, None]
    down = np.maximum(-velocity_m_s[:, 2], 0.0)
    # How far the disc's plane is from the ground's: 0 flat, 1 on edge.
    steep = np.sqrt(np.clip(1.0 - axis[:, 2] ** 2, 0.0, 1.0))
    descent = down / np.maximum(np.hypot(speed, down), 1e-9)
    speed = speed * (1.0 - ground.dig * steep * np.sqrt(descent))
    travelled = np.zeros_like(speed)
    for _ in range(MAX_BOUNCES):
        speed = np.maximum(speed - friction * (1.0 + ground.restitution) * down, 0.0)
        down = ground.restitution * down
        travelled += speed * 2.0 * down / GRAVITY_M_S2
    travelled += speed**2 / (2.0 * friction * GRAVITY_M_S2)
    rest = landing_m.copy()
    rest[:, :2] += direction * travelled[:, None]
    return rest
