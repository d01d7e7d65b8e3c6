"""Write docs/distance.md and draw its picture: how far discs go, from the code as it is now.

Usage: ``python tools/draw_distance.py`` (or ``make docs``). Every number of the page is
computed; sentences that compare are chosen by the numbers.
"""

from __future__ import annotations

import math
import re
import textwrap
from collections.abc import Sequence
from dataclasses import astuple, replace
from pathlib import Path

import numpy as np
from numpy.typing import ArrayLike, NDArray

from rimwise.flight.air import Air
from rimwise.flight.body import DEFAULT_DIAMETER_M, Body, BodyArrays
from rimwise.flight.flights import Flights
from rimwise.flight.fly import fly_many
from rimwise.flight.printed import aero_arrays_from_printed
from rimwise.flight.reach import (
    ADVANCE_RATIO,
    BACK_WITHIN_RAD,
    RULE_FOOT,
    RULE_MPH,
    LineLimits,
    LongestLines,
    longest_lines,
    rule_of_thumb_m,
)
from rimwise.flight.release import ReleaseArrays
from rimwise.flight.wind import Wind
from rimwise.pictures.reach import RULE_GIVE_OR_TAKE, ReachCurve, reach_svg
from rimwise.records.words import METRES_PER_FOOT, MPH_PER_M_S, joined, number, printed_numbers

DOCS = Path(__file__).parents[1] / "docs"
PICTURE = "distance-by-speed.svg"

Numbers = tuple[float, float, float, float]

# Assumptions of the page.
AIR = Air(15.0, 1013.25, 0.6)
MASS_KG, HEIGHT_M = 0.172, 1.2
MPH = tuple(range(30, 81, 5))
#: The arm that the trade says throws 300 ft.
ARM_MPH = 50.0
#: Discs as they are usual in each class, from one that turns over one that is usual for the
#: class to one that holds (common practice, no source). The second is drawn.
CLASSES: dict[str, tuple[Numbers, Numbers, Numbers]] = {
    "distance driver": ((12, 5, -3, 1), (12, 5, -1, 3), (12, 4, 0, 4)),
    "fairway driver": ((7, 5, -3, 1), (7, 5, -1, 2), (7, 4, 0, 3)),
    "mid-range": ((5, 5, -3, 1), (5, 4, -1, 1), (5, 4, 0, 3)),
    "putter": ((2, 4, -2, 0), (2, 3, 0, 1), (2, 3, 0, 3)),
}
USUAL = {name: discs[1] for name, discs in CLASSES.items()}
#: Turn and fade from understable to overstable, with the word for them.
STABILITIES: tuple[tuple[str, float, float], ...] = (
    ("understable", -3, 1),
    ("understable", -2, 1),
    ("neutral", -1, 2),
    ("neutral", -0.5, 2),
    ("overstable", 0, 3),
    ("overstable", 0, 4),
)
#: What players expect a distance driver to gain, per cent (common practice, no source).
EXPECTED = {"understable": (3.0, 15.0), "neutral": (-3.0, 8.0), "overstable": (-100.0, 0.0)}
NEAR_LIMIT_RAD = math.radians(0.5)
FAIRWAY_SPEED, DRIVER_SPEED, GLIDE = 7, 12, 5
#: A launch that most drives are thrown with or below (memory).
MODEST_LAUNCH_DEG = 12.0
ADVANCE_RATIOS = (0.30, 0.375, 0.45, 0.525, 0.60)
NOSES_DEG = (-4.0, -2.0, 0.0, 2.0, 4.0)
#: At 10 m over open grass; about a third less at the height of a release.
WIND_M_S = 5.0
WIND_ARMS_MPH = (45, 60, 75)
LOW_LAUNCH_DEG, LOW_NOSE_DEG = 6.0, -1.0


# -- throws -------------------------------------------------------------------------------


def bodies(discs: Sequence[Numbers]) -> BodyArrays:
    """Bodies of one weight and diameter, with rims as wide as their printed speeds ask for."""
    inertia = [
        Body.from_printed_speed(disc[0], MASS_KG, DEFAULT_DIAMETER_M).axial_inertia_kg_m2
        for disc in discs
    ]
    return BodyArrays(MASS_KG, DEFAULT_DIAMETER_M, np.array(inertia))


def longest(
    discs: Sequence[Numbers],
    mph: ArrayLike,
    *,
    wind: Wind | None = None,
    advance_ratio: float = ADVANCE_RATIO,
    nose_deg: float | None = None,
    most_launch_deg: float | None = None,
) -> LongestLines:
    """Return the longest line of each disc; of each with its own arm where ``mph`` is many.

    Raises
    ------
    ValueError
        When a disc has no line that comes back: the page has no words for that.
    """
    lines = LineLimits()
    if nose_deg is not None:
        nose_rad = math.radians(nose_deg)
        lines = replace(lines, nose_rad=(nose_rad, nose_rad))
    if most_launch_deg is not None:
        ends = (lines.launch_rad[0], math.radians(most_launch_deg))
        lines = replace(lines, launch_rad=ends)
    speed_m_s = np.asarray(mph, dtype=float) / MPH_PER_M_S
    found = longest_lines(
        aero_arrays_from_printed(*np.array(discs, dtype=float).T), bodies(discs), speed_m_s, AIR,
        wind, advance_ratio=advance_ratio, height_m=HEIGHT_M, lines=lines,
    )  # fmt: skip
    if not found.comes_back.all():
        first = int(np.argmin(found.comes_back))
        raise ValueError(
            f"no line of {named(discs[first % len(discs)])} comes back; choose others."
        )
    return found


def thrown(
    discs: Sequence[Numbers],
    mph: ArrayLike,
    lines: Sequence[ArrayLike],
    *,
    wind: Wind | None = None,
    advance_ratio: float = ADVANCE_RATIO,
) -> Flights:
    """Throw each disc on a given launch, hyzer and nose, in radians."""
    speed_m_s = np.asarray(mph, dtype=float) / MPH_PER_M_S
    return fly_many(
        aero_arrays_from_printed(*np.array(discs, dtype=float).T),
        bodies(discs),
        ReleaseArrays(
            speed_m_s,
            2.0 * advance_ratio * speed_m_s / DEFAULT_DIAMETER_M,
            *lines,
            height_m=HEIGHT_M,
        ),
        AIR,
        wind,
    )


def line_of(found: LongestLines) -> tuple[ArrayLike, ArrayLike, ArrayLike]:
    """Return launch, hyzer and nose of longest lines."""
    return found.launch_rad, found.hyzer_rad, found.nose_rad


# -- words --------------------------------------------------------------------------------


def feet(range_m: float) -> float:
    """Convert to feet."""
    return range_m / METRES_PER_FOOT


def both(range_m: float) -> str:
    """Write a distance in feet and metres: "289 (88)"."""
    return f"{number(feet(range_m))} ({number(range_m)})"


def signed(value: float, decimals: int = 0) -> str:
    """Write a change with its sign."""
    text = number(value, decimals)
    return text if text.startswith("−") or float(text) == 0.0 else f"+{text}"


def change(now_m: float, before_m: float) -> str:
    """Write a change in feet and per cent: "+12 (+4 %)"."""
    share = signed(100.0 * (now_m / before_m - 1.0))
    return f"{signed(feet(now_m - before_m))} ({share} %)"


def span(values: Sequence[float]) -> str:
    """Write the range of some changes: "+3 to +15", or one where both ends read the same."""
    low, high = signed(min(values)), signed(max(values))
    return low if low == high else f"{low} to {high}"


def table(head: Sequence[str], rows: Sequence[Sequence[str]]) -> str:
    """Return a Markdown table."""
    lines = [head, ["---"] * len(head), *rows]
    return "\n".join(f"| {' | '.join(line)} |" for line in lines)


def filled(markdown: str) -> str:
    """Break the lines of paragraphs and list items; tables, headings and pictures stay."""
    parts = []
    for part in markdown.split("\n\n"):
        if part.startswith("- "):
            items = [" ".join(item.split()) for item in re.split(r"(?m)^- ", part) if item]
            parts.append("\n".join(wrapped(f"- {item}", "  ") for item in items))
        else:
            keep = part.startswith(("#", "|", "!["))
            parts.append(part if keep else wrapped(" ".join(part.split())))
    return "\n\n".join(parts)


def wrapped(line: str, indent: str = "") -> str:
    """Break one paragraph at 100 letters, but no number from its unit or sign."""
    held = re.sub(r" (?=[/%−+]|ft\b|mph\b|m/s\b)|(?<=/) ", "\u00a0", line)
    broken = textwrap.fill(held, 100, subsequent_indent=indent, break_on_hyphens=False)
    return broken.replace("\u00a0", " ")


def named(disc: Numbers) -> str:
    """Write printed numbers as on a disc."""
    return printed_numbers(disc)


# -- parts of the page ----------------------------------------------------------------------


def by_speed() -> tuple[str, str]:
    """Return the section on range by release speed, and its picture."""
    every = every_disc()
    flat = longest(np.repeat(every, len(MPH), axis=0).tolist(), np.tile(MPH, len(every)))
    reach = dict(zip(every, flat.range_m.reshape(len(every), len(MPH)), strict=True))
    curves = [
        ReachCurve(name, tuple(mph / MPH_PER_M_S for mph in MPH), tuple(map(float, reach[disc])))
        for name, disc in USUAL.items()
    ]
    best = np.max(list(reach.values()), axis=0)
    best_disc = [max(every, key=lambda disc: reach[disc][n]) for n in range(len(MPH))]
    ruled = [n for n, mph in enumerate(MPH) if RULE_MPH[0] <= mph <= RULE_MPH[-1]]
    rule = {n: float(rule_of_thumb_m(MPH[n] / MPH_PER_M_S)[0]) for n in ruled}
    rows = [
        [
            str(mph),
            number(mph / MPH_PER_M_S, 1),
            both(rule[n]) if n in rule else "–",
            *(both(reach[disc][n]) for disc in USUAL.values()),
            f"{both(best[n])}: {named(best_disc[n])}",
        ]
        for n, mph in enumerate(MPH)
    ]
    head = ["mph", "m/s", "rule", *(f"{k} {named(d)}" for k, d in USUAL.items()), "longest of all"]
    against = [
        f"{name} {span([100 * (reach[disc][n] / rule[n] - 1) for n in ruled])} %"
        for name, disc in USUAL.items()
    ]
    longest_off = span([100 * (best[n] / rule[n] - 1) for n in ruled])
    held = sum(abs(best[n] / rule[n] - 1) <= RULE_GIVE_OR_TAKE for n in ruled)
    at_arm = [reach[disc][MPH.index(int(ARM_MPH))] for disc in USUAL.values()]
    apart = number(100.0 * (max(at_arm) / min(at_arm) - 1.0))
    text = f"""\
At {ARM_MPH:.0f} mph the four usual discs lie within {apart} % of each other; they differ in
turn and fade as well as in speed.

Against the rule of thumb, from {RULE_MPH[0]:.0f} to {RULE_MPH[-1]:.0f} mph: {joined(against)}. The
longest of all {len(every)} discs at each speed: {longest_off} %, within
{100 * RULE_GIVE_OR_TAKE:.0f} % at {held} of {len(ruled)} speeds.

In feet, in brackets metres. "Longest of all" is taken from {len(every)} discs, three of each class,
from one that turns to one that holds: {joined([named(disc) for disc in every])}.

{table(head, rows)}"""
    return text, reach_svg(curves, prefix="distance-by-speed")


def every_disc() -> list[Numbers]:
    """Return all discs of all classes."""
    return [disc for discs in CLASSES.values() for disc in discs]


def on_limits() -> str:
    """Say how many of the arm's longest lines lie on a limit of the search, and on which."""
    found = longest(every_disc(), ARM_MPH)
    parts = []
    for name, angle, ends in zip(
        ("launch", "hyzer", "nose"), line_of(found), astuple(LineLimits()), strict=True
    ):
        off = np.abs(np.subtract.outer(angle, ends)).min(axis=1)
        parts.append(f"{int(np.count_nonzero(off < NEAR_LIMIT_RAD))} of {name}")
    off_aim = np.arctan2(np.abs(found.left_m), found.range_m)
    edge = int(np.count_nonzero(BACK_WITHIN_RAD - off_aim < NEAR_LIMIT_RAD))
    return (
        f"Counting {len(found)} longest lines of the {ARM_MPH:.0f} mph arm, within half a degree "
        f"of a limit of the search lie {joined(parts)}, and {edge} touch down within half a degree "
        f"of the {math.degrees(BACK_WITHIN_RAD):.0f}°."
    )


def hang_words() -> str:
    """Say how long the arm's longest lines stay in the air."""
    hang_s = longest(every_disc(), ARM_MPH).hang_s
    return f"{number(min(hang_s), 1)} to {number(max(hang_s), 1)} s"


def lines_at_arm() -> str:
    """Return what the longest lines of the arm look like."""
    discs = every_disc()
    found = longest(discs, ARM_MPH)
    low = longest(discs, ARM_MPH, most_launch_deg=MODEST_LAUNCH_DEG)
    high = int(np.count_nonzero(np.degrees(found.launch_rad) > highest_launch_deg() - 1.0))
    less = span([100.0 * (share - 1.0) for share in low.range_m / found.range_m])
    rows = [
        [
            named(disc),
            both(found.range_m[n]),
            *(number(math.degrees(angle[n])) for angle in line_of(found)),
            number(found.apex_m[n], 1),
            number(found.hang_s[n], 1),
            number(found.left_m[n], 1),
            both(low.range_m[n]),
        ]
        for n, disc in enumerate(discs)
    ]
    head = ["disc", "ft (m)", "launch, °", "hyzer, °", "nose, °", "apex, m", "in the air, s"]
    head += ["left, m", f"to {number(MODEST_LAUNCH_DEG)}° of launch, ft (m)"]
    return f"""\
{high} of {len(discs)} lines are launched within a degree of the highest that is searched. Held to
{number(MODEST_LAUNCH_DEG)}° of launch, the longest line changes by {less} % (last column).

{table(head, rows)}

They stay in the air for {hang_words()}."""


def gains_table(
    head: Sequence[str], pairs: Sequence[tuple[float, float]]
) -> tuple[str, dict[str, list[float]]]:
    """Return gains over the fairway driver of equal turn and fade, by stability.

    ``pairs`` are printed speed and arm in mph, a column each. Also returns the gains of all
    columns in per cent by the word for the stability.
    """
    rows, shares = [], {word: [] for word, _, _ in STABILITIES}
    mph = [arm for _, arm in pairs]
    for word, turn, fade in STABILITIES:
        slow = longest([(FAIRWAY_SPEED, GLIDE, turn, fade)] * len(pairs), mph).range_m
        fast = longest([(speed, GLIDE, turn, fade) for speed, _ in pairs], mph).range_m
        shares[word] += [100.0 * (f / s - 1.0) for f, s in zip(fast, slow, strict=True)]
        cells = [change(f, s) for f, s in zip(fast, slow, strict=True)]
        first = [both(slow[0])] if len(set(mph)) == 1 else []
        turned = f"{number(turn, 0 if turn == int(turn) else 1)} / {number(fade)}"
        rows.append([f"{word}, turn and fade {turned}", *first, *cells])
    return table(head, rows), shares


def arm_gains() -> str:
    """Return what faster discs add for the 300-ft arm."""
    speeds = (9, 11, 12, 13)
    head = ["stability", f"speed {FAIRWAY_SPEED}, ft (m)", *(f"speed {s}, ft more" for s in speeds)]
    one, _ = gains_table(head, [(s, ARM_MPH) for s in speeds])
    arms = (35, 40, 50, 60, 70)
    head = ["stability", *(f"{mph} mph" for mph in arms)]
    other, _ = gains_table(head, [(DRIVER_SPEED, mph) for mph in arms])
    _, at_arm = gains_table(["", ""], [(DRIVER_SPEED, ARM_MPH)])
    told = [f"{span(shares)} % when {word}" for word, shares in at_arm.items()]
    return f"""\
A distance driver (speed {DRIVER_SPEED}) against a fairway driver (speed {FAIRWAY_SPEED}) of equal
glide, turn and fade, each on its own longest line: {joined(told)}. Common practice, no source,
expects +3 to +15 %, −3 to +8 % and no gain. {met_words(at_arm)}

{one}

The same for other arms, speed {DRIVER_SPEED} over speed {FAIRWAY_SPEED}:

{other}"""


def met_words(shares: dict[str, list[float]]) -> str:
    """Say which stabilities gain what is expected, to the whole per cent."""
    met = [
        word
        for word, (low, high) in EXPECTED.items()
        if all(low <= round(share) <= high for share in shares[word])
    ]
    if len(met) == len(EXPECTED):
        return "All three come out."
    missed = joined([word for word in EXPECTED if word not in met], "or")
    return f"For {missed} discs that does not come out."


def throwers() -> list[tuple[Numbers, float]]:
    """Return discs and arms, mph, for the tables of spin and nose."""
    fast = USUAL["distance driver"]
    return [*((disc, ARM_MPH) for disc in USUAL.values()), (fast, 65.0)]


def spin() -> str:
    """Return the tables on spin."""
    discs, mph = zip(*throwers(), strict=True)
    base = longest(discs, mph)
    again = [longest(discs, mph, advance_ratio=ratio) for ratio in ADVANCE_RATIOS]
    far = [list(map(both, found.range_m)) for found in again]
    kept = [thrown(discs, mph, line_of(base), advance_ratio=ratio) for ratio in ADVANCE_RATIOS]
    rpm = ADVANCE_RATIO * 2 * ARM_MPH / MPH_PER_M_S / DEFAULT_DIAMETER_M * 60 / math.tau
    return f"""\
Spin is given as the rim's speed over the speed of the throw (advance ratio);
{ADVANCE_RATIO} is {rpm:.0f} turns a minute at {ARM_MPH:.0f} mph. The longest line,
looked for again at each spin, in feet (metres):

{table_of(discs, mph, [f"{ratio:g}" for ratio in ADVANCE_RATIOS], far)}

The line that is longest at {ADVANCE_RATIO}, kept while the spin differs: feet, and metres to the
left of the aim (− right):

{table_of(discs, mph, [f"{ratio:g}" for ratio in ADVANCE_RATIOS], [aside(f) for f in kept])}"""


def nose() -> str:
    """Return the tables on nose angles."""
    discs, mph = zip(*throwers(), strict=True)
    again = [longest(discs, mph, nose_deg=angle) for angle in NOSES_DEG]
    far = [list(map(both, found.range_m)) for found in again]
    launch, hyzer, level = line_of(longest(discs, mph))
    kept = [thrown(discs, mph, (launch, hyzer, level + math.radians(error))) for error in NOSES_DEG]
    return f"""\
The longest line with the nose held at an angle, launch and hyzer looked for again, in feet
(metres):

{table_of(discs, mph, [f"{signed(a)}°" for a in NOSES_DEG], far)}

The longest line, with the nose off by mistake and nothing else changed: feet, and metres to the
left of the aim (− right):

{table_of(discs, mph, [f"{signed(a)}°" for a in NOSES_DEG], [aside(f) for f in kept])}"""


def aside(flights: Flights) -> list[str]:
    """Write ranges in feet and the side in metres."""
    pairs = zip(flights.range_m, flights.left_m, strict=True)
    return [f"{number(feet(far))}, {signed(left)}" for far, left in pairs]


def table_of(
    discs: Sequence[Numbers], mph: Sequence[float], head: Sequence[str], cells: list[list[str]]
) -> str:
    """Return a table with a row for each disc and arm; ``cells`` are given by column."""
    names = [f"{named(disc)} at {arm:.0f} mph" for disc, arm in zip(discs, mph, strict=True)]
    rows = [list(row) for row in zip(names, *cells, strict=True)]
    return table(["disc and arm", *head], rows)


def wind() -> str:
    """Return the table on tailwind and headwind."""
    named_discs = (CLASSES["distance driver"][0], *(USUAL[k] for k in list(USUAL)[:2]))
    pairs = [(disc, mph) for mph in WIND_ARMS_MPH for disc in named_discs]
    discs, mph = zip(*pairs, strict=True)
    tail, head = Wind(WIND_M_S, 180.0), Wind(WIND_M_S, 0.0)
    calm, *windy = (longest(discs, mph, wind=wind) for wind in (None, tail, head))
    kept = [thrown(discs, mph, line_of(calm), wind=wind) for wind in (tail, head)]
    low_line = [np.radians(angle) for angle in (LOW_LAUNCH_DEG, 0.0, LOW_NOSE_DEG)]
    low, *low_windy = (thrown(discs, mph, low_line, wind=wind) for wind in (None, tail, head))
    columns = [
        [both(far) for far in calm.range_m],
        *([changes(one.range_m, calm.range_m) for one in (*windy, *kept)]),
        [both(far) for far in low.range_m],
        *([changes(one.range_m, low.range_m) for one in low_windy]),
    ]
    heads = [
        "calm, ft (m)", "tailwind, line chosen again", "headwind, line chosen again",
        "tailwind, line kept", "headwind, line kept", "low line, calm", "low line, tailwind",
        "low line, headwind",
    ]  # fmt: skip
    helped = tailwind_words(
        mph, windy[0].range_m > calm.range_m, low_windy[0].range_m > low.range_m
    )
    slow = Wind(WIND_M_S, 0.0).speed_at_m_s(HEIGHT_M)
    return f"""\
{WIND_M_S:g} m/s at 10 m over open grass, which is {number(slow, 1)} m/s where the disc leaves the
hand. Changes are in feet against calm air. The low line is {LOW_LAUNCH_DEG:g}° up, flat, nose
{number(LOW_NOSE_DEG)}°, wherever it lands. {helped}

{table_of(discs, mph, heads, columns)}"""


def tailwind_words(mph: Sequence[float], *longer: NDArray[np.bool_]) -> str:
    """Say how many longest lines, and how many low lines, of each arm a tailwind lengthens."""
    arms = np.asarray(mph)
    each = int(np.count_nonzero(arms == arms[0]))
    chosen, low = (
        joined([f"{np.count_nonzero(more[arms == arm])} at {arm} mph" for arm in WIND_ARMS_MPH])
        for more in longer
    )
    return (
        f"Of {each} longest lines chosen for it a tailwind lengthens {chosen}; of {each} low lines "
        f"{low}."
    )


def changes(now_m: Sequence[float], before_m: Sequence[float]) -> list[str]:
    """Write changes one by one."""
    return [change(now, before) for now, before in zip(now_m, before_m, strict=True)]


def highest_launch_deg() -> float:
    """Return the highest launch that is searched."""
    return math.degrees(LineLimits().launch_rad[1])


def searched() -> str:
    """Say which lines are searched."""
    ends = [
        f"{name} {number(math.degrees(low))}° to {number(math.degrees(high))}°"
        for name, (low, high) in zip(
            ("launch", "hyzer", "nose"), astuple(LineLimits()), strict=True
        )
    ]
    return joined(ends)


# -- the page -----------------------------------------------------------------------------


def page() -> tuple[str, str]:
    """Return the page as Markdown, and its picture."""
    speeds, picture = by_speed()
    rule = joined(
        [f"{mph:.0f} mph about {far:.0f} ft" for mph, far in zip(RULE_MPH, RULE_FOOT, strict=True)]
    )
    text = f"""\
# How far discs go in Rimwise

This page is written by `make docs` from the code as it is; change it in `tools/draw_distance.py`.

It shows how far each class of disc goes in this model for arms of {MPH[0]} to {MPH[-1]} mph, beside
what the trade says. Nothing on it was measured on a field, by us or by others. "How far" is the
**longest line**: over {searched()} (assumption: what arms do), the throw whose first touch is
furthest down the aim line and within {math.degrees(BACK_WITHIN_RAD):.0f}° of it, seen from the tee.
Level ground, calm sea-level air at 15 °C, {1000 * MASS_KG:.0f} g, released {HEIGHT_M} m up, advance
ratio {ADVANCE_RATIO}, no wobble; skipping and sliding after the first touch come on top. A nose or
launch angle is positive upward; hyzer is positive toward the side the throw fades to.

## Range by release speed

The picture shows the longest line of a usual disc of each class. The shaded strip is the trade's
rule of thumb, about ten feet more for each mile an hour: {rule} (common practice, no source), drawn
give or take {100 * RULE_GIVE_OR_TAKE:.0f} %. The rule says nothing about slower and faster arms.

![Longest line by release speed, four classes](pictures/{PICTURE})

{speeds}

## The longest lines of a 300-ft arm

What the lines look like at {ARM_MPH:.0f} mph, the arm that the rule says throws 300 ft. Left is
positive, for a right-hander's backhand.

{lines_at_arm()}

## What a 300-ft arm gains from a distance driver

{arm_gains()}

## Spin

{spin()}

## Nose

{nose()}

## Wind along the throw

{wind()}

## How far to trust this

- **Printed numbers are opinions.** They follow no standard; what they mean for a flight is this
  tool's reading of them, fitted to the trade's rules. That ranges agree with the rule of thumb is
  therefore no proof: the mapping was made to agree.
- **The rule itself has no source.** It is for a suitable disc and a good line, may count where a
  drive rests and not where it first touches, and says nothing below {RULE_MPH[0]:.0f} and above
  {RULE_MPH[-1]:.0f} mph.
- **A longest line is the best of thousands.** Nobody repeats it; a stock throw goes less far.
  {on_limits()} Other limits give other lines.
- **Time in the air** is the weakest part. Nothing published was found to check it against. From
  memory, unverified, a drive of 300 ft is up for five to six seconds; the longest lines above
  are up for {hang_words()}.
- **Drag and lift** are known for one catch disc only; that faster discs have less drag is common
  practice put into numbers.
- **Spin** acts here through the gyroscope alone. Whether it also changes lift and drag of a disc
  within the shown spins is not known well enough to be in the model.
"""
    return f"{filled(text.strip())}\n", picture


if __name__ == "__main__":
    written, drawn = page()
    (DOCS / "pictures" / PICTURE).write_text(f"{drawn}\n", encoding="utf-8")
    (DOCS / "distance.md").write_text(written, encoding="utf-8")
    print(f"written: distance.md, drawn: {PICTURE}")
