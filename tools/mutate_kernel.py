"""Change the flight kernel in one place at a time and see whether a check notices.

Its parts are the preparation of flights, the steps and landings, and the paths.

Usage: ``python tools/mutate_kernel.py [--every N] [--only LINE] [--workers N]`` (or
``make mutate``)

The kernel is run as plain Python, without the compiler, on flights chosen to reach all of
it: both sides, stall, raw and dimensionless damping, wind with and without a profile, higher
and lower ground, paths, and flights cut off in the air. A mutant is noticed ("killed") when it
raises, does not end, or lands, turns or spins elsewhere than SciPy's DOP853 on the equations of
``rimwise.flight.reference``, or has another arcsine or logarithm than NumPy. The kernel itself
must pass first. Survivors are printed; which of them matter is said in ``docs/validation.md``.
"""

from __future__ import annotations

import argparse
import ast
import copy
import multiprocessing
import signal
import sys
import types
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numba
import numpy as np

import rimwise.flight
from rimwise.flight import kernel as compiled_kernel
from rimwise.flight.aero import Aero
from rimwise.flight.body import Body
from rimwise.flight.fly import fly_many
from rimwise.flight.printed import Printed, aero_from_printed
from rimwise.flight.reference import Damping, Surroundings, fly_reference
from rimwise.flight.release import Release
from rimwise.flight.wind import Wind

#: The kernel's files; one that uses another comes after it.
PARTS = ("_paths", "_prepare", "kernel")
FOLDER = Path(str(compiled_kernel.__file__)).parent
FINE_POINTS = 1501
LONGEST_S = 30
#: A mutant may be off by this many times what the kernel itself is off by, and some more.
TIMES_OFF, MORE_OFF = 1.5, np.array([5e-4, 1e-3, 2e-4, 1e-2, 2e-4, 5e-4, 5e-4])
MEASURES = ("position m", "velocity m/s", "axis", "spin rad/s", "time s", "apex m", "sides m")

Flown = dict[str, np.ndarray]


# -- flights that reach all of the kernel ------------------------------------------------------


@dataclass(frozen=True)
class Case:
    """One flight, and the time at which it is cut off if it is."""

    aero: Aero
    body: Body
    release: Release
    density_kg_m3: float = 1.2
    wind: Wind | None = None
    ground_z_m: float = 0.0


def cases() -> list[Case]:
    """Return the flights; short ones where possible, because plain Python is slow."""
    driver, putter = (
        (aero_from_printed(Printed(*numbers)), Body.from_printed_speed(numbers[0], 0.17))
        for numbers in ((11.0, 5.0, -3.0, 2.0), (2.0, 3.0, 0.0, 1.0))
    )
    catch = Aero(0.13, 3.09, 0.085, 3.3, -0.052, -0.01, 0.057, -0.014, -0.013, -3.41e-5)
    catch_body = Body(0.175, 0.2694, 0.002352, 0.001219)
    steep = replace(catch, cm0=-0.08, cm_alpha=0.43)
    throw = Release(24.0, 100.0, 0.12, 0.15, 0.02, 0.1, 1.3)
    left = replace(throw, hand="left", heading_rad=-0.2, hyzer_rad=-0.3)
    gale, draught = Wind(8.0, 130.0, roughness_m=0.05), Wind(5.0, 250.0, roughness_m=0.0)
    sea = Wind(9.0, 20.0, roughness_m=0.003)
    slow = replace(throw, speed_m_s=9.0, spin_rad_s=45.0)
    return [
        Case(*driver, throw),
        Case(*driver, left, 1.1, gale),
        Case(*putter, slow, 1.2, draught, -1.5),
        Case(*putter, replace(slow, launch_rad=0.6, height_m=0.0), 1.0, gale, -3.0),
        Case(catch, catch_body, Release(14.0, 50.0, 0.105, 0.0, 0.087, height_m=1.0), 1.23),
        Case(catch, catch_body, Release(12.0, 60.0, 0.3, -0.4, -0.1), 1.23, draught),
        Case(*driver, replace(slow, launch_rad=1.2, nose_rad=0.3)),  # stalls and slides back
        Case(*driver, replace(slow, launch_rad=-0.3, nose_rad=1.0), 1.2, gale),  # a brake
        Case(*driver, replace(slow, launch_rad=0.3, nose_rad=-1.1), 1.2, gale),  # pressed down
        Case(*driver, replace(slow, launch_rad=0.3, nose_rad=-0.65)),  # between stalled and not
        Case(*driver, replace(slow, launch_rad=0.3, nose_rad=0.65)),
        Case(*driver, replace(slow, hyzer_rad=-2.4, launch_rad=0.7)),  # overhead
        Case(*driver, replace(slow, wobble_rad=0.4), 1.2, draught),
        Case(catch, catch_body, replace(slow, wobble_rad=0.3, nose_rad=0.1), 1.23, gale),
        Case(*putter, replace(slow, launch_rad=0.5), 1.2, gale, 1.9),  # onto a terrace
        Case(*putter, replace(slow, height_m=0.0, launch_rad=0.1), 1.2, sea),
        Case(*putter, replace(slow, launch_rad=0.3), 1.2, None, 30.0),  # which it never reaches
        Case(*driver, replace(slow, spin_rad_s=6.0)),  # hardly a gyroscope
        Case(replace(driver[0], cm_q_s=-0.01, cn_r_n_m_s=-2e-5), driver[1], slow),
        Case(replace(driver[0], cm_q=0.0, cl_p=0.0, cl_p_s=-0.02), driver[1], slow, 0.9),
        Case(replace(driver[0], plate_cn=0.6), driver[1], replace(slow, nose_rad=0.8)),
        Case(*putter, replace(slow, launch_rad=-1.2, height_m=0.4)),  # down at once
        # Turned as fast as the model lets a disc turn, first from below and then from above.
        Case(steep, catch_body, Release(25.0, 5.0, 0.0, 0.2, 0.4, height_m=1.0), 1.23),
        Case(steep, catch_body, Release(25.0, 5.0, 0.3, 0.2, -0.5, height_m=1.0), 1.23),
    ]


def fillers(count: int) -> list[Case]:
    """Short flights that make lanes take more than one: to both sides first, then straight."""
    putter = aero_from_printed(Printed(3.0, 3.0, -1.0, 1.0)), Body.from_printed_speed(3.0, 0.17)
    drop = Release(6.0, 40.0, -0.4, 0.0, 0.0, height_m=0.8)
    aims = [0.5 * (-1.0) ** k if k < count // 2 else 0.0 for k in range(count)]
    return [Case(*putter, replace(drop, heading_rad=aim)) for aim in aims]


def fly(some: list[Case], points: int) -> Flown:
    """Fly cases with the kernel that is in place now."""
    with np.errstate(all="ignore"):
        flights = fly_many(
            [c.aero for c in some], [c.body for c in some], [c.release for c in some],
            np.array([c.density_kg_m3 for c in some]),
            [c.wind or Wind(0.0, 0.0, roughness_m=0.0) for c in some],
            ground_z_m=np.array([c.ground_z_m for c in some]),
            path_points=points, threads=1,
        )  # fmt: skip
    return {
        "position m": np.concatenate([flights.landing_m[:, None], flights.path_m], axis=1),
        "velocity m/s": flights.landing_velocity_m_s,
        "axis": np.concatenate([flights.landing_axis[:, None], flights.path_axis], axis=1),
        "spin rad/s": np.column_stack([flights.landing_spin_rad_s, flights.path_spin_rad_s]),
        "time s": flights.hang_s,
        "apex m": flights.apex_m,
        "sides m": np.stack([flights.leftmost_m, flights.rightmost_m], axis=1),
        "landed": flights.landed,
    }


def reference(case: Case, cap_s: float, points: int) -> Flown:
    """Fly one case with DOP853; what :func:`fly` returns, for one flight."""
    wind = case.wind or Wind(0.0, 0.0, roughness_m=0.0)
    east, north = wind.vector_10m_m_s
    scene = Surroundings(
        case.density_kg_m3, north, -east, wind.roughness_m, ground_z_m=case.ground_z_m
    )
    flown = fly_reference(
        case.aero, Damping.of(case.aero), case.body, case.release, scene,
        model="precession", points=FINE_POINTS,
    )  # fmt: skip
    cut = flown.time_s[-1] > cap_s
    end = min(float(flown.time_s[-1]), cap_s)
    times = np.concatenate([[end], np.linspace(0.0, end, points)])

    def at(values: np.ndarray) -> np.ndarray:
        columns = values.reshape(len(values), -1).T
        return np.array([np.interp(times, flown.time_s, column) for column in columns]).T

    path = flown.position_m[flown.time_s <= end]
    return {
        "position m": at(flown.position_m),
        "velocity m/s": at(flown.velocity_m_s)[0],
        "axis": at(flown.axis),
        "spin rad/s": at(flown.spin_rad_s)[:, 0],
        "time s": np.array(end),
        "apex m": path[:, 2].max(),
        "sides m": np.array([path[:, 1].max(), path[:, 1].min()]),
        "landed": np.array(not cut),
    }


@dataclass(frozen=True)
class Check:
    """A bundle of cases with what they must come to, and how far off the kernel is."""

    cases: list[Case]
    cap_s: float
    points: int
    expected: list[Flown]
    allowed: np.ndarray

    @classmethod
    def of(cls, some: list[Case], cap_s: float = 60.0, points: int = 6) -> Check:
        """Fly the reference, then the kernel as it is, which sets what is allowed."""
        expected = [reference(case, cap_s, points) for case in some]
        bare = cls(some, cap_s, points, expected, np.full((len(some), len(MEASURES)), np.inf))
        off = bare.off(loaded())
        if off is None or off[:, 0].max() > 0.2:
            raise SystemExit(f"The kernel itself is too far from DOP853: {off}")
        return replace(bare, allowed=TIMES_OFF * off + MORE_OFF)

    def off(self, kernel: Any) -> np.ndarray | None:
        """Return the largest difference by case and measure.

        ``None`` if a flag differs or an axis has not length 1.
        """
        kernel.TIME_CAP_S = self.cap_s
        flown = fly(self.cases, self.points)
        if not np.abs(np.linalg.norm(flown["axis"], axis=2) - 1.0).max() < 1e-6:
            return None
        off = np.empty_like(self.allowed)
        for k, want in enumerate(self.expected):
            if bool(flown["landed"][k]) != bool(want["landed"]):
                return None
            off[k] = [np.abs(flown[name][k] - want[name]).max() for name in MEASURES]
        return off

    def notices(self, kernel: Any) -> bool:
        """Say whether the kernel strays; not being a number is straying."""
        off = self.off(kernel)
        return off is None or not bool((off <= self.allowed).all())


# -- mutants -----------------------------------------------------------------------------------

SWAPS: dict[type, type] = {
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult, ast.Pow: ast.Mult,
    ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt, ast.Eq: ast.NotEq,
    ast.NotEq: ast.Eq, ast.And: ast.Or, ast.Or: ast.And, ast.BitAnd: ast.BitOr,
    ast.RShift: ast.LShift, ast.FloorDiv: ast.Mult, ast.Mod: ast.Mult,
}  # fmt: skip
REVERSED: dict[type, type] = {
    ast.Lt: ast.GtE, ast.LtE: ast.Gt, ast.Gt: ast.LtE, ast.GtE: ast.Lt,
}  # fmt: skip
CALLS = {"min": "max", "max": "min", "sin": "cos", "cos": "sin", "ceil": "floor"}


@dataclass(frozen=True)
class Mutant:
    """One change: of which part, the node's number in it, which of its changes, and words."""

    part: str
    node: int
    change: int
    line: int
    words: str


def changes(node: ast.AST) -> list[tuple[str, ast.AST]]:
    """Return what may stand in a node's place, with words."""
    found: list[tuple[str, ast.AST]] = []
    if isinstance(node, ast.BinOp | ast.AugAssign | ast.BoolOp) and type(node.op) in SWAPS:
        found.append(_with(node, op=SWAPS[type(node.op)]()))
    elif isinstance(node, ast.Compare):
        first, *rest = node.ops
        tables = [table for table in (SWAPS, REVERSED) if type(first) in table]
        found.extend(_with(node, ops=[table[type(first)](), *rest]) for table in tables)
    elif isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.USub | ast.Not):
        found.append((f"{ast.unparse(node)} → {ast.unparse(node.operand)}", node.operand))
    elif isinstance(node, ast.Constant) and type(node.value) in (int, float):
        value = node.value + 1 if isinstance(node.value, int) else node.value * 1.1 + 0.01
        found.append(_with(node, value=value))
    elif isinstance(node, ast.Call):
        name = node.func.attr if isinstance(node.func, ast.Attribute) else ast.unparse(node.func)
        if name in CALLS:
            func = copy.deepcopy(node.func)
            setattr(func, "attr" if isinstance(func, ast.Attribute) else "id", CALLS[name])
            found.append(_with(node, func=func))
        elif name == "abs":
            found.append((f"{ast.unparse(node)} → without abs", node.args[0]))
    return found


def _with(node: Any, **fields: Any) -> tuple[str, ast.AST]:
    changed = copy.copy(node)
    for name, value in fields.items():
        setattr(changed, name, value)
    return f"{ast.unparse(node)} → {ast.unparse(changed)}", changed


def places(tree: ast.Module) -> Iterator[tuple[ast.AST, str, int | None, ast.AST]]:
    """Walk the code that runs: parents, fields, places in lists and nodes, in order."""
    for statement in tree.body:
        if isinstance(statement, ast.FunctionDef | ast.Assign | ast.AnnAssign):
            yield from _within(statement)


def _within(parent: ast.AST) -> Iterator[tuple[ast.AST, str, int | None, ast.AST]]:
    skipped = {"annotation", "returns", "decorator_list", "args", "targets"}
    if isinstance(parent, ast.Call | ast.Assign):
        skipped = {"annotation"}
    for field, value in ast.iter_fields(parent):
        if field in skipped:
            continue
        for place, node in enumerate(value) if isinstance(value, list) else [(None, value)]:
            if isinstance(node, ast.AST):
                yield parent, field, place, node
                yield from _within(node)


def source(part: str) -> str:
    """Return the text of one of the kernel's files."""
    return (FOLDER / f"{part}.py").read_text("utf-8")


def mutants(part: str) -> list[Mutant]:
    """Return all single changes of a part."""
    found = []
    for number, (_parent, _field, _place, node) in enumerate(places(ast.parse(source(part)))):
        for k, (words, _changed) in enumerate(changes(node)):
            found.append(Mutant(part, number, k, getattr(node, "lineno", 0), words))
    return found


def loaded(mutant: Mutant | None = None) -> Any:
    """Put the kernel in place, with one change or none, as it runs without the compiler."""
    numba.config.DISABLE_JIT = True  # for what is loaded now; the reference stays compiled
    for part in PARTS:
        tree = ast.parse(source(part))
        if mutant is not None and mutant.part == part:
            _change(tree, mutant)
        module = types.ModuleType(f"rimwise.flight.{part}")
        module.__file__ = str(FOLDER / f"{part}.py")
        code = compile(ast.fix_missing_locations(tree), "<mutant>", "exec")
        exec(code, vars(module))  # noqa: S102
        sys.modules[module.__name__] = module
        vars(rimwise.flight)[part] = module
    numba.config.DISABLE_JIT = False
    return sys.modules["rimwise.flight.kernel"]


def _change(tree: ast.Module, mutant: Mutant) -> None:
    parent, field, place, node = list(places(tree))[mutant.node]
    changed = changes(node)[mutant.change][1]
    if place is None:
        setattr(parent, field, changed)
    else:
        getattr(parent, field)[place] = changed


# -- running -----------------------------------------------------------------------------------

CHECKS: list[Check] = []


def make_checks() -> list[Check]:
    """Quick ones first: most mutants fail within the first second of flight."""
    lanes = int(getattr(compiled_kernel, "LANES", 32))
    all_cases = cases()
    return [
        Check.of(all_cases[:-2], cap_s=0.875),
        # The last two tumble: what small differences make of them is soon as large as they are.
        Check.of(all_cases[-2:], cap_s=0.3),
        Check.of(all_cases[:5]),
        Check.of(all_cases[5:-2]),
        Check.of([*all_cases[2:4], *fillers(2 * lanes), all_cases[1]], points=2),
    ]


def functions_stray(kernel: Any) -> bool:
    """Say whether the kernel's own arcsine or logarithm is off by more than 2e-6."""
    sines = np.linspace(-0.7, 0.7, 71, dtype=np.float32)
    heights = np.geomspace(0.005, 300.0, 90).astype(np.float32)
    arcs = np.array([kernel._arcsine(s) for s in sines]) - np.arcsin(sines.astype(float))
    logs = np.array([kernel._logarithm(h) for h in heights]) - np.log(heights.astype(float))
    return not bool(np.abs(arcs).max() < 2e-6 and np.abs(logs).max() < 2e-6)


def fate(mutant: Mutant) -> str:
    """Return how a mutant ended: killed, timeout or survived."""
    signal.signal(signal.SIGALRM, _give_up)
    signal.alarm(LONGEST_S)
    try:
        kernel = loaded(mutant)
        with np.errstate(all="ignore"):
            strays = functions_stray(kernel) or any(check.notices(kernel) for check in CHECKS)
        return "killed" if strays else "survived"
    except TimeoutError:
        return "timeout"
    except Exception:  # raising anything is being noticed
        return "killed"
    finally:
        signal.alarm(0)


def _give_up(_signal: int, _frame: object) -> None:
    raise TimeoutError


def main() -> None:
    """Run the mutants asked for and print the count and the survivors."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--every", type=int, default=1, help="only every n-th mutant")
    parser.add_argument("--only", type=int, help="only the mutants of one line of the kernel")
    parser.add_argument("--workers", type=int, default=2)
    asked = parser.parse_args()
    CHECKS.extend(make_checks())
    chosen = [mutant for part in PARTS for mutant in mutants(part)][:: asked.every]
    if asked.only:
        chosen = [m for m in chosen if m.part == "kernel" and m.line == asked.only]
    print(f"{len(chosen)} mutants of {', '.join(PARTS)}", flush=True)
    fates = []
    with multiprocessing.get_context("fork").Pool(asked.workers) as pool:
        for mutant, end in zip(chosen, pool.imap(fate, chosen), strict=True):
            fates.append(end)
            if end == "survived":
                print(f"  {mutant.part} {mutant.line}: {mutant.words}", flush=True)
    counts = {end: fates.count(end) for end in ("killed", "timeout", "survived")}
    print(", ".join(f"{count} {end}" for end, count in counts.items()))


if __name__ == "__main__":
    main()
