"""What a person reads after `restate`: the changes by club, the level, the card."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from bagwright.cli.layout import NOTHING, Ruler, bullet, heading, paragraph, table
from bagwright.estimate import Estimate
from bagwright.tasks import reading_doubts
from bagwright.units import System

if TYPE_CHECKING:
    from bagwright.flight.level import Level
    from bagwright.restate import Card, CardRow
    from bagwright.tasks import RestatedFiles


def restated(found: RestatedFiles, system: System, there: str | None, out: Path | None) -> None:
    """Show what restating changed, and how sure that is."""
    ruler = Ruler(system)
    result = found.restated
    click.echo(f"Hit in: {found.here_from}.")
    if there is not None:
        rows = [
            (
                c.club,
                str(c.n),
                ruler.length(c.carry_here_m),
                ruler.range(c.carry_there_m),
                ruler.signed(c.change_m),
                _moved(found, c.club, ruler),
            )
            for c in result.changes
        ]
        unit = ruler.unit
        table(
            (
                "club",
                "shots",
                f"carry here, {unit}",
                f"carry there, {unit}",
                f"change, {unit}",
                f"moves, {unit}",
            ),
            rows,
        )
        paragraph(
            "Carries are medians of the shots not marked; the 90 % ranges hold the doubt of the change, not that of "
            "few shots (`bagwright distances` has that)."
        )
    _level(result.level)
    heading("Mind")
    for words in (*result.said, *reading_doubts(found.loaded)):
        bullet(words)
    if found.card is not None:
        _card(found.card, ruler)
    if out is not None:
        click.echo(f"\nWritten: {out}")


def _moved(found: RestatedFiles, club: str, ruler: Ruler) -> str:
    """How far the club's shots move sideways, in the middle; nothing where no side was measured."""
    import numpy as np

    here, there = (t.measure("offline_m") for t in (found.loaded.table, found.restated.table))
    own = np.array([name == club for name in found.loaded.table.text("club")])
    by = (there - here)[own]
    if not np.isfinite(by).any():
        return NOTHING
    middle = float(np.nanmedian(by))
    return ruler.side(Estimate(middle, middle, middle)).partition(" (")[0]


def _level(level: Level) -> None:
    heading("Level: the player's own shots against the law")
    if level.why_not is not None:
        paragraph(f"Not set: {level.why_not}. Drag {_factor(level.drag)}, lift {_factor(level.lift)}.")
        return
    paragraph(
        f"Drag times {_factor(level.drag)}, lift times {_factor(level.lift)}, from {level.shots_used} shots."
    )


def _factor(estimate: Estimate) -> str:
    return f"{estimate.value:.2f} ({estimate.low:.2f} to {estimate.high:.2f})"


def _card(card: Card, ruler: Ruler) -> None:
    heading(f"Solid carries elsewhere, {ruler.unit} (90 % range)")
    swings = {row.swing for row in card.rows}
    for group, words in (
        ("temperature", "by temperature"),
        ("altitude", "by altitude"),
        ("wind", "in wind of 10 mph"),
    ):
        places = [i for i, place in enumerate(card.places) if place.group == group]
        rows = [
            (
                row.club if len(swings) == 1 else f"{row.club}, {row.swing}",
                ruler.range(row.carry_here_m),
                *(_cell(row, i, card.places[i].label, ruler) for i in places),
            )
            for row in card.rows
        ]
        table((words, "here", *(_place(card.places[i].label) for i in places)), rows)
    if card.unknown:
        names = ", ".join(f"{club} {swing}" for club, swing in card.unknown)
        paragraph(f"Without a known strike, so not on the card: {names}.")


def _place(label: str) -> str:
    return f"{label}: moves" if label.startswith("cross") else label


def _cell(row: CardRow, i: int, label: str, ruler: Ruler) -> str:
    """Carry; in a cross wind, which hardly changes it, how far the ball moves sideways."""
    return ruler.side(row.side_m[i]) if label.startswith("cross") else ruler.range(row.carry_m[i])
