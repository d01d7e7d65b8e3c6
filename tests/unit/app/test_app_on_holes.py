"""Swaps, gaps and wishes on solved holes, on the small season: what is said, and what is kept."""

from __future__ import annotations

import json
from functools import partial

import pytest

from rimwise.app import planning
from rimwise.app.planned import planned_again, planned_on_holes
from rimwise.app.planning import Asked, make_plan
from rimwise.app.reports import load_swaps
from rimwise.app.swapping import make_swaps
from rimwise.app.wishing import tell_gaps, tell_wishes
from rimwise.decide import swaps
from rimwise.decide.on_holes import Holes
from rimwise.decide.posing import Sizes
from rimwise.errors import InputError
from rimwise.store.opening import open_store
from tiny_season import contents

TINY = Sizes(
    scouting=8, screening=16, choosing=32, kept=1, considered=8, best=4, nudged=0, pool=128,
    least=8, deciding=32, decided=2,
)  # fmt: skip
SOLVED = "Every hole was solved for the carry of"
WISH = "disc,mold,plastic,weight g,speed,glide,turn,fade\nw1,QQ 9,soft base,172,9,5,-2,2\n"

pytestmark = pytest.mark.usefixtures("rough", "_quickly")


@pytest.fixture
def _quickly(monkeypatch):
    monkeypatch.setattr(swaps, "SCREENED", 8)
    monkeypatch.setattr(swaps, "CHOSEN", 8)
    monkeypatch.setattr(planning, "Holes", partial(Holes, sizes=TINY))


@pytest.fixture
def store(season):
    with open_store(season) as opened:
        yield opened


@pytest.fixture
def wishes(tmp_path):
    path = tmp_path / "wish.csv"
    path.write_text(WISH)
    return path


def went_to_the_end(shares) -> bool:
    return shares == sorted(shares) and shares[-1] == pytest.approx(1.0)


def test_gaps_rest_on_the_table_of_solved_holes(store, season):
    before, shares = contents(season), []
    report = tell_gaps(store, "winter", lambda _what, share: shares.append(share), on_holes=True)
    assert went_to_the_end(shares)
    assert report.on_holes
    assert report.sentences[0].startswith(f"{SOLVED} winter")
    planned = planned_on_holes(store, "winter", lambda _what, _share: None)
    ids, table = planned.ready.fleet.ids, planned.demand
    for one in report.overlaps:
        pair = [ids.index(one.first), ids.index(one.second)]
        without = [
            table.difference([d for d in planned.carry if d != gone], planned.carry)
            for gone in pair
        ]
        assert (one.strokes, one.strokes_se) in without
    serves = table.serves(planned.carry)
    for disc in report.hardly:
        assert table.weights[serves == ids.index(disc)].sum() < 0.05
    for gap in report.gaps:
        assert "hole" in gap.words
        assert gap.saves >= 2.0 * gap.saves_se
    assert contents(season) == before


def test_wishes_rest_on_solved_holes_and_say_so(store, season, wishes):
    before, shares = contents(season), []
    report = tell_wishes(
        store, wishes, "winter", lambda _what, share: shares.append(share), on_holes=True
    )
    assert went_to_the_end(shares)
    assert report.on_holes
    assert report.sentences[1].startswith(f"{SOLVED} winter")
    by_distance = tell_wishes(store, wishes, "winter")
    assert not by_distance.on_holes
    assert not any(SOLVED in said for said in by_distance.sentences)
    assert report.wishes[0].at_first != by_distance.wishes[0].at_first
    assert contents(season) == before


def test_swaps_rest_on_the_new_seasons_holes_and_their_parts_sum_to_the_whole(store):
    shares = []
    report = make_swaps(
        store, "winter", "summer", on_holes=True, progress=lambda _what, share: shares.append(share)
    )
    assert went_to_the_end(shares)
    assert report.on_holes
    assert f"{SOLVED} summer" in report.summary
    assert load_swaps(store, "winter", "summer") == report
    planned = planned_on_holes(store, "summer", lambda _what, _share: None)
    for swap in (*report.swaps, *report.grown):
        out, into = (d and planned.ready.fleet.index(d) for d in (swap.out, swap.into))
        carry = list(planned.carry)
        before = [d for d in carry if d != into] + ([] if swap.out is None else [out])
        assert (swap.saves, swap.saves_se) == planned.demand.difference(before, carry)
        assert sum(c.strokes for c in swap.causes) == pytest.approx(swap.changed, abs=1e-12)
    assert report.swaps or report.grown


@pytest.mark.parametrize("at", [0.0, 0.4, 0.7, 0.9])
def test_stopping_anywhere_leaves_everything_as_it_was(store, season, at):
    before = contents(season)

    def stop(_what, share):
        if share >= at:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        make_swaps(store, "winter", "summer", on_holes=True, progress=stop)
    assert contents(season) == before


def test_the_disc_kept_for_putting_does_nothing_else(store):
    make_plan(store, "winter", Asked(limit=3, putting="nh3-yellow"))
    assert "nh3-yellow" in tell_gaps(store, "winter").hardly
    for again in (planned_again, planned_on_holes):
        planned = again(store, "winter", lambda _what, _share: None)
        putter = planned.ready.fleet.index("nh3-yellow")
        assert putter in planned.carry
        assert putter not in planned.demand.serves(planned.carry)


def test_a_carry_with_nothing_to_throw_is_refused_in_words(store):
    ready = planned_again(store, "winter", lambda _what, _share: None).ready
    weather = store.conditions.get("winter")
    with pytest.raises(InputError, match="nothing but the disc kept for putting"):
        ready.on_holes(weather, [1], [1], lambda _what, _share: None)


def test_the_commands_take_the_same_word_as_plan(cli, season, wishes, monkeypatch):
    def asked(*_given, on_holes, **_more):
        raise InputError(f"asked with {on_holes}.")

    for name in ("wishing.tell_gaps", "wishing.tell_wishes", "swapping.make_swaps"):
        monkeypatch.setattr(f"rimwise.app.{name}", asked)
    for words in (("gaps",), ("wish", wishes), ("swap", "winter", "summer")):
        assert "asked with True" in cli("--data", season, *words, "--on-holes").err
        assert "asked with False" in cli("--data", season, *words).err


def test_a_command_says_in_words_and_figures_that_holes_were_solved(cli, season):
    said = cli("--data", season, "gaps", "winter", "--on-holes", "--json")
    assert said.code == 0
    told = json.loads(said.out)
    assert told["on_holes"] is True
    assert told["sentences"][0].startswith(SOLVED)
