"""A study of many players: the same to the bit here, in processes and on a Dask cluster."""

from __future__ import annotations

from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context

import pytest

from rimwise.app.studying import LIMIT, study_player, study_players
from rimwise.errors import InputError


@pytest.fixture(scope="module")
def here():
    return list(study_players(range(2)))


def test_players_differ_and_carry_what_they_may(here):
    assert [one.seed for one in here] == [0, 1]
    assert len({one.strokes for one in here}) == 2
    for one in here:
        assert 0 < len(one.chosen) <= LIMIT
        assert len(set(one.chosen)) == len(one.chosen)
        assert 9 * 2.0 < one.strokes < 9 * 6.0
        assert one.strokes_se > 0.0


def test_processes_of_this_computer_give_the_same_to_the_bit(here):
    with ProcessPoolExecutor(1, mp_context=get_context("spawn")) as executor:
        assert list(study_players(range(2), executor)) == here


def test_a_dask_cluster_gives_the_same_to_the_bit(here):
    distributed = pytest.importorskip("distributed")
    cluster = distributed.LocalCluster(
        n_workers=1, threads_per_worker=2, processes=False, dashboard_address=":0"
    )
    with cluster, distributed.Client(cluster) as client:
        assert list(study_players(range(2), client.get_executor())) == here


def test_a_seed_below_nothing_is_refused():
    with pytest.raises(InputError, match="seed"):
        study_player(-1)
