"""Lines of equal value on a grid: marching squares.

Lorensen and Cline (1987), "Marching cubes", Computer Graphics 21(4), in two dimensions; a saddle is decided
by the mean of its four corners.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

Line = NDArray[np.float64]

_SIDES = {
    1: ((3, 0),), 2: ((0, 1),), 3: ((3, 1),), 4: ((1, 2),), 6: ((0, 2),), 7: ((3, 2),), 8: ((2, 3),),
    9: ((2, 0),), 11: ((2, 1),), 12: ((1, 3),), 13: ((1, 0),), 14: ((0, 3),),
}  # fmt: skip
"""Which sides of a square a line joins, by the corners above the level (bits 1, 2, 4, 8 around it)."""
_SADDLES = {
    (5, True): ((3, 2), (1, 0)), (5, False): ((3, 0), (1, 2)),
    (10, True): ((0, 3), (2, 1)), (10, False): ((0, 1), (2, 3)),
}  # fmt: skip
"""The two ambiguous cases, by whether the middle is above the level."""


def contours(values: NDArray[np.float64], levels: Sequence[float]) -> list[tuple[float, list[Line]]]:
    """Give the lines of each level in units of cells, between the centres (0, 0) and (nx - 1, ny - 1).

    A line ends at the grid's edge and where a value is NaN, or closes on itself.
    """
    return [(level, _lines(values, level)) for level in levels]


def _lines(values: NDArray[np.float64], level: float) -> list[Line]:
    a, b = values[:-1, :-1], values[1:, :-1]
    c, d = values[1:, 1:], values[:-1, 1:]
    known = np.isfinite(a) & np.isfinite(b) & np.isfinite(c) & np.isfinite(d)
    with np.errstate(invalid="ignore"):
        case = (a >= level) * 1 + (b >= level) * 2 + (c >= level) * 4 + (d >= level) * 8
        high = (a + b + c + d) / 4.0 >= level
    joins: dict[tuple[int, int, int], list[tuple[int, int, int]]] = defaultdict(list)
    for i, j in np.argwhere(known & (case > 0) & (case < 15)):
        kind = int(case[i, j])
        sides = _SADDLES[kind, bool(high[i, j])] if kind in (5, 10) else _SIDES[kind]
        for start, end in sides:
            one, other = _edge(int(i), int(j), start), _edge(int(i), int(j), end)
            joins[one].append(other)
            joins[other].append(one)
    return [_placed(values, chain, level) for chain in _chains(joins)]


def _edge(i: int, j: int, side: int) -> tuple[int, int, int]:
    """Name an edge of the grid: its first corner and 0 along x, 1 along y."""
    return ((i, j, 0), (i + 1, j, 1), (i, j + 1, 0), (i, j, 1))[side]


def _chains(
    joins: dict[tuple[int, int, int], list[tuple[int, int, int]]],
) -> list[list[tuple[int, int, int]]]:
    """Join pieces end to end: open lines first, from their ends, then closed ones."""
    chains, used = [], set()
    ends = [edge for edge, others in joins.items() if len(others) == 1]
    for start in (*ends, *joins):
        if start in used:
            continue
        chain, at = [start], start
        used.add(start)
        while True:
            onward = next((edge for edge in joins[at] if edge not in used), None)
            if onward is None:
                break
            used.add(onward)
            chain.append(onward)
            at = onward
        if len(chain) > 2 and start in joins[at]:
            chain.append(start)
        chains.append(chain)
    return chains


def _placed(values: NDArray[np.float64], chain: list[tuple[int, int, int]], level: float) -> Line:
    """Where the level crosses each edge of a chain, linearly between its two corners."""
    edges = np.array(chain)
    i, j, along_y = edges.T
    first, second = values[i, j], values[i + (along_y == 0), j + (along_y == 1)]
    t = (level - first) / (second - first)
    return np.column_stack((i + t * (along_y == 0), j + t * (along_y == 1)))
