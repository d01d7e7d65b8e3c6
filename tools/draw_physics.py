"""Draw the pictures of docs/physics.md and write its numbers anew.

Usage: ``python tools/draw_physics.py`` (or ``make docs``). Every picture and every number
between two marks of the page comes from the code as it is now; the text around them is
written by hand.
"""

from __future__ import annotations

import math
import re
import sys
from collections.abc import Callable, Sequence
from pathlib import Path

import numpy as np

import rimwise as rw
from rimwise.flight.aero import STALL_FROM_SIN, STALL_TO_SIN
from rimwise.flight.domain import DOMAIN, Limit
from rimwise.flight.ground import GROUNDS
from rimwise.records.words import MPH_PER_M_S

DOCS = Path(__file__).parents[1] / "docs"

#: What all throws of the page share unless they say otherwise.
SPEED_M_S, LAUNCH_DEG, MASS_KG, ADVANCE_RATIO = 22.0, 10.0, 0.172, 0.45
AIR = rw.Air(15.0, 1013.25, 0.6)
FAIRWAY = (7, 5, -1, 2)
UNDERSTABLE, OVERSTABLE = (7, 5, -3, 1), (7, 4, 0, 3)

Throws = list[tuple[str, rw.Flight]]


def throw(
    numbers: Sequence[float],
    *,
    speed_m_s: float = SPEED_M_S,
    hyzer_deg: float = 0.0,
    nose_deg: float = 0.0,
    advance_ratio: float = ADVANCE_RATIO,
    headwind_m_s: float = 0.0,
    wobble_deg: float = 0.0,
) -> rw.Flight:
    """Fly a right-hander's backhand onto firm ground; a tailwind is a negative headwind."""
    printed = rw.Printed(*numbers)
    body = rw.Body.from_printed_speed(printed.speed, MASS_KG)
    release = rw.Release(
        speed_m_s=speed_m_s,
        spin_rad_s=2.0 * advance_ratio * speed_m_s / body.diameter_m,
        launch_rad=math.radians(LAUNCH_DEG),
        hyzer_rad=math.radians(hyzer_deg),
        nose_rad=math.radians(nose_deg),
        wobble_rad=math.radians(wobble_deg),
    )
    wind = rw.Wind(abs(headwind_m_s), 0.0 if headwind_m_s >= 0 else 180.0)
    aero = rw.aero_from_printed(printed)
    return rw.fly(aero, body, release, AIR, wind, ground="firm")


def said(numbers: Sequence[float]) -> str:
    """Write printed numbers as on a disc."""
    return " / ".join(f"{number:g}".replace("-", "−") for number in numbers)


# -- pictures -----------------------------------------------------------------------------


def one() -> Throws:
    """Return a flight to look at closely."""
    return [(said(FAIRWAY), throw(FAIRWAY))]


def speeds() -> Throws:
    """Return one disc at three speeds."""
    return [
        (f"{speed:g} m/s ({speed * MPH_PER_M_S:.0f} mph)", throw(FAIRWAY, speed_m_s=speed))
        for speed in (18.0, 22.0, 26.0)
    ]


def turns() -> Throws:
    """Return three discs that turn less and less."""
    return [(said(numbers), throw(numbers)) for numbers in (UNDERSTABLE, FAIRWAY, OVERSTABLE)]


def winds() -> Throws:
    """Return one disc in three winds."""
    named = (("headwind 6 m/s", 6.0), ("calm", 0.0), ("tailwind 6 m/s", -6.0))
    return [(name, throw(FAIRWAY, headwind_m_s=wind)) for name, wind in named]


def hyzers() -> Throws:
    """Return a hyzer that flips up and one that does not."""
    return [
        (f"{said(numbers)}, 15° hyzer", throw(numbers, hyzer_deg=15.0))
        for numbers in (UNDERSTABLE, OVERSTABLE)
    ]


def noses() -> Throws:
    """Return one disc with three nose angles."""
    named = (("nose 4° down", -4.0), ("nose level", 0.0), ("nose 4° up", 4.0))
    return [(name, throw(FAIRWAY, nose_deg=nose)) for name, nose in named]


def spins() -> Throws:
    """Return one disc with three spins."""
    return [
        (f"advance ratio {ratio:.2f}", throw(FAIRWAY, advance_ratio=ratio))
        for ratio in (0.30, 0.45, 0.60)
    ]


def wobbles() -> Throws:
    """Return a clean throw and a wobbly one."""
    named = (("no wobble", 0.0), ("15° wobble", 15.0))
    return [(name, throw(FAIRWAY, wobble_deg=wobble)) for name, wobble in named]


#: Pictures by name: what is drawn over each other.
PICTURES: dict[str, Callable[[], Throws]] = {
    "one-flight": one,
    "speeds": speeds,
    "turn-and-fade": turns,
    "wind": winds,
    "hyzer": hyzers,
    "nose": noses,
    "spin": spins,
    "wobble": wobbles,
}


# -- numbers ------------------------------------------------------------------------------


def number(value: float, decimals: int = 0) -> str:
    """Write a number with a true minus sign."""
    text = f"{value:.{decimals}f}"
    return text.replace("-", "−") if float(text) else text.replace("-", "")


def table(head: Sequence[str], rows: Sequence[Sequence[str]]) -> str:
    """Return a Markdown table."""
    lines = [head, ["---"] * len(head), *rows]
    return "\n".join(f"| {' | '.join(line)} |" for line in lines)


def flights_table(throws: Throws) -> str:
    """Return the numbers of throws; sideways distances are positive to the left."""
    rows = [
        [
            name,
            number(flight.range_m, 1),
            number(flight.left_m, 1),
            number(float(flight.position_m[:, 1].min()), 1),
            number(flight.apex_m, 1),
            number(flight.hang_s, 1),
        ]
        for name, flight in throws
    ]
    head = ["throw", "out, m", "left, m", "furthest right, m", "apex, m", "in the air, s"]
    return table(head, rows)


def trim_table() -> str:
    """Return speed, angle of attack, moment and bank along the first picture's flight."""
    ((_, flight),) = one()
    aero = rw.aero_from_printed(rw.Printed(*FAIRWAY))
    velocity = np.gradient(flight.position_m, flight.time_s, axis=0, edge_order=2)
    speed = np.linalg.norm(velocity, axis=1)
    alpha = -np.arcsin(np.einsum("ij,ij->i", velocity, flight.axis) / speed)
    rows = []
    for second in range(int(flight.hang_s) + 1):
        at = [float(np.interp(second, flight.time_s, column)) for column in (speed, alpha)]
        left, up = (float(np.interp(second, flight.time_s, flight.axis[:, k])) for k in (1, 2))
        rows.append(
            [
                str(second),
                number(at[0], 1),
                number(math.degrees(at[1]), 1),
                number(1000 * aero.curves(at[1])[2], 1),
                number(math.degrees(math.atan2(left, up)), 1),
            ]
        )
    head = ["s", "speed, m/s", "angle of attack, °", "CM × 1000", "bank, ° (left edge down +)"]
    return table(head, rows)


def trim_words() -> str:
    """Say the trim angles of the discs of the page."""
    parts = []
    for numbers in (UNDERSTABLE, FAIRWAY, OVERSTABLE):
        aero = rw.aero_from_printed(rw.Printed(*numbers))
        trim = math.degrees(-aero.cm0 / aero.cm_alpha)
        parts.append(f"{number(trim, 1)}° for {said(numbers)}")
    return f"Its trim angle in this model: {parts[0]}, {parts[1]} and {parts[2]}."


def coefficients_table() -> str:
    """Return the coefficients of some printed numbers."""
    names = ("cl0", "cl_alpha", "cd0", "cd_alpha", "alpha0_rad", "cm0", "cm_alpha")
    rows = []
    for numbers in ((2, 3, 0, 1), (5, 4, -1, 1), UNDERSTABLE, FAIRWAY, OVERSTABLE, (12, 5, -1, 3)):
        aero = rw.aero_from_printed(rw.Printed(*numbers))
        rows.append([said(numbers), *(number(getattr(aero, name), 4) for name in names)])
    return table(["printed numbers", *(f"`{name}`" for name in names)], rows)


def curves_table() -> str:
    """Return the curves of one disc through the stall."""
    aero = rw.aero_from_printed(rw.Printed(*FAIRWAY))
    rows = []
    for degrees in (-20, -10, -5, 0, 5, 10, 20, 30, 40, 50, 70, 90):
        lift, drag, moment = aero.curves(math.radians(degrees))
        rows.append([number(degrees), number(lift, 3), number(drag, 3), number(moment, 4)])
    return table(["angle of attack, °", "CL", "CD", "CM"], rows)


def stall_words() -> str:
    """Say where the curves give way to the plate."""
    begins, ends = (math.degrees(math.asin(sine)) for sine in (STALL_FROM_SIN, STALL_TO_SIN))
    return f"The blend begins at {begins:.0f}° and ends at {ends:.0f}°."


def wind_table() -> str:
    """Return the wind of 6 m/s at heights a throw passes."""
    wind = rw.Wind(6.0, 0.0)
    rows = [[number(z), number(wind.speed_at_m_s(z), 1)] for z in (1, 2, 5, 10, 20)]
    return table(["height, m", "wind, m/s"], rows)


def ground_table() -> str:
    """Return the assumed grounds."""
    names = ("friction", "restitution", "dig", "rolling")
    rows = [
        [kind, *(f"{getattr(ground, name):.2f}" for name in names)]
        for kind, ground in GROUNDS.items()
    ]
    return table(["ground", *names], rows)


def domain_table() -> str:
    """Return the domain of validity."""
    rows = [[limit.quantity, _limits(limit), limit.why] for limit in DOMAIN]
    return table(["quantity", "range", "why"], rows)


def _limits(limit: Limit) -> str:
    """Write a range as people do, angles in degrees."""
    scale, unit = (180.0 / math.pi, "°") if limit.unit == "rad" else (1.0, f" {limit.unit}")
    low, high = (_short(end * scale) for end in (limit.low, limit.high))
    unit = "" if limit.unit in ("", "ratio", "share") else unit
    if math.isinf(limit.high):
        return f"from {low}{unit}"
    if math.isinf(limit.low) or (limit.low == 0.0 and limit.high > 0.0):
        return f"to {high}{unit}"
    return f"{low} to {high}{unit}"


def _short(value: float) -> str:
    return f"{value:.3g}".replace("e+0", "e").replace("-", "−")


#: What stands between the marks of the page, by the name in the mark.
BLOCKS: dict[str, Callable[[], str]] = {
    **{
        f"{name} numbers": lambda make=make: flights_table(make())
        for name, make in PICTURES.items()
    },
    "trim along the flight": trim_table,
    "trim angles": trim_words,
    "coefficients": coefficients_table,
    "curves": curves_table,
    "stall": stall_words,
    "wind profile": wind_table,
    "grounds": ground_table,
    "domain": domain_table,
}

MARK = re.compile(r"(<!-- made: (.+?) -->\n).*?(<!-- end -->)", re.DOTALL)


def page(text: str) -> str:
    """Return the page with everything between its marks written anew.

    Raises
    ------
    KeyError
        When a mark names nothing that is made here.
    """
    return MARK.sub(lambda found: f"{found[1]}{BLOCKS[found[2]]()}\n{found[3]}", text)


def draw(folder: Path) -> list[Path]:
    """Draw every picture into a folder and return the files."""
    files = []
    for name, make in PICTURES.items():
        files.append(folder / f"physics-{name}.svg")
        svg = rw.draw_flights(make()).svg
        files[-1].write_text(f"{svg}\n", encoding="utf-8")
    return files


if __name__ == "__main__":
    for file in draw(DOCS / "pictures"):
        print(f"drawn: {file.name}")
    written = DOCS / "physics.md"
    written.write_text(page(written.read_text("utf-8")), encoding="utf-8")
    sys.exit(0)
