"""What is believed of discs and arm: as printed, or learnt from what the owner recorded."""

from __future__ import annotations

from dataclasses import dataclass

from rimwise.app.box import fleet_of
from rimwise.app.evidence import evidence_of
from rimwise.app.wearing import as_worn
from rimwise.beliefs.arm import ArmStyle
from rimwise.beliefs.fleet import Fleet, build_fleet
from rimwise.beliefs.observed import Evidence
from rimwise.beliefs.posterior import Posterior
from rimwise.records.assumptions import Assumptions
from rimwise.records.evidence import Recorded
from rimwise.records.thrower import Thrower
from rimwise.records.words import joined, plural
from rimwise.store.store import Store

__all__ = ["Believed", "believed", "counted_words", "every_disc", "posterior_of"]


@dataclass(frozen=True, slots=True, eq=False)
class Believed:
    """Discs and arm as a plan takes them.

    Parameters
    ----------
    fleet
        The available discs.
    thrower
        With the cold's cost as believed.
    arms
        The learnt arm of every style; none where nothing is learnt.
    learnt
        Digest of the evidence and of what it was judged by; ``None`` where nothing is learnt.
    words
        What this rests on, one sentence; nothing to say where nothing is on file.
    """

    fleet: Fleet
    thrower: Thrower
    arms: tuple[ArmStyle, ...] = ()
    learnt: str | None = None
    words: tuple[str, ...] = ()


def believed(
    store: Store, thrower: Thrower, assume: Assumptions, *, printed: bool = False
) -> Believed:
    """Learn discs and arm from all throws, comparisons and grip grades on file.

    Parameters
    ----------
    printed
        Leave the evidence aside, and go by printed numbers and the one distance.

    Raises
    ------
    InputError
        When there is evidence for a disc or style that is not on file.
    """
    fleet, evidence = fleet_of(store, assume, worn=not printed), evidence_of(store, assume)
    if not len(evidence):
        return Believed(fleet, thrower)
    counted = counted_words(evidence)
    if printed:
        aside = f"This goes by printed numbers alone; {counted} are left aside."
        return Believed(fleet, thrower, words=(aside,))
    posterior = _learnt(store, thrower, assume, evidence)
    return Believed(
        fleet=posterior.learnt_fleet(fleet),
        thrower=posterior.thrower(),
        arms=tuple(posterior.arm(style) for style in posterior.unknowns.styles),
        learnt=posterior.fingerprint,
        words=(f"What discs and arm do is learnt from {counted}.",),
    )


def posterior_of(store: Store, thrower: Thrower, assume: Assumptions) -> Posterior | None:
    """Return what all evidence on file says; ``None`` where there is none.

    Raises
    ------
    InputError
        When there is evidence for a disc or style that is not on file.
    """
    evidence = evidence_of(store, assume)
    return _learnt(store, thrower, assume, evidence) if len(evidence) else None


def _learnt(store: Store, thrower: Thrower, assume: Assumptions, evidence: Evidence) -> Posterior:
    from rimwise.beliefs.drift import learn_now

    return learn_now(every_disc(store, assume), thrower, assume, evidence).posterior


def every_disc(store: Store, assume: Assumptions, recorded: Recorded | None = None) -> Fleet:
    """Return every disc on file, as worn by the last day of what is on record.

    Evidence of a retired disc teaches its mold and the arm too.
    """
    discs = as_worn(store, sorted(store.discs.all(), key=lambda disc: disc.id), assume, recorded)
    return build_fleet(
        discs,
        {mold.name: mold for mold in store.molds.all()},
        {plastic.name: plastic for plastic in store.plastics.all()},
        assume,
        everything=discs,
    )


def counted_words(evidence: Evidence) -> str:
    """Say how much evidence there is: "15 throws and 3 comparisons"; there must be some.

    Where older throws are left aside: "the latest 3400 of 200000 throws".
    """
    older = evidence.older_throws
    if older:
        held = len(evidence.throws)
        told = [f"the latest {held} of {held + older} throws"]
    else:
        told = [plural(len(evidence.throws), "throw")] if evidence.throws else []
    kinds = (
        (len(evidence.comparisons), "comparison"),
        (len(evidence.grip_grades), "grip grade"),
    )
    return joined([*told, *(plural(count, kind) for count, kind in kinds if count)])
