"""Certify: hold a planned carry against others, what follows a throw solved for each."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from rimwise.app.asking import load_asked, stands_for, wishes_for
from rimwise.app.box import pick, positions
from rimwise.app.planned import prepared_for
from rimwise.app.planning import Prepared, with_doubles
from rimwise.app.reports import load_plan
from rimwise.beliefs.fleet import Fleet
from rimwise.decide.carry import Stands, Wishes
from rimwise.decide.certify import Certificate, Change, certify
from rimwise.decide.days import Day, days_of
from rimwise.decide.demand import Demand, Progress, build_demand
from rimwise.decide.on_holes import Holes, choose_on_holes
from rimwise.errors import InputError
from rimwise.records import words
from rimwise.store.store import Store

__all__ = ["CertifyReport", "ChangeTold", "HolesTold", "certify_plan"]

#: Single changes that are solved on every hole, holes named where the carry misses most, and
#: what is solved or priced when the carry stays: it, its table, everything, and the changes.
_ON_HOLES, _HARDEST, _PARTS = 3, 3, 6
#: Fewer strokes a round than this are nothing, however sure.
_NOTHING = 0.005


@dataclass(frozen=True, slots=True)
class ChangeTold:
    """A single change solved for itself: what it saves, strokes a round, with one error."""

    out: str | None
    into: str | None
    saves: float
    saves_se: float
    better: bool


@dataclass(frozen=True, slots=True)
class HolesTold:
    """Strokes a round on the real holes, each set of discs with a policy of its own.

    Parameters
    ----------
    carry, everything
        Strokes with the carry, and what everything owned would save; with one error each.
    hardest
        (hole, strokes dearer than with everything, error) where that is plainest.
    changes
        Single changes: what each saves.
    chosen
        The carry chosen again from what the holes ask for.
    stable
        Whether the last choice changed nothing.
    against, against_se
        What it saves over the carry that was asked about.
    """

    carry: float
    carry_se: float
    everything: float
    everything_se: float
    hardest: tuple[tuple[str, float, float], ...]
    changes: tuple[ChangeTold, ...]
    chosen: tuple[str, ...]
    stable: bool
    against: float
    against_se: float


@dataclass(frozen=True, slots=True)
class CertifyReport:
    """What choosing again and solving single changes anew came to.

    ``stable`` says that the carry stays the same, or equal within error; ``holds`` that no single
    change of those solved saves more than two of its errors, too.
    """

    conditions: str
    chosen: tuple[str, ...]
    stable: bool
    holds: bool
    against: float
    against_se: float
    changes: tuple[ChangeTold, ...]
    sentences: tuple[str, ...]
    holes: HolesTold | None = None


def certify_plan(
    store: Store,
    conditions: str | None = None,
    progress: Progress = lambda _what, _share: None,
    *,
    holes: bool = False,
) -> CertifyReport:
    """Choose a planned carry again by its own policy, and solve its best changes for themselves.

    Parameters
    ----------
    holes
        Also solve every hole anew, choose again from what they ask for, and hold the carry against
        everything owned and its best changes.

    Raises
    ------
    InputError, NotFoundError
        When nothing is planned yet, or the plan is out of date.
    """
    plan = load_plan(store, conditions)
    asked = load_asked(store, plan.conditions)
    ready = prepared_for(store, plan)
    gone = [disc for disc in plan.chosen if disc not in ready.fleet.ids]
    if gone:
        raise InputError(f"{gone[0]} is in the plan but not available; run `rimwise plan` again.")
    weather = pick(store.conditions, "conditions", plan.conditions)
    days = days_of(weather, ready.thrower, ready.assume)

    def build(fleet: Fleet, told: Progress) -> Demand:
        return build_demand(
            ready.simulator, fleet, days, ready.course, ready.putting, ready.assume, progress=told
        )

    def more(demand: Demand, fleet: Fleet, told: Progress) -> Demand:
        return demand.with_more(ready.simulator, fleet, ready.assume, told)

    wishes = wishes_for(store, ready.fleet, asked, plan.conditions, ready.course)
    wishes = with_doubles(ready, days, wishes)
    stands = stands_for(store, ready.fleet, asked, ready.assume)
    putting = positions(store, ready.fleet, [asked.putting] if asked.putting else [])
    carry = [ready.fleet.index(disc) for disc in plan.chosen]
    found = certify(
        ready.fleet, carry, wishes, build, more, stands=stands, putting=putting, progress=progress
    )
    report = _report(plan.conditions, ready.fleet, found)
    if not holes:
        return report
    told = _on_holes(ready, days, found.chosen, wishes, stands, putting, progress)
    return replace(report, holes=told, sentences=(*report.sentences, *_holes_words(told)))


def _on_holes(
    ready: Prepared,
    days: Sequence[Day],
    carry: Sequence[int],
    wishes: Wishes,
    stands: Stands | None,
    putting: Sequence[int],
    progress: Progress,
) -> HolesTold:
    holes = Holes(
        ready.simulator, ready.fleet, days, ready.course, ready.putting, ready.assume,
        putting_discs=putting, parts=_PARTS, progress=progress,
    )  # fmt: skip
    found = choose_on_holes(holes, carry, wishes, stands)
    chosen, ids = found.chosen, ready.fleet.ids
    changed = [
        sorted({*chosen, *_some(into)} - {*_some(out)}) for out, into in found.changes[:_ON_HOLES]
    ]
    for discs in (range(len(ids)), *changed):
        holes.solved(discs)  # all of them first: what is found for one may do for another
    itself, before = holes.against(chosen, chosen), holes.against(chosen, carry)
    everything = holes.against(chosen, range(len(ids)))
    changes = []
    for (out, into), discs in zip(found.changes, changed, strict=False):
        held = holes.against(chosen, discs)
        changes.append(_told(ready.fleet, Change(out, into, -held.dearer, held.dearer_se)))
    dearer = [(ref, -gain, error) for ref, gain, error in everything.by_hole]
    dearer.sort(key=lambda hole: hole[1], reverse=True)
    progress("done", 1.0)
    return HolesTold(
        itself.strokes, itself.strokes_se, -everything.dearer, everything.dearer_se,
        tuple(hole for hole in dearer if hole[1] > max(2.0 * hole[2], _NOTHING))[:_HARDEST],
        tuple(changes),
        tuple(ids[disc] for disc in chosen), found.stable, before.dearer, before.dearer_se,
    )  # fmt: skip


def _some(disc: int | None) -> tuple[int, ...]:
    return () if disc is None else (disc,)


def _holes_words(told: HolesTold) -> list[str]:
    """Say what came of it; policies are the best that were found, so small gains are no promise."""
    strokes = words.strokes(told.carry, told.carry_se)
    saved = (
        f"{words.number(told.everything, 2)}, give or take {words.number(told.everything_se, 2)}"
    )
    said = []
    if told.against > 0.0:
        gain = f"{words.number(told.against, 2)}, give or take {words.number(told.against_se, 2)}"
        said.append(
            "Chosen again from what the holes ask for, woods, water and penalties included, it "
            f"becomes {words.joined(told.chosen)}: that saves {gain}, a round. Plan with "
            "--again --on-holes to keep it."
        )
    else:
        said.append(
            "Chosen again from what the holes ask for, woods, water and penalties included, it "
            "stays as it is."
        )
    said.append(
        f"Every hole solved for itself with these discs alone: {strokes}, a round. Everything you "
        f"own would save {saved}."
    )
    if told.hardest:
        where = words.joined(
            [f"hole {ref} ({words.number(more, 2)})" for ref, more, _ in told.hardest]
        )
        said.append(f"The carry misses most on {where}.")
    better = [change for change in told.changes if change.better and change.saves > _NOTHING]
    if better:
        best = max(better, key=lambda change: change.saves)
        said.append(
            f"On these holes {_change_words(best)} saves {words.number(best.saves, 2)}, give or "
            f"take {words.number(best.saves_se, 2)}; part of that can be the luck of the search."
        )
    elif told.changes:
        said.append(
            "There, too, none of the changes that promise most saves more than two of its errors."
        )
    return said


def _report(conditions: str, fleet: Fleet, found: Certificate) -> CertifyReport:
    changes = tuple(_told(fleet, change) for change in found.changes)
    holds = found.stable and not any(change.better for change in changes)
    if found.stable and found.against == 0.0:
        first = (
            "Chosen again with the lies and strokes that this carry leads to itself: the carry "
            f"for {conditions} stays as it is."
        )
    else:
        saves = words.strokes(found.against, found.against_se)
        first = (
            f"Chosen again with the lies and strokes that it leads to itself, the carry for "
            f"{conditions} becomes {words.joined([fleet.ids[disc] for disc in found.chosen])}: "
            f"that saves {saves}, a round. Plan again with --must and --never if you want it so."
        )
    sentences = [first]
    if changes:
        best = changes[0]
        saves = (
            f"{words.number(best.saves, 3)} strokes, give or take {words.number(best.saves_se, 3)}"
        )
        verdict = (
            "more than its error: the choice could be better"
            if best.better
            else "within its error, so none is better for certain"
        )
        count = words.plural(len(changes), "single change")
        sentences.append(
            f"The {count} that promised most were solved for themselves. The best, "
            f"{_change_words(best)}, saves {saves}, a round: {verdict}."
        )
    return CertifyReport(
        conditions,
        tuple(fleet.ids[disc] for disc in found.chosen),
        found.stable,
        holds,
        found.against,
        found.against_se,
        changes,
        tuple(sentences),
    )


def _told(fleet: Fleet, change: Change) -> ChangeTold:
    out, into = (None if disc is None else fleet.ids[disc] for disc in (change.out, change.into))
    return ChangeTold(out, into, change.saves, change.saves_se, change.better)


def _change_words(change: ChangeTold) -> str:
    if change.out is None:
        return f"{change.into} as one more"
    if change.into is None:
        return f"{change.out} left at home"
    return f"{change.into} for {change.out}"
