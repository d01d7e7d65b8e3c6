"""Why each disc goes: every throw told once, every disc left at home stood in for."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest
from small_worlds import FOUR, season

from rimwise.decide.reasons import MOST_JOBS, left_out, purposes

DISCS = range(len(FOUR))
SETS = [s for n in (2, 3, 4) for s in combinations(DISCS, n)]


@pytest.mark.parametrize("chosen", SETS)
def test_every_carried_disc_is_told_once_and_every_throw_too(chosen: tuple[int, ...]) -> None:
    table = season()
    told = purposes(table, chosen)
    assert sorted(p.disc_id for p in told) == sorted(FOUR[d].id for d in chosen)
    assert sum(p.throws for p in told) == pytest.approx(table.weights.sum())
    costs = [p.stand_in_cost for p in told]
    assert costs == sorted(costs, reverse=True)
    serves = table.serves(chosen)
    for purpose in told:
        disc = table.fleet.index(purpose.disc_id)
        assert purpose.throws == pytest.approx(table.weights[serves == disc].sum())
        others = [d for d in chosen if d != disc]
        assert (purpose.stand_in_cost, purpose.stand_in_se) == table.difference(others, chosen)
        carried = {FOUR[d].id for d in others}
        assert set(purpose.stand_ins) <= carried
        assert len(purpose.jobs) <= MOST_JOBS
        assert {job.instead for job in purpose.jobs} <= carried


@pytest.mark.parametrize("chosen", SETS)
def test_jobs_never_count_a_throw_twice_and_lose_something_without_the_disc(
    chosen: tuple[int, ...],
) -> None:
    for purpose in purposes(season(), chosen):
        visits = sum(job.visits for job in purpose.jobs)
        assert visits <= purpose.throws + 1e-9
        if len(purpose.jobs) < MOST_JOBS:
            assert visits == pytest.approx(purpose.throws)
        assert all(job.strokes >= 0.0 for job in purpose.jobs)
        lost = [job.visits * job.strokes for job in purpose.jobs]
        assert np.all(np.diff(lost) <= 1e-12)
        assert all(job.day in {"mild", "gale"} and job.line for job in purpose.jobs)


def test_a_lone_disc_does_everything_and_has_no_stand_in() -> None:
    (only,) = purposes(season(), [2])
    assert only.disc_id == "fw"
    assert only.throws == pytest.approx(season().weights.sum())
    assert only.stand_ins == ()
    assert only.stand_in_cost is None


@pytest.mark.parametrize("chosen", [(0,), (1, 2), (0, 1, 3), (0, 1, 2, 3)])
def test_every_disc_left_at_home_has_a_carried_stand_in(chosen: tuple[int, ...]) -> None:
    table = season()
    told = left_out(table, chosen)
    assert sorted(t.disc_id for t in told) == sorted(FOUR[d].id for d in DISCS if d not in chosen)
    for one in told:
        assert one.instead in {FOUR[d].id for d in chosen}
        assert one.hole in {"1", "2"}
        more = [*chosen, table.fleet.index(one.disc_id)]
        assert (one.saving, one.saving_se) == table.difference(chosen, more)
    savings = [one.saving for one in told]
    assert savings == sorted(savings, reverse=True)
