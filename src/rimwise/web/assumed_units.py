"""Assumptions in the units that their owner thinks in."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from rimwise.records.words import METRES_PER_FOOT, MPH_PER_M_S, Units

__all__ = ["AssumedUnit", "unit_of"]

#: Of units that feet go with: what one is of the other's, what is added, and how it is called.
_WITH_FEET: Mapping[str, tuple[float, float, str]] = {
    "m": (1.0 / METRES_PER_FOOT, 0.0, "ft"),
    "m²": (1.0 / METRES_PER_FOOT**2, 0.0, "ft²"),
    "1/m": (METRES_PER_FOOT, 0.0, "1/ft"),
    "°C": (1.8, 32.0, "°F"),
    "m/s": (MPH_PER_M_S, 0.0, "mph"),
    "per m/s": (1.0 / MPH_PER_M_S, 0.0, "per mph"),
    "degrees per m/s": (1.0 / MPH_PER_M_S, 0.0, "degrees per mph"),
}


@dataclass(frozen=True, slots=True)
class AssumedUnit:
    """How a value is shown and typed: ``name`` is its unit."""

    name: str
    factor: float = 1.0
    added: float = 0.0

    def shown(self, value: float) -> str:
        """Return a value of the records as it is shown."""
        if self.factor == 1.0:
            return f"{value:g}"
        return f"{value * self.factor + self.added:.4g}"

    def kept(self, typed: float) -> float:
        """Return what was typed as a value of the records."""
        return (typed - self.added) / self.factor


def unit_of(row: Mapping[str, Any], units: Units) -> AssumedUnit:
    """Return the unit that an assumption is shown in."""
    if units == "ft" and row["unit"] in _WITH_FEET:
        factor, added, name = _WITH_FEET[row["unit"]]
        return AssumedUnit(name, factor, added)
    return AssumedUnit(str(row["unit"]))
