"""A hole in many winds: clouds are flown once for a strength and serve every direction of it.

The clouds of a strength hold every direction that the wind may have along a throw, so that a
hole in another direction of the same wind only has to be searched and valued anew.
"""

from __future__ import annotations

import copy
import functools
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from rimwise.beliefs.fleet import Fleet
from rimwise.decide.clouds import CHOOSING, SCREENING, Draws, Simulator
from rimwise.decide.days import Day
from rimwise.decide.fresh import value_fresh
from rimwise.decide.holes import choose, screen
from rimwise.decide.offers import looked_at_again, offers_of
from rimwise.decide.posing import QUICK, Problem, Sizes
from rimwise.decide.skies import all_pairs, fly_sky
from rimwise.decide.solved import Pool, SolvedDay, SolvedHole

if TYPE_CHECKING:
    from rimwise.decide._holes import Sky

__all__ = ["MANY_WINDS", "Clouds", "Pools", "drawn_once", "fly_clouds", "solve_in_wind"]

#: Enough for a choice from each lie; what is told is thrown anew anyway.
MANY_WINDS = replace(QUICK, screening=16, choosing=64, considered=48, pool=512, least=16)
#: Sets of throws that nothing else uses: to value, to choose among what is offered, to tell.
_VALUING_SET, _CHOOSING_SET, _REPORTING_SET = 601, 602, 603


@dataclass(frozen=True, slots=True, eq=False)
class Clouds:
    """Two sets of throws of every disc on every line, on one day, in any direction of its wind."""

    day: Day
    screening: Sky
    choosing: Sky


@dataclass(frozen=True, slots=True, eq=False)
class Pools:
    """Two sets of draws that had no part in solving: to choose among offers, and to tell."""

    choosing: Pool
    reporting: Pool

    @classmethod
    def draw(cls, simulator: Simulator, fleet: Fleet, choosing: int, reporting: int) -> Pools:
        """Draw sets of so many throws."""
        return cls(
            _pool(simulator, fleet, choosing, _CHOOSING_SET),
            _pool(simulator, fleet, reporting, _REPORTING_SET),
        )


def _pool(simulator: Simulator, fleet: Fleet, samples: int, draw_set: int) -> Pool:
    return Pool(
        draws=Draws.independent(samples, simulator.seed, draw_set),
        discs=np.arange(len(fleet), dtype=np.intp),
        printed=fleet.sample_printed(samples, simulator.seed, draw_set),
        mass_kg=fleet.sample_mass_kg(samples, simulator.seed, draw_set),
    )


def drawn_once(fleet: Fleet) -> Fleet:
    """Return the fleet with its draws remembered: every hole and wind asks for the same ones.

    To draw from all that was learnt takes as long as to search a short hole.
    """
    found = copy.copy(fleet)
    for name in ("sample_printed", "sample_mass_kg"):
        object.__setattr__(found, name, functools.lru_cache(getattr(fleet, name)))
    return found


def fly_clouds(
    simulator: Simulator,
    fleet: Fleet,
    day: Day,
    sizes: Sizes = MANY_WINDS,
    *,
    between: Callable[[], None] = lambda: None,
) -> Clouds:
    """Fly the clouds of a day.

    Parameters
    ----------
    between
        Called between the two sets; raise in it to stop.
    """
    pairs = all_pairs(simulator, fleet)
    screening = fly_sky(simulator, fleet, day, pairs, samples=sizes.screening, draw_set=SCREENING)
    between()
    choosing = fly_sky(simulator, fleet, day, pairs, samples=sizes.choosing, draw_set=CHOOSING)
    return Clouds(day, screening, choosing)


def solve_in_wind(
    simulator: Simulator,
    fleet: Fleet,
    posed: Problem,
    clouds: Clouds,
    pools: Pools,
    wind_rad: float,
    sizes: Sizes = MANY_WINDS,
) -> SolvedHole:
    """Solve a hole in one direction of the wind.

    Parameters
    ----------
    posed
        The hole on the day of the clouds, in any direction.
    wind_rad
        Where the wind comes from, to the right of the line from tee to basket.
    """
    problem = replace(posed, wind_rad=wind_rad)
    screened = screen(problem, clouds.screening, sizes)
    chosen = choose(problem, clouds.choosing, screened, sizes)
    chosen, tee = looked_at_again(problem, chosen, clouds.choosing)
    valued = value_fresh(
        simulator, fleet, clouds.day, problem, chosen, clouds.choosing, sizes,
        draw_set=_VALUING_SET,
    )  # fmt: skip
    one = SolvedDay(
        day=clouds.day,
        share=1.0,
        policy=valued.policy,
        cost=valued.cost,
        offers=offers_of(chosen, tee),
        strokes=valued.strokes,
        strokes_se=valued.strokes_se,
        chances=valued.chances,
        lost=valued.lost,
    )
    return SolvedHole(
        posed.hole, simulator, fleet, (one,), pools.choosing, pools.reporting, valued.strokes_se
    )
