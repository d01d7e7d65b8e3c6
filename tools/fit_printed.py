"""Fit the printed-number mapping to the trade's rules, on discs and throws the tests never see.

Usage: ``python tools/fit_printed.py [generations] [seed] [start width]``; starts from the mapping
in the code, prints progress and the fitted fields. Each generation draws new discs and throws.
The loss of a rule is how often it fails and by how much its margins stay below what a person
would notice; monotonicity of the observables on the reference throw is treated as four more
rules. The search is the covariance matrix adaptation evolution strategy (Hansen 2016).
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from dataclasses import fields, replace
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1] / "tests" / "validation" / "flight"))

from printed_order import ordered_margins
from trade_rules import RULES
from trade_throws import draw_throws

from rimwise.flight.printed import MAPPING, PrintedMapping

#: Lowest and highest value tried of every fitted field; the damping is not fitted.
BOUNDS = {
    "cl_alpha": (2.0, 2.7), "cd_alpha": (0.7, 2.2), "cd0": (0.05, 0.09),
    "cd0_per_pace": (0.05, 0.35), "cl0": (-0.02, 0.06), "cl0_per_glide": (0.012, 0.026),
    "least_drag_share": (0.3, 1.2), "slope_per_fade": (0.002, 0.06),
    "slope_per_fade2": (-0.003, 0.01), "fade2_per_pace": (-0.5, 0.5),
    "slope_per_pace": (-0.5, 0.6), "trim_rad": (-0.06, 0.08),
    "trim_per_pace_rad": (-0.05, 0.05), "trim_per_fade_rad": (-0.02, 0.012),
    "trim_share": (0.0, 1.2), "turn_moment": (0.0015, 0.009),
    "turn_per_pace": (-0.6, 0.6), "turn_softness": (1.5, 8.0),
}  # fmt: skip
#: Rules that count more or less than one, by what was hard to reach at once.
WEIGHTS = {
    "distance_per_speed": 3.0, "fairway_reach": 1.5, "fast_needs_arm": 3.0,
    "driver_stays_up": 1.5, "headwind_turns": 1.5, "headwind_lifts": 1.5, "hyzer_flip": 3.5,
    "overstable_holds_anhyzer": 4.0, "light_floater_stands_up": 1.5, "altitude_finish": 2.5,
    "fast_disc_thrown_slow_fades": 1.5, "downhill_fades_further": 0.5,
    "uphill_cuts_the_fade": 0.5, "spin_holds_the_line": 0.7,
    "tailwind_on_the_longest_line": 3.0, "headwind_costs_the_longest_line": 2.0,
    "distance_needs_height": 3.0,
    "range with speed": 4.0, "drift with turn": 4.0, "finish with fade": 4.0,
    # Of the ground, not of the mapping:
    "distance_skips_more": 0.0, "soft_touch_rests": 0.0,
}  # fmt: skip
DISCS, POPULATION = 110, 14
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
    for name, margins in ordered_margins(mapping, seed, bases=40).items():
        total += WEIGHTS.get(name, 1.0) * _misses(margins)
    return total


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


def main(generations: int = 300, seed: int = 1, width: float = 0.15) -> None:
    """Search and print the fields of the mapping found."""
    rng = np.random.default_rng(seed)

    def cost(place: np.ndarray, generation: int) -> float:
        return loss(_mapping(place), FIRST_SEED + 100 * seed + generation % 40)

    found = _mapping(search(cost, _place(MAPPING), width, generations, rng))
    for field in fields(found):
        print(f"    {field.name}: float = {getattr(found, field.name):.5g}")


if __name__ == "__main__":
    main(*(kind(text) for kind, text in zip((int, int, float), sys.argv[1:], strict=False)))
