"""What a data file holds, to be held against another before one takes the other's place."""

from __future__ import annotations

import tempfile
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from rimwise.app.backing import restore_records
from rimwise.app.history import history
from rimwise.app.reports import plan_names
from rimwise.errors import InputError, StoreError
from rimwise.store.opening import open_store
from rimwise.store.store import Store

__all__ = ["Held", "LookedAt", "held", "look_at_records"]


@dataclass(frozen=True, slots=True)
class Held:
    """What a data file holds.

    Parameters
    ----------
    counts
        How much of each kind, in the order told: (kind in the plural, number).
    changed_at
        When something was last changed; empty when nothing ever was.
    """

    counts: tuple[tuple[str, int], ...]
    changed_at: str


@dataclass(frozen=True, slots=True)
class LookedAt:
    """A backup or an export that was read whole, beside the records that are in place."""

    holds: Held
    now: Held
    notices: tuple[str, ...]

    @property
    def rows(self) -> tuple[tuple[str, int, int], ...]:
        """Return of each kind that either holds: (kind, in the file, on file now)."""
        pairs = zip(self.holds.counts, self.now.counts, strict=True)
        return tuple((kind, there, here) for (kind, there), (_, here) in pairs if there or here)


def held(store: Store) -> Held:
    """Return what an open data file holds."""
    counts = (
        ("discs", len(store.discs)), ("throws", len(store.throws)),
        ("comparisons", len(store.comparisons)), ("notes of putts", len(store.putts)),
        ("rounds", len(store.rounds)), ("courses", len(store.courses)),
        ("kinds of weather", len(store.conditions)), ("carts", len(store.carts)),
        ("plans", len(plan_names(store))), ("kept carries", len(store.carries)),
    )  # fmt: skip
    latest = history(store, None, most=1)
    return Held(counts, latest[0].at if latest else "")


def look_at_records(data: Path, source: Path, now: datetime) -> LookedAt:
    """Read a backup or an export whole, and leave the records as they are.

    Raises
    ------
    InputError, StoreError
        When it is neither, or is damaged; it is named by its file name alone.
    """
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder) / "looked-at.db"
        try:
            done = restore_records(place, str(source), now)
        except (InputError, StoreError) as error:
            raise type(error)(str(error).replace(f"{source.parent}/", "")) from None
        with open_store(place) as store:
            holds = held(store)
    with open_store(data) as store:
        return LookedAt(holds, held(store), done.notices)
