"""The wishes of a plan in a form: every wish has a field, and an empty field takes it back."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from rimwise.app.asking import Asked
from rimwise.errors import InputError
from rimwise.store.store import Store
from rimwise.web.fields import Field, FieldError, about, decimal
from rimwise.web.rendering import whole_number

__all__ = ["DISC_WISHES", "asked_in", "typed_of", "wish_fields"]

_Typed = Mapping[str, str]

#: What may be wished of a single disc.
DISC_WISHES = (
    ("", "if it earns its place"), ("goes", "must go"), ("liked", "goes because I like it"),
    ("stays", "must stay home"),
)  # fmt: skip
_BY_WISH = {"goes": "must", "liked": "liked", "stays": "never"}
_SLOPES = ("backward", "forward", "sideways")
_EXAMPLE = "one to a line, as in putter: 2 or nh27-blue, nh27-gold: 1"


def wish_fields(store: Store) -> tuple[Field, ...]:
    """Return the fields of the wishes beyond the limit, the changes and single discs."""
    from rimwise.app.showing import disc_rows

    discs = tuple((row.disc_id, f"{row.disc_id} · {row.mold}") for row in disc_rows(store))
    carries = tuple(
        (str(number), f"{one.name} of {one.on}, number {number}")
        for number, one in reversed(store.carries.all())
    )
    carts = tuple((name, name) for name in store.carts.keys())  # noqa: SIM118 - a shelf
    weather = tuple((name, name) for name in store.conditions.keys())  # noqa: SIM118 - a shelf
    return (
        Field("changes_from", "Changes are counted from", "select",
              (("", "the last carry for this weather"), *carries)),
        Field("keep", "Change as little as possible from the carry for", "select",
              (("", "none"), *weather)),
        Field("putting", "The disc you putt with; it goes and is never thrown", "select",
              (("", "none in particular"), *discs)),
        Field("at_least", f"At least so many, {_EXAMPLE}; a putter and a spare one when left "
              "empty, putter: 0 for none", "lines"),
        Field("at_most", f"At most so many, {_EXAMPLE}", "lines"),
        Field("one_of", "Exactly one of each group, one group to a line", "lines"),
        Field("spares", "Places left to spares for what is most likely lost", "whole"),
        Field("floating", "Floating discs to carry where the course has water", "whole"),
        Field("weight", "Most that the discs may weigh together, grams", "decimal"),
        Field("price", "Strokes a round that a disc has to save to be worth carrying", "decimal"),
        Field("cart", "The cart whose pockets hold them, so that it stands when packed", "select",
              (("", "never mind the cart"), *carts)),
        *(
            Field(f"slope_{side}", f"Slope that it stands {side}, degrees; the usual one when all "
                  "three are empty" if side == "backward" else f"Slope that it stands {side}",
                  "decimal")
            for side in _SLOPES
        ),
        Field("car", "Alternates left in the car, to swap in once the wind is felt", "whole"),
        Field("printed", "What is believed of the discs", "select",
              (("", "what your log taught"), ("yes", "their printed numbers alone"))),
        Field("then", "What decides among carries that are equal in strokes, one to a line: "
              "harshest day, bad throws, known discs, no doubles, least change, and spares as the "
              "last; harshest day, least change and spares when left empty", "lines"),
        Field("on_holes", "What a throw leads to", "select",
              (("", "by distance alone: quick"),
               ("yes", "every hole solved for itself, then chosen again: minutes"))),
        Field("occasion", "What to call the carry; the weather's name when left empty"),
    )  # fmt: skip


def asked_in(typed: _Typed, before: Asked) -> Asked:
    """Return the wishes that were typed; of what the form did not hold, those from before.

    Raises
    ------
    FieldError
        When a wish cannot be read.
    """
    changes: dict[str, Any] = _disc_wishes(typed)
    changes["limit"] = _whole(typed, "limit", "Most discs", 1)
    changes["changes"] = (
        _whole(typed, "changes", "Most changes", 0) if typed.get("changes") else None
    )
    for name in ("spares", "floating", "car"):
        if name in typed:
            empty = 0 if not typed[name] else _whole(typed, name, name.capitalize(), 0)
            changes[name] = empty
    for name, field in (("keep", "keep"), ("changes_from", "changes_from"), ("putting", "putting"),
                        ("cart", "cart"), ("name", "occasion")):  # fmt: skip
        if field in typed:
            changes[name] = typed[field] or None
    if "weight" in typed:
        told = "write one such as 3500"
        changes["most_weight_g"] = decimal(typed, "weight", "The weight", instead=told)
    if "price" in typed:
        changes["price"] = decimal(typed, "price", "Strokes", instead="as in 0.02", empty=0.0)
    if any(f"slope_{side}" in typed for side in _SLOPES):
        changes["slopes"] = tuple(
            decimal(typed, f"slope_{side}", "The slope", instead="write degrees such as 6")
            for side in _SLOPES
        )
    if "printed" in typed:
        changes["printed"] = typed["printed"] == "yes"
    if "then" in typed:
        changes["then"] = tuple(_lines(typed["then"])) or None
    if "on_holes" in typed:
        changes["on_holes"] = typed["on_holes"] == "yes"
    if "at_least" in typed:
        changes["at_least"] = _groups(typed, "at_least") or None
    if "at_most" in typed:
        changes["at_most"] = _groups(typed, "at_most")
    if "one_of" in typed:
        changes["one_of"] = tuple(_lines(typed["one_of"]))
    if changes.get("changes_from") and changes["changes"] is None:
        told = "Say how many discs may change from that carry, as in 4."
        raise FieldError("changes", told)
    return replace(before, **changes)


def typed_of(asked: Asked, carts: list[str]) -> dict[str, str]:
    """Return the form as it would be filled in for some wishes."""
    typed = {
        "limit": str(asked.limit),
        "changes": "" if asked.changes is None else str(asked.changes),
        "changes_from": asked.changes_from or "",
        "keep": asked.keep or "",
        "putting": asked.putting or "",
        "at_least": _told(asked.at_least or ()),
        "at_most": _told(asked.at_most),
        "one_of": "\n".join(asked.one_of),
        "spares": _unless_none(asked.spares),
        "floating": _unless_none(asked.floating),
        "weight": "" if asked.most_weight_g is None else f"{asked.most_weight_g:g}",
        "price": _unless_none(asked.price),
        "cart": asked.cart or (carts[0] if asked.cart is not None and carts else ""),
        "car": _unless_none(asked.car),
        "printed": "yes" if asked.printed else "",
        "then": "\n".join(asked.then or ()),
        "on_holes": "yes" if asked.on_holes else "",
        "occasion": asked.name or "",
    }
    for side, slope in zip(_SLOPES, asked.slopes, strict=True):
        typed[f"slope_{side}"] = "" if slope is None else f"{slope:g}"
    for said, field in _BY_WISH.items():
        typed |= {f"disc:{disc}": said for disc in getattr(asked, field)}
    return typed


def _disc_wishes(typed: _Typed) -> dict[str, Any]:
    discs = {name[5:]: value for name, value in typed.items() if name.startswith("disc:")}
    return {
        field: tuple(disc for disc, value in discs.items() if value == said)
        for said, field in _BY_WISH.items()
    }


def _whole(typed: _Typed, field: str, what: str, low: int) -> int:
    with about(field):
        return whole_number(typed, field, what, low, 60)


def _lines(text: str) -> list[str]:
    return [line.strip() for line in text.splitlines() if line.strip()]


def _groups(typed: _Typed, field: str) -> tuple[tuple[str, int], ...]:
    found = []
    for line in _lines(typed[field]):
        group, _, count = line.rpartition(":")
        said = count.strip()
        with about(field):
            plain = said.isascii() and said.isdigit() and len(said) < 5
            if not group.strip() or not plain or int(said) > 60:
                raise InputError(f"{line[:60]!r} is no wish; write {_EXAMPLE}.")
        found.append((group.strip(), int(said)))
    return tuple(found)


def _told(groups: tuple[tuple[str, int], ...]) -> str:
    return "\n".join(f"{group}: {count}" for group, count in groups)


def _unless_none(value: float) -> str:
    return f"{value:g}" if value else ""
