"""The whole demo, with few samples: files in, plans, swaps, packing, sheet out."""

from __future__ import annotations

from functools import partial

import pytest

from rimwise.app import planning
from rimwise.decide import swaps
from rimwise.decide.clouds import Simulator
from rimwise.demo.scenario import run_demo
from rimwise.errors import StoreError
from rimwise.store.opening import open_store

VERY_ROUGH = partial(Simulator, screening=4, choosing=8, reporting=8)


@pytest.fixture(scope="module")
def shown(tmp_path_factory):
    folder = tmp_path_factory.mktemp("demo") / "out"
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(planning, "Simulator", VERY_ROUGH)
        patch.setattr(swaps, "SCREENED", 4)
        told = []
        result = run_demo(folder, progress=lambda what, share: told.append((what, share)))
    return folder, result, told


def test_the_demo_brings_what_it_says(shown):
    _, result, _ = shown
    assert any("34 discs" in sentence for sentence in result.brought)
    assert any("18 holes" in sentence for sentence in result.brought)
    assert any("170 new throws" in sentence for sentence in result.brought)
    assert [plan.conditions for plan in result.plans] == ["winter", "summer"]


def test_both_carries_keep_the_limit_and_hold_putters(shown):
    _, result, _ = shown
    for plan in result.plans:
        assert 0 < len(plan.chosen) <= 20
        assert sum(plan.disc(disc).role == "putter" for disc in plan.chosen) >= 2
        assert len(plan.holes) == 18
        assert {p.disc_id for p in plan.purposes} == set(plan.chosen)
        assert not {left.disc_id for left in plan.left} & set(plan.chosen)
        assert all(gap < 1e-6 for _, _, gap in plan.criteria)


def test_swaps_lead_from_one_carry_to_the_other(shown):
    _, result, _ = shown
    winter, summer = (set(plan.chosen) for plan in result.plans)
    out = {swap.out for swap in result.swaps.swaps if swap.out}
    into = {swap.into for swap in result.swaps.swaps if swap.into}
    assert (winter - out) | into == summer
    assert len(result.swaps.sentences) == len(result.swaps.swaps)


def test_every_carried_disc_is_packed_once(shown):
    _, result, _ = shown
    packed = [disc for pocket in result.packing.pockets for disc in pocket.discs]
    assert sorted(packed) == sorted(result.plans[1].chosen)
    assert result.packing.stands


def test_sheet_and_data_file_are_there_and_say_they_are_invented(shown):
    folder, _, _ = shown
    assert "invented" in (folder / "sheet.html").read_text(encoding="utf-8")
    with open_store(folder / "demo.db") as store:
        assert len(store.carries) == 2
        assert store.settings.get("invented") is True


def test_progress_rises_to_its_end(shown):
    _, _, told = shown
    shares = [share for _, share in told]
    assert shares == sorted(shares)
    assert shares[-1] == pytest.approx(1.0)


def test_the_demo_leaves_other_peoples_records_alone(tmp_path, unplanned):
    (tmp_path / "demo.db").write_bytes(unplanned.read_bytes())
    before = (tmp_path / "demo.db").read_bytes()
    with pytest.raises(StoreError, match="holds records that are not the demo's"):
        run_demo(tmp_path)
    assert (tmp_path / "demo.db").read_bytes() == before


def test_a_folder_that_cannot_be_made_is_said(tmp_path):
    (tmp_path / "file").write_text("", encoding="utf-8")
    with pytest.raises(StoreError, match="cannot be written"):
        run_demo(tmp_path / "file" / "out")
