"""Discs from a table or from plain lines."""

from __future__ import annotations

from rimwise.store.exchange.collector import Collector
from rimwise.store.exchange.disc_lines import rows_of_lines
from rimwise.store.exchange.disc_rows import DISC_COLUMNS, DiscsRead, assemble
from rimwise.store.exchange.known import Known
from rimwise.store.exchange.problems import Problem
from rimwise.store.exchange.tables import Table, count_recognised, read_table
from rimwise.store.exchange.text import read_text

__all__ = ["DiscsRead", "read_discs", "read_discs_csv", "read_discs_lines"]


def read_discs(data: str | bytes, name: str, known: Known | None = None) -> DiscsRead:
    """Read discs from a table if the first line is a header, else from plain lines.

    Parameters
    ----------
    data
        Content of a file, or pasted text.
    name
        Name of the file, for messages.
    known
        What is on file already.

    Raises
    ------
    InputError
        When the file as a whole cannot be read.
    """
    text, notices = read_text(data, name)
    if count_recognised(text, DISC_COLUMNS) >= 2:
        return _from_table(text, name, known or Known(), notices)
    return _from_lines(text, name, known or Known(), notices)


def read_discs_csv(data: str | bytes, name: str, known: Known | None = None) -> DiscsRead:
    """Read discs from a table with a header, columns in any order.

    Needed are the mold, the plastic, the weight and, for a mold not on file, the four printed
    numbers (speed, glide, turn, fade). Understood as well: disc (its own name; made from mold
    and colour where missing), maker, colour, mark, run, wear, condition, status, cost, floats,
    grip cold-dry, cold-wet, warm-dry and hot-sweaty, meaning, note, and the sd of the weight,
    the diameter and the rim width of the mold.

    Parameters and errors are those of :func:`read_discs`.
    """
    text, notices = read_text(data, name)
    return _from_table(text, name, known or Known(), notices)


def read_discs_lines(data: str | bytes, name: str, known: Known | None = None) -> DiscsRead:
    """Read discs from plain lines such as ``blue NH 27 7/5/-1/2, soft base, 170ish, old``.

    A mold's four printed numbers are needed once: on file or in one of the lines.
    Parameters and errors are those of :func:`read_discs`.
    """
    text, notices = read_text(data, name)
    return _from_lines(text, name, known or Known(), notices)


def _from_table(text: str, name: str, known: Known, notices: list[Problem]) -> DiscsRead:
    table = read_table(text, name, DISC_COLUMNS)
    collector = Collector(name)
    collector.add_problems(table.problems)
    collector.notices += notices
    for header in table.unknown:
        collector.notice(1, header, f"the column '{header}' is not used", "rename it if it matters")
    if _columns_missing(table, collector):
        return DiscsRead((), (), (), *collector.in_order())
    return assemble(table.rows, table.units, known, collector)


def _from_lines(text: str, name: str, known: Known, notices: list[Problem]) -> DiscsRead:
    collector = Collector(name)
    collector.notices += notices
    rows = rows_of_lines(text, known, collector)
    return assemble(rows, {}, known, collector)


def _columns_missing(table: Table, collector: Collector) -> bool:
    """Note each column without which no disc can be read."""
    needed = {
        "mold": "the name of the mold",
        "plastic": "the plastic in plain words, such as soft base",
        "weight": "the weight in g or oz, such as 170 or 170ish",
    }
    if "disc" in table.columns:
        needed["mold"] += " (or rename the column of disc names, if molds stand in it)"
    missing = [name for name in needed if name not in table.columns]
    for name in missing:
        collector.problem(
            1, name, f"there is no column '{name}'", f"add a column '{name}' with {needed[name]}"
        )
    return bool(missing)
