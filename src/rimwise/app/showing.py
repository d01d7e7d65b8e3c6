"""Show: what the owner has, as plain lines."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from rimwise.app.box import assumptions_of, disc_named
from rimwise.app.wearing import remember_wear
from rimwise.beliefs.fleet import resolve_weight
from rimwise.errors import InputError
from rimwise.records.discs import GRIP_WORDS, Disc, Status, role_of
from rimwise.store.exchange.disc_cells import weight_in
from rimwise.store.exchange.evidence_scope import RETIRED_ON
from rimwise.store.exchange.problems import CellError
from rimwise.store.store import Store

__all__ = ["DiscRow", "change_disc", "disc_rows"]

#: What may be changed on a disc with one word.
_CHANGEABLE = (
    "status", "weight", "wear", "colour", "mark", "note", "meaning", "condition", "run", "cost",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class DiscRow:
    """One disc as listed."""

    disc_id: str
    mold: str
    plastic: str
    role: str
    printed: tuple[float, float, float, float]
    weight_g: float
    weight_sd_g: float
    colour: str
    wear: float
    status: str
    grip: str
    grip_grades: tuple[float, float, float, float]
    note: str


def disc_rows(store: Store, *, everything: bool = False) -> tuple[DiscRow, ...]:
    """List the available discs, or all of them, by role and then by mold."""
    assumptions_of(store)  # a broken setting is better told here than in the middle of a plan
    molds = {mold.name: mold for mold in store.molds.all()}
    plastics = {plastic.name: plastic for plastic in store.plastics.all()}
    discs = {disc.id: disc for disc in store.discs.all()}
    rows = []
    for disc in discs.values():
        if not (everything or disc.status.available):
            continue
        printed = molds[disc.mold].printed
        grams, sd = resolve_weight(disc, discs)
        grip = disc.own_grip.over(plastics[disc.plastic].grip)
        grades = (grip.cold_dry, grip.cold_wet, grip.warm_dry, grip.hot_sweaty)
        rows.append(
            DiscRow(
                disc_id=disc.id,
                mold=disc.mold,
                plastic=disc.plastic,
                role=role_of(printed),
                printed=(printed.speed, printed.glide, printed.turn, printed.fade),
                weight_g=grams,
                weight_sd_g=sd,
                colour=disc.colour,
                wear=disc.wear,
                status=str(disc.status),
                grip=", ".join(GRIP_WORDS[round(grade)] for grade in grades),
                grip_grades=grades,
                note=disc.note,
            )
        )
    return tuple(sorted(rows, key=lambda row: (row.printed[0], row.mold, row.disc_id)))


def change_disc(store: Store, name: str, change: str, today: date | None = None) -> Disc:
    """Change one thing about a disc: "status=lost", "wear=0.6"; "note=" leaves it empty.

    A disc that is retired ``today`` is remembered with that day, for evidence; so is its wear.

    Raises
    ------
    RimwiseError
        When the disc is not known or the change cannot be made.
    """
    field, equals, value = change.partition("=")
    if field not in _CHANGEABLE or not equals:
        raise InputError(
            f"{change!r} changes nothing; write one of {', '.join(_CHANGEABLE)}, "
            "an equals sign and the new value, as in status=lost."
        )
    disc = disc_named(store, name)
    changed = _changed(disc, field, value.strip())
    with store.atomic():
        store.discs.put(changed)
        if field == "wear" and today is not None:
            remember_wear(store, [disc.id], today)
        if field == "status" and today is not None:
            _remember_retirement(store, disc, changed, today)
    return changed


def _remember_retirement(store: Store, before: Disc, after: Disc, today: date) -> None:
    """Keep since when a disc is retired; forget it when it is thrown again."""
    days = store.settings.get(RETIRED_ON, {})
    if after.status is not Status.RETIRED:
        days.pop(after.id, None)
    elif before.status is not Status.RETIRED:
        days[after.id] = today.isoformat()
    store.settings.put(RETIRED_ON, days)


def _changed(disc: Disc, field: str, value: str) -> Disc:
    if field == "status":
        told = {"home": Status.HOME, "car": Status.CAR, "practice": Status.PRACTICE}
        statuses = {status.value: status for status in Status} | told
        if value not in statuses:
            raise InputError(
                f"status must be one of {', '.join(s.value for s in Status)}, but is {value!r}."
            )
        return replace(disc, status=statuses[value])
    if field == "weight":
        try:
            return replace(disc, weight=weight_in(value, ""))
        except CellError as error:
            raise InputError(f"{error.wrong}; {error.instead}.") from None
    if field == "wear":
        wrong = f"wear goes from 0 (new) to 1 (beaten in), but is {value!r}."
        return replace(disc, wear=_number(value, wrong))
    if field == "cost":
        wrong = f"cost is a number such as 18, or nothing, but is {value!r}."
        return replace(disc, cost=_number(value, wrong) if value else None)
    changes: dict[str, Any] = {field: value}
    return replace(disc, **changes)


def _number(text: str, wrong: str) -> float:
    try:
        return float(text.replace(",", "."))
    except ValueError:
        raise InputError(wrong) from None
