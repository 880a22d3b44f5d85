"""What the lines above the headings say: units, date, ball, surface, how the figures were made."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field

from bagwright.shots.headers import Heading
from bagwright.shots.limits import Limits
from bagwright.shots.quantities import BY_NAME, GROUP_UNITS
from bagwright.shots.rows import club_heading, heading_score, headings_in, is_units_row
from bagwright.shots.texts import clean
from bagwright.units import find_unit

_KEYS = {
    "air": ("air", "weather", "temperature", "luft", "wetter"),
    "aligned": ("aligned", "alignment"),
    "adjusted": ("figures", "adjusted", "normalised", "normalized", "normalisation", "normalization"),
    "ball": ("ball", "ball type", "balls"),
    "club": ("club", "build", "schläger", "palo"),
    "date": ("date", "datum", "fecha", "day"),
    "place": ("place", "location", "ort", "bay", "range"),
    "spin": ("spin",),
    "surface": ("surface", "lie", "mat", "untergrund"),
    "units": ("units", "unit", "einheiten", "einheit", "unidades", "unités", "distance units", "system"),
    "distance units": ("distance", "distances", "length", "carry"),
    "speed units": ("speed", "speeds", "speed units"),
}
_KEY_OF = {word: key for key, words in _KEYS.items() for word in words}
_ADJUSTED = {"as measured": "as measured", "measured": "as measured", "no": "as measured",
             "not adjusted": "as measured",
             "raw": "as measured", "none": "as measured", "adjusted": "adjusted", "yes": "adjusted",
             "normalised": "adjusted", "normalized": "adjusted", "standard air": "adjusted"}  # fmt: skip
_ALIGNED = {"checked": "checked", "yes": "checked", "not checked": "not checked", "no": "not checked"}
_SPIN = {"measured": "measured", "estimated": "estimated", "calculated": "estimated"}


@dataclass(slots=True)
class Preamble:
    """Facts told above the headings, and units by question group where they are told there."""

    facts: dict[str, str] = field(default_factory=dict)
    units: dict[str, str] = field(default_factory=dict)


@dataclass(slots=True)
class Top:
    """The top of a table: headings (row number from 1), units row (0: none) and what stands above."""

    headings: list[Heading]
    row: int
    units: list[str]
    units_row: int
    preamble: Preamble


def find_top(rows: Sequence[Sequence[str]], columns: dict[str, str], limits: Limits) -> Top | None:
    """Find the headings among the first rows: the row that knows the most of them before any shot stands."""
    top = rows[: limits.preamble_rows + 1]
    found, score = -1, 0
    understood: list[Heading] = []
    for i, row in enumerate(top):
        if not any(row):
            continue
        headings = headings_in(row[: limits.columns], columns)
        this = heading_score(headings, row)
        if this > score:
            found, score, understood = i, this, headings
        elif found >= 0 and _has_numbers(row, understood):
            break
    if found < 0:
        return None
    # Trailing blank headings are no columns.
    while understood and not understood[-1].text.strip():
        understood.pop()
    below = rows[found + 1] if found + 1 < len(rows) else []
    has_units = bool(below) and is_units_row(below)
    return Top(
        understood,
        found + 1,
        list(below) if has_units else [],
        found + 2 if has_units else 0,
        told(rows[:found]),
    )


def _has_numbers(row: Sequence[str], headings: list[Heading]) -> bool:
    """Tell whether a row holds a number below a heading of a measure, as shots do and preambles do not."""
    pairs = zip(row, headings, strict=False)
    return any(heading.name in BY_NAME and any(c.isdigit() for c in cell) for cell, heading in pairs)


def told(rows: Sequence[Sequence[str]]) -> Preamble:
    """Facts in lines such as "Units: metres", "Ball;range ball" and in a line that is nothing but a club."""
    preamble = Preamble()
    for row in rows:
        filled = [clean(cell, 120) for cell in row if cell.strip()]
        if not filled:
            continue
        pairs = [cell.partition(":")[::2] for cell in filled if ":" in cell]
        if len(filled) == 2 and not pairs:
            pairs = [(filled[0], filled[1])]
        if filled[0].partition(":")[0].strip().casefold() in _KEYS["units"]:
            pairs = [("units", " & ".join([filled[0].partition(":")[2], *filled[1:]]))]
        for key, value in pairs:
            _fact(
                preamble,
                key.strip(" :=").casefold(),
                value.strip() or (filled[1] if len(filled) == 2 else ""),
            )
        if len(filled) == 1 and not pairs and (club := club_heading(filled)):
            preamble.facts["club"] = club
    return preamble


def _fact(preamble: Preamble, key: str, value: str) -> None:
    name = _KEY_OF.get(key)
    if name is None or not value:
        return
    if name in ("units", "distance units", "speed units"):
        _units(preamble, name, value.casefold())
    elif name == "adjusted":
        _known(preamble, name, _ADJUSTED.get(value.casefold()))
    elif name == "spin":
        _known(preamble, name, _SPIN.get(value.casefold()))
    elif name == "aligned":
        _known(preamble, name, _ALIGNED.get(value.casefold()))
    else:
        preamble.facts.setdefault(name, value)


def _known(preamble: Preamble, name: str, value: str | None) -> None:
    if value is not None:
        preamble.facts.setdefault(name, value)


def _units(preamble: Preamble, name: str, value: str) -> None:
    for word in re.split(r"[,;&+]| and | und |\s/\s", value):
        unit = find_unit(word.strip())
        if unit is None:
            continue
        group = {"length": "length unit", "speed": "speed unit"}.get(unit.dimension)
        if group is not None and unit.name in GROUP_UNITS[group]:
            preamble.units.setdefault(group, unit.name)
