"""A shot typed as one line at an entry pad: `168 12R 84`.

The form says which figures stand in which order, in which units; more figures follow with a letter in front
(`s6200` spin), marks and swings as words. Nothing is guessed: a side without left or right is an error.
"""

from __future__ import annotations

import math
import re

from bagwright.shots.line_form import (
    FIGURES,
    UNITS,
    LineForm,
    Mark,
    PadStep,
    dump_form,
    example,
    form_words,
    load_form,
    pad_steps,
    said,
    tag_words,
)
from bagwright.shots.line_piece import FIGURE, LineError, Piece, apart, is_figure, may_be, number
from bagwright.shots.line_words import MISSING
from bagwright.shots.line_write import Typed, write_line
from bagwright.shots.quantities import unit_named
from bagwright.units import Unit, find_unit, spoken
from bagwright.words import tell, term

__all__ = [
    "LineError",
    "LineForm",
    "PadStep",
    "Typed",
    "dump_form",
    "example",
    "form_words",
    "load_form",
    "pad_steps",
    "parse_line",
    "tag_words",
    "write_line",
]

LONGEST = 200
"""Characters of a line."""


def parse_line(text: str, form: LineForm) -> Typed:
    """Read one typed line. Raises LineError naming the piece, where it stands and what was expected."""
    if len(text) > LONGEST:
        raise LineError(
            tell("The line has {characters} characters.", characters=len(text)),
            tell("A shot needs at most {most}.", most=LONGEST),
            0,
            len(text),
        )
    pieces = [Piece(m.group(), m.start(), m.end()) for m in re.finditer(r"\S+", text)]
    if not pieces:
        raise LineError(
            tell("Nothing was typed."), tell("Type a shot like {example}.", example=example(form)), 0, 0
        )
    reading = _Reading(form)
    while pieces:
        pieces = pieces[reading.take(pieces) :]
    return reading.done(text)


class _Reading:
    """Takes the pieces of a line one after another."""

    def __init__(self, form: LineForm) -> None:
        self.form = form
        self.values: dict[str, float] = {}
        self.waiting = list(form.order)
        self.swing: str | None = None
        self.mark: Mark = ""
        self.reason: list[str] = []
        self.at_least = False
        self.bare: dict[str, Piece] = {}
        self.foreign: dict[str, Unit] = {}

    def take(self, pieces: list[Piece]) -> int:
        """Take the first piece, or the two of a side; returns how many."""
        piece = pieces[0]
        if self.mark == "bad-read":
            self._reason(piece)
        elif self._word(piece):
            pass
        elif piece.text in MISSING:
            self._next(piece)
        elif self._tagged(piece):
            self._put(self.form.tags[piece.low[0]], piece.text[1:], piece)
        else:
            return self._in_turn(pieces)
        return 1

    def _in_turn(self, pieces: list[Piece]) -> int:
        piece = pieces[0]
        name = self._next(piece)
        if name == "offline_m":
            return self._side(pieces)
        digits = piece.text
        if name == "carry_m" and digits.startswith((">", "≥")):
            self.at_least = True
            digits = digits[1:]
        self._put(name, digits, piece)
        return 1

    def _word(self, piece: Piece) -> bool:
        words = self.form.words
        if piece.low in words.unclear:
            raise piece.wrong(
                tell('"{piece}" could be two swings.', piece=piece.shown),
                tell("Write {words}.", words=said(words.unclear[piece.low])),
            )
        if piece.low in words.swings:
            if self.swing is not None:
                raise piece.wrong(
                    tell(
                        '"{piece}" is a second swing after {swing}.',
                        piece=piece.shown,
                        swing=term(self.swing),
                    ),
                    tell("Leave one of them out."),
                )
            self.swing = words.swings[piece.low]
            return True
        if piece.low not in words.mishits and piece.low not in words.bad:
            return False
        if self.mark:
            raise piece.wrong(
                tell(
                    '"{piece}" is a second mark after {mark}.', piece=piece.shown, mark=term(self.reason[0])
                ),
                tell("Leave one of them out."),
            )
        if piece.low in words.bad:
            self.mark = "bad-read"
        else:
            self.mark, self.reason = "mishit", [words.mishits[piece.low]]
        return True

    def _reason(self, piece: Piece) -> None:
        """A word of why a read is bad; a figure here was meant for the shot."""
        if is_figure(piece.text, self.form):
            raise piece.wrong(
                tell('"{piece}" is a figure after the mark.', piece=piece.shown),
                tell("Write figures first, then bad and the reason."),
            )
        self.reason.append(piece.text)

    def _tagged(self, piece: Piece) -> bool:
        """Whether the piece is a figure with its letter; an error where it might be a side as well."""
        name = self.form.tags.get(piece.low[0])
        digits = piece.text[1:]
        if name is None or not may_be(name, digits):
            return False
        side_is_next = bool(self.waiting) and self.waiting[0] == "offline_m"
        words = (*self.form.left, *self.form.right)
        as_side = [word for word in words if word.lower() == piece.low[0]]
        if side_is_next and as_side:
            figure = FIGURES[name].word
            raise piece.wrong(
                tell('"{piece}" could be a {figure} or a side.', piece=piece.shown, figure=figure),
                tell(
                    "Write {side} for the side; before a {figure} give the side, - if not read.",
                    side=f"{apart(digits)[0]}{as_side[0]}",
                    figure=figure,
                ),
            )
        return True

    def _next(self, piece: Piece) -> str:
        if not self.waiting:
            raise piece.wrong(
                tell('"{piece}" is one figure more than the form has.', piece=piece.shown),
                tell(
                    "The form is: {form}. A further figure needs its letter, such as s6200.",
                    form=form_words(self.form),
                ),
            )
        return self.waiting.pop(0)

    def _put(self, name: str, text: str, piece: Piece) -> None:
        word = FIGURES[name].word
        digits, unit = self._unit(name, text, piece)
        if not FIGURE.fullmatch(digits):
            raise piece.wrong(
                tell('"{piece}" is no {figure}.', piece=piece.shown, figure=word),
                tell(
                    "Expected a number of {unit}, such as {example}.",
                    unit=self.form.spoken_unit(name),
                    example=example(self.form),
                ),
            )
        if name in self.values:
            raise piece.wrong(
                tell('"{piece}" gives the {figure} twice.', piece=piece.shown, figure=word),
                tell("Leave one of them out."),
            )
        self._store(name, number(digits, piece), piece, unit, written=digits != text)

    def _unit(self, name: str, text: str, piece: Piece) -> tuple[str, Unit]:
        """A figure and its unit: the one written behind it, else the form's; another quantity's is asked."""
        digits, written = apart(text)
        unit = find_unit(written) if written else None
        if unit is None:
            return text, unit_named(self.form.unit_of(name))
        figure = FIGURES[name]
        if unit.name not in UNITS[figure.dimension]:
            raise piece.wrong(
                tell('"{piece}" has no unit of the {figure}.', piece=piece.shown, figure=figure.word),
                tell(
                    "Write it with {units}, or without for {unit}.",
                    units=said(tuple(spoken(unit_named(one)) for one in UNITS[figure.dimension])),
                    unit=self.form.spoken_unit(name),
                ),
            )
        return digits, unit

    def _store(self, name: str, value: float, piece: Piece, unit: Unit, *, written: bool) -> None:
        """Keep a figure. Beside one in another unit a bare one of the same kind is unclear: `done` asks."""
        self.values[name] = self._within(name, value, piece, unit)
        kind = FIGURES[name].dimension
        if not written and value != 0.0:
            self.bare.setdefault(kind, piece)
        elif written and unit.name != self.form.unit_of(name):
            self.foreign.setdefault(kind, unit)

    def _within(self, name: str, value: float, piece: Piece, used: Unit) -> float:
        figure, unit, factor = FIGURES[name], spoken(used), used.factor
        if figure.low <= value * factor <= figure.high:
            return value * factor
        least, most = math.ceil(figure.low / factor), math.floor(figure.high / factor)
        limits = tell("Between {least} and {most} {unit}.", least=least, most=most, unit=unit)
        if name == "offline_m":
            limits = tell("At most {most} {unit} to either side.", most=most, unit=unit)
        raise piece.wrong(
            tell(
                '"{piece}" is no {figure}: {value:g} {unit} cannot be.',
                piece=piece.shown,
                figure=figure.word,
                value=value,
                unit=unit,
            ),
            limits,
        )

    def _side(self, pieces: list[Piece]) -> int:
        """A side: 12R, R12, 12 R, 0, or a signed number where the form says so."""
        piece, used = pieces[0], 1
        sign, digits = self._signed(piece.text)
        if sign is None and len(pieces) > 1 and may_be("offline_m", piece.text):
            sign = self._sign_of(pieces[1].text)
            used = 1 if sign is None else 2
            piece = Piece(piece.text, piece.start, pieces[used - 1].end)
        said_so = digits
        digits, unit = self._unit("offline_m", digits, piece)
        if not FIGURE.fullmatch(digits):
            raise piece.wrong(
                tell('"{piece}" is no side.', piece=piece.shown),
                tell("Write it like {example}.", example=self._sides("12")),
            )
        value = number(digits, piece)
        if sign is None and value != 0.0:
            raise piece.wrong(
                tell('"{piece}" says no side.', piece=piece.shown),
                tell("Write {sides}.", sides=self._sides(digits.lstrip("+-−"))),
            )
        if sign is not None and digits[0] in "+-−":
            raise piece.wrong(
                tell('"{piece}" has a sign and a side.', piece=piece.shown),
                tell("Write {sides}.", sides=self._sides(digits[1:])),
            )
        self._store("offline_m", (sign or 1.0) * value, piece, unit, written=digits != said_so)
        return used

    def _signed(self, text: str) -> tuple[float | None, str]:
        """The sign that a piece says, None where it says none, and its figure without it."""
        if self.form.signed_sides and may_be("offline_m", text):
            return (-1.0 if text[0] in "-−" else 1.0), text.lstrip("+-−")
        for words, sign in ((self.form.left, -1.0), (self.form.right, 1.0)):
            for word in words:
                n = len(word)
                if text[-n:].lower() == word.lower() and may_be("offline_m", text[:-n]):
                    return sign, text[:-n]
                if text[:n].lower() == word.lower() and may_be("offline_m", text[n:]):
                    return sign, text[n:]
        return None, text

    def _sign_of(self, text: str) -> float | None:
        if text.lower() in map(str.lower, self.form.left):
            return -1.0
        return 1.0 if text.lower() in map(str.lower, self.form.right) else None

    def _sides(self, digits: str) -> str:
        if self.form.signed_sides:
            return tell("{digits} for right, -{digits} for left", digits=digits)
        return tell(
            "{right} or {left}",
            right=f"{digits}{self.form.right[0]}",
            left=f"{digits}{self.form.left[0]}",
        )

    def done(self, text: str) -> Typed:
        """The whole line; a shot must say at least one figure or a mark, and what the form needs."""
        where = (0, len(text))
        if not self.values and not self.mark:
            raise LineError(
                tell("The line has no figure."),
                tell("Type a shot like {example}.", example=example(self.form)),
                *where,
            )
        for kind, unit in self.foreign.items():
            if kind in self.bare:
                piece = self.bare[kind]
                raise piece.wrong(
                    tell(
                        '"{piece}" says no unit, another figure says {unit}.',
                        piece=piece.shown,
                        unit=spoken(unit),
                    ),
                    tell(
                        "Write every unit, or none: then the form's count ({form}).",
                        form=form_words(self.form),
                    ),
                )
        lacking = [FIGURES[name].word for name in self.form.needed if name not in self.values]
        if lacking and not self.mark:
            raise LineError(
                tell("The {figure} is missing.", figure=lacking[0]),
                tell("This form needs it; without it, mark the ball bad."),
                *where,
            )
        return Typed(self.values, self.swing, self.mark, " ".join(self.reason), self.at_least)
