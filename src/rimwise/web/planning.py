"""Planning in the browser: the form, the job's page, and cancelling."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any
from urllib.parse import quote, urlencode

from fastapi import FastAPI, Request, Response
from fastapi.responses import RedirectResponse

from rimwise.errors import InputError, RimwiseError
from rimwise.store.opening import open_store
from rimwise.store.store import Store
from rimwise.web.rendering import Typed, in_page_words, page, whole_number
from rimwise.web.working import Job, Worker

if TYPE_CHECKING:
    from rimwise.app.asking import Asked

__all__ = ["EACH", "add_planning"]

#: What is chosen to plan every season, each changing as little as it can from the one before.
EACH = "*"
_GOES, _STAYS = "goes", "stays"


def add_planning(app: FastAPI, data: Path, worker: Worker) -> None:
    """Add the pages about planning."""

    @app.get("/plan")
    def form(conditions: str = "", job: str = "") -> Response:
        if job:
            failed = worker.job(job)
            return _form(data, failed.typed, in_page_words(InputError(failed.error)), 200)
        return _form(data, _last_asked(data, conditions), "", 200)

    @app.post("/plan")
    def plan(typed: Typed) -> Response:
        try:
            job = worker.start(_job(data, typed))
        except RimwiseError as error:
            return _form(data, typed, in_page_words(error), 400)
        return RedirectResponse(f"/job/{job.id}", 303)

    @app.get("/job/{job_id}")
    def working(job_id: str, request: Request) -> Response:
        job = worker.job(job_id)
        if job.state in ("running", "cancelled"):
            return page("job", title=job.title, job=job)
        failed = job.state == "failed"
        to = f"{job.form}?{urlencode({'job': job.id})}" if failed else job.ends_at
        if "hx-request" in request.headers and "hx-boosted" not in request.headers:
            return Response(headers={"HX-Redirect": to})  # the poll would swap in a whole page
        return RedirectResponse(to, 303)

    @app.post("/job/{job_id}/cancel")
    def cancel(job_id: str) -> Response:
        worker.job(job_id).stop.set()
        return RedirectResponse(f"/job/{job_id}", 303)


def _asked(typed: Mapping[str, str]) -> Asked:
    from rimwise.app.asking import Asked

    discs = {name[5:]: value for name, value in typed.items() if name.startswith("disc:")}
    changes = (
        whole_number(typed, "changes", "Most changes", 0, 60) if typed.get("changes") else None
    )
    return Asked(
        limit=whole_number(typed, "limit", "Most discs", 1, 60),
        must=tuple(disc for disc, value in discs.items() if value == _GOES),
        never=tuple(disc for disc, value in discs.items() if value == _STAYS),
        changes=changes,
    )


def _job(data: Path, typed: Mapping[str, str]) -> Job:
    """Return the job that a form asks for; what can be said at once is said now."""
    from rimwise.app.box import disc_named, pick

    asked, wanted = _asked(typed), typed.get("conditions", "")
    with open_store(data) as store:
        pick(store.throwers, "thrower", None)
        pick(store.courses, "course", typed.get("course") or None)
        names = list(store.conditions.keys()) if wanted == EACH else [wanted]
        for name in names:
            store.conditions.get(name)
        for disc in (*asked.must, *asked.never):
            disc_named(store, disc)
    if not names:
        raise InputError("There is no weather to plan for yet; add a day on the page Weather.")

    def work(store: Store, progress: Any) -> None:
        from rimwise.app.planning import make_plan

        for place, name in enumerate(names):
            keep = asked.keep if place == 0 else names[place - 1]
            wishes = replace(
                _kept(store, name), limit=asked.limit, must=asked.must, never=asked.never,
                changes=asked.changes, keep=keep,
            )  # fmt: skip

            def told(what: str, share: float, at: int = place) -> None:
                progress(f"{names[at]}: {what}", (at + share) / len(names))

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


def _last_asked(data: Path, conditions: str) -> dict[str, str]:
    """Return the form as it was sent for the last plan of some conditions."""
    from rimwise.app.asking import load_asked

    with open_store(data) as store:
        try:
            asked = load_asked(store, conditions)
        except RimwiseError:
            return {"limit": "20", "conditions": conditions}
    typed = {"limit": str(asked.limit), "conditions": conditions}
    if asked.changes is not None:
        typed["changes"] = str(asked.changes)
    typed |= {f"disc:{disc}": _GOES for disc in asked.must}
    return typed | {f"disc:{disc}": _STAYS for disc in asked.never}


def _form(data: Path, typed: Mapping[str, str], error: str, status: int) -> Response:
    from rimwise.app.showing import disc_rows

    with open_store(data) as store:
        return page(
            "plan", title="Plan", status=status, typed=typed, error=error, rows=disc_rows(store),
            conditions=list(store.conditions.keys()), courses=list(store.courses.keys()),
            thrower=len(store.throwers) > 0, each=EACH,
        )  # fmt: skip
