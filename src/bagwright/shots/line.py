"""A shot typed as one line at an entry pad: `168 12R 84`.

The form says which figures stand in which order, in which units; more figures follow with a letter in front
(`s6200` spin), marks and swings as words. Nothing is guessed: a side without left or right is an error.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

from bagwright.errors import InputError
from bagwright.shots.record import MISHITS, SWINGS
from bagwright.units import System, find_unit

Language = Literal["en", "de"]
LEFT: dict[str, tuple[str, ...]] = {"en": ("L", "left"), "de": ("L", "li", "links")}
RIGHT: dict[str, tuple[str, ...]] = {"en": ("R", "right"), "de": ("R", "re", "rechts")}
LONGEST = 200

TAGS = {
    "b": "ball_speed_mps",
    "c": "club_speed_mps",
    "s": "spin_rpm",
    "l": "launch_rad",
    "d": "descent_rad",
    "h": "apex_m",
    "t": "total_m",
    "a": "attack_rad",
}
"""Letter in front of a figure -> what it is."""

_UNIT_OF: dict[str, dict[str, str]] = {
    "yards": {
        "carry_m": "yd", "offline_m": "yd", "total_m": "yd", "apex_m": "ft", "ball_speed_mps": "mph",
        "club_speed_mps": "mph",
    },
    "metres": {
        "carry_m": "m", "offline_m": "m", "total_m": "m", "apex_m": "m", "ball_speed_mps": "mps",
        "club_speed_mps": "mps",
    },
}  # fmt: skip
_ANGLES = ("launch_rad", "descent_rad", "attack_rad")
_LIMITS = {
    "carry_m": (0.0, 400.0), "total_m": (0.0, 500.0), "offline_m": (-200.0, 200.0), "apex_m": (0.0, 80.0),
    "ball_speed_mps": (2.0, 105.0), "club_speed_mps": (2.0, 75.0), "spin_rpm": (0.0, 16_000.0),
    "launch_rad": (-0.35, 1.4), "descent_rad": (0.0, 1.5), "attack_rad": (-0.6, 0.6),
}  # fmt: skip
"""Beyond these a figure is a slip of the finger, SI: wider than anything that is hit (judgement)."""
_WORDS = {
    "carry_m": "carry", "offline_m": "side", "total_m": "total", "apex_m": "height",
    "ball_speed_mps": "ball speed", "club_speed_mps": "club speed", "spin_rpm": "spin",
    "launch_rad": "launch", "descent_rad": "descent", "attack_rad": "attack",
}  # fmt: skip
_SWING_WORDS = {
    "gd": "gripped-down", "fo": "flat-out", "3q": "three-quarter", "3/4": "three-quarter", "1/2": "half",
    **{swing: swing for swing in SWINGS},
}  # fmt: skip
_BAD = ("bad", "misread")
_FIGURE = re.compile(r"[+\-−]?[0-9]{1,6}(?:[.,][0-9]{1,4})?")


class LineError(InputError):
    """A piece of a typed line that cannot be read; `start` and `end` say where it stands."""

    def __init__(self, message: str, next_step: str, start: int, end: int) -> None:
        super().__init__(message, next_step)
        self.start = start
        self.end = end


@dataclass(frozen=True, slots=True)
class LineForm:
    """Which figures stand without a letter, in their order; `units` names the unit of each figure.

    `signed_sides` allows -12 for 12 left and 12 for 12 right; without it a side needs its letter.
    """

    order: tuple[str, ...] = ("carry_m", "offline_m", "ball_speed_mps")
    units: Mapping[str, str] = field(default_factory=dict)
    left: tuple[str, ...] = LEFT["en"]
    right: tuple[str, ...] = RIGHT["en"]
    signed_sides: bool = False

    @classmethod
    def usual(cls, system: System = "yards", language: str = "en") -> LineForm:
        """Carry, side, ball speed in the units of a system, side words of a language."""
        known = language if language in LEFT else "en"
        return cls(units=dict(_UNIT_OF[system]), left=LEFT[known], right=RIGHT[known])

    def unit_of(self, name: str) -> str:
        """The unit of a figure: rpm and degrees for spin and angles, else the form's own."""
        if name in _ANGLES:
            return "deg"
        return "rpm" if name == "spin_rpm" else self.units.get(name, _UNIT_OF["yards"].get(name, "m"))


@dataclass(frozen=True, slots=True)
class Typed:
    """What a line said: figures in SI, and the words beside them. Missing figures are not in `values`."""

    values: dict[str, float] = field(default_factory=dict)
    swing: str | None = None
    mark: Literal["", "mishit", "bad-read"] = ""
    reason: str = ""
    carry_at_least: bool = False


def parse_line(text: str, form: LineForm) -> Typed:
    """Read one typed line. Raises LineError naming the piece, where it stands and what was expected."""
    if len(text) > LONGEST:
        raise LineError(
            f"The line has {len(text)} characters.", f"A shot needs at most {LONGEST}.", 0, len(text)
        )
    pieces = [(m.group(), m.start(), m.end()) for m in re.finditer(r"\S+", text)]
    if not pieces:
        raise LineError("Nothing was typed.", f"Type a shot like {example(form)}.", 0, 0)
    state = _Reading(form)
    i = 0
    while i < len(pieces):
        i += state.take(pieces, i)
    return state.done(text)


class _Reading:
    """Takes the pieces of a line one after another."""

    def __init__(self, form: LineForm) -> None:
        self.form = form
        self.values: dict[str, float] = {}
        self.waiting = list(form.order)
        self.swing: str | None = None
        self.mark: Literal["", "mishit", "bad-read"] = ""
        self.reason: list[str] = []
        self.at_least = False

    def take(self, pieces: list[tuple[str, int, int]], i: int) -> int:
        """Take one piece, or a side's two; returns how many."""
        piece, start, end = pieces[i]
        low = piece.lower()
        if self.mark == "bad-read" or self._word(low):
            if self.mark == "bad-read" and low not in _BAD:
                self.reason.append(piece)
            return 1
        if piece in ("-", ".", "–"):
            self._next(piece, start, end)
            return 1
        if low[0] in TAGS and _FIGURE.fullmatch(low[1:]):
            self._put(TAGS[low[0]], low[1:], piece, start, end)
            return 1
        name = self._next(piece, start, end)
        if name == "offline_m":
            return self._side(pieces, i)
        if name == "carry_m" and piece.startswith((">", "≥")):
            self.at_least = True
            self._put(name, piece[1:], piece, start, end)
            return 1
        self._put(name, piece, piece, start, end)
        return 1

    def _word(self, low: str) -> bool:
        if low in MISHITS:
            self.mark, self.reason = "mishit", [low]
        elif low in _BAD:
            self.mark = "bad-read"
        elif low in _SWING_WORDS:
            self.swing = _SWING_WORDS[low]
        else:
            return False
        return True

    def _next(self, piece: str, start: int, end: int) -> str:
        if not self.waiting:
            raise LineError(
                f'"{piece[:30]}" is one figure more than the form has.',
                f"The form is: {form_words(self.form)}. A further figure needs its letter, such as s6200.",
                start,
                end,
            )
        return self.waiting.pop(0)

    def _put(self, name: str, digits: str, piece: str, start: int, end: int) -> None:
        if not _FIGURE.fullmatch(digits):
            raise LineError(
                f'"{piece[:30]}" is no {_WORDS[name]}.',
                f"Expected a number of {self.form.unit_of(name)}, such as {example(self.form)}.",
                start,
                end,
            )
        if name in self.values:
            raise LineError(f"{_WORDS[name]} is there twice.", "Leave one of them out.", start, end)
        self.values[name] = self._within(name, _number(digits), piece, start, end)

    def _within(self, name: str, value: float, piece: str, start: int, end: int) -> float:
        unit = self.form.unit_of(name)
        known = find_unit(unit)
        factor = known.factor if known else 1.0
        low, high = _LIMITS[name]
        if not low <= value * factor <= high:
            least, most = math.ceil(low / factor), math.floor(high / factor)
            raise LineError(
                f'"{piece[:30]}": a {_WORDS[name]} of {value:g} {unit} cannot be.',
                f"Between {least} and {most} {unit}.",
                start,
                end,
            )
        return value * factor

    def _side(self, pieces: list[tuple[str, int, int]], i: int) -> int:
        """A side: 12R, R12, 12 R, 0, or a signed number where the form says so."""
        piece, start, end = pieces[i]
        sign, digits, used = self._signed(pieces, i)
        if sign is None and _FIGURE.fullmatch(digits) and _number(digits) == 0.0:
            sign = 1.0
        if sign is None:
            number = digits if _FIGURE.fullmatch(digits) else "12"
            right, left = self.form.right[0], self.form.left[0]
            raise LineError(
                f'"{piece[:30]}" says no side.',
                f"Write {number}{right} or {number}{left}.",
                start,
                end,
            )
        if not _FIGURE.fullmatch(digits) or _number(digits) < 0.0:
            raise LineError(f'"{piece[:30]}" is no side.', "Write it like 12R.", start, end)
        self.values["offline_m"] = self._within(
            "offline_m", sign * _number(digits), piece, start, pieces[i + used - 1][2]
        )
        return used

    def _signed(self, pieces: list[tuple[str, int, int]], i: int) -> tuple[float | None, str, int]:
        piece = pieces[i][0]
        if self.form.signed_sides and _FIGURE.fullmatch(piece):
            value = _number(piece)
            return (1.0 if value >= 0 else -1.0), piece.lstrip("+-−"), 1
        for words, sign in ((self.form.left, -1.0), (self.form.right, 1.0)):
            for word in sorted(words, key=len, reverse=True):
                low, end = piece.lower(), word.lower()
                if low.endswith(end) and _FIGURE.fullmatch(low[: -len(end)]):
                    return sign, low[: -len(end)], 1
                if low.startswith(end) and _FIGURE.fullmatch(low[len(end) :]):
                    return sign, low[len(end) :], 1
                if i + 1 < len(pieces) and _FIGURE.fullmatch(piece) and pieces[i + 1][0].lower() == end:
                    return sign, piece, 2
        return None, piece, 1

    def done(self, text: str) -> Typed:
        """The whole line; a shot must say at least one figure or a mark."""
        if not self.values and not self.mark:
            raise LineError(
                "The line has no figure.", f"Type a shot like {example(self.form)}.", 0, len(text)
            )
        return Typed(self.values, self.swing, self.mark, " ".join(self.reason), self.at_least)


def _number(digits: str) -> float:
    return float(digits.replace("−", "-").replace(",", "."))


def form_words(form: LineForm) -> str:
    """How the form reads: "carry yd, side yd with L or R, ball speed mph"."""
    parts = []
    for name in form.order:
        side = ""
        if name == "offline_m":
            side = " (+ right, - left)" if form.signed_sides else f" with {form.left[0]} or {form.right[0]}"
        parts.append(f"{_WORDS[name]} {form.unit_of(name)}{side}")
    return ", ".join(parts)


_EXAMPLES = {
    "carry_m": 154.0, "offline_m": 11.0, "total_m": 160.0, "apex_m": 27.0, "ball_speed_mps": 50.0,
    "club_speed_mps": 37.5, "spin_rpm": 6200.0, "launch_rad": 0.31, "descent_rad": 0.77, "attack_rad": -0.07,
}  # fmt: skip


def example(form: LineForm) -> str:
    """A line of this form, of a usual 7 iron."""
    words = []
    for name in form.order:
        known = find_unit(form.unit_of(name))
        value = f"{_EXAMPLES[name] / (known.factor if known else 1.0):.0f}"
        words.append(f"{value}{form.right[0]}" if name == "offline_m" and not form.signed_sides else value)
    return " ".join(words)


def dump_form(form: LineForm) -> dict[str, Any]:
    """The form as plain data."""
    return {
        "order": list(form.order),
        "units": dict(form.units),
        "left": list(form.left),
        "right": list(form.right),
        "signed_sides": form.signed_sides,
    }


def load_form(data: object) -> LineForm:
    """The form from plain data. Raises InputError for anything that is none."""
    if not isinstance(data, dict):
        raise InputError("The form of a typed shot cannot be read.", "Set it anew on its page.")
    order, units = data.get("order"), data.get("units", {})
    sides = [data.get(name) for name in ("left", "right")]
    if not isinstance(order, list) or not order or len(set(map(str, order))) != len(order):
        raise InputError("The form needs each of its figures once.", "Choose carry, side and others.")
    wrong = [name for name in order if name not in _WORDS]
    if wrong:
        raise InputError(f'"{str(wrong[0])[:30]}" is no figure of a shot.', f"Use {', '.join(_WORDS)}.")
    if not isinstance(units, dict):
        raise InputError("The form's units cannot be read.", "Set them anew on its page.")
    for name, unit in units.items():
        known = find_unit(str(unit)[:20])
        if name not in _WORDS or known is None or known.dimension != _dimension(name):
            raise InputError(
                f'"{str(unit)[:20]}" is no unit of {str(name)[:30]}.', "Use yd, m, ft, mph, km/h or m/s."
            )
    words = [_side_words(one) for one in sides]
    if set(map(str.lower, words[0])) & set(map(str.lower, words[1])):
        raise InputError("A word means both left and right.", "Give each side words of its own.")
    return LineForm(tuple(order), dict(units), words[0], words[1], data.get("signed_sides") is True)


def _dimension(name: str) -> str:
    if name in _ANGLES:
        return "angle"
    if name == "spin_rpm":
        return "rotation"
    return "speed" if name.endswith("_mps") else "length"


def _side_words(value: object) -> tuple[str, ...]:
    if not isinstance(value, list) or not 1 <= len(value) <= 6:
        raise InputError("A side needs one to six words.", "Such as L, left.")
    for word in value:
        if not isinstance(word, str) or not word.isalpha() or len(word) > 12:
            raise InputError(f'"{str(word)[:20]}" is no word for a side.', "Use letters only, such as L.")
        if word.lower() in (*_SWING_WORDS, *MISHITS, *_BAD) or (len(word) == 1 and word.lower() in "bcsdhta"):
            raise InputError(f'"{word}" means something else in a line.', "Choose another word.")
    return tuple(value)
