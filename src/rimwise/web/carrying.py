"""Kept carries: listed, shown, kept for an occasion, and compared over the years."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from pathlib import Path

from fastapi import FastAPI, Response
from fastapi.responses import RedirectResponse

from rimwise.errors import InputError, RimwiseError
from rimwise.store.opening import open_store
from rimwise.store.store import Store
from rimwise.web.fields import Field, about, told_wrong
from rimwise.web.rendering import Typed, page

__all__ = ["add_carrying"]

_Typed = Mapping[str, str]


def add_carrying(app: FastAPI, data: Path) -> None:
    """Add the pages of kept carries."""

    @app.get("/carries")
    def carries(old: str = "", new: str = "") -> Response:
        from rimwise.app.carries import compare

        typed = {"old": old, "new": new}
        with open_store(data) as store:
            compared, errors = None, {}
            if old and new:
                try:
                    compared = compare(store, old, new)
                except RimwiseError as error:
                    errors = told_wrong(error)
            return _carries_page(store, typed, errors, compared=compared)

    @app.post("/carries")
    def keep(typed: Typed) -> Response:
        with open_store(data) as store:
            try:
                number = _keep(store, typed)
            except RimwiseError as error:
                return _carries_page(store, typed, told_wrong(error, "occasion"))
        return RedirectResponse(f"/carries/{number}", 303)

    @app.get("/carries/{number}")
    def one(number: int) -> Response:
        from rimwise.app.carries import shown

        with open_store(data) as store:
            found = shown(store, str(number))
        return page("carry", title=found.name, one=found)


def _keep(store: Store, typed: _Typed) -> int:
    from rimwise.app.box import disc_named
    from rimwise.app.carries import keep
    from rimwise.records.evidence_words import date_in

    today = date.today()
    with about("on"):
        on = date_in(typed["on"], None) if typed.get("on") else today
    discs = [part.strip() for part in typed.get("discs", "").split(",") if part.strip()]
    with about("discs"):
        for disc in discs:
            disc_named(store, disc)
        if not (discs or typed.get("like") or typed.get("mold")):
            raise InputError("No disc goes; choose an earlier carry, or name some discs here.")
    items = [line.strip() for line in typed.get("items", "").splitlines() if line.strip()]
    field = "items" if items else "occasion"
    with about("occasion" if not typed.get("occasion") else field):
        return keep(
            store, typed.get("occasion", ""), on=on, like=typed.get("like") or None, discs=discs,
            mold=typed.get("mold") or None, conditions=typed.get("conditions") or None,
            items=items, note=typed.get("note", ""),
        ).number  # fmt: skip


def _carries_page(
    store: Store, typed: _Typed, errors: Mapping[str, str], *, compared: object = None
) -> Response:
    from rimwise.app.carries import carry_lines
    from rimwise.app.showing import disc_rows

    lines = tuple(reversed(carry_lines(store)))
    named = tuple(
        (str(one.number), f"{one.name} of {one.on}, number {one.number}") for one in lines
    )
    molds = tuple((one, one) for one in sorted({disc.mold for disc in store.discs.all()}))
    weather = tuple((name, name) for name in store.conditions.keys())  # noqa: SIM118 - a shelf
    fields = (
        Field("occasion", "Occasion, such as club cup"),
        Field("like", "Start from", "select", (("", "nothing"), *named)),
        Field("discs", "Discs that go too, commas between", "disc"),
        Field("mold", "Every disc of this mold goes too", "select", (("", "none"), *molds)),
        Field("conditions", "Its weather", "select", (("", "that of the carry it starts from"),
                                                      *weather)),
        Field("items", "Things on the cart, one to a line, with mass and place in metres forward "
              "of the axle, left and up, as in cool box 2.5kg 0.10 0 0.35", "lines"),
        Field("on", "Day; today when left empty"),
        Field("note", "A note to keep with it"),
    )  # fmt: skip
    if len(lines) > 1 and not typed.get("old"):
        typed = {**typed, "old": str(lines[1].number)}
    pair = (
        Field("old", "From", "select", named),
        Field("new", "To", "select", named),
    )
    discs = [(row.disc_id, f"{row.mold}, {row.colour}") for row in disc_rows(store)]
    return page(
        "carries", title="Kept carries", status=400 if errors else 200, lines=lines, fields=fields,
        pair=pair, typed=typed, errors=errors, compared=compared, discs=discs,
    )  # fmt: skip
