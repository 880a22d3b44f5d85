"""The rounds of a study: courses with their tees, winds and weights, named on the command line or in a file.

[[round]]                     # rounds.toml: one for each
course = "links.geojson"      # beside this file; with its .overlay.toml, where there is one
tees = "yellow"               # left out: the longest
wind = "10mph@sw"             # left out: calm
weight = 2                    # left out: 1; only the ratios count
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from bagwright.errors import InputError
from bagwright.words import tell

if TYPE_CHECKING:
    from bagwright.course.hole import Course

MOST_ROUNDS = 200


@dataclass(frozen=True, slots=True)
class RoundSpec:
    """One round as it was named."""

    course: Path
    tees: str | None = None
    wind: str | None = None
    weight: float = 1.0


def load_rounds(path: Path) -> tuple[RoundSpec, ...]:
    """Read a file of rounds. Raises InputError that names the round and the key that is wrong."""
    from bagwright.course import limits
    from bagwright.course.opened import read_bytes
    from bagwright.course.tomltable import Table, parse_toml

    raw, file = read_bytes(path, limits.OVERLAY_BYTES)
    top = Table(parse_toml(raw.decode("utf-8-sig", errors="replace"), file), file, tell("at the top"))
    top.only("round")
    found = []
    for table in top.tables("round", "round"):
        table.only("course", "tees", "wind", "weight")
        name = table.text("course", 1000)
        if not name:
            raise table.bad("course", tell("the name of a map or a scorecard"))
        weight = table.number("weight", 1e-6, 1e6)
        found.append(
            RoundSpec(
                path.parent / name, table.text("tees"), table.text("wind"), 1.0 if weight is None else weight
            )
        )
    return tuple(found)


def common_of(rounds: Sequence[RoundSpec]) -> dict[str, Any]:
    """What every worker needs of the rounds: files by their digest, and the rounds with tee and wind settled.

    Everything is read and checked here. Raises InputError for a course, a tee or a wind that cannot be used.
    """
    if not rounds:
        raise InputError(
            tell("A study needs a course."), tell("Name one with --course, or several in --rounds FILE.")
        )
    if len(rounds) > MOST_ROUNDS:
        raise InputError(
            tell("{n} rounds are more than {most}.", n=len(rounds), most=MOST_ROUNDS), tell("Take fewer.")
        )
    files: dict[str, bytes] = {}
    return {"files": files, "rounds": [_round(one, files) for one in rounds]}


def _round(one: RoundSpec, files: dict[str, bytes]) -> dict[str, Any]:
    from bagwright.course import limits
    from bagwright.course.opened import read_bytes
    from bagwright.course.overlay import overlay_path
    from bagwright.tasks.stroking import wind_of

    raw, name = read_bytes(one.course, limits.FILE_BYTES)
    overlay = overlay_path(one.course)
    corrections = read_bytes(overlay, limits.OVERLAY_BYTES)[0].decode("utf-8-sig") if overlay.exists() else ""
    mark = hashlib.sha256(raw).hexdigest()
    files[mark] = raw
    course = _loaded(raw, name, corrections)
    tee = one.tees if one.tees is not None else course.tee_names[0]
    _check_tee(course, tee, one.course.name)
    wind_of(one.wind, course.source)
    return {
        "course": course.name or one.course.stem, "file": mark, "name": name, "overlay": corrections, "tees": tee,
        "wind": one.wind or "", "weight": float(one.weight),
    }  # fmt: skip


def _check_tee(course: Course, tee: str, file: str) -> None:
    without = [str(hole.number) for hole in course.holes if all(one.name != tee for one in hole.tees)]
    if without:
        raise InputError(
            tell(
                '{file}: no tee "{tee}" on hole {holes}.',
                file=file[:80],
                tee=tee[:40],
                holes=", ".join(without[:18]),
            ),
            tell(
                "Tees of the course: {tees}. Choose one, or add this one there.",
                tees=", ".join(course.tee_names[:12]),
            ),
        )


@lru_cache(maxsize=16)
def _loaded(raw: bytes, name: str, overlay: str) -> Course:
    from bagwright.course.load import load_course

    return load_course(raw, name=name, overlay=overlay or None)


def course_of(common: Mapping[str, Any], number: int) -> Course:
    """The course of a round of what all tasks share; each is read once a process."""
    one = common["rounds"][number]
    return _loaded(common["files"][one["file"]], one["name"], one["overlay"])


def with_common(rounds: Sequence[RoundSpec], tees: str | None, wind: str | None) -> tuple[RoundSpec, ...]:
    """The rounds with a tee and a wind where they have none of their own."""
    return tuple(replace(one, tees=one.tees or tees, wind=one.wind or wind) for one in rounds)


def plain_rounds(common: Mapping[str, Any]) -> list[dict[str, Any]]:
    """The rounds for a person: course, tees, wind, weight."""
    return [{name: one[name] for name in ("course", "tees", "wind", "weight")} for one in common["rounds"]]
