"""A lost disc: what it costs a planned carry, what from home repairs it, and what to look for."""

from __future__ import annotations

from dataclasses import dataclass, replace

from rimwise.app.box import available_discs, disc_named
from rimwise.app.planned import Planned, Progress, planned_again, unheard
from rimwise.app.reports import load_plan
from rimwise.decide.demand import Demand
from rimwise.decide.wanted import best_addition
from rimwise.errors import InputError
from rimwise.records import words
from rimwise.records.discs import Disc
from rimwise.store.listing import count_of
from rimwise.store.store import Store

__all__ = ["LostReport", "tell_lost"]

#: Less saved a round than this is told as nothing.
_NOTHING = 0.005


@dataclass(frozen=True, slots=True)
class LostReport:
    """What to do about a lost disc: from what is owned, and what to look for.

    Parameters
    ----------
    away
        What else of the carry is away: lost, lent or retired since it was chosen.
    marked
        Whether the disc itself is marked as away.
    thrown
        Whether throws of it were learnt from.
    """

    disc: str
    conditions: str
    costs: float
    costs_se: float
    instead: str | None
    repaired: float
    repaired_se: float
    sentences: tuple[str, ...]
    away: tuple[str, ...] = ()
    marked: bool = False
    thrown: bool = False


def tell_lost(
    store: Store, disc: str, conditions: str | None = None, progress: Progress = unheard
) -> LostReport:
    """Say what a disc's loss costs a planned carry, what repairs it, and what to look for.

    It may be marked as lost already; what else of the carry is away by now counts as away.

    Raises
    ------
    InputError, NotFoundError
        When there is no such disc in the carry, or nothing is planned yet.
    """
    lost = disc_named(store, disc)
    plan = load_plan(store, conditions)
    if lost.id not in plan.chosen:
        raise InputError(
            f"{lost.id} is not in the carry for {plan.conditions}, so nothing has to take its "
            "place there."
        )
    available = {disc.id for disc in available_discs(store)}
    away = tuple(one for one in plan.chosen if one not in available and one != lost.id)
    if len(plan.chosen) < 2 + len(away):
        raise InputError(f"Without {lost.id} the carry holds nothing; plan again without it.")
    planned = planned_again(store, plan.conditions, progress, as_it_was=True)
    demand, carry = planned.demand, planned.carry
    here = [place for place in carry if demand.fleet.ids[place] not in away]
    left = [place for place in here if demand.fleet.ids[place] != lost.id]
    costs, error = demand.difference(left, here)
    best = best_addition(demand, left, [p for p in range(len(demand.fleet)) if p not in carry])
    with_it = left if best is None else [*left, best]
    repaired, repaired_se = demand.difference(left, with_it)
    instead = None if best is None else demand.fleet.ids[best]
    report = LostReport(
        disc=lost.id, conditions=plan.conditions, costs=costs, costs_se=error, instead=instead,
        repaired=repaired, repaired_se=repaired_se, sentences=(), away=away,
        marked=lost.id not in available,
        thrown=planned.ready.beliefs.learnt is not None
        and count_of(store, "throws", disc=lost.id) > 0,
    )  # fmt: skip
    return replace(report, sentences=_lost_sentences(report, planned, lost))


def _lost_sentences(report: LostReport, planned: Planned[Demand], lost: Disc) -> tuple[str, ...]:
    told = [
        f"Without {report.disc} a round in {report.conditions} costs "
        f"{words.strokes(max(report.costs, 0.0), report.costs_se)}, more."
        if report.costs >= 2.0 * report.costs_se
        else f"The others do the work of {report.disc}: no difference that can be told from luck."
    ]
    if report.instead is not None:
        gives = (
            f"it gives {words.strokes(report.repaired, report.repaired_se)}, of that back"
            if report.repaired >= max(2.0 * report.repaired_se, _NOTHING)
            else "it gives nothing back that can be told from luck, but fills the place"
        )
        told.append(f"From home, take {report.instead}: {gives}.")
    if report.away:
        also = words.joined(report.away)
        told.append(
            f"{also} {'is' if len(report.away) == 1 else 'are'} away too; planning again fills "
            "every empty place together."
        )
    place = planned.ready.fleet.index(lost.id)
    numbers = planned.ready.fleet.printed[place]
    does = (
        "that is what this one did for your arm"
        if report.thrown
        else "that is this one by its numbers, for no throw of it was learnt from"
    )
    told.append(
        f"To replace it, look for {lost.mold} in {lost.plastic}, or what flies like "
        f"{words.printed_numbers(numbers, 1)}: {does}. A new disc of the same mold is not the "
        "same disc; `rimwise wish` says what one may be worth."
    )
    told.append(
        "Never wade or reach into water for a disc, and search only where posted rules and other "
        "players allow."
    )
    told.append(
        f"It is marked as {lost.status}: plan again and it is left out."
        if report.marked
        else f"`rimwise discs --set {lost.id} status=lost` takes it off the lists."
    )
    return tuple(told)
