"""What beliefs are worth: predicted landings against the printed numbers and a disc's own mean.

Usage: ``python tools/predict_beliefs.py [--owners N] [--first SEED]``. Invented owners log a
number of stock throws with each disc; then each disc's next throws are predicted three ways:

* by beliefs, from everything logged;
* from the rim: printed numbers, plastic and wear, and the one distance that the owner gave;
* by the mean of what this disc was logged to do, with the scatter of all discs about their means.

A prediction is a normal distribution; its log score is that of the landing noted. The landing
error is how far the predicted middle is from the middle of 200 true throws.
"""

from __future__ import annotations

import argparse
import json
import math
from concurrent.futures import ProcessPoolExecutor

import numpy as np
from numpy.typing import NDArray

from rimwise.beliefs.imagined import imagine_throws
from rimwise.beliefs.learn import learn
from rimwise.beliefs.observed import Evidence
from rimwise.beliefs.owners import FIRST_DAY, LINES, Owner, imagine_owner
from rimwise.beliefs.posterior import Posterior, prior_posterior
from rimwise.beliefs.predicting import predict_landings
from rimwise.records.evidence import Throw

Floats = NDArray[np.float64]

LOGGED = (0, 1, 2, 3, 5, 10, 30)
DISCS, HELD_OUT, TRUE, DRAWS, COMPARISONS = 6, 10, 200, 400, 4
WAYS = ("beliefs", "rim", "own mean")
FIRST_REPORTED = 200_000
#: One result: log score and landing error of each way, by throws logged.
Scores = dict[int, dict[str, tuple[float, float]]]


def scores_of(seed: int) -> Scores:
    """Let one owner log more and more throws, and score every way of predicting."""
    owner = imagine_owner(seed, discs=DISCS, throws=0, comparisons=COMPARISONS)
    random = np.random.default_rng(np.random.SeedSequence(seed, spawn_key=(2,)))
    logged = _thrown(owner, max(LOGGED), random, shanks=0.05)
    held_out = _thrown(owner, HELD_OUT, random)
    middle = [np.array(rows).mean(axis=0) for rows in _landings(_thrown(owner, TRUE, random))]
    rim = _predicted(prior_posterior(owner.unknowns), owner, seed)
    scores: Scores = {}
    for count in LOGGED:
        some = tuple(throw for throws in logged for throw in throws[:count])
        evidence = Evidence(some, owner.evidence.comparisons if count else ())
        beliefs = learn(owner.fleet, owner.thrower, owner.assume, evidence, threads=1)
        ways = {"beliefs": _predicted(beliefs, owner, seed), "rim": rim}
        if count:
            ways["own mean"] = _own_means([throws[:count] for throws in logged])
        scores[count] = {
            name: _scored(predicted, _landings(held_out), middle)
            for name, predicted in ways.items()
        }
    return scores


def _thrown(
    owner: Owner, each: int, random: np.random.Generator, shanks: float = 0.0
) -> list[tuple[Throw, ...]]:
    """Return ``each`` stock throws with every disc."""
    return [
        imagine_throws(
            owner.unknowns, owner.u, owner.scatter,
            Evidence((Throw(FIRST_DAY, disc, LINES[0][0], 50.0, 0.0),) * each),
            random, shank_chance=shanks,
        )
        for disc in owner.fleet.ids
    ]  # fmt: skip


def _landings(thrown: list[tuple[Throw, ...]]) -> list[list[tuple[float, float]]]:
    return [[(throw.distance_m, throw.left_m) for throw in throws] for throws in thrown]


def _predicted(beliefs: Posterior, owner: Owner, seed: int) -> list[tuple[Floats, Floats]]:
    """Return mean and covariance of where each disc's next stock throw is noted."""
    found = []
    for disc in owner.fleet.ids:
        throw = Throw(FIRST_DAY, disc, LINES[0][0], 50.0, 0.0)
        landed = predict_landings(beliefs, throw, DRAWS, seed)
        found.append((landed.mean(axis=0), np.cov(landed.T)))
    return found


def _own_means(logged: list[tuple[Throw, ...]]) -> list[tuple[Floats, Floats]]:
    """Return the mean of each disc, and the scatter of all about theirs (8 m for one throw)."""
    rows = [np.array(landed) for landed in _landings(logged)]
    count = len(rows[0])
    spread = 64.0 * np.eye(2)
    if count > 1:
        within = sum((row - row.mean(axis=0)).T @ (row - row.mean(axis=0)) for row in rows)
        spread = np.asarray(within) / (len(rows) * (count - 1))
    return [(row.mean(axis=0), spread * (1.0 + 1.0 / count)) for row in rows]


def _scored(
    predicted: list[tuple[Floats, Floats]],
    landed: list[list[tuple[float, float]]],
    middle: list[Floats],
) -> tuple[float, float]:
    logs, errors = [], []
    for (mean, spread), throws, true in zip(predicted, landed, middle, strict=True):
        apart = np.array(throws) - mean
        square = np.einsum("ti,ij,tj->t", apart, np.linalg.inv(spread), apart)
        log_det = np.linalg.slogdet(spread)[1]
        logs.append(float(-0.5 * (square + log_det).mean() - math.log(2.0 * math.pi)))
        errors.append(float(np.hypot(*(mean - true))))
    return float(np.mean(logs)), float(np.mean(errors))


def table(scores: list[Scores]) -> list[str]:
    """Return the table as lines of Markdown, errors by owner."""
    head = (
        "| throws logged with each disc | log score: beliefs | rim | own mean "
        "| middle of landings off by: beliefs | rim | own mean |"
    )
    lines = [head, "|---|---|---|---|---|---|---|"]
    for count in LOGGED:
        cells = []
        for part, unit in ((0, ""), (1, " m")):
            for way in WAYS:
                if way not in scores[0][count]:
                    cells.append("–")
                    continue
                values = np.array([one[count][way][part] for one in scores])
                error = values.std(ddof=1) / math.sqrt(len(values))
                cells.append(f"{values.mean():.2f} ± {error:.2f}{unit}")
        lines.append(f"| {count} | " + " | ".join(cells) + " |")
    return lines


def leads(scores: list[Scores]) -> list[str]:
    """Return, for each number of throws, the lead over rim and own mean with its error."""
    lines = []
    for count in LOGGED:
        for way in WAYS[1:]:
            if way in scores[0][count]:
                lead = np.array([one[count]["beliefs"][0] - one[count][way][0] for one in scores])
                error = lead.std(ddof=1) / math.sqrt(len(lead))
                lines.append(f"{count} throws, over {way}: {lead.mean():+.3f} ± {error:.3f}")
    return lines


def main() -> None:
    """Score many owners, and print the table."""
    asking = argparse.ArgumentParser(description=__doc__)
    asking.add_argument("--owners", type=int, default=60)
    asking.add_argument("--first", type=int, default=FIRST_REPORTED)
    asking.add_argument("--workers", type=int, default=2)
    given = asking.parse_args()
    with ProcessPoolExecutor(given.workers) as pool:
        scores = list(pool.map(scores_of, range(given.first, given.first + given.owners)))
    print("\n".join([*table(scores), "", *leads(scores)]))
    print(json.dumps({"owners": given.owners, "first seed": given.first}))


if __name__ == "__main__":
    main()
