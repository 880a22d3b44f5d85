"""Expected strokes of the demo course: how exact, how fast, and against what.

    .venv/bin/python -m bench.bench_strokes reading speed play program growth

One part or several; each prints its own lines. Times are of this process on `THREADS` threads, processor time
of all threads beside them, because the machine may be shared.
"""

from __future__ import annotations

import math
import sys
import time
from collections.abc import Callable
from functools import lru_cache, partial
from pathlib import Path
from typing import Any

import numpy as np

from bagwright.air import Wind
from bagwright.course.lies import Lie
from bagwright.course.load import load_course
from bagwright.course.raster import Raster
from bagwright.course.rasterise import raster_of
from bagwright.strokes.balls import Balls, balls_of, of_sets
from bagwright.strokes.cells import cells_of
from bagwright.strokes.hole import Solver, strokes_of
from bagwright.strokes.patterns import PatternTable
from bagwright.strokes.probes import Player, hermite, player_of
from bagwright.strokes.reference import reference_player
from bagwright.strokes.solve import KEPT, SWEEPS, expected_strokes
from bench._machine import banner
from bench._play_hole import mean_and_error, play_hole

COURSE = Path("src/bagwright/demo/wethermoor.geojson")
THREADS = 2
SEED = 5


@lru_cache(maxsize=1)
def rasters() -> tuple[Raster, ...]:
    """All holes of the demo course from the back tees."""
    course = load_course(COURSE)
    return tuple(raster_of(course, hole.number) for hole in course.holes)


@lru_cache(maxsize=2)
def table(wind_mps: float = 0.0) -> PatternTable:
    """A bogey player: 13 clubs in three swings, and pitches."""
    wind = Wind(speed_mps=wind_mps, from_rad=math.radians(250)) if wind_mps else None
    return reference_player("bogey").table(wind=wind)


def timed(call: Callable[[], Any]) -> tuple[Any, float, float]:
    """Result, wall time and processor time."""
    wall, cpu = time.perf_counter(), time.process_time()
    found = call()
    return found, time.perf_counter() - wall, time.process_time() - cpu


def cases(solver: Solver, wanted: int, rng: np.random.Generator) -> tuple[Any, Any]:
    """Near-optimal questions of a solved hole: half with more than 2 % out of bounds where there are any."""
    s, *_ = solver.on_raster(solver.on_grid(), KEPT, SWEEPS)
    picked: dict[bool, list[tuple[int, int]]] = {False: [], True: []}
    for i in rng.permutation(s.states.n - 1):
        r = int(rng.choice(np.flatnonzero(s.shot[i] >= 0)))
        out = bool(s.flag[i, r] > 0.02)
        if s.flag[i, r] < 0.6 and len(picked[out]) < wanted // 2:
            picked[out].append((int(i), r))
        if all(len(found) == wanted // 2 for found in picked.values()):
            break
    t = s.states
    both = sorted(picked[False] + picked[True], key=lambda at: (t.lie[at[0]], s.shot[at]))
    spots, ranks = np.array(both, np.int64).T
    number = np.zeros((8, len(spots)), np.float32)
    number[0], number[1], number[2] = t.x[spots], t.y[spots], s.height[spots]
    number[3] = s.aim[spots, ranks] + rng.normal(0, np.deg2rad(2), len(spots))
    number[4], number[5] = np.cos(number[3]), np.sin(number[3])
    return np.stack([t.lie[spots], s.shot[spots, ranks]]), number


def dense(player: Player) -> Balls:
    """A grid of 140 x 140 points over +-5 sd and 13 runs for each part."""
    at = -5 + (np.arange(140) + 0.5) / 14
    own = np.exp(-0.5 * at**2)
    z, w = hermite(13)
    points = np.stack([one.ravel() for one in np.meshgrid(at, at, z, indexing="ij")])
    weight = np.einsum("i,j,k->ijk", own / own.sum(), own / own.sum(), w).ravel()
    return of_sets(player, [np.concatenate([points, weight[None]]).astype(np.float32)] * 4)


def answers(solver: Solver, whole: Any, number: Any) -> tuple[Any, Any, Any]:
    """Strokes of questions: quick, as the solver has them, and by a million balls each; chance of the flag."""
    p, k, n = solver.player, solver.kernel, solver.player.allowed.shape[1]
    sums = np.searchsorted(whole[0] * n + whole[1], np.arange(6 * n + 1)).astype(np.int64)
    eu, eo = np.zeros(whole.shape[1], np.float32), np.zeros(whole.shape[1], np.float32)
    k.ask(solver.fields, p.quick, p.run, True, True, whole, number, sums, eu, eo)
    spot = np.arange(len(eu))
    full_u, full_o = solver.means(whole, number, solver.balls, spot)
    ru, ro = solver.means(whole, number, dense(p), spot)
    exact = strokes_of(ru, ro)
    return strokes_of(eu, eo) - exact, strokes_of(full_u, full_o) - exact, ro


def reading() -> None:
    """The reading of E[V] against a million points a shot (4 parts x 140 x 140 x 13 runs)."""
    rng = np.random.default_rng(SEED)
    found: dict[float, list[tuple[Any, Any, Any]]] = {0.0: [], 5.0: []}
    for wind, kept in found.items():
        player = player_of(table(wind), rasters()[0].cell_m)
        for raster in rasters()[::2]:
            solver = Solver(cells_of(raster, table(wind)), player)
            kept.append(answers(solver, *cases(solver, 60, rng)))
    for wind, kept in found.items():
        quick, ours, out = (np.concatenate(column) for column in zip(*kept, strict=True))
        flagged = out > 0.02
        for name, error in (("pattern moved as a whole", quick), ("as solved", ours)):
            for which, chosen in (
                ("all", np.ones(len(out), bool)),
                ("out > 2 %", flagged),
                ("rest", ~flagged),
            ):
                e = error[chosen]
                print(
                    f"wind {wind:.0f} m/s, {name}, {which}: {len(e)} cases, rms {np.sqrt((e**2).mean()):.4f}, "
                    f"99 % {np.quantile(abs(e), 0.99):.4f}, max {abs(e).max():.4f}, mean {e.mean():+.5f}", flush=True
                )  # fmt: skip


def speed() -> None:
    """18 holes, warm, and what a Monte Carlo over every cell would take by its measured unit cost."""
    expected_strokes(rasters()[:1], table(), threads=1)
    found, wall, cpu = timed(lambda: expected_strokes(rasters(), table(), threads=THREADS))
    residual = np.array([hole.residual for hole in found.holes])
    print(
        f"18 holes, {table().n} shots, {sum(h.cells for h in found.holes)} cells: {found.strokes:.4f} strokes, sd "
        f"{found.sd:.3f}, bound {found.error_bound:.4f}; {wall:.2f} s, {cpu:.2f} s of processors, {THREADS} threads"
    )
    print(
        f"residual a hole: rms {np.sqrt((residual**2).mean()):.5f}, largest {abs(residual).max():.5f}, bound a hole: "
        f"mean {np.mean([h.error_bound for h in found.holes]):.5f}; converged: {found.converged}"
    )
    unit = sample_ns()
    shots = np.array([[table().allowed[lie].sum()] for lie in range(6)]).ravel()
    count = sum(
        float((np.bincount(r.lie[r.lie <= Lie.RECOVERY].ravel(), minlength=6) * shots).sum())
        for r in rasters()
    )
    whole = count * 33 * 1064 * 6 * unit * 1e-9 / THREADS
    print(
        f"Monte Carlo, 1000 + 64 balls, 33 aims, 6 sweeps, every cell: {unit:.2f} ns a ball measured, x "
        f"{count * 33 * 1064 * 6:.3g} balls = {whole / 3600:.1f} h on {THREADS} threads (not run): "
        f"{whole / (cpu / THREADS):,.0f} times as long as the solve's processor time"
    )


def sample_ns() -> float:
    """Nanoseconds of one ball of the exact definition, its value looked up."""
    raster = rasters()[0]
    solver = Solver(cells_of(raster, table()), player_of(table(), raster.cell_m))
    count, many = 300, balls_of(solver.player, (1064,) * 4)
    number = np.zeros((8, count), np.float32)
    number[0], number[1], number[4] = 200.0, 90.0, 1.0
    whole = np.tile(np.array([[1], [6]]), count)

    def once() -> float:
        start = time.thread_time()
        solver.means(whole, number, many, np.arange(count))
        return (time.thread_time() - start) / count / many.plan[1, 6, :, 1].sum() * 1e9

    once()
    return min(once() for _ in range(5))


def play() -> None:
    """The policies played out a million times by a simulator that shares nothing with the solver."""
    wanted = [5, 12]
    chosen = [r for r in rasters() if r.number in wanted]
    found = expected_strokes(chosen, table(5.0), threads=THREADS)
    for hole, raster in zip(found.holes, chosen, strict=True):
        print(f"hole {hole.number}: solved {hole.strokes:.4f}, bound {hole.error_bound:.4f}", flush=True)
        for crossed in (False, True):
            parts = [
                play_hole(hole, raster, table(5.0), 100_000, seed, crossed=crossed) for seed in range(10)
            ]
            mean, error = mean_and_error(np.concatenate(parts))
            off = (mean - hole.strokes) / error
            how = "where the ball crossed" if crossed else "by the cell where it ended"
            print(f"  1e6 rounds, relief {how}: {mean:.4f} +- {error:.4f}, {off:+.1f} errors", flush=True)


def growth() -> None:
    """Processor time by cells, clubs, swings and holes."""
    reference = reference_player("bogey")
    for number in (12, 5, 1, 11):
        raster = next(r for r in rasters() if r.number == number)
        found, _, cpu = timed(partial(expected_strokes, [raster], table(), threads=1))
        print(f"hole {number}: {found.holes[0].cells} cells, {cpu:.2f} s of processor", flush=True)
    hole_5 = rasters()[4]
    for clubs, swings in ((4, 1), (8, 1), (13, 1), (13, 2), (13, 3)):
        names = [club.name for club in reference.bag.clubs][:: -(-13 // clubs)] if clubs < 13 else None
        whole = table()
        which = {name: k for k, name in enumerate(dict.fromkeys(shot.swing for shot in whole.shots))}
        keep = [
            k for k, shot in enumerate(whole.shots)
            if shot.length_m is not None or ((names is None or shot.club in names) and which[shot.swing] < swings)
        ]  # fmt: skip
        few = PatternTable(
            tuple(whole.shots[k] for k in keep), whole.parts[:, keep], whole.allowed[:, keep],
            whole.tan_descent[:, keep], whole.run_m[:, keep], whole.run_sd_m[:, keep], whole.wind_x_m[:, keep],
            whole.wind_y_m[:, keep], None, whole.putt_m, whole.putts, whole.putts_square,
        )  # fmt: skip
        found, _, cpu = timed(partial(expected_strokes, [hole_5], few, threads=1))
        print(
            f"hole 5, {clubs} clubs x {swings} swings ({few.n} shots): {found.strokes:.4f}, {cpu:.2f} s",
            flush=True,
        )
    for holes in (3, 9):
        _, _, cpu = timed(partial(expected_strokes, rasters()[:holes], table(), threads=THREADS))
        print(f"{holes} holes: {cpu:.2f} s of processors", flush=True)


def program() -> None:
    """A par 3 written out as a sparse decision process for a general library, and the same hole solved here."""
    from bench._written_out import solve_written_out

    raster = next(r for r in rasters() if r.number == 12)
    expected_strokes([raster], table(), threads=1)
    found, wall, cpu = timed(lambda: expected_strokes([raster], table(), threads=1))
    print(
        f"hole 12 here: {found.strokes:.4f} (bound {found.error_bound:.4f}), {wall:.2f} s, {cpu:.2f} s of processor"
    )
    solve_written_out(raster, table(), found.holes[0], 8)


PARTS: dict[str, Callable[[], None]] = {
    "reading": reading, "speed": speed, "play": play, "growth": growth, "program": program
}  # fmt: skip


def main() -> None:
    banner("numba", "quantecon")
    for name in sys.argv[1:] or PARTS:
        print(f"-- {name}", flush=True)
        PARTS[name]()


if __name__ == "__main__":
    main()
