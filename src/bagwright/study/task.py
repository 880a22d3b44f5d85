"""A task, what comes of it, and the random numbers that belong to it."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from numpy.random import SeedSequence

Cell = str | int | float | bool | None
"""What a row holds; missing is None."""
Given = Mapping[str, Any]
"""What a task is answered from: text, bytes, numbers, lists and mappings of these."""
Answer = Callable[[Given, "SeedSequence"], Mapping[str, Cell]]
"""Answers one task with one flat row."""


@dataclass(frozen=True, slots=True)
class Task:
    """One task: its place in the study, its name, what stands in its row anyway, and how its input is got.

    `key` is its identity, from which its random numbers come: unique in the study, the same however the study
    is ordered or cut and wherever it runs. It may hold a name, and is kept nowhere. `load` reads the input.
    """

    number: int
    key: str
    row: Mapping[str, Cell]
    load: Callable[[], Given] = field(repr=False, compare=False)


@dataclass(frozen=True, slots=True)
class Job:
    """A task on its way to a worker; `spawned` is the spawn key of its random numbers."""

    number: int
    spawned: tuple[int, ...]
    given: Given

    @classmethod
    def of(cls, task: Task) -> Job:
        """Read a task's input."""
        return cls(task.number, spawn_key(task.key), task.load())


@dataclass(frozen=True, slots=True)
class Outcome:
    """What came of a task: a row, or why there is none. `processor_s` is time of the processor."""

    number: int
    row: Mapping[str, Cell]
    failed: str = ""
    processor_s: float = 0.0


@dataclass(frozen=True, slots=True)
class Start:
    """What every worker needs once: the question by its dotted name, what all tasks share, the seed.

    `program` is the version that must be at work; `path` is where Python looks for the question.
    """

    question: str
    common: Given
    seed: int
    program: str
    path: tuple[str, ...] = ()
    threads: int = 1


def spawn_key(key: str) -> tuple[int, ...]:
    """Four words of 32 bits: the first 128 bits of the SHA-256 of a task's key."""
    digest = hashlib.sha256(key.encode()).digest()[:16]
    return tuple(int.from_bytes(digest[i : i + 4], "little") for i in range(0, 16, 4))


def seed_of(seed: int, spawned: tuple[int, ...]) -> SeedSequence:
    """The random numbers of a task: spawned from the study's seed by the task's identity alone."""
    from numpy.random import SeedSequence

    return SeedSequence(seed, spawn_key=spawned)
