"""First touch to rest: touches and hops, then a slide or a roll.

No data for discs on turf were found. The mechanics are a textbook's: impulses with
restitution and Coulomb friction on the edge that strikes, the spinning axis turned by
them, ballistic hops, a slide of ``v² / (2 μ g)``, or a disc that rolls and curves toward
its lean (Ginsberg 2008; memory). What
a ground is made of is assumed, named and editable, and can be learnt from recorded skips.

The ground is level. Wind, and the air on a rolling disc, are left out.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from rimwise.errors import InputError, check_range
from rimwise.flight._checks import Limits, check_fields, column, common_length
from rimwise.flight._share import share
from rimwise.flight.release import Release

if TYPE_CHECKING:
    from typing import Literal

    from numpy.typing import ArrayLike, NDArray

    Floats = NDArray[np.float64]

__all__ = [
    "GROUNDS", "KINDS", "ROLLED", "SKIPPED", "SLID", "STUCK", "STUCK_WITHIN_M",
    "Ground", "GroundPlay", "play_ground", "play_to_rest", "roller_release",
]  # fmt: skip

_LIMITS: Limits = {
    "friction": (0.05, 2.0, ""),
    "restitution": (0.0, 0.9, ""),
    "dig": (0.0, 1.0, ""),
    "rolling": (0.01, 1.0, ""),
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
        Share of the horizontal speed lost by an edge that strikes square on, 0 … 1; less for
        flatter discs, shallower landings and an edge that turns with the travel.
    rolling : float
        Resistance to a rolling disc over its weight, 0.01 … 1.
    """

    friction: float
    restitution: float
    dig: float
    rolling: float = 0.18

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
#: and 0.3–0.5 on hard ground are ordinary ranges for plastic on these surfaces. Dig and
#: rolling (a narrow rim cuts into turf, and air drags on it too) are guesses.
GROUNDS = {
    "soft": Ground(friction=0.60, restitution=0.10, dig=0.80, rolling=0.35),
    "firm": Ground(friction=0.50, restitution=0.20, dig=0.60, rolling=0.18),
    "hard": Ground(friction=0.40, restitution=0.40, dig=0.40, rolling=0.12),
    "wet": Ground(friction=0.32, restitution=0.15, dig=0.60, rolling=0.22),
    "frozen": Ground(friction=0.25, restitution=0.45, dig=0.30, rolling=0.12),
}

# A rim's share of sharpness: 0 for the bluntest putter, 1 for the widest driver rim.
BLUNT_RIM_M, SHARP_RIM_M = 0.009, 0.026
BLUNT_EXTRA_FRICTION = 0.6  # the bluntest rim slides against this much more friction

# A disc of which only the landing is known: a right-handed backhand's usual spin at the end
# of its flight, and an approved disc's usual size and share of mass in the rim.
DEFAULT_SPIN_RAD_S = -60.0
DEFAULT_RADIUS_M = 0.106
DEFAULT_INERTIA_RATIO = 0.72

_DISC_LIMITS: Limits = {
    "rim_width_m": (0.005, 0.04, "m"),
    "spin_rad_s": (-1000.0, 1000.0, "rad/s"),
    "radius_m": (0.07, 0.18, "m"),
    "inertia_ratio": (0.001, 100.0, ""),
}

#: What a disc did after its first touch, the entries of :attr:`GroundPlay.kind`.
STUCK, SLID, SKIPPED, ROLLED = range(4)
#: Names of the kinds.
KINDS = ("stuck", "slid", "skipped", "rolled")
STUCK_WITHIN_M = 0.3


@dataclass(frozen=True, slots=True)
class GroundPlay:
    """Ground play of N discs as arrays, in the frame of the landings.

    Attributes
    ----------
    rest_m : (N, 3) float64
        Where each disc comes to lie.
    kind : (N,) int64
        ``STUCK`` within ``STUCK_WITHIN_M``, ``SLID``, ``SKIPPED`` at least once, or
        ``ROLLED``; :data:`KINDS` names them.
    hops : (N,) int64
        Hops of half a metre or more.
    hopped_m, rolled_m, slid_m : (N,) float64
        Lengths of path in hops, rolling and sliding.
    time_s : (N,) float64
        From first touch to rest.
    path_m : (N, points, 3) float64
        First touch, then top and end of each hop, points along a roll, and rest, which
        fills what is left over; heights are above the landing area. No points unless
        asked for.
    """

    rest_m: Floats
    kind: NDArray[np.int64]
    hops: NDArray[np.int64]
    hopped_m: Floats
    rolled_m: Floats
    slid_m: Floats
    time_s: Floats
    path_m: Floats

    def __len__(self) -> int:
        return len(self.rest_m)


def play_ground(
    landing_m: Floats,
    velocity_m_s: Floats,
    axis: Floats,
    ground: Ground,
    rim_width_m: ArrayLike = 0.016,
    *,
    spin_rad_s: ArrayLike = DEFAULT_SPIN_RAD_S,
    radius_m: ArrayLike = DEFAULT_RADIUS_M,
    inertia_ratio: ArrayLike = DEFAULT_INERTIA_RATIO,
    path: bool = False,
    threads: int = 1,
) -> GroundPlay:
    """Follow discs from first touch to rest on a level plane.

    At each touch the lowest point of the rim strikes and is rubbed against its own sliding
    speed, rim speed included; what is left of the fall slaps the disc flatter. Blows turn
    the axis of a spinning disc at right angles, as they do a gyroscope's, and tip a slow
    one further. When the hops have died, a disc that stands nearly upright and travels
    along its own plane rolls until it falls over; any other slides. Nothing adds energy,
    and nothing is random.

    Parameters
    ----------
    landing_m, velocity_m_s, axis : (N, 3) float64
        At first touch; position, velocity and unit axis.
    ground : Ground
        The surface.
    rim_width_m : float or (N,)
        0.005 … 0.04 m. Wide, sharp rims go on further than blunt ones (common practice, no
        source).
    spin_rad_s : float or (N,)
        About the axis, −1000 … 1000 rad/s; negative for a throw that fades left.
    radius_m : float or (N,)
        0.07 … 0.18 m.
    inertia_ratio : float or (N,)
        Axial inertia over mass and squared radius, 0.001 … 100; a real body's is below 1.
    path : bool
        Whether to keep points to draw.
    threads : int
        Threads to share the work; results do not depend on it.

    Raises
    ------
    InputError
        When an argument is outside its domain or lengths differ.
    """
    from rimwise.flight import _ground

    given = {
        name: column(name, value, _DISC_LIMITS[name])
        for name, value in (
            ("rim_width_m", rim_width_m), ("spin_rad_s", spin_rad_s),
            ("radius_m", radius_m), ("inertia_ratio", inertia_ratio),
        )
    }  # fmt: skip
    count = len(landing_m)
    if common_length(given) not in (1, count):
        raise InputError(
            f"rim_width_m, spin_rad_s, radius_m and inertia_ratio must have one entry or "
            f"{count}, as many as there are landings."
        )
    discs = np.empty((count, len(_ground.DISC)))
    discs[:, 0:2] = landing_m[:, :2]
    discs[:, 2:5] = velocity_m_s
    discs[:, 5:8] = axis
    discs[:, 8] = given["spin_rad_s"] * given["radius_m"]
    discs[:, 9] = given["radius_m"]
    discs[:, 10] = given["inertia_ratio"]
    discs[:, 11] = ground.friction * (1.0 + BLUNT_EXTRA_FRICTION * _bluntness(given["rim_width_m"]))
    surface = np.array([getattr(ground, name) for name in _ground.SURFACE])
    out = np.empty((count, len(_ground.OUTCOMES)))
    paths = np.empty((count, _ground.PATH_POINTS if path else 0, 3))
    energies = np.empty((count, 0))
    share(
        lambda start, stop: _ground.play(discs, surface, start, stop, out, paths, energies),
        count, threads,
    )  # fmt: skip
    return _named(landing_m, out, paths)


def _bluntness(rim_width_m: Floats) -> Floats:
    return 1.0 - np.clip((rim_width_m - BLUNT_RIM_M) / (SHARP_RIM_M - BLUNT_RIM_M), 0.0, 1.0)


def _named(landing_m: Floats, out: Floats, paths: Floats) -> GroundPlay:
    """Name the compiled loop's columns."""
    rest = landing_m.copy()
    rest[:, :2] = out[:, :2]
    hops = out[:, 2].astype(np.int64)
    moved = np.hypot(*(rest - landing_m)[:, :2].T)
    kind = np.where(
        out[:, 4] > 0.0,
        ROLLED,
        np.where(hops > 0, SKIPPED, np.where(moved > STUCK_WITHIN_M, SLID, STUCK)),
    )
    return GroundPlay(rest, kind, hops, out[:, 3], out[:, 4], out[:, 5], out[:, 6], paths)


def play_to_rest(
    landing_m: Floats,
    velocity_m_s: Floats,
    axis: Floats,
    ground: Ground,
    rim_width_m: ArrayLike = 0.016,
    *,
    spin_rad_s: ArrayLike = DEFAULT_SPIN_RAD_S,
    radius_m: ArrayLike = DEFAULT_RADIUS_M,
    inertia_ratio: ArrayLike = DEFAULT_INERTIA_RATIO,
    threads: int = 1,
) -> Floats:
    """Return where discs come to rest, (N, 3); arguments as in :func:`play_ground`."""
    return play_ground(
        landing_m, velocity_m_s, axis, ground, rim_width_m, spin_rad_s=spin_rad_s,
        radius_m=radius_m, inertia_ratio=inertia_ratio, threads=threads,
    ).rest_m  # fmt: skip


def roller_release(
    speed_m_s: float,
    spin_rad_s: float,
    *,
    hyzer_deg: float = -65.0,
    launch_deg: float = 3.0,
    heading_deg: float = 0.0,
    height_m: float = 1.0,
    hand: Literal["right", "left"] = "right",
    style: Literal["backhand", "forehand"] = "backhand",
) -> Release:
    """Return a throw that lands on its edge and rolls: steep anhyzer, low, and fast.

    Its edge must turn with the travel, which it does on the anhyzer side only: a steep
    *hyzer* lands on the edge that runs ahead of the disc, is braked and digs in. The angles
    are common practice without a source.

    Parameters
    ----------
    speed_m_s, spin_rad_s, height_m, hand, style
        As in :class:`~rimwise.flight.release.Release`.
    hyzer_deg : float
        −90 … −35°.
    launch_deg : float
        −20 … 20° above the horizontal.
    heading_deg : float
        To the left of the aim line.

    Raises
    ------
    InputError
        When an argument is outside its domain.
    """
    hyzer = check_range("hyzer_deg", hyzer_deg, -90.0, -35.0, "degrees")
    launch = check_range("launch_deg", launch_deg, -20.0, 20.0, "degrees")
    heading = check_range("heading_deg", heading_deg, -180.0, 180.0, "degrees")
    return Release(
        speed_m_s=speed_m_s, spin_rad_s=spin_rad_s, launch_rad=math.radians(launch),
        hyzer_rad=math.radians(hyzer), nose_rad=0.0, heading_rad=math.radians(heading),
        height_m=height_m, hand=hand, style=style,
    )  # fmt: skip
