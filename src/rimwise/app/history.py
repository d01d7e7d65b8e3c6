"""The history of the records: what changed when, taking a step back, and forgetting for good."""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import dataclass, fields
from datetime import date, datetime
from typing import Any

from rimwise.app.backing import folder_of
from rimwise.app.box import disc_named, units_of
from rimwise.app.phone_keeping import forget_files
from rimwise.app.wearing import WEAR_NOTED_ON
from rimwise.errors import InputError, NotFoundError
from rimwise.records.evidence_telling import evidence_words
from rimwise.store import changes as log
from rimwise.store import layouts
from rimwise.store.backup import write_backup
from rimwise.store.changes import Change, Step
from rimwise.store.exchange.evidence_scope import RETIRED_ON
from rimwise.store.journal import KINDS, EvidenceKind, Journal
from rimwise.store.shelves import Layout
from rimwise.store.store import Store

__all__ = ["HistoryStep", "Purged", "Undone", "history", "purge", "undo"]

#: So many steps are listed unless more are asked for.
LATEST = 20
#: A step of more changes than this is told by how many there are.
_TOLD = 6

_LAYOUTS: dict[str, Layout[Any]] = {
    one.table: one for one in vars(layouts).values() if isinstance(one, Layout)
}
_KINDS = {kind.log: kind for kind in KINDS.values()}


@dataclass(frozen=True, slots=True)
class HistoryStep:
    """What was saved together.

    Parameters
    ----------
    number
        ``rimwise undo`` takes it.
    words
        What changed, one sentence for each record or for many of a kind.
    undone
        Whether it was taken back since.
    undoes
        The step that it took back, if it did.
    """

    number: int
    at: str
    words: tuple[str, ...]
    undone: bool
    undoes: int | None


@dataclass(frozen=True, slots=True)
class Undone:
    """A step that was taken back: its number, its own words, and the step that did it."""

    number: int
    at: str
    words: tuple[str, ...]
    step: int


@dataclass(frozen=True, slots=True)
class Purged:
    """What was forgotten for good, and the backup that still has it."""

    before: str
    changes: int
    deleted: int
    backup: str


def history(
    store: Store, thing: str | None = None, *, most: int = LATEST
) -> tuple[HistoryStep, ...]:
    """Return the latest steps, the newest first.

    Parameters
    ----------
    thing
        Only what changed this: a disc by name, or evidence by letter and number, as in t12.
    most
        So many steps at most.

    Raises
    ------
    NotFoundError
        When there is no such thing and never was.
    """
    with store.connection.snapshot():
        steps = log.steps_of(store.connection)
        undone = _undone(steps)
        if thing is not None:
            place, key = _named(store, thing)
            own = set(log.step_numbers(store.connection, place, key))
            steps = [step for step in steps if step.number in own]
        listed = steps[: -most - 1 : -1]
        return tuple(_told(store, step, undone) for step in listed)


def _named(store: Store, thing: str) -> tuple[str, str]:
    """Return the table and key of a thing that is or was on file."""
    letter, number = thing[:1].lower(), thing[1:]
    for kind in KINDS.values():
        if kind.letter == letter and number.isascii() and number.isdigit():
            return kind.log, str(int(number))
    if log.step_numbers(store.connection, "discs", thing):
        return "discs", thing
    return "discs", disc_named(store, thing).id


def _undone(steps: Iterable[Step]) -> set[int]:
    """Return the steps that are taken back: by a step that is not taken back itself."""
    by = {step.undoes: step.number for step in steps if step.undoes is not None}
    found: set[int] = set()
    for number in sorted(by, reverse=True):  # a step is taken back only by a later one
        if by[number] not in found:
            found.add(number)
    return found


def undo(store: Store, number: int | None = None) -> Undone:
    """Take back a step: everything it changed is as it was before, and that is a step of its own.

    Parameters
    ----------
    number
        As in the history; the latest step that is not taken back when not given.

    Raises
    ------
    NotFoundError
        When there is no such step.
    InputError
        When it is taken back already, or what it changed was changed again since.
    """
    with store.atomic():
        steps = log.steps_of(store.connection)
        undone = _undone(steps)
        step = _to_undo(steps, undone, number)
        words = _told(store, step, undone).words
        _refuse_if_changed_since(store, step, steps, undone)
        log.begin_undoing(store.connection, step.number)
        by = store.connection.step
        done = log.changes_of(store.connection, step.number)
        for change in reversed(done):
            _take_back(store, change)
    return Undone(step.number, step.at.isoformat(), words, int(str(by)))


def _to_undo(steps: list[Step], undone: set[int], number: int | None) -> Step:
    if number is None:
        open_steps = [s for s in steps if s.number not in undone and s.undoes is None]
        if not open_steps:
            raise NotFoundError("nothing is left to take back; `rimwise history` shows why.")
        return open_steps[-1]
    step = next((s for s in steps if s.number == number), None)
    if step is None:
        raise NotFoundError(f"there is no step {number}; `rimwise history` shows their numbers.")
    if number in undone:
        raise InputError(f"step {number} is taken back already.")
    return step


def _refuse_if_changed_since(store: Store, step: Step, steps: list[Step], undone: set[int]) -> None:
    """Refuse when a later step that stands changed one of the same records."""
    standing = {s.number for s in steps if s.number > step.number and s.number not in undone}
    # A later step and the step that took it back cancel each other out.
    standing -= {s.number for s in steps if s.undoes is not None and s.undoes > step.number}
    for change in log.changes_of(store.connection, step.number):
        later = [
            n for n in log.step_numbers(store.connection, change.place, change.key) if n in standing
        ]
        if later:
            raise InputError(
                f"{_called(change)} was changed again since, in step {later[-1]}; take that back "
                f"first with `rimwise undo {later[-1]}`."
            )


def _take_back(store: Store, change: Change) -> None:
    if change.place == "settings":
        _take_back_setting(store, change)
    elif change.place in _KINDS:
        _take_back_evidence(store, change, _KINDS[change.place])
    else:
        _take_back_record(store, change)


def _take_back_setting(store: Store, change: Change) -> None:
    name, _, part = change.key.partition(log.PART)
    before = None if change.before is None else json.loads(change.before)
    if not part:
        if before is None:
            store.settings.delete(name)
        else:
            store.settings.put(name, before)
        return
    parts = dict(store.settings.get(name, {}))
    if before is None:
        parts.pop(part, None)
    else:
        parts[part] = before
    store.settings.put(name, parts)


def _take_back_evidence(store: Store, change: Change, kind: EvidenceKind) -> None:
    """Take evidence back through its own journal, which says what is deleted."""
    journal, number, now = Journal(store), int(change.key), store.connection.clock()
    if change.action == "added":
        journal.delete(kind, number, now)
    elif change.action == "deleted":
        journal.restore(kind, number, now)
    else:
        journal.edit(kind, number, _before(change), now)


def _take_back_record(store: Store, change: Change) -> None:
    numbered = _LAYOUTS[change.place].numbered
    table, key = getattr(store, change.place), int(change.key) if numbered else change.key
    if change.action == "added":
        table.delete(key)
    elif numbered and change.action == "deleted":
        table.put_back(key, _before(change))
    elif numbered:
        table.replace(key, _before(change))
    else:
        table.put(_before(change))


def _before(change: Change) -> Any:
    if change.before is None:
        raise InputError(
            f"what {_called(change)} was before could not be read then; put a backup in place with "
            "`rimwise restore` instead."
        )
    return log.record_from(_LAYOUTS[change.place].record, change.before)


def purge(store: Store, now: datetime, before: date | None = None) -> Purged:
    """Forget the history, and all deleted evidence with it, for good; a backup is made first.

    Parameters
    ----------
    before
        Forget what is older than this day; everything when not given.
    """
    until = "9999" if before is None else before.isoformat()
    store.connection.execute("PRAGMA secure_delete = ON")  # what is deleted is written over
    kept = write_backup(store.connection, folder_of(store.path), store.path.stem, now, "purge")
    deleted = len([one for one in Journal(store).deleted() if one.at.isoformat() < until])
    with store.atomic():
        forgotten = log.forget_before(store.connection, until)
        for journal in ("evidence_journal", "course_journal"):
            query = f"DELETE FROM {journal} WHERE at < ?"  # noqa: S608
            store.connection.execute(query, (until,))
    store.connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    forget_files(store)
    return Purged(until if before else "", forgotten, deleted, str(kept))


# -- what is said of a step ---------------------------------------------------------------------


def _told(store: Store, step: Step, undone: set[int]) -> HistoryStep:
    changed = log.changes_of(store.connection, step.number, most=_TOLD + 1)
    many = len(changed) > _TOLD
    words = _counted(store, step.number) if many else [_words(store, one) for one in changed]
    if step.undoes is not None:
        words = [f"took step {step.undoes} back", *words]
    at = step.at.isoformat(sep=" ", timespec="minutes")
    return HistoryStep(step.number, at, tuple(words), step.number in undone, step.undoes)


def _counted(store: Store, step: int) -> list[str]:
    """Tell many changes by kind, as in "412 throws added"."""
    told = []
    for change, count in log.counts_of(store.connection, step):
        what = f"{count} {_many(change.place)}" if count > 1 else _called(change)
        told.append(f"{what} {change.action}")
    return told


def _many(place: str) -> str:
    if place in ("putts", "conditions"):
        return {"putts": "putting records", "conditions": "sets of conditions"}[place]
    return place.replace("_", " ")


def _thing(place: str) -> str:
    return "setting" if place == "settings" else _LAYOUTS[place].thing


#: Settings that hold a day for each disc, in words.
_DAYS = {WEAR_NOTED_ON: "the day of the wear of", RETIRED_ON: "the day of retiring"}


def _called(change: Change) -> str:
    """Name what was changed, as in "disc nh27-red" or "throw t12"."""
    if change.place in _KINDS:
        return f"{_thing(change.place)} {_KINDS[change.place].letter}{change.key}"
    if change.place == "settings":
        name, _, part = change.key.partition(log.PART)
        if part and name in _DAYS:
            return f"{_DAYS[name]} {part}"
        return f"setting {name.replace('_', ' ')}" + (f" of {part}" if part else "")
    return f"{_thing(change.place)} {change.key}"


def _words(store: Store, change: Change) -> str:
    called = _called(change)
    if change.place == "settings":
        return f"{called} {change.action}"
    before, after = _sides(store, change)
    if change.action == "changed" and before is not None and after is not None:
        told = _differences(before, after)
        return f"{called} changed" + (f": {', '.join(told)}" if told else "")
    one = after if change.action == "added" else before
    if change.place in _KINDS and one is not None:
        return f"{called} {change.action}: {one.on}, {evidence_words(one, units_of(store))}"
    return f"{called} {change.action}"


def _sides(store: Store, change: Change) -> tuple[Any, Any]:
    """Return a record before and after a change, as far as the history knows."""
    kind = _LAYOUTS[change.place].record
    before = None if change.before is None else log.record_from(kind, change.before)
    if change.action == "deleted":
        return before, None
    rows = store.connection.rows(
        "SELECT before FROM changes WHERE place = ? AND key = ? AND id > ? ORDER BY id LIMIT 1",
        (change.place, change.key, change.id),
    )
    if rows:
        text = rows[0][0]
        return before, None if text is None else log.record_from(kind, str(text))
    key: Any = int(change.key) if _LAYOUTS[change.place].numbered else change.key
    try:
        return before, getattr(store, change.place).get(key)
    except (NotFoundError, ValueError):
        return before, None


def _differences(before: Any, after: Any) -> list[str]:
    """Say which plain fields differ, as in "status: at home → lost"."""
    told = []
    for item in fields(before):
        old, new = getattr(before, item.name), getattr(after, item.name)
        if old == new:
            continue
        name = item.name.replace("_", " ")
        plain = all(one is None or isinstance(one, (str, int, float)) for one in (old, new))
        told.append(f"{name}: {_shown(old)} → {_shown(new)}" if plain else name)
    return told


def _shown(value: Any) -> str:
    if value is None or value == "":
        return "nothing"
    return f"{value:g}" if isinstance(value, float) else str(value)
