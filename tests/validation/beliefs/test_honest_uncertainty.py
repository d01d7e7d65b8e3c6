"""The quick look at whether beliefs are honest: a dozen invented owners with a known truth.

Simulation-based calibration (Talts et al. 2018); ``make calibrate`` does it with hundreds. The
limits below are far outside chance for an honest posterior and far inside what a linearised one
gives, whose 90 % intervals hold half of the truths or fewer.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from rimwise.beliefs.imagined import felt_truth
from rimwise.beliefs.learn import learn
from rimwise.beliefs.owners import Owner, imagine_owner

Floats = NDArray[np.float64]

FIRST, OWNERS, DRAWS = 300_000, 12, 99


def _owner(seed: int, truth: str = "prior") -> Owner:
    return imagine_owner(seed, discs=6, throws=10 + 3 * (seed % 7), comparisons=8, truth=truth)


def _places(owner: Owner, seed: int) -> tuple[Floats, Floats]:
    """Return where the truth lies among draws, (n, 2) from 0 to 1, and its squared error."""
    beliefs = learn(owner.fleet, owner.thrower, owner.assume, owner.evidence)
    drawn = felt_truth(beliefs.unknowns, beliefs.draw_unknowns(DRAWS, seed))
    true = owner.felt()
    error = (drawn.mean(axis=0) - true) ** 2
    return ((drawn < true).sum(axis=0) + 0.5) / (DRAWS + 1), error


@pytest.fixture(scope="module")
def places() -> Floats:
    return np.array([_places(_owner(seed), seed)[0] for seed in range(FIRST, FIRST + OWNERS)])


@pytest.mark.parametrize("felt", [0, 1], ids=["finish", "reach"])
def test_intervals_hold_the_truth_as_often_as_they_say(places: Floats, felt: int) -> None:
    apart = np.abs(places[:, :, felt] - 0.5)
    assert 0.30 < (apart < 0.25).mean() < 0.70
    assert 0.75 < (apart < 0.45).mean() <= 1.0


def test_the_truth_is_as_often_above_as_below(places: Floats) -> None:
    assert np.abs(places.mean(axis=(0, 1)) - 0.5).max() < 0.17


@pytest.mark.parametrize("truth", ["numbers", "plastic", "pulled", "liar"])
def test_a_truth_the_prior_does_not_expect_is_still_approached(truth: str) -> None:
    """Evidence brings beliefs nearer even to owners that the prior thinks impossible."""
    before, after = [], []
    for seed in range(FIRST + 50, FIRST + 54):
        owner = _owner(seed, truth)
        nothing = replace(owner, evidence=replace(owner.evidence, throws=(), comparisons=()))
        before.append(_places(nothing, seed)[1].mean(axis=0))
        after.append(_places(owner, seed)[1].mean(axis=0))
    assert (np.mean(after, axis=0) < 0.6 * np.mean(before, axis=0)).all()
