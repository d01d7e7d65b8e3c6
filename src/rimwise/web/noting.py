"""Forms that note what was seen: throws, comparisons, putts, rounds, grip, wear, knocks."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import TYPE_CHECKING

from rimwise.errors import InputError, NotFoundError
from rimwise.records.conditions import Ground
from rimwise.records.courses import Course
from rimwise.records.discs import GRIP_WORDS
from rimwise.records.words import Units
from rimwise.store.store import Store
from rimwise.web.fields import Field, about, labelled_in

if TYPE_CHECKING:
    from rimwise.app.noting import Noted, When
    from rimwise.store.exchange.evidence_scope import Place, Scope

__all__ = ["FORMS", "Form", "fields_of", "form_in", "form_named", "scores_in"]

_Typed = Mapping[str, str]

_DISC = Field("disc", "Disc", "disc")
_ON = Field("on", "Day; today when left empty")
_NOTE = Field("note", "A note to keep with it")
_WEATHER = Field(
    "conditions", "Weather: a day on file, or words as in 4C wet wind 5m/s from the left", "day"
)
_ANYWAY = Field(
    "anyway", "Take it although the disc is retired", "select", (("", "no"), ("yes", "yes"))
)
_AIR = ("cold-dry", "cold-wet", "warm-dry", "hot-sweaty")


@dataclass(frozen=True, slots=True)
class Form:
    """One form of the log.

    Parameters
    ----------
    title, about
        What is noted, and what it teaches.
    main
        The field to name where an error tells of none.
    keep
        Notes what was typed, all or none of it.
    more
        Fields that are seldom needed.
    """

    name: str
    title: str
    about: str
    main: str
    fields: tuple[Field, ...]
    keep: Callable[[Store, _Typed, date], Sequence[Noted]]
    more: tuple[Field, ...] = ()


def form_named(name: str) -> Form:
    """Return a form by the kind that it notes."""
    if name not in FORMS:
        raise NotFoundError("There is no such page.")
    return FORMS[name]


def form_in(units: Units, form: Form) -> Form:
    """Return a form whose examples are in what the owner thinks in."""
    return replace(form, fields=labelled_in(units, form.fields), more=labelled_in(units, form.more))


def fields_of(store: Store, form: Form, typed: _Typed) -> tuple[Field, ...]:
    """Return the fields of a form; those of a round are the holes of its course."""
    if form.name != "round" or not len(store.courses):
        return form.fields
    course = _course(store, typed.get("course", ""))
    holes = tuple(
        Field(
            f"score:{hole.ref}",
            f"Hole {hole.ref}, par {hole.par}",
            "whole",
        )
        for hole in course.holes
    )
    carries = tuple((one, one) for one in sorted({one.name for _, one in store.carries.all()}))
    took = Field("carry", "The carry you took: its discs share the wear", "select",
                 (("", "none of these"), *carries))  # fmt: skip
    return (*holes, *form.fields, *([took] if carries else []))


def _course(store: Store, name: str) -> Course:
    known = {course.name: course for course in store.courses.all()}
    if name and name not in known:
        raise NotFoundError(f"There is no course {name!r}; you have {', '.join(known)}.")
    return known[name] if name else next(iter(known.values()))


# -- what is typed, piece by piece ---------------------------------------------------------------


def _begun(store: Store, typed: _Typed, today: date) -> tuple[Scope, When]:
    """Return what is on file, and when it was; a wrong day or disc is told beside its field."""
    from rimwise.app.noting import When, scope_of

    scope = scope_of(store, today, anyway=_anyway(typed))
    when = When(today, typed.get("on") or None)
    with about("on"):
        on = when.day(scope)
    if "disc" in typed:
        with about("disc"):
            if not typed["disc"]:
                raise InputError("The disc is missing; choose one that you own.")
            scope.disc(typed["disc"], on)
    if typed.get("conditions"):
        with about("conditions"):
            scope.weather(typed["conditions"])
    return scope, when


def _anyway(typed: _Typed) -> bool:
    return typed.get("anyway") == "yes"


def _throw(store: Store, typed: _Typed, today: date) -> Sequence[Noted]:
    from rimwise.app.noting import note_throw

    scope, when = _begun(store, {"disc": "", **typed}, today)
    place = _place(scope, typed)
    with about("text"):
        return [
            note_throw(
                store, typed["disc"], typed.get("text", ""), when, place,
                conditions=typed.get("conditions") or None, ground=typed.get("ground") or None,
                note=typed.get("note", ""), anyway=_anyway(typed),
            )
        ]  # fmt: skip


def _place(scope: Scope, typed: _Typed) -> Place:
    from rimwise.records.evidence_words import length_in
    from rimwise.store.exchange.evidence_scope import Place

    length_m = None
    with about("length"):
        if typed.get("length"):
            length_m = length_in(typed["length"], "the length")
    with about("hole"):
        if typed.get("hole"):
            scope.course(typed.get("course") or None).hole(typed["hole"])
    return Place(length_m, typed.get("hole") or None, typed.get("course") or None)


def _comparison(store: Store, typed: _Typed, today: date) -> Sequence[Noted]:
    from rimwise.app.noting import note_comparison

    _, when = _begun(store, typed, today)
    return [
        note_comparison(
            store, typed.get("words", ""), when, note=typed.get("note", ""), anyway=_anyway(typed)
        )
    ]


def _putts(store: Store, typed: _Typed, today: date) -> Sequence[Noted]:
    from rimwise.app.noting import note_putts

    _, when = _begun(store, typed, today)
    conditions = typed.get("conditions") or None
    return note_putts(store, [typed.get("putts", "")], when, conditions=conditions)


def _grip(store: Store, typed: _Typed, today: date) -> Sequence[Noted]:
    from rimwise.app.noting import note_grip

    _, when = _begun(store, {"disc": "", **typed}, today)
    air, grade = typed.get("air", ""), typed.get("grade", "")
    return [note_grip(store, typed["disc"], air, grade, when, anyway=_anyway(typed))]


def _wear(store: Store, typed: _Typed, today: date) -> Sequence[Noted]:
    from rimwise.app.noting import note_wear

    _, when = _begun(store, {"disc": "", **typed}, today)
    return [
        note_wear(
            store, typed["disc"], typed.get("wear", ""), when, note=typed.get("note", ""),
            anyway=_anyway(typed),
        )
    ]  # fmt: skip


def _knock(store: Store, typed: _Typed, today: date) -> Sequence[Noted]:
    from rimwise.app.noting import note_knock

    _, when = _begun(store, {"disc": "", **typed}, today)
    return [
        note_knock(
            store, typed["disc"], typed.get("what", ""), when, hard=typed.get("hard") != "no",
            note=typed.get("note", ""), anyway=_anyway(typed),
        )
    ]  # fmt: skip


def _round(store: Store, typed: _Typed, today: date) -> Sequence[Noted]:
    """Note a round, and mark as lost the discs that it cost; both or neither."""
    from rimwise.app.noting import note_round
    from rimwise.app.showing import change_disc

    scope, when = _begun(store, typed, today)
    course = _course(store, typed.get("course", ""))
    if typed.get("conditions"):
        with about("conditions"):
            scope.weather(typed["conditions"], whole_round=True)
    scores = scores_in(course, typed)
    names = [part.strip() for part in typed.get("lost", "").split(",") if part.strip()]
    with about("lost"):
        lost = [scope.disc(name).id for name in names]
    told = [typed.get("note", ""), *([f"lost {', '.join(lost)}"] if lost else [])]
    note = "; ".join(filter(None, told))
    with store.atomic():
        noted = note_round(
            store, course.name, scores, when, conditions=typed.get("conditions") or None,
            carry=typed.get("carry") or None, note=note,
        )  # fmt: skip
        for disc in lost:
            change_disc(store, disc, "status=lost", today)
    if lost:
        repair = (
            f"Marked as lost: {', '.join(lost)}. To repair a carry from what you own, plan again "
            "with 1 change at most."
        )
        noted = replace(noted, notices=(*noted.notices, repair))
    return [noted]


def scores_in(course: Course, typed: _Typed) -> list[str]:
    """Return strokes in the order of the holes, "-" where none was typed.

    Raises
    ------
    FieldError
        When one is no whole number, or all are empty.
    """
    scores = []
    for hole in course.holes:
        text = typed.get(f"score:{hole.ref}", "")
        with about(f"score:{hole.ref}"):
            plain = text.isascii() and text.isdigit() and len(text) < 5
            if text and not (plain and 1 <= int(text) <= 30):
                raise InputError(
                    f"Strokes on hole {hole.ref} must be a whole number from 1 to 30, or empty "
                    f"when you did not play it, but are {text[:40]!r}."
                )
        scores.append(text or "-")
    with about(f"score:{course.holes[0].ref}"):
        if set(scores) == {"-"}:
            raise InputError("No hole has a score; type your strokes on the holes you played.")
    return scores


_GRADES = tuple((str(grade), f"{grade}: {word}") for grade, word in sorted(GRIP_WORDS.items()))
_GROUNDS = (("", "not noted"), *((str(one), str(one)) for one in Ground))

#: The forms by the kind of evidence.
FORMS: Mapping[str, Form] = {
    form.name: form
    for form in (
        Form(
            "throw", "a throw", "Where a disc came to rest.", "text",
            (
                _DISC,
                Field(
                    "text",
                    "Where it came to rest, as in 64m 5L, or 12m left of the basket, 25m to go",
                ),
                _ON,
            ),
            _throw,
            (
                Field("length", "From tee to basket, when told from the basket, as in 95m"),
                Field("hole", "Or the hole it was thrown on"),
                Field("course", "On which course, when you have several"),
                _WEATHER,
                Field("ground", "Ground it landed on", "select", _GROUNDS),
                _NOTE,
                Field(
                    "anyway",
                    "Take it although it is that long or wide, or the disc is retired",
                    "select",
                    (("", "no"), ("yes", "yes")),
                ),
            ),
        ),
        Form(
            "comparison", "a comparison", "How two discs differ, in words.", "words",
            (
                Field("words", "As in: nh27-blue slightly more stable than nh27-gold; or turns "
                      "less than, goes farther than"),
            ),
            _comparison, (_ON, _NOTE, _ANYWAY),
        ),
        Form(
            "putts", "putts", "From how far, and how many went in.", "putts",
            (
                Field("putts", "Distance and made/tried, as often as you like: 6m 13/20 8m 9/20"),
                _ON, _WEATHER,
            ),
            _putts,
        ),
        Form(
            "round", "a round", "Strokes on each hole, and discs that it cost you.", "course",
            (
                Field("lost", "Discs lost, commas between; they are marked as lost", "disc"),
                _ON, _WEATHER, _NOTE,
            ),
            _round,
        ),
        Form(
            "grip", "a grip grade", "How surely a disc's plastic is held, in one kind of air.",
            "grade",
            (
                _DISC,
                Field("air", "In which air", "select", tuple((one, one) for one in _AIR)),
                Field("grade", "How it grips", "select", _GRADES),
                _ON,
            ),
            _grip, (_ANYWAY,),
        ),
        Form(
            "wear", "wear", "How worn a disc is by now.", "wear",
            (
                _DISC,
                Field("wear", "0 (new) to 1 (beaten in), per cent, or new, good, worn, beaten"),
                _ON, _NOTE,
            ),
            _wear, (_ANYWAY,),
        ),
        Form(
            "knock", "a knock", "What a disc hit: it may fly otherwise since that day.", "what",
            (
                _DISC,
                Field("what", "What it hit; a tree when left empty"),
                Field("hard", "Hard", "select", (("yes", "yes"), ("no", "no, it only touched"))),
                _ON, _NOTE,
            ),
            _knock, (_ANYWAY,),
        ),
    )
}  # fmt: skip
