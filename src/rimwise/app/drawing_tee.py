"""Draw what to throw from a lie into a file."""

from __future__ import annotations

from pathlib import Path

from rimwise.app.box import units_of
from rimwise.app.files import Written, write_whole
from rimwise.decide.tee_report import TeeReport
from rimwise.pictures.tee import tee_svg
from rimwise.store.store import Store

__all__ = ["draw_tee"]


def draw_tee(store: Store, path: Path, report: TeeReport) -> Written:
    """Draw the commonest of the days told of into an SVG file.

    Raises
    ------
    RimwiseError
        When the file cannot be written.
    """
    day = max(report.days, key=lambda one: one.share)
    return write_whole(path, tee_svg(report, day, units_of(store)))
