"""Two discs felt to be about the same: the middle answer of five, likeliest at no difference."""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest
from scipy.stats import norm

from rimwise.beliefs.felt import graded, grades_of
from rimwise.records.assumptions import Assumptions
from rimwise.records.evidence import Comparison, Quality

DAY, ASSUME = date(2026, 5, 3), Assumptions()
SAME = Comparison(DAY, "a", "b", alike=True)
WRONG = 0.05


def log_chance(comparison, difference):
    grades = grades_of([comparison] * len(difference), ASSUME)
    return graded(np.asarray(difference, dtype=float), grades, WRONG)


def test_the_chance_is_that_of_feeling_less_than_slightly():
    difference = np.array([-8.0, 0.0, 3.0])
    found = log_chance(SAME, difference)[0]
    low, high, noise = -ASSUME.slightly_deg, ASSUME.slightly_deg, ASSUME.felt_noise_deg
    felt = norm.cdf(high, difference, noise) - norm.cdf(low, difference, noise)
    assert found == pytest.approx(np.log((1 - WRONG) * felt + WRONG / 5))


@pytest.mark.parametrize("quality", list(Quality))
def test_no_difference_is_likeliest_and_which_disc_is_named_first_means_nothing(quality):
    one = Comparison(DAY, "a", "b", quality, alike=True)
    there, slope, curve, _ = log_chance(one, np.array([0.0, 1.0, -1.0]))
    assert there[0] > there[1] == pytest.approx(there[2])
    assert slope[0] == pytest.approx(0.0, abs=1e-12)
    assert curve[0] < 0.0


def test_the_five_answers_share_all_chance():
    answers = [
        Comparison(DAY, "a", "b", plainly=True),
        Comparison(DAY, "a", "b"),
        SAME,
    ]
    total = sum(np.exp(log_chance(one, [2.0])[0]) for one in answers)
    total += sum(np.exp(log_chance(one, [-2.0])[0]) for one in answers[:2])
    assert total == pytest.approx(1.0)
