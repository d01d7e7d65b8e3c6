"""The trade's rules of thumb as measurements over many discs (common practice, no source).

Each rule returns one signed margin per disc it speaks of, in the unit it names, positive when
the rule holds. The wording of the first part is in ``authorities/trade_rules.csv``; the second
part is what else any practitioner would try.

A disc that never gets to the turn side, before or after a change, has no turn to compare: rules
about more or less turn speak of discs that drift at least 0.1 m in one of the two throws.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from trade_throws import (
    FOOT,
    FREEZING,
    MOUNTAIN,
    MPH,
    Best,
    Throws,
    bank_deg,
    best_lines,
    discs,
    drift_m,
    fade_begins_m,
    finish_deg,
    full_speed_m_s,
)

from rimwise.flight.ground import GROUNDS, play_to_rest

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

LEAST_DRIFT_M = 0.1


@dataclass(frozen=True)
class Rule:
    """A measurement, what its margin is in, and a margin that a person would notice."""

    measure: Callable[[Throws], Floats]
    unit: str
    plain: float


RULES: dict[str, Rule] = {}


def rule(unit: str, plain: float) -> Callable[[Callable[[Throws], Floats]], object]:
    """Enter a measurement in :data:`RULES` under its own name."""

    def enter(measure: Callable[[Throws], Floats]) -> object:
        RULES[measure.__name__] = Rule(measure, unit, plain)
        return measure

    return enter


def _more_drift(more: Floats, less: Floats) -> Floats:
    """How much further to the turn side, where there is any drift to speak of."""
    return (more - less)[np.maximum(more, less) > LEAST_DRIFT_M]


def _least(*margins: Floats) -> Floats:
    return np.min(np.stack(margins), axis=0)


# The rules of the table.


@rule("m", 0.5)
def headwind_turns(throws: Throws) -> Floats:
    throws = throws.where(throws.turn < 0)
    return _more_drift(drift_m(throws.but(head_m_s=5.0).fly()), drift_m(throws.fly()))


@rule("m", 0.3)
def headwind_lifts(throws: Throws) -> Floats:
    """Every disc higher and shorter."""
    calm, windy = throws.fly(), throws.but(head_m_s=5.0).fly()
    return _least(windy.apex_m - calm.apex_m, calm.range_m - windy.range_m)


@rule("m or 10 s", 0.3)
def tailwind_drops(throws: Throws) -> Floats:
    calm, windy = throws.fly(), throws.but(head_m_s=-5.0).fly()
    return _least(calm.apex_m - windy.apex_m, 10.0 * (calm.hang_s - windy.hang_s))


@rule("m", 0.5)
def tailwind_less_turn(throws: Throws) -> Floats:
    return _more_drift(drift_m(throws.fly()), drift_m(throws.but(head_m_s=-5.0).fly()))


@rule("m", 0.5)
def faster_turns(throws: Throws) -> Floats:
    throws = throws.where(throws.turn < 0)
    quick = throws.but(speed_m_s=1.15 * throws.speed_m_s)
    return _more_drift(drift_m(quick.fly()), drift_m(throws.fly()))


@rule("m", 0.5)
def slower_fades(throws: Throws) -> Floats:
    """Less turn, and the fade begins earlier."""
    stock = throws.fly(path_points=81)
    slow = throws.but(speed_m_s=0.85 * throws.speed_m_s).fly(path_points=81)
    both = _least(drift_m(stock) - drift_m(slow), fade_begins_m(stock) - fade_begins_m(slow))
    return both[drift_m(stock) > LEAST_DRIFT_M]


@rule("m", 0.3)
def lighter_turns(throws: Throws) -> Floats:
    light, heavy = throws.but(mass_kg=0.160).fly(), throws.but(mass_kg=0.175).fly()
    return _more_drift(drift_m(light), drift_m(heavy))


@rule("m", 0.3)
def altitude_less_turn(throws: Throws) -> Floats:
    return _more_drift(drift_m(throws.fly()), drift_m(throws.but(density_kg_m3=MOUNTAIN).fly()))


@rule("degrees", 1.0)
def altitude_finish(throws: Throws) -> Floats:
    """Net finish further to the fade side, of every disc: as direction from the tee."""
    return finish_deg(throws.but(density_kg_m3=MOUNTAIN).fly()) - finish_deg(throws.fly())


def _flippers(throws: Throws) -> Throws:
    throws = throws.where((throws.turn <= -2) & (throws.fade <= 2))
    return throws.but(speed_m_s=full_speed_m_s(throws.speed))


@rule("degrees", 5.0)
def hyzer_flip(throws: Throws) -> Floats:
    """10° of hyzer at turn −2, 25° from turn −4 on; about flat is within 5°."""
    throws = _flippers(throws)
    hyzer = np.minimum(10.0 + 7.5 * (-throws.turn - 2.0), 25.0)
    return 5.0 - bank_deg(throws.but(hyzer_deg=hyzer).fly(path_points=81)).min(axis=1)


@rule("share", 0.05)
def distance_per_speed(throws: Throws) -> Floats:
    """The middle and the eighth of ten suitable discs at each arm speed, within 15 %."""
    margins = []
    for mph, low, high, feet in (
        (45, 3, 9, 260), (50, 5, 9, 300), (55, 6, 10, 350), (60, 7, 12, 400), (65, 9, 13, 450),
        (70, 10, 13, 500),
    ):  # fmt: skip
        rows = [
            (speed, 5.0, turn, fade)
            for speed in np.linspace(low, high, 4)
            for turn, fade in ((-2, 1.5), (-1, 1.5), (-1, 2), (-0.5, 2), (-1.5, 1))
        ]
        reach = best_lines(discs(rows, mph * MPH, throws.mapping)).range_m / FOOT
        margins += [0.15 - abs(np.percentile(reach, share) / feet - 1.0) for share in (50, 80)]
    return np.array(margins)


@rule("share", 0.03)
def fairway_reach(throws: Throws) -> Floats:
    """A fairway driver goes about 90 m at 22 m/s (ten feet per mph), within 12 %."""
    fairway = discs([(7, 5, -1, 2), (7, 5, -2, 1.5), (7, 5, -1.5, 1.5)], 22.0, throws.mapping)
    return 0.12 - np.abs(best_lines(fairway).range_m / 90.0 - 1.0)


@rule("share", 0.03)
def fast_needs_arm(throws: Throws) -> Floats:
    """Distance driver against fairway driver of equal numbers otherwise, 22 m/s.

    No gain is read as less than 2 %, because range has to grow with the printed speed on the
    reference throw, of every disc.
    """
    margins = []
    for mixes, low, high in (
        ([(-3, 1), (-2.5, 1), (-3, 2), (-2, 1)], 0.03, 0.15),
        ([(-1, 2), (-1, 1.5), (-1.5, 2), (-0.5, 2)], -0.03, 0.08),
        ([(0, 3), (0, 4), (0.5, 3), (0, 3.5)], -1.0, 0.02),
    ):
        slow, *fast = (
            best_lines(discs([(s, 5.0, *m) for m in mixes], 22.0, throws.mapping)).range_m
            for s in (7.0, 12.0, 13.0)
        )
        margins += [np.minimum(f / slow - 1.0 - low, high - f / slow + 1.0) for f in fast]
    return np.concatenate(margins)


_EQUAL_TURN = ((-3, 1), (-2, 1.5), (-1, 2), (-0.5, 2), (0, 2), (0, 3))


def _driver_and_fairway(
    speed_m_s: float, launch_deg: float, throws: Throws
) -> tuple[Floats, Floats]:
    """Driver over fairway driver: range and hang, as shares gained."""
    flown = []
    for speed in (12.0, 7.0):
        pair = discs([(speed, 5.0, *m) for m in _EQUAL_TURN], speed_m_s, throws.mapping)
        hyzer = 4.0 * np.maximum(-pair.turn - 1.0, 0.0)
        flown.append(pair.but(launch_deg=launch_deg, hyzer_deg=hyzer).fly())
    driver, fairway = flown
    return driver.range_m / fairway.range_m - 1.0, driver.hang_s / fairway.hang_s - 1.0


@rule("share", 0.01)
def driver_stays_up(throws: Throws) -> Floats:
    margins = [
        _least(*_driver_and_fairway(speed, launch, throws))
        for speed, launch in itertools.product((20.0, 22.0, 25.0, 28.0), (4.0, 6.0, 8.0))
    ]
    return np.concatenate(margins)


@rule("share", 0.02)
def advantage_shrinks_high(throws: Throws) -> Floats:
    margins = [
        _driver_and_fairway(speed, 6.0, throws)[0] - _driver_and_fairway(speed, 16.0, throws)[0]
        for speed in (20.0, 22.0, 25.0, 28.0)
    ]
    return np.concatenate(margins)


@rule("m", 0.5)
def distance_skips_more(_throws: Throws) -> Floats:
    """Wide rim against blunt rim from one and the same touch that lets a disc go on."""
    margins = []
    for ground, bank, down, speed in itertools.product(
        GROUNDS.values(), (0.0, 20.0, 35.0), (2.0, 4.0), (10.0, 14.0)
    ):
        velocity = np.array([[speed, 1.0, -down]])
        axis = np.array([[0.0, np.sin(np.radians(bank)), np.cos(np.radians(bank))]])
        sharp, blunt = (
            play_to_rest(np.zeros((1, 3)), velocity, axis, ground, rim)[0, 0]
            for rim in (0.024, 0.011)
        )
        margins.append(sharp - blunt)
    return np.array(margins)


@rule("m", 1.0)
def soft_touch_rests(throws: Throws) -> Floats:
    """Putter thrown softly, driver thrown low and hard enough, both touching first at 27 m."""
    margins = []
    for ground in GROUNDS.values():
        putters = discs([(2, 3, 0, 1), (3, 3, 0, 2), (2, 4, -1, 1)], 10.0, throws.mapping)
        drivers = discs([(11, 5, -1, 2), (9, 5, -2, 2), (12, 5, 0, 3)], 10.0, throws.mapping)
        gone = [
            _rest_beyond(each.but(launch_deg=launch), ground, rim)
            for each, launch, rim in ((putters, 9.0, 0.0105), (drivers, 4.0, 0.022))
        ]
        margins.append(gone[1] - gone[0])
    return np.concatenate(margins)


def _rest_beyond(each: Throws, ground: object, rim_m: float) -> Floats:
    speeds = np.linspace(8.0, 24.0, 65)
    ranges = np.array([each.but(speed_m_s=np.full(len(each), s)).fly().range_m for s in speeds])
    there = speeds[np.argmin(np.abs(ranges - 27.0), axis=0)]
    flights = each.but(speed_m_s=there).fly()
    rest = play_to_rest(
        flights.landing_m, flights.landing_velocity_m_s, flights.landing_axis, ground, rim_m
    )
    return np.linalg.norm(rest - flights.landing_m, axis=1)


def _worn(throws: Throws) -> tuple[Throws, Throws]:
    """A new disc and the same worn: 0.7 more turn and 0.4 less fade (the tool's assumption)."""
    new = throws.where((throws.turn <= 0) & (throws.turn > -4.3) & (throws.fade > 0.4))
    return new, new.but(turn=new.turn - 0.7, fade=new.fade - 0.4)


@rule("m", 0.5)
def wear_more_turn(throws: Throws) -> Floats:
    new, worn = _worn(throws)
    return _more_drift(drift_m(worn.fly()), drift_m(new.fly()))


@rule("degrees", 1.0)
def wear_less_fade(throws: Throws) -> Floats:
    new, worn = _worn(throws)
    return finish_deg(new.fly()) - finish_deg(worn.fly())


@rule("degrees", 0.5)
def firm_more_stable(throws: Throws) -> Floats:
    firm = throws.but(turn=throws.turn + 0.3, fade=throws.fade + 0.2)
    return finish_deg(firm.fly()) - finish_deg(throws.fly())


def _overstable(throws: Throws, low_m_s: float, high_m_s: float) -> Throws:
    count = len(throws) // 3
    some = throws.where(np.arange(len(throws)) < count)
    zero = np.zeros(count)
    return some.but(
        turn=zero, fade=np.linspace(3.0, 5.0, count), hyzer_deg=zero,
        speed_m_s=np.random.default_rng(1).uniform(low_m_s, high_m_s, count),
    )  # fmt: skip


@rule("m", 0.2)
def overstable_holds_flat(throws: Throws) -> Floats:
    return 0.5 - drift_m(_overstable(throws, 18.0, 25.0).fly())


@rule("m", 0.2)
def overstable_holds_anhyzer(throws: Throws) -> Floats:
    """Released 5° anhyzer by mistake at 15 to 20 m/s, a moderate effort."""
    throws = _overstable(throws, 15.0, 20.0)
    return 0.5 - drift_m(throws.but(hyzer_deg=throws.hyzer_deg - 5.0).fly())


@rule("s", 0.1)
def light_floater_stands_up(throws: Throws) -> Floats:
    """Time from 12° of hyzer to within 5° of flat; never is counted as 20 s."""
    throws = _flippers(throws).but(hyzer_deg=12.0)
    light, heavy = (_stands_up_s(throws.but(mass_kg=mass)) for mass in (0.150, 0.175))
    return np.where((light >= 20.0) & (heavy >= 20.0), -1.0, heavy - light)


def _stands_up_s(throws: Throws) -> Floats:
    flights = throws.fly(path_points=161)
    flat = bank_deg(flights) < 5.0
    return np.where(flat.any(axis=1), flat.argmax(axis=1) * flights.hang_s / 160.0, 20.0)


# What else any practitioner would try.

#: Arm in m/s, the printed speed it throws, and what a 5 m/s tailwind may do to its longest throw,
#: as shares: little for a slow arm, which loses the lift that holds its disc up, and a gain for a
#: fast one. The sizes are this file's judgement, no source.
_ARMS = (
    (17.0, 4.0, -0.08, 0.06), (20.0, 5.0, -0.08, 0.08), (22.0, 7.0, -0.05, 0.10),
    (25.0, 9.0, -0.02, 0.12), (28.0, 11.0, 0.0, 0.14), (31.0, 13.0, 0.0, 0.14),
)  # fmt: skip


def _longest_of_arms(throws: Throws, head_m_s: float) -> Best:
    """Longest line of each arm with two of its discs, in turn."""
    rows = [(speed, 5.0, *mix) for _, speed, _, _ in _ARMS for mix in ((-1, 2), (-2, 1.5))]
    arms = discs(rows, 1.0, throws.mapping)
    arms = arms.but(speed_m_s=np.repeat([arm for arm, *_ in _ARMS], 2), head_m_s=head_m_s)
    return best_lines(arms)


@rule("share", 0.02)
def tailwind_on_the_longest_line(throws: Throws) -> Floats:
    gain = _longest_of_arms(throws, -5.0).range_m / _longest_of_arms(throws, 0.0).range_m - 1.0
    low, high = (np.repeat([arm[k] for arm in _ARMS], 2) for k in (2, 3))
    return np.minimum(gain - low, high - gain)


@rule("share", 0.03)
def headwind_costs_the_longest_line(throws: Throws) -> Floats:
    return 1.0 - _longest_of_arms(throws, 5.0).range_m / _longest_of_arms(throws, 0.0).range_m


@rule("degrees", 2.0)
def distance_needs_height(throws: Throws) -> Floats:
    """From 20 m/s on, the longest line leaves at 8° to 14°, not at 5° or 17°."""
    launch = _longest_of_arms(throws, 0.0).line[2:, 0]
    return 4.5 - np.abs(launch - 11.0)


@rule("m", 0.2)
def spin_holds_the_line(throws: Throws) -> Floats:
    """15 % more spin, less turn."""
    spun = throws.but(advance_ratio=1.15 * throws.advance_ratio)
    return _more_drift(drift_m(throws.fly()), drift_m(spun.fly()))


@rule("m", 0.3)
def nose_up_climbs(throws: Throws) -> Floats:
    """3° more nose flies higher, 3° less lower."""
    up, down = (throws.but(nose_deg=throws.nose_deg + n).fly() for n in (3.0, -3.0))
    stock = throws.fly()
    return _least(up.apex_m - stock.apex_m, stock.apex_m - down.apex_m)


@rule("degrees", 1.0)
def nose_up_fades(throws: Throws) -> Floats:
    up = throws.but(nose_deg=throws.nose_deg + 3.0).fly()
    return finish_deg(up) - finish_deg(throws.fly())


@rule("m", 0.5)
def crosswind_carries(throws: Throws) -> Floats:
    """4 m/s from either side moves the landing to the other."""
    calm = throws.fly()
    from_left, from_right = (throws.but(from_left_m_s=w).fly() for w in (4.0, -4.0))
    return _least(calm.left_m - from_left.left_m, from_right.left_m - calm.left_m)


@rule("m", 0.2)
def wind_under_the_plate_lifts(throws: Throws) -> Floats:
    """On 20° of hyzer, wind from the side that sees the underside lifts, from the other presses."""
    banked = throws.but(hyzer_deg=np.full(len(throws), 20.0))
    from_left, from_right = (banked.but(from_left_m_s=w).fly() for w in (4.0, -4.0))
    return from_right.apex_m - from_left.apex_m


def _coming_back(throws: Throws) -> NDArray[np.bool_]:
    """Throws that come down on their fade: moving toward the fade side at first touch."""
    return throws.fly().landing_velocity_m_s[:, 1] > 0.0


@rule("m", 1.0)
def downhill_fades_further(throws: Throws) -> Floats:
    """6 m down: longer, and of what comes down fading, further to the fade side."""
    throws = throws.where(_coming_back(throws))
    level, down = throws.fly(), throws.but(ground_z_m=-6.0).fly()
    return _least(down.range_m - level.range_m, down.left_m - level.left_m)


@rule("m", 1.0)
def uphill_cuts_the_fade(throws: Throws) -> Floats:
    """3 m up, where the throw gets there: shorter, and less of its fade."""
    throws = throws.where(_coming_back(throws))
    level, up = throws.fly(), throws.but(ground_z_m=3.0).fly()
    there = up.apex_m > 3.3
    return _least(level.range_m - up.range_m, level.left_m - up.left_m)[there]


@rule("m", 0.2)
def cold_air_turns(throws: Throws) -> Floats:
    return _more_drift(drift_m(throws.but(density_kg_m3=FREEZING).fly()), drift_m(throws.fly()))


@rule("m", 1.0)
def hyzer_goes_to_the_fade_side(throws: Throws) -> Floats:
    """8° more hyzer lands further left, at full and at four fifths of the speed."""
    return np.concatenate([_moved_left_m(throws, 8.0, effort) for effort in (0.8, 1.0)])


@rule("m", 1.0)
def anhyzer_goes_to_the_turn_side(throws: Throws) -> Floats:
    return np.concatenate([-_moved_left_m(throws, -8.0, effort) for effort in (0.8, 1.0)])


def _moved_left_m(throws: Throws, hyzer_deg: float, effort: float) -> Floats:
    throws = throws.but(speed_m_s=effort * throws.speed_m_s)
    return throws.but(hyzer_deg=throws.hyzer_deg + hyzer_deg).fly().left_m - throws.fly().left_m


@rule("degrees", 2.0)
def fast_disc_thrown_slow_fades(throws: Throws) -> Floats:
    """A driver thrown flat at 16 m/s fades, beside the arm it was made for."""
    drivers = throws.where(throws.speed > 9)
    flat = drivers.but(hyzer_deg=0.0)
    slow = flat.but(speed_m_s=np.full(len(flat), 16.0))
    return finish_deg(slow.fly()) - finish_deg(flat.but(speed_m_s=full_speed_m_s(flat.speed)).fly())


@rule("m", 0.3)
def putter_at_full_power_turns(throws: Throws) -> Floats:
    putters = throws.where((throws.speed < 4) & (throws.turn < 0)).but(hyzer_deg=0.0)
    hard, soft = (putters.but(speed_m_s=np.full(len(putters), v)).fly() for v in (24.0, 15.0))
    return _more_drift(drift_m(hard), drift_m(soft))


@rule("m", 0.3)
def heavier_holds_in_wind(throws: Throws) -> Floats:
    """Into 6 m/s, 175 g turns less than 155 g."""
    windy = throws.but(head_m_s=6.0)
    light, heavy = windy.but(mass_kg=0.155).fly(), windy.but(mass_kg=0.175).fly()
    return _more_drift(drift_m(light), drift_m(heavy))
