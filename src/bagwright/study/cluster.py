"""Workers of many machines, through `dask.distributed`: whatever machines join its scheduler take part.

The scheduler and the workers are started by whoever runs the study (docs/study.md). What all tasks share goes
to every worker once, also to those that come later (a worker plugin); tasks go in batches. A batch whose
workers died again and again, as the scheduler counts (`distributed.scheduler.allowed-failures`), is given
once more task by task, so that only the one that ends its workers is lost.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from itertools import islice
from types import TracebackType
from typing import Any

from bagwright.errors import BagwrightError, MachineError
from bagwright.study.call import Asked
from bagwright.study.plan import digest_of
from bagwright.study.task import Job, Outcome, Start, Task
from bagwright.words import plain, tell, tell_n

BATCH = 8
"""Tasks of a batch: what a worker that is lost may take with it, against one or two thousandths of a second
that the scheduler spends on each (measured, docs/scale.md)."""
AHEAD = 2
"""Batches for every thread of a worker that are given out before they are asked for."""
CONNECT_S = 20
PULSE_S = 0.5

_ASKED: dict[str, Asked] = {}
"""In a worker: the questions that were begun in its process, by the digest of what they were begun with."""
_STARTS: dict[str, Start] = {}


def remember(name: str, start: Start) -> None:
    """In a worker: what a study's tasks will need."""
    _STARTS[name] = start


def answer(name: str, jobs: list[Job]) -> list[Outcome]:
    """In a worker: answer a batch."""
    if name not in _ASKED:
        _ASKED.clear()  # one study at a time: its courses would stay in memory
        _ASKED[name] = Asked(_STARTS[name])
    return [_ASKED[name](job) for job in jobs]


class Cluster:
    """The workers of one scheduler; a context that leaves them as they were."""

    def __init__(self, start: Start, address: str, *, batch: int = BATCH) -> None:
        self._address, self._batch = address, batch
        self._start = replace(start, path=())
        self._name = f"bagwright-{digest_of([start.question, start.common, start.seed, start.program])[:16]}"
        self._client: Any = None
        self._jobs: dict[Any, list[Job]] = {}

    def __enter__(self) -> Cluster:
        try:
            from distributed import Client
        except ImportError as error:
            raise MachineError(
                tell("The package distributed is not installed."),
                tell("Install bagwright with its extra [cluster], on every machine."),
            ) from error
        try:
            self._client = Client(self._address, timeout=CONNECT_S, set_as_default=False)
        except (OSError, ValueError) as error:
            raise MachineError(
                tell(
                    "No scheduler answers at {address} ({error}).", address=self._address, error=_short(error)
                ),
                tell("Start one with `dask scheduler`, and workers with `dask worker`."),
            ) from error
        self._client.register_plugin(_plugin(self._name, self._start), name=self._name)
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if self._client.status == "running":
            self._client.cancel(list(self._jobs), force=True)
            self._client.unregister_worker_plugin(self._name)
        self._client.close(timeout=CONNECT_S)

    @property
    def threads(self) -> int:
        """How many tasks the workers answer at a time."""
        return sum(self._client.nthreads().values())

    def words(self) -> str:
        """Who works, for the line of progress."""
        n = len(self._client.scheduler_info(n_workers=-1)["workers"])
        return tell_n("{n} worker", "{n} workers", n)

    def answers(self, tasks: Iterable[Task]) -> Iterator[Outcome | None]:
        """Outcomes as they come; None now and then while there is nothing new.

        Raises MachineError where the scheduler is lost, and what a task's input or a worker raises.
        """
        import distributed

        source = iter(tasks)
        over = False
        while True:
            while not over and len(self._jobs) < max(1, AHEAD * self.threads):
                found = list(islice(source, self._batch))
                over = len(found) < self._batch
                jobs = []
                for task in found:
                    outcome, job = _read(task)
                    if outcome is not None:
                        yield outcome
                    if job is not None:
                        jobs.append(job)
                if jobs:
                    self._give(jobs)
            if over and not self._jobs:
                return
            try:
                with self._client.as_current():
                    waited = distributed.wait(list(self._jobs), PULSE_S, return_when="FIRST_COMPLETED")
                done = waited.done
            except (TimeoutError, distributed.TimeoutError):
                self._check()
                yield None
                continue
            except distributed.client.FutureCancelledError:
                done = {future for future in self._jobs if future.cancelled()}
            for future in done:
                yield from self._taken(future)

    def _give(self, jobs: list[Job]) -> None:
        future = self._client.submit(answer, self._name, jobs, pure=False, retries=0)
        self._jobs[future] = jobs

    def _check(self) -> None:
        if self._client.status != "running":
            raise MachineError(
                tell("The scheduler at {address} is lost.", address=self._address),
                tell("Start it again, then run the study again: it goes on where it was."),
            )

    def _taken(self, future: Any) -> Iterator[Outcome]:
        """What came of a batch. One that ended its workers is given again, task by task."""
        from distributed.scheduler import KilledWorker

        jobs = self._jobs.pop(future)
        if future.status == "finished":
            yield from future.result()
            return
        self._check()
        error = future.exception() if future.status == "error" else None
        if error is None:  # cancelled, or lost with the machine that had it
            self._give(jobs)
            return
        if not isinstance(error, KilledWorker):
            raise error if isinstance(error, BagwrightError) else _told(error)
        if len(jobs) == 1:
            reason = tell("Every worker that took up this task was lost.")
            yield Outcome(jobs[0].number, {}, plain(reason))
            return
        for job in jobs:
            self._give([job])


def _read(task: Task) -> tuple[Outcome | None, Job | None]:
    try:
        return None, Job.of(task)
    except MachineError:
        raise
    except BagwrightError as error:
        return Outcome(task.number, {}, plain(str(error))), None


def _plugin(name: str, start: Start) -> Any:
    from distributed import WorkerPlugin

    class Remember(WorkerPlugin):  # type: ignore[misc]
        """Tells a worker of a study, as soon as it is there."""

        def setup(self, worker: Any) -> None:
            remember(name, start)

    made = Remember()
    made.name = name
    return made


def _told(error: BaseException) -> MachineError:
    return MachineError(
        tell("A worker could not go on ({error}).", error=_short(error)),
        tell("See its own log; then run the study again: it goes on where it was."),
    )


def _short(error: BaseException) -> str:
    return f"{type(error).__name__}: {error}"[:200]
