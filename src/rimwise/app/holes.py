"""What a hole asks: the strokes to expect, the throw from the tee, and what can go wrong."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from rimwise.app.box import pick
from rimwise.app.planning import Prepared, prepare
from rimwise.decide.days import days_of
from rimwise.decide.fresh import Valued
from rimwise.decide.lines import words_for
from rimwise.decide.posing import FULL, QUICK
from rimwise.decide.rounds import HoleDay, HolePlan, Progress, solve_holes
from rimwise.records.words import (
    Units,
    chance,
    distance,
    joined,
    number,
    sideways,
    strokes,
    wind_words,
)
from rimwise.store.store import Store

__all__ = ["HoleReport", "TeeThrow", "tell_hole"]

#: Scores rarer than this in a hundred are not told one by one.
_RARE = 0.005
#: Discs lost less often than once in so many plays of the hole are not told.
_SELDOM = 1000


@dataclass(frozen=True, slots=True)
class TeeThrow:
    """The throw from the tee on one kind of day.

    Parameters
    ----------
    share
        Of the rounds played on such a day.
    strokes, strokes_se
        Expected, and one standard error.
    disc, line, aim
        The disc, the line and the aim in words.
    putt_next, again, penalty, trees, gone
        Chances: to putt next, to throw again, of a penalty, to end among trees, and that the
        throw is the disc's last.
    """

    day: str
    wind: str
    share: float
    strokes: float
    strokes_se: float
    disc: str
    line: str
    aim: str
    putt_next: float
    again: float
    penalty: float
    trees: float
    gone: float

    @property
    def risks(self) -> str:
        """Say what can go wrong."""
        told = [f"you putt next {_often(self.putt_next)}"]
        for share, words in ((self.penalty, "a penalty"), (self.trees, "among trees")):
            if share > 0.0:
                told.append(f"{words} {_often(share)}")
        if self.gone > 0.0:
            told.append(f"the disc gone {_often(self.gone)}")
        return joined(told)


def _often(share: float) -> str:
    """Say how often of 100 throws, without repeating the hundred."""
    return chance(share).removesuffix(" of 100")


@dataclass(frozen=True, slots=True)
class HoleReport:
    """A hole in some conditions.

    Parameters
    ----------
    strokes, strokes_se
        Expected, a lost disc at its worth in strokes included, and one standard error.
    mean_score, score_sd, chances
        The score alone: mean, spread from round to round, and the chance of each (score, chance).
    lost
        (disc, discs lost per play of the hole).
    """

    hole: str
    course: str
    conditions: str
    length_m: float
    strokes: float
    strokes_se: float
    mean_score: float
    score_sd: float
    chances: tuple[tuple[int, float], ...]
    throws: tuple[TeeThrow, ...]
    lost: tuple[tuple[str, float], ...]
    sentences: tuple[str, ...]
    attribution: str


def tell_hole(
    store: Store,
    ref: str,
    conditions_name: str | None,
    *,
    course: str | None = None,
    thrower: str | None = None,
    quick: bool = False,
    printed: bool = False,
    seed: int = 1,
    progress: Progress = lambda _what, _share: None,
) -> HoleReport:
    """Solve one hole and say what it asks.

    Raises
    ------
    RimwiseError
        When something is missing or there is no such hole.
    """
    conditions = pick(store.conditions, "conditions", conditions_name)
    ready = prepare(store, course=course, thrower=thrower, seed=seed, printed=printed)
    ready.course.hole(ref)
    days = days_of(conditions, ready.thrower, ready.assume)
    (plan,) = solve_holes(
        ready.simulator, ready.fleet, days, ready.course, ready.putting, ready.assume,
        holes=[ref], sizes=QUICK if quick else FULL, progress=progress,
    )  # fmt: skip
    return _report(ready, conditions.name, plan)


def _report(ready: Prepared, conditions: str, plan: HolePlan) -> HoleReport:
    chances = plan.chances
    scores = np.arange(len(chances))
    mean = float(chances @ scores)
    lost = sorted(
        ((ready.fleet.labels[i], float(share)) for i, share in enumerate(plan.lost) if share > 0.0),
        key=lambda item: -item[1],
    )
    throws = tuple(_throw(ready, one) for one in plan.days)
    report = HoleReport(
        hole=plan.hole.ref,
        course=ready.course.name,
        conditions=conditions,
        length_m=plan.hole.length_m,
        strokes=plan.strokes,
        strokes_se=plan.strokes_se,
        mean_score=mean,
        score_sd=math.sqrt(max(float(chances @ scores**2) - mean**2, 0.0)),
        chances=tuple((int(k), float(c)) for k, c in enumerate(chances) if c >= _RARE),
        throws=throws,
        lost=tuple(lost),
        sentences=(),
        attribution=ready.course.attribution,
    )
    return replace(report, sentences=_sentences(report, ready.units))


def _throw(ready: Prepared, one: HoleDay) -> TeeThrow:
    valued = one.valued
    policy, problem = valued.policy, valued.policy.problem
    tee = len(problem.lattice.lies) - 1
    actions, aims = policy.aimed(problem.lattice.lies[[tee]], np.array([tee]))
    disc, base = int(actions[0, 0]), int(actions[0, 1])
    styles = sorted({b.style for b in ready.simulator.bases})
    codes = valued.codes[valued.start[tee] :]
    return TeeThrow(
        day=one.day.name,
        wind=wind_words(
            one.day.wind.speed_m_s, math.degrees(problem.wind_rad) % 360.0, ready.units
        ),
        share=one.share,
        strokes=valued.strokes,
        strokes_se=valued.strokes_se,
        disc=ready.fleet.labels[disc],
        line=words_for(ready.simulator.bases[base], float(aims[0, 0]), styles),
        aim=_aim(float(aims[0, 1]), float(actions[0, 2]), float(actions[0, 3]), ready.units),
        putt_next=_putts_next(valued, tee),
        again=1.0 - _putts_next(valued, tee),
        penalty=float(np.mean(codes >> 3 > 0)),
        trees=float(np.mean((codes & 1 == 1) & (codes >> 3 == 0))),
        gone=_gone(valued, tee),
    )


def _aim(turn_rad: float, x_m: float, y_m: float, units: Units) -> str:
    """Say where the throw starts and where it is meant to end, seen from the tee."""
    degrees = round(math.degrees(turn_rad))
    side = "left" if degrees > 0 else "right"
    start = "at the basket" if degrees == 0 else f"{abs(degrees)}° {side} of the basket"
    aside = sideways(y_m, units)
    ends = f"{distance(x_m, units)} out" + ("" if aside == "straight" else f" and {aside}")
    return f"start it {start}; it is meant to end {ends}"


def _putts_next(valued: Valued, tee: int) -> float:
    where = valued.where[valued.start[tee] :]
    codes = valued.codes[valued.start[tee] :]
    throws = valued.policy.throws(np.column_stack([where, codes & 1]))
    return float(1.0 - throws.mean())


def _gone(valued: Valued, tee: int) -> float:
    from rimwise.decide.fresh import losses

    codes = valued.codes[valued.start[tee] :]
    disc = int(valued.policy.actions[tee, 0])
    price = np.broadcast_to(valued.policy.problem.prices[disc], (len(codes), 7))
    return float(losses(price, codes).mean())


def _sentences(report: HoleReport, units: Units) -> tuple[str, ...]:
    """Say the whole hole in plain words."""
    expected = strokes(report.strokes, report.strokes_se)
    where = f"Hole {report.hole}, {distance(report.length_m, units)}, in {report.conditions}"
    told = [
        f"{where}: expect {expected}.",
        "Out of 100 rounds: "
        + joined([f"{number(100.0 * c)} are a {k}" for k, c in report.chances])
        + ".",
    ]
    often = [(disc, share) for disc, share in report.lost if share > 1.0 / _SELDOM]
    if often:
        told.append(
            "It costs a disc about once in "
            f"{number(1.0 / sum(share for _, share in report.lost))} plays, most often "
            f"{often[0][0]}."
        )
    return tuple(told)
