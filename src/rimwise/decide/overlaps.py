"""Overlaps: carried discs that do each other's work."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from rimwise.decide.carry import Table

__all__ = ["HARDLY", "Overlap", "find_overlaps"]

#: Discs that make fewer throws a round than this are hardly thrown.
HARDLY = 0.05
#: Less lost a round than this is nothing, however sure.
_NOTHING = 0.005


@dataclass(frozen=True, slots=True)
class Overlap:
    """Two carried discs of which either does the other's work for ``strokes`` a round."""

    first: str
    second: str
    strokes: float
    strokes_se: float


def find_overlaps(demand: Table, carry: Sequence[int]) -> tuple[Overlap, ...]:
    """Return pairs of thrown discs of which one does the other's work, within error."""
    serves = demand.serves(carry)
    throws = {disc: float(demand.weights[serves == disc].sum()) for disc in carry}
    found: dict[tuple[str, str], Overlap] = {}
    for gone in carry:
        if throws[gone] < HARDLY or len(carry) < 2:
            continue
        kept = [disc for disc in carry if disc != gone]
        rows = serves == gone
        stands = demand.serves(kept)[rows]
        work = {disc: float(demand.weights[rows] @ (stands == disc)) for disc in kept}
        deputy = max(kept, key=lambda disc: (work[disc], -disc))
        lost, error = demand.difference(kept, carry)
        if (
            work[deputy] < 0.5 * throws[gone]
            or throws[deputy] < HARDLY
            or lost > max(2.0 * error, _NOTHING)
        ):
            continue
        first, second = sorted((demand.fleet.ids[gone], demand.fleet.ids[deputy]))
        if (first, second) not in found or lost < found[first, second].strokes:
            found[first, second] = Overlap(first, second, lost, error)
    return tuple(sorted(found.values(), key=lambda one: (one.strokes, one.first, one.second)))
