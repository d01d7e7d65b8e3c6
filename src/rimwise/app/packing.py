"""Pack: which disc goes into which pocket, and on which slope the cart falls."""

from __future__ import annotations

from dataclasses import dataclass, replace

from rimwise.app.asking import carry_named
from rimwise.app.box import assumptions_of, pick, units_of
from rimwise.app.reports import load_plan
from rimwise.app.what_ifs import Hung, Loaded, OtherWay, Riding, TakenOff, What, what_if
from rimwise.decide.report import CarSwap, PlanReport
from rimwise.errors import InputError
from rimwise.packing.measuring import centre_of_mass_from_weighings
from rimwise.packing.placement import (
    Alternative,
    Packing,
    PackingDisc,
    alternatives,
    pack,
    steadiest,
)
from rimwise.packing.standing import Slopes
from rimwise.packing.statics import (
    CAUTION,
    Side,
    gust_that_tips_m_s,
)
from rimwise.records.assumptions import Assumptions
from rimwise.records.carts import Cart
from rimwise.records.words import Units, joined, plural, wind_speed
from rimwise.store.store import Store

__all__ = [
    "Measured",
    "PackReport",
    "PackedCart",
    "PocketLine",
    "SwapPacked",
    "loaded_of",
    "make_packing",
    "measure_cart",
    "pack_cart",
    "tell_packing",
]


@dataclass(frozen=True, slots=True)
class PocketLine:
    """One pocket and the discs in it, the most used first."""

    pocket: str
    room: int
    at_hand: int
    discs: tuple[str, ...]
    labels: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class SwapPacked:
    """How the cart stands packed anew after the swap at the car on one kind of day.

    ``stands`` says whether it stands the slopes that the carry stands; the angle is ``None`` where
    there is no room.
    """

    day: str
    stands: bool
    backward_deg: float | None
    words: str


@dataclass(frozen=True, slots=True)
class PackReport:
    """The packed cart.

    Angles are slopes on which the parked cart falls, degrees; ``words`` says it. ``changes``
    say how it stands with one thing taken off or moved and the discs left where they are,
    ``swapped`` how it stands after each swap at the car.
    """

    cart: str
    conditions: str
    pockets: tuple[PocketLine, ...]
    mass_kg: float
    centre_of_mass_m: tuple[float, float, float]
    backward_deg: float
    forward_deg: float
    left_deg: float
    right_deg: float
    stands: bool
    asked_deg: float
    words: str
    notice: str
    gust: str
    others: tuple[OtherWay, ...]
    caution: str
    changes: tuple[OtherWay, ...] = ()
    swapped: tuple[SwapPacked, ...] = ()


@dataclass(frozen=True, slots=True)
class PackedCart:
    """The cart, how it is packed, and other ways to pack it."""

    cart: Cart
    plan: PlanReport
    packing: Packing
    others: tuple[Alternative, ...]
    asked_deg: float
    notice: str
    gust: str
    swapped: tuple[SwapPacked, ...] = ()


def pack_cart(
    store: Store,
    conditions: str | None = None,
    *,
    cart: str | None = None,
    backward_deg: float | None = None,
    forward_deg: float | None = None,
    sideways_deg: float | None = None,
    wind_slope_deg: float = 0.0,
    carry: str | None = None,
) -> PackedCart:
    """Pack the cart for a planned carry: most used most at hand, and it stands.

    Parameters
    ----------
    backward_deg
        Slope that the parked cart has to stand without falling backward; when not given, the
        assumed one is tried and the steadiest packing taken where none stands it.
    forward_deg, sideways_deg
        Slopes that it has to stand besides.
    wind_slope_deg
        Slope, dropping to the side the wind blows to, on which the umbrella is open.
    carry
        A kept carry, by name or number, whose own things ride along.

    Raises
    ------
    RimwiseError
        When there is no plan, no cart or no room.
    """
    plan = load_plan(store, conditions)
    frame = pick(store.carts, "cart", cart)
    if carry is not None:
        frame = replace(frame, items=(*frame.items, *carry_named(store, carry).items))
    discs = _packing_discs(plan)
    assume = assumptions_of(store)
    asked = assume.cart_stands_deg if backward_deg is None else backward_deg
    notice = ""
    try:
        packing = pack(
            frame,
            discs,
            backward_deg=asked,
            forward_deg=forward_deg,
            sideways_deg=sideways_deg,
        )
    except InputError:
        packing = steadiest(frame, discs)
        wished = (backward_deg, forward_deg, sideways_deg) != (None, None, None)
        if wished or packing.angles_deg.backward >= asked:
            raise
        notice = (
            f"No packing stands a {asked:.0f}° slope; this is the steadiest one. "
            "Move mass down or forward, or use a lighter upper pouch."
        )
    others = alternatives(frame, discs)[1:]  # the first is the handiest again
    gust = _gust_words(frame, packing, assume, units_of(store), wind_slope_deg)
    slopes = Slopes(asked, forward_deg, sideways_deg)
    swapped = tuple(
        _swapped(frame, plan, swap, packing, slopes)
        for swap in plan.car_swaps
        if swap.out or swap.into
    )
    return PackedCart(frame, plan, packing, others, asked, notice, gust, swapped)


def _swapped(
    cart: Cart, plan: PlanReport, swap: CarSwap, before: Packing, slopes: Slopes
) -> SwapPacked:
    """Pack the cart anew after a swap; what comes in is thrown as often as what goes out was."""
    throws = {purpose.disc_id: purpose.throws for purpose in plan.purposes}
    freed = sorted((throws.get(disc, 0.0) for disc in swap.out), reverse=True)
    work = throws | dict(zip(swap.into, freed, strict=False))
    discs = [
        PackingDisc(disc, plan.disc(disc).weight_g / 1000.0, work.get(disc, 0.0))
        for disc in (*(d for d in plan.chosen if d not in swap.out), *swap.into)
    ]
    said = f"After the swap at the car for {swap.day}"
    if len(discs) > cart.room:
        told = f"{said} there is no room: the pockets hold {plural(cart.room, 'disc')}."
        return SwapPacked(swap.day, False, None, told)
    stands = True
    try:
        packing = pack(
            cart,
            discs,
            backward_deg=slopes.backward,
            forward_deg=slopes.forward,
            sideways_deg=slopes.sideways,
        )
    except InputError:
        stands, packing = False, steadiest(cart, discs)
    angle = packing.angles_deg.backward
    after = f"{packing.words[:1].lower()}{packing.words[1:]}"
    told = f"the cart {after}"
    if not stands:
        asked = joined([f"{slope:g}° {side}" for side, slope in slopes.sides])
        told = f"the cart does not stand {asked}: at its steadiest it {after}"
    elif packing.words == before.words:
        told = "the cart stands as before."
    told = f"{said}, packed anew, {told}"
    return SwapPacked(swap.day, stands, angle, told)


def _gust_words(
    cart: Cart, packing: Packing, assume: Assumptions, units: Units, slope_deg: float
) -> str:
    """Say which wind on an open umbrella tips the cart, where one rides along."""
    if not any("umbrella" in item.name.lower() for item in cart.items):
        return ""
    winds: dict[Side, float] = {
        side: gust_that_tips_m_s(
            packing.load,
            side,
            area_m2=assume.umbrella_area_m2,
            height_m=assume.umbrella_height_m,
            slope_deg=slope_deg,
        )
        for side in ("backward", "forward", "left", "right")
    }
    weakest = min(winds, key=lambda side: winds[side])
    way = weakest if weakest in ("backward", "forward") else f"to the {weakest}"
    where = "level ground" if slope_deg == 0.0 else f"a {slope_deg:g}° slope dropping that way"
    if winds[weakest] == 0.0:
        return f"On {where} it falls {way} without any wind."
    return (
        f"With the umbrella up on {where}, a wind of {wind_speed(winds[weakest], units)} "
        f"tips it {way}; a sudden gust may do it sooner."
    )


def make_packing(
    store: Store,
    conditions: str | None = None,
    *,
    cart: str | None = None,
    backward_deg: float | None = None,
    forward_deg: float | None = None,
    sideways_deg: float | None = None,
    wind_slope_deg: float = 0.0,
    carry: str | None = None,
    without: str | None = None,
    move: tuple[str, float, float, float] | None = None,
) -> PackReport:
    """Pack the cart as :func:`pack_cart` does, and tell it as :func:`tell_packing` does."""
    packed = pack_cart(
        store,
        conditions,
        cart=cart,
        backward_deg=backward_deg,
        forward_deg=forward_deg,
        sideways_deg=sideways_deg,
        wind_slope_deg=wind_slope_deg,
        carry=carry,
    )
    return tell_packing(packed, without=without, move=move)


def tell_packing(
    packed: PackedCart,
    *,
    without: str | None = None,
    move: tuple[str, float, float, float] | None = None,
) -> PackReport:
    """Tell a packed cart, with each thing on it taken off in turn and what is asked besides.

    Parameters
    ----------
    without
        A thing on the cart, a disc, or a pocket with what is in it, to be told without; told last.
    move
        A thing on the cart, or a pocket with what is in it, and where to hang it instead: metres
        forward, left, up; told last.

    Raises
    ------
    InputError
        When there is no such thing on the cart.
    """
    asked: list[What] = [TakenOff(item.name) for item in packed.cart.items]
    asked += [] if without is None else [TakenOff(without)]
    asked += [] if move is None else [Hung(*move)]
    loaded = loaded_of(packed)
    return replace(_report(packed), changes=tuple(what_if(loaded, change) for change in asked))


def loaded_of(packed: PackedCart) -> Loaded:
    """Return the cart and where its discs are, for :func:`rimwise.app.what_ifs.what_if`."""
    masses = {disc.disc: disc.mass_kg for disc in _packing_discs(packed.plan)}
    return Loaded(
        packed.cart,
        tuple(
            Riding(disc, pocket.pocket, masses[disc])
            for pocket in packed.packing.pockets
            for disc in pocket.discs
        ),
    )


def _packing_discs(plan: PlanReport) -> list[PackingDisc]:
    throws = {purpose.disc_id: purpose.throws for purpose in plan.purposes}
    return [
        PackingDisc(disc, plan.disc(disc).weight_g / 1000.0, throws.get(disc, 0.0))
        for disc in plan.chosen
    ]


def _report(packed: PackedCart) -> PackReport:
    plan, packing = packed.plan, packed.packing
    rooms = {pocket.name: pocket for pocket in packed.cart.pockets}
    angles = packing.angles_deg
    return PackReport(
        cart=packed.cart.name,
        conditions=plan.conditions,
        pockets=tuple(
            PocketLine(
                pocket=pocket.pocket,
                room=rooms[pocket.pocket].room,
                at_hand=rooms[pocket.pocket].at_hand,
                discs=pocket.discs,
                labels=tuple(plan.disc(disc).label for disc in pocket.discs),
            )
            for pocket in packing.pockets
        ),
        mass_kg=packing.load.mass_kg,
        centre_of_mass_m=packing.load.centre_of_mass_m,
        backward_deg=angles.backward,
        forward_deg=angles.forward,
        left_deg=angles.left,
        right_deg=angles.right,
        stands=packing.load.stands,
        asked_deg=packed.asked_deg,
        words=packing.words,
        notice=packed.notice,
        gust=packed.gust,
        others=tuple(_other(other.name, other.packing) for other in packed.others),
        caution=CAUTION,
        swapped=packed.swapped,
    )


def _other(name: str, packing: Packing) -> OtherWay:
    angles = packing.angles_deg
    return OtherWay(name, packing.words, angles.backward, angles.forward, angles.left, angles.right)


@dataclass(frozen=True, slots=True)
class Measured:
    """Where an empty cart's mass sits, as its file asks for it."""

    com_x_m: float
    com_z_m: float
    words: str


def measure_cart(
    whole_kg: float,
    foot_level_kg: float,
    foot_raised_kg: float,
    axle_to_foot_m: float,
    wheel_radius_m: float,
    raised_m: float,
) -> Measured:
    """Say where the mass of an empty cart sits, from three weighings and three lengths.

    Raises
    ------
    InputError
        When the readings fit no cart.
    """
    ahead_m, high_m = centre_of_mass_from_weighings(
        whole_kg=whole_kg,
        foot_level_kg=foot_level_kg,
        foot_raised_kg=foot_raised_kg,
        axle_to_foot_m=axle_to_foot_m,
        wheel_radius_m=wheel_radius_m,
        raised_m=raised_m,
    )
    return Measured(
        ahead_m,
        high_m,
        f"Its mass sits {ahead_m:.3f} m in front of the axle and {high_m:.3f} m above the ground: "
        f'write "com_x_m": {ahead_m:.3f} and "com_z_m": {high_m:.3f} in the cart\'s file.',
    )
