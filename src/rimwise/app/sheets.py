"""Sheets: the carry on one page, written to a file or shown in a browser."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from rimwise.app.box import units_of
from rimwise.app.files import Written, write_whole
from rimwise.app.packing import PackedCart, pack_cart
from rimwise.app.reports import load_plan, load_swaps
from rimwise.errors import InputError, RimwiseError
from rimwise.pictures.cart import CartScene
from rimwise.pictures.hole import hole_svg
from rimwise.pictures.sheet import CAUTIONS, sheet_html
from rimwise.store.store import Store

__all__ = ["CAUTIONS", "INVENTED", "draw_hole", "packed_for", "scene_of", "sheet_of", "write_sheet"]

#: Setting that marks a data file as invented.
INVENTED = "invented"


def sheet_of(
    store: Store,
    conditions: str | None = None,
    since: str | None = None,
    links: Sequence[tuple[str, str]] = (),
) -> str:
    """Return the sheet of a planned carry as one HTML document.

    Parameters
    ----------
    since
        Earlier conditions, to show what changed and why.
    links
        Addresses and words of what stands at the top on a screen; none in a file of its own.

    Raises
    ------
    RimwiseError
        When nothing is planned.
    """
    plan = load_plan(store, conditions)
    other = load_plan(store, since) if since is not None else None
    swaps = load_swaps(store, since, plan.conditions) if since is not None else None
    invented = bool(store.settings.get(INVENTED, False))
    return sheet_html(
        plan,
        swaps=swaps,
        cart=scene_of(packed_for(store, plan.conditions)),
        other=other,
        units=units_of(store),
        note="Everything on this sheet is invented: player, discs, course, weather."
        if invented
        else "",
        links=links,
    )


def packed_for(store: Store, conditions: str) -> PackedCart | None:
    """Return the packed cart, or nothing where there is no cart or no room in it."""
    if len(store.carts) != 1:
        return None
    try:
        return pack_cart(store, conditions)
    except RimwiseError:
        return None


def scene_of(packed: PackedCart | None) -> CartScene | None:
    """Return a packed cart as it is drawn, with what is to be said of it."""
    if packed is None:
        return None
    notes = (packed.notice, packed.gust, *(swap.words for swap in packed.swapped))
    return CartScene(
        packed.cart, packed.packing, packed.others, tuple(note for note in notes if note)
    )


def write_sheet(
    store: Store, path: Path, *, conditions: str | None = None, since: str | None = None
) -> Written:
    """Write the sheet of a planned carry to one self-contained HTML file.

    Raises
    ------
    RimwiseError
        When nothing is planned or the file cannot be written.
    """
    return write_whole(path, sheet_of(store, conditions, since))


def draw_hole(store: Store, path: Path, ref: str, *, conditions: str | None = None) -> Written:
    """Draw one hole of a plan into an SVG file.

    Raises
    ------
    RimwiseError
        When nothing is planned, the plan has no such hole, or the file cannot be written.
    """
    plan = load_plan(store, conditions)
    for hole in plan.holes:
        if hole.ref == ref:
            svg = hole_svg(hole, units_of(store), notice=plan.attribution)
            return write_whole(path, svg)
    refs = ", ".join(hole.ref for hole in plan.holes)
    raise InputError(f"the plan for {plan.conditions} has no hole {ref!r}; it has {refs}.")
