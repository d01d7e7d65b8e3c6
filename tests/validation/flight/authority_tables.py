"""Read a published table kept in ``authorities``: comment lines start with ``#``."""

from __future__ import annotations

import csv
from pathlib import Path

AUTHORITIES = Path(__file__).parents[1] / "authorities"


def read_table(name: str) -> list[dict[str, str]]:
    lines = (AUTHORITIES / name).read_text(encoding="utf-8").splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))
