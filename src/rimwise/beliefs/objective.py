"""The log posterior near one place, from flights already flown: value, gradient, curvature."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from rimwise.beliefs.felt import (
    FELT,
    FeltCurves,
    Grades,
    felt_curves,
    graded,
    grades_of,
    reference_throws,
)
from rimwise.beliefs.flown import Bodies, Polynomials
from rimwise.beliefs.observed import Evidence, ThrowTable, place_of
from rimwise.beliefs.unknowns import LOCAL, Unknowns
from rimwise.flight._share import share

if TYPE_CHECKING:
    from rimwise.beliefs._algebra import Curves, Data, Results

__all__ = ["Felt", "Objective", "scatter_of_throws"]

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]

#: Throws for which a thread is worth while.
_BLOCK = 64


@dataclass(frozen=True, eq=False)
class Felt:
    """Comparisons of stability and reach: which discs, and what was answered.

    ``table`` holds the F reference throws needed, ``rows`` (F, 18) and ``slopes`` (F, 11, 18) how
    they follow ``u``; ``more``, ``less`` (C,) are places in it, ``kind`` (C,) in ``FELT``.
    """

    table: ThrowTable
    rows: Integers
    slopes: Floats
    more: Integers
    less: Integers
    kind: Integers
    grades: Grades

    def __len__(self) -> int:
        return len(self.more)

    @classmethod
    def of(cls, unknowns: Unknowns, evidence: Evidence) -> Felt:
        """Gather the comparisons; a disc as worn on two days is flown twice."""
        fleet = unknowns.fleet
        places: dict[tuple[int, float], int] = {}

        def place(disc_id: str, on: date) -> int:
            disc = place_of(disc_id, fleet)
            wear = evidence.worn(disc_id, on, float(fleet.wear[disc]))
            return places.setdefault((disc, wear), len(places))

        asked = tuple(one for one in evidence.comparisons if one.quality in FELT)
        more = np.array([place(one.more, one.on) for one in asked], dtype=np.int64)
        less = np.array([place(one.less, one.on) for one in asked], dtype=np.int64)
        kind = np.array([FELT.index(one.quality) for one in asked], dtype=np.int64)
        disc = np.array([key[0] for key in places], dtype=np.int64)
        wear = np.array([key[1] for key in places])
        table = reference_throws(unknowns, disc, wear)
        return cls(
            table=table,
            rows=unknowns.rows(disc, table.style),
            slopes=unknowns.slopes(disc, wear, table.cold_c),
            more=more,
            less=less,
            kind=kind,
            grades=grades_of(asked, unknowns.assume),
        )

    def fly(self, unknowns: Unknowns, bodies: Bodies, u: Floats, threads: int) -> FeltCurves:
        """Fly the reference throws at ``u``."""
        return felt_curves(unknowns, bodies, self.table, _local(self.rows, self.slopes, u), threads)


@dataclass(eq=False)
class Objective:
    """The log posterior of ``u`` near where throws were flown.

    ``rows`` (T, 18) and ``slopes`` (T, 11, 18) say how throws follow ``u``.
    """

    unknowns: Unknowns
    rows: Integers
    slopes: Floats
    at: Floats
    curves: Curves
    data: Data
    felt: Felt
    felt_curves: FeltCurves | None
    threads: int

    @classmethod
    def of(
        cls,
        unknowns: Unknowns,
        table: ThrowTable,
        which: Integers,
        rows: Integers,
        slopes: Floats,
        polynomials: Polynomials,
        scatter: Floats,
        felt: Felt,
        felt_curves: FeltCurves | None,
        threads: int,
    ) -> Objective:
        """Bring flights and observations together; ``which`` (T,) names a throw's polynomials."""
        from rimwise.beliefs._algebra import Curves, Data

        at = polynomials.at[which]
        arms = unknowns.arms
        speed = np.array([arm.speed_m_s for arm in arms])[table.style] * table.speed_factor
        ratio = np.array([arm.spin_rad_s / arm.speed_m_s for arm in arms])[table.style]
        heading = np.array([arm.heading_bias_rad for arm in arms])[table.style]
        seen = table.seen.copy()
        speed_at, ratio_at = LOCAL.index("log speed"), LOCAL.index("log advance ratio")
        seen[:, 3] -= np.log(speed) + at[:, speed_at]
        seen[:, 4] -= np.log(ratio * speed) + at[:, speed_at] + at[:, ratio_at]
        visible = ~np.isnan(seen)
        data = Data(
            which=which,
            scatter=scatter,
            seen=np.where(visible, seen, 0.0),
            visible=visible.astype(np.int64),
            noise=table.noise,
            heading=heading + at[:, LOCAL.index("heading (rad)")],
            wide=table.wide,
        )
        curves = Curves(
            polynomials.middle,
            polynomials.slope,
            polynomials.curve,
            polynomials.mixed,
            polynomials.side_slope,
            polynomials.nose_step_rad,
        )
        return cls(unknowns, rows, slopes, at, curves, data, felt, felt_curves, threads)

    def value(self, u: Floats) -> tuple[float, Floats]:
        """Return minus the log posterior and its gradient (D,)."""
        from rimwise.beliefs._algebra import GRADIENT

        throws = self._visit(u, GRADIENT)
        felt_value, felt_gradient, _ = self._comparisons(u, informed=False)
        total = float(throws.value.sum()) + felt_value - 0.5 * float(u @ u)
        return -total, u - self._scatter(throws.gradient) - felt_gradient

    def throws(self, u: Floats) -> Floats:
        """Return the log likelihood of every throw, (T,)."""
        from rimwise.beliefs._algebra import GRADIENT

        return np.asarray(self._visit(u, GRADIENT).value)

    def information(self, u: Floats) -> Floats:
        """Return the expected information (D, D), the prior's included."""
        from rimwise.beliefs._algebra import EXPECTED

        _, _, felt = self._comparisons(u)
        return np.eye(len(u)) + self._gather(self._visit(u, EXPECTED).information) + felt

    def from_afar(self, u: Floats) -> Floats:
        """Return where one step of Gauss–Newton leads from ``u``, far throws held back."""
        from rimwise.beliefs._algebra import AFAR

        throws = self._visit(u, AFAR)
        _, felt_gradient, felt = self._comparisons(u)
        gradient = self._scatter(throws.gradient) + felt_gradient - u
        whole = np.eye(len(u)) + self._gather(throws.information) + felt
        return u + np.asarray(np.linalg.solve(whole, gradient))

    def maximise(self, u: Floats, information: Floats, evaluations: int) -> Floats:
        """Return the mode near ``u`` (L-BFGS, Nocedal 1980), whitened by an information."""
        from scipy.linalg import solve_triangular
        from scipy.optimize import minimize

        root = np.linalg.cholesky(information)

        def back(v: Floats) -> Floats:
            return np.asarray(u + solve_triangular(root, v, lower=True, trans="T"))

        def whitened(v: Floats) -> tuple[float, Floats]:
            value, gradient = self.value(back(v))
            return value, solve_triangular(root, gradient, lower=True)

        found = minimize(
            whitened, np.zeros(len(u)), jac=True, method="L-BFGS-B",
            options={"maxfun": evaluations, "gtol": 2e-3, "ftol": 1e-9},
        )  # fmt: skip
        return back(found.x)

    def scatter_is(self, scatter: Floats) -> None:
        """Take another scatter (T, 6) from here on."""
        self.data = self.data._replace(scatter=scatter)

    def drawn(self, u: Floats, covariance: Floats) -> Results:
        """Return what releases drew, given how unsure ``u`` is: the expectation step of EM."""
        from rimwise.beliefs._algebra import EM

        near = covariance[self.rows[:, :, None], self.rows[:, None, :]]
        unsure = self.slopes @ near @ np.swapaxes(self.slopes, 1, 2)
        return self._visit(u, EM, unsure)

    def _visit(self, u: Floats, want: int, unsure: Floats | None = None) -> Results:
        """Visit all throws at ``u`` for what is wanted; see :func:`visit_throws`."""
        from rimwise.beliefs._algebra import EM, GRADIENT, Results, visit_throws

        count, arguments = len(self.rows), len(LOCAL)
        results = Results(
            np.zeros(count),
            np.zeros(count),
            np.zeros((count, arguments)),
            np.zeros((0 if want in (GRADIENT, EM) else count, arguments, arguments)),
            np.zeros((count if want == EM else 0, 5)),
            np.zeros((count if want == EM else 0, 5, 5)),
        )
        delta = _local(self.rows, self.slopes, u) - self.at
        spread = np.zeros((0, arguments, arguments)) if unsure is None else unsure
        shank = self.unknowns.assume.shank_chance

        def work(start: int, stop: int) -> None:
            visit_throws(start, stop, want, delta, spread, self.curves, self.data, shank, results)

        share(work, count, self.threads, _BLOCK)
        return results

    def _comparisons(self, u: Floats, *, informed: bool = True) -> tuple[float, Floats, Floats]:
        """Return log likelihood, gradient (D,) and, when ``informed``, information (D, D)."""
        size, felt = len(u), self.felt
        curves = self.felt_curves
        if curves is None:
            return 0.0, np.zeros(size), np.zeros((size, size))
        value, slope = curves.there(_local(felt.rows, felt.slopes, u))
        apart = value[felt.more, felt.kind] - value[felt.less, felt.kind]
        wrong = self.unknowns.assume.wrong_comparison
        logs, first, _, fisher = graded(apart, felt.grades, wrong)
        by = np.einsum("fak,fac->kfc", slope, felt.slopes)
        rows = np.hstack([felt.rows[felt.more], felt.rows[felt.less]])
        along = np.hstack([by[felt.kind, felt.more], -by[felt.kind, felt.less]])
        gradient = _add_up(rows, along * first[:, None], size)
        if not informed:
            return float(logs.sum()), gradient, np.zeros((0, 0))
        blocks = along[:, :, None] * along[:, None, :] * fisher[:, None, None]
        return float(logs.sum()), gradient, _add_blocks(rows, blocks, size)

    def _scatter(self, local: Floats) -> Floats:
        """Add local gradients (T, 11) up to one of ``u`` (D,)."""
        parts = np.einsum("tac,ta->tc", self.slopes, local)
        return _add_up(self.rows, parts, len(self.unknowns))

    def _gather(self, local: Floats) -> Floats:
        """Add local informations (T, 11, 11) up to one of ``u`` (D, D)."""
        blocks = np.swapaxes(self.slopes, 1, 2) @ local @ self.slopes
        return _add_blocks(self.rows, blocks, len(self.unknowns))


def scatter_of_throws(table: ThrowTable, scatter: Floats, spin_scatter: float) -> Floats:
    """Return each throw's scatter (T, 6) from its style's (S, 5), wider off the stock throw."""
    own = scatter[table.style] * table.width[:, None]
    return np.column_stack([own, np.full(len(own), spin_scatter)])


def _local(rows: Integers, slopes: Floats, u: Floats) -> Floats:
    return np.asarray((slopes @ u[rows][:, :, None])[:, :, 0])


def _add_up(rows: Integers, parts: Floats, size: int) -> Floats:
    return np.bincount(rows.ravel(), parts.ravel(), minlength=size).astype(np.float64)


def _add_blocks(rows: Integers, blocks: Floats, size: int) -> Floats:
    where = rows[:, :, None] * size + rows[:, None, :]
    flat = np.bincount(where.ravel(), blocks.ravel(), minlength=size * size)
    return np.asarray(flat.reshape(size, size), dtype=np.float64)
