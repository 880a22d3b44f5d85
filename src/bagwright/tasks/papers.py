"""The papers that the player and the workshop take away."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from bagwright.errors import InputError
from bagwright.tasks.clubs import measure_loaded
from bagwright.tasks.judging import Judged, Wish, judge_loaded, valued_on_course
from bagwright.tasks.source import Ask, Loaded, Progress, Source, fit, load
from bagwright.units import System
from bagwright.words import tell

if TYPE_CHECKING:
    import datetime

    from bagwright.bag.club import Bag
    from bagwright.dispersion.fit import Dispersions
    from bagwright.distances import DistanceTable
    from bagwright.report.model import ReportInput
    from bagwright.tasks.stroking import RoundWish
    from bagwright.trial.result import Verdict

PaperKind = Literal["report", "yardages", "build"]


PAPERS: tuple[PaperKind, ...] = ("report", "yardages", "build")


@dataclass(frozen=True, slots=True)
class PaperOrder:
    """Which papers to write, where, and how."""

    out: Path
    date: datetime.date
    kinds: tuple[PaperKind, ...] = PAPERS
    slot: str | None = None
    paper: Literal["a4", "letter"] = "a4"
    system: System = "yards"
    language: str = "en"
    on: RoundWish | None = None
    """Where, from which tee and in which wind the report compares the slot's candidates and picks the bag."""


@dataclass(frozen=True, slots=True)
class Written:
    """The files that were written."""

    files: tuple[Path, ...]


def write_papers(
    source: Source, order: PaperOrder, ask: Ask | None = None, progress: Progress | None = None
) -> Written:
    """Read, fit, judge where a slot is named, and write the papers."""
    loaded = load(source, ask)
    fits = fit(loaded)
    verdict = None
    bag = loaded.bag
    if order.kinds == ("build",) and order.slot and bag is not None and bag.find(order.slot) is not None:
        # One club named: the decision is made, so its sheet needs no verdict.
        return Written(write_all(gather_all(loaded, fits, None, order.system, build=order.slot), order))
    if order.slot:
        verdict = judge_loaded(loaded, fits, order.slot, Wish(system=order.system)).verdict
    gathered = gather_all(loaded, fits, verdict, order.system)
    if order.on is not None and "report" in order.kinds:
        from bagwright.tasks.pick_shown import pick_for, shown_of
        from bagwright.tasks.stroking import candidates_on

        names = [one.name for one in verdict.candidates] if verdict is not None else []
        if verdict is not None and names:
            valued, _played = valued_on_course(Judged(loaded, fits, verdict), order.on)
            gathered = gather_all(loaded, fits, valued, order.system)
            found = candidates_on(loaded.bag, fits, names, order.on, order.system, progress)
            gathered = replace(gathered, on_course=found)
        if can_choose(bag):
            picked = shown_of(pick_for(source, order.on, ask, progress), fits)
            gathered = replace(gathered, picked=picked)
        elif not names:
            raise InputError(
                tell("A course needs candidates to compare, or a bag to choose from."),
                tell("Name two builds or more with --slot, or a bag file with the clubs."),
            )
    return Written(write_all(gathered, order))


def can_choose(bag: Bag | None) -> bool:
    """Whether a bag has clubs to choose from: two or more that are carried or candidates, beside the putter."""
    if bag is None:
        return False
    return sum(club.kind != "putter" for club in bag.with_status("carried", "candidate")) > 1


def gather_all(
    loaded: Loaded,
    fits: Dispersions,
    verdict: Verdict | None,
    system: System,
    build: str | None = None,
    distances: DistanceTable | None = None,
) -> ReportInput:
    """Everything that the papers show, from what was read, fitted and judged; `build` names a club to build.

    `distances` spares measuring the bag again where that is done.
    """
    from bagwright.bag.rules import check
    from bagwright.report.gather import gather

    bag = loaded.bag if loaded.bag is not None and loaded.bag.clubs else None
    return gather(
        loaded.table,
        fits,
        bag=loaded.bag,
        verdict=verdict,
        distances=distances if distances is not None else measure_loaded(loaded, fits),
        check=check(bag) if bag is not None else None,
        conditions=loaded.result.conditions,
        system=system,
        build=build,
    )


def write_all(gathered: ReportInput, order: PaperOrder) -> tuple[Path, ...]:
    """Write the papers of an order; returns the files in the order of its kinds."""
    from bagwright.report.build import write_build_sheet
    from bagwright.report.pdf import write_report
    from bagwright.report.yardage import write_yardages

    writers = {"report": write_report, "yardages": write_yardages, "build": write_build_sheet}
    return tuple(
        writers[kind](
            gathered,
            order.out,
            date=order.date,
            paper=order.paper,
            system=order.system,
            language=order.language,
        )
        for kind in order.kinds
    )
