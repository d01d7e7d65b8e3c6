"""Which of several things a person means by a name."""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Sequence

from rimwise.errors import NotFoundError
from rimwise.records.discs import Disc

__all__ = ["closest", "disc_among"]

#: Names less like than this are no help (difflib's ratio).
_LIKE_ENOUGH = 0.5


def disc_among(discs: Sequence[Disc], name: str) -> Disc:
    """Return the disc that a person means: its own name, or a part that fits only one.

    Raises
    ------
    NotFoundError
        When no disc fits (the closest names are offered) or more than one (they are listed).
    """
    words, whole = name.lower().replace(",", " ").split(), name.strip().lower()
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
