"""What an owner writes in the cells about a disc: weights, wear, places, grip, money."""

from __future__ import annotations

import re

from rimwise.records.discs import (
    GRIP_WORDS,
    WEIGHT_HIGH_G,
    WEIGHT_LOW_G,
    Status,
    Weight,
    WeightRelativeTo,
)
from rimwise.store.exchange.cells import OUNCE_G, number_in, text_in
from rimwise.store.exchange.problems import CellError

__all__ = [
    "ROUGH_SD_G",
    "STATUS_WORDS",
    "WEAR_WORDS",
    "cost_in",
    "grade_in",
    "status_in",
    "wear_in",
    "weight_in",
    "weight_said",
]

#: Standard deviation of a weight "170ish". An assumption.
ROUGH_SD_G = 3.0

#: Words for wear on our scale from 0 (new) to 1 (beaten in). An assumption.
WEAR_WORDS = {
    "new": 0.0, "unthrown": 0.0, "mint": 0.0, "as new": 0.05, "like new": 0.05,
    "good": 0.2, "fair": 0.4, "used": 0.4, "seasoned": 0.5, "worn": 0.6, "old": 0.7,
    "beaten": 0.9, "beat": 0.9, "beaten in": 1.0, "beat in": 1.0, "beat up": 1.0,
}  # fmt: skip

#: Words for where a disc is.
STATUS_WORDS = {
    **{status.value: status for status in Status},
    "carry": Status.CARRIED, "in the carry": Status.CARRIED, "cart": Status.CARRIED,
    "on the cart": Status.CARRIED, "home": Status.HOME, "shelf": Status.HOME, "": Status.HOME,
    "car": Status.CAR, "boot": Status.CAR, "trunk": Status.CAR, "lent out": Status.LENT,
    "practice": Status.PRACTICE, "practise": Status.PRACTICE,
}  # fmt: skip

_GRADES = {word: float(grade) for grade, word in GRIP_WORDS.items()}

_WEIGHT_EXAMPLE = "170, 170ish or 5 g lighter than another disc's name"
_ROUGH = r"(?P<rough>~|c\.?|ca\.?|about|around|roughly)?\s*"
_AMOUNT = r"(?P<amount>\d*[.,]?\d+(?:e-?\d+)?)\s*(?P<unit>[a-z]*)\.?\s*"
_NUMBER = r"\d+(?:[.,]\d+)?"
_PLAIN = re.compile(rf"{_ROUGH}{_AMOUNT}(?P<ish>ish|or so|\?)?")
_RANGE = re.compile(rf"(?P<low>{_NUMBER})\s*(?:-|–|to)\s*(?P<high>{_NUMBER})\s*(?P<unit>[a-z]*)")
_RELATIVE = re.compile(
    rf"{_ROUGH}{_AMOUNT}(?P<way>lighter|heavier)\s+than\s+(?P<other>.+)",
    re.IGNORECASE | re.DOTALL,
)
_SAME = re.compile(r"(?:the )?same (?:weight )?as\s+(?P<other>.+)", re.IGNORECASE | re.DOTALL)
_UNIT_FACTOR_G = {
    "": 1.0, "g": 1.0, "gr": 1.0, "gram": 1.0, "grams": 1.0,
    "oz": OUNCE_G, "ounce": OUNCE_G, "ounces": OUNCE_G,
}  # fmt: skip


def weight_in(cell: str, header_unit: str, sd_g: float | None = None) -> Weight | WeightRelativeTo:
    """Return the weight in a cell.

    Parameters
    ----------
    cell
        For example ``170``, ``6 oz``, ``170ish``, ``170-172``, ``5 g lighter than nh27-red``.
    header_unit
        Unit named in the header (``"g"``, ``"oz"`` or ``""``); one in the cell comes first.
    sd_g
        Standard deviation, when a column of its own gives it.

    Raises
    ------
    CellError
        When the cell is no weight of a disc.
    """
    relative = _relative(cell, sd_g)
    if relative:
        return relative
    low_cell = cell.strip().lower()
    span = _RANGE.fullmatch(low_cell)
    if span:
        low = _grams(cell, span["low"], span["unit"], header_unit)
        high = _grams(cell, span["high"], span["unit"], header_unit)
        return Weight((low + high) / 2.0, max(1.0, (high - low) / 2.0) if sd_g is None else sd_g)
    plain = _PLAIN.fullmatch(low_cell)
    if not plain:
        shown = f"is {cell.strip()!r}" if low_cell else "is empty"
        raise CellError(f"weight {shown}", f"write {_WEIGHT_EXAMPLE}")
    unit = plain["unit"].removesuffix("ish")
    rough = bool(plain["rough"] or plain["ish"] or unit != plain["unit"])
    grams = _grams(cell, plain["amount"], unit, header_unit)
    return Weight(grams, (ROUGH_SD_G if rough else 1.0) if sd_g is None else sd_g)


def weight_said(weight: Weight | WeightRelativeTo) -> str:
    """Return a weight as :func:`weight_in` reads it, to a tenth of a gram."""
    if isinstance(weight, WeightRelativeTo):
        if weight.offset_g == 0.0:
            return f"same as {weight.disc_id}"
        way = "lighter" if weight.offset_g < 0.0 else "heavier"
        return f"{abs(weight.offset_g):g} g {way} than {weight.disc_id}"
    grams, sd_g = round(weight.grams, 1), round(weight.sd_g, 1)
    if sd_g <= 1.0:
        return f"{grams:g}"
    return f"{grams:g}ish" if sd_g == ROUGH_SD_G else f"{grams - sd_g:g}-{grams + sd_g:g}"


def _relative(cell: str, sd_g: float | None) -> WeightRelativeTo | None:
    same = _SAME.fullmatch(cell.strip())
    if same:
        return WeightRelativeTo(text_in(same["other"]), 0.0, 2.0 if sd_g is None else sd_g)
    match = _RELATIVE.fullmatch(cell.strip())
    if not match:
        return None
    unit = match["unit"].lower()
    if unit not in _UNIT_FACTOR_G:
        raise CellError(f"weight has the unit {unit!r}", "write the difference in g, as in 5 g")
    offset = number_in(match["amount"], "weight", "5") * _UNIT_FACTOR_G[unit]
    if offset > 100.0:
        raise CellError(f"weight differs by {offset:g} g", "write a difference of at most 100 g")
    sign = -1.0 if match["way"].lower() == "lighter" else 1.0
    rough_sd_g = ROUGH_SD_G if match["rough"] else 2.0
    return WeightRelativeTo(
        text_in(match["other"]), sign * offset, rough_sd_g if sd_g is None else sd_g
    )


def _grams(cell: str, amount: str, unit: str, header_unit: str) -> float:
    """Return grams, suspecting the other unit where only that makes a disc."""
    value = number_in(amount, "weight", "170")
    chosen = unit or header_unit
    if chosen not in _UNIT_FACTOR_G:
        raise CellError(f"weight is {cell.strip()!r}", "write it in g or oz, as in 170 g or 6 oz")
    grams = value * _UNIT_FACTOR_G[chosen]
    if WEIGHT_LOW_G <= grams <= WEIGHT_HIGH_G:
        return grams
    shown = f"weight is {amount} {'oz' if _UNIT_FACTOR_G[chosen] != 1.0 else 'g'}"
    if WEIGHT_LOW_G <= value <= WEIGHT_HIGH_G:
        raise CellError(shown, f"that looks like grams: write {amount} g")
    if WEIGHT_LOW_G <= value * OUNCE_G <= WEIGHT_HIGH_G:
        raise CellError(shown, f"that looks like ounces: write {amount} oz")
    raise CellError(
        shown, f"a disc weighs {WEIGHT_LOW_G:g} to {WEIGHT_HIGH_G:g} g: write {_WEIGHT_EXAMPLE}"
    )


def wear_in(cell: str) -> float:
    """Return the wear in a cell: 0 to 1, a percentage or a word; empty is new.

    Raises
    ------
    CellError
        When the cell is none of these.
    """
    word = " ".join(cell.lower().split())
    if not word:
        return 0.0
    if word in WEAR_WORDS:
        return WEAR_WORDS[word]
    example = "0.3, 30 % or a word: new, good, worn, beaten"
    value = number_in(word.removesuffix("%").strip(), "wear", example)
    if word.endswith("%"):
        value /= 100.0
    if not 0.0 <= value <= 1.0:
        raise CellError(f"wear is {cell.strip()}", f"write {example}")
    return value


def status_in(cell: str) -> Status:
    """Return where a disc is; empty is at home.

    Raises
    ------
    CellError
        When the word is none of ours.
    """
    word = " ".join(cell.lower().split())
    if word not in STATUS_WORDS:
        raise CellError(
            f"status is {cell.strip()!r}",
            "write one of " + ", ".join(status.value for status in Status),
        )
    return STATUS_WORDS[word]


def cost_in(cell: str) -> float | None:
    """Return the cost in a cell, without its currency; empty is unknown.

    Raises
    ------
    CellError
        When no amount is left or it is negative or absurd.
    """
    amount = re.sub(r"^[^\d+\-.,−]+|[^\d.,]+$", "", cell.strip())
    if not cell.strip():
        return None
    value = number_in(amount or cell, "cost", "12.50")
    if not 0.0 <= value <= 100_000.0:
        raise CellError(f"cost is {cell.strip()}", "write what it cost, as in 12.50")
    return value


def grade_in(cell: str, field: str) -> float | None:
    """Return a grip grade from 1 to 5 or its word; empty is none.

    Raises
    ------
    CellError
        When it is neither.
    """
    word = cell.strip().lower()
    if not word:
        return None
    if word in _GRADES:
        return _GRADES[word]
    example = "1 to 5 or a word: " + ", ".join(_GRADES)
    value = number_in(word, field, example)
    if not 1.0 <= value <= 5.0:
        raise CellError(f"{field} is {cell.strip()}", f"write {example}")
    return value
