"""Start: a data file, and how far the owner throws."""

from __future__ import annotations

from dataclasses import dataclass, replace

from rimwise.errors import InputError
from rimwise.records.thrower import Hand, Level, Line, Style, StyleSkill, Thrower
from rimwise.records.words import Units, check_units, distance
from rimwise.store.store import Store

__all__ = ["Started", "change_thrower", "start", "thrower_from"]


@dataclass(frozen=True, slots=True)
class Started:
    """What a new beginning made."""

    data: str
    thrower: str | None
    words: str


def thrower_from(
    *, name: str, hand: str, backhand_m: float | None, forehand_m: float | None, level: str
) -> Thrower | None:
    """Return the thrower, or ``None`` when no distance is given.

    The style that goes farther is taken as the stock throw.

    Raises
    ------
    InputError
        When a hand, a level or a distance cannot be used.
    """
    if hand not in ("right", "left"):
        raise InputError(f"hand must be right or left, but is {hand!r}.")
    skilled = _level(level)
    given = ((Style.BACKHAND, backhand_m), (Style.FOREHAND, forehand_m))
    skills = tuple(
        StyleSkill(style, length_m, skilled) for style, length_m in given if length_m is not None
    )
    if not skills:
        return None
    stock = max(skills, key=lambda skill: skill.fairway_distance_m).style
    return Thrower(name, Hand(hand), skills, Line(stock, 0.0, 10.0))


def start(store: Store, thrower: Thrower | None, units: Units | None = None) -> Started:
    """Keep the thrower, when there is one, and the units; those kept before when ``None``."""
    shown = check_units(store.settings.get("units", "m")) if units is None else units
    if thrower is None:
        store.settings.put("units", shown)
        return Started(
            str(store.path),
            None,
            f"Data file {store.path} is ready. Now say how you throw, as in "
            "`rimwise init --hand left --fairway 90m`, and bring your discs with "
            "`rimwise import`.",
        )
    with store.atomic():
        store.settings.put("units", shown)
        for other in store.throwers.all():
            store.throwers.delete(other.name)
        store.throwers.put(thrower)
    told = " and ".join(
        f"{distance(skill.fairway_distance_m, shown)} {skill.style}" for skill in thrower.styles
    )
    return Started(
        str(store.path),
        thrower.name,
        f"Data file {store.path} is ready: {thrower.name}, {thrower.hand}-handed, {told} with a "
        "fairway driver. Next: `rimwise import` your discs, a course and some weather.",
    )


def change_thrower(
    store: Store,
    *,
    hand: str,
    backhand_m: float | None,
    forehand_m: float | None,
    level: str,
    units: Units,
) -> Thrower:
    """Change hand, distances, level and units of who throws; all else of them stays.

    Parameters
    ----------
    backhand_m, forehand_m
        ``None`` for a style that is not thrown.

    Raises
    ------
    InputError
        When nobody is on file, or something cannot be used.
    """
    if hand not in ("right", "left"):
        raise InputError(f"hand must be right or left, but is {hand!r}.")
    skilled = _level(level)
    with store.atomic():
        throwers = store.throwers.all()
        if not throwers:
            raise InputError("nobody is on file yet; say who you are with `rimwise init` first.")
        before = throwers[0]
        known = {skill.style: skill for skill in before.styles}
        skills = tuple(
            replace(known[style], fairway_distance_m=length_m, level=skilled)
            if style in known
            else StyleSkill(style, length_m, skilled)
            for style, length_m in ((Style.BACKHAND, backhand_m), (Style.FOREHAND, forehand_m))
            if length_m is not None
        )
        after = replace(before, hand=Hand(hand), styles=skills)
        store.settings.put("units", check_units(units))
        if after != before:
            store.throwers.put(after)
    return after


def _level(name: str) -> Level:
    try:
        return Level(name)
    except ValueError:
        raise InputError(f"level must be one of {', '.join(Level)}, but is {name!r}.") from None
