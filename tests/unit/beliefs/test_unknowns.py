"""What is not known, laid out: without evidence it is the fleet's own prior."""

from __future__ import annotations

import numpy as np
import pytest

from rimwise.beliefs.owners import imagine_owner
from rimwise.beliefs.posterior import prior_posterior
from rimwise.beliefs.unknowns import COLUMNS, LOCAL
from rimwise.errors import NotFoundError
from rimwise.records.thrower import Style

OWNER = imagine_owner(2, discs=6, throws=0, comparisons=0)
UNKNOWNS, FLEET = OWNER.unknowns, OWNER.fleet
PRIOR = prior_posterior(UNKNOWNS)


def test_without_evidence_the_draws_are_those_of_the_fleet() -> None:
    """All but wear, whose rate the fleet takes as known: a new disc has none."""
    new = FLEET.wear == 0.0
    assert new.any()
    assert not new.all()
    learnt = PRIOR.learnt_fleet(FLEET)
    for draw_set in (0, 2):
        ours, theirs = (f.sample_printed(50, 7, draw_set) for f in (learnt, FLEET))
        np.testing.assert_allclose(ours[new], theirs[new], atol=1e-12)
        assert np.abs(ours[~new] - theirs[~new]).max() > 1e-3
        np.testing.assert_allclose(
            learnt.sample_mass_kg(50, 7, draw_set), FLEET.sample_mass_kg(50, 7, draw_set)
        )


def test_a_part_of_a_learnt_fleet_keeps_its_draws() -> None:
    learnt = PRIOR.learnt_fleet(FLEET)
    part = learnt.subset([4, 1])
    assert part.ids == (FLEET.ids[4], FLEET.ids[1])
    np.testing.assert_array_equal(part.sample_printed(8, 1), learnt.sample_printed(8, 1)[[4, 1]])


def test_a_disc_nobody_learnt_about_is_refused() -> None:
    other = imagine_owner(4, discs=9, throws=0, comparisons=0).fleet
    with pytest.raises(NotFoundError, match="compute beliefs anew"):
        PRIOR.learnt_fleet(other)


def test_local_arguments_follow_the_unknowns_as_the_numbers_do() -> None:
    """Turn and fade go in as sum and difference and come out as themselves."""
    u = np.random.default_rng(1).standard_normal(len(UNKNOWNS))
    every = np.arange(len(FLEET))
    rows = UNKNOWNS.rows(every, np.zeros_like(every))
    assert rows.shape == (len(FLEET), COLUMNS)
    slopes = UNKNOWNS.slopes(every, FLEET.wear, np.zeros(len(FLEET)))
    assert slopes.shape == (len(FLEET), len(LOCAL), COLUMNS)
    local = np.einsum("dac,dc->da", slopes, u[rows])
    turn, fade = (UNKNOWNS.printed(u) - FLEET.printed)[:, 2:].T
    np.testing.assert_allclose(local[:, 2], (turn + fade) / np.sqrt(2.0))
    np.testing.assert_allclose(local[:, 3], (fade - turn) / np.sqrt(2.0))


def test_worn_discs_of_a_plastic_that_wears_fast_are_less_stable() -> None:
    u = np.zeros(len(UNKNOWNS))
    u[[kind == "wear" for kind, _, _ in UNKNOWNS.names]] = 1.0
    moved = UNKNOWNS.printed(u) - FLEET.printed
    expected = -UNKNOWNS.assume.wear_rate_sd * FLEET.wear
    np.testing.assert_allclose(moved[:, 2], UNKNOWNS.assume.wear_turn * expected, atol=1e-12)
    np.testing.assert_allclose(moved[:, 3], UNKNOWNS.assume.wear_fade * expected, atol=1e-12)


def test_prior_spreads_are_the_assumptions() -> None:
    """Worked by hand: variances of mold, disc and plastic add; habits have theirs."""
    draws = PRIOR.draw(4000, 5)
    new = int(np.flatnonzero(FLEET.wear == 0.0)[0])
    sd = draws.printed[new].std(axis=0)
    assume, plastic = UNKNOWNS.assume, FLEET.plastic_sd[new]
    expected = [
        assume.printed_speed_sd,
        assume.printed_glide_sd,
        np.hypot(assume.printed_turn_sd, plastic),
        np.hypot(assume.printed_fade_sd, plastic),
    ]
    np.testing.assert_allclose(sd, expected, rtol=0.06)
    arm = draws.arm(Style.BACKHAND)
    assert np.std(np.log(arm.speed_m_s)) == pytest.approx(assume.arm_speed_sd, rel=0.06)
    assert np.degrees(arm.nose_rad).std() == pytest.approx(assume.arm_nose_sd, rel=0.06)
    assert np.degrees(arm.heading_bias_rad).std() == pytest.approx(assume.arm_heading_sd, rel=0.06)
    assert PRIOR.arm(Style.BACKHAND).speed_m_s == pytest.approx(UNKNOWNS.arms[0].speed_m_s)
