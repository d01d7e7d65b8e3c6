"""Plain lines about discs, as one would write them in a message to a friend."""

from __future__ import annotations

import re
from collections.abc import Iterable

from rimwise.store.exchange.collector import Collector
from rimwise.store.exchange.disc_cells import STATUS_WORDS, WEAR_WORDS, weight_in
from rimwise.store.exchange.known import Known, fold
from rimwise.store.exchange.problems import CellError
from rimwise.store.exchange.tables import Row

__all__ = ["rows_of_lines"]

_BULLET = re.compile(r"^\s*(?:[-*•]|\d+[.)])\s+")
_EXAMPLE = "blue NH 27, soft base, 170ish, old"


def rows_of_lines(text: str, known: Known, collector: Collector) -> list[Row]:
    """Turn lines such as "blue NH 27, soft base, 170ish, old" into rows of cells.

    The first part holds the mold and, in what is left of it, the colour. Of the other parts
    one is the weight, one may be a word for wear, one a place, and the first that is none of
    these the plastic (or any part that names a plastic on file); the rest is the note. Empty
    lines and lines that begin with # are skipped.
    """
    rows = []
    for number, line in enumerate(text.splitlines(), start=1):
        bare = _BULLET.sub("", line).strip()
        if bare and not bare.startswith("#"):
            row = _row(number, bare, known, collector)
            if row is not None:
                rows.append(row)
    return rows


def _row(number: int, line: str, known: Known, collector: Collector) -> Row | None:
    parts = [part.strip() for part in re.split(r"[,;\t]", line)]
    first, *others = [part for part in parts if part] or [line]
    found = _mold_in(first, [mold.name for mold in known.molds])
    if found is None:
        collector.problem(
            number,
            "mold",
            f"no mold on file is named in '{first}'",
            f"add the mold with its four printed numbers first, then write a line such as "
            f"'{_EXAMPLE}'",
        )
        return None
    mold, colour = found
    cells = {"mold": mold, "colour": colour, **_sorted_parts(others, known)}
    missing = [name for name in ("plastic", "weight") if name not in cells]
    for name in missing:
        collector.problem(
            number, name, f"the {name} is missing in '{line}'", f"write a line such as '{_EXAMPLE}'"
        )
    return None if missing else Row(number, cells)


def _mold_in(part: str, molds: Iterable[str]) -> tuple[str, str] | None:
    """Return the longest mold named in the part, and the rest of the part."""
    for mold in sorted(molds, key=len, reverse=True):
        letters = [re.escape(letter) for letter in mold if not letter.isspace()]
        pattern = r"(?<!\w)" + r"[\s-]*".join(letters) + r"(?!\w)"
        match = re.search(pattern, part, re.IGNORECASE)
        if match:
            rest = f"{part[: match.start()]} {part[match.end() :]}"
            return mold, " ".join(rest.split())
    return None


def _sorted_parts(parts: Iterable[str], known: Known) -> dict[str, str]:
    """Tell weight, plastic, wear and place apart; what is left is the note."""
    plastics = {fold(plastic.name) for plastic in known.plastics}
    names_plastic = any(fold(part) in plastics for part in parts)
    cells: dict[str, str] = {}
    notes = []
    for part in parts:
        kind = _kind(part, plastics, guess_plastic=not names_plastic and "plastic" not in cells)
        if kind is None or kind in cells:
            notes.append(part)
        else:
            cells[kind] = part
    return {**cells, "note": ", ".join(notes)}


def _kind(part: str, plastics: set[str], *, guess_plastic: bool) -> str | None:
    word = " ".join(part.lower().split())
    if fold(part) in plastics:
        return "plastic"
    if word in WEAR_WORDS or re.fullmatch(r"\d+\s*%", word):
        return "wear"
    if word in STATUS_WORDS:
        return "status"
    if _is_weight(part):
        return "weight"
    return "plastic" if guess_plastic and not any(map(str.isdigit, part)) else None


def _is_weight(part: str) -> bool:
    """Return whether the part is meant as a weight, be it a good one or not."""
    try:
        weight_in(part, "")
    except CellError as error:
        return "looks like" in error.instead or "a disc weighs" in error.instead
    return True
