"""What a course was before each change, so that a change can be taken back."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from functools import cache
from typing import TYPE_CHECKING

from rimwise.errors import NotFoundError
from rimwise.records.courses import Course
from rimwise.store.store import Store

if TYPE_CHECKING:
    from pydantic import TypeAdapter

__all__ = ["CourseChange", "CourseJournal"]

#: Changes of one course that are kept; older ones are forgotten.
KEPT = 50


@dataclass(frozen=True, slots=True)
class CourseChange:
    """A change: when, what in words, and the course as it was before."""

    at: datetime
    what: str
    before: Course


class CourseJournal:
    """Changes of courses; the last of each can be taken back, and so on backward."""

    def __init__(self, store: Store) -> None:
        self._store = store
        self._connection = store.connection

    def put(self, course: Course, what: str, at: datetime) -> None:
        """Save a course and keep what it was before, if it was on file and is changed."""
        with self._store.atomic():
            if course.name in self._store.courses:
                before = self._store.courses.get(course.name)
                if before == course:
                    return
                self._keep(before, what, at)
            self._store.courses.put(course)

    def last(self, name: str) -> str:
        """Say what the last change of a course was; nothing where there is none to take back."""
        rows = self._connection.rows(
            "SELECT what FROM course_journal WHERE course = ? ORDER BY id DESC LIMIT 1", (name,)
        )
        return str(rows[0][0]) if rows else ""

    def undo(self, name: str) -> CourseChange:
        """Make a course what it was before its last change; return that change.

        Raises
        ------
        NotFoundError
            When no change is on file.
        """
        with self._store.atomic():
            rows = self._connection.rows(
                "SELECT id, at, what, record FROM course_journal WHERE course = ? "
                "ORDER BY id DESC LIMIT 1",
                (name,),
            )
            if not rows:
                raise NotFoundError(f"{name} was not changed; there is nothing to take back.")
            ((number, at, what, record),) = rows
            before = _adapter().validate_json(str(record))
            self._connection.execute("DELETE FROM course_journal WHERE id = ?", (number,))
            self._store.courses.put(before)
        return CourseChange(datetime.fromisoformat(str(at)), str(what), before)

    def _keep(self, before: Course, what: str, at: datetime) -> None:
        self._connection.execute(
            "INSERT INTO course_journal (course, at, what, record) VALUES (?, ?, ?, ?)",
            (
                before.name,
                at.isoformat(timespec="seconds"),
                what,
                _adapter().dump_json(before).decode(),
            ),
        )
        self._connection.execute(
            "DELETE FROM course_journal WHERE course = ? AND id NOT IN "
            "(SELECT id FROM course_journal WHERE course = ? ORDER BY id DESC LIMIT ?)",
            (before.name, before.name, KEPT),
        )


@cache
def _adapter() -> TypeAdapter[Course]:
    # pydantic takes a tenth of a second to load; most commands need no journal.
    from pydantic import TypeAdapter

    return TypeAdapter(Course)
