"""What is said of a carry that was solved on the real holes."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from rimwise.app import certifying
from rimwise.app.certifying import ChangeTold, HolesTold

TOLD = HolesTold(
    carry=58.25, carry_se=0.03, everything=0.12, everything_se=0.02,
    hardest=(("6", 0.07, 0.01),), changes=(ChangeTold("a", "b", 0.01, 0.02, False),),
)  # fmt: skip


def test_a_carry_that_holds_on_the_holes_is_told_so() -> None:
    first, misses, verdict = certifying._holes_words(TOLD)
    assert "58.25" in first
    assert "would save 0.12, give or take 0.02" in first
    assert misses == "The carry misses most on hole 6 (0.07)."
    assert "none of the changes" in verdict


def test_a_change_that_saves_there_is_named_with_its_error_and_a_doubt() -> None:
    better = ChangeTold("a", "c", 0.09, 0.02, True)
    said = certifying._holes_words(replace(TOLD, hardest=(), changes=(*TOLD.changes, better)))
    assert len(said) == 2
    assert "c for a saves 0.09, give or take 0.02" in said[1]
    assert "luck of the search" in said[1]


def test_what_is_solved_are_the_carry_everything_and_its_best_changes(monkeypatch) -> None:
    from rimwise.decide.certify import Certificate, Change
    from rimwise.decide.on_holes import Held

    asked: list[list[int]] = []

    def held(*given, progress):
        asked.extend(given[6])
        dearer = np.array([0.0, -0.1, 0.02, -0.05])
        by_hole = ((("6", -0.1, 0.01), ("7", 0.0, 0.01)), ())
        return tuple(
            Held(60.0 + d, 0.03, float(d), 0.01, by_hole[0] if n == 1 else by_hole[1])
            for n, d in enumerate(dearer)
        )

    monkeypatch.setattr(certifying, "hold_on_holes", held)
    found = Certificate(
        (0, 2), 1, True, 0.0, 0.0, (Change(0, 1, 0.0, 0.01), Change(None, 1, 0.0, 0.01))
    )
    told = certifying._on_holes(_Ready(), (), found, [2], lambda _what, _share: None)
    assert asked == [[0], [0, 1, 3], [1], [0, 1]]  # the putting putter is never thrown
    assert (told.carry, told.everything) == (60.0, 0.1)
    assert told.hardest == (("6", 0.1, 0.01),)
    assert [(c.out, c.into, c.saves, c.better) for c in told.changes] == [
        ("a", "b", -0.02, False),
        (None, "b", 0.05, True),
    ]


class _Fleet:
    ids = ("a", "b", "c", "d")

    def __len__(self) -> int:
        return 4


class _Ready:
    fleet, simulator, course, putting, assume = _Fleet(), None, None, None, None
