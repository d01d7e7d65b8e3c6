"""Hold beliefs against an ensemble sampler, and against weighted draws, on a small owner.

Usage: ``python tools/sample_beliefs.py [--steps N] [--weighted N]``. The sampler is the
affine-invariant one (Goodman & Weare 2010), written out here; it walks on the same posterior, with
every throw flown anew at every point, and knows nothing of modes and curvatures. Weighted draws
are those of the beliefs, each with the weight the posterior gives it; they are far more precise
for the same work, but blind where beliefs never draw. Release scatter is held at what was learnt.
"""

from __future__ import annotations

import argparse
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from rimwise.beliefs.felt import felt_of, graded
from rimwise.beliefs.flown import bodies_of, fly_local, tabulate
from rimwise.beliefs.imagined import felt_truth, imagine_throws
from rimwise.beliefs.learn import different_throws, learn, row_of_scatter, rows_of_table
from rimwise.beliefs.objective import Felt, Objective, scatter_of_throws
from rimwise.beliefs.observed import ThrowTable, throw_table
from rimwise.beliefs.owners import LINES, imagine_owner
from rimwise.beliefs.posterior import Posterior
from rimwise.beliefs.unknowns import LOCAL

Floats = NDArray[np.float64]

SEED, WALKERS, STEPS, BURN, STRETCH = 31, 96, 1600, 400, 2.0


@dataclass(frozen=True, eq=False)
class Target:
    """The log posterior at many points at once; ``which`` names the kind of every throw."""

    beliefs: Posterior
    table: ThrowTable
    kinds: ThrowTable
    which: NDArray[np.int64]
    felt: Felt

    def __call__(self, points: Floats) -> Floats:
        """Return log posteriors (W,) of points (W, D)."""
        unknowns, count = self.beliefs.unknowns, len(points)
        throws, kinds = len(self.table), len(self.kinds)
        flown = _repeated(self.kinds, count)
        owner = np.repeat(np.arange(count), kinds)[:, None]
        rows = unknowns.rows(flown.disc, flown.style)
        slopes = unknowns.slopes(flown.disc, flown.wear, flown.cold_c)
        at = np.einsum("tac,tc->ta", slopes, points[owner, rows])
        row = np.array([row_of_scatter(one) for one in self.beliefs.scatter])
        spin = unknowns.assume.spin_scatter
        own = scatter_of_throws(flown, row, spin)[:, :4]
        polynomials = tabulate(unknowns, bodies_of(unknowns.fleet), flown, at, own)
        many = _repeated(self.table, count)
        which = (np.arange(count)[:, None] * kinds + self.which).ravel()
        here = Objective.of(
            unknowns, many, which, rows[which], slopes[which], polynomials,
            scatter_of_throws(many, row, spin), self.felt, None, 2,
        )  # fmt: skip
        here.at = np.zeros((len(many), len(LOCAL)))  # points differ from throw to throw: no one u
        likely = here.throws(np.zeros(len(unknowns))).reshape(count, throws).sum(axis=1)
        return likely + self._compared(points) - 0.5 * (points**2).sum(axis=1)

    def _compared(self, points: Floats) -> Floats:
        felt, unknowns = self.felt, self.beliefs.unknowns
        slopes = felt.slopes
        local = np.einsum("fac,wfc->wfa", slopes, points[:, felt.rows])
        throw = np.tile(np.arange(len(felt.table)), len(points))
        flat = local.reshape(-1, len(LOCAL))
        flown = fly_local(unknowns, bodies_of(unknowns.fleet), felt.table, throw, flat)
        value = felt_of(unknowns, flown).reshape(len(points), len(felt.table), 2)
        apart = value[:, felt.more, felt.kind] - value[:, felt.less, felt.kind]
        wrong = unknowns.assume.wrong_comparison
        return np.array([graded(row, felt.grades, wrong)[0].sum() for row in apart])


def _repeated(table: ThrowTable, times: int) -> ThrowTable:
    columns = {
        name: value * times if isinstance(value, tuple) else np.concatenate([value] * times)
        for name, value in vars(table).items()
    }
    return ThrowTable(**columns)


def walk(target: Target, start: Floats, steps: int, random: np.random.Generator) -> Floats:
    """Return the walk (steps, W, D) of an ensemble, moved half by half."""
    walkers, size = start.shape
    place, value = start.copy(), target(start)
    half = walkers // 2
    path = np.empty((steps, walkers, size))
    for step in range(steps):
        for own, other in (
            (slice(0, half), slice(half, None)),
            (slice(half, None), slice(0, half)),
        ):
            partner = place[other][random.integers(half, size=half)]
            z = ((STRETCH - 1.0) * random.random(half) + 1.0) ** 2 / STRETCH
            tried = partner + z[:, None] * (place[own] - partner)
            found = target(tried)
            odds = (size - 1.0) * np.log(z) + found - value[own]
            taken = np.log(random.random(half)) < odds
            place[own][taken], value[own][taken] = tried[taken], found[taken]
        path[step] = place
    return path


def main() -> None:
    """Walk, and print both answers side by side."""
    asking = argparse.ArgumentParser(description=__doc__)
    asking.add_argument("--steps", type=int, default=STEPS)
    asking.add_argument("--seed", type=int, default=SEED)
    asking.add_argument("--throws", type=int, default=40)
    asking.add_argument("--varied", action="store_true", help="throw four lines, not one")
    asking.add_argument("--weighted", type=int, default=6000)
    given = asking.parse_args()
    owner = imagine_owner(given.seed, discs=2, throws=given.throws, comparisons=2)
    # Stock throws on mild days fly alike but for the disc, which keeps the walk affordable.
    stock = [replace(throw, line=LINES[0][0], conditions="mild") for throw in owner.evidence.throws]
    asked = replace(owner.evidence, throws=tuple(stock[: given.throws]))
    random = np.random.default_rng(given.seed)
    thrown = imagine_throws(
        owner.unknowns, owner.u, owner.scatter, asked, random, shank_chance=0.05
    )
    evidence = owner.evidence if given.varied else replace(asked, throws=thrown)
    beliefs = learn(owner.fleet, owner.thrower, owner.assume, evidence)
    table = throw_table(evidence, beliefs.unknowns, beliefs.grips.mean)
    first, which = different_throws(table)
    felt = Felt.of(beliefs.unknowns, evidence)
    target = Target(beliefs, table, rows_of_table(table, first), which, felt)
    if given.weighted:
        drawn = beliefs.draw_unknowns(given.weighted, given.seed + 1)
        weight = weights_of(target, drawn)
        print(f"weighted draws, effective share {1.0 / (weight**2).sum() / len(weight):.3f}")
        compare(beliefs, drawn, weight)
    if given.steps:
        start = beliefs.draw_unknowns(WALKERS, given.seed)
        path = walk(target, start, given.steps, random)
        kept = path[min(BURN, given.steps // 4) :: 10].reshape(-1, start.shape[1])
        print(f"ensemble, {WALKERS} walkers, {given.steps} steps")
        compare(beliefs, kept, np.full(len(kept), 1.0 / len(kept)))


def weights_of(target: Target, drawn: Floats) -> Floats:
    """Return the weights (N,), summing to 1, that the posterior gives to draws of the beliefs."""
    beliefs = target.beliefs
    blocks = np.array_split(drawn, max(1, len(drawn) // 200))
    logs = np.concatenate([target(block) for block in blocks])
    z = np.linalg.solve(np.linalg.cholesky(beliefs.covariance), (drawn - beliefs.mean).T)
    logs += 0.5 * (z**2).sum(axis=0)
    weight = np.exp(logs - logs.max())
    return np.asarray(weight / weight.sum())


def compare(beliefs: Posterior, points: Floats, weight: Floats) -> None:
    """Print means and spreads of weighted points beside those of the beliefs."""
    ours = beliefs.draw_unknowns(8000, 2)
    pushed = [felt_truth(beliefs.unknowns, some).reshape(len(some), -1) for some in (points, ours)]
    names = [f"{what} of disc {i}" for i in range(2) for what in ("finish", "reach")]
    named = {name: (pushed[0][:, i], pushed[1][:, i]) for i, name in enumerate(names)}
    apart = [values[:, 0] - values[:, 2] for values in pushed]
    named["difference in finish"] = (apart[0], apart[1])
    for i, (kind, name, part) in enumerate(beliefs.unknowns.names):
        named[f"{kind} {name} {part}"] = (points[:, i], ours[:, i])
    shifts, ratios = [], []
    for name, (theirs, own) in named.items():
        mean = float(weight @ theirs)
        sd = float(np.sqrt(weight @ (theirs - mean) ** 2))
        shifts.append((float(own.mean()) - mean) / sd)
        ratios.append(float(own.std()) / sd)
        print(
            f"{name:22s} mean {mean:8.3f} {own.mean():8.3f}  shift {shifts[-1]:6.3f} sd"
            f"   sd {sd:7.3f} {own.std():7.3f}  ratio {ratios[-1]:.3f}"
        )
    print(
        f"largest shift {np.abs(shifts).max():.3f} sd, typical {np.median(np.abs(shifts)):.3f}; "
        f"ratios {min(ratios):.3f} to {max(ratios):.3f}"
    )


if __name__ == "__main__":
    main()
