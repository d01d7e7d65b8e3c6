"""Which rung a disc stands on: among the discs of its role, by where the stock throw finishes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from rimwise.records import words
from rimwise.records.words import Units

__all__ = ["Rung", "rung_of"]

Floats = NDArray[np.float64]

#: Discs that finish this near each other are one rung.
SAME_RUNG_M = 3.0


@dataclass(frozen=True, slots=True)
class Rung:
    """A disc's place on the ladder of its role, 1 the farthest to the turn side.

    Parameters
    ----------
    place, place_low, place_high
        Among ``of`` discs; in eight of ten draws between the ends.
    below, above
        The next disc to the turn side and to the fade side, and how far off it finishes, m.
    """

    role: str
    of: int
    place: int
    place_low: int
    place_high: int
    below: tuple[str, float] | None
    above: tuple[str, float] | None

    def words(self, units: Units) -> str:
        """Say it in a sentence."""
        if self.of == 1:
            return f"It is your only {self.role}."
        sides = [
            f"{name} ({_apart(apart, units)} more to the {side} side)"
            for side, near in (("turn", self.below), ("fade", self.above))
            if near is not None
            for name, apart in (near,)
        ]
        where = f"between {sides[0]} and {sides[1]}" if len(sides) == 2 else f"next to {sides[0]}"
        sure = ""
        if (self.place_low, self.place_high) != (self.place, self.place):
            sure = f" (anywhere from {self.place_low} to {self.place_high})"
        said = (
            f"Of your {self.of} {self.role}s it is number {self.place}{sure} from the turn side, "
            f"{where}."
        )
        same = [near[0] for near in (self.below, self.above) if near and near[1] < SAME_RUNG_M]
        if same:
            said += f" {words.joined([*same, 'it'])} are one rung."
        return said


def _apart(apart_m: float, units: Units) -> str:
    return words.distance(apart_m, units)


def rung_of(
    disc: str, finish_m: Mapping[str, Floats], roles: Mapping[str, str], others: Sequence[str]
) -> Rung:
    """Return the rung of a disc.

    Parameters
    ----------
    finish_m
        Draws of where each disc finishes, (samples,), positive to the fade side, by name.
    roles
        The role of each disc, by name.
    others
        The discs that stand on the ladder beside it.
    """
    role = roles[disc]
    names = [name for name in others if name != disc and roles[name] == role]
    apart = {name: finish_m[name] - finish_m[disc] for name in names}
    under = np.zeros(len(finish_m[disc]), dtype=np.int64)
    for one in apart.values():
        under += one < 0.0
    low, high = np.percentile(under, (10.0, 90.0))
    means = {name: float(one.mean()) for name, one in apart.items()}
    below = [(-value, name) for name, value in means.items() if value < 0.0]
    above = [(value, name) for name, value in means.items() if value >= 0.0]
    return Rung(
        role=role,
        of=len(names) + 1,
        place=len(below) + 1,
        place_low=min(int(low), len(below)) + 1,
        place_high=max(int(np.ceil(high)), len(below)) + 1,
        below=_nearest(below),
        above=_nearest(above),
    )


def _nearest(found: list[tuple[float, str]]) -> tuple[str, float] | None:
    if not found:
        return None
    apart, name = min(found)
    return name, apart
