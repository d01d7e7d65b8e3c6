"""Check that what beliefs say of their own uncertainty is honest, and write it down.

Usage: ``python tools/calibrate_beliefs.py [--owners N] [--first SEED] [--truths NAME ...]
[--out DIR] [--draw FILE]`` (or ``make calibrate``).

Invented owners are drawn from the prior, their evidence from them, beliefs from the evidence;
how often the truth lies where beliefs say is simulation-based calibration (Talts et al. 2018).
Prints the tables of ``docs/beliefs.md`` and draws its figure. The seeds from 0 to 9,999 are for
trying things, those from 100,000 and 200,000 on were reported before; those from 300,000 on are
for the reported figures and nothing else.
"""

from __future__ import annotations

import argparse
import json
import math
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import asdict, dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from rimwise.beliefs.imagined import felt_truth, imagine_throws
from rimwise.beliefs.learn import effective_share, learn
from rimwise.beliefs.observed import Evidence
from rimwise.beliefs.owners import FIRST_DAY, LINES, Owner, imagine_owner
from rimwise.beliefs.posterior import Posterior
from rimwise.beliefs.predicting import predict_landings
from rimwise.pictures.svg import Paint, Scene
from rimwise.records.evidence import Throw

Floats = NDArray[np.float64]

#: Draws of a posterior; ranks run from 0 to this.
DRAWS = 199
#: What is ranked.
ASKED = ("reach", "finish", "difference in finish", "next throw, distance", "next throw, left")
FIRST_REPORTED = 300_000
TRUTHS = ("prior", "numbers", "plastic", "pulled", "liar")


@dataclass(frozen=True)
class Ranks:
    """Ranks of the truth among the draws for one owner, by what was asked."""

    seed: int
    ranks: dict[str, list[int]]
    sd: dict[str, list[float]]
    rounds: int
    settled: bool
    share: float


def ranks_of(seed: int, truth: str) -> Ranks:
    """Draw one owner, learn, and rank what is true among what is believed."""
    random = np.random.default_rng(np.random.SeedSequence(seed, spawn_key=(1,)))
    owner = imagine_owner(
        seed,
        discs=int(random.integers(4, 11)),
        throws=int(random.integers(5, 61)),
        comparisons=int(random.integers(0, 16)),
        truth=truth,
    )
    beliefs = learn(owner.fleet, owner.thrower, owner.assume, owner.evidence, threads=1)
    drawn = felt_truth(beliefs.unknowns, beliefs.draw_unknowns(DRAWS, seed))
    true = owner.felt()
    count = len(owner.fleet)
    picked = random.permutation(count)[:3]
    pairs = [random.choice(count, 2, replace=False) for _ in range(3)]
    asked: dict[str, list[tuple[Floats, float]]] = {name: [] for name in ASKED}
    for disc in picked:
        asked["finish"].append((drawn[:, disc, 0], true[disc, 0]))
        asked["reach"].append((drawn[:, disc, 1], true[disc, 1]))
    for a, b in pairs:
        apart = drawn[:, a, 0] - drawn[:, b, 0]
        asked["difference in finish"].append((apart, true[a, 0] - true[b, 0]))
    for disc in picked[:2]:
        next_throw(owner, beliefs, int(disc), random, asked)
    share = effective_share(beliefs, owner.evidence, 32, threads=1) if seed % 8 == 0 else math.nan
    return Ranks(
        seed,
        {name: [int((draws < at).sum()) for draws, at in rows] for name, rows in asked.items()},
        {name: [float(draws.std()) for draws, _ in rows] for name, rows in asked.items()},
        beliefs.rounds,
        beliefs.settled,
        share,
    )


def next_throw(
    owner: Owner,
    beliefs: Posterior,
    disc: int,
    random: np.random.Generator,
    asked: dict[str, list[tuple[Floats, float]]],
) -> None:
    """Ask where one more stock throw will be noted."""
    throw = Throw(FIRST_DAY, owner.fleet.ids[disc], LINES[0][0], 50.0, 0.0)
    landed = predict_landings(beliefs, throw, DRAWS, int(random.integers(1 << 31)))
    (true,) = imagine_throws(owner.unknowns, owner.u, owner.scatter, Evidence((throw,)), random)
    asked["next throw, distance"].append((landed[:, 0], true.distance_m))
    asked["next throw, left"].append((landed[:, 1], true.left_m))


def covered(ranks: Sequence[Ranks], name: str, probability: float) -> tuple[float, float]:
    """Return the share of truths inside the central interval, and its error by owner."""
    low = 0.5 * (1.0 - probability)
    inside = []
    for one in ranks:
        place = (np.array(one.ranks[name]) + 0.5) / (DRAWS + 1)
        inside.append(((place > low) & (place < 1.0 - low)).mean())
    return float(np.mean(inside)), float(np.std(inside, ddof=1) / math.sqrt(len(inside)))


def coverage_table(ranks: Sequence[Ranks]) -> list[dict[str, float | str]]:
    """Return coverage of 50 and 90 % intervals of everything asked."""
    rows = []
    for name in ASKED:
        row: dict[str, float | str] = {"asked": name}
        for probability in (0.5, 0.9):
            share, error = covered(ranks, name, probability)
            row[f"{probability:g}"], row[f"{probability:g} error"] = share, error
        row["sd"] = float(np.mean([sd for one in ranks for sd in one.sd[name]]))
        rows.append(row)
    return rows


def histograms_svg(ranks: Sequence[Ranks]) -> str:
    """Draw how often the truth fell into each tenth of the draws: level when honest."""
    panel_px, gap_px, high_px, foot_px, bins = 190.0, 26.0, 130.0, 30.0, 10
    shown = ASKED[:3]
    wide_px = len(shown) * (panel_px + gap_px) + gap_px
    said = "; ".join(
        f"{name}: {', '.join(str(n) for n in _counts(ranks, name, bins))}" for name in shown
    )
    scene = Scene(
        "calibration", "Where the truth fell among what is believed",
        f"Truths in each tenth of the draws. {said}.", 0.0, wide_px, 0.0, 200.0, wide_px,
    )  # fmt: skip
    for place, name in enumerate(shown):
        left = gap_px + place * (panel_px + gap_px)
        counts = _counts(ranks, name, bins)
        even = counts.sum() / bins
        scale = high_px / (2.0 * even)
        chance = 2.0 * math.sqrt(even * (1.0 - 1.0 / bins))
        scene.box(
            left, left + panel_px, foot_px + (even - chance) * scale,
            foot_px + (even + chance) * scale, Paint("none", "shade"),
        )  # fmt: skip
        for k, count in enumerate(counts.tolist()):
            x = left + k * panel_px / bins
            top = foot_px + count * scale
            scene.box(x + 1.5, x + panel_px / bins - 1.5, foot_px, top, Paint("none", "two"))
        level = foot_px + even * scale
        scene.line(((left, level), (left + panel_px, level)), Paint("ink", "none", 1.2))
        scene.text(left, foot_px + high_px + 14, name, size_px=13, halo=False)
        scene.text(left, 12, "below all draws", size_px=11, halo=False)
        scene.text(left + panel_px, 12, "above all", size_px=11, anchor="end", halo=False)
    return scene.render()


def _counts(ranks: Sequence[Ranks], name: str, bins: int) -> NDArray[np.int64]:
    places = np.array([rank for one in ranks for rank in one.ranks[name]]) / (DRAWS + 1)
    return np.asarray(np.bincount((places * bins).astype(np.int64), minlength=bins))


def run(truth: str, first: int, owners: int, workers: int) -> list[Ranks]:
    """Rank many owners, in parallel; results do not depend on how many work."""
    with ProcessPoolExecutor(workers) as pool:
        seeds = range(first, first + owners)
        return list(pool.map(ranks_of, seeds, [truth] * owners, chunksize=4))


def main() -> None:
    """Run what the command line asks for."""
    asking = argparse.ArgumentParser(description=__doc__)
    asking.add_argument("--owners", type=int, default=400)
    asking.add_argument("--first", type=int, default=FIRST_REPORTED)
    asking.add_argument("--truths", nargs="*", default=list(TRUTHS))
    asking.add_argument("--workers", type=int, default=2)
    asking.add_argument("--out", type=Path, default=None)
    asking.add_argument("--draw", type=Path, default=None)
    given = asking.parse_args()
    print("| owners | asked | 50 % intervals hold | 90 % intervals hold | sd believed |")
    print("|---|---|---|---|---|")
    for truth in given.truths:
        ranks = run(truth, given.first, given.owners, given.workers)
        for row in coverage_table(ranks):
            print(
                f"| {truth} | {row['asked']} | {row['0.5']:.3f} ± {row['0.5 error']:.3f} "
                f"| {row['0.9']:.3f} ± {row['0.9 error']:.3f} | {row['sd']:.2f} |"
            )
        unsettled = sum(not one.settled for one in ranks)
        rounds = np.mean([one.rounds for one in ranks])
        share = np.nanmedian([one.share for one in ranks])
        print(
            f"<!-- {truth}: {len(ranks)} owners, {unsettled} not settled, {rounds:.1f} rounds, "
            f"effective share of draws {share:.2f} -->"
        )
        if given.draw is not None and truth == "prior":
            given.draw.write_text(histograms_svg(ranks), "utf-8")
        if given.out is not None:
            where = given.out / f"{truth}.json"
            where.write_text(json.dumps([asdict(one) for one in ranks]))


if __name__ == "__main__":
    main()
