"""Settings: units, hand and arm, and every assumption with its value, unit and source."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import fields
from pathlib import Path
from typing import Any

from fastapi import FastAPI, Response
from fastapi.responses import RedirectResponse

from rimwise.errors import NotFoundError, RimwiseError
from rimwise.records.assumptions import Assumptions, assumption_table
from rimwise.records.thrower import Level, Style, Thrower
from rimwise.records.words import METRES_PER_FOOT, Units, check_units
from rimwise.store.opening import open_store
from rimwise.store.store import Store
from rimwise.web.assumed_units import AssumedUnit, unit_of
from rimwise.web.fields import (
    Field,
    FieldError,
    StaleError,
    about,
    decimal,
    length,
    mark_of,
    told_wrong,
)  # fmt: skip
from rimwise.web.rendering import Typed, page

__all__ = ["add_settings"]

_Typed = Mapping[str, str]

_UNITS = (("m", "metres, m/s and °C"), ("ft", "feet, miles an hour and °F"))
_HANDS = (("right", "right"), ("left", "left"))


def add_settings(app: FastAPI, data: Path) -> None:
    """Add the pages of settings."""

    @app.get("/settings")
    def settings(saved: bool = False) -> Response:
        with open_store(data) as store:
            return _settings_page(store, _values(store), {}, saved=saved)

    @app.post("/settings")
    def save(typed: Typed) -> Response:
        with open_store(data) as store, store.atomic():
            try:
                _save(store, typed)
            except StaleError:
                now = _values(store)
                labels = {one.name: one.label for one in _fields(store)}
                differing = [
                    (labels[name], now[name], typed[name])
                    for name in labels
                    if name in typed and typed[name] != now[name]
                ]
                return _settings_page(store, typed, {}, stale=differing)
            except RimwiseError as error:
                return _settings_page(store, typed, told_wrong(error))
        return RedirectResponse("/settings?saved=true", 303)

    @app.get("/settings/assumptions")
    def assumptions() -> Response:
        from rimwise.app.box import assumptions_of, units_of

        with open_store(data) as store:
            rows = assumption_table(assumptions_of(store))
            units = units_of(store)
        return page(
            "assumptions", title="What is assumed", rows=rows,
            unit={row["name"]: unit_of(row, units) for row in rows},
            changed=[row for row in rows if row["value"] != row["default"]],
        )  # fmt: skip

    @app.get("/settings/assumption/{name}")
    def assumption(name: str) -> Response:
        with open_store(data) as store:
            row = _row(store, name)
        return _assumption_page(row, {"value": row["shown"].shown(row["value"])}, {})

    @app.post("/settings/assumption/{name}")
    def change(name: str, typed: Typed) -> Response:
        with open_store(data) as store, store.atomic():
            row = _row(store, name)
            try:
                _change(store, row, typed)
            except StaleError:
                now = row["shown"].shown(row["value"])
                differing = [("Value", now, typed.get("value", ""))]
                return _assumption_page(row, typed, {}, stale=differing)
            except RimwiseError as error:
                return _assumption_page(row, typed, told_wrong(error, "value"))
        return RedirectResponse("/settings/assumptions", 303)


def _save(store: Store, typed: _Typed) -> None:
    """Save who throws and the units; a form sent again changes nothing more."""
    from rimwise.app.starting import change_thrower

    now = _values(store)
    if all(typed.get(name, value) == value for name, value in now.items()):
        return
    if typed.get("version") != _version(store):
        raise StaleError("the settings were changed elsewhere.")
    with about("units"):
        units = check_units(typed.get("units", ""))
    if not len(store.throwers):
        store.settings.put("units", units)
        return
    # Lengths on the page are in the units that it was made with, whatever is chosen now.
    shown = check_units(typed.get("shown_in", units))
    before = store.throwers.all()[0]
    reach = {style: _reach_m(typed, style, shown, before, now) for style in Style}
    if all(value is None for value in reach.values()):
        told = "Say how far you throw, backhand or forehand, such as 90."
        raise FieldError("backhand", told)
    thrown = "forehand" if before.stock.style is Style.FOREHAND else "backhand"
    with about(thrown if reach[before.stock.style] is None else "hand"):
        change_thrower(
            store, hand=typed.get("hand", ""), backhand_m=reach[Style.BACKHAND],
            forehand_m=reach[Style.FOREHAND], level=typed.get("level", now["level"]), units=units,
        )  # fmt: skip


def _reach_m(
    typed: _Typed, style: Style, units: Units, before: Thrower, now: _Typed
) -> float | None:
    """Return how far a style goes; what is shown rounded and left alone stays to the bit."""
    known = {skill.style: skill.fairway_distance_m for skill in before.styles}
    if typed.get(style.value, "") == now[style.value]:
        return known.get(style)
    what = f"How far you throw {style.value}"
    such = "90" if units == "m" else "300"
    length_m = length(typed, style.value, what, units, such=such)
    if length_m is None:
        return None
    if not 25.0 <= length_m <= 190.0:
        least, most = (25, 190) if units == "m" else (83, 623)
        raise FieldError(style.value, f"{what} must be from {least} to {most} {units}.")
    return length_m


def _values(store: Store) -> dict[str, str]:
    from rimwise.app.box import units_of

    units = units_of(store)
    values = {"units": str(units)}
    for thrower in store.throwers.all()[:1]:
        one_m = METRES_PER_FOOT if units == "ft" else 1.0
        reach = {skill.style: skill.fairway_distance_m / one_m for skill in thrower.styles}
        values["hand"] = thrower.hand.value
        for style in Style:
            values[style.value] = f"{reach[style]:.1f}".removesuffix(".0") if style in reach else ""
        values["level"] = thrower.styles[0].level.value
    return values


def _version(store: Store) -> str:
    return mark_of((store.settings.get("units", "m"), store.throwers.all()[:1]))


def _fields(store: Store) -> tuple[Field, ...]:
    from rimwise.app.box import units_of

    units = Field("units", "Show and take", "select", _UNITS)
    throwers = store.throwers.all()
    if not throwers:
        return (units,)
    called = "feet" if units_of(store) == "ft" else "metres"
    scatter = any(skill.scatter is not None for skill in throwers[0].styles)
    levels = tuple((one.value, one.value) for one in Level)
    return (
        units,
        Field("hand", "Throwing hand", "select", _HANDS),
        Field("backhand", f"How far your fairway driver goes backhand, {called}; empty when you "
              "throw none", "decimal"),
        Field("forehand", f"How far it goes forehand, {called}; empty when you throw none",
              "decimal"),
        *([] if scatter else [Field("level", "How well you play", "select", levels)]),
    )  # fmt: skip


def _settings_page(
    store: Store,
    typed: _Typed,
    errors: Mapping[str, str],
    *,
    stale: Sequence[tuple[str, str, str]] = (),
    saved: bool = False,
) -> Response:
    from rimwise.app.box import units_of

    return page(
        "settings", title="Settings", fields=_fields(store), typed=typed, errors=errors,
        stale=stale, saved=saved, version=_version(store), shown_in=units_of(store),
        thrower=[one.name for one in store.throwers.all()[:1]],
        status=409 if stale else 400 if errors else 200,
    )  # fmt: skip


# -- assumptions ----------------------------------------------------------------------------------


def _row(store: Store, name: str) -> dict[str, Any]:
    """Return one assumption with its limits, and the unit it is shown in."""
    from rimwise.app.box import assumptions_of, units_of

    for row in assumption_table(assumptions_of(store)):
        if row["name"] == name:
            limits = next(one.metadata for one in fields(Assumptions) if one.name == name)
            shown = unit_of(row, units_of(store))
            return {**row, "low": limits["low"], "high": limits["high"], "shown": shown}
    raise NotFoundError(f"There is no assumption {name!r}; the page Settings lists them.")


def _change(store: Store, row: Mapping[str, Any], typed: _Typed) -> None:
    from rimwise.app.box import set_assumption

    value = row["default"] if typed.get("reset") == "yes" else _typed_value(row, typed)
    if row["shown"].shown(value) == row["shown"].shown(row["value"]):
        return
    if typed.get("version") != mark_of(row["value"]):
        raise StaleError("this was changed elsewhere.")
    set_assumption(store, row["name"], value)


def _typed_value(row: Mapping[str, Any], typed: _Typed) -> float:
    shown: AssumedUnit = row["shown"]
    told = f"write a number from {shown.shown(row['low'])} to {shown.shown(row['high'])}"
    found = decimal(typed, "value", "The value", instead=told)
    if found is None:
        raise FieldError("value", f"The value is empty; {told}, or go back to the usual one below.")
    value = shown.kept(found)
    # The limits as they are shown are rounded; a number typed as told must be taken.
    for limit in (row["low"], row["high"]):
        if shown.shown(value) == shown.shown(limit):
            value = limit
    if not row["low"] <= value <= row["high"]:
        raise FieldError("value", f"The value cannot be {found:g}; {told}.")
    return value


def _assumption_page(
    row: Mapping[str, Any],
    typed: _Typed,
    errors: Mapping[str, str],
    *,
    stale: Sequence[tuple[str, str, str]] = (),
) -> Response:
    shown: AssumedUnit = row["shown"]
    unit = f", {shown.name}" if shown.name else ""
    limits = f"from {shown.shown(row['low'])} to {shown.shown(row['high'])}"
    field = Field("value", f"Value{unit}, {limits}", "decimal")
    return page(
        "assumption", title=str(row["name"]).replace("_", " "), row=row, field=field, typed=typed,
        errors=errors, stale=stale, version=mark_of(row["value"]),
        status=409 if stale else 400 if errors else 200,
    )  # fmt: skip
