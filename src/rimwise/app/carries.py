"""Carries kept over the years: list, show, keep one for an occasion, compare two."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from rimwise.app.asking import carry_named
from rimwise.app.box import assumptions_of, disc_named, pick
from rimwise.errors import InputError
from rimwise.records import words
from rimwise.records.carries import Carry, things_for
from rimwise.records.carts import CartItem
from rimwise.store.store import Store

__all__ = ["CarryLine", "CarryShown", "Compared", "carry_lines", "compare", "keep", "shown"]


@dataclass(frozen=True, slots=True)
class CarryLine:
    """One kept carry in a list."""

    number: int
    name: str
    on: str
    conditions: str
    course: str
    discs: int
    strokes_per_round: float | None
    note: str


@dataclass(frozen=True, slots=True)
class CarryShown:
    """One kept carry whole: discs with their reasons, alternates, items, and what to take."""

    number: int
    name: str
    on: str
    conditions: str
    course: str
    discs: tuple[str, ...]
    labels: tuple[str, ...]
    reasons: tuple[str, ...]
    alternates: tuple[str, ...]
    items: tuple[CartItem, ...]
    take: tuple[str, ...]
    strokes_per_round: float | None
    strokes_se: float | None
    note: str


@dataclass(frozen=True, slots=True)
class Compared:
    """Two carries side by side: what went out, what came in, what stayed, in sentences."""

    old: str
    new: str
    out: tuple[str, ...]
    into: tuple[str, ...]
    both: tuple[str, ...]
    sentences: tuple[str, ...]


def carry_lines(store: Store, name: str | None = None) -> tuple[CarryLine, ...]:
    """List the kept carries, oldest first; only those of one name when given."""
    return tuple(
        CarryLine(
            number,
            carry.name,
            carry.on.isoformat(),
            carry.conditions,
            carry.course,
            len(carry.disc_ids),
            carry.strokes_per_round,
            carry.note,
        )
        for number, carry in store.carries.all()
        if name is None or carry.name.lower() == name.lower()
    )


def shown(store: Store, name: str | None) -> CarryShown:
    """Show one carry by its name or number, the latest when not named.

    Raises
    ------
    NotFoundError
        When there is none.
    """
    carry = carry_named(store, name)
    return _shown(store, carry)


def keep(
    store: Store,
    occasion: str,
    *,
    on: date,
    like: str | None = None,
    discs: Sequence[str] = (),
    mold: str | None = None,
    conditions: str | None = None,
    items: Sequence[str] = (),
    note: str = "",
) -> CarryShown:
    """Keep a carry for an occasion, dated, beside all earlier ones of that name.

    Parameters
    ----------
    like
        An earlier carry to start from, by name or number.
    discs
        More discs that go, by name.
    mold
        A mold of which every disc goes, practice stack included.
    conditions
        Weather to take things for; that of the earlier carry when not given.
    items
        Things on the cart, as "cool box 2.5kg 0.10 0 0.35": name, mass, and place in metres
        forward of the axle, left, and up.

    Raises
    ------
    RimwiseError
        When a name is not known, an item cannot be read, or no disc goes.
    """
    if not occasion.strip():
        raise InputError('the occasion needs a name, as in "club cup".')
    base = None if like is None else carry_named(store, like)
    going = list(base.disc_ids if base else ())
    going += [disc_named(store, name).id for name in discs]
    if mold is not None:
        going += _of_mold(store, mold)
    if not going:
        raise InputError("no disc goes; name some with --disc, a --mold, or an earlier --like.")
    weather = conditions or (base.conditions if base else "")
    take: tuple[str, ...] = ()
    planned = store.conditions.keys()
    if weather in planned:
        assume = assumptions_of(store)
        take = things_for(
            pick(store.conditions, "conditions", weather),
            cold_below_c=assume.cold_below_c,
            hot_above_c=assume.hot_above_c,
        )
    elif conditions is not None:
        pick(store.conditions, "conditions", conditions)  # says what there is
    together = tuple(dict.fromkeys(going))
    same = base is not None and together == base.disc_ids  # else it has no strokes of its own
    carry = Carry(
        name=occasion.strip(),
        on=on,
        conditions=weather,
        course=base.course if base else "",
        disc_ids=together,
        alternates=tuple(d for d in (base.alternates if base else ()) if d not in together),
        reasons=base.reasons if base else (),
        strokes_per_round=base.strokes_per_round if base and same else None,
        strokes_se=base.strokes_se if base and same else None,
        seed=base.seed if base else 0,
        note=note,
        items=(*(base.items if base else ()), *(_item(text) for text in items)),
        take=take,
    )
    store.carries.add(carry)
    return _shown(store, carry)


def _of_mold(store: Store, mold: str) -> list[str]:
    found = [disc.id for disc in store.discs.all() if disc.mold.lower() == mold.lower()]
    if not found:
        molds = ", ".join(sorted({disc.mold for disc in store.discs.all()}))
        raise InputError(f"you own no disc of the mold {mold!r}; you own {molds}.")
    return found


def _item(text: str) -> CartItem:
    parts = text.replace(",", " ").split()
    try:
        mass, x, y, z = parts[-4:]
        name = " ".join(parts[:-4])
        return CartItem(name, float(mass.lower().removesuffix("kg")), float(x), float(y), float(z))
    except (ValueError, IndexError):
        raise InputError(
            f"{text!r} is no thing on the cart; write its name, mass and place in metres "
            'forward, left and up, as in "cool box 2.5kg 0.10 0 0.35".'
        ) from None


def compare(store: Store, old: str, new: str) -> Compared:
    """Compare two kept carries, also over years.

    Raises
    ------
    NotFoundError
        When one is not known.
    """
    before, after = carry_named(store, old), carry_named(store, new)
    out = tuple(disc for disc in before.disc_ids if disc not in after.disc_ids)
    into = tuple(disc for disc in after.disc_ids if disc not in before.disc_ids)
    both = tuple(disc for disc in after.disc_ids if disc in before.disc_ids)
    first, second = _called(before), _called(after)
    told = [f"From {first} to {second}: {len(both)} stay, {len(out)} out, {len(into)} in."]
    if out:
        told.append(f"Out: {words.joined(out)}.")
    if into:
        told.append(f"In: {words.joined(into)}.")
    told += _strokes_words(before, after)
    return Compared(first, second, out, into, both, tuple(told))


def _strokes_words(before: Carry, after: Carry) -> list[str]:
    """Compare strokes only where both were expected of the same course and weather."""
    if (before.course, before.conditions) != (after.course, after.conditions):
        return ["Their strokes are not compared, for course or weather differ."]
    if before.strokes_per_round is None or after.strokes_per_round is None:
        return []
    was, now = (
        words.strokes(carry.strokes_per_round or 0.0, carry.strokes_se or 0.0)
        for carry in (before, after)
    )
    told = (
        f"Expected then: {was}, a round; now: {now}. What was known of the discs may have "
        "changed in between, so this is no proof of either."
    )
    return [told]


def _called(carry: Carry) -> str:
    return f"{carry.name} of {carry.on}"


def _shown(store: Store, carry: Carry) -> CarryShown:
    number = max(number for number, kept in store.carries.all() if kept == carry)
    discs = {disc.id: disc for disc in store.discs.all()}
    why = dict(carry.reasons)
    return CarryShown(
        number,
        carry.name,
        carry.on.isoformat(),
        carry.conditions,
        carry.course,
        carry.disc_ids,
        tuple(discs[disc].label for disc in carry.disc_ids),
        tuple(why.get(disc, "") for disc in carry.disc_ids),
        carry.alternates,
        carry.items,
        carry.take,
        carry.strokes_per_round,
        carry.strokes_se,
        carry.note,
    )
