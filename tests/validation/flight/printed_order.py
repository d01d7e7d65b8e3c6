"""Whether what is seen of the reference throw goes with each printed number."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from rimwise.flight.meaning import REFERENCE_SPEEDS_M_S, observe
from rimwise.flight.printed import (
    MAPPING,
    PRINTED_LIMITS,
    PrintedMapping,
    aero_arrays_from_printed,
)

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

LEVELS = 5
#: Each printed number, the observables that go with it, which way, and a change over a quarter of
#: the number's range that a person would notice.
GOES_WITH: dict[str, dict[str, tuple[int, float]]] = {
    "speed": {"range_m": (1, 1.0)},
    "glide": {"hang_s": (1, 0.1)},
    "turn": {"turned_m": (-1, 0.3), "drift_m": (-1, 0.5)},
    "fade": {"hook_deg": (1, 2.0), "finish_deg": (1, 1.0)},
}
#: Both this little to the turn side: there is no drift to compare.
NO_DRIFT_M = 0.02


def drawn_discs(seed: int, count: int) -> dict[str, Floats]:
    """Draw numbers evenly from their whole ranges, (N,) each."""
    rng = np.random.default_rng(seed)
    return {name: rng.uniform(low, high, count) for name, (low, high, _) in PRINTED_LIMITS.items()}


def steps(
    discs: dict[str, Floats], number: str, speed_m_s: float, mapping: PrintedMapping
) -> dict[str, Floats]:
    """Change of what goes with a number, in the right direction, from level to level of it.

    By observable; (number of comparable pairs,) each.
    """
    low, high, _ = PRINTED_LIMITS[number]
    count = len(discs["speed"])
    columns = {name: np.tile(values, LEVELS) for name, values in discs.items()}
    columns[number] = np.repeat(np.linspace(low, high, LEVELS), count)
    seen = observe(
        aero_arrays_from_printed(**columns, mapping=mapping), speed_m_s, columns["speed"]
    )
    changes = {}
    for observable, (sign, _) in GOES_WITH[number].items():
        values = np.asarray(getattr(seen, observable)).reshape(LEVELS, count)
        change = sign * np.diff(values, axis=0)
        if observable == "drift_m":
            change = change[np.maximum(np.abs(values[1:]), np.abs(values[:-1])) >= NO_DRIFT_M]
        changes[observable] = change.ravel()
    return changes


def ordered_margins(
    mapping: PrintedMapping = MAPPING, seed: int = 0, bases: int = 40
) -> dict[str, Floats]:
    """Margins of each pair over all reference speeds, in changes a person would notice."""
    discs = drawn_discs(seed, bases)
    margins = {}
    for number, observables in GOES_WITH.items():
        every = [steps(discs, number, speed, mapping) for speed in REFERENCE_SPEEDS_M_S]
        for observable, (_, plain) in observables.items():
            joined = np.concatenate([changes[observable] for changes in every])
            margins[f"{observable.split('_')[0]} with {number}"] = joined / plain
    return margins
