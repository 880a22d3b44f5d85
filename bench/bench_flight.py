"""Flights of the default law side by side in one run: SciPy, the adaptive method, the fast schedule.

    .venv/bin/python -m bench.bench_flight             some two minutes
    .venv/bin/python -m bench.bench_flight --scipy-all  SciPy's DOP853 for every one of the 30,000 launches

Speeds are of one core. The peak of multiply-adds is measured in the same run, and the share of it that the
kernel reaches counts the additions and multiplications that stand in its source, nothing that the compiler
adds to estimate roots.
"""

from __future__ import annotations

import ast
import functools
import inspect
import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from typing import Any

import numpy as np

from bagwright.air import Wind, air
from bagwright.flight import batch
from bagwright.flight.fly import fly_many
from bagwright.flight.launch import Launches
from bench._flights import (
    DENSITY_KG_M3,
    ROUGH,
    YARDS,
    columns_of,
    domain,
    hostile,
    reference,
    scipy_flight,
)
from bench._machine import banner

SEEDS = (20261125, 20261126, 20261127)
SHOTS = 10_000
EVEN = ROUGH._replace(roughness_m=0.0)


def best(job: Callable[[], object], runs: int = 15) -> tuple[float, float]:
    """Shortest and median seconds of a job, after a run that fills the caches."""
    job()
    spent = []
    for _ in range(runs):
        start = time.perf_counter()
        job()
        spent.append(time.perf_counter() - start)
    return min(spent), float(np.median(spent))


def peak_flops() -> float:
    """Most multiply-adds of one core in flop/s, single precision: chains over 256 lanes."""
    from numba import njit

    from bagwright.flight._kernel_lanes import wide

    top = 0.0
    for links in (4, 8, 16):
        lines = ["def chains(a, m, s, n):", "    wide()", "    for _ in range(n):"]
        lines += ["        for i in range(256):", "            x = a[i]"]
        lines += links * ["            x = x * m + s"] + ["            a[i] = x"]
        space: dict[str, Any] = {"wide": wide}
        exec("\n".join(lines), space)  # noqa: S102  lines of one kind
        chains: Any = njit(fastmath={"contract"}, boundscheck=False)(space["chains"])
        a, m, s = np.ones(256, np.float32), np.float32(0.999), np.float32(0.001)
        shortest, _ = best(functools.partial(chains, a, m, s, 4000), 20)
        top = max(top, 2 * links * 256 * 4000 / shortest)
    return top


def operations(kernel: str, steps: int, again: int) -> float:
    """Additions, multiplications, roots and quotients of one flight in the kernel's source."""
    from bagwright.flight import _kernel_lanes

    tree = ast.parse(inspect.getsource(_kernel_lanes))
    bodies = {node.name: node for node in tree.body if isinstance(node, ast.FunctionDef)}

    def count(node: ast.AST, times: float) -> float:
        total = 0.0
        if isinstance(node, ast.For) and ast.unparse(node.iter) == "range(steps)":
            times *= steps
        if isinstance(node, ast.If):
            words = ast.unparse(node.test)
            times *= {"n > 0": (steps - 1) / steps, "n == 0": 1 / steps}.get(words, again / (steps - 1))
        if isinstance(node, ast.Subscript):
            return 0.0
        if isinstance(node, ast.BinOp):
            total += times
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in bodies:
            total += sum(count(each, times) for each in bodies[node.func.id].body)
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and node.func.attr == "sqrt":
            total += times
        return total + sum(count(each, times) for each in ast.iter_child_nodes(node))

    return sum(count(each, 1.0) for each in bodies[kernel].body)


def scipy_rate(rows: np.ndarray) -> float:
    """Flights a second of solve_ivp at rtol 1e-8: its equations in numpy or in plain floats, two methods.

    The ratios are to the default method with equations in numpy, as most would write them; the others are
    printed beside it.
    """
    rates = {}
    for kind in ("numpy", "floats"):
        for method in ("RK45", "DOP853"):
            start = time.perf_counter()
            for row in rows:
                scipy_flight(row, method, 1e-8, 1e-8, kind)
            rates[kind, method] = len(rows) / (time.perf_counter() - start)
            print(f"solve_ivp {method}, rtol 1e-8, equations in {kind}: {rates[kind, method]:.1f} flights/s")
    return rates["numpy", "RK45"]


def kernel_rate(shared: batch.Shared, words: str, slow: float, peak: float) -> float:
    """Print what one kernel does on one core; give flights/s."""
    from bagwright.flight import _kernel_lanes

    n = 1 << 16
    inp = batch.packed(columns_of(domain(n, 1)), shared, _kernel_lanes.LANES)
    out = np.empty((14, n), np.float32)
    share, again = batch.schedule_of(batch._NODES, batch._REST_AFTER)
    setting, room = batch.setting_of(shared), np.empty(_kernel_lanes.ROOM, np.float32)
    kernel = _kernel_lanes.fly_log if shared.roughness_m else _kernel_lanes.fly_even
    shortest, median = best(lambda: kernel(inp, out, share, again, setting, room))
    name = "fly_log" if shared.roughness_m else "fly_even"
    work = operations(name, len(batch._NODES), 1)
    print(
        f"kernel, {words}: {n / shortest / 1e6:.1f} M flights/s (median {n / median / 1e6:.1f}), "
        f"{n / shortest / slow:,.0f} times solve_ivp; {work:.0f} operations a flight, "
        f"{100 * work * n / shortest / peak:.0f} % of the multiply-add peak"
    )
    return n / shortest


def whole_rate(make: Callable[[int, int], np.ndarray], words: str, slow: float) -> None:
    """Print what the batch (packing, doubts, second tier, adaptive redo) does on one core."""
    rows = make(1 << 16, 2)
    columns = columns_of(rows)
    shortest, _ = best(lambda: batch.fly_batch(columns, ROUGH, threads=1), 5)
    landed = batch.fly_batch(columns, ROUGH, threads=1)
    redo = int(landed.redo.sum())
    sample = np.tile(rows[landed.redo], (-(-2000 // max(redo, 1)), 1))
    each = best(lambda: reference(sample, 1e-7), 3)[0] / len(sample) if redo else 0.0
    with_redo = shortest + redo * each
    n = len(rows)
    print(
        f"batch, {words}: {n / with_redo / 1e6:.2f} M flights/s, {n / with_redo / slow:,.0f} times "
        f"solve_ivp; {100 * landed.again.mean():.1f} % flown again, {100 * landed.redo.mean():.2f} % by the "
        "adaptive method"
    )


def many(rows: np.ndarray, fast: bool = True) -> Any:
    """The launches through `fly_many`."""
    speed, up, side, rpm, axis, x, y = rows.T
    return fly_many(
        Launches.of(speed, up, rpm, side, axis),
        air(density_kg_m3=DENSITY_KG_M3),
        Wind(5.0, 0.0),
        wind_xy_mps=(x, y),
        fast=fast,
    )


def errors(make: Callable[[int, int], np.ndarray], words: str, limit_yd: float, all_scipy: bool) -> None:
    """Print the largest errors of `fly_many` over new launches."""
    for seed in SEEDS:
        rows = make(SHOTS, seed)
        if all_scipy:
            exact = np.stack([scipy_flight(row, "DOP853", 1e-12, 1e-12) for row in rows], axis=1)
        else:
            exact = reference(rows, 1e-12)
        flights = many(rows)
        miss = np.hypot(flights.downrange_m - exact[0], flights.offline_m - exact[1]) * YARDS
        apex = np.abs(flights.apex_m - exact[2]) * YARDS
        said = "within" if miss.max() <= limit_yd else "BEYOND"
        print(
            f"{words}, seed {seed}: error rms {np.sqrt((miss**2).mean()):.1e}, max {miss.max():.1e} yd ("
            f"{said} {limit_yd:g}), apex max {apex.max():.1e} yd, "
            f"{int(flights.redone.sum())} redone"
        )


def reference_check(rows: np.ndarray) -> None:
    """Print how far the adaptive method at 1e-12 is from SciPy's DOP853 at 1e-12."""
    own = reference(rows, 1e-12)
    theirs = np.stack([scipy_flight(row, "DOP853", 1e-12, 1e-12) for row in rows], axis=1)
    apart = np.hypot(*(own[:2] - theirs[:2])) * YARDS
    print(f"adaptive method against SciPy's DOP853, both 1e-12, {len(rows)} launches: {apart.max():.1e} yd")


def starts() -> None:
    """Print what a first and a later start cost, in processes of their own."""
    program = (
        "import time; a = time.perf_counter(); from bagwright.flight.batch import compile_kernels; "
        "import numba; b = time.perf_counter(); compile_kernels(); c = time.perf_counter(); "
        "print(f'{c - b:.2f} s, and {b - a:.2f} s for numba itself')"
    )
    with tempfile.TemporaryDirectory() as cache:
        for words in ("first start, compiles both kernels", "later start, both kernels from the cache"):
            environment = {**os.environ, "NUMBA_CACHE_DIR": cache}
            said = subprocess.run(
                [sys.executable, "-c", program], check=True, capture_output=True, text=True, env=environment
            )
            print(f"{words}: {said.stdout.strip()}")


def main() -> None:
    banner("numba")
    batch.compile_kernels()
    peak = peak_flops()
    print(f"peak of multiply-adds, one core, single precision: {peak / 1e9:.0f} GFLOP/s")
    rows = domain(200, 7)
    slow = scipy_rate(rows)
    shortest, _ = best(lambda: reference(np.tile(rows, (5, 1)), 1e-8), 3)
    print(f"adaptive method, compiled, 1e-8: {1000 / shortest / 1e6:.3f} M flights/s")
    kernel_rate(ROUGH, "log wind", slow, peak)
    kernel_rate(EVEN, "even wind", slow, peak)
    whole_rate(domain, "golf's launches", slow)
    whole_rate(hostile, "hostile launches", slow)
    big = domain(1 << 18, 3)
    shortest, _ = best(lambda: many(big), 3)
    rate = len(big) / shortest / 1e6
    print(f"fly_many, {os.cpu_count()} cores, all columns of a table: {rate:.2f} M flights/s")
    reference_check(domain(100, 8))
    reference_check(hostile(100, 8))
    errors(domain, "golf", 1.2e-3, "--scipy-all" in sys.argv)
    errors(hostile, "hostile", 1e-2, False)
    starts()


if __name__ == "__main__":
    main()
