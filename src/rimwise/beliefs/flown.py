"""Flights around what is believed now, as local polynomials of every throw.

A throw's release is scattered most in the nose, over which a landing is far from linear. So its
flight is tabulated at seven nose angles, 0.9 standard deviations apart; at three of these the
landing's slope and curvature along four printed numbers, speed, launch and hyzer are taken from
central differences, whose steps along the arm are √3 scatter standard deviations, so that the
same flights are the sigma points of the scatter; mixed curvatures are taken in the middle.
Heading turns a landing about the tee, which needs no flight.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from rimwise.beliefs.fleet import Fleet
from rimwise.beliefs.observed import ThrowTable
from rimwise.beliefs.unknowns import LOCAL, Unknowns, numbers_of
from rimwise.flight.body import Body, BodyArrays, rim_width_from_printed_speed_m
from rimwise.flight.flights import Flights
from rimwise.flight.fly import STEP_S, fly_many
from rimwise.flight.printed import aero_arrays_from_printed
from rimwise.flight.release import ReleaseArrays

__all__ = [
    "NODES",
    "POLY",
    "SPACING",
    "Bodies",
    "Polynomials",
    "bodies_of",
    "fly_local",
    "tabulate",
]

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]

#: Nose angles flown, in scatter standard deviations over ``SPACING`` from the middle.
NODES = (-3, -2, -1, 0, 1, 2, 3)
SPACING = 0.9
#: The nodes at which slopes are taken.
SLOPE_NODES = (-2, 0, 2)
#: Local arguments (positions in ``LOCAL``) along which a landing is a polynomial: the four
#: printed numbers, then speed, launch and hyzer, which are scattered as well.
POLY = (0, 1, 2, 3, 5, 7, 8)
_NOSE, _MASS, _RATIO = LOCAL.index("nose (rad)"), 4, 6
#: Steps along the printed numbers, mass and advance ratio; and the least ones along the arm.
NUMBER_STEPS = (0.6, 0.5, 0.4, 0.5)
MASS_STEP, RATIO_STEP = 0.02, 0.05
LEAST_ARM_STEPS = (0.02, 0.015, 0.02)
LEAST_NOSE_SPACING_RAD = 0.008
#: Releases are held to what the kernel takes.
_SPEED_M_S, _SPIN_RAD_S, _ANGLE_RAD = (3.0, 49.0), (8.0, 290.0), 1.4


@dataclass(frozen=True, eq=False)
class Bodies:
    """Sizes of the fleet's discs, (n,) each; inertia is that of ``mass_kg``."""

    mass_kg: Floats
    diameter_m: Floats
    axial_inertia_kg_m2: Floats
    rim_width_m: Floats


@dataclass(frozen=True, eq=False)
class Polynomials:
    """Where throws come down, near the local arguments ``at`` they were flown with.

    The last axis is rest along and left of the aim line and distance to first touch, m, as if
    released with heading 0.

    Attributes
    ----------
    at : (T, 11)
        Local arguments of the middle.
    nose_step_rad : (T,)
        Spacing of the nose angles.
    middle : (T, 7, 3)
        Landing at each nose angle.
    slope, curve : (T, 3, 7, 3)
        First and second derivatives at ``SLOPE_NODES`` along ``POLY``.
    mixed : (T, 7, 7, 3)
        Mixed second derivatives in the middle along ``POLY``; those of an argument with itself
        are 0 here, as ``curve`` has them.
    side_slope : (T, 2, 3)
        First derivatives along log mass and log advance ratio.
    """

    at: Floats
    nose_step_rad: Floats
    middle: Floats
    slope: Floats
    curve: Floats
    mixed: Floats
    side_slope: Floats


def bodies_of(fleet: Fleet) -> Bodies:
    """Return sizes of discs; unknown dimensions are the usual ones of the printed speed."""
    rim = np.array(
        [
            width if not math.isnan(width) else rim_width_from_printed_speed_m(speed)
            for width, speed in zip(
                fleet.rim_width_m.tolist(),
                np.clip(fleet.printed[:, 0], 1.0, 15.0).tolist(),
                strict=True,
            )
        ]
    )
    diameter = np.where(np.isnan(fleet.diameter_m), 0.212, fleet.diameter_m)
    inertia = [
        Body.from_dimensions(*sizes).axial_inertia_kg_m2
        for sizes in zip(fleet.mass_kg.tolist(), diameter.tolist(), rim.tolist(), strict=True)
    ]
    return Bodies(fleet.mass_kg, diameter, np.array(inertia), rim)


def fly_local(
    unknowns: Unknowns,
    bodies: Bodies,
    table: ThrowTable,
    throw: Integers,
    local: Floats,
    *,
    step_s: float = STEP_S,
    threads: int = 2,
) -> Floats:
    """Fly throws with given local arguments, each row ``throw`` of the table: (N, 4), m.

    Rest and first touch, along and left of the aim line, as if released with heading 0.
    """
    landed = np.empty((len(throw), 4))
    kinds = sorted(set(table.ground))
    kind_of = np.array([kinds.index(ground) for ground in table.ground])[throw]
    for kind, ground in enumerate(kinds):
        here = np.flatnonzero(kind_of == kind) if len(kinds) > 1 else slice(None)
        flights = _fly(unknowns, bodies, table, throw[here], local[here], ground, step_s, threads)
        landed[here, :2] = flights.rest_m[:, :2]
        landed[here, 2:] = flights.landing_m[:, :2]
    return landed


def _fly(
    unknowns: Unknowns,
    bodies: Bodies,
    table: ThrowTable,
    throw: Integers,
    local: Floats,
    ground: str,
    step_s: float,
    threads: int,
) -> Flights:
    disc, style = table.disc[throw], table.style[throw]
    arms = np.array(
        [
            (a.speed_m_s, a.spin_rad_s / a.speed_m_s, a.launch_bias_rad, a.hyzer_bias_rad,
             a.nose_rad, 1.0 if a.style == "backhand" else -1.0)
            for a in unknowns.arms
        ]
    )[style].T  # fmt: skip
    printed = unknowns.fleet.printed[disc] + numbers_of(local[:, :4])
    # The fleet's numbers are as worn today; the throw was on its own day.
    newer = unknowns.fleet.wear[disc] - table.wear[throw]
    printed[:, 2] += unknowns.assume.wear_turn * newer
    printed[:, 3] += unknowns.assume.wear_fade * newer
    mass = np.exp(local[:, _MASS])
    speed = arms[0] * table.speed_factor[throw] * np.exp(local[:, 5])
    spin = arms[1] * speed * np.exp(local[:, _RATIO])
    launch = table.launch_rad[throw] + arms[2] + local[:, 7]
    hand = 1.0 if unknowns.thrower.hand == "right" else -1.0
    return fly_many(
        aero_arrays_from_printed(*printed.T),
        BodyArrays(
            bodies.mass_kg[disc] * mass,
            bodies.diameter_m[disc],
            bodies.axial_inertia_kg_m2[disc] * mass,
        ),
        ReleaseArrays(
            speed_m_s=np.clip(speed, *_SPEED_M_S),
            spin_rad_s=np.clip(spin, *_SPIN_RAD_S),
            launch_rad=np.clip(launch, -_ANGLE_RAD, _ANGLE_RAD),
            hyzer_rad=table.hyzer_rad[throw] + arms[3] + local[:, 8],
            nose_rad=np.clip(arms[4] + local[:, _NOSE], -_ANGLE_RAD, _ANGLE_RAD),
            side=arms[5] * hand,
        ),
        table.density_kg_m3[throw],
        ground=ground,
        rim_width_m=bodies.rim_width_m[disc],
        step_s=step_s,
        threads=threads,
    )


def tabulate(
    unknowns: Unknowns,
    bodies: Bodies,
    table: ThrowTable,
    at: Floats,
    scatter: Floats,
    *,
    step_s: float = STEP_S,
    threads: int = 2,
) -> Polynomials:
    """Fly every throw of a table around ``at`` (T, 11): 73 flights each, in one batch.

    Parameters
    ----------
    scatter
        Standard deviations of speed, launch, hyzer and nose (T, 4), the first as a fraction.
    """
    count = len(table)
    step = np.empty((count, len(POLY)))
    step[:, :4] = NUMBER_STEPS
    step[:, 4:] = np.maximum(math.sqrt(3.0) * scatter[:, :3], LEAST_ARM_STEPS)
    nose = np.maximum(SPACING * scatter[:, 3], LEAST_NOSE_SPACING_RAD)
    moves = _moves()
    full = np.zeros((count, len(moves), len(LOCAL)))
    full[:, :, POLY] = moves[:, : len(POLY)] * step[:, None, :]
    full[:, :, _NOSE] = moves[:, len(POLY)] * nose[:, None]
    full[:, :, _MASS] = moves[:, -2] * MASS_STEP
    full[:, :, _RATIO] = moves[:, -1] * RATIO_STEP
    full += at[:, None, :]
    landed = fly_local(
        unknowns, bodies, table, np.repeat(np.arange(count), len(moves)),
        full.reshape(-1, len(LOCAL)), step_s=step_s, threads=threads,
    ).reshape(count, len(moves), 4)  # fmt: skip
    landed[:, :, 2] = np.hypot(landed[:, :, 2], landed[:, :, 3])
    return _read(landed[:, :, :3], at, nose, step)


def _moves() -> Floats:
    """Return the moves (73, 10) of one throw, in steps: ``POLY``, nose, mass, advance ratio."""
    rows = [_move(nose=node) for node in NODES]
    for node in SLOPE_NODES:
        for j in range(len(POLY)):
            rows += [_move(j, nose=node), _move(j, sign=-1.0, nose=node)]
    for i, j in PAIRS:
        rows += [_move(i, j), _move(i, j, sign=-1.0)]
    for side in (len(POLY) + 1, len(POLY) + 2):
        rows += [_move(side), _move(side, sign=-1.0)]
    return np.array(rows)


#: Pairs of ``POLY`` with mixed curvature: all but those of the speed and glide numbers.
PAIRS = tuple((i, j) for j in range(len(POLY)) for i in range(2, j))


def _move(*along: int, sign: float = 1.0, nose: float = 0.0) -> Floats:
    move = np.zeros(len(POLY) + 3)
    move[list(along)] = sign
    move[len(POLY)] = nose
    return move


def _read(landed: Floats, at: Floats, nose: Floats, step: Floats) -> Polynomials:
    """Turn landings (T, 73, 3) into derivatives."""
    count = len(landed)
    first = len(NODES)
    second = first + 2 * len(SLOPE_NODES) * len(POLY)
    third = second + 2 * len(PAIRS)
    middle = landed[:, :first]
    sides = landed[:, first:second].reshape(count, len(SLOPE_NODES), len(POLY), 2, 3)
    own = middle[:, [NODES.index(node) for node in SLOPE_NODES]][:, :, None]
    by = step[:, None, :, None]
    slope = (sides[..., 0, :] - sides[..., 1, :]) / (2.0 * by)
    curve = (sides[..., 0, :] + sides[..., 1, :] - 2.0 * own) / by**2
    # Both corners of a pair, so that the third derivatives cancel.
    ways = sides[:, SLOPE_NODES.index(0)].sum(axis=2)
    corners = landed[:, second:third].reshape(count, len(PAIRS), 2, 3).sum(axis=2)
    still = middle[:, NODES.index(0)]
    mixed = np.zeros((count, len(POLY), len(POLY), 3))
    for k, (i, j) in enumerate(PAIRS):
        both = 0.5 * (corners[:, k] - ways[:, i] - ways[:, j]) + still
        mixed[:, i, j] = mixed[:, j, i] = both / (step[:, i] * step[:, j])[:, None]
    mass, ratio = landed[:, third:].reshape(count, 2, 2, 3).swapaxes(0, 1)
    side_slope = np.stack(
        [
            (mass[:, 0] - mass[:, 1]) / (2.0 * MASS_STEP),
            (ratio[:, 0] - ratio[:, 1]) / (2.0 * RATIO_STEP),
        ],
        axis=1,
    )
    return Polynomials(at, nose, middle, slope, curve, mixed, side_slope)
