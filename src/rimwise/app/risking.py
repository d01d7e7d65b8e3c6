"""Which discs a round costs, on which holes, in discs, strokes and money."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rimwise.app.solving import Question, solve_many
from rimwise.decide.rounds import Progress
from rimwise.records.words import joined, number
from rimwise.store.store import Store

__all__ = ["DiscRisk", "HoleRisk", "RiskReport", "tell_risk"]

#: Holes and discs told by name.
_TOLD = 3


@dataclass(frozen=True, slots=True)
class DiscRisk:
    """One disc over a round.

    Parameters
    ----------
    lost
        Discs lost a round.
    strokes
        What that is worth a round, as you value a lost disc.
    money
        What it costs a round, in the money of your own prices; ``None`` where none is on file.
    priced
        Whether the disc has a price of its own; else the middle of those on file stands for it.
    floats
        Whether it floats.
    holes
        (hole, discs lost a round there), the costliest first.
    """

    disc_id: str
    label: str
    lost: float
    strokes: float
    money: float | None
    priced: bool
    floats: bool
    holes: tuple[tuple[str, float], ...]


@dataclass(frozen=True, slots=True)
class HoleRisk:
    """One hole over all its discs; see :class:`DiscRisk`."""

    hole: str
    lost: float
    strokes: float
    money: float | None


@dataclass(frozen=True, slots=True)
class RiskReport:
    """The discs that a round costs in some conditions."""

    course: str
    conditions: str
    lost: float
    strokes: float
    money: float | None
    discs: tuple[DiscRisk, ...]
    holes: tuple[HoleRisk, ...]
    sentences: tuple[str, ...]


def tell_risk(
    store: Store, asked: Question, *, progress: Progress = lambda _what, _share: None
) -> RiskReport:
    """Say which discs a round costs; holes that are not on file are solved first.

    Raises
    ------
    RimwiseError
        When something is missing.
    """
    solved = solve_many(store, None, asked, progress)
    fleet, assume = solved[0].hole.fleet, solved[0].hole.simulator.assume
    table = np.array([one.hole.lost for one in solved])  # (hole, disc)
    discs = {disc.id: disc for disc in store.discs.all()}
    costs = [discs[name].cost for name in fleet.ids]
    known = [cost for cost in costs if cost]
    middle = float(np.median(known)) if known else None
    prices = np.array([(middle or 0.0) if cost is None else cost for cost in costs])
    worth = assume.lost_disc_strokes * fleet.relative_cost
    refs = [one.hole.hole.ref for one in solved]

    def money(lost: float) -> float | None:
        return None if middle is None else lost

    by_disc = [
        DiscRisk(
            disc_id=fleet.ids[d],
            label=fleet.labels[d],
            lost=float(table[:, d].sum()),
            strokes=float(table[:, d].sum() * worth[d]),
            money=money(float(table[:, d].sum() * prices[d])),
            priced=costs[d] is not None,
            floats=bool(fleet.floats[d]),
            holes=tuple(
                (refs[h], float(table[h, d])) for h in np.argsort(-table[:, d]) if table[h, d] > 0
            ),
        )
        for d in np.argsort(-table.sum(axis=0), kind="stable").tolist()
        if table[:, d].sum() > 0.0
    ]
    by_hole = [
        HoleRisk(
            hole=refs[h],
            lost=float(table[h].sum()),
            strokes=float(table[h] @ worth),
            money=money(float(table[h] @ prices)),
        )
        for h in range(len(refs))
    ]
    lost = float(table.sum())
    spent = money(float(table.sum(axis=0) @ prices))
    return RiskReport(
        course=solved[0].course.name,
        conditions=solved[0].conditions.name,
        lost=lost,
        strokes=float(table.sum(axis=0) @ worth),
        money=spent,
        discs=tuple(by_disc),
        holes=tuple(by_hole),
        sentences=_sentences(solved[0].conditions.name, lost, spent, by_disc, by_hole, costs),
    )


def _sentences(
    conditions: str,
    lost: float,
    money: float | None,
    discs: list[DiscRisk],
    holes: list[HoleRisk],
    costs: list[float | None],
) -> tuple[str, ...]:
    if lost <= 0.0:
        return (f"In {conditions} a round costs no disc that the simulation knows of.",)
    spent = "" if money is None else f", {number(money, 2)} in money a round"
    rounds = number(1.0 / lost, 0 if lost < 0.2 else 1)
    first = f"In {conditions} a round costs {number(lost, 2)} discs: one in about {rounds} rounds"
    told = [f"{first}{spent}."]
    worst = sorted(holes, key=lambda hole: -hole.lost)[:_TOLD]
    told.append(
        "Most are lost on "
        + joined(
            [f"hole {h.hole} ({number(100.0 * h.lost / lost)} of 100)" for h in worst if h.lost]
        )
        + "."
    )
    told.append(
        "Most often it is "
        + joined([f"{d.label} ({number(100.0 * d.lost / lost)} of 100)" for d in discs[:_TOLD]])
        + "."
    )
    if money is not None and any(cost is None for cost in costs):
        told.append("Discs without a price on file count as the middle one of those with a price.")
    if money is None:
        told.append("No disc has a price on file, so this is told in discs and strokes alone.")
    return tuple(told)
