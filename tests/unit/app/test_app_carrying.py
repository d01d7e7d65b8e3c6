"""Planning and what follows from a plan: reasons, swaps, packing, the sheet."""

from __future__ import annotations

import json

import pytest

from rimwise.app import planning
from rimwise.app.explaining import explain
from rimwise.app.packing import make_packing
from rimwise.app.planning import Asked, make_plan
from rimwise.app.reports import load_plan, load_swaps, plan_names
from rimwise.app.sheets import sheet_of
from rimwise.app.showing import change_disc
from rimwise.app.starting import start
from rimwise.app.swapping import make_swaps
from rimwise.errors import InputError, StoreError
from rimwise.store.opening import open_store
from tiny_season import DISCS, contents

pytestmark = pytest.mark.usefixtures("rough")


@pytest.fixture
def store(season):
    with open_store(season) as opened:
        yield opened


# -- planning ------------------------------------------------------------------------------


def test_wishes_are_kept(store):
    asked = Asked(limit=3, must=("ol17-white",), never=("gold",), at_least=(("mid", 2),))
    plan = make_plan(store, "summer", asked, seed=7)
    assert len(plan.chosen) <= 3
    assert {"ol17-white", "kv15-red"} <= set(plan.chosen)
    assert "nh27-gold" not in plan.chosen


def test_every_disc_goes_or_stays_once_and_is_told(store):
    plan = load_plan(store, "winter")
    goes = [purpose.disc_id for purpose in plan.purposes]
    stays = [left.disc_id for left in plan.left]
    assert sorted(goes + stays) == sorted(DISCS)
    assert sorted(goes) == sorted(plan.chosen)
    assert {left.instead for left in plan.left} <= set(goes)


def test_a_price_for_each_disc_makes_the_carry_small(store):
    dear = make_plan(store, "winter", Asked(limit=6, price=5.0, at_least=()), seed=7)
    assert len(dear.chosen) == 1


def test_the_kept_plan_is_the_printed_one(cli, season):
    said = cli("--data", season, "plan", "winter", "--limit", "3", "--json")
    with open_store(season) as opened:
        kept = load_plan(opened, "winter")
        assert load_plan(opened) == kept  # now the latest
        carry = opened.carries.all()[-1][1]
    (printed,) = json.loads(said.out)
    assert tuple(printed["chosen"]) == kept.chosen
    assert carry.disc_ids == kept.chosen
    assert printed["strokes_carry"] == kept.strokes_carry == carry.strokes_per_round
    assert tuple(printed["summary"]) == kept.summary


def test_without_a_name_every_season_is_planned_in_turn(cli, unplanned):
    said = cli("--data", unplanned, "plan", "--limit", "4", "--json")
    assert [plan["conditions"] for plan in json.loads(said.out)] == ["summer", "winter"]
    with open_store(unplanned) as opened:
        assert sorted(plan_names(opened)) == ["summer", "winter"]


def test_stopping_between_table_and_choice_saves_nothing(cli, unplanned, monkeypatch):
    def stop(*_words, **_more):
        raise KeyboardInterrupt

    before = contents(unplanned)
    monkeypatch.setattr(planning, "choose_carry", stop)
    said = cli("--data", unplanned, "plan", "winter")
    assert (said.code, said.out, said.err) == (1, "", "rimwise: Stopped; nothing was changed.\n")
    assert contents(unplanned) == before


def test_a_plan_of_another_version_is_said_to_be_one(store):
    store.reports.put("plan:winter", {"chosen": 3})
    with pytest.raises(StoreError, match="run `rimwise plan` again"):
        load_plan(store, "winter")


# -- reasons -------------------------------------------------------------------------------


def test_the_latest_plan_is_explained_in_a_sentence_for_each_disc(store):
    reasons = explain(store, None)
    assert [reason.goes for reason in reasons] == sorted(
        (reason.goes for reason in reasons), reverse=True
    )
    assert {reason.disc_id for reason in reasons} == set(DISCS)
    assert all(reason.words and reason.words == reason.words.strip() for reason in reasons)
    stays = [reason for reason in reasons if not reason.goes]
    assert all("does its work" in reason.words for reason in stays)


def test_one_disc_is_explained_with_its_jobs_and_what_it_means(cli, season):
    with open_store(season) as opened:
        chosen = load_plan(opened, "winter").chosen
    said = cli("--data", season, "why", chosen[0], "--for", "winter")
    assert said.out.startswith(f"{chosen[0]} goes. ")
    assert "\n  tee of hole" in said.out or "\n  approach of hole" in said.out
    meaning = " ".join(cli("--data", season, "why", "nh27-blue").out.split())
    assert meaning.endswith("What it means to you: old friend.")


def test_reasons_are_in_feet_for_who_thinks_in_feet(store):
    start(store, None, "ft")
    told = " ".join(job for reason in explain(store, None) for job in reason.jobs)
    assert " ft, " in told
    assert " m, " not in told


# -- swaps ---------------------------------------------------------------------------------


def test_swaps_turn_one_carry_into_the_other(store):
    report = load_swaps(store, "winter", "summer")
    old, new = set(load_plan(store, "winter").chosen), set(load_plan(store, "summer").chosen)
    out = {swap.out for swap in report.swaps} - {None}
    into = {swap.into for swap in report.swaps} - {None}
    assert (out, into) == (old - new, new - old)
    assert len(report.sentences) == len(report.swaps)
    assert "winter" in report.summary


def test_a_season_turned_back_swaps_back(store):
    there = load_swaps(store, "winter", "summer")
    back = make_swaps(store, "summer", "winter")
    assert {s.out for s in there.swaps} == {s.into for s in back.swaps}
    assert load_swaps(store, "summer", "winter") == back


def test_plans_of_two_throwers_are_not_compared(store, cli):
    cli("--data", store.path, "init", "--name", "Another", "--fairway", "80m")
    make_plan(store, "summer", Asked(limit=4), seed=7)
    with pytest.raises(InputError, match="for Invented player and summer for Another"):
        make_swaps(store, "winter", "summer")


@pytest.mark.parametrize("words", [("certify", "winter"), ("gaps", "winter"), ("how-many",)])
def test_a_plan_of_somebody_who_is_gone_asks_to_plan_again(store, cli, words):
    cli("--data", store.path, "init", "--name", "Another", "--fairway", "80m")
    said = cli("--data", store.path, *words, *(["--resolve"] if words == ("how-many",) else []))
    assert said.code == 1
    assert "for 'Invented player', which is not on file any more; run `rimwise plan" in said.err


# -- packing and the sheet -----------------------------------------------------------------


def test_every_carried_disc_lies_in_one_pocket_with_room(store):
    report = make_packing(store, "winter")
    packed = [disc for pocket in report.pockets for disc in pocket.discs]
    assert sorted(packed) == sorted(load_plan(store, "winter").chosen)
    assert all(len(pocket.discs) <= pocket.room for pocket in report.pockets)
    # A cart no slope was named for still says where it falls.
    assert min(report.backward_deg, report.forward_deg, report.left_deg, report.right_deg) > 0
    assert report.caution


def test_a_slope_that_is_asked_for_is_stood(store):
    easy = make_packing(store, "winter", backward_deg=1.0)
    assert easy.backward_deg >= 1.0
    with pytest.raises(InputError):
        make_packing(store, "winter", backward_deg=60.0)


def test_the_sheet_of_a_disc_with_a_hostile_name_shows_it_as_text(store):
    change_disc(store, "nh27-blue", "colour=<img src=x onerror=alert(1)>")
    make_plan(store, "winter", Asked(limit=6, must=("nh27-blue",)), seed=7)
    sheet = sheet_of(store, "winter")
    assert "<img" not in sheet
    assert "&lt;img src=x" in sheet


def test_a_sheet_is_the_same_on_the_page_and_in_the_file(cli, season, tmp_path):
    out = tmp_path / "sheet.html"
    said = cli("--data", season, "sheet", "summer", "--since", "winter", "--out", out)
    assert said.code == 0
    assert str(out) in said.out.replace("\n", "")
    with open_store(season) as opened:
        assert out.read_text("utf-8") == sheet_of(opened, "summer", "winter")
