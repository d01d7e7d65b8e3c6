"""The packed cart from the side and from above, with its tipping lines.

Drawn in centimetres. What the records do not hold is drawn as an assumption and said to be one:
the wheels' size, the handle, and discs somewhat thinner than they are so that each can be seen.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from rimwise.packing.placement import Alternative, Packing
from rimwise.packing.statics import Side
from rimwise.pictures.palette import disc_colour
from rimwise.pictures.svg import Paint, Scene, fitted, text_width_px
from rimwise.records.carts import Cart, Pocket
from rimwise.records.words import joined, plural

__all__ = ["CartScene", "Look", "cart_svg"]

WIDTH_PX = 350.0
#: Diameter of a disc, and how thick one is drawn, cm.
DISC_CM, EDGE_CM = 21.0, 1.25
#: Radius a wheel is drawn with, cm; not measured.
WHEEL_CM = 11.0
M_TO_CM = 100.0
#: Room between the two views.
TWO_LINES_CM = 18.0


@dataclass(frozen=True, slots=True)
class CartScene:
    """A cart as packed, other ways to pack it, and what else is to be said of it."""

    cart: Cart
    packing: Packing
    alternatives: tuple[Alternative, ...] = ()
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Look:
    """What a disc is called and which colour its owner calls it."""

    label: str
    colour: str


def cart_svg(scene: CartScene, looks: Mapping[str, Look], *, prefix: str = "cart") -> str:
    """Draw the cart from the side above the same cart from above.

    Parameters
    ----------
    scene
        The cart and where every disc goes.
    looks
        Names and colours by disc id; a disc without one is drawn grey.

    Returns
    -------
    str
        One ``<svg>`` element with a title and a description in words.
    """
    drawing = _empty_scene(scene, prefix)
    _draw_side(drawing, scene, looks)
    _draw_above(drawing, scene, looks)
    return drawing.render()


def _empty_scene(scene: CartScene, prefix: str) -> Scene:
    cart = scene.cart
    across = _half_width_cm(cart) + 10.0
    back = min([-24.0, *(p.x_m * M_TO_CM - 12 for p in cart.pockets)]) - 22.0
    front = max([cart.foot_x_m * M_TO_CM, *(p.x_m * M_TO_CM + 12 for p in cart.pockets)]) + 26.0
    high = max(_tops_cm(cart)) + 14.0
    # Below the ground of the side view: words, then the view from above.
    return Scene(
        prefix,
        f"{cart.name}, packed, from the side and from above",
        _words(scene),
        back,
        front,
        -(TWO_LINES_CM + 2 * across),
        high,
        WIDTH_PX,
    )


def _tops_cm(cart: Cart) -> list[float]:
    tops = [pocket.z_m * M_TO_CM + DISC_CM / 2 for pocket in cart.pockets]
    return tops + [item.z_m * M_TO_CM for item in cart.items]


def _half_width_cm(cart: Cart) -> float:
    sides = [abs(pocket.y_m) * M_TO_CM + DISC_CM / 2 for pocket in cart.pockets]
    sides += [abs(item.y_m) * M_TO_CM for item in cart.items]
    return max(cart.wheel_track_m * M_TO_CM / 2, *sides)


# -- from the side ------------------------------------------------------------------------


def _draw_side(drawing: Scene, scene: CartScene, looks: Mapping[str, Look]) -> None:
    cart, px = scene.cart, drawing.px
    foot = cart.foot_x_m * M_TO_CM
    top = max(_tops_cm(cart))
    drawing.line(((drawing.left, 0.0), (drawing.right, 0.0)), Paint(width_px=1.4))
    drawing.line(((foot, 0.0), (4.0, 22.0), (-14.0, top)), Paint("faint", "none", 2.0))
    drawing.line(((0.0, WHEEL_CM), (4.0, 22.0)), Paint("faint", "none", 2.0))
    drawing.circle(0.0, WHEEL_CM, WHEEL_CM, Paint("quiet", "none", 1.4, (4.0, 3.0)))
    for pocket, discs in _filled(scene):
        left, right = _ends_cm(pocket, len(discs))
        middle = pocket.z_m * M_TO_CM
        low, high = middle - DISC_CM / 2, middle + DISC_CM / 2
        drawing.box(left, right, low - 0.6, high - 5.0, Paint("ink", "paper", 1.2))
        _draw_edges(drawing, pocket, discs, looks, (low, high))
    for item in cart.items:
        x, z = item.x_m * M_TO_CM, item.z_m * M_TO_CM
        drawing.box(x - 1.2, x + 1.2, z - 1.2, z + 1.2, Paint("ink", "shade", 1.0))
    _name_parts(drawing, scene)
    _draw_tipping(drawing, scene)
    drawing.text(0.0, -11 * px, "wheels", size_px=11, anchor="middle", halo=False)
    drawing.text(foot, -11 * px, "foot", size_px=11, anchor="middle", halo=False)


def _filled(scene: CartScene) -> list[tuple[Pocket, tuple[str, ...]]]:
    packed = {pocket.pocket: pocket.discs for pocket in scene.packing.pockets}
    return [(pocket, packed.get(pocket.name, ())) for pocket in scene.cart.pockets]


def _ends_cm(pocket: Pocket, discs: int) -> tuple[float, float]:
    half = max(discs, 1) * EDGE_CM / 2 + 0.5
    return pocket.x_m * M_TO_CM - half, pocket.x_m * M_TO_CM + half


def _draw_edges(
    drawing: Scene,
    pocket: Pocket,
    discs: Sequence[str],
    looks: Mapping[str, Look],
    between: tuple[float, float],
) -> None:
    """Draw the discs standing side by side, in their owner's colours, the first at the front."""
    right = _ends_cm(pocket, len(discs))[1] - 0.5
    for n, disc in enumerate(discs):
        colour = disc_colour(looks[disc].colour) if disc in looks else disc_colour("")
        edge = right - n * EDGE_CM
        drawing.box(edge - EDGE_CM, edge, *between, Paint("ink", colour, 0.7))


def _name_parts(drawing: Scene, scene: CartScene) -> None:
    """Name the pockets down the front of the cart and what else rides along down its back."""
    px = drawing.px
    items = sorted(scene.cart.items, key=lambda item: -item.z_m)
    base = min((item.z_m for item in items), default=0.0) * M_TO_CM - 6.0
    for n, item in enumerate(items):
        row = base - 14 * n * px
        name = fitted(item.name, 11, 110)
        drawing.text(drawing.left + 4 * px, row, name, size_px=11, paint="quiet")
        start = drawing.left + 8 * px + text_width_px(name, 11) * px
        end = (item.x_m * M_TO_CM - 1.2, item.z_m * M_TO_CM)
        drawing.line(((start, row + 4 * px), end), Paint("faint", "none", 0.8))
    row = math.inf
    for pocket, discs in sorted(_filled(scene), key=lambda f: (-f[0].z_m, -f[0].x_m)):
        right = _ends_cm(pocket, len(discs))[1]
        row = min(row - 17 * px, pocket.z_m * M_TO_CM + DISC_CM / 2 + 6.0)
        name = f"{fitted(pocket.name, 12.5, 110)}: {len(discs)}"
        edge = drawing.right - 4 * px
        drawing.text(edge, row, name, size_px=11.5, bold=True, anchor="end")
        before = (edge - 4 * px - text_width_px(name, 12.5) * px, row + 4 * px)
        corner = (right - 0.8, pocket.z_m * M_TO_CM + DISC_CM / 2)
        drawing.line((before, corner), Paint("faint", "none", 0.8))


def _draw_tipping(drawing: Scene, scene: CartScene) -> None:
    """Draw the centre of mass, its plumb line, and the lines to where the cart tips."""
    px = drawing.px
    x, _, z = (part * M_TO_CM for part in scene.packing.load.centre_of_mass_m)
    foot = scene.cart.foot_x_m * M_TO_CM
    drawing.line(((x, z), (x, 0.0)), Paint("accent", "none", 1.4, (2.0, 4.0)))
    drawing.line(((0.0, 0.0), (x, z)), Paint("accent", "none", 1.4, (7.0, 3.0)))
    drawing.line(((foot, 0.0), (x, z)), Paint("accent", "none", 1.4, (7.0, 3.0)))
    _draw_mass(drawing, x, z)
    angles = scene.packing.angles_deg
    top = drawing.bottom + 2 * (_half_width_cm(scene.cart) + 10.0)
    lines = [
        f"Falls over backward on a {_whole(angles.backward)}° slope,",
        f"forward on a {_whole(angles.forward)}° slope.",
    ]
    if not scene.packing.load.stands:
        lines = [scene.packing.words.split(":")[0] + ":", "falls over on level ground."]
    for n, line in enumerate(lines):
        place = top + (26 - 16 * n) * px
        drawing.text(drawing.left + 6 * px, place, line, size_px=12.5, bold=True, halo=False)


def _draw_mass(drawing: Scene, x: float, y: float) -> None:
    size = 6 * drawing.px
    drawing.circle(x, y, size, Paint("ink", "paper", 1.6))
    drawing.line(((x - size, y), (x + size, y)), Paint(width_px=1.6))
    drawing.line(((x, y - size), (x, y + size)), Paint(width_px=1.6))


def _whole(angle_deg: float) -> int:
    """Round down: a slope that is promised is stood."""
    return max(math.floor(angle_deg), 0)


# -- from above ---------------------------------------------------------------------------


def _draw_above(drawing: Scene, scene: CartScene, looks: Mapping[str, Look]) -> None:
    """Draw the cart from above; left of the cart is up, as its front is to the right."""
    cart, px = scene.cart, drawing.px
    half = _half_width_cm(cart)
    zero = drawing.bottom + half + 10.0
    track, foot = cart.wheel_track_m * M_TO_CM / 2, cart.foot_x_m * M_TO_CM
    stand = cart.foot_half_width_m * M_TO_CM
    corners = [(0.0, track), (foot, stand), (foot, -stand), (0.0, -track)]
    for pocket, discs in _filled(scene):
        middle = zero + pocket.y_m * M_TO_CM
        between = (middle - DISC_CM / 2, middle + DISC_CM / 2)
        left, right = _ends_cm(pocket, len(discs))
        drawing.box(left, right, between[0] - 0.6, between[1] + 0.6, Paint("ink", "paper", 1.2))
        _draw_edges(drawing, pocket, discs, looks, between)
    for item in cart.items:
        x, y = item.x_m * M_TO_CM, zero + item.y_m * M_TO_CM
        drawing.box(x - 1.2, x + 1.2, y - 1.2, y + 1.2, Paint("ink", "shade", 1.0))
    for side in (track, -track):
        wheel = (-WHEEL_CM, WHEEL_CM, zero + side - 1.0, zero + side + 1.0)
        drawing.box(*wheel, Paint("quiet", "none", 1.4, (4.0, 3.0)))
    drawing.polygon([(x, zero + y) for x, y in corners], Paint("accent", "none", 2.0, (7.0, 3.0)))
    x, y, _ = (part * M_TO_CM for part in scene.packing.load.centre_of_mass_m)
    _draw_mass(drawing, x, zero + y)
    angles = scene.packing.angles_deg
    edge = drawing.right - 6 * px
    drawing.text(edge, zero + half - 2, f"to the left on {_whole(angles.left)}°", anchor="end")
    drawing.text(edge, zero - half - 2, f"to the right on {_whole(angles.right)}°", anchor="end")
    drawing.text(edge, zero, "front", size_px=11, anchor="end", paint="quiet")
    drawing.text(drawing.left + 6 * px, zero, "handle", size_px=11, paint="quiet")


def _words(scene: CartScene) -> str:
    x, y, z = (part * M_TO_CM for part in scene.packing.load.centre_of_mass_m)
    order: dict[Side, float] = dict(
        zip(("backward", "forward", "left", "right"), scene.packing.angles_deg, strict=True)
    )
    angles = [
        f"{side if side.endswith('ward') else f'to the {side}'} on a {_whole(angle)}° slope"
        for side, angle in order.items()
    ]
    pockets = [f"{p.pocket}: {plural(len(p.discs), 'disc')}" for p in scene.packing.pockets]
    aside = "" if abs(y) < 0.5 else f" and {abs(y):.0f} cm to the {'left' if y > 0 else 'right'}"
    return (
        f"{joined(pockets)}. The centre of mass is {z:.0f} cm above the ground, {x:.0f} cm in "
        f"front of the wheels{aside}. The cart falls over {joined(angles)}. The size of the "
        "wheels and the handle are not measured, and discs are drawn thinner than they are."
    )
