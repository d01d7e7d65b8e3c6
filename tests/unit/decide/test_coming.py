"""Where throws come to, and the last word on offers."""

from __future__ import annotations

import numpy as np
import pytest

from advice_worlds import pond_across
from hole_worlds import CALM, world
from rimwise.decide.clouds import CHOOSING
from rimwise.decide.coming import Coming
from rimwise.decide.holes import choose, offered
from rimwise.decide.posing import Sizes

TINY = Sizes(
    screening=16, choosing=32, kept=2, considered=16, best=4, nudged=0, pool=256, least=8,
    deciding=64, decided=4,
)  # fmt: skip


@pytest.fixture(scope="module")
def pond():
    here = world(pond_across(), CALM, sizes=TINY)
    problem = here.problem()
    return here, problem, here.screened(problem)


def test_throws_that_come_somewhere_are_all_counted_around_there(pond):
    _, problem, _ = pond
    lattice = problem.lattice
    coming = Coming(np.array([[30.0, 5.0, 0.0]]), np.array([0.6]))
    dense = coming.at(lattice)
    assert dense[-1] == 1.0
    area_m2 = lattice.cell_m**2
    assert dense[:-1].sum() * area_m2 / 100.0 == pytest.approx(0.6, rel=1e-6)
    away_m = np.hypot(*(lattice.lies[:-1, :2] - (30.0, 5.0)).T)
    assert (dense[:-1][away_m > 2.2 * lattice.cell_m] == 0.0).all()


def test_nobody_throws_again_from_where_the_best_throws_do_not_end(pond):
    _, problem, screened = pond
    dense = screened.coming.at(problem.lattice)
    behind = problem.lattice.lies[:, 0] < -5.0
    assert (dense[:-1][behind[:-1]] < 1e-3).all()
    assert 0.1 < screened.coming.throws.sum() < 3.0


def test_lies_that_are_often_come_to_are_offered_more(pond):
    _, problem, screened = pond
    actions, chosen_for = offered(problem, screened, TINY)
    dense = screened.coming.at(problem.lattice)
    count = (actions[..., 0] >= 0).sum(axis=1)
    assert count[-1] == TINY.considered
    assert (count <= np.maximum(np.ceil(TINY.considered * np.sqrt(dense / TINY.often)), 12)).all()
    assert chosen_for[-1]
    assert not chosen_for[dense < TINY.rarest].any()


def test_every_lie_has_an_action_that_was_flown(pond):
    here, problem, screened = pond
    sky = here.sky(TINY.choosing, CHOOSING)
    chosen = choose(problem, sky, screened, TINY)
    disc, base = chosen.policy[:, 0].astype(int), chosen.policy[:, 1].astype(int)
    assert (disc >= 0).all()
    assert (sky.pair[disc, base] >= 0).all()


def test_the_last_word_puts_the_cheapest_offer_first(pond):
    here, _, _ = pond
    settled = here.solved()
    offers = settled.offers
    there = offers[..., 0] >= 0
    dearer = np.where(there, offers[..., 4], np.inf)
    tee = dearer[-1]
    assert tee[0] == 0.0
    assert (np.diff(tee[np.isfinite(tee)]) >= 0.0).all()
    # From every lie, so that it cannot be luck: the policy throws what is told first.
    np.testing.assert_allclose(settled.valued.policy.actions, offers[:, 0, :4], atol=1e-3)
