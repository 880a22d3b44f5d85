"""The build sheet for the workshop: present, proposed, tolerance, reason, and room for as-built."""

from __future__ import annotations

import datetime
from pathlib import Path
from typing import Any

from bagwright.bag.measured import SWING_WEIGHT_POINTS, TOLERANCE
from bagwright.errors import InputError
from bagwright.estimate import Estimate
from bagwright.files import write_whole
from bagwright.report.cautions import bending_note, workshop_cautions
from bagwright.report.model import BuildClub, BuildField, ReportInput
from bagwright.report.paper_words import paper_in
from bagwright.report.safe import clean
from bagwright.report.typeset import Paper, day_of, paper_name, spelled, typeset_pdf
from bagwright.report.words import NONE, Show, number
from bagwright.units import System
from bagwright.words import first_upper, join, tell, term_of

TEMPLATE = "build.typ"
FILE = "build.pdf"

TOLERANCES: dict[str, str] = {
    "head": tell("exactly this"),
    "hosel setting": tell("exactly this"),
    "loft": tell("± {by:g}°", by=TOLERANCE["loft_deg"]),
    "lie angle": tell("± {by:g}°", by=TOLERANCE["lie_angle_deg"]),
    "length": tell("± 1/16 in ({by:g} mm)", by=1000.0 * TOLERANCE["length_m"]),
    "shaft": tell("exactly this"),
    "shaft weight": tell("± {by:g} g", by=TOLERANCE["shaft_weight_g"]),
    "shaft flex": tell("exactly this"),
    "swing weight": tell("± {by:g} point", by=SWING_WEIGHT_POINTS),
    "grip": tell("exactly this"),
    "bounce": tell("± {by:g}°", by=TOLERANCE["bounce_deg"]),
    "sole": tell("exactly this"),
}
"""What a careful workshop keeps to, in the words of the sheet; the figures are those that a built club is
held against (`bag.measured`). A field's own tolerance wins."""


def write_build_sheet(
    report: ReportInput,
    out_dir: Path,
    *,
    date: datetime.date | str,
    paper: Paper = "a4",
    system: System = "yards",
    language: str = "en",
) -> Path:
    """Write the build sheet as a tagged PDF named "build.pdf" into `out_dir` and return its path.

    Raises InputError where there is nothing to build or a change has no reason, MachineError where the file
    cannot be made or written. A workshop reads degrees, inches and grams; `system` is that of carries.
    """
    day = day_of(date)
    content = typeset_pdf(TEMPLATE, build_data(report, day, paper, system, language), day)
    return write_whole(Path(out_dir) / FILE, content)


def build_data(
    report: ReportInput, day: datetime.date, paper: str, system: System = "yards", language: str = "en"
) -> dict[str, Any]:
    """Everything on the sheet as plain strings in a language."""
    if not report.build:
        raise InputError(
            tell("There is nothing to build: no candidate was chosen and no club has a proposed change."),
            tell(
                "Add [[club.proposed]] with field, value and reason to the bag file, or name the "
                "trial with --slot."
            ),
        )
    player = clean(report.player.name, 60) or tell("the player")
    data = {
        "title": tell("Build sheet for {player}, {spelled}", player=player, spelled=spelled(day)),
        "author": "bagwright",
        "about": tell("Present, proposed, tolerance, reason and as-built values"),
        "paper": paper_name(paper),
        "running": tell("Build sheet for {player}", player=player),
        "foot": tell("Tolerances: common practice unless the sheet says otherwise."),
        "day": spelled(day),
        "player": player,
        "hand": tell("left-handed") if report.player.hand == "left" else tell("right-handed"),
        "clubs": [_club(club, Show(system)) for club in report.build],
        "cautions": list(workshop_cautions()),
        "interest": clean(report.player.seller_interest, 220) if report.player.seller_interest else "",
    }
    return paper_in(data, language)


def _club(club: BuildClub, show: Show) -> dict[str, Any]:
    notes = [*worth_notes(club, show), bending_note(club), clean(club.note, 300) if club.note else ""]
    if club.construction:
        notes.append(
            tell(
                "Construction of the head: {construction}.",
                construction=clean(term_of(club.construction, "head"), 60),
            )
        )
    return {
        "name": clean(club.club, 60),
        "from": clean(club.starting_from, 160) if club.starting_from else "",
        "rows": [_row(club, line) for line in club.fields],
        "notes": [note for note in notes if note],
    }


def worth_notes(club: BuildClub, show: Show) -> list[str]:
    """Say what loft and length are worth to this player with this club, each with its range."""
    if club.per_degree_m is None or club.strike_mps is None:
        return []
    speed = show.speed(club.strike_mps)
    said = [
        tell(
            "Worked out from this player's own strikes with it, ball speed {speed}: a degree "
            "less loft carries {gained}.",
            speed=speed,
            gained=_gained(club.per_degree_m, show),
        )
    ]
    bent = None if None in (club.loft_deg, club.proposed_loft_deg) else _bent(club)
    if bent:
        turn = tell("less") if bent > 0 else tell("more")
        change = _times(club.per_degree_m, bent)
        said.append(
            tell(
                "The proposed {number}° {turn} loft: carries {gained}.",
                number=number(abs(bent), 1),
                turn=turn,
                gained=_gained(change, show),
            )
        )
    if club.per_half_inch_m is not None:
        said.append(
            tell(
                "Half an inch more length: carries {gained}, by club speed alone and if it is struck "
                "as well.",
                gained=_gained(club.per_half_inch_m, show),
            )
        )
    said.append(tell("Estimates of a model: hit the built club against the tested one."))
    return [join(" ", said)]


def _bent(club: BuildClub) -> float:
    if club.loft_deg is None or club.proposed_loft_deg is None:
        raise ValueError(f"{club.club} has no proposed loft")
    return club.loft_deg - club.proposed_loft_deg


def _times(estimate: Estimate, factor: float) -> Estimate:
    ends = sorted((estimate.low * factor, estimate.high * factor))
    return Estimate(estimate.value * factor, ends[0], ends[1])


def _gained(gain: Estimate, show: Show) -> str:
    """Give a gain of carry with its range: "2.3 yards farther (1.8 to 2.9)", "1.1 yards shorter (...)"."""
    turned = gain if gain.value >= 0.0 else _times(gain, -1.0)
    word = tell("farther") if gain.value >= 0.0 else tell("shorter")
    shown = show.scaled(turned)
    ends = tell("({low} to {high})", low=number(shown.low, 1), high=number(shown.high, 1))
    return tell(
        "{gain} {unit_word} {word} {ends}",
        gain=number(shown.value, 1),
        unit_word=show.unit_word,
        word=word,
        ends=ends,
    )


def _row(club: BuildClub, line: BuildField) -> list[Any]:
    changed = bool(line.proposed) and line.proposed != line.present
    if changed and not line.reason.strip():
        raise InputError(
            tell(
                "{club}: the change of {line} to {proposed} has no reason.",
                club=clean(club.club, 60),
                line=line.name,
                proposed=clean(line.proposed, 40),
            ),
            tell("Say why in the bag file (reason = ...), or take the change out."),
        )
    return [
        first_upper(line.name),
        clean(line.present, 80) if line.present else tell("not measured"),
        {"changed": changed, "text": clean(line.proposed, 80) if changed else tell("keep")},
        line.tolerance or TOLERANCES.get(line.name, NONE),
        clean(line.reason, 200) if changed else NONE,
        "",
        "",
    ]
