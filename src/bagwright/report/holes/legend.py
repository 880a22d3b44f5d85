"""The legend of a picture: each lie with its colour, pattern, letter and word, and what the lines mean."""

from __future__ import annotations

from collections.abc import Sequence

from bagwright.course.lies import LETTERS, Lie
from bagwright.report.holes.ground import LOOKS
from bagwright.report.holes.xml import el, text

ROW_PX = 21.0
_COLUMNS = 3


def legend_rows(lies: Sequence[Lie], lines: Sequence[tuple[str, str]]) -> int:
    """Say how many rows the legend takes."""
    return -(-len(lies) // _COLUMNS) + len(lines)


def legend(
    lies: Sequence[Lie], lines: Sequence[tuple[str, str]], prefix: str, x: float, y: float, width: float
) -> str:
    """Draw the legend with its corner at (x, y). `lines` holds the class and words of a line each."""
    drawn = []
    step = width / _COLUMNS
    for i, lie in enumerate(lies):
        drawn.append(_swatch(lie, prefix, x + step * (i % _COLUMNS), y + ROW_PX * (i // _COLUMNS)))
    start = y + ROW_PX * -(-len(lies) // _COLUMNS)
    for i, (cls, words) in enumerate(lines):
        at = start + ROW_PX * i
        drawn.append(_sample(cls, x, at + 8))
        drawn.append(text(words, x + 31, at + 12.5, "hp-small", 100))
    return "".join(drawn)


def _sample(cls: str, x: float, y: float) -> str:
    """A ball, a cross of a lost one, or a piece of a line."""
    if cls == "hp-ball":
        return el("circle", cx=x + 12, cy=y, r=2.6, cls=cls)
    if cls == "hp-ball-lost":
        return el("path", d=f"M{x + 9:.1f} {y - 3:.1f}l6 6m0 -6l-6 6", cls=cls)
    return el("path", d=f"M{x:.1f} {y:.1f}h24", cls=cls)


def _swatch(lie: Lie, prefix: str, x: float, y: float) -> str:
    look = LOOKS[lie]
    area = {"x": x + 0.5, "y": y + 0.5, "width": 24, "height": 16}
    drawn = el("rect", cls=look.cls, **area)
    if look.pattern:
        drawn += el("rect", fill=f"url(#{prefix}{look.pattern})", **area)
    if lie is Lie.ROUGH:
        drawn += el("rect", cls="hp-frame", **area)
    drawn += text(LETTERS[lie], x + 12, y + 12.5, "hp-letter hp-halo")
    return drawn + text(look.words, x + 31, y + 12.5, "hp-small")
