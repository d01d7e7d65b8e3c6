"""What the pages tell: a report of a use case as sentences, rows and pictures."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from urllib.parse import quote, urlencode

from markupsafe import Markup

from rimwise.errors import InputError
from rimwise.records.words import distance, number, of_rounds, plural, strokes
from rimwise.store.store import Store
from rimwise.web.rendering import drawing, whole_number
from rimwise.web.uploading import Upload, as_file

__all__ = [
    "WISHED",
    "Told",
    "certify",
    "field_session",
    "gaps",
    "learnt",
    "lost",
    "many",
    "putting",
    "risk",
    "rule",
    "share",
    "swaps",
    "tee",
    "wear",
    "wish",
]

_Typed = Mapping[str, str]
#: Less lost a round than this is told as nothing.
_NOTHING = 0.005
#: What a wished-for disc is typed in.
WISHED = ("mold", "speed", "glide", "turn", "fade", "plastic", "weight")
_Progress = Callable[[str, float], None]
#: So many strips are drawn on the page; the others are each on the page of their disc.
_MOST_STRIPS = 12
_HOW_TO_READ = (
    "Each strip is the ground where your stock throw comes to rest, your left at the left. The "
    "upright stroke is where the printed numbers alone put the disc, the dashed hill how unsure "
    "that is. The filled hill is what is believed now; its bar holds eight of ten cases. A dot is "
    "a throw, where it says by itself that the disc finishes. An arrow head at the edge is a "
    "comparison, at the side that it pulls to."
)


@dataclass(frozen=True, slots=True)
class Part:
    """A part of a page under a heading of its own: a picture and rows of (what, words).

    Parameters
    ----------
    lies_in
        Unit of length in which a tap on the picture says where you lie; not tapped when empty.
    links
        Where to go on from here: (address, words).
    """

    heading: str
    picture: Markup
    rows: tuple[tuple[str, str], ...]
    lies_in: str = ""
    links: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class Told:
    """A page's content: sentences, pictures, rows of (what, words), parts, and cautions.

    Parameters
    ----------
    links
        Where to go on from here: (address, words).
    of_discs
        What is told of single discs, by name, for their own pages.
    """

    sentences: tuple[str, ...]
    rows: tuple[tuple[str, str], ...] = ()
    pictures: tuple[Markup, ...] = ()
    parts: tuple[Part, ...] = ()
    cautions: tuple[str, ...] = ()
    links: tuple[tuple[str, str], ...] = ()
    of_discs: Mapping[str, Part] = field(default_factory=dict)


def _on_holes(typed: _Typed) -> bool:
    return typed.get("on_holes") == "yes"


def swaps(store: Store, typed: _Typed, progress: _Progress) -> Told:
    """Tell the swaps between two plans."""
    from rimwise.app.swapping import make_swaps

    report = make_swaps(
        store, typed.get("old", ""), typed.get("new", ""), on_holes=_on_holes(typed),
        progress=progress,
    )  # fmt: skip
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
    """Tell what was learnt of the discs, with a strip for each that there is evidence of."""
    from rimwise.app.belief_strips import draw_learnt
    from rimwise.pictures.belief import belief_strip_svg, window_of

    progress("learning from your throws", 0.1)
    drawn = draw_learnt(store)
    report = drawn.report
    sentences = [f"Your stock throw on a mild, calm day, learnt from {report.rests_on}."]
    if not report.settled:
        sentences.append(
            "The search for what fits best ended a step early; take intervals as a bit wider."
        )
    clashes = (clash.words for clash in report.contradictions)
    said = {disc.disc: ("", disc.sentence) for disc in report.discs}
    ground = window_of(drawn.strips) if drawn.strips else None
    of_discs = {}
    for place, strip in enumerate(drawn.strips):
        svg = belief_strip_svg(strip, report.units, f"strip-{place}", window_m=ground, named=False)
        of_discs[strip.disc] = Part(strip.disc, drawing(svg), (said[strip.disc],))
    parts = list(of_discs.values())[:_MOST_STRIPS]
    others = [disc for disc in said if disc not in {part.heading for part in parts}]
    if others:
        links = tuple((f"/disc/{quote(disc)}", disc) for disc in others if disc in of_discs)
        rows = [said[disc] for disc in others]
        if links:
            rows.append(("Their strips", "each is on the page of its disc."))
        heading = "Your other discs" if parts else "Your discs"
        parts.append(Part(heading, Markup(""), tuple(rows), links=links))
    how = (_HOW_TO_READ,) if drawn.strips else ()
    return Told((*sentences, *report.drifts, *clashes, *how), parts=tuple(parts), of_discs=of_discs)


def gaps(store: Store, typed: _Typed, progress: _Progress) -> Told:
    """Tell what the carry lacks."""
    from rimwise.app.wishing import tell_gaps

    report = tell_gaps(store, typed.get("plan"), progress, on_holes=_on_holes(typed))
    wish = f"/read/wish?{urlencode({'plan': report.conditions})}"
    return Told(report.sentences, links=((wish, "See what a disc you may buy would save"),))


def wish(store: Store, typed: _Typed, progress: _Progress) -> Told:
    """Tell what discs that the owner may buy would save."""
    from rimwise.app.wishing import tell_wishes

    with as_file(Upload("wished-for.csv", wished_table(typed).encode(), {})) as path:
        report = tell_wishes(store, path, typed.get("plan"), progress, on_holes=_on_holes(typed))
    return Told(report.sentences)


def wished_table(typed: _Typed) -> str:
    """Return the table that was pasted, or one of the disc that was typed.

    Raises
    ------
    InputError
        When neither is there.
    """
    if typed.get("table"):
        return typed["table"]
    filled = {name: typed[name] for name in WISHED if typed.get(name)}
    missing = [name for name in ("mold", "plastic", "weight") if name not in filled]
    if missing:
        raise InputError(
            f"The {missing[0]} of the disc you wish for is missing; type it, or paste a table."
        )
    table = io.StringIO()
    csv.writer(table).writerows([filled.keys(), filled.values()])
    return table.getvalue()


def lost(store: Store, typed: _Typed, progress: _Progress) -> Told:
    """Tell what the loss of a disc costs, and what repairs it."""
    from rimwise.app.losing import tell_lost

    report = tell_lost(store, typed.get("disc", ""), typed.get("plan"), progress)
    plan = urlencode({"conditions": report.conditions})
    mark = (f"/disc/{quote(report.disc)}", f"Mark {report.disc} as lost")
    return Told(
        report.sentences,
        links=(
            *(() if report.marked else (mark,)),
            (f"/plan?{plan}", "Plan again without it"),
        ),
    )


def many(store: Store, typed: _Typed, progress: _Progress) -> Told:
    """Tell how many discs are worth carrying."""
    from rimwise.app.how_many import how_many
    from rimwise.app.reports import load_plan
    from rimwise.pictures.curve import curve_svg

    anew = typed.get("resolve") == "yes"
    report = how_many(store, typed.get("plan"), resolve=anew, progress=progress)
    picture = drawing(curve_svg(load_plan(store, typed.get("plan"))))
    rows = []
    points = sorted(report.curve, key=lambda one: one.discs)
    for place, point in enumerate(points, start=1):
        told = strokes(max(point.lost, 0.0), point.lost_se)
        rows.append((plural(point.discs, "disc"), f"{told}."))
        if max(one.lost for one in points[place - 1 :]) < _NOTHING:
            rows.append(("More discs", "nothing that shows in a hundredth of a stroke."))
            break
    part = Part("Strokes a round lost, against everything you own", picture, tuple(rows))
    return Told(report.sentences, parts=(part,))


def risk(store: Store, typed: _Typed, progress: _Progress) -> Told:
    """Tell which discs a round costs, and where."""
    from rimwise.app.risking import tell_risk
    from rimwise.app.solving import Question

    asked = Question(conditions=typed.get("conditions"), course=typed.get("course"))
    report = tell_risk(store, asked, progress=progress)
    discs = [
        (one.label, _costs_words(one.lost, one.strokes, one.money)
         + (f" Most on hole {one.holes[0][0]}." if one.holes else ""))
        for one in report.discs
    ]  # fmt: skip
    holes = [
        (f"Hole {one.hole}", _costs_words(one.lost, one.strokes, one.money))
        for one in sorted(report.holes, key=lambda one: -one.lost)
        if one.lost > 0.0
    ]
    nothing = Markup("")
    parts = [Part("By disc", nothing, tuple(discs)), Part("By hole", nothing, tuple(holes))]
    caution = (
        "Never wade, dive or step on ice for a disc; search only where posted rules and other "
        "players allow."
    )
    found = tuple(part for part in parts if part.rows)
    return Told(report.sentences, parts=found, cautions=(caution,))


def _costs_words(lost: float, worth: float, money: float | None) -> str:
    spent = "" if money is None else f", {number(money, 2)} in money"
    return f"{number(lost, 3)} discs a round, worth {number(worth, 3)} strokes{spent}."


def certify(store: Store, typed: _Typed, progress: _Progress) -> Told:
    """Tell whether a carry holds against its best changes."""
    from rimwise.app.certifying import certify_plan

    holes = typed.get("holes") == "yes"
    report = certify_plan(store, typed.get("plan"), progress, holes=holes)
    rows = []
    for one in report.changes:
        change = " for ".join(name for name in (one.into, one.out) if name)
        if one.out is None:
            change = f"{change} as one more"
        elif one.into is None:
            change = f"{change} left at home"
        saved = f"{number(one.saves, 3)} strokes, give or take {number(one.saves_se, 3)}"
        rows.append(
            (change, f"saves {saved}, a round{'' if one.better else ': within its error'}.")
        )
    return Told(report.sentences, tuple(rows))


def share(store: Store, typed: _Typed, progress: _Progress) -> Told:
    """Tell the carry as a list to show others."""
    from rimwise.app.sharing import share as shared

    progress("writing the list", 0.5)
    told = shared(store, typed.get("plan"))
    return Told(tuple(line for line in told.text.splitlines() if line))


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
        often = of_rounds(day.share)
        heading = f"{day.day}{f' ({often})' if often else ''}: {day.wind}"
        picture = drawing(tee_svg(report, day, units, prefix=f"tee-{number_of}"))
        parts.append(Part(heading, picture, tuple(rows), units))
    lie = (f"Your lie is {report.kind}.",) if report.kind else ()
    notes = (report.attribution,) if report.attribution else ()
    return Told((report.headline, *lie), parts=tuple(parts), cautions=(*report.cautions, *notes))
