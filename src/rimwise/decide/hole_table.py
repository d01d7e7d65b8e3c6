"""What solved holes ask for: a table of lies and discs, from the hole solver's own play.

A plan's demand table looks ahead by distance alone. Here the lies are those that the policy of a
carry comes to on the real holes, every owned disc is priced on them with that policy's own
strokes-to-finish (woods, water and penalties in them), and a carry is chosen from that. As there,
lines are chosen on one set of throws and told on another.

The strokes of another carry are, to first order, those of the policy plus, lie by lie and as often
as it is come to, what the other's best throw costs more (the performance-difference identity). To
know them for certain its holes have to be solved for itself, see :mod:`rimwise.decide.on_holes`.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, NamedTuple, Self

import numpy as np
from numpy.typing import NDArray

from rimwise.beliefs.fleet import Fleet
from rimwise.decide.clouds import CHOOSING, REPORTING, SCREENING, Simulator
from rimwise.decide.days import Day
from rimwise.decide.demand import worst_tenth
from rimwise.decide.fresh import losses
from rimwise.decide.posing import QUICK, Problem, Sizes, prices_of, sheltered
from rimwise.decide.rounds import HoleDay, HolePlan, Progress, side_by_side
from rimwise.decide.skies import Pair, all_pairs, fly_sky
from rimwise.records.assumptions import Assumptions
from rimwise.records.words import plural

if TYPE_CHECKING:
    from rimwise.decide._holes import Sky

__all__ = ["HoleRow", "HoleTable", "fill_hole_table"]

Floats = NDArray[np.float64]

#: Lies after the tee shot that stand for those around them: so many of a hole and day at most,
#: and no more once they hold this share of the throws.
_MOST_LIES, _COVERED = 10, 0.97
#: Targets tried with every disc and line: the basket, and so many that the policy's throws have.
_TARGETS, _APART_M = 4, 8.0
#: Each disc's best few are tried with their targets moved by these steps.
_NUDGED, _NUDGES_M = 2, (6.0, 3.0)
_ASIDE = np.array([(1.0, 0.0), (-1.0, 0.0), (0.0, 1.0), (0.0, -1.0)])
#: Discs flown at once: each of them takes some megabytes.
_AT_ONCE = 32
#: A disc's line so many strokes dearer than its best so far is not followed further.
_SLACK_STROKES = 0.08


@dataclass(frozen=True, slots=True)
class HoleRow:
    """One lie of one hole on one day.

    Parameters
    ----------
    kind
        ``tee``, or ``later``.
    lie
        x, y and kind in the hole's frame.
    weight
        Expected throws from there (or nearby) in a round, the share of the day included.
    distance_m, ahead_m_s
        How far the basket is, and the wind that blows from it.
    """

    day: int
    hole: str
    kind: str
    lie: tuple[float, float, float]
    weight: float
    distance_m: float
    ahead_m_s: float


@dataclass(frozen=True, slots=True, eq=False)
class HoleTable:
    """Strokes of every disc on the lies that a policy comes to.

    Parameters
    ----------
    cost
        (row, disc) strokes-to-finish on the throws that lines were chosen on.
    bad
        (row, disc) strokes of the worst tenth of those.
    fresh
        (row, disc, sample) strokes of the same lines on other throws.
    next_m
        (row, disc, sample, 2) from where the next throw is made, in the frame of its hole.
    loss
        (row, disc) chance that the throw is the disc's last.
    solved
        The solved holes, those of a day together, each with the lies that are its rows.
    sizes
        How much work goes into pricing.
    """

    fleet: Fleet
    days: tuple[Day, ...]
    rows: tuple[HoleRow, ...]
    cost: Floats
    bad: Floats
    fresh: NDArray[np.float32]
    next_m: NDArray[np.float32]
    loss: Floats
    solved: tuple[_Asked, ...]
    sizes: Sizes

    @property
    def weights(self) -> Floats:
        """Expected throws a round of every row."""
        return np.array([row.weight for row in self.rows])

    def serves(self, chosen: Sequence[int]) -> NDArray[np.intp]:
        """Return for each row the chosen disc that costs least on the choosing throws."""
        columns = np.asarray(sorted(chosen), dtype=np.intp)
        return np.asarray(columns[np.argmin(self.cost[:, columns], axis=1)])

    def difference(self, first: Sequence[int], second: Sequence[int]) -> tuple[float, float]:
        """Return strokes a round that ``first`` costs more than ``second``, and the error.

        To first order, and on common throws; the error is theirs alone.
        """
        return self.mixed_difference(self.serves(first), self.serves(second))

    def mixed_difference(
        self, first: NDArray[np.intp], second: NDArray[np.intp]
    ) -> tuple[float, float]:
        """Return strokes a round that one disc for each row costs more than another, and error.

        ``first`` and ``second`` (row,) name the disc that plays each row.
        """
        rows = np.flatnonzero(first != second)
        apart = self.fresh[rows, first[rows]] - self.fresh[rows, second[rows]]
        each = self.weights[rows] @ apart.astype(np.float64)
        return float(each.mean()), float(each.std(ddof=1) / math.sqrt(len(each)))

    def ahead_m_s(self, row: int) -> float:
        """Return the wind that blows from the basket toward a row's lie; a tail wind is below 0."""
        return self.rows[row].ahead_m_s

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
        found = _columns(simulator, more, self.solved, self.sizes, assume, progress)
        return replace(
            self,
            fleet=fleet,
            cost=np.hstack([self.cost, found.cost]),
            bad=np.hstack([self.bad, found.bad]),
            fresh=np.concatenate([self.fresh, found.fresh], axis=1),
            next_m=np.concatenate([self.next_m, found.next_m], axis=1),
            loss=np.hstack([self.loss, found.loss]),
        )

    def priced_in(
        self,
        simulator: Simulator,
        fleet: Fleet,
        number: int,
        weathers: Sequence[Day],
        assume: Assumptions,
    ) -> list[Floats]:
        """Return what discs cost on the rows of one day in other weathers, (row, disc) strokes.

        Lies and strokes-to-finish stay; lines are chosen anew. The weathers differ in nothing
        that changes a flight, so that discs are flown once for all of them. Lines are chosen on
        the simulator's screening throws, and priced on its choosing ones.

        Parameters
        ----------
        number
            Of the day whose rows are priced.
        """
        mine = [one for one in self.solved if one.rows[0].day == number]
        each = [
            [one.on(fleet, sheltered(day, one.solved.hole, assume), assume) for one in mine]
            for day in weathers
        ]
        sets = (simulator.screening, SCREENING), (simulator.choosing, CHOOSING)
        together: dict[Day, list[int]] = {}
        for place, one in enumerate(each[0]):
            together.setdefault(one.day, []).append(place)
        found: list[list[Floats]] = [[np.empty(0)] * len(mine) for _ in weathers]
        for day, places in together.items():
            asked = [world[place] for world in each for place in places]
            filled = iter(_filled(simulator, fleet, day, asked, *sets))
            for costs in found:
                for place in places:
                    costs[place] = next(filled).fresh.mean(axis=2, dtype=np.float64)
        return [np.concatenate(costs) for costs in found]


class _Columns(NamedTuple):
    """Strokes of some discs on some rows, as in :class:`HoleTable`."""

    cost: Floats
    bad: Floats
    fresh: NDArray[np.float32]
    next_m: NDArray[np.float32]
    loss: Floats


def fill_hole_table(
    simulator: Simulator,
    fleet: Fleet,
    days: Sequence[Day],
    plans: Sequence[HolePlan],
    assume: Assumptions,
    *,
    sizes: Sizes = QUICK,
    progress: Progress = lambda _what, _share: None,
) -> HoleTable:
    """Price every disc on the lies that solved holes lead to.

    Parameters
    ----------
    fleet
        All discs that may be carried; the holes may have been solved for some of them.
    days
        The days that the holes were solved for.
    plans
        Solved holes.
    progress
        Raise in it to stop.
    """
    names = [day.name for day in days]
    together: dict[Day, list[HoleDay]] = {}
    for plan in plans:
        for one in plan.days:
            together.setdefault(one.day, []).append(one)
    solved = tuple(
        _Asked.of(one, names.index(day.name)) for day, ones in together.items() for one in ones
    )
    rows = tuple(row for one in solved for row in one.rows)
    columns = _columns(simulator, fleet, solved, sizes, assume, progress)
    return HoleTable(fleet, tuple(days), rows, *columns, solved, sizes)


def _columns(
    simulator: Simulator,
    fleet: Fleet,
    solved: Sequence[_Asked],
    sizes: Sizes,
    assume: Assumptions,
    progress: Progress,
) -> _Columns:
    """Price every disc of a fleet on all rows, some discs at a time: none knows of the others."""
    parts = [range(len(fleet))[at : at + _AT_ONCE] for at in range(0, len(fleet), _AT_ONCE)]
    days = list(dict.fromkeys(one.day for one in solved))
    sets = (sizes.choosing, CHOOSING), (sizes.choosing, REPORTING)
    found = []
    for number, part in enumerate(parts):
        some = fleet.subset(list(part))
        filled: list[_Columns] = []
        for place, day in enumerate(days):
            done = (number + place / len(days)) / len(parts)
            progress(f"{day.name}: flying {plural(len(some), 'disc')} on the lies", done)
            asked = [one.on(some, day, assume) for one in solved if one.day == day]
            filled += _filled(simulator, some, day, asked, *sets)
        found.append([np.concatenate(column) for column in zip(*filled, strict=True)])
    progress("done", 1.0)
    return _Columns(*(np.concatenate(column, axis=1) for column in zip(*found, strict=True)))


def _filled(
    simulator: Simulator,
    fleet: Fleet,
    day: Day,
    asked: Sequence[_Asked],
    choosing: tuple[int, int],
    telling: tuple[int, int],
) -> list[_Columns]:
    """Choose every disc's lines on lies of one wind on one set of throws, and tell on another.

    Parameters
    ----------
    choosing, telling
        Size and number of a set of throws.
    """

    def sky(pairs: Sequence[Pair], samples: int, draw_set: int) -> Sky:
        return fly_sky(simulator, fleet, day, pairs, samples=samples, draw_set=draw_set)

    first = sky(all_pairs(simulator, fleet), *choosing)

    def best(one: _Asked) -> tuple[Floats, Floats, Floats]:
        lines, cost = _best_lines(one, first)
        return lines, cost, worst_tenth(_told(one, lines, first)[0])

    chosen = side_by_side(simulator.threads, best, asked, lambda _n: None)
    lines = np.concatenate([actions.reshape(-1, 4) for actions, _, _ in chosen])
    used = [(int(d), int(b)) for d, b in np.unique(lines[:, :2], axis=0)]
    second = sky(used, *telling)
    told = side_by_side(
        simulator.threads, lambda n: _told(asked[n], chosen[n][0], second), range(len(asked)),
        lambda _n: None,
    )  # fmt: skip
    return [_Columns(cost, bad, *ends) for (_, cost, bad), ends in zip(chosen, told, strict=True)]


@dataclass(frozen=True, slots=True, eq=False)
class _Asked:
    """The lies of one hole on one day, and the problem that discs are priced in.

    ``day`` has the wind as it blows on the hole; it is that of the solved hole, or another.
    """

    solved: HoleDay
    day: Day
    problem: Problem
    rows: tuple[HoleRow, ...]
    which: NDArray[np.intp]

    @classmethod
    def of(cls, solved: HoleDay, day: int) -> _Asked:
        """Return the lies that a solved hole's play comes to; its discs are those it was for."""
        problem = solved.valued.policy.problem
        which, throws = _lies(problem, solved.valued.visits)
        tee = len(problem.lattice.lies) - 1
        rows = tuple(
            _row(solved, day, "tee" if lie == tee else "later", lie, often)
            for lie, often in zip(which.tolist(), throws.tolist(), strict=True)
        )
        return cls(solved, solved.day, problem, rows, which)

    def on(self, fleet: Fleet, day: Day, assume: Assumptions) -> _Asked:
        """Return them with other discs' prices, in another weather as it is on this hole."""
        problem = self.solved.valued.policy.problem
        turned_deg = day.wind.from_deg - self.solved.day.wind.from_deg
        problem = replace(
            problem,
            prices=prices_of(fleet, day, assume),
            wind_rad=problem.wind_rad + math.radians(turned_deg),
        )
        return replace(self, day=day, problem=problem)

    @property
    def lies(self) -> Floats:
        """The lies, (row, 3)."""
        return np.ascontiguousarray(self.problem.lattice.lies[self.which])


def _row(solved: HoleDay, day: int, kind: str, lie: int, often: float) -> HoleRow:
    problem = solved.valued.policy.problem
    x, y, on = problem.lattice.lies[lie].tolist()
    ahead_m, left_m = problem.ground.length_m - x, -y
    off_rad = problem.wind_rad + math.atan2(left_m, ahead_m)
    return HoleRow(
        day, solved.hole.ref, kind, (x, y, on), solved.share * often, math.hypot(ahead_m, left_m),
        solved.day.wind.speed_m_s * math.cos(off_rad),
    )  # fmt: skip


def _lies(problem: Problem, visits: Floats) -> tuple[NDArray[np.intp], Floats]:
    """Return lies that stand for all that are thrown from, the tee first, and the throws of each.

    One lie speaks for those of its kind in a square of the widest lattice: the one thrown from
    most. What is left out is shared among the others.
    """
    later, tee = np.flatnonzero(visits[:-1] > 0.0), len(visits) - 1
    if not len(later):
        return np.array([tee]), np.ones(1)
    square = problem.wide.nearest(problem.lattice.lies[later])
    throws = np.bincount(square, visits[later])
    order = np.argsort(-throws, kind="stable")
    covered = np.cumsum(throws[order]) / throws.sum()
    taken = order[: min(int(np.searchsorted(covered, _COVERED)) + 1, _MOST_LIES)]
    speaks = [later[square == s][np.argmax(visits[later[square == s]])] for s in taken]
    often = throws[taken] * (throws.sum() / throws[taken].sum())
    return np.array([tee, *speaks]), np.concatenate([np.ones(1), often])


def _best_lines(asked: _Asked, sky: Sky) -> tuple[Floats, Floats]:
    """Return the best line and target of every disc from every lie, (row, disc, 4), and its cost.

    Every kind of lie allows some of the lines.
    """
    lies, discs = asked.lies, len(sky.pair)
    bases = sky.pair.shape[1]
    targets = _targets(asked)
    disc, base, target = (a.ravel() for a in np.indices((discs, bases, targets.shape[1])))
    shape = (len(lies), discs, -1, 4)
    actions = np.empty((len(lies), len(disc), 4))
    actions[..., 0], actions[..., 1] = disc, base
    actions[..., 2:] = targets[:, target]
    allowed = asked.problem.allowed[lies[:, 2].astype(np.intp)][:, base]
    actions[..., 0] = np.where(allowed, actions[..., 0], -1.0)
    actions = actions.reshape(shape)
    cost = _priced(asked, sky, actions)
    for step_m in _NUDGES_M:
        order = np.argsort(cost, axis=2, kind="stable")[..., :_NUDGED]
        best = np.take_along_axis(actions, order[..., None], axis=2)
        moved = np.repeat(best, len(_ASIDE), axis=2)
        moved[..., 2:] += np.tile(step_m * _ASIDE, (order.shape[2], 1)) * (1.0, asked.problem.side)
        actions = np.concatenate([best, moved], axis=2)
        kept = np.take_along_axis(cost, order, axis=2)
        cost = np.concatenate([kept, _priced(asked, sky, moved)], axis=2)
    first = cost.argmin(axis=2)[..., None]
    least = np.take_along_axis(cost, first, axis=2)[..., 0]
    return np.take_along_axis(actions, first[..., None], axis=2)[:, :, 0], least


def _targets(asked: _Asked) -> Floats:
    """Return targets to try from every lie, (row, target, 2): the basket, and its offers'."""
    offers = asked.solved.offers[asked.which]
    found = np.empty((len(offers), _TARGETS + 1, 2))
    found[:] = (asked.problem.ground.length_m, 0.0)
    for row, mine in enumerate(offers):
        known = [found[row, 0]]
        for offer in mine[mine[:, 0] >= 0]:
            if len(known) <= _TARGETS and all(
                math.dist(offer[2:4], other) > _APART_M for other in known
            ):
                known.append(offer[2:4])
        found[row, : len(known)] = known
    return found


def _priced(asked: _Asked, sky: Sky, actions: Floats) -> Floats:
    """Return what actions (row, disc, action, 4) cost.

    Each disc is followed by itself, so that all are told, and not only those near the best.
    """
    from rimwise.decide._holes import reprice

    rows, discs, count, _ = actions.shape
    cost = np.empty((rows * discs, count))
    reprice(
        sky, asked.problem.terrain, _field(asked), asked.problem.rules, asked.problem.wind_rad,
        np.repeat(asked.lies, discs, axis=0),
        np.ascontiguousarray(actions.reshape(rows * discs, count, 4)), asked.problem.prices,
        _SLACK_STROKES, cost,
    )  # fmt: skip
    return cost.reshape(rows, discs, count)


def _field(asked: _Asked):  # type: ignore[no-untyped-def]
    return asked.problem.field(asked.solved.valued.cost)


def _told(
    asked: _Asked, lines: Floats, sky: Sky
) -> tuple[NDArray[np.float32], NDArray[np.float32], Floats]:
    """Throw every disc's line anew.

    Returns
    -------
    Strokes (row, disc, sample), next lies (row, disc, sample, 2), and chances of loss (row, disc).
    """
    from rimwise.decide._holes import land
    from rimwise.decide._sweeps import follow

    problem, (rows, discs, _) = asked.problem, lines.shape
    samples = sky.points.shape[-1]
    where = np.zeros((rows * discs, 1, samples, 2), dtype=np.float32)
    codes = np.zeros((rows * discs, 1, samples), dtype=np.uint8)
    each_line = np.ascontiguousarray(lines.reshape(-1, 1, 4))
    lies = np.repeat(asked.lies, discs, axis=0)
    land(sky, problem.terrain, problem.rules, problem.wind_rad, lies, each_line, where, codes)
    price = np.ascontiguousarray(problem.prices[np.tile(np.arange(discs), rows)])
    start = np.arange(rows * discs + 1, dtype=np.int64) * samples
    cost, each = np.zeros(rows * discs), np.empty(rows * discs * samples)
    nobody = np.full((rows * discs, 3), -1, dtype=np.int64)  # none sees another's change
    landed, flat = where.reshape(-1, 2).astype(np.float64), codes.ravel()
    for _ in range(2):  # each landing is told against its line's mean, which the first time finds
        follow(
            _field(asked), asked.solved.valued.policy.field(), nobody, start,
            landed, flat, price, cost, each,
        )  # fmt: skip
    lost = losses(np.repeat(price, samples, axis=0), flat).reshape(rows, discs, samples)
    fresh = each.reshape(rows, discs, samples) + cost.reshape(rows, discs, 1)
    next_m = where.reshape(rows, discs, samples, 2)
    return fresh.astype(np.float32), next_m, lost.mean(axis=-1)
