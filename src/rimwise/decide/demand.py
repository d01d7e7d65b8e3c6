"""What a course asks for: every lie worth a throw, and what each disc costs there.

A *demand table* has one row for each lie on each day, weighted by how often a round comes
there, and one column for each disc. Three independent sets of throws fill it: the first
screens the lines of every disc on every row, the second values those lines so that discs can
be chosen, the third reports, so that nothing is told on the throws it was chosen on (the
optimiser's curse).

The strokes of a carry are those with everything owned plus, row by row, what the best carried
disc costs more than the best of all (the performance-difference identity, with visits taken
from the policy that has everything).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Self

import numpy as np
from numpy.typing import NDArray

from rimwise.beliefs.fleet import Fleet
from rimwise.beliefs.putting import PuttingModel
from rimwise.course.geometry import HoleRaster
from rimwise.decide.clouds import CHOOSING, REPORTING, Clouds, Simulator
from rimwise.decide.days import Day
from rimwise.decide.lies import Lie, lie_at, open_lie
from rimwise.decide.lines import EFFORTS, Base, words_for
from rimwise.decide.pricing import (
    Actions,
    Prices,
    price_lies,
    trace_lie,
)
from rimwise.decide.values import (
    StrokesToFinish,
    landing_weights,
    policy_lies,
    solve_policy,
    value_policy,
)
from rimwise.records.assumptions import Assumptions
from rimwise.records.courses import Course, Hole

__all__ = ["Demand", "Priced", "Progress", "Row", "build_demand", "price_again", "worst_tenth"]

#: Called with what is being done and the share that is finished.
Progress = Callable[[str, float], None]

#: Lies kept after a tee shot, and after a second throw.
LIES_AFTER_TEE, LIES_AFTER_APPROACH = 3, 1
#: A lie that fewer than this share of its parent's throws lead to is left out.
RAREST_VISIT = 0.02


@dataclass(frozen=True, slots=True, eq=False)
class Row:
    """One lie on one day.

    ``weight`` is the expected number of visits per round, share of the day included.
    """

    day: int
    hole: str
    kind: str
    lie: Lie
    weight: float

    @property
    def distance_m(self) -> float:
        """How far the basket is."""
        return self.lie.distance_m


@dataclass(frozen=True, slots=True, eq=False)
class Demand:
    """The demand table of one course in one set of conditions.

    ``cost`` (row, disc) strokes on the choosing throws, ``bad`` (row, disc) of the worst tenth of
    them; ``fresh`` (row, disc, sample) strokes of the same lines on the reporting throws;
    ``next_m`` (row, disc, sample, 2) the reporting throws' next lies in the row's frame (x toward
    the basket, y left); ``loss`` (row, disc) the chance that the throw is the disc's last.
    """

    fleet: Fleet
    days: tuple[Day, ...]
    bases: tuple[Base, ...]
    rows: tuple[Row, ...]
    cost: NDArray[np.float64]
    bad: NDArray[np.float64]
    actions: Actions
    fresh: NDArray[np.float32]
    next_m: NDArray[np.float32]
    loss: NDArray[np.float64]
    values: tuple[StrokesToFinish, ...]

    @property
    def weights(self) -> NDArray[np.float64]:
        """Expected visits per round of every row."""
        return np.array([row.weight for row in self.rows])

    def ahead_m_s(self, row: int) -> float:
        """Return the wind that blows from the basket toward a row's lie; a tail wind is below 0."""
        wind = self.days[self.rows[row].day].wind
        off = math.radians(wind.from_deg - self.rows[row].lie.bearing_deg)
        return wind.speed_m_s * math.cos(off)

    def words(self, row: int, disc: int) -> str:
        """Say the chosen line of a disc on a row."""
        base = self.bases[self.actions.base(row, disc)]
        styles = {b.style for b in self.bases}
        return words_for(base, self.actions.effort(row, disc, EFFORTS), sorted(styles))

    def serves(self, chosen: Sequence[int]) -> NDArray[np.intp]:
        """Return for each row the chosen disc that costs least on the choosing throws."""
        columns = np.asarray(sorted(chosen), dtype=np.intp)
        return np.asarray(columns[np.argmin(self.cost[:, columns], axis=1)])

    def strokes(self, chosen: Sequence[int] | None = None) -> tuple[float, float]:
        """Return strokes per round with a set of discs (all when ``None``) and their error.

        Both are from the reporting throws; the error is one standard error of the mean, the
        error of the strokes-to-finish behind them included.
        """
        return _mean_and_error(self.samples(chosen))

    def samples(self, chosen: Sequence[int] | None = None) -> NDArray[np.float64]:
        """Return strokes per round with a set of discs (all when ``None``) by reporting throw."""
        everything = self.serves(range(len(self.fleet)))
        tees = np.flatnonzero([row.kind == "tee" for row in self.rows])
        per_sample = self._per_sample(tees, everything[tees])
        if chosen is not None:
            per_sample = per_sample + self._difference(self.serves(chosen), everything)
        return per_sample

    def difference(self, first: Sequence[int], second: Sequence[int]) -> tuple[float, float]:
        """Return strokes per round that ``first`` costs more than ``second``, and the error.

        Common random numbers: both sets are priced on the same reporting throws.
        """
        return self.mixed_difference(self.serves(first), self.serves(second))

    def mixed_difference(
        self, first: NDArray[np.intp], second: NDArray[np.intp]
    ) -> tuple[float, float]:
        """Return strokes per round that one disc for each row costs more than another, and error.

        ``first`` and ``second`` (row,) name the disc that plays each row.
        """
        return _mean_and_error(self._difference(first, second))

    def strokes_on(
        self, hole: str, day: int, chosen: Sequence[int] | None = None
    ) -> tuple[float, float]:
        """Return strokes on one hole on one day with a set of discs, and their error."""
        mine = np.array([row.hole == hole and row.day == day for row in self.rows])
        tees = np.flatnonzero(mine & np.array([row.kind == "tee" for row in self.rows]))
        everything = self.serves(range(len(self.fleet)))
        per_sample = self._per_sample(tees, everything[tees])
        if chosen is not None:
            serves = self.serves(chosen)
            rows = np.flatnonzero(mine & (serves != everything))
            per_sample = per_sample + self._per_sample(rows, serves[rows])
            per_sample = per_sample - self._per_sample(rows, everything[rows])
        return _mean_and_error(per_sample / self.weights[tees].sum())

    def _difference(self, first: NDArray[np.intp], second: NDArray[np.intp]) -> NDArray[np.float64]:
        rows = np.flatnonzero(first != second)
        return self._per_sample(rows, first[rows]) - self._per_sample(rows, second[rows])

    def _per_sample(self, rows: NDArray[np.intp], discs: NDArray[np.intp]) -> NDArray[np.float64]:
        """Return weighted strokes of some rows, each with one disc, for every sample.

        The strokes-to-finish after a throw come from as many throws of their own set; each of
        those throws' effect on them, wherever throws end, is added to one sample, so that the
        spread over samples holds both errors.
        """
        weights = self.weights[rows]
        total = weights @ self.fresh[rows, discs].astype(np.float64)
        distance_m = np.array([self.rows[r].lie.distance_m for r in rows])[:, None]
        where = self.next_m[rows, discs].astype(np.float64)
        left_m = np.hypot(distance_m - where[..., 0], where[..., 1])
        loads = np.broadcast_to(weights[:, None] / left_m.shape[1], left_m.shape)
        days = np.array([self.rows[r].day for r in rows], dtype=np.intp)
        for day in np.unique(days).tolist():
            on_it = days == day
            total += landing_weights(left_m[on_it], loads[on_it]) @ self.values[day].effects
        return np.asarray(total)

    def with_more(
        self,
        simulator: Simulator,
        more: Fleet,
        assume: Assumptions,
        progress: Progress = lambda _what, _share: None,
    ) -> Self:
        """Return the table with more discs behind its own, on the same lies.

        Raises
        ------
        InputError
            When a disc has the name of another.
        """
        fleet = self.fleet.joined(more)
        count = (len(self.rows), len(more))
        table = np.zeros((*count, self.actions.table.shape[2]))
        cost, bad, loss = np.zeros(count), np.zeros(count), np.zeros(count)
        fresh = np.zeros((*count, self.fresh.shape[2]), dtype=np.float32)
        next_m = np.zeros((*fresh.shape, 2), dtype=np.float32)
        for number, day in enumerate(self.days):
            progress(f"{day.name}: flying discs you don't own", number / len(self.days))
            rows = [r for r, row in enumerate(self.rows) if row.day == number]
            lies = [self.rows[r].lie for r in rows]
            strokes = self.values[number].strokes
            clouds = simulator.clouds(more, day)
            lines = _lines(simulator, clouds, lies, day, strokes, prices_for(more, day, assume))
            priced = price_again(simulator, more, day, lies, lines, strokes, assume)
            table[rows], cost[rows], loss[rows] = lines.table, priced.cost, priced.loss
            fresh[rows], next_m[rows], bad[rows] = priced.fresh, priced.next_m, priced.bad
        return replace(
            self,
            fleet=fleet,
            cost=np.hstack([self.cost, cost]),
            bad=np.hstack([self.bad, bad]),
            actions=Actions(np.concatenate([self.actions.table, table], axis=1)),
            fresh=np.concatenate([self.fresh, fresh], axis=1),
            next_m=np.concatenate([self.next_m, next_m], axis=1),
            loss=np.hstack([self.loss, loss]),
        )

    def priced_in(
        self,
        simulator: Simulator,
        fleet: Fleet,
        number: int,
        weathers: Sequence[Day],
        assume: Assumptions,
    ) -> list[NDArray[np.float64]]:
        """Return what discs cost on the rows of one day in other weathers, (row, disc) strokes.

        Lies and strokes-to-finish stay; lines are chosen anew. The weathers differ in nothing
        that changes a flight, so that discs are flown once for all of them.

        Parameters
        ----------
        number
            Of the day whose rows are priced.
        """
        lies = [row.lie for row in self.rows if row.day == number]
        strokes = self.values[number].strokes
        clouds = simulator.clouds(fleet, weathers[0])
        found = []
        for day in weathers:
            prices = prices_for(fleet, day, assume)
            lines = _lines(simulator, clouds, lies, day, strokes, prices)
            throws = simulator.throw_actions(fleet, day, lies, lines, CHOOSING)
            found.append(throws.price(strokes, prices)[0].mean(axis=2, dtype=np.float64))
        return found


def _lines(
    simulator: Simulator,
    clouds: Clouds,
    lies: Sequence[Lie],
    day: Day,
    strokes: NDArray[np.float64],
    prices: Prices,
) -> Actions:
    return price_lies(
        clouds.points, day.wind.from_deg, lies, strokes, prices, clouds.nerve,
        threads=simulator.threads,
    )  # fmt: skip


def _mean_and_error(per_sample: NDArray[np.float64]) -> tuple[float, float]:
    return float(per_sample.mean()), float(per_sample.std(ddof=1) / math.sqrt(len(per_sample)))


def build_demand(
    simulator: Simulator,
    fleet: Fleet,
    days: Sequence[Day],
    course: Course,
    putting: PuttingModel,
    assume: Assumptions,
    *,
    progress: Progress = lambda _what, _share: None,
) -> Demand:
    """Fill the demand table of a course in one set of conditions.

    Parameters
    ----------
    simulator
        Flies the clouds; carries the thrower, the sample sizes and the seed.
    days
        Simulation days; their shares sum to one.

    Notes
    -----
    Lies after the tee come from the cheapest throw with everything owned; they stand for
    groups of landings of equal size, ordered by the distance that is left.
    """
    rasters = {hole.ref: HoleRaster.build(course, hole) for hole in course.holes}
    rows: list[Row] = []
    tables, costs, bad, fresh, next_m, losses, values = [], [], [], [], [], [], []
    start: NDArray[np.float64] | None = None
    for number, day in enumerate(days):
        done = number / len(days)
        progress(f"{day.name}: flying every disc", done)
        clouds = simulator.clouds(fleet, day)
        prices = prices_for(fleet, day, assume)
        value = _strokes_to_finish(simulator, fleet, day, clouds, putting, start)
        start = value.strokes
        progress(f"{day.name}: pricing {len(course.holes)} holes", done + 0.4 / len(days))
        found, table = _price_day(
            number, day, course, rasters, clouds, value, prices, simulator.threads
        )
        progress(f"{day.name}: checking on fresh throws", done + 0.7 / len(days))
        lies = [row.lie for row in found]
        priced = price_again(simulator, fleet, day, lies, Actions(table), value.strokes, assume)
        rows += found
        tables.append(table)
        costs.append(priced.cost)
        bad.append(priced.bad)
        fresh.append(priced.fresh)
        next_m.append(priced.next_m)
        losses.append(priced.loss)
        values.append(value)
    progress("done", 1.0)
    return Demand(
        fleet=fleet,
        days=tuple(days),
        bases=simulator.bases,
        rows=tuple(rows),
        cost=np.concatenate(costs),
        bad=np.concatenate(bad),
        actions=Actions(np.concatenate(tables)),
        fresh=np.concatenate(fresh),
        next_m=np.concatenate(next_m),
        loss=np.concatenate(losses),
        values=tuple(values),
    )


@dataclass(frozen=True, slots=True, eq=False)
class Priced:
    """Lines of some lies on throws that had no part in choosing them, as in :class:`Demand`."""

    cost: NDArray[np.float64]
    bad: NDArray[np.float64]
    fresh: NDArray[np.float32]
    next_m: NDArray[np.float32]
    loss: NDArray[np.float64]


def worst_tenth(strokes: NDArray[np.float32]) -> NDArray[np.float64]:
    """Return the mean of the dearest tenth of samples (…, sample), at least of one."""
    count = max(strokes.shape[-1] // 10, 1)
    dearest = np.partition(strokes, -count, axis=-1)[..., -count:]
    return np.asarray(dearest.mean(axis=-1, dtype=np.float64))


def price_again(
    simulator: Simulator,
    fleet: Fleet,
    day: Day,
    lies: Sequence[Lie],
    actions: Actions,
    strokes: NDArray[np.float64],
    assume: Assumptions,
) -> Priced:
    """Price chosen lines on the choosing and on the reporting throws of one day."""
    prices = prices_for(fleet, day, assume)
    choosing = simulator.throw_actions(fleet, day, lies, actions, CHOOSING)
    chosen = choosing.price(strokes, prices)[0]
    cost = chosen.mean(axis=2, dtype=np.float64)
    reporting = simulator.throw_actions(fleet, day, lies, actions, REPORTING)
    fresh, next_m = reporting.price(strokes, prices)
    lost = reporting.price(_NO_STROKES, losses_for(fleet, day, assume))[0].mean(axis=2) - 1.0
    lost = np.maximum(lost.astype(np.float64), 0.0)
    return Priced(cost, worst_tenth(chosen), fresh, next_m, lost)


#: A value of nothing anywhere, to count losses with.
_NO_STROKES = np.zeros(2)


def losses_for(fleet: Fleet, day: Day, assume: Assumptions) -> Prices:
    """Return prices that count lost discs instead of strokes: 1 for each."""
    back = np.where(
        fleet.floats, max(day.water_recovery, assume.floating_recovery), day.water_recovery
    )
    table = np.zeros((len(fleet), 5))
    table[:, 1] = 1.0 - back
    table[:, 3] = assume.wood_loss_chance
    table[:, 4] = assume.wood_hit_per_m
    return Prices(table)


def prices_for(fleet: Fleet, day: Day, assume: Assumptions) -> Prices:
    """Return what each disc's landings cost on a day besides the distance left."""
    table = losses_for(fleet, day, assume).table
    table[:, [1, 3]] *= (assume.lost_disc_strokes * fleet.relative_cost)[:, None]
    table[:, 0] = assume.penalty_strokes
    table[:, 2] = assume.wood_lie_strokes
    return Prices(table)


def _strokes_to_finish(
    simulator: Simulator,
    fleet: Fleet,
    day: Day,
    clouds: Clouds,
    putting: PuttingModel,
    start: NDArray[np.float64] | None,
) -> StrokesToFinish:
    """Choose the approach policy on one set of throws and value it on another."""
    chosen, actions = solve_policy(clouds.points, putting, start=start, threads=simulator.threads)
    best = np.argmin(actions.cost, axis=1)
    lies = policy_lies()
    north = replace(day, wind=replace(day.wind, from_deg=0.0))
    left_m = simulator.distance_left(fleet, north, lies, actions, best)
    return value_policy(left_m, putting, chosen)


def _price_day(
    number: int,
    day: Day,
    course: Course,
    rasters: dict[str, HoleRaster],
    clouds: Clouds,
    value: StrokesToFinish,
    prices: Prices,
    threads: int,
) -> tuple[list[Row], NDArray[np.float64]]:
    """Price the tees, find the lies their best throws lead to, and price those in turn."""
    pricer = _Pricer(day, clouds, value, prices, threads)
    rows = [row for hole in course.holes for row in _tee_rows(number, day, course, hole, rasters)]
    tables = [pricer.price(rows)]
    level = rows
    for keep in (LIES_AFTER_TEE, LIES_AFTER_APPROACH):
        following = [
            row
            for i, parent in enumerate(level)
            for row in _next_rows(
                parent, pricer.trace(parent, tables[-1][i]), course, rasters, value, keep
            )
        ]
        if not following:
            break
        tables.append(pricer.price(following))
        rows, level = rows + following, following
    return rows, np.concatenate(tables)


@dataclass(frozen=True, slots=True, eq=False)
class _Pricer:
    """What all rows of a day have in common."""

    day: Day
    clouds: Clouds
    value: StrokesToFinish
    prices: Prices
    threads: int

    def price(self, rows: Sequence[Row]) -> NDArray[np.float64]:
        return price_lies(
            self.clouds.points,
            self.day.wind.from_deg,
            [row.lie for row in rows],
            self.value.strokes,
            self.prices,
            self.clouds.nerve,
            threads=self.threads,
        ).table

    def trace(self, row: Row, table: NDArray[np.float64]) -> NDArray[np.float64]:
        disc = int(np.argmin(table[:, 0]))
        return trace_lie(
            self.clouds.points[disc, int(table[disc, 1])],
            self.day.wind.from_deg,
            row.lie,
            self.value.strokes,
            self.prices.table[disc],
            self.clouds.nerve,
            table[disc],
        )


def _tee_rows(
    number: int, day: Day, course: Course, hole: Hole, rasters: dict[str, HoleRaster]
) -> list[Row]:
    """Return the hole's tee; four of them around the compass where bearings are unknown."""
    slope = hole.elevation_change_m / hole.length_m
    if course.bearings_known:
        lie = lie_at(hole.tee, hole.basket, slope, rasters[hole.ref])
        return [Row(number, hole.ref, "tee", lie, day.share)]
    return [
        Row(
            number,
            hole.ref,
            "tee",
            replace(open_lie(hole.length_m, bearing), xy_m=hole.tee, slope=slope),
            day.share / 4.0,
        )
        for bearing in (0.0, 90.0, 180.0, 270.0)
    ]


def _next_rows(
    parent: Row,
    landed: NDArray[np.float64],
    course: Course,
    rasters: dict[str, HoleRaster],
    value: StrokesToFinish,
    keep: int,
) -> list[Row]:
    """Return lies that stand for the landings beyond putting distance."""
    left_m = np.hypot(parent.lie.distance_m - landed[:, 1], landed[:, 2])
    order = np.argsort(left_m, kind="stable")
    far = order[left_m[order] > value.putt_within_m]
    rows = []
    for group in np.array_split(far, min(keep, len(far))) if len(far) else []:
        weight = parent.weight * len(group) / len(landed)
        if weight < RAREST_VISIT * parent.weight:
            continue
        middle = np.mean(landed[group, 1:3], axis=0)
        medoid = group[np.argmin(np.hypot(*(landed[group, 1:3] - middle).T))]
        lie = _lie_after(parent, landed[medoid, 1:3], course, rasters)
        rows.append(Row(parent.day, parent.hole, "approach", lie, weight))
    return rows


def _lie_after(
    parent: Row,
    where: NDArray[np.float64],
    course: Course,
    rasters: dict[str, HoleRaster],
) -> Lie:
    """Return the lie at a landing given in its parent's frame."""
    if not course.bearings_known:
        left_m = max(math.hypot(parent.lie.distance_m - where[0], where[1]), 1.0)
        past = where[0] > parent.lie.distance_m
        slope = -parent.lie.slope if past else parent.lie.slope
        return replace(open_lie(left_m, parent.lie.bearing_deg), slope=slope)
    direction = math.radians(90.0 - parent.lie.bearing_deg)
    cosine, sine = math.cos(direction), math.sin(direction)
    xy = (
        parent.lie.xy_m[0] + cosine * where[0] - sine * where[1],
        parent.lie.xy_m[1] + sine * where[0] + cosine * where[1],
    )
    hole = course.hole(parent.hole)
    lie = lie_at(xy, hole.basket, 0.0, rasters[parent.hole])
    # The ground rises along the hole; across it a lie is level, and beyond the basket it falls.
    along = math.cos(math.radians(lie.bearing_deg - hole.bearing_deg))
    return replace(lie, slope=hole.elevation_change_m / hole.length_m * along)
