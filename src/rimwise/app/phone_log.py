"""What was logged in the file on the phone, brought in: throws, putts and scores, each once.

The text has a line for each entry, fields parted by "|" and per cent encoded, and ends with their
number and a check sum, so that half a text is noticed. Every entry has an id of its own, which is
remembered: bringing a text again changes nothing, and a round that has gone on is brought up to
date.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any
from urllib.parse import unquote

from rimwise.errors import InputError, NotFoundError, RimwiseError
from rimwise.records.evidence import HoleScore, Putts, Round, Throw
from rimwise.records.throw_words import ThrowSaid
from rimwise.records.thrower import Style
from rimwise.records.words import joined, plural
from rimwise.store.exchange.evidence_scope import Scope
from rimwise.store.exchange.problems import Problem, refuse
from rimwise.store.journal import Journal, kind_of_record
from rimwise.store.store import Store

__all__ = ["HEADING", "PhoneLogged", "bring_phone_log", "is_phone_log"]

HEADING = "rimwise phone log"
#: The form that is written today.
_FORM = f"{HEADING} 1"
#: Setting that remembers entries: id, then evidence number and what was said.
_BROUGHT = "phone_entries"
#: Fields of an entry after its kind, id and day.
_FIELDS = {"throw": 11, "putts": 4, "round": 3}

_Record = Throw | Putts | Round


@dataclass(frozen=True, slots=True)
class PhoneLogged:
    """What a text gave.

    Parameters
    ----------
    count
        New entries.
    words
        How many of which kind, such as "6 throws and 1 round".
    notices
        What was on file already, brought up to date, or left out.
    """

    count: int
    words: str
    notices: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Entry:
    """One line of the text."""

    line: int
    kind: str
    id: str
    day: str
    fields: tuple[str, ...]

    @property
    def said(self) -> str:
        """Return what tells this saying from a later one of the same entry."""
        return hashlib.sha256(repr((self.kind, self.day, self.fields)).encode()).hexdigest()[:16]


def is_phone_log(data: bytes) -> bool:
    """Say whether a file is what the file on the phone hands over."""
    return data.lstrip(b"\xef\xbb\xbf \t\r\n").startswith(HEADING.encode())


def bring_phone_log(
    store: Store, data: bytes, name: str, scope: Scope, now: datetime, *, keep_good: bool = False
) -> PhoneLogged:
    """Keep what was logged on the phone and is not on file yet.

    Parameters
    ----------
    name
        Of the file, for messages.
    scope
        What is on file, for checking.
    now
        For the journal, when a round that was brought before has changed.
    keep_good
        Keep the good entries although others have problems.

    Raises
    ------
    InputError
        When the text is not whole, or an entry cannot be; nothing is kept then.
    """
    entries = _entries(data, name)
    problems: list[Problem] = []
    with store.atomic():
        keeping = _Keeping(store, now, dict(store.settings.get(_BROUGHT, {})))
        for entry in entries:
            try:
                record = _MADE[entry.kind](scope, entry)
            except RimwiseError as error:
                problems.append(_problem(name, entry, str(error)))
            else:
                keeping.keep(entry, record)
        if not keep_good:
            refuse(problems)
        store.settings.put(_BROUGHT, keeping.brought)
    told = [str(problem) for problem in problems]
    return PhoneLogged(sum(keeping.added.values()), keeping.words, (*keeping.notices, *told))


class _Keeping:
    """Puts entries into the journal and counts what it did."""

    def __init__(self, store: Store, now: datetime, brought: dict[str, list[Any]]) -> None:
        self._journal, self._now = Journal(store), now
        self.brought = brought
        self.added: dict[str, int] = {}
        self._known = self._changed = self._deleted = 0

    def keep(self, entry: _Entry, record: _Record) -> None:
        before = self.brought.get(entry.id)
        kind = kind_of_record(record)
        if before is None:
            number = self._journal.add(record)
            self.added[kind.name] = self.added.get(kind.name, 0) + 1
        elif before[1] == entry.said:
            self._known += 1
            return
        else:
            number = int(before[0])
            try:
                self._journal.edit(kind, number, record, self._now)
                self._changed += 1
            except NotFoundError:  # its owner deleted it here; it stays deleted
                self._deleted += 1
            except InputError:  # it was corrected here to what it says now
                self._known += 1
        self.brought[entry.id] = [number, entry.said]

    @property
    def words(self) -> str:
        """What is new, by kind."""
        nouns = {"putts": "putt"}
        counted = [plural(n, nouns.get(kind, kind)) for kind, n in self.added.items()]
        return joined(counted) if counted else "Nothing new"

    @property
    def notices(self) -> tuple[str, ...]:
        """What else happened."""
        told = (
            (self._known, "on file already"),
            (self._changed, "brought up to date"),
            (self._deleted, "that you deleted here left out"),
        )
        return tuple(f"{_count(n)} {what}." for n, what in told if n)


def _count(n: int) -> str:
    return "1 entry" if n == 1 else f"{n} entries"


# -- reading ------------------------------------------------------------------------------------


def _entries(data: bytes, name: str) -> list[_Entry]:
    """Read the lines of a text that is whole."""
    lines = [line.strip() for line in data.decode("utf-8-sig", "replace").splitlines()]
    lines = [line for line in lines if line]
    if not lines or lines[0] != _FORM:
        raise InputError(
            f"{name} was not written by a file for the phone that this version knows; make the "
            "file anew with `rimwise sheet --phone`, or install the newer Rimwise."
        )
    if not _is_whole(lines):
        raise InputError(
            f"{name} is not whole: a part is missing or was changed on the way; copy the text "
            "again from the phone, from its first line to the one that begins with end."
        )
    return [_entry(line, number, name) for number, line in enumerate(lines[1:-1], start=2)]


def _is_whole(lines: Sequence[str]) -> bool:
    *before, last = lines
    text = "\n".join(before)
    return last == f"end|{len(before) - 1}|{_check_sum(text):08x}"


def _check_sum(text: str) -> int:
    """Return the 32-bit sum of Fowler, Noll and Vo (FNV-1a), as the phone makes it."""
    found = 0x811C9DC5
    for letter in text:
        found = ((found ^ ord(letter)) * 0x01000193) & 0xFFFFFFFF
    return found


def _entry(line: str, number: int, name: str) -> _Entry:
    kind, *rest = line.split("|")
    if len(rest) != 2 + _FIELDS.get(kind, -1):
        raise InputError(
            f"{name}, line {number}: this is no entry that this version knows; make the file for "
            "the phone anew with `rimwise sheet --phone`."
        )
    return _Entry(number, kind, unquote(rest[0]), rest[1], tuple(rest[2:]))


def _problem(name: str, entry: _Entry, error: str) -> Problem:
    wrong, _, instead = error.rstrip(".").partition("; ")
    return Problem(name, entry.line, "", wrong, instead or "delete that entry on the phone")


# -- making evidence of an entry -----------------------------------------------------------------


def _throw(scope: Scope, entry: _Entry) -> Throw:
    values = [unquote(one) for one in entry.fields]
    _course, hole, disc, along, left, style, hyzer, launch, effort, start, air = values
    said = ThrowSaid(
        distance_m=_number(along, "the distance"),
        left_m=_number(left, "the side"),
        style=Style(style) if style in tuple(Style) else None,
        hyzer_deg=_number(hyzer, "the hyzer") if hyzer else None,
        launch_deg=_number(launch, "the launch angle") if launch else None,
        effort=_number(effort, "the effort") if effort else None,
        weather=air,
    )
    note = f"on the phone: hole {hole}, from {start}"
    return scope.throw(scope.day_of(entry.day), disc, said, note=note)


def _putts(scope: Scope, entry: _Entry) -> Putts:
    away, made, tried, air = (unquote(one) for one in entry.fields)
    day, distance_m = scope.day_of(entry.day), _number(away, "the distance")
    many, holed = int(_number(tried, "the putts")), int(_number(made, "the putts"))
    return scope.putts(day, distance_m, many, holed, air)


def _round(scope: Scope, entry: _Entry) -> Round:
    course = scope.course(unquote(entry.fields[0]))
    scores = []
    for part in entry.fields[1].split(","):
        ref, _, count = part.partition(":")
        scores.append(HoleScore(course.hole(unquote(ref)).ref, int(_number(count, "the score"))))
    _, weather = scope.weather(unquote(entry.fields[2]), whole_round=True)
    played = Round(scope.day_of(entry.day), course.name, tuple(scores), weather=weather)
    return replace(played, note="on the phone")


_MADE: dict[str, Callable[[Scope, _Entry], _Record]] = {
    "throw": _throw, "putts": _putts, "round": _round,
}  # fmt: skip


def _number(text: str, what: str) -> float:
    try:
        found = float(text)
    except ValueError:
        found = float("nan")
    if not -1e4 < found < 1e4:
        raise InputError(f"{what} is {text[:20]!r}, which is no number")
    return found
