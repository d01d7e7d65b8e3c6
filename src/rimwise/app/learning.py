"""What was learnt about every disc, in its owner's words.

Told is what landings can tell: where the owner's stock throw comes to rest, against where
the printed numbers alone put it; how stable a disc is against the owner's other discs; how often
it ends on the turn side. Nothing is said of the nose or of the glide that all discs share, which
landings cannot tell from the speed of the arm.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from rimwise.app.believing import counted_words, every_disc
from rimwise.app.box import (
    assumptions_of,
    available_discs,
    disc_named,
    pick,
    roles_of,
    units_of,
)
from rimwise.app.clashing import Contradiction, contradictions_in
from rimwise.app.drifting import drift_words
from rimwise.app.evidence import evidence_of
from rimwise.app.rungs import Landings, Rung, rung_of
from rimwise.beliefs.drift import Drift, learn_now
from rimwise.beliefs.landings import stock_landings
from rimwise.beliefs.learn import row_of_scatter
from rimwise.beliefs.observed import Evidence
from rimwise.beliefs.posterior import Posterior, prior_posterior
from rimwise.errors import InputError
from rimwise.records import words
from rimwise.records.thrower import Thrower
from rimwise.records.words import Units
from rimwise.store.store import Store

__all__ = [
    "DiscTold",
    "Learnt",
    "LearntReport",
    "Rests",
    "Span",
    "fade_side",
    "landings_of",
    "learn_from",
    "report_of",
    "rests_of",
    "tell_learnt",
    "told_discs",
]

Floats = NDArray[np.float64]

SAMPLES, SEED = 512, 20261
#: Farther than this to the turn side, a flat throw ended on the wrong side.
WRONG_SIDE_M = 2.0
#: The middle eight of ten draws.
_EIGHT_OF_TEN = (10.0, 90.0)
#: Differences smaller than these are called none, in metres and in numbers of turn and fade.
_SAME_M, _SAME_NUMBER = 0.5, 0.25


@dataclass(frozen=True, slots=True)
class Span:
    """A mean and the ends of the interval that holds eight of ten draws."""

    mean: float
    low: float
    high: float

    @classmethod
    def of(cls, draws: Floats) -> Span:
        """Summarise draws, (samples,)."""
        low, high = np.percentile(draws, _EIGHT_OF_TEN)
        return cls(float(draws.mean()), float(low), float(high))

    def holds(self, value: float) -> bool:
        """Return whether a value lies in the interval."""
        return self.low <= value <= self.high


@dataclass(frozen=True, slots=True, eq=False)
class Learnt:
    """Beliefs about every disc on file, and what they rest on; retired ones are learnt from too.

    ``available`` holds those that can be chosen; ``roles`` gives each its role. A disc that changed
    is in the posterior once more, as it was before, and so named in the evidence.
    """

    posterior: Posterior
    evidence: Evidence
    available: frozenset[str]
    roles: Mapping[str, str]
    units: Units
    rests_on: str = ""
    drifts: tuple[Drift, ...] = ()

    @property
    def discs(self) -> tuple[str, ...]:
        """The discs as they are now: the first of the posterior's, in its order."""
        return tuple(name for name in self.posterior.unknowns.fleet.ids if name in self.roles)


@dataclass(frozen=True, slots=True, eq=False)
class Rests:
    """Where draws put the stock throw with every disc, (n, samples, 2), m, out and left.

    ``now`` by what is believed, ``before`` by printed numbers, plastic, wear and the one distance.
    """

    now: Floats
    before: Floats


@dataclass(frozen=True, slots=True)
class DiscTold:
    """One disc on the owner's stock throw, on a mild and calm day, firm ground.

    Lengths are metres; left is positive, as the thrower sees it. Intervals hold eight of ten.

    Parameters
    ----------
    reach_m, left_m
        Where the throw comes to rest, without the scatter of releases.
    printed_reach_m, printed_left_m
        The same from printed numbers, plastic, wear and the one distance alone.
    longer_m, more_left_m
        By how much what is believed now differs from the middle of that.
    stabler
        Turn and fade together above those printed, against the mean of all discs on file.
    wrong_side
        Share of throws, scatter of releases included, that end more than 2 m to the turn side.
    overlaps
        The disc that lands closest, when each lands within the other's intervals.
    throws, comparisons
        Evidence that names this disc.
    rung
        Its place among the available discs of its role.
    """

    disc: str
    reach_m: Span
    left_m: Span
    printed_reach_m: Span
    printed_left_m: Span
    longer_m: Span
    more_left_m: Span
    stabler: Span
    wrong_side: float
    overlaps: str | None
    throws: int
    comparisons: int
    rung: Rung
    sentence: str


@dataclass(frozen=True, slots=True)
class LearntReport:
    """Everything that is told; ``rests_on`` and ``settled`` say how far to trust it.

    ``drifts`` says in a sentence each which of these discs changed since they were well known.
    """

    rests_on: str
    settled: bool
    discs: tuple[DiscTold, ...]
    drifts: tuple[str, ...]
    contradictions: tuple[Contradiction, ...]
    units: Units


def learn_from(store: Store, thrower: str | None = None) -> Learnt:
    """Learn discs and arm from all evidence on file.

    Raises
    ------
    InputError
        When nothing to learn from is on file, or it names a disc or style that is not.
    NotFoundError
        When there is no such thrower.
    """
    assume = assumptions_of(store)
    evidence = evidence_of(store, assume)
    if not len(evidence):
        raise InputError(
            'nothing is on file to learn from; note a throw with `rimwise log throw DISC "64m 5L"` '
            'or a comparison with `rimwise log compare A ">" B`.'
        )
    who: Thrower = pick(store.throwers, "thrower", thrower)
    now = learn_now(every_disc(store, assume), who, assume, evidence)
    return Learnt(
        posterior=now.posterior,
        evidence=now.evidence,
        available=frozenset(disc.id for disc in available_discs(store)),
        roles=roles_of(store),
        units=units_of(store),
        rests_on=counted_words(evidence),
        drifts=now.drifts,
    )


def tell_learnt(
    store: Store, disc: str | None = None, *, thrower: str | None = None
) -> LearntReport:
    """Learn from what is on file and say what came of it.

    Parameters
    ----------
    disc
        Tell of this one alone: its name, or a part that fits only one; else of all available.

    Raises
    ------
    InputError, NotFoundError
        As :func:`learn_from`, or when the disc is not known.
    """
    wanted = None if disc is None else disc_named(store, disc).id
    return report_of(learn_from(store, thrower), wanted)


def report_of(
    learnt: Learnt, wanted: str | None = None, rests: Rests | None = None
) -> LearntReport:
    """Say what came of learning, of one disc or of all that are available.

    Parameters
    ----------
    wanted
        Full name of the disc.
    rests
        Where they are at hand already.
    """
    told = told_discs(learnt, wanted, rests)
    if wanted is None:
        told = tuple(one for one in told if one.disc in learnt.available)
    return LearntReport(
        rests_on=learnt.rests_on,
        settled=learnt.posterior.settled,
        discs=told,
        drifts=tuple(
            drift_words(drift, drift.disc_id)
            for drift in learnt.drifts
            if drift.disc_id in {one.disc for one in told}
        ),
        contradictions=contradictions_in(learnt.posterior, learnt.evidence.comparisons),
        units=learnt.units,
    )


def rests_of(learnt: Learnt) -> Rests:
    """Throw the stock throw with every disc, by what is believed and by the numbers alone."""
    beliefs = learnt.posterior
    return Rests(_landings(beliefs), _landings(prior_posterior(beliefs.unknowns)))


def told_discs(
    learnt: Learnt, disc: str | None = None, rests: Rests | None = None
) -> tuple[DiscTold, ...]:
    """Return what is believed of one disc or of all, farthest first.

    Parameters
    ----------
    disc
        Full name of the disc.
    rests
        Where they are at hand already.
    """
    beliefs = learnt.posterior
    rests = rests_of(learnt) if rests is None else rests
    now, before = rests.now, rests.before
    wide = _landings(beliefs, scattered=True)
    stabler = _stabler(beliefs)
    spans = [(Span.of(one[:, 0]), Span.of(one[:, 1])) for one in now[: len(learnt.discs)]]
    stand = landings_of(beliefs, now)
    told = []
    for i in np.argsort([-reach.mean for reach, _ in spans], kind="stable").tolist():
        if disc is not None and learnt.discs[i] != disc:
            continue
        middle = before[i].mean(axis=0)
        near = _overlap(i, spans, [other in learnt.available for other in learnt.discs])
        told.append(
            _told(
                learnt,
                learnt.discs[i],
                spans[i],
                (Span.of(before[i, :, 0]), Span.of(before[i, :, 1])),
                (Span.of(now[i, :, 0] - middle[0]), Span.of(now[i, :, 1] - middle[1])),
                Span.of(stabler[:, i]),
                float(np.mean(fade_side(beliefs) * wide[i, :, 1] < -WRONG_SIDE_M)),
                None if near is None else learnt.discs[near],
                rung_of(learnt.discs[i], stand, learnt.roles, sorted(learnt.available)),
            )
        )
    return tuple(told)


def landings_of(beliefs: Posterior, rests: Floats | None = None) -> Landings:
    """Return where draws of what is believed put the stock throw, for the ladders.

    Parameters
    ----------
    rests
        (discs, samples, 2) where they are at hand already.
    """
    rests = _landings(beliefs) if rests is None else rests
    names, side = beliefs.unknowns.fleet.ids, fade_side(beliefs)
    return Landings(
        {name: side * rests[i, :, 1] for i, name in enumerate(names)},
        {name: rests[i, :, 0] for i, name in enumerate(names)},
        beliefs.unknowns.assume,
    )


def _landings(beliefs: Posterior, *, scattered: bool = False) -> Floats:
    """Return where draws of what is believed put the stock throw, (n, samples, 2)."""
    u = beliefs.draw_unknowns(SAMPLES, SEED)
    scatter = np.array([row_of_scatter(one) for one in beliefs.scatter]) if scattered else None
    return stock_landings(beliefs.unknowns, beliefs.grips.mean, u, scatter, seed=SEED)


def _stabler(beliefs: Posterior) -> Floats:
    """Return turn and fade together above those printed, against all discs, (samples, n)."""
    u = beliefs.draw_unknowns(SAMPLES, SEED)
    off = (beliefs.unknowns.printed(u) - beliefs.unknowns.fleet.printed)[..., 2:].sum(axis=-1)
    return np.asarray(off - off.mean(axis=1, keepdims=True))


def fade_side(beliefs: Posterior) -> float:
    """Return 1 when the stock throw fades to the left, −1 to the right."""
    thrower = beliefs.unknowns.thrower
    return 1.0 if (thrower.hand == "right") == (thrower.stock.style == "backhand") else -1.0


def _overlap(i: int, spans: list[tuple[Span, Span]], available: list[bool]) -> int | None:
    """Return the available disc that lands closest, if each is within the other's intervals."""
    reach, left = spans[i]
    found = [
        (np.hypot(far.mean - reach.mean, side.mean - left.mean), j)
        for j, (far, side) in enumerate(spans)
        if j != i
        and available[j]
        and reach.holds(far.mean)
        and left.holds(side.mean)
        and far.holds(reach.mean)
        and side.holds(left.mean)
    ]
    return min(found)[1] if found else None


def _told(
    learnt: Learnt,
    disc: str,
    lands: tuple[Span, Span],
    printed: tuple[Span, Span],
    differs: tuple[Span, Span],
    stabler: Span,
    wrong_side: float,
    overlaps: str | None,
    rung: Rung,
) -> DiscTold:
    throws = sum(throw.disc_id == disc for throw in learnt.evidence.throws)
    compared = sum(disc in (one.more, one.less) for one in learnt.evidence.comparisons)
    parts = [
        f"{disc} rests {_far(lands[0], learnt.units)} and {_side(lands[1], learnt.units)}",
        _against_numbers(differs, learnt.units),
        _stability(stabler),
    ]
    sentence = f"{parts[0]}: {parts[1]}. {parts[2]} {_from_what(throws, compared)}"
    if overlaps is not None:
        sentence += f" It now overlaps {overlaps}."
    return DiscTold(
        disc, *lands, *printed, *differs, stabler, wrong_side, overlaps, throws, compared, rung,
        f"{sentence} {rung.words(learnt.units)}",
    )  # fmt: skip


def _far(reach: Span, units: Units) -> str:
    low, high = (words.number(words.in_units(end, units)) for end in (reach.low, reach.high))
    return f"{words.distance(reach.mean, units)} out ({low} to {high})"


def _side(left: Span, units: Units) -> str:
    ends = (words.short_side(end, units) for end in (left.low, left.high))
    return f"{words.sideways(left.mean, units)} ({' to '.join(ends)})"


def _against_numbers(differs: tuple[Span, Span], units: Units) -> str:
    """Say how far the landing is from where the numbers alone put it, with intervals."""
    told = []
    for span, more, less in zip(differs, ("longer", "more to the left"),
                                ("shorter", "more to the right"), strict=True):  # fmt: skip
        if abs(span.mean) < _SAME_M:
            continue
        ends = (words.number(words.in_units(end, units)) for end in (span.low, span.high))
        if span.mean < 0.0:
            ends = (words.number(words.in_units(-e, units)) for e in (span.high, span.low))
        told.append(
            f"{words.distance(abs(span.mean), units)} {more if span.mean > 0.0 else less} "
            f"({' to '.join(ends)})"
        )
    if not told:
        return "where its numbers alone put it"
    return f"{' and '.join(told)} than its numbers alone say"


def _stability(stabler: Span) -> str:
    if abs(stabler.mean) < _SAME_NUMBER:
        return "Against your other discs it is as stable as its numbers and wear say."
    size = words.number(round(2.0 * abs(stabler.mean)) / 2.0, 1)
    way = "more" if stabler.mean > 0.0 else "less"
    unsure = ", though that may be chance" if stabler.holds(0.0) else ""
    return (
        f"Against your other discs it is about {size} {way} stable than its numbers and wear "
        f"say{unsure}."
    )


def _from_what(throws: int, comparisons: int) -> str:
    counts = ((throws, "throw"), (comparisons, "comparison"))
    told = [words.plural(count, noun) for count, noun in counts if count]
    if not told:
        return "No throw or comparison names it: this comes from your other discs."
    return f"This is from {words.joined(told)} with it and what your other discs show."
