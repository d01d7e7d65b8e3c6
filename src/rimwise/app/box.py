"""What the owner has, gathered from the records for a computation."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import asdict, fields
from typing import Protocol, TypeVar

from rimwise.app.wearing import as_worn
from rimwise.beliefs.fleet import Fleet, build_fleet
from rimwise.errors import InputError, NotFoundError
from rimwise.records.assumptions import Assumptions
from rimwise.records.discs import Disc, role_of
from rimwise.records.naming import disc_among
from rimwise.records.words import Units, check_units
from rimwise.store.store import Store

__all__ = [
    "assumptions_of",
    "available_discs",
    "disc_named",
    "fleet_of",
    "in_role",
    "pick",
    "positions",
    "role_positions",
    "roles_of",
    "set_assumption",
    "units_of",
]

_Record = TypeVar("_Record", covariant=True)
_ASSUMPTIONS = "assumptions"
#: What to do where a record is missing.
_HOW_TO_BRING = {
    "thrower": "say how far you throw with `rimwise init --fairway 90m`",
    "course": "bring a map or a table of hole lengths with `rimwise import course.csv`",
    "conditions": "make some with `rimwise weather winter --plain '4C wet wind 9m/s' --from SW`",
    "cart": "bring one with `rimwise import cart.json`",
}


class _Shelf(Protocol[_Record]):
    def keys(self) -> list[str]: ...

    def get(self, key: str) -> _Record: ...


def assumptions_of(store: Store) -> Assumptions:
    """Return the assumptions with the owner's changes."""
    changed = store.settings.get(_ASSUMPTIONS, {})
    known = {item.name for item in fields(Assumptions)}
    return Assumptions(**{name: value for name, value in changed.items() if name in known})


def set_assumption(store: Store, name: str, value: float) -> Assumptions:
    """Change one assumption and keep it."""
    assume = assumptions_of(store).changed(name, value)
    default = asdict(Assumptions())
    changed = {key: v for key, v in asdict(assume).items() if v != default[key]}
    store.settings.put(_ASSUMPTIONS, changed)
    return assume


def units_of(store: Store) -> Units:
    """Return "m" or "ft", as the owner thinks."""
    return check_units(store.settings.get("units", "m"))


def pick(shelf: _Shelf[_Record], kind: str, name: str | None) -> _Record:
    """Return the record of this name, or the only one when no name is given.

    Raises
    ------
    InputError
        When there is none, or several and no name.
    NotFoundError
        When none has the name.
    """
    names = shelf.keys()
    if name is not None:
        if name not in names:
            have = f"you have {', '.join(names)}" if names else "you have none yet"
            raise NotFoundError(f"no {kind} {_is(kind)} called {name!r}; {have}.")
        return shelf.get(name)
    if not names:
        raise InputError(f"there {_is(kind)} no {kind} yet; {_HOW_TO_BRING[kind]}.")
    if len(names) > 1:
        raise InputError(f"you have several {kind} records: {', '.join(names)}; name one.")
    return shelf.get(names[0])


def _is(kind: str) -> str:
    return "are" if kind.endswith("s") else "is"


def available_discs(store: Store) -> list[Disc]:
    """Return the discs that can be chosen: not lent, lost, retired or in a practice stack."""
    return [disc for disc in store.discs.all() if disc.status.available]


def fleet_of(
    store: Store, assume: Assumptions, *, worn: bool = True, also: Collection[str] = ()
) -> Fleet:
    """Return all available discs as arrays, sorted by name.

    Parameters
    ----------
    worn
        As worn by now, from use, knocks and grades on record; else as each disc's own record says.
    also
        Names of discs to take for available whatever their records say.
    """
    known = [disc for disc in store.discs.all() if disc.status.available or disc.id in also]
    discs = sorted(known, key=lambda disc: disc.id)
    if worn:
        discs = as_worn(store, discs, assume)
    return build_fleet(
        discs,
        {mold.name: mold for mold in store.molds.all()},
        {plastic.name: plastic for plastic in store.plastics.all()},
        assume,
        everything=store.discs.all(),
    )


def disc_named(store: Store, name: str) -> Disc:
    """Return the disc that a person means: its own name, or a part that fits only one.

    Raises
    ------
    NotFoundError
        When no disc or more than one fits.
    """
    return disc_among(store.discs.all(), name)


def positions(store: Store, fleet: Fleet, names: Sequence[str]) -> tuple[int, ...]:
    """Return the positions of discs that a person named.

    Raises
    ------
    NotFoundError, InputError
        When a disc is not known, or is known but not available.
    """
    found = []
    for name in names:
        disc = disc_named(store, name)
        if disc.id not in fleet.ids:
            raise InputError(
                f"{disc.id} is {disc.status} and cannot be chosen; "
                f"change it with `rimwise discs --set {disc.id} status=home` first."
            )
        found.append(fleet.index(disc.id))
    return tuple(dict.fromkeys(found))


def roles_of(store: Store) -> dict[str, str]:
    """Return the role of every disc on file, by its name."""
    molds = {mold.name: role_of(mold.printed) for mold in store.molds.all()}
    return {disc.id: molds[disc.mold] for disc in store.discs.all()}


def in_role(store: Store, fleet: Fleet, role: str) -> tuple[int, ...]:
    """Return the positions of all discs of a role, perhaps none."""
    molds = {mold.name: mold for mold in store.molds.all()}
    roles = {name: role_of(molds[name].printed) for name in set(fleet.molds)}
    return tuple(i for i, mold in enumerate(fleet.molds) if roles[mold].startswith(role.lower()))


def role_positions(store: Store, fleet: Fleet, role: str) -> tuple[int, ...]:
    """Return the positions of all discs of a role: putter, mid-range, fairway, distance.

    Raises
    ------
    InputError
        When no available disc is of this role.
    """
    found = in_role(store, fleet, role)
    if not found:
        raise InputError(
            f"no available disc is a {role!r}; roles are putter, mid-range, "
            "fairway driver and distance driver."
        )
    return found
