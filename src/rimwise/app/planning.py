"""Plan: from a box of discs to a reasoned carry."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from datetime import date

import numpy as np

from rimwise.app import telling
from rimwise.app.believing import Believed, believed
from rimwise.app.box import (
    assumptions_of,
    disc_named,
    in_role,
    pick,
    positions,
    role_positions,
    units_of,
)
from rimwise.app.putting import keep_first_putts, putting_model
from rimwise.app.reports import load_plan, save_plan
from rimwise.beliefs.fleet import Fleet
from rimwise.beliefs.putting import PuttingModel
from rimwise.decide.carry import CarryChoice, CurveStep, Wishes, choose_carry, how_many_curve
from rimwise.decide.clouds import Simulator
from rimwise.decide.days import days_of
from rimwise.decide.demand import Demand, Progress, build_demand
from rimwise.decide.ladder import Rungs, rungs
from rimwise.decide.reasons import left_out, purposes
from rimwise.decide.report import CurvePoint, DayLine, DiscLine, PlanReport
from rimwise.decide.scenes import hole_scenes
from rimwise.errors import InputError, check_range
from rimwise.pictures.telling import purpose_words
from rimwise.records.assumptions import Assumptions
from rimwise.records.carries import Carry
from rimwise.records.conditions import Conditions
from rimwise.records.courses import Course
from rimwise.records.discs import Disc, Mold, role_of
from rimwise.records.thrower import Thrower
from rimwise.records.words import Units
from rimwise.store.store import Store

__all__ = ["Asked", "Prepared", "make_plan", "prepare"]

#: The how-many curve goes this far.
MOST_DISCS = 30


@dataclass(frozen=True, slots=True)
class Asked:
    """What the owner asks of a plan.

    Parameters
    ----------
    limit
        Most discs to carry.
    must, never
        Discs by name.
    at_least
        Pairs (role, how many): so many of that role go. When not given: a putter and a spare
        one, as far as there are any and the limit has room.
    price
        Strokes a disc has to save per round to be worth carrying.
    keep
        Name of the conditions whose carry should change as little as possible.
    printed
        Go by printed numbers alone and leave aside what throws and comparisons teach.
    """

    limit: int = 20
    must: tuple[str, ...] = ()
    never: tuple[str, ...] = ()
    at_least: tuple[tuple[str, int], ...] | None = None
    price: float = 0.0
    keep: str | None = None
    printed: bool = False


@dataclass(frozen=True, slots=True, eq=False)
class Prepared:
    """Everything a computation needs, read from the records."""

    course: Course
    thrower: Thrower
    fleet: Fleet
    beliefs: Believed
    discs: Mapping[str, Disc]
    molds: Mapping[str, Mold]
    assume: Assumptions
    simulator: Simulator
    putting: PuttingModel
    units: Units

    def demand(self, conditions: Conditions, progress: Progress) -> Demand:
        """Fill the demand table for one set of conditions."""
        return build_demand(
            self.simulator,
            self.fleet,
            days_of(conditions, self.thrower, self.assume),
            self.course,
            self.putting,
            self.assume,
            progress=progress,
        )


def prepare(
    store: Store, *, course: str | None, thrower: str | None, seed: int, printed: bool = False
) -> Prepared:
    """Read what a plan needs, and learn from the evidence on file.

    Parameters
    ----------
    printed
        Go by printed numbers alone, whatever was recorded.

    Raises
    ------
    RimwiseError
        When something is missing: no discs, no course, no thrower.
    """
    assume = assumptions_of(store)
    player = pick(store.throwers, "thrower", thrower)
    where = pick(store.courses, "course", course)
    beliefs = believed(store, player, assume, printed=printed)
    return Prepared(
        course=where,
        thrower=beliefs.thrower,
        fleet=beliefs.fleet,
        beliefs=beliefs,
        discs={disc.id: disc for disc in store.discs.all()},
        molds={mold.name: mold for mold in store.molds.all()},
        assume=assume,
        simulator=Simulator(beliefs.thrower, assume, seed=seed, learnt_arms=beliefs.arms),
        putting=putting_model(store, player, assume),
        units=units_of(store),
    )


def make_plan(
    store: Store,
    conditions_name: str | None,
    asked: Asked,
    *,
    course: str | None = None,
    thrower: str | None = None,
    seed: int = 1,
    on: date | None = None,
    progress: Progress = lambda _what, _share: None,
) -> PlanReport:
    """Choose a carry for one set of conditions, say why, and keep it.

    The plan and the carry are saved together when everything is computed; stopping earlier
    leaves the records as they were.

    Raises
    ------
    RimwiseError
        When something is missing or the wishes contradict each other.
    """
    conditions = pick(store.conditions, "conditions", conditions_name)
    ready = prepare(store, course=course, thrower=thrower, seed=seed, printed=asked.printed)
    wishes = _wishes(store, ready.fleet, asked)
    demand = ready.demand(conditions, progress)
    progress("choosing", 1.0)
    choice = choose_carry(demand, wishes)
    curve = how_many_curve(demand, MOST_DISCS, wishes)
    report = _report(
        ready, conditions, demand, choice, curve, wishes, on or date.today(), seed, asked.keep
    )
    with store.atomic():
        store.carries.add(_carry(report))
        save_plan(store, report)
        keep_first_putts(store, report.conditions, demand, choice.chosen)
    return report


def _wishes(store: Store, fleet: Fleet, asked: Asked) -> Wishes:
    check_range("price of a disc", asked.price, 0.0, 10.0, "strokes a round")
    must = positions(store, fleet, asked.must)
    never_ids = {disc_named(store, name).id for name in asked.never}
    never = tuple(i for i, disc_id in enumerate(fleet.ids) if disc_id in never_ids)
    both = [fleet.ids[i] for i in must if i in never]
    if both:
        raise InputError(f"{both[0]} cannot both go and stay; drop it from --must or --never.")
    if len(must) > asked.limit:
        raise InputError(
            f"{len(must)} discs must go, but the limit is {asked.limit}; "
            f"raise the limit or drop {len(must) - asked.limit} of them."
        )
    if asked.at_least is None:
        groups = _usual_groups(store, fleet, asked.limit, must, never)
    else:
        groups = tuple(
            (_group(store, fleet, role, count), count)
            for role, count in asked.at_least
            if count > 0
        )
    keep: tuple[int, ...] = ()
    if asked.keep is not None:
        before = load_plan(store, asked.keep)
        keep = tuple(fleet.index(d) for d in before.chosen if d in fleet.ids)
    return Wishes(asked.limit, must, never, groups, asked.price, keep)


def _usual_groups(
    store: Store, fleet: Fleet, limit: int, must: Sequence[int], never: Sequence[int]
) -> tuple[tuple[tuple[int, ...], int], ...]:
    """Ask for a putter and a spare one, as far as there are any and the limit has room."""
    putters = tuple(i for i in in_role(store, fleet, "putter") if i not in never)
    room = limit - len([i for i in must if i not in putters])
    count = min(len(putters), 2, max(limit // 3, 1), room)
    return ((putters, count),) if count > 0 else ()


def _group(store: Store, fleet: Fleet, role: str, count: int) -> tuple[int, ...]:
    found = role_positions(store, fleet, role)
    if len(found) < count:
        raise InputError(
            f"you ask for at least {count} of {role}, but only {len(found)} are available; "
            f"ask for {len(found)} or fewer."
        )
    return found


def _report(
    ready: Prepared,
    conditions: Conditions,
    demand: Demand,
    choice: CarryChoice,
    curve: Sequence[CurveStep],
    wishes: Wishes,
    on: date,
    seed: int,
    kept_from: str | None,
) -> PlanReport:
    fleet, chosen = demand.fleet, choice.chosen
    everything, everything_se = demand.strokes()
    carried, carried_se = demand.strokes(chosen)
    lost, lost_se = demand.difference(chosen, range(len(fleet)))
    flat = telling.flat_from(curve)
    scenes = hole_scenes(ready.simulator, demand, ready.course, chosen)
    changed = [
        (name, value)
        for name, value in asdict(ready.assume).items()
        if value != asdict(Assumptions())[name]
    ]
    return PlanReport(
        conditions=conditions.name,
        course=ready.course.name,
        attribution=ready.course.attribution,
        on=on.isoformat(),
        thrower=ready.thrower.name,
        seed=seed,
        limit=wishes.limit,
        days=_day_lines(conditions, ready.units),
        chosen=tuple(fleet.ids[d] for d in chosen),
        discs=_disc_lines(ready, demand),
        purposes=purposes(demand, chosen),
        left=left_out(demand, chosen),
        curve=tuple(
            CurvePoint(s.discs, s.lost, s.lost_se, tuple(fleet.ids[d] for d in s.chosen))
            for s in curve
        ),
        holes=tuple(telling.hole_line(demand, scene, ready.units) for scene in scenes),
        strokes_all=everything,
        strokes_all_se=everything_se,
        strokes_carry=carried,
        strokes_carry_se=carried_se,
        lost=lost,
        lost_se=lost_se,
        flat_from=flat,
        tolerance=choice.tolerance,
        criteria=choice.criteria,
        certificate=telling.certificate(choice, ready.simulator, demand),
        summary=(
            *telling.summary(demand, choice, curve, flat, (carried, carried_se), kept_from),
            *ready.beliefs.words,
        ),
        assumptions_changed=tuple(changed),
        learnt=ready.beliefs.learnt,
    )


def _day_lines(conditions: Conditions, units: Units) -> tuple[DayLine, ...]:
    return tuple(
        DayLine(day.name, share, telling.day_words(day, units))
        for day, share in zip(conditions.days, conditions.shares, strict=True)
    )


def _disc_lines(ready: Prepared, demand: Demand) -> tuple[DiscLine, ...]:
    commonest = max(demand.days, key=lambda day: day.share)
    ladder = rungs(ready.simulator, demand.fleet, commonest)
    grip = np.average(
        [day.grip_grades(demand.fleet.grip) for day in demand.days],
        axis=0,
        weights=[day.share for day in demand.days],
    )
    return tuple(_disc_line(ready, i, ladder, float(grip[i])) for i in range(len(demand.fleet)))


def _disc_line(ready: Prepared, i: int, ladder: Rungs, grip: float) -> DiscLine:
    fleet = ready.fleet
    reach, finish = ladder.reach_m[i], ladder.finish_left_m[i]
    disc = ready.discs[fleet.ids[i]]
    printed = ready.molds[disc.mold].printed
    return DiscLine(
        disc_id=disc.id,
        label=disc.label,
        mold=disc.mold,
        plastic=disc.plastic,
        colour=disc.colour,
        printed=(printed.speed, printed.glide, printed.turn, printed.fade),
        numbers_for_you=(
            float(fleet.printed[i, 0]),
            float(fleet.printed[i, 1]),
            float(fleet.printed[i, 2]),
            float(fleet.printed[i, 3]),
        ),
        weight_g=float(fleet.mass_kg[i] * 1000.0),
        weight_sd_g=float(fleet.mass_sd_kg[i] * 1000.0),
        role=role_of(printed),
        reach_m=float(reach[1]),
        reach_low_m=float(reach[0]),
        reach_high_m=float(reach[2]),
        finish_left_m=float(finish[1]),
        finish_low_m=float(finish[0]),
        finish_high_m=float(finish[2]),
        grip=grip,
        meaning=disc.meaning,
    )


def _carry(report: PlanReport) -> Carry:
    return Carry(
        name=report.conditions,
        on=date.fromisoformat(report.on),
        conditions=report.conditions,
        course=report.course,
        disc_ids=report.chosen,
        reasons=tuple(
            (purpose.disc_id, " ".join(purpose_words(purpose, "m"))) for purpose in report.purposes
        ),
        strokes_per_round=report.strokes_carry,
        strokes_se=report.strokes_carry_se,
        seed=report.seed,
    )
