"""Hold the hole solver to play by an independent simulator, to finer lattices and to no pruning.

Usage: ``python tools/prove_holes.py [--rounds N] [--conditions NAME] [--day N] [--holes REF ...]
[--only play|tables|time]`` (or ``make prove``).

Brings the demo's records into a file of its own, solves every hole on one day, plays the policy
forward with fresh random numbers (``tests/forward_play.py``), and prints the tables of
``docs/holes.md``. Ends with exit code 1 when a hole or the round disagrees.
"""

from __future__ import annotations

import argparse
import math
import resource
import sys
import tempfile
import time
from dataclasses import replace
from pathlib import Path

from rimwise.app.planning import Prepared, prepare
from rimwise.decide.clouds import CHOOSING, SCREENING
from rimwise.decide.days import Day, days_of
from rimwise.decide.holes import Screened, screen
from rimwise.decide.posing import FULL, QUICK, Problem, Sizes, pose
from rimwise.decide.rounds import settle_hole, solve_holes
from rimwise.decide.skies import all_pairs, fly_sky
from rimwise.demo.scenario import bring_demo
from rimwise.store.opening import open_store

sys.path.insert(0, str(Path(__file__).parents[1] / "tests"))
from forward_play import Player, play

#: What a hole and a round may differ by, besides three standard errors.
HOLE_STROKES, ROUND_STROKES = 0.03, 0.1


def main() -> int:
    """Print the tables; return 1 when play disagrees with what is told."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--rounds", type=int, default=20_000)
    parser.add_argument("--conditions", default="winter")
    parser.add_argument("--day", type=int, default=1)
    parser.add_argument("--holes", nargs="*")
    parser.add_argument("--only", choices=("play", "tables", "time"))
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder, open_store(Path(folder) / "demo.db") as store:
        bring_demo(store)
        ready = prepare(store, course=None, thrower=None, seed=1)
        conditions = next(c for c in store.conditions.all() if c.name == asked.conditions)
        every = [
            day for c in store.conditions.all() for day in days_of(c, ready.thrower, ready.assume)
        ]
    day = replace(days_of(conditions, ready.thrower, ready.assume)[asked.day], share=1.0)
    refs = asked.holes or [hole.ref for hole in ready.course.holes]
    print(f"{asked.conditions}: {day.name}; {len(ready.fleet)} discs")
    agrees = True
    if asked.only == "time":
        time_it(ready, every)
    if asked.only in (None, "play"):
        agrees = play_table(ready, day, refs, asked.rounds)
    if asked.only in (None, "tables"):
        for ref in [ref for ref in ("6", "11") if ref in refs] or refs[:2]:
            tables(ready, day, ref)
    return 0 if agrees else 1


def play_table(ready: Prepared, day: Day, refs: list[str], rounds: int) -> bool:
    """Play every hole forward; return whether all agree."""
    began = time.monotonic()
    plans = solve_holes(
        ready.simulator, ready.fleet, [day], ready.course, ready.putting, ready.assume, holes=refs
    )
    print(f"solved in {time.monotonic() - began:.0f} s")
    print("| hole | metres | told | played | difference | allowed |")
    print("|---|---|---|---|---|---|")
    player = Player(ready.simulator, ready.fleet, day, ready.assume)
    agrees, told, scored, errors = True, 0.0, 0.0, 0.0
    for number, plan in enumerate(plans):
        valued = plan.days[0].valued
        played = play(
            valued.policy, player, ready.putting, ready.course, plan.hole, 1000 + number, rounds
        )
        mean, error = played.mean()
        allowed = HOLE_STROKES + 3.0 * math.hypot(error, valued.strokes_se)
        agrees &= abs(mean - valued.strokes) <= allowed
        told, scored, errors = told + valued.strokes, scored + mean, errors + error**2
        print(
            f"| {plan.hole.ref} | {plan.hole.length_m:.0f} "
            f"| {valued.strokes:.4f} ± {valued.strokes_se:.4f} "
            f"| {mean:.4f} ± {error:.4f} | {mean - valued.strokes:+.4f} | {allowed:.4f} |",
            flush=True,
        )
    own = math.sqrt(sum(plan.strokes_se**2 for plan in plans))
    print(
        f"| round | | {told:.3f} ± {own:.3f} "
        f"| {scored:.3f} ± {math.sqrt(errors):.3f} | {scored - told:+.3f} | {ROUND_STROKES} |"
    )
    return bool(agrees and abs(scored - told) <= ROUND_STROKES)


def time_it(ready: Prepared, days: list[Day], discs: int = 40) -> None:
    """Time whole courses, as many discs and days as a season asks for, and hold quick to full.

    The demo has fewer discs at hand: some of them come twice, which costs as much.
    """
    fleet = ready.fleet.subset([n % len(ready.fleet) for n in range(discs)])
    print(f"{len(ready.course.holes)} holes, {discs} discs, {len(days)} days")

    def solved(sizes: Sizes, count: int, some: list[Day]):
        began, used = time.monotonic(), time.process_time()
        plans = solve_holes(
            ready.simulator, fleet.subset(range(count)), some, ready.course, ready.putting,
            ready.assume, sizes=sizes,
        )  # fmt: skip
        return plans, time.monotonic() - began, time.process_time() - used

    solved(QUICK, 3, days[:1])  # compiles
    strokes = []
    for name, sizes in (("full", FULL), ("quick", QUICK)):
        plans, wall_s, used_s = solved(sizes, discs, days)
        rounds = sum(day.share for day in days)
        strokes.append(sum(plan.strokes for plan in plans) / rounds)
        error = math.sqrt(sum(plan.strokes_se**2 for plan in plans)) / rounds
        largest_mb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0
        print(
            f"{name}: {wall_s:.0f} s, {used_s:.0f} s of processor, at most {largest_mb:.0f} MB; "
            f"{strokes[-1]:.3f} strokes a round, one error {error:.3f}",
            flush=True,
        )
    print(f"quick plays {strokes[1] - strokes[0]:+.3f} strokes a round dearer than full")


def tables(ready: Prepared, day: Day, ref: str) -> None:
    """Print what pruning, the lattice and the size of the choosing clouds do to one hole."""
    pairs = all_pairs(ready.simulator, ready.fleet)

    def sky(samples: int, draw_set: int):
        return fly_sky(ready.simulator, ready.fleet, day, pairs, samples=samples, draw_set=draw_set)

    first, second = sky(FULL.screening, SCREENING), sky(FULL.choosing, CHOOSING)

    def posed(cell_m: float = 5.0, raster_m: float = 1.0) -> Problem:
        return pose(
            ready.course, ready.course.hole(ref), ready.fleet, day, ready.simulator.bases,
            ready.putting, ready.assume, cell_m=cell_m, raster_m=raster_m,
            left_handed=ready.thrower.hand == "left",
        )  # fmt: skip

    def told(problem: Problem, found: Screened, sizes: Sizes, wider=second) -> str:
        settled = settle_hole(
            ready.simulator, ready.fleet, day, problem.hole, problem, found, wider, sizes
        )
        valued, promised = settled.valued, settled.promised
        return (
            f"{valued.strokes:.4f} ± {valued.strokes_se:.4f} | {promised:.4f} "
            f"| {valued.strokes - promised:+.4f} |"
        )

    print(f"\n| hole {ref} | told | on the choosing throws | too good by |\n|---|---|---|---|")
    usual = posed()
    found = screen(usual, first, FULL)
    print(f"| as usual | {told(usual, found, FULL)}", flush=True)
    for cell_m in (10.0, 3.0, 2.0):
        other = posed(cell_m)
        print(
            f"| lies {cell_m:.0f} m | {told(other, screen(other, first, FULL), FULL)}", flush=True
        )
    for choosing in (32, 64, 256, 512):
        wider = sky(choosing, CHOOSING)
        print(f"| chosen on {choosing} | {told(usual, found, FULL, wider)}", flush=True)
    whole = screen(usual, first, FULL, prune=False)
    print(f"| nothing pruned | {told(usual, whole, FULL)}", flush=True)
    print(
        f"looked at {found.looked / found.possible:.1%} and priced "
        f"{found.priced / found.possible:.1%} of {found.possible} lines and targets; "
        f"{whole.priced} without pruning"
    )


if __name__ == "__main__":
    sys.exit(main())
