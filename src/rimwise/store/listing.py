"""Evidence by the page: the latest of many, without reading them all."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

from rimwise.records.evidence import Throw

if TYPE_CHECKING:
    from rimwise.store.store import Store

__all__ = ["count_of", "latest_throws", "newest_numbers", "older_throws"]

#: Columns that name a disc, by log.
_DISC_COLUMNS = {
    "throws": ("disc_id",),
    "comparisons": ("more", "less"),
    "grip_grades": ("disc_id",),
    "condition_grades": ("disc_id",),
    "knocks": ("disc_id",),
}
#: Throws of each disc in the order from its latest day back; within a day the last noted first.
_RANKED = (
    'SELECT id, disc_id, "on", row_number() OVER '
    '(PARTITION BY disc_id ORDER BY "on" DESC, id DESC) AS place FROM throws'
)


def latest_throws(store: Store, most: int) -> list[tuple[int, Throw]]:
    """Return (number, throw) of the latest throws of each disc, in the order they were added."""
    if most <= 0:
        return []
    latest = f"id IN (SELECT id FROM ({_RANKED}) WHERE place <= ?)"  # noqa: S608
    return store.throws.where(latest, (most,))


def newest_numbers(
    store: Store, log: str, most: int, *, disc: str | None = None, since: date | None = None
) -> list[tuple[str, int]]:
    """Return (day, number) of what was noted last in one log, the latest day first.

    Parameters
    ----------
    log
        Name of the log: ``throws``, ``putts`` and so on.
    disc
        Only what names this disc; nothing in a log whose entries name none.
    """
    where, cells = _conditions(log, disc, since)
    if where is None:
        return []
    rows = store.connection.rows(
        f'SELECT "on", id FROM {log} {where} ORDER BY "on" DESC, id DESC LIMIT ?',  # noqa: S608
        (*cells, most),
    )
    return [(str(on), int(str(number))) for on, number in rows]


def count_of(store: Store, log: str, *, disc: str | None = None, since: date | None = None) -> int:
    """Return how many entries of one log there are, of all days or since one."""
    where, cells = _conditions(log, disc, since)
    if where is None:
        return 0
    rows = store.connection.rows(f"SELECT count(*) FROM {log} {where}", cells)  # noqa: S608
    return int(str(rows[0][0]))


def _conditions(
    log: str, disc: str | None, since: date | None
) -> tuple[str | None, tuple[str, ...]]:
    """Return an SQL condition and its cells; no condition where nothing can fit."""
    parts: list[str] = []
    cells: list[str] = []
    if disc is not None:
        columns = _DISC_COLUMNS.get(log, ())
        if not columns:
            return None, ()
        parts.append("(" + " OR ".join(f"{column} = ?" for column in columns) + ")")
        cells += [disc] * len(columns)
    if since is not None:
        parts.append('"on" >= ?')
        cells.append(since.isoformat())
    return ("WHERE " + " AND ".join(parts) if parts else ""), tuple(cells)


def older_throws(store: Store, most: int) -> dict[tuple[str, date], int]:
    """Return how many other throws there are, by disc and day."""
    if most <= 0:  # all of them: to rank them takes longer than to count them
        rows = store.connection.rows(
            'SELECT disc_id, "on", count(*) FROM throws GROUP BY disc_id, "on"'
        )
        return _counted(rows)
    rows = store.connection.rows(
        f'SELECT disc_id, "on", count(*) FROM ({_RANKED}) WHERE place > ? '  # noqa: S608
        'GROUP BY disc_id, "on"',
        (most,),
    )
    return _counted(rows)


def _counted(rows: list[tuple[object, ...]]) -> dict[tuple[str, date], int]:
    days = {on: date.fromisoformat(str(on)) for _, on, _ in rows}
    return {(str(disc), days[on]): int(str(count)) for disc, on, count in rows}
