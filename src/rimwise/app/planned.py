"""A plan on file, its table of throws computed again for a question about it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Generic, TypeVar

from rimwise.app.box import fleet_of, pick
from rimwise.app.planning import Prepared, prepare
from rimwise.app.reports import load_plan
from rimwise.beliefs.fleet import Fleet
from rimwise.beliefs.posterior import LearntFleet
from rimwise.decide.carry import Table, held_back
from rimwise.decide.demand import Demand
from rimwise.decide.hole_table import HoleTable
from rimwise.decide.report import PlanReport
from rimwise.errors import InputError
from rimwise.records.conditions import Conditions
from rimwise.store.store import Store

__all__ = [
    "Planned", "Progress", "holes_words", "planned_again", "planned_on_holes", "prepared_for",
    "putting_of",
    "unheard",
]  # fmt: skip

Progress = Callable[[str, float], None]
_Table = TypeVar("_Table", bound=Table, covariant=True)


def unheard(_what: str, _share: float) -> None:
    """Say nothing of progress."""


@dataclass(frozen=True, slots=True, eq=False)
class Planned(Generic[_Table]):
    """A plan, its table computed again, and its carry by position."""

    plan: PlanReport
    ready: Prepared
    demand: _Table
    carry: tuple[int, ...]


def planned_again(
    store: Store, conditions: str | None, progress: Progress, *, as_it_was: bool = False
) -> Planned[Demand]:
    """Compute a plan's table again, by distance alone.

    Parameters
    ----------
    as_it_was
        With the discs that the plan had and that are away by now, counted as there.

    Raises
    ------
    InputError, NotFoundError
        When nothing is planned yet, or a disc of the plan is away and not to be counted.
    """
    plan, ready, weather = _read(store, conditions, as_it_was=as_it_was)
    demand = held_back(ready.demand(weather, progress), putting_of(plan, ready))
    return Planned(plan, ready, demand, tuple(ready.fleet.index(disc) for disc in plan.chosen))


def planned_on_holes(
    store: Store, conditions: str | None, progress: Progress
) -> Planned[HoleTable]:
    """Solve every hole for a plan's carry, and make the table of what its own play asks for.

    Raises
    ------
    InputError, NotFoundError
        When nothing is planned yet, or a disc of the plan is away.
    """
    plan, ready, weather = _read(store, conditions)
    carry = tuple(ready.fleet.index(disc) for disc in plan.chosen)
    table = ready.on_holes(weather, carry, putting_of(plan, ready), progress)
    return Planned(plan, ready, table, carry)


def putting_of(plan: PlanReport, ready: Prepared) -> tuple[int, ...]:
    """Return the place of the disc that a plan keeps for putting, if it does and it is there."""
    return (ready.fleet.index(plan.putting),) if plan.putting in ready.fleet.ids else ()


def holes_words(conditions: str) -> str:
    """Say that figures come from solved holes."""
    return (
        f"Every hole was solved for the carry of {conditions}, woods, water and penalties "
        "included; the strokes told here are those on the lies that its play comes to, with what "
        "it still needs from wherever a throw ends."
    )


def prepared_for(
    store: Store, plan: PlanReport, *, seed: int | None = None, printed: bool | None = None
) -> Prepared:
    """Return what a plan on file was computed from, as it is now.

    Parameters
    ----------
    seed
        Another seed than the plan's.
    printed
        Whether to go by printed numbers alone; as the plan did when ``None``.

    Raises
    ------
    InputError
        When who or what it was made for is not on file any more.
    """
    on_file = (
        (plan.thrower, [thrower.name for thrower in store.throwers.all()]),
        (plan.course, store.courses.keys()),
    )
    for name, names in on_file:
        if name not in names:
            raise InputError(
                f"the plan for {plan.conditions} is for {name!r}, which is not on file any more; "
                f"run `rimwise plan {plan.conditions}` again."
            )
    return prepare(
        store, course=plan.course, thrower=plan.thrower,
        seed=plan.seed if seed is None else seed,
        printed=plan.learnt is None if printed is None else printed,
    )  # fmt: skip


def _read(
    store: Store, conditions: str | None, *, as_it_was: bool = False
) -> tuple[PlanReport, Prepared, Conditions]:
    plan = load_plan(store, conditions)
    ready = prepared_for(store, plan)
    gone = [disc for disc in plan.chosen if disc not in ready.fleet.ids]
    if gone and as_it_was:
        ready = _with_back(store, ready, gone, worn=plan.learnt is not None)
    elif gone:
        raise InputError(f"{gone[0]} is in the plan but not available; run `rimwise plan` again.")
    return plan, ready, pick(store.conditions, "conditions", plan.conditions)


def _with_back(store: Store, ready: Prepared, gone: Sequence[str], *, worn: bool) -> Prepared:
    """Return what a computation needs, with discs that are away counted as there."""
    known = {disc.id for disc in store.discs.all()}
    for disc in gone:
        if disc not in known:
            raise InputError(f"{disc} is in the plan but not on file; run `rimwise plan` again.")
    fleet: Fleet = fleet_of(store, ready.assume, worn=worn, also=gone)
    if isinstance(ready.fleet, LearntFleet):
        fleet = ready.fleet.beliefs.learnt_fleet(fleet)
    return replace(ready, fleet=fleet, beliefs=replace(ready.beliefs, fleet=fleet))
