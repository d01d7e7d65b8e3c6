"""Read a published table kept in ``authorities``: comment lines start with ``#``."""

from __future__ import annotations

import csv
from pathlib import Path

from rimwise.flight.aero import Aero

AUTHORITIES = Path(__file__).parents[1] / "authorities"


def read_table(name: str) -> list[dict[str, str]]:
    lines = (AUTHORITIES / name).read_text(encoding="utf-8").splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))


def coefficient_sets() -> dict[str, Aero]:
    """Return the published coefficients of catch discs, by name of the set."""
    columns = ("CL0", "CLa", "CD0", "CDa", "alpha0_rad", "CM0", "CMa", "CMq", "CLp", "CNr")
    return {
        row["set"]: Aero(*(float(row[name]) for name in columns))
        for row in read_table("coefficient_sets.csv")
    }
