"""Putting against published make rates.

Vehtari (2026), disc putting case study: angular accuracy about 1.0 degree for top men and 1.4
degrees for top women, catch radius 0.25 m. The rates in ``authorities/putting.csv`` are a
pooled refit of that form. Rows whose status is "memory" are assumptions and never a target.
"""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.optimize import least_squares
from scipy.stats import rayleigh

from rimwise.beliefs.putting import CATCH_CHANCE, CATCH_RADIUS_M, PuttingModel

TABLE = Path(__file__).parent / "authorities" / "putting.csv"
#: Published angular accuracy, degrees, and the half distance fitted to the rates, metres.
HANDS = {"top men": PuttingModel(1.0, 16.9), "top women": PuttingModel(1.4, 13.6)}
#: The rates are themselves a refit; this is what two hands and one form leave.
WITHIN = 0.008


def rates() -> list[dict[str, str]]:
    lines = [line for line in TABLE.read_text().splitlines() if not line.startswith("#")]
    return [row for row in csv.DictReader(lines) if row["status"] != "memory"]


@pytest.mark.parametrize("row", rates(), ids=lambda r: f"{r['group']} {r['distance_m']} m")
def test_published_make_rate(row: dict[str, str]) -> None:
    made = float(HANDS[row["group"]].make_probability(float(row["distance_m"])))
    assert made == pytest.approx(float(row["make_probability"]), abs=WITHIN)


def test_the_table_has_published_rows_of_both_groups() -> None:
    assert {row["group"] for row in rates()} == set(HANDS)


def test_the_constants_are_the_fit_that_they_say_they_are() -> None:
    """SciPy's least squares over both half distances and the catch chance."""

    def misfit(free: NDArray[np.float64]) -> list[float]:
        halves = dict(zip(HANDS, free[:2], strict=True))
        return [
            free[2]
            * float(
                PuttingModel(HANDS[row["group"]].sd_deg, halves[row["group"]]).make_probability(
                    float(row["distance_m"])
                )
            )
            / CATCH_CHANCE
            - float(row["make_probability"])
            for row in rates()
        ]

    fit = least_squares(misfit, [17.0, 14.0, 0.98])
    assert fit.x[:2] == pytest.approx([hand.half_m for hand in HANDS.values()], abs=0.1)
    assert fit.x[2] == pytest.approx(CATCH_CHANCE, abs=0.002)


@pytest.mark.parametrize("sd_deg", [1.0, 1.4, 2.2])
def test_direction_is_rayleigh(sd_deg: float) -> None:
    """SciPy's Rayleigh distribution, at distances where length plays no part."""
    distance = np.array([1.0, 2.0, 3.0])
    angle = np.degrees(np.arctan(CATCH_RADIUS_M / distance))
    made = PuttingModel(sd_deg, 60.0).make_probability(distance)
    assert made == pytest.approx(CATCH_CHANCE * rayleigh.cdf(angle, scale=sd_deg), rel=1e-5)
