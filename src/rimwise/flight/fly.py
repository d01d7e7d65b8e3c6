"""Fly one disc, or very many."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Literal

import numpy as np

from rimwise.errors import InputError, check_range
from rimwise.flight._checks import column, common_length
from rimwise.flight._gather import chosen, gather
from rimwise.flight._lanes import PATH_COLUMNS, PREPARED, TILE
from rimwise.flight._share import share
from rimwise.flight._steps import refuse_runaways, refuse_stiff
from rimwise.flight.domain import doubts
from rimwise.flight.flights import Flight, Flights
from rimwise.flight.ground import Ground, play_ground, play_to_rest

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import ArrayLike, NDArray

    from rimwise.flight.aero import Aero, AeroArrays
    from rimwise.flight.air import Air
    from rimwise.flight.body import Body, BodyArrays
    from rimwise.flight.release import Release, ReleaseArrays
    from rimwise.flight.wind import Wind, WindArrays

    Floats = NDArray[np.float64]
    Columns = dict[str, Floats]

__all__ = ["COARSE_STEP_S", "STEP_S", "fly", "fly_many"]

FLY_POINTS = 121
#: Lands 999 of 1000 realistic throws within a centimetre of an adaptive high-order method.
STEP_S = 0.1
#: Half as many steps: 99 of 100 throws within 3 cm. For screening many lines only.
COARSE_STEP_S = 0.2
DEFAULT_RIM_WIDTH_M = 0.016  # a fairway driver's
#: So many flights are checked, prepared and flown together: little enough for the caches.
_BLOCK = 8192
_RIM_LIMIT = (0.005, 0.04, "m")


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
    surface = _surface(ground)
    flight = Flight(
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
        ground_path_m=_ground_path(many, body, release, surface, rim_width_m)
        if path and surface is not None
        else np.empty((0, 3)),
    )
    found = doubts(
        aero, body, release, air, wind, flight, bearing_deg=bearing_deg, ground_z_m=ground_z_m
    )
    return replace(flight, doubts=tuple(doubt.sentence for doubt in found))


def _ground_path(
    many: Flights, body: Body, release: Release, ground: Ground, rim_width_m: float
) -> Floats:
    """Points of the first flight from first touch to rest, at their height in the throw frame."""
    radius = 0.5 * body.diameter_m
    play = play_ground(
        many.landing_m[:1], many.landing_velocity_m_s[:1], many.landing_axis[:1], ground,
        rim_width_m,
        spin_rad_s=-release.side * many.landing_spin_rad_s[:1],
        radius_m=radius,
        inertia_ratio=body.axial_inertia_kg_m2 / (body.mass_kg * radius**2),
        path=True,
    )  # fmt: skip
    return np.asarray(play.path_m[0] + [0.0, 0.0, float(many.landing_m[0, 2])])


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
        aero, Damping.of(aero), body, release, scene, model="rigid", points=FLY_POINTS
    )
    height, across = flight.position_m[:, 2], flight.position_m[:, 1]
    row = [
        *flight.position_m[-1], *flight.velocity_m_s[-1], *flight.axis[-1], flight.spin_rad_s[-1],
        flight.time_s[-1], height.max(), across.max(), across.min(), float(flight.landed),
    ]  # fmt: skip
    path = np.column_stack([flight.position_m, flight.axis, flight.spin_rad_s])[None, :points]
    rim = column("rim_width_m", rim_width_m, _RIM_LIMIT)
    out = np.array([row])
    return _assemble(out, path, _play(out, parts, _surface(ground), rim, 1))


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
        First time step, 0.005 … 0.2 s; each flight chooses its others, and the error goes
        with the fourth power of this. The default lands within a centimetre of the equations;
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
    paths = np.empty((count, path_points, PATH_COLUMNS))

    def work(start: int, stop: int) -> None:
        for first in range(start, stop, _BLOCK):
            block = slice(first, min(first + _BLOCK, stop))
            some = chosen(parts, block)
            refuse_stiff(some, step, first)
            _fly_block(some, step, out[block], paths[block])
            refuse_runaways(out[block], first)

    share(work, count, threads)
    rest = _play(out, parts, _surface(ground), rim, threads)
    return _assemble(out, paths, rest)


def _fly_block(parts: Columns, step_s: float, out: Floats, paths: Floats) -> int:
    """Fly checked columns, fill the rows of ``out`` and ``paths``, and count the steps tried."""
    from rimwise.flight import kernel
    from rimwise.flight._prepare import INPUTS, prepare

    columns = [parts[name] for name in INPUTS]
    lengths = np.array([len(one) for one in columns], dtype=np.int64)
    where = np.column_stack([np.cumsum(lengths) - lengths, np.where(lengths == 1, 0, 1)])
    prepared = np.empty((-(-len(out) // TILE), len(PREPARED), TILE), np.float32)
    prepare(np.concatenate(columns), where, len(out), prepared)
    return kernel.fly_lanes(prepared, step_s, kernel.TIME_CAP_S, out, paths)


def _surface(ground: Ground | str | None) -> Ground | None:
    return Ground.named(ground) if isinstance(ground, str) else ground


def _play(
    out: Floats, parts: dict[str, Floats], ground: Ground | None, rim_width_m: Floats, threads: int
) -> Floats:
    """Rest positions: where ground play ends, or the first touch without a ground."""
    landing, velocity, axis = out[:, 0:3], out[:, 3:6], out[:, 6:9]
    if ground is None:
        return landing
    radius = 0.5 * parts["diameter_m"]
    return play_to_rest(
        landing, velocity, axis, ground, rim_width_m,
        spin_rad_s=-parts["side"] * out[:, 9],
        radius_m=radius,
        inertia_ratio=parts["axial_inertia_kg_m2"] / (parts["mass_kg"] * radius**2),
        threads=threads,
    )  # fmt: skip


def _assemble(out: Floats, paths: Floats, rest_m: Floats) -> Flights:
    """Name the kernel's columns."""
    return Flights(
        landing_m=out[:, 0:3],
        rest_m=rest_m,
        landing_velocity_m_s=out[:, 3:6],
        landing_axis=out[:, 6:9],
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
