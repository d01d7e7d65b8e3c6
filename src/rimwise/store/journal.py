"""Evidence by kind and number, with a journal: nothing is overwritten or lost silently."""

from __future__ import annotations

import json
import re
from collections import defaultdict
from collections.abc import Collection, Iterable
from dataclasses import dataclass, replace
from datetime import date, datetime
from functools import cache
from itertools import groupby
from typing import TYPE_CHECKING, Any, Literal

from rimwise.errors import InputError, NotFoundError
from rimwise.records.evidence import (
    Comparison,
    ConditionGrade,
    GripGrade,
    Knock,
    Putts,
    Round,
    Throw,
    Weather,
)
from rimwise.store.shelves import Log
from rimwise.store.store import Store

if TYPE_CHECKING:
    from pydantic import TypeAdapter

__all__ = [
    "KINDS",
    "AddedOnce",
    "EvidenceKind",
    "EvidenceRecord",
    "Journal",
    "JournalEntry",
    "kind_of_record",
]

#: One piece of evidence.
EvidenceRecord = Throw | Comparison | GripGrade | ConditionGrade | Knock | Putts | Round

Action = Literal["edited", "deleted", "restored"]
#: Zero with a sign, where it stands for a number in JSON.
_MINUS_NOTHING = re.compile(r"(?<=: )-0\.0(?=[,}])")


@dataclass(frozen=True, slots=True)
class EvidenceKind:
    """One kind of evidence: its name and letter, its record and its log in the store."""

    name: str
    letter: str
    record: Any
    log: str


#: The kinds by name; an entry is called by its letter and number, as in t12.
KINDS = {
    kind.name: kind
    for kind in (
        EvidenceKind("throw", "t", Throw, "throws"),
        EvidenceKind("comparison", "c", Comparison, "comparisons"),
        EvidenceKind("grip", "g", GripGrade, "grip_grades"),
        EvidenceKind("wear", "w", ConditionGrade, "condition_grades"),
        EvidenceKind("knock", "k", Knock, "knocks"),
        EvidenceKind("putts", "p", Putts, "putts"),
        EvidenceKind("round", "r", Round, "rounds"),
    )
}


@dataclass(frozen=True, slots=True)
class JournalEntry:
    """What a record was before it was changed, and when that was.

    Parameters
    ----------
    at
        Local time of the change.
    record
        As it was before an edit or a deletion; as it came back when restored.
    """

    kind: str
    number: int
    at: datetime
    action: Action
    record: EvidenceRecord


@dataclass(frozen=True, slots=True)
class AddedOnce:
    """What adding records did: numbers of the new ones, and how many were known.

    Parameters
    ----------
    known
        On file already, as they are or before an edit.
    deleted
        On file once and deleted by the owner since; they stay deleted.
    """

    numbers: tuple[int, ...]
    known: int
    deleted: int


def kind_of_record(record: EvidenceRecord) -> EvidenceKind:
    """Return the kind of a piece of evidence."""
    return next(kind for kind in KINDS.values() if isinstance(record, kind.record))


class Journal:
    """Edits, deletions and restorations of evidence; every change keeps what was before."""

    def __init__(self, store: Store) -> None:
        self._store = store
        self._connection = store.connection

    def get(self, kind: EvidenceKind, number: int) -> EvidenceRecord:
        """Return the record as it stands.

        Raises
        ------
        NotFoundError
            When there is none, or it was deleted.
        """
        try:
            found: EvidenceRecord = self._log(kind).get(number)
        except NotFoundError:
            raise self._missing(kind, number) from None
        return found

    def edit(self, kind: EvidenceKind, number: int, record: EvidenceRecord, at: datetime) -> None:
        """Put a corrected record in place of the earlier one, which goes to the journal.

        Raises
        ------
        InputError
            When nothing changes.
        NotFoundError
            When there is none, or it was deleted.
        """
        with self._store.atomic():
            before = self.get(kind, number)
            if before == record:
                raise InputError(
                    f"{kind.letter}{number} already says that; write what should be different."
                )
            self._write(kind, number, at, "edited", before)
            self._log(kind).replace(number, record)

    def delete(self, kind: EvidenceKind, number: int, at: datetime) -> EvidenceRecord:
        """Take a record out of the evidence and keep it in the journal; return it.

        Raises
        ------
        NotFoundError
            When there is none, or it was deleted before.
        """
        with self._store.atomic():
            before = self.get(kind, number)
            self._write(kind, number, at, "deleted", before)
            self._log(kind).delete(number)
        return before

    def restore(self, kind: EvidenceKind, number: int, at: datetime) -> EvidenceRecord:
        """Bring a deleted record back under its number; return it.

        Raises
        ------
        NotFoundError
            When no such record was ever deleted, or its disc or course is gone.
        InputError
            When it is not deleted.
        """
        with self._store.atomic():
            gone = [one for one in self.entries(kind, number) if one.action == "deleted"]
            if not gone:
                self.get(kind, number)  # says so when there is no such record at all
                raise InputError(f"{kind.letter}{number} is not deleted; there is nothing to undo.")
            self._log(kind).put_back(number, gone[-1].record)
            self._write(kind, number, at, "restored", gone[-1].record)
        return gone[-1].record

    def add_once(self, records: Iterable[EvidenceRecord]) -> AddedOnce:
        """Add the records of one file that are not on file yet, all or none.

        Two records are the same when their content is. A content that a file holds three
        times is added until it is on file three times, so that equal throws of one evening
        all count and importing a file again changes nothing. What an edited or deleted record
        said before counts as on file.
        """
        fresh: list[EvidenceRecord] = []
        known = deleted = 0
        coming = list(records)
        with self._store.atomic():
            on_file = self._numbers_by_content({record.on for record in coming})
            seen: dict[str, int] = defaultdict(int)
            for record in coming:
                content = _content(record)
                seen[content] += 1
                where = on_file.get(content, ())
                if seen[content] > len(where):
                    fresh.append(record)
                elif where[seen[content] - 1]:
                    known += 1
                else:
                    deleted += 1
            numbers = [
                number
                for kind, own in groupby(fresh, kind_of_record)
                for number in self._log(kind).add_all(own)
            ]
        return AddedOnce(tuple(numbers), known, deleted)

    def entries(
        self, kind: EvidenceKind | None = None, number: int | None = None
    ) -> list[JournalEntry]:
        """Return the journal, or the part about one record, oldest first."""
        where, cells = "", ()
        if kind is not None:
            where, cells = "WHERE kind = ? AND number = ?", (kind.name, number)  # type: ignore[assignment]
        rows = self._connection.rows(
            "SELECT kind, number, at, action, record FROM evidence_journal "  # noqa: S608
            f"{where} ORDER BY id",
            cells,
        )
        return [
            JournalEntry(
                str(name),
                int(str(which)),
                datetime.fromisoformat(str(at)),
                action,  # type: ignore[arg-type]
                _adapter(KINDS[str(name)].record).validate_json(str(text)),
            )
            for name, which, at, action, text in rows
        ]

    def deleted(self) -> list[JournalEntry]:
        """Return the deletions that were not undone, oldest first."""
        latest = {(one.kind, one.number): one for one in self.entries()}
        return [one for one in latest.values() if one.action == "deleted"]

    def all(self, kind: EvidenceKind, since: date | None = None) -> list[tuple[int, Any]]:
        """Return (number, record) of everything of a kind that is not deleted, or since a day."""
        if since is None:
            return self._log(kind).all()
        return self._log(kind).where('"on" >= ?', (since.isoformat(),))

    def _stands(self, kind: EvidenceKind, number: int) -> bool:
        return bool(self._log(kind).where("id = ?", (number,)))

    def like(self, record: EvidenceRecord) -> int | None:
        """Return the lowest number of an equal record that is not deleted, or ``None``."""
        return self._log(kind_of_record(record)).like(record)

    def add(self, record: EvidenceRecord) -> int:
        """Add one record, even one that is like another, and return its number."""
        return self._log(kind_of_record(record)).add(record)

    def _log(self, kind: EvidenceKind) -> Log[Any]:
        log: Log[Any] = getattr(self._store, kind.log)
        return log

    def _write(
        self, kind: EvidenceKind, number: int, at: datetime, action: Action, record: EvidenceRecord
    ) -> None:
        text = _adapter(kind.record).dump_json(record).decode()
        self._connection.execute(
            "INSERT INTO evidence_journal (kind, number, at, action, record) "
            "VALUES (?, ?, ?, ?, ?)",
            (kind.name, number, at.isoformat(timespec="seconds"), action, text),
        )

    def _missing(self, kind: EvidenceKind, number: int) -> NotFoundError:
        called = f"{kind.letter}{number}"
        past = self.entries(kind, number)
        if past and past[-1].action == "deleted":
            return NotFoundError(
                f"{called} was deleted on {past[-1].at:%Y-%m-%d}; bring it back with "
                f"`rimwise log undelete {called}` first."
            )
        return NotFoundError(
            f"there is no {kind.name} {called} on file; `rimwise log list` shows what there is."
        )

    def _numbers_by_content(self, days: Collection[date]) -> dict[str, tuple[bool, ...]]:
        """Return, for each content of some days, whether each record that has or had it stands."""
        found: dict[str, dict[tuple[str, int], bool]] = defaultdict(dict)
        asked = json.dumps(sorted(day.isoformat() for day in days))
        of_these = '"on" IN (SELECT value FROM json_each(?))'
        for kind in KINDS.values():
            for number, record in self._log(kind).where(of_these, (asked,)):
                found[_content(record)][kind.name, number] = True
        for entry in self.entries():
            if entry.record.on in days:
                content = _content(entry.record)
                who = (entry.kind, entry.number)
                found[content].setdefault(who, self._stands(KINDS[entry.kind], entry.number))
        return {content: tuple(owners.values()) for content, owners in found.items()}


def _content(record: EvidenceRecord) -> str:
    """Return what makes two records the same.

    What is filled up from elsewhere (the stock throw's hyzer and height, the weather of a
    named day) is left out: a file is the same file after those were changed.
    """
    if isinstance(record, Throw):
        line = replace(record.line, hyzer_deg=0.0, launch_deg=0.0)
        record = replace(record, line=line)
    if isinstance(record, (Throw, Round, Putts)) and record.conditions:
        record = replace(record, weather=Weather())
    kind = kind_of_record(record)
    plain = _adapter(kind.record).dump_python(record, mode="json")
    # SQLite keeps no sign of zero: what was "0R" comes back as 0 left.
    return _MINUS_NOTHING.sub("0.0", json.dumps([kind.name, plain], sort_keys=True))


@cache
def _adapter(record: Any) -> TypeAdapter[Any]:
    # pydantic takes a tenth of a second to load; most commands need no journal.
    from pydantic import TypeAdapter

    return TypeAdapter(record)
