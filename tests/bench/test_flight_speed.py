"""How fast flights are flown, beside other ways to fly them and beside the machine itself.

``make bench`` prints a table. Everything in it is measured in one run on realistic throws (all
sorts of discs, throws and weather, :func:`rimwise.flight.compare.realistic_throws`; two thousand
of them over and over), the quickest of some rounds each. Other work on the machine slows all
rows alike; ratios stand.

*Floating-point operations* are counted in the kernel's source: every + − × ÷ and square root of
the lane loop counts one, the work between steps (taking flights, landings, paths) counts
nothing, nor do minima, maxima, comparisons and indices. The machine's peak is measured by a
compiled loop of independent single-precision multiply-adds, two operations each, on as many
threads. The kernel cannot reach it: a multiply-add fills both halves of the unit, the equations
have more sums and products apart, and divisions.
"""

from __future__ import annotations

import ast
import os
import subprocess
import sys
import tempfile
import time
import tracemalloc
from concurrent.futures import ThreadPoolExecutor
from dataclasses import fields
from pathlib import Path
from typing import TYPE_CHECKING, Any

import flight_peers
import numba
import numpy as np
import pytest

from rimwise.flight import kernel
from rimwise.flight._gather import gather
from rimwise.flight._lanes import PATH_COLUMNS
from rimwise.flight.aero import AeroArrays
from rimwise.flight.body import BodyArrays
from rimwise.flight.compare import realistic_throws
from rimwise.flight.fly import COARSE_STEP_S, STEP_S, _fly_block, fly, fly_many
from rimwise.flight.printed import Printed, aero_from_printed
from rimwise.flight.release import ReleaseArrays
from rimwise.flight.sensitivity import landing_sensitivities
from rimwise.flight.wind import WindArrays

if TYPE_CHECKING:
    from collections.abc import Callable

    from pytest_benchmark.fixture import BenchmarkFixture

    Columns = dict[str, np.ndarray]

pytestmark = pytest.mark.bench

THREADS = 2
DIFFERENT, FLIGHTS = 2_000, 200_000
NUMPY_FLIGHTS, SCIPY_FLIGHTS = 10_000, 100
SIZES = (100, 1_000, 10_000, 100_000, 1_000_000)
BLOCKS = 10  # of the largest size, for ten million


def sample() -> Columns:
    """Columns of the realistic throws."""
    throws = realistic_throws(np.random.default_rng(1), DIFFERENT)
    parts = [list(part) for part in zip(*throws, strict=True)]
    return gather(*parts, bearing_deg=0.0, ground_z_m=0.0)


def arguments(columns: Columns, count: int, *, wind: bool = True) -> tuple[Any, ...]:
    """Arguments of ``fly_many``: the throws over and over; what all share stays one number."""
    rows = np.arange(count) % DIFFERENT
    many = {name: part if len(part) == 1 else part[rows] for name, part in columns.items()}

    def of(kind: Any) -> Any:
        return kind(**{field.name: many[field.name] for field in fields(kind)})

    air = WindArrays(-many["wind_y_m_s"], many["wind_x_m_s"], many["roughness_m"])
    return (
        of(AeroArrays), of(BodyArrays), of(ReleaseArrays), many["density_kg_m3"],
        air if wind else None,
    )  # fmt: skip


def quickest_s(work: Callable[[], Any], rounds: int = 3) -> float:
    times = []
    for _ in range(rounds):
        started = time.perf_counter()
        work()
        times.append(time.perf_counter() - started)
    return min(times)


def test_flight_speed(benchmark: BenchmarkFixture, capsys: pytest.CaptureFixture[str]) -> None:
    columns = sample()
    parts = arguments(columns, FLIGHTS)
    benchmark.pedantic(fly_many, args=parts, rounds=5, warmup_rounds=1)
    base = FLIGHTS / benchmark.stats.stats.min
    lines = [
        f"{'':46}{'flights/s':>12}{'ratio':>9}",
        row(f"fly_many, {FLIGHTS:,} flights in wind, {THREADS} threads", base, base),
        *(row(name, rate, base) for name, rate in variants(columns).items()),
        *(row(name, rate, base) for name, rate in peers(columns).items()),
        "",
        *machine(base, parts),
        "",
        *scaling(columns),
        "",
        *single(),
    ]
    with capsys.disabled():
        print("", *lines, sep="\n")  # noqa: T201
    benchmark.extra_info["flights_per_second"] = round(base)


def row(name: str, rate: float, base: float) -> str:
    return f"{name:46}{rate:12,.0f}{rate / base:9.3g}"


def variants(columns: Columns) -> dict[str, float]:
    """Flights per second of other uses of ``fly_many``."""
    windy, calm = arguments(columns, FLIGHTS), arguments(columns, FLIGHTS, wind=False)

    def rate(parts: tuple[Any, ...], **how: Any) -> float:
        fly_many(*(part for part in arguments(columns, 300)), **how)  # compiles
        return FLIGHTS / quickest_s(lambda: fly_many(*parts, **how))

    return {
        "  one thread": rate(windy, threads=1),
        "  no wind": rate(calm),
        "  with ground play": rate(windy, ground="firm"),
        "  with paths of 32 points": rate(windy, path_points=32),
        f"  coarse steps ({COARSE_STEP_S} s)": rate(windy, step_s=COARSE_STEP_S),
        "  inside landing_sensitivities": 39.0
        * 5_000
        / quickest_s(lambda: landing_sensitivities(*arguments(columns, 5_000))),
    }


def peers(columns: Columns) -> dict[str, float]:
    """Flights per second by NumPy and by SciPy, which must land in the same places."""
    found = {}
    for name, fly_them, count in (
        ("NumPy, Runge-Kutta of 10,000 at once", flight_peers.numpy_landings, NUMPY_FLIGHTS),
        ("SciPy, solve_ivp one by one, compiled rates", flight_peers.scipy_landings, SCIPY_FLIGHTS),
    ):
        rows = np.arange(count) % DIFFERENT
        some = {key: part if len(part) == 1 else part[rows] for key, part in columns.items()}
        warm = {key: part[:2] for key, part in some.items()}
        fly_them(warm, 2)
        started = time.perf_counter()
        landings = fly_them(some, count)
        found[name] = count / (time.perf_counter() - started)
        apart = np.linalg.norm(landings - fly_many(*arguments(columns, count)).landing_m, axis=1)
        assert np.median(apart) < 0.001
        assert np.percentile(apart, 99) < 0.05
    return found


# -- beside the machine ------------------------------------------------------------------------


@numba.njit(nogil=True, error_model="numpy", fastmath={"contract"})
def multiply_add(values: np.ndarray, rounds: int) -> None:
    a, b = np.float32(0.999999), np.float32(1e-7)
    for _ in range(rounds):
        for i in range(96):  # twelve vectors of eight: more than latency times units
            values[i] = values[i] * a + b


def peak_flops(rounds: int = 4_000_000) -> float:
    """Operations per second of the multiply-add loop on all threads."""

    def work() -> None:
        multiply_add(np.ones(96, np.float32), rounds)

    multiply_add(np.ones(96, np.float32), 1)
    with ThreadPoolExecutor(THREADS) as pool:
        took = quickest_s(
            lambda: [done.result() for done in [pool.submit(work) for _ in range(THREADS)]]
        )
    return 2.0 * 96 * rounds * THREADS / took


class OperationCount(ast.NodeVisitor):
    """Arithmetic of one function and of the kernel's functions that it calls."""

    def __init__(self, functions: dict[str, ast.FunctionDef]) -> None:
        self.functions, self.total, self.times = functions, 0, 1

    def visit_Subscript(self, node: ast.Subscript) -> None:
        self.visit(node.value)  # not the index

    def visit_BinOp(self, node: ast.BinOp) -> None:
        self.total += self.times * isinstance(node.op, ast.Add | ast.Sub | ast.Mult | ast.Div)
        self.generic_visit(node)

    def visit_AugAssign(self, node: ast.AugAssign) -> None:
        self.total += self.times
        self.visit(node.value)

    def visit_For(self, node: ast.For) -> None:
        """Loops over the numbers of a state, not those over lanes."""
        many = eval(ast.unparse(node.iter), vars(kernel))  # noqa: S307
        outer = self.times
        self.times *= 1 if len(many) % kernel.LANES == 0 else len(many)
        for statement in node.body:
            self.visit(statement)
        self.times = outer

    def visit_Call(self, node: ast.Call) -> None:
        self.generic_visit(node)
        name = node.func.attr if isinstance(node.func, ast.Attribute) else ast.unparse(node.func)
        self.total += self.times * (name == "sqrt")
        if name in self.functions:
            self.total += self.times * operations(name, self.functions)


def operations(name: str, functions: dict[str, ast.FunctionDef] | None = None) -> int:
    """Floating-point operations of one lane in a function of the kernel."""
    if functions is None:
        tree = ast.parse(Path(str(kernel.__file__)).read_text("utf-8"))
        functions = {node.name: node for node in tree.body if isinstance(node, ast.FunctionDef)}
    count = OperationCount(functions)
    for statement in functions[name].body:
        count.visit(statement)
    return count.total


def machine(rate: float, parts: tuple[Any, ...]) -> list[str]:
    """What share of the machine's peak the flights of the first row make of it."""
    peak, slope = peak_flops(), operations("_find_slopes")
    per_step = operations("_try_step") + operations("_move_on")
    columns = gather(*parts, 0.0, 0.0)
    out, paths = np.empty((FLIGHTS, len(kernel.OUTPUTS))), np.empty((FLIGHTS, 0, PATH_COLUMNS))
    steps = _fly_block(columns, STEP_S, out, paths) / FLIGHTS
    made = rate * steps * per_step
    return [
        f"multiply-add peak, {THREADS} threads{peak / 1e9:36,.1f} GFLOP/s",
        f"{slope} operations a derivative, {per_step} a step of four, {steps:.1f} steps a flight",
        f"flights make{made / 1e9:52,.1f} GFLOP/s, {made / peak:.0%} of the peak",
    ]


# -- how it grows, and the smallest cases ------------------------------------------------------


def scaling(columns: Columns) -> list[str]:
    """Flights per second and memory by number of flights."""
    lines = [
        f"{'flights in one call':24}{'flights/s':>12}{'kept B/flight':>16}{'peak B/flight':>16}"
    ]
    for size in SIZES:
        parts = arguments(columns, size)
        took = quickest_s(lambda parts=parts: fly_many(*parts), 3 if size < 1_000_000 else 1)
        kept, peak = memory(parts, size)
        lines.append(f"{size:<24,}{size / took:12,.0f}{kept:16,.0f}{peak:16,.0f}")
    took = sum(quickest_s(lambda: fly_many(*parts), 1) for _ in range(BLOCKS))
    size = SIZES[-1] * BLOCKS
    lines.append(f"{f'{size:,} in {BLOCKS} blocks':24}{size / took:12,.0f}")
    return lines


def memory(parts: tuple[Any, ...], size: int) -> tuple[float, float]:
    """Bytes per flight that the result keeps, and that were needed at most beside the input."""
    tracemalloc.start()
    flown = fly_many(*parts)
    kept, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert len(flown) == size
    return kept / size, peak / size


def single() -> list[str]:
    """One flight with its path, and the first one of all."""
    (_aero, body, release, air, wind) = realistic_throws(np.random.default_rng(4), 1)[0]
    aero = aero_from_printed(Printed(7, 5, -1, 2))
    took = quickest_s(lambda: fly(aero, body, release, air, wind), 50)
    return [
        f"fly, one flight with its path of 121 points{took * 1e3:18.2f} ms",
        f"first flight after installation, compiling{first_flight_s():18.1f} s of processor time",
    ]


def first_flight_s() -> float:
    """Processor time of a first flight with an empty cache, in a process of its own."""
    code = (
        "import time; from rimwise.flight.compare import realistic_throws;"
        "from rimwise.flight.fly import fly; import numpy as np;"
        "throw = realistic_throws(np.random.default_rng(4), 1)[0]; fly(*throw);"
        "print(time.process_time())"
    )
    with tempfile.TemporaryDirectory() as empty:
        run = subprocess.run(
            [sys.executable, "-c", code], capture_output=True, text=True, check=True,
            env={**os.environ, "NUMBA_CACHE_DIR": empty},
        )  # fmt: skip
    return float(run.stdout)
