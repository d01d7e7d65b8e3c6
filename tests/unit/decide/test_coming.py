"""Where throws come to, the last word on offers, and sets of discs held on whole holes."""

from __future__ import annotations

import numpy as np
import pytest

from advice_worlds import pond_across
from hole_worlds import BREEZE, CALM, PUTTING, fleet_of, open_hole, thrower, world
from rimwise.decide.clouds import CHOOSING, Simulator
from rimwise.decide.coming import Coming
from rimwise.decide.holes import choose, offered
from rimwise.decide.on_holes import hold_on_holes
from rimwise.decide.posing import Sizes
from rimwise.decide.rounds import solve_holes
from rimwise.records.assumptions import Assumptions

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


@pytest.fixture(scope="module")
def held():
    assume = Assumptions()
    fleet = fleet_of(assume=assume)
    here = Simulator(thrower(), assume)
    said: list[float] = []
    found = hold_on_holes(
        here, fleet, [BREEZE], open_hole(95.0), PUTTING, assume, [(0, 1, 2), (0,), (0, 1, 2)],
        sizes=TINY, progress=lambda _what, share: said.append(share),
    )  # fmt: skip
    alone = solve_holes(
        here, fleet.subset([0]), [BREEZE], open_hole(95.0), PUTTING, assume, sizes=TINY
    )
    return found, alone, said


def test_a_set_is_held_against_the_first_on_the_same_throws(held):
    (everything, putter, again), alone, said = held
    assert everything.dearer == 0.0
    assert everything.dearer_se == 0.0
    assert again.dearer == 0.0  # the same set, solved again
    assert putter.dearer > 4.0 * putter.dearer_se > 0.0  # a putter alone, 95 m out
    assert putter.strokes == pytest.approx(everything.strokes + putter.dearer)
    assert putter.strokes == pytest.approx(alone[0].strokes)
    assert sum(dearer for _, dearer, _ in putter.by_hole) == pytest.approx(putter.dearer)
    assert said == sorted(said)
    assert said[-1] == 1.0


def test_a_solved_hole_keeps_no_throws_but_aims(held):
    _, alone, _ = held
    sky = alone[0].days[0].valued.policy.sky
    assert sky.points.size == 0
    assert np.isfinite(sky.middles).all()
