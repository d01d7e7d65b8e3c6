"""Sentences of the use cases in the words of the pages: no command where there is a page for it."""

from __future__ import annotations

import re

__all__ = ["PAGES", "in_page_words"]

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
