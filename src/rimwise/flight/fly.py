"""Fly one disc, or very many."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING, Literal

import numpy as np

from rimwise.errors import InputError, check_range
from rimwise.flight._checks import column, common_length
from rimwise.flight._gather import gather
from rimwise.flight.ground import Ground, play_to_rest

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from numpy.typing import ArrayLike, NDArray

    from rimwise.flight.aero import Aero, AeroArrays
    from rimwise.flight.air import Air
    from rimwise.flight.body import Body, BodyArrays
    from rimwise.flight.release import Release, ReleaseArrays
    from rimwise.flight.wind import Wind, WindArrays

    Floats = NDArray[np.float64]

__all__ = ["COARSE_STEP_S", "STEP_S", "Flight", "Flights", "fly", "fly_many"]

FLY_POINTS = 121
#: Lands within a centimetre of an adaptive high-order method; see the tests.
STEP_S = 0.0625
#: Twice as fast: lands within centimetres on most throws. For screening many lines only.
COARSE_STEP_S = 0.125
DEFAULT_RIM_WIDTH_M = 0.016  # a fairway driver's
_RIM_LIMIT = (0.005, 0.04, "m")


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

    @property
    def range_m(self) -> float:
        """Distance of first touch down the aim line."""
        return float(self.landing_m[0])

    @property
    def left_m(self) -> float:
        """Distance of first touch left of the aim line (negative: right)."""
        return float(self.landing_m[1])


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


def fly(
    aero: Aero,
    body: Body,
    release: Release,
    air: Air,
    wind: Wind | None = None,
    *,
    model: Literal["precession", "rigid"] = "precession",
    path: bool = True,
    bearing_deg: float = 0.0,
    ground: Ground | str | None = None,
    ground_z_m: float = 0.0,
    rim_width_m: float = DEFAULT_RIM_WIDTH_M,
) -> Flight:
    """Fly one disc.

    Parameters
    ----------
    aero, body, release, air, wind
        The disc, the throw and the weather; no wind when ``None``.
    model : {"precession", "rigid"}
        Production model (gyroscopic precession with damping, nutation averaged out), or
        the full rigid body with both moments of inertia.
    path : bool
        Whether to keep the path; without it the path arrays are empty.
    bearing_deg : float
        Direction of the aim line, clockwise from true north; wind is relative to north.
    ground : Ground or str, optional
        Surface for play after first touch (see :data:`rimwise.flight.ground.GROUNDS`).
    ground_z_m : float
        Height of the landing area relative to the foot of the tee.
    rim_width_m : float
        Rim width for ground play, 0.005 … 0.04 m.

    Raises
    ------
    InputError
        When an argument is outside its domain.
    """
    points = FLY_POINTS if path else 0
    if model == "rigid":
        many = _fly_rigid(
            aero, body, release, air, wind, bearing_deg, ground, ground_z_m, rim_width_m, points
        )
    elif model == "precession":
        many = fly_many(
            aero, body, release, air, wind, bearing_deg=bearing_deg, ground=ground,
            ground_z_m=ground_z_m, rim_width_m=rim_width_m, path_points=points, threads=1,
        )  # fmt: skip
    else:
        raise InputError(f"model must be 'precession' or 'rigid', but is {model!r}.")
    hang = float(many.hang_s[0])
    return Flight(
        time_s=np.linspace(0.0, hang, points),
        position_m=many.path_m[0],
        axis=many.path_axis[0],
        spin_rad_s=many.path_spin_rad_s[0],
        landing_m=many.landing_m[0],
        landing_velocity_m_s=many.landing_velocity_m_s[0],
        landing_axis=many.landing_axis[0],
        rest_m=many.rest_m[0],
        apex_m=float(many.apex_m[0]),
        hang_s=hang,
        landed=bool(many.landed[0]),
    )


def _fly_rigid(
    aero: Aero,
    body: Body,
    release: Release,
    air: Air,
    wind: Wind | None,
    bearing_deg: float,
    ground: Ground | str | None,
    ground_z_m: float,
    rim_width_m: float,
    points: int,
) -> Flights:
    """One flight of the rigid-body reference, as a bundle of one."""
    from rimwise.flight.reference import Damping, Surroundings, fly_reference

    parts = gather(aero, body, release, air, wind, bearing_deg, ground_z_m)
    names = ("density_kg_m3", "wind_x_m_s", "wind_y_m_s", "roughness_m", "ground_z_m")
    scene = Surroundings(**{name: float(parts[name][0]) for name in names})
    flight = fly_reference(
        aero.curves, Damping.of(aero), body, release, scene, model="rigid", points=FLY_POINTS
    )
    height, across = flight.position_m[:, 2], flight.position_m[:, 1]
    row = [
        *flight.position_m[-1], *flight.velocity_m_s[-1], *flight.axis[-1], flight.spin_rad_s[-1],
        flight.time_s[-1], height.max(), across.max(), across.min(), float(flight.landed),
    ]  # fmt: skip
    path = np.column_stack([flight.position_m, flight.axis, flight.spin_rad_s])[None, :points]
    rim = column("rim_width_m", rim_width_m, _RIM_LIMIT)
    return _assemble(np.array([row]), path, _surface(ground), rim)


def fly_many(
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
    path_points: int = 0,
    step_s: float = STEP_S,
    threads: int = 2,
) -> Flights:
    """Fly N discs side by side: the fast path.

    Every argument is one object (the same for all flights), a list of N objects, or the
    matching struct of arrays (:class:`AeroArrays`, :class:`BodyArrays`,
    :class:`ReleaseArrays`, :class:`WindArrays`) whose fields are numbers or arrays of
    length 1 or N. ``air`` may also be densities in kg/m³. Results do not depend on
    ``threads``.

    Parameters
    ----------
    aero, body, release, air, wind
        As in :func:`fly`, one or many.
    bearing_deg, ground_z_m, rim_width_m : float or (N,)
        Aim line clockwise from north; height of the landing area relative to the tee's
        foot (−200 … 200 m); rim width for ground play. A disc that never rises above a
        higher landing area stays where it starts to fall.
    ground : Ground or str, optional
        Surface for play after first touch.
    path_points : int
        Points of each sampled path; 0 for none, else at least 2.
    step_s : float
        Time step, 0.005 … 0.2 s. The default lands within a centimetre of the equations;
        twice it is good enough for screening many lines, see ``COARSE_STEP_S``.
    threads : int
        Threads to share the work.

    Raises
    ------
    InputError
        When an argument is outside its domain or lengths differ.
    """
    from rimwise.flight import kernel

    parts = gather(aero, body, release, air, wind, bearing_deg, ground_z_m)
    rim = column("rim_width_m", rim_width_m, _RIM_LIMIT)
    count = common_length({**parts, "rim_width_m": rim})
    if path_points < 0 or path_points == 1:
        raise InputError(f"path_points must be 0 or at least 2, but is {path_points}.")
    step = check_range("step_s", step_s, 0.005, 0.2, "s")
    out = np.empty((count, len(kernel.OUTPUTS)))
    paths = np.empty((count, path_points, kernel.PATH_COLUMNS))
    columns = [parts[name] for name in kernel.INPUTS]
    lengths = np.array([len(one) for one in columns], dtype=np.int64)
    where = np.column_stack([np.cumsum(lengths) - lengths, np.where(lengths == 1, 0, 1)])
    data = np.concatenate(columns)

    def work(start: int, stop: int) -> None:
        kernel.fly_lanes(data, where, start, stop, step, kernel.TIME_CAP_S, out, paths)

    _share(work, count, threads)
    return _assemble(out, paths, _surface(ground), rim)


def _surface(ground: Ground | str | None) -> Ground | None:
    return Ground.named(ground) if isinstance(ground, str) else ground


def _share(work: Callable[[int, int], None], count: int, threads: int) -> None:
    """Cut ``0 … count`` into one block per thread; small jobs stay in this thread."""
    blocks = max(1, min(int(threads), count // 256))
    edges = [count * k // blocks for k in range(blocks + 1)]
    if blocks == 1:
        work(0, count)
        return
    with ThreadPoolExecutor(blocks) as pool:
        for done in [pool.submit(work, a, b) for a, b in pairwise(edges)]:
            done.result()


def _assemble(out: Floats, paths: Floats, ground: Ground | None, rim_width_m: Floats) -> Flights:
    """Name the kernel's columns and play the ground."""
    landing = out[:, 0:3]
    velocity, axis = out[:, 3:6], out[:, 6:9]
    rest = landing
    if ground is not None:
        rest = play_to_rest(landing, velocity, axis, ground, rim_width_m)
    return Flights(
        landing_m=landing,
        rest_m=rest,
        landing_velocity_m_s=velocity,
        landing_axis=axis,
        landing_spin_rad_s=out[:, 9],
        hang_s=out[:, 10],
        apex_m=out[:, 11],
        leftmost_m=out[:, 12],
        rightmost_m=out[:, 13],
        landed=out[:, 14] > 0.5,
        path_m=paths[:, :, 0:3],
        path_axis=paths[:, :, 3:6],
        path_spin_rad_s=paths[:, :, 6],
    )
