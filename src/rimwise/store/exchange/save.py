"""Saving what was read, in one transaction."""

from __future__ import annotations

from rimwise.store.exchange.disc_rows import DiscsRead
from rimwise.store.exchange.known import Known
from rimwise.store.exchange.plastics import PlasticsRead
from rimwise.store.exchange.problems import refuse
from rimwise.store.store import Store

__all__ = ["known_in", "save_discs", "save_plastics"]


def known_in(store: Store) -> Known:
    """Return what a reader of discs should know is on file."""
    return Known.of(store.molds.all(), store.plastics.all(), store.discs.all())


def save_discs(store: Store, read: DiscsRead, *, keep_good: bool = False) -> int:
    """Save the discs of a file and return how many.

    Parameters
    ----------
    keep_good
        Save the good rows although others have problems.

    Raises
    ------
    InputError
        When there are problems and ``keep_good`` is false; nothing is saved then.
    """
    if not keep_good:
        refuse(read.problems)
    with store.atomic():
        store.molds.put_all(read.molds)
        store.plastics.put_all(read.plastics)
        store.discs.put_all(read.discs)
    return len(read.discs)


def save_plastics(store: Store, read: PlasticsRead, *, keep_good: bool = False) -> int:
    """Save the plastics of a file and return how many; otherwise as :func:`save_discs`."""
    if not keep_good:
        refuse(read.problems)
    store.plastics.put_all(read.plastics)
    return len(read.plastics)
