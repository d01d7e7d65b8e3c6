"""Solved holes kept in the data file: solved once, then read until something they rest on changes.

What is kept is as :mod:`rimwise.decide.solved` cuts it down, with a fingerprint of everything it
was computed from: discs, evidence, thrower, course, conditions, assumptions, seed and version.
"""

from __future__ import annotations

import base64
import hashlib
import io
from collections.abc import Callable, Sequence
from dataclasses import dataclass, fields, replace
from typing import Any, TypeVar

import numpy as np
from numpy.typing import NDArray

from rimwise import __version__
from rimwise.app.box import assumptions_of, available_discs, disc_named, pick, units_of
from rimwise.app.planning import Prepared, prepare
from rimwise.app.reports import load_plan
from rimwise.beliefs.arm import ArmStyle
from rimwise.beliefs.fleet import Fleet
from rimwise.beliefs.putting import PuttingModel
from rimwise.decide.clouds import Draws, Simulator
from rimwise.decide.days import Day, days_of
from rimwise.decide.fresh import Policy
from rimwise.decide.posing import FULL, QUICK, pose
from rimwise.decide.rounds import Progress, solve_holes
from rimwise.decide.skies import light_sky
from rimwise.decide.solved import Pool, SolvedDay, SolvedHole, solved_of
from rimwise.errors import InputError
from rimwise.records.assumptions import Assumptions
from rimwise.records.conditions import Conditions
from rimwise.records.courses import Course
from rimwise.records.thrower import Thrower
from rimwise.records.words import Units
from rimwise.store.store import Store

__all__ = ["Question", "Solved", "forget_solved", "kept_telling", "solve", "solve_many"]

#: Raise it when what is kept changes its form or its meaning.
_FORM = 2
_KEPT, _TOLD = "solved:", "told:"
_Report = TypeVar("_Report")
#: Everything that beliefs about discs, arm and putts rest on.
_BELIEFS = (
    "comparisons", "condition_grades", "discs", "grip_grades", "knocks", "molds", "plastics",
    "putts", "rounds", "throwers", "throws",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Question:
    """Which hole is asked about, and with what.

    Parameters
    ----------
    conditions, course, thrower
        By name; the only one on file when not given.
    discs
        Only these, by name; all available ones when not given.
    carry
        Only the discs of the latest plan for these conditions.
    quick
        A third of the work will do.
    """

    conditions: str | None = None
    course: str | None = None
    thrower: str | None = None
    discs: tuple[str, ...] = ()
    carry: bool = False
    quick: bool = False
    printed: bool = False
    seed: int = 1


@dataclass(frozen=True, slots=True, eq=False)
class Solved:
    """A solved hole with what its telling needs.

    Parameters
    ----------
    on_file
        Whether it was read rather than computed.
    """

    hole: SolvedHole
    course: Course
    conditions: Conditions
    units: Units
    on_file: bool


def solve(
    store: Store, ref: str, asked: Question, progress: Progress = lambda _what, _share: None
) -> Solved:
    """Return a solved hole: read where it is on file and nothing changed, computed and kept else.

    Raises
    ------
    RimwiseError
        When something is missing or there is no such hole.
    """
    return solve_many(store, [ref], asked, progress)[0]


def solve_many(
    store: Store,
    refs: Sequence[str] | None,
    asked: Question,
    progress: Progress = lambda _what, _share: None,
) -> list[Solved]:
    """Return several solved holes, all of the course when none are named.

    Those that are not on file are solved together, which flies every disc once for them all,
    and are kept when all are done; stopping earlier keeps nothing of them.

    Raises
    ------
    RimwiseError
        When something is missing or there is no such hole.
    """
    given = _Given.of(store, asked)
    wanted = [given.course.hole(ref).ref for ref in refs or [h.ref for h in given.course.holes]]
    found = {ref: given.read(store, ref) for ref in wanted}
    missing = [ref for ref in wanted if found[ref] is None]
    if missing:
        progress("learning from your throws", 0.0)
        ready = prepare(
            store, course=given.course.name, thrower=given.thrower.name, seed=asked.seed,
            printed=asked.printed,
        )  # fmt: skip
        fleet = _only(ready.fleet, given.discs)
        plans = solve_holes(
            ready.simulator, fleet, days_of(given.conditions, ready.thrower, ready.assume),
            ready.course, ready.putting, ready.assume, holes=missing,
            sizes=QUICK if asked.quick else FULL, progress=progress,
        )  # fmt: skip
        with store.atomic():
            for plan in plans:
                solved = solved_of(ready.simulator, fleet, plan)
                given.keep(store, ready, solved)
                found[plan.hole.ref] = solved
    units = units_of(store)
    return [
        Solved(one, given.course, given.conditions, units, ref not in missing)
        for ref in wanted
        if (one := found[ref]) is not None
    ]


def kept_telling(
    store: Store,
    ref: str,
    asked: Question,
    kind: type[_Report],
    tell: Callable[[Solved], _Report],
    progress: Progress = lambda _what, _share: None,
) -> _Report:
    """Return what is told of a solved hole: as kept, where nothing changed, or told and kept now.

    Reading it back needs neither simulator nor solver.

    Parameters
    ----------
    kind, tell
        The report, a frozen dataclass of plain values, and how it is made.
    """
    from pydantic import TypeAdapter

    given, units = _Given.of(store, asked), units_of(store)
    key = f"{_TOLD}{kind.__name__}:{given.key(given.course.hole(ref).ref)}"
    kept: Any = store.reports.get(key)
    if kept is not None and given.fits(kept) and kept["units"] == units:
        return TypeAdapter(kind).validate_python(kept["report"])
    report = tell(solve(store, ref, asked, progress))
    told = TypeAdapter(kind).dump_python(report, mode="json")
    stamp = {"fingerprint": given.fingerprint, "quick": asked.quick, "units": units}
    store.reports.put(key, stamp | {"report": told})
    return report


def forget_solved(store: Store) -> None:
    """Drop all solved holes from the file; they are computed again when asked for."""
    for key in store.reports.names():
        if key.startswith((_KEPT, _TOLD)):
            store.reports.delete(key)


def _only(fleet: Fleet, discs: Sequence[str]) -> Fleet:
    if not discs:
        return fleet
    return fleet.subset([fleet.index(disc) for disc in sorted(set(discs))])


# -- what a solved hole rests on ---------------------------------------------------------------


@dataclass(frozen=True, slots=True, eq=False)
class _Given:
    """The records that a question is about, and their fingerprint."""

    asked: Question
    course: Course
    conditions: Conditions
    thrower: Thrower
    assume: Assumptions
    discs: tuple[str, ...]
    fingerprint: str

    @classmethod
    def of(cls, store: Store, asked: Question) -> _Given:
        conditions = pick(store.conditions, "conditions", asked.conditions)
        course = pick(store.courses, "course", asked.course)
        thrower = pick(store.throwers, "thrower", asked.thrower)
        assume = assumptions_of(store)
        discs = _discs_of(store, asked, conditions.name)
        said = hashlib.sha256()
        rests_on = (
            _FORM, __version__, repr(conditions), repr(course), repr(thrower), repr(assume),
            discs, asked.seed, asked.printed, store.digest(_BELIEFS),
        )  # fmt: skip
        said.update(repr(rests_on).encode())
        return cls(asked, course, conditions, thrower, assume, discs, said.hexdigest())

    def read(self, store: Store, ref: str) -> SolvedHole | None:
        kept: Any = store.reports.get(_KEPT + self.key(ref))
        if kept is None or not self.fits(kept):
            return None
        return _decoded(kept, self.course, ref, self.assume)

    def keep(self, store: Store, ready: Prepared, solved: SolvedHole) -> None:
        kept = _encoded(solved, ready.putting, ready.simulator.learnt_arms)
        kept |= {"fingerprint": self.fingerprint, "quick": self.asked.quick}
        store.reports.put(_KEPT + self.key(solved.hole.ref), kept)

    def fits(self, kept: Any) -> bool:
        """Say whether what is kept answers the question: nothing changed, and enough work."""
        return kept["fingerprint"] == self.fingerprint and (self.asked.quick or not kept["quick"])

    def key(self, ref: str) -> str:
        """Return the name under which a hole is kept."""
        which = "carry" if self.asked.carry else "some" if self.asked.discs else "all"
        return f"{which}:{self.thrower.name}:{self.course.name}:{self.conditions.name}:{ref}"


def _discs_of(store: Store, asked: Question, conditions: str) -> tuple[str, ...]:
    """Return the names of the discs that may be thrown; none stands for all that are available."""
    if asked.discs and asked.carry:
        raise InputError("say either which discs or the carry, not both.")
    if asked.carry:
        named = load_plan(store, conditions).chosen
    else:
        named = tuple(disc_named(store, name).id for name in asked.discs)
    able = {disc.id for disc in available_discs(store)}
    gone = [disc for disc in named if disc not in able]
    if gone:
        status = store.discs.get(gone[0]).status
        raise InputError(
            f"{gone[0]} is {status} and cannot be thrown; leave it out, plan again, or change it "
            f"with `rimwise discs --set {gone[0]} status=home`."
        )
    return tuple(sorted(set(named)))


# -- to the file and back ----------------------------------------------------------------------


def _encoded(solved: SolvedHole, putting: PuttingModel, arms: Sequence[ArmStyle]) -> dict[str, Any]:
    """Return plain values: words and single numbers as they are, arrays packed as text."""
    from pydantic import TypeAdapter

    fleet = solved.fleet
    words = {
        item.name: list(getattr(fleet, item.name))
        for item in fields(Fleet)
        if isinstance(getattr(fleet, item.name), tuple)
    }
    arrays: dict[str, NDArray[Any]] = {
        f"fleet.{item.name}": getattr(fleet, item.name)
        for item in fields(Fleet)
        if item.name not in words
    }
    for name, pool in (("choosing", solved.choosing), ("reporting", solved.reporting)):
        arrays[f"{name}.printed"] = pool.printed.astype(np.float32)
        arrays[f"{name}.mass_kg"] = pool.mass_kg.astype(np.float32)
        arrays[f"{name}.discs"] = pool.discs
        for item in fields(Draws):
            arrays[f"{name}.draws.{item.name}"] = getattr(pool.draws, item.name)
    days = []
    for n, one in enumerate(solved.days):
        policy = one.policy
        arrays |= {
            f"{n}.actions": policy.actions.astype(np.float32),
            f"{n}.decide": policy.decide.astype(np.float32),
            f"{n}.middles": policy.sky.middles.astype(np.float32),
            f"{n}.pair": policy.sky.pair,
            f"{n}.cost": one.cost.astype(np.float32),
            f"{n}.offers": one.offers,
            f"{n}.chances": one.chances,
            f"{n}.lost": one.lost,
        }
        day = TypeAdapter(Day).dump_python(one.day, mode="json")
        told = {"share": one.share, "strokes": one.strokes, "strokes_se": one.strokes_se}
        lattice = policy.problem.lattice
        days.append(
            {"day": day, "wind_rad": policy.problem.wind_rad, "cell_m": lattice.cell_m, **told}
        )
    simulator = solved.simulator
    return {
        "thrower": TypeAdapter(Thrower).dump_python(simulator.thrower, mode="json"),
        "arms": TypeAdapter(list[ArmStyle]).dump_python(list(arms), mode="json"),
        "putting": [putting.sd_deg, putting.half_m],
        "seed": simulator.seed,
        "strokes_se": solved.strokes_se,
        "fleet": words,
        "days": days,
        "arrays": _packed(arrays),
    }


def _decoded(kept: Any, course: Course, ref: str, assume: Assumptions) -> SolvedHole:
    from pydantic import TypeAdapter

    arrays = _unpacked(kept["arrays"])
    thrower = TypeAdapter(Thrower).validate_python(kept["thrower"])
    arms = tuple(TypeAdapter(list[ArmStyle]).validate_python(kept["arms"]))
    simulator = Simulator(thrower, assume, seed=kept["seed"], learnt_arms=arms)
    columns: dict[str, Any] = {name: tuple(values) for name, values in kept["fleet"].items()}
    columns |= {
        name.removeprefix("fleet."): values
        for name, values in arrays.items()
        if name.startswith("fleet.")
    }
    fleet = Fleet(**columns)
    putting = PuttingModel(*kept["putting"])
    hole = course.hole(ref)
    days = []
    for n, said in enumerate(kept["days"]):
        day = TypeAdapter(Day).validate_python(said["day"])
        problem = pose(
            course, hole, fleet, day, simulator.bases, putting, assume, cell_m=said["cell_m"],
            left_handed=thrower.hand == "left",
        )  # fmt: skip
        problem = replace(problem, wind_rad=said["wind_rad"])
        sky = light_sky(arrays[f"{n}.middles"].astype(np.float64), arrays[f"{n}.pair"])
        policy = Policy(
            problem,
            arrays[f"{n}.actions"].astype(np.float64),
            arrays[f"{n}.decide"].astype(np.float64),
            sky,
        )
        days.append(
            SolvedDay(
                day=day, share=said["share"], policy=policy,
                cost=arrays[f"{n}.cost"].astype(np.float64), offers=arrays[f"{n}.offers"],
                strokes=said["strokes"], strokes_se=said["strokes_se"],
                chances=arrays[f"{n}.chances"], lost=arrays[f"{n}.lost"],
            )
        )  # fmt: skip
    choosing, reporting = (_pool(arrays, name) for name in ("choosing", "reporting"))
    return SolvedHole(hole, simulator, fleet, tuple(days), choosing, reporting, kept["strokes_se"])


def _pool(arrays: dict[str, NDArray[Any]], name: str) -> Pool:
    return Pool(
        draws=Draws(**{f.name: arrays[f"{name}.draws.{f.name}"] for f in fields(Draws)}),
        discs=arrays[f"{name}.discs"],
        printed=arrays[f"{name}.printed"].astype(np.float64),
        mass_kg=arrays[f"{name}.mass_kg"].astype(np.float64),
    )


def _packed(arrays: dict[str, NDArray[Any]]) -> str:
    buffer = io.BytesIO()
    named: dict[str, Any] = arrays
    np.savez_compressed(buffer, **named)
    return base64.b64encode(buffer.getvalue()).decode("ascii")


def _unpacked(text: str) -> dict[str, NDArray[Any]]:
    with np.load(io.BytesIO(base64.b64decode(text)), allow_pickle=False) as file:
        return {name: file[name] for name in file.files}
