"""What takes longer than a page may: worked out in the background, one thing at a time.

A job is the server's, not the tab's: reloading, going back or opening a second tab finds it again.
"""

from __future__ import annotations

import logging
import secrets
import threading
from collections import OrderedDict
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from rimwise.errors import InputError, NotFoundError, RimwiseError
from rimwise.store.opening import open_store
from rimwise.store.store import Store

__all__ = ["BusyError", "Job", "Worker"]

_Progress = Callable[[str, float], None]
#: So many of the latest jobs, and of the latest results, are remembered until the server stops.
_REMEMBERED = 32
_UNEXPECTED = (
    "Something went wrong that should not: {error!r}. Where `rimwise serve` runs it is told in "
    "full."
)


class BusyError(InputError):
    """Another thing is being worked out."""

    def __init__(self, job: Job) -> None:
        super().__init__(
            f"“{job.title}” is being worked out; wait for it or cancel it, then send this again."
        )
        self.job = job


class _CancelledError(Exception):
    """Raised out of a computation by its progress."""


@dataclass(slots=True, eq=False)
class Job:
    """One thing to work out.

    Parameters
    ----------
    key
        What is asked, so that asking the same twice is one job.
    title
        What it is, for its page.
    form, ends_at
        The page it was asked on, and the page that shows its result.
    typed
        What was typed into the form, to be shown again when it fails.
    work
        Computes with an open data file; its result is remembered under ``key``.
    cancelled
        What cancelling leaves behind, in words.
    state
        ``running``, ``done``, ``failed`` or ``cancelled``.
    """

    key: str
    title: str
    form: str
    ends_at: str
    typed: Mapping[str, str]
    work: Callable[[Store, _Progress], Any]
    cancelled: str = "everything is as it was"
    id: str = field(default_factory=lambda: secrets.token_hex(6))
    state: str = "running"
    what: str = "starting"
    share: float = 0.0
    error: str = ""
    stop: threading.Event = field(default_factory=threading.Event)

    @property
    def percent(self) -> int:
        """How far it is."""
        return round(100.0 * self.share)

    @property
    def told(self) -> str:
        """What it does now, and how far it is."""
        what = "Stopping" if self.stop.is_set() else self.what[:1].upper() + self.what[1:]
        return f"{what}; {self.percent} % done"


class Worker:
    """Works jobs out in a thread of its own, over one data file."""

    def __init__(self, data: Path) -> None:
        self._data = data
        self._lock = threading.Lock()
        self._jobs: OrderedDict[str, Job] = OrderedDict()
        self._results: OrderedDict[str, Any] = OrderedDict()
        self.closed = False

    def close(self) -> None:
        """Say that the server stops, so that nobody waits for a job any more."""
        self.closed = True

    def start(self, job: Job) -> Job:
        """Start a job, or return the running one that asks the same.

        Raises
        ------
        BusyError
            When something else is being worked out.
        """
        with self._lock:
            running = self.running()
            if running is not None and running.key == job.key and not running.stop.is_set():
                return running
            if running is not None:
                raise BusyError(running)
            self._jobs[job.id] = job
            _forget_the_oldest(self._jobs)
        threading.Thread(target=self._run, args=(job,), daemon=True).start()
        return job

    def running(self) -> Job | None:
        """Return the job being worked out, if there is one."""
        return next((job for job in list(self._jobs.values()) if job.state == "running"), None)

    def job(self, job_id: str) -> Job:
        """Return one of the latest jobs.

        Raises
        ------
        NotFoundError
            When there is no such job, or it is forgotten.
        """
        found = self._jobs.get(job_id)
        if found is None:
            raise NotFoundError(
                "This is not being worked out any more: `rimwise serve` was started again since. "
                "Ask for it once more."
            )
        return found

    def result(self, key: str) -> Any:
        """Return what was worked out under a key, or ``None``."""
        return self._results.get(key)

    def remembers(self, start: str) -> bool:
        """Return whether anything is remembered that was worked out under a key that starts so."""
        return any(key.startswith(start) for key in list(self._results))

    def _run(self, job: Job) -> None:
        def progress(what: str, share: float) -> None:
            if job.stop.is_set():
                raise _CancelledError
            job.what, job.share = what, share

        try:
            with open_store(self._data) as store:
                result = job.work(store, progress)
        except _CancelledError:
            job.state = "cancelled"
        except RimwiseError as error:
            job.error, job.state = str(error), "failed"
        except Exception as error:
            logging.getLogger(__name__).exception("%s failed", job.title)
            job.error, job.state = _UNEXPECTED.format(error=error), "failed"
        else:
            self._results[job.key] = result
            _forget_the_oldest(self._results)
            job.state = "done"


def _forget_the_oldest(kept: OrderedDict[str, Any]) -> None:
    while len(kept) > _REMEMBERED:
        kept.popitem(last=False)
