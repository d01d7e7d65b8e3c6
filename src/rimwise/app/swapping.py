"""Swap: what changes when the season turns, and why."""

from __future__ import annotations

from datetime import date

from rimwise.app import telling
from rimwise.app.box import pick
from rimwise.app.planning import Prepared, prepare
from rimwise.app.reports import load_plan, save_swaps
from rimwise.app.wearing import wear_by_day, wear_histories
from rimwise.beliefs.fleet import Fleet
from rimwise.decide.days import days_of
from rimwise.decide.demand import Progress
from rimwise.decide.report import PlanReport, SwapReport, Work
from rimwise.decide.swaps import find_swaps
from rimwise.errors import InputError
from rimwise.store.store import Store

__all__ = ["make_swaps"]

#: Share of the work that goes into pricing the new season anew.
_DEMAND_SHARE = 0.4
#: Discs whose greater work is explained.
_MOST_GROWN = 3


def make_swaps(
    store: Store,
    old_name: str,
    new_name: str,
    *,
    progress: Progress = lambda _what, _share: None,
) -> SwapReport:
    """Compare the planned carries of two seasons and find each swap's causes.

    Wear between the days of the two plans is one of them.

    Raises
    ------
    RimwiseError
        When one of the seasons was not planned, or on another course, for another thrower or
        from other evidence.
    """
    if old_name == new_name:
        raise InputError(f"{old_name!r} is named twice; name the old season and the new one.")
    old, new = load_plan(store, old_name), load_plan(store, new_name)
    _check_alike(old, new)
    ready = prepare(
        store,
        course=new.course,
        thrower=new.thrower,
        seed=new.seed,
        printed=new.learnt is None,
    )
    known = set(ready.fleet.ids)
    gone = [disc for disc in (*old.chosen, *new.chosen) if disc not in known]
    if gone:
        raise InputError(
            f"{gone[0]} is in a plan but no longer available; run `rimwise plan` again."
        )
    demand = ready.demand(
        pick(store.conditions, "conditions", new_name),
        lambda what, share: progress(what, share * _DEMAND_SHARE),
    )
    days = days_of(pick(store.conditions, "conditions", old_name), ready.thrower, ready.assume)
    swaps = find_swaps(
        ready.simulator,
        days,
        [ready.fleet.index(disc) for disc in old.chosen],
        demand,
        [ready.fleet.index(disc) for disc in new.chosen],
        ready.assume,
        grown=[ready.fleet.index(disc) for disc in _grown(old, new)],
        old_fleet=_fleet_then(store, ready, date.fromisoformat(old.on)),
        progress=lambda what, share: progress(what, _DEMAND_SHARE + share * (1 - _DEMAND_SHARE)),
    )
    changing = tuple(swap for swap in swaps if not swap.stays)
    staying = tuple(swap for swap in swaps if swap.stays)
    work = _work(old, new)
    report = SwapReport(
        old=old_name,
        new=new_name,
        course=new.course,
        swaps=changing,
        sentences=tuple(telling.swap_words(swap, old_name, new_name) for swap in changing),
        summary=telling.swaps_summary(changing, old_name, new_name),
        work=work,
        grown=staying,
        grown_words=tuple(telling.swap_words(swap, old_name, new_name) for swap in staying),
        work_words=telling.work_words(work, old_name, new_name),
    )
    save_swaps(store, report)
    return report


def _fleet_then(store: Store, ready: Prepared, on: date) -> Fleet:
    """Return the discs as worn on a day, and what is believed of them now."""
    histories = wear_histories(store, ready.assume)
    found = wear_by_day(histories, ((disc, on) for disc in ready.fleet.ids), ready.assume)
    now = dict(zip(ready.fleet.ids, ready.fleet.wear.tolist(), strict=True))
    then = {disc: min(wear, now[disc]) for (disc, _), wear in found.items()}
    return ready.fleet.as_worn(then, ready.assume)


def _work(old: PlanReport, new: PlanReport) -> tuple[Work, ...]:
    """Return how many throws a round every disc makes, those that change most first."""
    before = {purpose.disc_id: purpose.throws for purpose in old.purposes}
    after = {purpose.disc_id: purpose.throws for purpose in new.purposes}
    work = [
        Work(disc, before.get(disc, 0.0), after.get(disc, 0.0))
        for disc in sorted({*before, *after})
    ]
    return tuple(sorted(work, key=lambda w: (-abs(w.new - w.old), w.disc_id)))


def _grown(old: PlanReport, new: PlanReport) -> list[str]:
    """Return the discs of both carries whose work grows most, by a throw a round at least."""
    both = set(old.chosen) & set(new.chosen)
    grown = [w.disc_id for w in _work(old, new) if w.new - w.old >= 1.0 and w.disc_id in both]
    return grown[:_MOST_GROWN]


def _check_alike(old: PlanReport, new: PlanReport) -> None:
    if old.course != new.course:
        raise InputError(
            f"{old.conditions} was planned for {old.course} and {new.conditions} for "
            f"{new.course}; plan both for one course first."
        )
    if old.thrower != new.thrower:
        raise InputError(
            f"{old.conditions} was planned for {old.thrower} and {new.conditions} for "
            f"{new.thrower}; plan both for one thrower first."
        )
    if old.learnt != new.learnt:
        raise InputError(
            f"{old.conditions} and {new.conditions} were planned from different evidence; "
            f"run `rimwise plan {old.conditions} {new.conditions}` first."
        )
