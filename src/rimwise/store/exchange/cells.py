"""Reading one cell: numbers in the writing of any country, yes and no, units."""

from __future__ import annotations

import math
import re
from collections.abc import Callable

from rimwise.store.exchange.problems import CellError

__all__ = ["UNITS", "number_in", "text_in", "yes_or_no"]

_NUMBER = re.compile(r"[+-]?(\d+(\.\d*)?|\.\d+)([eE][+-]?\d+)?")
_YES = {"yes", "y", "true", "1", "x", "wet", "floats", "ja", "oui", "si", "sí"}
_NO = {"no", "n", "false", "0", "-", "dry", "sinks", "nein", "non", ""}

#: Avoirdupois ounce in grams and foot, mile, nautical mile, inch in metres: exact by the
#: international yard and pound agreement (1959) and the nautical mile of 1929.
OUNCE_G = 28.349523125

#: How a value in a unit becomes the value in the first unit of its kind.
UNITS: dict[str, Callable[[float], float]] = {
    "g": lambda value: value,
    "oz": lambda value: value * OUNCE_G,
    "c": lambda value: value,
    "f": lambda value: (value - 32.0) / 1.8,
    "hpa": lambda value: value,
    "inhg": lambda value: value * 33.8638864,  # hPa at 0 °C, NIST SP 811, B.8
    "kpa": lambda value: value * 10.0,
    "m s": lambda value: value,
    "kt": lambda value: value * 1852.0 / 3600.0,
    "mph": lambda value: value * 1609.344 / 3600.0,
    "km h": lambda value: value / 3.6,
    "m": lambda value: value,
    "cm": lambda value: value / 100.0,
    "mm": lambda value: value / 1000.0,
    "ft": lambda value: value * 0.3048,
    "fraction": lambda value: value,
    "percent": lambda value: value / 100.0,
    "deg": lambda value: value,
}


def number_in(cell: str, field: str, example: str) -> float:
    """Return the number in a cell; a decimal comma and a typographic minus are understood.

    Parameters
    ----------
    cell
        The text, without a unit.
    field
        What the number is, for the sentence.
    example
        A value to type instead, for the sentence.

    Raises
    ------
    CellError
        When the cell is no number.
    """
    plain = cell.strip().replace("\u2212", "-").replace("\u2013", "-").replace("\u00a0", "")
    if re.fullmatch(r"[+-]?\d*,\d+", plain):
        plain = plain.replace(",", ".")
    if not _NUMBER.fullmatch(plain) or not math.isfinite(float(plain)):
        shown = f"is {cell.strip()!r}, which is no number" if cell.strip() else "is empty"
        raise CellError(f"{field} {shown}", f"write a number such as {example}")
    return float(plain)


def text_in(cell: str) -> str:
    """Return the text of a cell, without the apostrophe that keeps a spreadsheet calm.

    A text that begins with ``=``, ``+``, ``-``, ``@``, a tab or a return would be run as a
    formula by a spreadsheet; our export puts one apostrophe before it, and this takes one
    away. White space around the text is dropped.
    """
    text = cell.strip()
    return text[1:] if re.match(r"'+[=+\-@\t\r\n]", text) else text


def yes_or_no(cell: str, field: str) -> bool:
    """Return whether a cell says yes.

    Raises
    ------
    CellError
        When it says neither.
    """
    word = cell.strip().lower()
    if word in _YES:
        return True
    if word in _NO:
        return False
    raise CellError(f"{field} is {cell.strip()!r}", "write yes or no")
