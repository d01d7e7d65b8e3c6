"""Write docs/putting.md and its picture: the demo's putter, calibration, and what putts are worth.

Usage: ``python tools/draw_putting.py`` (or ``make docs``; about two minutes)
"""

from __future__ import annotations

import csv
import textwrap
from datetime import date
from importlib import resources
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from rimwise.beliefs.putting import LONGEST_PUTT_M, make_chance
from rimwise.beliefs.putting_fit import (
    LEVEL_PUTTING_SD_DEG,
    PuttingFit,
    PuttingPrior,
    PuttTally,
    check_prediction,
    fit_putts,
    made_rates,
    putting_prior,
    tally_putts,
)
from rimwise.beliefs.putting_practice import (
    plan_practice,
    putt_strokes,
    putt_worths,
    usual_first_putts,
)
from rimwise.pictures.putting import MakeCurve, putting_svg, putting_words
from rimwise.records.assumptions import Assumptions
from rimwise.records.evidence import Putts
from rimwise.records.thrower import Hand, Level, Style, StyleSkill, Thrower

DOCS = Path(__file__).parents[1] / "docs"
PAGE, PICTURE = DOCS / "putting.md", DOCS / "pictures" / "putting.svg"

#: Invented putters of the calibration, and of each row of the table by putts logged.
PUTTERS, PUTTERS_A_ROW = 2000, 200
SEED = 20260301
DISTANCES_M = (3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 13.0)
PLACES = ((5.0, 0.0), (10.0, 0.0), (5.0, 6.0), (10.0, 6.0))
EVENINGS = (1, 2, 5, 10, 30)
PUTTS_EACH = 5

Floats = NDArray[np.float64]


def page() -> tuple[str, str]:
    """Return the page as Markdown and its picture."""
    prior = putting_prior(_thrower(), Assumptions())
    demo = _demo_putts()
    fit = fit_putts(prior, demo)
    curve = _curve(fit)
    rates = made_rates(demo)
    parts = [
        OPENING.format(
            levels=", ".join(f"{level} {sd}°" for level, sd in LEVEL_PUTTING_SD_DEG.items())
        ),
        _demo_words(fit, demo),
        f"![Make chance by distance for the demo's putter](pictures/{PICTURE.name})\n",
        _wrapped(f"In words: {putting_words(curve, rates)}") + "\n",
        _worth_table(fit),
        _calibration(prior),
        _by_putts(prior),
        CLOSING,
    ]
    return "\n".join(parts), putting_svg(curve, rates)


def _thrower() -> Thrower:
    skill = StyleSkill(Style.BACKHAND, 90.0, Level.RECREATIONAL)
    return Thrower("demo", Hand.LEFT, (skill,))


def _demo_putts() -> PuttTally:
    text = (resources.files("rimwise.demo") / "data" / "putts.csv").read_text("utf-8")
    return tally_putts(
        [
            Putts(
                date.fromisoformat(row["on"]),
                float(row["distance_m"]),
                int(row["tried"]),
                int(row["made"]),
            )
            for row in csv.DictReader(text.splitlines())
        ]
    )


def _curve(fit: PuttingFit) -> MakeCurve:
    metres = np.arange(1.0, LONGEST_PUTT_M + 0.25, 0.5)
    low, high = fit.band(metres)
    rows = (metres, fit.make_probability(metres), low, high)
    return MakeCurve(*(tuple(row.tolist()) for row in rows))


def _demo_words(fit: PuttingFit, demo: PuttTally) -> str:
    low, high = fit.interval("sd_deg")
    half_low, half_high = fit.interval("half_m")
    check = check_prediction(fit.prior, demo)
    assert check is not None  # noqa: S101 - the demo has eight evenings
    told = _wrapped(
        f"Invented: {int(demo.tried.sum())} putts on {check.evenings} evenings, made by a hidden "
        "hand with a spread of 2.1° and a half distance of 18 m. From the level's 2.2° the fit "
        f"comes to a spread of {fit.mean('sd_deg'):.2f}° (90 %: {low:.2f} to {high:.2f}) and a "
        f"half distance of {fit.mean('half_m'):.1f} m ({half_low:.1f} to {half_high:.1f}). Of what "
        f"was unknown of the latter only {100 * fit.learned('half_m'):.0f} % is gone: no putt was "
        "longer than 10 m. No wind was noted, so the wind's part is the assumption unchanged."
    )
    foreseen = _wrapped(
        "Each evening foreseen from the others, mean log score per putt: fit "
        f"{_signed(check.fitted)}, level alone {_signed(check.level)} (fit better by "
        f"{_signed(check.fitted - check.level)} ± {check.level_se:.4f}), each distance's own rate "
        f"{_signed(check.rates)} (fit better by {_signed(check.fitted - check.rates)} ± "
        f"{check.rates_se:.4f}); ± is one standard error over evenings."
    )
    return f"## The demo's putter\n\n{told}\n\n{foreseen}\n"


def _wrapped(text: str) -> str:
    return textwrap.fill(text, 100, break_long_words=False, break_on_hyphens=False)


def _worth_table(fit: PuttingFit) -> str:
    first = usual_first_putts(Assumptions().first_putt_m)
    strokes, sd = putt_strokes(fit, first)
    plan = plan_practice(fit, first, 60)
    worths = putt_worths(fit, first)
    number = {spot.distance_m: spot for spot in plan.spots}
    rows = []
    for w in worths:
        spot = number.get(w.distance_m)
        putts = f"{spot.putts} ({spot.to_learn})" if spot else ""
        rows.append(
            f"| {w.distance_m:g} m | {w.per_round:.1f} | {100 * w.made:.0f} | {w.saved:.2f} "
            f"| {w.steadier:.2f} | {putts} |"
        )
    return "\n".join(
        [
            "## What putts are worth, and an evening of 60",
            "",
            _wrapped(
                f"With the usual first putts this putter needs {strokes:.1f} putts a round "
                f"(± {sd:.2f} for what is not known of the hand). A hand a tenth steadier saves "
                f"{plan.steadier:.2f} strokes. The last column is the evening that "
                "`rimwise putting --practice 60` lays out; in brackets the putts that are there to "
                "learn from."
            ),
            "",
            "| about | putts | made of 100 | a make saves | a tenth steadier saves | evening |",
            "|---|---:|---:|---:|---:|---:|",
            *rows,
            "",
        ]
    )


def _drawn(
    random: np.random.Generator, prior: PuttingPrior, evenings: int, winds: tuple[float, ...]
) -> tuple[Floats, PuttTally]:
    """Draw a putter (3,) from the prior, and evenings of five putts at each distance."""
    values = prior.values(random.standard_normal(3))
    distance = np.tile(DISTANCES_M, evenings)
    wind = np.repeat(random.choice(winds, evenings), len(DISTANCES_M))
    evening = np.repeat(np.arange(evenings), len(DISTANCES_M))
    made = random.binomial(PUTTS_EACH, _true(values, distance, wind)).astype(np.float64)
    return values, PuttTally(evening, distance, wind, np.full(len(made), float(PUTTS_EACH)), made)


def _true(values: Floats, distance: Floats, wind: Floats) -> Floats:
    sd, half, per_m_s = values
    return make_chance(distance, np.hypot(sd, per_m_s * wind), half)


def _calibration(prior: PuttingPrior) -> str:
    random = np.random.default_rng(SEED)
    below = np.empty((PUTTERS, len(PLACES)))
    for row in below:
        values, tally = _drawn(random, prior, int(random.integers(1, 9)), (0.0, 0.0, 4.0, 8.0))
        fit = fit_putts(prior, tally)
        for j, (distance, wind) in enumerate(PLACES):
            truth = _true(values, np.array([distance]), np.array([wind]))[0]
            row[j] = fit.weight[fit.chances(distance, wind) < truth].sum()
    rows = []
    for j, (distance, wind) in enumerate(PLACES):
        half, most = (np.mean(np.abs(below[:, j] - 0.5) <= reach) for reach in (0.25, 0.45))
        counts = np.histogram(below[:, j], 10, (0.0, 1.0))[0]
        off = float(np.sum((counts - PUTTERS / 10) ** 2) / (PUTTERS / 10))
        rows.append(
            f"| {distance:g} m, {wind:g} m/s | {100 * half:.1f} | {100 * most:.1f} | {off:.1f} |"
        )
    errors = [100 * np.sqrt(s * (1 - s) / PUTTERS) for s in (0.5, 0.9)]
    return "\n".join(
        [
            "## Is the band honest?",
            "",
            _wrapped(
                f"{PUTTERS} putters drawn from the prior, one to eight evenings of 35 putts each, "
                "half of them in wind: how often the interval holds the true chance, in per cent; "
                f"one standard error is {errors[0]:.1f} and {errors[1]:.1f}. The last column is "
                "the chi-square of ten rank bins, expected 9, above 16.9 in one case of twenty."
            ),
            "",
            "| chance at | 50 % interval | 90 % interval | ranks |",
            "|---|---:|---:|---:|",
            *rows,
            "",
        ]
    )


def _by_putts(prior: PuttingPrior) -> str:
    """Foresee a further evening from 0, 1, 2 … evenings; gains over level and rates."""
    random = np.random.default_rng(SEED + 1)
    nothing = fit_putts(prior, tally_putts([]))
    rows = []
    for evenings in EVENINGS:
        gains = np.empty((PUTTERS_A_ROW, 3))
        for gain in gains:
            values, tally = _drawn(random, prior, evenings, (0.0,))
            fit = fit_putts(prior, tally)
            distance = np.array(DISTANCES_M)
            truth = _true(values, distance, np.zeros(len(distance)))
            rate = np.array(
                [
                    (tally.made[tally.distance_m == d].sum() + 0.5)
                    / (tally.tried[tally.distance_m == d].sum() + 1.0)
                    for d in DISTANCES_M
                ]
            )
            told = [f.make_probability(distance) for f in (fit, nothing)]
            scores = [_expected_score(truth, p) for p in (*told, rate)]
            low, high = fit.band(5.0)
            gain[:] = scores[0] - scores[1], scores[0] - scores[2], float(high - low)
        mean, error = gains.mean(axis=0), gains.std(axis=0) / np.sqrt(PUTTERS_A_ROW)
        rows.append(
            f"| {35 * evenings} | {mean[0]:.4f} ± {error[0]:.4f} | {mean[1]:.4f} ± {error[1]:.4f} "
            f"| {100 * mean[2]:.0f} |"
        )
    low, high = nothing.band(5.0)
    return "\n".join(
        [
            "## How many putts it takes",
            "",
            _wrapped(
                f"{PUTTERS_A_ROW} putters drawn from the prior in each row, still air, five putts "
                "at each of seven distances an evening. Gain: how much better the fit foresees the "
                "next putt (expected log score, mean over the distances, ± one standard error) "
                "than the level alone, and than each distance's own rate (Jeffreys' prior). Before "
                f"any putt the 90 % band at 5 m is {100 * float(high - low):.0f} points wide."
            ),
            "",
            "| putts logged | gain over the level | gain over plain rates | band at 5 m, points |",
            "|---:|---:|---:|---:|",
            *rows,
            "",
        ]
    )


def _expected_score(truth: Floats, told: Floats) -> float:
    return float(np.mean(truth * np.log(told) + (1.0 - truth) * np.log1p(-told)))


def _signed(value: float) -> str:
    return f"{value:.4f}".replace("-", "−")


OPENING = """\
# Putting

This page is written by `make docs` from the code as it is; change it in `tools/draw_putting.py`.

A putt goes in when its direction is right and it has the length. Direction errors are normal, so
from a distance *d* the disc is caught with chance 1 − exp(−½(θ/σ)²), θ = atan(0.25 m / d): the
angular-error model of Gelman & Nolan (2002), carried over to discs by Vehtari (2026). A factor
1/(1 + (d/half)⁵) stands for putts that fall short or sail on. Wind of *w* m/s adds a spread of
*k·w* to σ in quadrature.

Three numbers are not known of a putter: σ, half and *k*. Before any putt each is lognormal. σ has
the level's centre, or the spread that the owner put into the record:
{levels}
(top from Vehtari (2026), the rest from memory). The other centres and all widths are assumptions
(`putt_…` in [the list](assumptions.md)). Putts are binomial; the posterior is summed on a grid, so
no interval rests on a normal approximation. Where evenings differ more than luck allows (chance
below 1 %), putts count for so many times fewer.

With putts logged, plans use the posterior means of σ and half in still air; without any, the
thrower's own spread as before.

"Circles" are those of 10 m, inside which a throw is a putt by the rules of play, and of 20 m, which
players also count. Posted rules and officials come first.
"""

CLOSING = """\
## What it does not know

- **Wind.** The spread per m/s is a guess until putts with their wind are logged; `rimwise putting`
  says what share of the unknown is gone. A putt whose wind was not noted counts as in still air, so
  a windy home basket ends up in the spread. Head and side winds are one, and plans putt in still
  air on every day.
- **Length.** Without putts from beyond 10 m the far end of the curve is mostly the assumption.
- **Pressure.** Practice putts are not round putts: no nerves, no bad footing. Nothing corrects it.
- **Time.** A putter's form is taken as one; old evenings count like new ones.
- **Practice.** How much a practised putt improves a putter was not measured by us or found
  elsewhere. A quarter of an evening is there to learn from, the rest follows worth: that split
  is ours.
- **The comeback** after a miss is 1.5 m and 12 % of the distance (memory).
"""


if __name__ == "__main__":
    text, picture = page()
    PAGE.write_text(text, encoding="utf-8")
    PICTURE.write_text(picture + "\n", encoding="utf-8")
