"""What to throw next: a field session that would save most strokes, and why each step is in it."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from rimwise.app.box import pick
from rimwise.app.planning import Prepared, prepare
from rimwise.app.reports import load_plan
from rimwise.beliefs.posterior import LearntFleet, prior_posterior
from rimwise.beliefs.unknowns import unknowns_of
from rimwise.decide.demand import Demand
from rimwise.decide.field_session import (
    BLOCK,
    Ask,
    Doubt,
    Session,
    Stakes,
    design_session,
    session_gain,
)
from rimwise.decide.stakes import doubt_of, stakes_of
from rimwise.errors import InputError, check_range
from rimwise.records import words
from rimwise.records.discs import role_of
from rimwise.records.words import Units
from rimwise.store.store import Store

__all__ = ["CAUTION", "FieldReport", "Step", "plan_field_session"]

Progress = Callable[[str, float], None]

CAUTION = (
    "Throw only where nobody is or may walk in, warm up first, and stop when the arm is sore: a "
    "session of twenty good throws teaches more than fifty tired ones. Posted rules of the field "
    "come first."
)
#: A session that saves less than this is not worth an evening, strokes a round.
NOT_WORTH = 0.01
MOST_THROWS, MOST_COMPARISONS = 200, 60
_KEPT = "stakes:"


@dataclass(frozen=True, slots=True)
class Step:
    """One step: a disc thrown so many times, or two discs thrown in turn and compared.

    ``worth`` is what it adds to the session, strokes a round; ``decides`` names the holes on which
    it matters most, and against which disc.
    """

    disc: str
    other: str | None
    throws: int
    worth: float
    decides: str
    words: str


@dataclass(frozen=True, slots=True)
class FieldReport:
    """A field session; ``gain`` is strokes a round saved on average, with its error.

    ``changes`` is the share of outcomes after which another disc belongs in the carry; ``all`` is
    what knowing every disc exactly would save.
    """

    conditions: str
    throws: int
    comparisons: int
    steps: tuple[Step, ...]
    gain: float
    gain_se: float
    changes: float
    all: float
    sentences: tuple[str, ...]
    caution: str
    units: Units


def plan_field_session(
    store: Store,
    conditions: str | None = None,
    *,
    throws: int = 20,
    comparisons: int = 10,
    seed: int = 1,
    progress: Progress = lambda _what, _share: None,
) -> FieldReport:
    """Lay out a field session.

    The table of costs is kept with the plan: a second session of the same beliefs takes seconds.

    Parameters
    ----------
    conditions
        Whose plan it is to help; the latest when not given.
    throws
        Thrown in blocks of five with one disc.

    Raises
    ------
    InputError, NotFoundError
        When nothing is planned yet, or too much or nothing is asked for.
    """
    check_range("throws", throws, 0, MOST_THROWS)
    check_range("comparisons", comparisons, 0, MOST_COMPARISONS)
    if throws < BLOCK and not comparisons:
        raise InputError(f"a session needs {BLOCK} throws or a comparison; ask for more.")
    plan = load_plan(store, conditions)
    ready = prepare(store, course=plan.course, thrower=None, seed=plan.seed)
    fleet = _learnt(ready)
    stakes, holes = _stakes_of(store, ready, fleet, plan.conditions, plan.chosen, progress)
    doubt = doubt_of(fleet.beliefs, fleet)
    session = design_session(
        stakes, doubt, throws, comparisons, pairs=_pairs(ready, fleet), seed=seed
    )
    everything = [Ask(d, throws=100_000) for d in range(len(fleet))]
    most, _, _ = session_gain(stakes, doubt, everything, seed)
    steps = tuple(
        _step(fleet, stakes, doubt, holes, ask, worth) for ask, worth in _in_order(session)
    )
    return FieldReport(
        conditions=plan.conditions,
        throws=sum(step.throws for step in steps),
        comparisons=sum(step.other is not None for step in steps),
        steps=steps,
        gain=session.gain,
        gain_se=session.gain_se,
        changes=session.changes,
        all=most,
        sentences=_sentences(plan.conditions, session, most),
        caution=CAUTION,
        units=ready.units,
    )


def _learnt(ready: Prepared) -> LearntFleet:
    """Return the fleet with what is believed of it; without evidence, what is not known of it."""
    if isinstance(ready.fleet, LearntFleet):
        return ready.fleet
    unknowns = unknowns_of(ready.fleet, ready.thrower, ready.assume)
    return prior_posterior(unknowns).learnt_fleet(ready.fleet)


def _pairs(ready: Prepared, fleet: LearntFleet) -> list[tuple[int, int]]:
    """Return the pairs of discs of one role: those are thrown in turn for the same job."""
    roles = [role_of(ready.molds[mold].printed) for mold in fleet.molds]
    count = len(fleet)
    return [(a, b) for a in range(count) for b in range(a + 1, count) if roles[a] == roles[b]]


def _in_order(session: Session) -> list[tuple[Ask, float]]:
    """Return the steps as they are thrown: each disc's throws together, then the comparisons."""
    throws: dict[int, tuple[int, float]] = {}
    compared = []
    for ask, worth in zip(session.asks, session.worth, strict=True):
        if ask.other is None:
            count, had = throws.get(ask.disc, (0, 0.0))
            throws[ask.disc] = count + ask.throws, had + worth
        else:
            compared.append((ask, worth))
    thrown = [(Ask(d, throws=count), worth) for d, (count, worth) in throws.items()]
    return [*thrown, *compared]


# -- the frozen table -----------------------------------------------------------------------


def _stakes_of(
    store: Store,
    ready: Prepared,
    fleet: LearntFleet,
    conditions: str,
    chosen: Sequence[str],
    progress: Progress,
) -> tuple[Stakes, list[str]]:
    """Return the table of costs and the hole of every row: as kept, or computed and kept."""
    mark = [fleet.beliefs.fingerprint, list(fleet.ids), ready.course.name, list(chosen)]
    kept: Any = store.reports.get(_KEPT + conditions)
    if isinstance(kept, dict) and kept.get("of") == mark and "bend" in kept:
        stakes = Stakes(
            np.array(kept["cost"]), np.array(kept["weight"]), np.array(kept["slope"]),
            np.array(kept["bend"]), tuple(kept["carried"]),
        )  # fmt: skip
        return stakes, list(kept["holes"])
    demand: Demand = ready.demand(
        pick(store.conditions, "conditions", conditions),
        lambda what, share: progress(what, 0.7 * share),
    )
    carried = tuple(fleet.ids.index(disc) for disc in chosen if disc in fleet.ids)
    stakes = stakes_of(
        ready.simulator, fleet, demand, carried, ready.assume,
        lambda what, share: progress(what, 0.7 + 0.3 * share),
    )  # fmt: skip
    # As they are kept, so that a session laid out from the kept table is the same one.
    stakes = replace(
        stakes,
        cost=stakes.cost.round(6),
        weight=stakes.weight.round(8),
        slope=stakes.slope.round(7),
        bend=stakes.bend.round(9),
    )
    holes = [row.hole for row in demand.rows]
    store.reports.put(
        _KEPT + conditions,
        {
            "of": mark,
            "cost": stakes.cost.tolist(),
            "weight": stakes.weight.tolist(),
            "slope": stakes.slope.tolist(),
            "bend": stakes.bend.tolist(),
            "carried": list(carried),
            "holes": holes,
        },
    )
    return stakes, holes


# -- words ----------------------------------------------------------------------------------


def _step(
    fleet: LearntFleet,
    stakes: Stakes,
    doubt: Doubt,
    holes: Sequence[str],
    ask: Ask,
    worth: float,
) -> Step:
    own = fleet.ids[ask.disc]
    hole, rival = _decides(stakes, doubt, holes, ask.disc)
    if ask.other is None:
        said = f"Throw {own} {ask.throws} times, your stock throw at full effort."
        return Step(own, None, ask.throws, worth, f"hole {hole}, or {fleet.ids[rival]}", said)
    other = fleet.ids[ask.other]
    far_hole, _ = _decides(stakes, doubt, holes, ask.other)
    where = f"hole {hole}" if far_hole == hole else f"holes {hole} and {far_hole}"
    said = f"Throw {own} and {other} in turn, three times each, and say which is more stable."
    return Step(own, other, ask.throws, worth, where, said)


def _decides(stakes: Stakes, doubt: Doubt, holes: Sequence[str], disc: int) -> tuple[str, int]:
    """Return the hole on which what is not known of a disc matters most, and against which."""
    own = doubt.covariance[disc, :, disc]
    unsure = np.sqrt(np.einsum("ra,ab,rb->r", stakes.slope[:, disc], own, stakes.slope[:, disc]))
    others = stakes.cost.copy()
    others[:, disc] = math.inf
    rival = np.argmin(others, axis=1)
    apart = stakes.cost[:, disc] - others.min(axis=1)
    # The chance to be wrong about which is better, times by how much.
    z = apart / np.maximum(unsure, 1e-9)
    matters = stakes.weight * unsure * np.exp(-0.5 * z * z)
    row = int(np.argmax(matters))
    return holes[row], int(rival[row])


def _sentences(conditions: str, session: Session, most: float) -> tuple[str, ...]:
    gain = words.strokes(session.gain, session.gain_se)
    if session.gain < NOT_WORTH:
        little = (
            f"Nothing much is left to learn for {conditions}: this session would save about {gain} "
            "a round. Practise putting instead, or throw what you enjoy."
        )
        return (little,)
    saved = (
        f"Logged, this session should save {gain} a round for {conditions} on average, by better "
        f"choices of disc; knowing every disc exactly would save {words.strokes(most)}."
    )
    return (
        saved,
        f"In {words.chance(session.changes)} cases another disc belongs in the carry afterwards.",
    )
