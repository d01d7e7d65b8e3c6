"""Taking out: the owner's discs as a table that any spreadsheet opens and the import reads."""

from __future__ import annotations

from pathlib import Path

from rimwise.app.files import Written, write_whole
from rimwise.store.exchange.export import export_discs_csv
from rimwise.store.store import Store

__all__ = ["save_discs_table"]


def save_discs_table(store: Store, path: Path) -> Written:
    """Write every disc with its mold, plastic and grades into one CSV file.

    Raises
    ------
    StoreError
        When the file cannot be written.
    """
    table = export_discs_csv(store.discs.all(), store.molds.all(), store.plastics.all())
    return write_whole(path, table, "utf-8-sig")  # the mark lets spreadsheets see UTF-8
