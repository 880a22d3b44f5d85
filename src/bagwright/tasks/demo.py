"""The invented player's visit, and a folder to start from."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from bagwright.errors import InputError
from bagwright.tasks.clubs import measure_loaded
from bagwright.tasks.judging import Wish, judge_loaded
from bagwright.tasks.papers import PaperOrder, Written, gather_all, write_all
from bagwright.tasks.source import Progress, Source, fit, load
from bagwright.units import System

if TYPE_CHECKING:
    from bagwright.distances import DistanceTable
    from bagwright.trial.result import Verdict


@dataclass(frozen=True, slots=True)
class DemoResult:
    """The demo's whole visit; `answer` is page one of the report as plain lines."""

    verdict: Verdict
    distances: DistanceTable
    answer: tuple[str, ...]
    files: tuple[Path, ...]


_DEMO_STEPS = 4


def run_demo(
    out: Path, paper: Literal["a4", "letter"], system: System, progress: Progress | None = None
) -> DemoResult:
    """The invented player's visit from shot tables to papers, in the folder `out`."""
    import datetime

    from bagwright import demo

    step = progress or (lambda _done, _all: None)
    files = demo.copy_demo(out)
    answers = {"figures": "as measured", "spin": "measured"}
    step(1, _DEMO_STEPS)
    loaded = load(Source(bag=out / "bag.toml", answers=answers))
    fits = fit(loaded)
    step(2, _DEMO_STEPS)
    verdict = judge_loaded(loaded, fits, demo.SLOT, Wish(system=system)).verdict
    step(3, _DEMO_STEPS)
    table = measure_loaded(loaded, fits)
    gathered = gather_all(loaded, fits, verdict, system, distances=table)
    order = PaperOrder(out, datetime.date(*demo.DATE), slot=demo.SLOT, paper=paper, system=system)
    written = write_all(gathered, order)
    step(4, _DEMO_STEPS)
    from bagwright.report.text import answer_lines

    return DemoResult(verdict, table, tuple(answer_lines(gathered, system)), (*files, *written))


def start_folder(folder: Path, system: System) -> Written:
    """A bag file and a shot table to fill in. Raises InputError rather than replace a file that is there."""
    from bagwright.demo import start_files
    from bagwright.files import write_whole

    texts = start_files(system)
    taken = [name for name in texts if (folder / name).exists()]
    if taken:
        raise InputError(
            f"{folder / taken[0]} is there already.", "Choose another folder, or move that file away."
        )
    return Written(tuple(write_whole(folder / name, text) for name, text in texts.items()))
