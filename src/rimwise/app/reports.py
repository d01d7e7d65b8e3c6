"""Plans and swap lists kept in the data file, so that every face shows the same."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, TypeVar, cast

from rimwise.decide.report import PlanReport, SwapReport
from rimwise.errors import NotFoundError, StoreError
from rimwise.store.store import Store

if TYPE_CHECKING:
    from pydantic import TypeAdapter

__all__ = ["load_plan", "load_swaps", "plan_names", "save_plan", "save_swaps"]

_Report = TypeVar("_Report", PlanReport, SwapReport)
_PLAN, _SWAPS, _LATEST = "plan:", "swaps:", "latest plan"
_ADAPTERS: dict[str, TypeAdapter[Any]] = {}


def save_plan(store: Store, report: PlanReport) -> None:
    """Keep the plan of its conditions; an earlier one of these conditions is replaced."""
    _save(store, _PLAN + report.conditions, report)
    store.reports.put(_LATEST, report.conditions)


def load_plan(store: Store, conditions: str | None = None) -> PlanReport:
    """Return the kept plan of these conditions, or the latest one.

    Raises
    ------
    NotFoundError
        When nothing was planned yet.
    """
    name = conditions if conditions is not None else store.reports.get(_LATEST)
    if name is None:
        raise NotFoundError("nothing is planned yet; run `rimwise plan` first.")
    kept = store.reports.get(_PLAN + name)
    if kept is None:
        raise NotFoundError(
            f"nothing is planned for {name!r} yet; run `rimwise plan {name}` first."
        )
    return _load(kept, PlanReport)


def plan_names(store: Store) -> list[str]:
    """Return the conditions that have a plan."""
    return [key.removeprefix(_PLAN) for key in store.reports.names() if key.startswith(_PLAN)]


def save_swaps(store: Store, report: SwapReport) -> None:
    """Keep the swap list between two seasons."""
    _save(store, f"{_SWAPS}{report.old}>{report.new}", report)


def load_swaps(store: Store, old: str, new: str) -> SwapReport | None:
    """Return the kept swap list, or ``None`` when it was not computed."""
    kept = store.reports.get(f"{_SWAPS}{old}>{new}")
    return None if kept is None else _load(kept, SwapReport)


def _save(store: Store, key: str, report: PlanReport | SwapReport) -> None:
    store.reports.put(key, _adapter(type(report)).dump_python(report, mode="json"))


def _adapter(kind: type) -> TypeAdapter[Any]:
    """Return what reads and writes a kind of report; to make it takes longer than to use it."""
    from pydantic import TypeAdapter

    if kind.__name__ not in _ADAPTERS:
        _ADAPTERS[kind.__name__] = TypeAdapter(kind)
    return _ADAPTERS[kind.__name__]


def _load(kept: object, kind: type[_Report]) -> _Report:
    from pydantic import ValidationError

    try:
        return cast(_Report, _adapter(kind).validate_python(kept))
    except ValidationError:
        raise StoreError(
            "a kept report was made by another version of Rimwise; run `rimwise plan` again."
        ) from None
