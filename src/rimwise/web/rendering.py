"""Pages from templates: everything put into one is escaped."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from functools import cache
from importlib import resources
from typing import Annotated

from fastapi import Depends, Request
from fastapi.responses import HTMLResponse
from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from rimwise.errors import InputError
from rimwise.records.words import surface
from rimwise.web.once import new_token
from rimwise.web.wording import in_page_words

__all__ = ["Typed", "asset", "drawing", "in_page_words", "page", "whole_number"]


async def _typed(request: Request) -> dict[str, str]:
    """Return what was typed into a form; files are no part of these forms."""
    form = await request.form(max_files=0, max_fields=400)
    return {name: value.strip() for name, value in form.items() if isinstance(value, str)}


Typed = Annotated[dict[str, str], Depends(_typed)]


@cache
def _templates() -> Environment:
    environment = Environment(
        loader=PackageLoader("rimwise.web", "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        auto_reload=False,  # a program that runs keeps to the pages it began with
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.globals["once"] = lambda: f"once={new_token()}"
    environment.globals["asset"] = asset
    environment.filters["said"] = in_page_words
    environment.filters["surface"] = surface
    return environment


@cache
def asset(name: str) -> str:
    """Return the address of a static file; another one whenever its content is another."""
    content = resources.files("rimwise.web").joinpath("static", name).read_bytes()
    return f"/static/{name}?v={hashlib.sha256(content).hexdigest()[:12]}"


def page(template: str, /, *, title: str, status: int = 200, **values: object) -> HTMLResponse:
    """Return the page of one template."""
    text = _templates().get_template(f"{template}.html.j2").render(title=title, **values)
    return HTMLResponse(text, status)


def drawing(svg: str) -> Markup:
    """Return a drawing of ours to be put into a page as it is."""
    return Markup(svg)  # noqa: S704 - drawings have escaped their own text


def whole_number(typed: Mapping[str, str], field: str, what: str, low: int, high: int) -> int:
    """Return a number that was typed.

    Raises
    ------
    InputError
        When it is no whole number from ``low`` to ``high``.
    """
    text = typed.get(field, "")
    plain = text.isascii() and text.isdigit() and len(text) < 10
    if not plain or not low <= int(text) <= high:
        raise InputError(
            f"{what} must be a whole number from {low} to {high}, but is {text[:40]!r}."
        )
    return int(text)
