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
#: Observable, printed number, and a change over a quarter of its range that a person would notice.
_PAIRS = (
    ("range_m", "speed", 1.0),
    ("hang_s", "glide", 0.1),
    ("drift_m", "turn", -0.5),
    ("finish_deg", "fade", 1.0),
)
#: Both this little to the turn side: there is no drift to compare.
NO_DRIFT_M = 0.02


def drawn_discs(seed: int, count: int) -> dict[str, Floats]:
    """Draw numbers evenly from their whole ranges, (N,) each."""
    rng = np.random.default_rng(seed)
    return {name: rng.uniform(low, high, count) for name, (low, high, _) in PRINTED_LIMITS.items()}


def steps(
    discs: dict[str, Floats],
    number: str,
    observable: str,
    speed_m_s: float,
    mapping: PrintedMapping,
) -> Floats:
    """Change of an observable from level to level of one number, (LEVELS − 1, N)."""
    low, high, _ = PRINTED_LIMITS[number]
    count = len(discs["speed"])
    columns = {name: np.tile(values, LEVELS) for name, values in discs.items()}
    columns[number] = np.repeat(np.linspace(low, high, LEVELS), count)
    seen = observe(aero_arrays_from_printed(**columns, mapping=mapping), speed_m_s)
    values = np.asarray(getattr(seen, observable)).reshape(LEVELS, count)
    change = np.diff(values, axis=0)
    if observable == "drift_m":
        still = np.maximum(np.abs(values[1:]), np.abs(values[:-1])) < NO_DRIFT_M
        change = np.where(still, np.nan, change)
    return change


def ordered_margins(
    mapping: PrintedMapping = MAPPING, seed: int = 0, bases: int = 40
) -> dict[str, Floats]:
    """Margins of each pair over all reference speeds, in changes a person would notice."""
    discs = drawn_discs(seed, bases)
    margins = {}
    for observable, number, plain in _PAIRS:
        every = [
            steps(discs, number, observable, speed, mapping).ravel() / plain
            for speed in REFERENCE_SPEEDS_M_S
        ]
        joined = np.concatenate(every)
        margins[f"{observable.split('_')[0]} with {number}"] = joined[np.isfinite(joined)]
    return margins
