"""Shots and bag: read, asked about, fitted, written out again."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING

from bagwright.bag.club import Bag, Player
from bagwright.errors import InputError
from bagwright.units import System
from bagwright.words import join, tell

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from bagwright.dispersion.fit import Dispersions
    from bagwright.shots.answers import Answers
    from bagwright.shots.record import ShotTable
    from bagwright.shots.result import Flagged, Question, ReadResult

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
    paths: tuple[Path, ...] = ()

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
            return Loaded(result, bag, paths)
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
    screened = loaded.result.screened
    agrees = screened.physics.fits_launch if screened is not None else None
    found = suggest_marks(fits, loaded.table, fits_launch=agrees)
    marks = {i: mark for i, mark in found.items() if i not in known}
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


def write_clean(loaded: Loaded, path: Path, system: System) -> None:
    """Write the accepted shots as a table under our own headings."""
    from bagwright.shots.write import write_shots

    refuse_same_file(path, loaded.paths)
    write_shots(loaded.table, path, system)


def account(loaded: Loaded) -> dict[str, object]:
    """What was understood of the tables, for a JSON document: every row accounted for."""
    result = loaded.result
    names = ("rows_read", "accepted", "rejected", "left_out", "flagged", "columns", "questions", "conditions")
    return {name: getattr(result, name) for name in (*names, "unknown_clubs", "files", "findings")}


_NAMED = 5
"""Rows named one by one in a caution; the rest is counted."""


def refuse_same_file(out: Path, read: Sequence[Path]) -> None:
    """Raise InputError when a table would be written over one that was read: measured balls are never lost."""
    if any(out.resolve() == path.resolve() for path in read):
        raise InputError(
            f"{out} is the table that is read.",
            "Name another file after --out; what was measured stays as it is.",
        )
    if out.suffix.lower() not in (".csv", ".txt", ""):
        raise InputError(
            f'{out.name[:60]}: tables are written as CSV, not as "{out.suffix}".', "Name it .csv."
        )


def reading_doubts(loaded: Loaded, left_out: frozenset[int] = frozenset()) -> tuple[str, ...]:
    """What of the tables went into no answer, and what counts but looks like a bad read, rows named."""
    words = []
    rejected = loaded.result.rejected
    if rejected:
        named = join("; ", (_row(r.file, r.row, r.reason) for r in rejected[:_NAMED]))
        words.append(
            tell(
                "Not read, so not counted: {named}{more}. See `bagwright read`.",
                named=named,
                more=_more(len(rejected)),
            )
        )
    flagged = (f for f in loaded.result.flagged if f.mark.author == "model" and f.mark.kind == "bad-read")
    rows = [f for f in flagged if f.shot not in left_out and f.shot not in loaded.table.marks]
    if rows:
        named = join("; ", (_row(f.file, f.row, f.mark.reason) for f in rows[:_NAMED]))
        words.append(
            tell(
                "Counted, but looks like a bad read: {named}{more}. Mark it in the table if it was one.",
                named=named,
                more=_more(len(rows)),
            )
        )
    return tuple(words)


def _row(file: str, row: int, reason: str) -> str:
    return tell("{file} row {row} ({reason})", file=file, row=row, reason=reason)


def _more(n: int) -> str:
    return tell(" and {n} more", n=n - _NAMED) if n > _NAMED else ""


def rows_in_words(loaded: Loaded, where: NDArray[np.bool_]) -> str:
    """Name the first rows of a choice of shots: "rows 4, 11 and 2 more"."""
    import numpy as np

    found = [loaded.table.shot(int(i)).source_row for i in np.flatnonzero(where)[:_NAMED]]
    n = int(where.sum())
    return f"row{'s' if n > 1 else ''} {', '.join(map(str, found))}{_more(n)}"
