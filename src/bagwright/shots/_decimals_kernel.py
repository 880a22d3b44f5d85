"""Fixed decimals to text, many columns at once: the digits of rounded numbers, row by row."""

from __future__ import annotations

from typing import Any

import numpy as np
from numba import njit

_ZERO, _POINT, _MINUS, _COMMA, _END = 48, 46, 45, 44, 10
WIDEST = 24
"""Bytes that one number can take: sign, 19 digits, a point, a zero before it and the comma behind."""


@njit(cache=True, nogil=True)
def _backwards(value: int, digits: int, buffer: Any) -> int:
    """Digits of a number into `buffer`, last one first; returns how many bytes they take."""
    rest = -value if value < 0 else value
    n = 0
    for _ in range(digits):
        buffer[n] = _ZERO + rest % 10
        rest //= 10
        n += 1
    if digits > 0:
        buffer[n] = _POINT
        n += 1
    buffer[n] = _ZERO + rest % 10
    rest //= 10
    n += 1
    while rest > 0:
        buffer[n] = _ZERO + rest % 10
        rest //= 10
        n += 1
    if value < 0:
        buffer[n] = _MINUS
        n += 1
    return n


@njit(cache=True, nogil=True)
def write_rows(scaled: Any, missing: Any, digits: Any, out: Any) -> int:
    """Write rows of decimals into `out`, uint8 of at least rows * columns * WIDEST; returns the bytes used.

    `scaled` (columns, rows) int64 holds each number times 10**digits, `missing` which ones are left empty,
    `digits` (columns,) how many stand behind the point. Cells are parted by commas, rows by line feeds.
    """
    columns, rows = scaled.shape
    buffer = np.empty(WIDEST, np.uint8)
    place = 0
    for i in range(rows):
        for c in range(columns):
            if not missing[c, i]:
                n = _backwards(scaled[c, i], digits[c], buffer)
                for k in range(n):
                    out[place + k] = buffer[n - 1 - k]
                place += n
            out[place] = _COMMA if c < columns - 1 else _END
            place += 1
    return place
