"""A scorecard as a table: which column is what, in which unit, and one row a hole.

Columns may stand in any order, with headings in English or German: hole (no, loch, bahn), par, stroke index
(si, hcp, vorgabe), name, words (notes, bemerkungen), and a column of lengths for every tee, whose heading is
the tee's name and its unit ("white (yd)", "Gelb [m]"). A card that lies on its side (a column a hole) is
turned.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from bagwright.course.asking import Asked
from bagwright.course.card import MOST_HOLE, Card, CardRow
from bagwright.course.values import PARS, unit_named
from bagwright.errors import InputError
from bagwright.words import tell

Rows = list[list[str]]
_TOP = 30
"""Rows that may stand above the headings."""

HEADINGS = {
    "hole": ("hole", "holes", "hole no", "hole number", "no", "nr", "#", "loch", "bahn", "spielbahn",
             "lochnr"),
    "par": ("par",),
    "index": ("stroke index", "si", "s i", "index", "hcp", "hdcp", "handicap", "stroke", "str index",
              "vorgabe", "vorg", "vorgabenverteilung", "hcp index", "handicap index", "schlagindex"),
    "name": ("name", "hole name", "lochname"),
    "words": ("words", "notes", "note", "remarks", "remark", "comment", "comments", "description", "hints",
              "notizen", "bemerkung", "bemerkungen", "beschreibung", "hinweise", "worte"),
}  # fmt: skip
"""Headings that are read, without case, dots and brackets."""
_ROLE = {word: role for role, told in HEADINGS.items() for word in told}
_SUMS = frozenset(
    ("out", "in", "total", "totals", "sum", "gesamt", "summe", "hin", "rück", "rueck", "back", "front", "aus",
     "ein", "tot", "front 9", "back 9", "front nine", "back nine", "total par")
)  # fmt: skip
_FILLER = re.compile(r"\b(tees?|lengths?|distances?|längen?|laengen?|abschlag|abschläge|von)\b")
_UNITS_IN_WORDS = re.compile(r"\b(yds?|yards?|m|met(?:re|er)s?|meter)\b\.?", re.IGNORECASE)
_CELL = re.compile(r"([0-9]{1,4}(?:[.,][0-9]{1,2})?)\s*([A-Za-z]{1,7})?\.?\Z")
_MISSING = frozenset(("", "-", "--", "–", "—", "n/a", "x"))


@dataclass(frozen=True, slots=True)
class TeeColumn:
    """A column of lengths: its place, the tee's name, and its unit ("" where nobody says it)."""

    place: int
    name: str
    unit: str


def card_of_tables(tables: Iterable[Rows], file: str, asked: Asked) -> Card | None:
    """Read the table that shows most headings, turned if need be; None where none shows those of a card.

    Raises InputError for a cell that cannot be used, naming row, column and value.
    """
    best: tuple[int, Rows, int] = (0, [], 0)
    for rows in tables:
        for table in (rows, _turned(rows)):
            for place, row in enumerate(table[:_TOP]):
                score = heading_score(row)
                if score > best[0]:
                    best = (score, table, place)
    score, rows, head = best
    if score < 2:
        return None
    card = Card(file)
    _preamble(card, rows[:head])
    _fill(card, rows, head, asked)
    if not card.holes:
        raise InputError(
            tell("{file} has headings of a scorecard but no hole below them.", file=file),
            tell("Add a row for each hole."),
        )
    return card


def _turned(rows: Rows) -> Rows:
    """Give the table with rows and columns exchanged, where a row runs hole, 1, 2, 3, ..."""
    for place, row in enumerate(rows[:_TOP]):
        numbers = [cell for cell in row[1:] if cell.isdigit() and cell.isascii()]
        if row and _role(row[0])[0] == "hole" and len(numbers) >= 2:
            below = rows[place:]
            width = max(map(len, below))
            return [[line[i] if i < len(line) else "" for line in below] for i in range(width)]
    return []


def is_words(heading: str) -> bool:
    """Whether a heading is that of a hole's words."""
    return _role(heading)[0] == "words"


def heading_score(row: Sequence[str]) -> int:
    """Say how much a row looks like the headings of a card; 0 without a hole's."""
    roles = [_role(cell)[0] for cell in row]
    if "hole" not in roles:
        return 0
    known = len({role for role in roles if role not in ("tee", "")})
    return known + min(6, sum(1 for cell in row if _role(cell)[0] == "tee" and _role(cell)[2]))


def _role(heading: str) -> tuple[str, str, str]:
    """Give role, name and unit of a heading: ("tee", "white", "yd")."""
    text = " ".join(re.sub(r"[\[\](){}:._/]", " ", heading.lower()).split())
    if text in _ROLE:
        return _ROLE[text], "", ""
    found = _UNITS_IN_WORDS.search(text)
    unit = unit_named(found[1]) or "" if found else ""
    name = " ".join(_FILLER.sub(" ", _UNITS_IN_WORDS.sub(" ", text)).split())
    if name in _ROLE:
        return _ROLE[name], "", unit
    for word in ("par", "si", "hcp", "stroke index", "index", "vorgabe"):
        if name.startswith(word + " "):
            return f"tee {_ROLE[word]}", name.removeprefix(word + " "), ""
    return ("tee" if text else ""), name, unit


def _preamble(card: Card, rows: Sequence[Sequence[str]]) -> None:
    for row in rows:
        cells = [cell for cell in row if cell]
        if not cells:
            continue
        key, _, rest = cells[0].partition(":")
        value = rest.strip() or (cells[1] if len(cells) > 1 else "")
        word = key.strip().lower()
        if word in ("unit", "units", "einheit", "längen", "lengths"):
            card.unit = unit_named(value) or card.unit
        elif word in ("course", "club", "name", "platz") and value:
            card.name = value[:120]
        elif len(cells) == 1 and not card.name:
            card.name = cells[0][:120]


def _fill(card: Card, rows: Sequence[Sequence[str]], head: int, asked: Asked) -> None:
    roles = [_role(cell) for cell in rows[head]]
    columns = _tee_columns(card, rows, head, roles, asked)
    card.tees = tuple(column.name for column in columns)
    for line, row in enumerate(rows[head + 1 :], start=head + 2):
        hole = _hole(card, line, row, roles)
        if hole is None:
            card.left_out += 1
            continue
        for column in columns:
            value = _figure(card, line, row, column.place)
            if value is not None:
                hole.lengths[column.name] = (value[0], value[1] or column.unit)
        card.holes.append(hole)


def _tee_columns(
    card: Card, rows: Sequence[Sequence[str]], head: int, roles: Sequence[tuple[str, str, str]], asked: Asked
) -> list[TeeColumn]:
    columns: list[TeeColumn] = []
    for place, (role, name, unit) in enumerate(roles):
        cells = [row[place] for row in rows[head + 1 :] if place < len(row) and row[place] not in _MISSING]
        if role != "tee" or not (cells or unit):
            continue
        if not unit and sum(1 for cell in cells if _CELL.match(cell)) * 2 < len(cells):
            asked.ask(
                0,
                f"column {place + 1}",
                tell('The column "{rows}" is not understood.', rows=rows[head][place][:60]),
                tell("It is left out."),
                tell("Head it hole, par, stroke index, name, words, or a tee's name with its unit."),
            )
            continue
        base = chosen = _shown_name(rows[head][place], name) or f"tee {len(columns) + 1}"
        count = 1
        while chosen.casefold() in {column.name.casefold() for column in columns}:
            count += 1
            chosen = f"{base} {count}"
        columns.append(TeeColumn(place, chosen, unit))
    if not columns:
        raise InputError(
            tell("{file} has no column of lengths.", file=card.file),
            tell('Head it with the tee and unit: "white (yd)".'),
        )
    return columns


def _shown_name(heading: str, name: str) -> str:
    """Give the tee's name as the card writes it."""
    found = re.search(re.escape(name), heading, re.IGNORECASE) if name else None
    return found[0] if found else name


def _hole(card: Card, line: int, row: Sequence[str], roles: Sequence[tuple[str, str, str]]) -> CardRow | None:
    """Give a row's hole without its lengths; None for a row of sums or a blank one."""
    place = [role for role, _, _ in roles].index("hole")
    told = row[place] if place < len(row) else ""
    if told.lower().rstrip(".:") in _SUMS or not any(row) or not told:
        return None
    number = _whole(card, line, "hole", told, 1, MOST_HOLE)
    if any(hole.number == number for hole in card.holes):
        raise InputError(
            tell(
                "{file}, row {line}: hole {number} stands there twice.",
                file=card.file,
                line=line,
                number=number,
            ),
            tell("Correct the numbers."),
        )
    hole = CardRow(number)
    for (role, name, _), cell in zip(roles, row, strict=False):
        if cell in _MISSING:
            continue
        if role == "par":
            hole.par = _whole(card, line, "par", cell, *PARS)
        elif role == "index":
            hole.stroke_index = _whole(card, line, "stroke index", cell, 1, 36)
        elif role in ("name", "words"):
            setattr(hole, role, cell)
        elif role == "tee par":
            hole.pars[name] = _whole(card, line, f"par {name}", cell, *PARS)
        elif role == "tee index":
            hole.indices[name] = _whole(card, line, f"stroke index {name}", cell, 1, 36)
    return hole


def _whole(card: Card, line: int, what: str, cell: str, low: int, high: int) -> int:
    if cell.isascii() and cell.isdigit() and len(cell) <= 3 and low <= int(cell) <= high:
        return int(cell)
    raise InputError(
        tell(
            '{file}, row {line}: {what} is "{cell}", not a whole number from {low} to {high}.',
            file=card.file,
            line=line,
            what=what,
            cell=cell[:30],
            low=low,
            high=high,
        ),
        tell("Correct it, or leave the cell empty where it is not known.")
        if what != "hole"
        else tell("Correct it."),
    )


def _figure(card: Card, line: int, row: Sequence[str], place: int) -> tuple[float, str] | None:
    cell = row[place] if place < len(row) else ""
    if cell in _MISSING:
        return None
    match = _CELL.match(cell)
    unit = unit_named(match[2]) if match and match[2] else ""
    if match is None or unit is None:
        raise InputError(
            tell(
                '{file}, row {line}, column {place}: "{cell}" is no length.',
                file=card.file,
                line=line,
                place=place + 1,
                cell=cell[:30],
            ),
            tell("Write a number, with its unit in the heading."),
        )
    return float(match[1].replace(",", ".")), unit
