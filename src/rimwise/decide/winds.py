"""A hole in many winds: clouds are flown once for a strength and serve every direction of it.

The clouds of a strength hold every direction that the wind may have along a throw, so that a
hole in another direction of the same wind only has to be searched and valued anew.
"""

from __future__ import annotations

import copy
import functools
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from rimwise.beliefs.fleet import Fleet
from rimwise.decide.clouds import CHOOSING, SCREENING, Draws, Simulator
from rimwise.decide.coming import Coming
from rimwise.decide.days import Day
from rimwise.decide.fresh import Valued, value_many
from rimwise.decide.holes import Chosen, Screened, choose, screen
from rimwise.decide.offers import looked_at_again, offers_of
from rimwise.decide.posing import QUICK, Problem, Sizes
from rimwise.decide.skies import all_pairs, fly_sky
from rimwise.decide.solved import Pool, SolvedDay, SolvedHole

if TYPE_CHECKING:
    from rimwise.decide._holes import Sky

__all__ = [
    "MANY_WINDS", "Clouds", "Pools", "Searched", "drawn_once", "fly_clouds", "search_between",
    "search_in_wind", "solve_in_wind", "value_in_winds",
]  # fmt: skip

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


@dataclass(frozen=True, slots=True, eq=False)
class Searched:
    """What to do on a hole in one direction of a wind, as chosen on the clouds."""

    problem: Problem
    chosen: Chosen
    offers: NDArray[np.float32]
    coming: Coming


def search_in_wind(
    posed: Problem, clouds: Clouds, wind_rad: float, sizes: Sizes = MANY_WINDS
) -> Searched:
    """Search every disc and line in one direction of the wind.

    Parameters
    ----------
    posed
        The hole on the day of the clouds, in any direction.
    wind_rad
        Where the wind comes from, to the right of the line from tee to basket.
    """
    problem = replace(posed, wind_rad=wind_rad)
    screened = screen(problem, clouds.screening, sizes)
    return _searched(problem, clouds, screened, sizes)


def search_between(
    posed: Problem,
    clouds: Clouds,
    wind_rad: float,
    near: Sequence[Searched],
    sizes: Sizes = MANY_WINDS,
) -> Searched:
    """Choose in a direction among what was found best in winds near it.

    The throws are aimed and priced in this wind, moved a little, and from the tee every disc and
    line is looked at; only what is dear in all winds near it is not tried.

    Parameters
    ----------
    near
        The hole as searched in winds near this one.
    """
    problem = replace(posed, wind_rad=wind_rad)
    found = Screened(
        problem.lattice,
        np.concatenate([one.offers[..., :4] for one in near], axis=1, dtype=np.float64),
        np.mean([one.chosen.cost for one in near], axis=0),
        Coming(
            np.concatenate([one.coming.lies for one in near]),
            np.concatenate([one.coming.throws / len(near) for one in near]),
        ),
        0, 0, 0,
    )  # fmt: skip
    return _searched(problem, clouds, found, sizes)


def _searched(problem: Problem, clouds: Clouds, screened: Screened, sizes: Sizes) -> Searched:
    chosen = choose(problem, clouds.choosing, screened, sizes)
    chosen, tee = looked_at_again(problem, chosen, clouds.choosing)
    return Searched(problem, chosen, offers_of(chosen, tee), screened.coming)


def solve_in_wind(
    simulator: Simulator,
    fleet: Fleet,
    posed: Problem,
    clouds: Clouds,
    pools: Pools,
    wind_rad: float,
    sizes: Sizes = MANY_WINDS,
) -> SolvedHole:
    """Solve a hole in one direction of the wind, see :func:`search_in_wind`."""
    searched = search_in_wind(posed, clouds, wind_rad, sizes)
    return value_in_winds(simulator, fleet, clouds, pools, [searched], sizes)[0]


def value_in_winds(
    simulator: Simulator,
    fleet: Fleet,
    clouds: Clouds,
    pools: Pools,
    searched: Sequence[Searched],
    sizes: Sizes = MANY_WINDS,
) -> list[SolvedHole]:
    """Value what was found on a hole in some directions of one wind, on fresh throws."""
    valued = value_many(
        simulator, fleet, clouds.day, [one.problem for one in searched],
        [one.chosen for one in searched], clouds.choosing, sizes, draw_set=_VALUING_SET,
    )  # fmt: skip
    return [
        _solved(simulator, fleet, clouds.day, pools, one, worth)
        for one, worth in zip(searched, valued, strict=True)
    ]


def _solved(
    simulator: Simulator, fleet: Fleet, day: Day, pools: Pools, searched: Searched, valued: Valued
) -> SolvedHole:
    one = SolvedDay(
        day=day,
        share=1.0,
        policy=valued.policy,
        cost=valued.cost,
        offers=searched.offers,
        strokes=valued.strokes,
        strokes_se=valued.strokes_se,
        chances=valued.chances,
        lost=valued.lost,
    )
    return SolvedHole(
        searched.problem.hole, simulator, fleet, (one,), pools.choosing, pools.reporting,
        valued.strokes_se,
    )  # fmt: skip
