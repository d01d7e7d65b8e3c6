"""Speed of advice from a solved hole in memory, and of what is kept from a cold start."""

from __future__ import annotations

import subprocess
import sys
from typing import Any

import numpy as np
import pytest

from rimwise.app.solving import Question, Solved, solve
from rimwise.app.tee import tell_tee
from rimwise.decide.advice import advise, lie_at
from rimwise.demo.scenario import bring_demo
from rimwise.store.opening import open_store

pytestmark = pytest.mark.bench

ASKED = Question("winter", quick=True)


@pytest.fixture(scope="module")
def kept(tmp_path_factory: pytest.TempPathFactory) -> Any:
    data = tmp_path_factory.mktemp("bench") / "demo.db"
    with open_store(data) as store:
        bring_demo(store)
        tell_tee(store, "6", ASKED)
        yield data, solve(store, "6", ASKED)


@pytest.mark.parametrize("place", [(0.0, 0.0), (50.0, -20.0)])
def test_advice_from_a_solved_hole(
    benchmark: Any, kept: tuple[Any, Solved], place: tuple[float, float]
) -> None:
    hole = kept[1].hole
    one = hole.days[1]
    lie = lie_at(one, *place)
    advice = benchmark(advise, hole, one, lie)
    assert np.isfinite(advice.strokes_to_finish)


@pytest.mark.parametrize("more", [(), ("--lie", "50m 20R")], ids=["tee", "lie"])
def test_the_command_from_a_cold_start(
    benchmark: Any, kept: tuple[Any, Solved], more: tuple[str, ...]
) -> None:
    command = [
        sys.executable, "-c", "from rimwise.cli.main import run; run()", "--data", str(kept[0]),
        "tee", "6", "winter", "--quick", "--quiet", *more,
    ]  # fmt: skip

    def run() -> subprocess.CompletedProcess[bytes]:
        return subprocess.run(command, check=True, capture_output=True)

    assert b"Hole 6" in benchmark.pedantic(run, rounds=3, warmup_rounds=1).stdout
