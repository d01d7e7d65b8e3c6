"""Hold a carry against others with the strokes-to-finish and lies that each leads to itself.

A plan's demand table rests on the policy that has every disc owned. Here the table is made again
with the policy of the carry alone, every other disc priced on its lies with its strokes-to-finish,
and the carry is chosen again until it no longer changes. Then the most promising single adds, drops
and swaps are solved for themselves: each with lies and strokes-to-finish of its own, on the same
throws, so that their differences are paired.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from rimwise.beliefs.fleet import Fleet
from rimwise.decide.carry import Stands, Table, Wishes, choose_carry, held_back
from rimwise.decide.demand import Demand, Progress
from rimwise.decide.pricing import Actions

__all__ = ["Certificate", "Change", "certify", "promising", "table_of_carry"]

#: Most times a carry is chosen again, and changes that are solved anew.
ROUNDS, CHECKED = 3, 6

#: Fills a demand table for some discs of the fleet.
Build = Callable[[Fleet, Progress], Demand]
#: Prices more discs on a table's lies.
More = Callable[[Demand, Fleet, Progress], Demand]


@dataclass(frozen=True, slots=True)
class Change:
    """One disc out (``None``: an add) and one in (``None``: a drop), solved anew.

    ``saves`` is strokes a round against the carry, paired, with one standard error.
    """

    out: int | None
    into: int | None
    saves: float
    saves_se: float

    @property
    def better(self) -> bool:
        """Whether it saves more than two of its errors."""
        return self.saves > 2.0 * self.saves_se and self.saves > 0.0


@dataclass(frozen=True, slots=True)
class Certificate:
    """What choosing again and solving anew came to.

    Parameters
    ----------
    chosen
        The carry in the end.
    again
        How often it was chosen again.
    stable
        Whether the last choice was the one before.
    against, against_se
        Strokes a round that it saves against the carry asked about, each solved for itself.
    changes
        The single changes that were solved anew, the best first.
    """

    chosen: tuple[int, ...]
    again: int
    stable: bool
    against: float
    against_se: float
    changes: tuple[Change, ...]


def table_of_carry(
    fleet: Fleet, carry: Sequence[int], build: Build, more: More, progress: Progress
) -> Demand:
    """Return a demand table by the policy of a carry, all discs of the fleet in its columns."""
    own = sorted(carry)
    rest = [disc for disc in range(len(fleet)) if disc not in own]
    table = build(fleet.subset(own), lambda what, share: progress(what, 0.6 * share))
    if rest:
        table = more(
            table, fleet.subset(rest), lambda what, share: progress(what, 0.6 + 0.4 * share)
        )
    place = np.argsort([*own, *rest])
    return replace(
        table,
        fleet=fleet,
        cost=table.cost[:, place],
        bad=table.bad[:, place],
        actions=Actions(table.actions.table[:, place]),
        fresh=table.fresh[:, place],
        next_m=table.next_m[:, place],
        loss=table.loss[:, place],
    )


def certify(
    fleet: Fleet,
    carry: Sequence[int],
    wishes: Wishes,
    build: Build,
    more: More,
    *,
    stands: Stands | None = None,
    putting: Sequence[int] = (),
    progress: Progress = lambda _what, _share: None,
) -> Certificate:
    """Choose a carry again until it is stable, and solve its best single changes anew.

    Parameters
    ----------
    putting
        Discs kept for putting, which are never thrown.
    """
    asked = tuple(sorted(carry))
    chosen, again, stable = asked, 0, False
    steps = ROUNDS + CHECKED + 2

    def solved(discs: Sequence[int], start: float) -> NDArray[np.float64]:
        thrown = [disc for disc in discs if disc not in putting]
        return build(fleet.subset(thrown), part(start)).samples()

    def part(start: float, size: float = 1.0) -> Progress:
        return lambda what, share: progress(what, min((start + size * share) / steps, 1.0))

    while not stable and again < ROUNDS:
        thrown = [disc for disc in chosen if disc not in putting]
        table = held_back(table_of_carry(fleet, thrown, build, more, part(again)), putting)
        found = tuple(sorted(choose_carry(table, replace(wishes, keep=chosen), stands).chosen))
        # Equal within the error by the later criteria is no reason to change.
        saves, error = table.difference(chosen, found)
        stable = found == chosen or saves <= 2.0 * error
        chosen = chosen if stable else found
        again += 1
    base = solved(chosen, ROUNDS)
    changes = []
    for number, (out, into) in enumerate(promising(table, chosen, wishes)):
        changed = sorted({*chosen, *([] if into is None else [into])} - {out})
        changes.append(Change(out, into, *_paired(base - solved(changed, ROUNDS + 1 + number))))
    against, error = 0.0, 0.0
    if chosen != asked:
        against, error = _paired(solved(asked, steps - 1) - base)
    progress("done", 1.0)
    changes.sort(key=lambda change: -change.saves)
    return Certificate(chosen, again, stable, against, error, tuple(changes))


def _paired(samples: NDArray[np.float64]) -> tuple[float, float]:
    return float(samples.mean()), float(samples.std(ddof=1) / np.sqrt(len(samples)))


def promising(
    table: Table, chosen: Sequence[int], wishes: Wishes
) -> tuple[tuple[int | None, int | None], ...]:
    """Return the single changes that the table likes best among those that obey the wishes.

    Each is one disc out and one in; an add or a drop has ``None`` there.
    """
    weights, cost = table.weights, table.cost
    rules = wishes.stated(table.fleet.ids)
    now = float(weights @ cost[:, list(chosen)].min(axis=1))
    home = [disc for disc in range(len(table.fleet)) if disc not in chosen]
    promised: list[tuple[float, int | None, int | None]] = []
    for out in (None, *chosen):
        for into in (None, *home):
            changed = sorted({*chosen, *([] if into is None else [into])} - {out})
            if changed == sorted(chosen) or not changed:
                continue
            comes = np.isin(np.arange(len(table.fleet)), changed)
            if any(np.asarray(rule.weights) @ comes > rule.most + 1e-9 for rule in rules):
                continue
            saved = now - float(weights @ cost[:, changed].min(axis=1))
            promised.append((saved, out, into))
    promised.sort(key=lambda one: (-one[0], one[1] or -1, one[2] or -1))
    return tuple((out, into) for _, out, into in promised[:CHECKED])
