"""The carry: strokes first, then what matters among sets that are equal within error.

Expected strokes alone often say that a few discs do nearly all that many do. So the fewest
strokes are found exactly; then, among all sets within the error of that, what the owner cares
about next, in the owner's order: usually the fewest strokes on the harshest day, then the least
change from an earlier carry, then, with the room that is left, spares for what is most likely
lost. Each step is solved to proven optimality.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Any, ClassVar, Protocol, TypeVar

import numpy as np
from numpy.typing import NDArray

from rimwise.beliefs.fleet import Fleet
from rimwise.decide.choose import choose, choose_in_order, how_many
from rimwise.decide.conflict import Rule, count_rule, refuse_conflict
from rimwise.decide.criteria import Criterion, Score, Strokes
from rimwise.decide.days import Day
from rimwise.decide.demand import Demand
from rimwise.decide.rules import AtLeast, Linear
from rimwise.errors import InputError
from rimwise.records.words import joined, plural

__all__ = [
    "BAD_THROWS",
    "HARSHEST",
    "KNOWN",
    "LEAST_CHANGE",
    "NO_DOUBLES",
    "ON_HARSHEST",
    "SPARES",
    "USUAL_ORDER",
    "CarryChoice",
    "CurveStep",
    "Stands",
    "Table",
    "Wishes",
    "choose_carry",
    "held_back",
    "how_many_curve",
    "per_round",
]

#: Says whether a set of discs can be packed: ``None``, or a rule that it breaks and that every
#: set keeps that can be packed.
Stands = Callable[[Sequence[int]], Rule | None]

#: Sets closer than this are equal whatever the error says: a stroke in two hundred rounds.
LEAST_TOLERANCE = 0.005

_KEPT = "discs kept from the earlier carry"
_DOUBLED = "pairs carried that fly alike"

#: What may decide among sets that are equal in strokes: strokes on the harshest day, strokes of
#: the worst tenth of throws, how well the discs are known, no two that fly alike, the least change
#: from an earlier carry; and spares, which come last because they fill the room that is left.
HARSHEST, BAD_THROWS, KNOWN, NO_DOUBLES, LEAST_CHANGE, SPARES = (
    "harshest day", "bad throws", "known discs", "no doubles", "least change", "spares",
)  # fmt: skip
#: How the strokes on the harshest day are called, before its name.
ON_HARSHEST = "strokes on the harshest day"
#: The order when nothing else is asked.
USUAL_ORDER = (HARSHEST, LEAST_CHANGE, SPARES)
#: Draws of a disc's numbers that say how well it is known.
_DRAWS = 512


class _Row(Protocol):
    """A lie on a day, as often as it is thrown from in a round."""

    @property
    def day(self) -> int: ...

    @property
    def hole(self) -> str: ...

    @property
    def kind(self) -> str: ...

    @property
    def distance_m(self) -> float: ...

    @property
    def weight(self) -> float: ...


class Table(Protocol):
    """What a carry is chosen from: strokes of every disc on every lie.

    :class:`rimwise.decide.demand.Demand` is one, looking ahead by distance, and
    :class:`rimwise.decide.hole_table.HoleTable` another, on solved holes.
    """

    __dataclass_fields__: ClassVar[dict[str, Any]]

    @property
    def fleet(self) -> Fleet:
        """The discs, in the order of the columns."""

    @property
    def days(self) -> tuple[Day, ...]:
        """The days that rows name by number."""

    @property
    def rows(self) -> Sequence[_Row]:
        """The lies; ``tee`` is the kind of those a hole begins on."""

    @property
    def cost(self) -> NDArray[np.float64]:
        """(row, disc) strokes on the throws that lines and discs are chosen on."""

    @property
    def bad(self) -> NDArray[np.float64]:
        """(row, disc) strokes of the worst tenth of those throws."""

    @property
    def loss(self) -> NDArray[np.float64]:
        """(row, disc) chance that the throw is the disc's last."""

    @property
    def weights(self) -> NDArray[np.float64]:
        """(row,) throws a round."""

    def serves(self, chosen: Sequence[int], /) -> NDArray[np.intp]:
        """Return for each row the chosen disc that costs least."""

    def difference(self, first: Sequence[int], second: Sequence[int], /) -> tuple[float, float]:
        """Return strokes a round that ``first`` costs more than ``second``, and the error."""

    def mixed_difference(
        self, first: NDArray[np.intp], second: NDArray[np.intp], /
    ) -> tuple[float, float]:
        """Return the same where one disc for each row is named."""


_T = TypeVar("_T", bound=Table)


@dataclass(frozen=True, slots=True)
class Wishes:
    """What the owner asks of a carry, as positions in the fleet.

    Parameters
    ----------
    limit
        Most discs to carry.
    must, never
        Discs that go or stay whatever they cost.
    at_least
        Pairs (discs, k): at least k of these go.
    price
        Strokes a disc has to save per round to be worth carrying.
    keep
        Discs of an earlier carry, kept where strokes do not speak against them.
    rules
        What else the owner asks for, as sums with words.
    spares
        Places of the limit that are left to spares for what is most likely lost.
    order
        What decides among sets that are equal in strokes, the first first; without ``SPARES``
        the room that is left stays empty.
    doubled
        Pairs of discs that fly alike.
    """

    limit: int
    must: tuple[int, ...] = ()
    never: tuple[int, ...] = ()
    at_least: AtLeast = ()
    price: float = 0.0
    keep: tuple[int, ...] = ()
    rules: tuple[Rule, ...] = ()
    spares: int = 0
    order: tuple[str, ...] = USUAL_ORDER
    doubled: tuple[tuple[int, int], ...] = ()

    @property
    def linear(self) -> Linear:
        """The rules as ``choose`` takes them."""
        if not self.rules:
            return None
        return [rule.weights for rule in self.rules], [rule.most for rule in self.rules]

    def stated(self, ids: Sequence[str]) -> tuple[Rule, ...]:
        """Return every wish with words, the limit and single discs included."""
        discs = len(ids)
        places = f"you ask for at most {plural(self.limit, 'disc')}"
        if self.spares:
            places += f", {self.spares} of them for spares"
        told = count_rule(places, discs, range(discs), most=self.limit - self.spares)
        for disc in self.must:
            told += count_rule(f"{ids[disc]} has to go", discs, (disc,), least=1)
        for disc in self.never:
            told += count_rule(f"{ids[disc]} has to stay", discs, (disc,), most=0)
        for group, least in self.at_least:
            members = tuple(group)
            named = joined([ids[disc] for disc in members])
            told += count_rule(
                f"at least {least} of {named} have to go", discs, members, least=least
            )
        return told + self.rules


@dataclass(frozen=True, slots=True)
class CarryChoice:
    """The chosen set and how it was chosen.

    ``criteria`` are (name, value of the chosen set, proven gap) in order; ``tolerance`` is
    how many strokes a round the first criterion was allowed to give away, ``best_strokes``
    the least it can come to.
    """

    chosen: tuple[int, ...]
    criteria: tuple[tuple[str, float, float], ...]
    tolerance: float
    best_strokes: float
    harshest_day: str


@dataclass(frozen=True, slots=True)
class CurveStep:
    """The best set of at most ``discs`` and what it loses against everything, per round."""

    discs: int
    lost: float
    lost_se: float
    chosen: tuple[int, ...]


def choose_carry(demand: Table, wishes: Wishes, stands: Stands | None = None) -> CarryChoice:
    """Choose the carry for one table.

    Parameters
    ----------
    stands
        Asked of every carry found; the rule it returns is added and the choice made again, so
        that the carry is the best of all that stand.

    Raises
    ------
    InputError
        When the wishes contradict each other, with the fewest that do, or ask for more discs
        than there are.
    """
    _check(demand, wishes)
    while True:
        choice = _choose(demand, wishes)
        broken = None if stands is None else stands(choice.chosen)
        if broken is None:
            return choice
        wishes = replace(wishes, rules=(*wishes.rules, broken))
        refuse_conflict(wishes.stated(demand.fleet.ids), len(demand.fleet))


def _choose(demand: Table, wishes: Wishes) -> CarryChoice:
    """Choose by the criteria in their order, then fill what room is left with spares."""
    weights, cost = demand.weights, per_round(demand)
    places = wishes.limit - wishes.spares
    first = choose(
        cost,
        places,
        weights=weights,
        must=wishes.must,
        never=wishes.never,
        at_least=wishes.at_least,
        price=wishes.price,
        linear=wishes.linear,
    )
    _, error = demand.difference(first.chosen, range(len(demand.fleet)))
    tolerance = max(error, LEAST_TOLERANCE)
    harshest = _harshest_day(demand)
    strokes = Strokes(cost, weights, wishes.price, tolerance, "strokes per round")
    criteria = [strokes, *_later(demand, wishes, harshest, tolerance)]
    ordered = choose_in_order(
        criteria,
        places,
        must=wishes.must,
        never=wishes.never,
        at_least=wishes.at_least,
        linear=wishes.linear,
    )
    chosen, spare = _with_spares(demand, ordered.chosen, wishes)
    told = [
        (name, _as_told(name, value, wishes), gap)
        for name, value, gap in zip(ordered.names, ordered.objectives, ordered.gaps, strict=True)
    ]
    return CarryChoice(
        chosen=chosen,
        criteria=(*told, *spare),
        tolerance=tolerance,
        best_strokes=first.objective,
        harshest_day=demand.days[harshest].name,
    )


def _as_told(name: str, value: float, wishes: Wishes) -> float:
    """Return a criterion as it is told: kept discs were counted below zero, and pairs from one."""
    if name == _KEPT:
        return -value
    return value - len(wishes.doubled) if name == _DOUBLED else value


def _later(demand: Table, wishes: Wishes, harshest: int, tolerance: float) -> list[Criterion]:
    """Return what decides after strokes, in the owner's order."""
    weights, discs = demand.weights, len(demand.fleet)
    found: list[Criterion] = []
    for name in wishes.order:
        if name == HARSHEST:
            on_it = np.array([row.day == harshest for row in demand.rows])
            told = f"{ON_HARSHEST} ({demand.days[harshest].name})"
            load = weights[on_it] / demand.days[harshest].share
            found.append(Strokes(per_round(demand)[on_it], load, 0.0, tolerance, told))
        elif name == BAD_THROWS:
            regret = demand.bad - demand.bad.min(axis=1, keepdims=True)
            told = "strokes given away on the worst tenth of throws"
            found.append(Strokes(regret, weights, 0.0, tolerance, told))
        elif name == KNOWN:
            numbers = demand.fleet.sample_printed(_DRAWS, 0)
            unknown = numbers[..., 2:].sum(axis=-1).std(axis=-1)  # of turn and fade together
            found.append(Score(unknown, 0.0, "what is not known of the discs' turn and fade"))
        elif name == NO_DOUBLES and wishes.doubled:
            found.append(_doubles(wishes.doubled, discs))
        elif name == LEAST_CHANGE and wishes.keep:
            kept = np.zeros(discs)
            kept[list(wishes.keep)] = -1.0
            found.append(Score(kept, 0.0, _KEPT))
    return found


def _doubles(pairs: Sequence[tuple[int, int]], discs: int) -> Strokes:
    """Return a criterion that counts the pairs of which both are carried.

    Each disc of a pair counts one, and a pair without either counts one; so a pair comes to one,
    and to two where both are carried.
    """
    cost, price = np.ones((len(pairs), discs)), np.zeros(discs)
    for row, pair in enumerate(pairs):
        cost[row, list(pair)] = 0.0
        price[list(pair)] += 1.0
    return Strokes(cost, None, price, 0.0, _DOUBLED)


def held_back(demand: _T, discs: Sequence[int]) -> _T:
    """Return the table with some discs never thrown, as a putter kept for putting is.

    Raises
    ------
    InputError
        When no disc is left to throw.
    """
    if not discs:
        return demand
    if len(set(discs)) == len(demand.fleet):
        raise InputError("every disc is held back, so none is left to throw; hold fewer back.")
    cost = demand.cost.copy()
    cost[:, list(discs)] = cost.max(axis=1)[:, None] + 1.0
    return replace(demand, cost=cost)


def per_round(demand: Table) -> NDArray[np.float64]:
    """Return a table whose weighted sum over rows is strokes per round.

    A tee's strokes hold those of the throws that follow, so a later lie adds only what its
    disc costs more than the best of all.
    """
    later = np.array([row.kind != "tee" for row in demand.rows])
    return demand.cost - np.where(later, demand.cost.min(axis=1), 0.0)[:, None]


def _check(demand: Table, wishes: Wishes) -> None:
    discs = len(demand.fleet)
    if not 0 <= wishes.spares < max(wishes.limit, 1):
        raise InputError(
            f"{wishes.spares} of {plural(wishes.limit, 'place')} for spares leaves none to throw; "
            f"ask for {max(wishes.limit - 1, 0)} or fewer."
        )
    named = {*wishes.must, *wishes.never}
    if wishes.limit > 0 and all(0 <= disc < discs for disc in named):
        refuse_conflict(wishes.stated(demand.fleet.ids), discs)


def _harshest_day(demand: Table) -> int:
    """Return the day that costs most strokes with everything owned."""
    everything = demand.serves(range(len(demand.fleet)))
    cost = demand.cost[np.arange(len(demand.rows)), everything]
    totals = np.zeros(len(demand.days))
    for row, strokes in zip(demand.rows, cost, strict=True):
        if row.kind == "tee":
            totals[row.day] += row.weight * strokes / demand.days[row.day].share
    return int(np.argmax(totals))


def _with_spares(
    demand: Table, chosen: Sequence[int], wishes: Wishes
) -> tuple[tuple[int, ...], list[tuple[str, float, float]]]:
    """Fill the room that is left with spares.

    Every throw of a carried disc may be its last: with its chance of loss, that disc's later
    throws fall to the best of the others. The set that keeps those strokes least is exact.
    """
    room = wishes.limit - len(chosen)
    if room <= 0 or wishes.price > 0.0 or SPARES not in wishes.order:
        return tuple(chosen), []
    serves = demand.serves(chosen)
    rows = np.arange(len(demand.rows))
    weights = demand.weights
    lost = np.zeros(len(demand.fleet))
    np.add.at(lost, serves, weights * demand.loss[rows, serves])
    cost = demand.cost - demand.cost[rows, serves][:, None]
    cost[rows, serves] = cost.max() + 1.0  # the disc that serves this row is gone
    risk = weights * lost[serves]
    if not risk.any():
        return tuple(chosen), []
    spare = choose(
        cost,
        wishes.limit,
        weights=risk,
        must=chosen,
        never=wishes.never,
        linear=wishes.linear,
    )
    told = ("strokes a round more once a disc is lost, times the chance of it", spare.objective)
    return spare.chosen, [(*told, spare.gap)]


def how_many_curve(demand: Demand, most: int, wishes: Wishes) -> tuple[CurveStep, ...]:
    """Solve for every number of discs up to ``most``, with the owner's other wishes kept.

    Numbers too small for the wishes are left out. Losses are from the reporting throws, so a
    further disc may seem to lose a little: that is the error, and it is shown.
    """
    everything = range(len(demand.fleet))
    steps = how_many(
        demand.cost,
        min(most, len(demand.fleet)),
        weights=demand.weights,
        must=wishes.must,
        never=wishes.never,
        at_least=wishes.at_least,
        price=wishes.price,
        linear=wishes.linear,
    )
    return tuple(
        CurveStep(step.limit, *demand.difference(step.chosen, everything), step.chosen)
        for step in steps
    )
