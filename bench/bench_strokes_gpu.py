"""All holes of the demo course on one NVIDIA card, against the processor.

    python -m bench.bench_strokes_gpu write FILE     rasters and table to a file; needs no card
    python -m bench.bench_strokes_gpu [FILE]         needs CuPy and a card; FILE where maps cannot be read

White tees, the bench's player with 13 clubs in three swings, and pitches. Times of the card by events and by
the wall clock, medians of 20; differences of each hole's strokes to the processor's, and what the exact
definition adds to either answer along played rounds (the residual).
"""

from __future__ import annotations

import pickle
import sys
from collections.abc import Callable
from pathlib import Path
from statistics import median
from time import perf_counter

import numpy as np

from bagwright.course.raster import Raster
from bagwright.strokes.on_card import CourseOnCard, expected_strokes_on_card
from bagwright.strokes.patterns import PatternTable
from bagwright.strokes.solve import expected_strokes
from bench._machine import banner, versions

Inputs = tuple[list[Raster], PatternTable]
COURSE = Path("src/bagwright/demo/wethermoor.geojson")
TIMES = 20


def inputs() -> Inputs:
    """The demo course from the white tees, and a fitted player."""
    from bagwright.course.load import load_course
    from bagwright.course.rasterise import raster_of
    from bagwright.dispersion.fit import fit_dispersion
    from bagwright.shots.record import ShotTable
    from bagwright.strokes.table import patterns_of
    from bench.bench_shot_patterns import bag
    from bench.bench_speed_dispersion import PLAYER, visit

    course, ours = load_course(COURSE), bag()
    names = {club.name for club in ours.clubs}
    shots = [shot for shot in visit(np.random.default_rng(1), 6) if shot.club in names]
    table = patterns_of(ours, None, fit_dispersion(ShotTable.of(shots), PLAYER, ours))
    return [raster_of(course, hole.number, "white") for hole in course.holes], table


def read(path: str) -> Inputs:
    """What `write` wrote on a machine of ours."""
    found: Inputs = pickle.loads(Path(path).read_bytes())  # noqa: S301  written by this program
    return found


def walled(call: Callable[[], object]) -> float:
    """Milliseconds by the wall clock, median."""
    times = []
    for _ in range(TIMES):
        start = perf_counter()
        call()
        times.append(1e3 * (perf_counter() - start))
    return median(times)


def by_events(course: CourseOnCard) -> tuple[float, float, float]:
    """Milliseconds on the card: median, least, most."""
    events, stream, times = course.card.cp.cuda, course.card.stream, []
    for _ in range(TIMES):
        first, last = events.Event(), events.Event()
        first.record(stream)
        course.graph.launch(stream)
        last.record(stream)
        last.synchronize()
        times.append(float(events.get_elapsed_time(first, last)))
    return median(times), min(times), max(times)


def carried(course: CourseOnCard) -> None:
    """Everything to the card anew, solve, and the answer back."""
    card = course.card
    with card.stream:
        for name, given in card.layout.arrays.items():
            card.arrays[name].set(np.ascontiguousarray(given))
        for spots, arrays in ((card.layout.grid, card.grid_arrays), (card.layout.raster, card.raster_arrays)):
            for name, given in spots.numbers.items():
                arrays[name].set(np.ascontiguousarray(given))
    course.run()
    for answer in (card.raster_arrays["value"], card.shot, card.aim):
        answer.get()


def kernels(course: CourseOnCard) -> None:
    """Milliseconds of each kernel, launched one by one (a little more than in the graph)."""
    card, spent = course.card, dict[str, list[float]]()
    plain, events = card.launch, card.cp.cuda

    def timed(name: str, *given: object) -> None:
        first, last = events.Event(), events.Event()
        first.record(card.stream)
        plain(name, *given)  # type: ignore[arg-type]
        last.record(card.stream)
        last.synchronize()
        spent.setdefault(name, []).append(float(events.get_elapsed_time(first, last)))

    card.launch = timed  # type: ignore[method-assign,assignment]
    with card.stream:
        card.record()
    card.launch = plain  # type: ignore[method-assign]
    for name, times in sorted(spent.items(), key=lambda pair: -sum(pair[1])):
        print(f"  {name:14s} {sum(times):7.3f} ms in {len(times)} launches")


def compare(rasters: list[Raster], table: PatternTable, course: CourseOnCard) -> None:
    """Differences to the processor, hole by hole."""
    start = perf_counter()
    ours = expected_strokes(rasters, table)
    print(f"processor, its kernels compiled on the way: {perf_counter() - start:.1f} s")
    start = perf_counter()
    full = expected_strokes_on_card(rasters, table)
    print(f"card, then played and bounded by one processor: {perf_counter() - start:.1f} s")
    print("hole  processor residual    card  diff  tee exact  diff  residual  bound | cells: mean, rms, 99 %")
    off, exact, fair = [], [], []
    for one, other, plain in zip(ours.holes, full.holes, course.answer(), strict=True):
        cells = other.value - one.value
        cells = cells[np.isfinite(cells)]
        off.append(plain.strokes - one.strokes)
        exact.append(other.strokes - one.strokes)
        fair.append(other.strokes + other.residual - one.strokes - one.residual)
        print(
            f"{one.number:4d}  {one.strokes:.4f} {one.residual:+.4f}  {plain.strokes:.4f} {off[-1]:+.4f}  "
            f"{other.strokes:.4f} {exact[-1]:+.4f} {other.residual:+.4f} {other.error_bound:.4f} | "
            f"{cells.mean():+.4f} {np.sqrt((cells**2).mean()):.4f} {np.percentile(np.abs(cells), 99):.4f}"
        )
    for name, found in (("card", off), ("tee exact", exact), ("with residuals", fair)):
        a = np.array(found)
        print(
            f"{name} - processor: mean {a.mean():+.5f}, rms {np.sqrt((a**2).mean()):.5f}, "
            f"most {np.abs(a).max():.5f} strokes a hole, round {a.sum():+.4f}"
        )
    print(f"residual, mean size: processor {np.mean([abs(h.residual) for h in ours.holes]):.5f}, "
          f"card {np.mean([abs(h.residual) for h in full.holes]):.5f}")  # fmt: skip


def main() -> None:
    """Write inputs, or measure."""
    banner()
    if sys.argv[1:2] == ["write"]:
        Path(sys.argv[2]).write_bytes(pickle.dumps(inputs()))
        return
    rasters, table = read(sys.argv[1]) if len(sys.argv) > 1 else inputs()
    start = perf_counter()
    course = CourseOnCard(rasters, table)
    made = perf_counter() - start
    card, layout = course.card, course.card.layout
    name = card.cp.cuda.runtime.getDeviceProperties(0)["name"].decode()
    print(f"{name}; {versions('numpy', 'numba')}; CuPy {card.cp.__version__}")
    print(
        f"{len(rasters)} holes, {layout.raster.n} cells played from, {layout.grid.n} spots, {table.n} shots"
    )
    print(f"prepared, brought to the card, compiled and recorded in {made:.2f} s")
    course.run()
    middle, least, most = by_events(course)
    print(f"solve by events: median {middle:.2f} ms ({least:.2f} to {most:.2f})")
    print(f"solve by the wall clock: median {walled(course.run):.2f} ms")
    print(f"inputs to the card, solve, answer back: median {walled(lambda: carried(course)):.2f} ms")
    kernels(course)
    compare(rasters, table, course)


if __name__ == "__main__":
    main()
