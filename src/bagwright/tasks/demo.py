"""The invented player's visit, and a folder to start from."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from bagwright.errors import InputError
from bagwright.tasks.clubs import measure_loaded
from bagwright.tasks.coursing import CourseSource
from bagwright.tasks.judging import Wish, judge_loaded
from bagwright.tasks.papers import PaperOrder, Written, gather_all, write_all
from bagwright.tasks.pick_shown import pick_for, shown_of
from bagwright.tasks.source import Progress, Source, fit, load
from bagwright.tasks.stroking import RoundWish
from bagwright.units import System

if TYPE_CHECKING:
    from bagwright.distances import DistanceTable
    from bagwright.tasks.picking import PickAnswer
    from bagwright.trial.result import Verdict


@dataclass(frozen=True, slots=True)
class DemoResult:
    """The demo's whole visit; `answer` is page one of the report as plain lines.

    `pick` is the best bag on the demo's course, None where it was left out.
    """

    verdict: Verdict
    distances: DistanceTable
    pick: PickAnswer | None
    answer: tuple[str, ...]
    files: tuple[Path, ...]


_DEMO_STEPS, _HOLES = 4, 18
"""Steps of the demo without the bag, and as many more for the holes that it is chosen on."""


def run_demo(
    out: Path,
    paper: Literal["a4", "letter"],
    system: System,
    progress: Progress | None = None,
    *,
    choose: bool = True,
) -> DemoResult:
    """The invented player's visit from shot tables to papers, in the folder `out`.

    `choose` the best bag on the demo's course too, which takes longer than all the rest.
    """
    import datetime

    from bagwright import demo

    hear, steps = progress or (lambda _done, _all: None), _DEMO_STEPS + (_HOLES if choose else 0)

    def step(done: int) -> None:
        hear(done, steps)

    files = demo.copy_demo(out)
    answers = {"figures": "as measured", "spin": "measured"}
    step(1)
    source = Source(bag=out / "bag.toml", answers=answers)
    loaded = load(source)
    fits = fit(loaded)
    step(2)
    verdict = judge_loaded(loaded, fits, demo.SLOT, Wish(system=system)).verdict
    step(3)
    table = measure_loaded(loaded, fits)
    gathered = gather_all(loaded, fits, verdict, system, distances=table)
    found = None
    if choose:
        on = RoundWish(CourseSource(out / demo.COURSES[0], None, None, None, {}), demo.TEE)
        found = pick_for(source, on, None, lambda done, of: step(3 + round(_HOLES * done / of)))
        gathered = replace(gathered, picked=shown_of(found, fits))
    order = PaperOrder(out, datetime.date(*demo.DATE), slot=demo.SLOT, paper=paper, system=system)
    written = write_all(gathered, order)
    step(steps)
    from bagwright.report.text import answer_lines

    return DemoResult(verdict, table, found, tuple(answer_lines(gathered, system)), (*files, *written))


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
