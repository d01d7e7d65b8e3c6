"""Why: what every carried disc is for, what would stand in, and who does the others' work.

Everything here reads a demand table and a chosen set; strokes are from the reporting throws,
with one standard error.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from rimwise.decide.demand import Demand
from rimwise.decide.stand_in import StandIn, TakeOver, stand_in_costs, who_takes_over

__all__ = ["Job", "LeftOut", "Purpose", "left_out", "purposes"]

#: Jobs told per disc.
MOST_JOBS = 6
#: Approaches of one hole within about this distance of each other are one job.
ABOUT_M = 15.0


@dataclass(frozen=True, slots=True)
class Job:
    """A throw that a disc is carried for.

    ``visits`` is how often a round asks for it; ``strokes`` what the next best carried disc
    would cost there per visit.
    """

    hole: str
    kind: str
    day: str
    distance_m: float
    line: str
    visits: float
    strokes: float
    instead: str


@dataclass(frozen=True, slots=True)
class Purpose:
    """What one carried disc is for.

    ``stand_in_cost`` is strokes per round lost if it stays home and the others carried stand
    in, with one standard error, ``None`` for the only disc of a carry; ``throws`` is how many
    throws a round it makes.
    """

    disc_id: str
    stand_in_cost: float | None
    stand_in_se: float
    stand_ins: tuple[str, ...]
    throws: float
    jobs: tuple[Job, ...]


@dataclass(frozen=True, slots=True)
class LeftOut:
    """A disc that stays home, and who does its work.

    ``saving`` is strokes per round saved if it came along as one more, with one standard error.
    """

    disc_id: str
    instead: str
    hole: str
    distance_m: float
    saving: float
    saving_se: float


def purposes(demand: Demand, chosen: Sequence[int]) -> tuple[Purpose, ...]:
    """Say what every carried disc is for, the most missed first.

    A carry of one disc has no stand-in.
    """
    carried = sorted(chosen)
    if len(carried) == 1:
        return (_only(demand, carried[0]),)
    told = [
        _purpose(demand, carried, stand_in)
        for stand_in in stand_in_costs(demand.cost, demand.weights, carried)
    ]
    return tuple(sorted(told, key=lambda p: (-(p.stand_in_cost or 0.0), p.disc_id)))


def _only(demand: Demand, disc: int) -> Purpose:
    throws = float(demand.weights.sum())
    return Purpose(demand.fleet.ids[disc], None, 0.0, (), throws, ())


def _purpose(demand: Demand, carried: Sequence[int], stand_in: StandIn) -> Purpose:
    ids = demand.fleet.ids
    others = [d for d in carried if d != stand_in.disc]
    loss, error = demand.difference(others, carried)
    return Purpose(
        disc_id=ids[stand_in.disc],
        stand_in_cost=loss,
        stand_in_se=error,
        stand_ins=tuple(ids[d] for d in stand_in.deputies[:3]),
        throws=stand_in.weight,
        jobs=_jobs(demand, stand_in),
    )


def _jobs(demand: Demand, stand_in: StandIn) -> tuple[Job, ...]:
    """Tell the throws of one disc, those that lose most without it first.

    Rows of one hole and about one distance are one job, whatever the day; it is told for the
    day that needs it most.
    """
    weights, disc = demand.weights, stand_in.disc
    groups: dict[tuple[str, str, int], list[tuple[float, int, int]]] = defaultdict(list)
    for r, instead in zip(stand_in.rows, stand_in.by, strict=True):
        row = demand.rows[r]
        near = 0 if row.kind == "tee" else round(row.lie.distance_m / ABOUT_M)
        loss = float(weights[r] * (demand.cost[r, instead] - demand.cost[r, disc]))
        groups[row.hole, row.kind, near].append((loss, r, instead))
    jobs: list[tuple[float, Job]] = []
    for (hole, kind, _), members in groups.items():
        loss = sum(member[0] for member in members)
        _, first, instead = max(members)
        row = demand.rows[first]
        visits = float(sum(weights[r] for _, r, _ in members))
        job = Job(
            hole=hole,
            kind=kind,
            day=demand.days[row.day].name,
            distance_m=row.lie.distance_m,
            line=demand.words(first, disc),
            visits=visits,
            strokes=loss / visits,
            instead=demand.fleet.ids[instead],
        )
        jobs.append((loss, job))
    jobs.sort(key=lambda pair: (-pair[0], pair[1].hole, pair[1].kind, pair[1].distance_m))
    return tuple(job for _, job in jobs[:MOST_JOBS])


def left_out(demand: Demand, chosen: Sequence[int]) -> tuple[LeftOut, ...]:
    """Say for every disc left at home which carried one does its work."""
    carried = sorted(chosen)
    told = [
        _left_out(demand, carried, take_over)
        for take_over in who_takes_over(demand.cost, demand.weights, carried)
    ]
    return tuple(sorted(told, key=lambda t: (-t.saving, t.disc_id)))


def _left_out(demand: Demand, carried: Sequence[int], take_over: TakeOver) -> LeftOut:
    """Tell one disc; where it is never the best, tell the throw at which it comes nearest."""
    disc, rows, by = take_over.disc, take_over.rows, take_over.by
    serves = demand.serves(carried)
    gap = demand.cost[:, disc] - demand.cost[np.arange(len(demand.rows)), serves]
    if not rows:
        nearest = int(np.argmin(gap))
        rows, by = (nearest,), (int(serves[nearest]),)
    work: dict[int, float] = defaultdict(float)
    for r, instead in zip(rows, by, strict=True):
        work[instead] += float(demand.weights[r])
    main = min(rows, key=lambda r: (demand.weights[r] * gap[r], r))
    saving, error = demand.difference(carried, [*carried, disc])
    return LeftOut(
        disc_id=demand.fleet.ids[disc],
        instead=demand.fleet.ids[min(work, key=lambda d: (-work[d], d))],
        hole=demand.rows[main].hole,
        distance_m=demand.rows[main].lie.distance_m,
        saving=saving,
        saving_se=error,
    )
