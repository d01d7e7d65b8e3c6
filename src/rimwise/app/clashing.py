"""Answers that contradict each other: the shortest cycle of comparisons that cannot all hold."""

from __future__ import annotations

from collections import deque
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from rimwise.beliefs.felt import felt_of, grades_of, reference_throws
from rimwise.beliefs.flown import bodies_of, fly_local
from rimwise.beliefs.posterior import Posterior
from rimwise.records.evidence import Comparison, Quality

__all__ = ["CLASH_SD", "Contradiction", "contradictions_in"]

#: A grade clashes when it asks for this many sd more than is believed.
CLASH_SD = 2.0
_SAMPLES, _SEED = 128, 20262


@dataclass(frozen=True, slots=True)
class Contradiction:
    """Comparisons of stability in a circle, the least believed first.

    ``excess_sd`` is how far the first asks beyond the difference that is believed.
    """

    answers: tuple[Comparison, ...]
    excess_sd: float

    @property
    def words(self) -> str:
        """The circle as a sentence, with dates."""
        told = [
            f"{one.more} {'plainly' if one.plainly else 'slightly'} more stable than {one.less} "
            f"({one.on})"
            for one in self.answers
        ]
        return f"These cannot all hold: {'; '.join(told)}."


def contradictions_in(
    beliefs: Posterior, comparisons: Sequence[Comparison]
) -> tuple[Contradiction, ...]:
    """Return the circles that answers against belief close, the shortest first.

    An answer is against belief when the least difference that its grade asks for exceeds the
    believed one by :data:`CLASH_SD` standard deviations, those of belief and of feeling together.
    Its circle is the shortest way back over other answers. Circles of the same discs in the same
    order are told once.
    """
    answers = [one for one in comparisons if one.quality is Quality.STABILITY and not one.alike]
    if not answers:
        return ()
    excess = _excess_sd(beliefs, answers)
    found = []
    for i in np.flatnonzero(excess > CLASH_SD).tolist():
        way = _way(answers, answers[i].less, answers[i].more)
        if way is not None:
            found.append(Contradiction((answers[i], *way), float(excess[i])))
    found.sort(key=lambda one: (len(one.answers), -one.excess_sd))
    once: dict[frozenset[tuple[str, str]], Contradiction] = {}
    for one in found:
        once.setdefault(frozenset((each.more, each.less) for each in one.answers), one)
    return tuple(once.values())


def _excess_sd(beliefs: Posterior, answers: Sequence[Comparison]) -> NDArray[np.float64]:
    """Return how many sd each answer asks beyond what is believed, (C,)."""
    unknowns = beliefs.unknowns
    ids = unknowns.fleet.ids
    count = len(ids)
    every = np.arange(count)
    table = reference_throws(unknowns, every, unknowns.fleet.wear)
    rows = unknowns.rows(table.disc, table.style)
    slopes = unknowns.slopes(table.disc, table.wear, table.cold_c)
    u = beliefs.draw_unknowns(_SAMPLES, _SEED)
    local = np.einsum("tac,stc->tsa", slopes, u[:, rows]).reshape(count * _SAMPLES, -1)
    flown = fly_local(unknowns, bodies_of(unknowns.fleet), table, every.repeat(_SAMPLES), local)
    finish_deg = felt_of(unknowns, flown)[:, 0].reshape(count, _SAMPLES)
    more = np.array([ids.index(one.more) for one in answers])
    less = np.array([ids.index(one.less) for one in answers])
    difference = finish_deg[more] - finish_deg[less]
    grades = grades_of(answers, unknowns.assume)
    asked = np.where(grades.is_plain, grades.plainly, grades.slightly)
    spread = np.hypot(difference.std(axis=1), grades.noise)
    return np.asarray((asked - difference.mean(axis=1)) / spread)


def _way(answers: Sequence[Comparison], start: str, end: str) -> tuple[Comparison, ...] | None:
    """Return the fewest answers that lead from one disc down to another, if any do."""
    came: dict[str, Comparison | None] = {start: None}
    queue = deque([start])
    while queue:
        here = queue.popleft()
        if here == end:
            break
        for one in answers:
            if one.more == here and one.less not in came:
                came[one.less] = one
                queue.append(one.less)
    if end not in came:
        return None
    way: list[Comparison] = []
    step = came[end]
    while step is not None:
        way.append(step)
        step = came[step.more]
    return tuple(reversed(way))
