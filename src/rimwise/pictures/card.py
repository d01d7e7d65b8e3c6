"""The card of a packed cart on one page: every pocket with its discs, in the order of the hand.

The page is set by typst from a template of ours; everything an owner typed reaches it as data, so
that no name is ever read as markup. The cart is the drawing of the sheet.
"""

from __future__ import annotations

import json
import re
from dataclasses import dataclass
from importlib import resources

from rimwise.pictures.cart import CartScene, Look, cart_svg
from rimwise.pictures.palette import disc_colour

__all__ = ["CardDisc", "CardPocket", "CardScene", "card_document", "scaled_strokes"]


@dataclass(frozen=True, slots=True)
class CardDisc:
    """One disc as told on a card: its name, numbers, how it flies for this arm, what it is for."""

    disc_id: str
    label: str
    colour: str
    numbers: str
    flight: str
    job: str


@dataclass(frozen=True, slots=True)
class CardPocket:
    """A pocket and its discs, the most used first."""

    name: str
    discs: tuple[CardDisc, ...]


@dataclass(frozen=True, slots=True)
class CardScene:
    """What a card says; ``cart`` is ``None`` where no cart is packed.

    ``car`` is what stays in the car, with the ``swaps`` for it; ``wishes`` are those that bound.
    """

    conditions: str
    title: str
    summary: str
    pockets: tuple[CardPocket, ...]
    cart: CartScene | None
    stands: str
    caution: str
    note: str
    attribution: str
    car: CardPocket | None = None
    swaps: tuple[str, ...] = ()
    wishes: tuple[str, ...] = ()


def card_document(scene: CardScene, paper: str) -> tuple[str, str]:
    """Return the template of the page and its data as JSON.

    Parameters
    ----------
    paper
        ``"a4"`` or ``"us-letter"``.
    """
    template = resources.files("rimwise.pictures") / "templates" / "card.typ"
    looks = {
        disc.disc_id: Look(disc.label, disc.colour)
        for pocket in scene.pockets
        for disc in pocket.discs
    }
    data = {
        "paper": paper,
        "title": scene.title,
        "summary": scene.summary,
        "stands": scene.stands,
        "caution": scene.caution,
        "notes": [note for note in (scene.note, scene.attribution) if note],
        "cart": None
        if scene.cart is None
        else scaled_strokes(cart_svg(scene.cart, looks, prefix="card")),
        "pockets": [_pocket(pocket) for pocket in scene.pockets],
        "car": None if scene.car is None else _pocket(scene.car),
        "swaps": scene.swaps,
        "wishes": scene.wishes,
    }
    return template.read_text(encoding="utf-8"), json.dumps(data)


def _pocket(pocket: CardPocket) -> dict[str, object]:
    """Return a pocket as the template takes it."""
    return {
        "name": pocket.name,
        "discs": [
            {
                "label": disc.label,
                "swatch": disc_colour(disc.colour),
                "numbers": disc.numbers,
                "flight": disc.flight,
                "job": disc.job,
            }
            for disc in pocket.discs
        ],
    }


def scaled_strokes(svg: str) -> str:
    """Write the widths of lines that keep theirs at any scale in the drawing's own units.

    For readers that do not know ``vector-effect``; one drawing, none nested inside.
    """
    frame = re.match(r'<svg [^>]*?width="([^"]+)"[^>]*?viewBox="\S+ \S+ (\S+) ', svg)
    if frame is None:
        return svg
    per_px = float(frame[2]) / float(frame[1])

    def scaled(found: re.Match[str]) -> str:
        each = " ".join(f"{float(width) * per_px:.3f}" for width in found[2].split())
        return f'{found[1]}="{each}"'

    def line(found: re.Match[str]) -> str:
        return re.sub(r'(stroke-width|stroke-dasharray)="([^"]+)"', scaled, found[0])

    return re.sub(r'<[^>]*vector-effect="non-scaling-stroke"[^>]*>', line, svg)
