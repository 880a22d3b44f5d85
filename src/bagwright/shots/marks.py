"""Setting and taking back marks. Nothing is ever deleted: each call gives a new table, the old one stays."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from bagwright.errors import InputError
from bagwright.shots.record import MISHITS, Mark, ShotTable
from bagwright.words import join, tell, term

KINDS = ("warm-up", "mishit", "bad-read")


def with_mark(table: ShotTable, shot: int, mark: Mark) -> ShotTable:
    """Return the table with `mark` on the shot at this position (from 0).

    A mark that it had stays in the old table.

    Raises InputError for a position outside the table or a mark that is none of ours.
    """
    _check(table, shot)
    if mark.kind not in KINDS:
        raise InputError(
            tell('"{kind}" is no mark.', kind=mark.kind),
            tell("There are {kinds}.", kinds=join(", ", map(term, KINDS))),
        )
    if mark.probability is not None and not 0.0 <= mark.probability <= 1.0:
        raise InputError(
            tell("A probability of {probability} lies outside 0 to 1.", probability=mark.probability),
            tell("Correct it."),
        )
    return table.with_marks({**table.marks, shot: mark})


def without_mark(table: ShotTable, shot: int) -> ShotTable:
    """Return the table with no mark on the shot at this position. Raises InputError outside the table."""
    _check(table, shot)
    return table.with_marks({i: mark for i, mark in table.marks.items() if i != shot})


def with_suggestions(table: ShotTable, suggested: Mapping[int, Mark], shots: Iterable[int]) -> ShotTable:
    """Take over the suggestions for the shots that somebody agreed with; marks set by people stay."""
    for shot in shots:
        if shot not in suggested:
            raise InputError(
                tell("Shot {shot} has no suggestion.", shot=shot + 1), tell("Set a mark of your own.")
            )
        if shot not in table.marks or table.marks[shot].author == "model":
            table = with_mark(table, shot, suggested[shot])
    return table


def mark_from_words(kind: str, reason: str = "", author: str = "professional") -> Mark:
    """Return a mark as a person types it: "mishit" with "heavy", or "heavy" alone. Raises InputError."""
    word = kind.strip().casefold().replace(" ", "-")
    if word in MISHITS:
        return Mark("mishit", word if not reason else f"{word}, {reason}", author)
    for known in KINDS:
        if word == known:
            return Mark(known, reason, author)  # type: ignore[arg-type]
    raise InputError(
        tell('"{kind}" is no mark.', kind=kind[:40]),
        tell("There are {kinds}.", kinds=join(", ", map(term, (*KINDS, *MISHITS)))),
    )


def _check(table: ShotTable, shot: int) -> None:
    if not 0 <= shot < table.n:
        raise InputError(
            tell("There is no shot at position {shot}; the table has {n}.", shot=shot, n=table.n),
            tell("Count from 0."),
        )
