"""The packed cart: drawn, told, and what if something were moved or taken off."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from fastapi import FastAPI, Request, Response

from rimwise.errors import NotFoundError, RimwiseError
from rimwise.records.words import joined
from rimwise.store.opening import open_store
from rimwise.store.store import Store
from rimwise.web.cart_units import SIDES, CartUnits
from rimwise.web.fields import Field, FieldError, about, choice, told_wrong
from rimwise.web.keeping import Kept
from rimwise.web.rendering import drawing, in_page_words, page

if TYPE_CHECKING:
    from rimwise.app.packing import PackedCart
    from rimwise.app.what_ifs import OtherWay

__all__ = ["add_packed"]

_Typed = Mapping[str, str]
_DEEDS = (
    ("off", "taken off, with what is in it"),
    ("by", "moved by some way"),
    ("into", "put into another pocket"),
    ("moved", "hung at a place"),
)
_PLAIN = {"off", ""}
#: Ways something may be moved by.
_WAYS = (
    ("ahead", "forward", "back"),
    ("left", "to the left", "to the right"),
    ("up", "up", "down"),
)


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
    units = CartUnits(units_of(store))
    report = tell_packing(packed)
    try:
        what_if = _what_if(packed, typed, units)
    except RimwiseError as error:
        errors = told_wrong(error)
    return page(
        "pack", title=f"Cart for {report.conditions}", status=400 if errors else 200, typed=typed,
        report=report, picture=drawing(_picture(packed)), fields=asked, errors=errors,
        what_if=what_if, asks=_asks(packed), deeds=_deeds(packed, typed, errors, units),
        falls=_falls, gone=gone,
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


def _asks(packed: PackedCart) -> list[Field]:
    items = [(one.name, one.name) for one in packed.cart.items]
    pockets = [(one.name, f"{one.name}, a pocket") for one in packed.cart.pockets]
    discs = [(disc, packed.plan.disc(disc).label) for disc in packed.plan.chosen]
    return [
        Field("thing", "What if this", "select", (("", "nothing"), *items, *pockets, *discs)),
        Field("deed", "were", "select", _DEEDS),
    ]


@dataclass(frozen=True, slots=True)
class _Deed:
    """What has to be known for one deed, under a heading that opens."""

    heading: str
    fields: tuple[Field, ...]
    open: bool


def _deeds(
    packed: PackedCart, typed: _Typed, errors: Mapping[str, str], units: CartUnits
) -> list[_Deed]:
    pockets = [(one.name, one.name) for one in packed.cart.pockets]
    by = tuple(
        Field(f"by_{name}", f"{way[:1].upper()}{way[1:]} (minus: {back}), {units.length}")
        for name, way, back in _WAYS
    )
    to = tuple(Field(f"to_{name}", f"{label}, {units.length}") for name, label in SIDES)
    into = (Field("into", "Into which pocket", "select", (("", "choose one"), *pockets)),)
    found = (("by", "Moved: how far", by), ("into", "Put: into which pocket", into),
             ("moved", "Hung: where, from the axle on the ground", to))  # fmt: skip
    asked = typed.get("deed", "")
    return [
        _Deed(
            heading, fields,
            asked == deed or bool({one.name for one in fields} & {*errors})
            or (asked in _PLAIN and deed == "by"),
        )
        for deed, heading, fields in found
    ]  # fmt: skip


def _what_if(packed: PackedCart, typed: _Typed, units: CartUnits) -> OtherWay | None:
    """Return how the cart stands after what is asked, if anything is; called as it was asked.

    Raises
    ------
    FieldError
        When something asked cannot be; it names the field.
    """
    from rimwise.app.packing import loaded_of
    from rimwise.app.what_ifs import Hung, Put, Shifted, TakenOff, What, what_if

    thing = typed.get("thing")
    if not thing:
        return None
    pockets = {one.name: 0 for one in packed.cart.pockets}
    hung = {*pockets, *(one.name for one in packed.cart.items)}
    disc = thing in packed.plan.chosen and thing not in hung
    label = packed.plan.disc(thing).label if disc else thing
    deed = choice({"deed": "off", **typed}, "deed", "What is done with it", dict(_DEEDS))
    if disc and deed in ("by", "moved"):
        raise FieldError("deed", f"{label} rides in a pocket; choose to put it into another one.")
    if thing in pockets and deed == "into":
        raise FieldError("deed", f"{label} is a pocket itself; choose to move it by some way.")
    change: What = TakenOff(thing)
    told, field = f"without {label}", "thing"
    if deed == "by":
        ahead, left, up = (
            units.metres({f"by_{name}": "0", **typed}, f"by_{name}", f"The way {way}")
            for name, way, _ in _WAYS
        )
        told, field = f"{label} moved {_way_words((ahead, left, up), units)}", "by_up"
        change = Shifted(thing, ahead, left, up)
    elif deed == "into":
        pocket = choice(typed, "into", "The pocket", pockets)
        told, field = f"{label} in {pocket}", "into"
        change = Put(thing, pocket)
    elif deed == "moved":
        ahead, left, up = (
            units.metres(typed, f"to_{name}", side.split(" (")[0]) for name, side in SIDES
        )
        told, field = f"{label} hung there", "to_up"
        change = Hung(thing, ahead, left, up)
    with about(field if disc or thing in hung else "thing"):
        return replace(what_if(loaded_of(packed), change), name=told)


def _way_words(way_m: tuple[float, float, float], units: CartUnits) -> str:
    """Say "10 cm down and 5 cm forward", or that something does not move.

    Raises
    ------
    FieldError
        When it does not move at all.
    """
    told = [
        f"{units.shown_m(abs(far_m))} {units.length} {way if far_m > 0.0 else back}"
        for far_m, (_, way, back) in zip(way_m, _WAYS, strict=True)
        if far_m
    ]
    if not told:
        raise FieldError("by_up", "Say how far it moves; write -10 to move it 10 down.")
    return joined(told)


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
