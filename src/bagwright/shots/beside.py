"""A table of shots written with computed columns behind it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from bagwright.units import System

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from bagwright.shots.record import ShotTable


@dataclass(frozen=True, slots=True)
class Computed:
    """A column that was not read: heading, one number a shot (NaN for none), decimals."""

    heading: str
    values: NDArray[np.float64]
    digits: int


def write_beside(table: ShotTable, computed: Sequence[Computed], path: Path, system: System) -> None:
    """Write the table in our headings, computed columns last, whole or not at all. Raises MachineError."""
    from bagwright.files import write_whole
    from bagwright.shots.decimals import decimal_rows
    from bagwright.shots.write import Column, as_csv, columns_of

    digits = [one.digits for one in computed]

    def cells(start: int, end: int) -> list[str]:
        return decimal_rows([one.values[start:end] for one in computed], digits)

    beside = Column(",".join(one.heading for one in computed), cells)
    write_whole(path, as_csv([*columns_of(table, system), beside], table.n).encode())
