"""The old binary workbook (XLS): its container and the extent of its sheets, checked before it is read.

The layout follows the published descriptions "Compound File Binary File Format" [MS-CFB] and "Excel Binary
File Format" [MS-XLS] of the open specifications: sector chains of the container, and records of a 2-byte type
and a 2-byte length. Only chains and cell places are looked at.
"""

from __future__ import annotations

import struct

from bagwright.errors import ReadError
from bagwright.shots.container import SAVE_AGAIN
from bagwright.shots.limits import Limits
from bagwright.words import tell

_LAST_SECTOR = 0xFFFFFFFA
_CELL_RECORDS = frozenset((0x0006, 0x00BD, 0x00BE, 0x00D6, 0x00FD, 0x0201, 0x0203, 0x0204, 0x0205, 0x027E))
_MANY_CELLS = frozenset((0x00BD, 0x00BE))
_BOF = 0x0809


def check_old_workbook(raw: bytes, file: str, limits: Limits) -> None:
    """Raise ReadError for a broken or endless chain of sectors, and for a sheet with too many cells."""
    try:
        stream = _Container(raw).workbook()
        largest = _largest_sheet(stream)
    except (struct.error, IndexError, _BrokenError) as error:
        raise ReadError(
            tell("{file} is a damaged workbook ({error}).", file=file, error=error), SAVE_AGAIN
        ) from error
    if largest > limits.cells:
        raise ReadError(
            tell(
                "{file} has a sheet of {largest} cells, more than {cells}.",
                file=file,
                largest=largest,
                cells=limits.cells,
            ),
            tell("Remove what stands far outside the table, or save it as CSV."),
        )


class _BrokenError(Exception):
    """The container contradicts itself."""


class _Container:
    """Sectors of a compound file: header, allocation table, directory."""

    def __init__(self, raw: bytes) -> None:
        self.raw = raw
        shift, mini_shift = struct.unpack_from("<HH", raw, 30)
        if shift not in (9, 12) or mini_shift != 6:
            raise _BrokenError(tell("sector size"))
        self.size = 1 << shift
        self.count = len(raw) // self.size
        table_count, self.directory = (
            struct.unpack_from("<I", raw, 44)[0],
            struct.unpack_from("<I", raw, 48)[0],
        )
        self.cutoff, self.mini_table, mini_count, extra, extra_count = struct.unpack_from("<IIIII", raw, 56)
        if table_count > self.count or mini_count > self.count or extra_count > self.count:
            raise _BrokenError(tell("allocation table"))
        places = [place for place in struct.unpack_from("<109I", raw, 76) if place < _LAST_SECTOR]
        seen: set[int] = set()
        while extra < _LAST_SECTOR:
            if extra in seen:
                raise _BrokenError(tell("endless chain"))
            seen.add(extra)
            *more, extra = struct.unpack(f"<{self.size // 4}I", self.sector(extra))
            places += [place for place in more if place < _LAST_SECTOR]
        if len(places) > self.count:
            raise _BrokenError(tell("allocation table"))
        self.next = [n for place in places for n in struct.unpack(f"<{self.size // 4}I", self.sector(place))]

    def sector(self, number: int) -> bytes:
        start = (number + 1) * self.size
        data = self.raw[start : start + self.size]
        if not data:
            raise _BrokenError(tell("sector outside the file"))
        return data.ljust(self.size, b"\0")

    def chain(self, first: int) -> bytes:
        """All sectors of a chain; a chain that meets itself is an error."""
        parts, seen, number = [], set(), first
        while number < _LAST_SECTOR:
            if number in seen:
                raise _BrokenError(tell("endless chain"))
            seen.add(number)
            parts.append(self.sector(number))
            number = self.next[number]
        return b"".join(parts)

    def workbook(self) -> bytes:
        """Return the stream with the records. Small files keep it in the mini stream of 64-byte pieces."""
        entries = self.chain(self.directory)
        found: tuple[int, int] | None = None
        root: tuple[int, int] | None = None
        for at in range(0, len(entries) - 127, 128):
            length, kind = struct.unpack_from("<HB", entries, at + 64)
            name = entries[at : at + max(0, min(length, 64) - 2)].decode("utf-16-le", "replace")
            start, size = struct.unpack_from("<II", entries, at + 116)
            if kind == 5:
                root = (start, size)
            elif kind == 2 and name.casefold() in ("workbook", "book"):
                found = (start, size)
        if root is not None:
            mini = self.chain(root[0])
            mini_next = self.chain(self.mini_table) if self.mini_table < _LAST_SECTOR else b""
        if found is None or root is None:
            raise _BrokenError(tell("no workbook inside"))
        if found[1] >= self.cutoff:
            return self.chain(found[0])[: found[1]]
        return _mini_chain(mini, mini_next, found[0])[: found[1]]


def _mini_chain(mini: bytes, table: bytes, first: int) -> bytes:
    parts, seen, number = [], set(), first
    while number < _LAST_SECTOR:
        if number in seen:
            raise _BrokenError(tell("endless chain"))
        seen.add(number)
        parts.append(mini[number * 64 : number * 64 + 64])
        number = struct.unpack_from("<I", table, number * 4)[0]
    return b"".join(parts)


def _largest_sheet(stream: bytes) -> int:
    """Cells of the largest used rectangle between two beginnings of sheets."""
    at, largest = 0, 0
    rows: list[int] = []
    columns: list[int] = []
    while at + 4 <= len(stream):
        kind, length = struct.unpack_from("<HH", stream, at)
        if kind == _BOF:
            largest, rows, columns = max(largest, _area(rows, columns)), [], []
        elif kind in _CELL_RECORDS and length >= 4 and at + 4 + length <= len(stream):
            row, column = struct.unpack_from("<HH", stream, at + 4)
            rows.append(row)
            columns.append(column)
            if kind in _MANY_CELLS:
                columns.append(struct.unpack_from("<H", stream, at + 2 + length)[0])
        at += 4 + length
    return max(largest, _area(rows, columns))


def _area(rows: list[int], columns: list[int]) -> int:
    return (max(rows) - min(rows) + 1) * (max(columns) - min(columns) + 1) if rows else 0
