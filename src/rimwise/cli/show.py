"""How results look in a terminal."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from rich.table import Table

from rimwise.cli.common import console
from rimwise.records import words
from rimwise.records.words import Units

if TYPE_CHECKING:
    from rimwise.app.explaining import Reason
    from rimwise.app.packing import PackReport
    from rimwise.app.showing import DiscRow
    from rimwise.decide.report import CurvePoint, PlanReport, SwapReport
    from rimwise.demo.scenario import DemoShown

__all__ = [
    "show_assumptions",
    "show_demo",
    "show_discs",
    "show_packing",
    "show_plan",
    "show_reasons",
    "show_swaps",
]

#: Points of the how-many curve printed in a terminal.
_CURVE_AT = (1, 2, 3, 4, 6, 8, 10, 13, 16, 20, 25, 30)


def _table(*columns: str, right: Sequence[int] = ()) -> Table:
    table = Table(box=None, pad_edge=False, header_style="bold", show_edge=False)
    for i, column in enumerate(columns):
        numeric = i in right
        table.add_column(
            column,
            justify="right" if numeric else "left",
            no_wrap=numeric or i == 0,
            overflow="fold",
        )
    return table


def _say(text: str = "", *, style: str | None = None) -> None:
    console.print(text, markup=False, style=style)


def show_discs(rows: Sequence[DiscRow]) -> None:
    """Print the owner's discs."""
    if not rows:
        _say("No discs yet; bring some with `rimwise import discs.csv`.")
        return
    table = _table(
        "disc", "mold", "plastic", "numbers", "weight", "wear", "where", "grip*", right=()
    )
    for row in rows:
        table.add_row(
            row.disc_id,
            row.mold,
            row.plastic,
            words.printed_numbers(row.printed),
            f"{row.weight_g:.0f} ± {row.weight_sd_g:.0f} g",
            f"{row.wear * 100:.0f} %",
            row.status,
            row.grip,
        )
    console.print(table)
    _say(f"{words.plural(len(rows), 'disc')}.  * cold-dry, cold-wet, warm-dry, hot-sweaty")


def show_assumptions(rows: Sequence[Mapping[str, object]]) -> None:
    """Print every assumption with its reason."""
    table = _table("assumption", "value", "unit", "why", right=(1,))
    for row in rows:
        mark = "" if row["value"] == row["default"] else f" (was {row['default']:g})"
        table.add_row(
            str(row["name"]), f"{row['value']:g}{mark}", str(row["unit"]), str(row["why"])
        )
    console.print(table)


def show_plan(plan: PlanReport, units: Units) -> None:
    """Print one plan: summary, what goes, how many, what stays."""
    from rimwise.pictures.telling import home_words, job_words

    _say(f"{plan.course}: {plan.conditions}", style="bold")
    for day in plan.days:
        _say(f"  {day.share * 100:.0f} of 100 rounds  {day.name}: {day.words}")
    _say()
    for sentence in plan.summary:
        _say(sentence)
    _say()
    table = _table("goes", "numbers for you", "throws", "missed by*", "what for", right=(2, 3))
    for purpose in plan.purposes:
        disc = plan.disc(purpose.disc_id)
        jobs = "; ".join(job_words(job, units) for job in purpose.jobs[:1]) or "a spare"
        missed = (
            "–"
            if purpose.stand_in_cost is None
            else f"{purpose.stand_in_cost:.2f} ± {purpose.stand_in_se:.2f}"
        )
        table.add_row(
            disc.disc_id,
            words.printed_numbers(disc.numbers_for_you, 1),
            f"{purpose.throws:.1f}",
            missed,
            jobs,
        )
    console.print(table)
    _say("  * strokes a round lost if it stays home and the others stand in")
    _say()
    _show_curve(plan.curve)
    _say()
    if plan.left:
        _say("Stays home", style="bold")
        for left in plan.left:
            _say(f"  {left.disc_id}: {home_words(left, str, units)}")
        _say()
    _say(plan.certificate)
    _say()


def _show_curve(curve: Sequence[CurvePoint]) -> None:
    table = _table("discs carried", "strokes a round lost against everything", right=(0,))
    longest = max(max(point.lost for point in curve), 1e-9)
    for point in curve:
        if point.discs in _CURVE_AT:
            bar = "▪" * round(30 * max(point.lost, 0.0) / longest)
            table.add_row(str(point.discs), f"{point.lost:6.3f} ± {point.lost_se:.3f} {bar}")
    console.print(table)


def show_reasons(reasons: Sequence[Reason]) -> None:
    """Print why discs go or stay."""
    for reason in reasons:
        _say(f"{reason.disc_id} {'goes' if reason.goes else 'stays home'}: {reason.words}")
        if len(reasons) == 1:
            for job in reason.jobs:
                _say(f"  {job}")
            if reason.meaning:
                _say(f"  What it means to you: {reason.meaning}")


def show_swaps(report: SwapReport) -> None:
    """Print the swap list."""
    _say(report.summary)
    for sentence in report.sentences:
        _say(f"  {sentence}")


def show_packing(report: PackReport) -> None:
    """Print the packing plan and the tipping angles."""
    _say(f"{report.cart}, packed for {report.conditions}: {report.mass_kg:.1f} kg", style="bold")
    for pocket in sorted(report.pockets, key=lambda pocket: pocket.at_hand):
        inside = ", ".join(pocket.discs) or "empty"
        _say(f"  {pocket.pocket} ({len(pocket.discs)} of {pocket.room}): {inside}")
    _say(report.words)
    if report.notice:
        _say(report.notice)
    for other in report.others:
        _say(f"  {other.name}: backward at {other.backward_deg:.1f}°")
    _say(report.caution)


def show_demo(shown: DemoShown) -> None:
    """Print the whole demo."""
    _say("Everything in this demo is invented: player, discs, course and weather.", style="bold")
    for sentence in shown.brought:
        _say(f"  {sentence}")
    _say()
    for plan in shown.plans:
        show_plan(plan, "m")
    show_swaps(shown.swaps)
    _say()
    show_packing(shown.packing)
    _say()
    for caution in shown.cautions:
        _say(f"  {caution}")
    _say()
    _say(f"Sheet to print or keep on the phone: {shown.sheet}")
    _say(f"Data file to play with: {shown.data}")
