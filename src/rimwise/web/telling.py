"""What the pages tell: a report of a use case as sentences, rows and pictures."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from markupsafe import Markup

from rimwise.records.words import distance, number
from rimwise.store.store import Store
from rimwise.web.rendering import drawing, whole_number

__all__ = [
    "Told",
    "field_session",
    "gaps",
    "learnt",
    "putting",
    "rule",
    "swaps",
    "tee",
    "wear",
]

_Typed = Mapping[str, str]
_Progress = Callable[[str, float], None]


@dataclass(frozen=True, slots=True)
class Part:
    """A part of a page under a heading of its own: a picture and rows of (what, words)."""

    heading: str
    picture: Markup
    rows: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Told:
    """A page's content: sentences, pictures, rows of (what, words), parts, and cautions."""

    sentences: tuple[str, ...]
    rows: tuple[tuple[str, str], ...] = ()
    pictures: tuple[Markup, ...] = ()
    parts: tuple[Part, ...] = ()
    cautions: tuple[str, ...] = ()


def swaps(store: Store, typed: _Typed, progress: _Progress) -> Told:
    """Tell the swaps between two plans."""
    from rimwise.app.swapping import make_swaps

    report = make_swaps(store, typed.get("old", ""), typed.get("new", ""), progress=progress)
    sentences = (report.summary, *report.sentences, *report.grown_words, report.work_words)
    return Told(tuple(one for one in sentences if one))


def putting(store: Store, typed: _Typed, progress: _Progress) -> Told:
    """Tell of putting."""
    from rimwise.app.putting import make_putting
    from rimwise.pictures.putting import putting_svg

    progress("learning from your putts", 0.1)
    report = make_putting(store, plan=typed.get("plan"))
    rows = []
    for worth in report.worths:
        words = (
            f"{number(worth.per_round, 1)} putts a round; a make saves {number(worth.saved, 2)} "
            f"strokes, a hand a tenth steadier {number(worth.steadier, 2)} a round."
        )
        rows.append((f"About {distance(worth.distance_m, report.units)}", words))
    picture = drawing(putting_svg(report.curve, report.rates, report.units))
    return Told(report.sentences, tuple(rows), (picture,), cautions=(report.caution,))


def wear(store: Store, _typed: _Typed, progress: _Progress) -> Told:
    """Tell how worn discs are, those that need something first."""
    from rimwise.app.retiring import tell_lives

    progress("learning from your throws", 0.1)
    report = tell_lives(store)
    rests = f"This rests on {report.rests_on} and on your notes of wear."
    return Told((rests,), tuple(("", life.sentence) for life in report.discs))


def learnt(store: Store, _typed: _Typed, progress: _Progress) -> Told:
    """Tell what was learnt of the discs."""
    from rimwise.app.learning import tell_learnt

    progress("learning from your throws", 0.1)
    report = tell_learnt(store)
    sentences = [f"Your stock throw on a mild, calm day, learnt from {report.rests_on}."]
    if not report.settled:
        sentences.append(
            "The search for what fits best ended a step early; take intervals as a bit wider."
        )
    clashes = (clash.words for clash in report.contradictions)
    return Told(
        (*sentences, *report.drifts, *clashes),
        tuple(("", disc.sentence) for disc in report.discs),
    )


def gaps(store: Store, typed: _Typed, progress: _Progress) -> Told:
    """Tell what the carry lacks."""
    from rimwise.app.wishing import tell_gaps

    return Told(tell_gaps(store, typed.get("plan"), progress).sentences)


def rule(store: Store, typed: _Typed, progress: _Progress) -> Told:
    """Tell the rule for the pocket."""
    from rimwise.app.wishing import tell_rule

    report = tell_rule(store, typed.get("plan"), progress)
    return Told((*report.sentences, report.words))


def field_session(store: Store, typed: _Typed, progress: _Progress) -> Told:
    """Tell what to throw next."""
    from rimwise.app.field_session import plan_field_session

    throws = whole_number(typed, "throws", "Throws", 0, 300) if typed.get("throws") else 20
    report = plan_field_session(store, typed.get("plan"), throws=throws, progress=progress)
    return Told(
        report.sentences,
        tuple(
            (
                step.disc if step.other is None else f"{step.disc} and {step.other}",
                f"{step.words} For {step.decides}.",
            )
            for step in report.steps
        ),
        cautions=(report.caution,),
    )


def tee(store: Store, typed: _Typed, progress: _Progress) -> Told:
    """Tell what to throw on a hole, with a picture for each kind of day."""
    from rimwise.app.box import units_of
    from rimwise.app.solving import Question
    from rimwise.app.tee import tell_tee
    from rimwise.pictures.tee import tee_svg

    asked = Question(conditions=typed.get("conditions"), course=typed.get("course"))
    report = tell_tee(store, typed.get("hole", ""), asked, lie=typed.get("lie"), progress=progress)
    units = units_of(store)
    parts = []
    for number_of, day in enumerate(report.days):
        rows = []
        for place, one in enumerate(day.choices, start=1):
            landing = one.landing[0].upper() + one.landing[1:]
            words = f"{one.line}; {one.aim}. {landing}. {one.chances} {one.compared}"
            rows.append((f"{place}. {one.disc_label}", words))
        rest = (day.putt, *day.winds, day.over_water, day.floating)
        rows += [("", sentence) for sentence in rest if sentence]
        heading = f"{day.day} ({number(100.0 * day.share)} of 100 rounds): {day.wind}"
        picture = drawing(tee_svg(report, day, units, prefix=f"tee-{number_of}"))
        parts.append(Part(heading, picture, tuple(rows)))
    lie = (f"Your lie is {report.kind}.",) if report.kind else ()
    notes = (report.attribution,) if report.attribution else ()
    return Told((report.headline, *lie), parts=tuple(parts), cautions=(*report.cautions, *notes))
