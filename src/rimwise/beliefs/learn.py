"""From evidence to a posterior: the mode of the full marginal likelihood, and its curvature.

All throws are flown around what is believed (:mod:`rimwise.beliefs.flown`); on the polynomials
so found the mode is searched without a flight; then the throws are flown anew there, until
Newton's step moves nothing by more than a twentieth of its standard deviation. The first round
takes every throw as one normal distribution (Gauss–Newton); the later ones take the sum over nose
angles with its moving covariance, by L-BFGS in coordinates whitened by the expected information.
In the first of these the release scatter is learnt as well, from an inverse-gamma prior. Once
near, a round is one step of Newton's method, mixed with those before it.
How far beliefs are spread about the mode is found at the end (:mod:`rimwise.beliefs.spread`).
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import Any

import numpy as np
from numpy.typing import NDArray

from rimwise.beliefs.fleet import Fleet
from rimwise.beliefs.flown import Bodies, bodies_of, tabulate
from rimwise.beliefs.grips import learn_grips
from rimwise.beliefs.objective import Felt, Objective, scatter_of_throws
from rimwise.beliefs.observed import Evidence, ThrowTable, throw_table
from rimwise.beliefs.posterior import Grips, Posterior, fingerprint_of
from rimwise.beliefs.spread import spread_of
from rimwise.beliefs.unknowns import Unknowns, unknowns_of
from rimwise.flight.fly import COARSE_STEP_S, STEP_S
from rimwise.records.assumptions import Assumptions
from rimwise.records.thrower import Scatter, Thrower

__all__ = [
    "different_throws", "effective_share", "learn", "level_scatter", "row_of_scatter",
    "rows_of_table",
]  # fmt: skip

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]

#: No component of ``u`` moves by more than this in one round.
STEP_CAP = 1.0
#: The mode is found when Newton's step moves nothing by more than this share of its sd.
SETTLED = 0.05
#: Scatter is learnt when a round's first step changes it by less than this share.
SCATTER_SETTLED = 0.03
#: Steps of scatter in one round and in all, and evaluations of the log posterior between them.
SCATTER_STEPS, MOST_SCATTER_STEPS = 2, 8
EVALUATIONS = 6
_MOST_SCATTER_STEP = 0.4
#: Rounds are flown in coarse steps until one moves by less than this many standard deviations.
NEAR = 3.0
MOST_ROUNDS = 12
#: Rounds whose steps are mixed into the next, and rounds that share one information.
_MIXED, _INFORMED = 6, 3


def learn(
    fleet: Fleet,
    thrower: Thrower,
    assume: Assumptions,
    evidence: Evidence,
    *,
    start: Posterior | None = None,
    threads: int = 2,
) -> Posterior:
    """Return what evidence says about discs and arm.

    Parameters
    ----------
    fleet
        All discs that evidence speaks of, retired ones too, and those to be judged.
    start
        A posterior of the same discs and arm with a little more or less evidence: the search
        starts there and ends sooner, at the same mode but for what both leave to go and for
        scatter, which is learnt to a few percent: together up to a few tenths of an sd.
    threads
        Threads to share the work; the result does not depend on it.

    Raises
    ------
    InputError
        When there is evidence for a disc or style that is not known.
    """
    unknowns = unknowns_of(fleet, thrower, assume)
    grips = learn_grips(fleet, evidence, assume)
    search = _Search.of(unknowns, evidence, grips, threads)
    if start is not None and start.unknowns.names == unknowns.names:
        search.resume(start)
    return search.run(evidence, grips)


def effective_share(
    posterior: Posterior, evidence: Evidence, samples: int = 64, seed: int = 1, threads: int = 2
) -> float:
    """Return how honest a posterior's normal form is: the effective share of its draws, 0 to 1.

    Every draw is weighted by the log posterior, all throws flown anew there, over the normal
    density (importance weights; Kish 1965): 1 when both agree, near 0 when a few draws carry all
    weight. For many throws this takes far longer than learning.
    """
    search = _Search.of(posterior.unknowns, evidence, posterior.grips, threads)
    search.scatter = np.array([row_of_scatter(scatter) for scatter in posterior.scatter])
    z = posterior.unknowns.standard_draws(samples, seed)
    root = np.linalg.cholesky(posterior.covariance)
    weight = np.empty(samples)
    for i, one in enumerate(z):
        search.u = posterior.mean + root @ one
        weight[i] = 0.5 * float(one @ one) - search.fly(STEP_S).value(search.u)[0]
    weight = np.exp(weight - weight.max())
    return float(weight.sum() ** 2 / (samples * (weight**2).sum()))


@dataclass(eq=False)
class _Search:
    """The state of one search; ``u`` and ``scatter`` (S, 5) are the best so far."""

    unknowns: Unknowns
    bodies: Bodies
    table: ThrowTable
    different: ThrowTable
    which: Integers
    felt: Felt
    threads: int
    u: Floats
    scatter: Floats
    scatter_weight: Floats
    near: bool = False
    learning: bool = True
    scatter_steps: int = 0
    rounds: int = 0
    left_sd: float = 0.0
    settled: bool = False

    @classmethod
    def of(cls, unknowns: Unknowns, evidence: Evidence, grips: Grips, threads: int) -> _Search:
        table = throw_table(evidence, unknowns, grips.mean)
        first, which = different_throws(table)
        return cls(
            unknowns=unknowns,
            bodies=bodies_of(unknowns.fleet),
            table=table,
            different=rows_of_table(table, first),
            which=which,
            felt=Felt.of(unknowns, evidence),
            threads=threads,
            learning=len(table) > 0,
            u=np.zeros(len(unknowns)),
            scatter=level_scatter(unknowns),
            scatter_weight=np.full(len(unknowns.arms), unknowns.assume.scatter_weight),
        )

    def resume(self, start: Posterior) -> None:
        """Go on from an earlier mode."""
        self.u = start.mode.copy()
        self.scatter = np.array([row_of_scatter(scatter) for scatter in start.scatter])
        self.near = True

    def run(self, evidence: Evidence, grips: Grips) -> Posterior:
        """Search until settled."""
        tried: list[Floats] = []
        reached: list[Floats] = []
        if not self.near:
            self._step(self.fly(COARSE_STEP_S).from_afar(self.u))
        information = covariance = np.eye(len(self.u))
        while True:
            here = self.fly(STEP_S if self.near else COARSE_STEP_S)
            if len(tried) % _INFORMED == 0:
                information = here.information(self.u)
                covariance = _inverse(information)
            newton = -covariance @ here.value(self.u)[1]
            self.left_sd = float((np.abs(newton) / np.sqrt(np.diag(covariance))).max())
            self.settled = self.near and self.left_sd < SETTLED and not self.learning
            if self.settled or self.rounds >= MOST_ROUNDS:
                break
            if self.near and not self.learning:
                tried.append(self.u)
                reached.append(self.u + newton)
                self._step(_mixed(tried[-_MIXED:], reached[-_MIXED:], information))
                continue
            before = self.u
            if self.learning and (self.near or self.rounds > 2):
                self._learn_scatter(here, information, covariance)
                information = here.information(self.u)
            step = self._step(here.maximise(self.u, information, EVALUATIONS), before)
            self.near = self.near or float(np.sqrt(step @ information @ step)) < NEAR
        if len(tried) % _INFORMED:
            covariance = _inverse(here.information(self.u))
        return self._posterior(*self._spread(here, covariance), evidence, grips)

    def _spread(self, here: Objective, covariance: Floats) -> tuple[Floats, Floats]:
        """Return mean and covariance of beliefs from their mode; see :mod:`.spread`."""
        if not len(self.table):
            return self.u, covariance
        _, variance = self._scatter_step(here, covariance)
        spin = self.unknowns.assume.spin_scatter
        here.scatter_is(scatter_of_throws(self.table, self.scatter * np.exp(2.0 * variance), spin))
        thrown = {self.unknowns.styles[style].value for style in np.unique(self.table.style)}
        arm = [
            i
            for i, (kind, name, _) in enumerate(self.unknowns.names)
            if kind == "cold arm" or (kind == "style" and name in thrown)
        ]
        expected = _inverse(here.information(self.u))
        return spread_of(lambda u: here.value(u)[1], self.u, expected, arm)

    def fly(self, step_s: float) -> Objective:
        """Fly all different throws and reference throws around ``u``."""
        unknowns, different = self.unknowns, self.different
        spin = unknowns.assume.spin_scatter
        rows = unknowns.rows(different.disc, different.style)
        slopes = unknowns.slopes(different.disc, different.wear, different.cold_c)
        at = (slopes @ self.u[rows][:, :, None])[:, :, 0]
        own = scatter_of_throws(different, self.scatter, spin)[:, :4]
        polynomials = tabulate(
            unknowns, self.bodies, different, at, own, step_s=step_s, threads=self.threads
        )
        felt = (
            self.felt.fly(unknowns, self.bodies, self.u, self.threads) if len(self.felt) else None
        )
        self.rounds += 1
        return Objective.of(
            unknowns,
            self.table,
            self.which,
            rows[self.which],
            slopes[self.which],
            polynomials,
            scatter_of_throws(self.table, self.scatter, spin),
            self.felt,
            felt,
            self.threads,
        )

    def _step(self, to: Floats, start: Floats | None = None) -> Floats:
        """Go there from a start, or as far as one round may; return the step."""
        start = self.u if start is None else start
        step = np.clip(to - start, -STEP_CAP, STEP_CAP)
        self.u = start + step
        return step

    def _learn_scatter(self, here: Objective, information: Floats, covariance: Floats) -> None:
        """Learn scatter, the mode following, on the flights of this round."""
        spin = self.unknowns.assume.spin_scatter
        for turn in range(SCATTER_STEPS):
            if turn:
                self.u = here.maximise(self.u, information, EVALUATIONS)
                information = here.information(self.u)
                covariance = _inverse(information)
            step, _ = self._scatter_step(here, covariance)
            self.scatter = self.scatter * np.exp(step)
            here.scatter_is(scatter_of_throws(self.table, self.scatter, spin))
            self.scatter_steps += 1
            small = float(np.abs(step).max()) < SCATTER_SETTLED
            if (small and not turn) or self.scatter_steps >= MOST_SCATTER_STEPS:
                self.learning = False
            if small:
                break

    def _scatter_step(self, here: Objective, covariance: Floats) -> tuple[Floats, Floats]:
        """Return a step of log scatter (S, 5) up its marginal likelihood, and its variance.

        Its gradient is that of EM (Dempster, Laird, Rubin 1977). EM itself is slow where
        landings say little of a part, so the step is Newton's with the expected information.
        The prior of each variance is inverse gamma, worth ``scatter_weight`` throws that drew as
        the level says.
        """
        prior, weight = level_scatter(self.unknowns), self.unknowns.assume.scatter_weight
        drawn = here.drawn(self.u, covariance)
        step, variance = np.empty_like(prior), np.empty_like(prior)
        for style in range(len(prior)):
            own = self.table.style == style
            trust = drawn.trust[own]
            level = weight * (prior[style] / self.scatter[style]) ** 2
            gradient = trust @ (drawn.square[own] - 1.0) + level - weight
            information = 2.0 * np.tensordot(trust, drawn.overlap[own], 1) + 2.0 * np.diag(level)
            step[style] = np.linalg.solve(information, gradient)
            variance[style] = np.diag(np.linalg.inv(information))
            self.scatter_weight[style] = weight + trust.sum()
        return np.clip(step, -_MOST_SCATTER_STEP, _MOST_SCATTER_STEP), variance

    def _posterior(
        self, mean: Floats, covariance: Floats, evidence: Evidence, grips: Grips
    ) -> Posterior:
        return Posterior(
            unknowns=self.unknowns,
            mean=mean,
            mode=self.u,
            covariance=covariance,
            scatter=tuple(_as_scatter(row) for row in self.scatter),
            scatter_weight=tuple(self.scatter_weight.tolist()),
            grips=grips,
            fingerprint=fingerprint_of(self.unknowns, evidence.fingerprint()),
            throws=len(evidence.throws),
            comparisons=len(evidence.comparisons),
            rounds=self.rounds,
            settled=self.settled,
            left_sd=self.left_sd,
        )


def _mixed(tried: list[Floats], reached: list[Floats], information: Floats) -> Floats:
    """Return where rounds lead in the end, from where the last of them led (Anderson 1965).

    The mix of rounds that would move least, in standard deviations. A round leads only part of
    the way, or too far, where flights are not what the polynomials made of them.
    """
    if len(tried) < 2:
        return reached[-1]
    left = np.array(reached) - np.array(tried)
    changes = np.diff(left, axis=0)
    square = changes @ information @ changes.T
    square += 1e-8 * np.trace(square) / len(square) * np.eye(len(square))
    share = np.linalg.solve(square, changes @ information @ left[-1])
    return np.asarray(reached[-1] - share @ np.diff(np.array(reached), axis=0))


def _inverse(precision: Floats) -> Floats:
    inverse = np.linalg.inv(precision)
    return np.asarray(0.5 * (inverse + inverse.T), dtype=np.float64)


def different_throws(table: ThrowTable) -> tuple[Integers, Integers]:
    """Return the first of every kind of throw (U,), and each throw's kind (T,).

    Throws of one disc on one line and day fly alike, and are flown once.
    """
    if not len(table):
        return np.zeros(0, dtype=np.int64), np.zeros(0, dtype=np.int64)
    kinds = sorted(set(table.ground))
    key = np.column_stack(
        [
            table.disc, table.style, table.wear, table.cold_c, table.speed_factor, table.width,
            table.launch_rad, table.hyzer_rad, table.density_kg_m3,
            [kinds.index(ground) for ground in table.ground],
        ]
    )  # fmt: skip
    _, first, which = np.unique(key, axis=0, return_index=True, return_inverse=True)
    return first.astype(np.int64), which.reshape(-1).astype(np.int64)


def rows_of_table(table: ThrowTable, rows: Integers) -> ThrowTable:
    """Return some throws of a table."""
    columns: dict[str, Any] = {
        item.name: getattr(table, item.name)[rows]
        for item in fields(ThrowTable)
        if item.name != "ground"
    }
    return ThrowTable(**columns, ground=tuple(table.ground[i] for i in rows))


#: Scatter as a row: speed as a fraction, then launch, hyzer, nose and heading in rad.
_LEAST = np.array([0.001, 0.002, 0.002, 0.002, 0.002])


def level_scatter(unknowns: Unknowns) -> Floats:
    """Return each style's scatter (S, 5) before any throw, as a row."""
    rows = np.array([row_of_scatter(arm.scatter) for arm in unknowns.arms])
    return np.asarray(np.maximum(rows, _LEAST))


def row_of_scatter(scatter: Scatter) -> Floats:
    """Return scatter as a row (5,): speed as a fraction, then launch, hyzer, nose, heading, rad."""
    degrees = [scatter.launch_deg, scatter.hyzer_deg, scatter.nose_deg, scatter.heading_deg]
    return np.array([scatter.speed_fraction, *np.radians(degrees)])


def _as_scatter(row: Floats) -> Scatter:
    return Scatter(float(row[0]), *np.degrees(row[1:]).tolist())
