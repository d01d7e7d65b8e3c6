"""The lines that a thrower may choose from, without their effort and aim."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from rimwise.records.thrower import Line, Style, Thrower

__all__ = ["EFFORTS", "Base", "bases_for", "words_for"]

#: Efforts at which clouds are flown; between them they are interpolated.
EFFORTS = (0.4, 0.6, 0.8, 1.0)

#: Hyzer and launch angles offered in a style, degrees: (hyzer, launch).
_MAIN = ((-12, 9), (0, 6), (0, 12), (12, 7), (12, 13), (25, 12))
_SECOND = ((0, 9), (14, 10))


@dataclass(frozen=True, slots=True)
class Base:
    """A style with its hyzer and height; effort and aim come with the lie."""

    style: Style
    hyzer_deg: float
    launch_deg: float

    def line(self, effort: float) -> Line:
        """Return the line thrown with this effort."""
        return Line(self.style, self.hyzer_deg, self.launch_deg, effort)


def bases_for(thrower: Thrower) -> tuple[Base, ...]:
    """Return the base lines of a thrower: all of them in the stock style, fewer in another.

    The stock throw's own hyzer and height are always among them.
    """
    stock = thrower.stock
    bases = [Base(stock.style, float(h), float(n)) for h, n in _MAIN]
    own = Base(stock.style, stock.hyzer_deg, stock.launch_deg)
    if own not in bases:
        bases.insert(0, own)
    for skill in thrower.styles:
        if skill.style is not stock.style:
            bases += [Base(skill.style, float(h), float(n)) for h, n in _SECOND]
    return tuple(bases)


def words_for(base: Base, effort: float, style_counts: Sequence[Style] = ()) -> str:
    """Say a line in words: "backhand, 12° hyzer, low, 80 % effort".

    The style is left out when ``style_counts`` holds only one.
    """
    parts = [] if len(style_counts) == 1 else [str(base.style)]
    if base.hyzer_deg > 3:
        parts.append(f"{base.hyzer_deg:.0f}° hyzer")
    elif base.hyzer_deg < -3:
        parts.append(f"{-base.hyzer_deg:.0f}° anhyzer")
    else:
        parts.append("flat")
    low, high = base.launch_deg < 8.5, base.launch_deg > 13.5
    parts.append("low" if low else "high" if high else "medium height")
    parts.append("full effort" if effort > 0.97 else f"{round(effort * 20) * 5} % effort")
    return ", ".join(parts)
