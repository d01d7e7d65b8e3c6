"""Swaps between two seasons, and how much of each comes from what has changed.

The second season's table (by distance, or of solved holes) is kept: its lies, their weights and
the strokes-to-finish are frozen. What a swap saves is priced as it is, with everything as it was in
the first season, and with each factor alone (grip, arm, air, wind, ground, water, wear) taken back
or brought in, lines chosen anew each time. A factor's share is the mean of what it does first and
what it does last, which is its Shapley value (Shapley 1953) wherever no three factors act together;
what three or more do together is spread evenly, and told. The parts sum to the whole.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from rimwise.beliefs.fleet import Fleet
from rimwise.decide.carry import Table
from rimwise.decide.clouds import Simulator
from rimwise.decide.days import FACTORS, Day, couple_days
from rimwise.decide.demand import Progress
from rimwise.decide.priceable import Priceable
from rimwise.records.assumptions import Assumptions

__all__ = ["CAUSES", "Cause", "Swap", "find_swaps", "shares_of"]

#: What may differ between two seasons: the days' factors and the wear of the discs.
CAUSES = (*FACTORS, "wear")
#: Throws per line here, to screen and to choose on; powers of two.
SCREENED, CHOSEN = 32, 64

Changed = frozenset[str]


@dataclass(frozen=True, slots=True)
class Cause:
    """What one factor does to a swap.

    ``strokes`` is its share of what the swap saves more in the new season than in the old one;
    ``undoes`` whether the swap would no longer pay with this factor alone as it was.
    """

    factor: str
    strokes: float
    undoes: bool


@dataclass(frozen=True, slots=True)
class Swap:
    """One disc out, one in, and why.

    Parameters
    ----------
    saves, saves_se
        Strokes per round in the new season, with one standard error, on the reporting throws.
    tie
        The two are equal within error.
    cause
        The strongest factor that alone undoes it; ``None`` for a tie or where none does.
    causes
        Every factor, the strongest first; their strokes sum to ``changed``.
    changed
        Strokes per round that the swap saves more in the new season than with everything as in
        the old one, on the choosing throws.
    together
        The part of ``changed`` that three factors or more do together; spread evenly in
        ``causes``.
    stays
        Nothing goes out: ``into`` is carried in both seasons and does more work in the new one;
        what it saves is what the others would need more without it.
    """

    out: str | None
    into: str | None
    saves: float
    saves_se: float
    tie: bool
    cause: Cause | None
    causes: tuple[Cause, ...]
    changed: float = 0.0
    together: float = 0.0
    stays: bool = False


def find_swaps(
    simulator: Simulator,
    old_days: Sequence[Day],
    old_chosen: Sequence[int],
    new: Priceable,
    new_chosen: Sequence[int],
    assume: Assumptions,
    *,
    old_fleet: Fleet | None = None,
    grown: Sequence[int] = (),
    putting: Sequence[int] = (),
    progress: Progress = lambda _what, _share: None,
) -> tuple[Swap, ...]:
    """Pair what goes out with what comes in, and find each pair's causes.

    Parameters
    ----------
    old_days, old_chosen
        The season that ends and its carry, as positions in the fleet.
    new, new_chosen
        The table of the season that begins and its carry.
    old_fleet
        The discs as worn in the season that ends; as now when not given.
    grown
        Discs of both carries that do more work in the new season; told after the swaps.
    putting
        Discs kept for putting, which are never thrown in the new season.
    """
    out = sorted(set(old_chosen) - set(new_chosen))
    into = sorted(set(new_chosen) - set(old_chosen))
    pairs = _pair(new, out, into)
    changes: list[tuple[int | None, int | None]] = [*pairs, *_unpaired(pairs, out, into)]
    if not changes and not grown:
        return ()
    discs = {*old_chosen, *new_chosen}
    seasons = _Seasons(simulator, new, old_fleet or new.fleet, tuple(old_days), assume)
    worlds = seasons.worlds(sorted(discs), progress, putting)
    carry = sorted(new_chosen)
    swaps = [_swap(new, carry, o, i, worlds) for o, i in changes]
    swaps.sort(key=lambda s: (s.tie, -s.saves, s.out or "", s.into or ""))
    stays = [replace(_swap(new, carry, None, i, worlds), stays=True) for i in grown]
    return (*swaps, *stays)


def _pair(demand: Table, out: Sequence[int], into: Sequence[int]) -> list[tuple[int, int]]:
    """Pair discs that do the most similar work: least mean difference of strokes."""
    from scipy.optimize import linear_sum_assignment

    if not out or not into:
        return []
    weights = demand.weights
    unlike = np.array(
        [
            [float(weights @ np.abs(demand.cost[:, o] - demand.cost[:, i])) for i in into]
            for o in out
        ]
    )
    rows, columns = linear_sum_assignment(unlike)
    return [(out[int(r)], into[int(c)]) for r, c in zip(rows, columns, strict=True)]


def _unpaired(
    pairs: Sequence[tuple[int, int]], out: Sequence[int], into: Sequence[int]
) -> list[tuple[int | None, int | None]]:
    gone, come = {o for o, _ in pairs}, {i for _, i in pairs}
    alone: list[tuple[int | None, int | None]] = [(o, None) for o in out if o not in gone]
    return alone + [(None, i) for i in into if i not in come]


@dataclass(frozen=True, slots=True, eq=False)
class _World:
    """The new season's rows with some factors as they are now: cost (row, disc) and weights."""

    cost: NDArray[np.float64]
    weights: NDArray[np.float64]

    def saves(self, before: Sequence[int], carry: Sequence[int]) -> float:
        """Strokes per round that the carry saves over the one before the swap."""
        gap = self.cost[:, list(before)].min(axis=1) - self.cost[:, list(carry)].min(axis=1)
        return float(self.weights @ gap)


def shares_of(saved: dict[Changed, float]) -> tuple[dict[str, float], float]:
    """Share a change among the factors that make it.

    Parameters
    ----------
    saved
        What is saved with these factors changed: with none, with all, with each alone, and with
        all but each.

    Returns
    -------
    tuple
        Each factor's share, which sum to the whole change, and how much of it three factors or
        more do together (spread evenly in the shares).
    """
    everything = max(saved, key=len)
    none: Changed = frozenset()
    whole = saved[everything] - saved[none]
    share = {}
    for factor in everything:
        first = saved[frozenset((factor,))] - saved[none]
        last = saved[everything] - saved[everything - {factor}]
        share[factor] = 0.5 * (first + last)
    together = whole - sum(share.values())
    even = together / max(len(share), 1)
    return {factor: value + even for factor, value in share.items()}, together


def _swap(
    new: Table,
    carry: Sequence[int],
    out: int | None,
    into: int | None,
    worlds: dict[Changed, _World],
) -> Swap:
    """Price one swap; a disc may also come or go without a partner."""
    before = [d for d in carry if d != into] + ([] if out is None else [out])
    saves, error = new.difference(before, carry)
    saved = {changed: world.saves(before, carry) for changed, world in worlds.items()}
    everything = max(saved, key=len)
    share, together = shares_of(saved)
    now = saved[everything]
    causes = []
    for factor in CAUSES:
        undoes = factor in share and saved[everything - {factor}] <= 0.0 < now
        causes.append(Cause(factor, share.get(factor, 0.0), undoes))
    causes.sort(key=lambda c: (-c.strokes, CAUSES.index(c.factor)))
    tie = saves < 2.0 * error or saves <= 0.0
    undoing = [c for c in causes if c.undoes and c.strokes > 0.0]
    name = {d: new.fleet.ids[d] for d in (out, into) if d is not None}
    return Swap(
        out=None if out is None else name[out],
        into=None if into is None else name[into],
        saves=saves,
        saves_se=error,
        tie=tie,
        cause=undoing[0] if undoing and not tie else None,
        causes=tuple(causes),
        changed=now - saved[frozenset()],
        together=together,
    )


@dataclass(frozen=True, slots=True, eq=False)
class _Seasons:
    """Two seasons on the rows of the second one.

    All worlds are priced alike, on fewer throws than the plan. Clouds are flown once for all
    worlds that differ in water alone, which changes no flight.
    """

    simulator: Simulator
    new: Priceable
    old_fleet: Fleet
    old_days: tuple[Day, ...]
    assume: Assumptions

    @property
    def differing(self) -> tuple[str, ...]:
        """The factors in which the seasons differ at all."""
        found = [
            factor for factor in FACTORS
            if any(here.with_factor(factor, there) != here for here, there in self._partners())
        ]  # fmt: skip
        worn = not np.array_equal(self.old_fleet.printed, self.new.fleet.printed)
        return (*found, "wear") if worn else tuple(found)

    def worlds(
        self, keep: Sequence[int], progress: Progress, putting: Sequence[int] = ()
    ) -> dict[Changed, _World]:
        """Price the rows with nothing changed, everything, one thing, and all but one.

        Discs that are not in ``keep`` have an infinite cost; no swap asks for them. Those kept
        for putting cost more than any other, as in the table.
        """
        everything = frozenset(self.differing)
        wanted = [
            frozenset(), everything,
            *(frozenset((f,)) for f in self.differing), *(everything - {f} for f in self.differing),
        ]  # fmt: skip
        costs = {changed: np.full(self.new.cost.shape, np.inf) for changed in wanted}
        flights = {changed - {"water"} for changed in costs}
        steps, done = len(flights) * len(self.new.days), 0
        for number, (here, there) in enumerate(self._partners()):
            rows = [r for r, row in enumerate(self.new.rows) if row.day == number]
            for flight in sorted(flights, key=sorted):
                progress(_told(flight, everything - {"water"}), done / steps)
                done += 1
                alike = [c for c in costs if c - {"water"} == flight]
                found = self._priced(keep, number, here, there, alike)
                for changed, cost in zip(alike, found, strict=True):
                    costs[changed][np.ix_(rows, keep)] = cost
        for cost in costs.values():
            cost[:, list(putting)] = cost[:, list(keep)].max(axis=1)[:, None] + 1.0
        progress("done", 1.0)
        return {changed: _World(cost, self.new.weights) for changed, cost in costs.items()}

    def _partners(self) -> list[tuple[Day, Day]]:
        """Pair every new day with the old day that shares most of its rank in wind."""
        pairs = couple_days(self.new.days, self.old_days)
        return [
            (here, max((p for p in pairs if p[0] == here), key=lambda p: p[2])[1])
            for here in self.new.days
        ]

    def _priced(
        self,
        keep: Sequence[int],
        number: int,
        here: Day,
        there: Day,
        worlds: Sequence[Changed],
    ) -> list[NDArray[np.float64]]:
        """Choose the lines anew in worlds of one flight, and price them: (row, kept) strokes."""
        lighter = replace(self.simulator, screening=SCREENED, choosing=CHOSEN)
        fleet = (self.new.fleet if "wear" in worlds[0] else self.old_fleet).subset(keep)
        weathers = [_between(here, there, changed) for changed in worlds]
        return self.new.priced_in(lighter, fleet, number, weathers, self.assume)


def _between(new: Day, old: Day, changed: Iterable[str]) -> Day:
    """Return the old day with these factors as in the new one, under the new one's name."""
    day = new
    for factor in set(FACTORS) - set(changed):
        day = day.with_factor(factor, old)
    return day


def _told(changed: Changed, everything: Changed) -> str:
    if changed == everything:
        return "the new season"
    if not changed:
        return "everything as before"
    if len(changed) == 1:
        return f"only the {min(changed)} new"
    return f"only the {min(everything - changed)} as before"
