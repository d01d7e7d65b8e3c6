"""Putting as a use case: what is fitted, what plans take from it, and what is said."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

import numpy as np
import pytest

from rimwise.app.box import set_assumption
from rimwise.app.planning import Asked, make_plan, prepare
from rimwise.app.putting import (
    CAUTION,
    draw_putting,
    first_putts_of,
    make_putting,
    putting_model,
)
from rimwise.beliefs.putting import PuttingModel
from rimwise.errors import InputError, NotFoundError
from rimwise.records.assumptions import Assumptions
from rimwise.records.evidence import Putts, Weather
from rimwise.store.opening import open_store
from rimwise.store.store import Store

DAY = date(2026, 5, 1)


def log(store: Store, *counts: tuple[float, int, int], on: date = DAY, **more: object) -> None:
    for distance_m, made, tried in counts:
        store.putts.add(Putts(on, distance_m, tried, made, **more))  # type: ignore[arg-type]


def test_without_putts_plans_take_the_throwers_own_spread(unplanned: Path) -> None:
    with open_store(unplanned) as store:
        ready = prepare(store, course=None, thrower=None, seed=1)
        assert ready.putting == PuttingModel(ready.thrower.putting_sd_deg)


def test_with_putts_plans_take_the_fit(unplanned: Path) -> None:
    with open_store(unplanned) as store:
        log(store, (4.0, 38, 40), (7.0, 30, 40))
        ready = prepare(store, course=None, thrower=None, seed=1)
        assert ready.putting == putting_model(store, ready.thrower, Assumptions())
        assert ready.putting.sd_deg < 0.7 * ready.thrower.putting_sd_deg
        assert ready.putting.sd_deg == pytest.approx(make_putting(store).sd_deg[0])


def test_a_better_putter_plans_fewer_strokes(season: Path, rough: None) -> None:
    with open_store(season) as store:
        before = make_plan(store, "winter", Asked(limit=4), seed=7)
        log(store, (4.0, 395, 400), (7.0, 330, 400), (10.0, 240, 400))
        after = make_plan(store, "winter", Asked(limit=4), seed=7)
        assert after.strokes_carry < before.strokes_carry - 0.3


def test_first_putts_are_one_a_hole_and_kept_with_the_plan(season: Path, rough: None) -> None:
    with open_store(season) as store:
        ready = prepare(store, course=None, thrower=None, seed=7)
        demand = ready.demand(store.conditions.get("winter"), lambda _what, _share: None)
        first = first_putts_of(demand, range(len(ready.fleet)))
        assert first.sum() == pytest.approx(2.0)  # the course has two holes
        within = max(value.putt_within_m for value in demand.values)
        assert not first[int(np.ceil(within)) :].any()
        assert make_putting(store, plan="winter").first_putts == "as planned for winter"
        planned = make_putting(store, plan="winter", practice=60).practice
        assert planned is not None
        assert 2.0 < planned.strokes < 8.0


def test_while_nothing_is_planned_the_usual_first_putts_count(unplanned: Path) -> None:
    with open_store(unplanned) as store:
        report = make_putting(store)
        assert "18 first putts, most often from about 6 m (an assumption)" in report.first_putts
        near = report.worths
        set_assumption(store, "first_putt_m", 10.0)
        far = make_putting(store).worths
        assert far[0].per_round < near[0].per_round
        assert far[-1].per_round > near[-1].per_round


def test_a_plan_that_is_not_there_is_said(unplanned: Path) -> None:
    with open_store(unplanned) as store, pytest.raises(NotFoundError, match="rimwise plan autumn"):
        make_putting(store, plan="autumn")


def test_without_a_thrower_it_says_what_to_do(tmp_path: Path) -> None:
    with open_store(tmp_path / "empty.db") as store, pytest.raises(InputError, match="init"):
        make_putting(store)


def test_wind_comes_from_the_putts_or_from_the_day_they_name(unplanned: Path) -> None:
    """The tiny season's winter day is called "raw" and has 6 m/s."""
    with open_store(unplanned) as store:
        log(store, (4.0, 300, 400), (7.0, 140, 400))
        log(store, (4.0, 200, 400), (7.0, 60, 400), conditions="raw")
        named = make_putting(store)
        assert named.wind_learned > 0.5
        assert any("your putts say much about it" in line for line in named.sentences)
        for number, putt in store.putts.all():
            wind = Weather(wind_m_s=6.0) if putt.conditions else Weather()
            store.putts.replace(number, replace(putt, conditions="", weather=wind))
        noted = make_putting(store)
        assert noted.wind_deg_per_m_s == pytest.approx(named.wind_deg_per_m_s)
        for number, putt in store.putts.all():
            store.putts.replace(number, replace(putt, weather=Weather()))
        unknown = make_putting(store)
        assert unknown.wind_learned < 0.01
        assert any("that is an assumption" in line for line in unknown.sentences)


def test_the_report_says_what_it_knows(unplanned: Path) -> None:
    with open_store(unplanned) as store:
        nothing = make_putting(store)
        assert "no putts yet" in nothing.sentences[0]
        assert nothing.check is None
        assert nothing.practice is None
        for evening in range(4):
            log(store, (3.0, 18, 20), (6.0, 9, 20), on=date(2026, 5, 1 + 7 * evening))
        report = make_putting(store, practice=60)
    assert (report.putts, report.made, report.evenings) == (160, 108, 4)
    assert report.sentences[0] == "You have logged 160 putts on 4 evenings and made 108."
    assert report.sd_deg[1] < report.sd_deg[0] < report.sd_deg[2]
    assert [circle.radius_m for circle in report.circles] == [10.0, 20.0]
    assert report.circles[0].at_edge < report.circles[0].inside
    assert report.circles[1].inside < report.circles[0].inside
    at_edge = report.curve.made[report.curve.distance_m.index(10.0)]
    assert report.circles[0].at_edge == pytest.approx(at_edge)
    assert report.practice is not None
    assert sum(spot.putts for spot in report.practice.spots) == 60
    assert report.check is not None
    assert report.caution == CAUTION
    assert "72 of 80 from 3 m" in report.picture


def test_uneven_evenings_are_said(unplanned: Path) -> None:
    with open_store(unplanned) as store:
        for evening in range(6):
            made = 20 if evening % 2 else 8
            log(store, (4.0, made, 20), (6.0, made // 2, 20), on=date(2026, 5, 1 + evening))
        report = make_putting(store)
    assert report.dispersion > 1.5
    assert any("as much as luck alone" in line for line in report.sentences)


def test_it_is_drawn_in_the_owners_units(unplanned: Path, tmp_path: Path) -> None:
    with open_store(unplanned) as store:
        store.settings.put("units", "ft")
        log(store, (5.0, 10, 20))
        report = make_putting(store)
    written = draw_putting(report, tmp_path / "putting.svg")
    text = Path(written.path).read_text("utf-8")
    assert "circle of 33 ft" in text
    assert "10/20" in text
    assert any("33 ft" in line for line in report.sentences)
