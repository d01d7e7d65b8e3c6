"""Fly realistic throws as precession and as rigid body; write docs/reference.md.

Usage: ``python tools/compare_with_rigid.py [throws] [seed]`` (or ``make reference``). Both
models run under DOP853; the work is shared between two processes.
"""

from __future__ import annotations

import math
import sys
import time
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from rimwise.flight.aero import STALL_FROM_SIN
from rimwise.flight.compare import fly_throw, realistic_throws
from rimwise.flight.reference import NOD_SHARE, ReferenceFlight

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from rimwise.flight.compare import Throw

    Floats = NDArray[np.float64]

PAGE = Path(__file__).parents[1] / "docs" / "reference.md"
PROCESSES = 2
THIN_DISC_NOD = 0.5
FAR_M = 0.15
FLAT_DEG = 10.0
SHARES = (50, 90, 95, 99, 99.9, 100)
PATH_POINTS = 31
WOBBLES_RAD = (0.1, 0.2, 0.4)
WOBBLY_THROWS, PHASES = 100, 6

# What a throw is sorted by: name on the page, and the limits between the classes.
CLASSES: dict[str, tuple[str, tuple[float, ...]]] = {
    "stalled_share": ("share of the flight stalled", (0.001, 0.2)),
    "advance": ("rim speed over forward speed", (0.42, 0.48)),
    "launch_deg": ("launch, degrees", (6.0, 16.0)),
    "speed_m_s": ("speed, m/s", (18.0, 25.0)),
    "hang_s": ("time in the air, s", (2.0, 5.0)),
    "descent_deg": ("steepness at landing, degrees", (FLAT_DEG, 25.0)),
    "nod_deg": ("mean nod of the axis, degrees", (0.01, 0.03)),
    "wind_m_s": ("wind, m/s", (3.0, 6.0)),
}


@dataclass(frozen=True)
class Compared:
    """One throw: distances between landings, and what it was like."""

    nodding_m: float
    plain_m: float
    stalled_share: float
    advance: float
    launch_deg: float
    speed_m_s: float
    hang_s: float
    descent_deg: float
    nod_deg: float
    wind_m_s: float
    rigid_s: float


def compare(throw: Throw) -> Compared:
    """Fly one throw three ways."""
    _aero, body, release, _air, wind = throw
    begun = time.process_time()
    landing = fly_throw(throw, "rigid").position_m[-1]
    rigid_s = time.process_time() - begun
    nodding = fly_throw(throw, "precession", points=PATH_POINTS, nod_share=THIN_DISC_NOD)
    plain = fly_throw(throw, "precession", nod_share=0.0)
    end = nodding.velocity_m_s[-1]
    return Compared(
        nodding_m=float(np.linalg.norm(nodding.position_m[-1] - landing)),
        plain_m=float(np.linalg.norm(plain.position_m[-1] - landing)),
        stalled_share=stalled_share(throw, nodding),
        advance=0.5 * release.spin_rad_s * body.diameter_m / release.speed_m_s,
        launch_deg=math.degrees(release.launch_rad),
        speed_m_s=release.speed_m_s,
        hang_s=float(nodding.time_s[-1]),
        descent_deg=math.degrees(math.atan2(-end[2], math.hypot(end[0], end[1]))),
        nod_deg=mean_nod_deg(nodding),
        wind_m_s=math.hypot(*wind.vector_10m_m_s),
        rigid_s=rigid_s,
    )


def stalled_share(throw: Throw, flight: ReferenceFlight) -> float:
    """Share of the flight beyond the angle of attack where stall begins; wind as at 10 m."""
    east, north = throw[4].vector_10m_m_s
    air = flight.velocity_m_s - np.array([north, -east, 0.0])
    sine = np.einsum("ij,ij->i", air, flight.axis) / np.linalg.norm(air, axis=1)
    return float(np.mean(np.abs(sine) > STALL_FROM_SIN))


def mean_nod_deg(flight: ReferenceFlight) -> float:
    """How far the axis stands off the angular momentum: half the turning rate over the spin."""
    turned = np.linalg.norm(np.diff(flight.axis, axis=0), axis=1) / np.diff(flight.time_s)
    return math.degrees(float(np.mean(THIN_DISC_NOD * turned / flight.spin_rad_s[1:])))


def wobbled(throw: Throw) -> list[tuple[float, float, float]]:
    """For each wobble: what it costs on average, how far the model is off, scatter by phase."""
    still = fly_throw(throw, "rigid").position_m[-1]
    averaged_still = fly_throw(throw, "precession").position_m[-1]
    found = []
    for wobble in WOBBLES_RAD:
        wobbly: Throw = (*throw[:2], replace(throw[2], wobble_rad=wobble), *throw[3:])
        ends = np.array([
            fly_throw(wobbly, "rigid", wobble_phase_rad=2 * math.pi * k / PHASES).position_m[-1]
            for k in range(PHASES)
        ])  # fmt: skip
        cost = ends.mean(axis=0) - still
        averaged = fly_throw(wobbly, "precession").position_m[-1] - averaged_still
        scatter = math.sqrt(float(((ends - ends.mean(axis=0)) ** 2).sum(axis=1).mean()))
        miss = float(np.linalg.norm(cost - averaged))
        found.append((float(np.linalg.norm(cost)), miss, scatter))
    return found


def page(throws: list[Compared], wobbles: Floats, seed: int, today: date) -> str:
    """Return the page as Markdown.

    Parameters
    ----------
    throws : list of Compared
        At least one.
    wobbles : (N, len(WOBBLES_RAD), 3) float64
        Rows of :func:`wobbled`, m.
    seed : int
        Of the throws.
    today : datetime.date
        When it was computed.
    """
    nodding, plain = (column(throws, name) for name in ("nodding_m", "plain_m"))
    milliseconds = 1000 * np.median(column(throws, "rigid_s"))
    flown = "with" if NOD_SHARE else "without"
    return f"""\
# The reference: precession against the rigid body

This page is written by `make reference`; it was computed on {today.isoformat()} with the
coefficients that the code gives printed numbers on that day, from {len(throws)} throws of
`realistic_throws` (seed {seed}). Both models are integrated by DOP853 to 1e-9, so what is below is
the error of the model, not of the integration. A rigid flight took {milliseconds:.0f} ms of
processor time (median) on the machine that wrote this.

## How far apart they land

Distance between the landings in metres: so many per cent of the throws are within it.

| precession model | {" | ".join(f"{share:g} %" for share in SHARES)} | beyond {FAR_M:g} m |
|---|{"---|" * (len(SHARES) + 1)}
{percentile_row("with the nod of the axis", nodding)}
{percentile_row("without it", plain)}

The precession model flies {flown} the nod now. What precesses is the angular momentum; the disc's
axis stands off it by `It M / (Ia ω)²` in pitch, and lift follows the axis.

## Which throws are worst

Per class of throws: how many, the middle and the 99 % distance with the nod, the share beyond
{FAR_M:g} m without it.

| throws with | | number | median, m | 99 %, m | largest, m | without the nod beyond {FAR_M:g} m |
|---|---|---|---|---|---|---|
{class_rows(throws)}

{far_sentence(throws)}

## Wobble

What a wobble at release costs, over {len(wobbles)} throws: the rigid body's landing averaged over
{PHASES} places in the cone where the disc may leave the hand, minus its landing without wobble; how
far the averaged model is from that; and how far the landings scatter about their average (root mean
square), which no averaged model has. Medians; 90 % in brackets; metres.

| wobble, rad | costs | model is off by | scatter by phase |
|---|---|---|---|
{wobble_rows(wobbles)}
"""


def column(throws: list[Compared], name: str) -> Floats:
    """One attribute of all throws."""
    return np.array([getattr(throw, name) for throw in throws])


def percentile_row(name: str, apart: Floats) -> str:
    """One row of the first table."""
    cells = " | ".join(f"{at:.4f}" for at in np.percentile(apart, SHARES))
    return f"| {name} | {cells} | {np.mean(apart > FAR_M):.2%} |"


def class_rows(throws: list[Compared]) -> str:
    """Rows of the second table; empty classes are left out."""
    nodding, plain = (column(throws, name) for name in ("nodding_m", "plain_m"))
    rows = []
    for name, (title, limits) in CLASSES.items():
        where = np.digitize(column(throws, name), limits)
        texts = [
            f"below {limits[0]:g}",
            f"{limits[0]:g} to {limits[1]:g}",
            f"{limits[1]:g} and more",
        ]
        for k, text in enumerate(texts):
            chosen = where == k
            if not chosen.any():
                continue
            near = nodding[chosen]
            rows.append(
                f"| {title} | {text} | {chosen.sum()} | {np.median(near):.4f} "
                f"| {np.percentile(near, 99):.4f} | {near.max():.4f} "
                f"| {np.mean(plain[chosen] > FAR_M):.1%} |"
            )
    return "\n".join(rows)


def far_sentence(throws: list[Compared]) -> str:
    """Say what the throws beyond the limit have in common: medians of them and of all."""
    sentences = []
    for label, name in (("With", "nodding_m"), ("Without", "plain_m")):
        far = [throw for throw in throws if getattr(throw, name) > FAR_M]
        if not far:
            sentences.append(f"{label} the nod no throw lands beyond {FAR_M:g} m.")
            continue
        excess = np.median(column(far, name)) - FAR_M
        flat, flat_far = (np.mean(column(some, "descent_deg") < FLAT_DEG) for some in (throws, far))
        medians = "\n".join(
            f"- {title}: {np.median(column(far, key)):.2g} "
            f"(of all throws {np.median(column(throws, key)):.2g})"
            for key, (title, _limits) in CLASSES.items()
        )
        reason = " (there a little height is much ground)" if flat_far > flat else ""
        sentences.append(
            f"{label} the nod {len(far)} of {len(throws)} land beyond {FAR_M:g} m, by "
            f"{excess:.2f} m more (median).\n{flat_far:.0%} of them come down less steeply than "
            f"{FLAT_DEG:g}°{reason}, of all throws {flat:.0%}.\nTheir medians:\n\n{medians}"
        )
    return "\n\n".join(sentences)


def wobble_rows(wobbles: Floats) -> str:
    """Rows of the third table."""
    middle, most = np.percentile(wobbles, [50, 90], axis=0)
    return "\n".join(
        f"| {wobble:g} | "
        + " | ".join(f"{a:.3f} ({b:.3f})" for a, b in zip(middle[k], most[k], strict=True))
        + " |"
        for k, wobble in enumerate(WOBBLES_RAD)
    )


def main(count: int = 10_000, seed: int = 2026) -> None:
    """Compare, print the percentiles and write the page."""
    throws = realistic_throws(np.random.default_rng(seed), count)
    with ProcessPoolExecutor(PROCESSES) as pool:
        compared = list(pool.map(compare, throws, chunksize=25))
        wobbles = np.array(list(pool.map(wobbled, throws[:WOBBLY_THROWS], chunksize=5)))
    text = page(compared, wobbles, seed, date.today())
    PAGE.write_text(text, encoding="utf-8")
    print(text)


if __name__ == "__main__":
    main(*(int(argument) for argument in sys.argv[1:3]))
