"""What a person reads during and after `study`: how far it is, the spread, the clubs, what failed."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import click

from bagwright.cli import show
from bagwright.cli.layout import NOTHING, heading, paragraph, table
from bagwright.cli.progress import about
from bagwright.tasks.study_summary import band_words
from bagwright.units import System

if TYPE_CHECKING:
    from bagwright.study import Counts
    from bagwright.tasks.study_summary import Quantile, Summary
    from bagwright.tasks.studying import Failed, StudyAnswer

_MOST_FAILED = 40
"""Failures that are listed; the table of answers has all."""


def progress(counts: Counts, seconds: float, words: str) -> str:
    """How far it is: "312 of 1000, 2 failed, 4 workers; about 3 h 20 min left"."""
    now = counts.done - counts.before
    parts = [f"{counts.done} of {counts.tasks}"]
    if counts.failed:
        parts.append(f"{counts.failed} failed")
    if words:
        parts.append(words)
    left = f"; {about(seconds / now * (counts.tasks - counts.done))} left" if now else ""
    return ", ".join(parts) + left


def study(answer: StudyAnswer, system: System) -> None:
    """Show what a study found."""
    summary = answer.summary
    rounds = "" if len(answer.rounds) == 1 else f", weighted over {len(answer.rounds)} rounds"
    click.echo(f"{answer.done} of {answer.players} players have every answer{rounds}.")
    if summary.strokes:
        heading("Expected strokes of a round, over the players (90 % range of each figure)")
        rows = [(f"{100 * one.share:.0f} %", f"{one.value:.1f}", _range(one)) for one in summary.strokes]
        table(("of the players need at most", "strokes", "range"), rows)
        heading("By handicap")
        table(
            ("handicap", "players", "median strokes", "range"),
            [
                (band_words(b.low), str(b.players), f"{b.strokes.value:.1f}", _range(b.strokes))
                for b in summary.by_handicap
            ],
        )
        _clubs(summary)
    paragraph(
        "The ranges say how far these players stand for others like them. How well each player's own shots are "
        f"known is not in them{_see(answer.question)}. Under this model and these inputs."
    )
    show.files(answer.files)


def _see(question: str) -> str:
    return ": see doubt_sd in the table of answers (--draws)" if question == "strokes" else ""


def _range(one: Quantile) -> str:
    if one.low is None or one.high is None:
        return "too few players"
    return f"{one.low:.1f} to {one.high:.1f}"


def _clubs(summary: Summary) -> None:
    picked = any(line.picked is not None for line in summary.clubs)
    if not picked:
        heading("How often clubs are used, times a round, by those who carry them")
        table(
            ("club", "players", "times"),
            [(one.club, str(one.players), f"{one.uses or 0.0:.1f}") for one in summary.clubs],
        )
        return
    if summary.gain:
        low, middle, high = summary.gain[0], summary.gain[2], summary.gain[-1]
        click.echo(
            f"\nThe best bag saves {middle.value:.2f} strokes a round against today's (median; "
            f"{low.value:.2f} to {high.value:.2f} for the middle nine tenths of the players)."
        )
    heading("How often clubs are in the best bag, and what they are worth there (strokes a round)")
    rows = []
    for one in summary.clubs:
        worth = (
            f"{one.worth[1].value:.2f} ({one.worth[0].value:.2f} to {one.worth[2].value:.2f})"
            if one.worth
            else NOTHING
        )
        rows.append((one.club, str(one.players), f"{100 * (one.picked or 0.0):.0f} %", worth))
    table(("club", "offered to", "in the best bag", "worth: median (5 to 95 in a hundred)"), rows)


def failed(found: Sequence[Failed], tasks: int) -> None:
    """List what failed, on standard error."""
    click.echo(f"{len(found)} of {tasks} tasks failed:", err=True)
    for one in found[:_MOST_FAILED]:
        where = f" ({one.where})" if one.where else ""
        place = " ".join(word for word in (one.course, one.tees, one.wind) if word)
        click.echo(
            f"  player {one.player}{where}, {place}: {one.reason}"
            if place
            else f"  player {one.player}{where}: {one.reason}",
            err=True,
        )
    if len(found) > _MOST_FAILED:
        click.echo(f"  and {len(found) - _MOST_FAILED} more: see the column failed.", err=True)
    click.echo("Correct their inputs and begin anew, or try the same again with --again.", err=True)
