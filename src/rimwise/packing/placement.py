"""Which disc goes into which pocket: what is used most at hand, and the cart still stands.

Reach is ``sum over discs of throws per round * at-hand rank of the pocket``. Without demands on
tipping that is an assignment problem (Kuhn 1955; solved by SciPy); each demand on a tipping angle
is one linear inequality in the same unknowns, because the total mass does not change, and makes
it a small integer program (HiGHS through SciPy, solved to proof).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from rimwise.errors import InputError, check_range
from rimwise.packing.assignment import Array, Demand, Places, assign
from rimwise.packing.statics import CartLoad, MassAt, Sides, tipping_words
from rimwise.records.carts import Cart, Pocket

__all__ = [
    "Alternative",
    "PackedPocket",
    "Packing",
    "PackingDisc",
    "alternatives",
    "edge_sums",
    "pack",
    "packed_load",
    "steadiest",
]


@dataclass(frozen=True, slots=True)
class PackingDisc:
    """A disc to be packed.

    Parameters
    ----------
    disc
        Its name or id.
    mass_kg
        0.01 to 0.5.
    throws_per_round
        How often it is expected to be thrown in a round, 0 to 200.
    """

    disc: str
    mass_kg: float
    throws_per_round: float

    def __post_init__(self) -> None:
        check_range(f"mass of disc {self.disc}", self.mass_kg, 0.01, 0.5, "kg")
        check_range(f"throws per round of disc {self.disc}", self.throws_per_round, 0.0, 200.0)


@dataclass(frozen=True, slots=True)
class PackedPocket:
    """A pocket and the discs in it, most used first."""

    pocket: str
    discs: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Packing:
    """Where every disc goes, and how the cart then stands.

    Parameters
    ----------
    pockets
        In the cart's order, empty ones included.
    reach
        Throws per round times at-hand rank, summed: smaller is handier.
    load
        The packed cart.
    """

    pockets: tuple[PackedPocket, ...]
    reach: float
    load: CartLoad

    @property
    def angles_deg(self) -> Sides:
        """Slopes on which the parked cart falls, degrees."""
        return self.load.tipping_angles_deg

    @property
    def words(self) -> str:
        """How the cart stands, in a sentence."""
        return tipping_words(self.load)


@dataclass(frozen=True, slots=True)
class Alternative:
    """Another way to pack, with what it is called."""

    name: str
    packing: Packing


def pack(
    cart: Cart,
    discs: Sequence[PackingDisc],
    *,
    backward_deg: float | None = None,
    forward_deg: float | None = None,
    sideways_deg: float | None = None,
    empty: Iterable[str] = (),
) -> Packing:
    """Put the most used discs most at hand, among packings that stand the given slopes.

    Among equally handy packings the one that stands the steepest backward slope is taken.

    Parameters
    ----------
    cart
        Pockets with room, place and at-hand rank.
    discs
        What to pack; every disc gets a place.
    backward_deg, forward_deg, sideways_deg
        Slopes the parked cart has to stand, 0 to 60; None for no demand.
    empty
        Names of pockets to leave empty.

    Raises
    ------
    InputError
        When there is no room, a pocket is unknown, or no packing stands the slopes.
    """
    pockets = _open_pockets(cart, discs, empty)
    wanted = _wanted(backward_deg, forward_deg, sideways_deg)
    reach: Array = np.outer(
        [disc.throws_per_round for disc in discs], [pocket.at_hand for pocket in pockets]
    )
    demands = [
        demand for side, angle in wanted for demand in _demands(cart, discs, pockets, side, angle)
    ]
    places = assign(reach, _rooms(pockets), demands)
    if places is None:
        best = steadiest(cart, discs, empty=empty)
        asked = " and ".join(f"{angle:g}° {side}" for side, angle in wanted)
        raise InputError(
            f"No packing of {len(discs)} discs stands a slope of {asked}; packed for standing "
            f"backward slopes alone it reaches {math.floor(best.angles_deg.backward)}°: "
            "ask for less, or put less weight high up or behind the axle."
        )
    least = float(reach[np.arange(len(discs)), places].sum())
    handy = (reach, least + 1e-9 * max(1.0, least))
    steadier = _steepest(cart, discs, pockets, places, [*demands, handy])
    return _packing(cart, discs, pockets, steadier)


def steadiest(cart: Cart, discs: Sequence[PackingDisc], *, empty: Iterable[str] = ()) -> Packing:
    """Return the packing that stands the steepest backward slope, whatever is at hand.

    The ratio of distance to height is maximised by repeated assignment (Dinkelbach 1967,
    Management Science 13, 492-498): exact after a few rounds.

    Raises
    ------
    InputError
        When there is no room or a pocket is unknown.
    """
    pockets = _open_pockets(cart, discs, empty)
    places = np.repeat(np.arange(len(pockets)), _rooms(pockets))[: len(discs)]
    return _packing(cart, discs, pockets, _steepest(cart, discs, pockets, places, []))


def alternatives(
    cart: Cart,
    discs: Sequence[PackingDisc],
    *,
    backward_deg: float | None = None,
    forward_deg: float | None = None,
    sideways_deg: float | None = None,
) -> tuple[Alternative, ...]:
    """Return packings to compare: as asked, handiest, steadiest, and each pocket left empty.

    A pocket is left empty only where the others have room for all discs; those packings carry
    no demand on slopes, so that their angles can be compared.

    Raises
    ------
    InputError
        As :func:`pack`.
    """
    asked = pack(
        cart,
        discs,
        backward_deg=backward_deg,
        forward_deg=forward_deg,
        sideways_deg=sideways_deg,
    )
    found = [
        Alternative("as asked", asked),
        Alternative("most at hand", pack(cart, discs)),
        Alternative("steadiest", steadiest(cart, discs)),
    ]
    found += [
        Alternative(f"{pocket.name} empty", pack(cart, discs, empty=(pocket.name,)))
        for pocket in cart.pockets
        if pocket.room and cart.room - pocket.room >= len(discs)
    ]
    return tuple(found)


def packed_load(cart: Cart, contents: Iterable[tuple[str, float]]) -> CartLoad:
    """Return the cart with discs in its pockets as a body to be tipped.

    Parameters
    ----------
    contents
        Pairs (pocket name, mass of what is in it in kg); a pocket may come several times.

    Raises
    ------
    InputError
        When the cart has no such pocket.
    """
    by_name = {pocket.name: pocket for pocket in cart.pockets}
    items = [MassAt(cart.name, cart.mass_kg, cart.com_x_m, 0.0, cart.com_z_m)]
    items += [MassAt(i.name, i.mass_kg, i.x_m, i.y_m, i.z_m) for i in cart.items]
    items += [MassAt(p.name, p.mass_kg, p.x_m, p.y_m, p.z_m) for p in cart.pockets]
    for name, mass_kg in contents:
        pocket = by_name[_known(cart, name)]
        items.append(MassAt(f"in {name}", mass_kg, pocket.x_m, pocket.y_m, pocket.z_m))
    return CartLoad(
        items,
        wheel_track_m=cart.wheel_track_m,
        foot_x_m=cart.foot_x_m,
        foot_half_width_m=cart.foot_half_width_m,
    )


def _known(cart: Cart, name: str) -> str:
    names = [pocket.name for pocket in cart.pockets]
    if name not in names:
        raise InputError(
            f"cart {cart.name!r} has no pocket {name!r}; its pockets are {', '.join(names)}."
        )
    return name


def _open_pockets(
    cart: Cart, discs: Sequence[PackingDisc], empty: Iterable[str]
) -> tuple[Pocket, ...]:
    """Return the pockets to fill, or say that there is no room."""
    ids = [disc.disc for disc in discs]
    if len(set(ids)) != len(ids):
        double = next(name for name in ids if ids.count(name) > 1)
        raise InputError(f"disc {double!r} is to be packed twice; name it once.")
    shut = {_known(cart, name) for name in empty}
    pockets = tuple(pocket for pocket in cart.pockets if pocket.name not in shut)
    room = sum(pocket.room for pocket in pockets)
    if len(discs) > room:
        kept = f" with {', '.join(sorted(shut))} empty" if shut else ""
        raise InputError(
            f"{len(discs)} discs for {room} places on cart {cart.name!r}{kept}: "
            f"leave {len(discs) - room} at home or give a pocket more room."
        )
    return pockets


def _rooms(pockets: Sequence[Pocket]) -> list[int]:
    return [pocket.room for pocket in pockets]


def _wanted(
    backward_deg: float | None, forward_deg: float | None, sideways_deg: float | None
) -> list[tuple[str, float]]:
    asked = (
        ("backward", backward_deg),
        ("forward", forward_deg),
        ("left", sideways_deg),
        ("right", sideways_deg),
    )
    return [
        (side, check_range(f"slope {side}", angle, 0.0, 60.0, "°"))
        for side, angle in asked
        if angle is not None
    ]


def _gains(
    discs: Sequence[PackingDisc],
    pockets: Sequence[Pocket],
    inward: tuple[float, float],
    tangent: float,
) -> Array:
    """Return (discs, pockets): each disc's mass times its way inward less its height's share."""
    arms = [inward[0] * p.x_m + inward[1] * p.y_m - tangent * p.z_m for p in pockets]
    return np.outer([disc.mass_kg for disc in discs], arms)


def _edges(cart: Cart, side: str) -> list[tuple[tuple[float, float], float]]:
    """Return the edges that decide a side: inward direction (x, y) and reserve at the origin.

    Directions are scaled so that ``inward . com + offset`` is the reserve of ``CartLoad``.
    """
    narrowing = 0.5 * cart.wheel_track_m - cart.foot_half_width_m
    length, half = cart.foot_x_m, 0.5 * cart.wheel_track_m
    lean, square = narrowing / length, length / math.hypot(length, narrowing)
    if side == "backward":
        return [((1.0, 0.0), 0.0)]
    if side in ("left", "right"):
        sign = -1.0 if side == "left" else 1.0
        return [((-lean * square, sign * square), half * square)]
    front = [((-1.0, 0.0), length)]
    if narrowing > 0.0:
        front += [((-1.0, sign / lean), half / lean) for sign in (-1.0, 1.0)]
    return front


def edge_sums(cart: Cart, side: str, tangent: float) -> list[tuple[Array, float]]:
    """Return, for each edge that decides a side, what a kilogram in each pocket adds to standing.

    Pairs (pockets,) metres and the sum of the empty cart, kg m: a packed cart stands a slope of
    this ``tangent`` where the sum of mass times metres and the empty cart's is zero or more.
    """
    bare = packed_load(cart, ())
    found = []
    for inward, offset_m in _edges(cart, side):
        arms = np.array(
            [inward[0] * p.x_m + inward[1] * p.y_m - tangent * p.z_m for p in cart.pockets]
        )
        already = math.fsum(
            item.mass_kg * (inward[0] * item.x_m + inward[1] * item.y_m - tangent * item.z_m)
            for item in bare.items
        )
        found.append((arms + offset_m, already + bare.mass_kg * offset_m))
    return found


def _demands(
    cart: Cart,
    discs: Sequence[PackingDisc],
    pockets: Sequence[Pocket],
    side: str,
    angle_deg: float,
) -> list[Demand]:
    """Turn "stands this slope" into sums over the assignment, one for each edge."""
    tangent = math.tan(math.radians(angle_deg))
    bare = packed_load(cart, ())
    mass_kg = bare.mass_kg + math.fsum(disc.mass_kg for disc in discs)
    found = []
    for inward, offset_m in _edges(cart, side):
        already = math.fsum(
            item.mass_kg * (inward[0] * item.x_m + inward[1] * item.y_m - tangent * item.z_m)
            for item in bare.items
        )
        gains = _gains(discs, pockets, inward, tangent)
        found.append((-gains, already + mass_kg * offset_m))
    return found


def _steepest(
    cart: Cart,
    discs: Sequence[PackingDisc],
    pockets: Sequence[Pocket],
    places: Places,
    demands: Sequence[Demand],
) -> Places:
    """Improve ``places`` to the steepest backward slope that the demands allow."""
    tangent = _backward_tangent(cart, discs, pockets, places)
    while True:
        better = assign(-_gains(discs, pockets, (1.0, 0.0), tangent), _rooms(pockets), demands)
        if better is None:
            return places
        steeper = _backward_tangent(cart, discs, pockets, better)
        if steeper <= tangent + 1e-9:
            return places
        places, tangent = better, steeper


def _backward_tangent(
    cart: Cart, discs: Sequence[PackingDisc], pockets: Sequence[Pocket], places: Places
) -> float:
    load = packed_load(cart, _contents(discs, pockets, places))
    return math.tan(math.radians(load.tipping_angles_deg.backward))


def _contents(
    discs: Sequence[PackingDisc], pockets: Sequence[Pocket], places: Places
) -> list[tuple[str, float]]:
    return [(pockets[place].name, disc.mass_kg) for disc, place in zip(discs, places, strict=True)]


def _packing(
    cart: Cart, discs: Sequence[PackingDisc], pockets: Sequence[Pocket], places: Places
) -> Packing:
    held: dict[str, list[PackingDisc]] = {pocket.name: [] for pocket in cart.pockets}
    for disc, place in zip(discs, places, strict=True):
        held[pockets[place].name].append(disc)
    packed = tuple(
        PackedPocket(
            name,
            tuple(d.disc for d in sorted(inside, key=lambda d: (-d.throws_per_round, d.disc))),
        )
        for name, inside in held.items()
    )
    reach = math.fsum(
        disc.throws_per_round * pockets[place].at_hand
        for disc, place in zip(discs, places, strict=True)
    )
    return Packing(packed, reach, packed_load(cart, _contents(discs, pockets, places)))
