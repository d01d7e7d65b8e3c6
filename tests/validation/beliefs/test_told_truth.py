"""The quick look at whether what `rimwise learnt` says of discs is true: eight invented owners.

Simulation-based calibration (Talts et al. 2018); ``tools/check_told.py`` does it with hundreds.
"""

from __future__ import annotations

import runpy
from pathlib import Path

import numpy as np
import pytest

ROOT = Path(__file__).parents[3]
FIRST, OWNERS = 400_000, 8


@pytest.fixture(scope="module")
def held():
    tool = runpy.run_path(str(ROOT / "tools" / "check_told.py"))
    return [tool["held_of"](seed) for seed in range(FIRST, FIRST + OWNERS)]


@pytest.mark.parametrize("told", ["reach", "side"])
def test_eight_of_ten_truths_lie_in_what_is_told(held, told):
    inside = [np.mean(one.inside[told]) for one in held]
    assert 0.62 < np.mean(inside) < 0.95


def test_places_on_the_ladder_are_at_least_as_sure_as_told(held):
    inside = [value for one in held for value in one.inside["place"]]
    assert np.mean(inside) > 0.8


def test_throws_end_on_the_wrong_side_as_often_as_told(held):
    told, true = np.array([pair for one in held for pair in one.wrong_side]).T
    assert abs(told.mean() - true.mean()) < 0.08
    assert np.corrcoef(told, true)[0, 1] > 0.85


def test_discs_told_to_overlap_land_nearer_than_others(held):
    apart = [apart for one in held for apart in one.apart_m]
    others = [apart for one in held for apart in one.all_apart_m]
    assert np.median(apart) < 0.5 * np.median(others)
