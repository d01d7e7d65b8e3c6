"""The best carry with proof: branch and bound over Benders cuts.

With ``x`` the chosen discs, the strokes of row ``r`` are at least
``D - sum_d max(0, D - c_rd) x_d`` for every number ``D``; the best ``D`` for a given ``x`` is the
cost at which the discs sorted by cost add up to one whole disc (closed-form separation:
Duran-Mateluna, Ales & Elloumi 2023, "An efficient Benders decomposition for the p-median
problem", European Journal of Operational Research 308, 84-96, cited from memory). Cuts are summed
over groups of rows that like the same discs, which keeps the linear program small; slack cuts are
dropped again. Each node is bounded by that program (HiGHS dual simplex, restarted from the last
basis), branched on the disc whose settling moved the bound most so far, and closed when its bound
reaches the best carry known.
"""

from __future__ import annotations

import heapq
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from rimwise.decide.criteria import Table
from rimwise.decide.exchange import Cap, improve, within
from rimwise.decide.rules import Rules
from rimwise.errors import InputError

__all__ = ["NODE_LIMIT", "Proof"]

NODE_LIMIT = 4000
"""Linear programs branched on before the search stops with an honest gap (minutes, not hours)."""

_GROUPS = 120
_MOST_ROWS = 1000
_EXACT = 1e-9
"""Relative accuracy of proof, cuts and integrality."""
_VIOLATED = 1e-8
"""A cut counts as violated beyond this (objectives are scaled to about 100)."""
_ROUNDS = 200
_STALL = 0.05
"""Cutting stops and branching starts when a round closes less than this part of the gap."""

Array = NDArray[np.float64]


class _Block:
    """The rows of one criterion inside the linear program, grouped."""

    def __init__(self, table: Table, reference: float) -> None:
        order = np.argsort(table.regret, axis=1, kind="stable")
        alike = np.lexsort(order[:, : min(3, order.shape[1])].T[::-1])
        self.order = order[alike]
        self.regret = table.regret[alike]
        self.sorted = np.take_along_axis(self.regret, self.order, axis=1)
        spread = float(table.weights @ table.regret.max(axis=1, initial=0.0))
        size = max(reference, 1e-4 * spread, float(np.abs(table.price).max(initial=0.0)))
        self.scale = size / 100.0 if size > 0.0 else 1.0
        self.weights = table.weights[alike] / self.scale
        self.price = table.price / self.scale
        rows = len(self.weights)
        self.starts = np.unique(np.arange(min(_GROUPS, rows)) * rows // max(1, min(_GROUPS, rows)))
        self.first_column = 0

    @property
    def groups(self) -> int:
        return len(self.starts)

    def worst(self) -> Array:
        """Return (groups,): what a group comes to when each row gets its worst disc."""
        if not self.groups:
            return np.zeros(0)
        total: Array = np.add.reduceat(self.sorted[:, -1] * self.weights, self.starts)
        return total

    def cuts(self, x: Array) -> tuple[Array, Array]:
        """Return (groups,) right sides and (groups, discs) coefficients of the cuts at ``x``."""
        if not self.groups:
            return np.zeros(0), np.zeros((0, len(x)))
        filled = np.cumsum(x[self.order], axis=1)
        place = np.minimum((filled < 1.0 - _EXACT).sum(axis=1), len(x) - 1)
        level = self.sorted[np.arange(len(place)), place]
        saved = np.maximum(level[:, None] - self.regret, 0.0) * self.weights[:, None]
        return (
            np.add.reduceat(level * self.weights, self.starts),
            np.add.reduceat(saved, self.starts, axis=0),
        )


@dataclass(order=True, slots=True)
class _Node:
    bound: float
    number: int
    low: Array = field(compare=False)
    high: Array = field(compare=False)
    x: Array = field(compare=False)
    reduced: Array = field(compare=False)


class Proof:
    """A search that keeps its cuts from one question to the next.

    Parameters
    ----------
    table
        What to minimise.
    rules
        What a carry has to obey; :meth:`best` may be asked for several limits.
    caps
        Earlier criteria with the most each may come to (offset left out).
    known
        A set that obeys rules and caps, to start from.
    """

    def __init__(
        self, table: Table, rules: Rules, caps: tuple[Cap, ...], known: tuple[int, ...]
    ) -> None:
        self._table, self._rules, self._caps = table, rules, caps
        self._blocks = [_Block(table, table.value(known))]
        self._blocks += [_Block(cap, max(most, cap.value(known))) for cap, most in caps]
        self._scale = self._blocks[0].scale
        self._program = self._build()

    def best(
        self, limit: int, known: tuple[int, ...], node_limit: int = NODE_LIMIT
    ) -> tuple[tuple[int, ...], float]:
        """Return the best set of at most ``limit`` discs and a lower bound on its objective.

        ``known`` is a set that obeys rules and caps, to start from. Objective and bound leave
        the offset of the table out. The bound is below the objective by more than rounding
        only when ``node_limit`` programs were not enough.
        """
        rules = self._rules.with_limit(limit)
        self._chosen = improve(self._table, rules, self._caps, known)
        self._best = self._table.value(self._chosen) / self._scale
        self._program.changeRowBounds(0, 1.0, float(limit))
        self._rules_now = rules
        self._rounded: set[tuple[int, ...]] = set()
        bound = self._search(node_limit)
        return self._chosen, min(bound, self._best) * self._scale

    # -- the tree ---------------------------------------------------------------------------

    def _search(self, node_limit: int) -> float:
        """Close the tree; return the lower bound it proves."""
        discs = self._rules.discs
        low, high = np.zeros(discs), self._rules.free.astype(float)
        low[list(self._rules.must)] = 1.0
        self._gain = np.zeros((2, discs))
        self._tried = np.zeros((2, discs))
        self._closed, self._numbers, solved = np.inf, 0, 1
        root = self._solve(low, high)
        heap = [root] if root else []
        while heap and heap[0].bound < self._best - self._margin() and solved < node_limit:
            node = heapq.heappop(heap)
            children, programs = self._branch(node, careful=solved < 20)
            solved += programs
            for child in children:
                heapq.heappush(heap, child)
        return min([self._closed, *(node.bound for node in heap)])

    def _margin(self) -> float:
        return _EXACT * max(1.0, abs(self._best))

    def _branch(self, node: _Node, careful: bool) -> tuple[list[_Node], int]:
        """Split a node on one disc; try several discs first while little is known."""
        low, high = self._fix_by_reduced_cost(node)
        worth = np.maximum(self._rate(1) * (1.0 - node.x), 1e-6) * np.maximum(
            self._rate(0) * node.x, 1e-6
        )
        split = np.minimum(node.x, 1.0 - node.x)
        worth[split <= _EXACT] = -1.0
        tried = [int(disc) for disc in np.argsort(-worth, kind="stable")[: 8 if careful else 1]]
        best_children: list[_Node] = []
        best_rise, programs = -1.0, 0
        for disc in tried:
            if split[disc] <= _EXACT:
                continue
            rise, children = 1.0, []
            for side in (0, 1):
                child_low, child_high = low.copy(), high.copy()
                (child_low if side else child_high)[disc] = side
                child = self._solve(child_low, child_high)
                programs += 1
                step = max(0.0, (child.bound if child else self._best) - node.bound)
                self._gain[side, disc] += step / (1.0 - node.x[disc] if side else node.x[disc])
                self._tried[side, disc] += 1
                rise *= max(step, 1e-6)
                children += [child] if child else []
            if rise > best_rise:
                best_rise, best_children = rise, children
        return best_children, programs

    def _rate(self, side: int) -> Array:
        """Return (discs,): how much the bound rose per unit when a disc was settled."""
        total = self._tried[side].sum()
        mean = self._gain[side].sum() / total if total else 1.0
        rate: Array = np.where(
            self._tried[side] > 0, self._gain[side] / np.maximum(self._tried[side], 1), mean
        )
        return rate

    def _fix_by_reduced_cost(self, node: _Node) -> tuple[Array, Array]:
        low, high = node.low.copy(), node.high.copy()
        gap = self._best - node.bound + self._margin()
        high[(node.x < _EXACT) & (node.reduced > gap) & (low < 1.0)] = 0.0
        low[(node.x > 1.0 - _EXACT) & (-node.reduced > gap) & (high > 0.0)] = 1.0
        return low, high

    # -- the linear program -----------------------------------------------------------------

    def _build(self) -> Any:
        """Set up discs, groups, number of discs, rules and caps; cuts come as they are needed."""
        import highspy

        discs, columns = self._rules.discs, self._rules.discs
        for block in self._blocks:
            block.first_column, columns = columns, columns + block.groups
        goal = np.zeros(columns)
        goal[:discs] = self._blocks[0].price
        goal[discs : discs + self._blocks[0].groups] = 1.0
        high = np.concatenate([np.ones(discs), *(block.worst() for block in self._blocks)])
        # The solver's bare class: its Python wrapper prints a banner before it can be silenced.
        program: Any = highspy._Highs()  # type: ignore[attr-defined]
        for option, value in (
            ("output_flag", False),
            ("threads", 1),
            ("presolve", "off"),
            ("primal_feasibility_tolerance", _EXACT),
            ("dual_feasibility_tolerance", _EXACT),
        ):
            program.setOptionValue(option, value)
        nothing = np.zeros(0, dtype=np.int32)
        program.addCols(columns, goal, np.zeros(columns), high, 0, nothing, nothing, np.zeros(0))
        fixed = np.zeros((1 + len(self._rules.upper) + len(self._caps), columns))
        fixed[0, :discs] = 1.0
        fixed[1 : 1 + len(self._rules.upper), :discs] = self._rules.matrix
        tops = [float(self._rules.limit), *self._rules.upper]
        for row, ((_, most), block) in enumerate(
            zip(self._caps, self._blocks[1:], strict=True), start=1 + len(self._rules.upper)
        ):
            fixed[row, :discs] = block.price
            fixed[row, block.first_column : block.first_column + block.groups] = 1.0
            tops.append(most / block.scale)
        lows = np.full(len(fixed), -highspy.kHighsInf)
        lows[0] = 1.0
        _add_rows(program, lows, np.array(tops), fixed)
        self._fixed_rows = len(fixed)
        return program

    def _solve(self, low: Array, high: Array) -> _Node | None:
        """Bound a node, cutting as it goes; None when it is closed or holds no set."""
        import highspy

        program, discs = self._program, self._rules.discs
        self._drop_slack_cuts()
        program.changeColsBounds(discs, np.arange(discs, dtype=np.int32), low, high)
        for last_round in (*(False,) * _ROUNDS, True):
            program.run()
            if program.getModelStatus() != highspy.HighsModelStatus.kOptimal:
                self._check_empty(program)
                return None
            solution = program.getSolution()
            values = np.array(solution.col_value)
            bound = float(program.getInfo().objective_function_value)
            x = np.clip(values[:discs], low, high)
            whole = bool(np.all(np.minimum(x, 1.0 - x) <= _EXACT))
            open_still = bound < self._best - self._margin()
            if last_round or not (open_still and self._cut(x, values, whole, bound)):
                break
        if whole:
            self._note(x)
        if whole or not open_still:
            self._closed = min(self._closed, bound)
            return None
        self._round(x)
        self._numbers += 1
        reduced = np.array(solution.col_dual)[:discs]
        return _Node(bound, self._numbers, low, high, x, reduced)

    def _check_empty(self, program: Any) -> None:
        """Accept "no such set"; anything else from the solver is a defect worth hearing of."""
        import highspy

        status = program.getModelStatus()
        if status != highspy.HighsModelStatus.kInfeasible:
            raise InputError(
                f"cost could not be solved to proof (solver says {status}); check that cost, "
                "weights and price do not mix very large with very small numbers."
            )

    def _cut(self, x: Array, values: Array, whole: bool, bound: float) -> bool:
        """Add the cuts that ``x`` violates; tell whether solving again is worth it."""
        import highspy

        found, gain = [], 0.0
        for block in self._blocks:
            right, coefficients = block.cuts(x)
            first = block.first_column
            short = right - coefficients @ x - values[first : first + block.groups]
            bad = np.flatnonzero(short > _VIOLATED)
            if len(bad):
                found.append((first + bad, right[bad], coefficients[bad]))
                gain += float(short[bad].sum())
        if not found or (not whole and gain < _STALL * (self._best - bound)):
            return False
        for columns, right, coefficients in found:
            rows = np.zeros((len(right), len(values)))
            rows[:, : len(x)] = coefficients
            rows[np.arange(len(right)), columns] = 1.0
            _add_rows(self._program, right, np.full(len(right), highspy.kHighsInf), rows)
        return True

    def _note(self, x: Array) -> None:
        """Keep a whole solution when it is the best so far."""
        chosen = tuple(int(disc) for disc in np.flatnonzero(x > 0.5))
        value = self._table.value(chosen) / self._scale
        if value < self._best and self._rules_now.allow(chosen):
            if within(self._caps, chosen):
                chosen = improve(self._table, self._rules_now, self._caps, chosen)
            self._chosen, self._best = chosen, self._table.value(chosen) / self._scale

    def _round(self, x: Array) -> None:
        """Try the discs that a fractional solution likes best, improved by exchange."""
        likes = np.argsort(-x, kind="stable")[: self._rules_now.limit]
        chosen = tuple(sorted(likes[x[likes] > _EXACT].tolist()))
        if not chosen or chosen in self._rounded:
            return
        self._rounded.add(chosen)
        if self._rules_now.allow(chosen) and within(self._caps, chosen):
            chosen = improve(self._table, self._rules_now, self._caps, chosen)
            value = self._table.value(chosen) / self._scale
            if value < self._best:
                self._chosen, self._best = chosen, value

    def _drop_slack_cuts(self) -> None:
        """Forget cuts that do not bind; the basis stays valid, and they can be found again."""
        import highspy

        program = self._program
        if program.getNumRow() <= _MOST_ROWS + self._fixed_rows:
            return
        status = program.getBasis().row_status
        slack = [
            row
            for row in range(self._fixed_rows, program.getNumRow())
            if status[row] == highspy.HighsBasisStatus.kBasic
        ]
        if slack:
            program.deleteRows(len(slack), np.array(slack, dtype=np.int32))


def _add_rows(program: Any, low: Array, high: Array, rows: Array) -> None:
    """Hand dense rows to the solver, leaving out their zeros."""
    there = rows != 0.0
    counts = there.sum(axis=1)
    starts = np.concatenate([[0], np.cumsum(counts)[:-1]]).astype(np.int32)
    columns = np.nonzero(there)[1].astype(np.int32)
    program.addRows(len(rows), low, high, len(columns), starts, columns, rows[there])
