"""One page that shows the current carry, on this computer only."""

from __future__ import annotations

from pathlib import Path

from fastapi import FastAPI, Request, Response
from fastapi.responses import HTMLResponse
from starlette.middleware.trustedhost import TrustedHostMiddleware

from rimwise.app.reports import plan_names
from rimwise.app.sheets import sheet_of
from rimwise.errors import NotFoundError, RimwiseError
from rimwise.store.opening import open_store

__all__ = ["build_app", "serve_on"]

#: Only this computer is answered, whatever name the network has for it.
HOSTS = ["127.0.0.1", "localhost", "[::1]"]
#: Nothing is fetched from anywhere and no script runs.
POLICY = (
    "default-src 'none'; style-src 'unsafe-inline'; img-src data:; "
    "frame-ancestors 'none'; base-uri 'none'; form-action 'none'"
)


def build_app(data: Path) -> FastAPI:
    """Return the application that reads one data file."""
    app = FastAPI(title="Rimwise", docs_url=None, redoc_url=None, openapi_url=None)
    app.add_middleware(TrustedHostMiddleware, allowed_hosts=HOSTS)

    @app.middleware("http")
    async def careful(request: Request, call_next):  # type: ignore[no-untyped-def]
        answer: Response = await call_next(request)
        answer.headers["Content-Security-Policy"] = POLICY
        answer.headers["X-Content-Type-Options"] = "nosniff"
        answer.headers["Referrer-Policy"] = "no-referrer"
        answer.headers["Cache-Control"] = "no-store"
        return answer

    @app.get("/", response_class=HTMLResponse)
    def carry(plan: str | None = None, since: str | None = None) -> HTMLResponse:
        """Show the sheet of the latest plan, or of the conditions named in the address."""
        try:
            with open_store(data) as store:
                if plan is None and not plan_names(store):
                    return HTMLResponse(_message("Nothing is planned yet.", _FIRST_STEPS))
                return HTMLResponse(sheet_of(store, plan, since))
        except NotFoundError as error:
            return HTMLResponse(_message("Not found.", str(error)), status_code=404)
        except RimwiseError as error:
            return HTMLResponse(_message("That did not work.", str(error)), status_code=500)

    return app


_FIRST_STEPS = (
    "Bring your discs, a course and some weather with `rimwise import`, "
    "then run `rimwise plan` and load this page again."
)


def _message(title: str, text: str) -> str:
    from markupsafe import escape

    return (
        "<!doctype html><html lang=en><meta charset=utf-8>"
        "<meta name=viewport content='width=device-width, initial-scale=1'>"
        f"<title>Rimwise</title><body style='font:1.1rem/1.5 system-ui;max-width:36em;"
        f"margin:2rem auto;padding:0 1rem'><h1>{escape(title)}</h1><p>{escape(text)}</p>"
    )


def serve_on(data: Path, port: int) -> None:
    """Serve the page on the loopback address until stopped."""
    import uvicorn

    uvicorn.run(build_app(data), host="127.0.0.1", port=port, log_level="warning")
