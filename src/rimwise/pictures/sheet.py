"""The printable sheet: one HTML file that needs no script, no network and no other file."""

from __future__ import annotations

import functools
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from rimwise.decide.carry import ON_HARSHEST
from rimwise.decide.reasons import LeftOut
from rimwise.decide.report import DiscLine, HoleLine, PlanReport, SwapReport
from rimwise.packing.statics import CAUTION as CART_CAUTION
from rimwise.pictures.cart import CartScene, Look, cart_svg
from rimwise.pictures.curve import curve_svg
from rimwise.pictures.hole import hole_svg
from rimwise.pictures.ladder import fade_is_left, ladder_svg
from rimwise.pictures.palette import disc_colour, picture_css
from rimwise.pictures.serving import serving_svg
from rimwise.pictures.telling import (
    Names,
    car_lines,
    carry_changes,
    hole_words,
    home_words,
    purpose_words,
    sentence,
    stand_in_words,
    swap_rows,
    wish_lines,
)
from rimwise.records.discs import ROLES
from rimwise.records.words import (
    Units,
    check_units,
    date_words,
    distance,
    joined,
    number,
    of_rounds,
    own_numbers,
    plural,
    strokes,
)

__all__ = ["CAUTIONS", "sheet_html"]

CAUTIONS = (
    "Posted course rules, local rules and event officials come first.",
    "Never throw while anyone may be in range; on a blind hole go and look, or have someone look.",
    "At thunder or lightning stop at once and get to safe shelter.",
    "Do not wade, dive or step on ice for a disc.",
    "Build practice up slowly; see a professional about pain.",
    CART_CAUTION,
)


@functools.cache
def _environment() -> Environment:
    """Return the templates; everything put into them is escaped."""
    return Environment(
        loader=PackageLoader("rimwise.pictures", "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        auto_reload=False,  # a program that runs keeps to the pages it began with
        trim_blocks=True,
        lstrip_blocks=True,
    )


def sheet_html(
    plan: PlanReport,
    *,
    swaps: SwapReport | None = None,
    cart: CartScene | None = None,
    other: PlanReport | None = None,
    units: str = "m",
    note: str = "",
    links: Sequence[tuple[str, str]] = (),
) -> str:
    """Write the sheet for a carry.

    Parameters
    ----------
    plan
        The carry and everything said about it.
    swaps
        Shown as a table of what goes out, what comes in and why.
    cart
        Shown as the packing plan.
    other
        An earlier carry to compare with.
    units
        "m" or "ft".
    note
        A line under the title, such as "invented data".
    links
        Addresses and words of what stands at the top on a screen, and is not printed.

    Returns
    -------
    str
        A whole HTML document.

    Raises
    ------
    InputError
        When the units are unknown.
    """
    shown = check_units(units)
    names = Names.of(plan, other)
    return (
        _environment()
        .get_template("sheet.html.j2")
        .render(
            plan=plan,
            note=note,
            links=links,
            style=_ready(picture_css()),
            on=date_words(plan.on),
            days=[(day.name, of_rounds(day.share), day.words) for day in plan.days],
            facts=_facts(plan),
            summary=[sentence(text) for text in plan.summary],
            roles=_roles(plan, names, shown),
            swaps=swaps,
            swap_rows=swap_rows(swaps, names) if swaps else (),
            wishes=wish_lines(plan, names),
            alternates=[_look(plan.disc(disc)) for disc in plan.alternates],
            car=car_lines(plan, names),
            changes=carry_changes(plan, other, names) if other else "",
            curve=_ready(curve_svg(plan)),
            curve_words=_curve_words(plan),
            ladders=_ladders(plan, shown),
            ground="" if plan.ground is None else _ready(serving_svg(plan.ground, names, shown)),
            ground_words=_ground_words(plan),
            holes=[_hole(n, hole, names, shown) for n, hole in enumerate(plan.holes, 1)],
            home=[
                (_look(plan.disc(left.disc_id)), home_words(left, names, shown), _saving(left))
                for left in plan.left
            ],
            sure=_sure(plan),
            cart=_packing(cart, plan, names) if cart else None,
            cautions=CAUTIONS,
        )
    )


def _ground_words(plan: PlanReport) -> str:
    """Say what the picture of who serves where is to be read for."""
    if plan.ground is None:
        return ""
    return (
        f"All lies of {plan.ground.day} that this course gives you, laid around one basket as they "
        "lie to theirs. A number stands for a disc, in the order of how much it is thrown. Trees "
        "and water of each hole are counted, so neighbours can differ."
    )


def _ready(text: str) -> Markup:
    """Mark a drawing or a style as finished: drawings have escaped their own text."""
    return Markup(text)  # noqa: S704


# -- parts, in the order of the sheet -----------------------------------------------------


@dataclass(frozen=True, slots=True)
class _DiscLook:
    """A disc as shown in a list: its name, and its colour as a swatch and a word."""

    label: str
    colour: str
    swatch: str


def _look(line: DiscLine) -> _DiscLook:
    colour = "" if line.colour and line.colour.lower() in line.label.lower() else line.colour
    return _DiscLook(line.label, colour, disc_colour(line.colour))


def _facts(plan: PlanReport) -> list[tuple[str, str]]:
    """Return the large numerals with their captions."""
    return [
        (str(len(plan.chosen)), f"of {plural(len(plan.discs), 'disc')} go"),
        (
            number(max(plan.lost, 0.0), 2),
            f"strokes a round lost against taking all, give or take {number(plan.lost_se, 2)}",
        ),
        (
            number(plan.strokes_carry, 1),
            f"strokes a round expected, give or take {number(plan.strokes_carry_se, 1)}",
        ),
    ]


def _roles(plan: PlanReport, names: Names, units: Units) -> list[dict[str, object]]:
    """Return the carried discs by role, the most missed first."""
    lines = {purpose.disc_id: purpose for purpose in plan.purposes}
    roles: list[dict[str, object]] = []
    for role in _in_order({plan.disc(d).role for d in plan.chosen}):
        rows = []
        for disc_id, purpose in lines.items():
            disc = plan.disc(disc_id)
            if disc.role != role:
                continue
            rows.append(
                {
                    "look": _look(disc),
                    "numbers": own_numbers(disc.numbers_for_you),
                    "reach": _reach(disc, units),
                    "grams": number(disc.weight_g),
                    "meaning": disc.meaning,
                    "words": purpose_words(purpose, units, putting=plan.putting),
                    "cost": _cost(purpose.stand_in_cost),
                    "error": number(purpose.stand_in_se, 2),
                    "stand_in": stand_in_words(purpose, names),
                }
            )
        roles.append({"name": role, "rows": rows})
    return roles


def _in_order(roles: Iterable[str]) -> list[str]:
    """Put roles in the order of the bag; roles of another name come last."""
    present = set(roles)
    known = [role for role, _ in ROLES if role in present]
    return known + sorted(present - set(known))


def _reach(disc: DiscLine, units: Units) -> str:
    low, high = distance(disc.reach_low_m, units), distance(disc.reach_high_m, units)
    return f"{distance(disc.reach_m, units)} ({low.split(' ')[0]} to {high.split(' ')[0]})"


def _cost(strokes_lost: float | None) -> str:
    return "" if strokes_lost is None else number(max(strokes_lost, 0.0), 2)


def _curve_words(plan: PlanReport) -> str:
    lost = strokes(max(plan.lost, 0.0), plan.lost_se)
    return (
        f"From {plural(plan.flat_from, 'disc')} on the curve is flat: more discs save next to "
        f"nothing. Your {len(plan.chosen)} lose {lost}, a round against taking everything. "
        "The band is give or take."
    )


def _ladders(plan: PlanReport, units: Units) -> list[tuple[str, Markup]]:
    fade_left = fade_is_left(plan.discs)
    found = []
    for n, role in enumerate(_in_order({disc.role for disc in plan.discs})):
        discs = [disc for disc in plan.discs if disc.role == role]
        drawn = ladder_svg(
            discs, plan.chosen, fade_left=fade_left, units=units, prefix=f"ladder-{n}",
            wide=plan.wide_steps,
        )  # fmt: skip
        found.append((role, _ready(drawn)))
    return found


def _hole(n: int, hole: HoleLine, names: Names, units: Units) -> dict[str, object]:
    rise = hole.elevation_change_m
    facts = [f"par {hole.par}"] if hole.par is not None else []
    facts.append(distance(hole.length_m, units))
    if distance(abs(rise), units).split(" ")[0] != "0":
        facts.append(f"{distance(abs(rise), units)} {'up' if rise > 0 else 'down'}")
    return {
        "ref": hole.ref,
        "name": hole.name,
        "facts": ", ".join(facts),
        "disc": hole.disc_label,
        "line": hole.line,
        "words": hole_words(hole, names, units),
        "picture": _ready(hole_svg(hole, units, prefix=f"hole-{n}")),
    }


def _saving(left: LeftOut) -> str:
    return f"{number(max(left.saving, 0.0), 2)}, give or take {number(left.saving_se, 2)}"


def _sure(plan: PlanReport) -> dict[str, object]:
    """Return what is known about the certainty of the choice."""
    assumptions = [
        (re.sub("_", " ", name), f"{value:g}") for name, value in plan.assumptions_changed
    ]
    criteria = [
        (
            name,
            number(value, 0 if float(value).is_integer() else 2),
            "proven best" if gap < 0.005 else f"at most {number(gap, 2)} from the best",
        )
        for name, value, gap in plan.criteria
        if len(plan.days) != 1 or not name.startswith(ON_HARSHEST)
    ]
    return {
        "certificate": sentence(plan.certificate),
        "all": strokes(plan.strokes_all, plan.strokes_all_se),
        "carry": strokes(plan.strokes_carry, plan.strokes_carry_se),
        "lost": strokes(max(plan.lost, 0.0), plan.lost_se),
        "tolerance": strokes(plan.tolerance),
        "criteria": criteria,
        "assumptions": assumptions,
    }


def _packing(scene: CartScene, plan: PlanReport, names: Names) -> dict[str, object]:
    looks = {disc.disc_id: Look(disc.label, disc.colour) for disc in plan.discs}
    pockets = [
        (
            pocket.pocket,
            [
                _look(plan.disc(d)) if d in looks else _DiscLook(names(d), "", disc_colour(""))
                for d in pocket.discs
            ],
        )
        for pocket in scene.packing.pockets
    ]
    others = [
        (other.name, sentence(other.packing.words))
        for other in scene.alternatives
        if other.packing.pockets != scene.packing.pockets
    ]
    items = [f"{item.name} {number(item.mass_kg, 1)} kg" for item in scene.cart.items]
    return {
        "name": scene.cart.name,
        "words": " ".join((scene.packing.words, *scene.notes)),
        "mass": f"{number(scene.packing.load.mass_kg, 1)} kg",
        "items": joined(items),
        "pockets": pockets,
        "others": others,
        "picture": _ready(cart_svg(scene, looks)),
    }
