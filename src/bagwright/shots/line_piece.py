"""A piece of a typed line: figures with or without a unit, and errors that point at them."""

from __future__ import annotations

import re
from dataclasses import dataclass

from bagwright.errors import InputError
from bagwright.shots.line_form import FIGURES, UNITS, LineForm
from bagwright.shots.line_words import small
from bagwright.units import find_unit
from bagwright.words import figure as decimal
from bagwright.words import tell

FIGURE = re.compile(r"[+\-−]?[0-9]{1,6}(?:[.,][0-9]{1,9})?")
WITH_UNIT = re.compile(rf"({FIGURE.pattern})([^\W\d_]{{1,7}}(?:/[^\W\d_]{{1,3}})?|°)")
MANY_DECIMALS = re.compile(r"([+\-−]?[0-9]+)[.,]([0-9]{3,})")


class LineError(InputError):
    """A piece of a typed line that cannot be read; `start` and `end` say where it stands."""

    def __init__(self, message: str, next_step: str, start: int, end: int) -> None:
        super().__init__(message, next_step)
        self.start = start
        self.end = end


@dataclass(frozen=True, slots=True)
class Piece:
    """What stands between two spaces, and where."""

    text: str
    start: int
    end: int

    @property
    def low(self) -> str:
        """The piece as it is compared."""
        return small(self.text)

    @property
    def shown(self) -> str:
        """The piece as an error names it."""
        return self.text[:30]

    def wrong(self, message: str, next_step: str) -> LineError:
        """An error that points at this piece."""
        return LineError(message, next_step, self.start, self.end)


def apart(text: str) -> tuple[str, str]:
    """A figure and the unit that is written behind it, "" without one; anything else as it is."""
    match = WITH_UNIT.fullmatch(text)
    return (match[1], match[2]) if match is not None else (text, "")


def may_be(name: str, text: str) -> bool:
    """Whether a text is a figure, bare or with a unit that this quantity has."""
    digits, written = apart(text)
    if not written:
        return bool(FIGURE.fullmatch(digits))
    unit = find_unit(written)
    return unit is not None and unit.name in UNITS[FIGURES[name].dimension]


def number(digits: str, piece: Piece) -> float:
    """The number of a figure; thousands and decimals must not be mistaken for each other."""
    many = MANY_DECIMALS.fullmatch(digits)
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


def is_figure(text: str, form: LineForm) -> bool:
    """Whether a word looks like a figure of the form, with or without its letter or side."""
    bare = text[1:] if text[:1].lower() in form.tags or text[:1] in (">", "≥") else text
    for word in (*form.left, *form.right):
        if text[-len(word) :].lower() == word.lower():
            bare = text[: -len(word)]
        elif text[: len(word)].lower() == word.lower():
            bare = text[len(word) :]
        if _counts(bare):
            return True
    return _counts(bare) or _counts(text)


def _counts(text: str) -> bool:
    """Whether a text is a figure, bare or with any known unit behind it."""
    digits, written = apart(text)
    return bool(FIGURE.fullmatch(digits)) and (not written or find_unit(written) is not None)
