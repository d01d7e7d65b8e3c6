"""How worn the owner's discs are by now, from their use, knocks and grades on record."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import date

from rimwise.beliefs.wear import WearHistory, histories_of, last_day, wear_on
from rimwise.records.assumptions import Assumptions
from rimwise.records.discs import Disc
from rimwise.records.evidence import Recorded
from rimwise.store.listing import latest_throws, older_throws
from rimwise.store.store import Store

__all__ = [
    "WEAR_NOTED_ON",
    "as_worn",
    "recorded_in",
    "remember_wear",
    "wear_by_day",
    "wear_histories",
]

#: Setting that keeps on which day the wear of a disc's own record was noted, by its name.
WEAR_NOTED_ON = "wear_noted_on"


def recorded_in(store: Store, *, latest: int | None = None) -> Recorded:
    """Return everything that the owner recorded and did not delete.

    Parameters
    ----------
    latest
        Hold only so many throws of each disc, its latest, and count the others: the same as
        :meth:`Recorded.latest`, without reading them all. Putts are left out then.
    """
    with store.connection.snapshot():
        throws = store.throws.all() if latest is None else latest_throws(store, latest)
        return Recorded(
            throws=tuple(record for _, record in throws),
            comparisons=tuple(record for _, record in store.comparisons.all()),
            grip_grades=tuple(record for _, record in store.grip_grades.all()),
            condition_grades=tuple(record for _, record in store.condition_grades.all()),
            knocks=tuple(record for _, record in store.knocks.all()),
            putts=tuple(record for _, record in store.putts.all()) if latest is None else (),
            rounds=tuple(record for _, record in store.rounds.all()),
            left_out={} if latest is None else older_throws(store, latest),
        )


def wear_histories(
    store: Store, assume: Assumptions, recorded: Recorded | None = None
) -> dict[str, WearHistory]:
    """Return what wears each disc, by its name, for the discs of which anything is on record."""
    return histories_of(
        recorded_in(store, latest=0) if recorded is None else recorded,
        store.discs.all(),
        {plastic.name: plastic for plastic in store.plastics.all()},
        [carry for _, carry in store.carries.all()],
        assume,
        {
            name: date.fromisoformat(on)
            for name, on in store.settings.get(WEAR_NOTED_ON, {}).items()
        },
    )


def remember_wear(store: Store, names: Iterable[str], today: date) -> None:
    """Keep that the wear of these discs was noted ``today``.

    Use from then on wears them further; use before did so already.
    """
    days = store.settings.get(WEAR_NOTED_ON, {})
    store.settings.put(WEAR_NOTED_ON, days | dict.fromkeys(names, today.isoformat()))


def wear_by_day(
    histories: Mapping[str, WearHistory],
    asked: Iterable[tuple[str, date]],
    assume: Assumptions,
) -> dict[tuple[str, date], float]:
    """Return how worn discs were on days, for pairs of a name and a day."""
    days: dict[str, set[date]] = {}
    for disc_id, on in asked:
        if disc_id in histories:
            days.setdefault(disc_id, set()).add(on)
    found: dict[tuple[str, date], float] = {}
    for disc_id, own in days.items():
        known = sorted(own)
        means = wear_on(histories[disc_id], known, assume)[:, 0].tolist()
        found.update({(disc_id, on): wear for on, wear in zip(known, means, strict=True)})
    return found


def as_worn(
    store: Store, discs: Iterable[Disc], assume: Assumptions, recorded: Recorded | None = None
) -> list[Disc]:
    """Return discs as worn on the last day of which anything is on record."""
    recorded = recorded_in(store, latest=0) if recorded is None else recorded
    last = last_day(recorded)
    if last is None:
        return list(discs)
    histories = wear_histories(store, assume, recorded)
    now = wear_by_day(histories, ((name, last) for name in histories), assume)
    return [
        replace(disc, wear=now[disc.id, last]) if (disc.id, last) in now else disc for disc in discs
    ]
