"""The carry and a few alternates left in the car, for a swap after feeling the day.

Two stages: the discs that come along are chosen before the day is known, those that go on the
cart when it is. Both are one problem, solved exactly: which discs come (the carry's places and
so many more), and for every day which of them are carried. It is the carry's own table with a
column for every day and disc, where a day's column may be taken only if its disc came along
(stochastic programs with recourse: Dantzig 1955, Management Science 1, 197-206, cited from
memory). Where the cart has to stand, it stands on every day.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from rimwise.decide.carry import (
    LEAST_TOLERANCE,
    CarryChoice,
    Stands,
    Table,
    Wishes,
    choose_carry,
    per_round,
)
from rimwise.decide.choose import choose, choose_in_order
from rimwise.decide.conflict import Rule, count_rule
from rimwise.decide.criteria import Criterion, Score, Strokes

__all__ = ["DaySwap", "TwoStage", "choose_with_car"]


@dataclass(frozen=True, slots=True)
class DaySwap:
    """What goes out and comes in on one kind of day, and what that saves a round on it."""

    day: str
    out: tuple[int, ...]
    into: tuple[int, ...]
    saves: float
    saves_se: float


@dataclass(frozen=True, slots=True)
class TwoStage:
    """A carry, the alternates in the car, and the swap of every kind of day.

    ``saves`` is strokes a round over all days that the swaps save, with one standard error.
    """

    carry: CarryChoice
    alternates: tuple[int, ...]
    swaps: tuple[DaySwap, ...]
    saves: float
    saves_se: float
    gap: float


def choose_with_car(
    table: Table,
    wishes: Wishes,
    alternates: int,
    stands: Stands | None = None,
    *,
    carry: CarryChoice | None = None,
) -> TwoStage:
    """Choose a carry and at most so many alternates for the swap at the car.

    Every day's carry obeys the owner's wishes; the least change is made that comes within the
    error of the day's best. ``stands`` is asked of the carry and of every day's.

    Parameters
    ----------
    carry
        Chosen already, and kept: only what goes with it in the car is chosen.

    Raises
    ------
    InputError
        When the wishes contradict each other.
    """
    if carry is None:
        choose_carry(table, wishes, stands)  # refuses what cannot be met, in words
    kept = () if carry is None else carry.chosen
    pool, gap, broken = _pool(table, wishes, alternates, stands, kept)
    wishes = replace(wishes, rules=(*wishes.rules, *broken))
    discs = len(table.fleet)
    outside = tuple(d for d in range(discs) if d not in pool)
    staying = count_rule("the alternates fit the car", discs, pool, least=len(pool) - alternates)
    inside = replace(
        wishes, never=tuple({*wishes.never, *outside}), rules=(*wishes.rules, *staying)
    )
    carry = carry or choose_carry(table, inside, stands)
    swaps, served = [], table.serves(carry.chosen)
    after = served.copy()
    for day in range(len(table.days)):
        free = replace(inside, rules=wishes.rules)
        swap, chosen = _swap_on(table, free, carry, day, stands)
        swaps.append(swap)
        rows = [r for r, row in enumerate(table.rows) if row.day == day]
        after[rows] = table.serves(chosen)[rows]
    used = {disc for swap in swaps for disc in swap.into}
    saves, error = table.mixed_difference(served, after)
    return TwoStage(carry, tuple(sorted(used)), tuple(swaps), saves, error, gap)


def _pool(
    table: Table, wishes: Wishes, alternates: int, stands: Stands | None, kept: tuple[int, ...]
) -> tuple[tuple[int, ...], float, list[Rule]]:
    """Return the discs that come along, the proof's gap, and rules of sets that do not stand.

    The best of all that come along, those that are kept among them, and stand on every day: a set
    found that does not stand adds the rule that it breaks, until none does.
    """
    days, discs = len(table.days), len(table.fleet)
    cost = per_round(table)
    columns = discs * (1 + days)
    wide = np.repeat(cost.max(axis=1)[:, None] + 1.0, columns, axis=1)
    for r, row in enumerate(table.rows):
        start = discs * (1 + row.day)
        wide[r, start : start + discs] = cost[r]
    room = (len(kept) or wishes.limit) + alternates
    comes = np.zeros((1, columns))
    comes[0, :discs] = 1.0
    broken: list[Rule] = []
    while True:
        asked = replace(wishes, rules=(*wishes.rules, *broken))
        left, right = _day_rules(asked, discs, days, alternates)
        found = choose(
            wide,
            columns,
            weights=table.weights,
            must=kept,
            linear=(np.vstack([left, comes]), [*right, float(room)]),
        )
        each = [
            [d % discs for d in found.chosen if d // discs == day] for day in range(1, 1 + days)
        ]
        fallen = [stands(carried) for carried in each if carried] if stands else []
        more = list(dict.fromkeys(rule for rule in fallen if rule is not None))
        if not more:
            return tuple(d for d in found.chosen if d < discs), found.gap, broken
        broken += more


def _day_rules(
    wishes: Wishes, discs: int, days: int, alternates: int
) -> tuple[NDArray[np.float64], list[float]]:
    """Ask every day's carry for the wishes, and for discs that came along alone.

    No more than the alternates are left in the car, so that every day's carry could be the carry.
    """
    owned = replace(wishes, spares=0).stated([str(d) for d in range(discs)])
    rows, most = [], []
    for day in range(days):
        mine = slice(discs * (1 + day), discs * (2 + day))
        for rule in owned:
            row = np.zeros(discs * (1 + days))
            row[mine] = rule.weights
            rows.append(row)
            most.append(rule.most)
        for disc in range(discs):
            row = np.zeros(discs * (1 + days))
            row[discs * (1 + day) + disc], row[disc] = 1.0, -1.0
            rows.append(row)
            most.append(0.0)
        row = np.zeros(discs * (1 + days))
        row[:discs], row[mine] = 1.0, -1.0
        rows.append(row)
        most.append(float(alternates))
    return np.array(rows), most


def _swap_on(
    table: Table, wishes: Wishes, carry: CarryChoice, day: int, stands: Stands | None
) -> tuple[DaySwap, tuple[int, ...]]:
    """Choose one day's carry from what came along: its best within the error, changing least.

    The carry itself stands, so that a set that stands is found.
    """
    cost, weights = per_round(table), table.weights
    on_it = np.array([row.day == day for row in table.rows])
    share = table.days[day].share
    tolerance = max(carry.tolerance, LEAST_TOLERANCE)
    kept = np.ones(len(table.fleet))
    kept[list(carry.chosen)] = -1.0
    criteria: list[Criterion] = [
        Strokes(cost[on_it], weights[on_it] / share, 0.0, tolerance, "strokes on the day"),
        Score(kept, 0.0, "discs kept"),
    ]
    while True:
        ordered = choose_in_order(
            criteria,
            max(wishes.limit, len(carry.chosen)),
            must=wishes.must,
            never=wishes.never,
            at_least=wishes.at_least,
            linear=wishes.linear,
        )
        broken = None if stands is None else stands(ordered.chosen)
        if broken is None:
            break
        wishes = replace(wishes, rules=(*wishes.rules, broken))
    before, now = set(carry.chosen), set(ordered.chosen)
    served = table.serves(carry.chosen)
    after = np.where(on_it, table.serves(ordered.chosen), served)
    saves, error = table.mixed_difference(served, after)
    out, into = tuple(sorted(before - now)), tuple(sorted(now - before))
    swap = DaySwap(table.days[day].name, out, into, saves / share, error / share)
    return swap, ordered.chosen
