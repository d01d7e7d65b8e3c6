"""The pages, on this computer only: thin faces over the use cases."""

from __future__ import annotations

import os
import socket
from collections.abc import Callable, Iterable, MutableMapping
from contextlib import suppress
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any
from urllib.parse import quote

from fastapi import FastAPI, Request, Response
from fastapi.responses import HTMLResponse, RedirectResponse
from fastapi.staticfiles import StaticFiles
from starlette.exceptions import HTTPException
from starlette.middleware.trustedhost import TrustedHostMiddleware

from rimwise.errors import InputError, NotFoundError, RimwiseError
from rimwise.records.words import date_words
from rimwise.store.opening import open_store
from rimwise.web.arenas import share_one_arena
from rimwise.web.backing import BackUp, add_backing
from rimwise.web.cart_editing import add_cart_editing
from rimwise.web.course_facts import add_course_facts
from rimwise.web.courses import add_courses
from rimwise.web.guarding import HOSTS, Guard
from rimwise.web.jobs import add_jobs
from rimwise.web.keeping import Kept
from rimwise.web.once import Once
from rimwise.web.packed import add_packed
from rimwise.web.pages import add_pages
from rimwise.web.pairing import add_pairing
from rimwise.web.phone import add_phone
from rimwise.web.planning import add_planning
from rimwise.web.reading import add_reading
from rimwise.web.rendering import drawing, in_page_words, page
from rimwise.web.sharing import Gate, Sharing
from rimwise.web.starting import add_starting, is_empty
from rimwise.web.warming import warm_up
from rimwise.web.working import Worker

if TYPE_CHECKING:
    import uvicorn

    from rimwise.decide.report import DiscLine, PlanReport

__all__ = ["build_app", "listening", "serve_on", "server_of"]

#: The sheet is one file with its style inside; it runs no script.
_SHEET_POLICY = (
    "default-src 'none'; style-src 'unsafe-inline'; img-src data:; "
    "frame-ancestors 'none'; base-uri 'none'; form-action 'none'"
)

#: What any page may answer beside itself, for the schema.
_ANSWERS: dict[int | str, dict[str, Any]] = {
    303: {"description": "Done, or found: leads on to a page."},
    400: {"description": "Not understood: the page says what is wrong and what to type."},
    404: {"description": "No such page or record."},
    409: {"description": "Changed elsewhere meanwhile: both versions are shown."},
    413: {"description": "More than a page takes."},
}


def build_app(data: Path, sharing: Sharing | None = None) -> FastAPI:
    """Return the application over one data file, shared on the home network or not."""
    app = FastAPI(
        title="Rimwise", docs_url=None, redoc_url=None, openapi_url=None, responses=_ANSWERS
    )
    app.add_middleware(BackUp, data=data)
    app.add_middleware(Once)
    if sharing is not None:
        app.add_middleware(Gate, devices=sharing.devices)
    shared = [] if sharing is None else [sharing.address]
    app.add_middleware(TrustedHostMiddleware, allowed_hosts=[*HOSTS, *shared])
    app.add_middleware(Guard)
    app.mount("/static", _Lasting(packages=[("rimwise.web", "static")]), name="static")
    _answer_errors(app)
    _show_pages(app, data)
    worker = Worker(data)
    app.state.worker = worker
    add_jobs(app, worker)
    add_planning(app, data, worker)
    add_starting(app, data)
    add_reading(app, data, worker)
    add_pages(app, data, worker)
    add_courses(app, data)
    add_course_facts(app, data)
    add_packed(app, data)
    add_cart_editing(app, data)
    add_backing(app, data, worker)
    add_phone(app, data, worker)
    add_pairing(app, data, sharing)
    return app


class _Lasting(StaticFiles):
    """Static files that a browser keeps: one asked for by its version never changes."""

    def file_response(
        self,
        full_path: Any,
        stat_result: os.stat_result,
        scope: MutableMapping[str, Any],
        status_code: int = 200,
    ) -> Response:
        """Answer with the file."""
        answer = super().file_response(full_path, stat_result, scope, status_code)
        if scope["query_string"].startswith(b"v="):
            answer.headers["Cache-Control"] = "private, max-age=31536000, immutable"
        return answer


def _answer_errors(app: FastAPI) -> None:
    @app.exception_handler(RimwiseError)
    def trouble(_request: Request, error: Exception) -> Response:
        status = 404 if isinstance(error, NotFoundError) else 400
        if not isinstance(error, (InputError, NotFoundError)):
            status = 500
        title = "Not found" if status == 404 else "That did not work"
        return page("message", title=title, status=status, text=in_page_words(error))

    @app.exception_handler(HTTPException)
    def refused(_request: Request, error: Exception) -> Response:
        assert isinstance(error, HTTPException)  # noqa: S101 - registered for no other
        text = "There is no such page." if error.status_code == 404 else error.detail
        return page("message", title="No page", status=error.status_code, text=text)


def _show_pages(app: FastAPI, data: Path) -> None:
    kept = Kept()

    @app.get("/")
    def home(plan: str | None = None) -> Response:
        from rimwise.app.explaining import explain
        from rimwise.app.reports import load_plan, plan_names
        from rimwise.pictures.telling import Names, car_lines, wish_lines

        with open_store(data) as store:
            names = plan_names(store)
            if plan is None and is_empty(store):
                return RedirectResponse("/start", 303)
            if plan is None and not names:
                return page("unplanned", title="No carry yet")
            made = load_plan(store, plan)
            reasons = explain(store, None, made.conditions)
            status = {disc.id: disc.status for disc in store.discs.all()}
        called, purposes = Names.of(made), {one.disc_id: one for one in made.purposes}
        unsure = [
            one.disc_id
            for one in made.purposes
            if one.stand_in_cost is not None and one.stand_in_cost < 2.0 * one.stand_in_se
        ]
        away = [
            (disc, str(status.get(disc, "no longer on file")))
            for disc in made.chosen
            if disc not in status or not status[disc].available
        ]
        return page(
            "home", away=away, title=f"Carry for {made.conditions}", plan=made, names=names,
            on=date_words(made.on), reasons=reasons, purposes=purposes, unsure=unsure,
            roles=partial(_by_role, made), curve=_curve(made),
            wishes=wish_lines(made, called), car=car_lines(made, called),
        )  # fmt: skip

    @app.get("/sheet")
    def sheet(plan: str | None = None, since: str | None = None) -> Response:
        from rimwise.app.sheets import sheet_of

        of_plan = "" if plan is None else f"?plan={quote(plan)}"
        links = (
            (f"/{of_plan}", "Carry"), (f"/read/tee{of_plan}", "On the tee"),
            ("/phone", "Save for the phone"),
        )  # fmt: skip
        with open_store(data) as store:
            text = kept.made(
                store, ("sheet", plan, since), lambda: sheet_of(store, plan, since, links)
            )
        return HTMLResponse(text, headers={"Content-Security-Policy": _SHEET_POLICY})


def _by_role(plan: PlanReport, discs: Iterable[str]) -> list[tuple[str, list[DiscLine]]]:
    """Return discs of a plan by role, the slow ones first."""
    lines = sorted((plan.disc(disc) for disc in discs), key=lambda one: (one.printed, one.disc_id))
    roles = list(dict.fromkeys(line.role for line in lines))
    return [
        (f"{role[:1].upper()}{role[1:]}s", [line for line in lines if line.role == role])
        for role in roles
    ]


def _curve(plan: Any) -> Any:
    from rimwise.pictures.curve import curve_svg

    return drawing(curve_svg(plan))


def serve_on(data: Path, port: int, sharing: Sharing | None, *, ready: Callable[[], None]) -> None:
    """Serve the pages on the loopback address, and on a shared one, until stopped.

    Parameters
    ----------
    ready
        Called once, when browsers can connect and the first page has been drawn once.

    Raises
    ------
    InputError
        When the port is taken, or the shared address is not this computer's.
    """
    places = ["127.0.0.1"] if sharing is None else ["127.0.0.1", sharing.address]
    sockets = [listening(place, port) for place in places]
    share_one_arena()
    warm_up(port, ready)
    with suppress(KeyboardInterrupt):
        server_of(build_app(data, sharing)).run(sockets=sockets)


def server_of(app: FastAPI) -> uvicorn.Server:
    """Return what serves the application, and stops though pages still wait for something."""
    import uvicorn

    class Server(uvicorn.Server):
        async def shutdown(self, sockets: list[socket.socket] | None = None) -> None:
            app.state.worker.close()  # or its streams would keep the server from ending
            await super().shutdown(sockets)

    # What a request says of the way it came is not believed: no proxy stands before us.
    return Server(
        uvicorn.Config(app, log_level="warning", proxy_headers=False, server_header=False)
    )


def listening(address: str, port: int) -> socket.socket:
    """Return a socket that takes connections at an address of this computer.

    Raises
    ------
    InputError
        When the port is taken, or the address is not this computer's.
    """
    try:
        return socket.create_server((address, port), backlog=128)
    except OSError as error:
        raise InputError(
            f"the pages cannot be served at {address}, port {port} ({error.strerror}); choose "
            "another with --port, or look whether `rimwise serve` runs already."
        ) from None
