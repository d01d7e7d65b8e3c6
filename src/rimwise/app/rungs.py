"""Ladders: the discs of a role by where the stock throw finishes, with doubled and missing rungs.

Two discs are doubled where it is more likely than not, by what is believed, that they finish and
reach alike; both limits are assumptions. A rung is missing where a step is surely much wider than
the owner's usual step on that ladder.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from rimwise.records import words
from rimwise.records.assumptions import Assumptions
from rimwise.records.words import Units

__all__ = ["Doubled", "Ladder", "Landings", "Missing", "Rung", "ladder_of", "rung_of"]

Floats = NDArray[np.float64]

#: Fewest steps that a usual one can be told from.
_FEWEST_STEPS = 3


@dataclass(frozen=True, slots=True, eq=False)
class Landings:
    """Draws of where discs land with the stock throw, (samples,) each, by name.

    Parameters
    ----------
    finish_m
        Sideways, positive to the fade side.
    reach_m
        How far out.
    """

    finish_m: Mapping[str, Floats]
    reach_m: Mapping[str, Floats]
    assume: Assumptions = field(default_factory=Assumptions)

    def doubled(self, first: str, second: str) -> float:
        """Return how likely it is that two discs finish and reach alike, from 0 to 1."""
        side = np.abs(self.finish_m[first] - self.finish_m[second])
        out = np.abs(self.reach_m[first] - self.reach_m[second])
        alike = (side <= self.assume.rung_same_m) & (out <= self.assume.rung_same_reach_m)
        return float(np.mean(alike))


@dataclass(frozen=True, slots=True)
class Doubled:
    """Two discs of one rung, and how likely that is."""

    first: str
    second: str
    likely: float


@dataclass(frozen=True, slots=True)
class Missing:
    """A step between neighbouring rungs, m, that is wider than usual, with eight of ten cases."""

    below: str
    above: str
    step_m: float
    low_m: float
    high_m: float
    usual_m: float


@dataclass(frozen=True, slots=True)
class Ladder:
    """The discs of a role from the turn side to the fade side.

    Parameters
    ----------
    finish_m
        Where each finishes on average, positive to the fade side.
    usual_m
        The middle step between rungs; ``None`` where there are too few to tell.
    """

    role: str
    discs: tuple[str, ...]
    finish_m: tuple[float, ...]
    usual_m: float | None
    doubled: tuple[Doubled, ...]
    missing: tuple[Missing, ...]


def ladder_of(role: str, discs: Sequence[str], landings: Landings) -> Ladder:
    """Return the ladder of some discs of one role."""
    mean = {disc: float(landings.finish_m[disc].mean()) for disc in discs}
    order = sorted(discs, key=lambda disc: (mean[disc], disc))
    doubled = tuple(
        Doubled(first, second, likely)
        for place, first in enumerate(order)
        for second in order[place + 1 :]
        for likely in (landings.doubled(first, second),)
        if likely > 0.5
    )
    pairs = {(one.first, one.second) for one in doubled}
    steps = [(a, b) for a, b in pairwise(order) if (a, b) not in pairs]
    usual = None
    missing: list[Missing] = []
    if len(steps) >= _FEWEST_STEPS:
        usual = float(np.median([mean[b] - mean[a] for a, b in steps]))
        for below, above in steps:
            apart = landings.finish_m[above] - landings.finish_m[below]
            low, high = np.percentile(apart, (10.0, 90.0))
            if low > landings.assume.rung_gap_times * usual:
                step = mean[above] - mean[below]
                missing.append(Missing(below, above, step, float(low), float(high), usual))
    finish = tuple(mean[disc] for disc in order)
    return Ladder(role, tuple(order), finish, usual, doubled, tuple(missing))


@dataclass(frozen=True, slots=True)
class Rung:
    """A disc's place on the ladder of its role, 1 the farthest to the turn side.

    Parameters
    ----------
    place, place_low, place_high
        Among ``of`` discs; in eight of ten draws between the ends.
    below, above
        The next disc to the turn side and to the fade side, and how far off it finishes, m.
    same
        Those of the two that are one rung with it.
    """

    role: str
    of: int
    place: int
    place_low: int
    place_high: int
    below: tuple[str, float] | None
    above: tuple[str, float] | None
    same: tuple[str, ...] = ()

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
        if self.same:
            said += f" {words.joined([*self.same, 'it'])} are one rung."
        return said


def _apart(apart_m: float, units: Units) -> str:
    return words.distance(apart_m, units)


def rung_of(disc: str, landings: Landings, roles: Mapping[str, str], others: Sequence[str]) -> Rung:
    """Return the rung of a disc.

    Parameters
    ----------
    roles
        The role of each disc, by name.
    others
        The discs that stand on the ladder beside it.
    """
    role = roles[disc]
    names = [name for name in others if name != disc and roles[name] == role]
    finish_m = landings.finish_m
    apart = {name: finish_m[name] - finish_m[disc] for name in names}
    under = np.zeros(len(finish_m[disc]), dtype=np.int64)
    for one in apart.values():
        under += one < 0.0
    low, high = np.percentile(under, (10.0, 90.0))
    means = {name: float(one.mean()) for name, one in apart.items()}
    below = [(-value, name) for name, value in means.items() if value < 0.0]
    above = [(value, name) for name, value in means.items() if value >= 0.0]
    near = [found[0] for found in (_nearest(below), _nearest(above)) if found is not None]
    return Rung(
        role=role,
        of=len(names) + 1,
        place=len(below) + 1,
        place_low=min(int(low), len(below)) + 1,
        place_high=max(int(np.ceil(high)), len(below)) + 1,
        below=_nearest(below),
        above=_nearest(above),
        same=tuple(name for name in near if landings.doubled(disc, name) > 0.5),
    )


def _nearest(found: list[tuple[float, str]]) -> tuple[str, float] | None:
    if not found:
        return None
    apart, name = min(found)
    return name, apart
