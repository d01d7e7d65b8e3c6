"""A field session logged in seconds: choose the disc, tap where it came to rest, keep it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from pathlib import Path
from urllib.parse import urlencode

from fastapi import FastAPI, Response
from fastapi.responses import RedirectResponse

from rimwise.errors import InputError, RimwiseError
from rimwise.records.evidence import Throw
from rimwise.records.words import Units
from rimwise.store.opening import open_store
from rimwise.store.store import Store
from rimwise.web.fields import Field, FieldError, about, choice, labelled_in, length, told_wrong
from rimwise.web.logbook import newest_first
from rimwise.web.noting import FORMS
from rimwise.web.rendering import Typed, drawing, page

__all__ = ["add_fieldwork"]

#: What stays from throw to throw.
_STAYS = ("disc", "line", "conditions", "on")
_SIDES = {"L": "left", "R": "right"}
#: The map reaches this much past the driver's distance, metres; without a thrower this far.
_BEYOND_M, _USUAL_M = 20.0, 110.0
#: So many of the session's throws are listed.
_LISTED = 8


def add_fieldwork(app: FastAPI, data: Path) -> None:
    """Add the page of a field session; before the log's own, whose addresses it shares."""

    @app.get("/log/field")
    def field(
        disc: str = "", line: str = "", conditions: str = "", on: str = "", kept: str = "",
        gone: str = "",
    ) -> Response:  # fmt: skip
        typed = {"disc": disc, "line": line, "conditions": conditions, "on": on}
        return _field_page(data, typed, {}, kept=kept, gone=gone)

    @app.post("/log/field")
    def note(typed: Typed) -> Response:
        from rimwise.app.box import units_of

        with open_store(data) as store:
            try:
                noted = FORMS["throw"].keep(store, _as_throw(store, typed), date.today())
            except RimwiseError as error:
                wrong = told_wrong(error, units=units_of(store))
                if "text" in wrong:
                    wrong = {"distance": wrong["text"]}
                return _field_page(data, typed, wrong)
        stays = {name: typed[name] for name in _STAYS if typed.get(name)}
        return RedirectResponse(f"/log/field?{urlencode({**stays, 'kept': noted[-1].id})}", 303)


def _as_throw(store: Store, typed: Mapping[str, str]) -> dict[str, str]:
    """Return what the form of a throw takes for the same throw."""
    from rimwise.app.box import units_of
    from rimwise.app.noting import scope_of

    units = units_of(store)
    out_m = length(typed, "distance", "Distance", units, such="64")
    if out_m is None or out_m < 0.0:
        raise FieldError("distance", "How far it went is missing; tap the map, or write as in 64.")
    aside_m = length(typed, "aside", "Aside", units, such="5") or 0.0
    if aside_m < 0.0:
        raise FieldError("aside", "How far aside must not be below 0; choose the other side.")
    side = choice(typed, "side", "The side", _SIDES)
    with about("line"):
        said = scope_of(store, date.today()).throw_in(typed.get("line", ""))
        if said.says_where or said.weather is not None:
            raise InputError("Write only how you threw it here, as in fh hyzer 20 80%.")
    out, aside = (_with_unit(typed.get(name, ""), units) for name in ("distance", "aside"))
    rest = f"{out} {aside}{side}" if aside_m else f"{out} straight"
    kept = {name: typed[name] for name in ("disc", "conditions", "on", "anyway") if name in typed}
    return kept | {"text": f"{rest} {typed.get('line', '')}"}


def _with_unit(text: str, units: Units) -> str:
    """Return a length as it was typed, in one word and with its unit."""
    bare = text.replace(" ", "").replace(",", ".")
    return f"{bare}{units}" if bare[-1:].isdigit() else bare


def _field_page(
    data: Path,
    typed: Mapping[str, str],
    errors: Mapping[str, str],
    *,
    kept: str = "",
    gone: str = "",
) -> Response:
    from rimwise.app.box import units_of
    from rimwise.app.noted import list_evidence
    from rimwise.app.showing import disc_rows

    today = date.today()
    with open_store(data) as store:
        units = units_of(store)
        thrown = store.throws.where('"on" = ?', (today.isoformat(),))
        listed = newest_first(list_evidence(store, kind="throw", since=today))
        deleted = list_evidence(store, kind="throw", deleted=True)
        far_m = max((s.fairway_distance_m for t in store.throwers.all() for s in t.styles),
                    default=_USUAL_M - _BEYOND_M) + _BEYOND_M  # fmt: skip
        discs = tuple(
            (row.disc_id, f"{row.disc_id} · {row.mold}, {row.colour or row.plastic}")
            for row in disc_rows(store)
        )
        days = [(day.name, kind.name) for kind in store.conditions.all() for day in kind.days]
    far_m = max([far_m, *(one.distance_m + 5.0 for _, one in thrown)])
    chosen = typed.get("disc") or (thrown[-1][1].disc_id if thrown else "")
    fields = labelled_in(units, _fields(discs, anyway=bool(errors)))
    told = next((one for one in listed if one.id == kept), None)
    return page(
        "field", title="Field session", status=400 if errors else 200, units=units, errors=errors,
        typed={"side": "L", **typed, "disc": chosen}, disc=fields[0], where=fields[1:4],
        more=fields[4:], told=told, removed=next((one for one in deleted if one.id == gone), None),
        listed=listed[:_LISTED], count=len(listed), days=days,
        picture=drawing(_map(thrown, chosen, min(far_m, 300.0), units)),
        open=bool(typed.get("line") or typed.get("conditions") or typed.get("on") or errors),
    )  # fmt: skip


def _fields(discs: tuple[tuple[str, str], ...], *, anyway: bool) -> tuple[Field, ...]:
    rest: tuple[Field, ...] = (
        Field("line", "How you threw it, if not your stock throw, as in fh hyzer 20 80%"),
        Field("conditions", "Weather: a day on file, or words as in 4C wet wind 5m/s from the left",
              "day"),
        Field("on", "Day; today when left empty"),
    )  # fmt: skip
    if anyway:
        told = "Take it although it is that long or wide"
        rest = (*rest, Field("anyway", told, "select", (("", "no"), ("yes", "yes"))))
    return (
        Field("disc", "Disc", "select", discs),
        Field("distance", "Distance", "decimal"),
        Field("aside", "Aside", "decimal"),
        Field("side", "Side", "select", tuple(_SIDES.items())),
        *rest,
    )


def _map(thrown: Sequence[tuple[int, Throw]], chosen: str, far_m: float, units: str) -> str:
    from rimwise.pictures.field_map import FieldMark, field_map_svg
    from rimwise.records.words import check_units

    marks = [
        FieldMark(f"t{number}", one.distance_m, one.left_m, one.disc_id == chosen)
        for number, one in thrown
    ]
    return field_map_svg(marks, far_m, check_units(units))
