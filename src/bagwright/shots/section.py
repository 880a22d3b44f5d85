"""One table below one row of headings: chunks of rows in, columns of shots and an account of the rest out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from bagwright.errors import ReadError
from bagwright.shots.blocks import Block
from bagwright.shots.columns import Converted, convert, with_letters
from bagwright.shots.headers import plain, understand
from bagwright.shots.layout import Layout, place
from bagwright.shots.limits import Limits
from bagwright.shots.result import LeftOut, Rejected
from bagwright.shots.rows import (
    club_heading,
    heading_score,
    headings_in,
    is_blank,
    is_summary,
    is_units_row,
    unit_word,
)
from bagwright.shots.texts import shown
from bagwright.shots.words import BUILD_COLUMNS
from bagwright.words import tell

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

KEPT_TEXTS = (
    "club", *BUILD_COLUMNS, "swing", "ball", "lie", "note", "change", "visit", "date", "time_of_day", "order",
    "mark", "mark_reason", "mark_author", "mark_probability",
)  # fmt: skip
_LABELS = ("", "club", "visit", "order", "date", "time_of_day", "side")
"""Columns (and those not used) whose cells can label a row as a summary; elsewhere "std" is just a word."""
_NEW_TABLE = tell("headings of a further table")
_CLUB = "club: "
_TOO_MANY = tell("more cells than headings (a comma both as delimiter and as decimal mark does that)")


@dataclass(slots=True)
class Section:
    """Shots of one table, still in the words of the file; row numbers count from 1."""

    layout: Layout
    limits: Limits
    club: str = ""
    """The club that stands above the table, where no column names one."""
    n: int = 0
    rows_read: int = 0
    measures: dict[str, list[NDArray[np.float64]]] = field(default_factory=dict)
    texts: dict[str, list[str]] = field(default_factory=dict)
    bounds: list[NDArray[np.bool_]] = field(default_factory=list)
    rows: list[NDArray[np.int64]] = field(default_factory=list)
    rejected: list[Rejected] = field(default_factory=list)
    left_out: list[LeftOut] = field(default_factory=list)
    _blank: list[int] = field(default_factory=list)
    _summaries: dict[str, bool] = field(default_factory=dict)
    _words: dict[str, bool] = field(default_factory=dict)

    @property
    def file(self) -> str:
        """The file (and sheet) as shown."""
        return self.layout.file

    def feed(self, block: Block, first: int) -> int | None:
        """Take in a block of rows, the first of which is row number `first` of the file.

        Returns None, or the position of a row with the headings of a different table: everything before it
        was taken in, that row and what follows was not.
        """
        import numpy as np

        counts = [(column.zeros, column.bounds_dropped) for column in self.layout.columns]
        converted = self._convert(block)
        present = np.zeros(block.n, dtype=np.bool_)
        for one in converted.values():
            present |= one.present
        errors = self._errors(converted)
        suspects = {*np.flatnonzero(~present).tolist(), *block.extra, *errors, *self._summary_rows(block)}
        whats: dict[int, str] = {}
        for i in sorted(suspects):
            whats[i] = self._classify(block.row(i), errors.get(i), bool(present[i]))
            if whats[i] == _NEW_TABLE:
                # The numbers of what follows belong to other columns: take in only what stands before.
                for column, (zeros, bounds) in zip(self.layout.columns, counts, strict=True):
                    column.zeros, column.bounds_dropped = zeros, bounds
                if i:
                    self.feed(block.head(i), first)
                return i
        self.rows_read += block.n
        keep = np.ones(block.n, dtype=np.bool_)
        keep[[i for i, what in whats.items() if what or i in errors or i in block.extra]] = False
        self._account(block, converted, first, whats, errors)
        self._store(block, converted, keep, first, whats)
        return None

    def finish(self) -> None:
        """Forget blank rows at the very end: they belong to no table."""
        last = int(self.rows[-1][-1]) if self.rows and len(self.rows[-1]) else 0
        others = [row.row for row in self.rejected] + [
            row.row for row in self.left_out if row.reason != "blank row"
        ]
        last = max([last, *others])
        trailing = [row for row in self.left_out if row.reason == "blank row" and row.row > last]
        if trailing:
            self.left_out = [row for row in self.left_out if row.reason != "blank row" or row.row <= last]
            self.rows_read -= len(trailing)

    def _convert(self, block: Block) -> dict[int, Converted]:
        converted: dict[int, Converted] = {}
        for column in self.layout.measured:
            one = convert(block.columns[column.index], column, self.layout.comma)
            if column.letters is not None:
                with_letters(one, block.columns[column.letters])
            converted[column.index] = one
        return converted

    @staticmethod
    def _errors(converted: dict[int, Converted]) -> dict[int, int]:
        """Row -> index of the first column with a bad cell."""
        errors: dict[int, int] = {}
        for index, one in converted.items():
            for i in one.errors:
                errors[i] = min(index, errors.get(i, index))
        return errors

    def _summary_rows(self, block: Block) -> set[int]:
        """Rows with a word such as "average" in a cell that labels the row."""
        found: set[int] = set()
        for column in self.layout.columns:
            if column.quantity is not None or column.name not in _LABELS:
                continue
            cells = block.columns[column.index]
            whole = column.name in ("club", "visit")
            labels = {t for t in set(cells) if t and (whole or not t[:1].isdigit()) and self._says_summary(t)}
            if labels:
                found.update(i for i, cell in enumerate(cells) if cell in labels)
        return found

    def _says_summary(self, text: str) -> bool:
        known = self._summaries.get(text)
        if known is None:
            known = is_summary(text)
            if len(self._summaries) < 10_000:
                self._summaries[text] = known
        return known

    def _classify(self, row: Sequence[str], bad: int | None, present: bool) -> str:
        """Return the reason to leave a doubtful row out; "" for a shot, also for one with a bad cell."""
        if is_blank(row):
            return tell("blank row")
        label = self._label(row)
        if label:
            return label
        cell = row[bad] if bad is not None else ""
        if (bad is not None or not present) and self._is_headings(row, cell):
            same = sum(
                plain(a) == plain(b) for a, b in zip(row, self.layout.header, strict=True) if a.strip()
            )
            filled = sum(bool(a.strip()) for a in row)
            return tell("headings again") if same * 2 > filled else _NEW_TABLE
        if cell and unit_word(cell) and is_units_row(row):
            return tell("units row")
        doubtful = bad is not None or not present
        if doubtful and "club" not in self.layout.texts and (club := club_heading(row)):
            return _CLUB + club
        if not doubtful or bad is not None:
            return ""
        return tell("units row") if is_units_row(row) else tell("nothing measured in this row")

    def _label(self, row: Sequence[str]) -> str:
        for column in self.layout.columns:
            if column.quantity is None and column.name in _LABELS:
                cell = row[column.index]
                if cell and self._says_summary(cell):
                    return tell("summary row ({shown})", shown=shown(cell))
        first = next((row[c.index] for c in self.layout.measured if row[c.index].strip()), "")
        wordy = bool(first) and not first[:1].isdigit() and self._says_summary(first)
        return tell("summary row ({shown})", shown=shown(first)) if wordy else ""

    def _is_heading_word(self, cell: str) -> bool:
        """Tell whether a cell can be a heading; after very many bad cells no further one is looked at."""
        if any(char.isdigit() for char in cell[:40]):
            return False
        if cell not in self._words and len(self._words) < 10_000:
            self._words[cell] = bool(understand(cell).name)
        return self._words.get(cell, False)

    def _is_headings(self, row: Sequence[str], cell: str) -> bool:
        if cell and not self._is_heading_word(cell):
            return False
        return heading_score(headings_in(row), row) >= 2 or [plain(c) for c in row] == [
            plain(c) for c in self.layout.header
        ]

    def _account(
        self,
        block: Block,
        converted: dict[int, Converted],
        first: int,
        whats: dict[int, str],
        errors: dict[int, int],
    ) -> None:
        for i, what in whats.items():
            number = first + i
            if what:
                reason = tell("heading of a club") if what.startswith(_CLUB) else what
                self.left_out.append(LeftOut(self.file, number, reason))
            elif i in block.extra:
                beyond = place(self.layout.width)
                self.rejected.append(Rejected(self.file, number, beyond, shown(block.extra[i]), _TOO_MANY))
            elif i in errors:
                column = self.layout.columns[errors[i]]
                cell, reason = block.columns[column.index][i], converted[column.index].errors[i]
                self.rejected.append(Rejected(self.file, number, shown(column.header), shown(cell), reason))

    def _store(
        self,
        block: Block,
        converted: dict[int, Converted],
        keep: NDArray[np.bool_],
        first: int,
        whats: dict[int, str],
    ) -> None:
        import numpy as np

        whole = bool(keep.all())
        kept = np.flatnonzero(keep)
        for column in self.layout.measured:
            one = converted[column.index]
            self.measures.setdefault(column.name, []).append(one.values if whole else one.values[keep])
            if column.name == "carry_m":
                bounds = one.at_least if one.at_least is not None else np.zeros(block.n, dtype=np.bool_)
                self.bounds.append(bounds[keep])
        positions = None if whole else kept.tolist()
        for name in KEPT_TEXTS:
            places = self.layout.texts.get(name)
            if places:
                self._check_length(block, places, first)
                self.texts.setdefault(name, []).extend(self._text(block, places, positions))
        if "club" not in self.layout.texts:
            clubs = [(i, what.removeprefix(_CLUB)) for i, what in whats.items() if what.startswith(_CLUB)]
            self.texts.setdefault("club", []).extend(self._clubs_above(kept.tolist(), clubs))
        self.rows.append((kept + first).astype(np.int64))
        self.n += len(kept)

    def _check_length(self, block: Block, places: list[int], first: int) -> None:
        """Raise ReadError for a cell of text beyond the limit."""
        for index in places:
            cells = block.columns[index]
            longest = max(map(len, cells), default=0)
            if longest > self.limits.cell_characters:
                row = first + next(i for i, cell in enumerate(cells) if len(cell) == longest)
                raise ReadError(
                    tell(
                        "{file}, row {row}: a cell has more than {cell_characters} characters.",
                        file=self.file,
                        row=row,
                        cell_characters=self.limits.cell_characters,
                    ),
                    tell("Correct that row, then read again."),
                )

    def _text(self, block: Block, places: list[int], positions: list[int] | None) -> Sequence[str]:
        cells: Sequence[str] = block.columns[places[0]]
        if len(places) > 1:
            parts = [block.columns[index] for index in places]
            cells = [
                "; ".join(cell.strip() for cell in row if cell.strip()) for row in zip(*parts, strict=True)
            ]
        return cells if positions is None else [cells[i] for i in positions]

    def _clubs_above(self, kept: list[int], clubs: list[tuple[int, str]]) -> list[str]:
        labels, at = [], 0
        for i in kept:
            while at < len(clubs) and clubs[at][0] < i:
                self.club = clubs[at][1]
                at += 1
            labels.append(self.club)
        if at < len(clubs):
            self.club = clubs[-1][1]
        return labels
