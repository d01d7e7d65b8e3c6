"""Planning in the browser: the form, and the job that it asks for."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any
from urllib.parse import quote

from fastapi import FastAPI, Response
from fastapi.responses import RedirectResponse

from rimwise.errors import InputError, RimwiseError
from rimwise.store.opening import open_store
from rimwise.store.store import Store
from rimwise.web.asking import DISC_WISHES, asked_in, typed_of, wish_fields
from rimwise.web.fields import about, told_wrong
from rimwise.web.rendering import Typed, in_page_words, page
from rimwise.web.working import Job, Worker

if TYPE_CHECKING:
    from rimwise.app.asking import Asked

__all__ = ["EACH", "add_planning"]

#: What is chosen to plan every season, each changing as little as it can from the one before.
EACH = "*"


def add_planning(app: FastAPI, data: Path, worker: Worker) -> None:
    """Add the pages about planning."""

    @app.get("/plan")
    def form(conditions: str = "", job: str = "", fresh: bool = False) -> Response:
        if job:
            failed = worker.job(job)
            return _form(data, failed.typed, {"": in_page_words(failed.error)}, 200)
        return _form(data, _last_asked(data, conditions, fresh=fresh), {}, 200)

    @app.post("/plan")
    def plan(typed: Typed) -> Response:
        try:
            job = worker.start(_job(data, typed))
        except RimwiseError as error:
            return _form(data, typed, told_wrong(error))
        return RedirectResponse(f"/job/{job.id}", 303)


def _job(data: Path, typed: Mapping[str, str]) -> Job:
    """Return the job that a form asks for; what can be said at once is said now."""
    from rimwise.app.asking import Asked
    from rimwise.app.box import disc_named, pick

    asked, wanted = asked_in(typed, Asked()), typed.get("conditions", "")
    with open_store(data) as store:
        pick(store.throwers, "thrower", None)
        pick(store.courses, "course", typed.get("course") or None)
        names = list(store.conditions.keys()) if wanted == EACH else [wanted]
        for name in names:
            store.conditions.get(name)
        for disc in (*asked.must, *asked.never, *asked.liked):
            disc_named(store, disc)
        with about("putting"):
            if asked.putting:
                disc_named(store, asked.putting)
        with about("cart"):
            if asked.cart:
                pick(store.carts, "cart", asked.cart)
    if not names:
        raise InputError("There is no weather to plan for yet; add a day on the page Weather.")

    def work(store: Store, progress: Any) -> None:
        from rimwise.app.planning import make_plan

        for place, name in enumerate(names):
            wishes = asked_in(typed, _kept(store, name))
            if place > 0:
                wishes = replace(wishes, keep=names[place - 1])

            def told(what: str, share: float, at: int = place) -> None:
                said = what if len(names) == 1 else f"{names[at]}: {what}"
                progress(said, (at + share) / len(names))

            make_plan(store, name, wishes, course=typed.get("course") or None, progress=told)

    title = "Planning " + ", then ".join(names)
    ends_at = f"/?plan={quote(names[-1])}"
    said = {name: value for name, value in typed.items() if value}
    job = Job(f"plan {sorted(said.items())}", title, "/plan", ends_at, typed, work)
    if len(names) > 1:
        job.cancelled = "what was chosen until then is kept, the rest is as it was"
    return job


def _kept(store: Store, conditions: str) -> Asked:
    """Return the wishes of the last plan: those that the form does not show stay in force."""
    from rimwise.app.asking import Asked, load_asked

    try:
        return load_asked(store, conditions)
    except RimwiseError:
        return Asked()


def _last_asked(data: Path, conditions: str, *, fresh: bool) -> dict[str, str]:
    """Return the form with the wishes of the last plan of some conditions, or with none."""
    from rimwise.app.asking import Asked
    from rimwise.app.box import available_discs

    with open_store(data) as store:
        asked = Asked() if fresh else _kept(store, conditions)
        at_hand = len(available_discs(store))
        if asked.limit == Asked().limit and at_hand:
            asked = replace(asked, limit=min(asked.limit, at_hand))
        return typed_of(asked, list(store.carts.keys())) | {"conditions": conditions}


def _form(
    data: Path, typed: Mapping[str, str], errors: Mapping[str, str], status: int = 400
) -> Response:
    from rimwise.app.showing import disc_rows

    with open_store(data) as store:
        fields = wish_fields(store)
        return page(
            "plan", title="Plan", status=status, typed=typed, errors=errors,
            rows=disc_rows(store), conditions=list(store.conditions.keys()),
            courses=list(store.courses.keys()), thrower=len(store.throwers) > 0, each=EACH,
            fields=fields, disc_wishes=DISC_WISHES,
            wished=any(typed.get(one.name) for one in fields) or bool({*errors} - {"", "limit"}),
        )  # fmt: skip
