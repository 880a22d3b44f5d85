"""The form of a typed line: which figures stand in which order, in which units, which words mean a side."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

from bagwright.errors import InputError
from bagwright.shots.line_words import LEFT, RIGHT, Language, Words, language_named, words_of
from bagwright.shots.quantities import unit_named
from bagwright.units import Dimension, System, find_unit, spoken
from bagwright.words import join, tell

Mark = Literal["", "mishit", "bad-read"]
DecimalMark = Literal[".", ","]

TAGS: dict[str, str] = {
    "b": "ball_speed_mps",
    "c": "club_speed_mps",
    "s": "spin_rpm",
    "l": "launch_rad",
    "d": "descent_rad",
    "h": "apex_m",
    "t": "total_m",
    "a": "attack_rad",
}
"""Letter in front of a figure -> what it is, unless a form says otherwise."""


@dataclass(frozen=True, slots=True)
class Figure:
    """A figure that a line can hold: its word, its limits in SI, and an example.

    Beyond the limits it is a slip of the finger: they are wider than anything that is hit (judgement).
    """

    word: str
    dimension: Dimension
    low: float
    high: float
    example: float


FIGURES: dict[str, Figure] = {
    "carry_m": Figure(tell("carry"), "length", 0.0, 400.0, 154.0),
    "offline_m": Figure(tell("side"), "length", -200.0, 200.0, 11.0),
    "total_m": Figure(tell("total"), "length", 0.0, 500.0, 160.0),
    "apex_m": Figure(tell("height"), "length", 0.0, 80.0, 27.0),
    "ball_speed_mps": Figure(tell("ball speed"), "speed", 2.0, 105.0, 50.0),
    "club_speed_mps": Figure(tell("club speed"), "speed", 2.0, 75.0, 37.5),
    "spin_rpm": Figure(tell("spin"), "rotation", 50.0, 16_000.0, 6200.0),
    "launch_rad": Figure(tell("launch"), "angle", -0.35, 1.4, 0.31),
    "descent_rad": Figure(tell("descent"), "angle", 0.0, 1.5, 0.77),
    "attack_rad": Figure(tell("attack"), "angle", -0.6, 0.6, -0.07),
}
"""Every figure that a line can hold."""

UNITS: dict[Dimension, tuple[str, ...]] = {
    "length": ("yd", "m", "ft"),
    "speed": ("mph", "kmh", "mps"),
    "angle": ("deg",),
    "rotation": ("rpm",),
}
"""The units that a form can choose from; where there is one only, it need not be said."""

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
_MOST_WORDS = 6
_LONGEST_WORD = 12


@dataclass(frozen=True, slots=True)
class LineForm:
    """Which figures stand without a letter, in their order; `units` names the unit of each figure.

    `signed_sides` allows -12 for 12 left and 12 for 12 right; without it a side needs its word. `tags` are
    the letters of further figures, `needed` the figures that no shot without a mark may lack. Decimals are
    read with point and with comma, and written with `decimal_mark`. `language` says whose words for marks and
    swings are understood: a German form takes the English ones too.
    """

    order: tuple[str, ...] = ("carry_m", "offline_m", "ball_speed_mps")
    units: Mapping[str, str] = field(default_factory=dict)
    left: tuple[str, ...] = LEFT["en"]
    right: tuple[str, ...] = RIGHT["en"]
    signed_sides: bool = False
    tags: Mapping[str, str] = field(default_factory=lambda: dict(TAGS))
    needed: tuple[str, ...] = ()
    decimal_mark: DecimalMark = "."
    language: Language = "en"

    @classmethod
    def usual(cls, system: System = "yards", language: str = "en") -> LineForm:
        """Carry, side, ball speed in the units of a system, words and decimal mark of a language."""
        known: Language = "de" if language == "de" else "en"
        return cls(
            units=dict(_UNIT_OF[system]),
            left=LEFT[known],
            right=RIGHT[known],
            decimal_mark="," if known == "de" else ".",
            language=known,
        )

    @property
    def words(self) -> Words:
        """The words for marks and swings that a line of this form may hold."""
        return words_of(self.language)

    def unit_of(self, name: str) -> str:
        """The unit of a figure. Raises InputError where neither the form nor the trade says one."""
        choices = UNITS[FIGURES[name].dimension]
        unit = self.units.get(name, choices[0] if len(choices) == 1 else "")
        if not unit:
            raise InputError(
                tell("The form of a typed shot names no unit of the {figure}.", figure=FIGURES[name].word),
                tell("Set {units}.", units=said(choices)),
            )
        return unit

    def factor_of(self, name: str) -> float:
        """What turns a figure of this form into SI."""
        return unit_named(self.unit_of(name)).factor

    def spoken_unit(self, name: str) -> str:
        """The unit of a figure as people write it: "yd", "m/s"."""
        return spoken(unit_named(self.unit_of(name)))


@dataclass(frozen=True, slots=True)
class PadStep:
    """One step of an entry pad: a figure, its unit, and the two keys of a side where they follow.

    `side_keys` is (left, right), None where no key follows; `signed` asks for a key that turns the sign.
    """

    name: str
    word: str
    unit: str
    needed: bool
    side_keys: tuple[str, str] | None
    signed: bool


def pad_steps(form: LineForm) -> tuple[PadStep, ...]:
    """The steps of the smallest pad that types this form, in order."""
    found = []
    for name in form.order:
        side = name == "offline_m"
        keys = (form.left[0], form.right[0]) if side and not form.signed_sides else None
        signed = (side and form.signed_sides) or FIGURES[name].dimension == "angle"
        found.append(
            PadStep(name, FIGURES[name].word, form.spoken_unit(name), name in form.needed, keys, signed)
        )
    return tuple(found)


def form_words(form: LineForm) -> str:
    """How the form reads: "carry yd, side yd with L or R, ball speed mph"; what may lack in brackets."""
    parts = []
    for name in form.order:
        side = ""
        if name == "offline_m":
            side = (
                tell(" (+ right, - left)")
                if form.signed_sides
                else tell(" with {left} or {right}", left=form.left[0], right=form.right[0])
            )
        words = tell(
            "{figure} {unit}{side}", figure=FIGURES[name].word, unit=form.spoken_unit(name), side=side
        )
        parts.append(tell("[{words}]", words=words) if form.needed and name not in form.needed else words)
    return join(", ", parts)


def tag_words(form: LineForm) -> tuple[str, ...]:
    """What the letters mean: "s6200 spin rpm", in the form's units; figures of the order left out."""
    return tuple(
        tell(
            "{typed} {figure} {unit}",
            typed=f"{letter}{written(form, name, FIGURES[name].example, digits=0)}",
            figure=FIGURES[name].word,
            unit=form.spoken_unit(name),
        )
        for letter, name in form.tags.items()
        if name not in form.order
    )


def example(form: LineForm) -> str:
    """A line of this form, of a usual 7 iron."""
    words = []
    for name in form.order:
        value = written(form, name, FIGURES[name].example, digits=0)
        words.append(f"{value}{form.right[0]}" if name == "offline_m" and not form.signed_sides else value)
    return " ".join(words)


def written(form: LineForm, name: str, value: float, digits: int = 2) -> str:
    """A figure in the form's unit and with its decimal mark, without idle noughts."""
    text = f"{value / form.factor_of(name):.{digits}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return ("0" if text in ("-0", "") else text).replace(".", form.decimal_mark)


def said(words: tuple[str, ...]) -> str:
    """Words in a row: "a, b or c"."""
    if len(words) < 2:
        return join("", words)
    return tell("{first} or {last}", first=join(", ", words[:-1]), last=words[-1])


def dump_form(form: LineForm) -> dict[str, Any]:
    """The form as plain data."""
    return {
        "order": list(form.order),
        "units": dict(form.units),
        "left": list(form.left),
        "right": list(form.right),
        "signed_sides": form.signed_sides,
        "tags": dict(form.tags),
        "needed": list(form.needed),
        "decimal_mark": form.decimal_mark,
        "language": form.language,
    }


def load_form(data: object) -> LineForm:
    """The form from plain data. Raises InputError for anything that is none.

    `tags`, `needed`, `decimal_mark` and `language` may lack: the usual letters, nothing needed, a point,
    English.
    """
    if not isinstance(data, dict):
        raise InputError(tell("The form of a typed shot cannot be read."), tell("Set it anew on its page."))
    order = _names(data.get("order"))
    if not order:
        raise InputError(tell("The form has no figure."), tell("Choose carry, side and others."))
    needed = _names(data.get("needed", []))
    stray = [name for name in needed if name not in order]
    if stray:
        raise InputError(
            tell("The {figure} is needed, but has no place in the line.", figure=FIGURES[stray[0]].word),
            tell("Give it a place."),
        )
    tags = _tags(data.get("tags", TAGS))
    language = language_named(data.get("language", "en"))
    left, right = (_side_words(data.get(side), tags, words_of(language)) for side in ("left", "right"))
    if set(map(str.lower, left)) & set(map(str.lower, right)):
        raise InputError(tell("A word means both left and right."), tell("Give each side words of its own."))
    decimal = data.get("decimal_mark", ".")
    if decimal not in (".", ","):
        raise InputError(
            tell('"{mark}" is no decimal mark.', mark=str(decimal)[:10]), tell("Use a point or a comma.")
        )
    units = _units(data.get("units", {}))
    signed = data.get("signed_sides") is True
    form = LineForm(order, units, left, right, signed, tags, needed, decimal, language)
    for name in (*order, *tags.values()):
        form.unit_of(name)
    return form


def _names(value: object) -> tuple[str, ...]:
    if not isinstance(value, list) or not all(isinstance(name, str) for name in value):
        raise InputError(
            tell("The figures of the form cannot be read."), tell("Choose carry, side and others.")
        )
    for name in value:
        if name not in FIGURES:
            raise InputError(
                tell('"{name}" is no figure of a shot.', name=name[:30]),
                tell("Use {figures}.", figures=said(tuple(FIGURES))),
            )
    if len(set(value)) != len(value):
        raise InputError(tell("The form has a figure twice."), tell("Give each figure one place."))
    return tuple(value)


def _units(value: object) -> dict[str, str]:
    if not isinstance(value, dict):
        raise InputError(tell("The form's units cannot be read."), tell("Set them anew on its page."))
    found: dict[str, str] = {}
    for name, text in value.items():
        if name not in FIGURES:
            raise InputError(
                tell('"{name}" is no figure of a shot.', name=str(name)[:30]), tell("Set the units anew.")
            )
        choices = UNITS[FIGURES[name].dimension]
        unit = find_unit(text[:20]) if isinstance(text, str) else None
        if unit is None or unit.name not in choices:
            shown = tuple(spoken(unit_named(choice)) for choice in choices)
            raise InputError(
                tell('"{unit}" is no unit of the {figure}.', unit=str(text)[:20], figure=FIGURES[name].word),
                tell("Use {units}.", units=said(shown)),
            )
        found[name] = unit.name
    return found


def _tags(value: object) -> dict[str, str]:
    if not isinstance(value, Mapping):
        raise InputError(
            tell("The letters of further figures cannot be read."), tell("Set them anew on their page.")
        )
    for letter, name in value.items():
        if not (isinstance(letter, str) and len(letter) == 1 and letter.isascii() and letter.islower()):
            raise InputError(
                tell('"{letter}" is no letter of a figure.', letter=str(letter)[:20]),
                tell("Use one small letter each."),
            )
        if not isinstance(name, str) or name not in FIGURES or name in ("carry_m", "offline_m"):
            raise InputError(
                tell('The letter {letter} means "{name}".', letter=letter, name=str(name)[:30]),
                tell("Carry and side have a place, no letter."),
            )
    if len(set(value.values())) != len(value):
        raise InputError(tell("Two letters mean the same figure."), tell("Give each figure one letter."))
    return dict(value)


_SIDE_LETTERS = ("l", "r")
"""May be a side's word and a figure's letter at once: where both would fit, the line asks which."""


def _side_words(value: object, tags: Mapping[str, str], words: Words) -> tuple[str, ...]:
    if not isinstance(value, list) or not 1 <= len(value) <= _MOST_WORDS:
        raise InputError(tell("A side needs one to six words."), tell("Such as L, left."))
    for word in value:
        if not isinstance(word, str) or not word.isalpha() or len(word) > _LONGEST_WORD:
            raise InputError(
                tell('"{word}" is no word for a side.', word=str(word)[:20]),
                tell("Use letters only, such as L."),
            )
        low = word.lower()
        clash = low in tags and low not in _SIDE_LETTERS
        if clash or low in words:
            raise InputError(
                tell('"{word}" means something else in a line.', word=word), tell("Choose another word.")
            )
    return tuple(value)
