"""Skies: the clouds of one day for every hole of a course, with their middles and mean flights."""

from __future__ import annotations

import math
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from rimwise.beliefs.fleet import Fleet
from rimwise.decide.clouds import DIRECTIONS, FLATTEST_ONWARD, Draws, Simulator
from rimwise.decide.days import Day
from rimwise.decide.lines import EFFORTS
from rimwise.flight.flights import Flights
from rimwise.flight.fly import COARSE_STEP_S

if TYPE_CHECKING:
    from rimwise.decide._holes import Sky

__all__ = ["Pair", "all_pairs", "fly_sky", "light_sky"]

#: A disc and a base line.
Pair = tuple[int, int]


def all_pairs(simulator: Simulator, fleet: Fleet) -> list[Pair]:
    """Return every disc on every base line."""
    return [(d, b) for d in range(len(fleet)) for b in range(len(simulator.bases))]


def fly_sky(
    simulator: Simulator,
    fleet: Fleet,
    day: Day,
    pairs: Sequence[Pair],
    *,
    samples: int,
    draw_set: int,
) -> Sky:
    """Fly some discs on some base lines at every effort in every wind direction of a day.

    Parameters
    ----------
    samples, draw_set
        Size and number of the set of throws (scrambled Sobol draws); sets of different numbers
        know nothing of each other, and a disc's throws do not depend on the other discs.
    """
    from rimwise.decide._holes import CHANNELS, CURVE, Sky

    draws = Draws.sobol(samples, simulator.seed, draw_set)
    printed = fleet.sample_printed(samples, simulator.seed, draw_set)
    mass_kg = fleet.sample_mass_kg(samples, simulator.seed, draw_set)
    directions = next(n for most, n in DIRECTIONS if day.wind.strongest_m_s <= most)
    grid = (directions, len(EFFORTS))
    points = np.empty((len(pairs), *grid, CHANNELS, samples), dtype=np.float32)
    curves = np.empty((len(pairs), *grid, CURVE, 3))
    index = np.full((len(fleet), len(simulator.bases)), -1, dtype=np.int64)
    for row, pair in enumerate(pairs):
        index[pair] = row

    def fly_pair(row: int) -> None:
        disc, base = pairs[row]
        flights = _fly_grid(
            simulator, fleet, day, disc, base, draws, printed[disc], mass_kg[disc], directions
        )
        for c, channel in enumerate(_channels(flights)):
            points[row, :, :, c] = channel.reshape(*grid, samples)
        curves[row] = _curves(simulator, fleet, day, disc, base, directions, CURVE).reshape(
            *grid, CURVE, 3
        )

    with ThreadPoolExecutor(simulator.threads) as pool:
        list(pool.map(fly_pair, range(len(pairs))))
    mean = points.mean(axis=-1, dtype=np.float64)
    middles = np.concatenate([mean[..., 0:2] + mean[..., 2:4], mean[..., 4:6]], axis=-1)
    return Sky(points, np.ascontiguousarray(middles), curves, index, draws.nerve)


def light_sky(middles: NDArray[np.float64], pair: NDArray[np.int64]) -> Sky:
    """Return a sky that aims but holds no throws: (pair, direction, effort, 4) and (disc, base)."""
    from rimwise.decide._holes import CHANNELS, CURVE, Sky

    rows, directions, efforts, _ = middles.shape
    return Sky(
        np.empty((rows, directions, efforts, CHANNELS, 0), dtype=np.float32),
        middles,
        np.zeros((rows, directions, efforts, CURVE, 3)),
        pair,
        np.empty(0),
    )


def _fly_grid(
    simulator: Simulator,
    fleet: Fleet,
    day: Day,
    disc: int,
    base: int,
    draws: Draws,
    printed: NDArray[np.float64],
    mass_kg: NDArray[np.float64],
    directions: int,
    path_points: int = 0,
) -> Flights:
    """Fly all samples in every direction at every effort, in this order."""
    shape = (directions, len(EFFORTS), len(draws))
    direction, effort, sample = (a.ravel() for a in np.indices(shape))
    return simulator.fly_disc(
        fleet, day, disc, draws, printed, mass_kg,
        base=np.full(sample.shape, base), effort=np.asarray(EFFORTS)[effort], sample=sample,
        turn_rad=np.zeros(1), from_rad=2.0 * math.pi * direction / directions,
        ground_z_m=np.zeros(1), step_s=COARSE_STEP_S, path_points=path_points,
    )  # fmt: skip


def _channels(flights: Flights) -> list[NDArray[np.float64]]:
    """Return first touch, slide, and metres onward per metre of fall, x and y each."""
    velocity = flights.landing_velocity_m_s
    level = np.hypot(velocity[:, 0], velocity[:, 1])
    sinking = np.maximum(-velocity[:, 2], np.maximum(level / FLATTEST_ONWARD, 0.1))
    touch, rest = flights.landing_m[:, :2], flights.rest_m[:, :2]
    return [*touch.T, *(rest - touch).T, *(velocity[:, :2] / sinking[:, None]).T]


def _curves(
    simulator: Simulator,
    fleet: Fleet,
    day: Day,
    disc: int,
    base: int,
    directions: int,
    inner: int,
) -> NDArray[np.float64]:
    """Return the flights without scatter, (direction · effort, inner, 3).

    Points evenly spaced in time; along and across as a complex share of the first touch.
    """
    still = Draws(np.zeros((1, 7)), np.ones(1), np.full(1, np.inf))
    flights = _fly_grid(
        simulator, fleet, day, disc, base, still, fleet.printed[[disc]], fleet.mass_kg[[disc]],
        directions, inner + 2,
    )  # fmt: skip
    path = flights.path_m[:, 1:-1]
    touch = flights.landing_m[:, 0] + 1j * flights.landing_m[:, 1]
    share = (path[..., 0] + 1j * path[..., 1]) / touch[:, None]
    return np.stack([share.real, share.imag, path[..., 2]], axis=-1)
