"""How results look in a terminal."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from rimwise.cli.common import console, say
from rimwise.records import words
from rimwise.records.words import Units

if TYPE_CHECKING:
    from rich.table import Table

    from rimwise.app.explaining import Reason
    from rimwise.app.packing import PackReport
    from rimwise.app.showing import DiscRow
    from rimwise.decide.report import CurvePoint, PlanReport, SwapReport
    from rimwise.demo.scenario import DemoShown

__all__ = [
    "show_assumptions",
    "show_curve",
    "show_demo",
    "show_discs",
    "show_packing",
    "show_plan",
    "show_reasons",
    "show_swaps",
]

#: Terminals from this width on get the tables with every column.
WIDE_COLUMNS = 110

#: Points of the how-many curve printed in a terminal.
_CURVE_AT = (1, 2, 3, 4, 6, 8, 10, 13, 16, 20, 25, 30)


def _is_wide() -> bool:
    return console().width >= WIDE_COLUMNS


def _table(*columns: str, right: Sequence[int] = (), gap: int = 2) -> Table:
    from rich.table import Table

    table = Table(box=None, pad_edge=False, padding=(0, gap, 0, 0), header_style="bold")
    for i, column in enumerate(columns):
        numeric = i in right
        table.add_column(
            column,
            justify="right" if numeric else "left",
            no_wrap=numeric or i == 0,
            overflow="fold",
        )
    return table


def show_discs(rows: Sequence[DiscRow]) -> None:
    """Print the owner's discs."""
    if not rows:
        say("No discs yet; bring some with `rimwise import discs.csv`.")
        return
    gap = 2 if _is_wide() else 1
    table = _table(
        "disc", "mold", "plastic", "numbers", "weight", "wear", "where", "grip*", gap=gap
    )
    for row in rows:
        table.add_row(
            row.disc_id,
            row.mold,
            row.plastic,
            words.printed_numbers(row.printed).replace(" ", ""),
            f"{row.weight_g:.0f} ± {row.weight_sd_g:.0f} g",
            f"{row.wear * 100:.0f} %",
            row.status,
            row.grip if _is_wide() else "/".join(f"{grade:.0f}" for grade in row.grip_grades),
        )
    console().print(table)
    scale = "" if _is_wide() else " from 1 (none) to 5 (sure)"
    say(
        f"{words.plural(len(rows), 'disc')}. * Grip{scale} when cold and dry, cold and wet, "
        "warm and dry, hot and sweaty."
    )


def show_assumptions(rows: Sequence[Mapping[str, object]]) -> None:
    """Print every assumption with its reason."""
    table = _table("assumption", "value", "unit", "why", right=(1,))
    for row in rows:
        mark = "" if row["value"] == row["default"] else f" (was {row['default']:g})"
        table.add_row(
            str(row["name"]), f"{row['value']:g}{mark}", str(row["unit"]), str(row["why"])
        )
    console().print(table)


def show_plan(plan: PlanReport, units: Units) -> None:
    """Print one plan: summary, what goes, how many, what stays."""
    from rimwise.pictures.telling import home_words, job_words

    say(f"{plan.course}: {plan.conditions}", style="bold")
    for day in plan.days:
        often = words.of_rounds(day.share)
        say(f"{f'{often}  ' if often else ''}{day.name}: {day.words}", indent=2)
    say()
    for sentence in plan.summary:
        say(sentence)
    _show_wishes(plan)
    say()
    table = _table(
        "goes",
        *(["numbers for you"] if _is_wide() else []),
        "throws",
        "missed by*",
        "what for",
        right=(2, 3) if _is_wide() else (1, 2),
    )
    for purpose in plan.purposes:
        disc = plan.disc(purpose.disc_id)
        idle = "for putting" if disc.disc_id == plan.putting else "a spare"
        jobs = "; ".join(job_words(job, units) for job in purpose.jobs[:1]) or idle
        missed = (
            "–"
            if purpose.stand_in_cost is None
            else f"{words.number(max(purpose.stand_in_cost, 0.0), 2)} ± {purpose.stand_in_se:.2f}"
        )
        table.add_row(
            disc.disc_id,
            *([words.own_numbers(disc.numbers_for_you)] if _is_wide() else []),
            f"{purpose.throws:.1f}",
            missed,
            jobs,
        )
    console().print(table)
    say("* strokes a round lost if it stays home and the others stand in", indent=2)
    say()
    show_curve(plan.curve)
    say()
    if plan.left:
        say("Stays home", style="bold")
        for left in plan.left:
            say(f"{left.disc_id}: {home_words(left, str, units)}", indent=2)
        say()
    say(plan.certificate)
    if plan.attribution:
        say(f"Map: {plan.attribution}")
    say()


def _show_wishes(plan: PlanReport) -> None:
    """Print what was wished and what it costs, and the swaps at the car."""
    from rimwise.pictures.telling import car_lines, wish_lines

    if plan.wishes:
        say()
        say("Your wishes", style="bold")
        for wish in wish_lines(plan, str):
            say(wish, indent=2)
    if plan.alternates or plan.car_swaps:
        say()
        say(
            f"In the car: {', '.join(plan.alternates) or 'nothing, for no swap pays'}", style="bold"
        )
        for swap in car_lines(plan, str):
            say(swap, indent=2)


def show_curve(curve: Sequence[CurvePoint], *, every: bool = False) -> None:
    """Print the how-many curve, at some numbers of discs or at every one."""
    table = _table("discs carried", "strokes a round lost against everything", right=(0,))
    longest = max(max(point.lost for point in curve), 1e-9)
    for point in curve:
        if every or point.discs in _CURVE_AT:
            bar = "▪" * round(30 * max(point.lost, 0.0) / longest)
            table.add_row(
                str(point.discs), f"{words.number(point.lost, 3):>6} ± {point.lost_se:.3f} {bar}"
            )
    console().print(table)


def show_reasons(reasons: Sequence[Reason]) -> None:
    """Print why discs go or stay."""
    for reason in reasons:
        stands = "goes." if reason.goes else "stays home:"
        if reason.away:
            stands = f"{reason.stands}."
        say(f"{reason.disc_id} {stands} {reason.words}")
        if len(reasons) == 1:
            for job in reason.jobs:
                say(job, indent=2)
            if reason.meaning:
                say(f"What it means to you: {reason.meaning}.", indent=2)


#: What to try on the invented scenario.
_NEXT = (
    ("tee 6 winter", "what to throw over the pond, or beside it"),
    ("learnt", "how the discs differ from their numbers"),
    ("field winter", "what to throw next to learn most"),
    ("gaps winter", "what is missing and what is doubled"),
    ("rule winter", "three sentences to remember"),
    ("why ol31-moss", "why a disc goes or stays"),
)


def show_swaps(report: SwapReport) -> None:
    """Print the swap list."""
    say(report.summary)
    for sentence in report.sentences:
        say(sentence, indent=2)
    if report.work_words:
        say(report.work_words)
    for sentence in report.grown_words:
        say(sentence, indent=2)


def show_packing(report: PackReport) -> None:
    """Print the packing plan and the tipping angles."""
    say(f"{report.cart}, packed for {report.conditions}: {report.mass_kg:.1f} kg", style="bold")
    for pocket in sorted(report.pockets, key=lambda pocket: pocket.at_hand):
        inside = ", ".join(pocket.discs) or "empty"
        say(f"{pocket.pocket} ({len(pocket.discs)} of {pocket.room}): {inside}", indent=2)
    say(report.words)
    if report.notice:
        say(report.notice)
    if report.gust:
        say(report.gust)
    for other in report.others:
        say(f"{other.name}: backward at {other.backward_deg:.1f}°", indent=2)
    for swap in report.swapped:
        say(swap.words)
    if report.changes:
        say("With the discs left where they are:")
    for change in report.changes:
        say(
            f"{change.name}: backward at {change.backward_deg:.1f}°, forward "
            f"{change.forward_deg:.1f}°, left {change.left_deg:.1f}°, right "
            f"{change.right_deg:.1f}°",
            indent=2,
        )
    say(report.caution)


def show_demo(shown: DemoShown) -> None:
    """Print the whole demo."""
    say("Everything in this demo is invented: player, discs, course and weather.", style="bold")
    for sentence in shown.brought:
        say(sentence, indent=2)
    say()
    for plan in shown.plans:
        show_plan(plan, "m")
    show_swaps(shown.swaps)
    say()
    show_packing(shown.packing)
    say()
    for caution in shown.cautions:
        if caution != shown.packing.caution:
            say(caution, indent=2)
    say()
    say(f"Sheet to print or keep on the phone: {shown.sheet}")
    say(f"Data file to play with: {shown.data}")
    say()
    say(f"Try next, each after rimwise --data {shown.data}:")
    for command, what in _NEXT:
        say(f"{command}: {what}", indent=2)
