"""What was found, kept in small files that are whole or absent; and the folder held by one run at a time."""

from __future__ import annotations

import json
import os
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import asdict
from pathlib import Path

from bagwright.errors import InputError, MachineError
from bagwright.files import write_whole
from bagwright.study.plan import Plan
from bagwright.study.task import Outcome
from bagwright.words import tell

CHUNKS = "chunks"
LOCK = ".lock"
EVERY_S = 20.0
"""A chunk that is not whole yet is written after so many seconds: the most that a killed run loses."""
A_FOLDER = 1000
"""Chunks of one folder: directories of hundreds of thousands of files are slow."""


class Kept:
    """The outcomes of a study in its folder: a file of JSON lines for every chunk of tasks."""

    def __init__(self, folder: Path, plan: Plan) -> None:
        self.folder, self.plan = folder, plan
        self._open: dict[int, dict[int, Outcome]] = {}
        self._dirty: set[int] = set()
        self._written = time.monotonic()

    def path_of(self, chunk: int) -> Path:
        """Where a chunk is kept."""
        return self.folder / CHUNKS / f"{chunk // A_FOLDER:03d}" / f"{chunk:06d}.jsonl"

    def read(self, chunk: int) -> dict[int, Outcome]:
        """The outcomes of a chunk by the tasks' numbers; none where it was not written yet.

        Raises MachineError for a file that cannot be read and InputError for one that is damaged.
        """
        path = self.path_of(chunk)
        try:
            lines = path.read_text(encoding="utf-8").splitlines()
        except FileNotFoundError:
            return {}
        except OSError as error:
            raise MachineError(
                tell("{path} cannot be read: {strerror}.", path=path, strerror=error.strerror),
                tell("Check the permissions."),
            ) from error
        try:
            found = [Outcome(**json.loads(line)) for line in lines]
        except (ValueError, TypeError) as error:
            raise InputError(
                tell("{path} is damaged ({error}).", path=path, error=str(error)[:100]),
                tell("Delete it and run the study again: only its tasks are worked out anew."),
            ) from error
        return {outcome.number: outcome for outcome in found}

    def outcomes(self) -> Iterator[Outcome]:
        """Every outcome that is kept, in the order of the tasks."""
        for chunk in range(self.plan.chunks):
            found = self.read(chunk)
            yield from (found[number] for number in sorted(found))

    def take_up(self, chunk: int, again: bool = False) -> dict[int, Outcome]:
        """The outcomes of a chunk that stay, to be written again with those that are still to come.

        `again` leaves out the ones that failed.
        """
        found = self.read(chunk)
        stay = {number: outcome for number, outcome in found.items() if not (again and outcome.failed)}
        if stay and len(stay) < self.plan.size_of(chunk):
            self._open[chunk] = dict(stay)
        return stay

    def put(self, outcome: Outcome) -> None:
        """Keep an outcome: in memory until its chunk is whole, or until `EVERY_S` have gone."""
        chunk = self.plan.chunk_of(outcome.number)
        self._open.setdefault(chunk, {})[outcome.number] = outcome
        self._dirty.add(chunk)
        if len(self._open[chunk]) == self.plan.size_of(chunk):
            self._write(chunk)
            del self._open[chunk]

    def tick(self) -> None:
        """Write what waits, where it is time."""
        if self._dirty and time.monotonic() - self._written >= EVERY_S:
            self.flush()

    def flush(self) -> None:
        """Write everything that is not on the disk yet."""
        for chunk in sorted(self._dirty):
            self._write(chunk)
        self._written = time.monotonic()

    def _write(self, chunk: int) -> None:
        found = self._open[chunk]
        lines = [json.dumps(asdict(found[number]), ensure_ascii=False) for number in sorted(found)]
        write_whole(self.path_of(chunk), "".join(f"{line}\n" for line in lines).encode())
        self._dirty.discard(chunk)


@contextmanager
def held(folder: Path) -> Iterator[None]:
    """Hold the folder for this run; the system lets go of it however the run ends.

    Raises InputError while another run holds it, and MachineError where the folder cannot be used.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
        handle = os.open(folder / LOCK, os.O_RDWR | os.O_CREAT, 0o600)
    except (FileExistsError, NotADirectoryError) as error:
        raise InputError(
            tell("{folder} is a file, not a folder.", folder=folder), tell("Name a folder.")
        ) from error
    except OSError as error:
        raise MachineError(
            tell("The folder {folder} cannot be used ({reason}).", folder=folder, reason=error.strerror),
            tell("Name another one with --out."),
        ) from error
    try:
        try:
            _lock(handle)
        except OSError as error:
            raise InputError(
                tell("Another run is at work in {folder}.", folder=folder),
                tell("Wait for it, or name another folder with --out."),
            ) from error
        yield
    finally:
        os.close(handle)


def _lock(handle: int) -> None:
    """Lock an open file without waiting. Raises OSError where somebody else has it."""
    if sys.platform == "win32":
        import msvcrt

        msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
    else:
        import fcntl

        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
