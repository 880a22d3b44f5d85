"""How the time for expected strokes grows, as a picture: cells, clubs, swings, holes.

    .venv/bin/python -m bench.plot_growth            # runs `bench.bench_strokes growth` first, some minutes
    .venv/bin/python -m bench.plot_growth FILE       # takes what an earlier run printed

Writes docs/pictures/strokes-growth.svg. Every point is one measurement of the run; the line between two points is
drawn for the eye only.
"""

from __future__ import annotations

import re
import subprocess
import sys
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from bagwright.report.charts.render import make_chart, to_svg

ROOT = Path(__file__).parents[1]
PICTURE = ROOT / "docs" / "pictures" / "strokes-growth.svg"
WIDE, HIGH = 170, 170
ALL_CLUBS = 13

_CELLS = re.compile(r"^hole \d+: (\d+) cells, ([\d.]+) s of processor$", re.MULTILINE)
_SHOTS = re.compile(r"^hole \d+, (\d+) clubs x (\d+) swings \(\d+ shots\): [\d.]+, ([\d.]+) s$", re.MULTILINE)
_HOLES = re.compile(r"^(\d+) holes: ([\d.]+) s of processors$", re.MULTILINE)
_SAID = re.compile(r"^\d{4}-\d{2}-\d{2};.*$", re.MULTILINE)

Points = list[tuple[float, float]]


def read(text: str) -> dict[str, Points]:
    """The measurements of a run by what grows: how much of it, and seconds of the processor.

    Raises ValueError where the run has fewer than two points of one of them.
    """
    shots = [(int(clubs), int(swings), float(s)) for clubs, swings, s in _SHOTS.findall(text)]
    found: dict[str, Points] = {
        "cells of a hole": [(float(n), float(s)) for n, s in _CELLS.findall(text)],
        "clubs, one swing each": [(clubs, s) for clubs, swings, s in shots if swings == 1],
        f"swings of {ALL_CLUBS} clubs": [(swings, s) for clubs, swings, s in shots if clubs == ALL_CLUBS],
        "holes": [(float(n), float(s)) for n, s in _HOLES.findall(text)],
    }
    few = [name for name, points in found.items() if len(points) < 2]
    if few:
        raise ValueError(
            f"no growth by {', '.join(few)} in this text: is it what `bench.bench_strokes growth` printed?"
        )
    return {name: sorted(points) for name, points in found.items()}


def panel(name: str, points: Sequence[tuple[float, float]]) -> dict[str, Any]:
    """One view: seconds against how much there is of something, both from zero."""
    return {
        "width": WIDE, "height": HIGH,
        "data": {"values": [{"much": much, "seconds": seconds} for much, seconds in points]},
        "mark": {"type": "line", "point": True},
        "encoding": {
            "x": {"field": "much", "type": "quantitative", "title": name, "scale": {"zero": True},
                  "axis": {"tickCount": 4}},
            "y": {"field": "seconds", "type": "quantitative", "title": "processor, s", "scale": {"zero": True},
                  "axis": {"tickCount": 4}},
        },
    }  # fmt: skip


def picture(found: Mapping[str, Points], machine: str) -> str:
    """All views beside each other as SVG."""
    words = "; ".join(
        f"{name}: " + ", ".join(f"{much:g} take {seconds:g} s" for much, seconds in points)
        for name, points in found.items()
    )
    body = {
        "title": {"text": "Expected strokes: processor seconds by size", "subtitle": machine},
        "columns": 2, "concat": [panel(name, points) for name, points in found.items()],
    }  # fmt: skip
    return to_svg(make_chart("strokes-growth", "Growth", words, body))


def main() -> None:
    """Read or run, then write the picture."""
    if len(sys.argv) > 1:
        text = Path(sys.argv[1]).read_text(encoding="utf-8")
    else:
        run = [sys.executable, "-m", "bench.bench_strokes", "growth"]
        text = subprocess.run(run, cwd=ROOT, check=True, capture_output=True, text=True).stdout
        print(text)
    said = _SAID.search(text)
    PICTURE.write_text(picture(read(text), said[0] if said else ""), encoding="utf-8")
    print(f"Written: {PICTURE.relative_to(ROOT)}")


if __name__ == "__main__":
    main()
