"""Start: a data file, and how far the owner throws."""

from __future__ import annotations

from dataclasses import dataclass

from rimwise.errors import InputError
from rimwise.records.thrower import Hand, Level, Line, Style, StyleSkill, Thrower
from rimwise.records.words import check_units, distance
from rimwise.store.store import Store

__all__ = ["Started", "start"]


@dataclass(frozen=True, slots=True)
class Started:
    """What a new beginning made."""

    data: str
    thrower: str | None
    words: str


def start(
    store: Store,
    *,
    name: str,
    hand: str,
    backhand_m: float | None,
    forehand_m: float | None,
    level: str,
    units: str,
) -> Started:
    """Keep the units and, when a distance is given, the thrower.

    The style that goes farther is taken as the stock throw.

    Raises
    ------
    InputError
        When a hand, a level or a distance cannot be used.
    """
    shown = check_units(units)
    given = ((Style.BACKHAND, backhand_m), (Style.FOREHAND, forehand_m))
    skills = tuple(
        StyleSkill(style, length_m, _level(level)) for style, length_m in given if length_m
    )
    if not skills:
        store.settings.put("units", units)
        return Started(
            str(store.path),
            None,
            f"Data file {store.path} is ready. Say how far your fairway driver goes with "
            "`rimwise init --fairway 90m`, then bring your discs with `rimwise import`.",
        )
    if hand not in ("right", "left"):
        raise InputError(f"hand must be right or left, but is {hand!r}.")
    stock = max(skills, key=lambda skill: skill.fairway_distance_m).style
    thrower = Thrower(name, Hand(hand), skills, Line(stock, 0.0, 10.0))
    with store.atomic():
        store.settings.put("units", units)
        for other in store.throwers.all():
            store.throwers.delete(other.name)
        store.throwers.put(thrower)
    told = " and ".join(
        f"{distance(skill.fairway_distance_m, shown)} {skill.style}" for skill in skills
    )
    return Started(
        str(store.path),
        name,
        f"Data file {store.path} is ready: {name}, {hand}-handed, {told} with a fairway driver. "
        "Next: `rimwise import` your discs, a course and some weather.",
    )


def _level(name: str) -> Level:
    try:
        return Level(name)
    except ValueError:
        raise InputError(f"level must be one of {', '.join(Level)}, but is {name!r}.") from None
