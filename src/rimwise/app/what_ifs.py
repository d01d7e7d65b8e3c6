"""What if one thing on the packed cart were elsewhere: a thing, a pocket with its discs, a disc."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TypeVar

from rimwise.errors import InputError
from rimwise.packing.placement import packed_load
from rimwise.packing.statics import CartLoad, compared_words, tipping_words
from rimwise.records.carts import Cart, CartItem, Pocket
from rimwise.records.words import plural

__all__ = ["Hung", "Loaded", "OtherWay", "Put", "Riding", "Shifted", "TakenOff", "What", "what_if"]

#: Nothing on a cart is farther from the axle than this, metres.
_MOST_M = 2.0

_Thing = TypeVar("_Thing", Pocket, CartItem)


@dataclass(frozen=True, slots=True)
class OtherWay:
    """Another way to pack, with its angles.

    Parameters
    ----------
    words
        On which slopes the cart falls then.
    compared
        The same against how it is packed now; empty where that was not asked.
    """

    name: str
    words: str
    backward_deg: float
    forward_deg: float
    left_deg: float
    right_deg: float
    compared: str = ""


@dataclass(frozen=True, slots=True)
class Riding:
    """A disc in a pocket, and what it weighs."""

    disc: str
    pocket: str
    mass_kg: float


@dataclass(frozen=True, slots=True)
class Loaded:
    """A cart and the discs in its pockets."""

    cart: Cart
    discs: tuple[Riding, ...]

    @property
    def load(self) -> CartLoad:
        """It as a body to be tipped."""
        return packed_load(self.cart, ((one.pocket, one.mass_kg) for one in self.discs))


@dataclass(frozen=True, slots=True)
class TakenOff:
    """A thing or a disc taken off, or a pocket with what is in it."""

    name: str


@dataclass(frozen=True, slots=True)
class Hung:
    """A thing, or a pocket with what is in it, hung elsewhere: metres ahead, left, up."""

    name: str
    x_m: float
    y_m: float
    z_m: float


@dataclass(frozen=True, slots=True)
class Shifted:
    """A thing, or a pocket with what is in it, moved so far ahead, left and up, metres."""

    name: str
    ahead_m: float
    left_m: float
    up_m: float


@dataclass(frozen=True, slots=True)
class Put:
    """A disc put into another pocket, or a thing hung where that pocket is."""

    name: str
    pocket: str


What = TakenOff | Hung | Shifted | Put
"""One change; the discs stay where they are."""


def what_if(loaded: Loaded, change: What) -> OtherWay:
    """Say how a cart stands after one change, and what that does to each slope.

    Raises
    ------
    InputError
        When there is no such thing, or it cannot be there.
    """
    named = f"{change.name} moved"
    note = ""
    if isinstance(change, TakenOff):
        named, after = f"without {change.name}", _without(loaded, change.name)
    elif isinstance(change, Hung):
        after = _placed(loaded, change.name, (change.x_m, change.y_m, change.z_m), by=False)
    elif isinstance(change, Shifted):
        after = _placed(loaded, change.name, (change.ahead_m, change.left_m, change.up_m), by=True)
    else:
        named = f"{change.name} in {change.pocket}"
        after, note = _put(loaded, change)
    load = after.load
    angles = load.tipping_angles_deg
    return OtherWay(
        named, tipping_words(load), angles.backward, angles.forward, angles.left, angles.right,
        f"{note}{compared_words(loaded.load, load)}",
    )  # fmt: skip


def _without(loaded: Loaded, name: str) -> Loaded:
    cart = loaded.cart
    if name in _names(cart.items):
        return replace(loaded, cart=_with(cart, items=[i for i in cart.items if i.name != name]))
    if name in _names(cart.pockets):
        # An empty one of no weight, as a cart has a pocket at least.
        bare = [replace(one, mass_kg=0.0) if one.name == name else one for one in cart.pockets]
        left = tuple(one for one in loaded.discs if one.pocket != name)
        return Loaded(_with(cart, pockets=bare), left)
    left = tuple(one for one in loaded.discs if one.disc != name)
    if len(left) == len(loaded.discs):
        raise InputError(f"there is no {name!r} on the cart; it has {', '.join(_all(cart))}.")
    return replace(loaded, discs=left)


def _placed(
    loaded: Loaded, name: str, place_m: tuple[float, float, float], *, by: bool
) -> Loaded:  # fmt: skip
    """Return it with a thing or a pocket at a place, or moved ``by`` so much."""
    cart = loaded.cart
    if name in _names(cart.items):
        moved = [_at(i, place_m, by) if i.name == name else i for i in cart.items]
        return replace(loaded, cart=_with(cart, items=moved))
    if name in _names(cart.pockets):
        pockets = [_at(p, place_m, by) if p.name == name else p for p in cart.pockets]
        return replace(loaded, cart=_with(cart, pockets=pockets))
    if name in {one.disc for one in loaded.discs}:
        raise InputError(f"{name} rides in a pocket; say into which one it goes instead.")
    told = ", ".join(_all(cart))
    raise InputError(f"{name!r} is no thing on the cart that can move; it has {told}.")


def _at(thing: _Thing, place_m: tuple[float, float, float], by: bool) -> _Thing:
    was_m = (thing.x_m, thing.y_m, thing.z_m) if by else (0.0, 0.0, 0.0)
    x, y, z = (was + to for was, to in zip(was_m, place_m, strict=True))
    if z < 0.0:
        raise InputError(f"{thing.name} would come to be under the ground; move it down by less.")
    if math.hypot(x, y, z) > _MOST_M:
        raise InputError(f"{thing.name} would be far off any cart; move it by less.")
    return replace(thing, x_m=x, y_m=y, z_m=z)


def _put(loaded: Loaded, change: Put) -> tuple[Loaded, str]:
    """Return it with a disc or a thing in a pocket, and a word where there is no room."""
    cart = loaded.cart
    pocket = next((one for one in cart.pockets if one.name == change.pocket), None)
    if pocket is None:
        told = ", ".join(_names(cart.pockets))
        raise InputError(f"there is no pocket {change.pocket!r} on the cart; it has {told}.")
    if change.name in _names(cart.items):
        place_m = (pocket.x_m, pocket.y_m, pocket.z_m)
        return _placed(loaded, change.name, place_m, by=False), ""
    if change.name in _names(cart.pockets):
        raise InputError(f"{change.name} is a pocket itself; say how far it moves instead.")
    was = next((one for one in loaded.discs if one.disc == change.name), None)
    if was is None:
        raise InputError(
            f"there is no {change.name!r} on the cart; it has {', '.join(_all(cart))}."
        )
    if was.pocket == pocket.name:
        raise InputError(f"{change.name} is in {pocket.name} already; choose another pocket.")
    held = sum(one.pocket == pocket.name for one in loaded.discs)
    discs = tuple(
        replace(one, pocket=pocket.name) if one is was else one for one in loaded.discs
    )  # fmt: skip
    note = (
        f"There is no room: {pocket.name} holds {plural(pocket.room, 'disc')} and has {held}. "
        "If it fitted: "
        if held >= pocket.room
        else ""
    )
    return replace(loaded, discs=discs), note


def _with(
    cart: Cart, *, items: Sequence[CartItem] | None = None, pockets: Sequence[Pocket] | None = None
) -> Cart:
    return replace(
        cart,
        items=cart.items if items is None else tuple(items),
        pockets=cart.pockets if pockets is None else tuple(pockets),
    )


def _names(things: Sequence[Pocket] | Sequence[CartItem]) -> list[str]:
    return [one.name for one in things]


def _all(cart: Cart) -> list[str]:
    return [*_names(cart.items), *_names(cart.pockets)]
