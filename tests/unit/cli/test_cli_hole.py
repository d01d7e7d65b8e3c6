"""The command that says what a hole asks."""

from __future__ import annotations

import json
import math

import pytest


@pytest.fixture(scope="module")
def told(tmp_path_factory) -> dict[str, object]:
    """Return what is told of hole 1 of the small season, computed once."""
    import tiny_season
    from rimwise.app.holes import tell_hole
    from rimwise.store.opening import open_store

    data = tiny_season.fresh_file(tmp_path_factory.mktemp("hole"))
    with open_store(data) as store:
        report = tell_hole(store, "1", "winter", quick=True)
    return {"data": data, "report": report}


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
