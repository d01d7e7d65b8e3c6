"""Plain lines about discs, as one would write them in a message to a friend."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass

from rimwise.records.colours import is_colour
from rimwise.records.discs import Mold
from rimwise.store.exchange.cells import number_in
from rimwise.store.exchange.collector import Collector
from rimwise.store.exchange.disc_cells import STATUS_WORDS, WEAR_WORDS, weight_in
from rimwise.store.exchange.known import Known, fold
from rimwise.store.exchange.problems import CellError
from rimwise.store.exchange.tables import Row

__all__ = ["rows_of_lines"]

_BULLET = re.compile(r"^\s*(?:[-*•]|\d+[.)])\s+")
_EXAMPLE = "blue NH 27, soft base, 170ish, old"
_WITH_NUMBERS = "blue NH 27 7/5/-1/2, soft base, 170ish, old"
_NUMBERS = ("speed", "glide", "turn", "fade")
_NUMBER, _SIGNED = r"(\d+(?:[.,]\d+)?)", r"([-+−–]?\d+(?:[.,]\d+)?)"
_BAR = r"\s*[/|]\s*"
#: Printed numbers with bars between, wherever they stand; or with spaces, at the end of the first
#: part and anywhere in a later one.
_BARRED = re.compile(
    rf"(?<![\w/|.,])\(?{_NUMBER}{_BAR}{_NUMBER}{_BAR}{_SIGNED}{_BAR}{_SIGNED}\)?(?!\w|[/|])"
)
_FOUR = rf"(?:^|\s)\(?{_NUMBER}\s+{_NUMBER}\s+{_SIGNED}\s+{_SIGNED}\)?"
_AT_END, _SPACED = re.compile(rf"{_FOUR}$"), re.compile(rf"{_FOUR}(?=\s|$)")
_SAYS = re.compile(r"\b(?:it says|says|on it|numbers?|printed)\b", re.IGNORECASE)
#: A weight at either end of a part that has more.
_WEIGHT = r"(?:about |around |~)?\d{2,3}(?:\.\d+)?(?:\s?(?:g|oz|ish|or so)(?!\w))?"
_WEIGHS = re.compile(
    rf"(?P<before>.*?\S)\s+(?P<last>{_WEIGHT})|(?P<first>{_WEIGHT})\s+(?P<after>\S.*)"
)
#: Words beside a mold that say what the disc is, and words that say nothing.
_KINDS = frozenset(
    {
        *("approach", "disc", "distance", "driver", "fairway", "mid", "mid-range", "midrange"),
        *("putt", "putter", "putting", "utility"),
    }
)
_ARTICLES = frozenset({"a", "an", "my", "one", "the"})


@dataclass(frozen=True, slots=True)
class _Line:
    """A line taken apart: what stands first, the parts after it, and printed numbers if any."""

    number: int
    said: str
    first: str
    others: tuple[str, ...]
    printed: tuple[str, ...]


def rows_of_lines(text: str, known: Known, collector: Collector) -> list[Row]:
    """Turn lines such as "blue NH 27 7/5/-1/2, soft base, 170ish, old" into rows of cells.

    The first part holds the mold and, in what is left of it, the colour. A mold that is not on
    file needs its four printed numbers, in one of its lines: with bars between them anywhere, or
    with spaces at the end of a part; what stands with them, without words of colour at either
    end, is its name. Of the other parts one is the weight, one may be a word for wear, one a
    place, and the first that is none of these the plastic (or any part that names a plastic on
    file); the rest is the note, with a word for what the disc is ("putter") where one stands beside
    the mold. Empty lines and lines that begin with # are skipped.
    """
    lines = []
    for number, line in enumerate(text.splitlines(), start=1):
        bare = _BULLET.sub("", line).strip()
        if bare and not bare.startswith("#"):
            lines.append(_line(number, bare))
    names = {fold(mold.name): mold.name for mold in known.molds}
    new = {line.number: _name_of(line, known) for line in lines if line.printed}
    names |= {fold(name): name for name in new.values() if name and fold(name) not in names}
    return [
        row
        for line in lines
        if (row := _row(line, new.get(line.number), names.values(), known, collector))
    ]


def _line(number: int, line: str) -> _Line:
    """Take a line apart."""
    barred = _BARRED.search(line)
    sides = [line[: barred.start()], line[barred.end() :]] if barred else [line]
    printed = barred.groups() if barred else ()
    parts = [part.strip() for side in sides for part in re.split(r"[,;\t]", side)]
    if not printed:
        printed, parts = _spaced(parts)
    first, *others = [part for part in parts if part] or [line]
    return _Line(number, line, first, tuple(others), printed)


def _spaced(parts: list[str]) -> tuple[tuple[str, ...], list[str]]:
    """Find printed numbers in one part, or one in each of four parts; return what is left."""
    for place, part in enumerate(parts):
        found = (_SPACED if place else _AT_END).search(part)
        if found:
            left = _SAYS.sub("", f"{part[: found.start()]} {part[found.end() :]}").strip()
            return found.groups(), [*parts[:place], left, *parts[place + 1 :]]
    for place in range(1, len(parts) - 3):
        four = parts[place : place + 4]
        if all(re.fullmatch(_SIGNED, one) for one in four):
            return tuple(four), [*parts[:place], *parts[place + 4 :]]
    return (), parts


def _weight_apart(parts: Iterable[str]) -> list[str]:
    """Part a weight from what stands beside it, as in "base 178"."""
    found: list[str] = []
    for part in parts:
        both = None if _is_weight(part) else _WEIGHS.fullmatch(part)
        found += [one for one in both.groups() if one] if both else [part]
    return found


def _name_of(line: _Line, known: Known) -> str:
    """Return what the mold of a line with numbers is called: a name on file where it is that."""
    words = line.first.split()
    bare = _between(words, _beside)
    name = " ".join(bare or _between(words, is_colour))
    if fold(name) in {fold(mold.name) for mold in known.molds}:
        return name
    alike = [mold.name for mold in known.molds if _numbers_agree(line.printed, mold)]
    found = _mold_in(line.first, alike)
    return found[0] if found else name


def _between(words: list[str], drop: Callable[[str], bool]) -> list[str]:
    """Return words without those at either end that are to be dropped."""
    kept = [place for place, word in enumerate(words) if not drop(word)]
    return words[kept[0] : kept[-1] + 1] if kept else []


def _numbers_agree(printed: Iterable[str], mold: Mold) -> bool:
    numbers = (mold.printed.speed, mold.printed.glide, mold.printed.turn, mold.printed.fade)
    try:
        return tuple(number_in(one, "number", "7") for one in printed) == numbers
    except CellError:  # told when the number is read
        return False


def _row(
    line: _Line, new: str | None, names: Iterable[str], known: Known, collector: Collector
) -> Row | None:
    """Return the cells of a line; ``new`` is what the mold is called if its numbers are here."""
    found = _mold_in(line.first, names if new is None else [new] if new else [])
    if found is None:
        wrong = "no mold is named" if line.printed else "no mold on file is named"
        collector.problem(
            line.number,
            "mold",
            f"{wrong} in '{line.first}'",
            f"a mold needs its four printed numbers (speed/glide/turn/fade) in one line, as in "
            f"'{_WITH_NUMBERS}'",
        )
        return None
    mold, before, after = found
    others = _weight_apart(line.others)
    sorted_parts = _sorted_parts(others, known)
    if not {"plastic", "weight"} <= sorted_parts.keys():
        # Without commas: what follows the mold and is no colour is the rest.
        rest = [word for word in after.split() if not _beside(word)]
        after = " ".join(word for word in after.split() if _beside(word))
        sorted_parts = _sorted_parts(
            [*_weight_apart([" ".join(rest)] if rest else []), *others], known
        )
    words = [word for word in f"{before} {after}".split() if word.casefold() not in _ARTICLES]
    colour = " ".join(word for word in words if word.casefold() not in _KINDS)
    stray = sorted_parts.pop("colour", "")
    cells = {"mold": mold, "colour": colour or stray, **sorted_parts}
    kinds = [word for word in words if word.casefold() in _KINDS]
    cells["note"] = ", ".join(
        part for part in (" ".join(kinds), stray if colour else "", cells["note"]) if part
    )
    cells |= dict(zip(_NUMBERS, line.printed, strict=False))
    missing = [name for name in ("plastic", "weight") if name not in cells]
    for name in missing:
        collector.problem(
            line.number,
            name,
            f"the {name} is missing in '{line.said}'",
            f"write a line such as '{_EXAMPLE}'",
        )
    return None if missing else Row(line.number, cells)


def _beside(word: str) -> bool:
    """Return whether a word stands beside a mold: a colour, what the disc is, or an article."""
    return is_colour(word) or word.casefold() in _KINDS | _ARTICLES


def _mold_in(part: str, molds: Iterable[str]) -> tuple[str, str, str] | None:
    """Return the longest mold named in the part, and what stands before and after it."""
    for mold in sorted(molds, key=len, reverse=True):
        letters = [re.escape(letter) for letter in mold if not letter.isspace()]
        pattern = r"(?<!\w)" + r"[\s-]*".join(letters) + r"(?!\w)"
        match = re.search(pattern, part, re.IGNORECASE)
        if match:
            return mold, part[: match.start()].strip(), part[match.end() :].strip()
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
    if guess_plastic and not any(map(str.isdigit, part)):
        return "plastic"
    return "colour" if all(map(is_colour, word.split())) else None


def _is_weight(part: str) -> bool:
    """Return whether the part is meant as a weight, be it a good one or not."""
    try:
        weight_in(part, "")
    except CellError as error:
        return "looks like" in error.instead or "a disc weighs" in error.instead
    return True
