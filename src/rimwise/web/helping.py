"""Help inside the pages: how to begin, a field session, the cart, what is assumed, cautions."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from fastapi import FastAPI, Response

from rimwise.errors import NotFoundError
from rimwise.store.opening import open_store
from rimwise.web.rendering import page

__all__ = ["HELP", "add_helping"]

#: The pages by their place in an address: (title, what it is about).
HELP: Mapping[str, tuple[str, str]] = {
    "start": ("A ten-minute start", "From nothing to a carry that you believe."),
    "field": ("How to run a field session", "Ten throws in three minutes, and what they teach."),
    "cart": ("How to measure your cart", "Three weighings and a ruler: then its tipping is known."),
    "assumed": ("What is assumed", "What nobody measured, and how to change it."),
    "words": ("Words used here", "Carry, ladder, line and the rest, each in a sentence."),
    "cautions": ("Cautions", "For people first, then for shoulders, water, ice and carts."),
}  # fmt: skip


def add_helping(app: FastAPI, data: Path) -> None:
    """Add the pages of help."""

    @app.get("/help")
    def contents() -> Response:
        return page("help", title="Help", pages=HELP)

    @app.get("/help/{name}")
    def read(name: str) -> Response:
        from rimwise.app.box import units_of

        if name not in HELP:
            raise NotFoundError("There is no such page of help.")
        with open_store(data) as store:
            feet = units_of(store) == "ft"
        return page(f"help_{name}", title=HELP[name][0], feet=feet)
