"""Holes worked out side by side: told of as they go on, and stopped within a moment."""

from __future__ import annotations

import threading
import time
from functools import partial

import pytest

from rimwise.app.phone_holes import Tell, side_by_side

WINDS = 4


def work(seen: list[str], ref: str, tell: Tell) -> str:
    for wind in range(WINDS):
        tell(f"wind {wind}", 0)
        seen.append(ref)
        tell(f"wind {wind}", 1)
    return ref * 2


def test_everything_is_returned_and_told_of_as_it_goes_on() -> None:
    told: list[tuple[str, float]] = []
    tasks = {ref: partial(work, [], ref) for ref in "abc"}
    found = side_by_side(2, tasks, WINDS, lambda what, share: told.append((what, share)))
    assert found == {"a": "aa", "b": "bb", "c": "cc"}
    shares = [share for _, share in told]
    assert shares == sorted(shares)
    assert told[-1][1] == 1.0
    assert told[-1][0].endswith("3 of 3 holes are ready")
    assert "hole " in told[-1][0]


def slow(seen: list[str], going: threading.Event, ref: str, tell: Tell) -> str:
    """Ten seconds of work."""
    for _ in range(10_000):
        tell("calm", 0)
        seen.append(ref)
        going.set()
        time.sleep(0.001)
    return ref


def test_stopping_ends_what_runs_and_begins_nothing_more() -> None:
    seen: list[str] = []
    going = threading.Event()

    def stop(_what: str, _share: float) -> None:
        if going.is_set():
            raise InterruptedError

    with pytest.raises(InterruptedError):
        side_by_side(1, {ref: partial(slow, seen, going, ref) for ref in "ab"}, WINDS, stop)
    assert 0 < len(seen) < 10_000
    assert set(seen) == {"a"}


def test_a_hole_that_fails_ends_the_others() -> None:
    seen: list[str] = []
    going = threading.Event()

    def fail(_tell: Tell) -> str:
        going.wait(60.0)
        raise ValueError("no such ground")

    tasks = {"a": fail} | {ref: partial(slow, seen, going, ref) for ref in "bc"}
    with pytest.raises(ValueError, match="no such ground"):
        side_by_side(2, tasks, WINDS, lambda _what, _share: None)
    assert 0 < seen.count("b") < 10_000
