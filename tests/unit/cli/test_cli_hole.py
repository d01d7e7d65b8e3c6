"""The commands that say what a hole asks, what to throw from it, and which discs it costs."""

from __future__ import annotations

import json
import math
import shutil
from pathlib import Path

import pytest

from rimwise.app.solving import Question

ASKED = Question("winter", quick=True)


@pytest.fixture(scope="module")
def told(tmp_path_factory) -> dict[str, object]:
    """Return what is told of hole 1 of the small season, solved once and kept in its file."""
    import tiny_season
    from rimwise.app.holes import tell_hole
    from rimwise.app.tee import tell_tee
    from rimwise.store.opening import open_store

    data = tiny_season.fresh_file(tmp_path_factory.mktemp("hole"))
    with open_store(data) as store:
        return {
            "data": data,
            "report": tell_hole(store, "1", ASKED),
            "tee": tell_tee(store, "1", ASKED),
        }


@pytest.fixture
def own(told, tmp_path: Path) -> Path:
    """Return a copy of the file for a test that changes it."""
    return Path(shutil.copy(told["data"], tmp_path / "own.db"))


def test_chances_of_scores_agree_with_their_mean_and_spread(told):
    report = told["report"]
    chances = dict(report.chances)
    told_of = sum(chances.values())
    assert 0.98 < told_of <= 1.0 + 1e-9  # scores rarer than one in 200 are not told
    mean = sum(score * share for score, share in chances.items()) / told_of
    assert mean == pytest.approx(report.mean_score, abs=0.05)
    square = sum((score - mean) ** 2 * share for score, share in chances.items()) / told_of
    assert math.sqrt(square) == pytest.approx(report.score_sd, rel=0.1)
    assert 2.0 < report.mean_score < 5.0
    assert report.strokes >= report.mean_score - 1e-9  # a lost disc costs, and never gives


def test_the_throw_from_the_tee_is_told_with_its_chances(told):
    throws = told["report"].throws
    assert len(throws) == 4  # a hole known by its length: the wind from around the compass
    assert sum(throw.share for throw in throws) == pytest.approx(1.0)
    for throw in throws:
        for share in (throw.putt_next, throw.again, throw.penalty, throw.trees, throw.gone):
            assert 0.0 <= share <= 1.0
        assert throw.putt_next + throw.again <= 1.0 + 1e-9
        assert throw.disc
        assert "putt next" in throw.risks


def test_the_command_says_it_and_cautions(cli, told):
    said = cli("--data", told["data"], "hole", "1", "winter", "--quick", "--quiet")
    assert (said.code, said.err) == (0, "")
    text = said.out.replace("\n", " ")
    assert "From the tee" in text
    assert "in range" in text
    told_json = json.loads(
        cli("--data", told["data"], "hole", "1", "winter", "--quick", "--quiet", "--json").out
    )
    assert told_json["hole"] == "1"
    assert told_json["strokes"] == pytest.approx(told["report"].strokes)


def test_an_unknown_hole_is_refused_in_one_sentence(cli, told):
    said = cli("--data", told["data"], "hole", "99", "winter", "--quiet")
    assert said.code == 1
    assert "99" in said.err
    assert "Traceback" not in said.err


# -- what to throw -----------------------------------------------------------------------------


def test_the_tee_is_told_with_its_risks_and_cautions(cli, told):
    said = cli("--data", told["data"], "tee", "1", "winter", "--quick", "--quiet")
    assert (said.code, said.err) == (0, "")
    text = " ".join(said.out.split())
    for words in ("Of 100 such throws", "aim", "give or take", "in range", "lightning", "wade"):
        assert words in text
    shown = json.loads(
        cli("--data", told["data"], "tee", "1", "winter", "--quick", "--quiet", "--json").out
    )
    first = shown["days"][0]["choices"][0]
    assert first["strokes"] == told["tee"].days[0].choices[0].strokes
    assert first["putt_next"] + first["again"] == pytest.approx(1.0)
    assert len(first["dots"]) == 50


def test_hole_and_tee_tell_the_same_first_throw(told):
    for throw, day in zip(told["report"].throws, told["tee"].days, strict=True):
        first = day.choices[0]
        assert (throw.disc, throw.line, throw.aim) == (first.disc_label, first.line, first.aim)
        assert throw.putt_next == first.putt_next


def test_a_lie_is_told_and_drawn(cli, told, tmp_path):
    picture = tmp_path / "lie.svg"
    words = ("--data", told["data"], "tee", "1", "winter", "--quick", "--quiet")
    said = cli(*words, "--lie", "20m 5L", "--picture", picture)
    assert (said.code, said.err) == (0, "")
    assert "20 m out, 5 m left of the line" in " ".join(said.out.split())
    assert "you" in picture.read_text("utf-8")


@pytest.mark.parametrize(
    ("lie", "says"),
    [
        ("over there", "is no place"),
        ("900m", "too far"),
        ("54.12345, -2.34567", "is on no map"),
    ],
)
def test_a_lie_that_is_none_is_refused_in_one_sentence(cli, told, lie, says):
    said = cli("--data", told["data"], "tee", "1", "winter", "--quick", "--quiet", "--lie", lie)
    assert said.code == 1
    assert says in " ".join(said.err.split())
    assert "Traceback" not in said.err


def test_a_putt_is_told_as_one(cli, told):
    words = ("tee", "1", "winter", "--quick", "--quiet", "--lie", "60m")
    text = " ".join(cli("--data", told["data"], *words).out.split())
    assert "Putt: a putt from here goes in" in text


def test_a_day_that_is_none_is_refused_with_those_there_are(cli, told):
    said = cli("--data", told["data"], "tee", "1", "winter", "--quick", "--quiet", "--day", "storm")
    assert said.code == 1
    assert "'raw'" in said.err


# -- kept on file ------------------------------------------------------------------------------


@pytest.fixture
def no_solver(monkeypatch):
    """Let nothing be solved."""
    from rimwise.app import solving

    def refuse(*_args, **_named):
        raise AssertionError("it was solved again")

    monkeypatch.setattr(solving, "solve_holes", refuse)


def test_what_is_kept_is_read_and_tells_the_same(told, own, no_solver):
    from rimwise.app.holes import tell_hole
    from rimwise.app.solving import solve
    from rimwise.app.tee import advice_on, tell_tee
    from rimwise.store.opening import open_store

    with open_store(own) as store:
        assert tell_hole(store, "1", ASKED) == told["report"]
        assert tell_tee(store, "1", ASKED) == told["tee"]
        assert advice_on(solve(store, "1", ASKED)) == told["tee"]


def changes():
    from rimwise.app.box import set_assumption
    from rimwise.store.store import Store

    def worn(store: Store) -> None:
        from dataclasses import replace

        disc = store.discs.all()[0]
        store.discs.put(replace(disc, wear=0.9))

    def windier(store: Store) -> None:
        from dataclasses import replace

        days = store.conditions.get("winter")
        day = replace(days.days[0], wind_speed_m_s=9.0)
        store.conditions.put(replace(days, days=(day, *days.days[1:])))

    return {
        "assumption": lambda store: set_assumption(store, "penalty_strokes", 1.5),
        "disc": worn,
        "weather": windier,
    }


@pytest.mark.parametrize("change", ["assumption", "disc", "weather"])
def test_what_is_kept_is_not_told_after_a_change(own, no_solver, change):
    from rimwise.app.tee import tell_tee
    from rimwise.store.opening import open_store

    with open_store(own) as store:
        changes()[change](store)
        with pytest.raises(AssertionError, match="solved again"):
            tell_tee(store, "1", ASKED)


def test_a_quick_answer_does_not_stand_for_a_full_one_nor_some_discs_for_all(own, no_solver):
    from rimwise.app.tee import tell_tee
    from rimwise.store.opening import open_store

    with open_store(own) as store:
        for other in (
            Question("winter"),
            Question("winter", quick=True, discs=("kv15-red",)),
            Question("winter", quick=True, seed=2),
        ):
            with pytest.raises(AssertionError, match="solved again"):
                tell_tee(store, "1", other)


def test_only_the_discs_named_are_thrown(own):
    from rimwise.app.tee import tell_tee
    from rimwise.store.opening import open_store

    with open_store(own) as store:
        report = tell_tee(store, "1", Question("winter", quick=True, discs=("kv15-red",)))
    assert report.discs == 1
    assert {c.disc_id for day in report.days for c in day.choices} == {"kv15-red"}


def test_the_discs_a_round_costs_are_told_by_disc_and_hole(cli, own):
    said = cli("--data", own, "risk", "winter", "--quick", "--quiet", "--json")
    assert said.code == 0
    report = json.loads(said.out)
    assert sum(disc["lost"] for disc in report["discs"]) == pytest.approx(report["lost"])
    assert sum(hole["lost"] for hole in report["holes"]) == pytest.approx(report["lost"])
    assert {hole["hole"] for hole in report["holes"]} == {"1", "2"}
    text = " ".join(cli("--data", own, "risk", "winter", "--quick", "--quiet").out.split())
    assert "a round costs" in text
    assert "Never wade" in text
