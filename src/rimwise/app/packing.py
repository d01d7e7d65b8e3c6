"""Pack: which disc goes into which pocket, and on which slope the cart falls."""

from __future__ import annotations

from dataclasses import dataclass

from rimwise.app.box import assumptions_of, pick, units_of
from rimwise.app.reports import load_plan
from rimwise.decide.report import PlanReport
from rimwise.errors import InputError
from rimwise.packing.placement import (
    Alternative,
    Packing,
    PackingDisc,
    alternatives,
    pack,
    steadiest,
)
from rimwise.packing.statics import CAUTION, Side, gust_that_tips_m_s
from rimwise.records.assumptions import Assumptions
from rimwise.records.carts import Cart
from rimwise.records.words import Units, wind_speed
from rimwise.store.store import Store

__all__ = ["OtherWay", "PackReport", "PackedCart", "PocketLine", "make_packing", "pack_cart"]


@dataclass(frozen=True, slots=True)
class PocketLine:
    """One pocket and the discs in it, the most used first."""

    pocket: str
    room: int
    at_hand: int
    discs: tuple[str, ...]
    labels: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class OtherWay:
    """Another way to pack, with its angles."""

    name: str
    words: str
    backward_deg: float
    forward_deg: float
    left_deg: float
    right_deg: float


@dataclass(frozen=True, slots=True)
class PackReport:
    """The packed cart.

    Angles are slopes on which the parked cart falls, degrees; ``words`` says it.
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


def pack_cart(
    store: Store,
    conditions: str | None = None,
    *,
    cart: str | None = None,
    backward_deg: float | None = None,
) -> PackedCart:
    """Pack the cart for a planned carry: most used most at hand, and it stands.

    Parameters
    ----------
    backward_deg
        Slope that the parked cart has to stand without falling backward; when not given, the
        assumed one is tried and the steadiest packing taken where none stands it.

    Raises
    ------
    RimwiseError
        When there is no plan, no cart or no room.
    """
    plan = load_plan(store, conditions)
    frame = pick(store.carts, "cart", cart)
    discs = _packing_discs(plan)
    assume = assumptions_of(store)
    asked = assume.cart_stands_deg if backward_deg is None else backward_deg
    notice = ""
    try:
        packing = pack(frame, discs, backward_deg=asked)
    except InputError:
        packing = steadiest(frame, discs)
        if backward_deg is not None or packing.angles_deg.backward >= asked:
            raise
        notice = (
            f"No packing stands a {asked:.0f}° slope; this is the steadiest one. "
            "Move mass down or forward, or use a lighter upper pouch."
        )
    others = alternatives(frame, discs)[1:]  # the first is the handiest again
    gust = _gust_words(frame, packing, assume, units_of(store))
    return PackedCart(frame, plan, packing, others, asked, notice, gust)


def _gust_words(cart: Cart, packing: Packing, assume: Assumptions, units: Units) -> str:
    """Say which wind on an open umbrella tips the cart, where one rides along."""
    if not any("umbrella" in item.name.lower() for item in cart.items):
        return ""
    winds: dict[Side, float] = {
        side: gust_that_tips_m_s(
            packing.load,
            side,
            area_m2=assume.umbrella_area_m2,
            height_m=assume.umbrella_height_m,
        )
        for side in ("backward", "forward", "left", "right")
    }
    weakest = min(winds, key=lambda side: winds[side])
    way = weakest if weakest in ("backward", "forward") else f"to the {weakest}"
    return (
        f"With the umbrella up on level ground, a wind of {wind_speed(winds[weakest], units)} "
        f"tips it {way}; a sudden gust may do it sooner."
    )


def make_packing(
    store: Store,
    conditions: str | None = None,
    *,
    cart: str | None = None,
    backward_deg: float | None = None,
) -> PackReport:
    """Pack the cart as :func:`pack_cart` does, and tell it."""
    return _report(pack_cart(store, conditions, cart=cart, backward_deg=backward_deg))


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
    )


def _other(name: str, packing: Packing) -> OtherWay:
    angles = packing.angles_deg
    return OtherWay(name, packing.words, angles.backward, angles.forward, angles.left, angles.right)
