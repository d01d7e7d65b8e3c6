"""A disc edited in a page: only what changed is saved, and never over a newer version."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from datetime import date

from rimwise.app.showing import change_disc
from rimwise.errors import InputError
from rimwise.records.discs import Disc
from rimwise.store.store import Store

__all__ = ["CHANGEABLE", "StaleError", "save_disc", "version_of"]

#: What a page lets its owner change on a disc.
CHANGEABLE = ("status", "wear", "colour", "mark", "condition", "run", "note", "meaning")


class StaleError(InputError):
    """The disc was changed elsewhere since the page was loaded."""


def version_of(disc: Disc) -> str:
    """Return a short mark that differs whenever anything about the disc does."""
    return hashlib.sha256(repr(disc).encode()).hexdigest()[:16]


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
            for field in CHANGEABLE
            if field in typed and typed[field] != str(getattr(disc, field))
        }
        if changes and typed.get("version") != version_of(disc):
            raise StaleError(f"{name} was changed elsewhere since this page was loaded.")
        for field, value in changes.items():
            change_disc(store, name, f"{field}={value}", today)
