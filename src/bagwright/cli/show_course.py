"""What a person reads after `course`: the holes, their ground, and what is open."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from bagwright.cli import show
from bagwright.cli.layout import NOTHING, Ruler, bullet, heading, paragraph, table
from bagwright.tasks import totals
from bagwright.units import System

if TYPE_CHECKING:
    from bagwright.tasks import CourseRead
    from bagwright.tasks.coursing import HoleRow

_SHOWN_TEES = 6
_SHOWN_QUESTIONS = 60
_OWN_NOTES = ("model", "words", "read")
"""Notes that are no warnings: a model hole's numbers, its words, and how they were read."""
_GROUND = {
    "fairway": "fairway", "sand": "bunkers", "water": "water (yellow)", "water_red": "water (red)",
    "recovery": "trees", "deep": "deep rough", "out": "out of bounds",
}  # fmt: skip


def course(read: CourseRead, tee: str | None, system: System) -> None:
    """Show a course."""
    ruler = Ruler(system)
    kind = "a map" if read.source == "map" else "a scorecard, drawn as model holes"
    click.echo(f"{read.name or 'A course without a name'}: {len(read.holes)} holes, from {kind}.")
    if read.overlay is not None:
        click.echo(f"Corrected by {read.overlay}.")
    tees = [tee] if tee is not None else list(read.tees[:_SHOWN_TEES])
    _holes(read, tees, ruler)
    if len(read.tees) > len(tees) and tee is None:
        paragraph(f"Further tees: {', '.join(read.tees[_SHOWN_TEES:])}.")
    paragraph(
        f"Lengths in {ruler.unit} along the hole's way; in brackets what the card or tag says, where it differs "
        "by more than 2 %."
    )
    _open(read)
    _notes(read)
    if read.credit:
        click.echo(f"\n{read.credit}")
    if read.files:
        show.files(read.files)


def _holes(read: CourseRead, tees: list[str], ruler: Ruler) -> None:
    rows = [
        (
            str(hole.number),
            NOTHING if hole.par is None else str(hole.par),
            NOTHING if hole.stroke_index is None else str(hole.stroke_index),
            *(_length(hole, name, ruler) for name in tees),
            _rise(hole, ruler),
            _ground(hole),
        )
        for hole in read.holes
    ]
    sums = totals(read, tees)
    pars = [hole.par for hole in read.holes if hole.par is not None]
    parts = [
        ruler.length(length) + ("" if count == len(read.holes) else f" ({count} holes)")
        for length, count in sums.values()
    ]
    rows.append(("all", str(sum(pars)) if len(pars) == len(read.holes) else NOTHING, "", *parts, "", ""))
    table(("hole", "par", "index", *tees, "rise, m", "drawn"), rows)


def _length(hole: HoleRow, name: str, ruler: Ruler) -> str:
    row = next((tee for tee in hole.tees if tee.name == name), None)
    if row is None:
        return NOTHING
    told = row.card_length_m
    text = ruler.length(row.length_m)
    if told is not None and abs(told - row.length_m) > 0.02 * row.length_m:
        text += f" ({ruler.length(told)})"
    return text


def _rise(hole: HoleRow, ruler: Ruler) -> str:
    """The pin over the first tee, always in metres: a height of ground."""
    rise = hole.tees[0].rise_m
    return NOTHING if rise is None else f"{rise:+.1f}"


def _ground(hole: HoleRow) -> str:
    told = []
    for lie, word in _GROUND.items():
        if lie in hole.lies:
            count = hole.lies[lie].areas
            told.append(_bunkers(count) if lie == "sand" else word)
    bends = [f"dogleg {'right' if turn > 0 else 'left'} {abs(turn):.0f}°" for turn in hole.dogleg_deg]
    assumed = [f"{lie} assumed" for lie in hole.assumed]
    return ", ".join([*bends, *told, *assumed])


def _bunkers(count: int) -> str:
    return "1 bunker" if count == 1 else f"{count} bunkers"


def _open(read: CourseRead) -> None:
    from bagwright.course.asking import name_of

    if not read.questions:
        heading("Nothing is open.")
        return
    heading(f"Open ({len(read.questions)})")
    for question in read.questions[:_SHOWN_QUESTIONS]:
        bullet(
            f'"{name_of(question.hole, question.key)}": {question.words} Read as: {question.read_as} {question.answer}'
        )
    if len(read.questions) > _SHOWN_QUESTIONS:
        bullet(f"... and {len(read.questions) - _SHOWN_QUESTIONS} more; --json lists them all.")


def _notes(read: CourseRead) -> None:
    readings = [
        (key.removeprefix("read "), text) for key, text in read.notes.items() if key.startswith("read ")
    ]
    if readings:
        heading("How the card's words were read (by the name under which an answer changes it)")
        for name, text in readings:
            bullet(f'"{name}": {text}')
    told = [f"{key}: {value}" for key, value in read.notes.items() if key.split()[0] not in _OWN_NOTES]
    if told:
        heading("Mind")
        for text in told:
            bullet(text)
