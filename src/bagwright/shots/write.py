"""Writing shots as a table in our own headings that reads back exactly."""

from __future__ import annotations

import math
import os
import re
from collections.abc import Sequence
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
    headings, columns = columns_of(table, system)
    return as_csv(headings, columns)


def columns_of(table: ShotTable, system: System = "yards") -> tuple[list[str], list[Sequence[str]]]:
    """Headings and cells of a table, a column at a time; texts escaped and quoted as CSV wants them."""
    headings: list[str] = ["order"]
    columns: list[Sequence[str]] = [[str(n) for n in table.order.tolist()]]
    for name in TEXTS:
        texts = table.texts.get(name)
        if texts is not None or name in _ALWAYS:
            headings.append(name)
            columns.append(text_cells(table.text(name)))
    for name in table.measures:
        heading, cells = _measure(table, BY_NAME[name], system)
        headings.append(heading)
        columns.append(cells)
    if table.marks:
        marks = [table.marks.get(i) for i in range(table.n)]
        headings += ["mark", "mark_reason", "mark_author", "mark_probability"]
        columns += [[_quoted(_mark_cell(mark, field)) for mark in marks] for field in range(4)]
    return headings, columns


def as_csv(headings: Sequence[str], columns: Sequence[Sequence[str]]) -> str:
    """Return one CSV text (RFC 4180: comma, CRLF) of columns whose cells are quoted already."""
    rows = map(",".join, zip(*columns, strict=True))
    return "\r\n".join((",".join(headings), *rows, ""))


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


def _measure(table: ShotTable, quantity: Quantity, system: System) -> tuple[str, list[str]]:
    values = table.measures[quantity.name]
    unit = _unit(quantity, system)
    cells = _exact(values, unit.factor) if unit is not None else None
    if cells is None:
        unit = unit_named(_SI[quantity.dimension]) if quantity.dimension in _SI else None
        cells = _written(values)
    if quantity.name == "carry_m" and table.carry_at_least is not None:
        cells = [
            f">{cell}" if bound and cell else cell
            for cell, bound in zip(cells, table.carry_at_least.tolist(), strict=True)
        ]
    return (quantity.heading if unit is None else f"{quantity.heading}_{unit.name}"), cells


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


def _exact(values: Floats, factor: float) -> list[str] | None:
    """Return the values over `factor`, each as a text that gives it back exactly; None if one cannot.

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
            return _written(found)
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
    return _written(found)


def _written(values: Floats) -> list[str]:
    """The shortest text that gives each number back; empty where there is none."""
    return ["" if value != value else repr(value) for value in values.tolist()]
