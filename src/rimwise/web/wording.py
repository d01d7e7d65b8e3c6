"""Sentences of the use cases in the words of the pages: no command where there is a page for it."""

from __future__ import annotations

import re

from rimwise.records.words import Units

__all__ = ["PAGES", "examples_in", "in_page_words"]

#: What each command's page is called.
PAGES = {
    "assume": "the page Settings",
    "backup": "the page Backups and history",
    "carry": "the page Kept carries",
    "certify": "the page Certify",
    "discs": "the page Discs",
    "field": "the page What to throw next",
    "gaps": "the page Gaps",
    "history": "the page What was changed",
    "how-many": "the page How many",
    "import": "the page Bring a file",
    "init": "the page Start",
    "learnt": "the page Learnt",
    "log": "the page Log",
    "lost": "the page A lost disc",
    "pack": "the page Cart",
    "plan": "the page Plan",
    "putting": "the page Putting",
    "restore": "the page Backups and history",
    "risk": "the page Risk",
    "rule": "the page A rule to remember",
    "sheet": "the page Sheet",
    "swap": "the page Swaps",
    "tee": "the page On the tee",
    "undo": "the page What was changed",
    "wear": "the page Wear",
    "weather": "the page Weather",
    "wish": "the page Wished-for discs",
}
#: A command in a sentence. Written with \x60, or the test that looks for commands took it for one.
_COMMAND = re.compile(r"(?P<before>\brun |\bwith )?\x60rimwise (?P<name>[a-z-]+)[^\x60]*\x60")
#: Words that only a command line has, and what a page says.
_SAID = (
    ("run `rimwise plan` again", "plan again"),
    ("drop it from --must or --never", "choose one of the two"),
    ("Plan again with --must and --never", "Plan again with discs that must go or stay"),
    ("add --length 95m, or --hole with a hole on file", "fill in the length, or the hole"),
    ("or add --anyway if it is right", "or say below that it is right"),
    ("or add --anyway", "or say below to take it anyway"),
    ("with --from", "below"),
    ("--from", "that wind"),
    ("--kind", "the kind"),
    ("--cover", "what hides a disc"),
    ("name some with --disc, a --mold, or an earlier --like", "choose some below"),
)  # fmt: skip


#: Examples to type, and what they are for an owner who thinks in feet. What a page quotes of what
#: was typed stands before these words, so that it stays as it is.
_EXAMPLES = (
    ("64m 5mL, or with by: 64m left by 5m", "210ft 15ftL, or with by: 210ft left by 15ft"),
    ("64m 5L", "210ft 15L"),
    ("5mL or 5mR", "15ftL or 15ftR"),
    ("5mL", "15ftL"),
    ("6m 13/20", "20ft 13/20"),
    ("95m", "310ft"),
    ("4C wet wind 5m/s", "40F wet wind 15mph"),
    ("'4C wet wind 5m/s", "'40F wet wind 15mph"),
    ("60m 5L", "200ft 15L"),
    ('"60m 5L"', '"200ft 15L"'),
    ("25m to go, 10m short or 4m past", "80ft to go, 30ft short or 12ft past"),
)
_FEET = {f"{before} {said}": f"{before} {meant}"
         for before in ("as in", "write", "add") for said, meant in _EXAMPLES} | {
    ", or 12m left of the basket, 25m to go": ", or 40ft left of the basket, 80ft to go",
    " or 12m left of the basket, 25m to go": " or 40ft left of the basket, 80ft to go",
    "as you like: 6m 13/20 8m 9/20": "as you like: 20ft 13/20 25ft 9/20",
}  # fmt: skip
_ANY_EXAMPLE = re.compile("|".join(re.escape(one) for one in sorted(_FEET, key=len, reverse=True)))


def examples_in(text: str, units: Units) -> str:
    """Return a label or a sentence of a page with its examples in what the owner thinks in."""
    if units == "m":
        return text
    return _ANY_EXAMPLE.sub(lambda found: _FEET[found[0]], text)


def in_page_words(told: object) -> str:
    """Return a sentence, or an error's, without the words that only a command line has."""
    text = str(told)
    for said, meant in _SAID:
        text = text.replace(said, meant)
    return _begun(_COMMAND.sub(_as_page, text))


def _as_page(found: re.Match[str]) -> str:
    called = PAGES.get(found["name"])
    if called is None:
        return found[0]
    before = found["before"] or ""
    before = {"run ": "open ", "with ": "on "}.get(before, before)
    if not before and found.string[: found.start()].endswith((". ", "\n")):
        called = called[0].upper() + called[1:]
    return f"{before}{called}"


def _begun(text: str) -> str:
    """Begin with a capital letter, unless the first word may be a name."""
    first = text.split(" ", 1)[0]
    return text[:1].upper() + text[1:] if first.isalpha() and first.isascii() else text
