"""A scorecard in any of its forms: a text table, a workbook, lines as they are pasted, or TOML."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator

from bagwright.course import limits
from bagwright.course.asking import Asked
from bagwright.course.card import Card
from bagwright.course.cardlines import card_of_lines
from bagwright.course.cardtable import Rows, card_of_tables, heading_score, is_words
from bagwright.course.cardtoml import card_of_toml, is_toml
from bagwright.errors import InputError, ReadError
from bagwright.shots.limits import Limits
from bagwright.shots.sheets import check_workbook, kind_of, sheets_of
from bagwright.shots.textfile import decode
from bagwright.shots.texts import clean
from bagwright.words import tell

MOST_ROWS = 400
MOST_COLUMNS = 120
MOST_SHEETS = 16
_DELIMITERS = (";", "\t", ",", "|")
_TOP = 30
_TWO_WORDS = re.compile(r"\b(?:stroke|hcp|handicap)[ .]+index\b", re.IGNORECASE)
_GAPS = re.compile(r"\t+| {2,}")
"""What parts the columns of a table that was copied from a page."""


def read_card(raw: bytes, file: str, asked: Asked) -> Card:
    """Read a scorecard. Raises InputError for what is none, naming row, column and value."""
    if len(raw) > limits.CARD_BYTES:
        raise InputError(
            tell(
                "{file} is too large for a scorecard ({n:,} bytes, at most {card_bytes:,}).",
                file=file,
                n=len(raw),
                card_bytes=limits.CARD_BYTES,
            ),
            tell("Give one course's card, or a map (GeoJSON, .osm, Overpass JSON)."),
        )
    card = _of_workbook(raw, file, asked) if kind_of(raw) != "text" else _of_text(raw, file, asked)
    if card is None:
        raise InputError(
            tell(
                "{file} is neither a map (GeoJSON, .osm, Overpass JSON) nor a scorecard: no row has"
                ' the headings "hole" and "par" or a tee\'s length, and no line begins like "1: par '
                '4, white 366 m".',
                file=file,
            ),
            tell('Write a first row such as "hole,par,stroke index,white (yd),words".'),
        )
    card.holes.sort(key=lambda hole: hole.number)
    return card


def _of_workbook(raw: bytes, file: str, asked: Asked) -> Card | None:
    small = Limits(file_bytes=limits.CARD_BYTES, sheets=MOST_SHEETS, cells=200_000, unpacked_bytes=16 * 2**20)
    try:
        check_workbook(raw, file, small)
        tables = [_clean(rows, file) for _, rows in sheets_of(raw, file, small)]
    except ReadError as error:
        raise InputError(error.message, error.next_step) from error
    return card_of_tables(tables, file, asked)


def _of_text(raw: bytes, file: str, asked: Asked) -> Card | None:
    try:
        text, _ = decode(raw, file)
    except ReadError as error:
        raise InputError(
            tell(
                "{file} is neither a map (GeoJSON, .osm, Overpass JSON) nor a text of a scorecard.", file=file
            ),
            tell("Save the card as CSV (UTF-8)."),
        ) from error
    if is_toml(text):
        return card_of_toml(text, file)
    tables = [_clean(_rows(text, delimiter, file), file) for delimiter in _DELIMITERS]
    tables.append(_clean((_GAPS.split(line.strip(" ")) for line in text.splitlines()), file))
    tables.append(_clean(_spaced(text), file))
    return card_of_tables(tables, file, asked) or card_of_lines(text, file)


def _spaced(text: str) -> Rows:
    """Give the rows of a table whose columns single blanks part; none where headings and rows do not match.

    A heading of two words would shift the columns, so "stroke index" is taken as one; words may stand last.
    """
    lines = [_TWO_WORDS.sub("si", line).split() for line in text.splitlines()]
    for place, words in enumerate(lines[:_TOP]):
        if len(words) >= 3 and heading_score(words) >= 2:
            most = len(words) if is_words(words[-1]) else 0
            rows = [
                [*row[: most - 1], " ".join(row[most - 1 :])] if 0 < most <= len(row) else row
                for row in lines
            ]
            below = [row for row in rows[place + 1 :] if len(row) in (len(words), most - 1)]
            return rows if len(below) >= 2 else []
    return []


def _rows(text: str, delimiter: str, file: str) -> Iterator[list[str]]:
    try:
        yield from csv.reader(io.StringIO(text), delimiter=delimiter)
    except csv.Error as error:
        raise InputError(
            tell("{file} is no table ({error}).", file=file, error=clean(str(error), 60)),
            tell("Save the card as CSV."),
        ) from error


def _clean(rows: Iterator[list[str]] | Rows, file: str) -> Rows:
    """Give the rows with clean cells. Raises InputError above the limit of rows."""
    found: Rows = []
    for row in rows:
        if len(found) >= MOST_ROWS:
            raise InputError(
                tell("{file} has more than {most_rows} rows.", file=file, most_rows=MOST_ROWS),
                tell("A scorecard has a row for each hole."),
            )
        found.append([clean(cell, 1000) for cell in row[:MOST_COLUMNS]])
    return found
