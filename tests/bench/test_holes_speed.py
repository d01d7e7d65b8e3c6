"""Speed of solving real holes: one anew, in full and quick, and the course by the quick sizes."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from rimwise.app.planning import Prepared, prepare
from rimwise.decide.days import Day, days_of
from rimwise.decide.posing import FULL, QUICK, Sizes
from rimwise.decide.rounds import solve_holes
from rimwise.demo.scenario import bring_demo
from rimwise.store.opening import open_store

pytestmark = pytest.mark.bench

#: An open hole, the one over the pond, and the longest.
HOLES = ("3", "6", "12")


@pytest.fixture(scope="module")
def ready(tmp_path_factory: pytest.TempPathFactory) -> tuple[Prepared, Day]:
    with open_store(tmp_path_factory.mktemp("bench") / "demo.db") as store:
        bring_demo(store)
        here = prepare(store, course=None, thrower=None, seed=1)
        weather = next(one for one in store.conditions.all() if one.name == "winter")
    day = replace(days_of(weather, here.thrower, here.assume)[1], share=1.0)
    solved(here, day, ["14"], QUICK)  # compiled after this
    return here, day


def solved(here: Prepared, day: Day, holes: list[str] | None, sizes: Sizes) -> float:
    plans = solve_holes(
        here.simulator, here.fleet, [day], here.course, here.putting, here.assume, holes=holes,
        sizes=sizes,
    )  # fmt: skip
    return sum(plan.strokes for plan in plans)


@pytest.mark.parametrize("sizes", [FULL, QUICK], ids=["full", "quick"])
@pytest.mark.parametrize("hole", HOLES)
def test_one_hole_anew(
    benchmark: Any, ready: tuple[Prepared, Day], hole: str, sizes: Sizes
) -> None:
    assert benchmark.pedantic(solved, (*ready, [hole], sizes), rounds=1) > 2.0


def test_eighteen_holes_on_one_day(benchmark: Any, ready: tuple[Prepared, Day]) -> None:
    assert benchmark.pedantic(solved, (*ready, None, QUICK), rounds=1) > 36.0
