"""What is on file already, for a reader that must not touch the store."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from rimwise.records.discs import Disc, Mold, Plastic

__all__ = ["Known", "fold"]


def fold(name: str) -> str:
    """Return the form in which two spellings of one name agree ("nh27" and "NH 27")."""
    return "".join(name.casefold().split())


@dataclass(frozen=True, slots=True)
class Known:
    """Molds, plastics and discs on file."""

    molds: tuple[Mold, ...] = ()
    plastics: tuple[Plastic, ...] = ()
    discs: tuple[Disc, ...] = ()

    @classmethod
    def of(
        cls,
        molds: Iterable[Mold] = (),
        plastics: Iterable[Plastic] = (),
        discs: Iterable[Disc] = (),
    ) -> Known:
        """Gather what is on file."""
        return cls(tuple(molds), tuple(plastics), tuple(discs))
