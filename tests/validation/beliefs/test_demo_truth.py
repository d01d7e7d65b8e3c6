"""Beliefs about the demo's discs against the hidden truth that its winter log was drawn from.

The demo draws its log by code of its own: other spreads, another wear, plastics that count twice,
shanks to a side, landings paced to half a metre.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from rimwise.beliefs.felt import reference_throws
from rimwise.beliefs.fleet import build_fleet
from rimwise.beliefs.imagined import felt_truth
from rimwise.beliefs.learn import learn
from rimwise.beliefs.observed import Evidence
from rimwise.beliefs.posterior import Posterior, prior_posterior
from rimwise.demo import hidden_truth
from rimwise.demo.scenario import bring_demo
from rimwise.flight.air import Air
from rimwise.records.assumptions import Assumptions
from rimwise.records.thrower import Style
from rimwise.store.opening import open_store

Floats = NDArray[np.float64]


@pytest.fixture(scope="module")
def beliefs(tmp_path_factory: pytest.TempPathFactory) -> Posterior:
    with open_store(tmp_path_factory.mktemp("truth") / "demo.db") as store:
        bring_demo(store)
        evidence = Evidence(
            tuple(throw for _, throw in store.throws.all()),
            tuple(one for _, one in store.comparisons.all()),
            days={day.name: day for named in store.conditions.all() for day in named.days},
        )
        molds = {mold.name: mold for mold in store.molds.all()}
        plastics = {plastic.name: plastic for plastic in store.plastics.all()}
        fleet = build_fleet(store.discs.all(), molds, plastics, Assumptions())
        return learn(fleet, store.throwers.all()[0], Assumptions(), evidence)


@pytest.fixture(scope="module")
def truth(beliefs: Posterior) -> Floats:
    """Finish (degrees) and reach (m) of every disc as it really is, (n, 2)."""
    data = Path(hidden_truth.__file__).parent / "data"
    discs = hidden_truth.hidden_truth(
        (data / "discs.csv").read_text("utf-8"), (data / "plastics.csv").read_text("utf-8")
    )
    ids = beliefs.unknowns.fleet.ids
    line = reference_throws(beliefs.unknowns, np.arange(1), np.zeros(1))
    same = np.ones(len(ids))
    cast = hidden_truth.Cast(
        disc=np.array([discs.index(disc) for disc in ids]),
        hyzer_deg=np.degrees(line.hyzer_rad[0]) * same,
        launch_deg=np.degrees(line.launch_rad[0]) * same,
        effort=same,
        forehand=np.zeros(len(ids), dtype=np.bool_),
        aim_deg=-hidden_truth.HEADING_BIAS_DEG * same,
    )
    x, y, _ = hidden_truth.throw(discs, cast, Air(18.0, 1013.25, 0.6)).landing_m.T
    return np.column_stack([np.degrees(np.arctan2(-y, x)), np.hypot(x, y)])  # a left-hander


def _middle(beliefs: Posterior) -> Floats:
    return felt_truth(beliefs.unknowns, beliefs.draw_unknowns(100, 1)).mean(axis=0)


def test_evidence_brings_beliefs_nearer_to_the_truth(beliefs: Posterior, truth: Floats) -> None:
    """Of discs against each other: measured, 3.6 to 1.7 degrees and 3.0 to 2.0 m."""
    learnt = (_middle(beliefs) - truth).std(axis=0)
    before = (_middle(prior_posterior(beliefs.unknowns)) - truth).std(axis=0)
    assert learnt[0] < 0.7 * before[0]
    assert learnt[1] < 0.9 * before[1]


def test_discs_are_put_in_order(beliefs: Posterior, truth: Floats) -> None:
    assert np.corrcoef(_middle(beliefs)[:, 0], truth[:, 0])[0, 1] > 0.97


def test_the_scatter_of_the_arm_is_found(beliefs: Posterior) -> None:
    """Over five parts: single ones are known less well."""
    found = beliefs.scatter[beliefs.unknowns.styles.index(Style.BACKHAND)]
    parts = [found.speed_fraction, found.launch_deg, found.hyzer_deg, found.nose_deg,
             found.heading_deg]  # fmt: skip
    ratio = np.array(parts) / hidden_truth.SPREAD
    assert np.exp(np.log(ratio).mean()) == pytest.approx(1.0, abs=0.15)
    assert 0.7 < ratio.min() < ratio.max() < 1.4
