"""The file for the phone: asked for, worked out in the background, then downloaded."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any
from urllib.parse import quote, urlencode

from fastapi import FastAPI, Request, Response
from fastapi.responses import RedirectResponse

from rimwise.app.phone_keeping import kept_file, made_file
from rimwise.errors import InputError, NotFoundError, RimwiseError
from rimwise.records.words import date_words, joined
from rimwise.store.opening import open_store
from rimwise.store.store import Store
from rimwise.web.keeping import RESTS_ON
from rimwise.web.rendering import Typed, in_page_words, page
from rimwise.web.working import Job, Worker

__all__ = ["add_phone"]


def add_phone(app: FastAPI, data: Path, worker: Worker) -> None:
    """Add the page that makes the file, and the file."""

    @app.get("/phone")
    def form(request: Request) -> Response:
        typed = dict(request.query_params)
        failed = typed.pop("job", "")
        if failed:
            job = worker.job(failed)
            return _page(data, worker, job.typed, in_page_words(InputError(job.error)), 400)
        return _page(data, worker, typed, "")

    @app.post("/phone")
    def make(typed: Typed) -> Response:
        try:
            with open_store(data) as store:
                plan, day = _asked(store, typed)
                kept = kept_file(store, plan, day)
                key = _key(store, plan, day)
            said = {"which": _called(plan, day)}
            shown = f"/phone?{urlencode(said)}"
            if kept is not None and not kept.changed:
                return RedirectResponse(shown, 303)

            def work(store: Store, progress: Any) -> str:
                return made_file(store, plan, day, today=date.today(), progress=progress)

            job = worker.start(
                Job(key, f"The file for the phone: {plan}", "/phone", shown, said, work)
            )  # fmt: skip
        except RimwiseError as error:
            return _page(data, worker, typed, in_page_words(error), 400)
        return RedirectResponse(f"/job/{job.id}", 303)

    @app.get("/phone/file")
    def file(which: str = "") -> Response:
        with open_store(data) as store:
            plan, day = _asked(store, {"which": which})
            # Where it could not be kept, the disk being full, the new one is still at hand.
            kept, made = kept_file(store, plan, day), worker.result(_key(store, plan, day))
            if kept is not None and (made is None or not kept.changed):
                made = kept.text()
        if made is None:
            raise NotFoundError("This file is not made yet; make it.")
        plain = re.sub(r"[^a-z0-9]+", "-", plan.lower()).strip("-") or "carry"
        named = f"rimwise-phone-{plain}.html"
        told = f"attachment; filename=\"{named}\"; filename*=UTF-8''{quote(named)}"
        return Response(
            made, media_type="text/html; charset=utf-8", headers={"Content-Disposition": told}
        )


@dataclass(frozen=True, slots=True)
class _Ready:
    """A file that can be saved, as the page tells of it."""

    which: str
    at: str
    size: str
    made_on: str
    changed: str


def _called(plan: str, day: str) -> str:
    return f"{plan}: {day}"


def _choices(store: Store) -> list[tuple[str, str]]:
    """Return what a file can be made for: plans and their kinds of day, the commonest first."""
    from rimwise.app.reports import plan_names

    found = []
    for plan in plan_names(store):
        if plan in store.conditions:
            weather = store.conditions.get(plan)
            shares = dict(zip((day.name for day in weather.days), weather.shares, strict=True))
            found += [(plan, day) for day in sorted(shares, key=lambda one: -shares[one])]
    return found


def _asked(store: Store, typed: Mapping[str, str]) -> tuple[str, str]:
    """Return the plan and the kind of day that are meant."""
    choices = _choices(store)
    if not choices:
        raise InputError("There is no carry yet; choose one on the page Plan first.")
    for plan, day in choices:
        if _called(plan, day) == typed.get("which"):
            return plan, day
    raise InputError("There is no such plan or day any more; choose another.")


def _key(store: Store, plan: str, day: str) -> str:
    """Return what a file is kept under; another one whenever anything on file changes."""
    return f"phone {plan!r} {day!r} {store.digest(RESTS_ON)}"


def _page(
    data: Path, worker: Worker, typed: Mapping[str, str], error: str, status: int = 200
) -> Response:
    which = typed.get("which", "")
    with open_store(data) as store:
        choices = _choices(store)
        found = [_ready(store, worker, plan, day) for plan, day in choices]
    ready = [one for one in found if one is not None]
    ready.sort(key=lambda one: one.which != which)
    return page(
        "phone", title="For the phone", status=status, error=error, which=which, ready=ready,
        choices=[_called(plan, day) for plan, day in choices],
    )  # fmt: skip


def _ready(store: Store, worker: Worker, plan: str, day: str) -> _Ready | None:
    """Tell of the file for a plan and a kind of day; ``None`` when it is not made."""
    which, kept = _called(plan, day), kept_file(store, plan, day)
    at = f"/phone/file?{urlencode({'which': which})}"
    made = worker.result(_key(store, plan, day))
    if kept is not None and (made is None or not kept.changed):
        size, made_on, changed = kept.size_bytes, date_words(kept.made_on), joined(kept.changed)
        return _Ready(which, at, f"{size / 1e6:.1f}", made_on, changed)
    return _Ready(which, at, f"{len(made.encode()) / 1e6:.1f}", "today", "") if made else None
