"""Writing shots as a table in our own headings that reads back exactly."""

from __future__ import annotations

import csv
import io
import math
import os
from pathlib import Path

from bagwright.files import write_whole
from bagwright.shots.quantities import BY_NAME, Quantity, unit_named
from bagwright.shots.record import TEXTS, Mark, ShotTable
from bagwright.shots.texts import escaped
from bagwright.units import System, Unit, distance_unit, height_unit, speed_unit

_SI = {"length": "m", "speed": "mps", "angle": "rad", "rotation": "rpm", "time": "s"}
_ALWAYS = ("club", "visit")


def write_shots(table: ShotTable, path: str | os.PathLike[str], system: System = "yards") -> None:
    """Write `table` as CSV (UTF-8) in the headings of docs/names.md, whole or not at all.

    A column is written in the unit of `system` where every number of it comes back exactly, else in SI (the
    heading says which). Text that a spreadsheet would take for a formula gets an apostrophe in front, which
    reading takes off again. Where a shot came from (file and row) is not written. Raises MachineError.
    """
    write_whole(Path(path), shots_as_csv(table, system).encode())


def shots_as_csv(table: ShotTable, system: System = "yards") -> str:
    """Return the text that `write_shots` writes."""
    headings, columns = ["order"], [[str(n) for n in table.order.tolist()]]
    for name in TEXTS:
        texts = table.texts.get(name)
        if texts is not None or name in _ALWAYS:
            headings.append(name)
            columns.append([escaped(text) for text in table.text(name)])
    for name in table.measures:
        heading, cells = _measure(table, BY_NAME[name], system)
        headings.append(heading)
        columns.append(cells)
    if table.marks:
        marks = [table.marks.get(i) for i in range(table.n)]
        headings += ["mark", "mark_reason", "mark_author", "mark_probability"]
        columns += [[_mark_cell(mark, field) for mark in marks] for field in range(4)]
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n", quoting=csv.QUOTE_MINIMAL)
    writer.writerow(headings)
    writer.writerows(zip(*columns, strict=True))
    return out.getvalue()


def _mark_cell(mark: Mark | None, field: int) -> str:
    if mark is None:
        return ""
    chance = "" if mark.probability is None else repr(float(mark.probability))
    return (mark.kind, escaped(mark.reason), escaped(mark.author), chance)[field]


def _measure(table: ShotTable, quantity: Quantity, system: System) -> tuple[str, list[str]]:
    values = [float(v) for v in table.measures[quantity.name]]
    unit = _unit(quantity, system)
    cells = _exact(values, unit.factor) if unit is not None else None
    if cells is None:
        unit = unit_named(_SI[quantity.dimension]) if quantity.dimension in _SI else None
        cells = ["" if math.isnan(v) else repr(v) for v in values]
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


def _exact(values: list[float], factor: float) -> list[str] | None:
    """Return the values over `factor`, each as a text that gives it back exactly; None if one cannot."""
    cells = []
    for value in values:
        if math.isnan(value):
            cells.append("")
            continue
        near = value / factor
        # A short decimal is what was in the table that the value came from; its neighbours are the rest.
        tries = (float(f"{near:.12g}"), near, math.nextafter(near, math.inf), math.nextafter(near, -math.inf))
        found = next((one for one in tries if one * factor == value), None)
        if found is None:
            return None
        cells.append(repr(found))
    return cells
