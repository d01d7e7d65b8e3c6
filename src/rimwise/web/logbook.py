"""The log: what was seen is noted by form, listed, corrected, deleted, brought back."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Mapping, Sequence
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any
from urllib.parse import quote

from fastapi import FastAPI, Response
from fastapi.responses import RedirectResponse

from rimwise.errors import InputError, NotFoundError, RimwiseError
from rimwise.store.opening import open_store
from rimwise.store.store import Store
from rimwise.web.fields import Field, StaleError, about, labelled_in, mark_of, told_wrong
from rimwise.web.noting import FORMS, Form, fields_of, form_in, form_named
from rimwise.web.rendering import Typed, in_page_words, page

if TYPE_CHECKING:
    from rimwise.app.noted import Kept, Standing

__all__ = ["add_logbook", "newest_first"]

#: So many entries on the page of the log, and on each page of the list.
_LATEST, _ON_A_PAGE = 10, 25
#: Nobody turns more pages than this.
_MOST_PAGES = 100_000
#: Words to be said once on the page that a form leads to.
_REMEMBERED = 64
_CALLED = {
    "throw": "a throw", "comparison": "a comparison", "grip": "a grip grade", "wear": "wear",
    "knock": "a knock", "putts": "putts", "round": "a round",
}  # fmt: skip
_TEXT_LABEL = {
    "throw": "The throw; what you leave out stays as it is",
    "comparison": "The comparison, as in: nh27-blue >> nh27-gold reach",
    "grip": "The air and the grade, as in cold-wet 4",
    "wear": "Wear, 0 (new) to 1 (beaten in)",
    "knock": "What it hit",
    "putts": "Distance and made/tried, as in 6m 13/20",
    "round": "Strokes by hole, as in 1:3 2:4",
}
_EDIT_LABEL = {
    "on": "Day", "disc": "Disc", "conditions": "Weather: a day on file, or words", "note": "Note",
}  # fmt: skip


def add_logbook(app: FastAPI, data: Path) -> None:
    """Add the pages of the log."""
    notices: OrderedDict[str, Sequence[str]] = OrderedDict()
    _show(app, data, notices)
    _correct(app, data)  # before the forms, whose kinds stand in the same place of an address
    _note(app, data, notices)


def newest_first(kept: Sequence[Kept]) -> list[Kept]:
    """Return entries, the latest day first, and within a day the latest noted."""
    return sorted(kept, key=lambda one: (one.on, int(one.id[1:])), reverse=True)


def _show(app: FastAPI, data: Path, notices: Mapping[str, Sequence[str]]) -> None:
    @app.get("/log")
    def log(kept: str = "", gone: str = "") -> Response:
        return _log_page(data, {}, {}, kept=kept, gone=gone, notices=notices.get(kept, ()))

    @app.get("/log/new/{kind}")
    def new(kind: str, course: str = "") -> Response:
        return _form_page(data, form_named(kind), {"course": course} if course else {}, {})

    @app.get("/log/entries")
    def entries(at: int = 1, kind: str = "", disc: str = "", deleted: bool = False) -> Response:
        from rimwise.app.showing import disc_rows

        with open_store(data) as store:
            listed, count = _entries(store, at, kind or None, disc or None, deleted=deleted)
            last = max(1, -(-count // _ON_A_PAGE))
            if not 1 <= at <= last:
                at = min(max(at, 1), last)
                listed, _ = _entries(store, at, kind or None, disc or None, deleted=deleted)
            discs = [row.disc_id for row in disc_rows(store, everything=True)]
        return page(
            "entries", title="Deleted entries" if deleted else "Noted so far", at=at, last=last,
            listed=listed, count=count, kind=kind, disc=disc, deleted=deleted, kinds=_CALLED,
            discs=discs,
        )  # fmt: skip


def _entries(
    store: Store, at: int, kind: str | None, disc: str | None, *, deleted: bool
) -> tuple[Sequence[Kept], int]:
    """Return one page of the entries that stand or were deleted, and how many there are."""
    from rimwise.app.noted import evidence_page, list_evidence

    at = min(max(at, 1), _MOST_PAGES)
    if not deleted:
        return evidence_page(store, at=at, size=_ON_A_PAGE, kind=kind, disc=disc)
    found = newest_first(list_evidence(store, kind=kind, disc=disc, deleted=True))
    return found[(at - 1) * _ON_A_PAGE : at * _ON_A_PAGE], len(found)


def _note(app: FastAPI, data: Path, notices: OrderedDict[str, Sequence[str]]) -> None:
    @app.get("/log/{kind}")
    def again(kind: str) -> Response:
        # A page that a form was answered with, loaded anew: its address is the form's.
        return RedirectResponse(f"/log/new/{form_named(kind).name}", 303)

    @app.post("/log/{kind}")
    def note(kind: str, typed: Typed) -> Response:
        from rimwise.app.box import units_of

        form = form_named(kind)
        with open_store(data) as store:
            try:
                noted = form.keep(store, typed, date.today())
            except RimwiseError as error:
                errors = told_wrong(error, form.main, units_of(store))
                if kind in ("throw", "comparison"):
                    return _log_page(data, typed, errors, kind=kind)
                return _form_page(data, form, typed, errors)
        last = noted[-1]
        told = [in_page_words(one) for each in noted for one in each.notices]
        notices[last.id] = [*told, *([f"{len(noted)} entries were kept."] if noted[1:] else [])]
        while len(notices) > _REMEMBERED:
            notices.popitem(last=False)
        return RedirectResponse(f"/log?kept={last.id}", 303)


def _correct(app: FastAPI, data: Path) -> None:
    @app.post("/log/delete")
    def delete(typed: Typed) -> Response:
        from rimwise.app.noted import delete_evidence

        with open_store(data) as store:
            (gone,) = delete_evidence(store, [typed.get("id", "")], datetime.now())
        return RedirectResponse(f"{_back(typed)}gone={gone.id}", 303)

    @app.post("/log/undelete")
    def undelete(typed: Typed) -> Response:
        from rimwise.app.noted import undelete_evidence

        with open_store(data) as store:
            (back,) = undelete_evidence(store, [typed.get("id", "")], datetime.now())
        return RedirectResponse(f"{_back(typed)}kept={back.id}", 303)

    @app.post("/log/revert")
    def revert(typed: Typed) -> Response:
        from rimwise.app.noted import revert_evidence

        with open_store(data) as store:
            done = revert_evidence(store, typed.get("id", ""), datetime.now())
        return RedirectResponse(f"/log?kept={done.id}", 303)

    @app.get("/log/edit/{called}")
    def edit(called: str) -> Response:
        from rimwise.app.noted import standing_evidence

        with open_store(data) as store:
            found = standing_evidence(store, called)
            return _edit_page(store, found, found.fields, {})

    @app.post("/log/edit/{called}")
    def save(called: str, typed: Typed) -> Response:
        from rimwise.app.box import units_of
        from rimwise.app.noted import standing_evidence

        with open_store(data) as store, store.atomic():
            found = standing_evidence(store, called)
            try:
                _save(store, found, typed)
            except StaleError:
                now = [
                    (_EDIT_LABEL.get(name, "Text"), value, typed[name])
                    for name, value in found.fields.items()
                    if name in typed and typed[name] != value
                ]
                return _edit_page(store, found, typed, {}, stale=now)
            except RimwiseError as error:
                return _edit_page(store, found, typed, told_wrong(error, "text", units_of(store)))
        return RedirectResponse(f"/log?kept={quote(found.id)}", 303)


def _back(typed: Mapping[str, str]) -> str:
    """Return the page that a deletion was asked on, ready for one more word."""
    return "/log/field?" if typed.get("from") == "field" else "/log?"


def _save(store: Store, found: Standing, typed: Mapping[str, str]) -> None:
    """Save what differs from what is on file; the same form sent again changes nothing more.

    Raises
    ------
    StaleError
        When the entry was changed since the form was made, other than to what is typed.
    """
    from rimwise.app.noted import Change, edit_evidence
    from rimwise.app.noting import When, scope_of

    changes: dict[str, Any] = {
        name: typed[name]
        for name, value in found.fields.items()
        if name in typed and typed[name] != value
    }
    if not changes:
        return
    if typed.get("version") != mark_of(found.record):
        raise StaleError(f"{found.id} was changed elsewhere since this page was loaded.")
    scope, when = scope_of(store, date.today()), When(date.today())
    for name in ("text", "on", "disc"):
        if name in changes and not changes[name]:
            with about(name):
                raise InputError("This cannot be empty; type what it should say.")
    if "on" in changes:
        with about("on"):
            scope.day_of(changes["on"])
    if "disc" in changes:
        with about("disc"):
            scope.disc(changes["disc"])
    if "conditions" in changes:
        with about("conditions"):
            scope.weather(changes["conditions"], whole_round=found.kind == "round")
    edit_evidence(
        store, found.id, Change(**changes), when, datetime.now(),
        anyway=typed.get("anyway") == "yes",
    )  # fmt: skip


# -- what the pages show ------------------------------------------------------------------------


def _log_page(
    data: Path,
    typed: Mapping[str, str],
    errors: Mapping[str, str],
    *,
    kind: str = "throw",
    kept: str = "",
    gone: str = "",
    notices: Sequence[str] = (),
) -> Response:
    from rimwise.app.box import units_of
    from rimwise.app.noted import evidence_page, list_evidence

    with open_store(data) as store:
        kinds = {name: form_in(units_of(store), form) for name, form in FORMS.items()}
        listed, count = evidence_page(store, size=_LATEST)
        told = _standing(store, kept)
        deleted = newest_first(list_evidence(store, deleted=True))
        forms = {
            name: fields_of(store, kinds[name], typed if name == kind else {})
            for name in ("throw", "comparison")
        }
        offered = _offered(store)
    removed = next((one for one in deleted if one.id == gone), None)
    more = bool(errors) or any(typed.get(one.name) for one in FORMS[kind].more)
    return page(
        "log", title="Log", status=400 if errors else 200, typed={kind: typed},
        errors={kind: errors}, told=told, removed=removed, notices=notices, forms_of=forms,
        listed=listed, count=count, deleted=deleted[:3],
        deleted_count=len(deleted), kinds=kinds, offered=offered, open=kind if more else "",
    )  # fmt: skip


def _standing(store: Store, called: str) -> Standing | None:
    """Return the entry that was just kept, if it stands."""
    from rimwise.app.noted import standing_evidence

    try:
        return standing_evidence(store, called) if called else None
    except RimwiseError:
        return None


def _form_page(
    data: Path, form: Form, typed: Mapping[str, str], errors: Mapping[str, str]
) -> Response:
    from rimwise.app.box import units_of

    with open_store(data) as store:
        form = form_in(units_of(store), form)
        fields = fields_of(store, form, typed)
        courses = [course.name for course in store.courses.all()]
        offered = _offered(store)
    if form.name == "round":
        typed = {"course": courses[0] if courses else "", **typed}
        if not courses:
            raise NotFoundError("There is no course yet; bring one on the page Bring a file.")
    return page(
        "note", title=f"Note {form.title}", status=400 if errors else 200, form=form,
        fields=fields, typed=typed, errors=errors, offered=offered, courses=courses,
    )  # fmt: skip


def _edit_page(
    store: Store,
    found: Standing,
    typed: Mapping[str, str],
    errors: Mapping[str, str],
    stale: Sequence[tuple[str, str, str]] = (),
) -> Response:
    from rimwise.app.box import units_of

    fields = [
        Field(name, _EDIT_LABEL.get(name, _TEXT_LABEL[found.kind]), _kind_of(name, found.kind))
        for name in found.fields
    ]
    fields = list(labelled_in(units_of(store), fields))
    if found.kind == "throw" and errors:
        words = "Take it although it is that long or wide, or the disc is retired"
        fields.append(Field("anyway", words, "select", (("", "no"), ("yes", "yes"))))
    return page(
        "entry", title=f"Change {_CALLED[found.kind]}", found=found, fields=fields, typed=typed,
        errors=errors, stale=stale, version=mark_of(found.record), offered=_offered(store),
        status=409 if stale else 400 if errors else 200,
    )  # fmt: skip


def _kind_of(name: str, kind: str) -> str:
    if name == "text" and kind in ("throw", "round"):
        return "lines"
    return {"disc": "disc", "conditions": "day"}.get(name, "text")


def _offered(store: Store) -> dict[str, list[tuple[str, str]]]:
    """Return what fields offer to choose from: discs and days on file."""
    from rimwise.app.showing import disc_rows

    discs = [(row.disc_id, f"{row.mold}, {row.colour}") for row in disc_rows(store)]
    days = [(day.name, kind.name) for kind in store.conditions.all() for day in kind.days]
    return {"discs": discs, "days": days}
