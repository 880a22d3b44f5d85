"""Calling the question: found by its dotted name, begun once a worker, asked once a task."""

from __future__ import annotations

import importlib
import math
import sys
import traceback
from collections.abc import Callable, Mapping
from time import process_time
from typing import Any

from bagwright.errors import BagwrightError, InputError, MachineError
from bagwright.study.task import Answer, Cell, Job, Outcome, Start, seed_of
from bagwright.words import Words, plain, tell

DIGITS = 12
"""Significant digits of a number in a row: the last ones of a sum differ between two processes of one machine
(seen), and answers must not depend on who worked them out."""
MOST_REASON = 400
"""Characters of a reason that are kept."""


def function_named(name: str) -> Callable[..., Any]:
    """The function of a dotted name, "package.module:function". Raises InputError where there is none."""
    module, colon, attribute = name.partition(":")
    try:
        found = getattr(importlib.import_module(module), attribute) if colon else None
    except (ImportError, AttributeError) as error:
        raise InputError(
            tell("The question {name} cannot be loaded ({error}).", name=name[:80], error=str(error)[:200]),
            tell("Write package.module:function."),
        ) from error
    if not callable(found):
        raise InputError(
            tell("The question {name} is no function.", name=name[:80]),
            tell("Write package.module:function."),
        )
    function: Callable[..., Any] = found
    return function


class Asked:
    """A question that was begun in this process and answers task after task."""

    def __init__(self, start: Start) -> None:
        check_version(start.program)
        sys.path.extend(folder for folder in start.path if folder not in sys.path)
        self._answer: Answer = function_named(start.question)({**start.common, "threads": start.threads})
        self._seed = start.seed
        self._told: set[tuple[str, int | None]] = set()

    def __call__(self, job: Job) -> Outcome:
        """Answer one task. An error of the task becomes its reason; one of the machine is raised.

        Where memory runs out the worker ends, as if the system had killed it: the task is tried once more.
        """
        began = process_time()
        try:
            row = dict(self._answer(job.given, seed_of(self._seed, job.spawned)))
            return Outcome(job.number, _checked(row), "", process_time() - began)
        except (MachineError, OSError, MemoryError):
            raise
        except BagwrightError as error:
            return Outcome(job.number, {}, plain(str(error))[:MOST_REASON], process_time() - began)
        except Exception as error:  # noqa: BLE001 - one player's surprise must not end the others' study
            self._tell(error)
            return Outcome(job.number, {}, surprise(error), process_time() - began)

    def _tell(self, error: Exception) -> None:
        """Print where an error came from, once for each place: thousands of tasks may meet the same one."""
        last = traceback.extract_tb(error.__traceback__)[-1]
        if (last.filename, last.lineno) not in self._told:
            self._told.add((last.filename, last.lineno))
            traceback.print_exception(error)


def surprise(error: Exception) -> str:
    """An error that nobody foresaw, in one line with its place."""
    last = traceback.extract_tb(error.__traceback__)[-1]
    place = f"{last.filename.rpartition('/')[2]}:{last.lineno}"
    return f"{type(error).__name__}: {error} ({place})"[:MOST_REASON]


def check_version(program: str) -> None:
    """Raise InputError where this is another version of the program than the study was begun with."""
    from bagwright import __version__

    if program != __version__:
        raise InputError(
            tell("A worker runs version {here}, the study {there}.", here=__version__, there=program),
            tell("Install the same version everywhere."),
        )


def _checked(row: Mapping[str, Any]) -> dict[str, Cell]:
    """The row with plain cells. Raises TypeError for a cell that a table cannot hold; NaN is missing."""
    found: dict[str, Cell] = {}
    for name, value in row.items():
        if isinstance(value, Words):
            value = plain(value)
        if value is not None and type(value) not in (str, int, float, bool):
            raise TypeError(f"the cell {name} is a {type(value).__name__}, not text, a number or nothing")
        found[name] = _rounded(value) if isinstance(value, float) else value
    return found


def _rounded(value: float) -> float | None:
    return float(f"{value:.{DIGITS}g}") if math.isfinite(value) else None
