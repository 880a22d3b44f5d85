"""The run of a study: what is missing goes to workers, what comes back is kept, whoever watches is told."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import AbstractContextManager
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Protocol

from bagwright.errors import InputError
from bagwright.study.kept import Kept, held
from bagwright.study.plan import Parts, Plan, begin, chunk_for, digest_of_tasks
from bagwright.study.task import Given, Outcome, Start, Task
from bagwright.words import tell


class Stop(Exception):  # noqa: N818 - somebody's wish, no error
    """Whoever watches wants the study to stop; everything that is done is kept."""


@dataclass(frozen=True, slots=True)
class Study:
    """A question over tasks. `tasks()` can be called again and gives the same tasks; it may read files.

    `common` is what all tasks share, `parts` says of what it is made, `settings` is for people.
    """

    question: str
    program: str
    common: Given
    tasks: Callable[[], Iterable[Task]]
    players: int
    parts: Parts
    settings: Mapping[str, Any]
    seed: int = 0


@dataclass(frozen=True, slots=True)
class Counts:
    """How far a study is, in tasks: all, done now and before (the failed ones too), those that failed."""

    tasks: int
    done: int
    before: int
    failed: int


class Watch(Protocol):
    """Whoever watches."""

    def reading(self, n: int) -> None:
        """`n` inputs were read to see whether they are as they were."""

    def at(self, counts: Counts, words: str) -> None:
        """So far it is; `words` say who works. May raise `Stop`."""


class Engine(Protocol):
    """Workers, wherever they are."""

    def answers(self, tasks: Iterable[Task]) -> Iterator[Outcome | None]:
        """Outcomes as they come, None now and then."""

    def words(self) -> str:
        """Who works."""


def planned(study: Study, folder: Path, chunk: int | None, watch: Watch) -> Plan:
    """Read all inputs once and begin the study in the folder, or go on with the one that stands there.

    Raises InputError where there is nothing to do, and as `begin`.
    """
    digest, n = digest_of_tasks(study.tasks(), watch.reading)
    if n == 0:
        raise InputError(tell("There is no player to work anything out for."), tell("Name some players."))
    parts = {**study.parts, tell("the players"): digest}
    plan = Plan(
        study.question, study.program, study.seed, n, study.players, chunk or chunk_for(n),
        {str(name): digest for name, digest in parts.items()}, study.settings,
    )  # fmt: skip
    return begin(folder, plan)[0]


def run(
    study: Study,
    folder: Path,
    engine: Callable[[Start], AbstractContextManager[Engine]],
    watch: Watch,
    *,
    chunk: int | None = None,
    again: bool = False,
) -> tuple[Kept, Counts]:
    """Answer what is not answered yet, and keep it. `again` takes up once more what failed.

    Everything that is done is on the disk when this ends, however it ends. Raises InputError for inputs that
    changed since the study was begun or while it ran, MachineError, and what `watch` raises.
    """
    with held(folder):
        plan = planned(study, folder, chunk, watch)
        kept = Kept(folder, plan)
        left = Left(kept, again)
        before = plan.tasks - left.tasks
        counts = Counts(plan.tasks, before, before, left.failed)
        watch.at(counts, "")
        if before < plan.tasks:
            start = Start(study.question, study.common, study.seed, study.program)
            counts = _work(study, kept, engine(start), left, counts, watch)
            _check_again(study, plan, watch)
    return kept, counts


class Left:
    """What is left to do: chunks that are whole, and the tasks that are done in those that are not."""

    def __init__(self, kept: Kept, again: bool) -> None:
        plan = kept.plan
        self._plan = plan
        self._whole: set[int] = set()
        self._done: dict[int, set[int]] = {}
        self.tasks, self.failed = plan.tasks, 0
        for chunk in range(plan.chunks):
            found = kept.take_up(chunk, again)
            self.tasks -= len(found)
            self.failed += sum(1 for outcome in found.values() if outcome.failed)
            if len(found) == plan.size_of(chunk):
                self._whole.add(chunk)
            elif found:
                self._done[chunk] = set(found)

    def of(self, tasks: Iterable[Task]) -> Iterator[Task]:
        """Those of the tasks that are left to do."""
        for task in tasks:
            chunk = self._plan.chunk_of(task.number)
            if chunk not in self._whole and task.number not in self._done.get(chunk, ()):
                yield task


def _work(
    study: Study, kept: Kept, engine: AbstractContextManager[Engine], left: Left, counts: Counts, watch: Watch
) -> Counts:
    done, failed = counts.done, counts.failed
    try:
        with engine as workers:
            for outcome in workers.answers(left.of(study.tasks())):
                if outcome is not None:
                    kept.put(outcome)
                    done, failed = done + 1, failed + bool(outcome.failed)
                kept.tick()
                counts = Counts(counts.tasks, done, counts.before, failed)
                watch.at(counts, workers.words())
    finally:
        kept.flush()
    return counts


def _check_again(study: Study, plan: Plan, watch: Watch) -> None:
    """Inputs are read when their turn comes: at the end they must still be what the study was begun with."""
    digest, _ = digest_of_tasks(study.tasks(), watch.reading)
    if plan.parts[str(tell("the players"))] != digest:
        raise InputError(
            tell("The players' files changed while they were worked on."),
            tell("Put them back and run the study again, or begin anew in another folder."),
        )
