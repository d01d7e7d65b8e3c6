"""The hole solver against play by an independent simulator, closed forms and symmetries.

No outside number is needed: what must hold is arithmetic. Full sizes are ``make prove``; here the
samples are few, the tolerances the same or, where said, wider.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import replace

import numpy as np
import pytest

from forward_play import Player, play
from hole_worlds import (
    BREEZE,
    CALM,
    NO_SCATTER,
    PUTTING,
    SMALL,
    World,
    everything,
    marked,
    moved,
    open_hole,
    sure,
    wind_mirrored,
    wind_turned,
    world,
)  # fmt: skip
from rimwise.decide.clouds import CHOOSING
from rimwise.decide.coming import Coming
from rimwise.decide.fresh import Valued
from rimwise.decide.holes import choose
from rimwise.records.thrower import Hand

#: A policy valued and played must agree to this, and three standard errors of both.
AGREES_STROKES = 0.03
#: Turned and mirrored holes differ only by how sums are rounded, which may tip a choice.
SAME_STROKES = 2e-3


@pytest.fixture(scope="module")
def full_hole() -> tuple[World, float, Valued]:
    here = world(everything())
    settled = here.solved()
    return here, settled.promised, settled.valued


def test_play_agrees_with_the_value(full_hole) -> None:
    here, _, valued = full_hole
    player = Player(here.simulator, here.fleet, here.day, here.assume)
    played = play(valued.policy, player, PUTTING, here.course, here.course.holes[0], 11, 6000)
    mean, error = played.mean()
    both = math.hypot(error, valued.strokes_se)
    assert abs(mean - valued.strokes) <= AGREES_STROKES + 3.0 * both
    assert both < 0.02  # else the line above says nothing


def test_play_agrees_where_owners_have_drawn_and_marked() -> None:
    """A wood of its own, thick rough, both limits, a mandatory, a drop zone, shelter, dusk."""
    autumn = replace(BREEZE, cover="leaves", dusk=True)
    here = world(marked(), autumn, sizes=replace(SMALL, pool=4096))
    valued = here.solved().valued
    player = Player(here.simulator, here.fleet, here.day, here.assume)
    # The hole points north in a breeze from the west-south-west, as the policy has it.
    played = play(valued.policy, player, PUTTING, here.course, here.course.holes[0], 21, 5000)
    mean, error = played.mean()
    both = math.hypot(error, valued.strokes_se)
    assert abs(mean - valued.strokes) <= AGREES_STROKES + 3.0 * both
    assert both < 0.025
    worth = float(played.worth_lost.mean())
    assert float(valued.lost @ valued.policy.problem.prices[:, 1]) == pytest.approx(worth, rel=0.3)


def test_scores_agree_with_play(full_hole) -> None:
    here, _, valued = full_hole
    player = Player(here.simulator, here.fleet, here.day, here.assume)
    strokes = play(
        valued.policy, player, PUTTING, here.course, here.course.holes[0], 12, 6000
    ).strokes
    for score in (2, 3, 4, 5):
        share = float(np.mean(strokes == score))
        error = math.sqrt(share * (1.0 - share) / len(strokes)) + 1e-3
        assert abs(share - valued.chances[score]) <= 0.02 + 4.0 * error
    assert valued.chances.sum() == pytest.approx(1.0, abs=1e-6)
    assert abs(strokes.std() - valued.score_sd) < 0.06


def test_lost_discs_agree_with_play(full_hole) -> None:
    here, _, valued = full_hole
    player = Player(here.simulator, here.fleet, here.day, here.assume)
    worth = play(
        valued.policy, player, PUTTING, here.course, here.course.holes[0], 13, 6000
    ).worth_lost
    error = worth.std() / math.sqrt(len(worth))
    told = float(valued.lost @ valued.policy.problem.prices[:, 1])
    assert told > 0.0
    assert abs(worth.mean() - told) <= 4.0 * error + 0.1 * told


def test_promise_on_the_choosing_throws_is_too_good_and_less_so_with_more() -> None:
    """The optimiser's curse, averaged over seeds: luck alone moves a single gap by more."""
    gaps = []
    for choosing in (16, 128):
        sizes = replace(SMALL, choosing=choosing)
        pairs = [
            world(open_hole(75.0), BREEZE, sizes=sizes, seed=seed).solved() for seed in range(8)
        ]
        gaps.append(np.mean([one.valued.strokes - one.promised for one in pairs]))
    assert gaps[0] > 0.01
    assert gaps[1] < 0.6 * gaps[0]


def test_turning_hole_and_wind_together_changes_nothing(full_hole) -> None:
    _, _, valued = full_hole
    turn = math.radians(73.0)
    turned = world(moved(everything(), turn), wind_turned(BREEZE, turn)).solved().valued
    assert turned.strokes == pytest.approx(valued.strokes, abs=SAME_STROKES)


def test_mirror_hole_for_a_mirror_player_changes_nothing(full_hole) -> None:
    """On the choosing throws: mirrored lies draw other fresh throws from the pool."""
    _, promised, _ = full_hole
    mirrored = world(moved(everything(), mirror=True), wind_mirrored(BREEZE), hand=Hand.LEFT)
    assert mirrored.solved().promised == pytest.approx(promised, abs=SAME_STROKES)


def test_mirror_hole_for_the_same_player_is_another_hole(full_hole) -> None:
    """Else the two tests above could not fail."""
    _, promised, _ = full_hole
    other = world(moved(everything(), mirror=True), wind_mirrored(BREEZE)).solved().promised
    assert abs(other - promised) > 5.0 * SAME_STROKES


def test_longer_is_dearer_on_open_ground() -> None:
    strokes = [world(open_hole(m), CALM).solved().valued for m in (30, 50, 70, 95, 130, 180)]
    for near, far in itertools.pairwise(strokes):
        assert far.strokes > near.strokes + 2.0 * (far.strokes_se + near.strokes_se)


def test_pruning_loses_nothing(full_hole) -> None:
    here, _, valued = full_hole
    whole = here.solved(prune=False).valued
    assert valued.strokes - whole.strokes <= 0.005 + 2.0 * valued.strokes_se


def test_another_disc_never_hurts() -> None:
    """On one set of throws and nested actions, from every lie, to the residual."""
    sizes = replace(SMALL, kept=3, considered=48, best=48, residual=1e-7, nudged=0)
    here = world(everything(), sizes=sizes)
    problem = here.problem()
    found = here.screened(problem, fine=True, prune=False)  # every disc's lines from every lie
    lies = problem.lattice.lies
    found = replace(found, coming=Coming(lies, np.full(len(lies), 1.0)))  # all are chosen for
    sky = here.sky(sizes.choosing, CHOOSING)
    masks = ([True, False, False], [True, True, False], [True, True, True])
    costs = [choose(problem, sky, found, sizes, discs=np.array(m)).cost for m in masks]
    for fewer, more in itertools.pairwise(costs):
        assert np.all(more <= fewer + 1e-5)
    assert costs[0][-1] > costs[2][-1] + 0.05


def test_sure_thrower_is_a_closed_form() -> None:
    """No scatter, no wind: one throw to the basket, and a putt from next to it."""
    valued = world(open_hole(60.0), CALM, scatter=NO_SCATTER, assume=sure()).solved().valued
    assert valued.strokes == pytest.approx(2.0, abs=0.02)
    assert valued.strokes_se == pytest.approx(0.0, abs=1e-9)


def test_sure_thrower_who_loses_discs_is_a_geometric_series() -> None:
    """Each throw is lost with chance q, at a stroke and the disc, and thrown again.

    ``V = 1 + q (1 + worth + V) + (1 - q) W`` with ``W`` the putt from next to the basket.
    """
    q = 0.2
    plain = world(open_hole(60.0), CALM, scatter=NO_SCATTER, assume=sure())
    putt = plain.solved().valued.strokes - 1.0
    assume = replace(sure(), rough_loss_chance=q)
    lossy = world(open_hole(60.0), CALM, scatter=NO_SCATTER, assume=assume).solved().valued
    worth = assume.lost_disc_strokes
    expected = (1.0 + q * (1.0 + worth) + (1.0 - q) * putt) / (1.0 - q)
    assert lossy.strokes == pytest.approx(expected, abs=0.01)
    assert lossy.lost.sum() == pytest.approx(q / (1.0 - q), abs=0.01)
    assert lossy.chances[2] == pytest.approx(1.0 - q, abs=0.02)
    assert lossy.chances[4] == pytest.approx(q * (1.0 - q), abs=0.02)


def test_threads_change_nothing(full_hole) -> None:
    here, _, valued = full_hole
    alone = replace(here, simulator=replace(here.simulator, threads=1)).solved().valued
    assert alone.strokes == valued.strokes
    assert np.array_equal(alone.chances, valued.chances)
