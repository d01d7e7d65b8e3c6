"""Commands about the carry: plan, why, swap, pack, sheet, share."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from rimwise.cli.common import JSON_HELP, emit, progress_bar, say, session_of
from rimwise.errors import InputError

if TYPE_CHECKING:
    from rimwise.decide.report import PlanReport

__all__ = ["add_to"]

_Json = Annotated[bool, typer.Option("--json", help=JSON_HELP)]
_Quiet = Annotated[bool, typer.Option("--quiet", help="Show no progress.")]


def add_to(app: typer.Typer) -> None:
    """Add these commands to the command line."""
    app.command("plan")(plan)
    app.command("why")(why)
    app.command("swap")(swap)
    app.command("pack")(pack)
    app.command("sheet")(sheet)
    app.command("share")(share)


def plan(
    context: typer.Context,
    conditions: Annotated[
        list[str] | None,
        typer.Argument(help="Conditions to plan for; all of them when none is named."),
    ] = None,
    limit: Annotated[int, typer.Option(help="Most discs to carry.")] = 20,
    must: Annotated[
        list[str] | None, typer.Option(metavar="DISC", help="A disc that goes (repeatable).")
    ] = None,
    never: Annotated[
        list[str] | None, typer.Option(metavar="DISC", help="A disc that stays (repeatable).")
    ] = None,
    like: Annotated[
        list[str] | None,
        typer.Option(metavar="DISC", help="It stays in because I like it; says what that costs."),
    ] = None,
    putting: Annotated[
        str | None, typer.Option(metavar="DISC", help="My putting putter: goes, never thrown.")
    ] = None,
    at_least: Annotated[
        list[str] | None,
        typer.Option(
            metavar="GROUP:COUNT",
            help='At least so many of a role or of "a,b,c"; else "putter:2" where there is room.',
        ),
    ] = None,
    at_most: Annotated[
        list[str] | None,
        typer.Option(metavar="GROUP:COUNT", help='No more of a role or of "a,b,c" than this.'),
    ] = None,
    one_of: Annotated[
        list[str] | None,
        typer.Option(metavar="GROUP", help='Exactly one of a role or of "a,b,c" (repeatable).'),
    ] = None,
    spares: Annotated[
        int, typer.Option(min=0, help="Places left to spares for what is most likely lost.")
    ] = 0,
    floating: Annotated[
        int, typer.Option(min=0, help="Floating discs to carry where the course has water.")
    ] = 0,
    weight: Annotated[
        float | None, typer.Option(help="Most that the discs may weigh together, in grams.")
    ] = None,
    changes: Annotated[
        int | None, typer.Option(min=0, help="Most discs that change from an earlier carry.")
    ] = None,
    changes_from: Annotated[
        str | None,
        typer.Option("--from", metavar="CARRY", help="That carry's name or number; else the last."),
    ] = None,
    fit_cart: Annotated[
        bool, typer.Option("--fit-cart", help="Fit the cart's pockets, and stand when packed.")
    ] = False,
    cart: Annotated[str | None, typer.Option(help="That cart, when there are several.")] = None,
    slope: Annotated[
        float | None, typer.Option(help="Slope in degrees the cart has to stand backward.")
    ] = None,
    car: Annotated[
        int,
        typer.Option(min=0, help="Alternates left in the car, swapped in once the day is felt."),
    ] = 0,
    name_it: Annotated[
        str | None, typer.Option("--as", metavar="OCCASION", help="Keep the carry by this name.")
    ] = None,
    then: Annotated[
        str | None,
        typer.Option(
            metavar="ORDER",
            help='What decides among equals, as in "harshest day, no doubles, spares"; also bad '
            "throws, known discs, least change.",
        ),
    ] = None,
    on_holes: Annotated[
        bool,
        typer.Option("--on-holes", help="Choose again on every hole solved for itself: minutes."),
    ] = False,
    again: Annotated[
        bool, typer.Option("--again", help="Take the wishes of the last plan of these conditions.")
    ] = False,
    price: Annotated[
        float, typer.Option(help="Strokes a round that a disc has to save to be worth carrying.")
    ] = 0.0,
    keep: Annotated[
        str | None,
        typer.Option(
            metavar="CONDITIONS", help="Change as little as possible from the carry of these."
        ),
    ] = None,
    course: Annotated[str | None, typer.Option(help="Course, when there are several.")] = None,
    seed: Annotated[int, typer.Option(min=0, help="Root seed of the simulations.")] = 1,
    printed: Annotated[
        bool,
        typer.Option(
            "--printed", help="Go by printed numbers alone; leave aside what throws taught."
        ),
    ] = False,
    quiet: _Quiet = False,
    as_json: _Json = False,
) -> None:
    """Choose which discs to carry, exactly, and say why.

    With several conditions each later carry changes as little from the one before as strokes
    allow.
    """
    from rimwise.app.asking import Asked, load_asked
    from rimwise.app.box import pick, units_of
    from rimwise.app.planning import make_plan
    from rimwise.cli.show import show_plan

    wished = Asked(
        limit=limit,
        must=tuple(must or ()),
        never=tuple(never or ()),
        at_least=None if at_least is None else tuple(_group(t, "--at-least") for t in at_least),
        price=price,
        printed=printed,
        liked=tuple(like or ()),
        putting=putting,
        at_most=tuple(_group(t, "--at-most") for t in at_most or ()),
        one_of=tuple(one_of or ()),
        spares=spares,
        floating=floating,
        most_weight_g=weight,
        changes=4 if changes is None and changes_from is not None else changes,
        changes_from=changes_from,
        cart=(cart or "") if fit_cart or cart is not None or slope is not None else None,
        slopes=(slope, None, None),
        car=car,
        name=name_it,
        on_holes=on_holes,
        then=None if then is None else tuple(part for part in then.split(",") if part.strip()),
    )
    with session_of(context).store() as store:
        units = units_of(store)
        names: list[str | None] = [*(conditions or store.conditions.keys())] or [None]
        plans: list[PlanReport] = []
        with progress_bar(quiet=quiet or as_json) as progress:
            for name in names:
                asked = wished
                if again:
                    asked = load_asked(store, pick(store.conditions, "conditions", name).name)
                asked = replace(
                    asked,
                    keep=plans[-1].conditions if plans else keep or asked.keep,
                    on_holes=on_holes or asked.on_holes,
                )
                plans.append(
                    make_plan(store, name, asked, course=course, seed=seed, progress=progress)
                )

    def show() -> None:
        for made in plans:
            show_plan(made, units)

    emit(plans, as_json, show)


def _group(text: str, option: str) -> tuple[str, int]:
    role, _, count = text.rpartition(":")
    if not role or not count.strip().isdigit():
        raise InputError(f"{option} must look like putter:2, but is {text!r}.")
    return role.strip(), int(count)


def why(
    context: typer.Context,
    disc: Annotated[
        str | None, typer.Argument(help="A disc; the whole carry when none is named.")
    ] = None,
    conditions: Annotated[str | None, typer.Option("--for", help="Conditions of the plan.")] = None,
    as_json: _Json = False,
) -> None:
    """Say why a disc goes or stays, from the latest plan."""
    from rimwise.app.explaining import explain
    from rimwise.cli.show import show_reasons

    with session_of(context).store() as store:
        reasons = explain(store, disc, conditions)
    emit(reasons, as_json, lambda: show_reasons(reasons))


def swap(
    context: typer.Context,
    old: Annotated[str, typer.Argument(help="Conditions of the season that ends.")],
    new: Annotated[str, typer.Argument(help="Conditions of the season that begins.")],
    on_holes: Annotated[
        bool,
        typer.Option("--on-holes", help="Solve every hole for the new carry first: takes minutes."),
    ] = False,
    quiet: _Quiet = False,
    as_json: _Json = False,
) -> None:
    """List what goes out, what comes in, and the cause of each swap."""
    from rimwise.app.swapping import make_swaps
    from rimwise.cli.show import show_swaps

    with (
        session_of(context).store() as store,
        progress_bar(quiet=quiet or as_json) as progress,
    ):
        report = make_swaps(store, old, new, on_holes=on_holes, progress=progress)
    emit(report, as_json, lambda: show_swaps(report))


def pack(
    context: typer.Context,
    conditions: Annotated[str | None, typer.Argument(help="Conditions of the plan.")] = None,
    cart: Annotated[str | None, typer.Option(help="Cart, when there are several.")] = None,
    slope: Annotated[
        float | None,
        typer.Option(help="Slope in degrees that the parked cart has to stand, backward."),
    ] = None,
    forward: Annotated[float | None, typer.Option(help="The same, forward.")] = None,
    sideways: Annotated[float | None, typer.Option(help="The same, to both sides.")] = None,
    wind_slope: Annotated[
        float, typer.Option(min=0, max=60, help="Slope on which the umbrella is open, downwind.")
    ] = 0.0,
    carry: Annotated[
        str | None, typer.Option(help="A kept carry whose own things ride along.")
    ] = None,
    without: Annotated[
        str | None,
        typer.Option(metavar="THING", help="How it stands without this thing or pocket."),
    ] = None,
    move: Annotated[
        tuple[str, float, float, float] | None,
        typer.Option(metavar="THING X Y Z", help="How it stands with a thing moved there, metres."),
    ] = None,
    weighed: Annotated[
        tuple[float, float, float, float, float, float] | None,
        typer.Option(
            metavar="WHOLE FOOT RAISED LENGTH RADIUS BLOCK",
            help="Say where your empty cart's mass sits: three weighings in kg, then axle to "
            "foot, wheel radius and height of the block in m.",
        ),
    ] = None,
    as_json: _Json = False,
) -> None:
    """Say what goes in which pocket, and where the cart tips."""
    from rimwise.app.packing import make_packing, measure_cart
    from rimwise.cli.show import show_packing

    if weighed is not None:
        measured = measure_cart(*weighed)
        emit(measured, as_json, lambda: say(measured.words))
        return
    with session_of(context).store() as store:
        report = make_packing(
            store,
            conditions,
            cart=cart,
            backward_deg=slope,
            forward_deg=forward,
            sideways_deg=sideways,
            wind_slope_deg=wind_slope,
            carry=carry,
            without=without,
            move=move,
        )
    emit(report, as_json, lambda: show_packing(report))


def sheet(
    context: typer.Context,
    conditions: Annotated[str | None, typer.Argument(help="Conditions of the plan.")] = None,
    out: Annotated[Path, typer.Option(help="File to write.")] = Path("rimwise-sheet.html"),
    since: Annotated[
        str | None, typer.Option(help="Earlier conditions: show the swaps from their carry.")
    ] = None,
    hole: Annotated[
        str | None, typer.Option(help="Draw this hole alone, into an .svg file.")
    ] = None,
    card: Annotated[
        Path | None,
        typer.Option(help="Write the one-page card of the cart here: .pdf, .png or .svg."),
    ] = None,
    paper: Annotated[str, typer.Option(help="Paper of the card: a4 or letter.")] = "a4",
    phone: Annotated[
        Path | None,
        typer.Option(
            help="Write the file for the phone here (.html): what to throw on every hole, in any "
            "wind, without signal. It takes some minutes."
        ),
    ] = None,
    day: Annotated[
        str | None,
        typer.Option(help="For the phone: the kind of day, by a part of its name."),
    ] = None,
    quiet: _Quiet = False,
    as_json: _Json = False,
) -> None:
    """Write the sheet: one HTML file to print, the card for the cart, or the file for the phone."""
    from rimwise.app.sharing import write_card
    from rimwise.app.sheets import draw_hole, write_sheet

    with session_of(context).store() as store:
        if phone is not None:
            from rimwise.app.phone_keeping import write_phone

            with progress_bar(quiet=quiet or as_json) as progress:
                written = write_phone(
                    store, phone, conditions=conditions, day=day, today=date.today(),
                    progress=progress,
                )  # fmt: skip
        elif card is not None:
            written = write_card(store, card, conditions=conditions, paper=paper)
        elif hole is not None:
            written = draw_hole(store, out, hole, conditions=conditions)
        else:
            written = write_sheet(store, out, conditions=conditions, since=since)

    def show() -> None:
        say(f"Written to {written.path}.")
        if phone is not None:
            size = f"{written.size_bytes / 1e6:.1f} MB"
            say(f"It has {size}. Send it to the phone and open it there, from its own storage.")

    emit(written, as_json, show)


def share(
    context: typer.Context,
    conditions: Annotated[str | None, typer.Argument(help="Conditions of the plan.")] = None,
    since: Annotated[
        str | None, typer.Option(help="Earlier conditions: add why the carry changed.")
    ] = None,
    markdown: Annotated[
        bool, typer.Option("--markdown", help="As Markdown, for a page or a forum.")
    ] = False,
    picture: Annotated[
        Path | None,
        typer.Option(help="Write it as a picture of the packed cart instead: .png, .svg or .pdf."),
    ] = None,
    as_json: _Json = False,
) -> None:
    """Print your carry as a list to show others, in the order of the pockets."""
    from rimwise.app.sharing import share as shared
    from rimwise.app.sharing import write_card

    with session_of(context).store() as store:
        if picture is not None:
            written = write_card(store, picture, conditions=conditions)
            emit(written, as_json, lambda: say(f"Written to {written.path}."))
            return
        told = shared(store, conditions, since=since, form="markdown" if markdown else "text")
    emit(told, as_json, lambda: typer.echo(told.text, nl=False))
