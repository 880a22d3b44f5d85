"""A scorecard as TOML, for those who write it by hand or by a program.

name = "Our course"

[[hole]]
number = 1                          # may be left out: the order counts
par = 4
stroke_index = 7
name = "The bridge"
length_m = { white = 366, yellow = 340 }        # or length_yd
words = "water left at 210 m, bunkers short"
"""

from __future__ import annotations

import re

from bagwright.course.card import MOST_HOLE, Card, CardRow
from bagwright.course.tomltable import Table, parse_toml
from bagwright.course.values import PARS
from bagwright.errors import InputError
from bagwright.shots.texts import clean
from bagwright.words import tell

MOST_TEES = 12
_HOLE = re.compile(r"^[ \t]*\[\[[ \t]*hole[ \t]*\]\]", re.MULTILINE)


def is_toml(text: str) -> bool:
    """Whether a text has a line [[hole]], which no table has."""
    return _HOLE.search(text) is not None


def card_of_toml(text: str, file: str) -> Card:
    """Read a card. Raises InputError that names the key that is wrong."""
    top = Table(parse_toml(text, file), file, tell("at the top"))
    top.only("name", "hole")
    card = Card(file, top.text("name", 120) or "")
    for place, table in enumerate(top.tables("hole", "hole"), start=1):
        hole = _hole(table, place)
        if any(hole.number == other.number for other in card.holes):
            raise InputError(
                tell(
                    "{file}: {where}: hole {number} stands there twice.",
                    file=file,
                    where=table.where,
                    number=hole.number,
                ),
                tell("Correct the numbers."),
            )
        card.holes.append(hole)
    card.tees = tuple(dict.fromkeys(tee for hole in card.holes for tee in hole.lengths))
    return card


def _hole(table: Table, place: int) -> CardRow:
    table.only("number", "par", "stroke_index", "name", "words", "length_m", "length_yd")
    hole = CardRow(
        table.whole("number", 1, MOST_HOLE) or place, table.whole("par", *PARS),
        table.whole("stroke_index", 1, 36), table.text("name", 120) or "", table.text("words", 1000) or "",
    )  # fmt: skip
    for key, unit in (("length_m", "m"), ("length_yd", "yd")):
        lengths = table.table(key)
        lengths.where = tell("{where}, {key}", where=table.where, key=key)
        if len(lengths.data) > MOST_TEES:
            raise table.bad(key, tell("lengths from at most {most} tees", most=MOST_TEES))
        for tee in lengths.data:
            figure = lengths.number(tee, 1.0, 2000.0)
            name = clean(tee, 40)
            if figure is None or not name or name in hole.lengths:
                raise lengths.bad(tee, tell("a length of a tee that is named once"))
            hole.lengths[name] = (figure, unit)
    return hole
