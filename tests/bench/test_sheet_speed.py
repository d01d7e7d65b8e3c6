"""How long the sheet of eighteen holes takes to write."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

sys.path.append(str(Path(__file__).parents[1]))

import picture_examples as examples
from rimwise.pictures.sheet import sheet_html

pytestmark = pytest.mark.bench


def test_sheet_of_eighteen_holes(benchmark: BenchmarkFixture) -> None:
    plan, swaps, cart = examples.plan_report(), examples.swap_report(), examples.cart_scene()
    sheet = benchmark(lambda: sheet_html(plan, swaps=swaps, cart=cart))
    assert sheet.count('role="img"') == 18 + 1 + 4 + 1
