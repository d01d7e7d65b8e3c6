"""Measure what ``rimwise check`` says of landings on invented owners whose beliefs are known.

Usage: ``python tools/measure_check.py [--owners N] [--first SEED] [--workers N]``.

Each owner's beliefs are learnt from 30 throws, of which one in twenty is a shank; the next 30,
on five days, are checked: without shanks, with them, and by beliefs whose arm is a tenth too
strong. Prints the table of ``docs/checking.md``. Seeds from 960,000 on are for the reported
figures.
"""

from __future__ import annotations

import argparse
import math
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import replace

import numpy as np

from rimwise.beliefs.checking import (
    LandingCheck,
    beyond_chance,
    check_landings,
    mean_and_error,
    share_interval,
    worth_of,
)
from rimwise.beliefs.imagined import imagine_throws
from rimwise.beliefs.learn import learn
from rimwise.beliefs.owners import imagine_owner

FIRST_REPORTED = 960_000
THROWS, DAYS, STRONGER = 30, 5, 1.1
CASES = ("no shanks", "one throw in twenty a shank", "the same, arm a tenth too strong")
TOLD = ("half", "9 of 10", "half: told off", "9 of 10: told off", "length told off", "either")


def told_of(seed: int) -> list[list[float]]:
    """Return, for each case, what is told of one owner, as :data:`TOLD`."""
    owner = imagine_owner(seed, discs=5, throws=2 * THROWS, comparisons=4)
    first = replace(owner.evidence, throws=owner.evidence.throws[:THROWS])
    asked = replace(owner.evidence, throws=owner.evidence.throws[THROWS:])
    beliefs = learn(owner.fleet, owner.thrower, owner.assume, first, threads=1)
    arms = tuple(replace(arm, speed_m_s=arm.speed_m_s * STRONGER) for arm in beliefs.unknowns.arms)
    boastful = replace(beliefs, unknowns=replace(beliefs.unknowns, arms=arms))
    found = []
    for which, shanks in ((beliefs, 0.0), (beliefs, 0.05), (boastful, 0.05)):
        random = np.random.default_rng([seed, 7])
        thrown = imagine_throws(
            owner.unknowns, owner.u, owner.scatter, asked, random, shank_chance=shanks
        )
        found.append(_told(check_landings(which, thrown, owner.evidence, seed)))
    return found


def _told(checks: Sequence[LandingCheck]) -> list[float]:
    days = [i * DAYS // len(checks) for i in range(len(checks))]
    shares, off = [], []
    for meant in (0.5, 0.9):
        within = [check.place < meant for check in checks]
        worth = worth_of(within, days)
        low, high = share_interval(sum(within) * worth / len(within), worth)
        shares.append(float(np.mean(within)))
        off.append(float(not low <= meant <= high))
    length = mean_and_error([float(check.off_m[0]) for check in checks], days)
    off.append(float(beyond_chance(*length, DAYS)))
    return [*shares, *off, max(off)]


def main() -> None:
    """Run what the command line asks for."""
    asking = argparse.ArgumentParser(description=__doc__)
    asking.add_argument("--owners", type=int, default=200)
    asking.add_argument("--first", type=int, default=FIRST_REPORTED)
    asking.add_argument("--workers", type=int, default=2)
    given = asking.parse_args()
    with ProcessPoolExecutor(given.workers) as pool:
        seeds = range(given.first, given.first + given.owners)
        told = np.array(list(pool.map(told_of, seeds, chunksize=4)))
    error = told.std(axis=0, ddof=1) / math.sqrt(len(told))
    print(f"| {given.owners} owners, % | {' | '.join(TOLD)} |\n|---|{'---|' * len(TOLD)}")
    for case, means, errors in zip(CASES, told.mean(axis=0), error, strict=True):
        cells = [f"{100 * m:.1f} ± {100 * e:.1f}" for m, e in zip(means, errors, strict=True)]
        print(f"| {case} | {' | '.join(cells)} |")


if __name__ == "__main__":
    main()
