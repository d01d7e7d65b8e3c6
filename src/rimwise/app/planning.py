"""Plan: from a box of discs to a reasoned carry."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from datetime import date
from itertools import combinations
from typing import Any

import numpy as np

from rimwise.app import telling
from rimwise.app.asking import Asked, save_asked, stands_for, wishes_for
from rimwise.app.believing import Believed, believed
from rimwise.app.binding import told_wishes
from rimwise.app.box import assumptions_of, pick, positions, units_of
from rimwise.app.ladders import carried_ladders
from rimwise.app.putting import keep_first_putts, putting_model
from rimwise.app.reports import save_plan
from rimwise.app.rungs import Landings
from rimwise.beliefs.fleet import Fleet
from rimwise.beliefs.putting import PuttingModel
from rimwise.decide.carry import (
    NO_DOUBLES,
    CarryChoice,
    CurveStep,
    Wishes,
    choose_carry,
    held_back,
    how_many_curve,
)
from rimwise.decide.clouds import Simulator
from rimwise.decide.days import Day, days_of
from rimwise.decide.demand import Demand, Progress, build_demand
from rimwise.decide.hole_table import HoleTable
from rimwise.decide.ladder import Rungs, rungs
from rimwise.decide.on_holes import Holes, choose_on_holes
from rimwise.decide.reasons import left_out, purposes
from rimwise.decide.report import (
    CarSwap,
    CurvePoint,
    DayLine,
    DiscLine,
    PlanReport,
    WideStep,
)
from rimwise.decide.scenes import hole_scenes
from rimwise.decide.serving import served_ground
from rimwise.decide.two_stage import TwoStage, choose_with_car
from rimwise.errors import InputError
from rimwise.pictures.telling import purpose_words
from rimwise.records.assumptions import Assumptions
from rimwise.records.carries import Carry, things_for
from rimwise.records.conditions import Conditions
from rimwise.records.courses import Course
from rimwise.records.discs import Disc, Mold, role_of
from rimwise.records.thrower import Thrower
from rimwise.records.words import Units
from rimwise.store.store import Store

__all__ = ["Asked", "Prepared", "make_plan", "prepare", "with_doubles"]

#: The how-many curve goes this far.
MOST_DISCS = 30
#: Share of the time that a plan by distance takes where the holes are solved as well.
_BY_DISTANCE = 0.15


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

    def on_holes(
        self,
        conditions: Conditions,
        carry: Sequence[int],
        putting: Sequence[int],
        progress: Progress,
    ) -> HoleTable:
        """Solve every hole for a carry, and price all discs on the lies that its play comes to.

        Parameters
        ----------
        putting
            Kept for putting, never thrown.

        Raises
        ------
        InputError
            When the carry holds nothing to throw.
        """
        if set(carry) <= set(putting):
            raise InputError(
                f"the carry for {conditions.name} holds nothing but the disc kept for putting, so "
                "no hole can be played with it; plan again with more discs."
            )
        holes = Holes(
            self.simulator, self.fleet, days_of(conditions, self.thrower, self.assume),
            self.course, self.putting, self.assume, putting_discs=putting, parts=2,
            progress=progress,
        )  # fmt: skip
        return holes.table(carry)


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
    wishes = wishes_for(store, ready.fleet, asked, conditions.name, ready.course)
    putting = positions(store, ready.fleet, [asked.putting] if asked.putting else [])
    stands = stands_for(store, ready.fleet, asked, ready.assume)
    by_distance = _share_of(progress, 0.0, _BY_DISTANCE if asked.on_holes else 1.0)
    demand = held_back(ready.demand(conditions, by_distance), putting)
    wishes = with_doubles(ready, demand.days, wishes)
    by_distance("choosing", 1.0)
    car = None
    if asked.car and not asked.on_holes:
        car = choose_with_car(demand, wishes, asked.car, stands)
    choice = choose_carry(demand, wishes, stands) if car is None else car.carry
    said: tuple[str, ...] = ()
    if asked.on_holes:
        holes = Holes(
            ready.simulator, ready.fleet, demand.days, ready.course, ready.putting, ready.assume,
            putting_discs=putting, parts=2, progress=_share_of(progress, _BY_DISTANCE, 1.0),
        )  # fmt: skip
        found = choose_on_holes(holes, choice.chosen, wishes, stands)
        said = telling.on_holes(holes, found, choice.chosen)
        choice = found.choice or choice
        if asked.car:
            table = holes.table(choice.chosen)
            car = choose_with_car(table, wishes, asked.car, stands, carry=choice)
            said += ("What goes in the car, and for which day, was chosen on the same lies.",)
    curve = how_many_curve(demand, MOST_DISCS, wishes)
    report = _report(
        ready, conditions, demand, choice, curve, wishes, on or date.today(), seed,
        asked.keep or ("last time" if wishes.keep else None),
    )  # fmt: skip
    report = replace(
        report,
        summary=(*report.summary, *said),
        putting=ready.fleet.ids[putting[0]] if putting else "",
        **told_wishes(store, demand, asked, wishes, choice, stands),
        **({} if car is None else _car_lines(ready.fleet.ids, car)),
    )
    with store.atomic():
        take = things_for(
            conditions,
            cold_below_c=ready.assume.cold_below_c,
            hot_above_c=ready.assume.hot_above_c,
        )
        store.carries.add(replace(_carry(report), name=asked.name or report.conditions, take=take))
        save_plan(store, report)
        keep_first_putts(store, report.conditions, demand, choice.chosen)
        save_asked(store, report.conditions, asked)
    return report


def _share_of(progress: Progress, start: float, end: float) -> Progress:
    return lambda what, share: progress(what, start + (end - start) * share)


def _car_lines(ids: Sequence[str], car: TwoStage) -> dict[str, Any]:
    return {
        "alternates": tuple(ids[d] for d in car.alternates),
        "car_swaps": tuple(
            CarSwap(
                swap.day,
                tuple(ids[d] for d in swap.out),
                tuple(ids[d] for d in swap.into),
                swap.saves,
                swap.saves_se,
            )
            for swap in car.swaps
        ),
    }


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
    ladder = rungs(ready.simulator, fleet, _commonest(demand.days))
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
        discs=_disc_lines(ready, demand, ladder),
        wide_steps=_wide_steps(ready, chosen, _landings(ready, ladder)),
        ground=served_ground(demand, chosen, demand.days.index(_commonest(demand.days))),
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
            *telling.summary(
                demand, choice, curve, flat, (carried, carried_se), wishes.order, kept_from
            ),
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


def _wide_steps(ready: Prepared, chosen: Sequence[int], landings: Landings) -> tuple[WideStep, ...]:
    """Return the rungs that the carry lacks, by flat throws in the still air of a day."""
    carried = [ready.fleet.ids[disc] for disc in chosen]
    return tuple(
        WideStep(rung.below, rung.above, rung.step_m, rung.usual_m)
        for one in carried_ladders(carried, _roles(ready), landings)
        for rung in one.missing
    )


def _roles(ready: Prepared) -> dict[str, str]:
    return {disc: role_of(ready.molds[ready.discs[disc].mold].printed) for disc in ready.fleet.ids}


def _landings(ready: Prepared, ladder: Rungs) -> Landings:
    """Return where flat throws of every disc end, fade side positive."""
    ids, each_m = ready.fleet.ids, ladder.each_m
    stable = ready.fleet.printed[:, 2] + ready.fleet.printed[:, 3]
    finish = ladder.finish_left_m[:, 1]
    fade = (stable - stable.mean()) @ (finish - finish.mean())
    side = 1.0 if fade >= 0.0 else -1.0  # the more stable ones finish on the fade side
    return Landings(
        {disc: side * line[:, 1] for disc, line in zip(ids, each_m, strict=True)},
        {disc: line[:, 0] for disc, line in zip(ids, each_m, strict=True)},
        ready.assume,
    )


def with_doubles(ready: Prepared, days: Sequence[Day], wishes: Wishes) -> Wishes:
    """Return wishes that know which discs of one role fly alike, where these are to be few."""
    if NO_DOUBLES not in wishes.order:
        return wishes
    ids, roles = ready.fleet.ids, _roles(ready)
    landings = _landings(ready, rungs(ready.simulator, ready.fleet, _commonest(days)))
    alike = [
        (a, b)
        for a, b in combinations(range(len(ids)), 2)
        if roles[ids[a]] == roles[ids[b]] and landings.doubled(ids[a], ids[b]) > 0.5
    ]
    return replace(wishes, doubled=tuple(alike))


def _commonest(days: Sequence[Day]) -> Day:
    return max(days, key=lambda day: day.share)


def _disc_lines(ready: Prepared, demand: Demand, ladder: Rungs) -> tuple[DiscLine, ...]:
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
        alternates=report.alternates,
        reasons=tuple(
            (purpose.disc_id, " ".join(purpose_words(purpose, "m", putting=report.putting)))
            for purpose in report.purposes
        ),
        strokes_per_round=report.strokes_carry,
        strokes_se=report.strokes_carry_se,
        seed=report.seed,
    )
