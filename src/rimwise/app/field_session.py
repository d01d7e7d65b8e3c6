"""What to throw next: a field session that would save most strokes, and why each step is in it."""

from __future__ import annotations

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
    Worth,
    design_session,
    session_worth,
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
    "Throw only where nobody is or may walk in. Warm up, rest between discs, let sessions grow "
    "slowly over weeks, and stop when the arm is sore: twenty good throws teach more than fifty "
    "tired ones; see a professional about pain that stays. Posted rules of the field come first."
)
#: A session that saves less than this is not worth an evening, strokes a round.
NOT_WORTH = 0.03
#: Parts of a gain, and chances, that are told as none.
_SMALL = 0.005
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
    """A field session; ``gain`` is strokes a round saved on average, a rough figure.

    ``choice`` is the part of it by throwing other discs, ``aim`` that by aiming better; ``changes``
    is the share of outcomes after which another disc belongs in the carry; ``all`` is what knowing
    every disc exactly would save.
    """

    conditions: str
    throws: int
    comparisons: int
    steps: tuple[Step, ...]
    gain: float
    choice: float
    aim: float
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
    most = session_worth(stakes, doubt, everything, seed).gain
    worth = session.worth
    steps = tuple(
        _step(fleet, stakes, doubt, holes, ask, added) for ask, added in _in_order(session)
    )
    return FieldReport(
        conditions=plan.conditions,
        throws=sum(step.throws for step in steps),
        comparisons=sum(step.other is not None for step in steps),
        steps=steps,
        gain=worth.gain,
        choice=worth.choice,
        aim=worth.aim,
        changes=worth.changes,
        all=most,
        sentences=(*_sentences(plan.conditions, worth, most), *_in_fives(throws)),
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
    for ask, worth in zip(session.asks, session.added, strict=True):
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
    if isinstance(kept, dict) and kept.get("of") == mark and "slopes" in kept:
        stakes = Stakes(
            np.array(kept["cost"]), np.array(kept["weight"]), np.array(kept["slopes"]),
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
        slopes=stakes.slopes.round(7),
        bend=stakes.bend.round(9),
    )
    holes = [row.hole for row in demand.rows]
    store.reports.put(
        _KEPT + conditions,
        {
            "of": mark,
            "cost": stakes.cost.tolist(),
            "weight": stakes.weight.tolist(),
            "slopes": stakes.slopes.tolist(),
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
    matter = _matters(stakes, doubt, ask.disc)
    if ask.other is None:
        said = f"Throw {own} {ask.throws} times, your stock throw at full effort."
        decides = f"hole {holes[matter.row]}: it or {fleet.ids[matter.rival]}"
        if matter.aim > matter.choice:
            decides = f"your aim with it, on hole {holes[matter.aim_row]} first"
        return Step(own, None, ask.throws, worth, decides, said)
    other = fleet.ids[ask.other]
    both = dict.fromkeys((holes[matter.row], holes[_matters(stakes, doubt, ask.other).row]))
    where = f"{'hole' if len(both) == 1 else 'holes'} {words.joined(list(both))}"
    said = f"Throw {own} and {other} in turn, three times each, and say which is more stable."
    return Step(own, other, ask.throws, worth, where, said)


@dataclass(frozen=True, slots=True)
class _Matter:
    """What not knowing a disc costs a round, and where most: by choice of disc, and by aim."""

    choice: float
    row: int
    rival: int
    aim: float
    aim_row: int


def _matters(stakes: Stakes, doubt: Doubt, disc: int) -> _Matter:
    from scipy.special import ndtr

    own = doubt.covariance[disc, :, disc]
    slope = stakes.slope[:, disc]
    sd = np.maximum(np.sqrt(np.einsum("ra,ab,rb->r", slope, own, slope)), 1e-9)
    others = stakes.cost.copy()
    others[:, disc] = np.inf
    # What is lost on average by choosing without knowing (unit normal linear loss).
    z = np.abs(stakes.cost[:, disc] - others.min(axis=1)) / sd
    bell = np.exp(-0.5 * z * z) / np.sqrt(2.0 * np.pi)
    choice = stakes.weight * sd * (bell - z * ndtr(-z))
    thrown = np.argmin(stakes.cost, axis=1) == disc
    aim = stakes.weight * thrown * (stakes.bend[:, disc] @ np.diag(own))
    row = int(np.argmax(choice))
    return _Matter(
        float(choice.sum()), row, int(np.argmin(others[row])), float(aim.sum()), int(np.argmax(aim))
    )


def _sentences(conditions: str, worth: Worth, most: float) -> tuple[str, ...]:
    gain = f"{words.number(worth.gain, 1)} strokes a round"
    if worth.gain < NOT_WORTH:
        little = (
            f"Nothing much is left to learn for {conditions}: this session would save less than "
            f"{NOT_WORTH:g} strokes a round. Practise putting instead, or throw what you enjoy."
        )
        return (little,)
    aiming = "by aiming better with the discs you throw anyway"
    parts = (
        f"{words.number(worth.choice, 2)} by throwing other discs and "
        f"{words.number(worth.aim, 2)} {aiming}"
        if worth.choice >= _SMALL
        else f"nearly all of it {aiming}"
    )
    changed = (
        f"In {words.chance(worth.changes)} cases another disc belongs in the carry afterwards."
        if worth.changes >= _SMALL
        else "It hardly changes which discs you carry."
    )
    saves = (
        f"Logged, this session should save you roughly {gain} for {conditions}: {parts}. Knowing "
        f"every disc exactly would save roughly {words.number(most, 1)}. These are rough: "
        "the order of the steps is surer than what they save."
    )
    return saves, changed


def _in_fives(throws: int) -> tuple[str, ...]:
    rest = throws % BLOCK
    if not rest:
        return ()
    left_over = (
        f"Throws go in fives with one disc, so {throws - rest} of your {throws} are laid out; "
        "warm up with the others."
    )
    return (left_over,)
