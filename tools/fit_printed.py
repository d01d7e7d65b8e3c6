"""Fit the printed-number mapping to the trade's rules, on discs and throws the tests never see.

Usage: ``python tools/fit_printed.py [generations] [seed] [start width] [rounds]``; starts from the
mapping in the code, prints progress and the fitted fields. Two searches, one after the other:

* The covariance matrix adaptation evolution strategy (Hansen 2016). Each generation draws new discs
  and throws. The loss of a rule is how often it fails and by how much its margins stay below what a
  person would notice; monotonicity of the observables on the reference throw, the ranges of the
  classes and the time in the air are treated as more rules.
* Rounds of a linear programme, with new draws each: how the shares of the rules that still fail
  change with each parameter is measured, and the step is taken that brings the worst share
  furthest above what it needs. Only a step that does so when measured is kept.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from dataclasses import fields, replace
from pathlib import Path

import numpy as np
from scipy.optimize import linprog

sys.path.insert(0, str(Path(__file__).parents[1] / "tests" / "validation" / "flight"))

from printed_order import drawn_discs, ordered_margins, steps
from trade_rules import RULES
from trade_throws import FOOT, MPH, best_lines, discs, draw_throws

from rimwise.flight.printed import MAPPING, PrintedMapping

#: Lowest and highest value tried of every fitted field; the damping is not fitted.
BOUNDS = {
    "pace_bend": (-0.3, 0.8), "cl_alpha": (2.0, 2.7), "cd_alpha": (0.7, 2.2),
    "cd_alpha_per_pace": (-0.3, 0.4), "cd_alpha_held_per_pace": (-0.1, 0.5),
    "hold_turn": (1.0, 4.0), "hold_mid": (0.5, 3.5), "cd0": (0.045, 0.09),
    "cd0_per_pace": (0.05, 0.35), "cl0": (-0.02, 0.06), "cl0_per_glide": (0.012, 0.026),
    "least_drag_share": (0.3, 1.2), "slope_per_fade": (0.004, 0.06),
    "slope_per_fade2": (-0.001, 0.01), "fade2_per_pace": (-0.5, 0.5),
    "slope_per_pace": (-0.5, 0.6), "trim_rad": (-0.06, 0.08),
    "trim_per_pace_rad": (-0.05, 0.05), "trim_per_fade_rad": (-0.02, 0.012),
    "trim_share": (0.0, 1.2), "turn_moment": (0.0015, 0.009),
    "turn_per_pace": (-0.6, 0.6), "turn_softness": (1.5, 8.0),
}  # fmt: skip
#: Rules that count more or less than one, by what was hard to reach at once.
WEIGHTS = {
    "distance_per_speed": 4.0, "fairway_reach": 1.5, "fast_needs_arm": 5.0,
    "driver_stays_up": 1.5, "headwind_turns": 1.5, "headwind_lifts": 1.5, "hyzer_flip": 4.0,
    "overstable_holds_anhyzer": 3.0, "light_floater_stands_up": 1.5, "altitude_finish": 4.0,
    "fast_disc_thrown_slow_fades": 4.0, "downhill_fades_further": 1.5,
    "uphill_cuts_the_fade": 1.5, "nose_up_fades": 2.0, "heavier_holds_in_wind": 1.5,
    "tailwind_on_the_longest_line": 4.0, "headwind_costs_the_longest_line": 2.0,
    "distance_needs_height": 3.0, "ranges of classes": 4.0, "time in the air": 1.5,
    "range with speed": 20.0, "drift with turn": 2.0, "finish with fade": 2.0,
    "turned with turn": 2.0, "hook with fade": 2.0,
    # Of the ground, not of the mapping:
    "distance_skips_more": 0.0, "soft_touch_rests": 0.0,
}  # fmt: skip
#: A usual disc of each class, and one more distance driver that turns.
USUAL = [(12, 5, -1, 3), (7, 5, -1, 2), (5, 4, -1, 1), (2, 3, 0, 1), (12, 5, -2, 2)]
#: Arm in mph, ten feet per mph in feet, and the shares of the driver's range that fairway driver,
#: mid-range and putter should have (judgement, no source).
CLASSES = (
    (50, 300, ((0.91, 0.98), (0.86, 0.94), (0.74, 0.86))),
    (60, 400, ((0.88, 0.97), (0.80, 0.92), (0.68, 0.82))),
    (70, 500, ((0.85, 0.97), (0.76, 0.92), (0.62, 0.80))),
)
#: Longest a longest line of 50 mph should be up, of the same discs (judgement, no source).
UP_AT_MOST_S = {0: 6.3, 1: 6.3, 4: 7.0}
#: Least share, in per cent, that the second search wants of drawn rules and of steps in order.
NEEDED = {
    "hyzer_flip": 96.5, "downhill_fades_further": 96.0, "uphill_cuts_the_fade": 95.0,
    "heavier_holds_in_wind": 70.0, "altitude_finish": 80.0, "overstable_holds_anhyzer": 85.0,
    "fast_disc_thrown_slow_fades": 84.0, "nose_up_fades": 55.5, "wear_more_turn": 92.0,
    "headwind_lifts": 95.5,
}  # fmt: skip
NEEDED_IN_ORDER = {
    ("speed", "range_m", 15.0): 98.6, ("glide", "hang_s", 30.0): 98.8,
    ("fade", "finish_deg", 25.0): 91.5, ("fade", "finish_deg", 30.0): 66.5,
}  # fmt: skip
#: Rules on named discs: their worst margin is to be 0.003 or more.
ALWAYS = (
    "tailwind_on_the_longest_line", "fast_needs_arm", "distance_per_speed", "fairway_reach",
)  # fmt: skip
#: Feet that the usual distance driver should go at an arm in mph.
DRIVER_FEET = {60: 372.0, 70: 465.0}
DISCS, POPULATION = 130, 14
#: Draws of the fit begin here; the tests draw elsewhere.
FIRST_SEED = 1000


def loss(mapping: PrintedMapping, seed: int, discs: int = DISCS) -> float:
    """Return the weighted misses of one mapping on one draw."""
    throws = draw_throws(seed, discs, mapping)
    total = 0.0
    for name, rule in RULES.items():
        weight = WEIGHTS.get(name, 1.0)
        if weight:
            total += weight * _misses(rule.measure(throws) / rule.plain)
    for name, margins in (ordered_margins(mapping, seed, 30) | class_margins(mapping)).items():
        total += WEIGHTS.get(name, 1.0) * _misses(margins)
    return total


def class_margins(mapping: PrintedMapping) -> dict[str, np.ndarray]:
    """Return margins of the ranges of the classes, and of the time in the air."""
    ranges, up = [], []
    for mph, feet, bands in CLASSES:
        best = best_lines(discs(USUAL, mph * MPH, mapping))
        reach = best.range_m / FOOT
        ranges.append(2.0 - abs(reach[0] / feet - 0.97) / 0.03)
        shares = reach[1:4] / reach[0]
        ranges += [
            min(share - low, high - share) / 0.03
            for share, (low, high) in zip(shares, bands, strict=True)
        ]
        if mph == CLASSES[0][0]:
            up = [(most - best.hang_s[k]) / 0.5 for k, most in UP_AT_MOST_S.items()]
    return {"ranges of classes": np.array(ranges), "time in the air": np.array(up)}


def _misses(margins: np.ndarray) -> float:
    if len(margins) == 0:
        return 1.0
    short = np.clip(0.4 - margins, 0.0, 1.5)
    return float(np.mean(short) + 1.5 * np.mean(margins <= 0.0))


def _mapping(place: np.ndarray) -> PrintedMapping:
    values = {
        name: float(low + x * (high - low))
        for x, (name, (low, high)) in zip(place, BOUNDS.items(), strict=True)
    }
    return replace(MAPPING, **values)


def _place(mapping: PrintedMapping) -> np.ndarray:
    return np.array(
        [(getattr(mapping, name) - low) / (high - low) for name, (low, high) in BOUNDS.items()]
    )


def search(
    cost: Callable[[np.ndarray, int], float],
    start: np.ndarray,
    width: float,
    generations: int,
    rng: np.random.Generator,
) -> np.ndarray:
    """Minimise ``cost(place in 0 … 1, generation)`` (Hansen 2016, arXiv:1604.00772, figure 6)."""
    n, half = len(start), POPULATION // 2
    weight = np.log(half + 0.5) - np.log(np.arange(1, half + 1))
    weight /= weight.sum()
    effective = 1.0 / np.sum(weight**2)
    keep_step = (effective + 2.0) / (n + effective + 5.0)
    keep_path = (4.0 + effective / n) / (n + 4.0 + 2.0 * effective / n)
    learn_path = 2.0 / ((n + 1.3) ** 2 + effective)
    learn_many = min(
        1.0 - learn_path, 2.0 * (effective - 2.0 + 1.0 / effective) / ((n + 2.0) ** 2 + effective)
    )
    damping = 1.0 + 2.0 * max(0.0, np.sqrt((effective - 1.0) / (n + 1.0)) - 1.0) + keep_step
    usual = np.sqrt(n) * (1.0 - 1.0 / (4.0 * n) + 1.0 / (21.0 * n * n))
    shape, path, step_path, middle = np.eye(n), np.zeros(n), np.zeros(n), start.copy()
    for generation in range(generations):
        spread, axes = np.linalg.eigh(shape)
        spread = np.sqrt(np.maximum(spread, 1e-14))
        moves = (rng.standard_normal((POPULATION, n)) * spread) @ axes.T
        tried = middle + width * moves
        inside = np.clip(tried, 0.0, 1.0)
        costs = np.array([cost(one, generation) for one in inside])
        costs += 20.0 * np.sum((tried - inside) ** 2, axis=1)
        best = np.argsort(costs)[:half]
        move = weight @ moves[best]
        middle = middle + width * move
        step_path = (1.0 - keep_step) * step_path + np.sqrt(
            keep_step * (2.0 - keep_step) * effective
        ) * (axes @ ((axes.T @ move) / spread))
        length = np.linalg.norm(step_path)
        steady = (
            length / np.sqrt(1.0 - (1.0 - keep_step) ** (2 * generation + 2))
            < (1.4 + 2.0 / (n + 1.0)) * usual
        )
        path = (1.0 - keep_path) * path
        if steady:
            path = path + np.sqrt(keep_path * (2.0 - keep_path) * effective) * move
        shape = (
            (1.0 - learn_path - learn_many) * shape
            + learn_path * np.outer(path, path)
            + learn_many * (moves[best].T * weight) @ moves[best]
        )
        width = min(width * np.exp(keep_step / damping * (length / usual - 1.0)), 0.4)
        if generation % 10 == 9:
            print(f"{generation + 1:4d}  width {width:.3f}  best {costs.min():.2f}", flush=True)
    return np.clip(middle, 0.0, 1.0)


def _surplus(mapping: PrintedMapping, seed: int) -> np.ndarray:
    """Return how far shares in per cent, worst margins and ranges are above what they need."""
    throws = [draw_throws(seed + k, 500, mapping) for k in range(4)]
    found = [
        100.0 * np.mean(np.concatenate([RULES[name].measure(each) for each in throws]) > 0) - need
        for name, need in NEEDED.items()
    ]
    drawn = drawn_discs(seed, 200)
    found += [
        100.0 * np.mean(steps(drawn, number, speed, mapping)[observable] > 0) - need
        for (number, observable, speed), need in NEEDED_IN_ORDER.items()
    ]
    found += [500.0 * (RULES[name].measure(throws[0]).min() - 0.003) for name in ALWAYS]
    for mph, feet in DRIVER_FEET.items():
        driver = best_lines(discs(USUAL[:1], mph * MPH, mapping))
        found.append(0.5 * (driver.range_m[0] / FOOT - feet))
    return np.array(found)


def settle(mapping: PrintedMapping, seed: int, step: float = 0.05) -> PrintedMapping:
    """Take the one step, found to first order, that leaves the least surplus largest."""
    start, place, count = _surplus(mapping, seed), _place(mapping), len(BOUNDS)
    change = np.array(
        [
            _surplus(_mapping(place + move), seed) - _surplus(_mapping(place - move), seed)
            for move in step * np.eye(count)
        ]
    ).T / (2.0 * step)
    best, least = mapping, start.min()
    for most in (0.5 * step, step, 1.5 * step):
        ends = [(max(-most, -x), min(most, 1.0 - x)) for x in place]
        found = linprog(
            np.append(np.zeros(count), -1.0),
            A_ub=np.column_stack([-change, np.ones(len(start))]),
            b_ub=start,
            bounds=[*ends, (None, 1.0)],
        )
        tried = _mapping(place + found.x[:count])
        surplus = _surplus(tried, seed).min()
        if surplus > least:
            best, least = tried, surplus
    print(f"draws {seed}: least surplus {start.min():+.2f}, then {least:+.2f}", flush=True)
    return best


def main(generations: int = 150, seed: int = 1, width: float = 0.1, rounds: int = 6) -> None:
    """Search and print the fields of the mapping found."""
    rng = np.random.default_rng(seed)

    def cost(place: np.ndarray, generation: int) -> float:
        return loss(_mapping(place), FIRST_SEED + 100 * seed + generation % 40)

    found = _mapping(search(cost, _place(MAPPING), width, generations, rng))
    for k in range(rounds):
        found = settle(found, FIRST_SEED + 10_000 * seed + 10 * k)
    for field in fields(found):
        print(f"    {field.name}: float = {getattr(found, field.name):.4g}")


if __name__ == "__main__":
    kinds = (int, int, float, int)
    main(*(kind(text) for kind, text in zip(kinds, sys.argv[1:], strict=False)))
