"""Drift, in the owner's words."""

from __future__ import annotations

from rimwise.beliefs.drift import Drift
from rimwise.records import words

__all__ = ["drift_words"]

#: Half the width of the interval that holds eight of ten, in standard deviations.
_EIGHT_OF_TEN = 1.2816
#: Less wear than this by use is not told, in numbers.
_LITTLE = 0.1


def drift_words(drift: Drift, subject: str = "it") -> str:
    """Say how a disc changed since it was last well known, and from what that is known.

    Parameters
    ----------
    subject
        What the sentence calls the disc.
    """
    way = "less" if drift.numbers < 0.0 else "more"
    size = abs(drift.numbers)
    low, high = (max(size + side * drift.sd, 0.0) for side in (-_EIGHT_OF_TEN, _EIGHT_OF_TEN))
    said = (
        f"Since {words.date_words(drift.since.isoformat())} {subject} flies about "
        f"{words.number(size, 1)} ({words.number(low, 1)} to {words.number(high, 1)}) {way} stable "
        "than before"
    )
    if drift.by_use is not None and drift.by_use <= -_LITTLE:
        said += f"; use accounts for about {words.number(-drift.by_use, 1)}"
    return (
        f"{said}. That is from {drift.after} throws and comparisons since, against {drift.before} "
        "before, which no longer count for it."
    )
