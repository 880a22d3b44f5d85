"""A shot typed as one line at an entry pad: `168 12R 84`.

The form says which figures stand in which order, in which units; more figures follow with a letter in front
(`s6200` spin), marks and swings as words. Nothing is guessed: a side without left or right is an error.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, field

from bagwright.errors import InputError
from bagwright.shots.line_form import (
    BAD_WORDS,
    FIGURES,
    MISHIT_WORDS,
    MISSING,
    SWING_WORDS,
    LineForm,
    Mark,
    PadStep,
    dump_form,
    example,
    form_words,
    load_form,
    pad_steps,
    tag_words,
    written,
)
from bagwright.words import figure as decimal
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
_FIGURE = re.compile(r"[+\-−]?[0-9]{1,6}(?:[.,][0-9]{1,9})?")
_MANY_DECIMALS = re.compile(r"([+\-−]?[0-9]+)[.,]([0-9]{3,})")


class LineError(InputError):
    """A piece of a typed line that cannot be read; `start` and `end` say where it stands."""

    def __init__(self, message: str, next_step: str, start: int, end: int) -> None:
        super().__init__(message, next_step)
        self.start = start
        self.end = end


@dataclass(frozen=True, slots=True)
class Typed:
    """What a line said: figures in SI, and the words beside them. Missing figures are not in `values`."""

    values: dict[str, float] = field(default_factory=dict)
    swing: str | None = None
    mark: Mark = ""
    reason: str = ""
    carry_at_least: bool = False


@dataclass(frozen=True, slots=True)
class _Piece:
    """What stands between two spaces, and where."""

    text: str
    start: int
    end: int

    @property
    def low(self) -> str:
        return self.text.lower()

    @property
    def shown(self) -> str:
        return self.text[:30]

    def wrong(self, message: str, next_step: str) -> LineError:
        return LineError(message, next_step, self.start, self.end)


def parse_line(text: str, form: LineForm) -> Typed:
    """Read one typed line. Raises LineError naming the piece, where it stands and what was expected."""
    if len(text) > LONGEST:
        raise LineError(
            tell("The line has {characters} characters.", characters=len(text)),
            tell("A shot needs at most {most}.", most=LONGEST),
            0,
            len(text),
        )
    pieces = [_Piece(m.group(), m.start(), m.end()) for m in re.finditer(r"\S+", text)]
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

    def take(self, pieces: list[_Piece]) -> int:
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

    def _in_turn(self, pieces: list[_Piece]) -> int:
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

    def _word(self, piece: _Piece) -> bool:
        if piece.low in SWING_WORDS:
            if self.swing is not None:
                raise piece.wrong(
                    tell(
                        '"{piece}" is a second swing after {swing}.',
                        piece=piece.shown,
                        swing=term(self.swing),
                    ),
                    tell("Leave one of them out."),
                )
            self.swing = SWING_WORDS[piece.low]
            return True
        if piece.low not in MISHIT_WORDS and piece.low not in BAD_WORDS:
            return False
        if self.mark:
            raise piece.wrong(
                tell(
                    '"{piece}" is a second mark after {mark}.', piece=piece.shown, mark=term(self.reason[0])
                ),
                tell("Leave one of them out."),
            )
        if piece.low in BAD_WORDS:
            self.mark = "bad-read"
        else:
            self.mark, self.reason = "mishit", [MISHIT_WORDS[piece.low]]
        return True

    def _reason(self, piece: _Piece) -> None:
        """A word of why a read is bad; a figure here was meant for the shot."""
        if _is_figure(piece.text, self.form):
            raise piece.wrong(
                tell('"{piece}" is a figure after the mark.', piece=piece.shown),
                tell("Write figures first, then bad and the reason."),
            )
        self.reason.append(piece.text)

    def _tagged(self, piece: _Piece) -> bool:
        """Whether the piece is a figure with its letter; an error where it might be a side as well."""
        name = self.form.tags.get(piece.low[0])
        digits = piece.text[1:]
        if name is None or not _FIGURE.fullmatch(digits):
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
                    side=f"{digits}{as_side[0]}",
                    figure=figure,
                ),
            )
        return True

    def _next(self, piece: _Piece) -> str:
        if not self.waiting:
            raise piece.wrong(
                tell('"{piece}" is one figure more than the form has.', piece=piece.shown),
                tell(
                    "The form is: {form}. A further figure needs its letter, such as s6200.",
                    form=form_words(self.form),
                ),
            )
        return self.waiting.pop(0)

    def _put(self, name: str, digits: str, piece: _Piece) -> None:
        word = FIGURES[name].word
        if not _FIGURE.fullmatch(digits):
            unit = self.form.spoken_unit(name)
            raise piece.wrong(
                tell('"{piece}" is no {figure}.', piece=piece.shown, figure=word),
                tell(
                    "Expected a number of {unit}, such as {example}.", unit=unit, example=example(self.form)
                ),
            )
        if name in self.values:
            raise piece.wrong(
                tell('"{piece}" gives the {figure} twice.', piece=piece.shown, figure=word),
                tell("Leave one of them out."),
            )
        self.values[name] = self._within(name, _number(digits, piece), piece)

    def _within(self, name: str, value: float, piece: _Piece) -> float:
        figure, unit, factor = FIGURES[name], self.form.spoken_unit(name), self.form.factor_of(name)
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

    def _side(self, pieces: list[_Piece]) -> int:
        """A side: 12R, R12, 12 R, 0, or a signed number where the form says so."""
        piece, used = pieces[0], 1
        sign, digits = self._signed(piece.text)
        if sign is None and len(pieces) > 1 and _FIGURE.fullmatch(piece.text):
            sign = self._sign_of(pieces[1].text)
            used = 1 if sign is None else 2
            piece = _Piece(piece.text, piece.start, pieces[used - 1].end)
        if not _FIGURE.fullmatch(digits):
            raise piece.wrong(
                tell('"{piece}" is no side.', piece=piece.shown),
                tell("Write it like {example}.", example=self._sides("12")),
            )
        value = _number(digits, piece)
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
        self.values["offline_m"] = self._within("offline_m", (sign or 1.0) * value, piece)
        return used

    def _signed(self, text: str) -> tuple[float | None, str]:
        """The sign that a piece says, None where it says none, and its figure without it."""
        if self.form.signed_sides and _FIGURE.fullmatch(text):
            return (-1.0 if text[0] in "-−" else 1.0), text.lstrip("+-−")
        for words, sign in ((self.form.left, -1.0), (self.form.right, 1.0)):
            for word in words:
                n = len(word)
                if text[-n:].lower() == word.lower() and _FIGURE.fullmatch(text[:-n]):
                    return sign, text[:-n]
                if text[:n].lower() == word.lower() and _FIGURE.fullmatch(text[n:]):
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
        lacking = [FIGURES[name].word for name in self.form.needed if name not in self.values]
        if lacking and not self.mark:
            raise LineError(
                tell("The {figure} is missing.", figure=lacking[0]),
                tell("This form needs it; without it, mark the ball bad."),
                *where,
            )
        return Typed(self.values, self.swing, self.mark, " ".join(self.reason), self.at_least)


def _number(digits: str, piece: _Piece) -> float:
    """The number of a figure; thousands and decimals must not be mistaken for each other."""
    many = _MANY_DECIMALS.fullmatch(digits)
    if many is not None:
        whole, rest = many.groups()
        if len(rest) == 3:
            raise piece.wrong(
                tell('"{piece}" could be thousands or decimals.', piece=piece.shown),
                tell(
                    "Write {whole}, or {decimals} with decimals.",
                    whole=f"{whole}{rest}",
                    decimals=decimal(f"{whole}.{rest[:2]}"),
                ),
            )
        raise piece.wrong(
            tell('"{piece}" has more than two decimals.', piece=piece.shown),
            tell("Write {decimals}.", decimals=decimal(f"{whole}.{rest[:2]}")),
        )
    return float(digits.replace("−", "-").replace(",", "."))


def _is_figure(text: str, form: LineForm) -> bool:
    """Whether a word looks like a figure of the form, with or without its letter or side."""
    bare = text[1:] if text[:1].lower() in form.tags or text[:1] in (">", "≥") else text
    for word in (*form.left, *form.right):
        if text[-len(word) :].lower() == word.lower():
            bare = text[: -len(word)]
        elif text[: len(word)].lower() == word.lower():
            bare = text[len(word) :]
        if _FIGURE.fullmatch(bare):
            return True
    return bool(_FIGURE.fullmatch(bare) or _FIGURE.fullmatch(text))


def write_line(typed: Typed, form: LineForm) -> str:
    """The line that reads as this shot, figures with two decimals at most.

    Raises InputError for what the form has no place for, so that no figure is left out quietly.
    """
    letters = {name: letter for letter, name in form.tags.items()}
    strangers = [name for name in typed.values if name not in form.order and name not in letters]
    if strangers:
        raise InputError(
            tell("The form of a typed shot has no place for {figure}.", figure=strangers[0]),
            tell("Give it a place or a letter."),
        )
    if typed.carry_at_least and "carry_m" not in typed.values:
        raise InputError(tell("The carry is a least one, but it is missing."), tell("Give the least carry."))
    words = [_word_of(name, typed, form) for name in form.order]
    lettered = [name for name in typed.values if name not in form.order]
    # Before a figure with a letter every place is filled: while a side is due, a letter might be one.
    while words and not lettered and words[-1] == MISSING[0]:
        words.pop()
    words += [f"{letters[name]}{written(form, name, typed.values[name])}" for name in lettered]
    words += [word for word, swing in SWING_WORDS.items() if swing == typed.swing][:1]
    if typed.mark == "mishit":
        words.append(typed.reason)
    elif typed.mark == "bad-read":
        words += [BAD_WORDS[0], *typed.reason.split()]
    return " ".join(words)


def _word_of(name: str, typed: Typed, form: LineForm) -> str:
    value = typed.values.get(name)
    if value is None:
        return MISSING[0]
    if name == "offline_m" and not form.signed_sides:
        shown = written(form, name, abs(value))
        side = form.right if value > 0 else form.left
        return shown if shown == "0" else f"{shown}{side[0]}"
    least = ">" if name == "carry_m" and typed.carry_at_least else ""
    return f"{least}{written(form, name, value)}"
