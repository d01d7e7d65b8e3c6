"""Certify the carries of invented owners: are they stable, is any single change better.

Usage: ``python tools/certify_players.py [--owners N] [--discs N] [--limit N]``. Each owner has nine
open holes and two kinds of day, a mild one and a cold, wet, windy one. What follows a throw is by
distance alone. Prints seconds of this process, the proof's gap, and the best single change.
"""

from __future__ import annotations

import argparse
import time

from rimwise.app.studying import course
from rimwise.beliefs.fleet import Fleet
from rimwise.beliefs.owners import imagine_owner
from rimwise.beliefs.putting import PuttingModel
from rimwise.decide.carry import Wishes, choose_carry
from rimwise.decide.certify import certify
from rimwise.decide.clouds import Simulator
from rimwise.decide.days import day_of
from rimwise.decide.demand import Demand, Progress, build_demand
from rimwise.records.conditions import ScenarioDay

DAYS = (
    ScenarioDay("mild", 0.5, 18.0, 1013.0, 0.6, 3.0, 240.0),
    ScenarioDay("raw", 0.5, 3.0, 1000.0, 0.95, 8.0, 230.0, wet=True),
)


def certify_owner(seed: int, discs: int, limit: int) -> str:
    """Return a line about one owner's carry."""
    owner = imagine_owner(seed, discs=discs, throws=0, comparisons=0)
    simulator = Simulator(owner.thrower, owner.assume, seed=seed)
    days = tuple(day_of(day, day.weight, owner.thrower, owner.assume) for day in DAYS)

    def build(fleet: Fleet, told: Progress) -> Demand:
        return build_demand(
            simulator, fleet, days, course(), PuttingModel(2.2), owner.assume, progress=told
        )

    def more(demand: Demand, fleet: Fleet, told: Progress) -> Demand:
        return demand.with_more(simulator, fleet, owner.assume, told)

    began = time.process_time()
    table = build(owner.fleet, lambda _what, _share: None)
    filled = time.process_time()
    choice = choose_carry(table, Wishes(limit))
    chosen = time.process_time()
    found = certify(owner.fleet, choice.chosen, Wishes(limit), build, more)
    ended = time.process_time()
    strokes, error = table.strokes(choice.chosen)
    lost, lost_error = table.difference(choice.chosen, range(discs))
    gap = max(abs(gap) for _, _, gap in choice.criteria)
    best = found.changes[0]
    parts = (
        f"owner {seed}: {len(choice.chosen)} of {discs} discs, {strokes:.2f} ± {error:.2f} strokes",
        f"{lost:.3f} ± {lost_error:.3f} lost; proof's gap {gap:.1e}",
        f"stable {found.stable} after {found.again}",
        f"against the first {found.against:.3f} ± {found.against_se:.3f}",
        f"best of {len(found.changes)} changes saves {best.saves:.3f} ± {best.saves_se:.3f}",
        f"{sum(change.better for change in found.changes)} beyond two errors",
        f"seconds: table {filled - began:.1f}",
        f"choice {chosen - filled:.1f}, certificate {ended - chosen:.1f}",
    )
    return ", ".join(parts)


def main() -> None:
    """Certify some owners."""
    asking = argparse.ArgumentParser(description=__doc__)
    asking.add_argument("--owners", type=int, default=3)
    asking.add_argument("--discs", type=int, default=30)
    asking.add_argument("--limit", type=int, default=12)
    given = asking.parse_args()
    for seed in range(given.owners):
        print(certify_owner(seed, given.discs, given.limit), flush=True)


if __name__ == "__main__":
    main()
