"""Has a disc changed since it was last well known? Its later evidence against its earlier.

A disc with enough evidence before and after a pause is learnt as two discs of one mold and
plastic, one for each time, with everything else on file as usual. How much the later one is less
stable (turn and fade together, which is what landings tell best) is its drift, with an interval;
what its use accounts for is part of it and told beside it.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, fields, replace
from datetime import date
from typing import Any

import numpy as np
from numpy.typing import NDArray

from rimwise.beliefs.fleet import Fleet
from rimwise.beliefs.learn import learn
from rimwise.beliefs.observed import Evidence
from rimwise.beliefs.posterior import Posterior
from rimwise.records.assumptions import Assumptions
from rimwise.records.evidence import Comparison, Throw
from rimwise.records.thrower import Thrower

__all__ = ["BEFORE", "Drift", "Now", "drifts_of", "learn_now", "pauses_of"]

Floats = NDArray[np.float64]

#: Throws and comparisons that make a disc known, on each side of the pause.
ENOUGH = 5
#: Days that make a pause: within a week of play a disc hardly changes.
PAUSE_DAYS = 7
#: A drift is told when it is so large, in numbers, and so many of its standard deviations. Discs
#: become less stable with use, so that nine chances in ten are enough for that, but not for more.
TELLING_NUMBERS, TELLING_LESS_SD, TELLING_MORE_SD = 0.4, 1.2816, 1.645
#: What the disc of the earlier time is called, after its name.
BEFORE = " (before)"


@dataclass(frozen=True, slots=True)
class Drift:
    """How a disc's turn and fade together moved between two times; negative is less stable.

    Parameters
    ----------
    since
        The last day of the earlier evidence.
    numbers, sd
        Believed drift and its standard deviation, in printed numbers.
    by_use
        The part of it that the disc's use and knocks between the middles of both times account
        for; ``None`` where they are not on record.
    before, after
        Throws and comparisons on each side.
    """

    disc_id: str
    since: date
    numbers: float
    sd: float
    by_use: float | None
    before: int
    after: int

    @property
    def telling(self) -> bool:
        """Whether it is too large to be chance: a small drift is in every disc."""
        sure = TELLING_LESS_SD if self.numbers < 0.0 else TELLING_MORE_SD
        return abs(self.numbers) >= max(sure * self.sd, TELLING_NUMBERS)


@dataclass(frozen=True, eq=False)
class Now:
    """What is believed of discs as they are now.

    Parameters
    ----------
    posterior
        Learnt from ``evidence``.
    evidence
        As given, but with other names for what was seen of a disc before it changed.
    drifts
        Those that are telling.
    """

    posterior: Posterior
    evidence: Evidence
    drifts: tuple[Drift, ...]


def pauses_of(evidence: Evidence, enough: int = ENOUGH) -> dict[str, date]:
    """Return, for every disc known on both sides of a pause, the last day before it.

    The pause is the longest between two days of its evidence, a week at least, that leaves at
    least ``enough`` throws and comparisons on each side; the latest of equally long ones.
    """
    days: dict[str, Counter[date]] = {}
    for throw in evidence.throws:
        days.setdefault(throw.disc_id, Counter())[throw.on] += 1
    for one in evidence.comparisons:
        for disc_id in (one.more, one.less):
            days.setdefault(disc_id, Counter())[one.on] += 1
    found = {}
    for disc_id, counted in days.items():
        known = sorted(counted)
        before = np.cumsum([counted[on] for on in known])
        total = int(before[-1])
        pauses = [
            ((later - on).days, on)
            for on, later, seen in zip(known, known[1:], before, strict=False)
            if seen >= enough and total - seen >= enough and (later - on).days >= PAUSE_DAYS
        ]
        if pauses:
            found[disc_id] = max(pauses)[1]
    return found


def drifts_of(
    fleet: Fleet,
    thrower: Thrower,
    assume: Assumptions,
    evidence: Evidence,
    *,
    only: Sequence[str] | None = None,
    threads: int = 2,
) -> tuple[Drift, ...]:
    """Return the drift of every disc that is known on both sides of a pause.

    Parameters
    ----------
    only
        Names of the discs to ask about; all when not given.
    """
    pauses = pauses_of(evidence)
    if only is not None:
        pauses = {disc: on for disc, on in pauses.items() if disc in only}
    if not pauses:
        return ()
    both = _twice(fleet, pauses)
    split = _split(evidence, pauses)
    posterior = learn(both, thrower, assume, split, threads=threads)
    return tuple(_drift(posterior, evidence, disc, on) for disc, on in sorted(pauses.items()))


def learn_now(
    fleet: Fleet, thrower: Thrower, assume: Assumptions, evidence: Evidence, *, threads: int = 2
) -> Now:
    """Learn discs as they are now: what was seen of one before it changed counts for another.

    As :func:`rimwise.beliefs.learn.learn` while no drift is telling. Else the posterior's fleet
    has those discs once more at its end, named with :data:`BEFORE`.
    """
    drifts = tuple(
        one for one in drifts_of(fleet, thrower, assume, evidence, threads=threads) if one.telling
    )
    since = {one.disc_id: one.since for one in drifts}
    if since:
        fleet, evidence = _twice(fleet, since), _split(evidence, since)
    posterior = learn(fleet, thrower, assume, evidence, threads=threads)
    return Now(posterior, evidence, drifts)


def _drift(posterior: Posterior, evidence: Evidence, disc: str, since: date) -> Drift:
    fleet, unknowns = posterior.unknowns.fleet, posterior.unknowns
    early, late = fleet.ids.index(disc + BEFORE), fleet.ids.index(disc)
    basis = np.vstack([np.zeros(len(unknowns)), np.eye(len(unknowns))])
    stable = unknowns.printed(basis)[..., 2:].sum(axis=-1)
    apart = stable[:, late] - stable[:, early]
    along = apart[1:] - apart[0]
    # Both were learnt as worn today; each was thrown as worn in its own time.
    used = _wear_between(evidence, disc, since)
    by_use = None
    if used is not None:
        assume = unknowns.assume
        by_use = -(assume.wear_turn + assume.wear_fade) * used
    counts = [
        sum(disc in _discs_of(one) for one in evidence.throws + evidence.comparisons
            if (one.on <= since) is earlier)
        for earlier in (True, False)
    ]  # fmt: skip
    mean = float(apart[0] + along @ posterior.mean) + (by_use or 0.0)
    sd = float(np.sqrt(along @ posterior.covariance @ along))
    return Drift(disc, since, mean, sd, by_use, counts[0], counts[1])


def _wear_between(evidence: Evidence, disc: str, since: date) -> float | None:
    """Return how much wear came between the middles of both times, where it is on record."""
    own = {on: wear for (name, on), wear in evidence.wear.items() if name == disc}
    early = [wear for on, wear in own.items() if on <= since]
    late = [wear for on, wear in own.items() if on > since]
    return float(np.mean(late) - np.mean(early)) if early and late else None


def _discs_of(one: Throw | Comparison) -> tuple[str, ...]:
    return (one.disc_id,) if isinstance(one, Throw) else (one.more, one.less)


def _twice(fleet: Fleet, pauses: Iterable[str]) -> Fleet:
    """Return the fleet with each disc of ``pauses`` once more at its end, as it was before."""
    again = sorted(pauses)
    both = fleet.subset([*range(len(fleet)), *(fleet.ids.index(disc) for disc in again)])
    known: dict[str, Any] = {item.name: getattr(both, item.name) for item in fields(Fleet)}
    known["ids"] = fleet.ids + tuple(disc + BEFORE for disc in again)
    return Fleet(**known)


def _split(evidence: Evidence, pauses: Mapping[str, date]) -> Evidence:
    """Return the evidence with another name for a disc up to its pause.

    Grip and condition grades hold for both.
    """

    def name(disc: str, on: date) -> str:
        return disc + BEFORE if disc in pauses and on <= pauses[disc] else disc

    def both(disc: str) -> tuple[str, ...]:
        return (disc, disc + BEFORE) if disc in pauses else (disc,)

    return replace(
        evidence,
        throws=tuple(
            replace(throw, disc_id=name(throw.disc_id, throw.on)) for throw in evidence.throws
        ),
        comparisons=tuple(
            replace(one, more=name(one.more, one.on), less=name(one.less, one.on))
            for one in evidence.comparisons
        ),
        grip_grades=tuple(
            replace(grade, disc_id=disc)
            for grade in evidence.grip_grades
            for disc in both(grade.disc_id)
        ),
        condition_grades=tuple(
            replace(grade, disc_id=disc)
            for grade in evidence.condition_grades
            for disc in both(grade.disc_id)
        ),
        wear={(name(disc, on), on): wear for (disc, on), wear in evidence.wear.items()},
    )
