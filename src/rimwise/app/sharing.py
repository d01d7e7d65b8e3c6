"""What others are shown, and what lies on the cart: a list, a one-page card, a season's story."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from rimwise.app.box import units_of
from rimwise.app.files import Written, write_bytes
from rimwise.app.reports import load_plan, load_swaps
from rimwise.app.sheets import INVENTED, packed_for, scene_of
from rimwise.decide.report import DiscLine, PlanReport, SwapReport
from rimwise.errors import InputError, NotFoundError
from rimwise.pictures.card import CardDisc, CardPocket, CardScene, card_document
from rimwise.pictures.cart import CartScene
from rimwise.pictures.telling import Names, car_lines, purpose_words, wish_lines
from rimwise.records import words
from rimwise.records.words import Units
from rimwise.store.store import Store

__all__ = ["PAPERS", "Shared", "share", "write_card"]

Form = Literal["text", "markdown"]
Paper = Literal["a4", "us-letter"]
Page = Literal["pdf", "png", "svg"]

#: Papers of the one-page card, by what people call them.
PAPERS: Mapping[str, Paper] = {"a4": "a4", "letter": "us-letter"}
#: Kinds of page by the ending of the file.
PAGES: Mapping[str, Page] = {".pdf": "pdf", ".png": "png", ".svg": "svg"}
#: Pictures are made at so many points an inch.
_PPI = 200.0
_CAUTION = "Nobody in range before you throw; posted course rules come first."


@dataclass(frozen=True, slots=True)
class Shared:
    """A carry, and with ``since`` the story of the season, as text to show others."""

    conditions: str
    form: Form
    text: str


def share(
    store: Store, conditions: str | None = None, *, since: str | None = None, form: Form = "text"
) -> Shared:
    """Tell a carry as others like to read it, in the order of its pockets.

    Parameters
    ----------
    since
        Earlier conditions: why the carry changed, from the kept swap list.

    Raises
    ------
    NotFoundError
        When nothing is planned, or no swap list between the two was made.
    """
    scene = _scene(store, conditions)
    story = _story(store, since, scene.conditions) if since is not None else ()
    mark = form == "markdown"
    lines = [f"# {scene.title}" if mark else scene.title, "", scene.summary, ""]
    for pocket in (*scene.pockets, *([] if scene.car is None else [scene.car])):
        lines += _headed(pocket.name, mark=mark)
        lines += [_listed(disc, mark=mark) for disc in pocket.discs]
        lines.append("")
    for title, told in (
        ("Swaps at the car", scene.swaps),
        ("My wishes", scene.wishes),
        ("Why it changed" if mark else f"Why it changed since {since}", story),
    ):
        if told:
            lines += _headed(title, mark=mark)
            lines += [f"- {_escaped(one) if mark else one}" for one in told]
            lines.append("")
    lines += [note for note in (scene.note,) if note]
    return Shared(scene.conditions, form, "\n".join(lines).rstrip() + "\n")


def _headed(title: str, *, mark: bool) -> list[str]:
    return [f"## {title}", ""] if mark else [f"{title}:"]


def _listed(disc: CardDisc, *, mark: bool) -> str:
    name = f"**{_escaped(disc.label)}**" if mark else disc.label
    flight, job = disc.flight, disc.job
    return f"- {name} ({disc.numbers}): {flight} {_escaped(job) if mark else job}".rstrip()


def _escaped(text: str) -> str:
    """Keep a name from being read as Markdown."""
    return "".join(f"\\{letter}" if letter in "\\`*_{}[]<>#|" else letter for letter in text)


def _story(store: Store, since: str, conditions: str) -> tuple[str, ...]:
    if since == conditions:
        raise InputError(f"{since!r} is named twice; name the season before it after --since.")
    swaps: SwapReport | None = load_swaps(store, since, conditions)
    if swaps is None:
        raise NotFoundError(
            f"no swap list from {since} to {conditions} is kept; run "
            f"`rimwise swap {since} {conditions}` first."
        )
    told = (swaps.summary, *swaps.sentences, swaps.work_words, *swaps.grown_words)
    return tuple(sentence for sentence in told if sentence)


def write_card(
    store: Store, path: Path, *, conditions: str | None = None, paper: str = "a4"
) -> Written:
    """Write the card of a packed cart, one page, as PDF, PNG or SVG by the file's ending.

    Raises
    ------
    InputError
        When the ending or the paper is another, or the printing part is not installed.
    RimwiseError
        When nothing is planned or the file cannot be written.
    """
    form = PAGES.get(path.suffix.lower())
    if form is None:
        raise InputError(f"{path.name} ends in no kind of page; name a .pdf, .png or .svg file.")
    if paper.lower() not in PAPERS:
        raise InputError(f"paper must be {' or '.join(PAPERS)}, but is {paper!r}.")
    page = _printed(_scene(store, conditions), form, PAPERS[paper.lower()])
    return write_bytes(path, page)


def _printed(scene: CardScene, form: Page, paper: Paper) -> bytes:
    try:
        import typst
    except ModuleNotFoundError:
        raise InputError(
            "pages need typst; install Rimwise with its print part, as in "
            "pip install 'rimwise[print]'."
        ) from None
    document, data = card_document(scene, paper)
    return typst.compile(
        document.encode(), format=form, ppi=_PPI if form == "png" else None,
        sys_inputs={"data": data},
    )  # fmt: skip


# -- the scene ------------------------------------------------------------------------------


def _scene(store: Store, conditions: str | None) -> CardScene:
    plan = load_plan(store, conditions)
    units = units_of(store)
    packed = packed_for(store, plan.conditions)
    cart = scene_of(packed)
    names = Names.of(plan)
    invented = bool(store.settings.get(INVENTED, False))
    count = words.plural(len(plan.chosen), "disc")
    car = tuple(_told(plan, units, disc) for disc in plan.alternates)
    swapped = () if packed is None else tuple(swap.words for swap in packed.swapped)
    return CardScene(
        conditions=plan.conditions,
        title=f"{count} for {plan.conditions}",
        summary=(
            f"For {plan.course}, {words.date_words(plan.on)}: "
            f"{words.strokes(plan.strokes_carry, plan.strokes_carry_se)}, a round expected."
        ),
        pockets=_pockets(plan, cart, units),
        cart=cart,
        stands="" if cart is None else cart.packing.words,
        caution=_CAUTION,
        note="Everything here is invented: player, discs, course, weather." if invented else "",
        attribution=plan.attribution,
        car=CardPocket("In the car", car) if car else None,
        swaps=(*car_lines(plan, names), *swapped) if car else (),
        wishes=wish_lines(plan, names, binding=True),
    )


def _pockets(plan: PlanReport, cart: CartScene | None, units: Units) -> tuple[CardPocket, ...]:
    """Return the pockets, the handiest first; one for all where there is no cart."""
    if cart is None:
        return (CardPocket("The carry", tuple(_told(plan, units, d) for d in plan.chosen)),)
    handy = {pocket.name: pocket.at_hand for pocket in cart.cart.pockets}
    packed = sorted(cart.packing.pockets, key=lambda one: (handy[one.pocket], one.pocket))
    return tuple(
        CardPocket(
            one.pocket[:1].upper() + one.pocket[1:],
            tuple(_told(plan, units, disc) for disc in one.discs),
        )
        for one in packed
        if one.discs
    )


def _told(plan: PlanReport, units: Units, disc: str) -> CardDisc:
    """Return one disc as told; what stays in the car has no job of its own."""
    line = plan.disc(disc)
    jobs = [
        purpose_words(one, units, putting=plan.putting)[0]
        for one in plan.purposes
        if one.disc_id == disc
    ]
    return CardDisc(
        disc_id=disc,
        label=line.label,
        colour=line.colour,
        numbers=words.printed_numbers(line.printed, 0),
        flight=_flight(line, units),
        job=jobs[0] if jobs else "",
    )


def _flight(line: DiscLine, units: Units) -> str:
    """Say in plain words how a disc flies for this arm."""
    reach = words.distance(line.reach_m, units)
    return (
        f"Goes {reach} at most; flat and full it ends {words.sideways(line.finish_left_m, units)}."
    )
