"""The cart measured: three weighings and three lengths say where its mass sits."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

from fastapi import FastAPI, Response

from rimwise.errors import RimwiseError
from rimwise.store.opening import open_store
from rimwise.store.store import Store
from rimwise.web.cart_units import CartUnits
from rimwise.web.fields import Field, about, told_wrong
from rimwise.web.rendering import Typed, page

__all__ = ["add_carting"]

#: What is measured: its name, its label, whether it is a mass.
_READINGS = (
    ("whole", "The whole empty cart", True),
    ("foot", "Its foot, level", True),
    ("raised", "Its foot, raised on the block", True),
    ("length", "From the axle to the foot", False),
    ("radius", "Radius of the wheels", False),
    ("block", "Height of the block", False),
)


def add_carting(app: FastAPI, data: Path) -> None:
    """Add the page that measures a cart."""

    @app.get("/pack/measure")
    def form() -> Response:
        with open_store(data) as store:
            return _measure_page(store, {}, {}, "")

    @app.post("/pack/measure")
    def measure(typed: Typed) -> Response:
        with open_store(data) as store:
            try:
                told = _measured(store, typed)
            except RimwiseError as error:
                return _measure_page(store, typed, told_wrong(error), "")
            return _measure_page(store, typed, {}, told)


def _measured(store: Store, typed: Mapping[str, str]) -> str:
    """Say where the mass sits, and put it into a cart when one is chosen."""
    from rimwise.app.box import pick, units_of
    from rimwise.app.packing import measure_cart

    readings = []
    units = CartUnits(units_of(store))
    for name, label, is_mass in _READINGS:
        read = units.kilograms if is_mass else units.metres
        readings.append(read(typed, name, label))
    found_at = measure_cart(*readings)
    told = (
        f"Its mass sits {units.shown_m(found_at.com_x_m)} {units.length} in front of the axle and "
        f"{units.shown_m(found_at.com_z_m)} {units.length} above the ground."
    )
    if not typed.get("cart"):
        return told
    with about("cart"):
        cart = pick(store.carts, "cart", typed["cart"])
        store.carts.put(replace(cart, com_x_m=found_at.com_x_m, com_z_m=found_at.com_z_m))
    return f"{told} That is kept with {cart.name}."


def _measure_page(
    store: Store, typed: Mapping[str, str], errors: Mapping[str, str], told: str
) -> Response:
    from rimwise.app.box import units_of

    carts = tuple((name, name) for name in store.carts.keys())  # noqa: SIM118 - a shelf
    keep = Field("cart", "Keep it with", "select", (("", "no cart, only tell me"), *carts))
    units = CartUnits(units_of(store))
    fields = [
        Field(name, f"{label}, {units.mass if is_mass else units.length}", "decimal")
        for name, label, is_mass in _READINGS
    ]
    return page(
        "measure", title="Measure your cart", status=400 if errors else 200, told=told,
        fields=[*fields, *([keep] if carts else [])], typed=typed, errors=errors,
    )  # fmt: skip
