"""Measure what learning from the latest throws alone costs: on invented owners of many throws.

Usage: ``python tools/measure_latest.py [--owners N] [--first SEED]``.

Owners are drawn from the prior with six discs and log 240 stock throws with each, five a week, one
in twenty a shank. Their discs stay as they are, or lose turn evenly all the while, of which the
records know nothing. Beliefs are learnt as a plan learns them, from the latest 30, 60, 120 or 240
throws of each disc; where they put the stock throw with a disc is held against where it truly lands
on the last day. Prints the table of ``docs/beliefs.md``.
"""

from __future__ import annotations

import argparse
import math
import time
from concurrent.futures import ProcessPoolExecutor
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from rimwise.beliefs.drift import learn_now
from rimwise.beliefs.fleet import MOLD_SHARE
from rimwise.beliefs.imagined import imagine_throws
from rimwise.beliefs.landings import stock_landings
from rimwise.beliefs.observed import Evidence
from rimwise.beliefs.owners import FIRST_DAY, LINES, Owner, imagine_owner
from rimwise.beliefs.posterior import prior_posterior
from rimwise.records.evidence import Throw

Floats = NDArray[np.float64]

DISCS, THROWS, A_DAY, SHANKS, DRAWS = 6, 240, 5, 0.05, 256
LATEST = (30, 60, 120, 240)
#: Turn lost over all throws.
LOSSES = (0.0, 0.8, 1.6)
FIRST_REPORTED = 700_000
#: Errors of reach and side, (discs, 2) in m, and processor seconds, by latest throws.
Errors = dict[int, tuple[Floats, float]]


def errors_of(asked: tuple[int, float]) -> Errors:
    """Let one owner throw for a year, and hold what is learnt from the latest against the truth.

    Parameters
    ----------
    asked
        Seed, and the turn that every disc loses.
    """
    seed, lost = asked
    owner = imagine_owner(seed, discs=DISCS, throws=0, comparisons=0)
    thrown = _thrown(owner, lost, seed)
    true = stock_landings(owner.unknowns, _grip(owner), _worn(owner, lost)[None])[:, 0]
    errors: Errors = {}
    for latest in LATEST:
        some = tuple(throw for day in thrown[-(latest // A_DAY) :] for throw in day)
        began = time.process_time()
        learnt = learn_now(owner.fleet, owner.thrower, owner.assume, Evidence(some), threads=1)
        took = time.process_time() - began
        beliefs = learnt.posterior
        u = beliefs.draw_unknowns(DRAWS, seed)
        rests = stock_landings(beliefs.unknowns, beliefs.grips.mean, u).mean(axis=1)
        errors[latest] = (rests[:DISCS] - true, took)
    return errors


def _thrown(owner: Owner, lost: float, seed: int) -> list[tuple[Throw, ...]]:
    """Return the throws of all discs, day by day, each day with the discs as they then are."""
    random = np.random.default_rng(np.random.SeedSequence(seed, spawn_key=(4,)))
    days = THROWS // A_DAY
    return [
        imagine_throws(
            owner.unknowns,
            _worn(owner, lost * (day + 1) / days),
            owner.scatter,
            Evidence(_meant(owner, FIRST_DAY + day * timedelta(days=7))),
            random,
            shank_chance=SHANKS,
        )
        for day in range(days)
    ]


def _meant(owner: Owner, on: date) -> tuple[Throw, ...]:
    stock = LINES[0][0]
    return tuple(
        Throw(on, disc, stock, 50.0, 0.0) for disc in owner.fleet.ids for _ in range(A_DAY)
    )


def _worn(owner: Owner, lost: float) -> Floats:
    """Return the truth after every disc has lost so much turn."""
    u = owner.u.copy()
    for disc in owner.fleet.ids:
        row = owner.unknowns.names.index(("disc", disc, 2))
        u[row] -= lost / (math.sqrt(1.0 - MOLD_SHARE) * owner.fleet.printed_sd[2])
    return u


def _grip(owner: Owner) -> Floats:
    return np.asarray(prior_posterior(owner.unknowns).grips.mean)


def rows_of(lost: float, found: list[Errors]) -> list[str]:
    """Return rows of the table: root mean squares over discs, errors by owner."""
    rows = []
    for latest in LATEST:
        cells = [f"{lost:g}", f"{latest}"]
        for part in (0, 1):
            squares = np.array([np.mean(one[latest][0][:, part] ** 2) for one in found])
            size = math.sqrt(squares.mean())
            error = squares.std(ddof=1) / math.sqrt(len(squares)) / (2.0 * size)
            cells.append(f"{size:.2f} ± {error:.2f} m")
        cells.append(f"{np.mean([one[latest][1] for one in found]):.2f} s")
        rows.append("| " + " | ".join(cells) + " |")
    return rows


def differences_of(lost: float, found: list[Errors]) -> str:
    """Say how the squared error with each number differs from that with 60, owner by owner."""
    told = []
    for latest in LATEST:
        apart = np.array([np.mean(one[latest][0] ** 2) - np.mean(one[60][0] ** 2) for one in found])
        error = apart.std(ddof=1) / math.sqrt(len(apart))
        told.append(f"{latest}: {apart.mean():+.2f} ± {error:.2f} m²")
    return f"lost {lost:g}, mean square against 60 throws: " + ", ".join(told)


def main() -> None:
    """Run what the command line asks for."""
    asking = argparse.ArgumentParser(description=__doc__)
    asking.add_argument("--owners", type=int, default=40)
    asking.add_argument("--first", type=int, default=FIRST_REPORTED)
    asking.add_argument("--workers", type=int, default=2)
    given = asking.parse_args()
    print("| turn lost | latest throws | reach off by | side off by | learning, processor |")
    print("|---|---|---|---|---|")
    said = []
    with ProcessPoolExecutor(given.workers) as pool:
        for lost in LOSSES:
            asked = [(seed, lost) for seed in range(given.first, given.first + given.owners)]
            found = list(pool.map(errors_of, asked))
            print("\n".join(rows_of(lost, found)), flush=True)
            said.append(differences_of(lost, found))
    print("\n".join(said))


if __name__ == "__main__":
    main()
