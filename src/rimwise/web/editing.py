"""A disc edited in a page: only what changed is saved, and never over a newer version."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from rimwise.app.showing import change_disc
from rimwise.records.discs import Disc
from rimwise.store.exchange.disc_cells import weight_said
from rimwise.store.store import Store
from rimwise.web.fields import StaleError, about, mark_of

__all__ = ["CHANGEABLE", "save_disc", "values_of"]

#: What a page lets its owner change on a disc.
CHANGEABLE = (
    "status", "weight", "wear", "colour", "mark", "condition", "run", "note", "meaning", "cost",
)  # fmt: skip


def values_of(disc: Disc) -> dict[str, str]:
    """Return what a page may change on a disc, as it is typed."""
    found = {name: getattr(disc, name) for name in CHANGEABLE}
    values = {name: "" if value is None else str(value) for name, value in found.items()}
    values["weight"] = weight_said(disc.weight)
    return values | {name: f"{found[name]:g}" for name in ("wear", "cost") if values[name]}


def save_disc(store: Store, name: str, typed: Mapping[str, str], today: date) -> None:
    """Save what was typed, all or none of it.

    What is as it was is left alone, so that the same form sent twice changes nothing more.

    Raises
    ------
    StaleError
        When the disc was changed since the form was made, other than to what is typed.
    InputError, NotFoundError
        When a value cannot be used or there is no such disc.
    """
    with store.atomic():
        disc = store.discs.get(name)
        changes = {
            field: typed[field]
            for field, value in values_of(disc).items()
            if field in typed and typed[field] != value
        }
        if changes and typed.get("version") != mark_of(disc):
            raise StaleError(f"{name} was changed elsewhere since this page was loaded.")
        for field, value in changes.items():
            with about(field):
                change_disc(store, name, f"{field}={value}", today)
