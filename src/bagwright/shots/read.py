"""Reading shot tables: any of the trade's layouts in, shots and an account of every row out."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from bagwright.bag.club import Bag
from bagwright.errors import InputError, ReadError
from bagwright.shots.answers import Answers
from bagwright.shots.asking import Asker
from bagwright.shots.assemble import Part, assemble, bad_marks, visit_of
from bagwright.shots.blocks import Block
from bagwright.shots.layout import Sample, lay_out
from bagwright.shots.limits import Limits
from bagwright.shots.overlap import find_twins
from bagwright.shots.preamble import Top, find_top
from bagwright.shots.record import Conditions, Mark, ShotTable, together
from bagwright.shots.result import ColumnUse, FileRead, Flagged, LeftOut, ReadResult, Rejected
from bagwright.shots.screen import screen_all
from bagwright.shots.section import Section
from bagwright.shots.source import Sheet, Source, open_source, tables_of
from bagwright.shots.textfile import DELIMITER_NAMES, check_width
from bagwright.shots.texts import shown
from bagwright.words import tell, term

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

Progress = Callable[[int, int], None]
"""Called now and then with (done, total) in the same unit, so that done / total is the share of the work."""

_FIRST_ROWS = 2_000
SAME, DIFFERENT = tell("the same shots"), tell("different shots")
AS_ABOVE, LEAVE_OUT = tell("the same club as in the row above"), tell("leave these rows out")
DID_NOT_FLY, NOT_MEASURED = tell("the ball did not fly"), tell("nothing was measured")


@dataclass(slots=True)
class _Reading:
    """One call of `read_shots` while it runs."""

    asker: Asker
    limits: Limits
    bag: Bag | None = None
    parts: list[Part] = field(default_factory=list)
    files: list[FileRead] = field(default_factory=list)
    rejected: list[Rejected] = field(default_factory=list)
    left_out: list[LeftOut] = field(default_factory=list)
    columns: list[ColumnUse] = field(default_factory=list)
    digests: dict[str, tuple[int, str]] = field(default_factory=dict)
    same_file: dict[int, str] = field(default_factory=dict)
    """Number of a file that is the same, byte by byte, as an earlier one -> that one's name."""


def read_shots(
    *paths: str | os.PathLike[str],
    bag: Bag | None = None,
    answers: Answers | None = None,
    limits: Limits | None = None,
    progress: Progress | None = None,
) -> ReadResult:
    """Read one or more shot tables (CSV, TSV, semicolon, pipe, XLSX, XLS, ODS) in any of the trade's layouts.

    Columns are found by their headings (docs/names.md), units in headings, a units row or cells; sides as
    signed numbers, letters or a separate column. What two readings fit becomes a question, answered by
    `answers` or left open: its numbers then stay missing. Every row below the headings is accepted,
    rejected with a reason, or left out with a reason. `bag` maps names to its builds; without it names are
    spelled in one way ("7 iron").

    Raises ReadError for a file that cannot be read at all (missing, damaged, beyond `limits`, no headings),
    and InputError for an answer that does not fit. A bad cell rejects its row only.
    """
    if not paths:
        raise InputError(tell("No shot table was named."), tell("Name one."))
    limits = limits or Limits()
    if len(paths) > limits.files:
        raise InputError(
            tell("{paths} files are more than {files}.", paths=len(paths), files=limits.files),
            tell("Read them in turns."),
        )
    reading = _Reading(Asker(Answers() if answers is None else answers, limits), limits, bag)
    for number, path in enumerate(paths):
        share = _share_of(progress, number, len(paths))
        _read_file(open_source(path, limits), number, reading, share)
    _leave_out_twins(reading)
    table, unknown = assemble(reading.parts, bag, reading.asker)
    if progress is not None:
        progress(1000, 1000)
    return _result(reading, table, unknown)


def _share_of(progress: Progress | None, number: int, count: int) -> Callable[[float], None]:
    """Turn the share of one file that is done into the share of the whole, in thousandths."""
    if progress is None:
        return lambda _: None
    return lambda share: progress(int(1000 * (number + min(share, 1.0)) / count), 1000)


def _read_file(source: Source, number: int, reading: _Reading, share: Callable[[float], None]) -> None:
    twin = reading.digests.setdefault(source.digest, (number, source.file))
    if twin[0] != number:
        reading.same_file[number] = twin[1]
    found, seen = 0, ""
    for sheet in tables_of(source, reading.asker.answers.columns, reading.limits):
        sections, first_cells = _read_sheet(sheet, number, reading, len(source.raw), share)
        found += sections
        seen = seen or first_cells
    if not found:
        raise ReadError(
            tell(
                "{file}: no row of headings with a measure was found. It begins with: {seen}.",
                file=source.file,
                seen=seen,
            ),
            tell('Give the columns headings such as "carry yd", or name them in a file given with --map.'),
        )


def _read_sheet(
    sheet: Sheet, number: int, reading: _Reading, size: int, share: Callable[[float], None]
) -> tuple[int, str]:
    """Read every table of a sheet; returns how many there were, and the first cells for a message."""
    rows, limits = sheet.rows, reading.limits
    head = rows.take(_FIRST_ROWS)
    check_width(head, 1, sheet.file, limits)
    top = find_top(head, reading.asker.answers.columns, limits)
    if top is None:
        first = next((row for row in head if any(row)), [])
        return 0, ", ".join(f'"{shown(cell)}"' for cell in first[:6]) or tell("nothing")
    facts = dict(top.preamble.facts)
    start = max(top.row, top.units_row)
    below, number_of_first, count = head[start:], start + 1, 1
    section = _section(top, below, sheet, number, reading, facts)
    block: Block | None = Block.of(below, section.layout.width)
    while block is not None:
        stop = section.feed(block, number_of_first) if block.n else None
        if stop is not None:
            again = _further(block.whole_row(stop), number_of_first + stop, section, reading)
            below = [block.whole_row(i) for i in range(stop + 1, block.n)]
            section = _section(again, below, sheet, number, reading, {**facts, "club": section.club})
            block, count = Block.of(below, section.layout.width), count + 1
            number_of_first += stop + 1
            continue
        number_of_first += block.n
        if number_of_first - 1 > limits.rows:
            raise ReadError(
                tell("{file} has more than {rows} rows.", file=sheet.file, rows=limits.rows),
                tell("Split it."),
            )
        share(number_of_first * 34 / max(size, 1))
        block = rows.block(section.layout.width)
    return count, ""


def _further(cells: list[str], row: int, section: Section, reading: _Reading) -> Top:
    """Return the top of a further table on the same sheet; its headings row counts as read and left out."""
    section.rows_read += 1
    section.left_out.append(LeftOut(section.file, row, tell("headings of a further table")))
    top = find_top([cells], reading.asker.answers.columns, reading.limits)
    if top is None:
        raise ReadError(
            tell("{file}, row {row}: headings that cannot be used.", file=section.file, row=row),
            tell("Correct them."),
        )
    return top


def _section(
    top: Top, rows: Sequence[list[str]], sheet: Sheet, number: int, reading: _Reading, facts: dict[str, str]
) -> Section:
    sample = Sample([row for row in rows[:_FIRST_ROWS] if any(row)])
    layout = lay_out(top.headings, top.units, sample, top.preamble.units, reading.asker, sheet.file)
    section = Section(layout, reading.limits, club=facts.get("club", "") or _sheet_club(sheet))
    import numpy as np

    visit = visit_of(sheet.path_name, sheet.name, facts)
    reading.parts.append(Part(section, number, visit, np.ones(0, dtype=np.bool_), facts))
    mark = "" if sheet.kind != "text" else DELIMITER_NAMES[sheet.delimiter]
    decimal = tell("comma") if layout.comma else tell("point")
    reading.files.append(
        FileRead(sheet.file, sheet.kind, sheet.encoding, mark, decimal, top.row, top.units_row, 0)
    )
    return section


def _sheet_club(sheet: Sheet) -> str:
    from bagwright.bag.names import parse_club_name

    return sheet.name if sheet.name and parse_club_name(sheet.name) is not None else ""


def _leave_out_twins(reading: _Reading) -> None:
    """Finish every section and take out rows that were read before, or that cannot be used."""
    import numpy as np

    for part in reading.parts:
        part.section.finish()
        part.keep = np.ones(part.section.n, dtype=np.bool_)
        _carry_of_zero(part.section, reading.asker)
        for i, rejected in bad_marks(part.section):
            part.keep[i] = False
            reading.rejected.append(rejected)
        _settle_clubs(part, reading)
        if part.source in reading.same_file:
            _leave_out_all(part, reading)
    twins = find_twins([part.section for part in reading.parts], [part.source for part in reading.parts])
    if twins is not None:
        places = _Places(reading.parts)
        _judge_twins(twins.position, twins.earlier, twins.same_file, twins.certain, places, reading)


def _leave_out_all(part: Part, reading: _Reading) -> None:
    """Take out every row of a file that is, byte by byte, one that was read before."""
    import numpy as np

    rows = np.concatenate(part.section.rows) if part.section.rows else np.zeros(0, dtype=np.int64)
    for i in np.flatnonzero(part.keep).tolist():
        row = int(rows[i])
        reading.left_out.append(_read_before(part, row, reading.same_file[part.source], row))
    part.keep[:] = False


class _Places:
    """Turns positions over all sections into a part and a position in it."""

    def __init__(self, parts: Sequence[Part]) -> None:
        import numpy as np

        self.parts = parts
        self.starts = np.cumsum([0, *(part.section.n for part in parts)])
        self.rows = [np.concatenate(p.section.rows) if p.section.rows else None for p in parts]

    def find(self, position: int) -> tuple[Part, int, int]:
        """Return the part, the position in it, and the row of its file."""
        import numpy as np

        k = int(np.searchsorted(self.starts, position, side="right")) - 1
        i = position - int(self.starts[k])
        rows = self.rows[k]
        return self.parts[k], i, 0 if rows is None else int(rows[i])


def _judge_twins(
    position: NDArray[np.int64],
    earlier: NDArray[np.int64],
    same_file: NDArray[np.bool_],
    certain: NDArray[np.bool_],
    places: _Places,
    reading: _Reading,
) -> None:
    for at, before, same, sure in zip(
        position.tolist(), earlier.tolist(), same_file.tolist(), certain.tolist(), strict=True
    ):
        part, i, row = places.find(at)
        first, _, first_row = places.find(before)
        if not part.keep[i]:
            continue
        if not sure:
            sure = _asked_twin(part, row, first, first_row, reading, same=same)
        if sure:
            part.keep[i] = False
            reading.left_out.append(_read_before(part, row, first.section.file, first_row))


def _read_before(part: Part, row: int, file: str, first_row: int) -> LeftOut:
    reason = tell("already read from {file} row {first_row}", file=file, first_row=first_row)
    return LeftOut(part.section.file, row, reason)


def _asked_twin(part: Part, row: int, first: Part, first_row: int, reading: _Reading, *, same: bool) -> bool:
    file = part.section.file
    if same:
        key, text = (
            "rows that repeat",
            tell("Row {row} says the same as row {first_row}. Are these", row=row, first_row=first_row),
        )
    else:
        key = "rows of another file"
        text = tell(
            "Row {row} says the same as {file} row {first_row}, in few figures. Are these",
            row=row,
            file=first.section.file,
            first_row=first_row,
        )
    answer = reading.asker.ask(
        key,
        file,
        tell("{text} {same} or {different}?", text=text, same=SAME, different=DIFFERENT),
        (SAME, DIFFERENT),
        needed=not same,
    )
    return answer == SAME


def _carry_of_zero(section: Section, asker: Asker) -> None:
    """Return a carry of 0 can be a ball that did not fly, or one that the unit lost: ask."""
    import numpy as np

    pieces = section.measures.get("carry_m", [])
    zeros = sum(int((piece == 0.0).sum()) for piece in pieces)
    if not zeros:
        return
    text = tell("The carry is 0 in {zeros} row(s). Which is it?", zeros=zeros)
    answer = asker.ask("carry of 0", section.file, text, (DID_NOT_FLY, NOT_MEASURED), needed=True)
    if answer == NOT_MEASURED:
        for piece in pieces:
            piece[piece == 0.0] = np.nan


def _settle_clubs(part: Part, reading: _Reading) -> None:
    """Ask about rows without a club: a whole table of them, or some between others."""
    section = part.section
    clubs = section.texts.get("club", [])
    if all(club.strip() for club in set(clubs)):
        return
    blanks = [i for i, club in enumerate(clubs) if not club.strip()]
    if len(blanks) == len(clubs):
        _table_without_club(part, reading)
        return
    text = tell(
        "{blanks} row(s) have no club, the first is row {row}. What about them?",
        blanks=len(blanks),
        row=_row(section, blanks[0]),
    )
    answer = reading.asker.ask("rows without a club", section.file, text, (AS_ABOVE, LEAVE_OUT), needed=True)
    for i in blanks:
        if answer == AS_ABOVE and i and clubs[i - 1].strip():
            clubs[i] = clubs[i - 1]
        elif answer is not None:
            part.keep[i] = False
            reading.left_out.append(LeftOut(section.file, _row(section, i), tell("no club, as you said")))


def _table_without_club(part: Part, reading: _Reading) -> None:
    section, answers = part.section, reading.asker.answers
    if answers.clubs.get(""):
        section.texts["club"] = [answers.clubs[""]] * section.n
        return
    own = tuple(club.name for club in reading.bag) if reading.bag is not None else ()
    offered = (*own[:40], tell("one unnamed club"))
    text = tell(
        'No column names the club. Which is it? Another name can be given as "" in [clubs] of the map file.'
    )
    answer = reading.asker.ask("club of the table", section.file, text, offered, needed=True)
    if answer is not None:
        section.texts["club"] = [answer] * section.n


def _row(section: Section, i: int) -> int:
    for rows in section.rows:
        if i < len(rows):
            return int(rows[i])
        i -= len(rows)
    raise IndexError(i)


def _result(reading: _Reading, table: ShotTable, unknown: dict[str, int]) -> ReadResult:
    sections = [part.section for part in reading.parts]
    rejected = [row for section in sections for row in section.rejected] + reading.rejected
    left_out = [row for section in sections for row in section.left_out] + reading.left_out
    conditions = together(pair for part in reading.parts for pair in _conditions(part, table, reading.asker))
    screened = screen_all(table, conditions)
    files = [
        FileRead(
            f.file, f.kind, f.encoding, f.delimiter, f.decimal_mark, f.header_row, f.units_row, s.rows_read
        )
        for f, s in zip(reading.files, sections, strict=True)
    ]
    return ReadResult(
        rows_read=sum(section.rows_read for section in sections),
        accepted=table.n,
        rejected=tuple(sorted(rejected, key=lambda row: (_rank(row.file, table), row.file, row.row))),
        left_out=tuple(sorted(left_out, key=lambda row: (_rank(row.file, table), row.file, row.row))),
        flagged=tuple(_flagged(table, screened.marks)),
        columns=tuple(use for section in sections for use in _uses(section)),
        questions=reading.asker.questions(),
        table=table,
        conditions=conditions,
        unknown_clubs=unknown,
        files=tuple(files),
        screened=screened,
    )


def _rank(file: str, table: ShotTable) -> int:
    return table.files.index(file) if file in table.files else len(table.files)


def _uses(section: Section) -> Iterator[ColumnUse]:
    for column in section.layout.columns:
        how = column.how
        if column.zeros:
            how += tell("; 0 read as not measured in {zeros} row(s)", zeros=column.zeros)
        if column.bounds_dropped:
            how += tell(
                "; {bounds_dropped} lower bound(s) left missing", bounds_dropped=column.bounds_dropped
            )
        unit = (
            tell("in the cells") if column.in_cells else column.unit.name if column.unit is not None else ""
        )
        yield ColumnUse(section.file, shown(column.header), column.name, unit if column.quantity else "", how)


def _flagged(table: ShotTable, suggested: Mapping[int, Mark]) -> Iterator[Flagged]:
    for i in sorted({*table.marks, *suggested}):
        file = table.files[int(table.source_file[i])] if table.source_file is not None else ""
        row = int(table.source_row[i]) if table.source_row is not None else 0
        yield Flagged(file, row, i, table.marks.get(i) or suggested[i])


_ASKED = (
    ("adjusted", "figures", tell("Are the figures as measured, or adjusted to standard air or ball?"),
     (term("as measured"), term("adjusted"))),
    ("spin", "spin", tell("Is spin measured or estimated?"), (term("measured"), term("estimated"))),
)  # fmt: skip


def _conditions(part: Part, table: ShotTable, asker: Asker) -> Iterator[tuple[str, Conditions]]:
    """Return what is known of each visit in a part; asks how the figures came about where nobody said so."""
    from bagwright.shots.assemble import _visits

    facts, known = part.facts, dict[str, str]()
    has_spin = any(column.name == "spin_rpm" for column in part.section.layout.measured)
    for name, key, text, options in _ASKED:
        if name == "spin" and not has_spin:
            continue
        said = facts.get(name)
        known[name] = said or asker.ask(key, part.section.file, text, options, needed=False) or ""
    for name in ("surface", "ball", "place", "air", "aligned"):
        known[name] = facts.get(name) or asker.answers.get(name, "")
    for visit in dict.fromkeys(_visits(part)):
        yield visit, Conditions(visit=visit, date=facts.get("date", ""), **known)  # type: ignore[arg-type]
