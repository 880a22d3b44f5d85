"""Workers of this machine: processes that may die without taking anything with them.

A process pool of the standard library is broken as a whole when one of its processes dies (Python's
documentation of `concurrent.futures.process.BrokenProcessPool`). Here each worker has a thread that feeds it:
the thread starts another worker where one died and gives it the same task; a task that was at work in two
workers that died is said to have failed.
"""

from __future__ import annotations

import os
import pickle
import queue
import signal
import subprocess
import sys
import threading
from collections.abc import Iterable, Iterator
from contextlib import suppress
from dataclasses import replace
from types import TracebackType
from typing import Any

from bagwright.errors import BagwrightError, InputError, MachineError
from bagwright.study.task import Job, Outcome, Start, Task
from bagwright.study.worker import CODE
from bagwright.words import plain, tell

LIVES = 2
"""Workers that a task may take with it before it has failed."""
BEGINNINGS = 3
"""Workers in a row that may die before they are ready: then it is the machine, not a task."""
PULSE_S = 0.5
NEW_GROUP_OF_WINDOWS = 0x200
"""CREATE_NEW_PROCESS_GROUP, which `subprocess` knows under Windows only."""
LIMITS = ("NUMBA_NUM_THREADS", "OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS")


def cores() -> int:
    """Processors that this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


class LostError(Exception):
    """The worker is gone; the text says how it ended."""


class Worker:
    """One process, and the line to it. Not for two threads at once."""

    def __init__(self, start: Start) -> None:
        limits = dict.fromkeys(LIMITS, str(start.threads))
        # Ctrl-C is for the study, which then ends its workers.
        apart: dict[str, Any] = (
            {"creationflags": NEW_GROUP_OF_WINDOWS}
            if sys.platform == "win32"
            else {"start_new_session": True}
        )
        self._process = subprocess.Popen(  # noqa: S603 - our own interpreter, our own code
            [sys.executable, "-c", CODE],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            env={**os.environ, **limits},
            **apart,
        )
        self._start = start

    def begin(self) -> None:
        """Have it load the question. Raises LostError where it dies meanwhile."""
        self._send(self._start)
        self._hear("ready")

    @property
    def pid(self) -> int:
        """Number of the process."""
        return self._process.pid

    def ask(self, job: Job) -> Outcome:
        """Have one task answered. Raises LostError where the worker dies over it."""
        self._send(job)
        outcome: Outcome = self._hear("done")
        return outcome

    def _send(self, what: object) -> None:
        line = self._process.stdin
        try:
            if line is None:
                raise BrokenPipeError
            pickle.dump(what, line)
            line.flush()
        except (OSError, ValueError) as error:
            raise LostError(self._end()) from error

    def _hear(self, wanted: str) -> Any:
        line = self._process.stdout
        try:
            if line is None:
                raise EOFError
            kind, what = pickle.load(line)  # noqa: S301 - our own child's, through a private pipe
        except (EOFError, OSError, ValueError, pickle.UnpicklingError) as error:
            raise LostError(self._end()) from error
        if kind == "broken":
            message, step, code = what
            self.end()
            raise (MachineError if code == MachineError.exit_code else InputError)(message, step)
        if kind != wanted:
            raise LostError(self._end())
        return what

    def _end(self) -> str:
        self.end()
        return told_end(self._process.returncode)

    def kill(self) -> None:
        """Kill the process; whoever waits for its answer is told that it is lost."""
        self._process.kill()

    def end(self) -> None:
        """End the process now, and everything that belongs to it."""
        self._process.kill()
        for line in (self._process.stdin, self._process.stdout):
            if line is not None:
                with suppress(OSError):
                    line.close()
        self._process.wait()


def told_end(code: int) -> str:
    """How a process ended, in words."""
    if code >= 0:
        return tell("it ended with code {code}", code=code)
    try:
        name = signal.Signals(-code).name
    except ValueError:
        name = str(-code)
    if name == "SIGKILL":
        return tell("it was killed, as the system does where memory runs out")
    return tell("it was ended by {name}", name=name)


class Pool:
    """Some workers of this machine; a context that leaves no process behind."""

    def __init__(self, start: Start, processes: int) -> None:
        self._start = replace(start, path=tuple(sys.path))
        self._processes = processes
        self._workers: dict[int, Worker] = {}
        self._found: queue.SimpleQueue[Outcome | BaseException | None] = queue.SimpleQueue()
        self._lock = threading.Lock()
        self._over = False
        self._threads: list[threading.Thread] = []

    def __enter__(self) -> Pool:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        with self._lock:
            self._over = True
            workers = list(self._workers.values())
        for worker in workers:
            worker.kill()
        for thread in self._threads:
            thread.join()

    @property
    def pids(self) -> list[int]:
        """Numbers of the processes that are at work."""
        with self._lock:
            return [worker.pid for worker in self._workers.values()]

    def words(self) -> str:
        """Who works, for the line of progress."""
        return ""

    def answers(self, tasks: Iterable[Task]) -> Iterator[Outcome | None]:
        """Outcomes in the order in which they come; None now and then while there is nothing new.

        Tasks are taken from `tasks` only when a worker is free. The first error of the machine ends all.
        """
        source, taking = iter(tasks), threading.Lock()
        self._threads = [
            threading.Thread(target=self._feed, args=(i, source, taking), name=f"study-{i}", daemon=True)
            for i in range(self._processes)
        ]
        for thread in self._threads:
            thread.start()
        left = len(self._threads)
        while left:
            try:
                found = self._found.get(timeout=PULSE_S)
            except queue.Empty:
                yield None
                continue
            if found is None:
                left -= 1
            elif isinstance(found, BaseException):
                raise found
            else:
                yield found

    def _feed(self, i: int, source: Iterator[Task], taking: threading.Lock) -> None:
        """Give one worker task after task until there is none."""
        try:
            while not self._over:
                with taking:
                    task = next(source, None)
                if task is None:
                    break
                outcome = self._answered(i, task)
                if outcome is not None:
                    self._found.put(outcome)
            self._end(i)
            self._found.put(None)
        except BaseException as error:  # noqa: BLE001 - raised again where the answers are read
            self._found.put(error)

    def _answered(self, i: int, task: Task) -> Outcome | None:
        """One task's outcome; None where the study is over before there is one."""
        try:
            job = Job.of(task)
        except MachineError:
            raise
        except BagwrightError as error:
            return Outcome(task.number, {}, plain(str(error)))
        how = ""
        for _life in range(LIVES):
            worker = self._worker(i)
            if worker is None:
                return None
            try:
                return worker.ask(job)
            except LostError as lost:
                how = plain(str(lost))
                self._end(i)
                if self._over:
                    return None
        reason = tell("Two workers were lost over this task; of the second: {how}.", how=how)
        return Outcome(task.number, {}, plain(reason))

    def _worker(self, i: int) -> Worker | None:
        """The worker of a thread, a new one where it has none; None where the study is over."""
        how = ""
        for _beginning in range(BEGINNINGS):
            with self._lock:
                if self._over:
                    return None
                if i in self._workers:
                    return self._workers[i]
                worker = self._workers[i] = Worker(self._start)
            try:
                worker.begin()
                return worker
            except LostError as lost:
                how = plain(str(lost))
                self._end(i)
        raise MachineError(
            tell("No worker could be started: {how}.", how=how),
            tell("Look above for its own words; free some memory, or take fewer with --processes."),
        )

    def _end(self, i: int) -> None:
        with self._lock:
            worker = self._workers.pop(i, None)
        if worker is not None:
            worker.end()
