"""Colours, shapes and sizes that charts and papers share."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

FONT = "'Source Sans 3', 'DejaVu Sans'"

INK = "#1a1a1a"
QUIET = "#5c5c5c"

_COLOURS = ("#0072B2", "#D55E00", "#009E73", "#CC79A7", "#E69F00", "#56B4E9")
"""Okabe and Ito (2008), Color Universal Design, without black (ink) and yellow (vanishes on paper)."""

_SHAPES = (
    ("circle", "●"),
    ("square", "■"),
    ("triangle-up", "▲"),
    ("diamond", "◆"),
    ("cross", "✚"),
    ("triangle-down", "▼"),
)

SWING_SHAPES = {
    "stock": "circle",
    "gripped-down": "triangle-left",
    "flat-out": "triangle-right",
    "three-quarter": "square",
    "half": "diamond",
}
"""A shape for each swing, so that a chart of several swings reads without colour."""

SWING_COLOURS = {
    "stock": "#0072B2",
    "gripped-down": "#E69F00",
    "flat-out": "#D55E00",
    "three-quarter": "#009E73",
    "half": "#CC79A7",
}


@dataclass(frozen=True, slots=True)
class Sign:
    """How one candidate is told apart: letter, colour, chart shape and the same shape as a character."""

    letter: str
    colour: str
    shape: str
    glyph: str


def sign(i: int) -> Sign:
    """Give the sign of candidate number i (from 0); colour and shape are unique up to 36."""
    shape, glyph = _SHAPES[(i + i // len(_COLOURS)) % len(_SHAPES)]
    return Sign(letter_of(i), _COLOURS[i % len(_COLOURS)], shape, glyph)


def letter_of(i: int) -> str:
    """Give A, B, ... Z, AA, AB, ... for candidate number i (from 0)."""
    return chr(ord("A") + i) if i < 26 else letter_of(i // 26 - 1) + letter_of(i % 26)


_DASHES = ([1, 0], [7, 3], [2, 3], [9, 3, 2, 3], [4, 4], [12, 4])


def dash_of(i: int) -> list[int]:
    """Give the line style of candidate number i (from 0); they repeat after six."""
    return _DASHES[i % len(_DASHES)]


KIND_SIGNS: dict[str, tuple[Sign, list[int]]] = {
    "driver": (Sign("", "#D55E00", "square", "■"), [1, 0]),
    "wood": (Sign("", "#E69F00", "diamond", "◆"), [9, 3]),
    "hybrid": (Sign("", "#CC79A7", "triangle-up", "▲"), [9, 3, 2, 3]),
    "iron": (Sign("", "#0072B2", "circle", "●"), [1, 0]),
    "wedge": (Sign("", "#009E73", "triangle-down", "▼"), [4, 3]),
    "": (Sign("", "#5c5c5c", "cross", "✚"), [2, 2]),
}
"""Colour, shape and line style by kind of club, for pictures of a whole bag."""


def vega_config() -> dict[str, Any]:
    """Give the look of every chart; sizes in pixels of 1/96 inch, so that 12 px prints as 9 pt."""
    return {
        "font": FONT,
        "background": "white",
        "view": {"stroke": None},
        "axis": {
            "labelFontSize": 12,
            "titleFontSize": 12,
            "titleFontWeight": "normal",
            "titleColor": QUIET,
            "labelColor": INK,
            "gridColor": "#ececec",
            "domainColor": "#9a9a9a",
            "tickColor": "#9a9a9a",
            "labelLimit": 260,
            "titleLimit": 620,
        },
        "title": {"fontSize": 13, "fontWeight": "bold", "color": INK, "limit": 620, "anchor": "start"},
        "legend": {"labelFontSize": 12, "titleFontSize": 12, "labelLimit": 260, "titleFontWeight": "normal"},
        "text": {"fontSize": 12, "color": INK},
    }
