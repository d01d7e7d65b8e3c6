"""What several folders of tests share: one small planned season, and the command line."""

from __future__ import annotations

import shutil
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest

import tiny_season
from rimwise.app import planning
from rimwise.cli import common, main


@dataclass(frozen=True)
class Said:
    """How a command ended and what it printed."""

    code: object
    out: str
    err: str


@pytest.fixture(scope="session")
def _seasons(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("season")
    tiny_season.planned_file(folder)
    return folder


@pytest.fixture
def season(_seasons: Path, tmp_path: Path) -> Path:
    """Return a data file of the test's own, with both seasons planned."""
    return Path(shutil.copy(_seasons / "tiny.db", tmp_path / "season.db"))


@pytest.fixture(scope="session")
def _fresh(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tiny_season.fresh_file(tmp_path_factory.mktemp("fresh"))


@pytest.fixture
def unplanned(_fresh: Path, tmp_path: Path) -> Path:
    """Return a data file of the test's own in which nothing is planned."""
    return Path(shutil.copytree(_fresh.parent, tmp_path / "unplanned")) / _fresh.name


@pytest.fixture
def rough(monkeypatch: pytest.MonkeyPatch) -> None:
    """Plan with few samples."""
    monkeypatch.setattr(planning, "Simulator", tiny_season.ROUGH)


@pytest.fixture
def cli(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Callable[..., Said]:
    """Return a function that runs the command line in this process, 80 columns wide."""

    def call(*words: object, columns: int = 80) -> Said:
        monkeypatch.setenv("COLUMNS", str(columns))
        common.console.cache_clear()  # it keeps the width it found first
        monkeypatch.setattr(sys, "argv", ["rimwise", *(str(word) for word in words)])
        capsys.readouterr()
        with pytest.raises(SystemExit) as ended:
            main.run()
        said = capsys.readouterr()
        return Said(ended.value.code, said.out, said.err)

    return call
