"""A data file small enough to plan in a second: six discs of the demo, two holes, one day each.

The left-handed player and the cart are the demo's own. Sample sizes are cut, so figures here are
rough on purpose; tests look at what is said and saved, not at how good the carry is.
"""

from __future__ import annotations

import csv
import io
import os
import sqlite3
import subprocess
import sys
from functools import partial
from importlib import resources
from pathlib import Path

import pytest

from rimwise.app import planning
from rimwise.app.bring import bring_many
from rimwise.app.planning import Asked, make_plan
from rimwise.app.swapping import make_swaps
from rimwise.decide.clouds import Simulator
from rimwise.store.opening import open_store

DEMO = Path(str(resources.files("rimwise.demo") / "data"))
#: Two putters, two mid-ranges, two drivers; one of them in slick plastic.
DISCS = ("nh3-white-1", "nh3-yellow", "kv15-red", "ol17-white", "nh27-blue", "nh27-gold")
SIZES = {"screening": 16, "choosing": 16, "reporting": 16}
ROUGH = partial(Simulator, **SIZES)

COURSE = "hole,length (m),par\n1,62,3\n2,84,3\n"
WINTER = (
    "name,weight,temperature_c,pressure_hpa,relative_humidity,wind_speed_m_s,wind_from_deg,"
    "wet,ground\nraw,1,3,1000,0.9,6,230,yes,wet\n"
)
SUMMER = WINTER.replace("raw,1,3,1000,0.9,6,230,yes,wet", "warm,1,28,1015,0.4,0,0,no,hard")

#: Runs the command line with few samples, as another process does.
_ROUGH_RUN = (
    "from functools import partial; from rimwise.app import planning; "
    f"planning.Simulator = partial(planning.Simulator, **{SIZES}); "
    "from rimwise.cli.main import run; run()"
)
_PLAIN_RUN = "from rimwise.cli.main import run; run()"


def write_files(folder: Path, discs: tuple[str, ...] = DISCS) -> list[Path]:
    """Write the files of the season and return their paths."""
    with (DEMO / "discs.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.reader(file))
    text = io.StringIO()
    csv.writer(text, lineterminator="\n").writerows(
        row for row in rows if row[0] == "disc" or row[0] in discs
    )
    written = {
        "discs.csv": text.getvalue(),
        "course.csv": COURSE,
        "winter.csv": WINTER,
        "summer.csv": SUMMER,
    }
    for name, content in written.items():
        (folder / name).write_text(content, encoding="utf-8")
    for name in ("plastics.csv", "thrower.json", "cart.json"):
        (folder / name).write_bytes((DEMO / name).read_bytes())
    return sorted(folder.iterdir())


def fresh_file(folder: Path, discs: tuple[str, ...] = DISCS) -> Path:
    """Make a data file of the season in ``folder``; nothing is planned."""
    source = folder / "files"
    source.mkdir()
    data = folder / "tiny.db"
    with open_store(data) as store:
        bring_many(store, write_files(source, discs))
    return data


def planned_file(folder: Path) -> Path:
    """Make a data file with both seasons planned and the swaps between them found."""
    data = fresh_file(folder)
    with pytest.MonkeyPatch.context() as patch, open_store(data) as store:
        patch.setattr(planning, "Simulator", ROUGH)
        make_plan(store, "winter", Asked(limit=4), seed=7)
        make_plan(store, "summer", Asked(limit=4, keep="winter"), seed=7)
        make_swaps(store, "winter", "summer")
    return data


def rimwise(
    *words: str | Path, env: dict[str, str] | None = None, rough: bool = True
) -> subprocess.CompletedProcess[str]:
    """Run the command line in another process."""
    return subprocess.run(
        command(*words, rough=rough),
        capture_output=True,
        text=True,
        encoding="utf-8",
        timeout=120,
        env=os.environ | {"COLUMNS": "80"} | (env or {}),
        check=False,
    )


def command(*words: str | Path, rough: bool = True) -> list[str]:
    """Return the command line as another process gets it."""
    code = _ROUGH_RUN if rough else _PLAIN_RUN
    return [sys.executable, "-c", code, *(str(word) for word in words)]


def contents(data: Path) -> list[str]:
    """Return everything in a data file as text, to see whether something was saved.

    Digests are left out: they are kept when something is read.
    """
    connection = sqlite3.connect(data)
    try:
        said = connection.iterdump()
        return [line for line in said if not line.startswith('INSERT INTO "digests"')]
    finally:
        connection.close()
