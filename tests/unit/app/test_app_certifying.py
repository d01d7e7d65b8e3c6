"""What is said of a carry that was solved on the real holes."""

from __future__ import annotations

from dataclasses import replace

from rimwise.app import certifying
from rimwise.app.certifying import ChangeTold, HolesTold

TOLD = HolesTold(
    carry=58.25, carry_se=0.03, everything=0.12, everything_se=0.02,
    hardest=(("6", 0.07, 0.01),), changes=(ChangeTold("a", "b", 0.01, 0.02, False),),
    chosen=("a", "b"), stable=True, against=0.0, against_se=0.0,
)  # fmt: skip


def test_a_carry_that_holds_on_the_holes_is_told_so() -> None:
    again, first, misses, verdict = certifying._holes_words(TOLD)
    assert "it stays as it is" in again
    assert "58.25" in first
    assert "would save 0.12, give or take 0.02" in first
    assert misses == "The carry misses most on hole 6 (0.07)."
    assert "none of the changes" in verdict


def test_a_change_that_saves_there_is_named_with_its_error_and_a_doubt() -> None:
    better = ChangeTold("a", "c", 0.09, 0.02, True)
    said = certifying._holes_words(replace(TOLD, hardest=(), changes=(*TOLD.changes, better)))
    assert len(said) == 3
    assert "c for a saves 0.09, give or take 0.02" in said[2]
    assert "luck of the search" in said[2]


def test_a_carry_that_changes_on_the_holes_says_what_it_saves() -> None:
    told = replace(TOLD, chosen=("a", "c"), against=0.07, against_se=0.02)
    first = certifying._holes_words(told)[0]
    assert "becomes a and c: that saves 0.07, give or take 0.02" in first
    assert "--on-holes" in first


def test_what_is_solved_are_the_carry_everything_and_its_best_changes(monkeypatch) -> None:
    from rimwise.decide.on_holes import Held, OnHoles

    dearer = {(0, 2): 0.0, (0, 1, 2, 3): -0.1, (1, 2): 0.02, (0, 1, 2): -0.05, (0, 3): 0.2}

    class Holes:
        def __init__(self, *_given, putting_discs, **_told) -> None:
            assert putting_discs == [2]

            self.known = set()

        def solved(self, discs):
            self.known.add(tuple(discs))

        def against(self, first, other):
            assert self.known == {(0, 1, 2, 3), (1, 2), (0, 1, 2)}  # before anything is told
            assert tuple(first) == (0, 2)
            lost = dearer[tuple(other)]
            by_hole = (("6", lost, 0.01), ("7", 0.0, 0.01))
            return Held(60.0 + lost, 0.03, lost, 0.01, by_hole)

    changes = ((0, 1), (None, 1))
    chosen = OnHoles(None, (0, 2), 2, True, changes)
    monkeypatch.setattr(certifying, "Holes", Holes)
    monkeypatch.setattr(certifying, "choose_on_holes", lambda *_asked: chosen)
    told = certifying._on_holes(_Ready(), (), (0, 3), None, None, [2], lambda _what, _share: None)
    assert (told.carry, told.everything) == (60.0, 0.1)
    assert told.hardest == (("6", 0.1, 0.01),)
    assert [(c.out, c.into, c.saves, c.better) for c in told.changes] == [
        ("a", "b", -0.02, False),
        (None, "b", 0.05, True),
    ]
    assert (told.chosen, told.stable, told.against) == (("a", "c"), True, 0.2)


class _Fleet:
    ids = ("a", "b", "c", "d")

    def __len__(self) -> int:
        return 4


class _Ready:
    fleet, simulator, course, putting, assume = _Fleet(), None, None, None, None
