"""A scorecard as it was read: what it says and nothing more."""

from __future__ import annotations

from dataclasses import dataclass, field

MOST_HOLE = 99
"""Highest number of a hole."""


@dataclass(slots=True)
class CardRow:
    """One hole's row: what the card says and nothing more."""

    number: int
    par: int | None = None
    stroke_index: int | None = None
    name: str = ""
    words: str = ""
    lengths: dict[str, tuple[float, str]] = field(default_factory=dict)
    """By tee: the figure and its unit."""
    pars: dict[str, int] = field(default_factory=dict)
    indices: dict[str, int] = field(default_factory=dict)


@dataclass(slots=True)
class Card:
    """A scorecard as it was read."""

    file: str
    name: str = ""
    unit: str = ""
    """The unit that the lines above the table give, or ""."""
    tees: tuple[str, ...] = ()
    holes: list[CardRow] = field(default_factory=list)
    left_out: int = 0
    """Rows of sums and blank rows below the headings."""
