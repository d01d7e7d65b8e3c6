"""The packed cart: drawn, told, and what if something were moved or taken off."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from fastapi import FastAPI, Request, Response

from rimwise.errors import NotFoundError, RimwiseError
from rimwise.store.opening import open_store
from rimwise.store.store import Store
from rimwise.web.cart_units import SIDES, CartUnits
from rimwise.web.fields import Field, FieldError, told_wrong
from rimwise.web.keeping import Kept
from rimwise.web.rendering import drawing, in_page_words, page

if TYPE_CHECKING:
    from rimwise.app.packing import PackedCart, PackReport

__all__ = ["add_packed"]

_Typed = Mapping[str, str]
_DEEDS = (("off", "taken off, with what is in it"), ("moved", "moved to"))


def add_packed(app: FastAPI, data: Path) -> None:
    """Add the page of the packed cart."""
    kept = Kept()

    @app.get("/pack")
    def pack(request: Request) -> Response:
        typed = {name: value.strip() for name, value in request.query_params.items() if value}
        with open_store(data) as store:
            if not len(store.carts):
                return page("cartless", title="Cart", gone=bool(typed.get("gone")))
            return _page(store, kept, typed)


def _page(store: Store, kept: Kept, typed: _Typed) -> Response:
    from rimwise.app.box import units_of
    from rimwise.app.packing import pack_cart, tell_packing

    which = tuple(typed.get(name) or None for name in ("plan", "cart", "carry"))
    asked, gone = _which(store), bool(typed.get("gone"))
    try:
        plan, cart, carry = which
        packed = kept.made(
            store, ("pack", *which), lambda: pack_cart(store, plan, cart=cart, carry=carry)
        )
    except NotFoundError:
        raise
    except RimwiseError as error:
        told = in_page_words(error)
        carts = list(store.carts.keys())
        return page(
            "unpacked", title="Cart", told=told, fields=asked, typed=typed, carts=carts, gone=gone
        )
    errors: dict[str, str] = {}
    what_if = None
    try:
        report = _what_if(packed, typed, CartUnits(units_of(store)))
        what_if = report.changes[-1] if typed.get("thing") else None
    except RimwiseError as error:
        errors = told_wrong(error)
        report = tell_packing(packed)
    return page(
        "pack", title=f"Cart for {report.conditions}", status=400 if errors else 200, typed=typed,
        report=report, picture=drawing(_picture(packed)), fields=asked, errors=errors,
        what_if=what_if, asks=_asks(packed, units_of(store)), falls=_falls, gone=gone,
    )  # fmt: skip


def _which(store: Store) -> list[Field]:
    """Return what there is to choose from, where there is more than one."""
    from rimwise.app.reports import plan_names

    plans = [(name, name) for name in plan_names(store)]
    carts = [(name, name) for name in store.carts.keys()]  # noqa: SIM118 - a shelf
    own = [
        (str(number), f"{carry.name} of {carry.on}")
        for number, carry in store.carries.all()
        if carry.items
    ]
    fields = []
    if len(plans) > 1:
        fields.append(Field("plan", "Which carry", "select", (("", "the latest plan"), *plans)))
    if len(carts) > 1:
        fields.append(Field("cart", "Which cart", "select", (("", "choose one"), *carts)))
    if own:
        nothing = ("", "nothing more than the cart's own")
        fields.append(
            Field("carry", "Things of a kept carry ride along", "select", (nothing, *own))
        )
    return fields


def _asks(packed: PackedCart, units: str) -> list[Field]:
    items = [(one.name, one.name) for one in packed.cart.items]
    pockets = [(one.name, f"{one.name}, a pocket") for one in packed.cart.pockets]
    unit = CartUnits(units).length
    return [
        Field("thing", "What if this", "select", (("", "nothing"), *items, *pockets)),
        Field("deed", "were", "select", _DEEDS),
        *(Field(f"to_{name}", f"{label}, {unit}", "decimal") for name, label in SIDES),
    ]


def _what_if(packed: PackedCart, typed: _Typed, units: CartUnits) -> PackReport:
    from rimwise.app.packing import tell_packing

    thing = typed.get("thing")
    if not thing:
        return tell_packing(packed)
    if typed.get("deed") != "moved":
        return tell_packing(packed, without=thing)
    ahead, left, up = (
        units.metres(typed, f"to_{name}", label.split(" (")[0]) for name, label in SIDES
    )
    try:
        return tell_packing(packed, move=(thing, ahead, left, up))
    except RimwiseError as error:
        raise FieldError("thing", error) from None


def _picture(packed: PackedCart) -> str:
    from rimwise.app.sheets import scene_of
    from rimwise.pictures.cart import Look, cart_svg

    scene = scene_of(packed)
    assert scene is not None  # noqa: S101 - there is a packed cart
    return cart_svg(scene, {one.disc_id: Look(one.label, one.colour) for one in packed.plan.discs})


def _falls(way: Any) -> str:
    """Say of another way how it stands beside this one, the four slopes in whole degrees."""
    sides = (("backward", way.backward_deg), ("forward", way.forward_deg),
             ("left", way.left_deg), ("right", way.right_deg))  # fmt: skip
    return ", ".join(f"{side} {int(slope // 1)}°" for side, slope in sides)
