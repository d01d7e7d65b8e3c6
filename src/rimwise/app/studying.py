"""Many players at once: a small study of each, on any executor, equal to the bit.

For a club, a coach or a shop. One player's study is one call that depends on its seed alone, so it
may run here, in processes of this computer or on a cluster: anything with the ``map`` of
:class:`concurrent.futures.Executor`, as Dask's distributed client gives. Players are invented.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from concurrent.futures import Executor
from dataclasses import dataclass

from rimwise.beliefs.owners import imagine_owner
from rimwise.beliefs.putting import PuttingModel
from rimwise.decide.carry import Wishes, choose_carry
from rimwise.decide.clouds import Simulator
from rimwise.decide.days import day_of
from rimwise.decide.demand import build_demand
from rimwise.errors import check_range
from rimwise.records.conditions import ScenarioDay
from rimwise.records.courses import Course, Hole

__all__ = ["Studied", "course", "study_player", "study_players"]

#: Nine open holes, m, each in another direction, and one kind of day.
LENGTHS_M = (52.0, 60.0, 66.0, 74.0, 81.0, 88.0, 97.0, 110.0, 135.0)
DAY = ScenarioDay("breeze", 1.0, 12.0, 1013.0, 0.7, 5.0, 240.0)
#: Discs owned, and carried.
DISCS, LIMIT = 20, 8
_SCREENING, _CHOOSING, _REPORTING = 16, 32, 64
_PUTTING = PuttingModel(2.2)


@dataclass(frozen=True, slots=True)
class Studied:
    """One player's carry and what it costs.

    Parameters
    ----------
    seed
        Which player.
    chosen
        The discs carried.
    strokes, strokes_se
        A round of nine with them, and one standard error.
    lost
        What they cost more than everything owned.
    """

    seed: int
    chosen: tuple[str, ...]
    strokes: float
    strokes_se: float
    lost: float


def study_player(seed: int) -> Studied:
    """Choose the carry of one invented player for nine holes on one kind of day.

    Parameters
    ----------
    seed
        0 or more.
    """
    owner = imagine_owner(int(check_range("seed", seed, 0, 2**31)), discs=DISCS, throws=0,
                          comparisons=0)  # fmt: skip
    simulator = Simulator(
        owner.thrower, owner.assume, seed=seed, threads=1,
        screening=_SCREENING, choosing=_CHOOSING, reporting=_REPORTING,
    )  # fmt: skip
    day = day_of(DAY, 1.0, owner.thrower, owner.assume)
    demand = build_demand(simulator, owner.fleet, (day,), course(), _PUTTING, owner.assume)
    chosen = choose_carry(demand, Wishes(LIMIT)).chosen
    strokes, error = demand.strokes(chosen)
    lost, _ = demand.difference(chosen, range(len(owner.fleet)))
    return Studied(seed, tuple(owner.fleet.ids[disc] for disc in chosen), strokes, error, lost)


def study_players(seeds: Iterable[int], executor: Executor | None = None) -> Iterator[Studied]:
    """Study players in order, here or on an executor; the results are the same to the bit."""
    return map(study_player, seeds) if executor is None else executor.map(study_player, seeds)


def course() -> Course:
    """Return nine open holes, each in another direction."""
    turns = [2.0 * math.pi * place / len(LENGTHS_M) for place in range(len(LENGTHS_M))]
    holes = tuple(
        Hole(str(number + 1), (0.0, 0.0), (length * math.sin(turn), length * math.cos(turn)), 3)
        for number, (length, turn) in enumerate(zip(LENGTHS_M, turns, strict=True))
    )
    return Course("nine open holes", holes)
