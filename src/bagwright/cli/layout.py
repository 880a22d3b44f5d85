"""How numbers and tables look on a terminal: plain lines that a screen reader reads in order."""

from __future__ import annotations

import math
from collections.abc import Sequence

import click

from bagwright.estimate import Estimate, percent, probability_words
from bagwright.units import RAD_PER_DEG, System, distance_unit, height_unit

NOTHING = "-"
"""Shown where a number was not measured; never a zero."""


class Ruler:
    """Turns metres and radians into the text of one system of units."""

    def __init__(self, system: System) -> None:
        self.system = system
        self._unit = distance_unit(system)
        self._height = height_unit(system)
        self.unit = self._unit.name

    def length(self, metres: float, digits: int = 0) -> str:
        """A distance without its unit: "151"."""
        return fixed(metres / self._unit.factor, digits)

    def with_unit(self, metres: float, digits: int = 0) -> str:
        """A distance with its unit: "151 yd"."""
        return f"{self.length(metres, digits)} {self.unit}"

    def range(self, estimate: Estimate | None, digits: int = 0) -> str:
        """A distance with its 90 % range: "151 (147 to 155)"."""
        if estimate is None:
            return NOTHING
        low, high = self.length(estimate.low, digits), self.length(estimate.high, digits)
        return f"{self.length(estimate.value, digits)} ({low} to {high})"

    def signed(self, estimate: Estimate | None, digits: int = 1) -> str:
        """A difference with its sign and range: "+2.1 (-0.4 to +4.6)"."""
        if estimate is None:
            return NOTHING
        value, low, high = (x / self._unit.factor for x in (estimate.value, estimate.low, estimate.high))
        return f"{value:+.{digits}f} ({low:+.{digits}f} to {high:+.{digits}f})"

    def height(self, estimate: Estimate | None) -> str:
        """A height of flight with its range: feet beside yards, metres beside metres."""
        if estimate is None:
            return NOTHING
        value, low, high = (x / self._height.factor for x in (estimate.value, estimate.low, estimate.high))
        return f"{value:.0f} ({low:.0f} to {high:.0f}) {self._height.name}"

    def side(self, estimate: Estimate | None) -> str:
        """A side with its range in words: "3 L (8 L to 2 R)"."""
        if estimate is None:
            return NOTHING
        value, low, high = (self._side(x) for x in (estimate.value, estimate.low, estimate.high))
        return f"{value} ({low} to {high})"

    def _side(self, metres: float) -> str:
        shown = round(abs(metres) / self._unit.factor)
        return "0" if shown == 0 else f"{shown} {'R' if metres > 0 else 'L'}"


def fixed(value: float, digits: int) -> str:
    """A number with so many decimals, and no minus before a nought."""
    text = f"{value:.{digits}f}"
    return text.removeprefix("-") if float(text) == 0.0 else text


def degrees(estimate: Estimate | None) -> str:
    """An angle with its range in degrees."""
    if estimate is None:
        return NOTHING
    value, low, high = (x / RAD_PER_DEG for x in (estimate.value, estimate.low, estimate.high))
    return f"{value:.0f} ({low:.0f} to {high:.0f})°"


def share(estimate: Estimate | None) -> str:
    """A share with its range in percent: "9 (4 to 17) %"."""
    if estimate is None:
        return NOTHING
    return f"{100 * estimate.value:.0f} ({100 * estimate.low:.0f} to {100 * estimate.high:.0f}) %"


def sure(probability: float) -> str:
    """Words and figure of a probability: "likely, 83 %"."""
    return f"{probability_words(probability)}, {percent(probability)}"


def number(value: float | None, digits: int = 1) -> str:
    """A plain number, or the sign for "not known"."""
    return NOTHING if value is None or math.isnan(value) else f"{value:.{digits}f}"


def heading(text: str) -> None:
    """A title of its own, with a blank line before it."""
    click.echo(f"\n{text}")


def bullet(text: str) -> None:
    """One point of a list, wrapped."""
    click.echo(click.wrap_text(text, width=96, initial_indent="  - ", subsequent_indent="    "))


def paragraph(text: str) -> None:
    """Running text, wrapped."""
    click.echo(click.wrap_text(text, width=96))


def table(headings: Sequence[str], rows: Sequence[Sequence[str]]) -> None:
    """A table with a rule under its headings; columns as wide as they need, first one to the left."""
    from rich.box import SIMPLE_HEAD
    from rich.console import Console
    from rich.table import Table

    class _Console(Console):
        def on_broken_pipe(self) -> None:
            """Leave the closed pipe to the entry point, which ends quietly."""
            raise BrokenPipeError

    grid = Table(box=SIMPLE_HEAD, pad_edge=False, show_edge=False, header_style="")
    for i, title in enumerate(headings):
        figures = i > 0 and all(_is_figure(row[i]) for row in rows)
        grid.add_column(title, justify="right" if figures else "left", overflow="fold")
    for row in rows:
        grid.add_row(*(_plain(cell) for cell in row))
    console = _Console(highlight=False, markup=False, emoji=False, soft_wrap=False, width=_width())
    console.print(grid)


def _is_figure(cell: str) -> bool:
    """Figures line up on the right, words on the left."""
    return not cell or cell[0] in "0123456789+-−<>≈"


def _width() -> int | None:
    """The terminal's width, or a fixed one where output goes to a file."""
    import sys

    return None if sys.stdout.isatty() else 110


def _plain(text: str) -> str:
    """User text without control characters, so that a file's names cannot drive the terminal."""
    return "".join(c if c.isprintable() else " " for c in text)
