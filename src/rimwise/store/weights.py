"""Weights given against other discs: none may be missing, none may go in a circle."""

from __future__ import annotations

from collections.abc import Mapping

__all__ = ["weight_faults"]

_MISSING = "which is not on file"


def weight_faults(against: Mapping[str, str | None]) -> dict[str, str]:
    """Return, by disc id, what is wrong with a weight given against another disc.

    Parameters
    ----------
    against
        For each disc id, the disc its weight is given against, or ``None``.

    Returns
    -------
    dict
        A clause for each disc whose weight leads to a missing disc or back to itself.
    """
    sound: set[str] = set()
    faults: dict[str, str] = {}
    for disc_id in against:
        path, fault = _follow(disc_id, against, sound, faults)
        if fault:
            faults.update(dict.fromkeys(path, fault))
        else:
            sound.update(path)
    return faults


def _follow(
    disc_id: str, against: Mapping[str, str | None], sound: set[str], faults: Mapping[str, str]
) -> tuple[list[str], str]:
    """Go from disc to disc until the end is known; return the path and what is wrong with it."""
    path: dict[str, None] = {}
    here = disc_id
    while here not in sound and here not in faults:
        path[here] = None
        other = against[here]
        if other is None:
            break
        if other not in against:
            return list(path), f"the weight of {here!r} is given against {other!r}, {_MISSING}"
        if other in path:
            circle = [*list(path)[list(path).index(other) :], other]
            return list(path), "the weights go in a circle: " + " against ".join(map(repr, circle))
        here = other
    return list(path), faults.get(here, "")
