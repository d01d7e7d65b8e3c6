"""Belief strips: of each disc what the printed numbers say, what is believed now, and why.

A throw says that the disc finishes as far from the middle of what is believed as the throw ended
to the side of what was to be expected of it, on its line, on its day and with the disc as worn
then (a partial residual). A comparison is told by what it would do by itself, from the numbers.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from rimwise.app.box import disc_named
from rimwise.app.files import write_whole
from rimwise.app.learning import (
    SAMPLES,
    SEED,
    Learnt,
    LearntReport,
    Rests,
    Span,
    learn_from,
    report_of,
    rests_of,
)
from rimwise.beliefs.density import kernel_density
from rimwise.beliefs.felt import FELT, graded, grades_of
from rimwise.beliefs.imagined import felt_truth
from rimwise.beliefs.landings import throw_landings
from rimwise.beliefs.learn import row_of_scatter
from rimwise.beliefs.posterior import prior_posterior
from rimwise.errors import InputError
from rimwise.pictures.belief import BeliefStrip, Hill, Pull, belief_strip_svg
from rimwise.records.evidence import Comparison, Quality, Throw
from rimwise.store.store import Store

__all__ = ["LATEST", "LearntDrawn", "draw_into", "draw_learnt", "strips_of"]

Floats = NDArray[np.float64]

#: So many of a disc's latest throws are drawn.
LATEST = 12
#: Draws for what is to be expected of a throw, and for what is felt of discs by their numbers.
_SAMPLES, _SEED = 200, 20263
#: Places of a density, and how far beyond the outermost draw it is told, in its spread.
_PLACES, _BEYOND = 61, 0.3


@dataclass(frozen=True, slots=True)
class LearntDrawn:
    """What was learnt, in words and as strips: one for each disc told of that has evidence."""

    report: LearntReport
    strips: tuple[BeliefStrip, ...]


def draw_learnt(
    store: Store, disc: str | None = None, *, thrower: str | None = None
) -> LearntDrawn:
    """Learn from what is on file, and make strips of what came of it.

    Parameters
    ----------
    disc
        Tell of this one alone: its name, or a part that fits only one; else of all available.

    Raises
    ------
    InputError, NotFoundError
        As :func:`rimwise.app.learning.tell_learnt`.
    """
    wanted = None if disc is None else disc_named(store, disc).id
    learnt = learn_from(store, thrower)
    rests = rests_of(learnt)
    report = report_of(learnt, wanted, rests)
    return LearntDrawn(report, strips_of(learnt, [one.disc for one in report.discs], rests))


def draw_into(
    store: Store, disc: str | None, picture: Path, *, thrower: str | None = None
) -> LearntReport:
    """Draw the strip of one disc into an .svg file, and return what was learnt of it.

    Raises
    ------
    InputError, NotFoundError
        As :func:`draw_learnt`, or when no disc is named, none of the evidence names it, or the
        file is none for a drawing.
    StoreError
        When the file cannot be written.
    """
    if disc is None:
        raise InputError("a picture shows one disc; name it, as in `rimwise learnt DISC`.")
    if picture.suffix.lower() != ".svg":
        raise InputError(f"the picture is drawn into an .svg file, not into {picture.name!r}.")
    drawn = draw_learnt(store, disc, thrower=thrower)
    if not drawn.strips:
        raise InputError(
            f"there is nothing to draw for {drawn.report.discs[0].disc}, for no throw or "
            "comparison names it; note one with `rimwise log`."
        )
    write_whole(picture, belief_strip_svg(drawn.strips[0], drawn.report.units))
    return drawn.report


def strips_of(
    learnt: Learnt, discs: Sequence[str], rests: Rests | None = None
) -> tuple[BeliefStrip, ...]:
    """Return a strip for each of these discs that a throw or comparison names, in their order.

    Parameters
    ----------
    rests
        Where they are at hand already.
    """
    rests = rests_of(learnt) if rests is None else rests
    place = {name: i for i, name in enumerate(learnt.posterior.unknowns.fleet.ids)}
    throws = _by_disc(learnt, discs)
    pulls = _pulls(learnt, discs, rests.before[:, :, 1])
    beside = _beside(learnt, [one for disc in discs for one in throws[disc][-LATEST:]])
    strips = []
    for disc in discs:
        if not (throws[disc] or pulls[disc]):
            continue
        now = _hill(rests.now[place[disc], :, 1])
        says = tuple(now.middle_m + beside[id(one)] for one in throws[disc][-LATEST:])
        printed = _hill(rests.before[place[disc], :, 1])
        strips.append(BeliefStrip(disc, printed, now, says, len(throws[disc]), pulls[disc]))
    return tuple(strips)


def _by_disc(learnt: Learnt, discs: Collection[str]) -> dict[str, list[Throw]]:
    """Return the throws of each disc that it is learnt from, by day."""
    found: dict[str, list[Throw]] = {disc: [] for disc in discs}
    for throw in sorted(learnt.evidence.throws, key=lambda one: one.on):
        if throw.disc_id in found:
            found[throw.disc_id].append(throw)
    return found


def _hill(left_m: Floats) -> Hill:
    """Return draws, (samples,), as a density with its middle and ends."""
    span = Span.of(left_m)
    beyond = _BEYOND * float(left_m.std())
    at = np.linspace(float(left_m.min()) - beyond, float(left_m.max()) + beyond, _PLACES)
    density = kernel_density(left_m, at)
    return Hill(span.mean, span.low, span.high, tuple(at.tolist()), tuple(density.tolist()))


def _beside(learnt: Learnt, throws: Sequence[Throw]) -> dict[int, float]:
    """Return by the identity of each throw how far left of what was expected it ended, m.

    Expected is the mean landing with all that is not known and the scatter of releases. Throws
    that differ in nothing but where they ended are thrown once.
    """
    if not throws:
        return {}
    beliefs = learnt.posterior
    kinds = [replace(one, distance_m=0.0, left_m=0.0, first_touch_m=None, speed_m_s=None,
                     spin_rad_s=None, note="") for one in throws]  # fmt: skip
    different = list(dict.fromkeys(kinds))
    asked = replace(learnt.evidence, throws=tuple(different), comparisons=(), grip_grades=())
    scatter = np.array([row_of_scatter(one) for one in beliefs.scatter])
    u = beliefs.draw_unknowns(_SAMPLES, _SEED)
    landed = throw_landings(beliefs.unknowns, asked, beliefs.grips.mean, u, scatter, seed=_SEED)
    expected = dict(zip(different, landed[:, :, 1].mean(axis=1).tolist(), strict=True))
    return {id(one): one.left_m - expected[kind] for one, kind in zip(throws, kinds, strict=True)}


def _pulls(
    learnt: Learnt, discs: Collection[str], before_m: Floats
) -> Mapping[str, tuple[Pull, ...]]:
    """Return what each comparison of flight does by itself to each of its discs that is asked for.

    Parameters
    ----------
    before_m
        Where the numbers alone put every disc, left, (n, samples), drawn as :func:`rests_of` does.
    """
    asked = [
        one for one in learnt.evidence.comparisons
        if one.quality in FELT and (one.more in discs or one.less in discs)
    ]  # fmt: skip
    found: dict[str, list[Pull]] = {disc: [] for disc in discs}
    if asked:
        unknowns = learnt.posterior.unknowns
        u = prior_posterior(unknowns).draw_unknowns(SAMPLES, SEED)[:_SAMPLES]
        moves_m = _moves(learnt, asked, felt_truth(unknowns, u), before_m[:, :_SAMPLES])
        for one, moved in zip(asked, moves_m.tolist(), strict=True):
            for disc, other, sign in ((one.more, one.less, 1.0), (one.less, one.more, -1.0)):
                if disc in found:
                    answer = _answer_words(one, more=disc == one.more)
                    found[disc].append(Pull(answer, other, sign * moved))
    return {disc: tuple(pulls) for disc, pulls in found.items()}


def _moves(learnt: Learnt, asked: Sequence[Comparison], felt: Floats, before_m: Floats) -> Floats:
    """Return how much farther left of the lesser disc each answer puts the greater one, m, (C,).

    What the numbers say of the difference felt is taken as a normal distribution; the answer moves
    its mode, and the difference between the landings follows as the draws go. As when learning,
    an answer that the numbers make next to impossible is taken for a slip and moves nothing.

    Parameters
    ----------
    felt, before_m
        By the numbers alone: what is felt, (samples, n, 2), and left of the aim line,
        (n, samples).
    """
    ids, assume = learnt.posterior.unknowns.fleet.ids, learnt.posterior.unknowns.assume
    more = [ids.index(one.more) for one in asked]
    less = [ids.index(one.less) for one in asked]
    kind = [FELT.index(one.quality) for one in asked]
    apart = (felt[:, more, kind] - felt[:, less, kind]).T
    apart_m = before_m[more] - before_m[less]
    mean, sd = apart.mean(axis=1), apart.std(axis=1)
    each = (apart - mean[:, None]) * (apart_m - apart_m.mean(axis=1)[:, None])
    m_per_felt = each.mean(axis=1) / sd**2
    z = np.linspace(-4.0, 4.0, 161)
    grades = grades_of(asked, assume)
    likely = [graded(mean + sd * step, grades, assume.wrong_comparison)[0] for step in z]
    mode = z[_uphill(np.array(likely).T - 0.5 * z * z)]
    return np.asarray(m_per_felt * sd * mode)


def _uphill(heights: Floats) -> NDArray[np.int64]:
    """Return the first summits, (C,), on the way up from the middle of each row of (C, places)."""
    middle = heights.shape[1] // 2
    down = np.ones((len(heights), 1), dtype=np.bool_)
    ways = (heights[:, middle:], heights[:, middle::-1])
    right, left = (np.hstack([np.diff(way, axis=1) <= 0.0, down]).argmax(axis=1) for way in ways)
    return np.asarray(middle + right - left, dtype=np.int64)


def _answer_words(one: Comparison, *, more: bool) -> str:
    """Say an answer from the side of one of its discs, as in "slightly less stable than"."""
    how = "plainly" if one.plainly else "slightly"
    if one.quality is Quality.REACH:
        return "about as long as" if one.alike else f"{how} {'longer' if more else 'shorter'} than"
    if one.alike:
        return "about as stable as"
    return f"{how} {'more' if more else 'less'} stable than"
