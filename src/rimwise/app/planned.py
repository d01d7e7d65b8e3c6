"""A plan on file, its table of throws computed again for a question about it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from rimwise.app.box import fleet_of, pick
from rimwise.app.planning import Prepared, prepare
from rimwise.app.reports import load_plan
from rimwise.beliefs.fleet import Fleet
from rimwise.beliefs.posterior import LearntFleet
from rimwise.decide.demand import Demand
from rimwise.decide.report import PlanReport
from rimwise.errors import InputError
from rimwise.store.store import Store

__all__ = ["Planned", "Progress", "planned_again", "unheard"]

Progress = Callable[[str, float], None]


def unheard(_what: str, _share: float) -> None:
    """Say nothing of progress."""


@dataclass(frozen=True, slots=True, eq=False)
class Planned:
    """A plan, its demand table computed again, and its carry by position."""

    plan: PlanReport
    ready: Prepared
    demand: Demand
    carry: tuple[int, ...]


def planned_again(
    store: Store, conditions: str | None, progress: Progress, *, as_it_was: bool = False
) -> Planned:
    """Compute a plan's table again.

    Parameters
    ----------
    as_it_was
        With the discs that the plan had and that are away by now, counted as there.

    Raises
    ------
    InputError, NotFoundError
        When nothing is planned yet, or a disc of the plan is away and not to be counted.
    """
    plan = load_plan(store, conditions)
    ready = prepare(
        store, course=plan.course, thrower=plan.thrower, seed=plan.seed, printed=plan.learnt is None
    )
    gone = [disc for disc in plan.chosen if disc not in ready.fleet.ids]
    if gone and as_it_was:
        ready = _with_back(store, ready, gone, worn=plan.learnt is not None)
    elif gone:
        raise InputError(f"{gone[0]} is in the plan but not available; run `rimwise plan` again.")
    demand = ready.demand(pick(store.conditions, "conditions", plan.conditions), progress)
    return Planned(plan, ready, demand, tuple(ready.fleet.index(disc) for disc in plan.chosen))


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
