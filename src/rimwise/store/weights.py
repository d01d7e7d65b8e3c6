"""Weights given against other discs: none may be missing, none may go in a circle."""

from __future__ import annotations

from collections.abc import Mapping

__all__ = ["weight_faults"]


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
    faults = {}
    for disc_id in against:
        fault = _fault(disc_id, against)
        if fault:
            faults[disc_id] = fault
    return faults


def _fault(disc_id: str, against: Mapping[str, str | None]) -> str | None:
    path = [disc_id]
    while (other := against[path[-1]]) is not None:
        if other not in against:
            return f"the weight of {path[-1]!r} is given against {other!r}, which is not on file"
        if other in path:
            circle = " against ".join(repr(name) for name in [*path[path.index(other) :], other])
            return f"the weights go in a circle: {circle}"
        path.append(other)
    return None
