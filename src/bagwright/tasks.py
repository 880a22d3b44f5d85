"""One function for each thing a user asks for, shared by the command line and whatever comes after it.

A task takes paths and plain values, does the whole job through the core and returns the core's objects.
It prints nothing and asks nothing by itself: open questions go to the `ask` function that it is given.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from bagwright.bag.club import Bag, Player
from bagwright.errors import InputError, ReadError
from bagwright.units import System

if TYPE_CHECKING:
    import datetime

    from bagwright.bag.rules import Check
    from bagwright.dispersion.fit import Dispersions
    from bagwright.distances import DistanceTable, StepRules
    from bagwright.report.model import ReportInput
    from bagwright.shots.answers import Answers
    from bagwright.shots.record import ShotTable
    from bagwright.shots.result import Flagged, Question, ReadResult
    from bagwright.trial.brief import Brief
    from bagwright.trial.plan import Plan
    from bagwright.trial.result import Measure, Verdict

Ask = Callable[["Question"], str | None]
"""Puts one question to a person; returns the chosen option, or None when it stays open."""

Progress = Callable[[int, int], None]


@dataclass(frozen=True, slots=True)
class Source:
    """Where a question's shots and bag come from, as the user named them."""

    shots: tuple[Path, ...] = ()
    bag: Path | None = None
    map_file: Path | None = None
    answers: Mapping[str, str] = field(default_factory=dict)
    said: Mapping[str, object] = field(default_factory=dict)
    """Fields of `Player` that the user stated beside the bag file; they take the place of the file's."""
    named_only: bool = False
    """True leaves out the shot tables that the bag file lists."""


@dataclass(frozen=True, slots=True)
class Loaded:
    """Shots that were read, with the bag they belong to."""

    result: ReadResult
    bag: Bag | None

    @property
    def table(self) -> ShotTable:
        """The accepted shots."""
        return self.result.table

    @property
    def player(self) -> Player | None:
        """The player of the bag, if there is one."""
        return self.bag.player if self.bag else None


def load_bag_of(source: Source) -> Bag | None:
    """The bag file of a source, with what was said of the player over it; None without either."""
    if source.bag is None and not source.said:
        return None
    from bagwright.bag.file import load_bag

    bag = load_bag(source.bag) if source.bag is not None else Bag()
    return replace(bag, player=replace(bag.player, **source.said))  # type: ignore[arg-type]


def shot_paths(source: Source, bag: Bag | None) -> tuple[Path, ...]:
    """The shot tables named, then those that the bag file lists, each once."""
    listed: list[Path] = []
    if bag is not None and source.bag is not None and not source.named_only:
        listed = [source.bag.parent / name for name in bag.shot_files]
    seen: dict[Path, Path] = {}
    for path in (*source.shots, *listed):
        seen.setdefault(path.resolve(), path)
    return tuple(seen.values())


def load(source: Source, ask: Ask | None = None, progress: Progress | None = None) -> Loaded:
    """Read every shot table of a source, asking what the tables leave open.

    Answers given are kept in the source's map file when there is one. Without `ask`, questions stay in the
    result for the caller to show; nothing is guessed for them.
    """
    from bagwright.shots.read import read_shots

    bag = load_bag_of(source)
    paths = shot_paths(source, bag)
    if not paths:
        raise InputError(
            "No shot table was named.", 'Name one, or list it in the bag file: shots = ["visit.csv"].'
        )
    answers = answers_of(source)
    asked: set[tuple[str, str]] = set()
    while True:
        result = read_shots(*paths, bag=bag, answers=answers, progress=progress)
        new = [q for q in result.questions if (q.file, q.key) not in asked]
        if ask is None or not new:
            return Loaded(result, bag)
        if _put(new[0], ask, answers) and source.map_file is not None:
            answers.save(source.map_file)
        asked.add((new[0].file, new[0].key))


def _put(question: Question, ask: Ask, answers: Answers) -> bool:
    """Ask one question; True when it was answered. The same answer serves the other files."""
    chosen = ask(question)
    if chosen is None:
        return False
    answers[question.key] = chosen
    return True


def answers_of(source: Source) -> Answers:
    """The answers of the map file, with those given on the command line over them."""
    from bagwright.shots.answers import Answers

    if source.map_file is not None and source.map_file.exists():
        answers = Answers.load(source.map_file)
    else:
        answers = Answers()
    for key, option in source.answers.items():
        answers[key] = option
    return answers


@dataclass(frozen=True, slots=True)
class Wish:
    """What the user asks of a verdict beside the slot; metres, `weights` in metres of miss per unit."""

    by: Measure = "miss"
    spot_m: float | None = None
    width_m: float | None = None
    ratings_file: Path | None = None
    weights: Mapping[str, float] = field(default_factory=dict)
    care: str = "normal"
    aligned: bool = False
    compare: Literal["build", "ball"] = "build"
    system: System = "yards"


@dataclass(frozen=True, slots=True)
class Judged:
    """A verdict with everything it rests on."""

    loaded: Loaded
    fits: Dispersions
    verdict: Verdict


def parse_weights(texts: Sequence[str]) -> dict[str, float]:
    """Turn "rating=2" into {"rating": 2 yards in metres}. Raises InputError for an unknown side or no number."""
    from bagwright.trial.weights import UNITS
    from bagwright.units import M_PER_YD

    found: dict[str, float] = {}
    for text in texts:
        name, _, value = text.partition("=")
        if name.strip() not in UNITS:
            raise InputError(f'--weight "{text[:40]}" weighs nothing known.', f"Use {', '.join(UNITS)}.")
        try:
            found[name.strip()] = float(value) * M_PER_YD
        except ValueError as error:
            raise InputError(f'--weight "{text[:40]}" has no number.', "Write it like rating=2.") from error
    return found


def read_ratings_file(path: Path) -> dict[str, dict[str, float]]:
    """The player's ratings: a TOML table for each build, such as ["50 cavity"] look = 4.

    Raises ReadError when it cannot be read; the values are checked where they are used.
    """
    import tomllib

    try:
        data = tomllib.loads(path.read_text(encoding="utf-8-sig"))
    except OSError as error:
        raise ReadError(
            f"{path.name} cannot be opened ({error.strerror}).", "Check the name after --ratings."
        ) from error
    except (UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
        raise ReadError(f"{path.name} is not a TOML file ({error}).", "Correct that line.") from error
    wrong = [name for name, table in data.items() if not isinstance(table, dict)]
    if wrong:
        raise ReadError(
            f'{path.name}: "{wrong[0][:40]}" is no build.', 'Write ["50 cavity"] and below it look = 4.'
        )
    return data


SUGGEST_UP_TO = 5_000
"""Tables longer than this are read without the model's suggestions: a visit has a hundred balls, not thousands."""


def with_suggestions(loaded: Loaded) -> Loaded:
    """Add the marks that the dispersion model suggests, with their probability, to what was flagged.

    Nothing is applied. Needs answered questions: while one is open, or for very long tables, nothing is added.
    """
    result = loaded.result
    if result.open_questions or not 0 < loaded.table.n <= SUGGEST_UP_TO:
        return loaded
    found = _suggested(loaded, fit(loaded))
    return replace(loaded, result=replace(result, flagged=(*result.flagged, *found)))


def _suggested(loaded: Loaded, fits: Dispersions) -> tuple[Flagged, ...]:
    from bagwright.dispersion.marks import suggest_marks
    from bagwright.shots.result import Flagged

    known = {flag.shot for flag in loaded.result.flagged}
    marks = {i: mark for i, mark in suggest_marks(fits, loaded.table).items() if i not in known}
    shots = {i: loaded.table.shot(i) for i in marks}
    return tuple(Flagged(shot.source_file, shot.source_row, i, marks[i]) for i, shot in shots.items())


def fit(loaded: Loaded) -> Dispersions:
    """Fit the dispersion model to everything that was read. Raises QuestionError while questions are open."""
    from bagwright.dispersion.fit import fit_dispersion

    loaded.result.require_answers()
    if loaded.table.n == 0:
        raise InputError(
            "No shot was accepted, so there is nothing to judge.", "See `bagwright read` for the reasons."
        )
    return fit_dispersion(loaded.table, loaded.player, loaded.bag)


def judge_slot(source: Source, slot: str, wish: Wish, ask: Ask | None = None) -> Judged:
    """Read, fit and judge: which of the slot's candidates earns it."""
    loaded = load(source, ask)
    return judge_loaded(loaded, fit(loaded), slot, wish)


def judge_loaded(loaded: Loaded, fits: Dispersions, slot: str, wish: Wish) -> Judged:
    """Judge a slot on shots that are read and fitted already."""
    from bagwright.trial.verdict import judge
    from bagwright.trial.weights import Weights

    ratings = read_ratings_file(wish.ratings_file) if wish.ratings_file is not None else None
    weights = Weights(**{f"{name}_m": value for name, value in wish.weights.items()})
    aligned = wish.aligned or any(c.aligned == "checked" for c in loaded.result.conditions.values())
    verdict = judge(
        loaded.table,
        slot,
        loaded.bag,
        fits=fits,
        by=wish.by,
        weights=weights,
        ratings=ratings,
        width_m=wish.width_m,
        spot_m=wish.spot_m,
        careful=wish.care,
        aligned=aligned,
        compare=wish.compare,
        system=wish.system,
    )
    return Judged(loaded, fits, replace(verdict, cautions=(*verdict.cautions, *_doubts(loaded, verdict))))


def _doubts(loaded: Loaded, verdict: Verdict) -> tuple[str, ...]:
    """Say which accepted rows look like bad reads: nothing is left out before somebody marks it."""
    out = {left.index for left in verdict.shots_left_out}
    flagged = (f for f in loaded.result.flagged if f.mark.author == "model" and f.mark.kind == "bad-read")
    rows = [f for f in flagged if f.shot not in out]
    if not rows:
        return ()
    named = ", ".join(f"{f.file} row {f.row} ({f.mark.reason})" for f in rows[:5])
    more = f" and {len(rows) - 5} more" if len(rows) > 5 else ""
    return (f"Counted, but looks like a bad read: {named}{more}. Mark it in the table if it was one.",)


def measure_bag(source: Source, step: str | None = None, ask: Ask | None = None) -> DistanceTable:
    """Carries of the bag with ranges, steps, overlaps and gaps."""
    loaded = load(source, ask)
    return measure_loaded(loaded, fit(loaded), step)


def measure_loaded(loaded: Loaded, fits: Dispersions, step: str | None = None) -> DistanceTable:
    """Distances of shots that are read and fitted already; `step` such as "7-10" is the even step in percent."""
    from bagwright.distances import StepRules, distances

    return distances(fits, loaded.bag, StepRules() if step is None else _step_rules(step, StepRules()))


def _step_rules(text: str, usual: StepRules) -> StepRules:
    low, _, high = text.replace("%", "").partition("-")
    try:
        shares = (float(low) / 100.0, float(high) / 100.0)
    except ValueError as error:
        raise InputError(f'--step "{text[:30]}" is not two numbers.', 'Write it like "7-10".') from error
    return replace(usual, even_low=shares[0], even_high=shares[1])


def check_bag(path: Path) -> Check:
    """The club limit and the equipment limits that a bag file lets us know."""
    from bagwright.bag.file import load_bag
    from bagwright.bag.rules import check

    return check(load_bag(path))


def brief_slot(
    source: Source, slot: str, spot_m: float | None = None, ask: Ask | None = None, system: System = "yards"
) -> Brief:
    """What a slot must do, from the bag alone, and the rack ranked by the chance of doing it.

    Without any shot table the carries are estimated from the player and the lofts, and are wide.
    """
    from bagwright.trial.brief import write_brief

    bag = load_bag_of(source)
    if bag is None or not bag.clubs:
        raise InputError("A brief needs the bag.", "Name it with --bag bag.toml.")
    fits = fit(load(source, ask)) if shot_paths(source, bag) else None
    return write_brief(slot, bag, fits, spot_m=spot_m, system=system)


def plan_order(
    *,
    slot: str,
    whole_bag: bool,
    balls: int | None,
    minutes: float | None,
    block: int,
    swings: str | None,
    rules: Sequence[str],
    warm_up: int,
    already_hit: int,
    bag: Path | None,
    age: float | None,
    pain: bool,
) -> Plan:
    """A fair order of balls for a trial or a whole bag."""
    from bagwright.bag.file import load_bag
    from bagwright.trial.plan import plan_trial

    loaded = load_bag(bag) if bag is not None else None
    player = loaded.player if loaded is not None else Player()
    player = replace(player, age=player.age if age is None else age, pain=player.pain or pain)
    if not slot and not whole_bag:
        raise InputError("No slot was named.", 'Name the builds with --slot "A,B", or plan the --whole-bag.')
    return plan_trial(
        slot,
        balls=balls,
        minutes=minutes,
        player=player,
        bag=loaded,
        swings=None if swings is None else [word.strip() for word in swings.split(",") if word.strip()],
        block=block,
        warm_up=warm_up,
        constraints=tuple(rules),
        whole_bag=whole_bag,
        already_hit=already_hit,
    )


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


@dataclass(frozen=True, slots=True)
class Written:
    """The files that were written."""

    files: tuple[Path, ...]


def write_papers(source: Source, order: PaperOrder, ask: Ask | None = None) -> Written:
    """Read, fit, judge where a slot is named, and write the papers."""
    loaded = load(source, ask)
    fits = fit(loaded)
    verdict = None
    bag = loaded.bag
    if order.kinds == ("build",) and order.slot and bag is not None and bag.find(order.slot) is not None:
        from bagwright.report.gather_bag import build_clubs

        # One club named: the decision is made, so its sheet needs no verdict.
        gathered = gather_all(loaded, fits, None, order.system)
        return Written(_write(replace(gathered, build=build_clubs(bag, order.slot)), order))
    if order.slot:
        verdict = judge_loaded(loaded, fits, order.slot, Wish(system=order.system)).verdict
    return Written(_write(gather_all(loaded, fits, verdict, order.system), order))


def gather_all(loaded: Loaded, fits: Dispersions, verdict: Verdict | None, system: System) -> ReportInput:
    """Everything that the papers show, from what was read, fitted and judged."""
    from bagwright.bag.rules import check
    from bagwright.report.gather import gather

    bag = loaded.bag if loaded.bag is not None and loaded.bag.clubs else None
    return gather(
        loaded.table,
        fits,
        bag=loaded.bag,
        verdict=verdict,
        distances=measure_loaded(loaded, fits),
        check=check(bag) if bag is not None else None,
        conditions=loaded.result.conditions,
        system=system,
    )


def _write(gathered: ReportInput, order: PaperOrder) -> tuple[Path, ...]:
    from bagwright.report.build import write_build_sheet
    from bagwright.report.pdf import write_report
    from bagwright.report.yardage import write_yardages

    writers = {"report": write_report, "yardages": write_yardages, "build": write_build_sheet}
    return tuple(
        writers[kind](gathered, order.out, date=order.date, paper=order.paper, system=order.system)
        for kind in order.kinds
    )


def write_clean(loaded: Loaded, path: Path, system: System) -> None:
    """Write the accepted shots as a table under our own headings."""
    from bagwright.shots.write import write_shots

    write_shots(loaded.table, path, system)


def account(loaded: Loaded) -> dict[str, object]:
    """What was understood of the tables, for a JSON document: every row accounted for."""
    result = loaded.result
    names = ("rows_read", "accepted", "rejected", "left_out", "flagged", "columns", "questions", "conditions")
    return {name: getattr(result, name) for name in (*names, "unknown_clubs", "files")}


@dataclass(frozen=True, slots=True)
class DemoResult:
    """The demo's whole visit; `answer` is page one of the report as plain lines."""

    verdict: Verdict
    distances: DistanceTable
    answer: tuple[str, ...]
    files: tuple[Path, ...]


_DEMO_STEPS = 5


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
    gathered = gather_all(loaded, fits, verdict, system)
    order = PaperOrder(out, datetime.date(*demo.DATE), slot=demo.SLOT, paper=paper, system=system)
    written = _write(gathered, order)
    step(4, _DEMO_STEPS)
    from bagwright.report.text import answer_lines

    table = measure_loaded(loaded, fits)
    step(5, _DEMO_STEPS)
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
