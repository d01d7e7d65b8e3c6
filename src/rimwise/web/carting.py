"""The cart measured: three weighings and three lengths say where its mass sits."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

from fastapi import FastAPI, Response

from rimwise.errors import RimwiseError
from rimwise.records.words import number
from rimwise.store.opening import open_store
from rimwise.store.store import Store
from rimwise.web.fields import Field, FieldError, about, decimal, told_wrong
from rimwise.web.rendering import Typed, page

__all__ = ["add_carting"]

#: What is measured: its name, its label, what to type.
_READINGS = (
    ("whole", "The whole empty cart, kg", "3.2"),
    ("foot", "Its foot, level, kg", "1.28"),
    ("raised", "Its foot, raised on the block, kg", "0.85"),
    ("length", "From the axle to the foot, m", "0.35"),
    ("radius", "Radius of the wheels, m", "0.12"),
    ("block", "Height of the block, m", "0.12"),
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
    from rimwise.app.box import pick
    from rimwise.app.packing import measure_cart

    readings = []
    for name, label, example in _READINGS:
        what = label.rsplit(",", 1)[0]
        found = decimal(typed, name, what, instead=f"write one such as {example}")
        if found is None:
            raise FieldError(name, f"{what} is missing; write one such as {example}.")
        readings.append(found)
    found_at = measure_cart(*readings)
    told = (
        f"Its mass sits {number(found_at.com_x_m, 3)} m in front of the axle and "
        f"{number(found_at.com_z_m, 3)} m above the ground."
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
    carts = tuple((name, name) for name in store.carts.keys())  # noqa: SIM118 - a shelf
    keep = Field("cart", "Keep it with", "select", (("", "no cart, only tell me"), *carts))
    fields = [Field(name, label, "decimal") for name, label, _ in _READINGS]
    return page(
        "measure", title="Measure your cart", status=400 if errors else 200, told=told,
        fields=[*fields, *([keep] if carts else [])], typed=typed, errors=errors,
    )  # fmt: skip
