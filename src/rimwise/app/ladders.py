"""The ladders of a carry: rungs that are missing or doubled, and what they cost in strokes.

That a step is wide is told of a ladder only together with what a disc on it would save: one from
home that stands there, or one between its neighbours that nobody has to own.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from rimwise.app.rungs import Doubled, Ladder, Landings, Missing, ladder_of
from rimwise.beliefs.fleet import Fleet
from rimwise.flight.printed import Printed
from rimwise.records import words
from rimwise.records.words import Units

__all__ = ["LadderTold", "MissingTold", "between", "carried_ladders", "from_home", "tell_ladder"]

#: Less saved a round than this is nothing, however sure.
_NOTHING = 0.005


@dataclass(frozen=True, slots=True)
class MissingTold:
    """A missing rung and what a disc on it would save, strokes a round, with one standard error.

    ``fills`` is the disc from home that stands there; empty where none does. ``cosmetic`` says
    that nothing is saved that can be told from luck.
    """

    rung: Missing
    fills: str
    saves: float
    saves_se: float
    cosmetic: bool
    words: str


@dataclass(frozen=True, slots=True)
class LadderTold:
    """One ladder of a carry, with its missing and its doubled rungs."""

    role: str
    discs: tuple[str, ...]
    finish_m: tuple[float, ...]
    usual_m: float | None
    missing: tuple[MissingTold, ...]
    doubled: tuple[Doubled, ...]
    doubled_words: str


def carried_ladders(
    carried: Sequence[str], roles: dict[str, str], landings: Landings
) -> tuple[Ladder, ...]:
    """Return the ladders of a carry, one for each role that has two discs or more."""
    by_role: dict[str, list[str]] = {}
    for disc in carried:
        by_role.setdefault(roles[disc], []).append(disc)
    return tuple(
        ladder_of(role, discs, landings) for role, discs in by_role.items() if len(discs) > 1
    )


def from_home(
    rung: Missing, role: str, home: Sequence[str], roles: dict[str, str], landings: Landings
) -> str:
    """Return the disc from home that stands nearest the middle of a missing rung, if one does.

    It stands there when it finishes in the inner half of the step.
    """
    low = float(landings.finish_m[rung.below].mean())
    middle = low + 0.5 * rung.step_m
    off = {
        disc: abs(float(landings.finish_m[disc].mean()) - middle)
        for disc in home
        if roles[disc] == role
    }
    near = [(value, disc) for disc, value in off.items() if value <= 0.25 * rung.step_m]
    return min(near)[1] if near else ""


def between(rung: Missing, fleet: Fleet) -> Printed:
    """Return the numbers of a disc half way between the neighbours of a missing rung."""
    places = [fleet.index(disc) for disc in (rung.below, rung.above)]
    return Printed(*(float(number) for number in fleet.printed[places].mean(axis=0)))


def tell_ladder(
    ladder: Ladder, filled: Sequence[tuple[str, float, float]], units: Units
) -> LadderTold:
    """Say a ladder in words.

    Parameters
    ----------
    filled
        For each missing rung: the disc from home or nothing, what it saves, and one error.
    """
    missing = tuple(
        _missing(ladder, rung, *one, units)
        for rung, one in zip(ladder.missing, filled, strict=True)
    )
    doubled = ""
    if ladder.doubled:
        groups = "; ".join(words.joined(group) for group in _together(ladder.doubled))
        doubled = (
            f"{_many(ladder.role)}: doubled, for they more likely than not finish and reach alike: "
            f"{groups}."
        )
    return LadderTold(
        ladder.role, ladder.discs, ladder.finish_m, ladder.usual_m, missing, ladder.doubled, doubled
    )


def _many(role: str) -> str:
    return f"{role[:1].upper()}{role[1:]}s"


def _together(pairs: Sequence[Doubled]) -> list[list[str]]:
    """Join pairs that share a disc, in the order of the ladder."""
    groups: list[list[str]] = []
    for pair in pairs:
        touching = [group for group in groups if pair.first in group or pair.second in group]
        discs = [disc for group in touching for disc in group]
        joined = list(dict.fromkeys([*discs, pair.first, pair.second]))
        groups = [group for group in groups if group not in touching] + [joined]
    return groups


def _missing(
    ladder: Ladder, rung: Missing, fills: str, saves: float, error: float, units: Units
) -> MissingTold:
    cosmetic = saves < max(2.0 * error, _NOTHING)
    step = words.distance(rung.step_m, units)
    ends = " to ".join(
        words.number(words.in_units(end, units)) for end in (rung.low_m, rung.high_m)
    )
    usual = words.number(words.in_units(rung.usual_m, units))
    told = (
        f"{_many(ladder.role)}: from {rung.below} to {rung.above} is a step of {step} sideways "
        f"({ends}), where {usual} is usual."
    )
    disc = f"{fills}, which is at home, stands there and" if fills else "A disc between them"
    if cosmetic:
        told += f" {disc} would save nothing that can be told from luck: the gap is cosmetic."
    else:
        told += f" {disc} would save {words.strokes(saves, error)}, a round."
    return MissingTold(rung, fills, saves, error, cosmetic, told)
