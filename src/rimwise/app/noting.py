"""Noting evidence: throws, comparisons, grades, knocks, putts and rounds, one at a time."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

from rimwise.app.box import assumptions_of, units_of
from rimwise.errors import InputError, NotFoundError
from rimwise.records.evidence import Comparison, ConditionGrade, GripGrade, Putts, Round
from rimwise.records.evidence_telling import evidence_words
from rimwise.records.evidence_words import comparison_in, length_in, made_tried_in
from rimwise.records.words import joined
from rimwise.store.exchange.evidence_scope import Place, Scope
from rimwise.store.journal import EvidenceRecord, Journal, kind_of_record
from rimwise.store.store import Store

__all__ = [
    "Noted",
    "When",
    "note_comparison",
    "note_grip",
    "note_knock",
    "note_putts",
    "note_round",
    "note_throw",
    "note_wear",
    "putts_said",
    "scope_of",
]


@dataclass(frozen=True, slots=True)
class When:
    """When something happened, as the owner said it, and the present day.

    Parameters
    ----------
    said
        A date such as 2026-05-03, "3 May" or "yesterday"; today when ``None``.
    today
        The present day, from whoever has a clock.
    """

    today: date
    said: str | None = None

    def day(self, scope: Scope) -> date:
        """Return the day that is meant; never one in the future."""
        return self.today if self.said is None else scope.day_of(self.said)


@dataclass(frozen=True, slots=True)
class Noted:
    """One piece of evidence that was kept.

    Parameters
    ----------
    id
        A letter for its kind and a number, as in t12; ``rimwise log edit`` takes it.
    words
        What was understood, said back.
    notices
        What its owner may want to look at.
    """

    id: str
    kind: str
    on: str
    words: str
    notices: tuple[str, ...] = ()


def scope_of(store: Store, today: date | None, *, anyway: bool = False) -> Scope:
    """Return what is on file for making evidence, with the owner's assumptions."""
    return Scope.of(
        store, today, anyway=anyway, assume=assumptions_of(store), units=units_of(store)
    )


def note_throw(
    store: Store,
    disc: str,
    text: str,
    when: When,
    place: Place | None = None,
    *,
    conditions: str | None = None,
    ground: str | None = None,
    note: str = "",
    anyway: bool = False,
) -> Noted:
    """Keep one throw: "64m 5L bh flat 80%", from the basket, or from map points.

    Parameters
    ----------
    disc
        Name of the disc, or a part that fits only one.
    conditions
        Name of a day on file or short weather words; the text may end with them too.
    anyway
        Take a retired disc, or a throw longer than the arm.

    Raises
    ------
    InputError, NotFoundError
        When something is not understood or cannot be; nothing is kept.
    """
    scope = scope_of(store, when.today, anyway=anyway)
    said = scope.throw_in(text)
    if conditions is not None:
        if said.weather is not None:
            raise InputError("the weather is given twice; keep one of them.")
        said = replace(said, weather=conditions)
    made = scope.throw(when.day(scope), disc, said, place, ground=ground, note=note)
    notices: tuple[str, ...] = ()
    if said.to_go_m is not None:
        notices = ("Taken as short of the basket; write 4m past when it flew by.",)
    return _keep(store, made, notices)


def note_comparison(
    store: Store,
    text: str,
    when: When,
    *,
    quality: str | None = None,
    note: str = "",
    anyway: bool = False,
) -> Noted:
    """Keep one comparison: "A > B", "A >> B reach", "A slightly more stable than B".

    Raises
    ------
    InputError, NotFoundError
        When something is not understood or a disc is not known; nothing is kept.
    """
    scope = scope_of(store, when.today, anyway=anyway)
    return _keep(store, scope.comparison(when.day(scope), comparison_in(text, quality), note))


def note_grip(
    store: Store, disc: str, air: str, grade: str, when: When, *, anyway: bool = False
) -> Noted:
    """Keep one grip grade by hand: 1 (slips) to 5 (sure), or the word."""
    scope = scope_of(store, when.today, anyway=anyway)
    return _keep(store, scope.grip(when.day(scope), disc, air, grade))


def note_wear(
    store: Store, disc: str, wear: str, when: When, *, note: str = "", anyway: bool = False
) -> Noted:
    """Keep one condition grade: 0 (new) to 1 (beaten in), per cent, or a word."""
    scope = scope_of(store, when.today, anyway=anyway)
    return _keep(store, scope.wear(when.day(scope), disc, wear, note))


def note_knock(
    store: Store,
    disc: str,
    what: str,
    when: When,
    *,
    hard: bool = True,
    note: str = "",
    anyway: bool = False,
) -> Noted:
    """Keep that a disc hit something: it dates wear that may have come at once."""
    scope = scope_of(store, when.today, anyway=anyway)
    return _keep(store, scope.knock(when.day(scope), disc, what, hard, note))


def note_putts(
    store: Store, said: Sequence[str], when: When, *, conditions: str | None = None
) -> tuple[Noted, ...]:
    """Keep putts, distance and made/tried in turn: "6m 13/20 8m 9/20"; all or none."""
    scope = scope_of(store, when.today)
    day = when.day(scope)
    records = [
        scope.putts(day, distance_m, tried, made, conditions)
        for distance_m, made, tried in putts_said(said)
    ]
    with store.atomic():
        return tuple(_keep(store, record) for record in records)


def note_round(
    store: Store,
    course: str,
    scores: Sequence[str],
    when: When,
    *,
    conditions: str | None = None,
    carry: str | None = None,
    note: str = "",
) -> Noted:
    """Keep a round: strokes in the order of the holes, "-" for none, or "7:4" by hole.

    Parameters
    ----------
    carry
        Name of the carry that was taken: its discs share the round's wear.

    Raises
    ------
    NotFoundError
        When no carry has this name.
    """
    scope = scope_of(store, when.today)
    played = scope.round(when.day(scope), course, scores, conditions, note)
    if carry is not None:
        names = sorted({one.name for _, one in store.carries.all()})
        if carry not in names:
            have = f"you have {joined(names)}" if names else "you have none yet"
            raise NotFoundError(f"no carry is called {carry!r}; {have}.")
        played = replace(played, carry=carry)
    return _keep(store, played)


def putts_said(said: Sequence[str]) -> list[tuple[float, int, int]]:
    """Read "6m 13/20 8m 9/20" as (distance in metres, made, tried).

    Raises
    ------
    InputError
        When distance and made/tried do not alternate.
    """
    parts = " ".join(said).replace(" of ", "/").replace(" m ", "m ").replace(" ft ", "ft ").split()
    if not parts or len(parts) % 2:
        raise InputError("putts are a distance and made/tried in turn; write 6m 13/20.")
    pairs = zip(parts[::2], parts[1::2], strict=True)
    return [
        (length_in(length, "the putting distance"), *made_tried_in(score))
        for length, score in pairs
    ]


def _keep(store: Store, record: EvidenceRecord, notices: tuple[str, ...] = ()) -> Noted:
    journal, kind = Journal(store), kind_of_record(record)
    with store.atomic():
        alike = _alike(journal, record)
        number = journal.add(record)
    if alike is not None:
        twice = (
            f"{kind.letter}{alike} says the same; `rimwise log delete {kind.letter}{number}` "
            "takes this one back if it was noted twice."
        )
        notices = (*notices, twice)
    told = evidence_words(record, units_of(store))
    return Noted(f"{kind.letter}{number}", kind.name, record.on.isoformat(), told, notices)


def _alike(journal: Journal, record: EvidenceRecord) -> int | None:
    """Return the number of an equal record, of a kind that is not noted twice in earnest."""
    if not isinstance(record, (Comparison, GripGrade, ConditionGrade, Round, Putts)):
        return None
    return journal.like(record)
