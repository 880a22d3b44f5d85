"""How long a course takes to read, and a hole to become a raster of lies at one yard a cell.

    .venv/bin/python -m bench.bench_raster [--runs 7]

The demo's map (18 holes) and its scorecard-only course. Best and median of several runs, in milliseconds of
processor time of one thread (the machine may be shared) and of the clock. Reading counts from the file's bytes
to the course; a raster from the course to lies, places of relief and heights; a picture from the course to SVG
and words.
"""

from __future__ import annotations

import argparse
import statistics
import time
from collections.abc import Callable
from functools import partial
from importlib.resources import files

from bagwright.course.ground import ground_of
from bagwright.course.hole import Course
from bagwright.course.load import load_course
from bagwright.course.rasterise import raster_of
from bagwright.course.reach import facts_of
from bagwright.report.holes.picture import hole_picture
from bench._machine import banner

DEMO = files("bagwright.demo")


def measured(act: Callable[[], object], runs: int) -> tuple[float, float, float]:
    """Best and median processor time and median time of the clock, milliseconds; the first run is not counted."""
    act()
    processor, clock = [], []
    for _ in range(runs):
        cpu, wall = time.process_time(), time.perf_counter()
        act()
        processor.append(1e3 * (time.process_time() - cpu))
        clock.append(1e3 * (time.perf_counter() - wall))
    return min(processor), statistics.median(processor), statistics.median(clock)


def show(what: str, figures: tuple[float, float, float]) -> None:
    """Print one row of the table."""
    print(f"| {what} | {figures[0]:.1f} | {figures[1]:.1f} | {figures[2]:.1f} |")


def holes(course: Course) -> None:
    """All holes of a course from their first tee."""
    for hole in course.holes:
        raster_of(course, hole.number)


def main() -> None:
    """Measure and print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--runs", type=int, default=7)
    runs = parser.parse_args().runs
    banner("shapely")
    print("| what | best ms | median ms | clock ms |\n|---|---|---|---|")
    for kind, name in (("map", "wethermoor.geojson"), ("card", "lauensee-card.csv")):
        raw = DEMO.joinpath(name).read_bytes()
        show(
            f"{kind} of 18 holes read ({len(raw) / 1024:.0f} KiB)",
            measured(partial(load_course, raw, name=name), runs),
        )
        rows(kind, load_course(raw, name=name), runs)


def rows(kind: str, course: Course, runs: int) -> None:
    """Print what the holes of one course take."""
    cells = [raster_of(course, hole.number).lie.size for hole in course.holes]
    show(
        f"{kind}: 18 rasters at 1 yd ({sum(cells) / 1e6:.1f} million cells)",
        measured(partial(holes, course), runs),
    )
    number = course.holes[max(range(len(cells)), key=cells.__getitem__)].number
    show(
        f"{kind}: the largest hole ({max(cells):,} cells)", measured(partial(raster_of, course, number), runs)
    )
    show("... of it the ground's shapes", measured(partial(ground_of, course, number), runs))
    show("... what is in play on it", measured(partial(facts_of, ground_of(course, number)), runs))
    show("... its picture", measured(partial(hole_picture, course, number), runs))


if __name__ == "__main__":
    main()
