"""Discs worn otherwise: printed numbers and samples move together, learnt or not."""

from __future__ import annotations

import numpy as np
import pytest

from rimwise.beliefs.owners import imagine_owner
from rimwise.beliefs.posterior import prior_posterior


@pytest.mark.parametrize("learnt", [False, True])
def test_numbers_and_samples_move_by_the_wear(learnt: bool) -> None:
    owner = imagine_owner(3, discs=4, throws=4, comparisons=1)
    fleet = prior_posterior(owner.unknowns).learnt_fleet(owner.fleet) if learnt else owner.fleet
    disc = fleet.ids[1]
    wear = min(float(fleet.wear[1]) + 0.4, 1.0)
    change = wear - float(fleet.wear[1])
    worn = fleet.as_worn({disc: wear}, owner.assume)
    moved = worn.printed - fleet.printed
    assert moved[1, 2] == pytest.approx(-owner.assume.wear_turn * change)
    assert moved[1, 3] == pytest.approx(-owner.assume.wear_fade * change)
    assert np.array_equal(np.delete(moved, 1, axis=0), np.zeros((3, 4)))
    drawn = worn.sample_printed(64, 5)[1].mean(axis=0) - fleet.sample_printed(64, 5)[1].mean(axis=0)
    assert drawn[2:] == pytest.approx(moved[1, 2:], abs=0.1)
    assert worn.wear[1] == pytest.approx(wear)
