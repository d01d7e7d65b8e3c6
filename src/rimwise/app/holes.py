"""What a hole asks: the strokes to expect, the throw from the tee, and what can go wrong."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from rimwise.app import tee_telling as telling
from rimwise.app.solving import Question, Solved, solve
from rimwise.decide.advice import advise, lie_at
from rimwise.decide.fresh import heights_at
from rimwise.decide.rounds import Progress
from rimwise.decide.solved import SolvedDay
from rimwise.records.words import Units, chance, distance, joined, number, strokes, wind_words
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
    asked: Question,
    *,
    progress: Progress = lambda _what, _share: None,
) -> HoleReport:
    """Say what one hole asks; solve it first when it is not on file.

    Raises
    ------
    RimwiseError
        When something is missing or there is no such hole.
    """
    return _report(solve(store, ref, asked, progress))


def _report(solved: Solved) -> HoleReport:
    hole, fleet = solved.hole, solved.hole.fleet
    scores = np.arange(len(hole.chances))
    mean = float(hole.chances @ scores)
    lost = sorted(
        ((fleet.labels[i], float(share)) for i, share in enumerate(hole.lost) if share > 0.0),
        key=lambda item: -item[1],
    )
    report = HoleReport(
        hole=hole.hole.ref,
        course=solved.course.name,
        conditions=solved.conditions.name,
        length_m=hole.hole.length_m,
        strokes=hole.strokes,
        strokes_se=hole.strokes_se,
        mean_score=mean,
        score_sd=math.sqrt(max(float(hole.chances @ scores**2) - mean**2, 0.0)),
        chances=tuple((int(k), float(c)) for k, c in enumerate(hole.chances) if c >= _RARE),
        throws=tuple(_throw(solved, one) for one in hole.days),
        lost=tuple(lost),
        sentences=(),
        attribution=solved.course.attribution,
    )
    return replace(report, sentences=_sentences(report, solved.units))


def _throw(solved: Solved, one: SolvedDay) -> TeeThrow:
    """Tell the first choice from the tee, which is the policy's throw or plainly better."""
    hole, units, tee = solved.hole, solved.units, lie_at(one, 0.0, 0.0)
    from_deg = math.degrees(one.problem.wind_rad) % 360.0
    wind = wind_words(one.day.wind.speed_m_s, from_deg, units)
    advice = advise(hole, one, tee, most=1, flips=False)
    if not advice.choices:  # a tee within a putt of the basket
        putt = telling.putt_words(advice).removesuffix(".")
        return TeeThrow(
            one.day.name, wind, one.share, one.strokes, one.strokes_se, "", putt, "", 1.0, 0.0,
            0.0, 0.0, 0.0,
        )  # fmt: skip
    first = advice.choices[0]
    styles = [str(skill.style) for skill in hole.simulator.thrower.styles]
    rise_m = float(first.path_m[:, 2].max() - heights_at(one.problem, tee[None, :2])[0])
    base = hole.simulator.bases[first.line.base]
    return TeeThrow(
        day=one.day.name,
        wind=wind,
        share=one.share,
        strokes=one.strokes,
        strokes_se=one.strokes_se,
        disc=hole.fleet.labels[first.line.disc],
        line=telling.line_words(base, first.line.effort, rise_m, styles, units),
        aim=telling.aim_words(first.line.turn_rad, hole.hole.length_m, units),
        putt_next=first.putt_next,
        again=1.0 - first.putt_next,
        penalty=first.penalty,
        trees=first.trees,
        gone=first.gone,
    )


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
