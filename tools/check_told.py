"""Check what ``rimwise learnt`` says of discs against invented owners whose discs are known.

Usage: ``python tools/check_told.py [--owners N] [--first SEED]``.

Owners are drawn from the prior as in ``calibrate_beliefs.py``, told everything that an owner of
the tool is told, and every sentence is held against the truth: intervals of eight in ten, places
on the ladder, overlaps, wrong sides. Prints the tables of ``docs/beliefs.md``. Seeds from 400,000
on are for the reported figures.
"""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from rimwise.app.learning import (
    WRONG_SIDE_M,
    Learnt,
    Span,
    fade_side,
    told_discs,
)
from rimwise.app.rungs import Landings, rung_of
from rimwise.beliefs.imagined import imagine_throws
from rimwise.beliefs.landings import stock_landings
from rimwise.beliefs.learn import learn
from rimwise.beliefs.owners import FIRST_DAY, MOLDS, Owner, imagine_owner
from rimwise.flight.printed import Printed
from rimwise.records.discs import role_of
from rimwise.records.evidence import Throw

Floats = NDArray[np.float64]

FIRST_REPORTED = 400_000
#: Stock throws of each disc that wrong sides are counted from.
THROWS = 100
#: Chances of a wrong side, from one of these to the next.
TOLD_CHANCES = (0.0, 0.1, 0.3, 0.7, 1.0001)
SPANS = ("reach", "side", "stability against other discs", "side against another disc's")


@dataclass(frozen=True)
class Held:
    """One owner: for every disc whether the truth is inside, by what was told, and how wide.

    ``wrong_side`` pairs what was told with the true share; ``apart_m`` holds how far apart discs
    told to overlap truly land.
    """

    inside: dict[str, list[bool]]
    width: dict[str, list[float]]
    wrong_side: list[tuple[float, float]]
    apart_m: list[float]
    all_apart_m: list[float]


def held_of(seed: int) -> Held:
    """Draw one owner, learn, tell, and hold what was told against the truth."""
    random = np.random.default_rng(np.random.SeedSequence(seed, spawn_key=(2,)))
    owner = imagine_owner(
        seed,
        discs=int(random.integers(4, 13)),
        throws=int(random.integers(5, 101)),
        comparisons=int(random.integers(0, 26)),
    )
    beliefs = learn(owner.fleet, owner.thrower, owner.assume, owner.evidence, threads=1)
    ids = owner.fleet.ids
    molds = {f"mold {k}": role_of(Printed(*numbers)) for k, numbers in enumerate(MOLDS)}
    roles = {name: molds[mold] for name, mold in zip(ids, owner.fleet.molds, strict=True)}
    told = told_discs(Learnt(beliefs, owner.evidence, frozenset(ids), roles, "m"))
    lands = stock_landings(owner.unknowns, owner.fleet.grip, owner.u[None])[:, 0]
    off = (owner.unknowns.printed(owner.u) - owner.fleet.printed)[:, 2:].sum(axis=1)
    fade = fade_side(beliefs)
    truth = Landings(
        {name: fade * lands[i, 1:2] for i, name in enumerate(ids)},
        {name: lands[i, 0:1] for i, name in enumerate(ids)},
        owner.assume,
    )
    wrong = true_wrong_side(owner, fade, random)
    held = Held({name: [] for name in (*SPANS, "place")}, {n: [] for n in SPANS}, [], [], [])
    drawn = stock_landings(beliefs.unknowns, beliefs.grips.mean, beliefs.draw_unknowns(512, 7))
    for one in told:
        i = ids.index(one.disc)
        other = (i + 1) % len(ids)
        asked = (
            (one.reach_m, lands[i, 0]),
            (one.left_m, lands[i, 1]),
            (one.stabler, off[i] - off.mean()),
            (Span.of(drawn[i, :, 1] - drawn[other, :, 1]), lands[i, 1] - lands[other, 1]),
        )
        for name, (span, known) in zip(SPANS, asked, strict=True):
            held.inside[name].append(span.holds(float(known)))
            held.width[name].append(span.high - span.low)
        place = rung_of(one.disc, truth, roles, sorted(ids)).place
        if one.rung.of > 1:
            held.inside["place"].append(one.rung.place_low <= place <= one.rung.place_high)
        held.wrong_side.append((one.wrong_side, wrong[i]))
        held.all_apart_m.append(float(np.hypot(*(lands[i] - lands[other]))))
        if one.overlaps is not None:
            held.apart_m.append(float(np.hypot(*(lands[i] - lands[ids.index(one.overlaps)]))))
    return held


def true_wrong_side(owner: Owner, fade: float, random: np.random.Generator) -> list[float]:
    """Return the share of an owner's stock throws that end on the wrong side, by disc."""
    stock = owner.thrower.stock
    thrown = tuple(
        Throw(FIRST_DAY, disc, stock, 0.0, 0.0) for disc in owner.fleet.ids for _ in range(THROWS)
    )
    asked = replace(owner.evidence, throws=thrown, comparisons=())
    landed = imagine_throws(owner.unknowns, owner.u, owner.scatter, asked, random, noted=False)
    left = np.array([throw.left_m for throw in landed]).reshape(len(owner.fleet), THROWS)
    return [float(share) for share in np.mean(fade * left < -WRONG_SIDE_M, axis=1)]


def report(held: Sequence[Held]) -> None:
    """Print what was found."""
    print("| told | of 100 intervals hold | middle width | owners with less than half inside |")
    print("|---|---|---|---|")
    for name in (*SPANS, "place"):
        by_owner = np.array([np.mean(one.inside[name]) for one in held if one.inside[name]])
        error = by_owner.std(ddof=1) / np.sqrt(len(by_owner))
        widths = [width for one in held for width in one.width.get(name, [])]
        wide = f"{np.median(widths):.1f}" if widths else "–"
        few = np.mean(by_owner < 0.5)
        print(
            f"| {name} | {100 * by_owner.mean():.1f} ± {100 * error:.1f} | {wide} "
            f"| {100 * few:.0f} % |"
        )
    told = np.array([pair for one in held for pair in one.wrong_side])
    print("\n| wrong side told, % | discs | told on average, % | truly, % |\n|---|---|---|---|")
    for low, high in pairwise(TOLD_CHANCES):
        row = told[(told[:, 0] >= low) & (told[:, 0] < high)]
        mean = 100 * row.mean(axis=0)
        print(
            f"| {100 * low:.0f} to {100 * high:.0f} | {len(row)} | {mean[0]:.1f} | {mean[1]:.1f} |"
        )
    apart = [apart for one in held for apart in one.apart_m]
    others = [apart for one in held for apart in one.all_apart_m]
    print(
        f"\n{len(apart)} of {len(told)} discs told to overlap another; they truly land "
        f"{np.median(apart):.1f} m apart in the middle, nine of ten within "
        f"{np.percentile(apart, 90):.1f} m; any two discs {np.median(others):.1f} m."
    )


def main() -> None:
    """Run what the command line asks for."""
    asking = argparse.ArgumentParser(description=__doc__)
    asking.add_argument("--owners", type=int, default=200)
    asking.add_argument("--first", type=int, default=FIRST_REPORTED)
    asking.add_argument("--workers", type=int, default=2)
    given = asking.parse_args()
    with ProcessPoolExecutor(given.workers) as pool:
        seeds = range(given.first, given.first + given.owners)
        report(list(pool.map(held_of, seeds, chunksize=4)))


if __name__ == "__main__":
    main()
