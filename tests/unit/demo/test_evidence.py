"""The invented evidence is sound, and says what its hidden truth would say."""

from __future__ import annotations

import csv
from collections import Counter
from datetime import date
from importlib import resources

import numpy as np
import pytest

from rimwise.demo import evidence
from rimwise.demo.hidden_truth import Cast, hidden_truth, stream, throw
from rimwise.records.evidence import Comparison, HoleScore, Putts, Quality, Round, Throw
from rimwise.records.thrower import Line, Style

DATA = resources.files("rimwise.demo") / "data"


def rows(name):
    return list(csv.DictReader((DATA / name).read_text(encoding="utf-8").splitlines()))


@pytest.fixture(scope="module")
def truth():
    return hidden_truth(
        (DATA / "discs.csv").read_text(encoding="utf-8"),
        (DATA / "plastics.csv").read_text(encoding="utf-8"),
    )


DISCS = {row["disc"] for row in rows("discs.csv")}
WINTER = {row["name"] for row in rows("winter.csv")}


def test_throws_are_records():
    throws = [
        Throw(
            date.fromisoformat(row["on"]), row["disc"],
            Line(Style(row["style"]), float(row["hyzer_deg"]), float(row["launch_deg"]),
                 float(row["effort"])),
            float(row["distance_m"]), float(row["left_m"]), row["conditions"], note=row["note"],
        )
        for row in rows("throws.csv")
    ]  # fmt: skip
    assert len(throws) >= 150
    assert {one.disc_id for one in throws} <= DISCS
    assert {one.conditions for one in throws} <= WINTER
    assert {one.note for one in throws} == {"invented"}
    stock = [one for one in throws if one.line.style is Style.BACKHAND and one.line.effort == 1.0]
    # A left-hander's backhand finishes to the right as he faces the basket; a forehand left.
    assert np.mean([one.left_m for one in stock]) < 0.0
    assert np.mean([one.left_m for one in throws if one.line.style is Style.FOREHAND]) > 0.0
    assert 50.0 < np.median([one.distance_m for one in stock]) < 95.0


def test_comparisons_are_records_and_mostly_right(truth):
    comparisons = [
        Comparison(date.fromisoformat(row["on"]), row["more"], row["less"],
                   Quality(row["quality"]), row["plainly"] == "yes", row["note"])
        for row in rows("comparisons.csv")
    ]  # fmt: skip
    assert len(comparisons) >= 30
    assert {name for one in comparisons for name in (one.more, one.less)} <= DISCS
    assert {one.plainly for one in comparisons} == {True, False}
    count = len(truth.ids)
    level = np.zeros(count)
    cast = Cast(np.arange(count), level, level + 10.0, level + 1.0, level > 0, level)
    rest = throw(truth, cast, evidence.FIELD_AIR).rest_m
    right_deg = np.degrees(np.arctan2(-rest[:, 1], rest[:, 0]))
    gaps = [right_deg[truth.index(one.more)] - right_deg[truth.index(one.less)]
            for one in comparisons]  # fmt: skip
    assert np.mean(np.array(gaps) > 0) > 0.8
    plainly = [gap for gap, one in zip(gaps, comparisons, strict=True) if one.plainly]
    # Felt with an error of 2°, "plainly" (6°) is wrong once in a thousand times.
    assert min(plainly) > 0


def test_putts_are_records_and_fall_off_with_distance():
    putts = [
        Putts(date.fromisoformat(row["on"]), float(row["distance_m"]), int(row["tried"]),
              int(row["made"]))
        for row in rows("putts.csv")
    ]  # fmt: skip
    made = Counter()
    for one in putts:
        made[one.distance_m] += one.made
    counts = [made[distance] for distance in sorted(made)]
    assert counts[0] > counts[2] > counts[-1]


def test_rounds_are_records_and_wind_costs_strokes():
    rounds = {}
    for row in rows("rounds.csv"):
        key = (date.fromisoformat(row["on"]), row["course"], row["conditions"])
        rounds.setdefault(key, []).append(HoleScore(row["hole"], int(row["strokes"])))
    played = [Round(on, course, tuple(scores), name) for (on, course, name), scores in
              rounds.items()]  # fmt: skip
    assert len(played) == 6
    assert {one.conditions for one in played} == WINTER

    def mean(name):
        totals = [sum(s.strokes for s in one.scores) for one in played if one.conditions == name]
        return np.mean(totals)

    assert all([s.hole for s in one.scores] == [str(n) for n in range(1, 19)] for one in played)
    assert mean("rain and a strong wind off the sea") >= mean("calm frost")
    assert 54 < mean("calm frost") < 80


def test_the_truth_is_hidden_near_the_printed_numbers(truth):
    printed = np.array(
        [[float(row[k]) for k in ("speed", "glide", "turn", "fade")] for row in rows("discs.csv")]
    )
    away = truth.printed - printed
    assert (away != 0.0).all()
    assert np.abs(away).max() < 3.5
    assert (truth.mass_kg > 0.14).all()
    assert (truth.mass_kg < 0.185).all()


def test_streams_belong_to_their_component():
    assert stream("mold", 1).random() == stream("mold", 1).random()
    assert stream("mold", 1).random() != stream("mold", 2).random()
    assert stream("mold", 1).random() != stream("disc", 1).random()


def test_one_disc_less_leaves_the_others_as_they_are(truth):
    text = (DATA / "discs.csv").read_text(encoding="utf-8").splitlines()
    fewer = hidden_truth(
        "\n".join([text[0], *text[2:]]), (DATA / "plastics.csv").read_text("utf-8")
    )
    assert np.array_equal(fewer.printed, truth.printed[1:])
