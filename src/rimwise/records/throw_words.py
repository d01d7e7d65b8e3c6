"""A throw in an owner's words, read: "64m 5L bh flat 80%"."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from rimwise.errors import InputError
from rimwise.records.assumptions import Assumptions
from rimwise.records.evidence_words import (
    LENGTH_UNITS_M,
    SPEED_UNITS_M_S,
    length_in,
    read_number,
    speed_in,
    spin_in,
)
from rimwise.records.thrower import Style
from rimwise.records.words import check_short

__all__ = ["ThrowSaid", "check_said", "throw_in"]

#: What "slight" and "steep" make of a hyzer.
_MUCH = {"": 1.0, "slight": 0.5, "steep": 2.0}

_STYLES = {
    "bh": Style.BACKHAND, "backhand": Style.BACKHAND,
    "fh": Style.FOREHAND, "forehand": Style.FOREHAND, "sidearm": Style.FOREHAND,
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class ThrowSaid:
    """What was said of one throw; ``None`` is what was not.

    Parameters
    ----------
    distance_m, left_m
        Rest along and left of the aim line; left of the basket with ``of_basket``.
    to_go_m
        Straight from rest to the basket.
    short_m
        Short of the basket along the aim line; negative is past it.
    weather
        Words about the weather, or the name of a day.
    """

    distance_m: float | None = None
    left_m: float | None = None
    of_basket: bool = False
    to_go_m: float | None = None
    short_m: float | None = None
    style: Style | None = None
    hyzer_deg: float | None = None
    launch_deg: float | None = None
    effort: float | None = None
    first_touch_m: float | None = None
    speed_m_s: float | None = None
    spin_rad_s: float | None = None
    weather: str | None = None

    @property
    def says_where(self) -> bool:
        """Whether anything was said of where it came to rest."""
        where = (self.distance_m, self.left_m, self.to_go_m, self.short_m)
        return any(value is not None for value in where)

    @property
    def says_basket(self) -> bool:
        """Whether the rest was given from the basket."""
        return self.of_basket or self.to_go_m is not None or self.short_m is not None


def throw_in(text: str, assume: Assumptions | None = None) -> ThrowSaid:
    """Read a throw such as "64m 5L bh flat 80%" or "12m left of the basket, 25m to go".

    Parts come in any order: distance; left or right (L, R) or straight; "25m to go", "10m
    short", "4m past"; bh or fh; flat, hyzer, anhyzer, "hyzer 20"; low, high, "launch 12"; 80%;
    "touch 58m"; 22m/s; 1100rpm; and at the end "in" with the weather or a day's name. A length
    without a unit takes that of the others when they agree.

    Parameters
    ----------
    assume
        What "hyzer", "low" and "high" mean; the defaults when ``None``.

    Raises
    ------
    InputError
        When a part is not understood, is said twice, or a unit is missing.
    """
    check_short(text, "the throw")
    reading = _Reading(text, Assumptions() if assume is None else assume)
    rest = " ".join(text.split())
    between = _SIDE_BETWEEN.search(rest)
    if between:
        raise InputError(
            f"{between[0]!r} could mean two things; write the side as in 64m 5mL, or with by: "
            "64m left by 5m."
        )
    while rest := rest.lstrip(" ,;"):
        rest = rest[_read_one(reading, rest) :]
    return check_said(reading.result())


@dataclass
class _Reading:
    """What was read so far; lengths wait until all units are known."""

    text: str
    assume: Assumptions
    values: dict[str, Any] = field(default_factory=dict)
    lengths: dict[str, tuple[str, str, float]] = field(default_factory=dict)

    def put(self, name: str, value: Any) -> None:
        """Keep one value, unless there is one."""
        if name in self.values or name in self.lengths:
            raise InputError(
                f"{self.text.strip()!r} says {_CALLED.get(name, name)} twice; keep one."
            )
        self.values[name] = value

    def put_length(self, name: str, bare: str, unit: str | None, sign: float = 1.0) -> None:
        """Keep one length with the unit it has, if any."""
        if name in self.values or name in self.lengths:
            raise InputError(
                f"{self.text.strip()!r} says {_CALLED.get(name, name)} twice; write the side of "
                "each sideways distance, as in 5mL or 5mR."
            )
        self.lengths[name] = (bare, (unit or "").casefold(), sign)

    def result(self) -> ThrowSaid:
        """Return what was said, in metres."""
        units = {unit for _, unit, _ in self.lengths.values() if unit}
        factors = {LENGTH_UNITS_M[unit] for unit in units}
        default = next(iter(units)) if len(factors) == 1 else ""
        for name, (bare, unit, sign) in self.lengths.items():
            if not (unit or default) and len(factors) > 1:
                raise InputError(
                    f"{self.text.strip()!r} mixes units and {bare} has none; write {bare}m or "
                    f"{bare}ft."
                )
            what = _CALLED.get(name, name)
            self.values[name] = sign * length_in(f"{bare}{unit}", what, default)
        return ThrowSaid(**self.values)


_CALLED = {
    "distance_m": "the distance", "left_m": "the side", "to_go_m": "the distance to go",
    "short_m": "the distance from the basket", "first_touch_m": "the first touch",
    "style": "the style", "hyzer_deg": "the hyzer", "launch_deg": "the height",
    "effort": "the effort", "speed_m_s": "the release speed", "spin_rad_s": "the spin",
    "weather": "the weather",
}  # fmt: skip

_NUMBER = r"\d+(?:[.,]\d+)?"
_UNIT = "|".join(re.escape(unit) for unit in sorted(LENGTH_UNITS_M, key=len, reverse=True))
_LENGTH = rf"({_NUMBER})\s*({_UNIT})?"
_SPEED = "|".join(re.escape(unit) for unit in sorted(SPEED_UNITS_M_S, key=len, reverse=True))
_DEGREES = r"\s*(?:°|deg(?:rees)?)?"
_END = r"(?![\w/%°])"
_OF_BASKET = r"(\s*of(?: the)? (?:basket|pin|target))?"
_BANK = r"(slight |steep )?(anhyzer|anny|hyzer)"

#: "64m left 5m": is 64 m the distance or the side?
_SIDE_BETWEEN = re.compile(
    rf"{_NUMBER}\s*(?:{_UNIT})?\s+(?:left|right|l|r)\s+{_NUMBER}\s*(?:{_UNIT})?(?![\w/%°.,'])"
    r"(?!\s*(?:to go|short|past|beyond|long|hyzer|anhyzer|deg))",
    re.IGNORECASE,
)


def _side(reading: _Reading, side: str, bare: str, unit: str | None, basket: str | None) -> None:
    reading.put_length("left_m", bare, unit, 1.0 if side.lower().startswith("l") else -1.0)
    if basket:
        reading.put("of_basket", True)


def _bank(reading: _Reading, much: str | None, word: str) -> None:
    share = _MUCH[(much or "").strip().lower()]
    sign = 1.0 if word.lower() == "hyzer" else -1.0
    reading.put("hyzer_deg", sign * share * reading.assume.hyzer_word_deg)


def _bank_deg(reading: _Reading, word: str, degrees: str) -> None:
    sign = 1.0 if word.lower() == "hyzer" else -1.0
    reading.put("hyzer_deg", sign * read_number(degrees))


def _no_unit(what: str, example: str) -> Callable[..., None]:
    def refuse(_reading: _Reading, bare: str) -> None:
        raise InputError(f"{what} is {bare} without a unit; write it as in {example}.")

    return refuse


_Take = Callable[..., None]

#: Parts of a throw: what they look like, and what they set; the first that fits is taken.
_PARTS: tuple[tuple[re.Pattern[str], _Take], ...] = tuple(
    (re.compile(pattern, re.IGNORECASE), take)
    for pattern, take in (
        (r"(?:in|weather:?) (.+)$", lambda r, text: r.put("weather", text.strip())),
        (
            rf"(?:first )?touch(?:ed)?(?: down)?(?: at| after)? {_LENGTH}{_END}",
            lambda r, bare, unit: r.put_length("first_touch_m", bare, unit),
        ),
        (
            rf"(?:speed )?({_NUMBER}\s*(?:{_SPEED})){_END}",
            lambda r, text: r.put("speed_m_s", speed_in(text, "the release speed")),
        ),
        (rf"speed ({_NUMBER}){_END}", _no_unit("the release speed", "22m/s or 50mph")),
        (
            rf"(?:spin )?({_NUMBER}\s*rpm){_END}",
            lambda r, text: r.put("spin_rad_s", spin_in(text, "the spin")),
        ),
        (rf"spin ({_NUMBER}){_END}", _no_unit("the spin", "1100rpm")),
        (
            rf"(?:effort |at )?({_NUMBER})\s*%(?: effort| power)?",
            lambda r, share: r.put("effort", read_number(share) / 100.0),
        ),
        (r"full(?: power| effort)?" + _END, lambda r: r.put("effort", 1.0)),
        (
            rf"(anhyzer|anny|hyzer)(?: of)?\s*({_NUMBER}){_DEGREES}(?![\w/%])",
            _bank_deg,
        ),
        (
            rf"({_NUMBER}){_DEGREES}\s*(anhyzer|anny|hyzer){_END}",
            lambda r, degrees, word: _bank_deg(r, word, degrees),
        ),
        (_BANK + _END, _bank),
        (r"flat" + _END, lambda r: r.put("hyzer_deg", 0.0)),
        (
            rf"launch(?: of| at)?\s*({_NUMBER}){_DEGREES}(?![\w/%])",
            lambda r, degrees: r.put("launch_deg", read_number(degrees)),
        ),
        (
            rf"low{_END}",
            lambda r: r.put("launch_deg", r.assume.low_word_deg),
        ),
        (
            rf"high{_END}",
            lambda r: r.put("launch_deg", r.assume.high_word_deg),
        ),
        (
            rf"(bh|backhand|fh|forehand|sidearm){_END}",
            lambda r, word: r.put("style", _STYLES[word.lower()]),
        ),
        (
            rf"{_LENGTH}\s*(?:to go|left to go|from(?: the)? (?:basket|pin)){_END}",
            lambda r, bare, unit: r.put_length("to_go_m", bare, unit),
        ),
        (
            rf"{_LENGTH}\s*short(?: of(?: the)? (?:basket|pin))?{_END}",
            lambda r, bare, unit: r.put_length("short_m", bare, unit),
        ),
        (
            rf"{_LENGTH}\s*(?:past|beyond|long)(?:(?: of)?(?: the)? (?:basket|pin))?{_END}",
            lambda r, bare, unit: r.put_length("short_m", bare, unit, -1.0),
        ),
        (
            rf"{_LENGTH}\s*(left|right|l|r){_OF_BASKET}{_END}(?! by )",
            lambda r, bare, unit, side, basket: _side(r, side, bare, unit, basket),
        ),
        (
            rf"(left|right){_OF_BASKET}(?: by)? {_LENGTH}{_END}",
            lambda r, side, basket, bare, unit: _side(r, side, bare, unit, basket),
        ),
        (
            r"(?:dead )?(?:straight|on line|on the line)" + _END,
            lambda r: r.put("left_m", 0.0),
        ),
        (
            rf"{_LENGTH}{_END}",
            lambda r, bare, unit: r.put_length("distance_m", bare, unit),
        ),
        (r"(?:and|with|at|thrown|throw)" + _END, lambda _r: None),
    )
)


def _read_one(reading: _Reading, rest: str) -> int:
    """Read one part at the beginning and return its length."""
    for pattern, take in _PARTS:
        found = pattern.match(rest)
        if found:
            take(reading, *found.groups())
            return found.end()
    raise InputError(
        f"{rest.split()[0]!r} is not understood in a throw; write it as in 64m 5L bh flat 80%."
    )


def check_said(said: ThrowSaid) -> ThrowSaid:
    """Return what was said if its parts go together.

    Raises
    ------
    InputError
        When the rest is given twice, in ways that may not agree.
    """
    if said.to_go_m is not None and said.short_m is not None:
        raise InputError("the distance to go and how far short it was are both given; keep one.")
    if said.distance_m is not None and said.says_basket:
        raise InputError(
            "the rest is given both from the tee and from the basket; keep one, as in 64m 5L or "
            "12m left of the basket, 25m to go."
        )
    return said
