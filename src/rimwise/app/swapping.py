"""Swap: what changes when the season turns, and why."""

from __future__ import annotations

from datetime import date

from rimwise.app import telling
from rimwise.app.box import pick
from rimwise.app.planned import holes_words, putting_of
from rimwise.app.planning import Prepared, prepare
from rimwise.app.reports import load_plan, save_swaps
from rimwise.app.wearing import wear_by_day, wear_histories
from rimwise.beliefs.fleet import Fleet
from rimwise.decide.carry import held_back
from rimwise.decide.days import days_of
from rimwise.decide.demand import Progress
from rimwise.decide.priceable import Priceable
from rimwise.decide.report import PlanReport, SwapReport, Work
from rimwise.decide.swaps import find_swaps
from rimwise.errors import InputError
from rimwise.store.store import Store

__all__ = ["make_swaps"]

#: Share of the work that goes into pricing the new season anew, by distance and on its holes.
_DEMAND_SHARE, _SOLVING_SHARE = 0.4, 0.5
#: What is told of work even where holes were solved.
_WORK = "Throws a round, and which discs do more, are as the plans have them: by distance alone."
#: Discs whose greater work is explained.
_MOST_GROWN = 3


def make_swaps(
    store: Store,
    old_name: str,
    new_name: str,
    *,
    on_holes: bool = False,
    progress: Progress = lambda _what, _share: None,
) -> SwapReport:
    """Compare the planned carries of two seasons and find each swap's causes.

    Wear between the days of the two plans is one of them.

    Parameters
    ----------
    on_holes
        Solve every hole for the new season's carry first, and go by the lies and
        strokes-to-finish of its play.

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
    place = ready.fleet.index
    new_chosen, putting = [place(disc) for disc in new.chosen], putting_of(new, ready)
    weather = pick(store.conditions, "conditions", new_name)
    until = _SOLVING_SHARE if on_holes else _DEMAND_SHARE

    def first(what: str, share: float) -> None:
        progress(what, share * until)

    table: Priceable
    if on_holes:
        table = ready.on_holes(weather, new_chosen, putting, first)
    else:
        table = held_back(ready.demand(weather, first), putting)
    days = days_of(pick(store.conditions, "conditions", old_name), ready.thrower, ready.assume)
    swaps = find_swaps(
        ready.simulator,
        days,
        [place(disc) for disc in old.chosen],
        table,
        new_chosen,
        ready.assume,
        grown=[place(disc) for disc in _grown(old, new)],
        putting=putting,
        old_fleet=_fleet_then(store, ready, date.fromisoformat(old.on)),
        progress=lambda what, share: progress(what, until + share * (1 - until)),
    )
    changing = tuple(swap for swap in swaps if not swap.stays)
    staying = tuple(swap for swap in swaps if swap.stays)
    work, summary = _work(old, new), telling.swaps_summary(changing, old_name, new_name)
    report = SwapReport(
        old=old_name,
        new=new_name,
        course=new.course,
        swaps=changing,
        sentences=tuple(telling.swap_words(swap, old_name, new_name) for swap in changing),
        summary=f"{summary} {holes_words(new_name)} {_WORK}" if on_holes else summary,
        work=work,
        grown=staying,
        grown_words=tuple(telling.swap_words(swap, old_name, new_name) for swap in staying),
        work_words=telling.work_words(work, old_name, new_name),
        on_holes=on_holes,
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
