"""The pages that let a phone in and send it away again."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Any

from fastapi import FastAPI, Response
from fastapi.responses import RedirectResponse

from rimwise.app.devices import LASTS_DAYS, Devices
from rimwise.errors import NotFoundError
from rimwise.records.words import date_words
from rimwise.web.rendering import Typed, drawing, page
from rimwise.web.sharing import COOKIE, PLAIN_HTTP, Sharing, TooManyError, in_two

__all__ = ["add_pairing"]


def add_pairing(app: FastAPI, data: Path, sharing: Sharing | None) -> None:
    """Add the page of paired devices and, where the pages are shared, the one that pairs."""
    devices = Devices(data)

    @app.get("/devices")
    def listed() -> Response:
        code = _shown(sharing) if sharing is not None else None
        return page(
            "devices", title="Your phone", devices=devices.all(), date_words=date_words,
            shared=sharing, code=code, plain_http=PLAIN_HTTP,
        )  # fmt: skip

    @app.post("/devices/code")
    def another() -> Response:
        if sharing is None:
            raise NotFoundError("Nothing is shared; start `rimwise serve --share`.")
        sharing.codes.new()
        return RedirectResponse("/devices", 303)

    @app.post("/devices/revoke")
    def revoke(typed: Typed) -> Response:
        devices.revoke(typed.get("id", ""))
        return RedirectResponse("/devices", 303)

    if sharing is not None:
        _add_pair(app, sharing)


def _add_pair(app: FastAPI, sharing: Sharing) -> None:
    @app.get("/pair")
    def ask(code: str = "") -> Response:
        return _pair_page({"code": code}, "")

    @app.post("/pair")
    def pair(typed: Typed) -> Response:
        try:
            paired = sharing.pair(typed.get("code", ""), typed.get("name", ""), date.today())
        except TooManyError as error:
            answer = _pair_page(typed, str(error), 429)
            answer.headers["Retry-After"] = "60"
            return answer
        if paired is None:
            told = (
                "That code does not work: it was mistyped, used already, or its five minutes are "
                "over. Make another on the computer, on the page Your phone. If someone else used "
                "it, revoke that device there."
            )
            return _pair_page({**typed, "code": ""}, told, 400)
        answer = RedirectResponse("/", 303)
        answer.set_cookie(
            COOKIE, paired[1], max_age=LASTS_DAYS * 86_400, path="/", httponly=True,
            samesite="strict",
        )  # fmt: skip
        return answer


def _pair_page(typed: dict[str, str], error: str, status: int = 200) -> Response:
    return page(
        "pair", title="Pair this device", status=status, typed=typed, error=error,
        plain_http=PLAIN_HTTP,
    )  # fmt: skip


def _shown(sharing: Sharing) -> dict[str, Any] | None:
    """Return the code that works now, to be scanned or typed."""
    import segno

    found = sharing.codes.open_code()
    if found is None:
        return None
    code, until = found
    qr = segno.make(sharing.link(code), error="m")
    return {
        "typed": in_two(code),
        "until": f"{until:%H:%M}",
        "picture": drawing(qr.svg_inline(scale=6, border=4, dark="#000", light="#fff")),
    }
