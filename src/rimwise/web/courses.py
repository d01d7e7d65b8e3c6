"""The course in pages: its holes, what is drawn on them, and drawing by tapping a hole's map."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING
from urllib.parse import urlencode

from fastapi import FastAPI, Response
from fastapi.responses import RedirectResponse

from rimwise.errors import InputError, RimwiseError
from rimwise.records.courses import LONGEST_HOLE_M, SHORTEST_HOLE_M, Area, Course
from rimwise.records.evidence_words import length_in
from rimwise.records.words import METRES_PER_FOOT, Units
from rimwise.store.course_journal import CourseJournal
from rimwise.store.opening import open_store
from rimwise.store.store import Store
from rimwise.web.course_facts import facts_words
from rimwise.web.fields import (
    Field,
    FieldError,
    StaleError,
    about,
    choice,
    length,
    mark_of,
    told_wrong,
)
from rimwise.web.rendering import Typed, drawing, page, whole_number
from rimwise.web.starting import next_step

if TYPE_CHECKING:
    from rimwise.app.course_drawing import Sketch, Sketched

__all__ = ["add_courses"]

_Typed = Mapping[str, str]
_SIDES = {"": "choose a side", "left": "left", "right": "right"}
#: What is nearer than this to a hole's line is listed with it, though nearer to another hole.
_ON_MAP_M = 40.0


def add_courses(app: FastAPI, data: Path) -> None:
    """Add the pages of a course."""

    @app.get("/course")
    def course(name: str = "", done: str = "") -> Response:
        with open_store(data) as store:
            return _course_page(store, name, done=done)

    @app.get("/course/new")
    def blank() -> Response:
        with open_store(data) as store:
            return _new_page(store, {}, {})

    @app.post("/course/new")
    def add(typed: Typed) -> Response:
        with open_store(data) as store, store.atomic():
            try:
                name = _keep_new(store, typed)
            except RimwiseError as error:
                return _new_page(store, typed, told_wrong(error, "holes"))
        return RedirectResponse(f"/course?{urlencode({'name': name, 'done': 'new'})}", 303)

    @app.get("/course/hole")
    def hole(name: str, hole: str, done: str = "") -> Response:
        with open_store(data) as store:
            return _hole_page(store, store.courses.get(name), hole, {}, {}, done=done)

    @app.post("/course/hole")
    def draw(name: str, hole: str, typed: Typed) -> Response:
        from rimwise.app.course_drawing import WithinError, keep_sketch, look_at_sketch

        with open_store(data) as store, store.atomic():
            course = store.courses.get(name)
            keeps = typed.get("deed") == "keep"
            try:
                sketch = _sketch(store, typed)
                if keeps:
                    _check_version(course, typed)
                    keep_sketch(store, course, hole, sketch, now=datetime.now())
                else:
                    found = look_at_sketch(course, hole, sketch, _units(store))
            except StaleError:
                return _hole_page(store, course, hole, typed, {"": _BOTH}, status=409)
            except RimwiseError as error:
                field = "within" if isinstance(error, WithinError) else "corners"
                return _hole_page(store, course, hole, typed, told_wrong(error, field))
            if not keeps:
                return _hole_page(store, course, hole, typed, {}, looked=found)
        return _to_hole(name, hole, "kept")

    @app.post("/course/remove")
    def remove(typed: Typed) -> Response:
        from rimwise.app.course_editing import remove_feature

        name = typed.get("name", "")
        number = whole_number(typed, "number", "The number", 1, 999_999)
        with open_store(data) as store, store.atomic():
            _check_version(store.courses.get(name), typed)
            remove_feature(store, number, name, now=datetime.now())
        return RedirectResponse(f"/course?{urlencode({'name': name, 'done': 'gone'})}", 303)

    @app.post("/course/close")
    def close(typed: Typed) -> Response:
        from rimwise.app.course_editing import close_opening

        name = typed.get("name", "")
        number = whole_number(typed, "number", "The number", 1, 999_999)
        opening = whole_number(typed, "opening", "The number of the opening", 1, 999_999)
        with open_store(data) as store, store.atomic():
            _check_version(store.courses.get(name), typed)
            close_opening(store, number, opening, name, now=datetime.now())
        if typed.get("hole"):
            return _to_hole(name, typed["hole"], "closed")
        return RedirectResponse(f"/course?{urlencode({'name': name, 'done': 'closed'})}", 303)

    @app.post("/course/undo")
    def undo(typed: Typed) -> Response:
        from rimwise.app.course_editing import undo_change

        name = typed.get("name", "")
        with open_store(data) as store:
            undo_change(store, name)
        if typed.get("hole"):
            return _to_hole(name, typed["hole"], "undone")
        return RedirectResponse(f"/course?{urlencode({'name': name, 'done': 'undone'})}", 303)


#: What is said where a drawing and the course on file no longer go together.
_BOTH = (
    "The course was changed elsewhere since this page was loaded. The map below shows it as it is "
    "on file now, and what you drew on it: look at it again, then keep it."
)


#: What was just done, in words.
_DONE = {
    "new": "The course is on file.",
    "kept": "It is on the course. Plan again to take it into account.",
    "gone": "It was taken away from the course. Plan again to take that into account.",
    "closed": "The opening is closed. Plan again to take that into account.",
    "facts": "It is saved. Plan again to take it into account.",
    "undone": "The last change is taken back.",
}


#: A hole of a new course: perhaps its number, its length, perhaps its par. A comma before one
#: digit is a decimal comma; before more it stands between two holes.
_HOLE = re.compile(
    r"(?:(?:hole\s*)?(?P<ref>\w{1,4})\s*(?:[:)]\s*|\.\s+))?"
    r"(?P<length>\d+(?:\.\d+|,\d(?!\d))?)\s*(?P<unit>m|ft)?(?:[\s,;/]+(?:par\s*)?(?P<par>\d))?",
    re.IGNORECASE,
)
_BETWEEN = re.compile(r";|,(?!\d(?!\d))")
_PAR = re.compile(r"(?:par\s*)?\d", re.IGNORECASE)


#: A hole to type, by the owner's units.
_SUCH: Mapping[Units, str] = {"m": "88 3", "ft": "290 3"}


def _new_page(store: Store, typed: _Typed, errors: Mapping[str, str]) -> Response:
    units = _units(store)
    unit = "feet" if units == "ft" else "metres"
    fields = (
        Field("name", "What the course is called"),
        Field("holes", "Each hole in order, on a line of its own or with commas between: its "
              f"length in {unit}, then its par, as in {_SUCH[units]}; par may be left out",
              "lines"),
    )  # fmt: skip
    return page(
        "course_new", title="A course by its lengths", status=400 if errors else 200,
        fields=fields, typed=typed, errors=errors,
    )  # fmt: skip


def _keep_new(store: Store, typed: _Typed) -> str:
    """Keep a course known by its lengths, and return its name."""
    from rimwise.course.table import course_from_table

    name = typed.get("name", "")
    if not name or len(name) > 60 or not name.isprintable():
        raise FieldError("name", "Say what the course is called, in at most 60 letters.")
    if name in store.courses:
        raise FieldError("name", f"{name} is on file already; call this one something else.")
    units = _units(store)
    rows = [f"hole,length ({units}),par"]
    for text in _each_hole(typed.get("holes", "")):
        said = _HOLE.fullmatch(text)
        if said is None:
            raise FieldError(
                "holes", f"{text[:40]!r} is no hole; write its length, and par if you know it, as "
                f"in {_SUCH[units]}.",
            )  # fmt: skip
        ref = said["ref"] or str(len(rows))
        length = f"{said['length'].replace(',', '.')}{said['unit'] or units}".lower()
        if not SHORTEST_HOLE_M <= length_in(length, "the length") <= LONGEST_HOLE_M:
            unit_m, called = (METRES_PER_FOOT, "feet") if units == "ft" else (1.0, "metres")
            least, most = math.ceil(SHORTEST_HOLE_M / unit_m), int(LONGEST_HOLE_M / unit_m)
            raise FieldError(
                "holes", f"Hole {ref} is {length[:20]} long, but a hole is from {least} to {most} "
                f"{called} long; write its length as in {_SUCH[units]}.",
            )  # fmt: skip
        rows.append(f"{ref},{length},{said['par'] or ''}")
    if len(rows) == 1:
        raise FieldError(
            "holes", "Write at least one hole: its length, and par if you know it, as in "
            f"{_SUCH[units]}.",
        )  # fmt: skip
    with about("holes"):
        course = course_from_table("\n".join(rows).encode(), name).course
    CourseJournal(store).put(course, "typed it", datetime.now())
    return name


def _each_hole(text: str) -> list[str]:
    """Return what was typed of each hole: a line, or what stands between commas on one."""
    holes: list[str] = []
    for line in filter(None, map(str.strip, text.splitlines())):
        if _HOLE.fullmatch(line):
            holes.append(line)
            continue
        on_line: list[str] = []
        for part in filter(None, map(str.strip, _BETWEEN.split(line))):
            if on_line and _PAR.fullmatch(part) and not _has_par(on_line[-1]):
                on_line[-1] = f"{on_line[-1]} {part}"
            else:
                on_line.append(part)
        holes += on_line
    return holes


def _has_par(text: str) -> bool:
    found = _HOLE.fullmatch(text)
    return found is None or found["par"] is not None


def _to_hole(name: str, hole: str, done: str) -> Response:
    said = urlencode({"name": name, "hole": hole, "done": done})
    return RedirectResponse(f"/course/hole?{said}", 303)


def _check_version(course: Course, typed: _Typed) -> None:
    if typed.get("version") != mark_of(course):
        raise StaleError(
            "The course was changed elsewhere since this page was loaded; look at it again."
        )


def _units(store: Store) -> Units:
    from rimwise.app.box import units_of

    return units_of(store)


def _course_page(store: Store, name: str, *, done: str) -> Response:
    from rimwise.app.course_editing import show_course

    names = list(store.courses.keys())
    if not names or (not name and len(names) > 1):
        return page("courses", title="Courses", names=names)
    shown = show_course(store, name or None)
    version = mark_of(store.courses.get(shown.name))
    return page(
        "course", title=shown.name, shown=shown, names=names, version=version,
        done=_DONE.get(done, ""), undo=CourseJournal(store).last(shown.name),
        onward=next_step(store),
    )  # fmt: skip


def _hole_page(
    store: Store,
    course: Course,
    ref: str,
    typed: _Typed,
    errors: Mapping[str, str],
    *,
    looked: Sketched | None = None,
    done: str = "",
    status: int = 400,
) -> Response:
    from rimwise.app.course_drawing import around, corners_in, ground_of
    from rimwise.app.course_editing import show_course
    from rimwise.pictures.ground_map import ground_map_svg

    units = _units(store)
    hole = course.hole(ref)
    try:
        sketch = corners_in(typed.get("corners", ""), units)
    except InputError:
        sketch = ()
    shown = show_course(store, course.name)
    seen = around(course, ref, _ON_MAP_M)
    near = [one for one in shown.areas if one.near_hole == ref or one.number in seen]
    marks = [one for one in shown.marks if one.hole == ref]
    more = _more(units, around(course, ref))
    refs = [one.ref for one in course.holes]
    at = refs.index(ref)
    return page(
        "course_hole", title=f"Hole {ref}", status=status if errors else 200, course=course.name,
        hole=hole, about=facts_words(hole, units), units=units, typed=typed, errors=errors,
        looked=looked, done=_DONE.get(done, ""), fields=_fields(), more=more,
        picture=drawing(ground_map_svg(ground_of(course, ref), units, sketch=sketch)),
        version=mark_of(course), near=near, marks=marks,
        undo=CourseJournal(store).last(course.name),
        before=refs[at - 1] if at else "", after=refs[at + 1] if at + 1 < len(refs) else "",
        open=bool({one.name for one in more} & {*errors}) or any(
            typed.get(name) for name in ("within", "stems", "height", "side")
        ),
    )  # fmt: skip


def _fields() -> tuple[Field, ...]:
    from rimwise.app.course_drawing import KINDS

    kinds = tuple((kind, _CALLED.get(kind, kind)) for kind in KINDS)
    return (
        Field("kind", "What it is", "select", kinds),
        Field("corners", "Corners, one to a line: how far out from the tee, how far aside, "
              "and L or R, as in 40 12R", "lines"),
        Field("name", "Name, such as pond; one of the same name is replaced"),
    )  # fmt: skip


#: Kinds whose own word says too little.
_CALLED = {
    "thick rough": "thick rough: tall grass, heather, bushes",
    "no run-up": "no run-up: roots, a steep bank",
    "low ceiling": "low ceiling: branches over the lie",
    "opening": "opening in an area: an island, a gap in a wood",
    "mandatory": "mandatory: a mark to pass on one side; one place",
    "drop zone": "drop zone: one place",
}


def _more(units: str, areas: Mapping[int, Area]) -> tuple[Field, ...]:
    from rimwise.course.woods import WOODS
    from rimwise.records.courses import Trouble

    woods = tuple((name, name) for name in WOODS)
    within = tuple(
        (str(number), f"{area.name or area.kind}, number {number} of the course")
        for number, area in areas.items()
    )
    opening = Field("within", "An opening: in which area", "select",
                    (("", "the one around it"), *within))  # fmt: skip
    return (
        *([opening] if within else []),
        Field("stems", "A wood: how dense", "select", (("", "the usual"), *woods)),
        Field("height", "A wood, thick rough or a low ceiling: how high, "
              f"{'feet' if units == 'ft' else 'metres'}; the usual when left empty", "decimal"),
        Field("side", "A mandatory: pass it on the", "select", tuple(_SIDES.items())),
        Field("after", "A drop zone: after", "select",
              tuple((one.value, one.value) for one in Trouble)),
    )  # fmt: skip


def _sketch(store: Store, typed: _Typed) -> Sketch:
    from rimwise.app.course_drawing import KINDS, MANDATORY, Sketch, corners_in
    from rimwise.records.courses import Trouble

    units = _units(store)
    kind = choice(typed, "kind", "What it is", dict.fromkeys(KINDS))
    with about("corners"):
        corners = corners_in(typed.get("corners", ""), units)
    height_m = length(typed, "height", "The height", units, such="12")
    name = typed.get("name", "")
    if len(name) > 60 or not name.isprintable():
        raise FieldError("name", "A name has at most 60 letters, and none that cannot be seen.")
    side = choice(typed, "side", "The side", _SIDES) if typed.get("side") else ""
    if kind == MANDATORY and not side:
        raise FieldError("side", "Say on which side of the mark a disc has to pass.")
    after = typed.get("after") or Trouble.ANY.value
    with about("within"):
        within = (
            whole_number(typed, "within", "The number of the area", 1, 999_999)
            if typed.get("within")
            else None
        )
    return Sketch(
        kind, corners, name, typed.get("stems", ""),
        height_m, side,
        choice({"after": after}, "after", "What it is for", dict.fromkeys(Trouble)),
        within,
    )  # fmt: skip
