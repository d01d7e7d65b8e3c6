"""Evidence on file: list it, correct it, delete it and bring it back; nothing is lost."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import Any

from rimwise.app.box import disc_named, units_of
from rimwise.app.noting import When, putts_said, scope_of
from rimwise.errors import InputError
from rimwise.records.evidence import (
    Comparison,
    ConditionGrade,
    GripGrade,
    Putts,
    Round,
    Throw,
    Weather,
)
from rimwise.records.evidence_telling import evidence_words, weather_words
from rimwise.records.evidence_words import comparison_in
from rimwise.records.throw_words import ThrowSaid
from rimwise.records.thrower import Line
from rimwise.records.words import Units, in_units
from rimwise.store.exchange.evidence_scope import Place, Scope
from rimwise.store.journal import KINDS, EvidenceKind, EvidenceRecord, Journal, JournalEntry
from rimwise.store.listing import count_of, newest_numbers
from rimwise.store.store import Store

__all__ = [
    "Change",
    "Changed",
    "Earlier",
    "Kept",
    "Standing",
    "delete_evidence",
    "edit_evidence",
    "evidence_page",
    "list_evidence",
    "revert_evidence",
    "standing_evidence",
    "undelete_evidence",
]

_BY_LETTER = {kind.letter: kind for kind in KINDS.values()}


@dataclass(frozen=True, slots=True)
class Earlier:
    """What a piece of evidence said before a change."""

    at: str
    action: str
    words: str


@dataclass(frozen=True, slots=True)
class Kept:
    """One piece of evidence as listed.

    Parameters
    ----------
    deleted
        Deleted by its owner; it counts for nothing, and can be brought back.
    earlier
        What it said before each change, oldest first.
    """

    id: str
    kind: str
    on: str
    words: str
    deleted: bool
    earlier: tuple[Earlier, ...]


@dataclass(frozen=True, slots=True)
class Standing:
    """One piece of evidence as it stands, in the words that change it.

    Parameters
    ----------
    fields
        What :class:`Change` takes, by its names, as far as this kind has them.
    edited
        Whether :func:`revert_evidence` can put back what it said before.
    """

    id: str
    kind: str
    words: str
    record: EvidenceRecord
    fields: dict[str, str]
    edited: bool

    @property
    def on(self) -> str:
        """Its day."""
        return self.record.on.isoformat()


@dataclass(frozen=True, slots=True)
class Change:
    """What should be different; ``None`` stays as it is.

    Parameters
    ----------
    text
        For a throw the parts that change ("66m 80%"); for anything else all of it, as when it
        was first noted.
    disc
        Another disc, for a throw.
    """

    text: str | None = None
    on: str | None = None
    disc: str | None = None
    conditions: str | None = None
    ground: str | None = None
    note: str | None = None
    quality: str | None = None
    place: Place | None = None


@dataclass(frozen=True, slots=True)
class Changed:
    """What an edit, a deletion or its undoing did."""

    id: str
    action: str
    words: str
    before: str | None = None


def list_evidence(
    store: Store,
    *,
    kind: str | None = None,
    disc: str | None = None,
    since: date | None = None,
    deleted: bool = False,
) -> tuple[Kept, ...]:
    """List the evidence, the latest day first, and within a day what was noted last.

    Parameters
    ----------
    kind
        Only of this kind: throw, comparison, grip, wear, knock, putts, round.
    disc
        Only what names this disc.
    deleted
        What was deleted instead of what stands.

    Raises
    ------
    InputError, NotFoundError
        When there is no such kind or disc.
    """
    journal, units = Journal(store), units_of(store)
    wanted = None if kind is None else _kind_named(kind)
    only = None if disc is None else disc_named(store, disc).id
    past: dict[tuple[str, int], list[JournalEntry]] = {}
    for entry in journal.entries():
        past.setdefault((entry.kind, entry.number), []).append(entry)
    found: list[tuple[EvidenceKind, int, EvidenceRecord]] = []
    if deleted:
        found = [(KINDS[one.kind], one.number, one.record) for one in journal.deleted()]
    else:
        found = [
            (one, n, record)
            for one in KINDS.values()
            if wanted is None or one is wanted
            for n, record in journal.all(one, since)
        ]
    found.sort(key=lambda row: (row[2].on, row[1], row[0].name), reverse=True)
    return tuple(
        _kept(one, number, record, past.get((one.name, number), []), deleted, units)
        for one, number, record in found
        if (wanted is None or one is wanted)
        and (only is None or only in _discs_in(record))
        and (since is None or record.on >= since)
    )


def evidence_page(
    store: Store,
    *,
    at: int = 1,
    size: int,
    kind: str | None = None,
    disc: str | None = None,
    since: date | None = None,
) -> tuple[tuple[Kept, ...], int]:
    """Return one page of the evidence, and how much there is; as fast for 20 years as for one.

    The latest day comes first, and within a day what was noted last. For the rest see
    :func:`list_evidence`.

    Parameters
    ----------
    at
        Number of the page, from 1.
    size
        Entries on a page.
    """
    journal, units = Journal(store), units_of(store)
    wanted = list(KINDS.values()) if kind is None else [_kind_named(kind)]
    only = None if disc is None else disc_named(store, disc).id
    with store.connection.snapshot():
        first, last = (at - 1) * size, at * size
        numbers = [
            (on, number, one.name)
            for one in wanted
            for on, number in newest_numbers(store, one.log, last, disc=only, since=since)
        ]
        numbers.sort(reverse=True)
        count = sum(count_of(store, one.log, disc=only, since=since) for one in wanted)
        rows = [
            _kept(KINDS[name], number, journal.get(KINDS[name], number),
                  journal.entries(KINDS[name], number), False, units)
            for _, number, name in numbers[first:last]
        ]  # fmt: skip
    return tuple(rows), count


def edit_evidence(
    store: Store, called: str, change: Change, when: When, now: datetime, *, anyway: bool = False
) -> Changed:
    """Correct one piece of evidence; what it said before goes to the journal, with the time.

    Raises
    ------
    InputError, NotFoundError
        When there is no such evidence, the change is not understood, or changes nothing.
    """
    kind, number = _called(called)
    journal = Journal(store)
    with store.atomic():
        before = journal.get(kind, number)
        scope = replace(
            scope_of(store, when.today, anyway=anyway), named=frozenset(_discs_in(before))
        )
        after = _changed(scope, before, change)
        journal.edit(kind, number, after, now)
    units = units_of(store)
    return Changed(
        f"{kind.letter}{number}",
        "edited",
        f"{after.on}: {evidence_words(after, units)}",
        f"{before.on}: {evidence_words(before, units)}",
    )


def standing_evidence(store: Store, called: str) -> Standing:
    """Return one piece of evidence as it stands, to be corrected.

    Raises
    ------
    InputError, NotFoundError
        When there is no such evidence, or it was deleted.
    """
    (kind, number), units = _called(called), units_of(store)
    record = Journal(store).get(kind, number)
    fields = {"text": _text_of(record, units), "on": record.on.isoformat()}
    if hasattr(record, "disc_id"):
        fields["disc"] = record.disc_id
    if isinstance(record, (Throw, Putts, Round)):
        fields["conditions"] = record.conditions or weather_words(record.weather, units)
    if hasattr(record, "note"):
        fields["note"] = record.note
    edited = any(one.action == "edited" for one in Journal(store).entries(kind, number))
    told = evidence_words(record, units)
    return Standing(f"{kind.letter}{number}", kind.name, told, record, fields, edited)


def revert_evidence(store: Store, called: str, now: datetime) -> Changed:
    """Put back what one piece of evidence said before it was last edited; that can be undone too.

    Raises
    ------
    InputError, NotFoundError
        When there is no such evidence, or it was never edited.
    """
    (kind, number), journal, units = _called(called), Journal(store), units_of(store)
    with store.atomic():
        now_it_says = journal.get(kind, number)
        edits = [one for one in journal.entries(kind, number) if one.action == "edited"]
        if not edits:
            raise InputError(f"{kind.letter}{number} was never changed; there is nothing to undo.")
        journal.edit(kind, number, edits[-1].record, now)
    after = edits[-1].record
    return Changed(
        f"{kind.letter}{number}",
        "put back",
        f"{after.on}: {evidence_words(after, units)}",
        f"{now_it_says.on}: {evidence_words(now_it_says, units)}",
    )


def delete_evidence(store: Store, called: Sequence[str], now: datetime) -> tuple[Changed, ...]:
    """Take evidence out, all or none; `rimwise log undelete` brings it back."""
    return _each(store, called, "deleted", lambda kind, n: Journal(store).delete(kind, n, now))


def undelete_evidence(store: Store, called: Sequence[str], now: datetime) -> tuple[Changed, ...]:
    """Bring deleted evidence back under its number, all or none."""
    return _each(store, called, "restored", lambda kind, n: Journal(store).restore(kind, n, now))


def _each(store: Store, called: Sequence[str], action: str, do: Any) -> tuple[Changed, ...]:
    units, done = units_of(store), []
    with store.atomic():
        for one in dict.fromkeys(called):
            kind, number = _called(one)
            record = do(kind, number)
            told = f"{record.on}: {evidence_words(record, units)}"
            done.append(Changed(f"{kind.letter}{number}", action, told))
    return tuple(done)


def _called(text: str) -> tuple[EvidenceKind, int]:
    """Read "t12" as a kind and a number."""
    found = re.fullmatch(r"([a-z])\s*(\d{1,9})", text.strip().lower())
    kind = _BY_LETTER.get(found[1]) if found else None
    if found is None or kind is None:
        raise InputError(
            f"{text!r} is no evidence; write its letter and number, as in t12 "
            "(`rimwise log list` shows them)."
        )
    return kind, int(found[2])


def _kind_named(name: str) -> EvidenceKind:
    said = name.strip().lower()
    for kind in KINDS.values():
        if said in (kind.name, f"{kind.name}s", kind.letter, kind.name.removesuffix("s")):
            return kind
    raise InputError(f"there is no evidence called {name!r}; kinds are {', '.join(KINDS)}.")


def _discs_in(record: EvidenceRecord) -> tuple[str, ...]:
    names = (getattr(record, field, None) for field in ("disc_id", "more", "less"))
    return tuple(name for name in names if name is not None)


def _kept(
    kind: EvidenceKind,
    number: int,
    record: EvidenceRecord,
    past: Sequence[JournalEntry],
    deleted: bool,
    units: Units,
) -> Kept:
    earlier = tuple(
        Earlier(one.at.isoformat(), one.action, evidence_words(one.record, units)) for one in past
    )
    told = evidence_words(record, units)
    called = f"{kind.letter}{number}"
    return Kept(called, kind.name, record.on.isoformat(), told, deleted, earlier)


# -- a record in the words that make it ------------------------------------------------------


def _text_of(record: EvidenceRecord, units: Units) -> str:
    """Return what would be typed to note a record again; lengths to a tenth."""
    if isinstance(record, Throw):
        if record.distance_m < 0.0:
            return ""  # no words for a throw that ends behind its thrower
        side = _length(abs(record.left_m), units) + ("L" if record.left_m > 0.0 else "R")
        rest = f"{_length(record.distance_m, units)} {side if record.left_m else 'straight'}"
        return f"{rest} {_line_text(record.line)}"
    if isinstance(record, Comparison):
        sign = "=" if record.alike else ">>" if record.plainly else ">"
        return f"{record.more} {sign} {record.less} {record.quality}"
    if isinstance(record, Putts):
        return f"{_length(record.distance_m, units)} {record.made}/{record.tried}"
    if isinstance(record, Round):
        return " ".join(f"{score.hole}:{score.strokes}" for score in record.scores)
    if isinstance(record, GripGrade):
        return f"{record.air} {record.grade:g}"
    return f"{record.wear:g}" if isinstance(record, ConditionGrade) else record.what


def _length(length_m: float, units: Units) -> str:
    return f"{round(in_units(length_m, units), 1):g}{units}"


def _line_text(line: Line) -> str:
    bank = f"{'' if line.hyzer_deg > 0.0 else 'an'}hyzer {abs(line.hyzer_deg):g}"
    launch = f"launch {line.launch_deg:g} " if line.launch_deg >= 0.0 else ""
    bank = bank if line.hyzer_deg else "flat"
    return f"{line.style} {bank} {launch}{100.0 * line.effort:g}%"


# -- what a change makes of a record ---------------------------------------------------------


def _changed(scope: Scope, before: EvidenceRecord, change: Change) -> EvidenceRecord:
    """Return the record with a change made."""
    on = before.on if change.on is None else scope.day_of(change.on)
    if isinstance(before, Throw):
        said = ThrowSaid() if change.text is None else scope.throw_in(change.text)
        if change.conditions is not None:
            said = replace(said, weather=change.conditions)
        return scope.changed_throw(
            before,
            said,
            change.place or Place(),
            disc=change.disc,
            ground=change.ground,
            note=change.note,
            on=on,
        )
    made = before if change.text is None else _restated(scope, before, change, change.text)
    return _with_rest(scope, replace(made, on=on), change)


def _restated(scope: Scope, before: EvidenceRecord, change: Change, text: str) -> EvidenceRecord:
    """Return what was noted anew, keeping what a restatement does not say."""
    on, note = before.on, getattr(before, "note", "")
    if isinstance(before, Putts):
        pairs = putts_said([text])
        if len(pairs) != 1:
            raise InputError("one entry holds putts from one distance; write 6m 13/20.")
        (distance_m, made, tried) = pairs[0]
        return replace(before, distance_m=distance_m, tried=tried, made=made)
    if isinstance(before, Round):
        again = scope.round(on, before.course, [text])
        return replace(before, scores=again.scores)
    if hasattr(before, "more"):
        return scope.comparison(on, comparison_in(text, change.quality), note)
    return _restated_grade(scope, before, text)


def _restated_grade(scope: Scope, before: Any, text: str) -> EvidenceRecord:
    words = text.split()
    if hasattr(before, "grade"):
        air = " ".join(words[:-1]) or before.air
        return scope.grip(before.on, before.disc_id, air, words[-1])
    if hasattr(before, "wear"):
        return scope.wear(before.on, before.disc_id, text, before.note)
    return scope.knock(before.on, before.disc_id, text, before.hard, before.note)


def _with_rest(scope: Scope, made: EvidenceRecord, change: Change) -> EvidenceRecord:
    """Put a note, another disc and the weather in place where the record has room for them."""
    changes: dict[str, Any] = {}
    if change.note is not None:
        changes["note"] = change.note
    if change.disc is not None:
        changes["disc_id"] = scope.disc(change.disc, made.on).id
    if change.conditions is not None:
        whole_round = isinstance(made, Round)
        named, weather = scope.weather(change.conditions, whole_round=whole_round)
        changes |= {"conditions": named, "weather": weather}
    if change.ground is not None:
        noted: Weather = changes.get("weather", getattr(made, "weather", Weather()))
        changes["weather"] = scope.with_ground(noted, change.ground)
    for name in changes:
        if not hasattr(made, name):
            raise InputError(f"a {type(made).__name__.lower()} has no {name.replace('_', ' ')}.")
    return replace(made, **changes)
