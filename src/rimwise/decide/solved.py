"""A solved hole cut down to what answers questions later: aims, offers, values, and fresh draws.

The clouds that a hole was solved with take a hundred megabytes; what is kept here takes a few
hundred kilobytes and is enough to throw from any lie again, exactly as the policy would.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from rimwise.beliefs.fleet import Fleet
from rimwise.decide.clouds import Draws, Simulator
from rimwise.decide.days import Day
from rimwise.decide.fresh import Policy
from rimwise.decide.posing import Problem
from rimwise.decide.rounds import HoleDay, HolePlan
from rimwise.decide.skies import light_sky
from rimwise.records.courses import Hole

if TYPE_CHECKING:
    from rimwise.decide._holes import Sky

__all__ = ["CHOOSES", "REPORTS", "Pool", "SolvedDay", "SolvedHole", "solved_of"]

Floats = NDArray[np.float64]

#: Sets of throws that only advice uses (see :mod:`rimwise.decide.clouds`): one to choose among
#: what is offered, one to tell what was chosen.
_CHOOSING_SET, _REPORTING_SET = 501, 502
#: Their sizes.
CHOOSES, REPORTS = 128, 512


@dataclass(frozen=True, slots=True, eq=False)
class Pool:
    """Draws of one set: the releases, and what each disc is in each of them.

    Parameters
    ----------
    discs
        (disc,) row of each disc in the other arrays; −1 where it is offered nowhere.
    printed, mass_kg
        (row, sample, 4) and (row, sample).
    """

    draws: Draws
    discs: NDArray[np.intp]
    printed: Floats
    mass_kg: Floats

    def __len__(self) -> int:
        return len(self.draws)


@dataclass(frozen=True, slots=True, eq=False)
class SolvedDay:
    """One hole on one day.

    Parameters
    ----------
    day
        With the wind as it blows on this hole.
    share
        Of the rounds played on such a day.
    policy
        What to do from any lie, with :func:`rimwise.decide.skies.light_sky`.
    cost
        (lie,) strokes-to-finish by a throw as valued on fresh throws.
    offers
        (lie, offer, 5), see :mod:`rimwise.decide.offers`.
    strokes, strokes_se, chances, lost
        As in :class:`rimwise.decide.fresh.Valued`.
    """

    day: Day
    share: float
    policy: Policy
    cost: Floats
    offers: NDArray[np.float32]
    strokes: float
    strokes_se: float
    chances: Floats
    lost: Floats

    @property
    def problem(self) -> Problem:
        """The hole as posed on this day."""
        return self.policy.problem


@dataclass(frozen=True, slots=True, eq=False)
class SolvedHole:
    """A hole over all days of some conditions.

    Parameters
    ----------
    simulator, fleet
        Whose throws they are, and the discs they are made with.
    choosing, reporting
        Two sets of throws that had no part in solving.
    strokes_se
        One standard error of the strokes over all days.
    """

    hole: Hole
    simulator: Simulator
    fleet: Fleet
    days: tuple[SolvedDay, ...]
    choosing: Pool
    reporting: Pool
    strokes_se: float

    @property
    def strokes(self) -> float:
        """Expected strokes, lost discs at their worth included."""
        return sum(one.share * one.strokes for one in self.days)

    @property
    def chances(self) -> Floats:
        """Chance of every score, by strokes from 0 on; the last stands for all above."""
        return np.asarray(np.sum([one.share * one.chances for one in self.days], axis=0))

    @property
    def lost(self) -> Floats:
        """Discs lost in one play, (disc,)."""
        return np.asarray(np.sum([one.share * one.lost for one in self.days], axis=0))


def solved_of(simulator: Simulator, fleet: Fleet, plan: HolePlan) -> SolvedHole:
    """Cut a solved hole down to what is kept.

    Numbers are rounded as they are kept, so that what is told does not depend on whether a
    hole was just solved or read back.
    """
    offered = np.unique(np.concatenate([one.offers[..., 0].ravel() for one in plan.days]))
    discs = offered[offered >= 0].astype(np.intp)
    return SolvedHole(
        hole=plan.hole,
        simulator=simulator,
        fleet=fleet,
        days=tuple(_day_of(one) for one in plan.days),
        choosing=_pool(simulator, fleet, discs, CHOOSES, _CHOOSING_SET),
        reporting=_pool(simulator, fleet, discs, REPORTS, _REPORTING_SET),
        strokes_se=plan.strokes_se,
    )


def _day_of(one: HoleDay) -> SolvedDay:
    valued = one.valued
    sky = valued.policy.sky
    policy = replace(
        valued.policy,
        actions=_rounded(valued.policy.actions),
        decide=_rounded(valued.policy.decide),
        sky=_offered_only(sky, one.offers),
    )
    return SolvedDay(
        day=one.day,
        share=one.share,
        policy=policy,
        cost=_rounded(valued.cost),
        offers=one.offers,
        strokes=valued.strokes,
        strokes_se=valued.strokes_se,
        chances=valued.chances,
        lost=valued.lost,
    )


def _rounded(values: Floats) -> Floats:
    return values.astype(np.float32).astype(np.float64)


def _offered_only(sky: Sky, offers: NDArray[np.float32]) -> Sky:
    """Return a light sky with the pairs that are offered anywhere."""
    flat = offers[..., :2].reshape(-1, 2)
    wanted = np.unique(flat[flat[:, 0] >= 0].astype(np.int64), axis=0)
    index = np.full(sky.pair.shape, -1, dtype=np.int64)
    index[wanted[:, 0], wanted[:, 1]] = np.arange(len(wanted))
    rows = sky.pair[wanted[:, 0], wanted[:, 1]]
    return light_sky(_rounded(np.ascontiguousarray(sky.middles[rows])), index)


def _pool(
    simulator: Simulator, fleet: Fleet, discs: NDArray[np.intp], samples: int, draw_set: int
) -> Pool:
    row = np.full(len(fleet), -1, dtype=np.intp)
    row[discs] = np.arange(len(discs))
    printed = fleet.sample_printed(samples, simulator.seed, draw_set)[discs]
    mass_kg = fleet.sample_mass_kg(samples, simulator.seed, draw_set)[discs]
    return Pool(
        draws=Draws.independent(samples, simulator.seed, draw_set),
        discs=row,
        printed=_rounded(printed),
        mass_kg=_rounded(mass_kg),
    )
