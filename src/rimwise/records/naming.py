"""Which of several things a person means by a name."""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable, Sequence

from rimwise.errors import InputError, NotFoundError
from rimwise.records.discs import Disc

__all__ = ["closest", "disc_among", "pair_among"]

#: Names less like than this are no help (difflib's ratio).
_LIKE_ENOUGH = 0.5

_ARTICLE = re.compile(r"^\s*(?:the|my)\s+")
#: What is said of a disc whose mold was said of another.
_ONE = re.compile(r"(?:(?:the|my)\s+)?(?P<which>\S.*?)\s+one", re.IGNORECASE)


def disc_among(discs: Sequence[Disc], name: str) -> Disc:
    """Return the disc that a person means: its own name, or a part that fits only one.

    Raises
    ------
    NotFoundError
        When no disc fits (the closest names are offered) or more than one (they are listed).
    """
    words, whole = _ARTICLE.sub("", name.lower().replace(",", " ")).split(), name.strip().lower()
    found = [disc for disc in discs if disc.id.lower() == whole] or [
        disc
        for disc in discs
        if all(word in f"{disc.id} {disc.label} {disc.mark}".lower() for word in words)
    ]
    if len(found) == 1:
        return found[0]
    if not found or not words:
        raise NotFoundError(
            f"no disc fits {name!r}; {_offer(discs, name)}`rimwise discs` lists them."
        )
    raise NotFoundError(
        f"{name!r} fits {len(found)} discs: {', '.join(disc.id for disc in found[:6])}"
        f"{' …' if len(found) > 6 else ''}; use one of these names."
    )


def pair_among(discs: Sequence[Disc], first: str, second: str) -> tuple[Disc, Disc]:
    """Return the two discs that a person means; one of them may be "the white one".

    That is the white disc of the other's mold; "the other one" is the only other disc of it.

    Raises
    ------
    InputError
        When both are said so: no mold is named.
    NotFoundError
        As :func:`disc_among`.
    """
    ids = {disc.id.lower() for disc in discs}
    ones = [
        None if name.strip().lower() in ids else _ONE.fullmatch(name.strip())
        for name in (first, second)
    ]
    if ones[0] and ones[1]:
        raise InputError(f"neither {first!r} nor {second!r} names a mold; name it of one of them.")
    if ones[0]:
        named = disc_among(discs, second)
        return _of_the_mold(discs, named, ones[0]["which"], first), named
    named = disc_among(discs, first)
    if ones[1]:
        return named, _of_the_mold(discs, named, ones[1]["which"], second)
    return named, disc_among(discs, second)


def _of_the_mold(discs: Sequence[Disc], named: Disc, which: str, said: str) -> Disc:
    """Return the other disc of a mold that is meant."""
    others = [disc for disc in discs if disc.mold == named.mold and disc.id != named.id]
    if not others:
        raise NotFoundError(
            f"{said!r} is no disc: {named.id} is your only {named.mold}; name the other disc."
        )
    if which.lower() == "other" and len(others) == 1:
        return others[0]
    try:
        return disc_among(others, which)
    except NotFoundError:
        listed = ", ".join(disc.id for disc in others[:6])
        raise NotFoundError(
            f"{said!r} is not one disc beside {named.id}; of {named.mold} there is {listed}"
            f"{' …' if len(others) > 6 else ''}."
        ) from None


def closest(names: Iterable[str], name: str, most: int = 3) -> list[str]:
    """Return the names most like one that is not among them, the closest first."""
    by_fold = {_fold(known): known for known in names}
    alike = difflib.get_close_matches(_fold(name), by_fold, most, _LIKE_ENOUGH)
    return [by_fold[fold] for fold in alike]


def _offer(discs: Sequence[Disc], name: str) -> str:
    """Offer the discs whose own name or label is most like ``name``."""
    labels = {disc.label: disc.id for disc in discs} | {
        f"{disc.mold} {disc.colour}": disc.id for disc in discs if disc.colour
    }
    alike = closest([*labels, *(disc.id for disc in discs)], name)
    ids = list(dict.fromkeys(labels.get(one, one) for one in alike))
    return f"did you mean {' or '.join(ids)}? Otherwise " if ids else ""


def _fold(name: str) -> str:
    return "".join(letter for letter in name.casefold() if letter.isalnum())
