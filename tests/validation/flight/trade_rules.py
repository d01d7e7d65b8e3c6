"""The trade's rules of thumb as measurements over many discs (common practice, no source).

Each rule returns one signed margin per disc tried, positive when the rule holds; the
rules' wording is in ``authorities/trade_rules.csv``. All throws are right-handed
backhands, which fade left and turn right.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from rimwise.flight.air import Air
from rimwise.flight.body import Body, BodyArrays
from rimwise.flight.flights import Flights
from rimwise.flight.fly import fly_many
from rimwise.flight.ground import GROUNDS, play_to_rest
from rimwise.flight.printed import aero_arrays_from_printed
from rimwise.flight.release import ReleaseArrays
from rimwise.flight.wind import WindArrays

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

MPH = 0.44704
FOOT = 0.3048
SEA_LEVEL = Air(20.0, 1013.25, 0.5).density_kg_m3
MOUNTAIN = SEA_LEVEL * Air.standard(2000.0).density_kg_m3 / Air.standard(0.0).density_kg_m3
ADVANCE_RATIO = 0.45
TURN_FADE = (
    (-5, 0), (-4, 1), (-3, 1), (-3, 2), (-2, 1), (-2, 2), (-1, 1), (-1, 2), (-1, 3), (-0.5, 2),
    (0, 0), (0, 1), (0, 2), (0, 3), (0, 4), (1, 4),
)  # fmt: skip


@dataclass(frozen=True)
class Discs:
    """Printed numbers of many discs, each (N,), with one mass."""

    speed: Floats
    glide: Floats
    turn: Floats
    fade: Floats
    mass_kg: float = 0.175

    def where(self, keep: Floats) -> Discs:
        return Discs(
            self.speed[keep], self.glide[keep], self.turn[keep], self.fade[keep], self.mass_kg
        )

    def weighing(self, mass_kg: float) -> Discs:
        return Discs(self.speed, self.glide, self.turn, self.fade, mass_kg)

    def __len__(self) -> int:
        return len(self.speed)


def many_discs() -> Discs:
    """Putters to distance drivers, every usual mix of turn and fade, two glides each."""
    rows = [
        (speed, glide, turn, fade)
        for speed, (turn, fade) in itertools.product((2, 3, 5, 7, 9, 11, 13), TURN_FADE)
        for glide in (4, 5)
    ]
    columns = np.array(rows, dtype=float).T
    return Discs(*columns)


def full_speed(discs: Discs) -> Floats:
    """The arm a disc of this printed speed asks for."""
    return 17.5 + 1.05 * discs.speed


def stock_hyzer_deg(discs: Discs) -> Floats:
    """The line a thrower gives a disc: flat down to turn −1, then 4° of hyzer per number."""
    return 4.0 * np.maximum(-discs.turn - 1.0, 0.0)


def throw(
    discs: Discs,
    speed: Floats | float,
    *,
    launch_deg: Floats | float = 9.0,
    nose_deg: Floats | float = -1.0,
    hyzer_deg: Floats | float | None = None,
    head_m_s: float = 0.0,
    density: float = SEA_LEVEL,
    path_points: int = 0,
    height_m: float = 1.2,
) -> Flights:
    """Throw every disc once down a northward line into ``head_m_s`` of wind."""
    hyzer_deg = stock_hyzer_deg(discs) if hyzer_deg is None else hyzer_deg
    kinds, kind = np.unique(discs.speed, return_inverse=True)
    bodies = [Body.from_printed_speed(s, discs.mass_kg) for s in kinds]
    body = BodyArrays(
        discs.mass_kg,
        np.array([b.diameter_m for b in bodies])[kind],
        np.array([b.axial_inertia_kg_m2 for b in bodies])[kind],
    )
    aero = aero_arrays_from_printed(discs.speed, discs.glide, discs.turn, discs.fade)
    speed = np.broadcast_to(np.asarray(speed, float), discs.speed.shape)
    release = ReleaseArrays(
        speed_m_s=speed,
        spin_rad_s=2 * ADVANCE_RATIO * speed / body.diameter_m,
        launch_rad=np.radians(launch_deg),
        hyzer_rad=np.radians(hyzer_deg),
        nose_rad=np.radians(nose_deg),
        height_m=height_m,
    )
    wind = WindArrays(0.0, -head_m_s)
    return fly_many(aero, body, release, density, wind, path_points=path_points)


def drift(flights: Flights) -> Floats:
    """Furthest to the turn side (right), m."""
    return -flights.rightmost_m


def finish_deg(flights: Flights) -> Floats:
    """Direction of the landing from the tee, degrees to the fade side (left)."""
    return np.degrees(np.arctan2(flights.left_m, flights.range_m))


def best_line(discs: Discs, speed_m_s: Floats | float, height_m: float = 1.2) -> Floats:
    """Longest flight over launch, hyzer and nose, m."""
    best = np.zeros(len(discs))
    for launch, hyzer, nose in itertools.product(
        (4.0, 7.0, 10.0, 13.0, 16.0), (-15.0, -5.0, 0.0, 5.0, 10.0, 15.0, 20.0), (-2.0, 0.0)
    ):
        flights = throw(
            discs, speed_m_s, launch_deg=launch, hyzer_deg=hyzer, nose_deg=nose, height_m=height_m
        )
        # A line counts when it comes back: within 15 degrees of the aim.
        straight = np.abs(flights.left_m) < 0.27 * flights.range_m
        best = np.maximum(best, np.where(straight, flights.range_m, 0.0))
    return best


def that_turn(discs: Discs) -> Discs:
    """Discs that drift to the turn side at all on their stock throw."""
    return discs.where((discs.turn < 0) & (drift(throw(discs, full_speed(discs))) > 0.1))


def headwind_turns(discs: Discs) -> Floats:
    understable = discs.where(discs.turn < 0)
    calm = throw(understable, full_speed(understable))
    windy = throw(understable, full_speed(understable), head_m_s=5.0)
    return drift(windy) - drift(calm)


def headwind_lifts(discs: Discs) -> Floats:
    calm = throw(discs, full_speed(discs))
    windy = throw(discs, full_speed(discs), head_m_s=5.0)
    return np.minimum(windy.apex_m - calm.apex_m, calm.range_m - windy.range_m)


def tailwind_drops(discs: Discs) -> Floats:
    calm = throw(discs, full_speed(discs))
    windy = throw(discs, full_speed(discs), head_m_s=-5.0)
    less_turn = np.where(drift(calm) > 0.3, drift(calm) - drift(windy), 0.01)
    return np.minimum(np.minimum(calm.apex_m - windy.apex_m, calm.hang_s - windy.hang_s), less_turn)


def faster_turns(discs: Discs) -> Floats:
    discs = discs.where(discs.turn < 0)
    return drift(throw(discs, 1.15 * full_speed(discs))) - drift(throw(discs, full_speed(discs)))


def slower_fades(discs: Discs) -> Floats:
    discs = that_turn(discs)
    stock = throw(discs, full_speed(discs), path_points=81)
    slow = throw(discs, 0.85 * full_speed(discs), path_points=81)
    return np.minimum(drift(stock) - drift(slow), _fade_begins(stock) - _fade_begins(slow))


def _fade_begins(flights: Flights) -> Floats:
    """Distance down the line at which the path is furthest to the turn side, m."""
    furthest = np.argmin(flights.path_m[:, :, 1], axis=1)
    return flights.path_m[np.arange(len(flights)), furthest, 0]


def lighter_turns(discs: Discs) -> Floats:
    discs = that_turn(discs)
    speed = full_speed(discs)
    return drift(throw(discs.weighing(0.160), speed)) - drift(throw(discs, speed))


def altitude_stable(discs: Discs) -> Floats:
    """Of discs that turn; one that only fades is tipped more slowly by thin air as well."""
    discs = discs.where(discs.turn <= -1)
    low = throw(discs, full_speed(discs))
    high = throw(discs, full_speed(discs), density=MOUNTAIN)
    less_turn = np.where(drift(low) > 0.1, drift(low) - drift(high), 0.01)
    return np.minimum(less_turn, finish_deg(high) - finish_deg(low))


def flattest_bank_deg(flights: Flights) -> Floats:
    """Least bank toward the hyzer side along the path, degrees (negative: past flat)."""
    return np.degrees(np.arcsin(flights.path_axis[:, :, 1])).min(axis=1)


def hyzer_flip(discs: Discs) -> Floats:
    """10° of hyzer at turn −2 up to 25° at turn −5; about flat is within 5°."""
    discs = discs.where((discs.turn <= -2) & (discs.fade <= 2))
    flights = throw(discs, full_speed(discs), hyzer_deg=-5.0 * discs.turn, path_points=81)
    return 5.0 - flattest_bank_deg(flights)


def distance_per_speed(discs: Discs) -> Floats:
    """Best of the suitable discs at each arm speed; margin as a share of the expected range."""
    margins = []
    for mph, low, high in (
        (45, 3, 9),
        (50, 5, 9),
        (55, 7, 11),
        (60, 7, 13),
        (65, 9, 13),
        (70, 11, 13),
    ):
        suitable = discs.where(
            (discs.speed >= low) & (discs.speed <= high) & (discs.turn <= 0) & (discs.turn >= -3)
        )
        reach = np.percentile(best_line(suitable, mph * MPH), 90) / FOOT
        expected = np.interp(mph, (45, 50, 60, 70), (260, 300, 400, 500))
        margins.append(0.15 - abs(reach / expected - 1.0))
    return np.array(margins)


def fairway_reach(_discs: Discs) -> Floats:
    fairway = Discs(*np.array([[7.0], [5.0], [-1.0], [2.0]]))
    return 0.15 - np.abs(best_line(fairway, 22.0) / 90.0 - 1.0)


def fast_needs_arm(_discs: Discs) -> Floats:
    """Distance driver against fairway driver of equal numbers otherwise, 22 m/s."""
    margins = []
    for turns, low, high in (
        ([(-3, 1), (-2.5, 1), (-3, 2)], 0.03, 0.15),
        ([(-1, 2), (-1, 1.5), (-1.5, 2)], -0.03, 0.08),
        ([(0, 3), (0, 4), (0.5, 3)], -0.5, 0.0),
    ):
        turn, fade = np.array(turns, float).T
        glide = np.full(len(turn), 5.0)
        slow = best_line(Discs(np.full(len(turn), 7.0), glide, turn, fade), 22.0)
        fast = best_line(Discs(np.full(len(turn), 12.0), glide, turn, fade), 22.0)
        gain = fast / slow - 1.0
        margins.append(np.minimum(gain - low, high - gain))
    return np.concatenate(margins)


def driver_stays_up(_discs: Discs) -> Floats:
    turn = np.array([-3.0, -2.0, -1.0, -0.5, 0.0])
    fade = np.array([1.0, 1.5, 2.0, 2.0, 2.0])
    glide = np.full(5, 5.0)
    fairway = Discs(np.full(5, 7.0), glide, turn, fade)
    driver = Discs(np.full(5, 12.0), glide, turn, fade)
    margins = []
    for speed, launch in itertools.product((22.0, 25.0, 28.0), (4.0, 6.0, 8.0)):
        a, b = (throw(d, speed, launch_deg=launch) for d in (fairway, driver))
        margins.append(np.minimum(b.range_m / a.range_m - 1.0, b.hang_s / a.hang_s - 1.0))
    return np.concatenate(margins)


def advantage_shrinks_high(_discs: Discs) -> Floats:
    turn, fade, glide = np.array([-2.0, -1.0, 0.0]), np.array([1.5, 2.0, 2.0]), np.full(3, 5.0)
    gains = []
    for launch in (6.0, 16.0):
        a, b = (
            throw(Discs(np.full(3, s), glide, turn, fade), 22.0, launch_deg=launch).range_m
            for s in (7.0, 12.0)
        )
        gains.append(b / a - 1.0)
    return gains[0] - gains[1]


def distance_skips_more(_discs: Discs) -> Floats:
    margins = []
    for ground, bank, down in itertools.product(GROUNDS.values(), (0.0, 20.0, 35.0), (2.0, 4.0)):
        velocity = np.array([[14.0, 1.0, -down]])
        axis = np.array([[0.0, np.sin(np.radians(bank)), np.cos(np.radians(bank))]])
        sharp, blunt = (
            play_to_rest(np.zeros((1, 3)), velocity, axis, ground, rim)[0, 0]
            for rim in (0.024, 0.011)
        )
        margins.append(sharp - blunt)
    return np.array(margins)


def soft_touch_rests(_discs: Discs) -> Floats:
    """Putter thrown softly, driver thrown low and hard enough, both touching first at 27 m."""
    margins = []
    for ground in GROUNDS.values():
        putter = _rest_beyond(Discs(*np.array([[2.0], [3.0], [0.0], [1.0]])), 9.0, ground, 0.0105)
        driver = _rest_beyond(Discs(*np.array([[11.0], [5.0], [-1.0], [2.0]])), 4.0, ground, 0.022)
        margins.append(driver - putter)
    return np.array(margins)


def _rest_beyond(disc: Discs, launch_deg: float, ground: object, rim_m: float) -> float:
    speeds = np.linspace(8.0, 24.0, 65)
    ranges = np.array([throw(disc, s, launch_deg=launch_deg).range_m[0] for s in speeds])
    flights = throw(disc, speeds[np.argmin(np.abs(ranges - 27.0))], launch_deg=launch_deg)
    rest = play_to_rest(
        flights.landing_m, flights.landing_velocity_m_s, flights.landing_axis, ground, rim_m
    )
    return float(np.linalg.norm(rest - flights.landing_m))


def _shifted(discs: Discs, turn: float, fade: float) -> Discs:
    return Discs(discs.speed, discs.glide, discs.turn + turn, discs.fade + fade, discs.mass_kg)


def wear_turns(discs: Discs) -> Floats:
    discs = discs.where((discs.turn <= 0) & (discs.turn > -5))
    new = throw(discs, full_speed(discs))
    line = stock_hyzer_deg(discs)
    worn = throw(_shifted(discs, -0.7, -0.4), full_speed(discs), hyzer_deg=line)
    more_turn = np.where(discs.turn < 0, drift(worn) - drift(new), 0.01)
    return np.minimum(more_turn, finish_deg(new) - finish_deg(worn))


def firm_more_stable(discs: Discs) -> Floats:
    soft = throw(discs, full_speed(discs))
    line = stock_hyzer_deg(discs)
    firm = throw(_shifted(discs, 0.3, 0.2), full_speed(discs), hyzer_deg=line)
    return finish_deg(firm) - finish_deg(soft)


def overstable_holds(discs: Discs) -> Floats:
    discs = discs.where((discs.turn == 0) & (discs.fade >= 3))
    margins = [0.5 - drift(throw(discs, s, hyzer_deg=0.0)) for s in (20.0, 22.5, 25.0)]
    moderate = 0.8 * np.minimum(full_speed(discs), 25.0)
    margins.append(0.5 - drift(throw(discs, moderate, hyzer_deg=-5.0)))
    return np.concatenate(margins)


def light_floater_stands_up(discs: Discs) -> Floats:
    discs = discs.where((discs.turn <= -2) & (discs.fade <= 2))
    times = []
    for mass in (0.150, 0.175):
        flights = throw(discs.weighing(mass), full_speed(discs), hyzer_deg=12.0, path_points=161)
        bank = np.degrees(np.arcsin(flights.path_axis[:, :, 1]))
        first = np.where((bank < 5.0).any(axis=1), (bank < 5.0).argmax(axis=1), 1000)
        times.append(first * flights.hang_s / 160)
    return times[1] - times[0]


RULES: dict[str, Callable[[Discs], Floats]] = {
    rule.__name__: rule
    for rule in (
        headwind_turns, headwind_lifts, tailwind_drops, faster_turns, slower_fades,
        lighter_turns, altitude_stable, hyzer_flip, distance_per_speed, fairway_reach,
        fast_needs_arm, driver_stays_up, advantage_shrinks_high, distance_skips_more,
        soft_touch_rests, wear_turns, firm_more_stable, overstable_holds,
        light_floater_stands_up,
    )
}  # fmt: skip
