"""The whole job on the invented scenario, from files to the printed sheet."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from importlib import resources
from pathlib import Path

from rimwise.app.bring import bring_file
from rimwise.app.packing import PackReport, make_packing
from rimwise.app.planning import Asked, make_plan
from rimwise.app.sheets import CAUTIONS, INVENTED, write_sheet
from rimwise.app.swapping import make_swaps
from rimwise.decide.demand import Progress
from rimwise.decide.report import PlanReport, SwapReport
from rimwise.errors import StoreError
from rimwise.store.opening import open_store
from rimwise.store.store import Store

__all__ = ["DEMO_DAY", "DEMO_FILES", "DemoShown", "bring_demo", "run_demo"]

#: The scenario's files in the order of import.
DEMO_FILES = (
    "plastics.csv",
    "discs.csv",
    "course.osm",
    "winter.csv",
    "summer.csv",
    "thrower.json",
    "cart.json",
    "throws.csv",
    "comparisons.csv",
    "putts.csv",
    "rounds.csv",
)

#: The day on which the invented player looks back at the winter; its log ends before.
DEMO_DAY = date(2026, 4, 1)


@dataclass(frozen=True, slots=True)
class DemoShown:
    """What the demo did and where its files are."""

    brought: tuple[str, ...]
    plans: tuple[PlanReport, ...]
    swaps: SwapReport
    packing: PackReport
    cautions: tuple[str, ...]
    sheet: str
    data: str


def run_demo(
    folder: Path, *, seed: int = 1, progress: Progress = lambda _what, _share: None
) -> DemoShown:
    """Import the scenario, plan both seasons, find the swaps, pack the cart, write the sheet.

    The data file in ``folder`` is made anew each time, so that the demo starts fresh.

    Raises
    ------
    StoreError
        When the folder cannot be made or written, or holds a data file that is no demo.
    """
    data = _fresh_file(folder)
    with open_store(data) as store:
        brought = bring_demo(store)
        winter = make_plan(
            store, "winter", Asked(), seed=seed, progress=_part(progress, "winter, ", 0.0, 0.35)
        )
        summer = make_plan(
            store,
            "summer",
            Asked(keep="winter"),
            seed=seed,
            progress=_part(progress, "summer, ", 0.35, 0.35),
        )
        swaps = make_swaps(store, "winter", "summer", progress=_part(progress, "", 0.7, 0.3))
        packing = make_packing(store, "summer")
        written = write_sheet(store, folder / "sheet.html", conditions="summer", since="winter")
    return DemoShown(
        brought=brought,
        plans=(winter, summer),
        swaps=swaps,
        packing=packing,
        cautions=CAUTIONS,
        sheet=written.path,
        data=str(data),
    )


def _part(progress: Progress, before: str, start: float, share: float) -> Progress:
    return lambda what, done: progress(before + what, start + share * done)


def _fresh_file(folder: Path) -> Path:
    data = folder / "demo.db"
    try:
        folder.mkdir(parents=True, exist_ok=True)
        if data.exists():
            with open_store(data) as store:
                invented = bool(store.settings.get(INVENTED, False)) or not store.discs.all()
            if not invented:
                raise StoreError(
                    f"{data} holds records that are not the demo's; choose another folder "
                    "with --out."
                )
            for ending in ("", "-wal", "-shm"):
                data.with_name(data.name + ending).unlink(missing_ok=True)
    except OSError as error:
        raise StoreError(
            f"the folder {folder} cannot be written ({error.strerror}); choose another with --out."
        ) from None
    return data


def bring_demo(store: Store) -> tuple[str, ...]:
    """Import the scenario's files, all or none, and mark the records as invented."""
    source = resources.files("rimwise.demo") / "data"
    with store.atomic(), resources.as_file(source) as folder:
        store.settings.put(INVENTED, True)
        return tuple(
            bring_file(store, Path(folder) / name, today=DEMO_DAY).words for name in DEMO_FILES
        )
