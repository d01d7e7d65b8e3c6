"""Wishes: what the owner asks of a carry, from words to rules."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass

import numpy as np

from rimwise.app.box import disc_named, in_role, pick, positions, role_positions
from rimwise.app.reports import load_plan, plan_names
from rimwise.beliefs.fleet import Fleet
from rimwise.decide.carry import (
    BAD_THROWS,
    HARSHEST,
    KNOWN,
    LEAST_CHANGE,
    NO_DOUBLES,
    SPARES,
    USUAL_ORDER,
    Wishes,
)
from rimwise.decide.conflict import Rule, count_rule
from rimwise.errors import InputError, NotFoundError, check_range
from rimwise.packing.placement import PackingDisc
from rimwise.packing.standing import Slopes, broken_sum
from rimwise.records.assumptions import Assumptions
from rimwise.records.carries import Carry
from rimwise.records.carts import Cart
from rimwise.records.courses import AreaKind, Course
from rimwise.records.words import joined, number, plural
from rimwise.store.store import Store

__all__ = [
    "Asked",
    "CartStands",
    "carry_named",
    "load_asked",
    "save_asked",
    "stands_for",
    "wishes_for",
]

_ASKED = "asked:"
#: What may decide among carries that are equal in strokes.
_ORDER = (HARSHEST, BAD_THROWS, KNOWN, NO_DOUBLES, LEAST_CHANGE, SPARES)
#: What is longer is no carry's number, nor one that the data file could hold.
_LONGEST_NUMBER = 16


@dataclass(frozen=True, slots=True)
class Asked:
    """What the owner asks of a plan.

    Parameters
    ----------
    limit
        Most discs to carry.
    must, never
        Discs by name.
    at_least
        Pairs (role or discs, how many): so many of them go. When not given: a putter and a
        spare one, as far as there are any and the limit has room.
    price
        Strokes a disc has to save per round to be worth carrying.
    keep
        Name of the conditions whose carry should change as little as possible.
    printed
        Go by printed numbers alone and leave aside what throws and comparisons teach.
    liked
        Discs that stay in the carry because their owner likes them; what that costs is told.
    putting
        The disc to putt with: it goes and is never thrown.
    at_most
        Pairs (role or discs, how many): no more of them go.
    one_of
        Groups (role or discs): exactly one of each goes.
    spares
        Places of the limit left to spares for what is most likely lost.
    floating
        How many floating discs go where the course has water.
    most_weight_g
        What the discs may weigh together.
    changes, changes_from
        Most discs that may come in, and go out, against an earlier carry: its number or name,
        the latest for these conditions when not given.
    cart
        The cart whose pockets have to hold the carry, so that it stands ``slopes``.
    slopes
        Slopes in degrees that the packed cart has to stand: backward, forward, sideways.
    car
        Alternates to leave in the car, for a swap after feeling the wind.
    on_holes
        Choose again from what every hole asks for, each solved for itself.
    then
        What decides among carries that are equal in strokes, the first first; the usual order
        when not given.
    name
        What to call the carry, such as an occasion; the conditions' name when not given.
    """

    limit: int = 20
    must: tuple[str, ...] = ()
    never: tuple[str, ...] = ()
    at_least: tuple[tuple[str, int], ...] | None = None
    price: float = 0.0
    keep: str | None = None
    printed: bool = False
    liked: tuple[str, ...] = ()
    putting: str | None = None
    at_most: tuple[tuple[str, int], ...] = ()
    one_of: tuple[str, ...] = ()
    spares: int = 0
    floating: int = 0
    most_weight_g: float | None = None
    changes: int | None = None
    changes_from: str | None = None
    cart: str | None = None
    slopes: tuple[float | None, float | None, float | None] = (None, None, None)
    car: int = 0
    name: str | None = None
    on_holes: bool = False
    then: tuple[str, ...] | None = None


def wishes_for(store: Store, fleet: Fleet, asked: Asked, conditions: str, course: Course) -> Wishes:
    """Turn what was asked into wishes over the fleet.

    Raises
    ------
    RimwiseError
        When a name is not known, or two wishes plainly contradict each other.
    """
    check_range("price of a disc", asked.price, 0.0, 10.0, "strokes a round")
    check_range("alternates in the car", asked.car, 0, 20)
    going = (*asked.must, *asked.liked, *([] if asked.putting is None else [asked.putting]))
    must = positions(store, fleet, going)
    never_ids = {disc_named(store, name).id for name in asked.never}
    never = tuple(i for i, disc_id in enumerate(fleet.ids) if disc_id in never_ids)
    both = [fleet.ids[i] for i in must if i in never]
    if both:
        raise InputError(f"{both[0]} cannot both go and stay; drop it from --must or --never.")
    if len(must) > asked.limit:
        raise InputError(
            f"{len(must)} discs must go, but the limit is {asked.limit}; "
            f"raise the limit or drop {len(must) - asked.limit} of them."
        )
    if asked.at_least is None:
        groups = _usual_groups(store, fleet, asked.limit - asked.spares, must, never)
    else:
        groups = tuple(
            (_enough(store, fleet, group, count), count)
            for group, count in asked.at_least
            if count > 0
        )
    keep: tuple[int, ...] = ()
    if asked.keep is not None:
        before = load_plan(store, asked.keep)
        keep = tuple(fleet.index(d) for d in before.chosen if d in fleet.ids)
    rules = (
        *_group_rules(store, fleet, asked),
        *_floating_rules(fleet, asked, course),
        *_weight_rules(fleet, asked),
        *_change_rules(store, fleet, asked, conditions),
        *_pocket_rules(store, fleet, asked),
    )
    order = _order(asked)
    if LEAST_CHANGE in order and not keep:
        keep = _latest_carry(store, fleet, conditions) if asked.then is not None else ()
    return Wishes(
        asked.limit, must, never, groups, asked.price, keep, rules, asked.spares, order
    )  # fmt: skip


def _order(asked: Asked) -> tuple[str, ...]:
    """Return what decides among equals, in full words; the first letters are enough."""
    if asked.then is None:
        return USUAL_ORDER
    order = []
    for said in asked.then:
        told = said.strip().lower()
        meant = [name for name in _ORDER if told and name.startswith(told)]
        if len(meant) != 1:
            raise InputError(
                f"{said!r} is nothing to decide by among equal carries; take from "
                f"{joined(_ORDER)}, the most important first."
            )
        if meant[0] in order:
            raise InputError(f"{meant[0]!r} is asked for twice among what decides; once will do.")
        order.append(meant[0])
    if SPARES in order[:-1]:
        raise InputError(
            "spares fill the room that is left, so they come last among what decides; put "
            "everything else before them."
        )
    if asked.spares and SPARES not in order:
        raise InputError(
            f"{plural(asked.spares, 'place')} for spares cannot be kept where spares are not among "
            "what decides; add spares as the last."
        )
    return tuple(order)


def _latest_carry(store: Store, fleet: Fleet, conditions: str) -> tuple[int, ...]:
    """Return the discs of the last plan of these conditions, where there is one."""
    if conditions not in plan_names(store):
        return ()
    return tuple(fleet.index(d) for d in load_plan(store, conditions).chosen if d in fleet.ids)


def _usual_groups(
    store: Store, fleet: Fleet, limit: int, must: Sequence[int], never: Sequence[int]
) -> tuple[tuple[tuple[int, ...], int], ...]:
    """Ask for a putter and a spare one, as far as there are any and the limit has room."""
    putters = tuple(i for i in in_role(store, fleet, "putter") if i not in never)
    room = limit - len([i for i in must if i not in putters])
    count = min(len(putters), 2, max(limit // 3, 1), room)
    return ((putters, count),) if count > 0 else ()


def _group(store: Store, fleet: Fleet, words: str) -> tuple[int, ...]:
    """Return the discs of a role, or those named with commas between."""
    if "," in words:
        return positions(store, fleet, [part.strip() for part in words.split(",") if part.strip()])
    try:
        return role_positions(store, fleet, words)
    except InputError:
        try:
            return positions(store, fleet, [words])
        except NotFoundError:
            pass
        raise


def _enough(store: Store, fleet: Fleet, words: str, count: int) -> tuple[int, ...]:
    found = _group(store, fleet, words)
    if len(found) < count:
        raise InputError(
            f"you ask for at least {count} of {words}, but only {len(found)} are available; "
            f"ask for {len(found)} or fewer."
        )
    return found


def _group_rules(store: Store, fleet: Fleet, asked: Asked) -> tuple[Rule, ...]:
    discs = len(fleet)
    rules: tuple[Rule, ...] = ()
    for words, count in asked.at_most:
        told = f"you ask for at most {count} of {words}"
        rules += count_rule(told, discs, _group(store, fleet, words), most=count)
    for words in asked.one_of:
        told = f"you ask for exactly one of {words}"
        rules += count_rule(told, discs, _group(store, fleet, words), least=1, most=1)
    return rules


def _floating_rules(fleet: Fleet, asked: Asked, course: Course) -> tuple[Rule, ...]:
    """Ask for floating discs, where the course has water to float on."""
    check_range("floating discs", asked.floating, 0, 60)
    if not asked.floating or not any(area.kind is AreaKind.WATER for area in course.areas):
        return ()
    floats = np.flatnonzero(fleet.floats).tolist()
    many = "a floating disc" if asked.floating == 1 else f"{asked.floating} floating discs"
    told = f"you ask for {many} near water"
    fact = f"only {len(floats)} you own {'floats' if len(floats) == 1 else 'float'}"
    if not floats:
        fact = "none you own floats"
    return tuple(
        Rule(rule.words, rule.weights, rule.most, fact)
        for rule in count_rule(told, len(fleet), floats, least=asked.floating)
    )


def _weight_rules(fleet: Fleet, asked: Asked) -> tuple[Rule, ...]:
    if asked.most_weight_g is None:
        return ()
    most = check_range("weight of the carry", asked.most_weight_g, 50.0, 20_000.0, "g")
    told = f"you ask for at most {number(most)} g of discs"
    return (Rule(told, tuple((fleet.mass_kg * 1000.0).tolist()), most),)


def _change_rules(store: Store, fleet: Fleet, asked: Asked, conditions: str) -> tuple[Rule, ...]:
    """Keep all but so many of an earlier carry; what is no longer owned has to change anyway."""
    if asked.changes is None:
        return ()
    most = int(check_range("changes", asked.changes, 0, 60))
    before = carry_named(store, asked.changes_from, conditions)
    kept = [fleet.index(disc) for disc in before.disc_ids if disc in fleet.ids]
    others = [i for i in range(len(fleet)) if i not in kept]
    told = f"you ask for at most {plural(most, 'change')} from {before.name} of {before.on}"
    return count_rule(told, len(fleet), kept, least=len(kept) - most) + count_rule(
        told, len(fleet), others, most=most + len(before.disc_ids) - len(kept)
    )


def carry_named(store: Store, name: str | None, conditions: str | None = None) -> Carry:
    """Return an earlier carry by its number or name, or the latest for some conditions.

    Raises
    ------
    NotFoundError
        When there is none.
    """
    carries = store.carries.all()
    if name is None:
        found = [carry for _, carry in carries if conditions in (None, carry.conditions)]
        found = found or [carry for _, carry in carries]
    elif name.lstrip("#").isdecimal() and len(name) < _LONGEST_NUMBER:
        found = [store.carries.get(int(name.lstrip("#")))]
    else:
        found = [carry for _, carry in carries if carry.name.lower() == name.lower()]
    if not found:
        have = list(dict.fromkeys(carry.name for _, carry in carries))
        told = f"you have {joined(have)}" if have else "none is on file yet; run `rimwise plan`"
        raise NotFoundError(f"there is no earlier carry{f' {name!r}' if name else ''}; {told}.")
    return found[-1]


def _pocket_rules(store: Store, fleet: Fleet, asked: Asked) -> tuple[Rule, ...]:
    if asked.cart is None:
        return ()
    cart = pick(store.carts, "cart", asked.cart or None)
    told = f"the pockets of {cart.name} hold {plural(cart.room, 'disc')}"
    return count_rule(told, len(fleet), range(len(fleet)), most=cart.room)


@dataclass(frozen=True, slots=True, eq=False)
class CartStands:
    """Tells whether a cart holds a set of discs so that it stands the slopes; in words too."""

    cart: Cart
    discs: tuple[PackingDisc, ...]
    slopes: Slopes

    @property
    def words(self) -> str:
        """The wish as a clause."""
        return f"{self.cart.name}, packed, is to stand {_slope_words(self.slopes)}"

    def __call__(self, chosen: Sequence[int]) -> Rule | None:
        """Return ``None``, or a rule that the set breaks and none that can be packed breaks."""
        found = broken_sum(self.cart, self.discs, chosen, self.slopes)
        return None if found is None else Rule(self.words, tuple(found[0].tolist()), found[1])


def stands_for(store: Store, fleet: Fleet, asked: Asked, assume: Assumptions) -> CartStands | None:
    """Return what tells whether the cart holds a carry so that it stands, if that is asked."""
    if asked.cart is None:
        return None
    cart = pick(store.carts, "cart", asked.cart or None)
    backward, forward, sideways = asked.slopes
    if asked.slopes == (None, None, None):
        backward = assume.cart_stands_deg
    discs = tuple(
        PackingDisc(disc, float(mass), 0.0)
        for disc, mass in zip(fleet.ids, fleet.mass_kg, strict=True)
    )
    return CartStands(cart, discs, Slopes(backward, forward, sideways))


def _slope_words(slopes: Slopes) -> str:
    sides = {("sideways" if side in ("left", "right") else side): s for side, s in slopes.sides}
    return joined([f"{slope:g}° {side}" for side, slope in sides.items()])


def save_asked(store: Store, conditions: str, asked: Asked) -> None:
    """Keep what was asked of the plan of these conditions."""
    store.reports.put(_ASKED + conditions, asdict(asked))


def load_asked(store: Store, conditions: str) -> Asked:
    """Return what was asked of the latest plan of these conditions.

    Raises
    ------
    NotFoundError
        When they were not planned yet, or by an earlier version.
    """
    from pydantic import TypeAdapter

    kept = store.reports.get(_ASKED + conditions)
    if kept is None:
        raise NotFoundError(
            f"no wishes are kept for {conditions!r}; run `rimwise plan {conditions}` with yours."
        )
    return TypeAdapter(Asked).validate_python(kept)
