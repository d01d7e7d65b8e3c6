"""Many discs and the throws a player would make with them, for the trade's rules.

Everything is drawn by seed. ``tools/fit_printed.py`` draws with other seeds than the tests,
so that no disc and no throw of a test was seen by the fit. All throws are right-handed
backhands, which fade left and turn right.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from rimwise.flight.air import Air
from rimwise.flight.body import Body, BodyArrays
from rimwise.flight.fly import fly_many
from rimwise.flight.printed import MAPPING, PrintedMapping, aero_arrays_from_printed
from rimwise.flight.release import ReleaseArrays
from rimwise.flight.wind import WindArrays

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from rimwise.flight.flights import Flights

    Floats = NDArray[np.float64]

MPH = 0.44704
FOOT = 0.3048
SEA_LEVEL = Air(20.0, 1013.25, 0.5).density_kg_m3
MOUNTAIN = SEA_LEVEL * Air.standard(2000.0).density_kg_m3 / Air.standard(0.0).density_kg_m3
FREEZING = Air(-5.0, 1013.25, 0.5).density_kg_m3
DIAMETER_M = 0.212
_SPEEDS = np.linspace(1.0, 15.0, 57)
_INERTIA = np.array(
    [Body.from_printed_speed(s, 0.175, DIAMETER_M).axial_inertia_kg_m2 / 0.175 for s in _SPEEDS]
)


@dataclass(frozen=True)
class Throws:
    """One throw of each of N discs; every field is a number or (N,).

    ``head_m_s`` blows against the throw, ``from_left_m_s`` from the thrower's left.
    """

    speed: Floats
    glide: Floats
    turn: Floats
    fade: Floats
    speed_m_s: Floats
    mass_kg: Floats | float = 0.172
    advance_ratio: Floats | float = 0.45
    launch_deg: Floats | float = 9.0
    nose_deg: Floats | float = -1.0
    hyzer_deg: Floats | float = 0.0
    height_m: float = 1.2
    head_m_s: float = 0.0
    from_left_m_s: float = 0.0
    density_kg_m3: float = SEA_LEVEL
    ground_z_m: float = 0.0
    mapping: PrintedMapping = MAPPING

    def __len__(self) -> int:
        return len(self.speed)

    def but(self, **changes: object) -> Throws:
        return replace(self, **changes)

    def where(self, keep: NDArray[np.bool_]) -> Throws:
        chosen = {
            name: getattr(self, name)[keep]
            for name in self.__dataclass_fields__
            if isinstance(getattr(self, name), np.ndarray)
        }
        return replace(self, **chosen)

    def fly(self, path_points: int = 0, bodies_of_speed: float | None = None) -> Flights:
        """Fly them all; ``bodies_of_speed`` gives all the body of one printed speed."""
        of = self.speed if bodies_of_speed is None else np.array([bodies_of_speed])
        inertia = np.interp(of, _SPEEDS, _INERTIA) * self.mass_kg
        return fly_many(
            aero_arrays_from_printed(
                self.speed, self.glide, self.turn, self.fade, mapping=self.mapping
            ),
            BodyArrays(self.mass_kg, DIAMETER_M, inertia),
            ReleaseArrays(
                speed_m_s=self.speed_m_s,
                spin_rad_s=2 * self.advance_ratio * self.speed_m_s / DIAMETER_M,
                launch_rad=np.radians(self.launch_deg),
                hyzer_rad=np.radians(self.hyzer_deg),
                nose_rad=np.radians(self.nose_deg),
                height_m=self.height_m,
            ),
            self.density_kg_m3,
            WindArrays(self.from_left_m_s, -self.head_m_s),
            ground_z_m=self.ground_z_m,
            path_points=path_points,
        )


def full_speed_m_s(speed: Floats) -> Floats:
    """The arm a disc of this printed speed asks for (assumption)."""
    return np.asarray(17.5 + 1.05 * speed)


def draw_throws(seed: int, count: int, mapping: PrintedMapping = MAPPING) -> Throws:
    """Draw discs of every printed number and a sensible throw for each.

    Fade goes with turn as on real discs, loosely. Half of the throws are flat, but nobody
    throws a disc of turn −2.5 and less flat at its full speed: these get 4° of hyzer per
    number beyond −1, more or less.
    """
    rng = np.random.default_rng(seed)
    speed = rng.uniform(1.5, 14.5, count)
    glide = np.clip(rng.uniform(2.0, 6.0, count) + 0.05 * (speed - 7.0), 1.5, 6.5)
    turn = rng.uniform(-4.5, 0.6, count)
    fade = np.clip(2.4 + 0.45 * turn + rng.normal(0.0, 1.0, count), 0.0, 5.0)
    stock = 4.0 * np.maximum(-turn - 1.0, 0.0) * rng.uniform(0.7, 1.2, count)
    flat = (rng.uniform(size=count) < 0.5) & (turn > -2.5)
    return Throws(
        speed, glide, turn, fade,
        speed_m_s=full_speed_m_s(speed) * rng.uniform(0.85, 1.05, count),
        mass_kg=rng.uniform(0.160, 0.177, count),
        advance_ratio=rng.uniform(0.40, 0.52, count),
        launch_deg=rng.uniform(6.0, 14.0, count),
        nose_deg=rng.uniform(-3.0, 1.0, count),
        hyzer_deg=np.where(flat, 0.0, stock + rng.normal(0.0, 2.5, count)),
        mapping=mapping,
    )  # fmt: skip


def discs(
    rows: Sequence[tuple[float, float, float, float]], speed_m_s: float, mapping: PrintedMapping
) -> Throws:
    """One flat throw at one speed of each named disc."""
    speed, glide, turn, fade = np.array(rows, dtype=float).T
    return Throws(speed, glide, turn, fade, np.full(len(rows), speed_m_s), mapping=mapping)


LINES = tuple(
    itertools.product((5.0, 8.0, 11.0, 14.0, 17.0), (-12.0, 0.0, 6.0, 12.0, 20.0), (-2.0, 0.0))
)


@dataclass(frozen=True)
class Best:
    """Each disc's longest line that comes back, and that flight."""

    range_m: Floats
    hang_s: Floats
    apex_m: Floats
    line: Floats


def best_lines(throws: Throws) -> Best:
    """Longest flight over launch, hyzer and nose that lands within 15° of the aim."""
    lines = np.array(LINES)
    k, n = len(lines), len(throws)
    every = Throws(
        *(np.repeat(getattr(throws, name), k) for name in ("speed", "glide", "turn", "fade")),
        speed_m_s=np.repeat(throws.speed_m_s, k),
        mass_kg=throws.mass_kg,
        launch_deg=np.tile(lines[:, 0], n),
        hyzer_deg=np.tile(lines[:, 1], n),
        nose_deg=np.tile(lines[:, 2], n),
        height_m=throws.height_m,
        head_m_s=throws.head_m_s,
        mapping=throws.mapping,
    )
    flights = every.fly()
    back = np.abs(flights.left_m) < 0.27 * flights.range_m
    reach = np.where(back, flights.range_m, 0.0).reshape(n, k)
    best = reach.argmax(axis=1)
    row = np.arange(n)
    return Best(
        reach[row, best],
        flights.hang_s.reshape(n, k)[row, best],
        flights.apex_m.reshape(n, k)[row, best],
        lines[best],
    )


def drift_m(flights: Flights) -> Floats:
    """Furthest to the turn side (right), m."""
    return -flights.rightmost_m


def finish_deg(flights: Flights) -> Floats:
    """Direction of the first touch from the tee, degrees to the fade side (left)."""
    return np.degrees(np.arctan2(flights.left_m, flights.range_m))


def bank_deg(flights: Flights) -> Floats:
    """Bank along the path, (N, points), degrees toward the hyzer side."""
    return np.degrees(np.arcsin(np.clip(flights.path_axis[:, :, 1], -1.0, 1.0)))


def fade_begins_m(flights: Flights) -> Floats:
    """Distance down the line at which the path is furthest to the turn side."""
    furthest = np.argmin(flights.path_m[:, :, 1], axis=1)
    return flights.path_m[np.arange(len(flights)), furthest, 0]
