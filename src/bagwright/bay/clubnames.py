"""Names of a shot table that are no club of the bag: asked for, then a club, a new candidate, or left out.

An answer is kept with the visit's tables under `which club: NAME`, so that a growing table is asked once.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _

from bagwright.bag.club import KINDS
from bagwright.bag.names import parse_club_name
from bagwright.errors import InputError
from bagwright.shots.record import Shot, ShotTable
from bagwright.store.models import Visit

PREFIX = "which club: "
OUT = "out"
NEW = "new:"


@dataclass(frozen=True, slots=True)
class NameAsked:
    """A name that is no club of the bag: its shots, and the kind that a new candidate of it would likely be."""

    name: str
    n: int
    kind: str

    @property
    def key(self) -> str:
        """Under what the answer is kept."""
        return f"{PREFIX}{self.name}"


@dataclass(frozen=True, slots=True)
class Sorted:
    """A table by what is known of its names: rows that can join, names asked for, rows left out by an answer."""

    joins: ShotTable
    asked: tuple[NameAsked, ...]
    left_out: tuple[tuple[str, int], ...]


def mapped(visit: Visit, answers: Mapping[str, str]) -> dict[str, str]:
    """The names that were said to be a club of the bag, and how that club is called now."""
    said = {
        key.removeprefix(PREFIX): int(value)
        for key, value in answers.items()
        if key.startswith(PREFIX) and _is_number(value)
    }
    there = dict(
        visit.player.clubs.filter(pk__in=said.values(), removed_at__isnull=True).values_list("pk", "name")
    )
    return {name: there[pk] for name, pk in said.items() if pk in there}


def sorted_out(visit: Visit, table: ShotTable, answers: Mapping[str, str]) -> Sorted:
    """Tell rows that can join from rows whose club must be asked for, and from those that were left out."""
    own = set(visit.player.clubs.filter(removed_at__isnull=True).values_list("name", flat=True))
    counts = Counter(table.text("club"))
    asked, out = [], []
    for name, n in counts.items():
        answer = answers.get(f"{PREFIX}{name}", "")
        if name in own or (answer != OUT and parse_club_name(name) is not None):
            continue
        if answer == OUT:
            out.append((name, n))
        elif answer.removeprefix(NEW) not in KINDS or not answer.startswith(NEW):
            asked.append(NameAsked(name, n, _likely_kind(name)))
    away = {one.name for one in asked} | {name for name, _n in out}
    return Sorted(_only(table, away), tuple(asked), tuple(out))


def new_kind(answers: Mapping[str, str], name: str) -> str | None:
    """The kind of a new candidate of this name, where somebody said so."""
    answer = answers.get(f"{PREFIX}{name}", "")
    kind = answer.removeprefix(NEW)
    return kind if answer.startswith(NEW) and kind in KINDS else None


def checked(visit: Visit, answers: Mapping[str, str]) -> dict[str, str]:
    """The answers about names. Raises InputError for one that is no club of the bag, no kind and not "out"."""
    own = {str(pk) for pk in visit.player.clubs.filter(removed_at__isnull=True).values_list("pk", flat=True)}
    for key, value in answers.items():
        right = value in own or value == OUT or (value.startswith(NEW) and value.removeprefix(NEW) in KINDS)
        if key.startswith(PREFIX) and not right:
            raise InputError(
                _("It was not said which club “%(name)s” is.") % {"name": key.removeprefix(PREFIX)[:60]},
                _("Choose a club of the bag, a new candidate of one kind, or leave its balls out."),
            )
    return dict(answers)


def _only(table: ShotTable, away: set[str]) -> ShotTable:
    if not away:
        return table
    kept: Sequence[Shot] = [shot for shot in table if shot.club not in away]
    return ShotTable.of(kept)


def _likely_kind(name: str) -> str:
    """What "driver, setting +1" would be: the kind of what stands before the comma; "" where nothing says it."""
    said = parse_club_name(name.partition(",")[0])
    return said.kind if said is not None else ""


def _is_number(text: str) -> bool:
    return text.isascii() and text.isdecimal() and len(text) < 16
