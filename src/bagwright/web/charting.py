"""Charts of the papers as the pages draw them: compiled once on the server, so that both are one picture."""

from __future__ import annotations

import json
import math
from functools import lru_cache
from typing import Any

from bagwright.report.charts.render import Chart, converted
from bagwright.report.theme import FONT, INK, QUIET

WIDTH_IS_FREE = frozenset({"order", "distances"})
"""Charts whose width says nothing, so that a screen may choose it; the others keep lengths in proportion."""

SCREEN_FONT = "'Source Sans 3', 'Segoe UI', Roboto, 'Helvetica Neue', Arial, 'Liberation Sans', sans-serif"
"""Fonts of the machine, narrow ones first: charts leave room for the narrow font of the papers, and a page
loads no font of its own."""

_ON_SCREEN = {
    INK: "var(--ink, #1a1a1a)",
    QUIET: "var(--soft, #5c5c5c)",
    "#ececec": "var(--line, #ececec)",
    "#9a9a9a": "var(--field-line, #9a9a9a)",
    "white": "var(--sheet, #ffffff)",
    "#0072B2": "var(--oi-1, #0072b2)",
    "#D55E00": "var(--oi-2, #d55e00)",
    "#009E73": "var(--oi-3, #009e73)",
    "#CC79A7": "var(--oi-4, #cc79a7)",
    "#E69F00": "var(--oi-5, #e69f00)",
    "#56B4E9": "var(--oi-6, #56b4e9)",
    FONT: SCREEN_FONT,
}
"""What a page has in place of the colours and the font of paper; it follows light and dark by itself."""

_PEOPLE_S_WORDS = frozenset({"domain", "text", "description", "usermeta"})
"""Parts that hold names and numbers, not looks: a club called "white" stays "white"."""

_COLOUR_FIELD = "colour"
"""The one field of a chart's data that holds a look; the others are names and numbers."""

_USUAL_INKS = ("guide-label", "guide-title", "group-title", "group-subtitle")
"""Texts that the chart language makes black unless told otherwise, which cannot be read on a dark page."""


def vega_of(chart: Chart) -> dict[str, Any]:
    """The chart as a Vega definition, which a page draws without the language that it was written in.

    Colours are the page's own (custom properties of its style sheet). A number that is not finite is missing.
    Raises MachineError where the chart library refuses it.
    """
    found: dict[str, Any] = json.loads(_compiled(chart.name, json.dumps(_finite(chart.spec), sort_keys=True)))
    return found


def width_is_free(chart: Chart) -> bool:
    """Whether a page may draw the chart as wide as it has room for."""
    return chart.name in WIDTH_IS_FREE


@lru_cache(maxsize=64)
def _compiled(name: str, text: str) -> str:
    """Compile one definition; the same one is asked for by every screen that shows the visit."""
    chart = Chart(name, "", "", {})
    return json.dumps(_dressed(converted(lambda convert: convert.vegalite_to_vega(text), chart)))


def _finite(part: Any) -> Any:
    if isinstance(part, dict):
        return {key: _finite(value) for key, value in part.items()}
    if isinstance(part, (list, tuple)):
        return [_finite(value) for value in part]
    return None if isinstance(part, float) and not math.isfinite(part) else part


def _dressed(vega: dict[str, Any]) -> dict[str, Any]:
    """The definition in the page's colours and font."""
    config: dict[str, Any] = vega.get("config", {})
    config.setdefault("axis", {}).setdefault("gridOpacity", 0.45)
    styles = config.setdefault("style", {})
    for name in _USUAL_INKS:
        styles.setdefault(name, {}).setdefault("fill", INK)
    shape = {key: part for key, part in vega.items() if key not in ("config", "data")}
    dressed: dict[str, Any] = _looks(shape)
    return dressed | {"config": _looks(config, keep=frozenset()), "data": _coloured(vega.get("data", []))}


def _looks(part: Any, keep: frozenset[str] = _PEOPLE_S_WORDS) -> Any:
    if isinstance(part, dict):
        return {
            key: value if key in keep or (key == "title" and isinstance(value, str)) else _looks(value, keep)
            for key, value in part.items()
        }
    if isinstance(part, list):
        return [_looks(value, keep) for value in part]
    return _ON_SCREEN.get(part, part) if isinstance(part, str) else part


def _coloured(data: Any) -> Any:
    if isinstance(data, list):
        return [_coloured(value) for value in data]
    if not isinstance(data, dict):
        return data
    return {key: _looks(value) if key == _COLOUR_FIELD else _coloured(value) for key, value in data.items()}
