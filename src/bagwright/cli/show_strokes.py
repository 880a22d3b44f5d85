"""What a person reads after `strokes`: the round, the holes, the clubs."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from bagwright.cli import show
from bagwright.cli.layout import NOTHING, Ruler, bullet, heading, paragraph, table
from bagwright.tasks import tee_shot_words, wind_words
from bagwright.units import System

if TYPE_CHECKING:
    from bagwright.report.strokes.compare import OnCourse
    from bagwright.tasks import StrokesAnswer
    from bagwright.tasks.stroking import HoleLine

_SHOWN_CLUBS = 20
_PLANNING = (
    "For planning before a round only: advice worked out from where a ball lies may not be used during one "
    "(Rules of Golf, Rule 4.3a)."
)


def strokes(answer: StrokesAnswer, system: System) -> None:
    """Show a round."""
    ruler = Ruler(system)
    click.echo(f"{answer.course}, tee {answer.tee}, {wind_words(answer, system)}.")
    over = answer.strokes - answer.par
    click.echo(
        f"{answer.strokes:.1f} strokes expected ({over:+.1f} to par {answer.par}); one round differs from the "
        f"next by about {answer.sd:.1f}."
    )
    rows = [_row(hole, tee_shot_words(answer, hole.number, system), ruler) for hole in answer.holes]
    table(("hole", "par", "index", f"length, {ruler.unit}", "strokes", "±", "from the tee", "aim"), rows)
    heading("Where each club is used, times a round")
    for club, times in list(answer.clubs.items())[:_SHOWN_CLUBS]:
        bullet(f"{club}: {times:.1f}")
    paragraph(_doubt(answer))
    for said in answer.said:
        bullet(str(said))
    paragraph(_PLANNING)
    if answer.files:
        show.files(answer.files)


def on_course(found: OnCourse, system: System) -> None:
    """Show a slot's candidates on a course, hole by hole, below their verdict."""
    from bagwright.report.strokes.compare import doubt, sentence
    from bagwright.report.strokes.compare import table as rows_of
    from bagwright.report.words import Show

    heading("On the course")
    paragraph(sentence(found))
    paragraph(doubt())
    heads, rows, _widths = rows_of(found, Show(system))
    table(tuple(heads), [tuple(cell.replace("\u00a0", " ") for cell in row) for row in rows])
    paragraph(
        "Strokes expected on each hole with that candidate in the slot; used: how often it is hit there."
    )
    paragraph(_PLANNING)


def _row(hole: HoleLine, tee_shot: str, ruler: Ruler) -> tuple[str, ...]:
    index = NOTHING if hole.stroke_index is None else str(hole.stroke_index)
    mark = "" if hole.converged else " (not at rest)"
    return (
        str(hole.number), str(hole.par), index, ruler.length(hole.length_m), f"{hole.strokes:.2f}{mark}",
        f"{hole.sd:.1f}", tee_shot or NOTHING, _aim(hole, ruler),
    )  # fmt: skip


def _aim(hole: HoleLine, ruler: Ruler) -> str:
    """Against the hole's way, as far out as the ball is meant to end."""
    if hole.aim_right_m is None or hole.aim_at_m is None:
        return NOTHING
    at = ruler.length(hole.aim_at_m)
    if abs(hole.aim_right_m) < 1.0:
        return f"on the line, at {at}"
    return f"{ruler.length(abs(hole.aim_right_m))} {'right' if hole.aim_right_m > 0 else 'left'}, at {at}"


def _doubt(answer: StrokesAnswer) -> str:
    if not answer.converged:
        return (
            "Not every hole came to rest while it was worked out: lean neither on the strokes of such a hole "
            "nor on its aim."
        )
    return (
        f"Under this model and these inputs, worked out within {max(answer.error_bound, 0.001):.3f} strokes a "
        "round; how well the shots know the player is not in these figures."
    )
