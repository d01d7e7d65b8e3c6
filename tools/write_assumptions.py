"""Write docs/assumptions.md from the assumptions in the code.

Usage: ``python tools/write_assumptions.py`` (or ``make docs``)
"""

from __future__ import annotations

from dataclasses import fields
from pathlib import Path

from rimwise.records.assumptions import Assumptions, assumption_table

PAGE = Path(__file__).parents[1] / "docs" / "assumptions.md"

OPENING = """\
# What Rimwise assumes

This page is written by `make docs` from `rimwise.records.assumptions`; change it there.

No value below was measured. Each is a starting point that you may change:
`rimwise assume --set NAME VALUE` keeps your value in your data file, `rimwise assume` lists
all of them with the values in use, and every report says which ones it was computed with.
"Memory" means written down from memory and unverified; "common practice" means that players
agree on it without a source.

"""


def page() -> str:
    """Return the page as Markdown: one row per assumption, in the order of the code."""
    limits = {item.name: item.metadata for item in fields(Assumptions)}
    rows = [
        f"| `{row['name']}` | {row['default']:g}{_unit(row['unit'])} "
        f"| {limits[str(row['name'])]['low']:g} to {limits[str(row['name'])]['high']:g} "
        f"| {row['why']} |"
        for row in assumption_table(Assumptions())
    ]
    return OPENING + "\n".join(
        ["| name | value | may be | what it stands for, and why |", "|---|---|---|---|", *rows, ""]
    )


def _unit(unit: object) -> str:
    return f" {unit}" if unit else ""


if __name__ == "__main__":
    PAGE.write_text(page(), encoding="utf-8")
