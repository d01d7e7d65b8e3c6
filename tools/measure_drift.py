"""Measure how well a drift is told: on invented owners of whose discs one lost turn.

Usage: ``python tools/measure_drift.py [--owners N] [--first SEED]``.

Owners are drawn from the prior with eight discs and evidence on both sides of a pause; one disc
loses turn in between. Prints the table of ``docs/beliefs.md``. The seeds from 6,000 to 7,000 are
the tests'.
"""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, replace
from datetime import timedelta

import numpy as np
from numpy.typing import NDArray

from rimwise.beliefs.drift import Drift, drifts_of
from rimwise.beliefs.felt import FELT
from rimwise.beliefs.fleet import MOLD_SHARE
from rimwise.beliefs.imagined import felt_truth, imagine_comparison, imagine_throws
from rimwise.beliefs.owners import FIRST_DAY, Owner, imagine_owner
from rimwise.records.evidence import Comparison

Floats = NDArray[np.float64]

DISCS = 8
PAUSE = timedelta(days=180)
#: Throws and comparisons of all discs together, on both sides.
LOGS = ((80, 40), (240, 80), (480, 0))
LOSSES = (0.0, 0.8, 1.6)
SHANK_CHANCE = 0.05
FIRST_REPORTED = 500_000


@dataclass(frozen=True)
class Found:
    """What was found of one disc: whether it is the changed one, its drift and its size in sd."""

    changed: bool
    drift: Drift


def drifts_after(asked: tuple[int, float, int, int]) -> list[Found]:
    """Draw one owner whose disc lost some turn between two times, and learn every drift.

    Parameters
    ----------
    asked
        Seed, turn lost, throws and comparisons.
    """
    seed, lost, throws, comparisons = asked
    owner = imagine_owner(seed, discs=DISCS, throws=throws, comparisons=0)
    random = np.random.default_rng(np.random.SeedSequence(seed, spawn_key=(3,)))
    changed = owner.fleet.ids[seed % DISCS]
    after = owner.u.copy()
    row = owner.unknowns.names.index(("disc", changed, 2))
    after[row] -= lost / (np.sqrt(1.0 - MOLD_SHARE) * owner.fleet.printed_sd[2])
    early, late = owner.evidence.throws[: throws // 2], owner.evidence.throws[throws // 2 :]
    meant = replace(owner.evidence, throws=tuple(replace(t, on=t.on + PAUSE) for t in late))
    thrown = imagine_throws(
        owner.unknowns, after, owner.scatter, meant, random, shank_chance=SHANK_CHANCE
    )
    answers = [
        replace(answer, on=answer.on + pause)
        for u, pause in ((owner.u, timedelta(0)), (after, PAUSE))
        for answer in _answers(owner, u, comparisons // 2, random)
    ]
    evidence = replace(owner.evidence, throws=early + thrown, comparisons=tuple(answers))
    found = drifts_of(owner.fleet, owner.thrower, owner.assume, evidence, threads=1)
    return [Found(one.disc_id == changed, one) for one in found]


def _answers(owner: Owner, u: Floats, count: int, random: np.random.Generator) -> list[Comparison]:
    """Ask which of two discs is the more stable until so many differences were felt."""
    felt, ids = felt_truth(owner.unknowns, u), owner.fleet.ids
    answers: list[Comparison] = []
    while len(answers) < count:
        one, two = random.choice(len(ids), 2, replace=False)
        asked = Comparison(FIRST_DAY, ids[one], ids[two], FELT[0])
        answer = imagine_comparison(asked, felt, ids, owner.unknowns, random)
        if answer is not None:
            answers.append(answer)
    return answers


def row_of(log: tuple[int, int], lost: float, found: Sequence[Found]) -> str:
    """Return one row of the table."""
    pieces = np.mean([min(one.drift.before, one.drift.after) for one in found])
    mine = [one.drift for one in found if one.changed]
    others = [one.drift for one in found if not one.changed]
    shares = [100.0 * np.mean([one.telling for one in group]) for group in (mine, others)]
    mean = np.mean([one.numbers for one in mine])
    sd = np.mean([one.sd for one in mine])
    size = np.std([one.numbers / one.sd for one in others])
    return (
        f"| {log[0]} + {log[1]} | {pieces:.0f} | {lost:g} | {shares[0]:.0f} % of {len(mine)} "
        f"| {mean:.2f}, sd {sd:.2f} | {shares[1]:.1f} % of {len(others)} | {size:.2f} |"
    )


def main() -> None:
    """Run what the command line asks for."""
    asking = argparse.ArgumentParser(description=__doc__)
    asking.add_argument("--owners", type=int, default=48)
    asking.add_argument("--first", type=int, default=FIRST_REPORTED)
    asking.add_argument("--workers", type=int, default=2)
    given = asking.parse_args()
    print(
        "| throws + comparisons | of a disc a side | turn lost | told | its drift "
        "| other discs told | sd of their drift in sd |"
    )
    print("|---|---|---|---|---|---|---|")
    with ProcessPoolExecutor(given.workers) as pool:
        for log in LOGS:
            for lost in LOSSES:
                seeds = range(given.first, given.first + given.owners)
                asked = [(seed, lost, *log) for seed in seeds]
                found = [one for many in pool.map(drifts_after, asked, chunksize=2) for one in many]
                print(row_of(log, lost, found), flush=True)


if __name__ == "__main__":
    main()
