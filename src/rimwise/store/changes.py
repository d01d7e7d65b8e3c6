"""The history of the records: what was changed together, when, and what it was before.

Every table writes here as it changes, so that no way of changing a record can forget to. A step is
what was saved in one transaction; it is dated, and nothing in it is rewritten later.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from functools import cache
from typing import TYPE_CHECKING, Any, Literal

from rimwise.store.connection import Connection

if TYPE_CHECKING:
    from pydantic import TypeAdapter

__all__ = [
    "Action",
    "Change",
    "Step",
    "begin_undoing",
    "changes_of",
    "counts_of",
    "forget_before",
    "note_change",
    "note_setting",
    "record_from",
    "record_text",
    "step_numbers",
    "steps_of",
]

Action = Literal["added", "changed", "deleted"]
#: Stands between the name of a setting and the part of it that changed.
PART = "/"


@dataclass(frozen=True, slots=True)
class Change:
    """One record changed.

    Parameters
    ----------
    place
        The table: ``discs``, ``throws``, ``settings`` and so on.
    key
        Its name or number there; for a setting of many parts, name and part.
    before
        The record as it was, as JSON; ``None`` where there was none.
    """

    id: int
    step: int
    place: str
    key: str
    action: Action
    before: str | None


@dataclass(frozen=True, slots=True)
class Step:
    """What was saved together, and when (local time); ``undoes`` names the step it took back."""

    number: int
    at: datetime
    undoes: int | None


def note_change(
    connection: Connection, place: str, key: object, action: Action, before: str | None = None
) -> None:
    """Write one change into the step under way; must be called inside its transaction."""
    connection.execute(
        "INSERT INTO changes (step, place, key, action, before) VALUES (?, ?, ?, ?, ?)",
        (_present_step(connection), place, str(key), action, before),
    )


def note_setting(connection: Connection, name: str, before: object, after: object) -> None:
    """Write how a setting changes: part by part where it has parts, so that each is undone alone.

    ``None`` stands for a setting that is not there.
    """
    if isinstance(before, dict) or isinstance(after, dict):
        old = before if isinstance(before, dict) else {}
        new = after if isinstance(after, dict) else {}
        pairs = [
            (f"{name}{PART}{part}", old.get(part), new.get(part))
            for part in dict.fromkeys([*old, *new])
        ]
    else:
        pairs = [(name, before, after)]
    for key, was, becomes in pairs:
        if was == becomes:
            continue
        action: Action = "added" if was is None else "deleted" if becomes is None else "changed"
        text = None if was is None else json.dumps(was)
        note_change(connection, "settings", key, action, text)


def begin_undoing(connection: Connection, number: int) -> None:
    """Make the step under way one that takes another back, before anything is changed in it."""
    connection.step = _new_step(connection, number)


def _present_step(connection: Connection) -> int:
    if connection.step is None:
        connection.step = _new_step(connection, None)
    return connection.step


def _new_step(connection: Connection, undoes: int | None) -> int:
    at = connection.clock().isoformat(timespec="seconds")
    added = connection.execute("INSERT INTO steps (at, undoes) VALUES (?, ?)", (at, undoes))
    return int(str(added.lastrowid))


def steps_of(connection: Connection, numbers: Iterable[int] | None = None) -> list[Step]:
    """Return steps, oldest first; all of them when no numbers are given."""
    rows = connection.rows("SELECT id, at, undoes FROM steps ORDER BY id")
    wanted = None if numbers is None else set(numbers)
    return [
        Step(int(str(n)), datetime.fromisoformat(str(at)), None if u is None else int(str(u)))
        for n, at, u in rows
        if wanted is None or n in wanted
    ]


def step_numbers(connection: Connection, place: str, key: str) -> list[int]:
    """Return the steps that changed one record, oldest first."""
    rows = connection.rows(
        "SELECT DISTINCT step FROM changes WHERE place = ? AND key = ? ORDER BY step", (place, key)
    )
    return [int(str(step)) for (step,) in rows]


def changes_of(connection: Connection, step: int, *, most: int | None = None) -> list[Change]:
    """Return the changes of one step in the order they were made, at most so many."""
    rows = connection.rows(
        "SELECT id, step, place, key, action, before FROM changes WHERE step = ? ORDER BY id "
        "LIMIT ?",
        (step, -1 if most is None else most),
    )
    return [Change(*row) for row in rows]  # type: ignore[arg-type]


def counts_of(connection: Connection, step: int) -> list[tuple[Change, int]]:
    """Return the kinds of change in one step: the first of each kind, and how many there are."""
    rows = connection.rows(
        "SELECT min(id), step, place, key, action, NULL, count(*) FROM changes WHERE step = ? "
        "GROUP BY place, action ORDER BY min(id)",
        (step,),
    )
    return [(Change(*row[:6]), int(str(row[6]))) for row in rows]  # type: ignore[arg-type]


def forget_before(connection: Connection, day: str) -> int:
    """Forget all changes before a day (ISO), for good; return how many."""
    with connection.atomic():
        old = "SELECT id FROM steps WHERE at < ?"
        gone = connection.execute(f"DELETE FROM changes WHERE step IN ({old})", (day,))  # noqa: S608
        connection.execute("DELETE FROM steps WHERE at < ?", (day,))
    return gone.rowcount


def record_text(record: Any) -> str:
    """Return a record as JSON."""
    kind: Any = type(record)
    return _adapter(kind).dump_json(record).decode()


def record_from(kind: Any, text: str) -> Any:
    """Return the record that JSON holds; fields it lacks have their usual values."""
    return _adapter(kind).validate_json(text)


@cache
def _adapter(record: Any) -> TypeAdapter[Any]:
    # pydantic takes a tenth of a second to load; adding a record needs no journal.
    from pydantic import TypeAdapter

    return TypeAdapter(record)
