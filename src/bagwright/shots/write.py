"""Writing shots as a table in our own headings that reads back exactly."""

from __future__ import annotations

import math
import os
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from bagwright.files import write_whole
from bagwright.shots.quantities import BY_NAME, Quantity, unit_named
from bagwright.shots.record import TEXTS, Mark, ShotTable
from bagwright.shots.texts import escaped
from bagwright.units import System, Unit, distance_unit, height_unit, speed_unit

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

_SI = {"length": "m", "speed": "mps", "angle": "rad", "rotation": "rpm", "time": "s"}
_ALWAYS = ("club", "visit")
_MARK_HEADINGS = ("mark", "mark_reason", "mark_author", "mark_probability")
_BLOCK = 32_768
"""Rows turned to text at a time."""
_NEEDS_QUOTES = re.compile(r'[",\r\n]')


def write_shots(table: ShotTable, path: str | os.PathLike[str], system: System = "yards") -> None:
    """Write `table` as CSV (UTF-8) in the headings of docs/names.md, whole or not at all.

    A column is written in the unit of `system` where every number of it comes back exactly, else in SI (the
    heading says which). Text that a spreadsheet would take for a formula gets an apostrophe in front, which
    reading takes off again. Where a shot came from (file and row) is not written. Raises MachineError.
    """
    write_whole(Path(path), shots_as_csv(table, system).encode())


def shots_as_csv(table: ShotTable, system: System = "yards") -> str:
    """Return the text that `write_shots` writes."""
    return as_csv(columns_of(table, system), table.n)


@dataclass(frozen=True, slots=True)
class Column:
    """One column of a file: its heading, and its cells from one row to another, quoted as CSV wants them."""

    heading: str
    cells: Callable[[int, int], Sequence[str]]


def columns_of(table: ShotTable, system: System = "yards") -> list[Column]:
    """The columns of a table; cells are made when asked for, so that long tables need little room."""
    order = table.order
    columns = [Column("order", lambda start, end: [str(n) for n in order[start:end].tolist()])]
    for name in TEXTS:
        if table.texts.get(name) is not None or name in _ALWAYS:
            columns.append(_text(name, table.text(name)))
    columns += [_measure(table, BY_NAME[name], system) for name in table.measures]
    if table.marks:
        columns += [_marks(table, i, name) for i, name in enumerate(_MARK_HEADINGS)]
    return columns


def as_csv(columns: Sequence[Column], rows: int) -> str:
    """Return one CSV text (RFC 4180: comma, CRLF) of columns."""
    blocks = [",".join(column.heading for column in columns) + "\r\n"]
    for start in range(0, rows, _BLOCK):
        end = min(start + _BLOCK, rows)
        lines = map(",".join, zip(*(column.cells(start, end) for column in columns), strict=True))
        blocks.append("\r\n".join(lines) + "\r\n")
    return "".join(blocks)


def _text(name: str, texts: Sequence[str]) -> Column:
    return Column(name, lambda start, end: text_cells(texts[start:end]))


def _marks(table: ShotTable, field: int, heading: str) -> Column:
    def cells(start: int, end: int) -> list[str]:
        return [_quoted(_mark_cell(table.marks.get(i), field)) for i in range(start, end)]

    return Column(heading, cells)


def text_cells(texts: Sequence[str]) -> list[str]:
    """Texts as CSV cells: no formula, quoted where needed. Each different text is looked at once."""
    known: dict[str, str] = {}
    cells = []
    for text in texts:
        cell = known.get(text)
        if cell is None:
            cell = known[text] = _quoted(escaped(text))
        cells.append(cell)
    return cells


def _quoted(text: str) -> str:
    if not _NEEDS_QUOTES.search(text):
        return text
    return '"' + text.replace('"', '""') + '"'


def _mark_cell(mark: Mark | None, field: int) -> str:
    if mark is None:
        return ""
    chance = "" if mark.probability is None else repr(float(mark.probability))
    return (mark.kind, escaped(mark.reason), escaped(mark.author), chance)[field]


def _measure(table: ShotTable, quantity: Quantity, system: System) -> Column:
    values = table.measures[quantity.name]
    unit = _unit(quantity, system)
    exact = _exact(values, unit.factor) if unit is not None else None
    if exact is None:
        unit = unit_named(_SI[quantity.dimension]) if quantity.dimension in _SI else None
        exact = values
    bounds = table.carry_at_least if quantity.name == "carry_m" else None
    shown = exact

    def cells(start: int, end: int) -> list[str]:
        written = _written(shown[start:end])
        if bounds is None:
            return written
        below = zip(written, bounds[start:end].tolist(), strict=True)
        return [f">{cell}" if bound and cell else cell for cell, bound in below]

    return Column(quantity.heading if unit is None else f"{quantity.heading}_{unit.name}", cells)


def _unit(quantity: Quantity, system: System) -> Unit | None:
    if quantity.name.startswith("impact_"):
        return unit_named("mm")
    if quantity.name == "apex_m":
        return height_unit(system)
    if quantity.dimension == "length":
        return distance_unit(system)
    if quantity.dimension == "speed":
        return speed_unit(system)
    return unit_named(quantity.usual) if quantity.usual else None


def _exact(values: Floats, factor: float) -> Floats | None:
    """Return the values over `factor`, each a number that gives it back exactly; None if one cannot.

    A short decimal is what was in the table that the value came from: those are tried first, for the whole
    column at once, then twelve figures, then the quotient and its neighbours.
    """
    import numpy as np

    near = values / factor
    found = np.full(len(values), np.nan)
    open_ = ~np.isnan(values)
    for power in (1.0, 10.0, 100.0, 1_000.0, 10_000.0):
        tried = np.rint(near * power) / power
        fits = open_ & (tried * factor == values)
        found[fits] = tried[fits]
        open_ &= ~fits
        if not open_.any():
            return found
    for i in np.flatnonzero(open_).tolist():
        value, close = float(values[i]), float(near[i])
        tries = (
            float(f"{close:.12g}"),
            close,
            math.nextafter(close, math.inf),
            math.nextafter(close, -math.inf),
        )
        one = next((one for one in tries if one * factor == value), None)
        if one is None:
            return None
        found[i] = one
    return found


def _written(values: Floats) -> list[str]:
    """The shortest text that gives each number back; empty where there is none."""
    return ["" if value != value else repr(value) for value in values.tolist()]
