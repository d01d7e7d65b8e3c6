"""From rows of cells to molds, plastics and discs that fit each other and what is on file."""

from __future__ import annotations

import dataclasses
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import partial

from rimwise.records.discs import Disc, Mold, OwnGrip, Plastic, WeightRelativeTo
from rimwise.store.exchange import disc_cells
from rimwise.store.exchange.cells import number_in, text_in
from rimwise.store.exchange.collector import Collector
from rimwise.store.exchange.known import Known, fold
from rimwise.store.exchange.molds import MOLD_COLUMNS, read_molds
from rimwise.store.exchange.plastics import PlasticsOfRows
from rimwise.store.exchange.problems import Problem
from rimwise.store.exchange.tables import Column, Row
from rimwise.store.weights import weight_faults

__all__ = ["DISC_COLUMNS", "DiscsRead", "assemble"]

_GRIPS = ("cold_dry", "cold_wet", "warm_dry", "hot_sweaty")

DISC_COLUMNS = (
    Column("disc", ("name", "id", "disc name", "disc id")),
    *MOLD_COLUMNS,
    Column("plastic", ("material", "blend", "plastic type")),
    Column("weight", ("wt", "mass", "weights", "g", "oz"), ("g", "oz")),
    Column("weight_sd", ("weight uncertainty",), ("g",)),
    Column("colour", ("color", "col")),
    Column("mark", ("marks", "marking")),
    Column("run", ()),
    Column("wear", ("worn",), ("percent",)),
    Column("condition", ()),
    Column("status", ("where", "place", "location")),
    Column("cost", ("price", "paid")),
    Column("floats", ("float", "floating", "floats?")),
    *(Column(f"grip_{air}", (air.replace("_", " "),)) for air in _GRIPS),
    Column("meaning", ("means", "story")),
    Column("note", ("notes", "comment", "comments", "remark", "remarks")),
)


@dataclass(frozen=True, slots=True)
class DiscsRead:
    """What a file said.

    Parameters
    ----------
    molds, plastics
        Those not on file yet that the good rows need.
    discs
        The good rows.
    problems
        What keeps rows from being used; nothing should be saved while there are any, unless
        the user asks for the good rows.
    notices
        What the user should know all the same.
    """

    molds: tuple[Mold, ...]
    plastics: tuple[Plastic, ...]
    discs: tuple[Disc, ...]
    problems: tuple[Problem, ...]
    notices: tuple[Problem, ...]


def assemble(
    rows: Sequence[Row], units: Mapping[str, str], known: Known, collector: Collector
) -> DiscsRead:
    """Return the records of the rows, with every problem noted by its line."""
    molds = read_molds(rows, units, known, collector)
    plastics = PlasticsOfRows(known, collector)
    named = _Names(rows, known, collector)
    discs: dict[int, Disc] = {}
    for row in rows:
        mold = molds.get(fold(text_in(row.cell("mold"))))
        plastic = plastics.of_row(row)
        disc = _disc(row, units, mold, plastic, collector)
        if disc is not None and not collector.is_bad(row.line):
            discs[row.line] = named.with_id(disc, row)
    discs = _with_weights_resolved(discs, known, collector)
    used_molds = {disc.mold for disc in discs.values()}
    used_plastics = {disc.plastic for disc in discs.values()}
    on_file = {fold(mold.name) for mold in known.molds}
    plastics.note_new(used_plastics)
    problems, notices = collector.in_order()
    return DiscsRead(
        molds=tuple(
            mold for key, mold in molds.items() if key not in on_file and mold.name in used_molds
        ),
        plastics=tuple(plastic for plastic in plastics.new if plastic.name in used_plastics),
        discs=tuple(discs.values()),
        problems=problems,
        notices=notices,
    )


def _disc(
    row: Row,
    units: Mapping[str, str],
    mold: Mold | None,
    plastic: Plastic | None,
    collector: Collector,
) -> Disc | None:
    """Return the disc of one row under a name for the time being."""
    line = row.line
    sd_g = collector.attempt(line, "weight_sd", lambda: _sd_g(row))
    weight = collector.attempt(
        line,
        "weight",
        lambda: disc_cells.weight_in(row.cell("weight"), units.get("weight", ""), sd_g),
    )
    percent = "%" if units.get("wear") == "percent" and row.cell("wear")[-1:].isdigit() else ""
    wear = collector.attempt(line, "wear", lambda: disc_cells.wear_in(_wear_cell(row) + percent))
    status = collector.attempt(line, "status", lambda: disc_cells.status_in(row.cell("status")))
    cost = collector.attempt(line, "cost", lambda: disc_cells.cost_in(row.cell("cost")))
    grades = {
        air: collector.attempt(line, f"grip_{air}", partial(_grade, row, air)) for air in _GRIPS
    }
    if mold is None or plastic is None or weight is None or wear is None or status is None:
        return None
    return collector.attempt(
        line,
        "",
        lambda: Disc(
            id="unnamed",
            mold=mold.name,
            plastic=plastic.name,
            weight=weight,
            wear=wear,
            status=status,
            cost=cost,
            own_grip=OwnGrip(**grades),
            **{
                name: text_in(row.cell(name))
                for name in ("run", "colour", "mark", "condition", "meaning", "note")
            },
        ),
    )


def _sd_g(row: Row) -> float | None:
    cell = row.cell("weight_sd")
    return number_in(cell, "the sd of the weight", "3") if cell else None


def _wear_cell(row: Row) -> str:
    """Return the wear, or the condition when that is a word for wear and no wear is given."""
    condition = " ".join(row.cell("condition").lower().split())
    if not row.cell("wear") and condition in disc_cells.WEAR_WORDS:
        return condition
    return row.cell("wear")


def _grade(row: Row, air: str) -> float | None:
    return disc_cells.grade_in(row.cell(f"grip_{air}"), f"grip {air.replace('_', '-')}")


class _Names:
    """Gives each disc its own name: the owner's, or one made from mold and colour."""

    def __init__(self, rows: Sequence[Row], known: Known, collector: Collector) -> None:
        self._collector = collector
        self._on_file = {disc.id: disc for disc in known.discs}
        self._first_line: dict[str, int] = {}
        for row in rows:
            self._note_own_name(row)
        self._taken = set(self._on_file) | set(self._first_line)
        self._recognised: set[str] = set(self._first_line)
        self._next_count: dict[str, int] = {}

    def _note_own_name(self, row: Row) -> None:
        name = text_in(row.cell("disc"))
        if not name:
            return
        first = self._first_line.setdefault(name, row.line)
        if first != row.line:
            self._collector.problem(
                row.line,
                "disc",
                f"the disc '{name}' is in line {first} already",
                "give each disc a name of its own",
            )

    def with_id(self, disc: Disc, row: Row) -> Disc:
        """Return the disc under its name."""
        own = text_in(row.cell("disc"))
        if own:
            named = dataclasses.replace(disc, id=own)
            if own in self._on_file and self._on_file[own] != named:
                self._notice(
                    row,
                    f"'{own}' is on file and will be replaced",
                    "give this one another name to keep both",
                )
            return named
        same = self._same_on_file(disc)
        if same:
            self._recognised.add(same)
            self._notice(
                row, f"this is taken for '{same}' on file", "give it a name if it is another disc"
            )
            return dataclasses.replace(disc, id=same)
        made = self._made(disc)
        self._taken.add(made)
        return dataclasses.replace(disc, id=made)

    def _notice(self, row: Row, wrong: str, instead: str) -> None:
        self._collector.notice(row.line, "disc", wrong, instead)

    def _same_on_file(self, disc: Disc) -> str | None:
        """Return the disc on file that a nameless row describes again, so none is doubled."""
        for other in self._on_file.values():
            alike = (other.mold, other.plastic, other.colour, other.weight) == (
                disc.mold,
                disc.plastic,
                disc.colour,
                disc.weight,
            )
            if alike and other.id not in self._recognised:
                return other.id
        return None

    def _made(self, disc: Disc) -> str:
        parts = [re.sub(r"\W|_", "", disc.mold.lower()), *re.findall(r"\w+", disc.colour.lower())]
        stem = "-".join(part for part in parts if part) or "disc"
        count = self._next_count.get(stem, 1)
        while (name := f"{stem}-{count}" if count > 1 else stem) in self._taken:
            count += 1
        self._next_count[stem] = count
        return name


def _with_weights_resolved(
    discs: Mapping[int, Disc], known: Known, collector: Collector
) -> dict[int, Disc]:
    """Find the discs that weights are given against; note and leave out what leads nowhere."""
    spellings = {fold(disc.id): disc.id for disc in (*known.discs, *discs.values())}
    exact = set(spellings.values())

    def resolved(disc: Disc) -> Disc:
        weight = disc.weight
        if not isinstance(weight, WeightRelativeTo) or weight.disc_id in exact:
            return disc
        other = spellings.get(fold(weight.disc_id), weight.disc_id)
        return dataclasses.replace(disc, weight=dataclasses.replace(weight, disc_id=other))

    found = {line: resolved(disc) for line, disc in discs.items()}
    merged = {disc.id: disc for disc in (*known.discs, *found.values())}
    faults = weight_faults({key: _against(disc) for key, disc in merged.items()})
    for line, disc in found.items():
        if disc.id in faults:
            collector.problem(
                line,
                "weight",
                faults[disc.id],
                "write the name of a disc whose weight is given in g",
            )
    return {line: disc for line, disc in found.items() if disc.id not in faults}


def _against(disc: Disc) -> str | None:
    return disc.weight.disc_id if isinstance(disc.weight, WeightRelativeTo) else None
