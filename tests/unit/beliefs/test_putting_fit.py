"""The fit of putts: what it does with few, many, odd and uneven ones."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rimwise.beliefs.putting import PuttingModel
from rimwise.beliefs.putting_fit import (
    LEVEL_PUTTING_SD_DEG,
    PuttingFit,
    PuttingPrior,
    check_prediction,
    fit_putts,
    made_rates,
    putting_prior,
    tally_putts,
)
from rimwise.errors import InputError
from rimwise.records.assumptions import Assumptions
from rimwise.records.evidence import Putts
from rimwise.records.thrower import Hand, Level, Style, StyleSkill, Thrower

PRIOR = PuttingPrior(2.2, 18.0, 0.15, 0.3, 0.25, 0.6)
DAY = date(2026, 5, 1)
DISTANCE_M = np.array([3.0, 5.0, 10.0])


def evening(number: int, made: dict[float, tuple[int, int]]) -> list[Putts]:
    """Return the putts of one evening from distance: (made, tried)."""
    on = DAY + timedelta(days=7 * number)
    return [Putts(on, d, tried, good) for d, (good, tried) in made.items()]


def fitted(*rows: Putts, wind_m_s: float | None = None) -> PuttingFit:
    return fit_putts(PRIOR, tally_putts(rows, [wind_m_s] * len(rows)))


def thrower(level: Level, putting_sd_deg: float = 2.2) -> Thrower:
    skill = StyleSkill(Style.BACKHAND, 90.0, level)
    return Thrower("one", Hand.LEFT, (skill,), putting_sd_deg=putting_sd_deg)


def test_without_putts_it_is_the_prior() -> None:
    fit = fitted()
    low, high = fit.interval("sd_deg")
    assert (low, high) == pytest.approx(
        (2.2 * np.exp(-1.645 * 0.3), 2.2 * np.exp(1.645 * 0.3)), rel=0.02
    )
    assert fit.mean("sd_deg") == pytest.approx(2.2 * np.exp(0.5 * 0.3**2), rel=1e-4)
    assert max(fit.learned(name) for name in ("sd_deg", "half_m", "wind_deg")) < 1e-5


def test_the_level_is_the_centre_unless_the_owner_set_a_spread() -> None:
    assume = Assumptions()
    for level, sd_deg in LEVEL_PUTTING_SD_DEG.items():
        assert putting_prior(thrower(level), assume).sd_deg == sd_deg
    assert putting_prior(thrower(Level.TOP, 2.6), assume).sd_deg == 2.6
    spreads = list(LEVEL_PUTTING_SD_DEG.values())
    assert spreads == sorted(spreads, reverse=True)


def test_an_assumption_that_is_changed_is_used() -> None:
    wide = putting_prior(thrower(Level.TOP), replace(Assumptions(), putt_sd_spread=0.9))
    assert wide.sd_spread == 0.9


def test_more_putts_narrow_the_band_and_bring_it_to_the_rate() -> None:
    widths = []
    for times in (1, 10, 100):
        low, high = fitted(*evening(0, {5.0: (7 * times, 10 * times)})).band(5.0)
        widths.append(float(high - low))
    assert widths[0] > 2.0 * widths[1] > 4.0 * widths[2]
    assert low < 0.7 < high


@given(st.integers(1, 60), st.floats(1.0, 30.0), st.data())
@settings(max_examples=15, deadline=None)
def test_any_putts_give_a_falling_curve_inside_its_band(
    tried: int, distance_m: float, data: st.DataObject
) -> None:
    made = data.draw(st.integers(0, tried))
    fit = fitted(*evening(0, {distance_m: (made, tried)}))
    metres = np.arange(3.0, 23.0)
    mean, (low, high) = fit.make_probability(metres), fit.band(metres)
    assert np.all(np.diff(mean) < 0.0)
    # Where nearly all are made (8 of 8 from 22 m), the mean of a skewed belief lies in its tail.
    assert np.all((low - 0.002 < mean) & (mean < high + 0.002))
    assert fit.weight.sum() == pytest.approx(1.0)


@pytest.mark.parametrize(("distance_m", "made"), [(0.5, 0), (40.0, 5000), (2.0, 0), (15.0, 10_000)])
def test_putts_that_nobody_has_do_not_break_it(distance_m: float, made: int) -> None:
    fit = fitted(*evening(0, {distance_m: (made, 10_000)}))
    assert np.all(np.isfinite(fit.values))
    assert isinstance(fit.model(), PuttingModel)


def test_one_made_putt_more_never_lowers_the_curve() -> None:
    curves = [
        fitted(*evening(0, {4.0: (15, 20), 8.0: (made, 20)})).make_probability(DISTANCE_M)
        for made in range(21)
    ]
    assert np.all(np.diff(curves, axis=0) > 0.0)


def test_the_order_of_evenings_does_not_matter() -> None:
    rows = [*evening(0, {5.0: (12, 20)}), *evening(1, {5.0: (9, 20), 8.0: (5, 20)})]
    one, other = fitted(*rows), fitted(*reversed(rows))
    assert one.mean("sd_deg") == pytest.approx(other.mean("sd_deg"), rel=1e-9)


def test_wind_is_learned_only_from_putts_in_wind() -> None:
    still = evening(0, {3.0: (190, 200), 5.0: (120, 200)})
    blown = evening(1, {3.0: (110, 200), 5.0: (50, 200)})
    calm = fit_putts(PRIOR, tally_putts(still))
    both = fit_putts(PRIOR, tally_putts([*still, *blown], [0.0, 0.0, 8.0, 8.0]))
    assert calm.learned("wind_deg") < 1e-3
    assert both.learned("wind_deg") > 0.7
    assert both.mean("wind_deg") > 1.3 * calm.mean("wind_deg")
    assert np.all(both.make_probability(DISTANCE_M, 8.0) < both.make_probability(DISTANCE_M))


def test_unknown_wind_counts_as_still_air() -> None:
    rows = evening(0, {5.0: (12, 20)})
    unknown, still = fitted(*rows, wind_m_s=None), fitted(*rows, wind_m_s=0.0)
    assert unknown.make_probability(5.0) == still.make_probability(5.0)


def test_winds_must_be_as_many_as_putts() -> None:
    with pytest.raises(InputError, match="1 putting records, but 2 winds"):
        tally_putts(evening(0, {5.0: (1, 2)}), [None, 3.0])


def test_uneven_evenings_count_for_less() -> None:
    """The same makes in all, once spread evenly and once in good and bad evenings."""
    even = [p for n in range(6) for p in evening(n, {4.0: (15, 20), 7.0: (8, 20)})]
    moody = [
        p
        for n in range(6)
        for p in evening(n, {4.0: (20 if n % 2 else 10, 20), 7.0: (14 if n % 2 else 2, 20)})
    ]
    plain, wide = fitted(*even), fitted(*moody)
    assert plain.dispersion == 1.0
    assert wide.dispersion > 2.0
    assert np.ptp(wide.interval("sd_deg")) > 1.3 * np.ptp(plain.interval("sd_deg"))


def test_a_prior_needs_positive_numbers() -> None:
    with pytest.raises(InputError, match="half_spread of a putting prior must be above 0"):
        replace(PRIOR, half_spread=0.0)


# -- rates and the check ----------------------------------------------------------------------


def test_rates_gather_near_distances() -> None:
    rows = [*evening(0, {5.0: (10, 20), 5.2: (5, 5)}), *evening(1, {5.0: (8, 20), 9.0: (0, 4)})]
    near, far = made_rates(tally_putts(rows))
    assert (near.tried, near.made) == (45, 23)
    assert near.distance_m == pytest.approx((40 * 5.0 + 5 * 5.2) / 45)
    assert (far.low, far.made) == (0.0, 0)
    assert near.low < 23 / 45 < near.high


def test_prediction_is_not_checked_on_one_evening() -> None:
    assert check_prediction(PRIOR, tally_putts(evening(0, {5.0: (10, 20)}))) is None
    assert check_prediction(PRIOR, tally_putts([])) is None


def test_prediction_of_a_putter_far_from_the_level_beats_the_level() -> None:
    """A top putter logged as a league one; another evening is foreseen far better."""
    random = np.random.default_rng(3)
    steady = PuttingModel(1.0, 17.0)
    rows = [
        Putts(
            p.on, p.distance_m, 20, int(random.binomial(20, steady.make_probability(p.distance_m)))
        )
        for n in range(12)
        for p in evening(n, {4.0: (0, 20), 7.0: (0, 20), 10.0: (0, 20)})
    ]
    check = check_prediction(PRIOR, tally_putts(rows))
    assert check is not None
    assert (check.putts, check.evenings) == (720, 12)
    assert check.fitted - check.level > 2.0 * check.level_se > 0.0
    assert check.fitted > check.rates - 2.0 * check.rates_se


def test_at_distances_never_tried_the_fit_foresees_and_rates_do_not() -> None:
    random = np.random.default_rng(5)
    putter = PuttingModel(2.1)
    rows = []
    for n in range(20):
        distance_m = 3.0 + 0.4 * n
        made = int(random.binomial(40, putter.make_probability(distance_m)))
        rows += evening(n, {distance_m: (made, 40)})
    check = check_prediction(PRIOR, tally_putts(rows))
    assert check is not None
    assert check.fitted - check.rates > 2.0 * check.rates_se


def test_putts_that_fit_no_putter_leave_a_posterior_on_many_nodes() -> None:
    """All or nothing at random, thousands at a time, in gales: finite, ordered, not one node."""
    random = np.random.default_rng(1)
    metres = np.arange(1.0, 23.0)
    for _ in range(15):
        count = int(random.integers(2, 9))
        rows = [
            Putts(DAY + timedelta(days=n), float(random.uniform(0.5, 40.0)), 5000, made)
            for n, made in enumerate(random.choice([0, 5000], count).tolist())
        ]
        fit = fit_putts(PRIOR, tally_putts(rows, random.choice([0.0, 12.0, 40.0], count).tolist()))
        assert 1.0 / float(fit.weight @ fit.weight) >= 80.0
        low, high = fit.band(metres)
        assert np.all(np.isfinite(low) & (low <= high))
        assert np.all(np.isfinite(fit.covariance))
