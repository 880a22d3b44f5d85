"""Every bag of 13 clubs out of 24 worked out on one NVIDIA card, against the processor.

    python -m bench.bench_pick_gpu write FILE     rasters and table to a file; needs no card
    python -m bench.bench_pick_gpu FILE [OUT]     needs CuPy and a card; OUT is a folder for the lists

The problem is built by the processor. Then: the time of a batch, agreement with the processor on bags drawn
at random, every bag of 13 clubs besides the putter, and what branch and bound finds of them.
"""

from __future__ import annotations

import itertools
import json
import pickle
import sys
from pathlib import Path
from statistics import median
from time import perf_counter, process_time

import numpy as np
from numpy.typing import NDArray

from bagwright.pick.build import Played, build_problem
from bagwright.pick.evaluate import Evaluator
from bagwright.pick.on_card import CardEvaluator
from bagwright.pick.problem import Problem
from bench._machine import banner

CARRIED = 13
SAMPLE, TIMES = 512, 7
NEAR = (0.005, 0.02, 0.05)
"""Strokes within which bags count as near the first."""


def write(path: str) -> None:
    """Everything that the other machine needs, where maps cannot be read."""
    from bench._pick_player import rasters, table

    Path(path).write_bytes(pickle.dumps((rasters(), table())))


def built(path: str) -> Problem:
    """The problem, worked out by the processor of the machine at hand."""
    holes, table = pickle.loads(Path(path).read_bytes())  # noqa: S301  written by this program
    start, used = perf_counter(), process_time()
    problem = build_problem([Played("demo course", 1.0, holes, table)])
    print(
        f"built in {perf_counter() - start:.1f} s, {process_time() - used:.1f} s of processors (with compiling)"
    )
    print(
        f"{len(problem.spot_x_m)} spots, {len(problem.club)} options, {len(problem.next) / 1e6:.1f} M entries,"
        f" widest hole {np.diff(problem.first_spot).max()} spots; digest {problem.digest()[:16]}"
    )
    return problem


def every(n: int, carried: int) -> NDArray[np.uint64]:
    """Every bag of so many clubs, in the order of their numbers."""
    count = sum(1 for _ in itertools.combinations(range(n), carried))
    bits = itertools.chain.from_iterable(itertools.combinations(range(n), carried))
    clubs = np.fromiter(bits, np.uint64, count * carried).reshape(count, carried)
    return np.asarray((np.uint64(1) << clubs).sum(1, dtype=np.uint64))


def batches(card: CardEvaluator, bags: NDArray[np.uint64]) -> None:
    """Microseconds a bag by the size of a batch."""
    rng = np.random.default_rng(3)
    for size in (32, 256, 1024, 8192):
        some = rng.choice(bags, size, replace=False).tolist()
        card.strokes(some)
        times = []
        for _ in range(TIMES):
            start = perf_counter()
            card.strokes(some)
            times.append(perf_counter() - start)
        print(f"batch of {size}: {1e3 * median(times):.2f} ms, {1e6 * median(times) / size:.2f} us a bag")


def compared(problem: Problem, card: CardEvaluator, bags: NDArray[np.uint64]) -> None:
    """The card against the processor."""
    some = np.random.default_rng(4).choice(bags, SAMPLE, replace=False).tolist()
    ours = Evaluator(problem, threads=2)
    ours.strokes(some[:32])
    start, used = perf_counter(), process_time()
    theirs = ours.strokes(some)
    print(f"processor: {1e3 * (process_time() - used) / SAMPLE:.2f} ms of processor a bag,"
          f" {1e3 * (perf_counter() - start) / SAMPLE:.2f} by the clock on 2 threads")  # fmt: skip
    apart = card.strokes(some) - theirs
    print(f"card less processor: mean {apart.mean():.1e}, most {np.abs(apart).max():.1e} strokes a round")


def main() -> None:
    """Build, compare, go through every bag."""
    if sys.argv[1] == "write":
        write(sys.argv[2])
        return
    banner("cupy", "numba")
    problem = built(sys.argv[1])
    card = CardEvaluator(problem)
    print(
        f"card: {card.cupy.cuda.runtime.getDeviceProperties(0)['name'].decode()}, values within a block: {card.inside}"
    )
    bags = every(problem.n, CARRIED)
    batches(card, bags)
    compared(problem, card, bags)
    start = perf_counter()
    strokes = card.strokes(bags.tolist())
    print(
        f"every bag: {len(bags)} in {perf_counter() - start:.2f} s; largest last change {card.residual:.1e}"
    )
    order = np.argsort(strokes, kind="stable")
    again = Evaluator(problem, threads=2).strokes(bags[order[:2048]].tolist())
    print(f"the first 2048 worked out again by the processor: at most {np.abs(again - strokes[order[:2048]]).max():.1e}"
          f" off, the first is {'the same' if int(again.argmin()) == 0 else 'another'}")  # fmt: skip
    best = float(strokes[order[0]])
    print(
        f"all clubs {problem.everything:.4f}, first bag {best:.4f}: {', '.join(problem.names(int(bags[order[0]])))}"
    )
    for gap in NEAR:
        print(f"  within {gap}: {int((strokes <= best + gap).sum())} bags")
    if len(sys.argv) > 2:
        top = order[:2000]
        found = {"digest": problem.digest(), "bags": bags[top].tolist(), "strokes": strokes[top].tolist()}
        (Path(sys.argv[2]) / "pick_gpu.json").write_text(json.dumps(found), encoding="utf-8")


if __name__ == "__main__":
    main()
