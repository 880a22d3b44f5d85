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
from bagwright.errors import InputError, QuestionError

if TYPE_CHECKING:
    from bagwright.bag.rules import Check
    from bagwright.dispersion.fit import Dispersions
    from bagwright.distances import DistanceTable, StepRules
    from bagwright.shots.answers import Answers
    from bagwright.shots.result import Question, ReadResult
    from bagwright.shots.record import ShotTable

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
    player: Player | None = None
    """What the user said of the player on the command line; fills what the bag file leaves out."""


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
    """The bag file of a source with the player's values from the command line filled in; None without either."""
    if source.bag is None:
        return Bag(player=source.player) if source.player else None
    from bagwright.bag.file import load_bag

    bag = load_bag(source.bag)
    if source.player is None:
        return bag
    given = {
        name: value
        for name in ("hand", "sex", "age", "handicap", "driver_speed_mps")
        if (value := getattr(source.player, name)) not in (None, getattr(Player(), name))
    }
    return replace(bag, player=replace(bag.player, **given))  # type: ignore[arg-type]


def shot_paths(source: Source, bag: Bag | None) -> tuple[Path, ...]:
    """The shot tables named, then those that the bag file lists, each once."""
    listed: list[Path] = []
    if bag is not None and source.bag is not None:
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
        raise InputError("No shot table was named.", 'Name one, or list it in the bag file: shots = ["visit.csv"].')
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
