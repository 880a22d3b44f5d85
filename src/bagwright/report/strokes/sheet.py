"""The hole sheet: one page, tee club and aim of every hole, in calm air and in one stated wind."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from bagwright.report.paper_words import paper_in
from bagwright.report.safe import clean
from bagwright.report.strokes.plan import Step
from bagwright.report.strokes.round import Round
from bagwright.report.typeset import Paper, day_of, paper_name, spelled, typeset_pdf
from bagwright.report.words import Show, number
from bagwright.units import System
from bagwright.words import tell

TEMPLATE = "holes.typ"
FILE = "hole-sheet.pdf"
ON_LINE_M = 1.0
"""An aim nearer to the hole's way is called on the line."""


@dataclass(frozen=True, slots=True)
class Sheet:
    """What stands on the sheet: whose, where, and the rounds with the words of their air ("calm", ...)."""

    player: str
    course: str
    tee: str
    rounds: tuple[tuple[str, Round], ...]


def aim_words(step: Step, show: Show) -> str:
    """Where a shot is aimed against the hole's way: "9 R at 235", "on the line at 152"."""
    along = show.bare(step.along_m)
    if abs(step.aim_side_m) < ON_LINE_M:
        return tell("on the line, at {along}", along=along)
    side = show.bare(abs(step.aim_side_m))
    if step.aim_side_m > 0:
        return tell("{side} right, at {along}", side=side, along=along)
    return tell("{side} left, at {along}", side=side, along=along)


def sheet_pdf(
    sheet: Sheet,
    *,
    date: datetime.date | str,
    paper: Paper = "a4",
    system: System = "yards",
    language: str = "en",
) -> bytes:
    """Give the sheet as a tagged PDF of one page; the same input gives the same bytes.

    Raises InputError for an unknown paper or date, MachineError where it cannot be made.
    """
    day = day_of(date)
    return typeset_pdf(TEMPLATE, paper_in(sheet_data(sheet, day, paper, system), language), day)


def sheet_data(sheet: Sheet, day: datetime.date, paper: str, system: System) -> dict[str, Any]:
    """Everything on the sheet as plain strings."""
    show = Show(system)
    course, player = clean(sheet.course, 60), clean(sheet.player, 60) or tell("the player")
    each = (tell("Club"), tell("Aim"), tell("Strokes"))
    rounds = [found for _words, found in sheet.rounds]
    return {
        "title": tell("Hole sheet for {player}, {course}", player=player, course=course),
        "author": "bagwright",
        "about": tell("Tee club and aim of every hole"),
        "paper": paper_name(paper),
        "running": tell("Hole sheet for {player}", player=player),
        "foot": tell("Made with bagwright."),
        "player": player,
        "tee": tell("tee {tee}", tee=clean(sheet.tee, 40)),
        "day": spelled(day),
        "heading": course,
        "lead": tell(
            "From the tee: the club and where it is aimed. Aims in {unit} right or left of the hole's "
            "middle line, as far out as the ball is meant to end; the usual miss is aimed off already.",
            unit=show.distance(1.0).rpartition("\u00a0")[2],
        ),
        "airs": [clean(words, 60) for words, _round in sheet.rounds],
        "heads": [tell("Hole"), tell("Par"), tell("Index"), tell("Length"), *(each * len(rounds))],
        "rows": [_row(rounds, k, show) for k in range(len(rounds[0].result.holes))],
        "total": _total(rounds, show),
        "notes": _notes(rounds),
    }  # fmt: skip


def _row(rounds: Sequence[Round], k: int, show: Show) -> list[str]:
    hole = rounds[0].result.holes[k]
    index = "" if hole.stroke_index is None else str(hole.stroke_index)
    cells = [str(hole.number), str(hole.par), index, show.distance(hole.length_m)]
    for one in rounds:
        there = one.result.holes[k]
        steps = one.steps.get(there.number, ())
        cells += (
            [clean(one.said(steps[0], show.system), 40), aim_words(steps[0], show)] if steps else ["–", "–"]
        )
        cells.append(("" if there.converged else "≈ ") + number(there.strokes, 2))
    return cells


def _total(rounds: Sequence[Round], show: Show) -> list[str]:
    length = show.distance(sum(hole.length_m for hole in rounds[0].result.holes))
    cells = ["", str(rounds[0].course_par), "", length]
    for one in rounds:
        cells += [tell("a round"), "± " + number(one.result.sd, 1)]
        cells.append(("" if one.converged else "≈ ") + number(one.result.strokes, 1))
    return cells


def _notes(rounds: Sequence[Round]) -> list[str]:
    notes = [
        tell(
            "Strokes are those expected with this bag under this model and these shots; ± is what one round "
            "differs from the next (standard deviation). How well the shots know the player is not in them."
        ),
        tell(
            "Planned before the round, which is allowed; advice worked out from where a ball lies is not "
            "during a round (Rules of Golf, Rule 4.3a)."
        ),
        tell("Near water, roads or people play the safe side. Warm up first and stop at any pain."),
    ]
    if not all(one.converged for one in rounds):
        notes.append(
            tell(
                "≈ marks a hole that did not come to rest while it was worked out: lean neither on its "
                "strokes nor on its aim."
            )
        )
    return notes
