"""The same shot read twice: the same file again, overlapping files, a row pasted twice."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from bagwright.shots.record import MEASURES

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from bagwright.shots.section import Section

_COMPARED = ("club", "swing", "setting", "date", "time_of_day", "visit", "order")
_TABLE = 1 << 20
_RICH = 3
"""Measured values (a shot's number counts as one) that make two equal rows one shot beyond doubt."""


@dataclass(slots=True)
class Twins:
    """Rows that equal an earlier one. All arrays have one entry a twin; positions count over all sections."""

    position: NDArray[np.int64]
    earlier: NDArray[np.int64]
    same_file: NDArray[np.bool_]
    certain: NDArray[np.bool_]


def find_twins(sections: Sequence[Section], numbers: Sequence[int]) -> Twins | None:
    """Find rows equal in everything that was read. `numbers` tells which file each section belongs to.

    A twin is `certain` when a clock time stands in the row, or, in another file, when at least three values
    (or two and the shot's number) are equal; inside one file when the shot's number is equal too.
    """
    import numpy as np

    n = sum(section.n for section in sections)
    if n < 2:
        return None
    columns = _columns(sections)
    keys = _mixed(columns, n)
    few = _perhaps_twice(keys)
    order = few[np.argsort(keys[few], kind="stable")]
    ranked = keys[order]
    again = np.flatnonzero(ranked[1:] == ranked[:-1]) + 1
    if not len(again):
        return None
    starts = np.concatenate([[True], ranked[1:] != ranked[:-1]])
    leader = np.maximum.accumulate(np.where(starts, np.arange(len(order)), 0))
    position, earlier = order[again], order[leader[again]]
    true = np.ones(len(position), dtype=np.bool_)
    for column in columns.values():
        true &= column[position] == column[earlier]
    position, earlier = position[true], earlier[true]
    by_place = np.argsort(position)
    return _judged(sections, numbers, position[by_place], earlier[by_place])


def _perhaps_twice(keys: NDArray[np.uint64]) -> NDArray[np.int64]:
    """Return every place whose key occurs again, and a few more: only these are sorted with their places."""
    import numpy as np

    ranked = np.sort(keys)
    low_bits = np.uint64(_TABLE - 1)
    seen = np.zeros(_TABLE, dtype=np.bool_)
    seen[ranked[1:][ranked[1:] == ranked[:-1]] & low_bits] = True
    return np.flatnonzero(seen[keys & low_bits])


def _columns(sections: Sequence[Section]) -> dict[str, NDArray[np.uint64]]:
    """Everything that is compared, as whole numbers, so that missing equals missing."""
    import numpy as np

    columns: dict[str, NDArray[np.uint64]] = {}
    for name in MEASURES:
        if any(name in section.measures for section in sections):
            parts = [_values(section, name) + 0.0 for section in sections]
            joined = np.concatenate(parts)
            joined[np.isnan(joined)] = np.nan
            columns[name] = joined.view(np.uint64)
    for name in _COMPARED:
        if any(name in section.texts for section in sections):
            columns[name] = _numbered([section.texts.get(name) or [""] * section.n for section in sections])
    return columns


def _numbered(cells: Sequence[Sequence[str]]) -> NDArray[np.uint64]:
    """Give every text its number, equal texts the same."""
    import numpy as np

    known: dict[str, int] = {}
    for part in cells:
        for text in dict.fromkeys(part):
            known.setdefault(text, len(known))
    parts = [np.fromiter(map(known.__getitem__, part), dtype=np.uint64, count=len(part)) for part in cells]
    return np.concatenate(parts)


def _values(section: Section, name: str) -> NDArray[np.float64]:
    import numpy as np

    parts = section.measures.get(name)
    return np.concatenate(parts) if parts else np.full(section.n, np.nan)


def _mixed(columns: dict[str, NDArray[np.uint64]], n: int) -> NDArray[np.uint64]:
    """One 64-bit number a row; equal rows get equal numbers (multiply and rotate, wrapping on purpose)."""
    import numpy as np

    keys = np.zeros(n, dtype=np.uint64)
    factor, shift = np.uint64(0x9E3779B97F4A7C15), np.uint64(29)
    for column in columns.values():
        keys ^= column
        keys *= factor
        keys ^= keys >> shift
    return keys


def _judged(
    sections: Sequence[Section],
    numbers: Sequence[int],
    position: NDArray[np.int64],
    earlier: NDArray[np.int64],
) -> Twins:
    import numpy as np

    sizes = [section.n for section in sections]
    owner = np.repeat(np.arange(len(sections)), sizes)
    file = np.asarray(numbers)[owner]
    values = np.concatenate([_count(section) for section in sections])[position]
    clock = np.concatenate([_filled(section, "time_of_day") for section in sections])[position]
    counted = np.concatenate([_filled(section, "order") for section in sections])[position]
    same_file = file[position] == file[earlier]
    # Rows that say little can well be two shots, so in one file they are left alone.
    telling = np.where(same_file, clock | counted | (values >= _RICH), values > 0)
    position, earlier, same_file = position[telling], earlier[telling], same_file[telling]
    values, clock, counted = values[telling], clock[telling], counted[telling]
    certain = np.where(same_file, clock | counted, clock | (values + counted >= _RICH))
    return Twins(position, earlier, same_file, certain)


def _count(section: Section) -> NDArray[np.int64]:
    import numpy as np

    total = np.zeros(section.n, dtype=np.int64)
    for parts in section.measures.values():
        total += ~np.isnan(np.concatenate(parts))
    return total


def _filled(section: Section, name: str) -> NDArray[np.bool_]:
    import numpy as np

    cells = section.texts.get(name)
    return (
        np.array([bool(c) for c in cells], dtype=np.bool_) if cells else np.zeros(section.n, dtype=np.bool_)
    )
