"""Evidence in an owner's words: lengths, dates, comparisons and putts, read.

What people write is understood where it can mean one thing only; a bare number that could be
metres or feet is refused with what to type instead.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from datetime import date, timedelta

from rimwise.errors import InputError
from rimwise.records.evidence import Quality
from rimwise.records.words import METRES_PER_FOOT, MPH_PER_M_S

__all__ = [
    "LENGTH_UNITS_M",
    "SPEED_UNITS_M_S",
    "ComparisonSaid",
    "air_in",
    "comparison_in",
    "date_in",
    "length_in",
    "made_tried_in",
    "read_number",
    "speed_in",
    "spin_in",
]

#: Metres in a unit of length (the international yard is 0.9144 m exactly).
LENGTH_UNITS_M = {
    "m": 1.0, "metre": 1.0, "metres": 1.0, "meter": 1.0, "meters": 1.0,
    "ft": METRES_PER_FOOT, "feet": METRES_PER_FOOT, "foot": METRES_PER_FOOT,
    "'": METRES_PER_FOOT, "yd": 0.9144, "yds": 0.9144, "yard": 0.9144, "yards": 0.9144,
}  # fmt: skip

#: Metres a second in a unit of speed; the knot is 1852 m an hour.
SPEED_UNITS_M_S = {
    "m/s": 1.0, "ms": 1.0, "mps": 1.0, "mph": 1.0 / MPH_PER_M_S, "km/h": 1.0 / 3.6,
    "kmh": 1.0 / 3.6, "kph": 1.0 / 3.6, "kt": 1852.0 / 3600.0, "kn": 1852.0 / 3600.0,
    "knots": 1852.0 / 3600.0,
}  # fmt: skip

_NUMBER = r"[+\-−]?\d+(?:[.,]\d+)?"
_SPEED_UNIT = "|".join(re.escape(unit) for unit in sorted(SPEED_UNITS_M_S, key=len, reverse=True))

#: Kinds of air that grip is graded in, by the words in them.
_AIRS = {
    ("cold", "dry"): "cold-dry", ("cold", "wet"): "cold-wet", ("dry", "warm"): "warm-dry",
    ("hot", "sweaty"): "hot-sweaty", ("hot",): "hot-sweaty", ("sweaty",): "hot-sweaty",
}  # fmt: skip

_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")

#: Earlier dates are slips of the pen.
_FIRST_YEAR = 1970


def read_number(text: str) -> float:
    """Read a number with a decimal point or comma and any sign of minus.

    Raises
    ------
    ValueError
        When it is none.
    """
    return float(text.replace("−", "-").replace(",", "."))


def length_in(text: str, what: str, default_unit: str = "") -> float:
    """Read a length such as "64m", "210 ft" or "70yd" as metres.

    Parameters
    ----------
    what
        What the length is, for the sentence.
    default_unit
        Unit of a bare number, where another place named it.

    Raises
    ------
    InputError
        When it is no length, or a bare number whose unit is nowhere named.
    """
    found = re.fullmatch(rf"({_NUMBER})\s*([a-z']*)", text.strip().lower())
    if not found or (found[2] and found[2] not in LENGTH_UNITS_M):
        raise InputError(f"{what} is {text.strip()!r}; write a length such as 64m or 210ft.")
    unit = found[2] or default_unit
    if not unit:
        raise InputError(f"{what} is {found[1]} without a unit; write {found[1]}m or {found[1]}ft.")
    return read_number(found[1]) * LENGTH_UNITS_M[unit]


def speed_in(text: str, what: str, default_unit: str = "") -> float:
    """Read a speed such as "22m/s", "50mph" or "80km/h" as m/s.

    Raises
    ------
    InputError
        When it is no speed, or a bare number whose unit is nowhere named.
    """
    found = re.fullmatch(rf"({_NUMBER})\s*({_SPEED_UNIT})?", text.strip().lower())
    if not found:
        raise InputError(f"{what} is {text.strip()!r}; write a speed such as 22m/s or 50mph.")
    unit = found[2] or default_unit
    if not unit:
        bare = found[1]
        raise InputError(f"{what} is {bare} without a unit; write {bare}m/s, {bare}mph or so.")
    return read_number(found[1]) * SPEED_UNITS_M_S[unit]


def spin_in(text: str, what: str) -> float:
    """Read a spin such as "1100rpm" as rad/s.

    Raises
    ------
    InputError
        When it is none.
    """
    found = re.fullmatch(rf"({_NUMBER})\s*(?:rpm|turns a minute|/min)", text.strip().lower())
    if not found:
        raise InputError(f"{what} is {text.strip()!r}; write turns a minute, as in 1100rpm.")
    return read_number(found[1]) * math.pi / 30.0


def date_in(text: str, today: date | None) -> date:
    """Read a date: 2026-05-03, 3 May 2026, 3 May (the latest one), today or yesterday.

    Parameters
    ----------
    today
        The present day; ``None`` when it is not known, so that no date is in the future.

    Raises
    ------
    InputError
        When it is no date, could be two dates, or is in the future.
    """
    said = " ".join(text.lower().replace(",", " ").split())
    day = _day_in(said, text, today)
    if day.year < _FIRST_YEAR:
        raise InputError(f"the date {day} is long ago; write one since {_FIRST_YEAR}.")
    if today is not None and day > today:
        raise InputError(f"the date {day} is in the future; today is {today}.")
    return day


def _day_in(said: str, text: str, today: date | None) -> date:
    if today is not None and said in ("today", "yesterday"):
        return today - timedelta(days=said == "yesterday")
    try:
        iso = re.fullmatch(r"(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})", said)
        if iso:
            return date(int(iso[1]), int(iso[2]), int(iso[3]))
        worded = re.fullmatch(r"(\d{1,2})\.? ([a-z]{3,9})\.?(?: (\d{4}))?", said) or re.fullmatch(
            r"(?P<m>[a-z]{3,9})\.? (?P<d>\d{1,2})(?:st|nd|rd|th)?(?: (?P<y>\d{4}))?", said
        )
        if worded:
            day, month, year = (
                (worded["d"], worded["m"], worded["y"])
                if "m" in worded.groupdict()
                else worded.groups()
            )
            if month[:3] in _MONTHS:
                return _worded(int(day), _MONTHS.index(month[:3]) + 1, year, today)
    except ValueError as error:
        raise InputError(
            f"there is no date {text.strip()!r} ({error}); correct it, as in 2026-05-03."
        ) from None
    raise InputError(
        f"the date is {text.strip()!r}; write year, month and day, as in 2026-05-03, or 3 May 2026."
    )


def _worded(day: int, month: int, year: str | None, today: date | None) -> date:
    """Return the date; without a year the latest that is not in the future."""
    if year is not None:
        return date(int(year), month, day)
    if today is None:
        raise ValueError("the year is missing")
    this_year = date(today.year, month, day)
    return this_year if this_year <= today else date(today.year - 1, month, day)


def air_in(text: str) -> str:
    """Read a kind of air for grip: cold-dry, cold-wet, warm-dry, hot-sweaty, in any order.

    Raises
    ------
    InputError
        When it is none of them.
    """
    words = tuple(sorted(re.findall(r"[a-z]+", text.lower().replace("and", " "))))
    if words not in _AIRS:
        raise InputError(
            f"grip is graded in cold-dry, cold-wet, warm-dry or hot-sweaty, not {text.strip()!r}."
        )
    return _AIRS[words]


def made_tried_in(text: str) -> tuple[int, int]:
    """Read "13/20" or "13 of 20" as made and tried.

    Raises
    ------
    InputError
        When it is neither.
    """
    found = re.fullmatch(r"(\d{1,5})\s*(?:/|of|out of)\s*(\d{1,5})", text.strip().lower())
    if not found:
        raise InputError(f"putts are {text.strip()!r}; write made and tried, as in 13/20.")
    return int(found[1]), int(found[2])


# -- comparisons -----------------------------------------------------------------------------

_SLIGHTLY = r"slightly|a little|a bit|a touch|somewhat"
_PLAINLY = r"plainly|clearly|much|far|a lot|way"
_HOW = rf"(?:(?:{_SLIGHTLY})|(?P<{{}}>{_PLAINLY}))\s+"
#: Verb, what follows it, quality, and whether the first disc has more of it. Turn and fade are what
#: stability is felt by: a disc that turns less, or fades more, is the more stable one.
_MORE = tuple(
    (
        re.compile(
            rf"\s(?:{_HOW.format('before')})?{verb}(?:{_HOW.format('after')})?"
            rf"(?:{words})(?: than)?\s",
            re.IGNORECASE,
        ),
        quality,
        more,
    )
    for verb, words, quality, more in (
        ("(?:is )?", "more stable|more overstable|stabler|less flippy", Quality.STABILITY, True),
        (
            "(?:is )?", "less stable|more understable|less overstable|more flippy|flippier",
            Quality.STABILITY, False,
        ),
        ("(?:turns|turns over|flips) ", "less", Quality.STABILITY, True),
        ("(?:turns|turns over|flips) ", "more", Quality.STABILITY, False),
        ("fades ", "more", Quality.STABILITY, True),
        ("fades ", "less", Quality.STABILITY, False),
        ("(?:is |goes |flies )?", "farther|further|longer", Quality.REACH, True),
        ("(?:is |goes |flies )?", "shorter|less far", Quality.REACH, False),
        ("(?:is )?", "grippier|grips better|better to grip|surer", Quality.GRIP, True),
        ("(?:is )?", "slipperier|slicker|grips worse|worse to grip", Quality.GRIP, False),
    )
)  # fmt: skip
_LIKE = {
    r"as stable as|(?:turns|fades) (?:as much as|like)": Quality.STABILITY,
    r"(?:goes |flies )?as far as": Quality.REACH,
    r"as grippy as|grips like": Quality.GRIP,
}
_SIGN = re.compile(r"(?:^|\s)(>>|<<|>|<|=|~)(?=\s|$)")
_TRAILING = re.compile(r"\s+(?:in )?(stability|reach|grip)$", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class ComparisonSaid:
    """A comparison as it was written: two names, and how they differ."""

    more: str
    less: str
    quality: Quality
    plainly: bool
    alike: bool


def comparison_in(text: str, quality: str | None = None) -> ComparisonSaid:
    """Read "A > B" (slightly), "A >> B" (plainly), "A = B" (about the same), or words.

    Words are such as "A is slightly more stable than B", "A turns much less than B", "A plainly
    farther than B", "A grips better than B" and "A about the same as B". ``<`` and ``<<`` are the
    other way round. What is compared is stability unless the words, ``quality`` or a last word
    (reach, grip) say otherwise.

    Raises
    ------
    InputError
        When no comparison is found.
    """
    said = " ".join(text.split())
    meant = None if quality is None else _quality(quality)
    trailing = _TRAILING.search(said)
    if trailing:
        meant, said = _agreed(meant, Quality(trailing[1].lower()), text), said[: trailing.start()]
    sign = _SIGN.search(said)
    if sign:
        first, second = said[: sign.start()].strip(), said[sign.end() :].strip()
        turned, plainly, alike = "<" in sign[1], len(sign[1]) == 2, sign[1] in "=~"
        return _said(first, second, meant or Quality.STABILITY, turned, plainly, alike, text)
    return _worded_comparison(said, meant, text)


def _worded_comparison(said: str, meant: Quality | None, text: str) -> ComparisonSaid:
    said = said.removesuffix(".")
    for words, quality in _LIKE.items():
        found = re.search(rf"\s(?:is )?(?:about )?(?:{words})\s", said, re.IGNORECASE)
        if found:
            sides = said[: found.start()].strip(), said[found.end() :].strip()
            return _said(*sides, _agreed(meant, quality, text), False, False, True, text)
    same = re.search(
        r"\s(?:is |turns |fades )?(?:about |nearly )?the same(?: (stability|reach|grip))? as\s",
        said,
        re.IGNORECASE,
    )
    if same:
        named = None if same[1] is None else Quality(same[1].lower())
        sides = said[: same.start()].strip(), said[same.end() :].strip()
        agreed = _agreed(meant, named, text) if named else meant or Quality.STABILITY
        return _said(*sides, agreed, False, False, True, text)
    for pattern, quality, more in _MORE:
        found = pattern.search(said)
        if found:
            sides = said[: found.start()].strip(), said[found.end() :].strip()
            agreed = _agreed(meant, quality, text)
            plainly = found["before"] is not None or found["after"] is not None
            return _said(*sides, agreed, not more, plainly, False, text)
    raise InputError(
        f"no comparison is found in {text.strip()!r}; write A > B (slightly more stable), A >> B "
        "(plainly) or A = B (about the same), between two discs, with spaces around the sign; or "
        "in words: is more stable than, is less stable than, turns less than, turns more than, "
        "fades more than, fades less than, goes farther than, goes shorter than, grips better "
        "than, grips worse than, is about the same as."
    )


def _said(
    first: str, second: str, quality: Quality, turned: bool, plainly: bool, alike: bool, text: str
) -> ComparisonSaid:
    if not first or not second:
        raise InputError(f"a comparison needs two discs, but one is missing in {text.strip()!r}.")
    more, less = (second, first) if turned else (first, second)
    return ComparisonSaid(more, less, quality, plainly, alike)


def _quality(word: str) -> Quality:
    try:
        return Quality(word.strip().lower())
    except ValueError:
        raise InputError(
            f"discs are compared in stability, reach or grip, not in {word.strip()!r}."
        ) from None


def _agreed(meant: Quality | None, found: Quality, text: str) -> Quality:
    if meant is not None and meant is not found:
        raise InputError(f"{text.strip()!r} speaks of {found}, not of {meant}; keep one of them.")
    return found
