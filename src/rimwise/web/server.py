"""The pages, on this computer only: thin faces over the use cases."""

from __future__ import annotations

from datetime import date, datetime
from pathlib import Path
from typing import Any
from urllib.parse import quote

from fastapi import FastAPI, Request, Response
from fastapi.responses import HTMLResponse, RedirectResponse
from fastapi.staticfiles import StaticFiles
from starlette.exceptions import HTTPException
from starlette.middleware.trustedhost import TrustedHostMiddleware

from rimwise.errors import InputError, NotFoundError, RimwiseError
from rimwise.records.discs import Status
from rimwise.records.words import date_words
from rimwise.store.opening import open_store
from rimwise.store.store import Store
from rimwise.web.editing import CHANGEABLE, StaleError, save_disc, version_of
from rimwise.web.guarding import HOSTS, Guard
from rimwise.web.once import Once
from rimwise.web.planning import add_planning
from rimwise.web.reading import add_reading
from rimwise.web.rendering import Typed, drawing, in_page_words, page
from rimwise.web.starting import add_starting, is_empty
from rimwise.web.working import Worker

__all__ = ["build_app", "serve_on"]

#: The sheet is one file with its style inside; it runs no script.
_SHEET_POLICY = (
    "default-src 'none'; style-src 'unsafe-inline'; img-src data:; "
    "frame-ancestors 'none'; base-uri 'none'; form-action 'none'"
)


def build_app(data: Path) -> FastAPI:
    """Return the application over one data file."""
    app = FastAPI(title="Rimwise", docs_url=None, redoc_url=None, openapi_url=None)
    app.add_middleware(Once)
    app.add_middleware(TrustedHostMiddleware, allowed_hosts=HOSTS)
    app.add_middleware(Guard)
    app.mount("/static", StaticFiles(packages=[("rimwise.web", "static")]), name="static")
    _answer_errors(app)
    _show_pages(app, data)
    _take_changes(app, data)
    worker = Worker(data)
    add_planning(app, data, worker)
    add_starting(app, data)
    add_reading(app, data, worker)
    return app


def _answer_errors(app: FastAPI) -> None:
    @app.exception_handler(RimwiseError)
    def trouble(_request: Request, error: Exception) -> Response:
        status = 404 if isinstance(error, NotFoundError) else 400
        if not isinstance(error, (InputError, NotFoundError)):
            status = 500
        title = "Not found" if status == 404 else "That did not work"
        return page("message", title=title, status=status, text=str(error))

    @app.exception_handler(HTTPException)
    def refused(_request: Request, error: Exception) -> Response:
        assert isinstance(error, HTTPException)  # noqa: S101 - registered for no other
        text = "There is no such page." if error.status_code == 404 else error.detail
        return page("message", title="No page", status=error.status_code, text=text)


def _show_pages(app: FastAPI, data: Path) -> None:
    @app.get("/")
    def home(plan: str | None = None) -> Response:
        from rimwise.app.explaining import explain
        from rimwise.app.reports import load_plan, plan_names

        with open_store(data) as store:
            names = plan_names(store)
            if plan is None and is_empty(store):
                return RedirectResponse("/start", 303)
            if plan is None and not names:
                return page("unplanned", title="No carry yet")
            made = load_plan(store, plan)
            reasons = explain(store, None, made.conditions)
        purposes = {one.disc_id: one for one in made.purposes}
        unsure = [
            one.disc_id
            for one in made.purposes
            if one.stand_in_cost is not None and one.stand_in_cost < 2.0 * one.stand_in_se
        ]
        return page(
            "home", title=f"Carry for {made.conditions}", plan=made, names=names,
            on=date_words(made.on), reasons=reasons, purposes=purposes, unsure=unsure,
            curve=_curve(made),
        )  # fmt: skip

    @app.get("/sheet")
    def sheet(plan: str | None = None, since: str | None = None) -> Response:
        from rimwise.app.sheets import sheet_of

        with open_store(data) as store:
            text = sheet_of(store, plan, since)
        return HTMLResponse(text, headers={"Content-Security-Policy": _SHEET_POLICY})

    @app.get("/discs")
    def discs(everything: bool = False) -> Response:
        from rimwise.app.showing import disc_rows

        with open_store(data) as store:
            rows = disc_rows(store, everything=everything)
        return page("discs", title="Discs", rows=rows, everything=everything)

    @app.get("/disc/{name:path}")
    def disc(name: str) -> Response:
        with open_store(data) as store:
            found = store.discs.get(name)
            why = _why(store, found.id)
        return _disc_page(found.id, _fields(found), version_of(found), why=why)

    @app.get("/weather")
    def weather() -> Response:
        return _weather_page(data, {}, "")

    @app.get("/pack")
    def pack(plan: str | None = None) -> Response:
        from rimwise.app.packing import make_packing

        with open_store(data) as store:
            report = make_packing(store, plan)
        return page("pack", title=f"Cart for {report.conditions}", report=report)

    @app.get("/log")
    def log(kept: str = "") -> Response:
        return _log_page(data, {}, {}, kept=kept)


def _take_changes(app: FastAPI, data: Path) -> None:
    @app.post("/disc/{name:path}")
    def change(name: str, typed: Typed) -> Response:
        with open_store(data) as store:
            found = store.discs.get(name)
            try:
                save_disc(store, name, typed, date.today())
            except StaleError:
                return _disc_page(
                    name, {**_fields(found), **typed}, version_of(found), status=409,
                    now=_fields(found),
                )  # fmt: skip
            except RimwiseError as error:
                shown = {**_fields(found), **typed}
                return _disc_page(
                    name, shown, typed.get("version", ""), error=str(error), status=400
                )
        return RedirectResponse(f"/disc/{quote(name)}", 303)

    @app.post("/weather")
    def new_weather(typed: Typed) -> Response:
        from rimwise.app.weather import days_from_words

        name, words = typed.get("name", ""), typed.get("words", "")
        with open_store(data) as store:
            try:
                if not name:
                    raise InputError("the days need a name; write one such as league nights.")
                if name in store.conditions.keys():  # noqa: SIM118 - a shelf has no other way
                    raise InputError(f"{name!r} is on file already; give another name.")
                days_from_words(store, words, name, wind_from=typed.get("from", ""))
            except RimwiseError as error:
                return _weather_page(data, typed, in_page_words(error))
        return RedirectResponse("/weather", 303)

    @app.post("/log/throw")
    def throw(typed: Typed) -> Response:
        from rimwise.app.box import disc_named
        from rimwise.app.noting import When, note_throw

        with open_store(data) as store:
            try:
                disc_named(store, typed.get("disc", ""))
            except RimwiseError as error:
                return _log_page(data, typed, {"disc": str(error)})
            try:
                when = When(date.today(), typed.get("on") or None)
                noted = note_throw(store, typed["disc"], typed.get("text", ""), when)
            except RimwiseError as error:
                return _log_page(data, typed, {"text": str(error)})
        return RedirectResponse(f"/log?kept={noted.id}", 303)

    @app.post("/log/comparison")
    def comparison(typed: Typed) -> Response:
        from rimwise.app.noting import When, note_comparison

        with open_store(data) as store:
            try:
                noted = note_comparison(store, typed.get("words", ""), When(date.today()))
            except RimwiseError as error:
                return _log_page(data, typed, {"words": str(error)})
        return RedirectResponse(f"/log?kept={noted.id}", 303)

    @app.post("/log/delete")
    def delete(typed: Typed) -> Response:
        from rimwise.app.noted import delete_evidence

        with open_store(data) as store:
            delete_evidence(store, [typed.get("id", "")], datetime.now())
        return RedirectResponse("/log", 303)

    @app.post("/log/undelete")
    def undelete(typed: Typed) -> Response:
        from rimwise.app.noted import undelete_evidence

        with open_store(data) as store:
            undelete_evidence(store, [typed.get("id", "")], datetime.now())
        return RedirectResponse(f"/log?kept={quote(typed.get('id', ''))}", 303)


def _fields(disc: Any) -> dict[str, str]:
    return {name: str(getattr(disc, name)) for name in CHANGEABLE}


def _why(store: Store, disc: str) -> tuple[tuple[str, str], ...]:
    """Return for each plan whether a disc goes, and why."""
    from rimwise.app.explaining import explain
    from rimwise.app.reports import plan_names

    told = []
    for name in plan_names(store):
        try:
            (reason,) = explain(store, disc, name)
        except InputError as error:  # it took no part in that plan
            told.append((name, in_page_words(error)))
        else:
            told.append((f"{name}: {'goes' if reason.goes else 'stays'}", reason.words))
    return tuple(told)


def _disc_page(
    name: str,
    fields: dict[str, str],
    version: str,
    *,
    error: str = "",
    now: dict[str, str] | None = None,
    why: tuple[tuple[str, str], ...] = (),
    status: int = 200,
) -> Response:
    return page(
        "disc", title=name, status=status, fields=fields, version=version, error=error, now=now,
        why=why, names=CHANGEABLE, statuses=[one.value for one in Status],
    )  # fmt: skip


def _log_page(
    data: Path, typed: dict[str, str], errors: dict[str, str], kept: str = ""
) -> Response:
    from rimwise.app.noted import list_evidence
    from rimwise.app.showing import disc_rows

    with open_store(data) as store:
        listed = list_evidence(store)
        deleted = list_evidence(store, deleted=True)
        discs = disc_rows(store)
    told = next((one for one in listed if one.id == kept), None)
    return page(
        "log", title="Log", status=400 if errors else 200, typed=typed, errors=errors, told=told,
        listed=listed[:100], deleted=deleted[:20], discs=discs,
    )  # fmt: skip


def _weather_page(data: Path, typed: dict[str, str], error: str) -> Response:
    from rimwise.app.weather import show_weather
    from rimwise.records.words import temperature, wind_words

    with open_store(data) as store:
        shown = show_weather(store) if len(store.conditions) else ()
    return page(
        "weather", title="Weather", status=400 if error else 200, shown=shown, typed=typed,
        error=error, temperature=temperature, wind_words=wind_words,
    )  # fmt: skip


def _curve(plan: Any) -> Any:
    from rimwise.pictures.curve import curve_svg

    return drawing(curve_svg(plan))


def serve_on(data: Path, port: int) -> None:
    """Serve the pages on the loopback address until stopped."""
    import uvicorn

    uvicorn.run(build_app(data), host="127.0.0.1", port=port, log_level="warning")
