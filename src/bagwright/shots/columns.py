"""One column of cells to numbers, a whole column at a time where the cells are plain."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from bagwright.shots.cells import Cell, CellError, read_cell, side_of
from bagwright.shots.headers import Heading
from bagwright.shots.quantities import Quantity
from bagwright.shots.words import MISSING
from bagwright.units import Unit
from bagwright.words import tell

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

_PLAIN = b"0123456789.+- "
_CACHE_LIMIT = 200_000
_LONG = 40
"""Characters a cell on average beyond which a column is looked at cell by cell."""


@dataclass(slots=True)
class Column:
    """One column of a table and how its cells are to be read.

    `name` is a measure, a text column, or "" when it is not used. `readable` is False while a question about
    its unit or its side is open: then its numbers are checked, but left missing. `lettered` columns give the
    side by a letter in the cell, others by the sign times `sign`, or by the letters of column `letters`.
    """

    index: int
    heading: Heading
    name: str = ""
    quantity: Quantity | None = None
    unit: Unit | None = None
    in_cells: bool = False
    sign: int = 1
    lettered: bool = False
    letters: int | None = None
    readable: bool = True
    how: str = ""
    cache: dict[str, Cell | str] = field(default_factory=dict)
    zeros: int = 0
    bounds_dropped: int = 0

    @property
    def header(self) -> str:
        """The heading as written."""
        return self.heading.text


@dataclass(slots=True)
class Converted:
    """A column in the unit of its quantity, shape (n,): NaN where nothing was measured or the cell is bad."""

    values: NDArray[np.float64]
    present: NDArray[np.bool_]
    at_least: NDArray[np.bool_] | None
    errors: dict[int, str]


def convert(cells: Sequence[str], column: Column, comma: bool | None) -> Converted:
    """All cells of a measured column; `errors` gives the reason for each cell that cannot be read."""
    import numpy as np

    quantity = column.quantity
    if quantity is None:
        raise TypeError("only measured columns are converted")
    plain = None if column.in_cells or column.lettered else _plain_numbers(cells, comma)
    at_least: NDArray[np.bool_] | None = None
    errors: dict[int, str] = {}
    if plain is not None and column.unit is not None:
        raw = plain * (column.unit.factor * column.sign)
    elif plain is not None:
        raw = plain * column.sign
    else:
        raw, at_least, errors = _cell_by_cell(cells, column, comma)
    present = ~np.isnan(raw)
    # With the unit open nothing can be said of the size: 12 is no point on a face in metres, but one in mm.
    sized = column.unit is not None or column.in_cells or quantity.dimension == "ratio"
    for i in np.flatnonzero((raw < quantity.low) | (raw > quantity.high)).tolist() if sized else ():
        errors.setdefault(
            i, tell("no {heading} can be {cell}", heading=quantity.heading, cell=cells[i].strip()[:20])
        )
        raw[i] = np.nan
    if quantity.zero_is_missing:
        zero = raw == 0.0
        if zero.any():
            column.zeros += int(zero.sum())
            raw[zero] = np.nan
    if not column.readable:
        raw = np.full(len(cells), np.nan)
    return Converted(raw, present, at_least, errors)


def _plain_numbers(cells: Sequence[str], comma: bool | None) -> NDArray[np.float64] | None:
    """Return the numbers of a column whose cells are all plain or blank; None when one of them is not.

    Only the digits 0 to 9, points, signs and blanks may occur, so that words that a computer takes for
    numbers ("nan", "inf", "1_000", other digits) never slip through.
    """
    import numpy as np

    joined = "".join(cells)
    if not joined.isascii() or len(joined) > _LONG * len(cells):
        return None
    rest = joined.encode("ascii").translate(None, _PLAIN)
    if comma and "." in joined:
        return None
    if rest:
        if not comma or rest.strip(b","):
            return None
        cells = "\n".join(cells).replace(",", ".").split("\n")
    try:
        if "" in cells:
            numbers = np.array([float(cell) if cell else np.nan for cell in cells])
            finite = not np.isinf(numbers).any()
        else:
            numbers = np.fromiter(map(float, cells), dtype=np.float64, count=len(cells))
            finite = bool(np.isfinite(numbers).all())
    except ValueError:
        return None
    return numbers if finite else None


def _cell_by_cell(
    cells: Sequence[str], column: Column, comma: bool | None
) -> tuple[NDArray[np.float64], NDArray[np.bool_] | None, dict[int, str]]:
    """Return the column read cell by cell; every spelling is read once."""
    import numpy as np

    values = np.full(len(cells), np.nan)
    at_least: list[int] = []
    errors: dict[int, str] = {}
    for i, text in enumerate(cells):
        found = column.cache.get(text)
        if found is None:
            found = _one(text, column, comma)
            if len(column.cache) < _CACHE_LIMIT:
                column.cache[text] = found
        if isinstance(found, str):
            errors[i] = found
        else:
            values[i] = found.value
            if found.at_least:
                at_least.append(i)
    if not at_least:
        return values, None, errors
    bounds = np.zeros(len(cells), dtype=np.bool_)
    bounds[at_least] = True
    if column.name != "carry_m":
        # A lower bound of a total has no place of its own: nothing is known but that it is not less.
        column.bounds_dropped += len(at_least)
        values[at_least] = np.nan
        return values, None, errors
    return values, bounds, errors


def _one(text: str, column: Column, comma: bool | None) -> Cell | str:
    """One cell in the unit of the quantity, or the reason why it cannot be read."""
    quantity = column.quantity
    if quantity is None:
        raise TypeError("only measured columns are converted")
    try:
        cell = read_cell(text, quantity, comma)
    except CellError as error:
        return str(error)
    if cell.value != cell.value:
        return cell
    if cell.unit is not None and column.unit is not None and cell.unit != column.unit:
        return tell(
            "the cell says {cell}, the heading {heading}", cell=cell.unit.name, heading=column.unit.name
        )
    unit = cell.unit or column.unit
    if unit is None and column.in_cells:
        return tell("no unit, where other cells have one")
    if column.lettered and cell.side is None and cell.value != 0.0:
        return tell("no side, where other cells have one")
    factor = unit.factor if unit is not None else 1.0
    sign = 1 if cell.side is not None else column.sign
    return Cell(cell.value * factor * sign, unit, cell.side, cell.at_least)


def with_letters(converted: Converted, letters: Sequence[str]) -> None:
    """Give the distances of a side their sign from the letters in a column beside it, in place."""
    values, errors = converted.values, converted.errors
    for i, text in enumerate(letters):
        value = values[i]
        if value != value or i in errors:
            continue
        simple = text.strip()
        side = side_of(simple) if simple.casefold() not in MISSING else None
        if side is None:
            if value != 0.0:
                errors[i] = tell('"{simple}" is no side', simple=simple[:20]) if simple else tell("no side")
        elif side == 0 and value != 0.0:
            errors[i] = tell("on the centre line, but not 0")
        elif value < 0.0 and side > 0:
            errors[i] = tell("the sign and the side contradict each other")
        else:
            values[i] = abs(value) * side
        if i in errors:
            values[i] = float("nan")
