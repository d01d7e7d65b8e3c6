"""The log posterior's algebra: gradients and curvatures against differences of its values."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from rimwise.beliefs.felt import graded, grades_of
from rimwise.beliefs.flown import bodies_of, fly_local, tabulate
from rimwise.beliefs.learn import level_scatter
from rimwise.beliefs.objective import Felt, Objective, scatter_of_throws
from rimwise.beliefs.observed import throw_table
from rimwise.beliefs.owners import FIRST_DAY, imagine_owner
from rimwise.beliefs.unknowns import LOCAL
from rimwise.records.assumptions import Assumptions
from rimwise.records.evidence import Comparison, Quality

OWNER = imagine_owner(8, discs=4, throws=12, comparisons=6)


def _objective(*, measured: bool) -> Objective:
    unknowns, evidence = OWNER.unknowns, OWNER.evidence
    if measured:
        told = {"first_touch_m": 55.0, "speed_m_s": 21.0, "spin_rad_s": 95.0}
        evidence = replace(
            evidence, throws=tuple(replace(throw, **told) for throw in evidence.throws)
        )
    table = throw_table(evidence, unknowns, OWNER.fleet.grip)
    rows = unknowns.rows(table.disc, table.style)
    slopes = unknowns.slopes(table.disc, table.wear, table.cold_c)
    scatter = scatter_of_throws(table, level_scatter(unknowns), unknowns.assume.spin_scatter)
    at = np.zeros((len(table), len(LOCAL)))
    bodies, felt = bodies_of(OWNER.fleet), Felt.of(unknowns, evidence)
    return Objective.of(
        unknowns, table, np.arange(len(table)), rows, slopes,
        tabulate(unknowns, bodies, table, at, scatter[:, :4]), scatter,
        felt, felt.fly(unknowns, bodies, np.zeros(len(unknowns)), 1), 1,
    )  # fmt: skip


@pytest.mark.parametrize("measured", [False, True])
def test_the_gradient_is_that_of_the_values(measured: bool) -> None:
    objective = _objective(measured=measured)
    u = 0.1 * np.random.default_rng(2).standard_normal(len(OWNER.unknowns))
    _, gradient = objective.value(u)
    step = 1e-4
    for i in range(len(u)):
        more, less = u.copy(), u.copy()
        more[i] += step
        less[i] -= step
        slope = (objective.value(more)[0] - objective.value(less)[0]) / (2.0 * step)
        # Where a nose habit moves the curvature itself the third derivative is left out.
        assert gradient[i] == pytest.approx(slope, abs=0.02), OWNER.unknowns.names[i]


def test_the_expected_information_is_roughly_the_change_of_the_gradient() -> None:
    """At the mode; in single directions they differ, as evidence differs from its expectation."""
    objective = _objective(measured=False)
    u = np.zeros(len(OWNER.unknowns))
    for _ in range(3):
        u = objective.maximise(u, objective.information(u), 60)
    expected = objective.information(u)
    np.testing.assert_allclose(expected, expected.T, atol=1e-9)
    assert np.linalg.eigvalsh(expected).min() > 1.0 - 1e-9  # evidence never takes away
    random, agreed = np.random.default_rng(3), []
    for _ in range(40):
        along = np.linalg.solve(expected, random.standard_normal(len(u)))
        apart = objective.value(u + 0.02 * along)[1] - objective.value(u - 0.02 * along)[1]
        agreed.append(along @ expected @ along / (along @ apart / 0.04))
    assert np.median(agreed) == pytest.approx(1.0, abs=0.15)


def test_polynomials_are_the_flights_themselves_nearby() -> None:
    unknowns = OWNER.unknowns
    table = throw_table(OWNER.evidence, unknowns, OWNER.fleet.grip)
    scatter = scatter_of_throws(table, level_scatter(unknowns), 0.05)[:, :4]
    bodies, at = bodies_of(OWNER.fleet), np.zeros((len(table), len(LOCAL)))
    found = tabulate(unknowns, bodies, table, at, scatter)
    moved = at.copy()
    moved[:, [0, 2, 3, 5]] = 0.2, 0.15, -0.2, 0.01
    flown = fly_local(unknowns, bodies, table, np.arange(len(table)), moved)[:, :2]
    step = np.array([0.2, 0.0, 0.15, -0.2, 0.01, 0.0, 0.0])
    mixed = np.einsum("tijd,i,j->td", found.mixed, step, step)
    near = found.middle[:, 3] + np.einsum("tjd,j->td", found.slope[:, 1], step)
    near = near + 0.5 * np.einsum("tjd,j->td", found.curve[:, 1], step**2) + 0.5 * mixed
    assert np.abs(flown - found.middle[:, 3, :2]).max() > 0.5
    assert np.median(np.abs(flown - near[:, :2])) < 0.1


ANSWERS = [
    Comparison(FIRST_DAY, "a", "b"),
    Comparison(FIRST_DAY, "a", "b", plainly=True),
    Comparison(FIRST_DAY, "b", "a"),
    Comparison(FIRST_DAY, "b", "a", plainly=True),
    Comparison(FIRST_DAY, "a", "b", alike=True),
]


@pytest.mark.parametrize("apart", [-9.0, -2.0, 0.0, 0.7, 4.0, 20.0])
def test_the_five_answers_about_two_discs_have_chances_that_sum_to_one(apart: float) -> None:
    sides = np.array([apart, apart, -apart, -apart, apart])
    logs, *_ = graded(sides, grades_of(ANSWERS, Assumptions()), 0.05)
    assert np.exp(logs).sum() == pytest.approx(1.0)


@pytest.mark.parametrize("answer", ANSWERS[:2])
def test_derivatives_of_an_answer_are_those_of_its_chance(answer: Comparison) -> None:
    grades = grades_of([answer] * 3, Assumptions())
    at, step = np.array([-8.0, 1.0, 5.0]), 1e-3
    _, first, second, _ = graded(at, grades, 0.05)
    more, less = graded(at + step, grades, 0.05), graded(at - step, grades, 0.05)
    np.testing.assert_allclose(first, (more[0] - less[0]) / (2 * step), atol=1e-5)
    np.testing.assert_allclose(second, (more[1] - less[1]) / (2 * step), atol=1e-5)


def test_no_answer_however_wrong_counts_for_more_than_a_mix_up() -> None:
    """Worked by hand: one of five answers at a chance of 5 %."""
    logs, first, *_ = graded(np.array([-200.0]), grades_of(ANSWERS[1:2], Assumptions()), 0.05)
    assert logs[0] == pytest.approx(np.log(0.01))
    assert first[0] == pytest.approx(0.0, abs=1e-9)


def test_reach_is_compared_in_metres_and_grip_in_grades() -> None:
    assume = Assumptions()
    grades = grades_of([Comparison(FIRST_DAY, "a", "b", quality) for quality in Quality], assume)
    expected = {
        Quality.STABILITY: assume.slightly_deg,
        Quality.REACH: assume.slightly_m,
        Quality.GRIP: assume.slightly_grip,
    }
    assert grades.slightly.tolist() == [expected[quality] for quality in Quality]
