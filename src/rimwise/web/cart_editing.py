"""A cart described and changed in a page: its frame, its pockets, and what else rides along."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from urllib.parse import quote

from fastapi import FastAPI, Response
from fastapi.responses import RedirectResponse

from rimwise.errors import InputError, RimwiseError
from rimwise.records.carts import Cart, CartItem, Pocket
from rimwise.store.opening import open_store
from rimwise.store.store import Store
from rimwise.web.cart_units import SIDES, CartUnits
from rimwise.web.fields import Field, FieldError, StaleError, about, mark_of, told_wrong
from rimwise.web.rendering import Typed, page, whole_number

__all__ = ["add_cart_editing"]

_Typed = Mapping[str, str]
#: More pockets, or more things, than any cart has.
_MOST = 40
_POCKET, _THING = "p", "i"


@dataclass(frozen=True, slots=True)
class _Group:
    """Some fields of the form under a heading of their own."""

    legend: str
    fields: tuple[Field, ...]


def add_cart_editing(app: FastAPI, data: Path) -> None:
    """Add the pages that describe a cart, change it, and delete it."""

    @app.get("/cart")
    def edit(name: str) -> Response:
        with open_store(data) as store:
            cart = store.carts.get(name)
            return _form(store, cart, _values(cart, _units(store)), mark_of(cart))

    @app.post("/cart")
    def change(name: str, typed: Typed) -> Response:
        with open_store(data) as store, store.atomic():
            cart = store.carts.get(name)
            units = _units(store)
            try:
                coming = _read(typed, units, cart)
                if typed.get("version") != mark_of(cart) and coming != cart:
                    raise StaleError(f"{name} was changed elsewhere since this page was loaded.")
                store.carts.put(coming)
            except StaleError:
                return _form(store, cart, typed, mark_of(cart), stale=_differs(cart, typed, units))
            except RimwiseError as error:
                version = typed.get("version", "")
                return _form(store, cart, typed, version, errors=told_wrong(error))
        return RedirectResponse(f"/pack?cart={quote(name)}", 303)

    @app.get("/cart/new")
    def blank() -> Response:
        with open_store(data) as store:
            return _form(store, None, {}, "")

    @app.post("/cart/new")
    def add(typed: Typed) -> Response:
        with open_store(data) as store, store.atomic():
            try:
                coming = _read(typed, _units(store), None)
                if coming.name in store.carts:
                    told = f"{coming.name} is on file already; call this one something else."
                    raise FieldError("name", told)
                store.carts.put(coming)
            except RimwiseError as error:
                return _form(store, None, typed, "", errors=told_wrong(error))
        return RedirectResponse(f"/pack?cart={quote(coming.name)}", 303)

    @app.post("/cart/delete")
    def delete(typed: Typed) -> Response:
        with open_store(data) as store:
            store.carts.delete(store.carts.get(typed.get("name", "")).name)
        return RedirectResponse("/pack?gone=yes", 303)


def _units(store: Store) -> CartUnits:
    from rimwise.app.box import units_of

    return CartUnits(units_of(store))


def _form(
    store: Store,
    cart: Cart | None,
    typed: _Typed,
    version: str,
    *,
    errors: Mapping[str, str] | None = None,
    stale: Sequence[tuple[str, str, str]] = (),
) -> Response:
    units = _units(store)
    rows = max(_rows(typed, _POCKET), 0 if cart is None else len(cart.pockets))
    things = max(_rows(typed, _THING), 0 if cart is None else len(cart.items))
    return page(
        "cart", title="Describe your cart" if cart is None else cart.name,
        status=409 if stale else 400 if errors else 200, frame=_frame_fields(units, cart is None),
        pockets=[_group(_POCKET, row, units) for row in range(min(rows + 1, _MOST))],
        things=[_group(_THING, row, units) for row in range(min(things + 1, _MOST))],
        typed=typed, version=version, errors=errors or {}, stale=stale,
        name="" if cart is None else cart.name,
    )  # fmt: skip


def _frame_fields(units: CartUnits, named: bool) -> list[Field]:
    name = [Field("name", "What to call it")] if named else []
    return [
        *name,
        Field("mass", f"The empty cart weighs, {units.mass}", "decimal"),
        Field("com_ahead", f"Its mass sits so far forward of the axle, {units.length}", "decimal"),
        Field("com_up", f"Its mass sits so high above the ground, {units.length}", "decimal"),
        Field("track", f"Between the wheels, {units.length}", "decimal"),
        Field("foot", f"From the axle to the foot, {units.length}", "decimal"),
        Field("foot_half", f"Half the width of the foot, {units.length}; 0 for one point",
              "decimal"),
    ]  # fmt: skip


def _group(kind: str, row: int, units: CartUnits) -> _Group:
    where = [Field(f"{kind}{row}_{name}", f"{label}, {units.length}", "decimal")
             for name, label in SIDES]  # fmt: skip
    if kind == _THING:
        fields = (
            Field(f"i{row}_name", "Name, such as water bottle; empty it to take it off"),
            Field(f"i{row}_mass", f"Weighs, {units.mass}", "decimal"), *where,
        )  # fmt: skip
        return _Group(f"Thing {row + 1}", fields)
    fields = (
        Field(f"p{row}_name", "Name, such as front slot; empty it to take the pocket off"),
        Field(f"p{row}_room", "Discs that fit", "whole"),
        Field(f"p{row}_hand", "At hand: 1 for the pocket you reach first, then 2", "whole"),
        Field(f"p{row}_mass", f"Weighs when empty, {units.mass}; 0 when part of the cart",
              "decimal"), *where,
    )  # fmt: skip
    return _Group(f"Pocket {row + 1}", fields)


def _rows(typed: _Typed, kind: str) -> int:
    """Return how many rows of a kind are filled in, up to the last one."""
    filled = [
        row
        for row in range(_MOST)
        if any(typed.get(f"{kind}{row}_{name}") for name in ("name", "mass", "room", "ahead"))
    ]
    return filled[-1] + 1 if filled else 0


def _values(cart: Cart, units: CartUnits) -> dict[str, str]:
    """Return a cart as it is typed."""
    typed = {
        "mass": units.shown_kg(cart.mass_kg), "com_ahead": units.shown_m(cart.com_x_m),
        "com_up": units.shown_m(cart.com_z_m), "track": units.shown_m(cart.wheel_track_m),
        "foot": units.shown_m(cart.foot_x_m), "foot_half": units.shown_m(cart.foot_half_width_m),
    }  # fmt: skip
    for row, pocket in enumerate(cart.pockets):
        typed |= _thing_values(f"p{row}", pocket, units)
        typed |= {f"p{row}_room": str(pocket.room), f"p{row}_hand": str(pocket.at_hand)}
    for row, item in enumerate(cart.items):
        typed |= _thing_values(f"i{row}", item, units)
    return typed


def _thing_values(row: str, thing: Pocket | CartItem, units: CartUnits) -> dict[str, str]:
    at = (thing.x_m, thing.y_m, thing.z_m)
    return {f"{row}_name": thing.name, f"{row}_mass": units.shown_kg(thing.mass_kg)} | {
        f"{row}_{name}": units.shown_m(value) for (name, _), value in zip(SIDES, at, strict=True)
    }


def _differs(cart: Cart, typed: _Typed, units: CartUnits) -> list[tuple[str, str, str]]:
    now = _values(cart, units)
    labels = {one.name: one.label for one in _frame_fields(units, named=False)}
    for kind in (_POCKET, _THING):
        for row in range(_MOST):
            group = _group(kind, row, units)
            labels |= {one.name: f"{group.legend}, {one.label}" for one in group.fields}
    return [
        (label, now.get(name, ""), typed.get(name, ""))
        for name, label in labels.items()
        if now.get(name, "") != typed.get(name, "")
    ]


def _read(typed: _Typed, units: CartUnits, was: Cart | None) -> Cart:
    """Return the cart that was typed; what nobody changed stays as exact as it was.

    Raises
    ------
    FieldError
        When something is missing or cannot be; it names the field.
    """
    name = typed.get("name", "") if was is None else was.name
    if not name or not name.isprintable() or len(name) > 60:
        raise FieldError("name", "Give the cart a name of at most 60 letters, such as my cart.")
    pockets = tuple(
        _pocket(typed, row, units, _of(was.pockets if was else (), row))
        for row in _named_rows(typed, _POCKET, len(was.pockets) if was else 0)
    )
    items = tuple(
        _thing(typed, row, units, _of(was.items if was else (), row))
        for row in _named_rows(typed, _THING, len(was.items) if was else 0)
    )
    names = [one.name for one in pockets] + [one.name for one in items]
    twice = next((one for one in names if names.count(one) > 1), None)
    if twice is not None:
        raise FieldError("", f"Two things on the cart are called {twice}; rename one.")
    if not pockets:
        raise FieldError("p0_name", "A cart has at least one pocket; name one and say its place.")
    return _framed(typed, units, was, Cart(name, 1.0, 0.0, 0.0, 1.0, 1.0, 0.0, pockets, items))


def _framed(typed: _Typed, units: CartUnits, was: Cart | None, cart: Cart) -> Cart:
    """Return a cart with the frame that was typed."""
    exact = {} if was is None else {
        "mass": was.mass_kg, "com_ahead": was.com_x_m, "com_up": was.com_z_m,
        "track": was.wheel_track_m, "foot": was.foot_x_m, "foot_half": was.foot_half_width_m,
    }  # fmt: skip
    told = {one.name: one.label.split(",")[0] for one in _frame_fields(units, named=False)}

    def length(field: str, least_m: float) -> float:
        found = units.metres(typed, field, told[field], was_m=exact.get(field))
        if found < least_m:
            least = f"at least {units.shown_m(least_m)} {units.length}"
            raise FieldError(field, f"{told[field]} must be {least}; measure it again.")
        return found

    mass = units.kilograms(typed, "mass", "The empty cart", was_kg=exact.get("mass"))
    with about("mass"):
        cart = replace(cart, mass_kg=mass)
    return replace(
        cart, com_x_m=length("com_ahead", -2.0), com_z_m=length("com_up", 0.0),
        wheel_track_m=length("track", 0.05), foot_x_m=length("foot", 0.02),
        foot_half_width_m=length("foot_half", 0.0),
    )  # fmt: skip


def _of(things: Sequence[Pocket] | Sequence[CartItem], row: int) -> Pocket | CartItem | None:
    return things[row] if row < len(things) else None


def _named_rows(typed: _Typed, kind: str, known: int) -> list[int]:
    rows = []
    for row in range(_rows(typed, kind)):
        if typed.get(f"{kind}{row}_name"):
            rows.append(row)
        elif row >= known:
            told = "Give it a name, or empty its other fields too."
            raise FieldError(f"{kind}{row}_name", told)
    return rows


def _pocket(typed: _Typed, row: int, units: CartUnits, was: Pocket | CartItem | None) -> Pocket:
    at = _place(typed, f"p{row}", units, was)
    with about(f"p{row}_room"):
        room = whole_number(typed, f"p{row}_room", "How many discs fit", 0, 60)
    with about(f"p{row}_hand"):
        hand = whole_number(typed, f"p{row}_hand", "How near at hand it is", 1, 99)
    mass = units.kilograms(
        typed, f"p{row}_mass", "What it weighs", was_kg=None if was is None else was.mass_kg
    )
    with about(f"p{row}_name"):
        return Pocket(_name(typed, f"p{row}_name"), room, *at, mass_kg=mass, at_hand=hand)


def _thing(typed: _Typed, row: int, units: CartUnits, was: Pocket | CartItem | None) -> CartItem:
    at = _place(typed, f"i{row}", units, was)
    mass = units.kilograms(
        typed, f"i{row}_mass", "What it weighs", was_kg=None if was is None else was.mass_kg
    )
    with about(f"i{row}_name"):
        return CartItem(_name(typed, f"i{row}_name"), mass, *at)


def _name(typed: _Typed, field: str) -> str:
    name = typed[field]
    if not name.isprintable() or len(name) > 60:
        raise InputError("A name has at most 60 letters, and none that cannot be seen.")
    return name


def _place(
    typed: _Typed, row: str, units: CartUnits, was: Pocket | CartItem | None
) -> tuple[float, float, float]:
    exact = (None, None, None) if was is None else (was.x_m, was.y_m, was.z_m)
    ahead, left, up = (
        units.metres(typed, f"{row}_{name}", label.split(" (")[0], was_m=value)
        for (name, label), value in zip(SIDES, exact, strict=True)
    )
    if up < 0.0:
        raise FieldError(f"{row}_up", "Nothing on the cart is under the ground; write 0 or more.")
    return ahead, left, up
