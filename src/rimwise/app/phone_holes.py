"""Holes worked out side by side: told of as they go on, and stopped within a moment."""

from __future__ import annotations

import threading
from collections.abc import Callable, Mapping
from concurrent.futures import FIRST_EXCEPTION, ThreadPoolExecutor, wait
from functools import partial
from typing import TypeVar

from rimwise.decide.rounds import Progress

__all__ = ["Tell", "side_by_side"]

_T = TypeVar("_T")
#: What a hole's work calls now and then: what it does, and how many more of its winds are done.
Tell = Callable[[str, int], None]
#: So often it is told how far things are, and whether to go on is asked.
_TOLD_EVERY_S = 0.25


class _Stopped(Exception):  # noqa: N818 - no error: somebody cancelled, or another hole failed
    """Raised out of a hole's work."""


class _Going:
    """How far all holes are; written by their threads, read by the one that tells."""

    def __init__(self, holes: int, winds: int) -> None:
        self._lock, self._holes, self._winds = threading.Lock(), holes, winds
        self._done, self._said = 0, "laying out the holes"
        self.stop = threading.Event()

    def tell(self, ref: str, what: str, winds: int) -> None:
        """Note what is done on a hole."""
        if self.stop.is_set():
            raise _Stopped
        with self._lock:
            self._said, self._done = f"hole {ref}, {what}", self._done + winds

    def told(self, ready: int) -> tuple[str, float]:
        """Return what is done now, and the share that is."""
        with self._lock:
            share = self._done / (self._holes * self._winds)
            return f"{self._said}; {ready} of {self._holes} holes are ready", share


def side_by_side(
    threads: int, tasks: Mapping[str, Callable[[Tell], _T]], winds: int, progress: Progress
) -> dict[str, _T]:
    """Return what tasks return, by hole.

    Parameters
    ----------
    tasks
        By hole, each called with what it is to tell now and then.
    winds
        What each tells of adds up to this.
    progress
        Called a few times in a second; raise in it to stop.
    """
    going = _Going(len(tasks), winds)
    with ThreadPoolExecutor(threads) as pool:
        futures = {ref: pool.submit(task, partial(going.tell, ref)) for ref, task in tasks.items()}
        try:
            left = set(futures.values())
            while left:
                done, left = wait(left, _TOLD_EVERY_S, FIRST_EXCEPTION)
                for one in done:
                    one.result()
                progress(*going.told(len(futures) - len(left)))
        finally:
            going.stop.set()
            for future in futures.values():
                future.cancel()
    return {ref: future.result() for ref, future in futures.items()}
