"""What the owner wished, in words, which of the wishes bind a carry, and what each costs."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

from rimwise.app.asking import Asked, CartStands
from rimwise.app.box import disc_named
from rimwise.decide.carry import CarryChoice, Wishes, choose_carry
from rimwise.decide.demand import Demand
from rimwise.decide.report import BoundWish, LikedDisc
from rimwise.records.words import plural
from rimwise.store.store import Store

__all__ = ["told_wishes"]

#: Asked for where the owner asks for no group; told only where it binds.
_USUAL = "a putter and a spare one go, as nothing else is asked of the roles"


@dataclass(frozen=True, slots=True, eq=False)
class _Wish:
    """A wish in words, and all the others without it; ``liked`` is the disc that is liked."""

    words: str
    others: Wishes
    stands: CartStands | None
    liked: str = ""


def told_wishes(
    store: Store,
    demand: Demand,
    asked: Asked,
    wishes: Wishes,
    choice: CarryChoice,
    stands: CartStands | None,
) -> dict[str, Any]:
    """Return what a plan's report says of its wishes: ``wishes``, ``bound`` and ``liked``.

    A wish binds where the carry would be another without it. Every wish is taken back by itself,
    so that of two which ask for the same neither seems to bind.
    """
    chosen = choice.chosen
    if asked.car:  # a carry with alternates behind it is no measure for one without
        chosen = choose_carry(demand, wishes, stands).chosen
    ids = demand.fleet.ids
    told, bound, liked = [], [], []
    for wish in _each(store, demand, asked, wishes, stands):
        without = choose_carry(demand, wish.others, wish.stands).chosen
        costs, error = (0.0, 0.0)
        out = tuple(ids[d] for d in sorted(set(chosen) - set(without)))
        instead = tuple(ids[d] for d in sorted(set(without) - set(chosen)))
        if out or instead:
            costs, error = demand.difference(chosen, without)
            bound.append(BoundWish(wish.words, costs, error, out, instead))
        if wish.words != _USUAL or out or instead:
            told.append(wish.words)
        if wish.liked:
            liked.append(LikedDisc(wish.liked, costs, error, instead))
    return {"wishes": tuple(told), "bound": tuple(bound), "liked": tuple(liked)}


def _each(
    store: Store, demand: Demand, asked: Asked, wishes: Wishes, stands: CartStands | None
) -> Iterator[_Wish]:
    """Take back one wish after the other."""
    yield from _single(store, demand, asked, wishes, stands)
    groups = [f"you ask for at least {k} of {group}" for group, k in asked.at_least or () if k > 0]
    if asked.at_least is None and wishes.at_least:
        groups = [_USUAL]
    for place, words in enumerate(groups):
        left = (*wishes.at_least[:place], *wishes.at_least[place + 1 :])
        yield _Wish(words, replace(wishes, at_least=left), stands)
    for words in dict.fromkeys(rule.words for rule in wishes.rules):
        rules = tuple(rule for rule in wishes.rules if rule.words != words)
        yield _Wish(words, replace(wishes, rules=rules), stands)
    if stands is not None:
        yield _Wish(stands.words, wishes, None)
    if wishes.spares:
        told = f"you leave {plural(wishes.spares, 'place')} to spares"
        yield _Wish(told, replace(wishes, spares=0), stands)


def _single(
    store: Store, demand: Demand, asked: Asked, wishes: Wishes, stands: CartStands | None
) -> Iterator[_Wish]:
    """Take back the wishes about single discs; what goes for two reasons goes for the other."""
    must = [disc_named(store, name).id for name in asked.must]
    liked = [disc_named(store, name).id for name in asked.liked]
    going = [(disc, f"{disc} has to go") for disc in must]
    going += [(disc, f"{disc} stays in because you like it") for disc in liked]
    if asked.putting is not None:
        disc = disc_named(store, asked.putting).id
        going.append((disc, f"{disc} goes for putting and is never thrown"))
    named = [disc for disc, _ in going]
    for place, (disc, words) in enumerate(going):
        firm = disc in named[:place] + named[place + 1 :]
        at = demand.fleet.index(disc)
        free = tuple(one for one in wishes.must if firm or one != at)
        is_liked = len(must) <= place < len(must) + len(liked)
        yield _Wish(words, replace(wishes, must=free), stands, disc if is_liked else "")
    for at in wishes.never:
        kept = tuple(one for one in wishes.never if one != at)
        yield _Wish(f"{demand.fleet.ids[at]} has to stay", replace(wishes, never=kept), stands)
