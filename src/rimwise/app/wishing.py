"""What the carry lacks, what is doubled in it, what to look for, and what to remember."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from rimwise.app.believing import every_disc
from rimwise.app.box import roles_of
from rimwise.app.bring import read_file
from rimwise.app.ladders import LadderTold, between, carried_ladders, from_home, tell_ladder
from rimwise.app.learning import landings_of
from rimwise.app.planned import (
    Planned,
    Progress,
    holes_words,
    planned_again,
    planned_on_holes,
    unheard,
)
from rimwise.app.reports import load_plan, plan_names
from rimwise.beliefs.fleet import Fleet, build_fleet, grip_grades
from rimwise.beliefs.newcomers import with_newcomers
from rimwise.beliefs.posterior import LearntFleet, Posterior, prior_posterior
from rimwise.beliefs.unknowns import unknowns_of
from rimwise.decide.carry import Table
from rimwise.decide.overlaps import HARDLY, Overlap, find_overlaps
from rimwise.decide.pocket import Clause, find_rule
from rimwise.decide.priceable import Priceable
from rimwise.decide.wanted import (
    FELT_WIND_M_S,
    Gap,
    Wanted,
    find_gaps,
    value_of_wanted,
)
from rimwise.errors import InputError
from rimwise.flight.printed import Printed
from rimwise.records import words
from rimwise.records.assumptions import Assumptions
from rimwise.records.discs import Disc, Mold, Weight, role_of
from rimwise.records.words import Units
from rimwise.store.exchange.discs import read_discs
from rimwise.store.exchange.problems import refuse
from rimwise.store.exchange.save import known_in
from rimwise.store.store import Store

__all__ = [
    "GapsReport", "RuleReport", "WishReport", "tell_gaps", "tell_rule", "tell_wishes",
]  # fmt: skip

#: Wished-for discs priced at once.
MOST_WISHES = 20
#: Share of the work that goes into solving the holes and pricing the discs owned.
_SOLVING = 0.75
#: Less saved a round than this is told as nothing.
_NOTHING = 0.005
#: Overlapping pairs told.
_MOST_OVERLAPS = 5
#: Candidates for a gap: speeds, and (turn, fade) at low and at high speed.
_SPEEDS = (3.0, 5.0, 7.0, 9.0, 11.0, 13.0)
_KINDS = {
    "understable": ((-1.5, 0.5), (-3.5, 1.0)),
    "straight": ((-0.5, 0.5), (-1.5, 1.5)),
    "stable": ((0.0, 1.5), (-0.5, 2.5)),
    "overstable": ((0.5, 3.0), (0.5, 4.0)),
}
_GLIDE = 4.0


@dataclass(frozen=True, slots=True)
class GapTold:
    """A disc that nobody owns and that would save strokes: its numbers, for your arm, and where."""

    printed: tuple[float, float, float, float]
    kind: str
    role: str
    saves: float
    saves_se: float
    words: str


@dataclass(frozen=True, slots=True)
class GapsReport:
    """What a carry lacks and what is doubled in it.

    Parameters
    ----------
    hardly
        Carried and hardly ever thrown on this table: spares, or for the harshest day.
    at_home
        In no carry of any plan on file.
    ladders
        Of the carry, with missing and doubled rungs.
    on_holes
        Whether every hole was solved for it; else strokes look ahead by distance alone.
    """

    conditions: str
    gaps: tuple[GapTold, ...]
    overlaps: tuple[Overlap, ...]
    hardly: tuple[str, ...]
    at_home: tuple[str, ...]
    plans: tuple[str, ...]
    sentences: tuple[str, ...]
    ladders: tuple[LadderTold, ...] = ()
    on_holes: bool = False


@dataclass(frozen=True, slots=True)
class WishTold:
    """A wished-for disc, strokes a round: at first, and once known, with eight of ten cases.

    ``throws`` a round would fall to it; ``learning`` strokes in all are given away while it is
    not known yet, and ``half_known_rounds`` make half of the way (``None``: never).
    """

    disc: str
    label: str
    at_first: float
    at_first_se: float
    known: float
    low: float
    high: float
    instead_of: str | None
    words: str
    throws: float = 0.0
    learning: float = 0.0
    half_known_rounds: float | None = None


@dataclass(frozen=True, slots=True)
class WishReport:
    """Wished-for discs, the most useful first.

    ``on_holes`` says whether every hole was solved for the carry; else strokes look ahead by
    distance alone.
    """

    conditions: str
    wishes: tuple[WishTold, ...]
    sentences: tuple[str, ...]
    on_holes: bool = False


@dataclass(frozen=True, slots=True)
class RuleReport:
    """Three sentences for the pocket, and what they cost a round against choosing afresh."""

    conditions: str
    sentences: tuple[str, ...]
    costs: float
    costs_se: float
    words: str


# -- gaps and overlaps ----------------------------------------------------------------------


def tell_gaps(
    store: Store,
    conditions: str | None = None,
    progress: Progress = unheard,
    *,
    on_holes: bool = False,
) -> GapsReport:
    """Say what the carry of a plan lacks, and what is doubled in it.

    Parameters
    ----------
    on_holes
        Solve every hole for the carry first, and go by the lies and strokes-to-finish of its play.

    Raises
    ------
    InputError, NotFoundError
        When nothing is planned yet, or the plan is out of date.
    """
    planned, rest = _planned(store, conditions, progress, 0.5, on_holes=on_holes)
    demand, carry, ready = planned.demand, planned.carry, planned.ready
    plain, kinds = _candidates(store, planned)
    stand = landings_of(_beliefs(planned, store))
    roles = roles_of(store)
    ladders = carried_ladders(planned.plan.chosen, roles, stand)
    steps = [(ladder, rung) for ladder in ladders for rung in ladder.missing]
    candidates = plain
    if steps:
        numbers = {f"between {r.below} and {r.above}": between(r, ready.fleet) for _, r in steps}
        candidates = plain.joined(_invented(store, planned, numbers))
    wide = demand.with_more(ready.simulator, candidates, ready.assume, rest)
    own = len(demand.fleet)
    found = find_gaps(wide, carry, range(own, own + len(plain)))
    home = [disc for disc in demand.fleet.ids if disc not in planned.plan.chosen]
    filled = iter(
        _filled(wide, carry, from_home(rung, ladder.role, home, roles, stand), own + len(plain) + n)
        for n, (ladder, rung) in enumerate(steps)
    )
    told = tuple(
        tell_ladder(ladder, [next(filled) for _ in ladder.missing], ready.units)
        for ladder in ladders
    )
    gaps = tuple(_gap_told(wide, gap, kinds[gap.disc - own], ready.units) for gap in found)
    serves, weights = demand.serves(carry), demand.weights
    thrown = {ready.fleet.ids[disc]: float(weights[serves == disc].sum()) for disc in carry}
    hardly = tuple(disc for disc in planned.plan.chosen if thrown[disc] < HARDLY)
    plans = tuple(plan_names(store))
    kept = [load_plan(store, name) for name in plans]
    ever = {disc for plan in kept for disc in (*plan.chosen, *plan.alternates)}
    at_home = tuple(disc for disc in ready.fleet.ids if disc not in ever)
    report = GapsReport(
        conditions=planned.plan.conditions,
        gaps=gaps,
        overlaps=find_overlaps(demand, carry),
        hardly=hardly,
        at_home=at_home,
        plans=plans,
        sentences=(),
        ladders=told,
        on_holes=on_holes,
    )
    progress("done", 1.0)
    return replace(report, sentences=_gaps_sentences(report, len(planned.plan.days)))


def _planned(
    store: Store, conditions: str | None, progress: Progress, share: float, *, on_holes: bool
) -> tuple[Planned[Priceable], Progress]:
    """Return a plan with its table, and what the rest says of its progress.

    Parameters
    ----------
    share
        Of the time that the table takes by distance; solving the holes takes most of it.
    """
    until = _SOLVING if on_holes else share

    def first(what: str, done: float) -> None:
        progress(what, until * done)

    def rest(what: str, done: float) -> None:
        progress(what, until + (1.0 - until) * done)

    if on_holes:
        return planned_on_holes(store, conditions, first), rest
    return planned_again(store, conditions, first), rest


def _beliefs(planned: Planned[Table], store: Store) -> Posterior:
    """Return what the plan believes of every disc on file."""
    ready = planned.ready
    if isinstance(ready.fleet, LearntFleet):
        return ready.fleet.beliefs
    everything = every_disc(store, ready.assume)
    return prior_posterior(unknowns_of(everything, ready.thrower, ready.assume))


def _filled(
    wide: Table, carry: Sequence[int], home: str, invented: int
) -> tuple[str, float, float]:
    """Return the disc on a missing rung, and what it saves a round with one standard error."""
    disc = wide.fleet.index(home) if home else invented
    return (home, *wide.difference(carry, [*carry, disc]))


def _candidates(store: Store, planned: Planned[Table]) -> tuple[Fleet, list[str]]:
    """Return discs of all kinds in the plastic that the hand holds best, as flown, known."""
    numbers, kinds = {}, []
    for speed in _SPEEDS:
        pace = (speed - _SPEEDS[0]) / (_SPEEDS[-1] - _SPEEDS[0])
        for kind, (slow, fast) in _KINDS.items():
            turn, fade = (a + pace * (b - a) for a, b in zip(slow, fast, strict=True))
            rounded = Printed(speed, _GLIDE, round(2.0 * turn) / 2.0, round(2.0 * fade) / 2.0)
            numbers[f"speed {speed:g} {kind}"] = rounded
            kinds.append(kind)
    return _invented(store, planned, numbers), kinds


def _invented(store: Store, planned: Planned[Table], numbers: Mapping[str, Printed]) -> Fleet:
    """Return discs of these numbers in the plastic that the hand holds best, taken for known."""
    days = planned.demand.days
    plastics = {plastic.name: plastic for plastic in store.plastics.all()}
    owned = sorted({disc.plastic for disc in planned.ready.discs.values()})
    share = np.array([day.share for day in days])

    def felt(name: str) -> float:
        grades = np.array([grip_grades(plastics[name].grip)])
        return float(share @ [day.grip_grades(grades)[0] for day in days])

    plastic = max(owned, key=lambda name: (felt(name), name))
    molds = {name: Mold(name, printed) for name, printed in numbers.items()}
    discs = [
        Disc(name, name, plastic, Weight(_usual_g(printed))) for name, printed in numbers.items()
    ]
    known = replace(planned.ready.assume, printed_speed_sd=0.0, printed_glide_sd=0.0,
                    printed_turn_sd=0.0, printed_fade_sd=0.0)  # fmt: skip
    even = replace(plastics[plastic], stability_shift=0.0, stability_shift_sd=0.0)
    return build_fleet(discs, molds, {plastic: even}, known)


def _usual_g(printed: Printed) -> float:
    """Return the weight most such discs are sold in, grams (common practice, no source)."""
    return 174.0 if role_of(printed) == "putter" else 172.0


def _gap_told(demand: Priceable, gap: Gap, kind: str, units: Units) -> GapTold:
    numbers = demand.fleet.printed[gap.disc]
    printed = Printed(*(float(number) for number in numbers))
    rows, share = gap.kinds[0]
    where = _kind_words(demand, rows, units)
    told = (
        f"A disc that flies for your arm as {words.printed_numbers(numbers, 1)} should "
        f"({_article(kind)} {kind} {role_of(printed)}), in a plastic you grip, would save "
        f"{words.strokes(gap.saves, gap.saves_se)}, a round: most ({words.chance(share)} parts) "
        f"on {where}."
    )
    return GapTold(
        (printed.speed, printed.glide, printed.turn, printed.fade),
        kind, role_of(printed), gap.saves, gap.saves_se, told,
    )  # fmt: skip


def _article(word: str) -> str:
    return "an" if word[0] in "aeiou" else "a"


def _kind_words(demand: Priceable, rows: Sequence[int], units: Units) -> str:
    """Say what kind of throw rows of one kind are."""
    first = demand.rows[rows[0]]
    low = 20.0 * (first.distance_m // 20.0)
    what = "tee shots" if first.kind == "tee" else "approaches"
    span = f"{words.distance(low, units)} to {words.distance(low + 20.0, units)}"
    head = demand.ahead_m_s(rows[0])
    felt = ""
    if abs(head) >= FELT_WIND_M_S:
        felt = " into the wind" if head > 0.0 else " downwind"
    holes = list(dict.fromkeys(demand.rows[r].hole for r in rows))
    listed = words.joined(holes[:4]) if len(holes) <= 4 else f"{words.joined(holes[:4], 'and')} too"
    return f"{what} of {span}{felt} (hole{'' if len(holes) == 1 else 's'} {listed})"


def _gaps_sentences(report: GapsReport, days: int) -> tuple[str, ...]:
    told = [holes_words(report.conditions)] if report.on_holes else []
    told += [gap.words for gap in report.gaps]
    told += [one.words for ladder in report.ladders for one in ladder.missing]
    if report.gaps:
        told.append(
            "Those are discs taken for known, which yours are not quite; one that you buy has to "
            "be learnt first. `rimwise wish` ranks discs that you may buy."
        )
    else:
        told.append(
            "Nothing is missing that can be told from luck: no kind of disc that you don't carry "
            f"would save strokes in {report.conditions}."
        )
    if report.overlaps:
        shown = report.overlaps[:_MOST_OVERLAPS]
        most = max(max(one.strokes, 0.0) + 2.0 * one.strokes_se for one in shown)
        pairs = "; ".join(f"{one.first} and {one.second}" for one in shown)
        told.append(
            "Of these pairs one disc can do the other's work for at most "
            f"{words.number(most, 2)} strokes a round: {pairs}."
        )
    told += [ladder.doubled_words for ladder in report.ladders if ladder.doubled]
    if report.hardly:
        why = "spares, or for the harshest day" if days > 1 else "spares"
        told.append(f"Carried, but hardly thrown here ({why}): {words.joined(report.hardly)}.")
    if report.at_home and len(report.plans) > 1:
        told.append(
            f"In no plan on file ({words.joined(report.plans)}): {words.joined(report.at_home)}. "
            "They could stay at home for good, unless you like them; `rimwise wear` says which to "
            "retire."
        )
    elif report.at_home:
        told.append(
            f"{words.plural(len(report.at_home), 'disc')} of yours stay at home. With plans for "
            "other weather on file too, this says which could stay there for good."
        )
    return tuple(told)


# -- wishes ---------------------------------------------------------------------------------


def tell_wishes(
    store: Store,
    path: Path,
    conditions: str | None = None,
    progress: Progress = unheard,
    *,
    on_holes: bool = False,
) -> WishReport:
    """Rank wished-for discs, a table like that of your own, by strokes saved a round.

    Nothing of the table is kept.

    Parameters
    ----------
    on_holes
        Solve every hole for the carry first, and go by the lies and strokes-to-finish of its play.

    Raises
    ------
    InputError, NotFoundError
        When the table has a problem, names too many discs, or nothing is planned yet.
    """
    read = read_discs(read_file(path), path.name, known_in(store))
    refuse(read.problems)
    if not read.discs:
        raise InputError(f"{path.name} names no disc; give one to a row, like your own discs.")
    if len(read.discs) > MOST_WISHES:
        raise InputError(
            f"{path.name} names {len(read.discs)} discs; {MOST_WISHES} at once are the most."
        )
    planned, rest = _planned(store, conditions, progress, 0.3, on_holes=on_holes)
    ready, plan = planned.ready, planned.plan
    molds = {mold.name: mold for mold in (*store.molds.all(), *read.molds)}
    plastics = {plastic.name: plastic for plastic in (*store.plastics.all(), *read.plastics)}
    fleet = build_fleet(
        read.discs, molds, plastics, ready.assume, everything=(*store.discs.all(), *read.discs)
    )
    unknown = tuple(plastic.name for plastic in read.plastics)
    described = {plastic.name: grip_grades(plastic.grip) for plastic in store.plastics.all()}
    beliefs = with_newcomers(_beliefs(planned, store), fleet, described)
    wanted = beliefs.learnt_fleet(fleet)
    found = value_of_wanted(
        ready.simulator, planned.demand, planned.carry, wanted, ready.assume,
        room=len(plan.chosen) < plan.limit, seed=plan.seed,
        grip_sd=beliefs.grips.sd[-len(fleet) :], progress=rest,
    )  # fmt: skip
    wishes = tuple(_wish_told(planned.demand, fleet, one, ready.assume) for one in found)
    best = wishes[0]
    summary = (
        f"None of these would save anything that can be told in {plan.conditions}."
        if best.known < _NOTHING
        else f"For {plan.conditions}, {best.disc} would help most."
    )
    caution = (
        "A disc that was never thrown may fly quite otherwise than its numbers say; the range "
        "holds eight of ten cases. What getting to know it gives away supposes that you log no "
        "more than you throw: an evening on a field makes it shorter."
    )
    told = [summary, *(one.words for one in wishes), caution]
    if on_holes:
        told.insert(1, holes_words(plan.conditions))
    if unknown:
        told.append(
            f"You have no disc of {words.joined(unknown, 'or')}, so grip and stability of that are "
            "wider open; describe it with `rimwise import` if you know more."
        )
    return WishReport(plan.conditions, wishes, tuple(told), on_holes)


def _wish_told(demand: Table, fleet: Fleet, one: Wanted, assume: Assumptions) -> WishTold:
    disc, leaves = (
        fleet.ids[one.disc],
        None if one.instead_of is None else demand.fleet.ids[one.instead_of],
    )
    known = words.number(max(one.known, 0.0), 2)
    low, high = (words.number(max(end, 0.0), 2) for end in (one.low, one.high))
    place = "" if leaves is None else f" in place of {leaves}"
    if one.known < _NOTHING:
        told = f"{disc} would save nothing{place}."
    else:
        first = "costs" if one.at_first < 0.0 else "saves"
        told = (
            f"{disc}{place}: once you know it, it saves {known} strokes a round ({low} to {high}); "
            f"before that it {first} {words.number(abs(one.at_first), 2)}, give or take "
            f"{words.number(one.at_first_se, 2)}."
        )
        if one.learning >= _NOTHING and math.isfinite(one.half_known_rounds):
            told += (
                f" Getting to know it gives away {words.number(one.learning, 1)} strokes over the "
                f"first {words.plural(round(assume.learning_rounds), 'round')}; half of the way is "
                f"made in {_rounds_words(one.half_known_rounds)}."
            )
    return WishTold(
        disc, fleet.labels[one.disc], one.at_first, one.at_first_se, one.known, one.low, one.high,
        leaves, told, one.throws, one.learning,
        one.half_known_rounds if math.isfinite(one.half_known_rounds) else None,
    )  # fmt: skip


def _rounds_words(rounds: float) -> str:
    return "the first round" if rounds < 1.0 else words.plural(math.ceil(rounds), "round")


# -- the rule for the pocket ----------------------------------------------------------------


def tell_rule(
    store: Store, conditions: str | None = None, progress: Progress = unheard
) -> RuleReport:
    """Say in three sentences what to throw, and what it costs to remember no more.

    Raises
    ------
    InputError, NotFoundError
        When nothing is planned yet, or the plan is out of date.
    """
    planned = planned_again(store, conditions, progress)
    rule = find_rule(planned.demand, planned.carry)
    ids, units = planned.demand.fleet.ids, planned.ready.units
    told = tuple(
        _clause_words(clause, ids[clause.disc], units, first=place == 0)
        for place, clause in enumerate(rule.clauses)
    )
    costs = (
        f"Going by this alone costs {words.strokes(max(rule.costs, 0.0), rule.costs_se)}, a round "
        "more than choosing afresh on every throw, with each disc's best line."
    )
    return RuleReport(planned.plan.conditions, told, rule.costs, rule.costs_se, costs)


def _clause_words(clause: Clause, disc: str, units: Units, *, first: bool) -> str:
    """Say one sentence of the rule."""
    if clause.kind is None:
        return f"{'Always' if first else 'Otherwise'} {disc}."
    if clause.metres is not None:
        far = words.distance(clause.metres, units)
        return f"{'Under' if clause.kind == 'shorter' else 'From'} {far}: {disc}."
    felt = {"into the wind": "Into a wind you feel", "downwind": "With a wind you feel behind you"}
    return f"{felt.get(clause.kind, clause.kind.capitalize())}: {disc}."
