"""The plan of a study: what it was begun with, so that it can go on, and only with the same inputs."""

from __future__ import annotations

import hashlib
import json
import struct
from collections.abc import Callable, Iterable, Mapping
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from bagwright.errors import InputError, MachineError
from bagwright.files import write_whole
from bagwright.study.task import Task
from bagwright.words import join, tell

PLAN = "plan.json"
FORM = 1
"""Of the folder; a folder of another form is refused."""
SMALLEST_CHUNK, LARGEST_CHUNK, CHUNKS = 8, 1000, 1000
"""A small study is kept in pieces of 8 tasks, a large one in about a thousand of up to a thousand tasks."""

Parts = Mapping[str, str]
"""What the answers depend on, by a name that a person knows ("the players"): a digest of each."""


@dataclass(frozen=True, slots=True)
class Plan:
    """What stands in the plan file. `settings` is for people; `parts` is what must be the same."""

    question: str
    program: str
    seed: int
    tasks: int
    players: int
    chunk: int
    parts: Parts
    settings: Mapping[str, Any]
    form: int = FORM

    @property
    def chunks(self) -> int:
        """How many chunks there are."""
        return -(-self.tasks // self.chunk)

    def chunk_of(self, number: int) -> int:
        """The chunk that a task is kept in."""
        return number // self.chunk

    def size_of(self, chunk: int) -> int:
        """How many tasks a chunk holds when it is whole."""
        return min(self.chunk, self.tasks - chunk * self.chunk)


def digest_of(given: object) -> str:
    """SHA-256 of text, bytes, numbers, lists and mappings, each with kind and length; keys in any order."""
    digest = hashlib.sha256()
    _feed(given, digest.update)
    return digest.hexdigest()


def _feed(value: object, update: Callable[[bytes], None]) -> None:
    if isinstance(value, Mapping):
        update(b"m%d;" % len(value))
        for key in sorted(value):
            _feed(key, update)
            _feed(value[key], update)
    elif isinstance(value, list | tuple):
        update(b"l%d;" % len(value))
        for item in value:
            _feed(item, update)
    elif isinstance(value, bytes):
        update(b"b%d;" % len(value) + value)
    elif isinstance(value, float):
        update(b"f" + struct.pack("<d", value))
    elif value is None or isinstance(value, str | bool | int):
        text = f"{type(value).__name__}:{value}".encode()
        update(b"s%d;" % len(text) + text)
    else:
        raise TypeError(f"{type(value).__name__} is no input of a task")


def digest_of_tasks(tasks: Iterable[Task], seen: Callable[[int], None] = lambda n: None) -> tuple[str, int]:
    """Digest of all tasks with their inputs, and how many there are; `seen` is told after each."""
    digest, n = hashlib.sha256(), 0
    for task in tasks:
        _feed([task.key, dict(task.row), task.load()], digest.update)
        n += 1
        seen(n)
    return digest.hexdigest(), n


def chunk_for(tasks: int) -> int:
    """Tasks of a chunk where nobody says."""
    return min(max(-(-tasks // CHUNKS), SMALLEST_CHUNK), LARGEST_CHUNK)


def begin(folder: Path, plan: Plan) -> tuple[Plan, bool]:
    """Write the plan into the folder, or find the one that stands there; True where there was one.

    Raises InputError where the folder holds a study with other inputs, or other files, and MachineError.
    """
    there = read_plan(folder)
    if there is None:
        _refuse_foreign(folder)
        write_whole(folder / PLAN, (json.dumps(asdict(plan), indent=1, ensure_ascii=False) + "\n").encode())
        return plan, False
    changed = changed_parts(there, plan)
    if changed:
        raise InputError(
            tell(
                "{folder} holds a study that was begun with other inputs: {changed}.",
                folder=folder,
                changed=join("; ", changed),
            ),
            tell("Name another folder with --out, or give the same inputs to go on."),
        )
    return there, True


def changed_parts(there: Plan, now: Plan) -> list[str]:
    """What is not as it was, by the names of the parts; nothing where a study may go on."""
    names = dict.fromkeys([*there.parts, *now.parts])
    changed = [name for name in names if there.parts.get(name) != now.parts.get(name)]
    for name, old, new in (
        (tell("the question"), there.question, now.question),
        (tell("the version of the program"), there.program, now.program),
        (tell("the seed"), there.seed, now.seed),
        (tell("the number of players"), there.players, now.players),
    ):
        if old != new:
            changed.append(tell("{name} ({old}, now {new})", name=name, old=old, new=new))
    return changed


def read_plan(folder: Path) -> Plan | None:
    """The plan of a folder; None where there is none. Raises InputError for one that cannot be read."""
    path = folder / PLAN
    try:
        document = json.loads(path.read_text(encoding="utf-8"))
        if not isinstance(document, dict) or document.get("form") != FORM:
            raise ValueError(tell("another form"))
        plan = Plan(**document)
        if plan.chunk < 1 or plan.players < 0 or plan.tasks < 1:
            raise ValueError(tell("numbers that cannot be"))
        return plan
    except (FileNotFoundError, NotADirectoryError):
        return None
    except (ValueError, TypeError) as error:
        raise InputError(
            tell("{path} is no plan of a study ({error}).", path=path, error=str(error)[:100]),
            tell("Name another folder with --out."),
        ) from error
    except OSError as error:
        raise MachineError(
            tell("{path} cannot be read: {strerror}.", path=path, strerror=error.strerror),
            tell("Check the permissions."),
        ) from error


def _refuse_foreign(folder: Path) -> None:
    """A study begins in a new or empty folder: it would not know whose files the others are."""
    try:
        strange = [p.name for p in folder.iterdir() if not p.name.startswith(".")] if folder.exists() else []
    except NotADirectoryError as error:
        raise InputError(
            tell("{folder} is a file, not a folder.", folder=folder), tell("Name a folder.")
        ) from error
    if strange:
        raise InputError(
            tell('{folder} holds files that no study wrote ("{name}").', folder=folder, name=strange[0][:60]),
            tell("Name a new or empty folder with --out."),
        )
