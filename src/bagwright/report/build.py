"""The build sheet for the workshop: present, proposed, tolerance, reason, and room for as-built."""

from __future__ import annotations

import datetime
from pathlib import Path
from typing import Any

from bagwright.errors import InputError
from bagwright.files import write_whole
from bagwright.report.cautions import bending_note, workshop_cautions
from bagwright.report.model import BuildClub, BuildField, ReportInput
from bagwright.report.safe import clean
from bagwright.report.typeset import Paper, day_of, paper_name, spelled, typeset_pdf
from bagwright.report.words import NONE
from bagwright.units import System

TEMPLATE = "build.typ"
FILE = "build.pdf"

TOLERANCES: dict[str, str] = {
    "head": "exactly this",
    "hosel setting": "exactly this",
    "loft": "± 0.5°",
    "lie angle": "± 0.5°",
    "length": "± 1/16 in (1.6 mm)",
    "shaft": "exactly this",
    "shaft weight": "± 2 g",
    "shaft flex": "exactly this",
    "swing weight": "± 1 point",
    "grip": "exactly this",
    "bounce": "± 1°",
    "sole": "exactly this",
}
"""What a careful workshop keeps to: common practice, no source, from memory. A field's own tolerance wins."""


def write_build_sheet(
    report: ReportInput,
    out_dir: Path,
    *,
    date: datetime.date | str,
    paper: Paper = "a4",
    system: System = "yards",
) -> Path:
    """Write the build sheet as a tagged PDF named "build.pdf" into `out_dir` and return its path.

    Raises InputError where there is nothing to build or a change has no reason, MachineError where the file
    cannot be made or written. `system` changes nothing: a workshop reads degrees, inches and grams.
    """
    del system
    day = day_of(date)
    content = typeset_pdf(TEMPLATE, build_data(report, day, paper), day)
    return write_whole(Path(out_dir) / FILE, content)


def build_data(report: ReportInput, day: datetime.date, paper: str) -> dict[str, Any]:
    """Everything on the sheet as plain strings."""
    if not report.build:
        raise InputError(
            "There is nothing to build: no candidate was chosen and no club has a proposed change.",
            "Add [[club.proposed]] with field, value and reason to the bag file, or name the trial with "
            "--slot.",
        )
    player = clean(report.player.name, 60) or "the player"
    return {
        "title": f"Build sheet for {player}, {spelled(day)}",
        "author": "bagwright",
        "about": "Present, proposed, tolerance, reason and as-built values",
        "paper": paper_name(paper),
        "running": f"Build sheet for {player}",
        "foot": "Tolerances: common practice unless the sheet says otherwise.",
        "day": spelled(day),
        "player": player,
        "hand": f"{report.player.hand}-handed",
        "clubs": [_club(club) for club in report.build],
        "cautions": list(workshop_cautions()),
        "interest": clean(report.player.seller_interest, 220) if report.player.seller_interest else "",
    }


def _club(club: BuildClub) -> dict[str, Any]:
    notes = [bending_note(club), clean(club.note, 300) if club.note else ""]
    if club.construction:
        notes.append(f"Construction of the head: {clean(club.construction, 60)}.")
    return {
        "name": clean(club.club, 60),
        "from": clean(club.starting_from, 160) if club.starting_from else "",
        "rows": [_row(club, line) for line in club.fields],
        "notes": [note for note in notes if note],
    }


def _row(club: BuildClub, line: BuildField) -> list[Any]:
    changed = bool(line.proposed) and line.proposed != line.present
    if changed and not line.reason.strip():
        raise InputError(
            f"{clean(club.club, 60)}: the change of {line.name} to {clean(line.proposed, 40)} has no reason.",
            "Say why in the bag file (reason = ...), or take the change out.",
        )
    return [
        line.name.capitalize(),
        clean(line.present, 80) if line.present else "not measured",
        {"changed": changed, "text": clean(line.proposed, 80) if changed else "keep"},
        line.tolerance or TOLERANCES.get(line.name, NONE),
        clean(line.reason, 200) if changed else NONE,
        "",
        "",
    ]
