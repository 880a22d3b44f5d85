"""Rows of text in blocks, column by column; a plain text table is cut without looking at each row."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator, Sequence
from itertools import islice

from bagwright.errors import ReadError
from bagwright.shots.limits import Limits
from bagwright.words import tell

ROWS = 16_384
"""Rows in a block: many enough to be quick, few enough to stay small."""
_START, _BETWEEN = "\x00", "\x01"
"""Marks that no text holds: files with such characters are refused before."""


class Block:
    """Some rows of a table as columns of equal length, all of the width of its headings."""

    def __init__(
        self,
        columns: Sequence[Sequence[str]],
        n: int,
        extra: dict[int, str],
        uneven: Sequence[Sequence[str]] | None = None,
    ) -> None:
        self.columns = columns
        self._uneven = uneven
        self.n = n
        self.extra = extra
        """Position of a row -> a cell that stands beyond the last heading."""

    def row(self, i: int) -> list[str]:
        """Return the cells of one row."""
        return [column[i] for column in self.columns]

    def whole_row(self, i: int) -> list[str]:
        """Return the cells of one row as they stand in the file, also those beyond the last heading."""
        return list(self._uneven[i]) if self._uneven is not None else self.row(i)

    def head(self, n: int) -> Block:
        """Return the first `n` rows."""
        return Block(
            [c[:n] for c in self.columns],
            n,
            {i: cell for i, cell in self.extra.items() if i < n},
            self._uneven,
        )

    @classmethod
    def of(cls, rows: Sequence[Sequence[str]], width: int) -> Block:
        """Bring rows of any length to one width: short ones are filled up, cells beyond it are noted."""
        extra: dict[int, str] = {}
        uneven = None
        if set(map(len, rows)) - {width}:
            uneven = rows
            square = []
            for i, row in enumerate(rows):
                beyond = next((cell for cell in row[width:] if cell.strip()), "")
                if beyond:
                    extra[i] = beyond
                square.append([*row[:width], *[""] * (width - len(row))])
            rows = square
        return cls(list(zip(*rows, strict=True)) if rows else [()] * width, len(rows), extra, uneven)


class Rows:
    """The rows of one table, taken from the front."""

    def take(self, n: int) -> list[list[str]]:
        """Return the next `n` rows, fewer at the end."""
        raise NotImplementedError

    def block(self, width: int) -> Block | None:
        """Return the next block, or None at the end."""
        rows = self.take(ROWS)
        return Block.of(rows, width) if rows else None


class ListedRows(Rows):
    """Rows that are there already, such as those of a workbook's sheet."""

    def __init__(self, rows: Sequence[list[str]]) -> None:
        self._rows = iter(rows)

    def take(self, n: int) -> list[list[str]]:
        """Return the next `n` rows, fewer at the end."""
        return list(islice(self._rows, n))


class QuotedRows(Rows):
    """A text table that uses quotation marks, read by the csv module."""

    def __init__(self, text: str, delimiter: str, file: str, limits: Limits) -> None:
        self._reader = csv.reader(io.StringIO(text, newline=None), delimiter=delimiter, strict=True)
        self._file, self._limits = file, limits

    def take(self, n: int) -> list[list[str]]:
        """Return the next `n` rows. Raises ReadError naming the line of a quote that cannot be read."""
        before = csv.field_size_limit(max(self._limits.cell_characters, 1))
        try:
            return list(islice(self._reader, n))
        except csv.Error as error:
            raise ReadError(
                tell(
                    "{file}, line {line_num}: {reason}.",
                    file=self._file,
                    line_num=self._reader.line_num,
                    reason=_reason(str(error), self._limits),
                ),
                tell("Correct that line, then read again."),
            ) from error
        finally:
            csv.field_size_limit(before)


def _reason(message: str, limits: Limits) -> str:
    if "field limit" in message:
        return tell(
            "a cell has more than {cell_characters} characters", cell_characters=limits.cell_characters
        )
    if "unexpected end of data" in message:
        return tell("a quotation mark is opened and never closed")
    return tell("a quotation mark stands inside a cell that is in quotation marks")


class PlainRows(Rows):
    """A text table without a quotation mark: every line is a row, every delimiter parts two cells."""

    def __init__(self, text: str, delimiter: str) -> None:
        self._text, self._delimiter = text, delimiter
        self._at = 0

    def take(self, n: int) -> list[list[str]]:
        """Return the next `n` rows, fewer at the end."""
        return [line.split(self._delimiter) if line else [] for line in islice(self._lines(), n)]

    def block(self, width: int) -> Block | None:
        """Return the next block, or None at the end."""
        start = self._at
        if start >= len(self._text):
            return None
        rough = min(start + ROWS * max(8 * width, 16), len(self._text))
        end = self._text.find("\n", rough)
        end = len(self._text) if end < 0 else end + 1
        piece = self._text[start:end].removesuffix("\n")
        n = piece.count("\n") + 1
        block = _cut(piece, self._delimiter, width, n)
        if block is None:
            return Block.of(self.take(n), width)
        self._at = end
        return block

    def _lines(self) -> Iterator[str]:
        while self._at < len(self._text):
            end = self._text.find("\n", self._at)
            end = len(self._text) if end < 0 else end
            line = self._text[self._at : end]
            self._at = end + 1
            yield line


def _cut(piece: str, delimiter: str, width: int, n: int) -> Block | None:
    """Cut a piece of text into columns at once; None when a row has another number of cells.

    A mark that no text holds goes before each row. If every cell in a first column begins with it, every
    row has exactly `width` cells.
    """
    if width == 1:
        return None
    cells = (_START + piece.replace("\n", delimiter + _START)).split(delimiter)
    if len(cells) != n * width:
        return None
    starts = _BETWEEN.join(cells[0::width])[1:].split(_BETWEEN + _START)
    if len(starts) != n or not cells[0].startswith(_START):
        return None
    return Block([starts, *(cells[i::width] for i in range(1, width))], n, {})


def text_rows(text: str, delimiter: str, file: str, limits: Limits) -> Rows:
    """Return the rows of a text table whose lines end in a line feed only."""
    return QuotedRows(text, delimiter, file, limits) if '"' in text else PlainRows(text, delimiter)
