"""Pages that tell something that takes a while to work out: asked for, worked out, then kept."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

from fastapi import FastAPI, Request, Response
from fastapi.responses import RedirectResponse

from rimwise.errors import InputError, NotFoundError, RimwiseError
from rimwise.store.opening import open_store
from rimwise.store.store import Store
from rimwise.web import telling
from rimwise.web.rendering import Typed, in_page_words, page
from rimwise.web.telling import Told
from rimwise.web.working import Job, Worker

__all__ = ["READINGS", "Reading", "add_reading"]

#: Everything that what is told may rest on; a plan adds a carry.
_RESTS_ON = (
    "carries", "carts", "comparisons", "condition_grades", "conditions", "courses", "discs",
    "grip_grades", "knocks", "molds", "plastics", "putts", "rounds", "settings", "throwers",
    "throws",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Reading:
    """One page of this kind.

    Parameters
    ----------
    title, about
        Its heading, and what it tells, in a sentence.
    asks
        What its form asks: see :func:`_fields`.
    work
        Computes what is told.
    """

    title: str
    about: str
    asks: tuple[str, ...]
    work: Callable[[Store, Mapping[str, str], Any], Told]


READINGS: Mapping[str, Reading] = {
    "tee": Reading(
        "On the tee", "What to throw on a hole, or from where you lie, with the risks.",
        ("course", "hole", "conditions", "lie"), telling.tee,
    ),
    "swaps": Reading(
        "Swaps", "What goes out and what comes in between two plans, and why.", ("old", "new"),
        telling.swaps,
    ),
    "putting": Reading(
        "Putting", "How often you hole out from where, and what practice is worth.", ("plan",),
        telling.putting,
    ),
    "learnt": Reading(
        "Learnt", "How your discs differ from their numbers, as far as your log can tell.", (),
        telling.learnt,
    ),
    "wear": Reading(
        "Wear", "How worn your discs are, and which to replace or retire.", (), telling.wear
    ),
    "gaps": Reading(
        "Gaps", "What your carry lacks, and what is doubled in it.", ("plan",), telling.gaps
    ),
    "rule": Reading(
        "A rule to remember", "Three sentences that say what to throw, and what they cost.",
        ("plan",), telling.rule,
    ),
    "field": Reading(
        "Field session", "What to throw next so that your choices improve most.",
        ("plan", "throws"), telling.field_session,
    ),
}  # fmt: skip


def add_reading(app: FastAPI, data: Path, worker: Worker) -> None:
    """Add these pages, and the page that lists them."""

    @app.get("/more")
    def more() -> Response:
        return page("more", title="More", readings=READINGS)

    @app.get("/read/{name}")
    def read(name: str, request: Request) -> Response:
        typed = dict(request.query_params)
        failed = typed.pop("job", "")
        if failed:
            job = worker.job(failed)
            return _page(data, name, job.typed, in_page_words(InputError(job.error)), None)
        typed = {ask: typed[ask] for ask in _reading(name).asks if typed.get(ask)}
        with open_store(data) as store:
            kept = worker.result(_key(store, name, typed))
        return _page(data, name, typed, "", kept)

    @app.post("/read/{name}")
    def work_out(name: str, typed: Typed) -> Response:
        reading = _reading(name)
        said = {ask: typed[ask] for ask in reading.asks if typed.get(ask)}
        shown = f"/read/{name}?{urlencode(said)}"
        with open_store(data) as store:
            key = _key(store, name, said)
        if worker.result(key) is not None:
            return RedirectResponse(shown, 303)
        try:
            job = worker.start(
                Job(
                    key, reading.title, f"/read/{name}", shown, said,
                    lambda store, progress: reading.work(store, said, progress),
                )
            )  # fmt: skip
        except RimwiseError as error:
            return _page(data, name, said, str(error), None)
        return RedirectResponse(f"/job/{job.id}", 303)


def _reading(name: str) -> Reading:
    if name not in READINGS:
        raise NotFoundError("There is no such page.")
    return READINGS[name]


def _key(store: Store, name: str, typed: Mapping[str, str]) -> str:
    """Return what a result is kept under; another one whenever anything on file changes."""
    return f"{name} {sorted(typed.items())} {store.digest(_RESTS_ON)}"


def _page(
    data: Path, name: str, typed: Mapping[str, str], error: str, told: Told | None
) -> Response:
    reading = _reading(name)
    with open_store(data) as store:
        fields = [one for ask in reading.asks if (one := _fields(store, ask)) is not None]
    return page(
        "reading", title=reading.title, status=400 if error else 200, reading=reading, called=name,
        typed=typed, error=error, told=told, fields=fields,
    )  # fmt: skip


def _fields(store: Store, ask: str) -> tuple[str, str, list[str]] | None:
    """Return a field's name, label and choices, none for a free one; ``None`` leaves it out."""
    from rimwise.app.reports import plan_names

    if ask == "plan":
        return ask, "Of which plan", plan_names(store)
    if ask in ("old", "new"):
        return ask, "From the carry of" if ask == "old" else "To the carry of", plan_names(store)
    if ask == "conditions":
        return ask, "In which weather", list(store.conditions.keys())
    if ask == "course":
        names = list(store.courses.keys())
        return (ask, "On which course", names) if len(names) > 1 else None
    if ask == "hole":
        holes = [hole.ref for course in store.courses.all() for hole in course.holes]
        return ask, "Hole", list(dict.fromkeys(holes))
    if ask == "throws":
        return ask, "Throws there is time for, in fives; 20 when left empty", []
    return ask, "Where you lie, as in 60m 5L; the tee when left empty", []
