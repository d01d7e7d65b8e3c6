"""The page of the reference says what its numbers say."""

from __future__ import annotations

import runpy
from datetime import date
from pathlib import Path

import numpy as np
import pytest

TOOL = runpy.run_path(str(Path(__file__).parents[3] / "tools" / "compare_with_rigid.py"))
WOBBLES = np.tile([0.2, 0.02, 0.5], (10, 3, 1))


def throws(apart_without_m: np.ndarray, descent_deg: float = 20.0) -> list[object]:
    """Throws all alike but for their distances; 5 mm with the nod."""
    return [
        TOOL["Compared"](0.005, apart, 0.0, 0.45, 10.0, 22.0, 3.0, descent_deg, 0.02, 4.0, 0.025)
        for apart in apart_without_m.tolist()
    ]


def test_percentiles_and_shares_are_those_of_the_throws() -> None:
    text = TOOL["page"](throws(np.arange(101) / 400), WOBBLES, 7, date(2026, 1, 2))
    assert "2026-01-02" in text
    assert "from 101 throws" in text
    assert "(seed 7)" in text
    assert "took 25 ms" in text
    row = "0.1250 | 0.2250 | 0.2375 | 0.2475 | 0.2498 | 0.2500 | 39.60%"  # 61 to 100 of 101
    assert f"| without it | {row} |" in text
    assert "With the nod no throw lands beyond 0.15 m." in text
    assert "Without the nod 40 of 101 land beyond 0.15 m, by 0.05 m" in text
    assert "| 0.2 | 0.200 (0.200) | 0.020 (0.020) | 0.500 (0.500) |" in text


@pytest.mark.parametrize(("descent_deg", "share"), [(5.0, "100%"), (20.0, "0%")])
def test_flat_landings_are_counted(descent_deg: float, share: str) -> None:
    some = throws(np.full(4, 0.2), descent_deg) + throws(np.full(4, 0.1))
    assert f"{share} of them come down less steeply" in TOOL["far_sentence"](some)


def test_empty_classes_have_no_row() -> None:
    rows = TOOL["class_rows"](throws(np.full(4, 0.2))).splitlines()
    assert len(rows) == len(TOOL["CLASSES"])
    assert all("| 4 | 0.0050 | 0.0050 | 0.0050 | 100.0% |" in row for row in rows)
