"""Speed of the whole plan: the demo's discs, its 18 holes and both seasons, warmed up."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from rimwise.app.planning import Asked, make_plan
from rimwise.app.swapping import make_swaps
from rimwise.demo.scenario import bring_demo
from rimwise.store.opening import open_store
from rimwise.store.store import Store

pytestmark = pytest.mark.bench

DAY = date(2026, 11, 25)


@pytest.fixture(scope="module")
def store(tmp_path_factory: pytest.TempPathFactory) -> Any:
    with open_store(tmp_path_factory.mktemp("bench") / "demo.db") as opened:
        bring_demo(opened)
        make_plan(opened, "winter", Asked(), on=DAY)  # compiled and cached after this
        yield opened


def plan_both(store: Store) -> None:
    make_plan(store, "winter", Asked(), on=DAY)
    make_plan(store, "summer", Asked(keep="winter"), on=DAY)


def test_plan_of_two_seasons(benchmark: Any, store: Store) -> None:
    benchmark.pedantic(plan_both, (store,), rounds=1)


def test_swaps_and_their_causes(benchmark: Any, store: Store) -> None:
    make_plan(store, "summer", Asked(keep="winter"), on=DAY)
    report = benchmark.pedantic(make_swaps, (store, "winter", "summer"), rounds=1)
    assert report.course == "Invented Heath"
