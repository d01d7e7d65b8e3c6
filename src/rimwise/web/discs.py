"""Discs: the list, and one disc with why it goes or stays, edited in place."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from pathlib import Path
from urllib.parse import quote

from fastapi import FastAPI, Response
from fastapi.responses import RedirectResponse

from rimwise.errors import InputError, RimwiseError
from rimwise.records.discs import Disc, Status
from rimwise.records.words import printed_numbers
from rimwise.store.opening import open_store
from rimwise.store.store import Store
from rimwise.web.editing import CHANGEABLE, save_disc, values_of
from rimwise.web.fields import Field, StaleError, mark_of, told_wrong
from rimwise.web.reading import told_already
from rimwise.web.rendering import Typed, in_page_words, page
from rimwise.web.telling import Part
from rimwise.web.working import Worker

__all__ = ["add_discs"]

_LABELS = {
    "status": "Where it is",
    "weight": "Weight in grams, such as 172 or 170ish, or 5 g lighter than another disc's name",
    "wear": "Wear, 0 (new) to 1 (beaten in)",
    "colour": "Colour",
    "mark": "Mark, what you wrote on it",
    "condition": "Condition, such as a crack",
    "run": "Run",
    "note": "Note",
    "meaning": "What it means to you",
    "cost": "What a new one costs, in your money; for the page Risk",
}
_FIELDS = tuple(
    Field(name, _LABELS[name], "select", tuple((str(one), str(one)) for one in Status))
    if name == "status"
    else Field(name, _LABELS[name], "decimal" if name in ("wear", "cost") else "text")
    for name in CHANGEABLE
)


def add_discs(app: FastAPI, data: Path, worker: Worker) -> None:
    """Add the list of discs and the page of each."""

    @app.get("/discs")
    def discs(everything: bool = False) -> Response:
        from rimwise.app.showing import disc_rows

        with open_store(data) as store:
            rows = disc_rows(store, everything=everything)
        return page("discs", title="Discs", rows=rows, everything=everything)

    @app.get("/disc/{name:path}")
    def disc(name: str, saved: bool = False) -> Response:
        with open_store(data) as store:
            found = store.discs.get(name)
            why, missed = _why(store, found)
            learnt = told_already(worker, store, "learnt")
            label = _label(store, found)
        part = None if learnt is None else learnt.of_discs.get(found.id)
        return _disc_page(
            found,
            values_of(found),
            mark_of(found),
            why=why,
            missed=missed,
            learnt=part,
            saved=saved,
            label=label,
        )

    @app.post("/disc/{name:path}")
    def change(name: str, typed: Typed) -> Response:
        with open_store(data) as store, store.atomic():
            found = store.discs.get(name)
            label = _label(store, found)
            shown = {**values_of(found), **typed}
            try:
                save_disc(store, name, typed, date.today())
            except StaleError:
                now = [
                    (_LABELS[field], value, shown[field])
                    for field, value in values_of(found).items()
                    if shown[field] != value
                ]
                return _disc_page(found, shown, mark_of(found), stale=now, label=label)
            except RimwiseError as error:
                version = typed.get("version", "")
                return _disc_page(found, shown, version, errors=told_wrong(error), label=label)
        return RedirectResponse(f"/disc/{quote(name)}?saved=yes", 303)


def _label(store: Store, disc: Disc) -> str:
    """Say what a disc is, and the numbers on its rim."""
    printed = store.molds.get(disc.mold).printed
    numbers = (printed.speed, printed.glide, printed.turn, printed.fade)
    return f"{disc.label}; printed {printed_numbers(numbers)}"


def _why(store: Store, disc: Disc) -> tuple[list[tuple[str, str]], list[str]]:
    """Return for each plan whether a disc goes, and why; and the plans that miss it."""
    from rimwise.app.explaining import explain
    from rimwise.app.reports import plan_names

    told, missed = [], []
    for name in plan_names(store):
        try:
            (reason,) = explain(store, disc.id, name)
        except InputError as error:  # it took no part in that plan
            told.append((name, in_page_words(error)))
        else:
            told.append((f"{name}: {reason.stands}", reason.words))
            if reason.goes and reason.away:
                missed.append(name)
    return told, missed


def _disc_page(
    disc: Disc,
    typed: Mapping[str, str],
    version: str,
    *,
    errors: Mapping[str, str] | None = None,
    stale: Sequence[tuple[str, str, str]] = (),
    why: Sequence[tuple[str, str]] = (),
    missed: Sequence[str] = (),
    learnt: Part | None = None,
    saved: bool = False,
    label: str,
) -> Response:
    return page(
        "disc", title=disc.id, status=409 if stale else 400 if errors else 200, fields=_FIELDS,
        typed=typed, version=version, errors=errors or {}, stale=stale, why=why, label=label,
        missed=missed, learnt=learnt, saved=saved,
    )  # fmt: skip
