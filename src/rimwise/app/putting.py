"""Putting: what the owner's putts say, the curve, and an evening of practice."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from rimwise.app.box import assumptions_of, pick, units_of
from rimwise.app.files import Written, write_whole
from rimwise.app.reports import load_plan, plan_names
from rimwise.beliefs.putting import LONGEST_PUTT_M, PuttingModel
from rimwise.beliefs.putting_fit import (
    MadeRate,
    PredictiveCheck,
    PuttingFit,
    PuttTally,
    check_prediction,
    fit_putts,
    made_rates,
    putting_prior,
    tally_putts,
)
from rimwise.beliefs.putting_practice import (
    FirstPutts,
    PracticePlan,
    PuttWorth,
    plan_practice,
    putt_worths,
    usual_first_putts,
)
from rimwise.decide.demand import Demand
from rimwise.errors import NotFoundError
from rimwise.pictures.putting import CIRCLES_M, MakeCurve, putting_svg, putting_words
from rimwise.records import words
from rimwise.records.assumptions import Assumptions
from rimwise.records.thrower import Thrower
from rimwise.records.words import Units
from rimwise.store.store import Store

__all__ = [
    "CAUTION",
    "Circle",
    "PuttingReport",
    "draw_putting",
    "first_putts_of",
    "keep_first_putts",
    "make_putting",
    "putting_model",
]

CAUTION = (
    "Build practice up over weeks, rest a sore hand or shoulder, and see a professional about "
    "pain. Putt only where nobody stands or walks behind the basket."
)

#: Wind that sentences take as an example, m/s.
BREEZE_M_S = 6.0
#: Less than this share of the wind's prior variance taken away is called nothing.
NOTHING, LITTLE = 0.1, 0.5
_FIRST_PUTTS = "first putts:"


@dataclass(frozen=True, slots=True)
class Circle:
    """One circle around the basket: the chance at its edge, and over the putts inside it.

    ``inside`` is over the first putts of a round between the next smaller circle and this one.
    """

    radius_m: float
    at_edge: float
    low: float
    high: float
    inside: float


@dataclass(frozen=True, slots=True)
class PuttingReport:
    """What is believed of the owner's putting.

    ``sd_deg``, ``half_m`` and ``wind_deg_per_m_s`` are (mean, low, high) with 90 % intervals;
    ``wind_learned`` is the share of the prior's variance about wind that putts took away.
    ``evenings`` counts dates. ``first_putts`` says what the worths are weighed with.
    """

    putts: int
    made: int
    evenings: int
    sd_deg: tuple[float, float, float]
    half_m: tuple[float, float, float]
    wind_deg_per_m_s: tuple[float, float, float]
    wind_learned: float
    dispersion: float
    prior_sd_deg: float
    curve: MakeCurve
    rates: tuple[MadeRate, ...]
    circles: tuple[Circle, ...]
    first_putts: str
    worths: tuple[PuttWorth, ...]
    check: PredictiveCheck | None
    practice: PracticePlan | None
    sentences: tuple[str, ...]
    picture: str
    caution: str
    units: Units


# -- what others need -----------------------------------------------------------------------


def putting_model(store: Store, thrower: Thrower, assume: Assumptions) -> PuttingModel:
    """Return the putter that plans use: fitted once putts are logged, else the thrower's own."""
    if not len(store.putts):
        return PuttingModel(thrower.putting_sd_deg)
    return _fit_of(store, thrower, assume)[0].model()


def keep_first_putts(store: Store, conditions: str, demand: Demand, chosen: Sequence[int]) -> None:
    """Keep where the first putts of a planned round start, for the worth of practice."""
    store.reports.put(_FIRST_PUTTS + conditions, first_putts_of(demand, chosen).tolist())


def first_putts_of(demand: Demand, chosen: Sequence[int]) -> NDArray[np.float64]:
    """Return first putts of a planned round from 0.5, 1.5 … m, with a set of discs.

    Every throw that comes to rest where the putt is the better choice leads to one. Lies too
    rare to be in the demand table are made up for in proportion: one first putt a hole.
    """
    counts = np.zeros(int(LONGEST_PUTT_M))
    for r, disc in enumerate(demand.serves(chosen).tolist()):
        row = demand.rows[r]
        x_m, left_m = demand.next_m[r, disc].T
        away_m = np.hypot(row.lie.distance_m - x_m, left_m)
        near_m = away_m[away_m <= min(demand.values[row.day].putt_within_m, LONGEST_PUTT_M)]
        bins = np.minimum(near_m.astype(np.intp), len(counts) - 1)
        counts += row.weight / len(away_m) * np.bincount(bins, minlength=len(counts))
    holes = sum(row.weight for row in demand.rows if row.kind == "tee")
    return np.asarray(counts * holes / counts.sum() if counts.sum() else counts)


# -- the report -------------------------------------------------------------------------------


def make_putting(
    store: Store,
    *,
    thrower: str | None = None,
    plan: str | None = None,
    practice: int | None = None,
) -> PuttingReport:
    """Fit the owner's putts and say what follows.

    Parameters
    ----------
    plan
        Conditions whose planned carry says where first putts start; the latest plan when not
        given, and a stated usual distribution when nothing is planned.
    practice
        Lay out an evening of so many putts.

    Raises
    ------
    RimwiseError
        When there is no thrower, no such plan, or no such evening.
    """
    assume = assumptions_of(store)
    units = units_of(store)
    fit, tally = _fit_of(store, pick(store.throwers, "thrower", thrower), assume)
    first, first_words = _first_putts(store, plan, assume, units)
    curve, rates = _curve(fit), made_rates(tally)
    evening = None if practice is None else plan_practice(fit, first, practice)
    worths = putt_worths(fit, first)
    check = check_prediction(fit.prior, tally)
    return PuttingReport(
        putts=int(tally.tried.sum()),
        made=int(tally.made.sum()),
        evenings=len(np.unique(tally.evening)),
        sd_deg=_told(fit, "sd_deg"),
        half_m=_told(fit, "half_m"),
        wind_deg_per_m_s=_told(fit, "wind_deg"),
        wind_learned=fit.learned("wind_deg"),
        dispersion=fit.dispersion,
        prior_sd_deg=fit.prior.sd_deg,
        curve=curve,
        rates=rates,
        circles=_circles(fit, first),
        first_putts=first_words,
        worths=worths,
        check=check,
        practice=evening,
        sentences=tuple(_sentences(fit, tally, worths, check, units)),
        picture=putting_words(curve, rates, units),
        caution=CAUTION,
        units=units,
    )


def draw_putting(report: PuttingReport, path: Path) -> Written:
    """Draw the curve of a report into an SVG file.

    Raises
    ------
    StoreError
        When the file cannot be written.
    """
    return write_whole(path, putting_svg(report.curve, report.rates, report.units))


def _fit_of(store: Store, thrower: Thrower, assume: Assumptions) -> tuple[PuttingFit, PuttTally]:
    """Fit the putts on file; wind is what was noted with them, or that of the day they name."""
    putts = [record for _, record in store.putts.all()]
    days = {day.name: day for kind in store.conditions.all() for day in kind.days}
    winds: list[float | None] = []
    for putt in putts:
        wind_m_s = putt.weather.wind_m_s
        if wind_m_s is None and putt.conditions in days:
            wind_m_s = days[putt.conditions].wind_speed_m_s
        winds.append(wind_m_s)
    tally = tally_putts(putts, winds)
    return fit_putts(putting_prior(thrower, assume), tally), tally


def _first_putts(
    store: Store, plan: str | None, assume: Assumptions, units: Units
) -> tuple[FirstPutts, str]:
    usual = usual_first_putts(assume.first_putt_m)
    name = plan
    if name is None and plan_names(store):
        name = load_plan(store).conditions
    kept = store.reports.get(f"{_FIRST_PUTTS}{name}") if name is not None else None
    if kept and sum(kept):
        middle_m = np.arange(0.5, len(kept), dtype=np.float64)
        return FirstPutts(middle_m, np.array(kept)), f"as planned for {name}"
    if plan is not None:
        raise NotFoundError(
            f"where putts start is not kept for {plan!r}; run `rimwise plan {plan}`."
        )
    commonest = words.distance(assume.first_putt_m, units)
    return usual, f"18 first putts, most often from about {commonest} (an assumption)"


def _told(fit: PuttingFit, name: str) -> tuple[float, float, float]:
    return fit.mean(name), *fit.interval(name)


def _curve(fit: PuttingFit) -> MakeCurve:
    metres = np.arange(1.0, LONGEST_PUTT_M + 0.25, 0.5)
    low, high = fit.band(metres)
    made = fit.make_probability(metres)
    return MakeCurve(
        tuple(metres.tolist()), tuple(made.tolist()), tuple(low.tolist()), tuple(high.tolist())
    )


def _circles(fit: PuttingFit, first: FirstPutts) -> tuple[Circle, ...]:
    made = fit.make_probability(first.distance_m)
    circles = []
    for inner_m, outer_m in zip((0.0, *CIRCLES_M[:-1]), CIRCLES_M, strict=True):
        here = (first.distance_m > inner_m) & (first.distance_m <= outer_m)
        number = first.per_round[here].sum()
        low, high = fit.band(outer_m)
        circles.append(
            Circle(
                outer_m,
                float(fit.make_probability(outer_m)),
                float(low),
                float(high),
                float(made[here] @ first.per_round[here] / number) if number else 0.0,
            )
        )
    return tuple(circles)


# -- words ------------------------------------------------------------------------------------


def _sentences(
    fit: PuttingFit,
    tally: PuttTally,
    worths: Sequence[PuttWorth],
    check: PredictiveCheck | None,
    units: Units,
) -> list[str]:
    said = [_known(tally, fit.prior.sd_deg), *_chances(fit, units), _wind(fit, tally, units)]
    best = max(worths, key=lambda worth: worth.steadier)
    total = sum(worth.steadier for worth in worths)
    said.append(
        f"A hand a tenth steadier would save you {words.number(total, 1)} strokes a round; more of "
        f"them on putts from about {words.distance(best.distance_m, units)} than from anywhere "
        f"else: {words.number(best.steadier, 2)}."
    )
    if fit.dispersion > 1.0:
        said.append(
            f"Your evenings differ {words.number(fit.dispersion, 1)} times as much as luck alone "
            "would make them; your putts are counted as so many times fewer."
        )
    if check is not None:
        said.append(_foreseen(check))
    return said


def _known(tally: PuttTally, prior_sd_deg: float) -> str:
    tried, made = int(tally.tried.sum()), int(tally.made.sum())
    if not tried:
        return (
            "You have logged no putts yet, so this is what your level says: a spread of "
            f"{words.number(prior_sd_deg, 1)}°. Log an evening with `rimwise log putts 5m 13/20`."
        )
    evenings = words.plural(len(np.unique(tally.evening)), "evening")
    return f"You have logged {words.plural(tried, 'putt')} on {evenings} and made {made}."


def _chances(fit: PuttingFit, units: Units) -> list[str]:
    said = []
    for radius_m in (0.5 * CIRCLES_M[0], CIRCLES_M[0]):
        low, high = (100.0 * float(end) for end in fit.band(radius_m))
        said.append(
            f"From {words.distance(radius_m, units)} you make "
            f"{words.chance(float(fit.make_probability(radius_m)))}, "
            f"between {words.number(low)} and {words.number(high)}."
        )
    metres = np.arange(1.0, LONGEST_PUTT_M, 0.05)
    half = float(np.interp(-0.5, -fit.make_probability(metres), metres))
    said.append(f"You make every other putt from about {words.distance(half, units)}.")
    return said


def _wind(fit: PuttingFit, tally: PuttTally, units: Units) -> str:
    at_m = 0.5 * CIRCLES_M[0]
    calm, blown = (float(fit.make_probability(at_m, wind)) for wind in (0.0, BREEZE_M_S))
    effect = (
        f"In {words.wind_speed(BREEZE_M_S, units)} of wind your {words.distance(at_m, units)} putt "
        f"goes from {words.number(100 * calm)} to {words.chance(blown)}"
    )
    learned = fit.learned("wind_deg")
    if learned < NOTHING:
        noted = "with no wind noted, " if not np.any(tally.wind_m_s > 0.0) else ""
        return f"{effect}: that is an assumption, {noted}your putts say nothing about it yet."
    strength = "little" if learned < LITTLE else "much"
    return (
        f"{effect}; your putts say {strength} about it "
        f"({words.number(100 * learned)} % of what was unknown is gone)."
    )


def _foreseen(check: PredictiveCheck) -> str:
    """Say whether evenings held out were foreseen better than by the level or by plain rates."""
    parts = [
        f"{_better(check.fitted - other, error)} {name}"
        for other, error, name in (
            (check.level, check.level_se, "your level alone"),
            (check.rates, check.rates_se, "the plain rate at each distance"),
        )
    ]
    return (
        f"Each of {check.evenings} evenings, foreseen from the others: {words.joined(parts)} "
        "(log score per putt, two standard errors)."
    )


def _better(gain: float, error: float) -> str:
    if abs(gain) <= 2.0 * error:
        return "no different from"
    return "better than" if gain > 0.0 else "worse than"
