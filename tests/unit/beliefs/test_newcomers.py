"""Discs that no evidence names: what is learnt of their mold and plastic holds for them too."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from rimwise.beliefs.fleet import Fleet
from rimwise.beliefs.grips import disc_grip_sd
from rimwise.beliefs.learn import learn
from rimwise.beliefs.newcomers import with_newcomers
from rimwise.beliefs.owners import imagine_owner
from rimwise.beliefs.posterior import Grips, Posterior, prior_posterior
from rimwise.beliefs.unknowns import unknowns_of

OWNER = imagine_owner(21, discs=5, throws=20, comparisons=6, shank_chance=0.0)


def newcomers(**changed: object) -> Fleet:
    """Two discs: a mold and plastic that are owned, and a mold and plastic that are not."""
    two = replace(OWNER.fleet.subset([0, 1]), ids=("known", "strange"), labels=("k", "s"))
    molds, plastics = (two.molds[0], "new mold"), (two.plastics[0], "new plastic")
    return replace(two, molds=molds, plastics=plastics, **changed)  # type: ignore[arg-type]


DESCRIBED = dict.fromkeys(OWNER.fleet.plastics, (3.0,) * 4)


@pytest.fixture(scope="module")
def beliefs() -> Posterior:
    return learn(OWNER.fleet, OWNER.thrower, OWNER.assume, OWNER.evidence)


def test_they_are_believed_as_if_they_had_been_there_when_it_was_learnt(
    beliefs: Posterior,
) -> None:
    """Oracle: the same evidence learnt with the new discs on file."""
    narrow = replace(OWNER.assume, new_plastic_shift_sd=0.0)
    own = replace(beliefs, unknowns=replace(beliefs.unknowns, assume=narrow))
    found = with_newcomers(own, newcomers(), DESCRIBED)
    again = learn(OWNER.fleet.joined(newcomers()), OWNER.thrower, OWNER.assume, OWNER.evidence)
    where = {name: i for i, name in enumerate(again.unknowns.names)}
    rows = [where[name] for name in found.unknowns.names]
    assert again.mean[rows] == pytest.approx(found.mean, abs=0.02)
    assert again.covariance[np.ix_(rows, rows)] == pytest.approx(found.covariance, abs=0.02)
    fleet = found.learnt_fleet(newcomers())
    assert fleet.printed[0] != pytest.approx(newcomers().printed[0], abs=0.01)
    assert fleet.printed[1] == pytest.approx(newcomers().printed[1])


def test_what_is_not_described_is_wider_open(beliefs: Posterior) -> None:
    drawn = with_newcomers(beliefs, newcomers(), DESCRIBED).learnt_fleet(newcomers())
    known, strange = drawn.sample_printed(4000, 3).std(axis=1)
    assert np.all(known <= strange + 0.02)
    whole = drawn.sample_printed(4000, 3)[:, :, 2:].sum(axis=2).std(axis=1)
    # Turn and fade move together by half the shift each; the rest is the printed numbers' own.
    assume = OWNER.assume
    own = assume.printed_turn_sd**2 + assume.printed_fade_sd**2
    assert whole[1] == pytest.approx(np.sqrt(own + assume.new_plastic_shift_sd**2), rel=0.05)
    sd = with_newcomers(beliefs, newcomers(), DESCRIBED).grips.sd[-2:]
    assert np.all(sd[1] > sd[0])


@pytest.mark.parametrize("graded", [(), (0,), (0, 1, 2)])
def test_grip_of_a_plastic_is_what_its_discs_were_graded(graded: tuple[int, ...]) -> None:
    """Oracle: a joint normal of plastic, discs and grades, conditioned on the grades."""
    assume = OWNER.assume
    sd, noise = disc_grip_sd(assume), assume.grip_grade_noise
    fleet = replace(OWNER.fleet, plastics=("p",) * 5, grip=np.full((5, 4), 3.0))
    seen = np.array([1.0, 0.4, -0.3])[: len(graded)]
    share = sd**2 / (sd**2 + noise**2)
    mean, spread = fleet.grip.copy(), np.full((5, 4), sd)
    mean[list(graded)] += (share * seen)[:, None]
    spread[list(graded)] = sd * np.sqrt(1.0 - share)
    prior = prior_posterior(unknowns_of(fleet, OWNER.thrower, assume))
    one = replace(newcomers().subset([0]), plastics=("p",), grip=np.full((1, 4), 3.0))
    found = with_newcomers(replace(prior, grips=Grips(mean, spread)), one, {"p": (3.0,) * 4})
    # Unknowns: plastic, the new disc's own, and each graded disc's own; grades add noise.
    count = len(graded)
    see = np.column_stack([np.ones(count), np.zeros(count), np.eye(count)])
    gain = sd**2 * see.T @ np.linalg.inv(sd**2 * see @ see.T + noise**2 * np.eye(count))
    after = sd**2 * np.eye(2 + count) - gain @ see * sd**2
    new = np.array([1.0, 1.0, *np.zeros(count)])
    assert found.grips.mean[-1] == pytest.approx(3.0 + new @ gain @ seen)
    assert found.grips.sd[-1] == pytest.approx(np.sqrt(new @ after @ new))
    # Stated on the disc's own record instead, the same grades teach the same.
    stated = fleet.grip.copy()
    stated[list(graded)] += seen[:, None]
    prior = prior_posterior(unknowns_of(replace(fleet, grip=stated), OWNER.thrower, assume))
    prior = replace(prior, grips=Grips(stated, np.full((5, 4), sd)))
    again = with_newcomers(prior, one, {"p": (3.0,) * 4})
    assert again.grips.mean[-1] == pytest.approx(found.grips.mean[-1])
    assert again.grips.sd[-1] == pytest.approx(found.grips.sd[-1])


def test_a_grip_felt_in_the_shop_counts_for_itself() -> None:
    prior = prior_posterior(OWNER.unknowns)
    felt = newcomers(grip=np.array([[5.0] * 4, [1.0] * 4]))
    found = with_newcomers(prior, felt, DESCRIBED)
    assert found.grips.mean[-2].tolist() == [5.0] * 4
    assert found.grips.sd[-2] == pytest.approx(OWNER.assume.grip_grade_noise)
