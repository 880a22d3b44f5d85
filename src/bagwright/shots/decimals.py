"""Columns of computed numbers as text with a fixed number of decimals, quick for a million rows."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

_COMPILED_FROM = 20_000
"""Rows from which starting the compiled writer (half a second) pays."""
_BLOCK = 16_384
"""Rows worked on at a time, so that they stay in the processor's cache."""
_LARGEST = 9e18
"""Numbers times their power of ten must fit 64 bits."""


def decimal_rows(columns: Sequence[Floats], digits: Sequence[int]) -> list[str]:
    """Rows of comma-parted decimals, one text a row: missing cells are empty, no number is "-0.0".

    `columns` are float arrays of one length, `digits` (0 to 9) how many decimals each gets. Raises
    ValueError for a number too large to write so.
    """
    rows = len(columns[0]) if columns else 0
    write = _compiled if rows >= _COMPILED_FROM else _plain
    cells: list[str] = []
    for start in range(0, rows, _BLOCK):
        whole, missing = _scaled([column[start : start + _BLOCK] for column in columns], digits)
        cells += write(whole, missing, list(digits))
    return cells


def _scaled(columns: Sequence[Floats], digits: Sequence[int]) -> tuple[NDArray[np.int64], NDArray[np.bool_]]:
    """The numbers times their power of ten as whole numbers, and which are missing."""
    import numpy as np

    block = np.array(columns) * 10.0 ** np.array(digits, dtype=np.float64)[:, None]
    np.rint(block, out=block)
    missing = np.isnan(block)
    block[missing] = 0.0
    if block.size and float(np.abs(block).max()) > _LARGEST:
        raise ValueError("a number is too large for a fixed number of decimals")
    return block.astype(np.int64), missing


def _plain(whole: NDArray[np.int64], missing: NDArray[np.bool_], digits: list[int]) -> list[str]:
    cells = [
        ["" if gone else _decimal(value, d) for value, gone in zip(column, empty, strict=True)]
        for column, empty, d in zip(whole.tolist(), missing.tolist(), digits, strict=True)
    ]
    return list(map(",".join, zip(*cells, strict=True)))


def _decimal(value: int, digits: int) -> str:
    text = f"{abs(value):0{digits + 1}d}"
    sign = "-" if value < 0 else ""
    return f"{sign}{text[:-digits]}.{text[-digits:]}" if digits else f"{sign}{text}"


def _compiled(whole: NDArray[np.int64], missing: NDArray[np.bool_], digits: list[int]) -> list[str]:
    import numpy as np

    from bagwright.shots._decimals_kernel import WIDEST, write_rows

    out = np.empty(whole.size * WIDEST, np.uint8)
    used = write_rows(whole, missing, np.array(digits, dtype=np.int64), out)
    return out[: used - 1].tobytes().decode("ascii").split("\n")
