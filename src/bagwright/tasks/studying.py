"""The same question over many players: put together, run, summed up, drawn."""

from __future__ import annotations

import hashlib
from array import array
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import AbstractContextManager
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from bagwright.errors import InputError
from bagwright.tasks.asking import PLAYER_COLUMNS, STROKES_COLUMNS
from bagwright.tasks.asking_pick import PICK_COLUMNS
from bagwright.tasks.study_players import Players
from bagwright.tasks.study_rounds import RoundSpec, common_of, plain_rounds
from bagwright.words import tell

if TYPE_CHECKING:
    from bagwright.report.charts import Chart
    from bagwright.study import Cell, Kept, Outcome, Start, Study, Task, Watch
    from bagwright.study.run import Engine
    from bagwright.study.table import Columns, Kind
    from bagwright.tasks.study_summary import Summary

_WHOLE = ("player", "shots", "par", "slots", "near")
_FLAGS = ("converged", "optimal")
_NUMBERS = (
    "weight", "handicap", "driver_speed_mps", "strokes", "sd", "error_bound", "doubt_sd", "strokes_today", "bound",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Question:
    """A question that can be asked of many players: its function, its columns, one row a round or for all."""

    function: str
    columns: tuple[str, ...]
    each_round: bool


QUESTIONS: dict[str, Question] = {
    "strokes": Question(
        "bagwright.tasks.asking:strokes", (*PLAYER_COLUMNS, *STROKES_COLUMNS), each_round=True
    ),
    "pick": Question("bagwright.tasks.asking_pick:pick", (*PLAYER_COLUMNS, *PICK_COLUMNS), each_round=False),
}


@dataclass(frozen=True, slots=True)
class StudyWish:
    """What is asked of whom, and where the answers go.

    `clubs` is a bag file: the clubs of players that are made of figures. `draws` are rounds from shots drawn
    anew, for how well the shots know the strokes. `names` puts names into the rows. `again` takes up once more
    what failed.
    """

    question: str
    players: Players
    rounds: tuple[RoundSpec, ...]
    out: Path
    clubs: Path | None = None
    draws: int = 0
    names: bool = False
    seed: int = 0
    chunk: int | None = None
    again: bool = False


@dataclass(frozen=True, slots=True)
class Workers:
    """Who works: processes here with threads each, or whoever joined the scheduler at an address."""

    processes: int | None = None
    threads: int | None = None
    scheduler: str | None = None

    def engine(self, start: Start) -> AbstractContextManager[Engine]:
        """The workers for a study. Raises InputError for numbers that cannot be."""
        if self.scheduler is not None:
            from bagwright.study.cluster import Cluster

            return Cluster(replace(start, threads=self.threads or 1), self.scheduler)
        from bagwright.study.pool import Pool, cores

        processes = self.processes or cores()
        return Pool(replace(start, threads=self.threads or max(1, cores() // processes)), processes)


@dataclass(frozen=True, slots=True)
class Failed:
    """A task that failed: the player's number, the round, why; `where` its input is, "" where nobody asked."""

    player: int
    course: str
    tees: str
    wind: str
    reason: str
    where: str = ""


@dataclass(frozen=True, slots=True)
class StudyAnswer:
    """What a study found. `done` players have every answer; `failed` lists the tasks that have none."""

    question: str
    players: int
    done: int
    failed: tuple[Failed, ...]
    tasks: int
    answered_before: int
    rounds: tuple[Mapping[str, Any], ...]
    summary: Summary
    files: tuple[Path, ...] = ()


def study_of(wish: StudyWish) -> Study:
    """Put a study together: what all tasks share, every task, what the answers depend on. Raises InputError."""
    import bagwright
    from bagwright.report.strokes.round import VERSION
    from bagwright.study import Study
    from bagwright.study.plan import digest_of
    from bagwright.tasks.asking import like_of

    question = QUESTIONS[wish.question]
    clubs = _clubs_text(wish)
    common = {**common_of(wish.rounds), "clubs": clubs, "draws": wish.draws}
    like_of(common)
    parts = {
        str(tell("the courses, tees, winds and weights")): digest_of(
            [common["rounds"], sorted(common["files"])]
        ),
        str(tell("the clubs of the table's players")): digest_of(clubs),
        str(tell("the draws")): digest_of(wish.draws),
        str(tell("the names")): digest_of(wish.names),
        str(tell("the method's version")): digest_of(VERSION),
    }
    settings = {"rounds": plain_rounds(common), "draws": wish.draws, "names": wish.names}
    return Study(
        question.function, bagwright.__version__, common, partial(tasks_of, wish, common), wish.players.count, parts,
        settings, wish.seed,
    )  # fmt: skip


def _clubs_text(wish: StudyWish) -> str:
    from bagwright.bag.file import dump_bag, load_bag

    if wish.clubs is None:
        return ""
    if not wish.players.figures:
        raise InputError(
            tell("Players with files have their own clubs."),
            tell("Leave --clubs out, or give a table of figures."),
        )
    return dump_bag(replace(load_bag(wish.clubs), shot_files=()))


def tasks_of(wish: StudyWish, common: Mapping[str, Any]) -> Iterator[Task]:
    """Every player on every round, or every player once where the question takes all rounds together."""
    from bagwright.study import Task

    rounds = common["rounds"] if QUESTIONS[wish.question].each_round else [None]
    keys = [_key(common["rounds"] if one is None else [one]) for one in rounds]
    number = 0
    for n, player in enumerate(wish.players.each(), 1):
        for i, one in enumerate(rounds):
            row: dict[str, Cell] = {"player": n}
            if wish.names:
                row["name"] = player.name
            if one is not None:
                row |= {name: one[name] for name in ("course", "tees", "wind", "weight")}
            yield Task(number, f"{player.key}\n{keys[i]}", row, partial(_given, player.load, i))
            number += 1


def _given(load: Callable[[], Mapping[str, Any]], number: int) -> dict[str, Any]:
    return {"player": load(), "round": number}


def _key(rounds: Sequence[Mapping[str, Any]]) -> str:
    text = "\n".join(f"{one['file']} {one['tees']} {one['wind']} {one['weight']}" for one in rounds)
    return hashlib.sha256(text.encode()).hexdigest()


def columns_of(wish: StudyWish) -> Columns:
    """The columns of the table of answers, each with what it holds."""
    question = QUESTIONS[wish.question]
    names = ["player", *(["name"] if wish.names else [])]
    names += ["course", "tees", "wind", "weight"] if question.each_round else []
    return {name: _kind(name) for name in (*names, *question.columns, "failed")}


def _kind(name: str) -> Kind:
    if name in _WHOLE:
        return "whole"
    if name in _FLAGS:
        return "flag"
    return "number" if name in _NUMBERS else "text"


def run_study(wish: StudyWish, workers: Workers, watch: Watch) -> StudyAnswer:
    """Answer what is not answered yet in the folder, then write the table, the summary and the pictures.

    Raises InputError for inputs that cannot be used or that are not those the folder was begun with,
    MachineError, and what `watch` raises; what is done by then is kept.
    """
    from bagwright.study import run

    study = study_of(wish)
    kept, counts = run(study, wish.out, workers.engine, watch, chunk=wish.chunk, again=wish.again)
    return _written(wish, study, kept, counts.before)


def _written(wish: StudyWish, study: Study, kept: Kept, before: int) -> StudyAnswer:
    from bagwright.files import write_whole
    from bagwright.plain import to_json
    from bagwright.report.charts import to_svg
    from bagwright.study.table import has_parquet, write_csv, write_parquet
    from bagwright.tasks.study_summary import summary_of

    columns = columns_of(wish)
    files = [write_csv(wish.out / "answers.csv", columns, _rows(study, kept))]
    if has_parquet():
        files.append(write_parquet(wish.out / "answers.parquet", columns, _rows(study, kept)))
    seconds = array("d")
    failed: list[Failed] = []
    rounds = len(study.common["rounds"]) if QUESTIONS[wish.question].each_round else 1
    gathered = _Gathered(seconds, failed)
    summary = summary_of(_rows(study, kept, gathered.see), rounds, seconds)
    lost = {one.player for one in failed}
    answer = StudyAnswer(
        wish.question, study.players, study.players - len(lost), tuple(failed), kept.plan.tasks, before,
        tuple(study.settings["rounds"]), summary,
    )  # fmt: skip
    charts = _charts(wish, summary)
    places = [wish.out / f"{chart.name}.svg" for chart in charts]
    answer = replace(answer, files=(*files, wish.out / "summary.json", *places))
    write_whole(wish.out / "summary.json", to_json(answer).encode())
    for chart, place in zip(charts, places, strict=True):
        write_whole(place, to_svg(chart).encode())
    return answer


@dataclass(frozen=True, slots=True)
class _Gathered:
    """What is picked up while the rows go by."""

    seconds: array[float]
    failed: list[Failed]

    def see(self, row: Mapping[str, Cell], outcome: Outcome) -> None:
        """Note an outcome's time, or why there is none."""
        if not outcome.failed:
            self.seconds.append(outcome.processor_s)
            return
        course, tees, wind = (str(row.get(name) or "") for name in ("course", "tees", "wind"))
        self.failed.append(Failed(int(row["player"] or 0), course, tees, wind, outcome.failed))


def _rows(
    study: Study, kept: Kept,
    see: Callable[[Mapping[str, Cell], Outcome], None] = lambda row, outcome: None,
) -> Iterator[Mapping[str, Cell]]:  # fmt: skip
    """The rows of a study in the order of its tasks."""
    tasks = study.tasks()
    for task, outcome in zip(tasks, kept.outcomes(), strict=True):
        row = {**task.row, **outcome.row, "failed": outcome.failed or None}
        see(row, outcome)
        yield row


def _charts(wish: StudyWish, summary: Summary) -> list[Chart]:
    from bagwright.report.charts.study import clubs_chart, spread_chart, worth_chart

    picked = not QUESTIONS[wish.question].each_round
    names = [line.club for line in summary.clubs]
    charts = [spread_chart(summary._values), clubs_chart(summary.shares, names, picked=picked)]
    if picked:
        worth = {line.club: [one.value for one in line.worth] for line in summary.clubs if line.worth}
        charts.append(worth_chart(worth))
    return charts


def named_failures(wish: StudyWish, failed: Sequence[Failed]) -> tuple[Failed, ...]:
    """The failures with where their inputs are, for whoever runs the study; it is written nowhere."""
    wanted = {one.player for one in failed}
    where = {n: player.where for n, player in enumerate(wish.players.each(), 1) if n in wanted}
    return tuple(replace(one, where=where.get(one.player, "")) for one in failed)
