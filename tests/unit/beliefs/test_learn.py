"""Learning from evidence: what each kind of it says, and that taking it back undoes it."""

from __future__ import annotations

from dataclasses import astuple, replace
from datetime import date, timedelta

import numpy as np
import pytest

from rimwise.beliefs.imagined import felt_truth
from rimwise.beliefs.learn import effective_share, learn
from rimwise.beliefs.observed import Evidence
from rimwise.beliefs.owners import DAYS, FIRST_DAY, imagine_owner
from rimwise.beliefs.posterior import Posterior
from rimwise.beliefs.predicting import predict_landings
from rimwise.errors import InputError
from rimwise.records.evidence import Comparison, ConditionGrade, GripGrade, Quality, Throw
from rimwise.records.thrower import Line, Style

OWNER = imagine_owner(21, discs=5, throws=30, comparisons=6, shank_chance=0.0)
ALL = OWNER.evidence


def _learn(evidence: Evidence, start: Posterior | None = None, threads: int = 1) -> Posterior:
    return learn(OWNER.fleet, OWNER.thrower, OWNER.assume, evidence, start=start, threads=threads)


@pytest.fixture(scope="module")
def beliefs() -> Posterior:
    return _learn(ALL)


def test_no_evidence_leaves_the_prior() -> None:
    nothing = _learn(Evidence())
    np.testing.assert_allclose(nothing.mean, 0.0, atol=1e-12)
    np.testing.assert_allclose(nothing.covariance, np.eye(len(nothing.mean)))
    assert nothing.settled
    for learnt, arm in zip(nothing.scatter, OWNER.unknowns.arms, strict=True):
        assert astuple(learnt) == pytest.approx(astuple(arm.scatter))


def test_the_same_evidence_gives_the_same_beliefs_on_any_number_of_threads(
    beliefs: Posterior,
) -> None:
    again = _learn(ALL, threads=2)
    np.testing.assert_allclose(again.mean, beliefs.mean, atol=1e-9)
    assert again.fingerprint == beliefs.fingerprint


def test_the_fingerprint_changes_with_any_record(beliefs: Posterior) -> None:
    first = replace(ALL.throws[0], distance_m=ALL.throws[0].distance_m + 0.5)
    changed = replace(ALL, throws=(first, *ALL.throws[1:]))
    assert changed.fingerprint() != ALL.fingerprint()
    frost = replace(DAYS["frost"], temperature_c=5.0)
    assert replace(ALL, days={**DAYS, "frost": frost}).fingerprint() != ALL.fingerprint()


def test_evidence_makes_reach_and_finish_surer(beliefs: Posterior) -> None:
    learnt = felt_truth(OWNER.unknowns, beliefs.draw_unknowns(100, 1))
    before = felt_truth(
        OWNER.unknowns, np.random.default_rng(1).standard_normal((100, len(beliefs.mean)))
    )
    ratio = learnt.std(axis=0) / before.std(axis=0)
    assert ratio.max() < 0.9
    assert ratio[:, 1].mean() < 0.5


def test_taking_a_wrong_throw_back_undoes_it(beliefs: Posterior) -> None:
    """And one wild throw moves little: it counts as one that says nothing."""
    wild = replace(ALL.throws[3], distance_m=5.0, left_m=60.0)
    with_it = _learn(ALL.plus(wild), start=beliefs)
    sd = np.sqrt(np.diag(beliefs.covariance))
    assert (np.abs(with_it.mean - beliefs.mean) / sd).max() < 0.3
    back = _learn(ALL, start=with_it)
    assert back.fingerprint == beliefs.fingerprint
    assert (np.abs(back.mean - beliefs.mean) / sd).max() < 0.2


def test_going_on_from_earlier_beliefs_ends_near_where_a_fresh_search_does(
    beliefs: Posterior,
) -> None:
    fewer = _learn(replace(ALL, throws=ALL.throws[:-1]))
    on = _learn(ALL, start=fewer)
    sd = np.sqrt(np.diag(beliefs.covariance))
    assert on.rounds < beliefs.rounds
    assert (np.abs(on.mean - beliefs.mean) / sd).max() < 0.35


def test_a_liars_answer_is_outvoted() -> None:
    """Ten honest answers and a plain lie: the lie does not turn the order about."""
    felt = OWNER.felt()
    best, worst = int(felt[:, 0].argmax()), int(felt[:, 0].argmin())
    ids = OWNER.fleet.ids
    honest = (Comparison(FIRST_DAY, ids[best], ids[worst], plainly=True),) * 3
    lie = Comparison(FIRST_DAY, ids[worst], ids[best], plainly=True)
    for comparisons in (honest, (*honest, lie)):
        learnt = _learn(Evidence(comparisons=comparisons))
        drawn = felt_truth(OWNER.unknowns, learnt.mean)
        assert drawn[best, 0] > drawn[worst, 0] + 3.0


def test_a_measured_speed_says_more_of_speed_than_a_landing(beliefs: Posterior) -> None:
    throws = tuple(replace(throw, speed_m_s=22.0) for throw in ALL.throws[:8])
    plain, measured = (_learn(Evidence(chosen, days=DAYS)) for chosen in (ALL.throws[:8], throws))
    spread = [
        np.log(found.draw(200, 3).arm(Style.BACKHAND).speed_m_s).std()
        for found in (plain, measured)
    ]
    assert spread[1] < 0.7 * spread[0]


def test_cold_days_say_what_cold_costs() -> None:
    """Throws in frost alone leave arm and cold apart only by the prior; both days tell."""
    frost = tuple(replace(throw, conditions="frost") for throw in ALL.throws)
    mixed = _learn(Evidence(ALL.throws + frost, days=DAYS))
    cold = _learn(Evidence(frost, days=DAYS))
    assert mixed.sd("cold arm", "")[0] < cold.sd("cold arm", "")[0] < 1.0


def test_wear_lies_straight_between_grades() -> None:
    on = FIRST_DAY + timedelta(days=5)
    known = Evidence(
        condition_grades=tuple(
            ConditionGrade(FIRST_DAY + timedelta(days=d), "x", w) for d, w in ((0, 0.2), (10, 0.6))
        ),
        wear={("z", on): 0.3},
    )
    assert known.worn("x", on, 0.9) == pytest.approx(0.4)
    assert known.worn("x", date(2030, 1, 1), 0.9) == pytest.approx(0.6)
    assert known.worn("y", on, 0.9) == known.worn("z", date(2030, 1, 1), 0.9) == 0.9
    assert known.worn("z", on, 0.9) == 0.3


def test_a_throw_before_a_disc_wore_says_that_it_is_less_stable_now() -> None:
    """The same landing years ago, when the disc was new, means a less stable disc today."""
    worn = int(OWNER.fleet.wear.argmax())
    throws = tuple(replace(throw, disc_id=OWNER.fleet.ids[worn]) for throw in ALL.throws[:10])
    grade = ConditionGrade(throws[0].on - timedelta(days=1), OWNER.fleet.ids[worn], 0.0)
    later = ConditionGrade(date(2026, 1, 1), OWNER.fleet.ids[worn], 0.0)
    as_now = _learn(Evidence(throws, days=DAYS))
    as_new = _learn(Evidence(throws, condition_grades=(grade, later), days=DAYS))
    numbers = [OWNER.unknowns.printed(found.mean)[worn, 2:].sum() for found in (as_now, as_new)]
    assert numbers[1] < numbers[0] - 0.3


def test_grip_is_learnt_from_grades_and_comparisons() -> None:
    one, two = OWNER.fleet.ids[:2]
    prior = OWNER.fleet.grip
    evidence = Evidence(
        comparisons=(Comparison(FIRST_DAY, one, two, Quality.GRIP, plainly=True),),
        grip_grades=(GripGrade(FIRST_DAY, one, "cold-wet", 4.0),),
    )
    grips = _learn(evidence).grips
    moved = grips.mean - prior
    assert prior[0, 1] + 0.5 < grips.mean[0, 1] < 4.0
    assert moved[0, 0] > 0.2  # the other kinds of air follow
    assert moved[1].max() < 0.0
    assert np.abs(moved[2:]).max() < 1e-9
    assert grips.sd[0, 1] < grips.sd[2, 1]


def test_evidence_about_strangers_is_refused() -> None:
    throw = Throw(FIRST_DAY, "lost one", ALL.throws[0].line, 60.0, 0.0)
    with pytest.raises(InputError, match="'lost one', which is not among the 5 discs"):
        _learn(Evidence((throw,)))
    alone = replace(OWNER.thrower, styles=OWNER.thrower.styles[:1])
    forehand = replace(ALL.throws[0], line=Line(Style.FOREHAND, 0.0, 10.0))
    with pytest.raises(InputError, match="no forehand distance is given"):
        learn(OWNER.fleet, alone, OWNER.assume, Evidence((forehand,)))


def test_few_draws_do_not_carry_all_the_weight(beliefs: Posterior) -> None:
    assert 0.05 < effective_share(beliefs, ALL, samples=24, threads=1) <= 1.0


def test_a_prediction_is_as_wide_as_the_throws_are(beliefs: Posterior) -> None:
    throw = ALL.throws[0]
    landed = predict_landings(beliefs, throw, 400, 1, evidence=ALL)
    sharp = predict_landings(beliefs, throw, 400, 1, evidence=ALL, noted=False)
    assert landed.shape == (400, 2)
    assert (landed.std(axis=0) > sharp.std(axis=0)).all()
    assert 2.0 < landed.std(axis=0).min() < landed.std(axis=0).max() < 25.0
