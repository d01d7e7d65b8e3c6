"""What the sheet says in words: what each disc is for, who stands in, what a hole asks."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from rimwise.decide.reasons import Job, LeftOut, Purpose
from rimwise.decide.report import BoundWish, HoleLine, PlanReport, SwapReport
from rimwise.records.words import (
    Units,
    car_swap,
    distance,
    joined,
    number,
    plural,
    strokes,
    wind_words,
)

__all__ = [
    "Names",
    "SwapRow",
    "car_lines",
    "carry_changes",
    "hole_words",
    "home_words",
    "job_words",
    "purpose_words",
    "sentence",
    "stand_in_words",
    "swap_rows",
    "wish_lines",
]

#: Holes listed one by one up to here.
MOST_HOLES = 5
#: A difference below this many of its errors is not told as one.
TOLD_ERRORS = 2.0
#: Less than this a round is nothing, however sure.
_NOTHING = 0.005


@dataclass(frozen=True, slots=True)
class Names:
    """Names of discs, from every plan at hand; an unknown id stands for itself."""

    labels: dict[str, str]

    @classmethod
    def of(cls, *plans: PlanReport | None) -> Names:
        """Collect the names of plans; the first plan has the say."""
        labels: dict[str, str] = {}
        for plan in plans:
            if plan is not None:
                labels = {d.disc_id: d.label for d in plan.discs} | labels
        return cls(labels)

    def __call__(self, disc: str) -> str:
        """Return what a disc is called."""
        return self.labels.get(disc, disc)


def sentence(text: str) -> str:
    """Start with a capital and end with a full stop."""
    text = text.strip()
    if not text:
        return ""
    return text[0].upper() + text[1:] + ("" if text[-1] in ".!?…" else ".")


def purpose_words(purpose: Purpose, units: Units, *, putting: str = "") -> tuple[str, ...]:
    """Say what a carried disc is for, in one or two sentences; ``putting`` is kept for putts."""
    if purpose.disc_id == putting:
        return ("For putting: it is kept out of all other throws.",)
    if not purpose.jobs:
        return ("A spare: it stands in for what gets lost, and has no throw of its own.",)
    throws = _how_often(purpose.throws)
    most = purpose.jobs[0]
    if len(purpose.jobs) == 1:
        return (sentence(f"{job_words(most, units)}: {throws}"),)
    tees = [job for job in purpose.jobs if job.kind == "tee"]
    others = [job for job in purpose.jobs if job.kind != "tee"]
    parts = [f"the tee of {_holes(tees)}"] if tees else []
    if others:
        near, far = min(j.distance_m for j in others), max(j.distance_m for j in others)
        reach = distance(near, units)
        if distance(far, units) != reach:
            reach = f"{reach.split(' ')[0]} to {distance(far, units)}"
        parts.append(f"approaches of {reach} on {_holes(others)}")
    return (
        sentence(f"{joined(parts)}: {throws}"),
        sentence(f"Most of all: {job_words(most, units)}"),
    )


def _how_often(throws: float) -> str:
    if throws < 0.05:
        return "hardly ever thrown"
    said = number(throws, 1)
    return f"about {said} {'throw' if said == '1.0' else 'throws'} a round"


def _holes(jobs: Sequence[Job]) -> str:
    refs = list(dict.fromkeys(job.hole for job in jobs))
    if len(refs) > MOST_HOLES:
        return f"{len(refs)} holes"
    return f"{'hole' if len(refs) == 1 else 'holes'} {joined(refs)}"


def job_words(job: Job, units: Units) -> str:
    """Say "tee of hole 7, 89 m, backhand, flat, low, full"."""
    where = "tee" if job.kind == "tee" else "approach"
    return f"{where} of hole {job.hole}, {distance(job.distance_m, units)}, {job.line}"


def stand_in_words(purpose: Purpose, names: Callable[[str], str]) -> str:
    """Say who stands in when the disc stays home."""
    if purpose.stand_in_cost is None:
        return "Nothing else is carried."
    if not purpose.stand_ins:
        return ""
    others = joined([names(d) for d in purpose.stand_ins])
    if purpose.stand_in_cost < TOLD_ERRORS * purpose.stand_in_se:
        return f"{others} would do as well: no difference that can be told from luck."
    return f"{others} {'stands' if len(purpose.stand_ins) == 1 else 'stand'} in."


def home_words(left: LeftOut, names: Callable[[str], str], units: Units) -> str:
    """Say who does the work of a disc that stays home."""
    where = f"hole {left.hole}, {distance(left.distance_m, units)}"
    return f"{names(left.instead)} does its work, as on {where}."


def hole_words(hole: HoleLine, names: Callable[[str], str], units: Units) -> tuple[str, ...]:
    """Say what to throw on a hole and what comes of it, as short sentences."""
    told = [
        sentence(hole.aim_words),
        sentence(hole.landing_words),
        f"Expect {strokes(hole.strokes, hole.strokes_se)}, from the tee.",
    ]
    if hole.second_disc and math.isfinite(hole.second_costs):
        told.append(f"Otherwise {names(hole.second_disc)}: {_second(hole.second_costs)}.")
    wind = hole.wind_words or wind_words(hole.wind_m_s, hole.wind_from_deg, units)
    told.append(sentence(f"Weather of “{hole.day}”: {wind}" if hole.day else wind))
    return tuple(part for part in told if part)


def _second(costs: float) -> str:
    if costs < 0.005:
        return "as good within a hundredth of a stroke"
    return f"{strokes(costs)} more"


@dataclass(frozen=True, slots=True)
class SwapRow:
    """One swap as shown."""

    out: str
    into: str
    because: str


def swap_rows(swaps: SwapReport, names: Callable[[str], str]) -> tuple[SwapRow, ...]:
    """Put each swap beside its cause; what the first two columns say is not said again."""
    rows = []
    for swap, told in zip(swaps.swaps, swaps.sentences, strict=True):
        because = told.removeprefix(f"{swap.out} out, {swap.into} in").lstrip(" ,:")
        for disc in (swap.out, swap.into):
            because = because.replace(disc, names(disc)) if disc is not None else because
        out, into = (names(disc) if disc is not None else "—" for disc in (swap.out, swap.into))
        rows.append(SwapRow(out, into, sentence(because)))
    return tuple(rows)


def wish_lines(
    plan: PlanReport, names: Callable[[str], str], *, binding: bool = False
) -> tuple[str, ...]:
    """Say every wish of a plan, whether it changes the carry, and what that costs a round.

    Parameters
    ----------
    binding
        Say only those that change the carry.
    """
    bound = {wish.words: wish for wish in plan.bound}
    ids = sorted((re.escape(line.disc_id) for line in plan.discs), key=len, reverse=True)
    named = re.compile(rf"(?<![\w-])({'|'.join(ids)})(?![\w-])")
    told = []
    for wish in plan.wishes:
        if binding and wish not in bound:
            continue
        said = named.sub(lambda found: names(found[0]), wish)
        if not named.match(wish):
            said = said[:1].upper() + said[1:]
        cost = _wish_cost(bound[wish], names) if wish in bound else "that changes nothing"
        told.append(f"{said}: {cost}.")
    return tuple(told)


def _wish_cost(wish: BoundWish, names: Callable[[str], str]) -> str:
    """Say what a wish costs, and what would go in and out without it."""
    out, instead = (joined([names(d) for d in discs]) for discs in (wish.out, wish.instead))
    if not instead:
        change = f"without it {out} would stay home"
    elif not out:
        change = f"without it {instead} would come along"
    elif len(wish.out) == 1 and wish.words.startswith(f"{wish.out[0]} "):
        change = f"without it {instead} would come in its place"
    else:
        change = f"without it {instead} would come in place of {out}"
    told = strokes(max(wish.costs, 0.0), wish.costs_se)
    if max(wish.costs, wish.costs_se) < _NOTHING:
        return f"{change}; no difference"
    if wish.costs < max(TOLD_ERRORS * wish.costs_se, _NOTHING):
        return f"{change}; no difference that can be told from luck ({told})"
    return f"it costs {told}, a round; {change}"


def car_lines(plan: PlanReport, names: Callable[[str], str]) -> tuple[str, ...]:
    """Say what to swap at the car on every kind of day, one sentence each."""
    changing = [swap for swap in plan.car_swaps if swap.out or swap.into]
    told = tuple(
        sentence(
            car_swap(
                swap.day,
                [names(disc) for disc in swap.out],
                [names(disc) for disc in swap.into],
                swap.saves,
                swap.saves_se,
            )
        )
        for swap in changing
    )
    if len(changing) < len(plan.car_swaps):
        told += (f"{'On the other days n' if changing else 'N'}othing changes.",)
    return told


def carry_changes(plan: PlanReport, other: PlanReport, names: Callable[[str], str]) -> str:
    """Say in a sentence how two carries differ."""
    come = [d for d in plan.chosen if d not in other.chosen]
    go = [d for d in other.chosen if d not in plan.chosen]
    if not come and not go:
        return f"The carry is the same as for {other.conditions}."
    told = f"Against {other.conditions} ({plural(len(other.chosen), 'disc')})"
    parts = [f"in come {joined([names(d) for d in come])}"] if come else []
    parts += [f"out go {joined([names(d) for d in go])}"] if go else []
    return f"{told} {joined(parts)}."
