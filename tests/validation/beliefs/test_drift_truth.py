"""Drift, on invented owners of whom it is known which disc changed and by how much.

No outside numbers are known for how a disc drifts; the truth here is drawn by the model's own
prior, so this checks the inference alone.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest

from rimwise.beliefs.drift import Drift, drifts_of, pauses_of
from rimwise.beliefs.fleet import MOLD_SHARE
from rimwise.beliefs.imagined import imagine_throws
from rimwise.beliefs.observed import Evidence
from rimwise.beliefs.owners import imagine_owner

PAUSE = timedelta(days=180)


def _drifts(seed: int, lost: float) -> tuple[str, tuple[Drift, ...]]:
    """Return the name of the disc that lost something, and the drift of all."""
    owner = imagine_owner(seed, discs=4, throws=240, comparisons=0)
    first, second = owner.evidence.throws[:120], owner.evidence.throws[120:]
    changed = owner.fleet.ids[seed % 4]
    after = owner.u.copy()
    row = owner.unknowns.names.index(("disc", changed, 2))
    after[row] -= lost / (np.sqrt(1.0 - MOLD_SHARE) * owner.fleet.printed_sd[2])
    late = tuple(replace(throw, on=throw.on + PAUSE) for throw in second)
    asked = replace(owner.evidence, throws=late, comparisons=())
    random = np.random.default_rng(seed)
    thrown = imagine_throws(owner.unknowns, after, owner.scatter, asked, random, shank_chance=0.05)
    evidence = replace(owner.evidence, throws=first + thrown, comparisons=())
    return changed, drifts_of(owner.fleet, owner.thrower, owner.assume, evidence)


def test_a_disc_that_lost_much_stands_out_and_the_others_do_not():
    changed, others = [], []
    for seed in range(6100, 6108):
        name, drifts = _drifts(seed, 1.6)
        changed += [one for one in drifts if one.disc_id == name]
        others += [one for one in drifts if one.disc_id != name]
    assert len(changed) == 8
    mean = np.mean([one.numbers for one in changed])
    assert -1.8 < mean < -0.5  # drawn toward 0 by the prior, and to the right side
    assert sum(one.telling for one in changed) >= 3
    assert np.mean([one.telling for one in others]) <= 0.1
    assert abs(np.mean([one.numbers for one in others])) < 0.3


def test_without_enough_on_both_sides_nothing_is_asked():
    owner = imagine_owner(6100, discs=4, throws=16, comparisons=0)
    assert drifts_of(owner.fleet, owner.thrower, owner.assume, owner.evidence) == ()


def test_the_pause_is_the_longest_with_enough_on_both_sides():
    throw = imagine_owner(6100, discs=2, throws=1, comparisons=0).evidence.throws[0]
    days = (0, 1, 2, 3, 4, 40, 41, 42, 43, 44, 144)
    throws = tuple(replace(throw, on=date(2026, 1, 1) + timedelta(days=day)) for day in days)
    pauses = pauses_of(Evidence(throws))
    assert pauses == {throw.disc_id: date(2026, 1, 5)}  # one throw after the longest is too few


@pytest.mark.parametrize(
    ("numbers", "told"), [(-0.9, True), (-0.3, False), (-0.45, True), (0.45, False), (0.9, True)]
)
def test_only_what_is_large_and_sure_is_told(numbers, told):
    assert Drift("x", date(2026, 1, 1), numbers, 0.3, None, 9, 9).telling is told
