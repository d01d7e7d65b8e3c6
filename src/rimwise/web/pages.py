"""Pages of what the owner has, sees and assumes, put together."""

from __future__ import annotations

from pathlib import Path

from fastapi import FastAPI, Request, Response
from fastapi.exceptions import RequestValidationError

from rimwise.web.carrying import add_carrying
from rimwise.web.carting import add_carting
from rimwise.web.conditions import add_conditions
from rimwise.web.discs import add_discs
from rimwise.web.fieldwork import add_fieldwork
from rimwise.web.helping import add_helping
from rimwise.web.logbook import add_logbook
from rimwise.web.rendering import page
from rimwise.web.settings import add_settings
from rimwise.web.working import Worker

__all__ = ["add_pages"]


def add_pages(app: FastAPI, data: Path, worker: Worker) -> None:
    """Add them all."""
    add_discs(app, data, worker)
    add_carting(app, data)
    add_conditions(app, data)
    add_carrying(app, data)
    add_fieldwork(app, data)
    add_logbook(app, data)
    add_settings(app, data)
    add_helping(app, data)

    @app.exception_handler(RequestValidationError)
    def not_understood(_request: Request, _error: Exception) -> Response:
        text = "This address is not understood; go on from one of the pages above."
        return page("message", title="No page", status=400, text=text)
