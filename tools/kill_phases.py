"""What a child was doing when it was killed: it marks the phases of its work as it goes.

A mark is a line on the pipe on which the child acknowledges, and is no acknowledgement itself. The
one who kills waits for a phase, and ends the child at a random moment within it; what the phase
was in the end is read from the marks, since the child may have gone on by then.
"""

from __future__ import annotations

import os
import random
import select
import signal
import time
from collections.abc import Callable
from typing import Any

from rimwise.store.connection import Connection

__all__ = ["ANY", "COMMIT", "INSIDE", "OUTSIDE", "Marked", "kill_within", "mark_phases"]

_MARK = "~ "
#: Phases that every child marks: inside a transaction that writes, while it is being committed
#: (the flush to the disk and SQLite's own checkpoint), and outside.
INSIDE, COMMIT, OUTSIDE = "in a transaction", "commit", "outside"
#: No phase: at any moment.
ANY = ""

#: A function by its module and name, and the phase that begins where it is called.
Marked = tuple[Any, str, str]


def mark_phases(tell: Callable[[str], None], functions: tuple[Marked, ...]) -> None:
    """Let this process tell of its transactions, and of the phases that begin with functions."""
    _mark_transactions(tell)
    for module, name, phase in functions:
        _mark_function(tell, module, name, phase)


def _mark_transactions(tell: Callable[[str], None]) -> None:
    plain = Connection.execute
    writing: set[int] = set()

    def execute(self: Connection, sql: str, cells: tuple[object, ...] = ()) -> Any:
        ends = sql == "COMMIT" and id(self) in writing
        if ends:
            tell(_MARK + COMMIT)
        done = plain(self, sql, cells)
        if ends:
            writing.discard(id(self))
            tell(_MARK + OUTSIDE)
        elif sql == "BEGIN IMMEDIATE":
            writing.add(id(self))
            tell(_MARK + INSIDE)
        return done

    Connection.execute = execute  # type: ignore[method-assign]


def _mark_function(tell: Callable[[str], None], module: Any, name: str, phase: str) -> None:
    plain = getattr(module, name)

    def marking(*given: Any, **named: Any) -> Any:
        tell(_MARK + phase)
        return plain(*given, **named)

    setattr(module, name, marking)


def kill_within(
    child: int, pipe: int, aim: str, longest_s: float, chance: random.Random
) -> tuple[list[str], str]:
    """End a child at a random moment, and return what it acknowledged and the phase it was in.

    Parameters
    ----------
    child, pipe
        Its number, and the end of the pipe where it is heard.
    aim
        The phase to hit: some time after it was seen two to six times, so that its length is
        known. :data:`ANY` aims at nothing.
    longest_s
        So long after its first word at most.
    """
    hearing = _Hearing(pipe)
    hearing.wait_for_word()
    until = time.monotonic() + longest_s * (chance.random() if aim == ANY else 1.0)
    wanted, part = chance.randint(2, 6), 1.1 * chance.random()
    while time.monotonic() < until:
        hearing.listen(until - time.monotonic())
        lengths = hearing.lengths_s.get(aim, [])
        if hearing.phase == aim and len(lengths) >= wanted - 1:
            _sleep_until(hearing.since + part * sorted(lengths)[len(lengths) // 2])
            break
    os.kill(child, signal.SIGKILL)
    _, status = os.waitpid(child, 0)
    while hearing.listen(0.0):
        pass
    if not os.WIFSIGNALED(status):
        raise RuntimeError(f"the child ended by itself: {hearing.told}")
    return hearing.told, hearing.phase


def _sleep_until(moment: float) -> None:
    """Wait for a moment that may be microseconds away."""
    while (left := moment - time.monotonic()) > 0.0:
        if left > 0.001:
            time.sleep(left - 0.001)


class _Hearing:
    """Lines of a child as they come: what it acknowledged, and how long its phases took."""

    def __init__(self, pipe: int) -> None:
        self.told: list[str] = []
        self.phase = "start"
        self.since = time.monotonic()
        self.lengths_s: dict[str, list[float]] = {}
        self._pipe, self._rest = pipe, b""

    def wait_for_word(self) -> None:
        """Wait until the child has begun, however long that takes."""
        while not self.told and self.listen(600.0):
            pass

    def listen(self, longest_s: float) -> bool:
        """Take in what comes within some time; return whether anything came."""
        if not select.select([self._pipe], [], [], max(longest_s, 0.0))[0]:
            return False
        came = os.read(self._pipe, 65_536)
        *lines, self._rest = (self._rest + came).split(b"\n")
        for line in lines:
            self._take(line.decode())
        return bool(came)

    def _take(self, line: str) -> None:
        if not line.startswith(_MARK):
            self.told.append(line)
            return
        now = time.monotonic()
        self.lengths_s.setdefault(self.phase, []).append(now - self.since)
        self.phase, self.since = line.removeprefix(_MARK), now
