"""What is said of swaps: who comes and goes, and shares that sum to what is told of the whole."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rimwise.app.telling import swap_words, swaps_summary
from rimwise.decide.swaps import Cause, Swap


def swap(out, into, *, tie=False, changed=0.0, grip=0.0):
    rest = Cause("wind", changed - grip, undoes=False)
    cause = Cause("grip", grip, undoes=True)
    return Swap(out, into, 0.3, 0.05, tie, None if tie else cause, (cause, rest), changed)


@pytest.mark.parametrize(
    ("swaps", "said"),
    [
        ([swap("a", "b")], "From winter to summer: 1 swap; 1 saves strokes that can be told"),
        (
            [swap(None, "b"), swap(None, "c", tie=True), swap(None, "d", tie=True)],
            "3 discs come along; 1 saves strokes that can be told from luck, 2 are ties.",
        ),
        (
            [swap("a", "b"), swap(None, "c"), swap("d", None, tie=True)],
            "1 swap, 1 disc comes along and 1 disc stays home; 2 save",
        ),
        ([swap("a", None, tie=True)], "1 disc stays home, none of which matters more than"),
    ],
)
def test_the_summary_names_what_comes_and_goes_for_what_it_is(swaps, said):
    assert said in swaps_summary(swaps, "winter", "summer")


@given(st.floats(-0.4, 0.4), st.floats(-0.4, 0.4))
def test_the_shares_that_are_told_sum_to_what_is_told_of_the_whole(changed, grip):
    told = swap_words(swap("a", "b", changed=changed, grip=grip), "winter", "summer")
    found = re.search(r"That is ([\d.]+) (more|less) than with everything as in winter: (.*)", told)
    if found is None:
        assert abs(changed) < 0.02 or max(abs(grip), abs(changed - grip)) < 0.02
        return
    whole = float(found[1]) * (1.0 if found[2] == "more" else -1.0)
    parts = re.findall(r"([+−]?[\d.]+) from", found[3])
    shares = [float(part.replace("−", "-")) for part in parts]
    assert sum(shares) == pytest.approx(whole, abs=1e-9)
