"""How many: strokes against the number of discs carried, and where that goes flat."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from rimwise.app.box import pick
from rimwise.app.files import write_whole
from rimwise.app.planned import prepared_for
from rimwise.app.reports import load_plan
from rimwise.app.telling import FLAT_STROKES
from rimwise.decide.days import days_of
from rimwise.decide.demand import Progress, build_demand
from rimwise.decide.report import CurvePoint, PlanReport
from rimwise.errors import InputError
from rimwise.pictures.curve import curve_svg
from rimwise.records import words
from rimwise.store.store import Store

__all__ = ["HowMany", "Resolved", "how_many"]

#: Numbers of discs for which the strokes-to-finish are solved anew.
RESOLVED_AT = (5, 10, 15, 20, 25)


@dataclass(frozen=True, slots=True)
class Resolved:
    """One number of discs, with strokes-to-finish and lies as if nothing else were owned.

    ``lost`` is strokes a round against everything owned, paired throw by throw.
    """

    discs: int
    lost: float
    lost_se: float


@dataclass(frozen=True, slots=True)
class HowMany:
    """The curve of a plan, in words, numbers and (if asked) a picture."""

    conditions: str
    sentences: tuple[str, ...]
    flat_from: int
    curve: tuple[CurvePoint, ...]
    resolved: tuple[Resolved, ...]
    picture: str


def how_many(
    store: Store,
    conditions: str | None = None,
    *,
    picture: Path | None = None,
    resolve: bool = False,
    progress: Progress = lambda _what, _share: None,
) -> HowMany:
    """Tell how many discs are worth carrying, from the kept plan.

    Parameters
    ----------
    picture
        File to draw the curve into.
    resolve
        Solve strokes-to-finish anew for 5, 10, 15, 20 and 25 discs; each takes about as long
        as a plan.

    Raises
    ------
    RimwiseError
        When nothing is planned, a disc of the plan is gone, or the file cannot be written.
    """
    plan = load_plan(store, conditions)
    resolved = _resolve(store, plan, progress) if resolve else ()
    if picture is not None:
        write_whole(picture, curve_svg(plan))
    return HowMany(
        plan.conditions,
        _sentences(plan, resolved),
        plan.flat_from,
        plan.curve,
        resolved,
        "" if picture is None else str(picture),
    )


def _sentences(plan: PlanReport, resolved: Sequence[Resolved]) -> tuple[str, ...]:
    fewest = min(point.discs for point in plan.curve)
    last = max(point.discs for point in plan.curve)
    told = []
    if fewest > 1:
        told.append(f"Your wishes need {words.plural(fewest, 'disc')} or more; it starts there.")
    if plan.flat_from >= last:
        told.append(f"The curve does not go flat up to {words.plural(last, 'disc')}.")
    else:
        flat = next(point for point in plan.curve if point.discs == plan.flat_from)
        told.append(
            f"It is flat from {words.plural(plan.flat_from, 'disc')} on: they lose "
            f"{words.strokes(max(flat.lost, 0.0), flat.lost_se)}, a round, against everything you "
            f"own, and no larger number loses more than {FLAT_STROKES:g}."
        )
    steep = [point for point in plan.curve if point.discs < plan.flat_from]
    if steep:
        first = steep[0]
        told.append(
            f"{words.plural(first.discs, 'disc')} alone would lose "
            f"{words.strokes(max(first.lost, 0.0), first.lost_se)}, a round."
        )
    if resolved:
        told.append(
            "Solved anew, as if nothing else were owned: "
            + "; ".join(
                f"{one.discs} discs lose {words.strokes(max(one.lost, 0.0), one.lost_se)}"
                for one in resolved
            )
            + ", a round."
        )
    return tuple(told)


def _resolve(store: Store, plan: PlanReport, progress: Progress) -> tuple[Resolved, ...]:
    ready = prepared_for(store, plan)
    weather = pick(store.conditions, "conditions", plan.conditions)
    days = days_of(weather, ready.thrower, ready.assume)
    points = [point for point in plan.curve if point.discs in RESOLVED_AT]
    gone = {disc for point in points for disc in point.chosen} - set(ready.fleet.ids)
    if gone:
        raise InputError(
            f"{min(gone)} is in the plan but no longer available; run `rimwise plan` again."
        )
    everything = ready.demand(weather, lambda what, _share: progress(what, 0.0)).samples()
    found = []
    for number, point in enumerate(points):
        share = (1 + number) / (1 + len(points))
        progress(f"{point.discs} discs, solved anew", share)
        table = build_demand(
            ready.simulator,
            ready.fleet.subset([ready.fleet.index(disc) for disc in point.chosen]),
            days,
            ready.course,
            ready.putting,
            ready.assume,
        )
        more = table.samples() - everything
        error = float(more.std(ddof=1) / np.sqrt(len(more)))
        found.append(Resolved(point.discs, float(more.mean()), error))
    return tuple(found)
