"""Club names for narrow columns."""

from __future__ import annotations

from bagwright.report.safe import label

MOST = 15
"""Letters that fit the name column of a card."""


def short_name(name: str) -> str:
    """Give a club's name for the card's narrow column.

    A long one loses its middle, so that two builds that differ at either end stay apart.
    """
    text = label(name.replace(" wedge", " w.").replace("Pitching", "Pitch"), 60)
    half = (MOST - 1) // 2
    return text if len(text) <= MOST else f"{text[:half].rstrip()}…{text[-half:].lstrip()}"
