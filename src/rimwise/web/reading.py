"""Pages that tell something that takes a while to work out: asked for, worked out, then kept."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

from fastapi import FastAPI, Request, Response
from fastapi.responses import RedirectResponse

from rimwise.errors import NotFoundError, RimwiseError
from rimwise.store.opening import open_store
from rimwise.store.store import Store
from rimwise.web import telling
from rimwise.web.fields import Field, told_wrong
from rimwise.web.keeping import RESTS_ON
from rimwise.web.rendering import Typed, in_page_words, page
from rimwise.web.starting import next_step
from rimwise.web.telling import Told
from rimwise.web.uploading import Uploaded
from rimwise.web.wording import examples_in
from rimwise.web.working import Job, Worker

__all__ = ["READINGS", "Reading", "add_reading", "told_already"]

#: A table of wished-for discs travels in the page's address; so many letters are plenty.
_LONGEST_TABLE = 8000


@dataclass(frozen=True, slots=True)
class Reading:
    """One page of this kind.

    Parameters
    ----------
    title, about
        Its heading, and what it tells, in a sentence.
    asks
        What its form asks: see :func:`_field`.
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
        "Swaps", "What goes out and what comes in between two plans, and why.",
        ("old", "new", "on_holes"), telling.swaps,
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
        "Gaps", "What your carry lacks, and what is doubled in it.", ("plan", "on_holes"),
        telling.gaps,
    ),
    "many": Reading(
        "How many", "How many discs are worth carrying, and from where on more hardly help.",
        ("plan", "resolve"), telling.many,
    ),
    "risk": Reading(
        "Risk", "Which discs a round costs you, and on which holes. Holes that were not worked out "
        "yet take some minutes.", ("course", "conditions"), telling.risk,
    ),
    "lost": Reading(
        "A lost disc", "What it costs your carry, which disc from home takes its place, and what "
        "to look for.", ("plan", "disc"),
        telling.lost,
    ),
    "wish": Reading(
        "Wished-for discs", "What discs that you may buy would save you a round, before money is "
        "spent. Nothing of it is kept.", ("plan", *telling.WISHED, "table", "on_holes"),
        telling.wish,
    ),
    "certify": Reading(
        "Certify", "Holds a carry against its best single changes, each worked out for itself. "
        "It takes minutes.", ("plan", "holes"), telling.certify,
    ),
    "share": Reading(
        "A list to share", "Your carry as text, in the order of the pockets.", ("plan",),
        telling.share,
    ),
    "rule": Reading(
        "A rule to remember", "Three sentences that say what to throw, and what they cost.",
        ("plan",), telling.rule,
    ),
    "field": Reading(
        "What to throw next", "A field session that improves your choices most.",
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
            return _page(data, name, job.typed, {"": in_page_words(job.error)}, None)
        typed = {ask: typed[ask] for ask in _reading(name).asks if typed.get(ask)}
        with open_store(data) as store:
            kept = worker.result(_key(store, name, typed))
        return _page(data, name, typed, {}, kept)

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
            return _page(data, name, said, told_wrong(error), None)
        return RedirectResponse(f"/job/{job.id}", 303)

    @app.get("/wish/file")
    def again() -> Response:
        return RedirectResponse("/read/wish", 303)

    @app.post("/wish/file")
    def fill_in(upload: Uploaded) -> Response:
        text = upload.content.decode("utf-8-sig", errors="replace")
        if not upload.name or len(text) > _LONGEST_TABLE:
            told = "Choose a table of at most twenty discs; no file was chosen, or it is too long."
            return _page(data, "wish", {}, {"table": told}, None)
        return _page(data, "wish", {"table": text}, {}, None)


def told_already(worker: Worker, store: Store, name: str) -> Told | None:
    """Return what a page told, if it was worked out and nothing that it rests on changed since."""
    if not worker.remembers(f"{name} "):  # else a long log would be read for nothing
        return None
    found: Told | None = worker.result(_key(store, name, {}))
    return found


def _reading(name: str) -> Reading:
    if name not in READINGS:
        raise NotFoundError("There is no such page.")
    return READINGS[name]


def _key(store: Store, name: str, typed: Mapping[str, str]) -> str:
    """Return what a result is kept under; another one whenever anything on file changes."""
    return f"{name} {sorted(typed.items())} {store.digest(RESTS_ON)}"


def _page(
    data: Path, name: str, typed: Mapping[str, str], errors: Mapping[str, str], told: Told | None
) -> Response:
    reading = _reading(name)
    with open_store(data) as store:
        fields = [one for ask in reading.asks if (one := _field(store, ask)) is not None]
        empty = any(one.kind == "select" and not one.choices for one in fields)
        onward = next_step(store) if empty else None
    return page(
        "reading", title=reading.title, status=400 if errors else 200, reading=reading,
        called=name, typed=typed, errors=errors, told=told, fields=fields, onward=onward,
    )  # fmt: skip


_LABELS = {
    "plan": "Of which plan", "old": "From the carry of", "new": "To the carry of",
    "conditions": "In which weather", "course": "On which course", "hole": "Hole",
    "disc": "Which disc", "resolve": "Work out 5, 10, 15, 20 and 25 discs anew; takes minutes",
    "holes": "Also work out every hole anew, for the carry and its changes; takes minutes more",
    "on_holes": "Play every hole out first, woods and water included; takes some minutes",
    "throws": "Throws there is time for, in fives; 20 when left empty",
    "lie": "Where you lie, as in 60m 5L; the tee when left empty",
    "mold": "Mold", "speed": "Speed, as printed", "glide": "Glide", "turn": "Turn",
    "fade": "Fade", "plastic": "Plastic, such as soft base",
    "weight": "Weight in grams, such as 172",
    "table": "Or several discs: a table like that of your own, pasted, with a line of headings",
}  # fmt: skip


def _field(store: Store, ask: str) -> Field | None:
    """Return a field; ``None`` leaves it out."""
    from rimwise.app.box import units_of

    choices = _choices(store, ask)
    if ask == "course" and choices is not None and len(choices) < 2:
        return None
    if choices is None:
        return Field(
            ask, examples_in(_LABELS[ask], units_of(store)), "lines" if ask == "table" else "text"
        )
    return Field(ask, _LABELS[ask], "select", tuple((one, one) for one in choices))


def _choices(store: Store, ask: str) -> list[str] | None:
    """Return what there is to choose from; ``None`` for a free field."""
    from rimwise.app.reports import load_plan, plan_names

    if ask in ("plan", "old", "new"):
        return plan_names(store)
    if ask == "conditions":
        return list(store.conditions.keys())
    if ask == "course":
        return list(store.courses.keys())
    if ask in ("resolve", "holes", "on_holes"):
        return ["no", "yes"]
    if ask == "disc":
        carried = [disc for name in plan_names(store) for disc in load_plan(store, name).chosen]
        return sorted(dict.fromkeys(carried))
    if ask == "hole":
        holes = [hole.ref for course in store.courses.all() for hole in course.holes]
        return list(dict.fromkeys(holes))
    return None
