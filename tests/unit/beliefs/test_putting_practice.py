"""Worth of putts and the evening: sums, order, and gains checked by doing them."""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest

from rimwise.beliefs.putting import PuttingModel
from rimwise.beliefs.putting_fit import PuttingFit, PuttingPrior, fit_putts, tally_putts
from rimwise.beliefs.putting_practice import (
    SPOTS_M,
    STEADIER,
    FirstPutts,
    plan_practice,
    putt_strokes,
    putt_worths,
    usual_first_putts,
)
from rimwise.errors import InputError
from rimwise.records.evidence import Putts

PRIOR = PuttingPrior(2.2, 18.0, 0.15, 0.3, 0.25, 0.6)
USUAL = usual_first_putts(6.0)


def fit_of(*counts: tuple[float, int, int]) -> PuttingFit:
    rows = [Putts(date(2026, 5, 1), d, tried, made) for d, made, tried in counts]
    return fit_putts(PRIOR, tally_putts(rows))


LEAGUE = fit_of((3.0, 180, 200), (5.0, 115, 200), (8.0, 60, 200))


def test_usual_first_putts_are_one_a_hole_and_commonest_where_said() -> None:
    for commonest_m in (4.0, 9.0):
        first = usual_first_putts(commonest_m, 9)
        assert first.per_round.sum() == pytest.approx(9.0)
        assert first.distance_m[np.argmax(first.per_round)] == commonest_m


def test_strokes_are_those_of_the_model_when_nothing_is_unknown() -> None:
    sure = fit_of((3.0, 180_0, 200_0), (5.0, 115_0, 200_0), (8.0, 60_0, 200_0), (15.0, 12_0, 200_0))
    strokes, sd = putt_strokes(sure, USUAL)
    expected = float(sure.model().strokes(USUAL.distance_m) @ USUAL.per_round)
    assert strokes == pytest.approx(expected, abs=0.05)
    assert 0.0 < sd < putt_strokes(LEAGUE, USUAL)[1]


def test_worths_add_up_to_what_the_steadier_hand_saves() -> None:
    """Against the strokes of both hands counted in full; first order leaves a few per cent."""
    model = LEAGUE.model()
    steady = PuttingModel(STEADIER * model.sd_deg, model.half_m)
    saved = float(
        (model.strokes(USUAL.distance_m) - steady.strokes(USUAL.distance_m)) @ USUAL.per_round
    )
    assert sum(w.steadier for w in putt_worths(LEAGUE, USUAL)) == pytest.approx(saved, rel=0.08)


def test_putts_per_round_are_first_putts_and_comebacks() -> None:
    model = LEAGUE.model()
    worths = putt_worths(LEAGUE, USUAL)
    strokes = float(model.strokes(USUAL.distance_m) @ USUAL.per_round)
    assert sum(w.per_round for w in worths) == pytest.approx(strokes)


def test_putts_only_from_one_place_are_worth_only_there_and_at_the_comeback() -> None:
    """From 10 m a miss leaves 2.7 m: nothing is gained anywhere else."""
    worths = putt_worths(LEAGUE, FirstPutts(np.array([10.0]), np.array([18.0])))
    assert {w.distance_m for w in worths if w.steadier > 0.0} == {3.0, 10.0}


def test_a_made_putt_saves_more_than_a_stroke_and_more_from_afar() -> None:
    saved = [w.saved for w in putt_worths(LEAGUE, USUAL)]
    assert saved == sorted(saved)
    assert 1.0 < saved[0] < saved[-1] < 2.0


@pytest.mark.parametrize("putts", [10, 13, 60, 300])
def test_an_evening_has_the_putts_asked_for(putts: int) -> None:
    plan = plan_practice(LEAGUE, USUAL, putts)
    assert sum(spot.putts for spot in plan.spots) == putts == plan.putts
    assert all(0 <= spot.to_learn <= spot.putts for spot in plan.spots)
    assert {spot.distance_m for spot in plan.spots} <= set(SPOTS_M)
    assert sum(spot.to_learn for spot in plan.spots) <= putts / 2
    assert 0.0 < plan.strokes_sd_after < plan.strokes_sd


def test_practice_follows_the_first_putts() -> None:
    """Putts to gain from are laid out only where a round has any, comebacks included."""

    def to_gain(distance_m: float) -> set[float]:
        first = FirstPutts(np.array([distance_m]), np.array([18.0]))
        return {
            s.distance_m for s in plan_practice(LEAGUE, first, 60).spots if s.putts > s.to_learn
        }

    assert to_gain(4.0) <= {2.0, 4.0}  # a miss leaves 2 m
    assert to_gain(12.0) == {3.0, 12.0}  # and from there 3 m


def test_putts_to_learn_go_where_nothing_was_tried() -> None:
    """Thousands of short putts leave the long ones unknown."""
    fit = fit_of((3.0, 3600, 4000), (4.0, 3000, 4000), (5.0, 2350, 4000))
    learn = {s.distance_m: s.to_learn for s in plan_practice(fit, USUAL, 60).spots}
    assert sum(n for d, n in learn.items() if d >= 10.0) > 0.8 * sum(learn.values())


def test_learning_is_what_putts_then_do() -> None:
    """The promised narrowing, against evenings drawn, fitted and averaged."""
    fit = fit_of((3.0, 18, 20), (6.0, 9, 20))
    plan = plan_practice(fit, USUAL, 60)
    random = np.random.default_rng(11)
    variances = []
    for _ in range(40):
        sd, half, _ = fit.values[random.choice(len(fit.weight), p=fit.weight)]
        made = [
            int(
                random.binomial(
                    s.putts, PuttingModel(float(sd), float(half)).make_probability(s.distance_m)
                )
            )
            for s in plan.spots
        ]
        drawn = [(s.distance_m, m, s.putts) for s, m in zip(plan.spots, made, strict=True)]
        after = fit_of((3.0, 18, 20), (6.0, 9, 20), *drawn)
        variances.append(putt_strokes(after, USUAL)[1] ** 2)
    assert plan.strokes_sd_after == pytest.approx(np.sqrt(np.mean(variances)), rel=0.25)


@pytest.mark.parametrize("putts", [0, 9, 301])
def test_evenings_too_short_or_too_long_are_refused(putts: int) -> None:
    with pytest.raises(InputError, match="putts of an evening must be between 10 and 300"):
        plan_practice(LEAGUE, USUAL, putts)
