"""What is known of a hole beside its ground, changed in a page: par, climb, shelter, length."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from urllib.parse import urlencode

from fastapi import FastAPI, Response
from fastapi.responses import RedirectResponse

from rimwise.errors import RimwiseError
from rimwise.records import words
from rimwise.records.courses import Course, Hole
from rimwise.records.words import Units
from rimwise.store.opening import open_store
from rimwise.store.store import Store
from rimwise.web.fields import (
    Field,
    FieldError,
    StaleError,
    about,
    decimal,
    length,
    mark_of,
    told_wrong,
)
from rimwise.web.rendering import Typed, page, whole_number

__all__ = ["add_course_facts", "facts_words"]

_Typed = Mapping[str, str]


def add_course_facts(app: FastAPI, data: Path) -> None:
    """Add the page that changes what is known of a hole."""

    @app.get("/course/facts")
    def facts(name: str, hole: str) -> Response:
        with open_store(data) as store:
            course = store.courses.get(name)
            units = _units(store)
            return _page(store, course, hole, _values(course, course.hole(hole), units))

    @app.post("/course/facts")
    def change(name: str, hole: str, typed: Typed) -> Response:
        from rimwise.app.course_editing import keep_hole

        with open_store(data) as store, store.atomic():
            course, units = store.courses.get(name), _units(store)
            was = course.hole(hole)
            try:
                coming = _read(course, was, typed, units)
                if typed.get("version") != mark_of(was) and coming != was:
                    raise StaleError(f"Hole {hole} was changed elsewhere since this page was made.")
                if coming != was:
                    with about("length" if coming.basket != was.basket else ""):
                        keep_hole(store, course, coming, now=datetime.now())
            except StaleError:
                stale = _differs(course, was, typed, units)
                return _page(store, course, hole, typed, stale=stale)
            except RimwiseError as error:
                version = typed.get("version", "")
                errors = told_wrong(error)
                return _page(store, course, hole, typed, errors=errors, version=version)
        done = urlencode({"name": name, "hole": hole, "done": "facts"})
        return RedirectResponse(f"/course/hole?{done}", 303)


def facts_words(hole: Hole, units: Units) -> str:
    """Say a hole's length, par, climb, shelter and name, as far as they are known."""
    told = [words.distance(hole.length_m, units)]
    told += [] if hole.par is None else [f"par {hole.par}"]
    if abs(hole.elevation_change_m) >= 0.5:
        high = words.distance(abs(hole.elevation_change_m), units)
        told.append(
            f"the basket {high} {'above' if hole.elevation_change_m > 0 else 'below'} the tee"
        )
    if hole.shelter is not None:
        told.append(f"{100.0 * hole.shelter:g} % of the wind")
    return ", ".join([*told, *filter(None, [hole.name])])


def _units(store: Store) -> Units:
    from rimwise.app.box import units_of

    return units_of(store)


def _page(
    store: Store,
    course: Course,
    ref: str,
    typed: _Typed,
    *,
    errors: Mapping[str, str] | None = None,
    stale: tuple[tuple[str, str, str], ...] = (),
    version: str | None = None,
) -> Response:
    from rimwise.app.box import assumptions_of

    hole, units = course.hole(ref), _units(store)
    usual = 100.0 * assumptions_of(store).shelter_factor
    return page(
        "course_facts", title=f"About hole {ref}", status=409 if stale else 400 if errors else 200,
        course=course.name, hole=ref, facts=facts_words(hole, units),
        fields=_fields(course, units, usual), typed=typed, errors=errors or {}, stale=stale,
        version=mark_of(hole) if version is None else version, mapped=_mapped(course),
    )  # fmt: skip


def _mapped(course: Course) -> bool:
    return course.bearings_known


def _fields(course: Course, units: Units, usual: float) -> tuple[Field, ...]:
    unit = "feet" if units == "ft" else "metres"
    far = (
        Field("posted", f"Length on its sign, {unit}, where it is longer than the straight way; "
              "may stay empty", "decimal")
        if _mapped(course)
        else Field("length", f"Length, {unit}", "decimal")
    )  # fmt: skip
    return (
        far,
        Field("par", "Par, 2 to 7; empty where there is none", "whole"),
        Field("climb", f"How much higher the basket is than the tee, {unit} (minus: lower), or the "
              "slope, as in 3 %"),
        Field("shelter", "How much of the forecast's wind blows there, in percent; the assumed "
              f"{usual:g} % when left empty", "decimal"),
        Field("name", "Its name, if it has one"),
    )  # fmt: skip


def _shown(length_m: float, units: Units) -> str:
    """Return a length as it is typed: to the tenth of a metre, or of a foot."""
    return f"{round(words.in_units(length_m, units), 1) + 0.0:g}"


def _values(course: Course, hole: Hole, units: Units) -> dict[str, str]:
    """Return what is on file as it is typed."""
    posted = hole.played_length_m
    length = (
        {"posted": "" if posted is None else _shown(posted, units)}
        if _mapped(course)
        else {"length": _shown(hole.length_m, units)}
    )
    return length | {
        "par": "" if hole.par is None else str(hole.par),
        "climb": _shown(hole.elevation_change_m, units),
        "shelter": "" if hole.shelter is None else f"{round(100.0 * hole.shelter, 3):g}",
        "name": hole.name,
    }


def _differs(
    course: Course, hole: Hole, typed: _Typed, units: Units
) -> tuple[tuple[str, str, str], ...]:
    """Return (what, as on file now, as typed) where both differ."""
    now = _values(course, hole, units)
    return tuple(
        (_SHORT[field], now[field], typed.get(field, ""))
        for field in now
        if now[field] != typed.get(field, "")
    )


#: Fields where two versions of them are told.
_SHORT = {
    "length": "Length", "posted": "Length on the sign", "par": "Par", "climb": "Climb",
    "shelter": "Shelter, in percent", "name": "Name",
}  # fmt: skip


def _read(course: Course, was: Hole, typed: _Typed, units: Units) -> Hole:
    """Return the hole that was typed; what nobody changed stays as exact as it was.

    Raises
    ------
    FieldError
        When a value cannot be; it names the field.
    """
    from rimwise.app.course_editing import lengthened

    shown = _values(course, was, units)
    changed = {field for field in shown if field in typed and typed[field] != shown[field]}
    hole = was
    if "length" in changed:
        metres = _length_m(typed, "length", "The length", units)
        if metres is None:
            raise FieldError("length", f"The length is missing; write one such as {_SUCH[units]}.")
        hole = lengthened(hole, metres)
    if "posted" in changed:
        posted = _length_m(typed, "posted", "The length on the sign", units)
        hole = replace(hole, played_length_m=posted)
    if "par" in changed:
        with about("par"):
            par = whole_number(typed, "par", "Par", 2, 7) if typed["par"] else None
            hole = replace(hole, par=par)
    if "climb" in changed:
        hole = replace(hole, elevation_change_m=_climb_m(typed, hole, units))
    if "shelter" in changed:
        hole = replace(hole, shelter=_shelter(typed))
    if "name" in changed:
        name = typed["name"]
        if len(name) > 60 or not name.isprintable():
            raise FieldError("name", "A name has at most 60 letters, and none that cannot be seen.")
        hole = replace(hole, name=name)
    return hole


#: A hole's length as it might be typed.
_SUCH: Mapping[Units, str] = {"m": "88", "ft": "290"}


def _length_m(typed: _Typed, field: str, what: str, units: Units) -> float | None:
    """Return a hole's length that was typed, or nothing where nothing was."""
    metres = length(typed, field, what, units, such=_SUCH[units])
    if metres is not None and not _LEAST_M <= metres <= _MOST_M:
        least, most = _shown(_LEAST_M, units), _shown(_MOST_M, units)
        raise FieldError(
            field, f"{what} must be from {least} to {most} {units}, but is {typed[field][:40]}; "
            f"write one such as {_SUCH[units]}.",
        )  # fmt: skip
    return metres


#: What the records take as a hole's length, and as its climb up or down.
_LEAST_M, _MOST_M, _MOST_CLIMB_M = 10.0, 500.0, 120.0


def _climb_m(typed: _Typed, hole: Hole, units: Units) -> float:
    """Return the climb, typed as a height or as a slope in percent of the length."""
    text = typed["climb"]
    if text.endswith("%"):
        bare = {"climb": text.removesuffix("%").strip()}
        slope = decimal(bare, "climb", "The slope", instead="write one such as 3 %")
        metres = (slope or 0.0) / 100.0 * hole.length_m
    else:
        metres = length(typed, "climb", "The climb", units, such="-4, or 3 %") or 0.0
    if abs(metres) > _MOST_CLIMB_M:
        most = _shown(_MOST_CLIMB_M, units)
        raise FieldError("climb", f"A basket is at most {most} {units} above or below its tee.")
    return metres


def _shelter(typed: _Typed) -> float | None:
    percent = decimal(
        {"shelter": typed["shelter"].removesuffix("%").strip()}, "shelter", "The share of the wind",
        instead="write percent, such as 60",
    )  # fmt: skip
    if percent is None:
        return None
    if 0.0 < percent <= 1.5:
        raise FieldError(
            "shelter", f"The wind is asked for in percent; for {percent:g} write {100 * percent:g}."
        )
    if not 0.0 <= percent <= 150.0:
        raise FieldError(
            "shelter",
            f"The wind must be from 0 to 150 percent, but is {percent:g}; write one such as 60.",
        )  # fmt: skip
    return percent / 100.0
